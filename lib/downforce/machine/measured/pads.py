"""Readings of load pads under the wheels and the hitch of a drill, from a CSV file."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from downforce.machine.unit_table import KINDS
from downforce.physics.checks import GRAVITY

LOAD_UNITS = {
    **{unit: KINDS["mass"].units[unit] * GRAVITY for unit in ("kg", "t", "lb")},
    **{unit: KINDS["force"].units[unit] for unit in ("N", "daN", "kN", "lbf", "kgf")},
}
"""Units the load column's name may end with, in newtons [N]."""

COLUMNS = ("openers", "hopper_percent", "support")
"""Columns every pad file has, beside the load [-]."""
OPENERS = ("raised", "on the ground")
"""How the openers may stand; on the ground: without oil pressure or spring, by their own weight [-]."""


class PadProblems(ValueError):
    """Everything wrong with a pad file.

    Parameters
    ----------
    problems : list of str [-]
        One sentence each.
    """

    def __init__(self, problems):
        self.problems = list(problems)
        super().__init__("\n".join(self.problems))


@dataclass(frozen=True)
class PadReadings:
    """Readings of load pads, one element each.

    Attributes
    ----------
    support : tuple of str [-]
        "hitch", or the name of a wheel.
    openers : tuple of str [-]
        "raised" or "on the ground".
    hopper_fill : array (readings,) [-]
        Share of a full hopper.
    load : array (readings,) [N]
        What the pad read.
    row : array (readings,) of int [-]
        Row of the file.
    """

    support: tuple
    openers: tuple
    hopper_fill: np.ndarray
    load: np.ndarray
    row: np.ndarray


def read_pads(path, supports=None):
    """Pad readings from a CSV file.

    Parameters
    ----------
    path : str or Path [-]
        File with the columns ``openers``, ``hopper_percent``, ``support`` and a load with its unit in the
        name, such as ``load_kg``. Lines that begin with # are notes. Several readings of one support in
        one state are repeats.
    supports : sequence of str, optional [-]
        Names allowed under ``support``.

    Returns
    -------
    PadReadings [N]
        All readings.

    Raises
    ------
    PadProblems
        With every problem at once, each naming file and row.
    """
    path = Path(path)
    rows, problems = _rows(path)
    if not problems:
        header, body = rows[0][1], rows[1:]
        load_column, factor, problems = _load_column(header)
    if problems:
        raise PadProblems([f"{path.name}: {problem}" for problem in problems])
    found = []
    for number, cells in body:
        reading, wrong = _reading(
            number, dict(zip(header, cells, strict=True)), load_column, factor, supports
        )
        found.append(reading)
        problems += wrong
    if problems:
        raise PadProblems([f"{path.name}: {problem}" for problem in problems])
    support, openers, fill, load = zip(*found, strict=True)
    return PadReadings(support, openers, np.array(fill), np.array(load), np.array([n for n, _ in body]))


def _rows(path):
    """Rows of cells with their numbers in the file, and what is wrong with the file as a whole."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return [], [f"there is no such file at {path}. Check the name and folder."]
    except UnicodeDecodeError:
        return [], ["this is not a text file. Save the table as CSV (UTF-8)."]
    rows = [
        (number, [cell.strip() for cell in line.split(",")])
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if len(rows) < 2:
        return rows, ["the file has no rows below its column names."]
    if len(rows[0][1]) == 1 and ";" in rows[0][1][0]:
        return rows, ["cells are parted by semicolons. Save with commas and decimal points."]
    width = len(rows[0][1])
    ragged = [number for number, cells in rows[1:] if len(cells) != width]
    return rows, [
        f"row {number} does not have {width} cells like the row of names. "
        "Write decimals with a point, not a comma."
        for number in ragged
    ]


def _load_column(header):
    problems = [
        f"there is no column {name!r}. Needed: {', '.join(COLUMNS)} and load with a unit, such as load_kg."
        for name in COLUMNS
        if name not in header
    ]
    loads = [name for name in header if name == "load" or name.startswith("load_")]
    unit = loads[0].partition("_")[2] if loads else ""
    if len(loads) != 1:
        problems.append(f"there must be one load column, such as load_kg; there are {len(loads)}.")
    elif unit not in LOAD_UNITS:
        what = f"the unit {unit!r}, which is unknown" if unit else "no unit"
        problems.append(
            f"column {loads[0]!r} has {what}. Write for example load_kg; allowed: {', '.join(LOAD_UNITS)}."
        )
    problems += [
        f"column {name!r} is unknown. Allowed: {', '.join(COLUMNS)}, note, and load with a unit."
        for name in header
        if name not in (*COLUMNS, "note", *loads)
    ]
    return (loads or [""])[0], LOAD_UNITS.get(unit, 1.0), problems


def _reading(number, cells, load_column, factor, supports):
    problems = []
    load, wrong = _number(number, load_column, cells[load_column], 0.0, np.inf)
    problems += wrong
    fill, wrong = _number(number, "hopper_percent", cells["hopper_percent"], 0.0, 100.0)
    problems += wrong
    if cells["openers"] not in OPENERS:
        problems.append(
            f"row {number}, column openers: {cells['openers']!r} is not known. "
            f"Write {OPENERS[0]!r} or {OPENERS[1]!r}."
        )
    if supports is not None and cells["support"] not in supports:
        problems.append(
            f"row {number}, column support: the drill has no {cells['support']!r}. "
            f"It has: {', '.join(supports)}."
        )
    return (cells["support"], cells["openers"], fill / 100.0, load * factor), problems


def _number(row, column, cell, low, high):
    try:
        value = float(cell)
    except ValueError:
        return 0.0, [f"row {row}, column {column}: {cell!r} is not a number."]
    if not np.isfinite(value) or not low <= value <= high:
        rule = "zero or more" if high == np.inf else f"from {low:g} to {high:g}"
        return 0.0, [f"row {row}, column {column}: {cell!r} must be {rule}."]
    return value, []
