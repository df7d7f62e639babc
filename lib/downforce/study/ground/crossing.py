"""A drill's way over a field: height, soil, acceleration and kind of ground that every opener meets.

It comes in blocks of stations. The same crossing can be pressed by a spring, by a cylinder or by a rival; the
same field can be given other ground, rougher or smoother, with or without terraces and tracks.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from threading import Event
from typing import Any

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field, Relief, Soil, Terrace, Tracks
from downforce.machine.unit_table import percent
from downforce.physics.bounce import bends
from downforce.physics.checks import count_number, seed_number
from downforce.physics.ground_survey import SurveyedTrack
from downforce.physics.kinds import (
    Flags,
    Kilogram,
    Metre,
    MetrePerSecond,
    Metres,
    MetresPerSecondSquared,
    Newton,
    Newtons,
    Ratio,
    Wholes,
)
from downforce.physics.soil_reaction import soil_factor, spread_blocks
from downforce.study.ground.field_ground import field_ground
from downforce.study.ground.motion import APART, FINE, run_in

BLOCK_OPENERS = 65_536
"""Openers x stations worked at a time [-]; small enough for the processor's own memory."""

MET = ("station", "ground_travel", "reaction", "acceleration", "place")
"""What a crossing holds for every station [-]."""

BETWEEN = ("bumps", "climb")
"""What it holds of the ground between stations, where those are not a tenth of a metre apart [-]."""

ACCELERATION_REACH = 0.1
"""Distance to the points before and behind from which the ground's curvature is taken [m]."""

_SOIL_STREAM = 1000
"""Keeps the soil's random numbers apart from those of the relief [-]."""


@dataclass(frozen=True)
class Crossing:
    """Ground and soil met by every opener, arrays of shape (stations, openers).

    station (stations,): distance of the hitch pin along the pass.
    ground_travel: height of the ground relative to the frame: travel of a disc at its target depth.
    reaction: soil reaction at the field's reference depth, track factor included.
    place: kind of ground, index into field_ground.PLACES.
    bumps (stations, points, openers): where stations are not a tenth of a metre apart: acceleration of the
        ground at points on the way to each, the last the station itself.
    climb (stations, points, openers): rise of the ground relative to the frame from each to the next; none
        where each is a station.
    alone: whether the points of a station are a run-in of its own; else they fill the way from the one
        before.
    rise (openers,): how far the frame stands over its working height, which is off `ground_travel` already.
    """

    station: Metres
    ground_travel: Metres
    reaction: Newtons
    acceleration: MetresPerSecondSquared
    place: Wholes
    speed: MetrePerSecond
    words: str
    bumps: MetresPerSecondSquared | None = None
    climb: Metres | None = None
    alone: bool = False
    rise: Metre = 0.0

    @property
    def spacing(self) -> Metre:
        """Distance between stations."""
        return float(self.station[1] - self.station[0]) if self.station.size > 1 else 0.0

    @property
    def held(self):
        """Names of the arrays it holds, one element along the first axis for each station."""
        return tuple(name for name in MET + BETWEEN if getattr(self, name) is not None)

    @property
    def reach(self):
        """Stations before and behind from which the acceleration at each was taken."""
        return _reach(self.spacing)

    @property
    def can_be_ridden(self) -> bool:
        """Whether it holds enough of the ground to follow an opener that bounces."""
        close = 0.0 < self.spacing <= 1.5 * ACCELERATION_REACH
        return self.speed > 0 and (close or self.bumps is not None)

    def blocks(self) -> "Iterator[Crossing]":
        """The same crossing in blocks of stations that fit the processor's own memory.

        Result: one after another along the pass.
        """
        size = _block_stations(self.ground_travel.shape[1])
        for start in range(0, self.station.size, size):
            yield self.cut(start, start + size)

    def cut(self, start: int, end: int) -> "Crossing":
        """Some of its stations.

        start, end: first station, and the one behind the last.
        """
        return replace(self, **{name: getattr(self, name)[start:end] for name in self.held})

    def of_rows(self, rows: Flags) -> "Crossing":
        """What some of the openers meet.

        rows (openers,): which of them.
        Result: a copy with their columns only.
        """
        wide = {n: value[..., rows] for n, value in vars(self).items() if np.ndim(value) and n != "station"}
        return replace(self, **wide)

    def under(self, rise):
        """The same ground under a frame that stands by `rise` (openers,) [m] over its working height."""
        return replace(self, ground_travel=self.ground_travel + (self.rise - rise), rise=rise)

    def at_speed(self, speed: MetrePerSecond) -> "Crossing":
        """The same ground and soil met at another speed.

        Result: a copy; accelerations go with the square of the speed.
        """
        if not self.speed > 0:
            raise ValueError("A crossing made at speed 0 holds no accelerations; cross the field at a speed.")
        square = (speed / self.speed) ** 2
        bumps = None if self.bumps is None else self.bumps * square
        return replace(self, speed=float(speed), acceleration=self.acceleration * square, bumps=bumps)

    def scaled(self, factor: Ratio) -> "Crossing":
        """The same crossing with every height multiplied.

        Result: a copy; travel and accelerations go with the heights.
        """
        heights = [name for name in self.held if name in ("ground_travel", "acceleration", *BETWEEN)]
        return replace(self, **{name: getattr(self, name) * factor for name in heights})


def cross_field(
    drill: Drill,
    field: Field,
    seed=1,
    stations=2000,
    spacing: Metre = 0.1,
    speed: MetrePerSecond | None = None,
    survey: SurveyedTrack | None = None,
    progress: Callable | None = None,
    stop: Callable | Event | None = None,
) -> Crossing:
    """Everything the openers of a drill meet on one pass over a field.

    speed: ground speed; the field's own when left out.
    survey: surveyed ground in the place of relief and terraces; the pass starts where it does.
    progress: called with the share done, 0 to 1.
    """
    watch = Watch(stations, progress, stop)
    made, start = {}, 0
    for block in crossing_blocks(drill, field, seed, stations, spacing, speed, survey):
        end = start + block.station.size
        made = made or rooms(stations, {name: getattr(block, name) for name in block.held})
        for name, room in made.items():
            room[start:end] = getattr(block, name)
        start = end
        watch.done(block.station.size)
    return replace(block, **made)


def crossing_blocks(
    drill: Drill,
    field: Field,
    seed=1,
    stations=2000,
    spacing: Metre = 0.1,
    speed: MetrePerSecond | None = None,
    survey: SurveyedTrack | None = None,
    block_stations=None,
) -> Iterator[Crossing]:
    """The same crossing in blocks of stations, so that a long pass needs little memory.

    speed: ground speed; the field's own when left out.
    survey: surveyed ground in the place of relief and terraces; the pass starts where it does.
    block_stations: most stations in a block; chosen by the number of openers when left out. It changes no
        value.

    The soil belongs to the ground: a rear rank meets what a front rank beside it met before, to the nearest
    station. Acceleration is taken from points a tenth of a metre before and behind, about a gauge wheel's
    contact; sharper bumps are not felt.
    """
    stations, seed = count_number("stations", stations), seed_number("seed", seed)
    if not spacing > 0:
        raise ValueError(f"spacing must be above 0 m; got {spacing!r}.")
    speed = field.speed if speed is None else float(speed)
    if not 0 <= speed < 20:
        raise ValueError(f"speed must be from 0 to 20 m/s; got {speed:g} m/s.")
    ground = field_ground(drill, field, seed, survey)
    first = 0.0 if survey is None else survey.start
    block_stations = count_number("block_stations", block_stations or _block_stations(drill.row_count))
    return _blocks(drill, field, ground, first, seed, stations, spacing, speed, block_stations)


def rooms(stations, block):
    """Empty arrays by name for a whole pass, each like that in a block of its stations.

    Those of one shape lie together: the machine hands out one large piece of memory in half the time of many.
    """
    made, alike = {}, {}
    for name, array in block.items():
        alike.setdefault((array.shape[1:], array.dtype), []).append(name)
    for (shape, kind), names in alike.items():
        made.update(zip(names, np.empty((len(names), stations, *shape), kind), strict=True))
    return made


def opener_acceleration(
    height: Metres, spacing: Metre, speed: MetrePerSecond, reach=1
) -> MetresPerSecondSquared:
    """Upward acceleration of a thing that follows a profile.

    height: heights at equal spacing along the first axis.
    reach: points before and behind from which the curvature is taken.
    Result: one for each point that has `reach` points on both sides.

    speed^2 x curvature, by the second difference. Left out: a wheel that leaves the ground.
    """
    middle = height[reach : len(height) - reach]
    bend = height[2 * reach :] - 2 * middle + height[: len(height) - 2 * reach]
    return bend * (speed / (reach * spacing)) ** 2


def soil_at_depth(field: Field, reaction: Newtons) -> Soil:
    """Soil for the loads of many openers."""
    soil = field.soil
    return Soil(reaction, soil.reference_depth, field.target_depth, soil.exponent, soil.draft_ratio)


class PassStopped(Exception):
    """Work on a pass was stopped by the person who asked for it."""


class Watch:
    """Says to `progress` which share of `total` steps is done, and ends the work when `stop` says so."""

    def __init__(self, total, progress=None, stop=None):
        self._total, self._done = total, 0
        self._progress = progress
        self._stop: Any = getattr(stop, "is_set", stop)
        self.done(0)

    def done(self, steps):
        """Count steps as done; raises PassStopped if the work is to end."""
        self._done += steps
        if self._progress:
            self._progress(self._done / self._total)
        if self._stop and self._done < self._total and self._stop():
            raise PassStopped(f"Stopped after {percent(self._done / self._total)} of the pass.")


def _block_stations(rows):
    return max(16, BLOCK_OPENERS // rows)


def _blocks(drill, field, ground, first, seed, stations, spacing, speed, block_stations):
    soils = _soil_blocks(drill, field, seed, stations, spacing, block_stations)
    for start in range(0, stations, block_stations):
        end = min(start + block_stations, stations)
        station = first + np.arange(start, end) * spacing
        plane = ground.frame_plane(station)
        if spacing > 1.5 * ACCELERATION_REACH:
            between = round(spacing / FINE)
            alone = between >= APART
            points = max(run_in(drill.opener, speed), 1) if alone else between
            fine = FINE if alone else spacing / between
            height, acceleration, bumps, climb = _between(ground, station, points, fine, speed, alone)
            before = ground.frame_plane(station - fine)
            climb -= (plane - before)[:, None]
        else:
            reach, alone, bumps, climb = _reach(spacing), False, None, None
            edge = reach if reach == 1 else reach + _AHEAD
            height = ground.height(first + np.arange(start - edge, end + edge) * spacing)
            around = height[edge - reach : len(height) - edge + reach]
            acceleration = opener_acceleration(around, spacing, speed, reach)
            if reach > 1:
                bumps = bends(opener_acceleration(height, spacing, speed))[edge - 1 : 1 - edge, None]
            height = height[edge:-edge]
        yield Crossing(
            station,
            height - plane,
            next(soils),
            acceleration,
            ground.place(station),
            speed,
            ground.words,
            bumps,
            climb,
            alone,
        )


_AHEAD = 4  # points on either side from which the smooth curve at one is known


def _between(ground, station, points, fine, speed, alone):
    """Height and acceleration at stations far apart, and what the ground does on the way to each."""
    count = station.size
    if alone:
        # Bends at the far end of a run-in are not quite right, and forgotten when the station is reached.
        there = station[:, None] + np.arange(-points, _AHEAD + 1) * fine
        height = ground.height(there.ravel()).reshape(*there.shape, -1).transpose(1, 0, 2)
        second = opener_acceleration(height, fine, speed)
        bumps, climb = bends(second)[:points], np.diff(height[1 : points + 2], axis=0)
        bumps, climb = (np.ascontiguousarray(a.transpose(1, 0, 2)) for a in (bumps, climb))
        here, own = height[points], second[points - 1]
    else:
        line = np.arange(1 - points - _AHEAD, (count - 1) * points + _AHEAD + 1) * fine
        height = ground.height(station[0] + line)
        second = opener_acceleration(height, fine, speed)
        inner = slice(_AHEAD - 1, len(second) - _AHEAD + 1)
        bumps = bends(second)[inner].reshape(count, points, -1)
        climb = np.diff(height, axis=0)[_AHEAD : len(second) - _AHEAD + 2].reshape(count, points, -1)
        here, own = height[_AHEAD:-_AHEAD][points - 1 :: points], second[inner][points - 1 :: points]
    if abs(fine - ACCELERATION_REACH) > 1e-9:
        sides = [ground.height(station + shift) for shift in (-ACCELERATION_REACH, ACCELERATION_REACH)]
        own = opener_acceleration(np.stack((sides[0], here, sides[1])), ACCELERATION_REACH, speed)[0]
    return here, own, bumps, climb


def _reach(spacing):
    return max(1, round(ACCELERATION_REACH / spacing)) if spacing > 0 else 1


def _soil_blocks(drill, field, seed, stations, spacing, block_stations):
    """Soil reaction of every opener, each rank behind the first meeting the soil later."""
    soil = field.soil
    behind = np.rint((np.asarray(drill.rank_x) - min(drill.rank_x)) / spacing).astype(int)
    most = int(behind.max())
    factor = np.where(field.rows_in_tracks(drill), field.tracks.factor if field.tracks else 1.0, 1.0)
    stream = spread_blocks(
        [seed, _SOIL_STREAM],
        spacing,
        stations + most,
        drill.row_y,
        soil.length_along,
        soil.length_across,
        block_stations,
    )
    spread = soil.spread / soil.reaction
    held = np.empty((0, drill.row_count))
    first = (most - behind[drill.row_rank]) * drill.row_count + np.arange(drill.row_count)
    for start in range(0, stations, block_stations):
        count = min(block_stations, stations - start)
        while len(held) < count + most:
            held = np.concatenate((held, next(stream)))
        met = held.take(first + np.arange(count)[:, None] * drill.row_count)
        held = held[count:]
        yield soil.reaction * factor * soil_factor(met, spread)


TERRACE = Terrace(
    "broad-base",
    ridge_height=0.45,
    front_slope=6.0,
    back_slope=6.0,
    crossing_angle=np.pi / 2,
    spacing=60.0,
    land_slope=0.04,
    channel_depth=0.18,
    cut_slope=5.0,
)
"""Broad-base terrace, straight over, for a field without one of its own; invented, channel and all."""

TRACKS = Tracks(1.4, 0.03, (-1.1, 1.1), 0.6)
"""Wheel tracks for a field without tracks of its own; invented."""


def with_ground(
    field: Field, roughness_class="own", terraces: bool | None = None, tracks: bool | None = None
) -> Field:
    """A field with other ground and the same soil.

    roughness_class: "A" to "H", "level" for no relief, or "own" for the field's own.
    terraces: with the field's own terraces (TERRACE if it has none), without, or as the field is.
    tracks: with the field's own tracks (TRACKS if it has none), without, or as the field is.
    """
    relief = field.relief
    if roughness_class == "level":
        relief = None
    elif roughness_class != "own":
        exponent = relief.exponent if relief else 2.0
        relief = Relief(roughness_class=roughness_class, exponent=exponent)
    return replace(
        field,
        relief=relief,
        terrace=_kept(field.terrace, terraces, TERRACE),
        tracks=_kept(field.tracks, tracks, TRACKS),
    )


def terrace_alone(field, crossing_angle, crest_radius, ridge_height, channel="own"):
    """A field that is level but for one kind of terrace, its own or TERRACE, and 60 m apart.

    channel: "own", "none", or "balanced" for cut and fill alike; the field's own is as much deeper or
        shallower as the ridge is higher or lower than its own.
    """
    own = field.terrace or TERRACE
    depth = {"none": 0.0, "balanced": None, "own": own.channel_depth}[channel]
    terrace = replace(
        own,
        crossing_angle=crossing_angle,
        crest_radius=crest_radius,
        ridge_height=ridge_height,
        spacing=60.0,
        channel_depth=depth and depth * ridge_height / own.ridge_height,
        channel_width=own.channel_width if channel == "own" else 0.0,
    )
    return replace(field, relief=None, tracks=None, terrace=terrace, soil=replace(field.soil, spread=0.0))


def with_soil_spread(field: Field, share: Ratio) -> Field:
    """A field with soil that varies more or less.

    share: standard deviation of the soil reaction over its mean.
    """
    return replace(field, soil=replace(field.soil, spread=share * field.soil.reaction))


def bump_inertia(mass: Kilogram, speed: MetrePerSecond, wave_length: Metre, amplitude: Metre) -> Newton:
    """Greatest inertia force of an opener that follows a wave of the ground.

    mass: mass that moves up and down.
    amplitude: half of the height from hollow to crest.
    Result: felt upward in the hollow and downward on the crest.

    From a profile of 1000 points a wave; by hand mass x (2 pi speed / wave_length)^2 x amplitude.
    """
    place = np.arange(1001) / 1000
    profile = amplitude * np.cos(2 * np.pi * place)
    return float(mass * np.max(np.abs(opener_acceleration(profile, wave_length / 1000, speed))))


def _kept(own, wanted, spare):
    if wanted is None:
        return own
    return (own or spare) if wanted else None
