"""Velocity of the oil at its fastest, and friction that is not known between Reynolds 2000 and 4000."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.physics.oil import density_at, viscosity_at
from downforce.study.oil.cases import crossing_case
from downforce.study.oil.circuit import drill_with_hoses
from downforce.study.oil.fastest import HEADER_LENGTH, fastest_oil
from downforce.study.oil.terrace import terrace_crossing

D12, FIRM = example_drill("air_drill_12m"), example_field("firm")


def state_at(degrees, kelvin, drill=D12):
    return crossing_case(drill, FIRM, kelvin, terrace_crossing(drill, FIRM, np.radians(degrees), 0.2)).state


def with_header_flow(litres_a_minute):
    """A state whose fullest piece of header carries what is written, station by station."""
    state = state_at(45, 323.15)
    return replace(state, header_flow=np.array(litres_a_minute) * 1e-3 / 60)


def test_velocity_reynolds_and_band_of_a_flow_by_hand():
    """30 L/min in 12.5 mm is 4.07 m/s; laminar 64/Re is the low end, drawn-on turbulence the high end."""
    header, _ = fastest_oil(D12, with_header_flow([0, 0, 0, 30]), 323.15)
    oil = D12.hydraulics.oil
    viscosity = float(viscosity_at(323.15, oil.viscosity_40, oil.viscosity_100))
    density = float(density_at(323.15, oil.density))
    velocity = 30e-3 / 60 / (np.pi / 4 * 0.0125**2)
    assert header.velocity == pytest.approx(4.07, abs=0.005)
    assert header.reynolds == pytest.approx(velocity * 0.0125 / viscosity)
    assert 2000 > header.reynolds > 1600 and header.uncertain == 0 and np.isnan(header.low)
    header, _ = fastest_oil(D12, with_header_flow([0, 0, 40, 45]), 323.15)
    assert header.uncertain == 0.5
    reynolds = 1.5 * velocity * 0.0125 / viscosity
    head = HEADER_LENGTH / 0.0125 * density * (1.5 * velocity) ** 2 / 2
    assert header.low == pytest.approx(64 / reynolds * head, rel=1e-9)
    turbulent = 8 / (2.457 * np.log((7 / reynolds) ** 0.9)) ** 2
    assert header.high == pytest.approx(turbulent * head, rel=1e-9)


def test_beyond_the_doubtful_numbers_friction_is_known_again():
    header, _ = fastest_oil(D12, with_header_flow([90, 90]), 323.15)
    assert header.reynolds > 4000 and header.uncertain == 0


def test_the_ground_makes_the_velocity_and_the_oil_the_reynolds_number():
    cold, warm = (fastest_oil(D12, state_at(45, kelvin), kelvin) for kelvin in (273.15, 323.15))
    assert [line.velocity for line in cold] == [line.velocity for line in warm]
    assert cold[0].reynolds < warm[0].reynolds / 15
    assert cold[0].uncertain == 0 < warm[0].uncertain < 1
    assert 1.5 < warm[0].high / warm[0].low < 3


def test_straight_over_the_header_runs_at_six_times_the_rule_and_a_wider_one_slower_by_its_area():
    header, drop = fastest_oil(D12, state_at(90, 273.15), 273.15)
    assert header.velocity == pytest.approx(38.6, abs=0.05)
    assert drop.velocity == pytest.approx(5.4, abs=0.05)
    wide = drill_with_hoses(D12, header_bore=0.025)
    assert fastest_oil(wide, state_at(90, 273.15, wide), 273.15)[0].velocity == pytest.approx(
        header.velocity / 4
    )
