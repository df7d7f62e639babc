"""Rivals of the held cylinder: alike at working height, and as steep as their gas is small."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.shipped import example_drill
from downforce.physics.spring import STANDARD_ATMOSPHERE
from downforce.study.spring_behaviour import (
    STRUT_MARGIN,
    STRUT_PRESSURE,
    closed_line_rival,
    gas_spring_rival,
    least_gas,
    rival_loads,
    swept_length,
)

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
TRAVEL = np.array([-0.1, 0.0, 0.1])


def loads_of(drill, pressure=60e5, gas=200e-6, ratio=3.0, exponent=1.2, travel=TRAVEL):
    opener = drill.opener
    force = float(drill.cylinder.down_force(opener, 0.0, pressure))
    line = closed_line_rival(opener, drill.cylinder, pressure, gas, exponent)
    strut = gas_spring_rival(opener, drill.spring, force, ratio, exponent)
    return rival_loads(opener, drill.spring, drill.cylinder, pressure, line, strut, travel)


@pytest.mark.parametrize("name", DRILLS)
@pytest.mark.parametrize("pressure", [10e5, 60e5, 120e5])
def test_all_three_give_the_cylinders_load_at_working_height(name, pressure):
    loads = loads_of(example_drill(name), pressure)
    for rival in ("closed line", "gas spring"):
        assert loads.at_work[rival] == pytest.approx(loads.at_work["cylinder"], rel=1e-9)
        assert loads.share(rival)[1] == pytest.approx(1.0)


def test_closed_line_by_hand():
    # Oil pushed in by 100 mm of rise: shortening x bore area; p = (pc + patm) (Vc / (Vc - dV))^n - patm.
    drill = example_drill("air_drill_12m")
    opener, cylinder = drill.opener, drill.cylinder
    area = np.pi / 4 * 0.0381**2
    pushed = (float(cylinder.length(opener, 0.0)) - float(cylinder.length(opener, 0.1))) * area
    pressure = (60e5 + 101325) * (200e-6 / (200e-6 - pushed)) ** 1.2 - 101325
    loads = loads_of(drill)
    lever = float(cylinder.leverage(opener, 0.1))
    assert loads.down_force["closed line"][2] == pytest.approx(pressure * area * lever)


def test_gas_strut_keeps_the_gas_law_between_extended_and_working():
    drill = example_drill("air_drill_12m")
    strut = gas_spring_rival(drill.opener, drill.spring, 1050.0, 3.0, 1.2)
    pushed = strut.rod_area * (strut.open_length - float(drill.spring.length(drill.opener, 0.0)))
    extended = strut.extended_force / strut.rod_area + STANDARD_ATMOSPHERE
    assert extended * strut.gas_volume**1.2 == pytest.approx(
        (STRUT_PRESSURE + STANDARD_ATMOSPHERE) * (strut.gas_volume - pushed) ** 1.2
    )
    shortest, longest = swept_length(drill.opener, drill.spring)
    assert strut.open_length == pytest.approx(longest + STRUT_MARGIN)
    assert strut.closed_length == pytest.approx(shortest - STRUT_MARGIN)
    assert strut.gas_volume == pytest.approx(3.0 * strut.rod_area * strut.stroke)


@pytest.mark.parametrize("name", DRILLS)
def test_more_gas_is_flatter_and_endless_gas_is_the_held_cylinder(name):
    drill = example_drill(name)
    rise = [loads_of(drill, gas=gas).share("closed line")[2] for gas in (60e-6, 200e-6, 1e-3, 1.0)]
    assert np.all(np.diff(rise) < 0)
    held = loads_of(drill).share("cylinder")
    assert loads_of(drill, gas=1.0).share("closed line") == pytest.approx(held, abs=1e-3)
    strut = [loads_of(drill, ratio=ratio).share("gas spring")[2] for ratio in (1.5, 3.0, 8.0)]
    assert np.all(np.diff(strut) < 0)


def test_fast_gas_is_steeper_than_slow_gas():
    drill = example_drill("air_drill_12m")
    slow, fast = (loads_of(drill, exponent=n).share("closed line") for n in (1.0, 1.4))
    assert fast[2] > slow[2] and fast[0] < slow[0]


@pytest.mark.parametrize("name", DRILLS)
def test_held_cylinder_stays_within_its_leverage_and_the_spring_does_not(name):
    # Common practice, no source: the same load over the stroke but for leverage and friction.
    drill = example_drill(name)
    loads = loads_of(drill)
    leverage = drill.cylinder.leverage(drill.opener, TRAVEL)
    assert loads.share("cylinder") == pytest.approx(leverage / leverage[1])
    assert loads.share("cylinder") == pytest.approx(1.0, abs=0.06)
    assert loads.share("spring")[0] < 0.45 and loads.share("spring")[2] > 1.5
    seals = drill.cylinder.friction_pressure + drill.cylinder.friction_share * 60e5
    friction = drill.cylinder.area * seals * leverage
    assert loads.friction == pytest.approx(friction)


def test_where_the_coils_are_closed_the_spring_has_no_load_to_show():
    drill = example_drill("air_drill_12m")
    tight = replace(drill, spring=drill.spring.turned_to(0.06))
    loads = loads_of(tight)
    assert np.isnan(loads.down_force["spring"]).tolist() == [False, False, True]


def test_too_little_gas_is_refused():
    drill = example_drill("air_drill_12m")
    with pytest.raises(ValueError, match="gas_volume minus the oil"):
        closed_line_rival(drill.opener, drill.cylinder, 60e5, 10e-6)
    with pytest.raises(ValueError, match="gas_ratio"):
        gas_spring_rival(drill.opener, drill.spring, 1000.0, 1.0)


def test_a_closed_line_has_twice_the_gas_that_a_full_rise_pushes_in_and_30_millilitres_at_least():
    drill = example_drill("air_drill_12m")
    cylinder = drill.cylinder
    length = cylinder.length(drill.opener, np.linspace(0.0, drill.opener.highest_travel, 100))
    pushed = np.pi / 4 * cylinder.bore**2 * (length[0] - length.min())
    assert pushed > 15e-6
    assert least_gas(drill.opener, cylinder) == pytest.approx(2.0 * pushed, rel=1e-9)
    assert least_gas(drill.opener, replace(cylinder, bore=cylinder.bore / 10)) == 30e-6
