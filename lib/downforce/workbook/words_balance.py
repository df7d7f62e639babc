"""What the panels about hopper, wings, fore-aft balance and ballast show, and the sentences that say it."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill
from downforce.study.fore_aft import ForeAft
from downforce.study.frame_lift import CARRIED
from downforce.study.frame_stand import FrameStand
from downforce.study.lift_curves import AREA_UNITS, HopperDay
from downforce.study.wing_help import FoldSweep
from downforce.workbook import style
from downforce.workbook.drawing_frame import load_text
from downforce.workbook.words_frame import at_hitch_words, listed, percent


@dataclass(frozen=True)
class CurveResult:
    """Curves in the units shown, with the study behind them.

    Attributes
    ----------
    lines : list of (array, array) [-]
        Curves.
    level : float or None [-]
        Horizontal line.
    dot : tuple or None [-]
        Mark.
    found : HopperDay or FoldSweep [-]
        The study.
    setting : tuple [-]
        Values of the controls in SI that the sentence names.
    """

    lines: list
    level: float | None
    dot: tuple | None
    found: HopperDay | FoldSweep
    setting: tuple


@dataclass(frozen=True)
class ForeAftResult:
    """What the fore-aft panel shows.

    Attributes
    ----------
    drill : Drill [-]
        With parts moved.
    stand : FrameStand [N]
        How it stands.
    loads : ForeAft [N]
        Over the pressure.
    """

    drill: Drill
    stand: FrameStand
    loads: ForeAft


def moment_text(units, moment):
    """A moment as text: kN m, or ft lbf.

    Parameters
    ----------
    units : UnitSystem [-]
        Units shown.
    moment : float [N m]
        The moment.

    Returns
    -------
    str [-]
        Such as "6 kN m".
    """
    if units.name == "metric":
        return style.quantity(moment / 1e3, "kN m", digits=3) if moment else "no moment"
    return style.quantity(units.number("moment", moment), "ft lbf", decimals=0) if moment else "no moment"


def hopper_words(result, units):
    """Sentence of the hopper panel.

    Parameters
    ----------
    result : CurveResult [-]
        With a HopperDay.
    units : UnitSystem [-]
        Units shown.

    Returns
    -------
    str [-]
        Two sentences.
    """
    day = result.found
    pressure = units.show("pressure", day.gauge_pressure)
    full, empty = (units.show("pressure", float(day.lift_pressure[i].min())) for i in (0, -1))
    text = f"The frame lifts at {full} with the hopper full and at {empty} with it empty. "
    if np.isnan(day.lifts_at_seed):
        return text + f"At {pressure} it is off the ground even with the hopper full."
    if day.lifts_at_seed == 0.0:
        text += f"At {pressure} it stays down to the last kernel."
    else:
        text += f"At {pressure} it lifts with {units.show('mass', day.lifts_at_seed)} of seed left, after {_area(day.lifts_after_area, units)}."
    share = percent(day.headroom_share)
    if np.isnan(day.refill_at_seed):
        return text + f" The {share} headroom is missing from the start."
    if day.refill_at_seed == 0.0:
        return text + f" The {share} headroom lasts the whole hopper."
    return text + (
        f" To keep {share} in hand, refill at {units.show('mass', day.refill_at_seed)}, after "
        f"{_area(day.refill_after_area, units)}."
    )


def _area(area, units):
    unit, size = AREA_UNITS[units.name]
    return style.quantity(area / size, unit, decimals=1)


def wing_words(result, units):
    """Sentence of the wing panel.

    Parameters
    ----------
    result : CurveResult [-]
        With a FoldSweep.
    units : UnitSystem [-]
        Units shown.

    Returns
    -------
    str [-]
        Two sentences.
    """
    moment, limits, best_lift = result.setting
    first = limits.first_section
    pressure = units.show("pressure", float(limits.lowest))
    best = moment_text(units, result.found.best_moment)
    most = units.show("pressure", best_lift)
    tied = [
        name
        for name, p, s in zip(limits.sections, limits.pressure, limits.support, strict=True)
        if p <= limits.lowest + 1e3 and s != CARRIED
    ]
    who = f"the {first} goes first" if len(tied) == 1 else f"{listed(tied)} go first"
    return (
        f"With {moment_text(units, moment)} from the fold cylinders: {who}, at {pressure}. "
        f"The best moment here is {best}: the first section then lifts at {most}. More than that takes from "
        "the "
        "centre what it lends to the wings."
    )


def fore_aft_words(result, units):
    """Sentence of the fore-aft panel.

    Parameters
    ----------
    result : ForeAftResult [-]
        What it shows.
    units : UnitSystem [-]
        Units shown.

    Returns
    -------
    str [-]
        Two sentences.
    """
    stand, loads = result.stand, result.loads
    wheels = load_text(units, float(stand.wheel_load.sum()))
    started = loads.hitch_load[0]
    change = "gains" if stand.hitch_load > started else "loses"
    return (
        f"At {units.show('pressure', stand.gauge_pressure)} the wheels carry {wheels} and the drill "
        f"{at_hitch_words(stand.hitch_load, units)}. Against openers without pressure the hitch {change} "
        f"{load_text(units, abs(float(stand.hitch_load - started)))}. "
        f"The {loads.first_support} goes first, at {units.show('pressure', loads.lift_pressure)}."
    )


def ballast_words(plan, units, headroom_share):
    """Sentence of the ballast panel.

    Parameters
    ----------
    plan : BallastPlan [kg]
        The plan.
    units : UnitSystem [-]
        Units shown.
    headroom_share : float [-]
        Share kept in hand.

    Returns
    -------
    str [-]
        Two sentences.
    """
    by_sum = units.show("mass", plan.sum_mass)
    share = percent(headroom_share)
    if not plan.feasible:
        why = listed(plan.blocked_by) if plan.blocked_by else "several limits together"
        return (
            f"No ballast at these places holds this with {share} in hand: {why} forbid it. The sum of the "
            "whole "
            f"drill alone asks for {by_sum}. Ask for less, drill slower or shallower, or wait for softer "
            "soil."
        )
    if plan.total < 0.5:
        return f"No ballast is needed with {share} in hand. By the sum of the whole drill: {by_sum}."
    where = listed(
        f"{units.show('mass', mass)} at {place.name}"
        for place, mass in zip(plan.places, plan.mass, strict=True)
        if mass >= 0.5
    )
    stops = f" It stops at: {listed(plan.binding)}." if plan.binding else ""
    return (
        f"{units.show('mass', plan.total)} in all holds it with {share} in hand: {where}. The sum of the "
        "whole drill, "
        f"which leaves out where weight stands, asks for {by_sum}.{stops}"
    )
