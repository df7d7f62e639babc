"""Motion of an opener over bumps: a mass on a gauge wheel that gives, is damped and can leave the ground."""

import math
from dataclasses import dataclass

import numpy as np

from downforce.physics import kinds as si
from downforce.physics.checks import not_negative, positive

STEP_ANGLE = 0.5
"""Most that the wheel's own swing turns in one step [rad]."""

LEAST_STEPS = 3
"""Steps from one point of the ground to the next [-]."""

STICKING = 0.01
"""Travel rate under which seals stick rather than slide [m/s] (from memory)."""

_SPLINE = math.sqrt(3.0) - 2.0  # root of the filter 1, 4, 1 that gives second differences of bends
_TAPS = 5


@dataclass(frozen=True)
class Wheel:
    """A gauge wheel with the mass it carries, both brought to the disc.

    stiffness: force on the wheel for each metre that it gives.
    damping_ratio: damping over what would just keep the mass from swinging.
    """

    mass: si.Kilogram
    stiffness: si.NewtonPerMetre
    damping_ratio: si.Ratio

    @property
    def damping(self) -> si.NewtonSecondPerMetre:
        """Force on the wheel for each metre a second.

        Result: 2 x damping_ratio x sqrt(stiffness x mass).

        Range: any.
        Source: definition of the damping ratio; any book on vibration.
        """
        return 2.0 * self.damping_ratio * math.sqrt(self.stiffness * self.mass)

    @property
    def own_frequency(self) -> si.RadianPerSecond:
        """Angular frequency of the undamped mass on its wheel.

        Result: sqrt(stiffness / mass).

        Range: any.
        Source: any book on vibration; 120 N/mm and 100 kg give 5.513 Hz.
        """
        return math.sqrt(self.stiffness / self.mass)

    @property
    def settling_time(self) -> si.Second:
        """Time in which a swing falls to one part in 150.

        Result: 5 / (damping_ratio x own_frequency).

        Range: a damping ratio above zero and below one.
        Source: decay of a free swing; any book on vibration.
        """
        return 5.0 / (self.damping_ratio * self.own_frequency)


def bends(second_difference: si.Amounts, stride: int = 1) -> si.Amounts:
    """Second derivative of the smooth curve through equally spaced points, from their second differences.

    second_difference [any]: second differences along the first axis over the square of their spacing.
    stride: places from a point to those that its second difference was taken with.
    Result [as second_difference]: bend of the cubic spline at every point; beyond the ends the ground is
        taken as mirrored.

    A second difference flattens short waves: of a wave four points long it leaves 81 %. The spline has
    (b[i-1] + 4 b[i] + b[i+1]) / 6 = second difference, which is turned round term by term.
    Range: waves of three points or more; shorter ones come out too weak.
    Source: cubic splines on equal steps, any book on numerical methods; inverse by geometric series.
    """
    given = np.asarray(second_difference, dtype=float)
    count, reach = given.shape[0], _TAPS * stride
    if count == 1:
        return given
    padded = given[mirrored(np.arange(-reach, count + reach), count)]
    found = math.sqrt(3.0) * given
    for tap in range(1, _TAPS + 1):
        away = tap * stride
        there = padded[reach - away : reach - away + count] + padded[reach + away : reach + away + count]
        there *= math.sqrt(3.0) * _SPLINE**tap
        found += there
    return found


def mirrored(index: si.Wholes, count: int) -> si.Wholes:
    """Places on a row of `count` points that is mirrored at both ends.

    index: places, beyond the ends too.

    Range: one point or more.
    Source: definition.
    """
    if count == 1:
        return np.zeros_like(index)
    around = np.abs(index) % (2 * count - 2)
    return np.minimum(around, 2 * count - 2 - around)


def ride(
    wheel: Wheel,
    acceleration: si.MetresPerSecondSquared,
    climb: si.Metres,
    surplus: si.Newtons,
    soil: si.Newtons,
    push_rate: si.NewtonsPerMetre,
    friction: si.Newtons,
    room: si.Metres,
    gauge_share: si.Ratio,
    target_depth: si.Metre,
    exponent: si.Ratio,
    time: si.Second,
    settle: int = 0,
) -> tuple[si.MetresPerSecondSquared, si.Ratios]:
    """Acceleration of openers that bounce over ground, and which way their seals rub.

    wheel: gauge wheel and mass.
    acceleration (points, openers): upward acceleration of the ground at equally spaced points, as a wheel
        that never leaves it feels it.
    climb (points, openers): rise of the ground relative to the frame from each point to the next.
    surplus (points or 1, openers): what push and weight leave at the disc after soil, draft and closing
        wheel, at its target depth.
    soil (points or 1, openers): what soil and draft take at the disc at its target depth.
    push_rate (points or 1, openers): rise of the push for each metre of travel.
    friction (points or 1, openers): seal friction at the disc, whichever way it works.
    room (points or 1, openers): how far the disc may rise from its target depth before it meets the upper
        stop.
    gauge_share: newtons at the disc for one newton on the gauge wheel.
    target_depth: depth the gauge wheel is set to.
    exponent: power of depth in the soil reaction.
    time: from one point to the next.
    settle: points that are only run in over, not told.
    Result (points - settle, openers): upward acceleration of the openers, and how the seals rub: 1 while the
        disc rises, -1 while it falls, between while they stick.
    Raises ValueError if time, depth or exponent are not above zero, or a settling is negative.

    m z'' = g G + V (1 + r t) + c C - D - w W - friction, with G = max(0, -k y - b y') where y is the height
    of the disc over the place where the wheel touches at its target depth, and V by that height where it is
    positive. The target depth is that of the loaded wheel: while it touches, the soil gives its reaction
    there, so that at rest this is the balance of `downforce.physics.balance.balance_opener`. Between the
    points the ground's acceleration is that of a cubic spline. Central differences in steps of at most
    `STEP_ANGLE`, in single precision: accelerations are within 2e-5 m/s2 of those in double.
    Range: wheels that stay round; speeds at which the wheel rolls. Against a solver with an error bound the
    spread of the load is within 1 % on the same ground. Left out: damping by the soil itself, slip, the arm's
    own bending.
    Source: Newton's law, derivation above; stiffness and damping are guesses, none was found published.
    """
    time, target_depth = float(positive("time", time)), float(positive("target_depth", target_depth))
    exponent, settle = float(positive("exponent", exponent)), int(not_negative("settle", settle))
    steps = max(LEAST_STEPS, math.ceil(wheel.own_frequency * time / STEP_ANGLE))
    step = time / steps
    per_newton = step * step / wheel.mass
    # The wheel's force is found at the end of a step from the speed across it: exact for a damper.
    held = gauge_share**2 * wheel.damping / (2.0 * step)
    give = gauge_share**2 * wheel.stiffness * per_newton / (1.0 + held * per_newton)
    damp = held * per_newton / (1.0 + held * per_newton)
    height = _shallower(surplus[0], soil[0], push_rate[0], target_depth, exponent)
    height = _single(height - np.maximum(surplus[0], 0.0) / (gauge_share**2 * wheel.stiffness))
    points, openers = acceleration.shape
    thrown, rise = _single(acceleration, step * step), _single(climb, 1.0 / steps)
    bend, left = _single(soil, per_newton), _single(surplus, per_newton)
    rub, by_height = _single(friction, per_newton), _single(push_rate, per_newton)
    # Seals that stick would chatter if one step of friction could turn the motion round.
    rubs, per_rate = bool(np.any(friction)), 1.0 / np.maximum(step * STICKING, rub)
    linear = exponent == 1.0
    if linear:
        by_height = bend / target_depth + by_height
    room = _single(room)
    told = tuple(np.zeros((points - settle, openers), np.float32) for _ in range(2))
    moved = np.zeros_like(height)
    lift, down, force, free, rubbing, none = (np.zeros_like(height) for _ in range(6))
    rising, falling, deepest = (np.full_like(height, bound) for bound in (1.0, -1.0, target_depth))
    for point in range(points):
        last = min(point + 1, points - 1)
        swing = (thrown[last] - thrown[point]) / steps
        now = thrown[point] + (thrown[last] - 2.0 * thrown[point] + thrown[max(point - 1, 0)]) / (6.0 * steps)
        at_left, at_height, at_rub, at_rate, at_room = (
            _at(values, point) for values in (left, by_height, rub, per_rate, room)
        )
        at_rise = rise[point]
        for part in range(steps):
            np.maximum(height, none, out=lift)  # with bare numbers, as in a clip, twice the time
            np.minimum(lift, deepest, out=lift)
            np.multiply(lift, at_height, out=down)
            down += at_left
            if not linear:
                up = np.flatnonzero(lift > 0.0)
                share = (1.0 - lift[up] / target_depth) ** exponent
                down[up] += _at(bend, point)[up] * (1.0 - share)
            if rubs:
                np.add(moved, at_rise, out=rubbing)
                rubbing *= at_rate
                np.maximum(rubbing, falling, out=rubbing)
                np.minimum(rubbing, rising, out=rubbing)
                np.multiply(rubbing, at_rub, out=force)
                down += force
            np.subtract(moved, down, out=free)
            free -= now
            np.add(moved, free, out=force)
            force *= damp
            np.multiply(height, give, out=lift)
            force += lift
            np.minimum(force, none, out=force)
            if part == 0:
                if point >= settle:
                    np.add(down, force, out=told[0][point - settle])
                    told[1][point - settle] = rubbing
                now = thrown[point].copy()
            np.subtract(free, force, out=moved)
            height += moved
            now += swing
        over = height > at_room
        if over.any():
            height[over] = at_room[over]
            moved[over] = np.minimum(moved[over], 0.0)
    told[0][...] *= -1.0 / (step * step)
    return told  # type: ignore[return-value]


def _single(values, factor=1.0):
    """Times a factor, in single precision: half the time."""
    return np.multiply(values, factor, dtype=np.float32, casting="same_kind")


def _shallower(surplus, soil, push_rate, target_depth, exponent, rounds=8):
    """How much shallower than its target depth a disc at rest runs where push and weight fall short."""
    whole = np.zeros(surplus.shape)
    short = np.flatnonzero(surplus < 0.0)
    surplus, soil, push_rate, height = surplus[short], soil[short], push_rate[short], whole[short]
    for _ in range(rounds):
        share = 1.0 - height / target_depth
        left = surplus + push_rate * height + soil * (1.0 - share**exponent)
        slope = push_rate + soil * exponent / target_depth * np.maximum(share, 1e-3) ** (exponent - 1.0)
        height = np.clip(height - left / np.maximum(slope, 1.0), 0.0, target_depth)
    whole[short] = height
    return whole


def _at(values, point):
    return values[point if values.shape[0] > 1 else 0]
