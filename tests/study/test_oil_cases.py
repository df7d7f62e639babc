"""Three drills on one terrace, cold and warm: the figures of the comparison belong together."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.study.frame_lift import lift_pressure
from downforce.study.oil.cases import (
    CASE_SPACING,
    COMPARED,
    DUTY_ANGLE,
    SHARE,
    crossing_case,
    terrace_crossing,
    usual_pressure,
    way_case,
    way_trials,
)
from downforce.study.oil.figures import section_exchange
from downforce.study.pressure_setting import recommend
from first_round import example_drill, example_field

DRILLS = [example_drill(key) for key in ("air_drill_12m", "box_drill_15ft", "double_disc_9m")]
FIRM = example_field("firm")


def with_endless_supply(drill):
    parts = drill.hydraulics
    supply, hose = replace(parts.supply, flow=1.0), replace(parts.inlet_hose, bore=0.5)
    return replace(drill, hydraulics=replace(parts, supply=supply, inlet_hose=hose))


def test_usual_pressure_is_the_recommended_setting_and_not_below_the_wanted_load():
    """59.9 bar for 220 N at 900 N of soil reaction, the teaching drill's own check figure (calculated)."""
    found = recommend(DRILLS[0], FIRM)
    assert found.needed / 1e5 == pytest.approx(59.9, abs=0.05)
    assert usual_pressure(DRILLS[0], FIRM) == found.setting > found.needed


@pytest.mark.parametrize("degrees", [45, 90])
def test_warm_oil_keeps_the_load_at_least_as_well_as_cold_oil_on_every_drill(degrees):
    for drill in DRILLS:
        crossing = terrace_crossing(drill, FIRM, np.radians(degrees))
        cases = [crossing_case(drill, FIRM, kelvin, crossing) for kelvin in COMPARED]
        assert [case.kept for case in cases] == sorted(case.kept for case in cases)
        assert [case.highest for case in cases] == sorted((c.highest for c in cases), reverse=True)
        # Flow is made by the ground: no temperature changes it.
        assert len({case.state.supply_share for case in cases}) == 1


def test_what_is_kept_for_the_tables_is_the_crossing_at_the_angle_on_which_circuits_are_judged():
    drill = DRILLS[2]
    crossing = terrace_crossing(drill, FIRM, np.radians(DUTY_ANGLE), CASE_SPACING)
    case, trials = way_case(drill, FIRM, 293.15), way_trials(drill, FIRM, 293.15)
    assert case is way_case(drill, FIRM, 293.15) and trials is way_trials(drill, FIRM, 293.15)
    assert np.array_equal(case.crossing.travel, crossing.travel)
    assert np.array_equal(trials.duty.travel, crossing.travel)
    assert trials.duty.gauge_pressure == case.setting == usual_pressure(drill, FIRM)
    # Its supply is enough and its relief stays shut: both see the same pressures.
    assert trials.pressure(trials.judged()) == pytest.approx(case.state.gauge_pressure, rel=1e-9, abs=100.0)
    assert not np.array_equal(way_case(drill, FIRM, 293.15, 90).crossing.travel, crossing.travel)


def test_straight_over_nothing_is_exchanged_and_at_an_angle_much_is():
    for drill in (DRILLS[0], DRILLS[2]):
        straight, angled = (
            crossing_case(
                with_endless_supply(drill), FIRM, 293.15, terrace_crossing(drill, FIRM, np.radians(a))
            )
            for a in (90, 45)
        )
        assert straight.exchanged.max() < 1e-6
        assert angled.exchanged.max() > 1e-4
        assert angled.state.supply_share < straight.state.supply_share


def test_slower_work_asks_for_less_flow_in_proportion():
    fast, slow = (crossing_case(DRILLS[2], FIRM, 293.15, speed=speed) for speed in (2.0, 1.0))
    assert fast.state.asked == pytest.approx(2 * slow.state.asked, rel=1e-9, abs=1e-15)
    assert fast.missing > slow.missing


@pytest.mark.parametrize("degrees", [45, 90])
def test_rows_recover_later_in_cold_oil_and_at_once_when_the_terrace_is_over(degrees):
    for drill in DRILLS:
        crossing = terrace_crossing(drill, FIRM, np.radians(degrees))
        cases = [crossing_case(drill, FIRM, kelvin, crossing) for kelvin in COMPARED]
        times = [case.state.recovery_time(SHARE) for case in cases]
        assert times == sorted(times, reverse=True) and times[0] > times[-1] >= 0
        assert [case.felt_after for case in cases] == [0, 0, 0]


def test_a_supply_that_is_behind_is_felt_after_the_terrace_for_as_long_as_it_owes_oil():
    supply = DRILLS[0].hydraulics.supply
    slow = replace(DRILLS[0].hydraulics, supply=replace(supply, flow=0.35 * supply.flow))
    # The rows fall to their stops and stay there: nothing they give back makes up what is owed.
    crossing = terrace_crossing(DRILLS[0], FIRM)
    down = np.linspace(0.0, -0.1, 20)[:, None]
    travel = np.concatenate([down, np.full((180, 1), -0.1)]) * np.ones(63)
    fallen = replace(crossing, travel=travel)
    case = crossing_case(replace(DRILLS[0], hydraulics=slow), FIRM, 323.15, fallen)
    step = case.state.time[1]
    moving = np.flatnonzero(np.any(case.state.ground_flow != 0, axis=1))[-1]
    owed = case.state.void[moving] / case.state.supply_flow
    assert owed > 5 * step
    # Within a fifth of the load is a little before all is made up, the hoses' own oil among it.
    assert 0.9 * owed < case.felt_after < owed


def test_down_force_of_a_case_is_zero_where_it_starves_and_the_setting_where_it_rests():
    case = crossing_case(DRILLS[0], FIRM, 293.15)
    assert np.all(case.down_force[case.state.gauge_pressure == 0] == 0)
    resting = DRILLS[0].cylinder.down_force(DRILLS[0].opener, 0.0, case.setting)
    # At rest the valve holds anything in its band of 5 bar.
    assert np.all((case.down_force[0] > resting - 1) & (case.down_force[0] < resting + 5 * 19.1))


def test_level_ground_keeps_everything():
    crossing = terrace_crossing(DRILLS[0], FIRM)
    flat = type(crossing)(**{**vars(crossing), "travel": 0 * crossing.travel})
    case = crossing_case(DRILLS[0], FIRM, 273.15, flat)
    assert (case.kept, case.starved, case.missing) == (1.0, 0.0, 0.0)


@pytest.mark.parametrize(("celsius", "bar", "half"), [(0, 15, 0.5), (50, 0.8, 0.05)])
def test_exchange_by_hand_is_the_trades_exercise(celsius, bar, half):
    """20 openers, 100 mm in 2 s: 0.38 L, 11.4 L/min; 10 m of 12.7 mm: 15 and 0.8 bar (calculated)."""
    found = section_exchange(DRILLS[0], 273.15 + celsius, bore=0.0127)
    assert found.volume * 1e3 == pytest.approx(0.38, abs=0.005)
    assert found.flow * 6e4 == pytest.approx(11.4, abs=0.05)
    assert found.loss / 1e5 == pytest.approx(bar, abs=half)


def test_usual_pressure_stays_within_what_can_be_set_and_what_the_weight_holds():
    soft, hard = (
        replace(FIRM, soil=replace(FIRM.soil, reaction=reaction, spread=0.15 * reaction))
        for reaction in (60.0, 5000.0)
    )
    assert usual_pressure(DRILLS[0], soft) == pytest.approx(10e5)
    for drill in DRILLS:
        ceiling = recommend(drill, hard).ceiling
        assert usual_pressure(drill, hard) == ceiling < drill.hydraulics.valve.max_pressure
        assert ceiling < lift_pressure(drill, hard.opener_soil).lowest


def test_a_drill_with_weight_enough_is_held_by_its_parts():
    drill = DRILLS[0]
    heavy = replace(drill, sections=tuple(replace(s, frame_mass=20 * s.frame_mass) for s in drill.sections))
    hard = replace(FIRM, soil=replace(FIRM.soil, reaction=5000.0))
    assert usual_pressure(heavy, hard) == pytest.approx(120e5)


def test_where_the_weight_ends_below_the_lowest_setting_that_setting_stands():
    drill = DRILLS[0]
    valve = replace(drill.hydraulics.valve, min_pressure=95e5)
    stiff = replace(drill, hydraulics=replace(drill.hydraulics, valve=valve))
    assert recommend(stiff, FIRM).ceiling < 95e5
    assert usual_pressure(stiff, FIRM) == 95e5
