"""Oil supply: check figures of the trade, conservation, symmetry, limits, starvation."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.machine.shipped import example_field
from downforce.physics.oil import viscosity_at
from downforce.physics.oil_loss import line_loss
from downforce.study.ground.crossing import TERRACE, cross_field
from downforce.study.oil.band import pass_with_oil
from downforce.study.oil.cases import LEAST_ANGLE, terrace_crossing
from downforce.study.oil.circuit import FEED_LENGTH, bearable, drill_with_hoses, rod_flow, void_volume
from downforce.study.oil.sizing import fastest_oil
from downforce.study.oil_supply import REGIMES, exchanged_flow, oil_state, pressed, section_flows
from first_round import with_first_circuit

D12 = with_first_circuit("air_drill_12m")
T2 = with_first_circuit("double_disc_9m")
FIRM = example_field("firm")
BORNE = bearable(D12, FIRM)
COLD, WARM = 273.15, 323.15
LITRES_A_MINUTE = 1e-3 / 60
SUPPLIED = D12.hydraulics.supply.flow


def endless(drill, flow=1.0, relief=1e10):
    parts = drill.hydraulics
    return replace(
        drill,
        hydraulics=replace(
            parts,
            supply=replace(parts.supply, flow=flow),
            inlet_hose=replace(parts.inlet_hose, bore=0.5),
            valve=replace(parts.valve, relief_pressure=relief),
        ),
    )


def without_valve_curve(drill):
    parts = drill.hydraulics
    return replace(drill, hydraulics=replace(parts, valve=replace(parts.valve, band=0.0, droop=0.0)))


def moving(drill, speeds, time=2.0, step=0.05):
    """Travel of openers that all keep their speed, through working height halfway."""
    at = np.arange(0.0, time + step / 2, step) - time / 2
    return at[:, None] * np.broadcast_to(speeds, (drill.row_count,)), step


def middle(state):
    return len(state.time) // 2


def wave(drill, height=0.03, length=3.0, stations=200, seed=3):
    phase = np.random.default_rng(seed).uniform(0, 6.28, drill.row_count)
    return height * np.sin(2 * np.pi * np.arange(stations)[:, None] * 0.1 / length + phase)


# --- the figures of the trade, all calculated for the teaching drill (common practice, no source) -


def test_a_wing_of_20_openers_that_moves_100_mm_in_2_s_exchanges_0_38_litres_at_11_4_litres_a_minute():
    travel, step = moving(D12, np.where(np.arange(63) < 20, -0.05, 0.0))
    flow = rod_flow(D12, travel, step)
    assert flow[20].sum() / LITRES_A_MINUTE == pytest.approx(11.4, abs=0.05)
    assert flow.sum(axis=1)[1:].sum() * step * 1e3 == pytest.approx(0.38, abs=0.005)
    assert np.all(flow[:, 20:] == 0)


@pytest.mark.parametrize(
    ("bore", "celsius", "bar", "half_digit"),
    [
        (9.5e-3, -10, 122, 0.5), (9.5e-3, 0, 48, 0.5), (9.5e-3, 20, 11, 0.5), (9.5e-3, 50, 2.5, 0.05),
        (12.7e-3, -10, 38, 0.5), (12.7e-3, 0, 15, 0.5), (12.7e-3, 20, 3.5, 0.05), (12.7e-3, 50, 0.8, 0.05),
        (19e-3, -10, 7.6, 0.05), (19e-3, 0, 3.0, 0.05), (19e-3, 20, 0.7, 0.05), (19e-3, 50, 0.15, 0.01),
    ],
)  # fmt: skip
def test_ten_metres_of_header_at_11_4_litres_a_minute_cost_what_the_trade_reckons(
    bore, celsius, bar, half_digit
):
    oil = D12.hydraulics.oil
    viscosity = viscosity_at(273.15 + celsius, oil.viscosity_40, oil.viscosity_100)
    loss = line_loss(11.4 * LITRES_A_MINUTE, bore, 10.0, 870.0, viscosity)
    assert loss / 1e5 == pytest.approx(bar, abs=half_digit)


@pytest.mark.parametrize(("celsius", "bar"), [(0, 9.6), (50, 0.5)])
def test_a_drop_of_a_quarter_inch_and_2_m_at_2_3_litres_a_minute(celsius, bar):
    oil = D12.hydraulics.oil
    viscosity = viscosity_at(273.15 + celsius, oil.viscosity_40, oil.viscosity_100)
    loss = line_loss(2.3 * LITRES_A_MINUTE, 6.35e-3, 2.0, 870.0, viscosity)
    assert loss / 1e5 == pytest.approx(bar, abs=0.05)


# --- flow --------------------------------------------------------------------------------


@given(speed=st.floats(-0.3, 0.3), row=st.integers(0, 62))
@settings(deadline=None, max_examples=25)
def test_flow_is_area_times_leverage_times_speed_into_a_falling_row(speed, row):
    travel, step = moving(D12, np.where(np.arange(63) == row, speed, 0.0), time=0.4, step=0.01)
    flow = rod_flow(D12, travel, step)
    leverage = float(D12.cylinder.leverage(D12.opener, 0.0))
    assert flow[20, row] == pytest.approx(-D12.cylinder.area * leverage * speed, rel=2e-4, abs=1e-12)


def test_oil_in_equals_the_change_of_the_cylinders_volume():
    travel = wave(D12)
    flow = rod_flow(D12, travel, 0.04)
    # The trapezium of central differences: whole steps inside, half steps at the ends.
    moved = (flow[1:-1].sum(axis=0) + 0.5 * (flow[0] + flow[-1])) * 0.04
    length = D12.cylinder.length(D12.opener, travel[[0, 1, -2, -1]])
    ends = (length[3] + length[2] - length[1] - length[0]) / 2 + 0.5 * (
        (length[1] - length[0]) + (length[3] - length[2])
    )
    assert moved == pytest.approx(D12.cylinder.area * ends, abs=1e-10)


def test_an_opener_on_its_stop_moves_no_oil():
    travel = np.linspace(0.2, 0.4, 20)[:, None] * np.ones(63)
    assert np.all(rod_flow(D12, travel, 0.1) == 0)
    assert np.all(rod_flow(D12, -travel, 0.1) == 0)


def test_missing_oil_grows_above_the_supply_and_is_made_up_below_it():
    given_ = np.array([1.0, 3.0, 3.0, 1.0, 1.0, 0.0, 0.0]) * 1e-3
    void = void_volume(given_, np.zeros(7), 2e-3, 1.0)
    assert void * 1e3 == pytest.approx([0, 1, 2, 1, 0, 0, 0])


def test_oil_that_comes_back_closes_voids_first():
    given_ = np.array([3.0, 0.0, 0.0]) * 1e-3
    taken = np.array([0.0, 0.4, 0.0]) * 1e-3
    assert void_volume(given_, taken, 0.1e-3, 1.0) * 1e3 == pytest.approx([2.9, 2.4, 2.3])


# --- conservation and limits ----------------------------------------------------------------------


@pytest.mark.parametrize("divide", ["one header", "sections", "ranks"])
@pytest.mark.parametrize("valves", [1, 3])
def test_what_the_valves_give_is_what_the_cylinders_take_at_every_station(divide, valves):
    drill = drill_with_hoses(D12, valves=valves)
    state = oil_state(drill, wave(drill), 0.1, 2.5, 60e5, COLD, divide)
    net = state.flow.sum(axis=1)
    assert state.valve_flow.sum(axis=1) == pytest.approx(net, abs=1e-12)
    assert state.given - state.taken == pytest.approx(net, abs=1e-12)
    assert section_flows(drill, state).sum(axis=1) == pytest.approx(net, abs=1e-15)


def test_without_motion_every_cylinder_is_at_the_valve_within_its_band():
    for divide in ("one header", "sections", "ranks"):
        state = oil_state(D12, np.zeros((5, 63)), 0.1, 2.5, 60e5, COLD, divide)
        assert np.all(state.gauge_pressure >= 60e5 - 1)
        assert np.all(state.gauge_pressure <= 65e5 + 1)
        assert np.all(state.regime_names == "held")
        assert [line.velocity for line in fastest_oil(D12, state, COLD, BORNE)] == [0, 0]
    assert np.all(pressed(D12, state.gauge_pressure, np.zeros((5, 63))) < 65e5 * D12.cylinder.area)


def test_pressure_of_one_moving_row_is_the_valve_less_its_hoses():
    """One row falls beside the valve: feed hose, drop, tee and elbow, added up by hand."""
    drill = without_valve_curve(D12)
    travel, step = moving(drill, np.where(np.arange(63) == 31, -0.2, 0.0), time=0.4, step=0.01)
    state = oil_state(drill, travel, step * 2.5, 2.5, 60e5, COLD)
    flow = state.flow[middle(state), 31]
    oil = drill.hydraulics.oil
    fluid = 870.0 / (1 - 7e-4 * 15), viscosity_at(COLD, oil.viscosity_40, oil.viscosity_100)
    drop = line_loss(flow, 0.0063, 1.6, *fluid, 0.0, 1.1 * (1 + 25.4 / 6.3), 0.0, 1300)
    feed = line_loss(flow, 0.0125, FEED_LENGTH, *fluid)
    lost = 60e5 - state.gauge_pressure[middle(state), 31]
    assert lost == pytest.approx(float(drop + feed), rel=1e-3)
    assert lost > 8e5


def test_losses_in_laminar_oil_grow_with_the_speed():
    drill = endless(without_valve_curve(D12))
    states = [oil_state(drill, wave(drill, 0.01), 0.1, speed, 60e5, COLD) for speed in (1.0, 2.0)]
    first, second = (60e5 - state.gauge_pressure for state in states)
    # What is left over is the turbulent part of the fittings and the least slope of the valve.
    assert second == pytest.approx(2 * first, rel=5e-3, abs=2e3)


def test_losses_in_laminar_oil_grow_with_the_viscosity():
    drill = endless(without_valve_curve(D12))
    oil = drill.hydraulics.oil
    cold, cool = (oil_state(drill, wave(drill, 0.01), 0.1, 1.0, 60e5, k) for k in (COLD, COLD + 10))
    thin, thick = (viscosity_at(k, oil.viscosity_40, oil.viscosity_100) for k in (COLD + 10, COLD))
    ratio = (thick / thin) * (1 + 7e-4 * -5) / (1 + 7e-4 * -15)
    assert 60e5 - cold.gauge_pressure == pytest.approx(
        (60e5 - cool.gauge_pressure) * ratio, rel=1e-2, abs=3e3
    )


def test_wider_hoses_never_keep_the_pressure_worse():
    drill = endless(D12)
    travel = wave(drill)
    for name in ("header_bore", "drop_bore"):
        errors = [
            oil_state(drill_with_hoses(drill, **{name: bore}), travel, 0.1, 2.5, 60e5, COLD).largest_error
            for bore in (0.0063, 0.008, 0.01, 0.0125, 0.016, 0.019)
        ]
        assert np.all(np.diff(errors) < 0)


def test_colder_oil_keeps_it_worse():
    errors = [
        oil_state(endless(D12), wave(D12), 0.1, 2.5, 60e5, 273.15 + t).largest_error for t in (50, 20, 0)
    ]
    assert errors[0] < errors[1] < errors[2]


@pytest.mark.parametrize("valves", [1, 2, 3])
def test_a_mirrored_drill_gives_mirrored_pressures(valves):
    drill = drill_with_hoses(D12, valves=valves)
    travel = wave(drill)
    one = oil_state(drill, travel, 0.1, 2.5, 60e5, COLD)
    other = oil_state(drill, travel[:, ::-1], 0.1, 2.5, 60e5, COLD)
    assert other.gauge_pressure[:, ::-1] == pytest.approx(one.gauge_pressure, rel=1e-7, abs=10)


@pytest.mark.parametrize("falling", ["left wing", "right wing"])
def test_falling_rows_get_too_little_and_rising_rows_too_much(falling):
    sign = -1 if falling == "left wing" else 1
    travel, step = moving(D12, sign * 0.05 * np.sign(D12.row_y))
    state = oil_state(D12, -travel, step * 2.5, 2.5, 60e5, COLD)
    error = state.error[middle(state)]
    rising = np.sign(D12.row_y) == -sign
    assert np.all(error[rising] > 0) and np.all(error[np.sign(D12.row_y) == sign] < 0)
    assert error[[0, -1]] == pytest.approx([error[0], -error[0]], rel=0.2)
    flows = section_flows(D12, state)
    # What one wing gives the other takes; the valve hardly notices.
    assert exchanged_flow(flows)[middle(state)] == pytest.approx(np.abs(flows[middle(state), 0]), rel=1e-3)
    assert state.given[middle(state)] < 1e-3 * SUPPLIED


def test_down_force_is_that_of_the_cylinder_at_its_own_pressure_and_travel():
    state = oil_state(D12, wave(D12), 0.1, 2.5, 60e5, COLD)
    found = pressed(D12, state.gauge_pressure, wave(D12))
    assert found == pytest.approx(
        D12.cylinder.down_force(D12.opener, wave(D12), state.gauge_pressure), abs=0.05
    )
    # 19.0 N at the disc for each bar on the teaching drill, trade's own figure.
    at_work = pressed(D12, state.gauge_pressure, np.zeros_like(wave(D12)))
    assert at_work == pytest.approx(state.gauge_pressure / 1e5 * 19.0, rel=3e-3)


# --- starvation, trapped oil, relief --------------------------------------------------------------


def test_a_supply_that_is_too_small_starves_the_rows_and_the_weight_still_acts():
    travel, step = moving(D12, -0.15, time=1.0)
    state = oil_state(D12, travel, step * 2.5, 2.5, 60e5, WARM)
    assert state.supply_share > 1
    # Rows beside the valve get all there is and keep next to nothing of the pressure.
    assert np.mean(state.gauge_pressure[middle(state)] == 0) > 0.7
    assert state.gauge_pressure[middle(state)].max() < 2e5
    assert np.all((state.regime_names == "starved") == (state.gauge_pressure == 0))
    assert np.all(state.header_pressure >= 0)
    enough = oil_state(endless(D12), travel, step * 2.5, 2.5, 60e5, WARM)
    assert "starved" not in enough.regime_names
    assert np.all(enough.void == 0)


def test_starved_rows_give_back_no_pressure_until_their_voids_are_closed():
    down = np.linspace(0.0, -0.15, 21)
    rest = np.full(60, -0.15)
    travel = np.concatenate([down, rest])[:, None] * np.ones(63)
    state = oil_state(D12, travel, 0.125, 2.5, 60e5, WARM)
    missing = state.void.max()
    assert missing > 1e-4
    wait = missing / SUPPLIED
    assert state.recovery_time(0.1, after=20 * 0.05) == pytest.approx(wait, abs=0.11)
    assert state.gauge_pressure[-1] == pytest.approx(60e5, abs=6e5)
    never = oil_state(D12, travel[:25], 0.125, 2.5, 60e5, WARM)
    assert never.recovery_time(0.1, after=1.0) == float("inf")


def test_recovery_is_at_once_where_nothing_was_out():
    state = oil_state(D12, np.zeros((9, 63)), 0.1, 2.5, 60e5, WARM)
    assert state.recovery_time(0.1) == 0.0


def trace(*shares, step=0.5):
    """State with the error of each row written by hand, one station each half second."""
    still = oil_state(D12, np.zeros((len(shares), 63)), 0.1, 2.5, 60e5, WARM)
    pressure = np.full((len(shares), 63), 60e5)
    pressure[:, 0], pressure[:, 1] = (60e5 * (1 + np.array(row)) for row in zip(*shares, strict=True))
    return replace(still, time=np.arange(len(shares)) * step, gauge_pressure=pressure)


def test_recovery_of_a_trace_by_hand_is_the_longest_that_one_row_is_off():
    off = trace((0, 0), (-1, 0), (-1, 0.3), (-0.3, 0.3), (0, 0), (0.3, 0), (0, 0))
    assert off.recovery_time(0.2) == 1.5  # the first row, three stations; its second bump is shorter
    assert off.recovery_time(0.5) == 1.0
    assert off.recovery_time(0.2, after=1.5) == 0.5
    assert off.recovery_time(0.2, after=2.6) == 0.0
    # A pressure that passes from too much to too little is not back on the way; half a second is.
    assert trace((0, 0), (0.3, 0), (0, 0), (-0.3, 0), (0, 0), step=0.25).recovery_time(0.2) == 0.75
    assert trace((0, 0), (0.3, 0), (0, 0), (0, 0), (-0.3, 0), (0, 0), step=0.25).recovery_time(0.2) == 0.25
    # Two rows that are off one after the other are not one row that is off for long.
    assert trace((0, 0), (0.3, 0), (0, 0.3), (0, 0)).recovery_time(0.2) == 0.5
    assert trace((0, 0), (0.3, 0), (0, 0.3)).recovery_time(0.2) == float("inf")


def test_velocities_are_flow_over_area():
    travel, step = moving(D12, np.where(np.arange(63) == 40, -0.2, 0.0), time=0.4, step=0.01)
    state = oil_state(D12, travel, step * 2.5, 2.5, 60e5, WARM)
    flow = state.flow.max()
    header, drop = fastest_oil(D12, state, WARM, BORNE)
    assert drop.velocity == pytest.approx(flow / (np.pi / 4 * 0.0063**2), rel=1e-9)
    assert header.velocity == pytest.approx(flow / (np.pi / 4 * 0.0125**2), rel=1e-9)
    assert state.supply_share == pytest.approx(flow / SUPPLIED, rel=1e-9)


def test_recovery_time_is_that_of_one_cylinder_without_a_break():
    travel, step = moving(D12, np.where(np.arange(63) == 5, -0.2, 0.0), time=0.4, step=0.02)
    still = np.zeros((10, 63)) + travel[:1], np.zeros((10, 63)) + travel[-1:]
    state = oil_state(D12, np.concatenate([still[0], travel, still[1]]), step * 2.5, 2.5, 60e5, COLD)
    assert state.recovery_time(0.1) == pytest.approx(0.4, abs=0.05)
    assert state.recovery_time(5.0) == 0.0


def test_a_plain_valve_keeps_oil_shut_in_until_the_rows_fall_again():
    up = np.concatenate([np.zeros(5), np.linspace(0, 0.02, 6), np.full(9, 0.02), np.linspace(0.02, 0, 6)])
    state = oil_state(D12, up[:, None] * np.ones(63), 0.125, 2.5, 60e5, WARM, relieving=False)
    names = state.regime_names[:, 0]
    assert set(names[:4]) == {"held"}
    assert set(names[6:19]) == {"trapped"}
    assert names[22] != "trapped"


def test_other_circuits_that_take_back_are_not_starved():
    travel, step = moving(D12, np.where(D12.row_section == 0, -0.2, 0.1), time=1.0)
    state = oil_state(endless(D12, flow=5 * LITRES_A_MINUTE), travel, step * 2.5, 2.5, 60e5, WARM, "sections")
    regime = state.regime_names[middle(state)]
    assert np.all(regime[D12.row_section == 0] == "starved")
    assert np.all(regime[D12.row_section > 0] != "starved")
    assert np.all(state.gauge_pressure[middle(state)][D12.row_section > 0] > 60e5)


def test_a_plain_reducing_valve_traps_oil_until_the_relief_opens():
    travel, step = moving(D12, 0.02, time=1.0)
    plain = oil_state(D12, travel, step * 2.5, 2.5, 60e5, WARM, relieving=False)
    relieving = oil_state(D12, travel, step * 2.5, 2.5, 60e5, WARM)
    relief = D12.hydraulics.valve.relief_pressure
    assert np.all(plain.regime_names[middle(plain)] == "trapped")
    assert np.all(plain.gauge_pressure[middle(plain)] >= relief - 1)
    assert np.all(relieving.gauge_pressure[middle(relieving)] < 75e5)


def test_the_relief_valve_caps_the_valve_and_not_the_rows_far_away():
    travel, step = moving(D12, 0.3, time=0.6)
    relief = 80e5
    state = oil_state(endless(D12, relief=relief), travel, step * 2.5, 2.5, 60e5, COLD)
    pressure = state.gauge_pressure[middle(state)]
    assert pressure[0] > pressure[31] > relief
    free = oil_state(endless(D12), travel, step * 2.5, 2.5, 60e5, COLD)
    # 65 bar and 4 bar for each 40 L/min stand at the valve; the relief takes what is over its setting.
    over = 65e5 + 4e5 * (-free.valve_flow[middle(free), 0] / SUPPLIED - 0.01) - relief
    assert free.gauge_pressure[middle(free)] - pressure == pytest.approx(over, rel=1e-3)


def test_too_small_a_drop_in_the_cold_leaves_a_void():
    drill = endless(drill_with_hoses(D12, drop_bore=0.003))
    travel, step = moving(drill, np.where(np.arange(63) == 5, -0.2, 0.0), time=0.4, step=0.02)
    state = oil_state(drill, travel, step * 2.5, 2.5, 60e5, COLD)
    assert state.gauge_pressure[middle(state), 5] == 0
    assert state.regime_names[middle(state), 5] == "starved"
    assert state.regime_names[middle(state), 40] == "held"


def test_regimes_have_names():
    assert REGIMES == ("held", "low", "high", "starved", "trapped")


def test_impossible_input_is_refused_in_a_sentence():
    with pytest.raises(ValueError, match="one column for each of the 63 openers; got shape"):
        oil_state(D12, np.zeros((5, 62)), 0.1, 2.5, 60e5, COLD)
    with pytest.raises(ValueError, match="two stations or more"):
        oil_state(D12, np.zeros((1, 63)), 0.1, 2.5, 60e5, COLD)
    with pytest.raises(ValueError, match="speed"):
        oil_state(D12, np.zeros((5, 63)), 0.1, 0.0, 60e5, COLD)
    with pytest.raises(ValueError, match="kelvin"):
        oil_state(D12, np.zeros((5, 63)), 0.1, 2.5, 60e5, 20.0)


# --- the terrace and the pass ---------------------------------------------------------------------


def test_straight_over_a_terrace_rows_of_one_rank_move_together():
    crossing = terrace_crossing(D12, FIRM)
    assert crossing.crossing_angle == pytest.approx(np.pi / 2)
    for rank in (0, 1):
        rows = crossing.travel[:, D12.row_rank == rank]
        assert np.ptp(rows, axis=1).max() < 1e-6
    assert crossing.travel[0] == pytest.approx(0, abs=1e-9)
    assert crossing.travel[-1] == pytest.approx(0, abs=1e-9)


def test_the_terrace_has_its_height_and_its_top_where_station_0_is():
    crossing = terrace_crossing(D12, FIRM, station_spacing=0.02)
    front = int(np.flatnonzero(D12.row_rank == 0)[0])
    top = crossing.station[np.argmax(crossing.ground_height[:, front])]
    # The pin is ahead of the front rank; on falling land the most is added a little below the top.
    assert 0 < top - D12.rank_x[0] < 0.9
    assert 0.3 < crossing.ground_height.max() <= 0.46


def test_at_an_angle_one_wing_meets_the_terrace_before_the_other():
    crossing = terrace_crossing(D12, FIRM, np.pi / 4)
    first = [np.argmax(crossing.ground_height[:, row] > 0.2) for row in (0, 62)]
    # At 45 degrees the outer rows, 62 spacings apart, come as far one behind the other.
    assert abs(first[0] - first[1]) * 0.1 == pytest.approx(62 * 0.1905, abs=0.11)
    least = terrace_crossing(D12, FIRM, 0.0)
    assert least.crossing_angle == pytest.approx(LEAST_ANGLE)


def test_every_row_starts_and_ends_on_level_ground_at_any_angle():
    for degrees in (20, 30, 60, 90):
        crossing = terrace_crossing(D12, FIRM, np.radians(degrees))
        assert np.abs(crossing.travel[[0, -1]]).max() < 1e-9
        assert np.abs(crossing.ground_height[[0, -1]]).max() < 1e-9


def test_the_crossing_is_what_a_pass_over_the_same_terrace_meets():
    bare = replace(FIRM, relief=None)
    met = cross_field(D12, bare, 1, 500)
    crossing = terrace_crossing(D12, FIRM)
    # The first ridge of a field lies half a spacing from the start.
    at = np.interp(crossing.station + FIRM.terrace.spacing / 2, met.station, met.ground_travel[:, 5])
    stops = D12.cylinder.travel_stops(D12.opener)
    near = np.abs(crossing.station) < 12
    assert crossing.travel[near, 5] == pytest.approx(np.clip(at, *stops)[near], abs=1e-3)
    # On the slopes, away from the stops, a slip of 1 % of the height would show.
    assert np.count_nonzero(near & (crossing.ground_height[:, 5] > 0.2)) > 20


def test_a_field_without_a_terrace_is_lent_the_teaching_terrace():
    soft = example_field("moist_soft")
    crossing = terrace_crossing(D12, soft)
    lent = terrace_crossing(D12, replace(soft, terrace=TERRACE))
    assert np.array_equal(crossing.travel, lent.travel)


def test_the_pass_with_oil_is_the_pass_at_held_pressure_when_nothing_is_lost():
    drill = endless(drill_with_hoses(without_valve_curve(D12), 0.2, 0.2))
    found = pass_with_oil(drill, FIRM, 60e5, WARM, stations=150, compare=True)
    assert np.abs(found.loads.gauge_wheel_load - found.held.gauge_wheel_load).max() < 2.0
    assert found.loads.gauge_wheel_load.shape == (150, 63)


def test_the_oil_goes_into_the_loads():
    drill = replace(D12, height_taken_at="each setting")
    crossing = cross_field(drill, FIRM, 1, 400)
    found = pass_with_oil(drill, FIRM, 60e5, COLD, crossing=crossing, compare=True, motion=False)
    both = (found.loads.depth >= FIRM.target_depth) & (found.held.depth >= FIRM.target_depth)
    both &= (found.loads.gauge_wheel_load > 0) & (found.held.gauge_wheel_load > 0)
    travel = np.clip(crossing.ground_travel, *D12.cylinder.travel_stops(D12.opener))
    expected = pressed(D12, found.oil.gauge_pressure, travel) - pressed(D12, 60e5, travel)
    # At depth the gauge wheel beside the disc takes all of it.
    change = found.loads.gauge_wheel_load - found.held.gauge_wheel_load
    assert change[both] == pytest.approx(expected[both], rel=0.01, abs=1.0)
    assert np.count_nonzero(both) > 5000
    assert found.shares().spread > found.held.shares().spread


def test_a_starved_opener_still_has_its_weight():
    crossing = cross_field(D12, FIRM, 1, 400)
    dry = endless(D12, flow=1e-7, relief=140e5)
    found = pass_with_oil(dry, FIRM, 60e5, WARM, crossing=crossing, motion=False)
    starved = found.oil.regime_names == "starved"
    assert starved.mean() > 0.2
    quiet = (found.oil.gauge_pressure == 0) & (np.abs(crossing.acceleration) < 1.0)
    assert np.all(found.loads.down_force[quiet] == 0)
    assert found.loads.soil_reaction[quiet].mean() > 200


def test_the_fields_own_temperature_and_speed_are_used():
    crossing = cross_field(D12, FIRM, 1, 100)
    own = pass_with_oil(D12, FIRM, 60e5, crossing=crossing)
    said = pass_with_oil(D12, FIRM, 60e5, FIRM.oil_temperature, crossing=crossing)
    assert np.array_equal(own.oil.gauge_pressure, said.oil.gauge_pressure)
    assert own.oil.time[1] == pytest.approx(0.1 / FIRM.speed)
