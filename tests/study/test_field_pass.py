"""The pass: level ground, single openers, a scalar root finder, regimes, shares and long passes."""

import threading
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from downforce.machine.drill import EACH_SETTING
from downforce.machine.shipped import example_drill, example_field
from downforce.study.field_pass import REGIMES, press, run_pass
from downforce.study.ground.crossing import Crossing, PassStopped, cross_field, with_ground, with_soil_spread
from downforce.study.ground.pass_report import PassCase, long_pass_shares, passes
from downforce.study.opener_loads import opener_loads
from downforce.study.rows import OpenerTable, load_shares

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
FIELDS = ("moist_soft", "firm", "dry_hard_tracks")
DRILL = example_drill("air_drill_12m")
FIRM = example_field("firm")
LEVEL = with_soil_spread(with_ground(FIRM, "level", False, False), 0.0)
LOADS = (
    "travel",
    "depth",
    "down_force",
    "soil_reaction",
    "gauge_wheel_load",
    "closing_wheel_load",
    "frame_load",
)


def met(travel, reaction, acceleration=0.0, speed=FIRM.speed):
    """A crossing made by hand: stations down, openers across."""
    travel, reaction, acceleration = np.broadcast_arrays(
        np.asarray(travel, float), np.asarray(reaction, float), np.asarray(acceleration, float)
    )
    station = np.arange(len(travel)) * 0.1
    return Crossing(
        station, travel, reaction, acceleration, np.zeros(travel.shape, np.uint8), speed, "made by hand"
    )


def staying(drill):
    """A shipped drill whose frame is levelled again at each setting, so that a row is the single opener."""
    return replace(example_drill(drill), height_taken_at=EACH_SETTING)


@pytest.mark.parametrize("drill", DRILLS)
@pytest.mark.parametrize("name", ["spring", "cylinder"])
def test_level_ground_gives_the_loads_of_one_opener_exactly(drill, name):
    drill = staying(drill)
    actuator, pressure = (drill.spring, None) if name == "spring" else (drill.cylinder, 80e5)
    field = replace(LEVEL, soil=replace(LEVEL.soil, reaction=500.0))
    done, still = (
        run_pass(drill, field, actuator, pressure, 1, 40, motion=motion) for motion in (True, False)
    )
    one = opener_loads(drill.opener, actuator, field.opener_soil, 0.0, pressure)
    assert one.regime == "at depth"
    for load in LOADS:
        assert (getattr(still, load) == getattr(one, load)).all(), load
        assert np.allclose(getattr(done, load), getattr(one, load), rtol=1e-9, atol=0), load
    assert (np.array(REGIMES)[done.regime] == one.regime).all()


def test_level_ground_too_hard_gives_the_depth_of_one_opener():
    drill = staying("air_drill_12m")
    done = run_pass(drill, LEVEL, DRILL.cylinder, 30e5, 1, 5)
    one = opener_loads(DRILL.opener, DRILL.cylinder, LEVEL.opener_soil, 0.0, 30e5)
    assert one.regime == "not at depth"
    assert done.depth == pytest.approx(float(one.depth), abs=1e-9)
    assert done.soil_reaction == pytest.approx(float(one.soil_reaction), abs=1e-3)


@pytest.mark.parametrize("drill", DRILLS)
@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("name", ["spring", "cylinder"])
def test_every_opener_of_a_slow_pass_is_the_single_opener(drill, field, name):
    drill, field = staying(drill), example_field(field)
    actuator, pressure = (drill.spring, None) if name == "spring" else (drill.cylinder, 45e5)
    crossing = cross_field(drill, field, 2, 90, 0.7)
    still = replace(crossing, acceleration=np.zeros_like(crossing.acceleration))
    done = press(drill, field, still, actuator, pressure, motion=False)
    soil = replace(field.opener_soil, reaction=crossing.reaction)
    one = opener_loads(drill.opener, actuator, soil, crossing.ground_travel, pressure)
    for load in ("down_force", "soil_reaction", "gauge_wheel_load", "closing_wheel_load", "frame_load"):
        assert np.allclose(getattr(done, load), getattr(one, load), rtol=0, atol=2e-3), load
    assert np.allclose(done.depth, one.depth, rtol=0, atol=1e-7)
    assert np.allclose(done.actuator_force, one.actuator_force, rtol=0, atol=2e-3)
    assert (np.array(REGIMES)[done.regime] == one.regime).mean() > 0.9999


def test_a_scalar_root_finder_finds_the_same_loads():
    """brentq on one opener after the other, straight from linkage and cylinder: within 0.1 N."""
    crossing = cross_field(DRILL, FIRM, 6, 200, 0.3)
    done = press(DRILL, FIRM, crossing, DRILL.spring, motion=False)
    opener, lowest = DRILL.opener, DRILL.spring.travel_stops(DRILL.opener)[0]
    inside = (np.abs(crossing.ground_travel) < 0.12) & (crossing.ground_travel - 0.0 > lowest)
    picked = np.argwhere(inside)[:: max(1, inside.sum() // 150)]
    shallow = 0
    for i, j in picked:
        ground, weight = (
            crossing.ground_travel[i, j],
            opener.weight + opener.mass * crossing.acceleration[i, j],
        )

        def left(depth, i=i, j=j, ground=ground, weight=weight):
            travel = ground + 0.04 - depth
            w, c, g, t = (float(share) for share in opener.shares(travel, ground))
            soil = crossing.reaction[i, j] * (depth / 0.04) * (1 + 0.6 * t)
            push = float(DRILL.spring.down_force(opener, travel))
            return (push + w * weight - c * 250.0 - soil) / g

        load = left(0.04)
        if load >= 0:
            assert done.gauge_wheel_load[i, j] == pytest.approx(load, abs=0.1)
            continue
        shallow += 1
        if left(0.0) <= 0 or ground + 0.04 > 0.12:
            continue
        depth = brentq(left, 0.0, 0.04, xtol=1e-12)
        assert done.soil_reaction[i, j] == pytest.approx(crossing.reaction[i, j] * depth / 0.04, abs=0.1)
        assert done.gauge_wheel_load[i, j] == 0.0
    assert 20 < shallow < len(picked) - 20


@pytest.mark.parametrize("drill", DRILLS)
def test_tables_of_the_opener_agree_with_its_geometry(drill):
    drill = example_drill(drill)
    for actuator, pressure in ((drill.spring, None), (drill.cylinder, 60e5)):
        table = OpenerTable(drill.opener, actuator)
        travel = np.linspace(table.lowest + 1e-4, table.highest - 1e-4, 997)
        ground = travel - 0.013
        for tabled, exact in zip(
            table.shares(travel, ground), drill.opener.shares(travel, ground), strict=True
        ):
            assert tabled == pytest.approx(exact, abs=1e-7)
        assert table.length(travel) == pytest.approx(actuator.length(drill.opener, travel), abs=1e-8)
        exact = actuator.down_force(drill.opener, travel, pressure)
        assert table.down_force(travel, pressure) == pytest.approx(exact, abs=1e-3)


@settings(deadline=None, max_examples=40)
@given(
    travel=st.lists(st.floats(-0.35, 0.35), min_size=6, max_size=6),
    reaction=st.floats(60.0, 4000.0),
    acceleration=st.floats(-15.0, 15.0),
    pressure=st.floats(0.0, 150e5),
    drill=st.sampled_from(DRILLS),
)
def test_every_regime_keeps_its_rules(travel, reaction, acceleration, pressure, drill):
    drill = example_drill(drill)
    rows = np.resize(travel, (3, drill.row_count))
    done = press(drill, FIRM, met(rows, reaction, acceleration), drill.cylinder, pressure)
    lowest, highest = drill.cylinder.travel_stops(drill.opener)
    weight = drill.opener.weight + drill.opener.mass * done.acceleration
    assert (done.gauge_wheel_load >= 0).all() and (done.soil_reaction >= 0).all()
    assert (done.depth >= 0).all() and (done.depth <= 0.04 + 1e-12).all()
    assert (done.travel >= lowest - 1e-12).all() and (done.travel <= highest + 1e-12).all()
    assert (done.gauge_wheel_load[done.depth < 0.04] == 0).all()
    name = np.array(REGIMES)[done.regime]
    assert (done.depth[name == "at depth"] == 0.04).all()
    assert (done.depth[name == "out of the ground"] == 0).all()
    assert (done.ground_travel[name == "on the lower stop"] < lowest).all()
    carried = done.soil_reaction + done.gauge_wheel_load + done.closing_wheel_load - weight
    assert done.frame_load == pytest.approx(carried, abs=1e-6)
    # Where no stop carries anything, the sums about the disc close.
    free = (name == "at depth") | (name == "not at depth")
    w, c, g, t = drill.opener.shares(done.travel[free], done.ground_travel[free])
    rest = done.down_force[free] + w * weight[free] - c * done.closing_wheel_load[free]
    rest -= done.soil_reaction[free] * (1 + 0.6 * t) + g * done.gauge_wheel_load[free]
    assert rest == pytest.approx(np.zeros(rest.size), abs=0.01)


def test_pressure_may_be_one_value_one_a_row_or_one_a_place():
    drill = staying("air_drill_12m")
    crossing = cross_field(drill, FIRM, 1, 700, 0.1)
    rows = np.linspace(50e5, 90e5, DRILL.row_count)
    places = np.broadcast_to(rows, crossing.reaction.shape) + np.arange(700)[:, None] * 1e3
    by_row = run_pass(drill, FIRM, DRILL.cylinder, rows, 1, 700)
    by_place = run_pass(drill, FIRM, DRILL.cylinder, places, 1, 700)
    one = run_pass(drill, FIRM, DRILL.cylinder, rows[20], 1, 700)
    assert np.allclose(by_row.gauge_wheel_load[:, 20], one.gauge_wheel_load[:, 20], rtol=0, atol=1e-6)
    again = press(drill, FIRM, crossing, DRILL.cylinder, places)
    assert np.allclose(by_place.gauge_wheel_load, again.gauge_wheel_load, rtol=0, atol=1e-6)
    at = run_pass(drill, FIRM, DRILL.cylinder, float(places[650, 5]), 1, 700, motion=False)
    by_place = press(drill, FIRM, crossing, DRILL.cylinder, places, motion=False)
    assert by_place.gauge_wheel_load[650, 5] == pytest.approx(at.gauge_wheel_load[650, 5], abs=1e-9)
    assert by_place.actuator_force[650, 5] == pytest.approx(at.actuator_force[650, 5])


def test_a_pressure_of_the_wrong_shape_or_none_is_refused():
    with pytest.raises(ValueError, match="one for each of the 63 openers"):
        run_pass(DRILL, FIRM, DRILL.cylinder, np.full(5, 60e5), 1, 20)
    with pytest.raises(ValueError, match="needs a gauge pressure"):
        run_pass(DRILL, FIRM, DRILL.cylinder, None, 1, 20)
    with pytest.raises(ValueError, match="gauge_pressure"):
        run_pass(DRILL, FIRM, DRILL.cylinder, -1.0, 1, 20)


def test_running_and_pressing_give_the_same():
    crossing = cross_field(DRILL, FIRM, 9, 900, 0.1)
    done, again = (
        run_pass(DRILL, FIRM, DRILL.spring, None, 9, 900),
        press(DRILL, FIRM, crossing, DRILL.spring),
    )
    for name in LOADS:
        assert np.allclose(getattr(done, name), getattr(again, name), rtol=1e-9, atol=1e-6)
    assert (done.regime == again.regime).mean() > 0.99999
    assert done.regime.dtype == np.uint8
    assert done.crossing.words == crossing.words


def test_progress_and_stop():
    seen = []
    run_pass(DRILL, FIRM, DRILL.spring, None, 1, 1200, progress=seen.append)
    assert seen[0] == 0 and seen[-1] == 1 and seen == sorted(seen)
    with pytest.raises(PassStopped):
        run_pass(DRILL, FIRM, DRILL.spring, None, 1, 1200, stop=lambda: True)


# --- shares ----------------------------------------------------------------------------------


def test_shares_by_group_add_up_to_the_whole():
    field = with_ground(FIRM, "D", True, True)
    done = run_pass(DRILL, field, DRILL.cylinder, 70e5, 3, 500)
    whole = done.shares()
    assert whole.short + whole.enough + whole.packing == pytest.approx(1)
    counts = {
        "row": np.ones(63),
        "rank": np.bincount(DRILL.row_rank),
        "section": np.bincount(DRILL.row_section),
        "place": np.unique(done.crossing.place, return_counts=True)[1],
    }
    for what, weight in counts.items():
        parted = done.shares_by(what)
        assert len(parted) == len(weight)
        for share in ("short", "packing", "mean", "not_at_depth"):
            mean = np.average([getattr(one, share) for one in parted.values()], weights=weight)
            assert mean == pytest.approx(getattr(whole, share)), (what, share)
    assert list(done.shares_by("section")) == ["left wing", "centre", "right wing"]
    assert set(done.shares_by("place")) == {"plain ground", "wheel track", "terrace"}
    with pytest.raises(ValueError, match='"row", "rank", "section", "actuator" or "place"'):
        done.shares_by("colour")


def test_shares_by_row_find_the_row_that_is_light():
    reaction = np.full((10, 63), 600.0)
    reaction[:, 41] = 2500.0
    done = press(DRILL, FIRM, met(0.0, reaction), DRILL.cylinder, 60e5)
    light = {row: shares.short for row, shares in done.shares_by("row").items()}
    assert light.pop(42) == 1.0
    assert set(light.values()) == {0.0}


# --- published directions --------------------------------------------------------------------


def test_gauge_wheel_load_falls_with_speed():
    """Direction only: 1148, 1017, 843, 713 N at 6, 8, 10, 12 km/h, and its variation grows [RAD]."""
    means, varied = [], []
    for speed in (6, 8, 10, 12):
        shares = run_pass(DRILL, FIRM, DRILL.cylinder, 90e5, 1, 300, 0.5, speed=speed / 3.6).shares()
        means.append(shares.mean)
        varied.append(shares.spread / shares.mean)
    assert means == sorted(means, reverse=True)
    assert varied == sorted(varied)


def test_draft_lifts_a_trailing_arm_by_four_percent_more_per_kmh():
    """A guard: draft about +4 percent per km/h [COL]."""
    drill = staying("air_drill_12m")
    slow, fast = (
        press(
            drill, LEVEL, met(np.zeros((1, 63)), 900.0, speed=FIRM.speed + extra / 3.6), DRILL.cylinder, 90e5
        )
        for extra in (0, 1)
    )
    lost = slow.gauge_wheel_load[0, 0] - fast.gauge_wheel_load[0, 0]
    draft_share = float(DRILL.opener.shares(np.zeros(1), np.zeros(1))[3][0])
    assert lost == pytest.approx(0.04 * 0.6 * 900 * draft_share, rel=1e-6)


def test_a_centimetre_deeper_asks_a_quarter_more():
    """A guard: draft gains nearly 20 percent a centimetre [COL]; exponent 1 gives 25 of reaction at 40 mm."""
    at, deeper = (
        press(DRILL, replace(LEVEL, target_depth=depth), met(np.zeros((1, 63)), 900.0), DRILL.cylinder, 110e5)
        for depth in (0.04, 0.05)
    )
    growth = deeper.soil_reaction[0, 0] / at.soil_reaction[0, 0] - 1
    assert 0.15 < growth < 0.30
    assert deeper.gauge_wheel_load[0, 0] < at.gauge_wheel_load[0, 0]


def test_a_cylinder_is_more_even_than_a_spring_on_rough_ground():
    even = with_soil_spread(FIRM, 0.0)
    spring = run_pass(DRILL, even, DRILL.spring.turned_to(0.03), None, 1, 400, 0.3, speed=0.5).shares()
    cylinder = run_pass(DRILL, even, DRILL.cylinder, 80e5, 1, 400, 0.3, speed=0.5).shares()
    assert cylinder.spread < spring.spread / 2


# --- long passes and many ---------------------------------------------------------------------


def test_a_long_pass_in_little_memory_counts_the_same():
    case = PassCase("long", DRILL, FIRM, DRILL.spring, seed=2, stations=1500)
    short = run_pass(DRILL, FIRM, DRILL.spring, None, 2, 1500).shares()
    seen = []
    long = long_pass_shares(case, progress=seen.append)
    assert seen[-1] == 1
    for name in (
        "mean",
        "spread",
        "not_at_depth",
        "short",
        "enough",
        "packing",
        "mean_depth",
        "depth_spread",
    ):
        assert getattr(long, name) == pytest.approx(getattr(short, name), rel=1e-9, abs=1e-9), name
    assert long.high == pytest.approx(short.high, abs=1.0)
    assert long.low == pytest.approx(short.low, abs=1.0)
    with pytest.raises(PassStopped):
        long_pass_shares(case, stop=lambda: True)


CASES = [
    PassCase("spring", DRILL, FIRM, DRILL.spring, stations=60),
    PassCase("60 bar", DRILL, FIRM, DRILL.cylinder, 60e5, stations=60),
    PassCase("80 bar", DRILL, FIRM, DRILL.cylinder, 80e5, stations=60, speed=2.0),
]


@pytest.mark.parametrize("pool", [ThreadPoolExecutor, ProcessPoolExecutor])
def test_many_passes_run_on_any_executor(pool):
    alone = passes(CASES)
    assert [one.name for one in alone] == ["spring", "60 bar", "80 bar"]
    with pool(max_workers=2) as executor:
        assert passes(CASES, executor) == alone
    assert alone[0].shares == run_pass(DRILL, FIRM, DRILL.spring, None, 1, 60).shares()


def test_many_passes_show_progress_and_stop():
    seen, event = [], threading.Event()

    def progress(share):
        seen.append(share)
        if share > 0.3:
            event.set()

    with pytest.raises(PassStopped):
        passes(CASES, progress=progress, stop=event)
    assert seen == pytest.approx([0, 1 / 3])


def test_shares_of_a_pass_are_those_of_its_loads():
    done = run_pass(DRILL, FIRM, DRILL.spring, None, 4, 50)
    assert done.shares() == load_shares(done, FIRM.aim, FIRM.target_depth)
    assert done.at_depth.mean() == pytest.approx(1 - done.shares().not_at_depth)
