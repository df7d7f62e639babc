"""The pressures that have a say in a setting, as sentences, with limits never rounded up."""

from dataclasses import dataclass

import numpy as np

from downforce.study.frame_lift import HITCH
from downforce.study.setting.row_needs import ALLOWED_PACKING

LIMITS = ("frame lift", "headroom", "chance of lift", "parts")
"""Names of the reasons that are upper limits [-]."""


@dataclass(frozen=True)
class Reason:
    """One pressure that has a say in the setting.

    Attributes
    ----------
    name : str [-]
        Short name.
    gauge_pressure : float [Pa]
        The pressure.
    text : str [-]
        A sentence for the operator, in the units of the drill's owner with the others in brackets.
    limit : bool [-]
        Whether it is an upper limit, which is never rounded up.
    """

    name: str
    gauge_pressure: float
    text: str
    limit: bool = False

    def shown(self, units):
        """The pressure in both unit systems.

        Parameters
        ----------
        units : UnitSystem [-]
            The one to write first.

        Returns
        -------
        str [-]
            Such as "78 bar (1130 psi)".
        """
        return (at_most if self.limit else _both)(units, self.gauge_pressure)


def rounded(units, gauge_pressure, rounding):
    """A pressure on a step that a gauge is read to.

    Parameters
    ----------
    units : UnitSystem [-]
        Whose steps.
    gauge_pressure : float [Pa]
        The pressure.
    rounding : callable [-]
        numpy's round, floor for an upper limit, or ceil for a lower one.

    Returns
    -------
    float [Pa]
        The pressure to print.
    """
    step = units.step("pressure")
    # A limit that stands on a step must not fall to the step below for a float's sake.
    steps = rounding(np.round(units.number("pressure", gauge_pressure) / step, 6))
    return float(units.si("pressure", steps * step))


def inside(units, gauge_pressure, band, ceiling):
    """The step of a gauge next to a pressure that is inside a band.

    Parameters
    ----------
    units : UnitSystem [-]
        Whose steps.
    gauge_pressure : float [Pa]
        The pressure.
    band : pair of float [Pa]
        Its ends. Where it holds no step, the step above it is taken: below it may be what cannot be set.
    ceiling : float [Pa]
        Never above this.

    Returns
    -------
    float [Pa]
        The pressure to print.
    """
    low, high = (rounded(units, end, way) for end, way in zip(band, (np.ceil, np.floor), strict=True))
    if low > high:
        low = high = min(low, rounded(units, ceiling, np.floor))
    return min(max(rounded(units, gauge_pressure, np.round), low), high)


def limit_text(units, gauge_pressure):
    """Text of an upper limit, rounded down, so that every page prints the same one.

    Parameters
    ----------
    units : UnitSystem [-]
        Units to write in.
    gauge_pressure : float [Pa]
        The limit.

    Returns
    -------
    str [-]
        Such as "78 bar".
    """
    if not np.isfinite(gauge_pressure):
        return units.show("pressure", gauge_pressure)
    return units.show("pressure", rounded(units, gauge_pressure, np.floor))


def at_most(units, gauge_pressure):
    """Text of an upper limit in both unit systems, rounded down in each.

    Parameters
    ----------
    units : UnitSystem [-]
        The one to write first.
    gauge_pressure : float [Pa]
        The limit.

    Returns
    -------
    str [-]
        Such as "78 bar (1130 psi)".
    """
    if not np.isfinite(gauge_pressure):
        return units.show("pressure", gauge_pressure)
    return f"{limit_text(units, gauge_pressure)} ({limit_text(units.other, gauge_pressure)})"


def setting_reasons(units, aim, limits, found):
    """Every pressure that has a say in a setting, each with its sentence.

    Parameters
    ----------
    units : UnitSystem [-]
        Units to write in.
    aim : Aim [-]
        What the grower wants.
    limits : PressureLimits [Pa]
        What the parts allow.
    found : dict [-]
        The other pressures, by their names in `PressureSetting`.

    Returns
    -------
    tuple of Reason [-]
        From the lowest pressure up.
    """

    def both(gauge_pressure):
        return _both(units, gauge_pressure)

    def load(newtons):
        return units.both("force", newtons)

    said = [
        ("lowest setting", limits.lowest, _lowest_words(units, limits, found["limit"].gauge_pressure)),
        (
            "wanted load",
            found["needed"],
            f"{both(found['needed'])} leaves the mean row {load(aim.gauge_wheel_load)} on its gauge wheel."
            if found["needed"] > 0
            else f"The weight alone leaves the mean row {load(aim.gauge_wheel_load)} or more.",
        ),
        ("frame lift", float(found["lift"].lowest), _lift_words(units, found["lift"])),
        (
            "headroom",
            found["lift_with_headroom"],
            f"{at_most(units, found['lift_with_headroom'])} keeps {100 * aim.headroom:.0f} % of the weight "
            "in hand for bumps.",
        ),
        (
            "chance of lift",
            found["lift_with_chance"],
            f"At {at_most(units, found['lift_with_chance'])} the frame lifts in 1 case of 20, so far as the "
            "numbers in the files and the gauge are known.",
        ),
        (
            "parts",
            limits.highest,
            f"{limits.top.words[:1].upper()}{limits.top.words[1:]} is {at_most(units, limits.highest)}.",
        ),
        (
            "wheel tracks",
            found["needed_in_tracks"],
            f"Rows in wheel tracks need {both(found['needed_in_tracks'])} for the same load.",
        ),
        (
            "enough rows",
            found["needed_for_share"],
            f"{both(found['needed_for_share'])} gives {100 * aim.share_in:.0f} % of the rows at least "
            f"{load(aim.least_load)}.",
        ),
        (
            "most rows with enough",
            found["best"],
            f"At {both(found['best'])} most rows have enough and do not pack.",
        ),
        (
            "packing rows",
            found["packing_at"],
            f"Above {both(found['packing_at'])} more than {100 * ALLOWED_PACKING / aim.packing_counts:g} % "
            f"of the rows off the upper stop carry over {load(aim.heavy_load)}.",
        ),
    ]
    # A pressure that does not exist has no say; that the frame never lifts is worth a sentence.
    kept = [
        Reason(*parts, parts[0] in LIMITS)
        for parts in said
        if np.isfinite(parts[1]) or parts[0] == "frame lift"
    ]
    return tuple(sorted(kept, key=lambda reason: reason.gauge_pressure))


def _both(units, gauge_pressure):
    return units.both("pressure", gauge_pressure)


def _lowest_words(units, limits, ceiling):
    lowest = units.both("pressure", limits.lowest)
    if ceiling < limits.lowest:
        return (
            f"Below {lowest} {limits.floor.words} keeps the oil from going lower, and that is above the "
            "ceiling: do not press these openers at all."
        )
    return f"Below {lowest} {limits.floor.words} keeps the oil from going lower."


def _lift_words(units, lift):
    if not np.isfinite(lift.lowest):
        return "The frame does not lift at any pressure in this soil."
    above = "it rises, and its gauge wheels get only part of what the gauge adds"
    if lift.first_support == HITCH:
        above = "the drill pulls the drawbar up harder than it may"
    return (
        f"At {at_most(units, lift.lowest)} the {lift.first_section} goes light ({lift.first_support}); "
        f"above that {above}."
    )
