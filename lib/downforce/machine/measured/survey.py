"""A surveyed track from a CSV file with the unit in every column's name."""

from pathlib import Path

import numpy as np

from downforce.machine.unit_table import KINDS
from downforce.physics.ground.survey import SurveyedTrack, SurveyProblems, survey_problems, track_axes

LENGTH_UNITS = {unit: KINDS["length"].units[unit] for unit in ("m", "cm", "mm", "ft", "in")}
"""Units a column name may end with, and their length [m]."""

_KINDS = ("distance", "lateral", "easting", "northing", "height")


def read_survey(path, overhang=20.0):
    """Surveyed ground from a CSV file.

    Parameters
    ----------
    path : str or Path [-]
        File with a column ``distance_m`` (and ``lateral_m`` with several lines) or the columns ``easting_m``
        and ``northing_m``, a column ``height_m``, and ``line`` where there are several lines. Any unit of
        :data:`LENGTH_UNITS` may stand at the end of a name. Lines that begin with # are notes.
    overhang : float [m]
        Level ground added beyond each end.

    Returns
    -------
    SurveyedTrack [-]
        Ground for a pass.

    Raises
    ------
    SurveyProblems
        With every problem at once, each naming the file's row.
    """
    path = Path(path)
    text, row_numbers = _read_text(path)
    columns, problems = _columns(list(text.columns))
    values = {}
    for kind, (name, factor) in columns.items():
        values[kind], wrong = _numbers(text[name], name, factor, row_numbers)
        problems += wrong
    line = text["line"].str.strip().to_numpy() if "line" in text else None
    if not problems:
        if "easting" in values:
            values["distance"], values["lateral"] = track_axes(values["easting"], values["northing"], line)
        problems = survey_problems(
            values["distance"], values["height"], line, values.get("lateral"), row_numbers
        )
    if problems:
        raise SurveyProblems([f"{path.name}: {problem}" for problem in problems])
    return SurveyedTrack(values["distance"], values["height"], line, values.get("lateral"), overhang)


def _read_text(path):
    """All cells as text, and the file's own number of each row."""
    import io

    import pandas

    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except FileNotFoundError:
        raise SurveyProblems(
            [f"{path.name}: there is no such file at {path}. Check the name and folder."]
        ) from None
    except UnicodeDecodeError:
        raise SurveyProblems(
            [f"{path.name}: this is not a text file. Save the table as CSV (UTF-8)."]
        ) from None
    kept = [
        (number, line) for number, line in enumerate(lines, 1) if line.strip() and not line.startswith("#")
    ]
    if len(kept) < 2:
        raise SurveyProblems([f"{path.name}: the file has no rows below its column names."])
    header = kept[0][1].count(",")
    if header == 0 and ";" in kept[0][1]:
        raise SurveyProblems(
            [f"{path.name}: cells are parted by semicolons. Save with commas and decimal points."]
        )
    ragged = [n for n, line in kept[1:] if line.count(",") != header]
    if ragged:
        raise SurveyProblems(
            [
                f"{path.name}: row {n} does not have {header + 1} cells like the row of names. "
                "Write decimals with a point, not a comma."
                for n in ragged
            ]
        )
    table = pandas.read_csv(
        io.StringIO("\n".join(line for _, line in kept)), dtype=str, keep_default_na=False
    )
    return table.rename(columns=str.strip), np.array([number for number, _ in kept[1:]])


def _columns(names):
    """Column and factor of each kind, and what is wrong with the names."""
    found, problems = {}, []
    for name in names:
        kind, _, unit = name.partition("_")
        if name == "line":
            continue
        if kind not in _KINDS:
            problems.append(
                f"column {name!r} is unknown. Allowed: {', '.join(_KINDS)} with a unit, and line."
            )
        elif unit not in LENGTH_UNITS:
            problems.append(
                f"column {name!r} has {'no' if not unit else 'an unknown'} unit. "
                f"Write for example {kind}_m; allowed: {', '.join(LENGTH_UNITS)}."
            )
        elif kind in found:
            problems.append(f"columns {found[kind][0]!r} and {name!r} say the same twice. Keep one.")
        else:
            found[kind] = (name, LENGTH_UNITS[unit])
    if problems:
        return found, problems
    if "height" not in found:
        problems.append("there is no height column, such as height_m.")
    by_map = {"easting", "northing"} & set(found)
    if by_map and ("distance" in found or "lateral" in found):
        problems.append("give distance and lateral, or easting and northing, not both.")
    elif len(by_map) == 1:
        problems.append(f"easting and northing go together; there is only {by_map.pop()}.")
    elif not by_map and "distance" not in found:
        problems.append("there is no distance column, such as distance_m, and no easting_m and northing_m.")
    return found, problems


def _numbers(cells, name, factor, row_numbers):
    values, problems = np.full(len(cells), np.nan), []
    for index, cell in enumerate(cells):
        try:
            values[index] = float(cell) * factor
        except ValueError:
            problems.append(f"row {row_numbers[index]}, column {name}: {cell!r} is not a number.")
            continue
        if not np.isfinite(values[index]):
            problems.append(f"row {row_numbers[index]}, column {name}: {cell!r} is not a finite number.")
    return values, problems
