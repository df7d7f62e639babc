"""What the panels about frame lift show, and the sentences that say it."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill, Hitch
from downforce.machine.unit_table import UnitSystem, percent
from downforce.physics import kinds as si
from downforce.study.frame.ballast import ROAD_FULL, BallastPlan, ForeAft
from downforce.study.frame.lift_curves import FoldSweep, HopperDay, LiftCurves
from downforce.study.frame.loads import wheel_names
from downforce.study.frame.stand import FrameStand
from downforce.study.frame.tyre_give import taken_words
from downforce.study.frame_lift import CARRIED
from downforce.study.setting.reasons import limit_text
from downforce.workbook import style
from downforce.workbook.frame.drawing import load_text

SHALLOW = 0.0005
"""A disc this much above its target depth counts as shallow [m]."""


@dataclass(frozen=True)
class MapResult:
    """What the map shows.

    keep (soils,): highest setting that keeps the headroom.
    """

    curves: LiftCurves
    keep: si.Pascals
    headroom_share: si.Ratio
    wanted: si.Newton
    today: si.Newton
    needed_today: si.Pascal
    lift_today: si.Pascal
    keep_today: si.Pascal
    support: str
    at_depth: bool
    case: str


@dataclass(frozen=True)
class RowsResult:
    """What the panel after lift shows.

    shallow (rows,): discs above their target depth.
    """

    stand: FrameStand
    shallow: si.Flags


def listed(words):
    """Words as a list in a sentence.

    Result: "a", "a and b" or "a, b and c".
    """
    words = list(words)
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def stand_words(stand: FrameStand, drill: Drill, units: UnitSystem):
    """Sentence of the free-body panel."""
    limits = stand.limits
    pressure = units.show("pressure", stand.gauge_pressure)
    first = int(np.argmin(limits.pressure))
    if stand.lifting:
        names = (
            np.asarray(limits.sections)[stand.floating] if stand.floating.any() else [limits.first_section]
        )
        loose = listed(names)
        # A frame of one piece is called frame, which is no name.
        loose = "the frame" if loose == "frame" else loose
        verb = "rides on its openers" if len(names) == 1 else "ride on their openers"
        up = units.show("length", max(float(stand.rise.max()), 0.0))
        lift, start = limit_text(units, float(limits.lowest)), units.show("force", stand.at_lift)
        promised = units.show("force", float(stand.promised.gauge_wheel_load))
        return (
            f"At {pressure}, {loose} {verb}, up to {up} above work height. Lift began at {lift}, with "
            f"{start} on each gauge wheel. Now the gauge promises {promised}; really, in the mean and on the "
            f"lowest row: {section_words(stand, units)}.{moved_words(limits)}"
        )
    off = [name for name, gone in zip(wheel_names(drill), stand.off, strict=True) if gone]
    if off:
        return f"At {pressure} the {listed(off)} carries nothing: this is the edge of lift."
    # Of wheels that carry alike the first is named, whatever the last digits say.
    least = int(np.argmax(stand.wheel_load <= stand.wheel_load.min() + 1.0))
    went = "never lifts in this soil"
    if np.isfinite(limits.pressure[first]):
        went = (
            f"lifts first, at {limit_text(units, float(limits.pressure[first]))}: headroom "
            f"{percent(float(stand.headroom[first]))}"
        )
    taken = float(stand.promised.frame_load)
    force = units.show("force", abs(taken))
    borrowed = f"takes {force} from the frame" if taken >= 0 else f"hangs on the frame with {force}"
    which = "each opener that the gauge moves" if limits.moves else "each opener"
    return (
        f"At {pressure} {which} {borrowed}. The {wheel_names(drill)[least]} keeps least, "
        f"{load_text(units, float(stand.wheel_load[least]))}; the drill "
        f"{at_hitch_words(stand.hitch_load, units, drill.hitch)}. The {limits.first_section} "
        f"{went}.{_tyre_words(stand, drill, units)}{coulter_words(stand, drill, units)}{moved_words(limits)}"
    )


def _tyre_words(stand, drill, units):
    """How far the give of the tyres has let the frame up, and from where, as a sentence to end with."""
    if not stand.tyre_rise >= 0.0005:
        return ""
    up = units.show("length", stand.tyre_rise)
    off = units.show("length", abs(stand.over_height))
    where = (
        f"{off} {'over' if stand.over_height > 0 else 'under'}" if off != units.show("length", 0.0) else "at"
    )
    return (
        f" Its tyres give: it stands {up} higher than with no pressure, {where} its working height, "
        f"which was taken {taken_words(drill, units)}."
    )


def coulter_words(stand, drill, units):
    """What a coulter takes of the weight, as a sentence to end with; empty without one."""
    coulter = drill.opener.front_coulter
    if coulter is None:
        return ""
    load = units.show("force", stand.coulter_load)
    if coulter.on == "opener":
        return f" Of what it takes, {load} stand on its coulter."
    return f" Besides, the coulter on the frame ahead of it takes {load}."


def moved_words(limits):
    """Which rows the gauge moves as a sentence to end with; empty where it moves them all."""
    return f" {limits.moves}." if limits.moves else ""


def section_words(stand, units):
    """Mean and lowest gauge-wheel load of each section, such as "left wing 763 N and 520 N"."""
    means, lowest = (part(stand.gauge_wheel_load) for part in (stand.section_mean, stand.section_lowest))
    names = [f"{name} " for name in stand.limits.sections] if len(means) > 1 else [""]
    return ", ".join(
        f"{name}{units.show('force', float(mean))} and {units.show('force', float(least))}"
        for name, mean, least in zip(names, means, lowest, strict=True)
    )


def at_hitch_words(load: si.Newton, units: UnitSystem, hitch: Hitch):
    """What the drill does to the drawbar, as the end of a sentence."""
    if hitch.floats:
        return "leaves nothing on its hitch, which floats"
    where = "the tractor's links" if hitch.kind == "three-point" else "the drawbar"
    if abs(load) < 50.0:
        return f"leaves next to nothing on {where}"
    return f"{'presses on' if load > 0 else 'pulls up on'} {where} with {load_text(units, abs(load))}"


def case_words(speed, slope: si.Degree, fill: si.Percent | None):
    """Speed, slope and fill as the start of a sentence.

    slope: positive when the right side is the lower one.
    fill: of the hopper; None without one.
    """
    side = "right" if slope > 0 else "left"
    ground = f"{abs(slope):.0f}° down to the {side}" if slope else "level"
    hopper = "" if fill is None else f", hopper {fill:.0f} %"
    return f"At {speed}, {ground}{hopper}"


def map_words(result: MapResult, units: UnitSystem):
    """Sentence of the map."""
    soil = units.show("force", result.today)
    wanted = units.show("force", result.wanted)
    need = units.show("pressure", result.needed_today)
    lift, keep = (limit_text(units, value) for value in (result.lift_today, result.keep_today))
    if result.needed_today >= result.lift_today:
        verdict = "the frame lifts: it cannot be reached, you lack weight, not pressure"
    elif result.needed_today > result.keep_today:
        verdict = "there is little in hand: it can be reached, but bumps will lift wheels"
    else:
        verdict = "the frame is down"
    regime = "" if result.at_depth else ", before the disc is at depth"
    share = percent(result.headroom_share)
    lifting = f"the {result.support} goes first, at {lift}{regime}; {share} headroom ends at {keep}"
    if not np.isfinite(result.lift_today):
        lifting = "the frame never lifts"
    crossing = _crossing(result)
    end = f" The two lines meet at {units.show('force', crossing)}." if crossing is not None else ""
    asked = f"In today's soil, {soil}, {wanted} on the gauge wheel needs {need}"
    return f"{result.case}, {verdict}. {asked}; {lifting}.{end}{moved_words(result.curves.limits)}"


def _crossing(result):
    """Soil reaction at which the needed setting meets the lift line, or None on this map."""
    gap = result.curves.limits.lowest[:, 0] - result.curves.needed
    at = np.flatnonzero((gap[:-1] > 0) & (gap[1:] <= 0))
    if at.size == 0 or not np.all(np.isfinite(gap[at[0] : at[0] + 2])):
        return None
    i = int(at[0])
    share = gap[i] / (gap[i] - gap[i + 1])
    reaction = result.curves.reaction
    return float(reaction[i] + share * (reaction[i + 1] - reaction[i]))


def rows_words(result: RowsResult, units: UnitSystem):
    """Sentence of the panel after lift."""
    stand = result.stand
    pressure = units.show("pressure", stand.gauge_pressure)
    promised = units.show("force", float(stand.promised.gauge_wheel_load))
    short = int(result.shallow.sum())
    if not stand.lifting:
        lift = limit_text(units, float(stand.limits.lowest))
        text = f"At {pressure} the frame is down and every gauge wheel carries {promised}."
        if stand.limits.moves:
            text = f"At {pressure} the frame is down; in the mean and on the lowest row: "
            text += f"{section_words(stand, units)}.{moved_words(stand.limits)}"
        if short:
            depth = units.show("length", float(stand.depth.min()))
            what, whose = ("All discs", "the") if short == stand.depth.size else (f"{short} discs", "their")
            text += f" {what} run shallow, at {depth}: no load reaches {whose} gauge wheels."
        text += f" The frame wheels carry {load_text(units, float(stand.wheel_load.sum()))} in all."
        return text + (f" Lift begins at {lift}." if np.isfinite(stand.limits.lowest) else "")
    lift = units.show("force", stand.at_lift)
    text = (
        f"At {pressure} the gauge promises {promised} on every gauge wheel; when lift began it was {lift}. "
        f"Really, in the mean and on the lowest row: {section_words(stand, units)}."
    )
    if short:
        least = units.show("length", float(stand.depth.min()))
        word = "row hangs on its stop and runs" if short == 1 else "rows hang on their stops and run"
        text += f" {short} {word} shallow, the worst at {least}."
    up = units.show("length", max(float(stand.rise.max()), 0.0))
    wheels = load_text(units, float(stand.wheel_load.sum()))
    moved = moved_words(stand.limits)
    return f"{text} The frame is up by as much as {up}; its wheels carry {wheels} in all.{moved}"


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
    level: si.Ratio | None
    dot: tuple | None
    found: HopperDay | FoldSweep
    setting: tuple
    note: str = ""


@dataclass(frozen=True)
class BallastResult:
    """What the ballast panel shows."""

    plan: BallastPlan
    reaction: si.Newton
    wanted: si.Newton
    headroom_share: si.Ratio
    road: si.Kilogram
    drill_mass: si.Kilogram


@dataclass(frozen=True)
class ForeAftResult:
    """What the fore-aft panel shows."""

    drill: Drill
    stand: FrameStand
    loads: ForeAft


def moment_text(units: UnitSystem, moment: si.NewtonMetre):
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
        f"{units.show('mass', day.refill_at_seed)}, after {area_text(day.refill_after_area, units)}."
    )


def area_text(area: si.SquareMetre, units: UnitSystem):
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
