"""Where each actuator ends its stroke, to the millimetre, and what it gives there."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.actuators import Actuator, ClosedLineCylinder, GasSpring, HeldPressure
from downforce.machine.shipped import example_drill, example_field
from downforce.study.frame_lift import lift_pressure

DRILL = example_drill("air_drill_12m")
CYLINDER, SPRING, OPENER = DRILL.cylinder, DRILL.spring, DRILL.opener
STRUT = GasSpring(CYLINDER.mount, 6000.0, 0.46, 0.15, rod_area=3e-4, gas_volume=2e-4)
CLOSED = ClosedLineCylinder(CYLINDER.mount, CYLINDER, 60e5, 0.39, gas_volume=1e-4)
MM = 1e-3
FIRM = example_field("firm").opener_soil


@pytest.mark.parametrize("actuator", [CYLINDER, CLOSED], ids=["held pressure", "closed line"])
def test_a_cylinder_works_between_closed_and_open(actuator):
    """Closed 315 mm, stroke 150 mm: it works from 316 to 464 mm."""
    regimes = actuator.regime(np.array([314, 315, 316, 464, 465, 466]) * MM)
    assert list(regimes) == ["bottomed", "bottomed", "working", "working", "fully out", "fully out"]


def test_a_gas_strut_works_over_its_stroke():
    """Extended 460 mm, stroke 150 mm: it works from 311 to 459 mm."""
    regimes = STRUT.regime(np.array([309, 310, 311, 459, 460, 461]) * MM)
    assert list(regimes) == ["bottomed", "bottomed", "working", "working", "fully out", "fully out"]


def test_every_actuator_answers_what_is_asked_of_one():
    assert all(isinstance(each, Actuator) for each in (CYLINDER, CLOSED, STRUT, SPRING))
    held = [isinstance(each, HeldPressure) for each in (CYLINDER, CLOSED, STRUT, SPRING)]
    assert held == [True, False, False, False]


def test_nothing_pushes_beyond_its_own_end():
    lengths = np.array([464, 465, 466]) * MM
    assert list(CYLINDER.axial_force(lengths, 60e5) > 0) == [True, True, False]
    assert list(STRUT.axial_force(np.array([459, 460, 461]) * MM) > 0) == [True, True, False]


def test_a_strut_does_not_gain_beyond_the_bottom():
    forces = STRUT.axial_force(np.array([320, 310, 300]) * MM)
    assert forces[0] < forces[1] == forces[2]


def test_a_spring_is_slack_working_and_bound_by_its_own_lengths():
    """Coils 300 mm free and 150 mm closed, 60 mm of fittings: pins 360 and 210 mm apart."""
    regimes = SPRING.regime(np.array([361, 360, 359, 211, 210, 209]) * MM)
    assert list(regimes) == ["slack", "slack", "working", "working", "coil-bind", "coil-bind"]
    turned = replace(SPRING, setting=20 * MM).regime(np.array([379, 381, 229, 231]) * MM)
    assert list(turned) == ["working", "slack", "coil-bind", "working"]


def test_the_travel_for_a_length_is_found_to_the_micrometre():
    for actuator, length in ((CYLINDER, 0.38), (SPRING, 0.27), (STRUT, 0.40)):
        travel = actuator.travel_where_length_is(OPENER, length)
        assert float(actuator.length(OPENER, travel)) == pytest.approx(length, abs=1e-6)
    assert np.isnan(CYLINDER.travel_where_length_is(OPENER, 0.9))


def test_stops_are_the_tighter_of_opener_and_actuator():
    assert CYLINDER.travel_stops(OPENER) == (-0.18, 0.13)
    short = replace(CYLINDER, closed_length=0.38, stroke=0.02)
    low, high = short.travel_stops(OPENER)
    assert float(short.length(OPENER, low)) == pytest.approx(0.40, abs=1e-6)
    assert float(short.length(OPENER, high)) == pytest.approx(0.38, abs=1e-6)
    strut = replace(STRUT, open_length=0.40, stroke=0.02)
    low, high = strut.travel_stops(OPENER)
    assert float(strut.length(OPENER, low)) == pytest.approx(0.40, abs=1e-6)
    assert float(strut.length(OPENER, high)) == pytest.approx(0.38, abs=1e-6)


def test_a_double_acting_cylinder_pushes_by_its_bore_less_what_stands_behind():
    """50 bar on 38.1 mm, 10 bar on the ring round a 20 mm rod: 5700.5 - 825.9 = 4874.5 N; to the tank all."""
    both = replace(CYLINDER, kind="double-acting", back_pressure=10e5)
    assert float(both.push(50e5)) == pytest.approx(4874.5, abs=0.05)
    assert float(replace(both, back_pressure=0.0).push(50e5)) == float(CYLINDER.push(50e5))
    assert float(both.pressure_for_push(both.push(50e5))) == pytest.approx(50e5, rel=1e-12)
    assert both.swept_volume(0.1) == CYLINDER.swept_volume(0.1)


def test_a_back_pressure_raises_the_setting_by_its_ring_over_the_bore():
    """10 bar x (1 - (20 / 38.1)^2) = 7.24 bar more on the gauge for the same down force, by hand."""
    both = DRILL.with_cylinder(kind="double-acting", back_pressure=10e5)
    more = both.cylinder.pressure_for(OPENER, 800.0) - CYLINDER.pressure_for(OPENER, 800.0)
    assert float(more) == pytest.approx(7.24e5, abs=0.005e5)
    risen = lift_pressure(both, FIRM).pressure - lift_pressure(DRILL, FIRM).pressure
    assert risen == pytest.approx(7.24e5, abs=0.005e5)


def test_area_follows_the_kind_of_cylinder():
    """38.1 mm bore: 11.40 cm2; a 25.4 mm plunger in a 32 mm tube: 5.07 cm2, by hand."""
    assert CYLINDER.area * 1e4 == pytest.approx(11.40, abs=0.005)
    assert example_drill("double_disc_9m").cylinder.area * 1e4 == pytest.approx(5.07, abs=0.005)
