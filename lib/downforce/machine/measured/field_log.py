"""A log of a whole field from a CSV file: places and heights, cut into passes, each of them ground."""

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path

import numpy as np

from downforce.machine.measured.columns import BY_ROW, Column, Table
from downforce.machine.measured.survey import FAR, LENGTH_UNITS
from downforce.machine.unit_table import KINDS
from downforce.physics.ground import (
    SurveyedTrack,
    SurveyProblems,
    cut_passes,
    local_metres,
    map_angles,
    standing_groups,
    survey_problems,
    usual_step,
)
from downforce.physics.ground.local_map import HIGHEST_LATITUDE
from downforce.physics.ground.passes import SHORTEST_PASS
from downforce.physics.kinds import Amount, Metre, MetrePerSecond, Metres, Radian

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
_COLUMNS = (
    Column(
        "longitude", "longitude_deg", False, _DEGREE, (-np.pi, np.pi), "{cell!r} is not from -180 to 180."
    ),
    Column(
        "latitude",
        "latitude_deg",
        False,
        _DEGREE,
        (-HIGHEST_LATITUDE, HIGHEST_LATITUDE),
        _OUT.format("85"),
    ),
    Column("easting", "easting_m", False, LENGTH_UNITS, *FAR),
    Column("northing", "northing_m", False, LENGTH_UNITS, *FAR),
    Column("height", "height_m", False, LENGTH_UNITS, *FAR),
    Column("time", "time_s", False, {"s": 1.0, "min": 60.0, "h": 3600.0, _ISO: np.nan}),
)
_WORDS = BY_ROW | {
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

    Metres are told from degrees about the middle of the field, see physics.ground.local_map. The heights are
    those of whatever carried the receiver: a tractor bridges what is shorter than its wheelbase.
    """
    table = Table(path, _COLUMNS, _WORDS, _refusal)
    table.note(*_missing(table))
    values = {kind: table.numbers(kind) for kind in table.kinds if kind != "time"}
    time = _times(table)
    table.refuse()
    by_angles = "longitude" in values
    east, north, middle = _in_metres(*(values[kind] for kind in _PLACES[not by_angles]), by_angles)  # type: ignore[call-arg]
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


def _refusal(name, problems):
    return SurveyProblems([f"{name}: {problem}" for problem in problems])


def _missing(table):
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
