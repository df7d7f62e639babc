"""Passes cut out of a log of a whole field: points that stand still, turns and gaps are found."""

from itertools import pairwise
from math import hypot

import numpy as np

from downforce.physics.checks import finite, positive
from downforce.physics.kinds import Metre, Metres, Wholes

STANDING_SHARE = 0.25
"""Share of the usual step within which points count as standing [-]. Our own limit."""

LEAST_MOVE = 0.05
"""Scatter of a good satellite receiver that stands [m] (from memory)."""

TURN_REACH = 5.0
"""Distance before and behind over which a turn is judged, or one step where that is more [m]."""

SHARPEST_BEND = np.radians(15.0)
"""Turn within the reach from which on it is a headland turn: a radius under 19 m [rad]. Our own limit."""

WIDEST_BEND = np.radians(45.0)
"""Turn against its beginning after which a stretch counts as another pass [rad]. Our own limit."""

SHORTEST_PASS = 30.0
"""Shorter stretches are turns or bits of them [m]. Our own limit."""

LEAST_POINTS = 4
"""Points a pass needs [-]. Our own limit."""

WIDEST_GAP = 3.0
"""Usual steps without a point after which a pass ends [-], and at least `LEAST_GAP`."""

LONGEST_STEP = 25.0
"""Longest step that counts in full for what is usual; a longer one may be the way to another field [m]."""

LEAST_GAP = 2.0
"""Gaps that are always bridged by a straight line [m]. Our own limit."""


def usual_step(east: Metres, north: Metres) -> Metre:
    """Distance between points that half of the way was logged at or below.

    east, north: places of the points, in the order of driving.
    Result: weighted by the way, at most 25 m of each step, so that neither many points in one place nor one
        long gap count; 0 if nothing moved.
    Raises ValueError if a coordinate is not finite.

    Range: two points or more.
    Source: definition of a weighted median.

    >>> usual_step([0, 0, 0, 0, 2, 4, 6, 9], [0] * 8)
    2.0
    """
    step = np.sort(np.hypot(np.diff(finite("east", east)), np.diff(finite("north", north))))
    way = np.cumsum(np.minimum(step, LONGEST_STEP))
    if way.size == 0 or way[-1] == 0:
        return 0.0
    return float(step[np.searchsorted(way, way[-1] / 2)])


def standing_groups(east: Metres, north: Metres, step: Metre) -> Wholes:
    """Group of each point, so that points at which the machine stood share one.

    east, north: places of the points, in the order of driving.
    step: usual distance between points.
    Result: groups counted from 0; a point within a quarter step, and within 50 mm, of the first of its group
        belongs to it.
    Raises ValueError if a coordinate is not finite or the step not above zero.

    Range: scatter while standing below a quarter step or 50 mm, whichever is more.
    Source: definition; limits are our own.

    >>> standing_groups([0.0, 0.5, 0.52, 0.49, 1.0], [0.0] * 5, 0.5).tolist()
    [0, 1, 1, 1, 2]
    """
    near = max(STANDING_SHARE * float(positive("step", step)), LEAST_MOVE)
    east, north = finite("east", east).tolist(), finite("north", north).tolist()
    group, first, found = 0, 0, []
    for i in range(len(east)):
        if hypot(east[i] - east[first], north[i] - north[first]) > near:
            group, first = group + 1, i
        found.append(group)
    return np.array(found, dtype=int)


def cut_passes(east: Metres, north: Metres, step: Metre) -> list[slice]:
    """Stretches of a log that are passes, in the order of driving.

    east, north: places of the points, standing points merged.
    step: usual distance between points.
    Result: points of each pass.
    Raises ValueError if a coordinate is not finite or the step not above zero.

    A pass ends at a gap of more than three usual steps. Between gaps the log is cut where it turns by 15
    degrees or more within 5 m, or within one step where that is more, and where it has turned by 45 degrees
    since the pass began, so that passes along a contour stay whole. What is shorter than 30 m is left out.
    Range: turns sharper than 19 m in radius, passes that bend less.
    Source: definition; limits are our own.
    """
    step = float(positive("step", step))
    east, north = np.ravel(finite("east", east)), np.ravel(finite("north", north))
    moved = np.hypot(np.diff(east), np.diff(north))
    gaps = np.flatnonzero(moved > max(WIDEST_GAP * step, LEAST_GAP)) + 1
    ends = [0, *gaps.tolist(), east.size]
    found = []
    for start, end in pairwise(ends):
        if end - start >= LEAST_POINTS:
            stretch = slice(start, end)
            found += [
                slice(start + first, start + last)
                for first, last in _straight(east[stretch], north[stretch], max(TURN_REACH, step))
            ]
    return found


def _straight(east, north, reach):
    """First and last point of each straight stretch of a log without gaps."""
    along = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(east), np.diff(north)))))

    def heading(before, after):
        ends = [np.clip(along + shift, 0.0, along[-1]) for shift in (before, after)]
        (e0, n0), (e1, n1) = ((np.interp(s, along, east), np.interp(s, along, north)) for s in ends)
        return np.arctan2(e1 - e0, n1 - n0)

    bend = np.abs(_wrapped(heading(0.0, reach) - heading(-reach, 0.0)))
    # At an end one of the two looks at a single point.
    bend[(along < reach / 2) | (along > along[-1] - reach / 2)] = 0.0
    way = heading(-reach / 2, reach / 2)
    found, first = [], None
    for i, turning in enumerate((*(bend > SHARPEST_BEND), True)):
        ended = first is not None and (turning or abs(_wrapped(way[i] - way[first])) > WIDEST_BEND)
        if ended:
            if along[i - 1] - along[first] >= SHORTEST_PASS and i - first >= LEAST_POINTS:
                found.append((first, i))
            first = None
        if first is None and not turning:
            first = i
    return found


def _wrapped(angle):
    return (angle + np.pi) % (2 * np.pi) - np.pi
