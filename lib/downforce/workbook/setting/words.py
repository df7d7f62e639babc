"""What the pressure workbook's panels show, and the sentences that say it."""

from dataclasses import dataclass

from downforce.machine.field import Aim
from downforce.study.oil.band import OilBand
from downforce.study.pressure_setting import PressureSetting
from downforce.study.setting.gauge_face import GaugeFace
from downforce.study.setting.gauge_to_load import LoadSteps
from downforce.study.setting.reading_width import ReadingWidth
from downforce.study.setting.reasons import at_most
from downforce.study.setting.same_target import Pressed, TurnedUp


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
    """

    place: int
    name: str
    steps: LoadSteps
    wanted: float
    needed: float
    highest: float


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
    """

    springs: Pressed
    cylinders: Pressed


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
    """

    springs: TurnedUp
    cylinders: TurnedUp
    share: float
    least_load: float
    heavy_load: float


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
    back = f"For {show('force', result.wanted)} on the gauge wheel set {show('pressure', result.needed)}"
    if result.needed > result.highest:
        limit = show("pressure", result.highest)
        return f"{forth} {back}, but the parts end at {limit}: this soil asks for more than they give."
    return f"{forth} {back}."


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
    setting = result.setting
    low, high = (units.show("pressure", end) for end in setting.band)
    advice = f"Set {setting.words(units)}. "
    advice += f"{_why(setting, result.aim.gauge_wheel_load, units)} "
    if setting.band[1] - setting.band[0] > units.si("pressure", units.step("pressure")):
        advice += f"From {low} to {high} will do. "
    shares = setting.shares
    too_much = units.show("force", result.aim.heavy_load)
    rows = (
        f"There {shares.light:.0%} of the rows are light and {shares.heavy:.0%} heavy, "
        f"over {too_much} in {result.moisture} soil."
    )
    other = setting.words_for_share(units, result.aim)
    rows += "".join(f" {said}." for said in (other, setting.stop_words) if said)
    return f"{advice}{rows} {_lift(setting, units)}"


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
    heavy = [one.shares.heavy for one in (result.springs, result.cylinders)]
    return (
        f"At the same push at working height, height gives the springs a spread of "
        f"{show('force', springs.height)} and soil {show('force', springs.soil)}, "
        f"{show('force', springs.together)} together. Cylinders keep {show('force', cylinders.height)} from "
        f"height, and {show('force', cylinders.soil)} from soil: they take away the height part, not the "
        f"soil part. {heavy[0]:.0%} of the rows are heavy with springs, {heavy[1]:.0%} with cylinders."
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
    target = f"{result.share:.0%} of the rows with at least {show('force', result.least_load)}"
    words = (
        f"For {target}, springs must give {show('force', springs.down_force)} at the disc and cylinders "
        f"{show('force', cylinders.down_force)} ({show('pressure', cylinders.setting)}). The mean row then "
        f"carries {show('force', springs.shares.mean)} with springs and "
        f"{show('force', cylinders.shares.mean)} with cylinders; {springs.shares.heavy:.0%} and "
        f"{cylinders.shares.heavy:.0%} of the rows carry over {show('force', result.heavy_load)}."
    )
    for one in (springs, cylinders):
        if not one.reached:
            words += (
                f" The {one.name} end before that: {1 - one.shares.light:.0%} of the rows is all they reach."
            )
    lifting = [one.name for one in (springs, cylinders) if one.lifts]
    if lifting:
        words += (
            f" With the {' and with the '.join(lifting)} the frame would lift first, so this cannot be had "
            "with an empty hopper: weight comes first."
        )
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
    words = _reading_words(result.width, units)
    return f"{words} {_oil_words(result.width, result.oil, units)}"


def _oil_words(width, oil, units):
    show = units.show
    words = (
        f"With oil of {show('temperature', oil.oil_temperature)} the valve's droop makes "
        f"{show('force', width.load_from_droop)} of that and the hoses {show('force', width.load_from_lines)}"
    )
    if oil.starved == 0:
        return f"{words}."
    share = f"{oil.starved:.0%}" if oil.starved >= 0.005 else "under 1%"
    return f"{words}, while the tractor gives enough; on {share} of this ground no oil presses at all."


def _reading_words(result, units):
    show = units.show
    reading, moving = show("pressure", result.gauge_pressure), show("force", result.moving)
    words = (
        f"{reading} on the gauge is {moving} on the gauge wheel at work, give or take "
        f"{show('force', result.likely)}, at worst {show('force', result.worst)} "
        f"({show('pressure', result.worst_pressure)})."
    )
    more = result.standing - result.moving
    if abs(more) < 0.5:
        return f"{words} After stopping the wheel carries the same."
    change = f"{show('force', abs(more))} {'more' if more > 0 else 'less'}"
    words = f"{words} After stopping, a hand finds {show('force', result.standing)}, {change}"
    if abs(result.standing_free - result.standing) < 0.5:
        return f"{words}."
    return f"{words}; with all draft gone it would be {show('force', result.standing_free)}."


def _why(setting, wanted, units):
    load = units.show("force", wanted)
    if setting.set_by == "wanted load":
        return f"It leaves {load} on the gauge wheel of the mean row."
    needed = units.show("pressure", setting.needed)
    if setting.set_by == "heavy rows":
        return f"{load} would take {needed}, but then too many rows would be heavy."
    if not setting.reached:
        limit = setting.ceiling_set_by
        first = "more weight comes first" if limit.startswith("frame lift") else "these parts end there"
        return f"{load} would take {needed}, above the ceiling ({limit}): {first}."
    if setting.set_by == "least load":
        return "It leaves the least load on the mean row."
    return f"{load} would take only {needed}, but {setting.set_by} keeps the pressure higher."


def _lift(setting, units):
    lift = setting.lift
    if setting.lift_with_headroom == float("inf"):
        return "The frame does not lift at any pressure."
    headroom = f"{max(setting.headroom, 0.0):.0%} of the weight is in hand"
    if setting.headroom > 1:
        headroom = "the openers still press on the ground by themselves"
    return f"The {lift.first_section} lifts at {at_most(units, lift.lowest)}; {headroom}."
