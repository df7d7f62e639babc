"""A surveyed track as ground, the refusal of one that cannot be right, and places as metres on a plane.

Degrees of longitude and latitude become metres about the middle of a field, and metres degrees.
"""

import math

import numpy as np

from downforce.physics.checks import between, finite, not_negative
from downforce.physics.ground_parts import heights_in_blocks
from downforce.physics.kinds import Metre, Metres, Radian, Radians, Texts, Wholes

WIDEST_STEP = 2.0
"""Widest usual step between points [m]; openers cannot be judged from coarser surveys. Our own limit."""

NARROWEST_STEP = 0.005
"""Narrowest usual step between points [m]. Our own limit."""

STEEPEST_JUMP = 1.0
"""Steepest rise over run between two points [-]; steeper is a slip of the survey. Our own limit."""

SMALLEST_JUMP = 0.05
"""Smallest step in height that can be called a jump [m]. Our own limit."""

STEEPEST_TRACK = 0.25
"""Steepest middle slope of a whole line [-]; farmed terrace faces are 0.2. Our own limit."""

_GAP = 3.0
_SMALLEST_SPREAD = 1e-4
_WIDEST_WANDER = 1.0
_NEAREST_LINES = 0.05


class SurveyProblems(ValueError):
    """A survey that cannot be used, with every reason at once.

    problems: one sentence or two for each reason.
    """

    def __init__(self, problems: list[str]):
        self.problems = list(problems)
        super().__init__("\n".join(self.problems))


def survey_problems(
    distance: Metres,
    height: Metres,
    line: Texts | None = None,
    lateral: Metres | None = None,
    row_numbers: Wholes | None = None,
    steps_checked: bool = False,
) -> list[str]:
    """Everything that is wrong with a survey, in sentences that name the rows.

    distance: distance along the pass, point after point, line after line.
    line: name of the line each point belongs to; one line when left out.
    lateral: distance of each point to the right of the pass; needed with several lines.
    row_numbers: number of each row, for the sentences; counted from 1 when left out.
    steps_checked: whether steps and gaps are as they are meant to be, as those of a log that was cut into
        passes.
    Result: sentences; empty when the survey can be used.
    Raises ValueError if the arrays have different lengths.

    Refused: fewer than two points, NaN, rows that do not run forward, gaps above three times the usual step,
    jumps steeper than 1:1, and steps, slopes and spreads that look like another unit. Feet written as metres
    show only where the ground is steep.
    Range: steps of 5 mm to 2 m.
    Source: limits are our own, set from what ground a drill meets can be.

    >>> survey_problems([0.0, 0.1, 0.1, 0.3], [0.0, 0.01, 0.02, 0.01])
    ['Row 3 repeats the place of the row above: distance 0.1 m. Delete one of the two.']
    """
    distance, height = np.ravel(np.asarray(distance, float)), np.ravel(np.asarray(height, float))
    names = np.ravel(np.asarray([""] * distance.size if line is None else line, dtype=str))
    across = None if lateral is None else np.ravel(np.asarray(lateral, float))
    sizes = {"distance": distance.size, "height": height.size, "line": names.size}
    sizes |= {} if across is None else {"lateral": across.size}
    if len(set(sizes.values())) > 1:
        raise ValueError(f"A survey needs one value of each kind for every point; got {sizes}.")
    numbers = np.arange(1, distance.size + 1) if row_numbers is None else np.asarray(row_numbers)
    if distance.size == 0:
        return ["The survey has no rows."]
    problems = []
    for name in _in_order(names):
        own = names == name
        problems += _line_problems(name, numbers[own], distance[own], height[own], steps_checked)
    return problems + _lateral_problems(names, across)


def track_axes(easting: Metres, northing: Metres, line: Texts | None = None) -> tuple[Metres, Metres]:
    """Distance along and across a pass from map coordinates.

    easting, northing: map coordinates, point after point.
    line: name of the line each point belongs to; one line when left out.
    Result: distance along the pass from the first point, and distance to the right of it.
    Raises ValueError if a coordinate is not finite or the first line ends where it began.

    The pass runs straight from the first to the last point of the first line; other points are projected onto
    it. A bent line comes out shorter than it is.
    Range: nearly straight passes.
    Source: geometry.

    >>> along, right = track_axes([100.0, 100.0, 102.0], [50.0, 60.0, 55.0], ["a", "a", "b"])
    >>> along.tolist(), right.tolist()
    ([0.0, 10.0, 5.0], [0.0, 0.0, 2.0])
    """
    easting, northing = np.ravel(finite("easting", easting)), np.ravel(finite("northing", northing))
    names = np.asarray([""] * easting.size if line is None else line, dtype=str)
    first = np.flatnonzero(names == names[0])
    east, north = easting - easting[0], northing - northing[0]
    length = math.hypot(east[first[-1]], north[first[-1]])
    if length == 0:
        raise ValueError(
            "The first line of the survey ends where it began, so that the pass has no direction."
        )
    east_share, north_share = east[first[-1]] / length, north[first[-1]] / length
    return east * east_share + north * north_share, east * north_share - north * east_share


class SurveyedTrack:
    """Ground from a survey along one or several lines.

    Between points, and between lines, heights run straight. Outside the outer lines the ground is as high
    as at the nearest line; one line alone is drawn out level across the pass. Beyond the ends it lies level
    for ``overhang`` metres, room for the machine, and then refuses.

    distance: distance along the pass, point after point, line after line.
    line: name of the line each point belongs to; one line when left out.
    lateral: distance of each point to the right of the pass; needed with several lines.
    overhang: level ground beyond each end.

    >>> track = SurveyedTrack([0.0, 0.5, 1.0], [0.0, 0.1, 0.0])
    >>> float(track.heights(0.25, 3.0))
    0.05
    """

    def __init__(
        self,
        distance: Metres,
        height: Metres,
        line: Texts | None = None,
        lateral: Metres | None = None,
        overhang: Metre = 20.0,
        steps_checked: bool = False,
    ):
        problems = survey_problems(distance, height, line, lateral, steps_checked=steps_checked)
        if problems:
            raise SurveyProblems(problems)
        distance, height = np.ravel(np.asarray(distance, float)), np.ravel(np.asarray(height, float))
        names = np.asarray([""] * distance.size if line is None else line, dtype=str)
        lateral = np.zeros(distance.size) if lateral is None else np.ravel(np.asarray(lateral, float))
        self.overhang = float(not_negative("overhang", overhang))
        lines = [
            (float(lateral[names == n].mean()), distance[names == n], height[names == n])
            for n in _in_order(names)
        ]
        self.lines = tuple(sorted(lines, key=lambda entry: entry[0]))
        self.start = max(float(entry[1][0]) for entry in self.lines)
        self.end = min(float(entry[1][-1]) for entry in self.lines)

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Heights at points.

        x, y: distance along the pass and to the right; the two broadcast.
        Raises ValueError if a coordinate is not finite or lies beyond the survey and its overhang.

        Range: the survey and its overhang.
        Source: geometry.
        """
        x = finite("x", x)
        outside = (x < self.start - self.overhang) | (x > self.end + self.overhang)
        if np.any(outside):
            raise ValueError(
                f"The survey runs from {self.start:g} m to {self.end:g} m along the pass, and "
                f"{self.overhang:g} m of level ground is added at each end; there is no ground at "
                f"{float(x[outside].flat[0]):g} m. Make the pass shorter or survey further."
            )
        return heights_in_blocks(self._heights, x, y)

    def _heights(self, x, y):
        places = np.array([entry[0] for entry in self.lines])
        total = 0.0
        for index, (_, distance, height) in enumerate(self.lines):
            share = (
                np.interp(y, places, np.eye(len(places))[index]) if len(places) > 1 else np.ones(np.shape(y))
            )
            total = total + share * np.interp(x, distance, height)
        return total


def _in_order(names):
    return list(dict.fromkeys(names.tolist()))


def _line_problems(name, rows, distance, height, steps_checked):
    where = f", line {name}" if name else ""
    if distance.size < 2:
        return [f"Row {rows[0]}{where}: a line needs two points or more."]
    bad = ~(np.isfinite(distance) & np.isfinite(height))
    problems = [f"Row {row}{where}: distance and height must both be numbers." for row in rows[bad]]
    rows, distance, height = rows[~bad], distance[~bad], height[~bad]
    if distance.size < 2:
        return problems
    step = np.diff(distance)
    if np.all(step < 0):
        return [
            *problems,
            f"Rows {rows[0]} to {rows[-1]}{where} run backwards, from {distance[0]:g} m to "
            f"{distance[-1]:g} m. Turn their order round.",
        ]
    problems += _order_problems(where, rows, distance, step)
    forward = step > 0
    if not np.any(forward):
        return problems
    usual = float(np.median(step[forward]))
    if not steps_checked:
        unit = _distance_unit_problem(where, rows, usual)
        problems += unit or _gap_problems(where, rows, distance, step, usual)
    return problems + _height_problems(where, rows, height, np.where(forward, step, usual))


def _order_problems(where, rows, distance, step):
    problems = []
    for i in np.flatnonzero(step <= 0):
        if step[i] == 0:
            problems.append(
                f"Row {rows[i + 1]}{where} repeats the place of the row above: distance {distance[i]:g} m. "
                "Delete one of the two."
            )
        else:
            problems.append(
                f"Row {rows[i + 1]}{where} runs backwards: distance {distance[i + 1]:g} m after "
                f"{distance[i]:g} m. Points must run forward; sort the rows or correct the distance."
            )
    return problems


def _distance_unit_problem(where, rows, usual):
    if usual > WIDEST_STEP:
        return [
            f"Rows {rows[0]} to {rows[-1]}{where}: the usual step is {usual:g} m, wider than "
            f"{WIDEST_STEP:g} m. The distances look like millimetres, centimetres or feet written as metres; "
            "correct the unit in the column name, or survey more closely."
        ]
    if usual < NARROWEST_STEP:
        return [
            f"Rows {rows[0]} to {rows[-1]}{where}: the usual step is {usual:g} m, narrower than "
            f"{NARROWEST_STEP:g} m. The distances look like kilometres written as metres, or were converted "
            "twice; correct the unit in the column name."
        ]
    return []


def _gap_problems(where, rows, distance, step, usual):
    return [
        f"Rows {rows[i]} and {rows[i + 1]}{where}: gap of {step[i]:.3g} m between {distance[i]:g} m and "
        f"{distance[i + 1]:g} m, where the usual step is {usual:.3g} m. Survey the gap or split the line."
        for i in np.flatnonzero(step > _GAP * usual * (1 + 1e-9))
    ]


def _height_problems(where, rows, height, step):
    rise = np.abs(np.diff(height))
    slope, spread = rise / step, float(np.ptp(height))
    if np.median(slope) > STEEPEST_TRACK:
        return [
            f"Rows {rows[0]} to {rows[-1]}{where}: heights change by {np.median(slope):.3g} m for one metre "
            f"forward, more than {STEEPEST_TRACK:g} over half of the line. The heights look like "
            "millimetres, centimetres or feet written as metres; correct the unit in the column name."
        ]
    if 0 < spread < _SMALLEST_SPREAD:
        return [
            f"Rows {rows[0]} to {rows[-1]}{where}: all heights lie within {spread * 1000:.2g} mm. They "
            "look like metres written as millimetres, or were converted twice; correct the unit in the "
            "column name."
        ]
    return [
        f"Rows {rows[i]} and {rows[i + 1]}{where}: jump in height from {height[i]:g} m to {height[i + 1]:g} "
        f"m within {step[i]:.3g} m. Correct the height, or add points if there is a real bank."
        for i in np.flatnonzero((slope > STEEPEST_JUMP) & (rise > SMALLEST_JUMP))
    ]


def _lateral_problems(names, lateral):
    order = _in_order(names)
    if len(order) < 2:
        return []
    if lateral is None:
        return [f"The survey has {len(order)} lines but does not say how far to the right each one lies."]
    problems, places = [], {}
    for name in order:
        own = lateral[names == name]
        if not np.all(np.isfinite(own)):
            problems.append(f"Line {name}: the distance to the right must be a number in every row.")
            continue
        if np.ptp(own) > _WIDEST_WANDER:
            problems.append(
                f"Line {name} wanders {np.ptp(own):.3g} m across the pass; more than {_WIDEST_WANDER:g} m "
                "cannot be taken as a straight line. Split it or survey straighter."
            )
        near = [other for other, place in places.items() if abs(place - own.mean()) < _NEAREST_LINES]
        problems += [
            f"Lines {other} and {name} lie on top of each other. Give one of them." for other in near
        ]
        places[name] = float(own.mean())
    return problems


EQUATOR_RADIUS = 6378137.0
"""Half of the longer axis of the WGS 84 ellipsoid [m] (standard digits)."""

FLATTENING = 1 / 298.257223563
"""Of the WGS 84 ellipsoid [-] (standard digits)."""

HIGHEST_LATITUDE = np.radians(85.0)
"""Latitude beyond which metres east are no longer told from degrees [rad]. Our own limit."""


def local_metres(
    longitude: Radian, latitude: Radian, middle_longitude: Radian, middle_latitude: Radian
) -> tuple[Metres, Metres]:
    """Metres east and north of the middle of a field.

    Result: east and north of the middle.
    Raises ValueError if an angle is not finite or the middle lies beyond 85 degrees of latitude.

    Equirectangular: the ellipsoid's two radii of curvature at the middle, N cos(latitude) for longitude and M
    for latitude. The shorter way round is taken across 180 degrees.
    Range: within 5 km of the middle and 60 degrees of latitude lengths are right to 0.15 %, within 1 km to
    0.03 %: cos(latitude) changes by tan(latitude) x distance / radius.
    Source: radii of curvature of the ellipsoid, any book on geodesy (from memory); 111.32 km for a degree
    along the equator and 110.57 km north of it there (from memory).

    >>> east, north = local_metres(np.radians(1.0), 0.0, 0.0, 0.0)
    >>> round(float(east)), float(north)
    (111319, 0.0)
    """
    along, up = _radii(middle_latitude)
    turn = finite("longitude", longitude) - finite("middle_longitude", middle_longitude)
    turn = (turn + np.pi) % (2 * np.pi) - np.pi
    return along * turn, up * (finite("latitude", latitude) - middle_latitude)


def map_angles(
    east: Metre, north: Metre, middle_longitude: Radian, middle_latitude: Radian
) -> tuple[Radians, Radians]:
    """Longitude and latitude of points given in metres about the middle of a field.

    Result: longitude from -pi to pi, and latitude.
    Raises ValueError as local_metres does.

    The inverse of local_metres.
    Range: as local_metres.
    Source: as local_metres.
    """
    along, up = _radii(middle_latitude)
    longitude = finite("middle_longitude", middle_longitude) + finite("east", east) / along
    return (longitude + np.pi) % (2 * np.pi) - np.pi, middle_latitude + finite("north", north) / up


def _radii(latitude):
    """Metres for a radian of longitude and of latitude."""
    latitude = float(between("middle_latitude", latitude, -HIGHEST_LATITUDE, HIGHEST_LATITUDE))
    eccentric = FLATTENING * (2 - FLATTENING)
    bulge = 1 - eccentric * np.sin(latitude) ** 2
    prime = EQUATOR_RADIUS / np.sqrt(bulge)
    return prime * np.cos(latitude), prime * (1 - eccentric) / bulge
