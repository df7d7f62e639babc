"""What the pressure workbook's panels show, and the sentences that say it."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Newton, Pascal, Ratio
from downforce.study.oil.band import OilBand
from downforce.study.pressure_setting import PressureSetting
from downforce.study.setting.gauge_face import GaugeFace, LoadSteps, ReadingWidth, Turn
from downforce.study.setting.reasons import (
    aim_words,
    at_most,
    limit_text,
    pressure_text,
    range_words,
    rounded,
    sure_words,
    verdict_words,
)
from downforce.study.setting.same_target import Pressed, TurnedUp
from downforce.workbook.style import percent


@dataclass(frozen=True)
class LadderResult:
    """What the ladder panel shows.

    lift: where the frame lifts on that field, hopper empty.
    """

    place: int
    name: str
    steps: LoadSteps
    wanted: Newton
    needed: Pascal
    highest: Pascal
    lift: Pascal


@dataclass(frozen=True)
class TodayResult:
    """What the setting panel shows: the setting, the gauge with its band, what to do if the soil turned."""

    setting: PressureSetting
    face: GaugeFace
    turn: Turn | None


@dataclass(frozen=True)
class SpreadResult:
    """What the spread panel shows.

    heavy_load: from where a row counts as packing.
    """

    springs: Pressed
    cylinders: Pressed
    heavy_load: Newton


@dataclass(frozen=True)
class TurnUpResult:
    """What the panel of the same target shows."""

    springs: TurnedUp
    cylinders: TurnedUp
    share: Ratio
    least_load: Newton
    heavy_load: Newton
    hopper: bool


@dataclass(frozen=True)
class WidthResult:
    """What the panel about the width of a reading shows."""

    width: ReadingWidth
    oil: OilBand


def ladder_words(result: LadderResult, units: UnitSystem):
    """Sentence of the ladder panel.

    Result: both ways: from the gauge to the load and back.
    """
    show, steps = units.show, result.steps
    forth = (
        f"{show('pressure', steps.gauge_pressure)} is {show('force', steps.cylinder_force)} along the "
        f"cylinder, {show('force', steps.down_force)} at the disc and, on “{result.name}”, "
    )
    if steps.gauge_wheel_load > 0:
        forth += f"{show('force', steps.gauge_wheel_load)} on the gauge wheel."
    else:
        forth += f"nothing on the gauge wheel: the disc runs at {show('length', steps.depth)}."
    needed = show("pressure", result.needed)
    if result.needed <= min(result.highest, result.lift):
        return f"{forth} {show('force', result.wanted)} on the gauge wheel takes {needed}."
    who = "the frame lifts" if result.lift <= result.highest else "the parts end"
    limit = limit_text(units, min(result.highest, result.lift))
    return f"{forth} {show('force', result.wanted)} would take {needed}, but {who} at {limit}."


def today_words(result, units):
    """What to set, what it does to the rows, how sure it is, and what to do if the soil has turned."""
    setting = result.setting
    turned = f"{turn_words(result.turn, units)}. " if result.turn else ""
    if not setting.exists:
        return f"{turned}{no_setting_words(setting, units)}."
    start = "The rule sets" if result.turn else "Set"
    return (
        f"{turned}{start} {setting.words(units)}{_why(setting, units)}. {said_of_rows(setting.shares)}. "
        f"{aim_words(setting, units)}. {sure_words(setting, units)}."
    )


def said_of_rows(shares):
    """The verdict as the beginning of a sentence."""
    words = verdict_words(shares)
    return words[:1].upper() + words[1:]


def no_setting_words(setting, units):
    """That there is nothing to set, and why."""
    return (
        f"There is no setting: the ceiling, {at_most(units, setting.ceiling)} ({setting.ceiling_set_by}), is "
        f"below {pressure_text(units, setting.floor.gauge_pressure, up=True)} ({setting.floor.words})"
    )


def turn_words(turn, units):
    """What to do when the soil has turned, in steps of the gauge from what is set."""
    step = f"{units.gauge_step_text} each" if abs(turn.steps) > 1 else units.gauge_step_text
    count = f"{abs(turn.steps)} step{'s' if abs(turn.steps) > 1 else ''} ({step})"
    if not turn.setting.exists:
        do = "stop: there is no setting any more"
    elif turn.steps == 0:
        do = "leave the gauge, no whole step fits below the ceiling" if turn.held else "leave the gauge"
    else:
        do = f"{'raise' if turn.steps > 0 else 'lower'} the gauge by {count}"
    return f"It turned {turn.how} since you set it: {do}"


def today_facts(result, units):
    """Facts of the setting panel's picture that its sentence leaves out."""
    setting = result.setting
    reasons = ", ".join(f"{reason.name} {reason.shown(units)}" for reason in setting.reasons)
    band = f"band {band_words(setting, units)}" if setting.exists else ""
    return band, setting.moved_words, setting.straw_words, setting.stop_words, f"in the scale: {reasons}"


def band_words(setting, units):
    """Ends of a band, rounded so that what is printed is inside it, such as "54 to 77 bar"."""
    if not setting.exists:
        return "none"
    low, high = (rounded(units, end, way) for end, way in zip(setting.band, (np.ceil, np.floor), strict=True))
    return range_words((low, high), units) if low < high else units.show("pressure", setting.to_set(units))


def spread_words(result: SpreadResult, units: UnitSystem):
    """Sentence of the spread panel."""
    show = units.show
    springs, cylinders = result.springs.parts, result.cylinders.parts
    heavy = [percent(one.shares.packing) for one in (result.springs, result.cylinders)]
    return (
        f"Springs spread by {show('force', springs.height)} from height and {show('force', springs.soil)} "
        f"from soil; cylinders by {show('force', cylinders.height)} from height and "
        f"{show('force', cylinders.soil)} from soil. Over {show('force', result.heavy_load)} are {heavy[0]} "
        f"of the rows with springs, {heavy[1]} with cylinders."
    )


def turn_up_words(result: TurnUpResult, units: UnitSystem):
    """Sentence of the panel of the same target."""
    show = units.show
    springs, cylinders = result.springs, result.cylinders
    words = (
        f"For {percent(result.share)} of the rows with at least {show('force', result.least_load)} the mean "
        f"row carries {show('force', springs.shares.mean)} with springs and "
        f"{show('force', cylinders.shares.mean)} with cylinders ({show('pressure', cylinders.setting)}); "
        f"{percent(springs.shares.packing)} and {percent(cylinders.shares.packing)} of the rows carry over "
        f"{show('force', result.heavy_load)}."
    )
    for one in (springs, cylinders):
        if not one.reached:
            words += f" The {one.name} end before that, at {percent(1 - one.shares.short, 1)} of the rows."
    lifting = [one.name for one in (springs, cylinders) if one.lifts]
    if lifting:
        empty = ", hopper empty" if result.hopper else ""
        words += f" With the {' and with the '.join(lifting)} the frame would lift first{empty}."
    return words


def width_words(result: WidthResult, units: UnitSystem):
    """Sentence of the panel about the width of a reading."""
    show, width, oil = units.show, result.width, result.oil
    words = (
        f"{show('pressure', width.gauge_pressure)} on the gauge is {show('force', width.moving)} on the "
        f"gauge wheel at work, give or take {show('force', width.likely)}; with oil of "
        f"{show('temperature', oil.oil_temperature)} droop makes {show('force', width.load_from_droop)} of "
        f"that and the hoses {show('force', width.load_from_lines)}. {_standing_words(width, units)}."
    )
    if oil.starved > 0:
        words += f" On {percent(oil.starved)} of this ground the tractor falls short and no oil presses."
    beyond = oil.beyond_words(lambda limit: limit_text(units, limit))
    return f"{words} {beyond[0].upper()}{beyond[1:]}." if beyond else words


def _standing_words(width, units):
    show = units.show
    more = width.standing - width.moving
    if abs(more) < 0.5:
        return "After stopping the wheel carries the same"
    change = f"{show('force', abs(more))} {'more' if more > 0 else 'less'}"
    words = f"After stopping, a hand finds {show('force', width.standing)}, {change}"
    if abs(width.standing_free - width.standing) < 0.5:
        return words
    return f"{words}; with all draft gone {show('force', width.standing_free)}"


def _why(setting, units):
    """What follows "Set 60 bar (870 psi)"."""
    aim = setting.case.field.aim
    load, needed = units.show("force", aim.gauge_wheel_load), units.show("pressure", setting.needed)
    if setting.decided_by == "wanted load":
        return f" for the wanted {load} on the gauge wheel of the mean row"
    if setting.decided_by == "share":
        return (
            f": {percent(aim.share_in)} of the rows have {units.show('force', aim.least_load)} or more there"
        )
    if setting.decided_by == "packing":
        return ": above it too many rows pack"
    if setting.decided_by == "best":
        return ": most rows have enough there"
    if setting.decided_by == "floor":
        return f": {setting.floor.words} allows no less; {load} on the mean row would take {needed}"
    more = "going higher takes more weight" if setting.limit.by_weight else "these parts end there"
    return f", the ceiling ({setting.ceiling_set_by}): {more}"
