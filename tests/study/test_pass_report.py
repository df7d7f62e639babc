"""Parts of the variation, stroke used, rod travel; spring and cylinder by equal criteria; speeds."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.physics.balance import AT_DEPTH
from downforce.study.field_pass import press, run_pass
from downforce.study.ground.compare_actuators import (
    CRITERIA,
    PASSED,
    chosen,
    level_pressure,
    set_to,
    setting_range,
    sweep_settings,
    worst_quarter_in,
)
from downforce.study.ground.crossing import Crossing, cross_field, with_ground, with_soil_spread
from downforce.study.ground.pass_report import (
    PUBLISHED,
    load_at_depth,
    rod_travel_per_hectare,
    speed_runs,
    stroke_use,
    variation_parts,
)
from downforce.study.rows import OpenerTable
from first_round import example_drill, example_field

DRILL = example_drill("air_drill_12m")
FIRM = example_field("firm")
ROUGH = cross_field(DRILL, FIRM, 1, 120, 0.7)


def crossing(travel):
    travel = np.asarray(travel, float)
    reaction = np.full(travel.shape, 700.0)
    return Crossing(
        np.arange(len(travel)) * 0.5,
        travel,
        reaction,
        np.zeros(travel.shape),
        np.zeros(travel.shape, np.uint8),
        FIRM.speed,
        "made by hand",
    )


@pytest.mark.parametrize(("actuator", "pressure"), [("cylinder", 90e5), ("spring", None)])
def test_a_disc_at_its_depth_has_the_load_that_the_pass_finds(actuator, pressure):
    part = getattr(DRILL, actuator)
    done = press(DRILL, FIRM, ROUGH, part, pressure)
    met, motion = done.crossing, (done.acceleration, done.rubbing)
    table = OpenerTable(DRILL.opener, part)
    held = load_at_depth(DRILL, FIRM, table, met.ground_travel, met.reaction, *motion, met.speed, pressure)
    sound = done.regime == AT_DEPTH
    assert sound.mean() > 0.5
    assert held[sound] == pytest.approx(done.gauge_wheel_load[sound], rel=1e-6, abs=1e-3)


def test_level_ground_has_only_the_soil_part():
    met = replace(ROUGH.scaled(0.0), bumps=None, climb=None)
    parts = variation_parts(DRILL, FIRM, met, DRILL.cylinder, 60e5)
    assert parts.height == pytest.approx(0, abs=1e-9) and parts.motion == pytest.approx(0, abs=1e-9)
    assert parts.soil == pytest.approx(parts.together)
    assert parts.soil_share == pytest.approx(1)


def test_soil_part_by_hand():
    """Level ground, trailing arm: load = ... - V (1 + 0.6 x 0.75), so 1 SD of V counts 1.45 fold."""
    parts = variation_parts(DRILL, FIRM, ROUGH, DRILL.cylinder, 60e5)
    assert parts.soil == pytest.approx(1.45 * ROUGH.reaction.std(), rel=1e-6)


def test_motion_part_by_hand():
    """Weight sits at 0.55 of 0.60 m: m a times 0.55 / 0.60; springs have no seals that rub."""
    parts = variation_parts(DRILL, FIRM, ROUGH, DRILL.spring)
    thrown = press(DRILL, FIRM, ROUGH, DRILL.spring).acceleration
    assert parts.motion == pytest.approx(91.774 * 0.55 / 0.60 * thrown.std(), rel=1e-4)


def test_a_cylinder_takes_away_height_and_nothing_else():
    spring = variation_parts(DRILL, FIRM, ROUGH, DRILL.spring)
    cylinder = variation_parts(DRILL, FIRM, ROUGH, DRILL.cylinder, 60e5)
    assert cylinder.height < spring.height / 3
    assert cylinder.soil == pytest.approx(spring.soil)
    assert cylinder.motion < spring.motion  # seals take a little of the bouncing away
    for parts in (spring, cylinder):
        together = np.sqrt(parts.height**2 + parts.soil**2 + parts.motion**2)
        assert parts.together == pytest.approx(together, rel=0.15)
        assert parts.height_share + parts.soil_share + parts.motion_share == pytest.approx(1)


def test_spring_rate_makes_the_height_part():
    """Spring of 30 N/mm at 0.28 of 0.60 m: 6.5 N/mm at the disc, and the draft adds to it."""
    small = replace(ROUGH, ground_travel=0.01 * np.sin(np.arange(120))[:, None] * np.ones(63))
    parts = variation_parts(DRILL, FIRM, small, DRILL.spring)
    per_mm = parts.height / (1000 * small.ground_travel.std())
    # Draft works on a lower pivot as the ground rises: 0.6 x 900 N / 600 mm = 0.9 N/mm more.
    assert per_mm == pytest.approx(6.5 + 0.9, rel=0.06)


def test_stroke_used_and_where_it_ran_out():
    travel = np.zeros((8, 63))
    travel[3:5, 10] = 0.2
    travel[6, 50] = -0.25
    travel[2, 30] = 0.05
    use = stroke_use(press(DRILL, FIRM, crossing(travel), DRILL.cylinder, 80e5))
    assert (use.allowed_up, use.allowed_down) == pytest.approx((0.13, 0.18))
    assert (use.asked_up, use.asked_down) == pytest.approx((0.2, 0.25))
    assert [(one.row, one.stop) for one in use.ran_out] == [(11, "upper"), (51, "lower")]
    assert use.ran_out[0].station == pytest.approx(1.5)


def test_level_ground_uses_no_stroke():
    done = press(DRILL, FIRM, crossing(np.zeros((4, 63))), DRILL.cylinder, 80e5)
    use = stroke_use(done)
    assert use.ran_out == () and use.asked_up == 0 and use.asked_down == 0
    assert rod_travel_per_hectare(done) == 0


def test_rod_travel_by_hand():
    """100 mm up and down again at a lever of 1:6 is 33 mm of rod in 1 m; 12 m wide, so 833 m to a hectare."""
    travel = np.zeros((3, 63))
    travel[1] = 0.1
    done = press(DRILL, FIRM, crossing(travel), DRILL.cylinder, 100e5)
    lengths = DRILL.cylinder.length(DRILL.opener, np.array([0.0, 0.1]))
    way = 2 * abs(lengths[1] - lengths[0])
    assert rod_travel_per_hectare(done) == pytest.approx(way * 1e4 / (1.0 * 63 * 0.1905), rel=1e-6)
    assert rod_travel_per_hectare(done) == pytest.approx(0.0333 * 833, rel=0.05)
    with pytest.raises(ValueError, match="two stations"):
        rod_travel_per_hectare(press(DRILL, FIRM, crossing(travel[:1]), DRILL.cylinder, 60e5))


# --- equal criteria ---------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["spring", "cylinder"])
def test_a_sweep_counts_what_a_pass_gives(name):
    sweep = sweep_settings(DRILL, FIRM, ROUGH, name)
    assert len(sweep.values) > 2 * PASSED
    for place, near in ((0, 1e-12), (10, 1e-12), (40, 1e-12), (13, 0.015), (19, 0.015), (26, 0.015)):
        setting = set_to(DRILL, name, sweep.values[place])
        done = press(DRILL, FIRM, ROUGH, setting.actuator, setting.gauge_pressure)
        shares = done.shares()
        assert sweep.share_in[place] == pytest.approx(1.0 - shares.short, abs=near)
        assert sweep.packing[place] == pytest.approx(shares.packing, abs=near)
        assert sweep.enough[place] == pytest.approx(shares.enough, abs=near)
        assert sweep.mean[place] == pytest.approx(shares.mean, rel=near)
        assert sweep.worst_quarter_in[place] == pytest.approx(worst_quarter_in(done), abs=near)


def test_the_setting_chosen_just_meets_its_criterion():
    for name in ("spring", "cylinder"):
        sweep = sweep_settings(DRILL, FIRM, ROUGH, name)
        one = chosen(sweep, "share in", 0.85)
        assert one.met
        assert 0.85 <= 1 - one.shares.short < 0.86
        step = 0.0005 if name == "spring" else 0.5e5
        less = set_to(DRILL, name, one.setting.value - step)
        done = press(DRILL, FIRM, ROUGH, less.actuator, less.gauge_pressure)
        assert 1 - done.shares().short < 0.85


def test_at_equal_criteria_the_cylinder_leaves_fewer_heavy_openers():
    sweeps = [sweep_settings(DRILL, FIRM, ROUGH, name) for name in ("spring", "cylinder")]
    for criterion in CRITERIA:
        one, other = (chosen(sweep, criterion) for sweep in sweeps)
        assert (one.name, other.name) == ("spring", "cylinder")
        assert one.criterion == other.criterion == criterion
        assert (other.shares.packing, other.met) < (one.shares.packing, True) or other.met > one.met
        assert other.shares.enough > one.shares.enough or other.met > one.met


def test_a_criterion_out_of_reach_says_so():
    sweep = sweep_settings(DRILL, FIRM, ROUGH, "spring", np.array([-0.05, 0.0]))
    one = chosen(sweep, "share in", 0.99)
    assert not one.met and one.setting.value == 0.0
    with pytest.raises(ValueError, match="best, share in, worst quarter"):
        chosen(sweep, "cheapest")
    assert CRITERIA == ("best", "share in", "worst quarter")


def test_the_best_setting_is_best_among_those_tried():
    sweep = sweep_settings(DRILL, FIRM, ROUGH, "cylinder")
    best = chosen(sweep, "best")
    assert best.shares.enough >= sweep.enough.max() - 1e-3
    tried = chosen(sweep, "best", as_tried=True)
    assert tried.setting.value in sweep.values


def test_turning_up_only_ever_gets_more_openers_in():
    for name in ("spring", "cylinder"):
        sweep = sweep_settings(DRILL, FIRM, ROUGH, name)
        # Where openers bounce, one that lands elsewhere may lose a place or two.
        assert (np.diff(sweep.share_in) >= -0.005).all()
        assert (np.diff(sweep.mean) >= 0).all()
        assert (np.diff(sweep.packing) >= -0.005).all()


def test_worst_quarter_is_the_worst_quarter():
    done = run_pass(DRILL, FIRM, DRILL.spring, None, 1, 120, 0.7)
    by_row = sorted(1 - shares.short for shares in done.shares_by("row").values())
    assert worst_quarter_in(done) == pytest.approx(np.mean(by_row[:16]))


@pytest.mark.parametrize("drill", ["air_drill_12m", "box_drill_15ft", "double_disc_9m"])
def test_settings_lie_between_slack_and_coil_bound(drill):
    drill = example_drill(drill)
    low, high = setting_range(drill, "spring")
    length = float(drill.spring.length(drill.opener, 0.0))
    assert drill.spring.turned_to(low + 1e-4).axial_force(length) > 0
    assert drill.spring.turned_to(low - 1e-4).axial_force(length) == 0
    assert drill.spring.turned_to(high).travel_stops(drill.opener)[1] > 0
    low, high = setting_range(drill, "cylinder")
    assert 0 < low < high <= drill.hydraulics.valve.max_pressure


# --- speed --------------------------------------------------------------------------------------


def test_speed_lowers_the_mean_and_widens_the_spread():
    """The means of [RAD] fall and the variation grows from 6 to 12 km/h: direction only."""
    runs = speed_runs(DRILL, FIRM, ROUGH, DRILL.cylinder, 90e5, [speed for speed, _, _ in PUBLISHED])
    assert (np.diff(runs.mean) < 0).all()
    assert (np.diff(runs.spread / runs.mean) > 0).all()
    assert [mean for _, mean, _ in PUBLISHED] == sorted((m for _, m, _ in PUBLISHED), reverse=True)
    assert (np.diff(runs.short) >= 0).all()


def test_speed_runs_are_passes():
    runs = speed_runs(DRILL, FIRM, ROUGH, DRILL.spring, None, [2.0])
    done = run_pass(DRILL, FIRM, DRILL.spring, None, 1, 120, 0.7, speed=2.0)
    assert runs.mean[0] == pytest.approx(done.shares().mean)
    assert runs.short[0] == pytest.approx(done.shares().short)


def test_even_level_ground_spreads_nothing():
    field = with_soil_spread(with_ground(FIRM, "level", False, False), 0.0)
    parts = variation_parts(DRILL, field, cross_field(DRILL, field, 1, 20), DRILL.spring)
    assert parts.together == pytest.approx(0, abs=1e-9)
    assert parts.height_share == 0


def test_level_pressure_by_hand():
    """220 N at 900, 1200 and 1500 N of soil: 59.9, 82.8 and 105.6 bar, from the moments about the pivot."""
    for reaction, bar in ((900, 59.9), (1200, 82.8), (1500, 105.6)):
        field = replace(FIRM, soil=replace(FIRM.soil, reaction=float(reaction)))
        assert level_pressure(DRILL, field, 220.0) / 1e5 == pytest.approx(bar, abs=0.05)
    assert level_pressure(DRILL, FIRM, 5000.0) == setting_range(DRILL, "cylinder")[1]
