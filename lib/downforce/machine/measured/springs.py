"""Springs measured on a bench: a CSV file of lengths and forces, with the unit in every column's name."""

import csv
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from downforce.machine.reader import FileProblem
from downforce.machine.shipped import DATA
from downforce.machine.unit_table import KINDS

EXAMPLE = DATA / "measured" / "spring_bench.csv"
"""The invented readings that come with the project [-]."""
FEWEST_READINGS = 5
"""A line with a kink cannot be told from fewer [-]."""
_KINDS = ("length", "force")
_LIMITS = {"length": (0.01, 2.0), "force": (-2e3, 100e3)}
_EXAMPLES = {"length": "length_mm or length_in", "force": "force_N or force_lbf"}
_SCALE_ERROR = 0.05


@dataclass(frozen=True)
class MeasuredSpring:
    """Readings of one spring, in the order of the file.

    Attributes
    ----------
    name : str [-]
        What the file calls it.
    length : array [m]
        Of the coils, seat to seat.
    spring_force : array [N]
        What the scale showed.
    """

    name: str
    length: np.ndarray
    spring_force: np.ndarray


def read_measured_springs(path=EXAMPLE):
    """Springs that were measured, from a CSV file.

    Parameters
    ----------
    path : str or Path [-]
        File with the columns ``length_mm`` and ``force_N`` (other units: ``length_in``, ``force_lbf``, ...)
        and, for more than one spring, ``spring``. Lines that begin with # are notes. The shipped readings
        if left out.

    Returns
    -------
    dict of MeasuredSpring [-]
        By name, in the order of the file.

    Raises
    ------
    FileProblem
        With every problem at once, each with its line.
    """
    path = Path(path)
    lines = _lines(path)
    (_, header), *rows = lines
    places, problems = _columns([cell.strip() for cell in header])
    if not problems and not rows:
        problems.append("There are no readings below the column names.")
    readings, wrong = _readings(rows, places, len(header)) if not problems else ([], [])
    problems += wrong
    springs = _springs(readings)
    if not problems:
        problems += [problem for spring in springs.values() for problem in _doubts(spring)]
    if problems:
        raise FileProblem(path.name, problems)
    return springs


def _lines(path):
    """Cells of each line that says something, with the line's number in the file."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise FileProblem(
            path.name, [f"There is no file at {path}. Check the name and the folder."]
        ) from None
    except IsADirectoryError:
        raise FileProblem(path.name, ["This is a folder. Give the name of the CSV file in it."]) from None
    except (UnicodeDecodeError, PermissionError):
        raise FileProblem(
            path.name, ["This cannot be read as text. Save the table as CSV (UTF-8) and close it."]
        ) from None
    numbered = [(number, line) for number, line in enumerate(text.splitlines(), 1)]
    kept = [(number, line) for number, line in numbered if line.strip() and not line.lstrip().startswith("#")]
    if not kept:
        raise FileProblem(
            path.name, ["The file is empty. Its first line names the columns, such as length_mm,force_N."]
        )
    if "," not in kept[0][1] and (";" in kept[0][1] or "\t" in kept[0][1]):
        raise FileProblem(
            path.name, ["Cells are parted by semicolons or tabs. Save with commas and decimal points."]
        )
    return [(number, next(csv.reader([line]))) for number, line in kept]


def _columns(header):
    """Place and factor of each column that is known, and what is wrong with the names."""
    places, problems = {}, []
    for place, name in enumerate(header):
        kind, _, unit = name.partition("_")
        if kind.lower() == "spring" and not unit:
            places["spring"] = (place, None)
            continue
        kind = kind.lower()
        if kind not in _KINDS:
            problems.append(
                f"Column {name!r} is not known. Known: length, force, each with its unit, and spring."
            )
        elif kind in places:
            problems.append(f"There are two columns of {kind}. Keep one.")
        elif unit not in KINDS[kind].units:
            problems.append(_unit_problem(name, kind, unit))
            places[kind] = (place, 1.0)
        else:
            places[kind] = (place, KINDS[kind].units[unit])
    for kind in _KINDS:
        if kind not in places:
            problems.append(f"There is no column of {kind}. Name it {_EXAMPLES[kind]}.")
    return places, problems


def _unit_problem(name, kind, unit):
    if kind == "force" and unit in ("lb", "lbs", "kg"):
        meant = "force_kgf" if unit == "kg" else "force_lbf"
        return f"Column {name!r}: {unit} is a mass. If the scale showed a push, name it {meant}."
    if not unit:
        return f"Column {name!r} has no unit. Name it {_EXAMPLES[kind]}."
    allowed = ", ".join(KINDS[kind].units)
    return f"Column {name!r} has a unit that is not known here, {unit!r}. Allowed: {allowed}."


def _readings(rows, places, width):
    readings, problems = [], []
    for line, cells in rows:
        if len(cells) != width:
            problems.append(
                f"Line {line} has {len(cells)} cells and the line of names has {width}. "
                "Write decimals with a point, not a comma."
            )
            continue
        values = {}
        for kind in _KINDS:
            place, factor = places[kind]
            values[kind], problem = _number(cells[place].strip(), kind, factor)
            if problem:
                problems.append(f"Line {line}, {kind}: {problem}")
        name = cells[places["spring"][0]].strip() if "spring" in places else "spring"
        if not name:
            problems.append(f"Line {line}: the spring has no name. Write one in the column spring.")
        readings.append((name, values["length"], values["force"]))
    return readings, problems


def _number(cell, kind, factor):
    try:
        value = float(cell) * factor
    except ValueError:
        read = f"{cell!r} is not a number" if cell else "the cell is empty"
        return math.nan, f"{read}. Write a number with a decimal point, without its unit."
    low, high = _LIMITS[kind]
    if not math.isfinite(value) or not low <= value <= high:
        unit = KINDS[kind].metric.unit
        size = KINDS[kind].units[unit]
        return math.nan, (
            f"{cell} is outside what an opener's spring can be "
            f"({low / size:g} {unit} to {high / size:g} {unit}). Is the unit in the column's name right?"
        )
    return value, ""


def _springs(readings):
    names = dict.fromkeys(name for name, _, _ in readings)
    return {
        name: MeasuredSpring(
            name,
            np.array([length for of, length, _ in readings if of == name]),
            np.array([force for of, _, force in readings if of == name]),
        )
        for name in names
    }


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
    if force.max() > 0 and force[length.argmin()] <= force[length.argmax()]:
        problems.append(
            f"Spring {spring.name!r} pushes no harder when short than when long. "
            "Give the length of the spring, not how far it was compressed."
        )
    elif force.max() <= 0:
        problems.append(f"Spring {spring.name!r} never pushes: every force is zero.")
    return problems
