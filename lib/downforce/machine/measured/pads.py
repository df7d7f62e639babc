"""Readings of load pads under the wheels and the hitch of a drill, from a CSV file."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from downforce.machine.measured.columns import BY_ROW, Column, Table
from downforce.machine.unit_table import KINDS
from downforce.physics.checks import GRAVITY
from downforce.physics.kinds import Newtons, Ratios, Wholes

LOAD_UNITS = {
    **{unit: KINDS["mass"].units[unit] * GRAVITY for unit in ("kg", "t", "lb")},
    **{unit: KINDS["force"].units[unit] for unit in ("N", "daN", "kN", "lbf", "kgf")},
}
"""Units the load column's name may end with, in newtons [N]."""

OPENERS = ("raised", "on the ground")
"""How the openers may stand; on the ground: without oil pressure or spring, by their own weight [-]."""

HEAVIEST = 50e3 * GRAVITY
"""More than any wheel of a drill carries [N]. Our own limit."""
MOST_READINGS, MOST_PADS, MOST_STATES = 2000, 50, 20
"""Readings, pads and hopper fills of one weighing [-]. Our own limits."""

_COLUMNS = (
    Column("openers", "openers"),
    Column(
        "hopper", "hopper_percent", True, {"percent": 0.01}, (0.0, 1.0), "{cell!r} must be from 0 to 100."
    ),
    Column("support", "support"),
    Column("load", "load_kg", True, LOAD_UNITS, (0.0, HEAVIEST), "{cell!r} must be {low} to {high}."),
    Column("pad", "pad", needed=False),
    Column("note", "note", needed=False),
)
_WORDS = BY_ROW | {
    "known": "openers, hopper_percent, support, pad, note, and load with a unit",
    "absent": "there is no column {example!r}. Needed: openers, hopper_percent, support and load with a "
    "unit, such as load_kg.",
    "twice": "there must be one {kind} column, such as {example}; there are {count}.",
    "bad unit": "column {name!r} has the unit {unit!r}, which is unknown. Write for example {example}; "
    "allowed: {allowed}.",
}


class PadProblems(ValueError):
    """Everything wrong with a pad file.

    problems: one sentence each.
    """

    def __init__(self, problems: list[str]):
        self.problems = list(problems)
        super().__init__("\n".join(self.problems))


@dataclass(frozen=True)
class PadReadings:
    """Readings of load pads, one element each.

    support: "hitch", or the name of a wheel.
    openers: "raised" or "on the ground".
    hopper_fill (readings,): share of a full hopper.
    load (readings,): what the pad read.
    row (readings,): row of the file.
    pad: the pad that read it; the support's name where the file names none, for then it has a pad of its own.
    unit: what the file calls the unit of its loads.
    """

    support: tuple[str, ...]
    openers: tuple[str, ...]
    hopper_fill: Ratios
    load: Newtons
    row: Wholes
    pad: tuple[str, ...]
    unit: str = "N"


def read_pads(path: str | Path, supports: Sequence[str] | None = None) -> PadReadings:
    """Pad readings from a CSV file.

    path: file with the columns ``openers``, ``hopper_percent``, ``support`` and a load with its unit in the
        name, such as ``load_kg``. Lines that begin with # are notes. Several readings of one support in one
        state are repeats. A column ``pad`` may name the pad where pads are moved about.
    """
    words = _WORDS | {"supports": ", ".join(supports or ())}
    table = Table(path, _COLUMNS, words, _refusal)
    load, hopper_fill = table.numbers("load"), table.numbers("hopper")
    table.check(
        "openers", OPENERS.__contains__, f"{{cell!r}} is not known. Write {OPENERS[0]!r} or {OPENERS[1]!r}."
    )
    if supports is not None:
        table.check("support", supports.__contains__, "the drill has no {cell!r}. It has: {supports}.")
    # A share in place of a percentage: nobody weighs a hopper of one part in a hundred.
    table.flag(
        "hopper",
        (hopper_fill > 0) & (hopper_fill <= 0.01),
        "{cell!r} is next to an empty hopper, for the column is in percent. Write 50 for a half full one, "
        "100 for a full one.",
    )
    table.note(*_too_many(table))
    table.refuse()
    openers, support = tuple(table.texts("openers")), tuple(table.texts("support"))
    pad = tuple(own or name for own, name in zip(table.texts("pad"), support, strict=True))
    unit = table.unit("load")
    return PadReadings(support, openers, hopper_fill, load, np.array(table.lines), pad, unit)


def _too_many(table):
    """More than a weighing has: then another file is read, or a column holds something else."""
    for kind, most in (("pad", MOST_PADS), ("hopper", MOST_STATES)):
        count = len(set(table.texts(kind)))
        if count > most:
            yield f"column {kind} holds {count} different cells, and at most {most} are read."
    if len(table.lines) > MOST_READINGS:
        yield f"there are {len(table.lines)} readings, and at most {MOST_READINGS} are read."


def _refusal(name, problems):
    return PadProblems([f"{name}: {problem}" for problem in problems])
