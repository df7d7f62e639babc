"""Openers of a drill in motion: a whole pass, or places far apart, marched side by side."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import chain

import numpy as np

from downforce.machine.drill import Drill, Opener
from downforce.machine.field import Field
from downforce.physics.balance import push_wanted, soil_push
from downforce.physics.bounce import Wheel, bends, mirrored, ride
from downforce.physics.kinds import (
    Amount,
    Metres,
    MetresPerSecondSquared,
    Newtons,
    NewtonsPerMetre,
    Pascal,
    Ratio,
    Ratios,
)
from downforce.study.frame.tyre_give import working_rise
from downforce.study.rows import OpenerTable, RowSample, asked_soil

FINE = 0.1
"""Distance between the points that an opener is followed over [m]."""

APART = 8
"""Stations so many points apart or more are each followed over a run-in of their own [-]."""

RIDES = 8
"""How often openers are ridden anew, at most, to find what they ask for as they ride at that setting [-]."""

_RIDDEN = ("travel", "rise", "acceleration", "rubbing")  # what of a sample a ride changes
_LEAN_LIMITS = -1.0, 0.5  # what is asked for leans less than this on what openers are ridden at
_KEPT_RIDES = 48
_MOST_RUN_IN = 80
_AHEAD = 6  # stations whose ground has a say in the smooth curve at one
_CALL = 20  # stations whose arithmetic takes as long as the calls for it, on a drill of 60 rows


@dataclass(frozen=True)
class Riding:
    """What openers do on a crossing, arrays of shape (stations, openers).

    rubbing: 1 where the disc rises against its seals, -1 where it falls, between where they stick.
    """

    acceleration: MetresPerSecondSquared
    rubbing: Ratios


def wheel_of(opener):
    """The gauge wheel of an opener at working height, with the mass brought to the disc."""
    weight_share = float(opener.shares(0.0, 0.0)[0])
    return Wheel(weight_share * opener.mass, opener.gauge_wheel_stiffness, opener.gauge_wheel_damping)


def run_in(opener, speed, fine=FINE):
    """Points of the ground over which a swing of the wheel dies away."""
    return int(min(np.ceil(wheel_of(opener).settling_time * speed / fine), _MOST_RUN_IN))


def ride_edges(opener: Opener, crossing) -> tuple[int, int]:
    """Stations before and behind a block that have a say in how its openers ride.

    Result: None where each station is followed alone, or none at all.
    """
    if crossing.alone or not crossing.can_be_ridden:
        return 0, 0
    each = 1 if crossing.bumps is None else crossing.bumps.shape[1]
    ahead = _AHEAD * crossing.reach if crossing.bumps is None else 1
    return -(-run_in(opener, crossing.speed, crossing.spacing / each) // each) + ahead, ahead


def edged(blocks, edges: Callable):
    """Blocks with the ground behind and before them that has a say in how their openers ride.

    blocks: one after the other along a pass.
    edges: stations behind and before that a block wants.
    """
    before, block = None, None
    for after in chain(blocks, (None,)):
        if block is not None:
            behind, ahead = edges(block)
            parts = [block]
            if before is not None and behind:
                parts.insert(0, before.cut(max(before.station.size - behind, 0), before.station.size))
            if after is not None and ahead:
                parts.append(after.cut(0, ahead))
            start = parts[0].station.size if len(parts) > 1 and parts[0] is not block else 0
            both = {name: np.concatenate([getattr(part, name) for part in parts]) for name in block.held}
            yield replace(block, **both), slice(start, start + block.station.size)
        before, block = block, after


def ride_crossing(opener: Opener, field: Field, crossing, statics: "Statics") -> Riding:
    """Openers in motion over a crossing.

    statics: what the openers carry where they stand still.
    """
    if not crossing.can_be_ridden:
        return Riding(crossing.acceleration, np.zeros_like(crossing.acceleration))
    if crossing.alone:
        shape = crossing.acceleration.shape
        flat = Statics(*(_flat(getattr(statics, name), shape) for name in _STATICS))
        bumps, climb = (
            a.transpose(1, 0, 2).reshape(a.shape[1], -1) for a in (crossing.bumps, crossing.climb)
        )
        riding = _alone(opener, field, crossing.speed, bumps, climb, flat)
        return Riding(*(one.reshape(shape) for one in (riding.acceleration, riding.rubbing)))
    return _in_a_row(opener, field, crossing, statics)


@dataclass(frozen=True)
class Statics:
    """What openers carry at rest at their target depth, arrays (stations, openers) at the disc.

    surplus: what push and weight leave after soil, draft and closing wheel.
    friction: seal friction, whichever way it works.
    room: from the ground to the upper stop.
    """

    surplus: Newtons
    soil: Newtons
    push_rate: NewtonsPerMetre
    friction: Newtons
    room: Metres


_STATICS = ("surplus", "soil", "push_rate", "friction", "room")


def _flat(values, shape):
    return np.broadcast_to(values, shape).ravel() if np.ndim(values) else values


def _ride(opener, field, time, acceleration, climb, statics, settle):
    return ride(
        wheel_of(opener),
        acceleration,
        climb,
        *statics,
        float(opener.shares(0.0, 0.0)[2]),
        field.target_depth,
        field.soil.exponent,
        time,
        settle,
    )


def ridden(
    drill: Drill,
    field: Field,
    sample: RowSample,
    actuator,
    gauge_pressure: Pascal | None = None,
    others_too=True,
    hopper_fill: Ratio = 0.0,
) -> RowSample:
    """A sample with its openers ridden anew, under a frame that stands as high as they then let it.

    sample: where they are; without a run-in they do not bounce.
    actuator: what presses them down.
    gauge_pressure: for a cylinder at held pressure: one value, or one for each opener of the sample.
    others_too: whether rows that keep their springs on a half-refitted drill are pressed by it as well.
    hopper_fill: share of a full hopper, which presses the frame down.
    Result: with other heights, accelerations and rubbing. A sample keeps its last rides: all pages ask for
        them.
    """
    if gauge_pressure is not None:
        if np.ndim(gauge_pressure):
            return _ridden(drill, field, sample, actuator, gauge_pressure, others_too, hopper_fill)
        # An array without axes cannot be looked up.
        gauge_pressure = float(gauge_pressure)
    key, rides = (drill, field.opener_soil, actuator, gauge_pressure, others_too, hopper_fill), sample.rides
    if key not in rides:
        if len(rides) >= _KEPT_RIDES:
            rides.pop(next(iter(rides)), None)
        rides[key] = _ridden(drill, field, sample, actuator, gauge_pressure, others_too, hopper_fill)
    return rides[key]


def _ridden(drill, field, sample, actuator, gauge_pressure, others_too, hopper_fill):
    pressure = gauge_pressure
    if np.ndim(pressure):
        count = np.maximum(np.bincount(sample.row, minlength=drill.row_count), 1)
        pressure = np.bincount(sample.row, pressure, drill.row_count) / count
    lifts = actuator if others_too else None
    sample = sample.under(working_rise(drill, field.opener_soil, lifts, pressure, hopper_fill))
    run_in = sample.run_in
    if run_in is None:
        return sample
    opener, table = drill.opener, OpenerTable(drill.opener, actuator)
    travel, soil = np.clip(sample.travel, table.lowest, table.highest), asked_soil(field, sample)
    shares, push = table.shares(travel, sample.travel), table.down_force(travel, gauge_pressure)
    wanted = push_wanted(shares, opener.weight, opener.closing_load, soil.target_reaction, soil.draft_ratio)
    statics = Statics(
        push - wanted,
        soil_push(soil.target_reaction, soil.draft_ratio, shares[3]),
        table.push_rate(travel, gauge_pressure),
        table.friction(travel, gauge_pressure),
        np.maximum(table.highest - sample.travel, 0.0),
    )
    riding = _alone(opener, field, run_in.speed, run_in.bumps, run_in.climb, statics)
    held = (sample.travel >= table.highest) | (sample.travel < table.lowest)
    riding.acceleration[held] = riding.rubbing[held] = 0.0
    return replace(sample, **vars(riding))


def where_it_holds(asked: Callable, first: Amount, step: Amount, ends: tuple[Amount, Amount] = (0.0, np.inf)):
    """A setting that is asked for by openers that ride at that setting itself.

    asked: takes a setting; returns what openers ridden at it ask for, and the sample of them.
    first [m or Pa]: near where to ride first: the same start gives the same answer.
    step [m or Pa]: openers are ridden at whole steps, which recur from question to question.
    Result: what is asked for, by a straight line between two steps; inf where no setting does it. And the
        openers as they ride there, by straight lines too.
    """
    lowest, highest = np.ceil(ends[0] / step), np.floor(ends[1] / step)
    place, lean = float(np.clip(round(first / step), lowest, highest)), 0.0
    told, below, above = {}, None, None
    for _ in range(RIDES):
        told[place] = asked(place * step)
        missing = told[place][0] / step - place
        if not np.isfinite(missing):
            return told[place]
        if missing > 0.0:
            below = place
        else:
            above = place
        if below is not None and above is not None and above - below <= 1.0:
            break
        if len(told) > 1:
            lean = leaning(*((at, told[at][0] / step) for at in list(told)[-2:]))
        wanted = float(round(place + missing / (1.0 - lean)))
        low = lowest if below is None else below + 1.0
        high = highest if above is None else above - 1.0
        if low > high:
            return told[place]
        place = min(max(wanted, low), high)
    return _between(told, below, above, step)


def _between(told, below, above, step):
    """What holds between two steps, and the openers there."""
    if below is None or above is None:
        return told[above if below is None else below]
    (low, one), (high, other) = told[below], told[above]
    over, under = low / step - below, above - high / step
    part = over / (over + under)
    mixed = {name: (1.0 - part) * getattr(one, name) + part * getattr(other, name) for name in _RIDDEN}
    return (below + part * (above - below)) * step, replace(one, **mixed)


def leaning(one, other):
    """What more is asked for with each unit more that openers ride at, by two pairs of (ridden at, asked)."""
    apart = other[0] - one[0]
    return float(np.clip((other[1] - one[1]) / apart, *_LEAN_LIMITS)) if apart else 0.0


def _alone(opener, field, speed, bumps, climb, statics):
    """Every place after a run-in over its own bumps, with its own soil and height all the way."""
    points, count = bumps.shape
    held = [np.broadcast_to(getattr(statics, name), count)[None] for name in _STATICS]
    told = _ride(opener, field, FINE / speed, bumps, climb, held, points - 1)
    return Riding(*(one[0].astype(float) for one in told))


def _in_a_row(opener, field, crossing, statics):
    """Stations one after the other, cut into stretches that are marched side by side, each after a run-in."""
    stations, rows = crossing.acceleration.shape
    if crossing.bumps is None:
        each, fine = 1, crossing.spacing
        bumps = bends(crossing.acceleration, crossing.reach)
    else:
        each = crossing.bumps.shape[1]
        fine = crossing.spacing / each
        bumps = crossing.bumps.reshape(-1, rows)
    lead = -(-run_in(opener, crossing.speed, fine) // each)
    stretches = int(np.clip(np.sqrt(_CALL * stations / max(lead, 1)), 1, stations))
    length = -(-stations // stretches)
    stretches = -(-stations // length)
    first = np.arange(stretches) * length
    # One column a stretch: the points of its run-in, then its own; what lies beyond the ends is mirrored.
    station = np.arange(-lead, length)[:, None] + first
    point = (station[:, None, :] * each + np.arange(1 - each, 1)[:, None]).reshape(-1, stretches)

    def spread(values):
        """Values at stations, by straight lines at the points between them."""
        if np.size(values) == 1:
            return np.broadcast_to(values, (1, stretches * rows))
        values = np.broadcast_to(np.asarray(values, dtype=np.float32), (stations, rows))
        at = np.floor_divide(point, each)
        found = values[mirrored(at, stations)]
        if each > 1:
            part = ((point - at * each) / each)[..., None]
            found += part * (values[mirrored(at + 1, stations)] - found)
        return found.reshape(len(point), -1)

    given = [spread(getattr(statics, name)) for name in _STATICS]
    there = point + (each - 1)
    acceleration = bumps.astype(np.float32)[mirrored(there, len(bumps))].reshape(len(point), -1)
    if crossing.climb is None:
        rise = np.diff(crossing.ground_travel, axis=0)
        rise = np.concatenate((rise, rise[-1:]))
    else:
        rise = crossing.climb.reshape(-1, rows)
    climb = rise.astype(np.float32)[mirrored(there, len(rise))].reshape(len(point), -1)
    told = _ride(opener, field, fine / crossing.speed, acceleration, climb, given, lead * each + each - 1)

    def back(values):
        values = values[::each].reshape(length, stretches, rows).transpose(1, 0, 2)
        return values.reshape(-1, rows)[:stations].astype(float)

    return Riding(*(back(one) for one in told))
