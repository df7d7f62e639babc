"""A drill over a logged field: shares by place, spots by coordinates, and what a log can answer."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from downforce.machine.field import Soil, Tracks
from downforce.machine.field_log import read_field_log
from downforce.machine.shipped import DATA, example_drill, example_field
from downforce.study.field_pass import run_pass
from downforce.study.ground.field_log import (
    HEADLAND,
    PRESSES,
    SPOTS,
    SPOTS_APART,
    _crossing,
    log_answers,
    logged_field,
    section_edges,
)
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import recommend

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
DRILL = example_drill("air_drill_12m")
FIRM = example_field("firm")
PRESSURE = 60e5
PLACE = (400_000.0, 5_000_000.0)
HOLLOW = 80.0


def written(path, hollow=0.25, step=0.5, places=((0.0, HOLLOW),)):
    """A log of an L, 150 m north and 120 m east, level but for round hollows 8 m across."""
    north, east = np.arange(0, 150, step), np.arange(0, 120.0 + step, step)
    e = np.concatenate((0 * north, east))
    n = np.concatenate((north, 0 * east + 150.0))
    h = np.zeros(e.size)
    for place in places:
        u = np.minimum(np.hypot(e - place[0], n - place[1]) / 4.0, 1.0)
        h -= hollow * (1 + np.cos(np.pi * u)) / 2
    rows = "\n".join(
        f"{a + PLACE[0]:.3f},{b + PLACE[1]:.3f},{c:.4f}" for a, b, c in zip(e, n, h, strict=True)
    )
    path.write_text(f"easting_m,northing_m,height_m\n{rows}\n", encoding="utf-8")
    return read_field_log(path)


@pytest.fixture(scope="module")
def hollowed(tmp_path_factory):
    log = written(tmp_path_factory.mktemp("log") / "log.csv")
    return log, logged_field(DRILL, FIRM, log, PRESSURE)


def test_level_ground_is_the_balance_of_one_opener_over_the_whole_spread_of_the_soil(tmp_path):
    drill = replace(DRILL, height_taken_at="each setting")
    level = logged_field(drill, FIRM, written(tmp_path / "log.csv", 0.0), PRESSURE)
    # Lognormal with a standard deviation of 150 of 900 N, in two thousand even parts.
    sigma = np.sqrt(np.log(1 + (150 / 900) ** 2))
    soils = 900 * np.exp(sigma * norm.ppf((np.arange(2000) + 0.5) / 2000) - sigma**2 / 2)
    soil = Soil(soils, 0.04, 0.04, 1.0, 0.6)
    for name, actuator, pressure in zip(
        PRESSES, (DRILL.spring, DRILL.cylinder), (None, PRESSURE), strict=True
    ):
        load = opener_loads(DRILL.opener, actuator, soil, 0.0, pressure).gauge_wheel_load
        assert level.shares[name].mean_load == pytest.approx(load.mean(), abs=0.5)
        assert level.shares[name].short == pytest.approx((load < 100).mean(), abs=0.003)
        # No place is worse than another but by what 400 soils leave to chance.
        assert np.allclose(level.places[f"{name}_short_percent"], 100 * (load < 100).mean(), atol=1.5)
        assert np.allclose(level.places[f"{name}_load_N"], load.mean(), atol=10)


def test_shares_of_a_place_and_of_the_log_add_up(hollowed):
    _, found = hollowed
    for name in PRESSES:
        parts = [found.places[f"{name}_{part}_percent"] for part in ("short", "enough", "packing")]
        assert np.allclose(sum(parts), 100) and min(map(np.min, parts)) > -1e-9
        shares = found.shares[name]
        assert shares.short + shares.enough + shares.packing == pytest.approx(1)
        # Places are alike in size, so their mean is nearly that of all rows.
        assert found.places[f"{name}_short_percent"].mean() / 100 == pytest.approx(shares.short, abs=0.01)


def test_the_hollow_is_the_first_spot_by_its_coordinates(hollowed):
    log, found = hollowed
    spot = found.spots.loc[1]
    assert log.coordinate_names == ("easting_m", "northing_m")
    # One pass is level across, so any section may be named: 4 m beside the middle and half a place along.
    assert abs(spot["northing_m"] - PLACE[1] - HOLLOW) <= 4.0 + 2.5
    assert abs(spot["easting_m"] - PLACE[0]) <= 4.1
    assert spot["springs_short_percent"] > 50


def test_springs_lose_more_rows_in_the_hollow_than_cylinders(hollowed):
    _, found = hollowed
    assert found.shares["springs"].short > found.shares["cylinders"].short + 0.01


def test_spots_stand_apart_and_off_headlands(tmp_path):
    middles = [(0.0, n) for n in (3.0, 40.0, 44.0, 62.0, 120.0)] + [(e, 150.0) for e in (30.0, 60.0, 117.0)]
    found = logged_field(DRILL, FIRM, written(tmp_path / "log.csv", 0.3, places=middles), PRESSURE)
    east, north = (found.spots[f"{way}_m"].to_numpy() for way in ("east", "north"))
    apart = np.hypot(east[:, None] - east, north[:, None] - north)
    assert 2 <= len(found.spots) <= SPOTS
    assert apart[~np.eye(len(east), dtype=bool)].min() >= SPOTS_APART * DRILL.width
    assert not found.spots["headland"].any()
    lengths = {number: one.length for number, one in enumerate(found.log.passes, 1)}
    ends = [min(s["along_m"], lengths[s["pass"]] - s["along_m"]) for _, s in found.spots.iterrows()]
    assert min(ends) >= HEADLAND * DRILL.width
    assert list(found.spots.index) == list(range(1, len(found.spots) + 1))


def test_rows_in_tracks_are_in_no_place_but_in_the_log_as_a_whole(tmp_path):
    log = written(tmp_path / "log.csv", 0.0)
    tracks = replace(FIRM, tracks=Tracks(1.6, 0.0, (-1.1, 1.1), 0.6))
    plain, tracked = (logged_field(DRILL, field, log, PRESSURE) for field in (FIRM, tracks))
    assert np.allclose(plain.places["springs_load_N"], tracked.places["springs_load_N"], atol=10)
    assert tracked.shares["springs"].short > plain.shares["springs"].short + 0.02


def test_a_pass_of_a_log_is_ground_for_run_pass(hollowed):
    log, _ = hollowed
    first = log.passes[0]
    done = run_pass(DRILL, FIRM, DRILL.spring, stations=150, spacing=1.0, survey=first.track)
    travel = done.ground_travel
    at = np.unravel_index(np.argmin(travel), travel.shape)
    assert done.station[at[0]] - DRILL.row_x[at[1]] == pytest.approx(HOLLOW, abs=2.0)
    assert travel.min() == pytest.approx(-0.25, abs=0.1)


@pytest.mark.parametrize("name", DRILLS)
def test_every_drill_and_field_over_the_shipped_log(name):
    drill, log = example_drill(name), read_field_log(DATA / "measured" / "field_log.csv")
    found = logged_field(drill, FIRM, log, PRESSURE)
    assert set(found.places["section"]) == {section.name for section in drill.sections}
    assert len(found.spots) == SPOTS
    # Each pass is met from end to end, at five metres a place.
    for number, one in enumerate(log.passes, 1):
        own = found.places[found.places["pass"] == number]
        assert len(own) == round(one.length / 5) * len(drill.sections)


def test_travel_of_a_pass_is_that_of_run_pass(hollowed):
    first = hollowed[0].passes[0]
    met = run_pass(DRILL, FIRM, DRILL.spring, stations=120, spacing=1.0, survey=first.track).crossing
    found = _crossing(DRILL, FIRM, first, met.station, 0.1)
    assert np.array_equal(found.ground_travel, met.ground_travel)
    assert np.allclose(found.acceleration, met.acceleration)


def test_without_a_pressure_the_recommended_setting_is_held(hollowed):
    log, _ = hollowed
    assert logged_field(DRILL, FIRM, log).gauge_pressure == recommend(DRILL, FIRM).pressed


# ---- what a log can answer ----


def test_step_that_bumps_need_by_hand(hollowed):
    """9 km/h, 91.8 kg, springs that change by 6.21 N/mm at the disc: 2 pi 2.5 sqrt(91.8 / 6210) is 1.91 m, a
    quarter of it 0.477 m. Two thirds of the speed need two thirds of the step."""
    log, found = hollowed
    assert found.answers.bump_step == pytest.approx(0.477, abs=0.001)
    slow = log_answers(DRILL, replace(FIRM, speed=FIRM.speed * 2 / 3), log)
    assert slow.bump_step == pytest.approx(0.318, abs=0.001)


@pytest.mark.parametrize(
    ("step", "bumps", "terraces"),
    [(0.25, True, True), (0.6, False, True), (6.0, False, True), (8.0, False, False)],
)
def test_a_coarse_log_shows_slopes_and_terraces_but_no_bumps(tmp_path, step, bumps, terraces):
    answers = log_answers(DRILL, FIRM, written(tmp_path / "log.csv", step=step))
    assert (answers.bumps, answers.terraces) == (bumps, terraces)


def test_four_points_a_wave_keep_four_fifths_of_its_height():
    # sinc(1/4)^2 = (sin(pi/4) / (pi/4))^2 = 0.81: straight lines between four points, whatever their phase.
    x = np.linspace(0, 1, 4001)[:-1]
    kept = []
    for phase in np.linspace(0, 0.25, 41)[:-1]:
        points = phase + np.arange(-1, 6) / 4
        lines = np.interp(x, points, np.cos(2 * np.pi * points))
        kept.append(2 * np.mean(lines * np.cos(2 * np.pi * x)))
    assert np.mean(kept) == pytest.approx(0.81, abs=0.005)


def test_inertia_over_a_coarse_log_has_no_corners(tmp_path):
    """A rise of 1:10 whose corners the log's straight lines make sharp: over one step of 6 m both sides the
    slope turns by 0.1, which at 2.5 m/s is 0.1 / 6 x 6.25 = 0.104 m/s2, not 0.1 / 0.1 x 6.25 = 6.25."""
    points = [(0.0, n, max(0.0, 0.1 * (n - 60.0))) for n in np.arange(0, 126, 6.0)]
    path = tmp_path / "log.csv"
    path.write_text(
        "easting_m,northing_m,height_m\n" + "\n".join(f"{a},{b},{c:.3f}" for a, b, c in points),
        encoding="utf-8",
    )
    log = read_field_log(path)
    found = _crossing(DRILL, FIRM, log.passes[0], np.arange(100.0), log.step)
    assert found.acceleration.max() == pytest.approx(0.104, abs=0.002)


def test_the_coarsest_log_that_is_read_can_be_driven(tmp_path):
    rows = "\n".join(f"0,{25 * i},{0.2 * i}" for i in range(12))
    path = tmp_path / "log.csv"
    path.write_text(f"easting_m,northing_m,height_m\n{rows}\n", encoding="utf-8")
    found = logged_field(DRILL, FIRM, read_field_log(path), PRESSURE)
    # A plane asks for nothing; it is level beyond its ends, and the corner there is felt on the headland.
    inner = found.places[(found.places["along_m"] > 40) & (found.places["along_m"] < 235)]
    assert np.ptp(inner["springs_load_N"]) < 20


def test_sections_lie_side_by_side_over_the_whole_drill():
    """21 rows of 190.5 mm each: the inner edges 2 m from the middle, the outer ones 6 m."""
    inner, outer = 10.5 * 0.1905, 31.5 * 0.1905
    edges = [(-outer, -inner), (-inner, inner), (inner, outer)]
    assert section_edges(DRILL) == pytest.approx(np.array(edges), abs=1e-9)
