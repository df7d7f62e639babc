"""A dig sheet: seed depths found behind the drill, a CSV file with the unit in every column's name."""

import csv
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from downforce.machine.reader import FileProblem
from downforce.machine.shipped import DATA
from downforce.machine.unit_table import KINDS

EXAMPLE = DATA / "measured" / "dig_sheet.csv"
"""The invented digs that come with the project [-]."""
WHEELS = ("free", "loaded")
"""What turning a gauge wheel by hand finds: no load on it, or some [-]."""
PLACES = ("open", "track")
"""Where a row runs [-]."""

_MEASURED = {"depth": "length", "pressure": "pressure"}
_WORDS = {"wheel": WHEELS, "place": PLACES}
_PLAIN = ("row", "wheel", "place", "notch")
_NEEDED = ("row", "depth", "pressure", "wheel")
_LIMITS = {"depth": (0.001, 0.15), "pressure": (0.0, 250e5)}
_EXAMPLES = {
    "row": "row",
    "wheel": "wheel",
    "depth": "depth_mm or depth_in",
    "pressure": "pressure_bar or pressure_psi",
}


@dataclass(frozen=True)
class DigSheet:
    """Digs, one element for each seed, in the order of the file.

    Attributes
    ----------
    name : str [-]
        Name of the file.
    row : array of int [-]
        Row number from the left, first is 1.
    depth : array [m]
        From the soil surface, straw brushed aside, to the seed.
    gauge_pressure : array [Pa]
        Setting while the seed went in.
    free : array of bool [-]
        Whether the gauge wheel of that row turned freely, the drill stopped and not lifted.
    in_track : array of bool [-]
        Whether the row ran in a wheel track.
    notch : tuple of str [-]
        Setting of the depth stop as it was written down; empty where it was not.
    """

    name: str
    row: np.ndarray
    depth: np.ndarray
    gauge_pressure: np.ndarray
    free: np.ndarray
    in_track: np.ndarray
    notch: tuple[str, ...]

    @property
    def settings(self):
        """Pressures that were dug at, from the lowest up [Pa]."""
        return np.unique(self.gauge_pressure)


def read_dig_sheet(path=EXAMPLE):
    """Digs from a CSV file.

    Parameters
    ----------
    path : str or Path [-]
        File with the columns ``row``, ``depth_mm``, ``pressure_bar`` and ``wheel`` (free or loaded), and if
        wanted ``place`` (open or track) and ``notch``. Other units: ``depth_in``, ``pressure_psi``, ...
        Lines that begin with # are notes. The shipped digs if left out.

    Returns
    -------
    DigSheet [-]
        In SI.

    Raises
    ------
    FileProblem
        With every problem at once, each with its line.
    """
    path = Path(path)
    (_, header), *rows = _lines(path)
    places, problems = _columns([cell.strip() for cell in header])
    if not problems and not rows:
        problems.append("There are no digs below the column names.")
    digs, wrong = _digs(rows, places, len(header)) if not problems else ([], [])
    problems += wrong or _contradictions(digs)
    if problems:
        raise FileProblem(path.name, problems)
    _, row, depth, pressure, wheel, place, notch = zip(*digs, strict=True)
    return DigSheet(
        path.name,
        np.array(row),
        np.array(depth),
        np.array(pressure),
        np.array(wheel) == "free",
        np.array(place) == "track",
        notch,
    )


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
    kept = [
        (number, line)
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not kept:
        raise FileProblem(
            path.name,
            ["The file is empty. Its first line names the columns, such as row,depth_mm,pressure_bar,wheel."],
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
        kind = kind.lower()
        if kind not in (*_PLAIN, *_MEASURED):
            problems.append(
                f"Column {name!r} is not known. Known: row, depth and pressure with their unit, "
                "wheel, place, notch."
            )
            continue
        if kind in places:
            problems.append(f"There are two columns of {kind}. Keep one.")
            continue
        places[kind] = (place, 1.0)
        if kind not in _MEASURED:
            if unit:
                problems.append(f"Column {name!r} needs no unit. Name it {kind}.")
            continue
        units = KINDS[_MEASURED[kind]].units
        if unit not in units:
            said = f"a unit that is not known here, {unit!r}" if unit else "no unit"
            problems.append(f"Column {name!r} has {said}. Name it {_EXAMPLES[kind]}.")
        else:
            places[kind] = (place, units[unit])
    missing = [kind for kind in _NEEDED if kind not in places]
    problems += [f"There is no column of {kind}. Name it {_EXAMPLES[kind]}." for kind in missing]
    return places, problems


def _digs(rows, places, width):
    """Line, row, depth, pressure, wheel, place and notch of each seed, and what cannot be read."""
    digs, problems = [], []
    for line, cells in rows:
        if len(cells) != width:
            problems.append(
                f"Line {line} has {len(cells)} cells and the line of names has {width}. "
                "Write decimals with a point, not a comma."
            )
            continue
        given = {kind: cells[place].strip() for kind, (place, _) in places.items()}
        wrong, values = [], {}
        for kind in _MEASURED:
            values[kind], problem = _number(given[kind], kind, places[kind][1])
            wrong += [f"Line {line}, {kind}: {problem}"] if problem else []
        for kind, words in _WORDS.items():
            word = given.get(kind, words[0]).lower()
            if word not in words:
                wrong.append(f"Line {line}, {kind}: {given[kind]!r} is not {' or '.join(words)}.")
            values[kind] = word
        row, problem = _row_number(given["row"])
        wrong += [f"Line {line}, row: {problem}"] if problem else []
        problems += wrong
        digs.append((line, row, *values.values(), given.get("notch", "")))
    return digs, problems


def _number(cell, kind, factor):
    try:
        value = float(cell) * factor
    except ValueError:
        read = f"{cell!r} is not a number" if cell else "the cell is empty"
        return math.nan, f"{read}. Write a number with a decimal point, without its unit."
    low, high = _LIMITS[kind]
    if not low <= value <= high:
        entry = KINDS[_MEASURED[kind]]
        unit = entry.metric.unit
        size = entry.units[unit]
        return math.nan, (
            f"{cell} is outside what can be ({low / size:g} {unit} to {high / size:g} {unit}). "
            "Is the unit in the column's name right?"
        )
    return value, ""


def _row_number(cell):
    if not cell.isdigit() or int(cell) < 1:
        return 0, f"{cell!r} is no row number. Count rows from the left; the first is 1."
    return int(cell), ""


def _contradictions(digs):
    """Seeds of one row at one setting that disagree about the wheel or the place."""
    first, problems = {}, []
    for line, row, _, pressure, wheel, place, _ in digs:
        known = first.setdefault((row, pressure), (line, wheel, place))
        if known[1:] != (wheel, place):
            problems.append(
                f"Line {line}: row {row} is {wheel}, {place} here, but {known[1]}, {known[2]} in line "
                f"{known[0]} at the same pressure. A row has one wheel and one place."
            )
    return problems
