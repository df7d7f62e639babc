"""How sure a setting is: first order against drawing everything anew, and what makes it wide."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import qmc

from downforce.machine.doubts import Doubt, changed, uncertain_inputs
from downforce.machine.drill import EACH_SETTING
from downforce.machine.hydraulics import Gauge
from downforce.machine.shipped import example_drill, example_field
from downforce.machine.units import METRIC, unit_system
from downforce.study.frame_lift import lift_of_copies, lift_pressure
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import gauge_error, recommend
from downforce.study.setting.sureness import Case, interval, lowest_lift, standard_draws, the_rule

AIR, BOX, DOUBLE = (example_drill(key) for key in ("air_drill_12m", "box_drill_15ft", "double_disc_9m"))
FIRM, HARD, SOFT = (example_field(key) for key in ("firm", "dry_hard_tracks", "moist_soft"))
PAIRS = [(AIR, FIRM), (BOX, HARD), (DOUBLE, SOFT)]


@pytest.mark.outside(
    "EN837", "table 11, class 1.6 up to 10 bar", "secondary page", "largest error of a gauge, bar"
)
def test_error_of_a_gauge_by_its_class(printed):
    gauge = Gauge(10e5, 0.016)
    drill = replace(AIR, hydraulics=replace(AIR.hydraulics, gauge=gauge))
    printed(gauge_error(drill) / 1e5, "0.16")


@pytest.mark.outside(
    "JCGM101", "9.2.3", "from memory", "95 % of the sum of four rectangular values of standard deviation 1"
)
def test_interval_of_four_rectangular_values(printed):
    """Drawn evenly, so the ends are known to their last digit: 2 sqrt 3 (2 - (3 / 5)^(1 / 4)) = 3.8794."""
    even = qmc.Sobol(4, seed=1).random_base2(17)
    low, high = interval((even - 0.5).sum(axis=1) * 12**0.5, 0.95)
    printed(high, "3.88")
    printed(-low, "3.88")


@pytest.mark.outside(
    "JCGM101", "9.2.4", "from memory", "95 % of a sum of rectangular values, one ten times as wide"
)
def test_interval_where_one_value_leads(printed):
    """The normal law would give 19.9; the rule of this library draws and does not assume it."""
    even = qmc.Sobol(4, seed=1).random_base2(17)
    printed(interval((even - 0.5) @ [1.0, 1.0, 1.0, 10.0] * 12**0.5, 0.95)[1], "17.0")


def names(pair):
    return pair.name if hasattr(pair, "name") else str(pair)


def exactly_known(model):
    """A drill or field whose every value is known to a billionth."""
    doubts = tuple(Doubt(one.path, 1e-9 * max(abs(one.value), 1e-3), "") for one in uncertain_inputs(model))
    return replace(model, doubts=doubts)


@pytest.mark.parametrize(("drill", "field"), PAIRS, ids=names)
def test_first_order_and_monte_carlo_give_intervals_of_one_width(drill, field):
    """The same 400 draws for both, so that what is left is what first order leaves out."""
    intervals = recommend(drill, field).intervals
    draws = standard_draws(len(intervals.chance.slopes.inputs))[0][:400]
    for anew, by_slopes in zip(intervals.monte_carlo(draws), intervals.first_order(draws), strict=True):
        widths = [np.subtract(*interval(drawn)[::-1]) for drawn in (by_slopes, anew)]
        assert widths[0] == pytest.approx(widths[1], rel=0.10)


@pytest.mark.parametrize(("drill", "field"), PAIRS, ids=names)
def test_what_is_known_exactly_has_no_width(drill, field):
    found = recommend(exactly_known(drill), exactly_known(field))
    for low, high in (found.interval, found.lift_interval, found.ceiling_interval):
        assert high - low < 20.0
    assert found.lift_interval[0] == pytest.approx(float(found.lift.lowest), abs=20.0)
    assert found.headroom_interval == pytest.approx((found.headroom,) * 2, abs=1e-4)
    for share, ends in (
        (found.shares.short, found.intervals.short_interval),
        (found.shares.packing, found.intervals.packing_interval),
    ):
        assert ends == pytest.approx((share, share), abs=2e-3)
    error = gauge_error(drill)
    # Only the gauge is left: an even error of plus or minus its class, 5 % of it beyond 90 % of the way.
    assert float(found.lift.lowest) - found.lift_with_chance == pytest.approx(0.9 * error, rel=0.02)


@pytest.mark.parametrize(("drill", "field"), PAIRS, ids=names)
def test_the_frame_load_of_a_case_is_that_of_the_opener_at_depth_or_not(drill, field):
    pressures = (0.0, 20e5, 150e5)
    opener, cylinder, soil = drill.opener, drill.cylinder, field.opener_soil
    balanced = [opener_loads(opener, cylinder, soil, 0.0, pressure) for pressure in pressures]
    case = Case(drill, field, None)
    assert [case.frame_load(pressure) for pressure in pressures] == pytest.approx(
        [float(loads.frame_load) for loads in balanced], rel=1e-12
    )
    assert balanced[-1].depth == soil.target_depth


def test_the_interval_of_the_lift_by_hand():
    """One uncertain input: the frame mass of a box drill. Lift is a straight line in it."""
    drill, field = exactly_known(BOX), exactly_known(FIRM)
    path, mass = ("sections", 0, "frame_mass"), BOX.sections[0].frame_mass
    doubts = tuple(one if one.path != path else Doubt(path, 0.04 * mass, "") for one in drill.doubts)
    found = recommend(replace(drill, doubts=doubts), field)
    lifts = [
        float(lift_pressure(changed(BOX, {path: mass * (1 + 0.04 * z)}), FIRM.opener_soil).lowest)
        for z in (-1.6449, 1.6449)
    ]
    assert found.lift_interval == pytest.approx(lifts, rel=3e-3)
    first, *rest = found.intervals.blame()
    assert first.lift_share > 0.99 and not rest
    assert first.lift_left[1] - first.lift_left[0] < 100.0


@pytest.mark.parametrize(("drill", "field"), PAIRS, ids=names)
def test_sure_is_the_chance_that_the_number_as_dialled_lies_below_the_lift(drill, field):
    found = recommend(drill, field)
    dialled = found.to_set(unit_system(drill.units))
    draws, gauge = found.chance.draws
    lifts = lowest_lift(found.lift.pressure, found.chance.slopes.lift, draws)
    assert found.sure == np.mean(dialled + gauge_error(drill) * gauge < lifts)
    assert found.sure >= 0.949
    assert found.chance.sure(float(found.lift.lowest)) < 0.6
    assert found.chance.sure(0.0) == 1.0


@pytest.mark.parametrize(("drill", "field"), PAIRS, ids=names)
def test_setting_and_lift_are_drawn_together(drill, field):
    """Apart, a high setting would meet a low lift; together none passes its own ceiling."""
    found = recommend(drill, field)
    draws = found.chance.draws[0]
    settings, lifts = found.intervals._settings(draws), found.chance.lifts
    assert (settings <= np.maximum(lifts, found.floor.gauge_pressure) + 1e-6).all()
    assert found.interval[0] <= found.setting <= found.interval[1]
    assert found.ceiling_interval[0] <= found.ceiling <= found.ceiling_interval[1]
    assert found.lift_interval[0] <= float(found.lift.lowest) <= found.lift_interval[1] * 1.001


def test_each_pressure_of_the_rule_moves_as_its_slope_says():
    found = recommend(AIR, FIRM)
    inputs, rule = found.chance.slopes.inputs, found.intervals.rule
    place = next(i for i, one in enumerate(inputs) if one.path == ("soil", "reaction"))
    one = inputs[place]
    moved = found.case.moved(AIR, changed(FIRM, {one.path: one.value + one.uncertainty}))
    assert rule[place, 0] == pytest.approx(moved.rule_pressures[0] - found.needed, rel=0.02)
    assert rule[place, 2] == pytest.approx(moved.rule_pressures[2] - found.needed_for_share, rel=0.1)
    assert rule[place, 4] > 0.01 and rule[place, 5] < 0
    frame_only = next(i for i, one in enumerate(inputs) if one.path[:1] == ("sections",))
    assert not rule[frame_only].any()


def test_a_value_with_its_own_uncertainty_in_the_file_narrows_the_answer():
    wide = recommend(AIR, FIRM)
    soil = Doubt(("soil", "reaction"), 5.0, "")
    narrow = recommend(AIR, replace(FIRM, doubts=(soil,)))
    assert np.subtract(*narrow.interval) > np.subtract(*wide.interval) + 1e5  # both are below zero
    assert narrow.setting == pytest.approx(wide.setting, abs=1e5)


@pytest.mark.parametrize(("drill", "field"), PAIRS, ids=names)
def test_blame_goes_from_the_widest_down_and_leaves_less(drill, field):
    found = recommend(drill, field)
    blame = found.intervals.blame()
    worst = [max(one.setting_share, one.lift_share) for one in blame]
    assert worst == sorted(worst, reverse=True) and len({one.words for one in blame}) == len(blame)
    assert sum(one.lift_share for one in blame) == pytest.approx(1.0, abs=0.1)
    for one in blame:
        assert one.how and one.words
        assert one.lift_left[1] - one.lift_left[0] <= np.subtract(*found.lift_interval[::-1]) * 1.02


def test_verdict_and_headroom_carry_intervals_that_hold_them():
    found = recommend(AIR, FIRM)
    for share, ends in (
        (found.shares.short, found.intervals.short_interval),
        (found.shares.packing, found.intervals.packing_interval),
        (found.headroom, found.headroom_interval),
    ):
        assert ends[0] <= share <= ends[1] and ends[1] - ends[0] > 0.02


def test_an_answer_close_by_keeps_the_slopes_and_comes_near():
    base = recommend(AIR, FIRM)
    harder = replace(FIRM, soil=replace(FIRM.soil, reaction=950.0))
    case = base.case.moved(AIR, harder)
    kept, anew = (recommend(AIR, harder, case.sample, like=like) for like in (base, None))
    assert kept.chance.slopes is base.chance.slopes and kept.intervals.rule is base.intervals.rule
    assert kept.setting == pytest.approx(anew.setting, abs=1e5)
    assert kept.interval == pytest.approx(anew.interval, abs=2e5)


def test_copies_are_lifted_as_each_alone_and_one_that_cannot_stand_at_once():
    stays = replace(AIR, height_taken_at=EACH_SETTING)
    heavier = replace(stays, opener=replace(AIR.opener, closing_load=300.0))
    shifted = replace(stays, wheels=(replace(AIR.wheels[0], y=-4.8), *AIR.wheels[1:]))
    soils = [FIRM.opener_soil, HARD.opener_soil, SOFT.opener_soil]
    pressure, frame_load = lift_of_copies([stays, heavier, shifted], soils)
    for row, (drill, soil) in enumerate(zip((stays, heavier, shifted), soils, strict=True)):
        alone = lift_pressure(drill, soil)
        assert pressure[row] == pytest.approx(alone.pressure, rel=1e-9)
        assert frame_load[row] == pytest.approx(alone.frame_load, rel=1e-9)
    far = replace(AIR.sections[0], frame_centre=(5.6, -12.0, 0.9))
    fallen = replace(AIR, sections=(far, *AIR.sections[1:]))
    assert lift_of_copies([AIR, fallen], soils[:2])[0][1].min() == 0.0


def test_the_rule_takes_whole_draws():
    lots = the_rule(
        10.0, np.array([50.0, 90.0]), np.array([60.0, 60.0]), 70.0, np.inf, np.array([80.0, 65.0])
    )
    assert lots.tolist() == [50.0, 65.0]
    assert METRIC.show("pressure", interval(np.linspace(0.0, 100e5, 1001))[0]) == "5 bar"


def test_along_the_first_section_the_draws_are_quantiles_and_still_standard():
    """Ends of the lift of one section are those of the normal curve: 1.645 of its standard deviation off."""
    found = recommend(BOX, FIRM)
    draws, _ = found.chance.draws
    assert draws.mean(axis=0) == pytest.approx(np.zeros(draws.shape[1]), abs=0.01)
    assert draws.std(axis=0) == pytest.approx(np.ones(draws.shape[1]), abs=0.05)
    deviation = np.linalg.norm(found.chance.slopes.lift[:, 0])
    low, high = found.lift_interval
    assert high - low == pytest.approx(2 * 1.6449 * deviation, rel=2e-3)
    assert found.lift_with_chance <= low
