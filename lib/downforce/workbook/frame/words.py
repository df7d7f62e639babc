"""What the panels about frame lift show, and the sentences that say it."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill, Hitch
from downforce.machine.unit_table import UnitSystem, percent
from downforce.physics.kinds import Degree, Flags, Newton, Pascal, Pascals, Percent, Ratio
from downforce.study.frame.lift_curves import LiftCurves
from downforce.study.frame.loads import wheel_names
from downforce.study.frame.stand import FrameStand
from downforce.study.frame.tyre_give import taken_words
from downforce.study.setting.reasons import limit_text
from downforce.workbook.frame.drawing import load_text

SHALLOW = 0.0005
"""A disc this much above its target depth counts as shallow [m]."""


@dataclass(frozen=True)
class MapResult:
    """What the map shows.

    keep (soils,): highest setting that keeps the headroom.
    """

    curves: LiftCurves
    keep: Pascals
    headroom_share: Ratio
    wanted: Newton
    today: Newton
    needed_today: Pascal
    lift_today: Pascal
    keep_today: Pascal
    support: str
    at_depth: bool
    case: str


@dataclass(frozen=True)
class RowsResult:
    """What the panel after lift shows.

    shallow (rows,): discs above their target depth.
    """

    stand: FrameStand
    shallow: Flags


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
        f"At {pressure} {which} {borrowed}. "
        f"The {wheel_names(drill)[least]} keeps least, {load_text(units, float(stand.wheel_load[least]))}; "
        "the drill "
        f"{at_hitch_words(stand.hitch_load, units, drill.hitch)}. The {limits.first_section} {went}."
        f"{_tyre_words(stand, drill, units)}{coulter_words(stand, drill, units)}{moved_words(limits)}"
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


def at_hitch_words(load: Newton, units: UnitSystem, hitch: Hitch):
    """What the drill does to the drawbar, as the end of a sentence."""
    if hitch.floats:
        return "leaves nothing on its hitch, which floats"
    where = "the tractor's links" if hitch.kind == "three-point" else "the drawbar"
    if abs(load) < 50.0:
        return f"leaves next to nothing on {where}"
    return f"{'presses on' if load > 0 else 'pulls up on'} {where} with {load_text(units, abs(load))}"


def case_words(speed, slope: Degree, fill: Percent | None):
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
