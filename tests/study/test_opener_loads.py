"""Loads of one opener: the teaching opener's figures, limits, and what each actuator does."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from downforce.machine.actuators import ClosedLineCylinder, Coil, GasSpring
from downforce.machine.field import Soil
from downforce.study.opener_loads import opener_loads
from first_round import example_drill, example_field

DRILL = example_drill("air_drill_12m")
OPENER, SPRING, CYLINDER = DRILL.opener, DRILL.spring, DRILL.cylinder
TRAVEL = np.linspace(-0.18, 0.13, 32)


def test_teaching_opener_at_60_bar():
    """By hand: 222.6 N on the gauge wheel and 472.6 N from the frame at 900 N of soil reaction."""
    loads = opener_loads(OPENER, CYLINDER, Soil(900.0), 0.0, 60e5)
    assert loads.gauge_wheel_load == pytest.approx(222.6, abs=0.05)
    assert loads.frame_load == pytest.approx(472.6, abs=0.05)
    assert loads.down_force == pytest.approx(1140, abs=0.5)
    assert loads.cylinder_force == pytest.approx(6840, abs=5)
    assert loads.regime == "at depth" and loads.actuator_regime == "working"


def test_teaching_opener_in_a_wheel_track_runs_shallow():
    """By hand 28.1 mm of 40; the exact arm rises 12 mm and loses a little of the draft's lever."""
    loads = opener_loads(OPENER, CYLINDER, Soil(1500.0), 0.0, 60e5)
    assert loads.regime == "not at depth"
    assert loads.depth == pytest.approx(0.028, abs=0.0005)
    assert loads.gauge_wheel_load == 0.0


def test_a_field_s_soil_serves_as_the_soil_of_one_opener_at_the_field_s_depth():
    """Reaction found at 40 mm, seed at 35 mm: by hand 7/8 of it to the power of the field."""
    field = example_field("dry_hard_tracks")
    assert field.soil.target_reaction == pytest.approx(field.soil.reaction * 0.875**field.soil.exponent)
    loads = opener_loads(OPENER, CYLINDER, field.soil, 0.0, 90e5)
    assert (
        loads.gauge_wheel_load
        == opener_loads(OPENER, CYLINDER, field.opener_soil, 0.0, 90e5).gauge_wheel_load
    )
    assert loads.gauge_wheel_load > 0
    deeper = replace(field, target_depth=0.04)
    assert deeper.soil.target_reaction == deeper.soil.reaction


@pytest.mark.parametrize(("reaction", "bar"), [(900, 59.9), (1200, 82.8), (1500, 105.6)])
def test_pressure_for_220_newtons(reaction, bar):
    def missing(pressure):
        return float(opener_loads(OPENER, CYLINDER, Soil(reaction), 0.0, pressure).gauge_wheel_load) - 220.0

    assert brentq(missing, 40e5, 130e5) / 1e5 == pytest.approx(bar, abs=0.05)


def test_parallel_opener_at_60_bar():
    """By hand: 3040 N x 0.35 + 500 - 700 - 150 - 420 tan 5 degrees = 677 N; draft takes 37 N."""
    drill = example_drill("double_disc_9m")
    moving = opener_loads(drill.opener, drill.cylinder, Soil(700.0), 0.0, 60e5)
    still = opener_loads(drill.opener, drill.cylinder, Soil(700.0, draft_ratio=0.0), 0.0, 60e5)
    assert moving.gauge_wheel_load == pytest.approx(677, abs=0.5)
    assert still.gauge_wheel_load - moving.gauge_wheel_load == pytest.approx(37, abs=0.5)


def test_a_standing_test_over_reads_on_a_trailing_arm():
    """By hand 628 N with the draft gone instead of 223 N."""
    still = opener_loads(OPENER, CYLINDER, Soil(900.0, draft_ratio=0.0), 0.0, 60e5)
    assert still.gauge_wheel_load == pytest.approx(628, abs=0.6)


def test_a_spring_halves_and_a_cylinder_does_not():
    """A coil spring compressed two inches gives about 500 lbf at the opener, half of it when half
    relaxed, and only the opener's weight when slack; a cylinder keeps its load but for leverage.
    Common practice, no source."""
    pound, inch = 4.4482216152605, 0.0254
    length = float(SPRING.length(OPENER, 0.0))
    rate = 500 * pound / float(SPRING.leverage(OPENER, 0.0)) / (2 * inch)
    coil = Coil(rate=rate, free_length=length - SPRING.fittings + 2 * inch, solid_length=0.08)
    spring = replace(SPRING, coils=(coil,))

    def where(compression):
        return brentq(
            lambda u: float(spring.length(OPENER, u)) - (length + 2 * inch - compression), -0.2, 0.1
        )

    travel = np.array([where(2 * inch), where(1 * inch), where(0.0) - 0.005])
    pushes = spring.down_force(OPENER, travel)
    assert pushes[0] == pytest.approx(500 * pound, rel=1e-9)
    assert pushes[1] == pytest.approx(250 * pound, rel=0.03)
    assert pushes[2] == 0.0
    held = CYLINDER.down_force(OPENER, travel, 60e5)
    assert np.ptp(held) / held.mean() < 0.04


def test_a_slack_spring_leaves_only_the_weight():
    slack = replace(SPRING, setting=-0.10)
    loads = opener_loads(OPENER, slack, Soil(300.0), 0.0)
    assert loads.actuator_regime == "slack" and loads.down_force == 0.0
    weight_alone = (900 * 0.55 - 250 * 1.05) / 0.60
    assert loads.soil_reaction * (1 + 0.6 * 0.75) == pytest.approx(weight_alone, rel=0.02)


def test_the_teaching_springs_lose_and_gain_as_the_brief_sum_says():
    """30 N/mm at 0.28 m lever, 75 mm compressed: 1050 N; constant lever gives 397 and 1703 N at -100 and
    +100 mm. The real lever changes over the swing, so the ends may differ by 3 %."""
    push = SPRING.down_force(OPENER, np.array([-0.1, 0.0, 0.1]))
    assert push[1] == pytest.approx(1050, abs=0.5)
    assert push[[0, 2]] == pytest.approx([397, 1703], rel=0.03)


def test_a_coil_bound_spring_is_the_upper_stop():
    tight = replace(SPRING, setting=0.025)
    loads = opener_loads(OPENER, tight, Soil(900.0), np.array([0.0, 0.13]))
    assert list(loads.regime) == ["at depth", "on the upper stop"]
    assert loads.actuator_regime[1] == "coil-bind"
    assert loads.travel[1] < 0.13


def test_a_bottomed_cylinder_is_the_upper_stop_and_one_fully_out_the_lower():
    short = replace(CYLINDER, closed_length=0.38, stroke=0.02)
    loads = opener_loads(OPENER, short, Soil(900.0), np.array([-0.15, 0.0, 0.12]), 60e5)
    assert list(loads.regime) == ["out of the ground", "at depth", "on the upper stop"]
    assert list(loads.actuator_regime) == ["fully out", "working", "bottomed"]


def test_friction_is_a_band_at_the_gauge_wheel():
    """4 bar on 1140 mm2 over one sixth: 76 N, by hand."""
    loads = opener_loads(OPENER, CYLINDER, Soil(900.0), 0.0, 60e5)
    assert loads.friction_band == pytest.approx(76.0, abs=0.05)
    assert opener_loads(OPENER, SPRING, Soil(900.0), 0.0).friction_band == 0.0


def test_rivals_meet_the_cylinder_where_they_were_charged_and_rise_as_they_are_pushed_in():
    length = float(CYLINDER.length(OPENER, 0.0))
    closed = ClosedLineCylinder(CYLINDER.mount, CYLINDER, 60e5, length, gas_volume=1e-4, exponent=1.2)
    gas = GasSpring(CYLINDER.mount, 6000.0, 0.46, 0.16, rod_area=3e-4, gas_volume=2e-4)
    held = opener_loads(OPENER, CYLINDER, Soil(900.0), TRAVEL, 60e5)
    charged = opener_loads(OPENER, closed, Soil(900.0), TRAVEL)
    strut = opener_loads(OPENER, gas, Soil(900.0), TRAVEL)
    middle = np.argmin(np.abs(TRAVEL))
    assert charged.down_force[middle] == pytest.approx(held.down_force[middle], rel=0.02)
    assert np.all(np.diff(charged.actuator_force) >= 0)
    assert np.all(np.diff(strut.actuator_force) >= 0)
    assert np.ptp(charged.down_force) > np.ptp(held.down_force)


def test_softer_gas_is_flatter():
    length = float(CYLINDER.length(OPENER, 0.0))
    small, large = (
        ClosedLineCylinder(CYLINDER.mount, CYLINDER, 60e5, length, gas_volume=v).axial_force(length - 0.02)
        for v in (5e-5, 5e-4)
    )
    at_rest = float(CYLINDER.axial_force(length, 60e5))
    assert at_rest < large < small


def test_arrays_of_soil_travel_and_pressure_are_broadcast():
    soil = Soil(np.array([[600.0], [1500.0]]))
    loads = opener_loads(OPENER, CYLINDER, soil, np.array([-0.05, 0.0, 0.05]), 60e5)
    assert loads.gauge_wheel_load.shape == loads.regime.shape == (2, 3)
    one = opener_loads(OPENER, CYLINDER, Soil(1500.0), 0.05, 60e5)
    assert loads.depth[1, 2] == pytest.approx(float(one.depth), rel=1e-9)


def test_a_cylinder_without_pressure_is_refused():
    with pytest.raises(ValueError, match="A cylinder needs a gauge pressure"):
        opener_loads(OPENER, CYLINDER, Soil(900.0), 0.0)


def test_a_negative_pressure_is_refused():
    with pytest.raises(ValueError, match="gauge_pressure must not be negative"):
        opener_loads(OPENER, CYLINDER, Soil(900.0), 0.0, -1e5)


def test_deeper_targets_ask_for_more():
    shallow = opener_loads(OPENER, CYLINDER, Soil(900.0, target_depth=0.03), 0.0, 60e5)
    deep = opener_loads(OPENER, CYLINDER, Soil(900.0, target_depth=0.05), 0.0, 60e5)
    assert shallow.soil_reaction == pytest.approx(675.0)
    assert deep.gauge_wheel_load < shallow.gauge_wheel_load
