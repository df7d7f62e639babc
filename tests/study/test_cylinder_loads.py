"""What comes with a cylinder: sums by hand on the teaching opener, and laws that hold for any."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.machine.shipped import example_drill
from downforce.study.cylinders.loads import (
    down_force_by_lever,
    lift_torque,
    load_flatness,
    oil_need,
    pin_loads,
)

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
INCH, POUND, PSI = 0.0254, 4.4482216152605, 6894.757293168
LITRE = 1e-3


def test_exercise_with_a_tape_and_a_calculator():
    """Exercise by hand: 1.5 in bore, 900 psi, 4 in lever on a 24 in arm: 1.77 in2, 1590 lbf, 265 lbf."""
    area, force, down = down_force_by_lever(1.5 * INCH, 900 * PSI, 4 * INCH, 24 * INCH)
    assert area / INCH**2 == pytest.approx(1.77, abs=0.005)
    assert force / POUND == pytest.approx(1590, abs=5)
    assert down / POUND == pytest.approx(265, abs=0.5)


def test_teaching_opener_at_sixty_bar():
    """By hand: 1140 N at the disc, 19.0 N for each bar; flat over the travel but for the turn of the arm."""
    drill = example_drill("air_drill_12m")
    load = load_flatness(drill.opener, drill.cylinder, 60e5)
    assert load.at_work == pytest.approx(1140, abs=0.5)
    more = load_flatness(drill.opener, drill.cylinder, 61e5)
    assert more.at_work - load.at_work == pytest.approx(19.0, abs=0.05)
    # Seal friction of 2 bar and 3 % of 60 bar on 11.40 cm2 at a lever of 1 in 6.
    at_work = np.interp(0.0, load.travel, load.friction)
    assert at_work == pytest.approx(72.2, abs=0.05)
    # The lever of a pin on the arm shrinks with the reach of the arm and the tilt of the rod: a few percent.
    assert 0.94 <= load.share.min() <= 1.0 <= load.share.max() <= 1.06


@pytest.mark.parametrize("key", DRILLS)
def test_work_done_on_the_disc_is_pressure_times_oil(key):
    """Conservation: the integral of down force over travel equals pressure x area x stroke used."""
    drill = example_drill(key)
    opener, cylinder = drill.opener, drill.cylinder
    load = load_flatness(opener, cylinder, 50e5, points=2001)
    work = np.trapezoid(load.down_force, load.travel)
    lengths = cylinder.length(opener, np.array([opener.lowest_travel, opener.highest_travel]))
    assert work == pytest.approx(50e5 * cylinder.area * (lengths[0] - lengths[1]), rel=1e-6)


@pytest.mark.parametrize("key", DRILLS)
@settings(deadline=None, max_examples=20)
@given(pressure=st.floats(1e5, 200e5))
def test_flatness_does_not_depend_on_pressure_and_friction_grows_with_it(key, pressure):
    drill = example_drill(key)
    one = load_flatness(drill.opener, drill.cylinder, pressure)
    other = load_flatness(drill.opener, drill.cylinder, 2 * pressure)
    assert one.share == pytest.approx(other.share)
    share = drill.cylinder.friction_share
    assert other.friction - one.friction == pytest.approx(share * one.down_force)
    assert other.down_force == pytest.approx(2 * one.down_force)


def test_oil_of_the_teaching_drill():
    """By hand: 11.40 cm2 x 150 mm = 171 cm3 an opener, 10.8 L for 63; at 80 L/min 8 s."""
    oil = oil_need(example_drill("air_drill_12m"))
    assert oil.opener_full / 1e-6 == pytest.approx(171, abs=0.5)
    assert oil.drill_full / LITRE == pytest.approx(10.8, abs=0.05)
    assert oil.fill_time == pytest.approx(8.1, abs=0.05)
    # 52.0 mm of the stroke is used: 59.3 cm3 an opener, 3.73 L, of 35 L.
    assert oil.drill_used / 1e-6 == pytest.approx(63 * 59.3, abs=63 * 0.05)
    assert oil.share_of_tractor_oil == pytest.approx(3.73 / 35, abs=0.001)


def test_side_force_of_three_degrees():
    """By hand: 6840 N at 60 bar, 3 degrees out of line: 358 N, without the friction."""
    drill = example_drill("air_drill_12m")
    loads = pin_loads(drill.opener, replace(drill.cylinder, friction_pressure=0.0, friction_share=0.0), 60e5)
    assert loads.force == pytest.approx(6840, abs=1)
    assert loads.side == pytest.approx(358, abs=0.5)


@pytest.mark.parametrize("key", DRILLS)
def test_pin_load_points_along_the_rod_and_holds_friction(key):
    drill = example_drill(key)
    opener, cylinder = drill.opener, drill.cylinder
    loads = pin_loads(opener, cylinder, 100e5)
    assert loads.force == pytest.approx(cylinder.area * (103e5 + cylinder.friction_pressure))
    # Upright at work in all three drills, so the push is straight down.
    assert loads.angle[1] == pytest.approx(0.0, abs=1e-6)
    # The rod swings to where its pin is: forward on the way down.
    x, z = opener.geometry.point(cylinder.mount.moving_pin, cylinder.mount.moves_with, opener.lowest_travel)
    across, down = x - cylinder.mount.frame_pin[0], cylinder.mount.frame_pin[1] - z
    assert np.tan(loads.angle[2]) == pytest.approx(across / down)


def test_lift_torque_of_the_teaching_drill_if_it_had_a_lift_shaft():
    """By hand for 63 openers: 900 N at 0.55 m is 31 kN m; with 60 bar on a 0.1 m lever 74 kN m."""
    drill = example_drill("air_drill_12m")
    lifted = replace(drill, opener=replace(drill.opener, raised_travel=0.1))
    torque = lift_torque(lifted, 60e5)
    assert torque.by_shaft
    assert torque.weight_only[0] / 1e3 == pytest.approx(31, abs=0.5)
    assert torque.with_cylinders[0] / 1e3 == pytest.approx(74, abs=0.5)
    assert torque.travel[-1] == 0.1
    assert not lift_torque(drill, 60e5).by_shaft


@pytest.mark.parametrize("key", DRILLS)
def test_work_of_the_lift_is_weight_raised_and_oil_driven_back(key):
    """Conservation: torque integrated over the turn equals the energy of the openers and of the oil."""
    drill = example_drill(key)
    opener, cylinder = replace(drill.opener, raised_travel=0.08), drill.cylinder
    torque = lift_torque(replace(drill, opener=opener), 60e5, points=2001)
    if opener.linkage == "trailing arm":
        x, z = opener.geometry.point(opener.disc, "arm", torque.travel)
        turn = np.arctan2(z - opener.pivot[1], x - opener.pivot[0])
    else:
        x, z = opener.geometry.point(opener.lower_opener_pin, "opener", torque.travel)
        turn = np.arctan2(z - opener.lower_frame_pin[1], x - opener.lower_frame_pin[0])
    heights = opener.geometry.point(opener.mass_centre, opener.body, np.array([0.0, 0.08]))[1]
    weight = opener.weight * np.diff(heights)[0] * drill.row_count
    lengths = cylinder.length(opener, np.array([0.0, 0.08]))
    oil = -60e5 * cylinder.area * np.diff(lengths)[0] * drill.row_count
    assert np.trapezoid(torque.weight_only, turn) == pytest.approx(weight, rel=1e-5)
    assert np.trapezoid(torque.with_cylinders, turn) == pytest.approx(weight + oil, rel=1e-5)


def test_a_cylinder_without_pressure_is_refused():
    drill = example_drill("air_drill_12m")
    with pytest.raises(ValueError, match="gauge_pressure"):
        load_flatness(drill.opener, drill.cylinder, 0.0)
