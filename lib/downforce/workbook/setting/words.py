"""What the pressure workbook's panels show, and the sentences that say it."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.field import Aim
from downforce.study.oil.band import OilBand
from downforce.study.pressure_setting import PressureSetting
from downforce.study.setting.gauge_face import GaugeFace
from downforce.study.setting.gauge_to_load import LoadSteps
from downforce.study.setting.reading_width import ReadingWidth
from downforce.study.setting.reasons import at_most, limit_text, rounded
from downforce.study.setting.same_target import Pressed, TurnedUp
from downforce.workbook.style import percent


@dataclass(frozen=True)
class LadderResult:
    """What the ladder panel shows.

    Attributes
    ----------
    place : int [-]
        Which soil is chosen.
    name : str [-]
        Its name.
    steps : LoadSteps [N]
        What the chosen pressure becomes.
    wanted : float [N]
        The wanted gauge-wheel load.
    needed : float [Pa]
        The pressure for it.
    highest : float [Pa]
        Highest pressure of the parts.
    lift : float [Pa]
        Where the frame lifts on that field, hopper empty.
    """

    place: int
    name: str
    steps: LoadSteps
    wanted: float
    needed: float
    highest: float
    lift: float


@dataclass(frozen=True)
class TodayResult:
    """What the setting panel shows.

    Attributes
    ----------
    setting : PressureSetting [Pa]
        The setting with its reasons.
    face : GaugeFace [Pa]
        The gauge with today's band.
    aim : Aim [-]
        What the grower wants.
    moisture : str [-]
        Of the soil at seed depth; wet soil is packed by less.
    """

    setting: PressureSetting
    face: GaugeFace
    aim: Aim
    moisture: str


@dataclass(frozen=True)
class SpreadResult:
    """What the spread panel shows.

    Attributes
    ----------
    springs, cylinders : Pressed [N]
        What the rows carry.
    heavy_load : float [N]
        From where a row counts as packing.
    """

    springs: Pressed
    cylinders: Pressed
    heavy_load: float


@dataclass(frozen=True)
class TurnUpResult:
    """What the panel of the same target shows.

    Attributes
    ----------
    springs, cylinders : TurnedUp [-]
        Each turned up as far as it takes.
    share : float [-]
        Wanted share of rows.
    least_load, heavy_load : float [N]
        Bounds of too little and too much.
    hopper : bool [-]
        Whether seed stands on the frame, so that the frame is lighter when it is gone.
    """

    springs: TurnedUp
    cylinders: TurnedUp
    share: float
    least_load: float
    heavy_load: float
    hopper: bool


@dataclass(frozen=True)
class WidthResult:
    """What the panel about the width of a reading shows.

    Attributes
    ----------
    width : ReadingWidth [Pa, N]
        The reading and how wide it is.
    oil : OilBand [Pa]
        What moving oil does to the pressure.
    """

    width: ReadingWidth
    oil: OilBand


def ladder_words(result, units):
    """Sentence of the ladder panel.

    Parameters
    ----------
    result : LadderResult [-]
        What the panel computed.
    units : UnitSystem [-]
        Units to write in.

    Returns
    -------
    str [-]
        Both ways: from the gauge to the load and back.
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
        return f"{forth} For {show('force', result.wanted)} on the gauge wheel set {needed}."
    who = "the frame lifts" if result.lift <= result.highest else "the parts end"
    limit = limit_text(units, min(result.highest, result.lift))
    return f"{forth} {show('force', result.wanted)} would take {needed}, but {who} at {limit}."


def today_words(result, units):
    """Sentence of the setting panel.

    Parameters
    ----------
    result : TodayResult [-]
        What the panel computed.
    units : UnitSystem [-]
        Units to write in.

    Returns
    -------
    str [-]
        What to set, within which band, and what decides.
    """
    setting, shares = result.setting, result.setting.shares
    words = f"Set {setting.words(units)}{_why(setting, result.aim.gauge_wheel_load, units)}"
    if setting.reached and setting.band[1] - setting.band[0] > units.si("pressure", units.step("pressure")):
        words += f"; {band_words(setting, units)} will do"
    too_much, short = units.show("force", result.aim.heavy_load), percent(shares.short)
    return (
        f"{words}. {short[:1].upper()}{short[1:]} of the rows are short and {percent(shares.packing)} "
        f"packing, over {too_much} in {result.moisture} soil; {_lift(setting, units)}."
    )


def today_facts(result, units):
    """Facts of the setting panel's picture that its sentence leaves out.

    Parameters
    ----------
    result : TodayResult [-]
        What the panel computed.
    units : UnitSystem [-]
        Units to write in.

    Returns
    -------
    tuple of str [-]
        What enough rows would take, rows on a stop, and every pressure that has a say.
    """
    setting = result.setting
    reasons = ", ".join(f"{reason.name} {reason.shown(units)}" for reason in setting.reasons)
    return setting.words_for_share(units, result.aim), setting.stop_words, f"in the scale: {reasons}"


def band_words(setting, units):
    """Ends of a band, rounded so that what is printed is inside it.

    Parameters
    ----------
    setting : PressureSetting [Pa]
        The setting.
    units : UnitSystem [-]
        Units to write in.

    Returns
    -------
    str [-]
        Such as "54 bar to 77 bar"; one pressure where the band is narrower than a step.
    """
    ends = (rounded(units, end, way) for end, way in zip(setting.band, (np.ceil, np.floor), strict=True))
    low, high = (units.show("pressure", end) for end in ends)
    narrow = setting.band[1] - setting.band[0] < units.si("pressure", units.step("pressure"))
    return units.show("pressure", setting.to_set(units)) if narrow or low == high else f"{low} to {high}"


def spread_words(result, units):
    """Sentence of the spread panel.

    Parameters
    ----------
    result : SpreadResult [-]
        What the panel computed.
    units : UnitSystem [-]
        Units to write in.

    Returns
    -------
    str [-]
        Height and soil apart, for springs and for cylinders.
    """
    show = units.show
    springs, cylinders = result.springs.parts, result.cylinders.parts
    heavy = [percent(one.shares.packing) for one in (result.springs, result.cylinders)]
    return (
        f"Springs spread by {show('force', springs.height)} from height and {show('force', springs.soil)} "
        f"from soil; cylinders by {show('force', cylinders.height)} from height and "
        f"{show('force', cylinders.soil)} from soil. Over {show('force', result.heavy_load)} are {heavy[0]} "
        f"of the rows with springs, {heavy[1]} with cylinders."
    )


def turn_up_words(result, units):
    """Sentence of the panel of the same target.

    Parameters
    ----------
    result : TurnUpResult [-]
        What the panel computed.
    units : UnitSystem [-]
        Units to write in.

    Returns
    -------
    str [-]
        What the target costs each of them.
    """
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
            words += f" The {one.name} end before that, at {100 * (1 - one.shares.short):.1f} % of the rows."
    lifting = [one.name for one in (springs, cylinders) if one.lifts]
    if lifting:
        empty = ", hopper empty" if result.hopper else ""
        words += f" With the {' and with the '.join(lifting)} the frame would lift first{empty}."
    return words


def width_words(result, units):
    """Sentence of the panel about the width of a reading.

    Parameters
    ----------
    result : WidthResult [-]
        What the panel computed.
    units : UnitSystem [-]
        Units to write in.

    Returns
    -------
    str [-]
        What a reading means, moving and standing, and what of it the oil makes.
    """
    show, width, oil = units.show, result.width, result.oil
    words = (
        f"{show('pressure', width.gauge_pressure)} on the gauge is {show('force', width.moving)} on the "
        f"gauge wheel at work, give or take {show('force', width.likely)}; with oil of "
        f"{show('temperature', oil.oil_temperature)} droop makes {show('force', width.load_from_droop)} of "
        f"that and the hoses {show('force', width.load_from_lines)}. {_standing_words(width, units)}."
    )
    if oil.starved == 0:
        return words
    return f"{words} On {percent(oil.starved)} of this ground the tractor falls short and no oil presses."


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


def _why(setting, wanted, units):
    """What follows "Set 60 bar (870 psi)"."""
    load = units.show("force", wanted)
    if setting.set_by == "wanted load":
        return f": it leaves {load} on the gauge wheel of the mean row"
    needed = units.show("pressure", setting.needed)
    if setting.set_by == "packing rows":
        return f": {load} would take {needed}, but then too many rows would pack"
    if not setting.reached:
        limit = setting.ceiling_set_by
        first = "more weight comes first" if setting.limit.by_weight else "these parts end there"
        return f": {load} would take {needed}, above the ceiling ({limit}); {first}"
    if setting.set_by == "least load":
        return ": it leaves the least load on the mean row"
    return f": {load} would take only {needed}, but {setting.set_by} keeps the pressure higher"


def _lift(setting, units):
    if setting.lift_with_headroom == float("inf"):
        return "the frame does not lift at any pressure"
    lift = setting.lift
    headroom = f"{percent(max(setting.headroom, 0.0))} of the weight in hand"
    if setting.headroom > 1:
        headroom = "while the openers still press on the ground by themselves"
    return f"the {lift.first_section} lifts at {at_most(units, lift.lowest)}, {headroom}"
