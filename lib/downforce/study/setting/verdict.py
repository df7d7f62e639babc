"""What a setting does, in rows of ten, and whether the field's aim is met."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.unit_display import percent
from downforce.study.setting.reasons import at_most


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
    ends = range_words(setting.lift_interval, units, " and ")
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
    lift, hand = range_words(setting.lift_interval, units), percent(max(setting.headroom, 0.0))
    weight = "" if setting.headroom > 1 else f", {hand} of the weight in hand"
    return f"{said}, lift {lift}; stays down in {_cases(setting.sure)}{weight}"


def range_words(ends, units, to=" to "):
    """Two ends of an interval of pressures, such as "52 to 75 bar"."""
    low, high = (units.show("pressure", end) for end in ends)
    return f"{low.split(' ')[0]}{to}{high}"


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
