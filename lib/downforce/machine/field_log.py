"""Surveyed tracks and logs of whole fields, from CSV files with the unit in every column's name.

A log is places and heights, cut into passes; each of them is ground.
"""

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path

import numpy as np

from downforce.machine.columns import BY_ROW, Column, Table
from downforce.machine.unit_table import KINDS
from downforce.physics.ground_frame import SHORTEST_PASS, cut_passes, standing_groups, usual_step
from downforce.physics.ground_survey import (
    HIGHEST_LATITUDE,
    SurveyedTrack,
    SurveyProblems,
    local_metres,
    map_angles,
    survey_problems,
    track_axes,
)
from downforce.physics.kinds import Amount, Metre, MetrePerSecond, Metres, Radian

LENGTH_UNITS = {unit: KINDS["length"].units[unit] for unit in ("m", "cm", "mm", "ft", "in")}
"""Units a column name may end with, and their length [m]."""

FAR = ((-1e8, 1e8), "{cell!r} is not a finite number, or farther than any place.")
"""Limits of places and heights [m], and what is said beyond them; our own."""
MOST_LINES = 100
"""Lines that were walked beside each other [-]. Our own limit."""
_KINDS = ("distance", "lateral", "easting", "northing", "height")
_SURVEY_COLUMNS = (
    *(Column(kind, f"{kind}_m", False, LENGTH_UNITS, *FAR) for kind in _KINDS),
    Column("line", "line", needed=False),
)
_SURVEY_WORDS = BY_ROW | {
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
    table = Table(path, _SURVEY_COLUMNS, _SURVEY_WORDS, _refusal)
    table.note(*_missing_in_survey(table))
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


def _missing_in_survey(table):
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


LEAST_POINTS = 10
"""Points that a log needs [-]. Our own limit."""

COARSEST_STEP = 25.0
"""Widest usual step between points that a log may have [m]. Our own limit."""

FARTHEST = 10e3
"""Farthest that a point may lie from the middle of its field [m]. Our own limit."""

HEADING_REACH = 2.5
"""Way before and behind from which a heading is taken [m], so that scatter of the points does not turn it."""

_DEGREE = {"deg": KINDS["angle"].units["deg"]}
_ISO = "iso"
_OUT = "{{cell!r}} is not from -{0} to {0}. Are longitude and latitude in each other's place?"
_LOG_COLUMNS = (
    Column(
        "longitude", "longitude_deg", False, _DEGREE, (-np.pi, np.pi), "{cell!r} is not from -180 to 180."
    ),
    Column(
        "latitude", "latitude_deg", False, _DEGREE, (-HIGHEST_LATITUDE, HIGHEST_LATITUDE), _OUT.format("85")
    ),
    Column("easting", "easting_m", False, LENGTH_UNITS, *FAR),
    Column("northing", "northing_m", False, LENGTH_UNITS, *FAR),
    Column("height", "height_m", False, LENGTH_UNITS, *FAR),
    Column("time", "time_s", False, {"s": 1.0, "min": 60.0, "h": 3600.0, _ISO: np.nan}),
)
_LOG_WORDS = BY_ROW | {
    "known": "longitude_deg and latitude_deg, or easting and northing with a unit; height with a unit; time",
    "twice": "columns {first!r} and {name!r} say the same twice. Keep one.",
    "bad unit": "column {name!r} has an unknown unit. Write for example {example}; allowed: {allowed}.",
}
_PLACES = (("longitude", "latitude"), ("easting", "northing"))


@dataclass(frozen=True, eq=False)
class LoggedPass:
    """One pass of a log, as it was driven.

    along: way driven from the first point of the pass.
    east, north: places, from the middle of the field.
    height: heights.
    speed: mean speed; NaN where the log has no time.
    """

    along: Metres
    east: Metres
    north: Metres
    height: Metres
    speed: MetrePerSecond

    @property
    def length(self) -> Metre:
        """Length of the pass."""
        return float(self.along[-1])

    @cached_property
    def track(self):
        """The pass as ground: level across, straight between its points, level beyond its ends."""
        return SurveyedTrack(self.along, self.height, overhang=50.0, steps_checked=True)

    def place(self, along, right):
        """East and north [m] of points by their way along the pass and distance to the right of it."""
        ends = [np.clip(np.add(along, shift), 0.0, self.length) for shift in (-HEADING_REACH, HEADING_REACH)]
        (e0, n0), (e1, n1), (e, n) = (
            (np.interp(way, self.along, self.east), np.interp(way, self.along, self.north))
            for way in (*ends, along)
        )
        chord = np.hypot(e1 - e0, n1 - n0)
        return e + right * (n1 - n0) / chord, n - right * (e1 - e0) / chord


@dataclass(frozen=True, eq=False)
class FieldLog:
    """A log of a whole field.

    name: name of its file.
    passes: in the order of driving; turns and short stretches are left out.
    step: usual distance between points.
    points: points in the file.
    merged: points that were merged with another because the machine stood.
    left_out: way driven that is in no pass.
    middle [rad, or m]: longitude and latitude of the field's middle, or its easting and northing.
    by_angles: whether the file's places are longitude and latitude.
    """

    name: str
    passes: tuple[LoggedPass, ...]
    step: Metre
    points: int
    merged: int
    left_out: Metre
    middle: tuple[Radian, Amount]
    by_angles: bool

    @property
    def coordinate_names(self):
        """Names of the coordinates that `coordinates` gives, with their unit."""
        return ("longitude_deg", "latitude_deg") if self.by_angles else ("easting_m", "northing_m")

    def coordinates(self, east, north) -> Metre:
        """Coordinates as in the file, in degrees or metres, of places about the middle."""
        if self.by_angles:
            return tuple(map(np.degrees, map_angles(east, north, *self.middle)))
        return np.asarray(east) + self.middle[0], np.asarray(north) + self.middle[1]


def read_field_log(path: str | Path) -> FieldLog:
    """Log of a whole field from a CSV file.

    path: file with the columns ``longitude_deg`` and ``latitude_deg``, or ``easting_m`` and ``northing_m``,
        and ``height_m``, points in the order of driving. Any unit of `LENGTH_UNITS` may stand at the end of
        easting, northing and height. ``time_s``, or ``time_iso`` with dates and times such as
        2024-05-01T09:30:00, gives the speed. Lines that begin with # are notes.

    Metres are told from degrees about the middle of the field, see physics.ground_survey. The heights are
    those of whatever carried the receiver: a tractor bridges what is shorter than its wheelbase.
    """
    table = Table(path, _LOG_COLUMNS, _LOG_WORDS, _refusal)
    table.note(*_missing_in_log(table))
    values = {kind: table.numbers(kind) for kind in table.kinds if kind != "time"}
    time = _times(table)
    table.refuse()
    by_angles = "longitude" in values
    one, other = _PLACES[not by_angles]
    east, north, middle = _in_metres(values[one], values[other], by_angles)
    rows = np.array(table.lines)
    table.note(*_point_problems(rows, east, north, time))
    table.refuse()
    step = usual_step(east, north)
    table.note(*_step_problems(step))
    table.refuse()
    group = standing_groups(east, north, step)
    count = np.bincount(group)
    east, north, height = (np.bincount(group, each) / count for each in (east, north, values["height"]))
    first = np.searchsorted(group, np.arange(count.size))
    passes, moved = [], float(np.hypot(np.diff(east), np.diff(north)).sum())
    for cut in cut_passes(east, north, step):
        made = _logged_pass(east[cut], north[cut], height[cut], None if time is None else time[first[cut]])
        table.note(
            *survey_problems(made.along, made.height, row_numbers=rows[first[cut]], steps_checked=True)
        )
        passes.append(made)
    if not passes:
        table.note(
            f"nowhere does the log run straight on for {SHORTEST_PASS:g} m. Are the rows in the order of "
            "driving? A log of one short line is read as a surveyed track."
        )
    table.refuse()
    left_out = moved - sum(made.length for made in passes)
    return FieldLog(
        table.name, tuple(passes), step, len(rows), len(rows) - count.size, left_out, middle, by_angles
    )


def _missing_in_log(table):
    """What is wrong with the choice of columns."""
    problems = [] if "height" in table.kinds else ["there is no height column, such as height_m."]
    given = [[kind for kind in pair if kind in table.kinds] for pair in _PLACES]
    if all(given):
        problems.append("give longitude and latitude, or easting and northing, not both.")
    elif not any(given):
        problems.append("there are no columns longitude_deg and latitude_deg, or easting_m and northing_m.")
    for pair, there in zip(_PLACES, given, strict=True):
        if len(there) == 1:
            problems.append(f"{pair[0]} and {pair[1]} go together; there is only {there[0]}.")
    return problems


def _times(table):
    """Time of each point [s], or None where the log has none; cells that hold none are noted."""
    if "time" not in table.kinds:
        return None
    if table.kinds["time"][2] is None or np.isfinite(table.kinds["time"][2]):
        return table.numbers("time")
    table.check("time", _iso, "{cell!r} is not a date and time such as 2024-05-01T09:30:00.")
    found = [_iso(cell) for cell in table.texts("time")]
    return np.array([np.nan if each is None else each.timestamp() for each in found])


def _iso(cell):
    try:
        time = datetime.fromisoformat(cell)
    except ValueError:
        return None
    return time if time.tzinfo else time.replace(tzinfo=UTC)


def _in_metres(first, second, by_angles):
    """East and north of the middle of the points, and the middle."""
    if by_angles:
        # Counted from the first point, so that a field may lie across 180 degrees.
        turn = (first - first[0] + np.pi) % (2 * np.pi) - np.pi
        middle = (float(first[0]) + _halfway(turn), _halfway(second))
        return *local_metres(first, second, *middle), middle
    middle = (_halfway(first), _halfway(second))
    return first - middle[0], second - middle[1], middle


def _halfway(values):
    """Median, which a few points far off do not move."""
    return float(np.median(values))


def _point_problems(rows, east, north, time):
    if rows.size < LEAST_POINTS:
        return [f"there are {rows.size} points. A log of a field needs {LEAST_POINTS} or more."]
    far = np.hypot(east, north)
    problems = [
        f"row {rows[i]}: the point lies {far[i] / 1000:.3g} km from the middle of the field, more than "
        f"{FARTHEST / 1000:g} km. Correct it or take it out, or see whether the columns are in each "
        "other's place."
        for i in np.flatnonzero(far > FARTHEST)
    ]
    if time is not None:
        problems += [
            f"row {rows[i + 1]} is earlier than the row above. Sort the rows by time."
            for i in np.flatnonzero(np.diff(time) < 0)
        ]
    return problems


def _step_problems(step):
    if step == 0:
        return ["all points lie in one place."]
    if step > COARSEST_STEP:
        return [
            f"points are {step:.3g} m apart. Beyond {COARSEST_STEP:g} m a log does not show the ground: log "
            "more often, or see whether the unit in the column's name is right."
        ]
    return []


def _logged_pass(east, north, height, time):
    along = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(east), np.diff(north)))))
    taken = np.nan if time is None else float(time[-1] - time[0])
    speed = float(along[-1] / taken) if taken > 0 else np.nan
    return LoggedPass(along, east, north, height, speed)
