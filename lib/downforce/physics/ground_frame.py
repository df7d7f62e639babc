"""Where each section of a frame rides, given the ground under wheels and hitch; and passes cut from a log.

In the log of a whole field, points that stand still, turns and gaps are found.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import hypot

import numpy as np

from downforce.physics.checks import finite, positive
from downforce.physics.kinds import Metre, Metres, NewtonPerMetre, Ratios, Wholes


def drawbar_height(rear_height: Metre, front_height: Metre, overhang: Metre, wheelbase: Metre) -> Metre:
    """How far the ground lifts a tractor's drawbar.

    rear_height, front_height: ground under the tractor's rear and front axle, mean of left and right.
    overhang: drawbar pin behind the rear axle.
    Raises ValueError if the wheelbase is not above zero or an input is not finite.

    rear + (rear - front) overhang / wheelbase: a rigid tractor on stiff tyres.
    Range: none.
    Source: derivation, straight line through the axles.

    >>> round(float(drawbar_height(0.1, 0.0, 1.0, 2.5)), 3)
    0.14
    """
    rear = finite("rear_height", rear_height)
    return rear + (rear - finite("front_height", front_height)) * (
        finite("overhang", overhang) / positive("wheelbase", wheelbase)
    )


@dataclass(frozen=True)
class FrameOnWheels:
    """Rigid sections on fore-aft hinges, carried by wheels and a hitch.

    Axes of the machine: x rearward from the hitch pin, y to the right. The sections share their pitch and
    have each their own roll; at a hinge two neighbours have the same height. The hitch pin holds its height
    exactly and leaves pitch and roll free. Wheels take up what they cannot all fit by their stiffness.
    A section without a wheel follows its neighbour towards the hitch rigidly, as if the hinge were locked.

    A hitch that floats holds nothing: then the wheels alone fix heave, pitch and rolls.

    Only geometry is asked: tyres are stiff, every wheel keeps touching the ground, weight plays no part.

    hinges: places of the hinges across, rising; none for one rigid section.
    wheel_x, wheel_y: places of the wheels that carry the frame in work.
    wheel_stiffness: one for each wheel; all alike when left out.
    hitch_x, hitch_y: place of the hitch pin.
    hitch_holds: whether the hitch holds its height.

    >>> frame = FrameOnWheels((), (4.0, 4.0), (-2.0, 2.0))
    >>> round(frame.plane(0.0, np.array([0.1, 0.1]), 4.0, 0.0).item(), 6)
    0.1
    """

    hinges: tuple[Metre, ...]
    wheel_x: tuple[Metre, ...]
    wheel_y: tuple[Metre, ...]
    wheel_stiffness: tuple[NewtonPerMetre, ...] = ()
    hitch_x: Metre = 0.0
    hitch_y: Metre = 0.0
    hitch_holds: bool = True

    def __post_init__(self):
        for name in ("hinges", "wheel_x", "wheel_y"):
            values = np.ravel(finite(name, getattr(self, name)))
            object.__setattr__(self, name, tuple(float(v) for v in values))
        if np.any(np.diff(self.hinges) <= 0):
            raise ValueError(f"hinges must rise from left to right; got {self.hinges}.")
        if not len(self.wheel_x) == len(self.wheel_y) > 0:
            raise ValueError(
                f"wheel_x and wheel_y must name the same wheels, at least one; "
                f"got {len(self.wheel_x)} and {len(self.wheel_y)}."
            )
        given = (
            np.ravel(positive("wheel_stiffness", self.wheel_stiffness)) if len(self.wheel_stiffness) else None
        )
        stiffness = np.ones(len(self.wheel_x)) if given is None else given
        if stiffness.size != len(self.wheel_x):
            raise ValueError(
                f"wheel_stiffness must have one value a wheel, {len(self.wheel_x)}; got {stiffness.size}."
            )
        object.__setattr__(self, "wheel_stiffness", tuple(float(v) for v in stiffness))
        finite("hitch_x", self.hitch_x)
        finite("hitch_y", self.hitch_y)
        object.__setattr__(self, "_response", self._motion_response())

    @cached_property
    def leaders(self) -> tuple[int, ...]:
        """For each section the section whose roll it takes: itself when it has a wheel.

        Result: number of the leading section, counted from the left.

        Range: none.
        Source: the rule of the class: follow the neighbour towards the hitch, else the nearest with wheels.
        """
        own = {int(s) for s in self.section_of(self.wheel_y)}
        middle = int(self.section_of(self.hitch_y))
        leaders = []
        for section in range(len(self.hinges) + 1):
            towards = [s for s in own if min(section, middle) <= s <= max(section, middle)]
            leaders.append(min(towards or own, key=lambda s: (abs(s - section), abs(s - middle), s)))
        return tuple(leaders)

    def section_of(self, y: Metre) -> int | Wholes:
        """Section a place across belongs to.

        y: distance to the right.
        Result: number of the section, counted from the left, from 0. A hinge belongs to the section right of
            it.

        Range: none.
        Source: definition.
        """
        return np.searchsorted(self.hinges, finite("y", y), side="right")

    def shares(self, x: Metre, y: Metre) -> Ratios:
        """How much of the ground's height under hitch and wheels shows at places of the frame.

        x, y: places on the frame, machine axes; the two broadcast.
        Result: shares, one more axis than the places: first the hitch, then each wheel. They sum to 1.
        Raises ValueError if a place is not finite.

        The plane is linear in the heights below it, so that these shares hold for every station.
        Range: small slopes.
        Source: derivation, least squares weighted by stiffness.
        """
        x, y = np.broadcast_arrays(finite("x", x), finite("y", y))
        shares = self._motions(x, y) @ self._response  # type: ignore[attr-defined]
        shares[..., 0] += self.hitch_holds
        return shares

    def plane(self, hitch_height: Metre, wheel_height: Metres, x: Metre, y: Metre) -> Metres:
        """Heights of the sections' planes at places of the frame, station by station.

        hitch_height: lift of the hitch pin, one for each station.
        wheel_height: ground under the wheels, last axis the wheels.
        x, y: places on the frame, machine axes.
        Result: heights, stations first, places last; 0 everywhere on level ground.
        Raises ValueError if a height or place is not finite, or there is not one height a wheel.

        Range: small slopes; stiff tyres; every wheel on the ground.
        Source: derivation.
        """
        wheel_height = finite("wheel_height", wheel_height)
        if wheel_height.shape[-1:] != (len(self.wheel_x),):
            raise ValueError(
                f"wheel_height must have one height a wheel, {len(self.wheel_x)}, on its last axis; "
                f"got shape {wheel_height.shape}."
            )
        hitch_height = np.broadcast_to(finite("hitch_height", hitch_height), wheel_height.shape[:-1])
        below = np.concatenate((hitch_height[..., None], wheel_height), axis=-1)
        shares = self.shares(np.ravel(x), np.ravel(y))
        # A matrix product would wake the threads of the linear algebra, which cost more than they save.
        return np.einsum("...w,rw->...r", below, shares)

    def _motions(self, x, y):
        """Height at a place for a unit of pitch, of each leading section's roll and, floating, of heave."""
        edges = np.concatenate(([-np.inf], self.hinges, [np.inf]))
        leaders = self.leaders
        rolls = sorted(set(leaders))
        motions = np.zeros((*np.shape(x), 1 + len(rolls)))
        motions[..., 0] = x - self.hitch_x
        for section, leader in enumerate(leaders):
            low, high = edges[section], edges[section + 1]
            reach = np.clip(y, low, high) - np.clip(self.hitch_y, low, high)
            motions[..., 1 + rolls.index(leader)] += reach
        if not self.hitch_holds:
            motions = np.concatenate([motions, np.ones((*np.shape(x), 1))], axis=-1)
        return motions

    def _motion_response(self):
        """Pitch, rolls and heave for one unit of height under the hitch and each wheel."""
        motions = self._motions(np.array(self.wheel_x), np.array(self.wheel_y))
        weight = np.sqrt(np.array(self.wheel_stiffness))[:, None]
        if np.linalg.matrix_rank(motions * weight) < motions.shape[1]:
            raise ValueError(
                f"The wheels do not hold the frame: {len(self.wheel_x)} wheels must fix the pitch and "
                f"the roll of {len(set(self.leaders))} section(s) with wheels. Give a section two wheels "
                "side by side, or one wheel away from its hinge, and put at least one "
                "wheel behind or ahead of the hitch."
            )
        to_wheels = np.linalg.pinv(motions * weight) * weight[:, 0]
        to_hitch = -self.hitch_holds * to_wheels.sum(axis=1, keepdims=True)
        return np.concatenate((to_hitch, to_wheels), axis=1)


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
