"""Velocity of the oil at its fastest, and friction that is not known between Reynolds 2000 and 4000."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.shipped import example_field
from downforce.physics.oil import density_at, viscosity_at
from downforce.study.oil.cases import crossing_case, terrace_crossing
from downforce.study.oil.circuit import bearable
from downforce.study.oil.sizing import HEADER_LENGTH, fastest_oil, reached_stations
from first_round import with_first_circuit

D12, FIRM = with_first_circuit("air_drill_12m"), example_field("firm")
BORNE = bearable(D12, FIRM)


def state_at(degrees, kelvin, drill=D12):
    return crossing_case(drill, FIRM, kelvin, terrace_crossing(drill, FIRM, np.radians(degrees), 0.2)).state


def with_header_flow(litres_a_minute):
    """A calm state whose fullest piece of header carries what is written, station by station."""
    flow = np.array(litres_a_minute) * 1e-3 / 60
    state, none = state_at(45, 323.15), np.zeros(len(flow))
    calm = np.full((len(flow), 63), 60e5)
    return replace(state, header_flow=flow, flow=0 * calm, gauge_pressure=calm, given=none, void=none)


def test_velocity_reynolds_and_band_of_a_flow_by_hand():
    """30 L/min in 12.5 mm is 4.07 m/s; laminar 64/Re is the low end, drawn-on turbulence the high end."""
    header, _ = fastest_oil(D12, with_header_flow([0, 0, 0, 30]), 323.15, BORNE)
    oil = D12.hydraulics.oil
    viscosity = float(viscosity_at(323.15, oil.viscosity_40, oil.viscosity_100))
    density = float(density_at(323.15, oil.density))
    velocity = 30e-3 / 60 / (np.pi / 4 * 0.0125**2)
    assert header.velocity == pytest.approx(4.07, abs=0.005)
    assert header.reynolds == pytest.approx(velocity * 0.0125 / viscosity)
    assert 2000 > header.reynolds > 1600 and header.uncertain == 0 and np.isnan(header.low)
    header, _ = fastest_oil(D12, with_header_flow([0, 0, 40, 45]), 323.15, BORNE)
    assert header.uncertain == 0.5
    reynolds = 1.5 * velocity * 0.0125 / viscosity
    head = HEADER_LENGTH / 0.0125 * density * (1.5 * velocity) ** 2 / 2
    assert header.low == pytest.approx(64 / reynolds * head, rel=1e-9)
    turbulent = 8 / (2.457 * np.log((7 / reynolds) ** 0.9)) ** 2
    assert header.high == pytest.approx(turbulent * head, rel=1e-9)


def test_beyond_the_doubtful_numbers_friction_is_known_again():
    header, _ = fastest_oil(D12, with_header_flow([90, 90]), 323.15, BORNE)
    assert header.reynolds > 4000 and header.uncertain == 0


def test_the_ground_makes_the_velocity_and_the_oil_the_reynolds_number():
    drill = with_first_circuit("double_disc_9m")
    borne = bearable(drill, FIRM)
    mild, warm = (
        fastest_oil(drill, state_at(30, kelvin, drill), kelvin, borne) for kelvin in (303.15, 323.15)
    )
    assert [line.velocity for line in mild] == [line.velocity for line in warm]
    assert not any(line.more for line in (*mild, *warm))
    assert mild[0].reynolds < warm[0].reynolds / 2


@pytest.mark.parametrize("degrees", [45, 90])
def test_no_velocity_is_told_that_the_drill_does_not_bear_or_the_tractor_give(degrees):
    """38.6 m/s were asked of the header straight over: 154.8 L/min of a tractor that gives 40."""
    state = state_at(degrees, 293.15)
    header, drop = fastest_oil(D12, state, 293.15, BORNE)
    area = np.pi / 4 * 0.0125**2
    means = state.gauge_pressure.reshape(-1, 3, 21).mean(axis=2)
    calm = np.all(means <= BORNE.lift, axis=1) & (state.gauge_pressure.max(axis=1) <= 140e5)
    assert np.array_equal(calm, reached_stations(state, BORNE))
    fullest = np.abs(state.flow).max(axis=1)
    assert header.more and drop.more == (fullest.max() > fullest[calm].max())
    assert header.velocity == pytest.approx(state.header_flow[calm].max() / area)
    assert header.velocity < state.header_flow.max() / area


def test_a_wider_header_runs_slower_by_its_area():
    narrow, wide = with_header_flow([30, 45]), replace(with_header_flow([30, 45]), header_bore=0.025)
    slow, fast = (fastest_oil(D12, state, 323.15, BORNE)[0].velocity for state in (wide, narrow))
    assert slow == pytest.approx(fast / 4)


def test_where_nothing_is_reached_nothing_is_told():
    state = with_header_flow([30, 45])
    lifted = replace(state, gauge_pressure=state.gauge_pressure + 100e5)
    header, _ = fastest_oil(D12, lifted, 323.15, BORNE)
    assert header.velocity == header.reynolds == header.uncertain == 0.0 and header.more
