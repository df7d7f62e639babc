"""Springs measured on a bench: a CSV file of lengths and forces, with the unit in every column's name."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from downforce.machine.measured.columns import BY_LINE, Column, Table
from downforce.machine.shipped import DATA
from downforce.machine.unit_table import KINDS
from downforce.physics.kinds import Metres, Newtons

EXAMPLE = DATA / "measured" / "spring_bench.csv"
"""The invented readings that come with the project [-]."""
FEWEST_READINGS = 5
"""A line with a kink cannot be told from fewer [-]."""
SHORTEST = 0.06
"""Length that every opener's spring has somewhere [m]. Our own limit."""
MOST_SPRINGS = 100
"""Springs in one file [-]. Our own limit."""
_SCALE_ERROR = 0.05
_MASS = "Column {name!r}: {unit} is a mass. If the scale showed a push, name it "
_SLIPS = {"lb": _MASS + "force_lbf.", "lbs": _MASS + "force_lbf.", "kg": _MASS + "force_kgf."}
_COLUMNS = (
    Column("length", "length_mm or length_in", True, KINDS["length"].units, (0.01, 2.0)),
    Column("force", "force_N or force_lbf", True, KINDS["force"].units, (-2e3, 100e3), slips=_SLIPS),
    Column("spring", "spring", needed=False),
)
_WORDS = BY_LINE | {
    "things": "readings",
    "known": "length, force, each with its unit, and spring",
    "example": "length_mm,force_N",
    "span": "what an opener's spring can be",
    "bad unit": "Column {name!r} has a unit that is not known here, {unit!r}. Allowed: {allowed}.",
}


@dataclass(frozen=True)
class MeasuredSpring:
    """Readings of one spring, in the order of the file.

    name: what the file calls it.
    length: of the coils, seat to seat.
    spring_force: what the scale showed.
    """

    name: str
    length: Metres
    spring_force: Newtons


def read_measured_springs(path: str | Path = EXAMPLE):
    """Springs that were measured, from a CSV file.

    path: file with the columns ``length_mm`` and ``force_N`` (other units: ``length_in``, ``force_lbf``, ...)
        and, for more than one spring, ``spring``. Lines that begin with # are notes. The shipped readings if
        left out.
    Result: by name, in the order of the file.
    """
    table = Table(path, _COLUMNS, _WORDS)
    length, force = table.numbers("length"), table.numbers("force")
    names = table.texts("spring", "spring")
    table.note(
        *(
            f"Line {line}: the spring has no name. Write one in the column spring."
            for line, name in zip(table.lines, names, strict=True)
            if not name
        )
    )
    places = {}
    for index, name in enumerate(names):
        places.setdefault(name, []).append(index)
    if len(places) > MOST_SPRINGS:
        table.note(f"There are {len(places)} springs, and at most {MOST_SPRINGS} are read from one file.")
    table.refuse()
    springs = {name: MeasuredSpring(name, length[own], force[own]) for name, own in places.items()}
    table.note(*(doubt for spring in springs.values() for doubt in _doubts(spring)))
    table.refuse()
    return springs


def _doubts(spring):
    """What is wrong with the readings of one spring taken together."""
    length, force, problems = spring.length, spring.spring_force, []
    if length.size < FEWEST_READINGS:
        problems.append(
            f"Spring {spring.name!r} has {length.size} readings; at least {FEWEST_READINGS} are needed."
        )
    if (
        np.unique(length).size < min(length.size, FEWEST_READINGS)
        and np.unique(length).size < FEWEST_READINGS
    ):
        problems.append(
            f"Spring {spring.name!r} was read at {np.unique(length).size} lengths only; "
            f"read it at {FEWEST_READINGS} or more."
        )
    if force.min() < -_SCALE_ERROR * max(force.max(), 0.0) - 1e-9:
        problems.append(
            f"Spring {spring.name!r} has a force of {force.min():.0f} N: a compression spring does not pull. "
            "Set the scale to zero with the seat off it and read again."
        )
    if length.max() < SHORTEST:
        problems.append(
            f"Spring {spring.name!r} is never longer than {1e3 * length.max():.3g} mm. Are the lengths "
            "inches or centimetres? Correct the unit in the column's name."
        )
    if force.max() > 0 and force[length.argmin()] <= force[length.argmax()]:
        problems.append(
            f"Spring {spring.name!r} pushes no harder when short than when long. "
            "Give the length of the spring, not how far it was compressed."
        )
    elif force.max() <= 0:
        problems.append(f"Spring {spring.name!r} never pushes: every force is zero.")
    return problems
