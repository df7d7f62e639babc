"""What the panels about hopper, wings, fore-aft balance and ballast show, and the sentences that say it."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Kilogram, Newton, NewtonMetre, Ratio, SquareMetre
from downforce.study.frame.ballast import ROAD_FULL, BallastPlan, ForeAft
from downforce.study.frame.lift_curves import FoldSweep, HopperDay
from downforce.study.frame.stand import FrameStand
from downforce.study.frame_lift import CARRIED
from downforce.study.setting.reasons import limit_text
from downforce.workbook import style
from downforce.workbook.frame.drawing import load_text
from downforce.workbook.frame.words import at_hitch_words, listed

LEAST_MASS = 0.5
"""Ballast below this is none [kg]."""
LEAST_PULL = 50.0
"""A pull on the drawbar below this is not worth a word [N]."""


@dataclass(frozen=True)
class CurveResult:
    """Curves in the units shown, with the study behind them.

    lines (array, array): curves.
    """

    lines: list
    level: Ratio | None
    dot: tuple | None
    found: HopperDay | FoldSweep
    setting: tuple
    note: str = ""


@dataclass(frozen=True)
class BallastResult:
    """What the ballast panel shows."""

    plan: BallastPlan
    reaction: Newton
    wanted: Newton
    headroom_share: Ratio
    road: Kilogram
    drill_mass: Kilogram


@dataclass(frozen=True)
class ForeAftResult:
    """What the fore-aft panel shows."""

    drill: Drill
    stand: FrameStand
    loads: ForeAft


def moment_text(units: UnitSystem, moment: NewtonMetre):
    """A moment as text: kN m, or ft lbf."""
    if units.name == "metric":
        return style.quantity(moment / 1e3, "kN m", decimals=1) if moment else "no moment"
    return style.quantity(units.number("moment", moment), "ft lbf", decimals=0) if moment else "no moment"


def hopper_words(result: CurveResult, units: UnitSystem):
    """Sentence of the hopper panel."""
    day = result.found
    pressure = units.show("pressure", day.gauge_pressure)
    full, empty = (limit_text(units, float(day.lift_pressure[i].min())) for i in (0, -1))
    whole = area_text(float(day.area[-1]), units)
    text = f"The frame lifts at {full} with the hopper full, for {whole}, and at {empty} with it empty. "
    if np.isnan(day.lifts_at_seed):
        return text + f"At {pressure} it is off the ground even with the hopper full."
    if day.lifts_at_seed == 0.0:
        text += f"At {pressure} it stays down to the last kernel"
    else:
        left = units.show("mass", day.lifts_at_seed)
        text += (
            f"At {pressure} it lifts with {left} of seed left, after {area_text(day.lifts_after_area, units)}"
        )
    share = style.percent(day.headroom_share)
    if np.isnan(day.refill_at_seed):
        return (
            text + f"; that is above the ceiling, {share} in hand and lift in 1 case of 20, from the start."
        )
    if day.refill_at_seed == 0.0:
        return text + f"; the {share} headroom lasts the whole hopper."
    return text + (
        f"; to keep {share} in hand, and lift to 1 case in 20, refill at "
        f"{units.show('mass', day.refill_at_seed)}, after "
        f"{area_text(day.refill_after_area, units)}."
    )


def area_text(area: SquareMetre, units: UnitSystem):
    """A sown area as text."""
    return units.show("land", area)


def wing_words(result: CurveResult, units: UnitSystem):
    """Sentence of the wing panel."""
    moment, limits, best_lift = result.setting
    first = limits.first_section
    pressure = limit_text(units, float(limits.lowest))
    best = moment_text(units, result.found.best_moment)
    most = limit_text(units, best_lift)
    tied = [
        name
        for name, p, s in zip(limits.sections, limits.pressure, limits.support, strict=True)
        if p <= limits.lowest + 1e3 and s != CARRIED
    ]
    who = f"the {first} goes first" if len(tied) == 1 else f"{listed(tied)} go first"
    return (
        f"With {moment_text(units, moment)} from the fold cylinders {who}, at {pressure}. Best is {best}, "
        f"with the first lift at {most}; more takes from the centre what it lends to the wings."
    )


def fore_aft_words(result: ForeAftResult, units: UnitSystem):
    """Sentence of the fore-aft panel."""
    stand, loads = result.stand, result.loads
    wheels = load_text(units, float(stand.wheel_load.sum()))
    started, hitch = loads.hitch_load[0], result.drill.hitch
    change = "more" if stand.hitch_load > started else "less"
    moved = load_text(units, abs(float(stand.hitch_load - started)))
    than = f", {moved} {change} than without pressure"
    if hitch.floats or np.isnan(started):  # without pressure it may be off its wheels: nothing to compare
        than = ""
    goes = "goes" if loads.lift_pressure > 0.0 else "go"
    return (
        f"At {units.show('pressure', stand.gauge_pressure)} the wheels carry {wheels} and the drill "
        f"{at_hitch_words(stand.hitch_load, units, hitch)}{than}. "
        f"The {loads.first_support} {goes} first, at {limit_text(units, loads.lift_pressure)}."
    )


def ballast_words(result: BallastResult, units: UnitSystem):
    """Sentence of the ballast panel.

    Result: what ballast and where, what the drawbar lends, what stands on the road.
    """
    plan = result.plan
    after = plan.road if plan.total >= LEAST_MASS else None
    return f"{_plan_words(result, units)} {road_words(plan.road_before, units, after)}"


def _plan_words(result, units):
    plan, share = result.plan, style.percent(result.headroom_share)
    case = (
        f"{units.show('force', result.wanted)} on the gauge wheel in soil of "
        f"{units.show('force', result.reaction)}, {share} in hand, {units.show('mass', result.road)} at most "
        "on the road"
    )
    if not plan.feasible:
        why = listed(plan.blocked_by) if plan.blocked_by else "several limits together"
        forbid = "forbids" if len(plan.blocked_by) == 1 and not why.endswith("hubs") else "forbid"
        empty = " On the road the hopper would have to be empty." * (plan.blocked_by == (ROAD_FULL,))
        return (
            f"{case}: no ballast at these places does it, {why} {forbid} it. Ask for less, drill slower or "
            f"shallower, or wait for softer soil.{empty}"
        )
    if plan.total < LEAST_MASS:
        least = int(np.argmin(plan.working[1:]))
        return (
            f"{case}: no ballast is needed. The {plan.supports[1 + least]} keeps least, "
            f"{load_text(units, float(plan.working[1 + least]))}.{pull_words(plan, units)}"
        )
    where = listed(
        f"{units.show('mass', mass)} at {place.name}"
        for place, mass in zip(plan.places, plan.mass, strict=True)
        if mass >= LEAST_MASS
    )
    return f"{case}: {units.show('mass', plan.total)} in all, {where}.{pull_words(plan, units)}"


def road_words(before, units, after=None):
    """What stands on the road without ballast and with it, and a warning where it is too much."""
    if before is None:
        return "The file names no wheels that can carry the folded drill on the road."
    where = "On the road, folded," if before.folded else "On the road"
    if not before.broken.any():
        return f"{where} {road_load(after or before, units)}."
    added = f"; with it {road_load(after, units)}" if after else ""
    return (
        f"{where} {road_load(before, units)}: too much before any ballast{added}. This is an estimate: read "
        "the plates of tyres and axle before you tow it."
    )


def road_load(road, units, most=None):
    """The support nearest its limit on the road: "each centre wheel carries 51.1 kN of 45.0 kN"."""
    worst = np.where(road.load < road.least, np.inf, road.load / road.most)
    fill, k = (int(i) for i in np.unravel_index(np.argmax(worst), worst.shape))
    texts = [load_text(units, load) for load in road.load[fill]]
    name = "the " + road.supports[k]
    if k and len(set(texts[1:])) == 1:
        name = f"each {road.section} wheel"
    name = style.short(name, most)
    if road.load[fill, k] < road.least[k]:
        return f"{name} is pulled up with {load_text(units, -road.load[fill, k])}"
    text = f"{name} carries {texts[k]} of {load_text(units, road.most[k])}"
    if np.ptp(road.load, axis=0).max() < 1.0:
        return text
    other = load_text(units, road.load[1 - fill, k])
    return f"{text}, hopper {'full' if fill else 'empty'} ({'empty' if fill else 'full'} {other})"


def pull_words(plan: BallastPlan, units: UnitSystem):
    """What the tractor lends to a ballast plan through its drawbar, as a sentence.

    Result: a space and a sentence; nothing if the drawbar is not pulled up.
    """
    if plan.hitch_pull < LEAST_PULL:
        return ""
    return (
        f" The tractor's drawbar holds the drill down with {load_text(units, plan.hitch_pull)}; without that "
        f"{_alone_words(plan, units)}."
    )


def _alone_words(plan, units):
    if np.isfinite(plan.mass_without_pull):
        return f"it would take {units.show('mass', plan.mass_without_pull)}"
    why = plan.blocked_without_pull
    return "no ballast at these places would do" + (f": the limit is {listed(why)}" if why else "")
