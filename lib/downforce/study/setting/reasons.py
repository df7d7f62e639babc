"""Why a setting is what it is and what it does, in words, with limits never rounded up.

The pressures that have a say stand as sentences; what the setting does is told in rows of ten, and whether
the field's aim is met.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf, isfinite

import numpy as np

from downforce.machine.unit_table import UnitSystem, percent
from downforce.physics.kinds import Pascal
from downforce.study.cylinders.force_needs import PressureLimits
from downforce.study.frame_lift import HITCH
from downforce.study.setting.row_needs import ALLOWED_PACKING

LIMITS = ("frame lift", "headroom", "chance of lift", "parts")
"""Names of the reasons that are upper limits [-]."""
LOWEST = "lowest setting"
"""Name of the one that is a lower limit [-]."""


@dataclass(frozen=True)
class Reason:
    """One pressure that has a say in the setting.

    text: a sentence for the operator, in the units of the drill's owner with the others in brackets.
    limit: whether it is an upper limit, which is never rounded up.
    ceiling: of a lowest setting, which is rounded up: the ceiling, which it is never printed above.
    """

    name: str
    gauge_pressure: Pascal
    text: str
    limit: bool = False
    ceiling: Pascal | None = None

    def shown(self, units: UnitSystem) -> str:
        """The pressure in both unit systems."""
        if self.ceiling is not None:
            return pressure_text(units, self.gauge_pressure, self.ceiling, up=True)
        return pressure_text(units, self.gauge_pressure, self.gauge_pressure if self.limit else inf)


def rounded(units: UnitSystem, gauge_pressure: Pascal, rounding: Callable) -> Pascal:
    """A pressure on a step that a gauge is read to.

    rounding: numpy's round, floor for an upper limit, or ceil for a lower one.
    """
    step = units.step("pressure")
    # A limit that stands on a step must not fall to the step below for a float's sake.
    steps = rounding(np.round(units.number("pressure", gauge_pressure) / step, 6))
    return float(units.si("pressure", steps * step))


def inside(units: UnitSystem, gauge_pressure: Pascal, band: tuple[Pascal, Pascal], ceiling: Pascal) -> Pascal:
    """The step of a gauge next to a pressure that is inside a band.

    band: its ends. Where it holds no step, the step above it is taken: below it may be what cannot be set.
    ceiling: never above this.
    """
    low, high = (rounded(units, end, way) for end, way in zip(band, (np.ceil, np.floor), strict=True))
    if low > high:
        low = high = min(low, rounded(units, ceiling, np.floor))
    return min(max(rounded(units, gauge_pressure, np.round), low), high)


def in_both(units: UnitSystem, printed: Callable):
    """A pressure in both unit systems, each as it is printed there.

    Result: such as "78 bar (1130 psi)"; "no value" where there is none.
    """
    first, second = (each.show("pressure", printed(each)) for each in (units, units.other))
    return f"{first} ({second})" if isfinite(printed(units)) else first


def pressure_text(units: UnitSystem, gauge_pressure: Pascal, limit: Pascal = inf, up=False):
    """A pressure in both unit systems, rounded as usual but never up past a limit.

    up: whether to round up, for the lowest that can be set.
    """
    return in_both(units, lambda each: _kept(each, gauge_pressure, limit, up))


def floor_text(units, gauge_pressure, ceiling=inf):
    """Text of the lowest that can be set: rounded up, but never past the ceiling, as a start there is."""
    return units.show("pressure", _kept(units, gauge_pressure, ceiling, up=True))


def limit_text(units, gauge_pressure):
    """Text of an upper limit, rounded down, so that every page prints the same one, such as "78 bar"."""
    return units.show("pressure", _kept(units, gauge_pressure, gauge_pressure))


def at_most(units, gauge_pressure):
    """The same in both unit systems, such as "78 bar (1130 psi)"."""
    return pressure_text(units, gauge_pressure, gauge_pressure)


def setting_reasons(units: UnitSystem, limits: PressureLimits, found) -> tuple[Reason, ...]:
    """Every pressure that has a say in a setting, each with its sentence.

    Result: from the lowest pressure up.
    """
    aim = found.case.field.aim

    def both(gauge_pressure):
        return units.both("pressure", gauge_pressure)

    def load(newtons):
        return units.both("force", newtons)

    said = [
        (LOWEST, limits.lowest, _lowest_words(units, limits, found.limit.gauge_pressure)),
        (
            "wanted load",
            found.needed,
            f"{both(found.needed)} leaves the mean row {load(aim.gauge_wheel_load)} on its gauge wheel."
            if found.needed > 0
            else f"The weight alone leaves the mean row {load(aim.gauge_wheel_load)} or more.",
        ),
        ("frame lift", float(found.lift.lowest), _lift_words(units, found.lift)),
        (
            "headroom",
            found.lift_with_headroom,
            f"{at_most(units, found.lift_with_headroom)} keeps {percent(aim.headroom)} of the weight "
            "in hand for bumps.",
        ),
        (
            "chance of lift",
            found.lift_with_chance,
            f"At {at_most(units, found.lift_with_chance)} the frame lifts in 1 case of 20, so far as the "
            "numbers in the files and the gauge are known.",
        ),
        (
            "parts",
            limits.highest,
            f"{limits.top.words[:1].upper()}{limits.top.words[1:]} is {at_most(units, limits.highest)}.",
        ),
        (
            "wheel tracks",
            found.needed_in_tracks,
            f"Rows in wheel tracks need {both(found.needed_in_tracks)} for the same load.",
        ),
        (
            "enough rows",
            found.needed_for_share,
            f"{both(found.needed_for_share)} gives {percent(aim.share_in)} of the rows at least "
            f"{load(aim.least_load)}.",
        ),
        (
            "most rows with enough",
            found.best,
            f"At {both(found.best)} most rows have enough and do not pack.",
        ),
        (
            "packing rows",
            found.packing_at,
            f"Above {both(found.packing_at)} more than {percent(ALLOWED_PACKING / aim.packing_counts)} "
            f"of the rows off the upper stop carry over {load(aim.heavy_load)}.",
        ),
    ]
    # A pressure that does not exist has no say; that the frame never lifts is worth a sentence.
    ceiling = _above(limits.lowest, found.limit.gauge_pressure)
    kept = [
        Reason(*parts, parts[0] in LIMITS, ceiling if parts[0] == LOWEST else None)
        for parts in said
        if np.isfinite(parts[1]) or parts[0] == "frame lift"
    ]
    return tuple(sorted(kept, key=lambda reason: reason.gauge_pressure))


def _kept(units, gauge_pressure, limit, up=False):
    """A pressure as it is printed: next to its step or above it, never above the step below a limit."""
    if not isfinite(gauge_pressure):
        return gauge_pressure
    at = rounded(units, gauge_pressure, np.ceil if up else np.round)
    return min(at, rounded(units, limit, np.floor)) if isfinite(limit) else at


def _above(lowest, ceiling):
    """A ceiling, as far as there is a setting below it."""
    return ceiling if ceiling >= lowest else inf


def _lowest_words(units, limits, ceiling):
    lowest = pressure_text(units, limits.lowest, _above(limits.lowest, ceiling), up=True)
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


@dataclass(frozen=True)
class RowsInTen:
    """Of ten rows: how many have enough, are short and pack, and how many of the short are not at depth.

    The first three add up to ten. `some` names those that are too few for one row in ten and not none.
    """

    enough: int
    short: int
    packing: int
    not_at_depth: int
    some: tuple[str, ...]


def rows_in_ten(shares):
    """Shares of rows as whole rows of ten: rounded by the largest remainder, so that they add up."""
    parts = 10.0 * np.array([shares.enough, shares.short, shares.packing])
    whole = np.floor(parts + 1e-9).astype(int)
    for place in np.argsort(whole - parts, kind="stable")[: 10 - whole.sum()]:
        whole[place] += 1
    enough, short, packing = (int(rows) for rows in whole)
    not_at_depth = min(round(10.0 * shares.not_at_depth), short)
    counted = {"short": short, "packing": packing, "not_at_depth": not_at_depth}
    some = tuple(name for name, rows in counted.items() if rows == 0 and getattr(shares, name) >= 0.001)
    return RowsInTen(enough, short, packing, not_at_depth, some)


def verdict_words(shares):
    """What the rows carry, such as "8 rows in 10 have enough, 1 is short, 1 packs"."""
    rows = rows_in_ten(shares)
    short = _rows(rows.short, "is short", "are short", "short" in rows.some)
    if rows.short and rows.not_at_depth:
        deep = "" if rows.not_at_depth == rows.short else f"{rows.not_at_depth} of them "
        short += f" ({deep}not at depth)"
    packing = _rows(rows.packing, "packs", "pack", "packing" in rows.some)
    enough = _rows(rows.enough, "row in 10 has enough", "rows in 10 have enough", False).replace("none", "no")
    return f"{enough}, {short}, {packing}"


def aim_words(setting, units):
    """Whether the field's aim is met, with the share that has its least load."""
    aim = setting.case.field.aim
    wish = f"{percent(aim.share_in)} of the rows with {units.show('force', aim.least_load)} or more"
    if setting.aim_met:
        return f"The aim, {wish}, is met"
    have = 1.0 - setting.shares.short
    # A share that just fails must not be rounded up to the one asked for, nor a few rows to none.
    reached = max(np.floor(100 * have + 1e-6) / 100, min(have, 0.005))
    return f"The aim, {wish}, is not met: {percent(reached)} have it"


def sure_words(setting, units):
    """The intervals of setting and lift, and how sure it is that the frame stays down."""
    if not np.isfinite(setting.lift.lowest):
        return f"{range_words(setting.interval, units)} may be right; the frame does not lift at any pressure"
    lift, first = at_most(units, float(setting.lift.lowest)), setting.lift.first_section
    ends = lift_range_words(setting.lift_interval, units, " and ")
    return (
        f"{range_words(setting.interval, units)} may be right (90 %); the {first} lifts at {lift}, between "
        f"{ends}, and stays down here in {_cases(setting.sure)}, {_in_hand(setting)}"
    )


def straw_words(field):
    """What straw does to the draft, and where more force cures no hairpinning; empty without straw."""
    if field.straw is None:
        return ""
    said = f"Straw raises the draft to {percent(field.straw.draft_factor)} of that without"
    if field.hairpins:
        return (
            f"{said}; damp, on soil as soft as this, it is folded into the slot uncut, and more force does "
            "not cure that: wait until it is dry, or clear the rows"
        )
    if field.straw.state == "damp":
        return f"{said}; damp, it asks for sharp discs as much as for force: look for straw in the slot"
    return said


def verdict_short(shares):
    """The verdict in the few words of a card, such as "8 in 10 enough, 1 short, 1 packs"."""
    rows = rows_in_ten(shares)
    short, packing = (
        "hardly any" if name in rows.some else getattr(rows, name) or "none" for name in ("short", "packing")
    )
    all_of_them = rows.not_at_depth == rows.short
    deep = f" ({'' if all_of_them else f'{rows.not_at_depth} '}not at depth)" if rows.not_at_depth else ""
    packs = "packs" if rows.packing == 1 else "pack"
    return f"{rows.enough or 'no row'} in 10 enough, {short} short{deep}, {packing} {packs}"


def sure_short(setting, units):
    """Intervals of setting and lift in the few words of a card, and how sure the frame stays down."""
    said = f"90 %: setting {range_words(setting.interval, units)}"
    if not np.isfinite(setting.lift.lowest):
        return f"{said}; the frame does not lift at any pressure"
    lift, hand = lift_range_words(setting.lift_interval, units), percent(max(setting.headroom, 0.0))
    weight = "" if setting.headroom > 1 else f", {hand} of the weight in hand"
    return f"{said}, lift {lift}; stays down in {_cases(setting.sure)}{weight}"


def range_words(ends, units, to=" to "):
    """Two ends of an interval of pressures, such as "52 to 75 bar"."""
    low, high = (units.show("pressure", end) for end in ends)
    return high if low == high else f"{low.split(' ')[0]}{to}{high}"


def lift_range_words(ends, units, to=" to "):
    """The same of a lift: its low end is the red line, and rounded down like that."""
    return range_words((rounded(units, ends[0], np.floor), ends[1]), units, to)


def _rows(count, one, many, some):
    if count == 0:
        return f"hardly any {many}" if some else f"none {one}"
    return f"{count} {one if count == 1 else many}"


def _cases(share):
    """A probability as cases of a hundred, never said to be sure."""
    return f"{min(np.floor(100 * share + 1e-9), 99):.0f} cases of 100"


def _in_hand(setting):
    if setting.headroom > 1:
        return "while the openers still press on the ground by themselves"
    return f"with {percent(max(setting.headroom, 0.0))} of the weight in hand"
