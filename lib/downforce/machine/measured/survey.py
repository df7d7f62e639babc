"""A surveyed track from a CSV file with the unit in every column's name."""

from pathlib import Path

import numpy as np

from downforce.machine.measured.columns import BY_ROW, Column, Table
from downforce.machine.unit_table import KINDS
from downforce.physics.ground.survey import SurveyedTrack, SurveyProblems, survey_problems, track_axes
from downforce.physics.kinds import Metre

LENGTH_UNITS = {unit: KINDS["length"].units[unit] for unit in ("m", "cm", "mm", "ft", "in")}
"""Units a column name may end with, and their length [m]."""

FAR = ((-1e8, 1e8), "{cell!r} is not a finite number, or farther than any place.")
"""Limits of places and heights [m], and what is said beyond them; our own."""
MOST_LINES = 100
"""Lines that were walked beside each other [-]. Our own limit."""
_KINDS = ("distance", "lateral", "easting", "northing", "height")
_COLUMNS = (
    *(Column(kind, f"{kind}_m", False, LENGTH_UNITS, *FAR) for kind in _KINDS),
    Column("line", "line", needed=False),
)
_WORDS = BY_ROW | {
    "known": f"{', '.join(_KINDS)} with a unit, and line",
    "twice": "columns {first!r} and {name!r} say the same twice. Keep one.",
    "bad unit": "column {name!r} has an unknown unit. Write for example {example}; allowed: {allowed}.",
}


def read_survey(path: str | Path, overhang: Metre = 20.0) -> SurveyedTrack:
    """Surveyed ground from a CSV file.

    path: file with a column ``distance_m`` (and ``lateral_m`` with several lines) or the columns
        ``easting_m`` and ``northing_m``, a column ``height_m``, and ``line`` where there are several lines.
        Any unit of `LENGTH_UNITS` may stand at the end of a name. Lines that begin with # are notes.
    overhang: level ground added beyond each end.
    """
    table = Table(path, _COLUMNS, _WORDS, _refusal)
    table.note(*_missing(table))
    values = {kind: table.numbers(kind) for kind in _KINDS if kind in table.kinds}
    line = np.array(table.texts("line")) if "line" in table.kinds else None
    count = 1 if line is None else len(set(line.tolist()))
    if count > MOST_LINES:
        table.note(f"there are {count} lines, and at most {MOST_LINES} are read. Is the column line a count?")
    table.refuse()
    if "easting" in values:
        try:
            axes = track_axes(values["easting"], values["northing"], line)
        except ValueError as problem:
            table.note(str(problem))
            table.refuse()
        values["distance"], values["lateral"] = axes
    distance, height, lateral = values["distance"], values["height"], values.get("lateral")
    table.note(*survey_problems(distance, height, line, lateral, table.lines))
    table.refuse()
    return SurveyedTrack(distance, height, line, lateral, overhang)


def _refusal(name, problems):
    return SurveyProblems([f"{name}: {problem}" for problem in problems])


def _missing(table):
    """What is wrong with the choice of columns."""
    problems = [] if "height" in table.kinds else ["there is no height column, such as height_m."]
    by_map = [kind for kind in ("easting", "northing") if kind in table.kinds]
    if by_map and ("distance" in table.kinds or "lateral" in table.kinds):
        problems.append("give distance and lateral, or easting and northing, not both.")
    elif len(by_map) == 1:
        problems.append(f"easting and northing go together; there is only {by_map[0]}.")
    elif not by_map and "distance" not in table.kinds:
        problems.append("there is no distance column, such as distance_m, and no easting_m and northing_m.")
    return problems
