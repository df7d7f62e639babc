"""Fore-aft balance: what weight and openers ahead of or behind the wheels do to wheels and hitch."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Soil
from downforce.physics.checks import finite, not_negative
from downforce.physics.frame import wheel_loads
from downforce.physics.kinds import Metre, Newtons, Pascal, Pascals, Ratio
from downforce.study.frame.half_refit import row_values
from downforce.study.frame.loads import at_work, frame_model, joined, opener_load, standing_load
from downforce.study.frame.tyre_give import rises_over
from downforce.study.frame_lift import lift_pressure


@dataclass(frozen=True)
class ForeAft:
    """Wheel and hitch loads over gauge pressure.

    gauge_pressure (pressures,): what the gauge reads.
    wheel_load (pressures,): all frame wheels together; NaN once a section floats.
    hitch_load (pressures,): on the drawbar, negative when the drill pulls it up; NaN once a section floats.
    lift_pressure: where the first section lifts.
    """

    gauge_pressure: Pascals
    wheel_load: Newtons
    hitch_load: Newtons
    lift_pressure: Pascal
    first_support: str


def moved_fore_aft(drill: Drill, weight_back: Metre = 0.0, openers_back: Metre = 0.0) -> Drill:
    """The same drill with frame weight or openers moved along it.

    openers_back: how far all ranks move to the rear.
    """
    weight, openers = float(finite("weight_back", weight_back)), float(finite("openers_back", openers_back))
    sections = tuple(
        replace(section, frame_centre=(section.frame_centre[0] + weight, *section.frame_centre[1:]))
        for section in drill.sections
    )
    return replace(drill, sections=sections, rank_x=tuple(x + openers for x in drill.rank_x))


def fore_aft(drill: Drill, soil: Soil, pressures: Pascals, hopper_fill: Ratio = 0.0) -> ForeAft:
    """Wheel and hitch loads over gauge pressure, up to where the frame lifts.

    pressures (pressures,): gauge pressures.
    """
    gauge = np.atleast_1d(not_negative("pressures", pressures))
    level = rises_over(drill, soil, gauge, hopper_fill).mean(axis=-1, keepdims=True)
    rows = row_values(drill, soil, gauge, level)
    disc = rows["soil_reaction"] + rows["gauge_wheel_load"]
    work = opener_load(drill, disc, rows["closing_wheel_load"], rows["draft"])
    load = joined(at_work(drill, soil, standing_load(drill, hopper_fill)), work)
    support = wheel_loads(frame_model(drill), load)
    limits = lift_pressure(drill, soil, hopper_fill)
    return ForeAft(
        gauge,
        support.wheel_load.sum(axis=-1),
        support.hitch_load,
        float(limits.lowest),
        str(limits.first_support),
    )
