"""What every opener meets on a pass: height, soil, acceleration and kind of ground, in blocks of stations.

The same crossing can be pressed by a spring, by a cylinder or by a rival: same ground, same soil.
"""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.field import Soil
from downforce.physics.checks import count_number, seed_number
from downforce.physics.soil.spread import soil_factor, spread_blocks
from downforce.study.ground.field_ground import field_ground

BLOCK_OPENERS = 32_768
"""Openers x stations worked at a time [-]; small enough for the processor's own memory."""

MET = ("station", "ground_travel", "reaction", "acceleration", "place")
"""What a crossing holds for every station [-]."""

ACCELERATION_REACH = 0.1
"""Distance to the points before and behind from which the ground's curvature is taken [m]."""

_SOIL_STREAM = 1000
"""Keeps the soil's random numbers apart from those of the relief [-]."""


@dataclass(frozen=True)
class Crossing:
    """Ground and soil met by every opener, arrays of shape (stations, openers).

    Attributes
    ----------
    station : array, shape (stations,) [m]
        Distance of the hitch pin along the pass.
    ground_travel : array [m]
        Height of the ground relative to the frame: travel of a disc at its target depth.
    reaction : array [N]
        Soil reaction at the field's reference depth, track factor included.
    acceleration : array [m/s2]
        Upward acceleration of an opener that follows the ground.
    place : array of uint8 [-]
        Kind of ground, index into field_ground.PLACES.
    speed : float [m/s]
        Ground speed.
    words : str [-]
        What the ground is made of.
    """

    station: np.ndarray
    ground_travel: np.ndarray
    reaction: np.ndarray
    acceleration: np.ndarray
    place: np.ndarray
    speed: float
    words: str

    @property
    def spacing(self):
        """Distance between stations [m]."""
        return float(self.station[1] - self.station[0]) if self.station.size > 1 else 0.0

    def blocks(self):
        """The same crossing in blocks of stations that fit the processor's own memory.

        Returns
        -------
        iterator of Crossing [-]
            One after another along the pass.
        """
        size = _block_stations(self.ground_travel.shape[1])
        for start in range(0, self.station.size, size):
            cut = {name: getattr(self, name)[start : start + size] for name in MET}
            yield replace(self, **cut)

    def of_rows(self, rows):
        """What some of the openers meet.

        Parameters
        ----------
        rows : array of bool (openers,) [-]
            Which of them.

        Returns
        -------
        Crossing [-]
            A copy with their columns only.
        """
        wide = {name: value[:, rows] for name, value in vars(self).items() if np.ndim(value) == 2}
        return replace(self, **wide)

    def at_speed(self, speed):
        """The same ground and soil met at another speed.

        Parameters
        ----------
        speed : float [m/s]
            Ground speed.

        Returns
        -------
        Crossing [-]
            A copy; accelerations go with the square of the speed.

        Raises
        ------
        ValueError
            If this crossing was made standing still.
        """
        if not self.speed > 0:
            raise ValueError("A crossing made at speed 0 holds no accelerations; cross the field at a speed.")
        return replace(self, speed=float(speed), acceleration=self.acceleration * (speed / self.speed) ** 2)

    def scaled(self, factor):
        """The same crossing with every height multiplied.

        Parameters
        ----------
        factor : float [-]
            Heights against those met.

        Returns
        -------
        Crossing [-]
            A copy; travel and accelerations go with the heights.
        """
        return replace(
            self, ground_travel=self.ground_travel * factor, acceleration=self.acceleration * factor
        )


def cross_field(
    drill, field, seed=1, stations=2000, spacing=0.1, speed=None, survey=None, progress=None, stop=None
):
    """Everything the openers of a drill meet on one pass over a field.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    seed : int [-]
        The same seed gives the same ground and soil.
    stations : int [-]
        Number of stations.
    spacing : float [m]
        Distance between stations.
    speed : float, optional [m/s]
        Ground speed; the field's own when left out.
    survey : SurveyedTrack, optional [-]
        Surveyed ground in the place of relief and terraces; the pass starts where it does.
    progress : callable, optional [-]
        Called with the share done, 0 to 1.
    stop : callable or threading.Event, optional [-]
        Ends the work when it says so.

    Returns
    -------
    Crossing [m, N, m/s2]
        All stations in one.

    Raises
    ------
    ValueError
        If the field's parts do not fit together.
    PassStopped
        If it was stopped.
    """
    watch = Watch(stations, progress, stop)
    blocks = []
    for block in crossing_blocks(drill, field, seed, stations, spacing, speed, survey):
        blocks.append(block)
        watch.done(block.station.size)
    joined = {
        name: np.concatenate([getattr(block, name) for block in blocks])
        for name in ("station", "ground_travel", "reaction", "acceleration", "place")
    }
    return Crossing(**joined, speed=blocks[0].speed, words=blocks[0].words)


def crossing_blocks(
    drill, field, seed=1, stations=2000, spacing=0.1, speed=None, survey=None, block_stations=None
):
    """The same crossing in blocks of stations, so that a long pass needs little memory.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    seed : int [-]
        The same seed gives the same ground and soil.
    stations : int [-]
        Number of stations in all.
    spacing : float [m]
        Distance between stations.
    speed : float, optional [m/s]
        Ground speed; the field's own when left out.
    survey : SurveyedTrack, optional [-]
        Surveyed ground in the place of relief and terraces; the pass starts where it does.
    block_stations : int, optional [-]
        Most stations in a block; chosen by the number of openers when left out. It changes no value.

    Returns
    -------
    iterator of Crossing [m, N, m/s2]
        One block after the other.

    Raises
    ------
    ValueError
        If the counts, the spacing or the field's parts make no sense.

    Notes
    -----
    The soil belongs to the ground: a rear rank meets what a front rank beside it met before, to the
    nearest station. Acceleration is taken from points a tenth of a metre before and behind, about a gauge
    wheel's contact; sharper bumps are not felt.
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


def opener_acceleration(height, spacing, speed, reach=1):
    """Upward acceleration of a thing that follows a profile.

    Parameters
    ----------
    height : array [m]
        Heights at equal spacing along the first axis.
    spacing : float [m]
        Distance between the points.
    speed : float [m/s]
        Ground speed.
    reach : int [-]
        Points before and behind from which the curvature is taken.

    Returns
    -------
    array [m/s2]
        One for each point that has `reach` points on both sides.

    Notes
    -----
    speed^2 x curvature, by the second difference. Left out: a wheel that leaves the ground.
    """
    middle = height[reach : len(height) - reach]
    bend = height[2 * reach :] - 2 * middle + height[: len(height) - 2 * reach]
    return bend * (speed / (reach * spacing)) ** 2


def soil_at_depth(field, reaction, draft_ratio=None):
    """Soil for the loads of many openers.

    Parameters
    ----------
    field : Field [-]
        Depths, exponent and draft ratio.
    reaction : array [N]
        Soil reaction at the reference depth.
    draft_ratio : float, optional [-]
        The field's own when left out.

    Returns
    -------
    Soil [-]
        With the reaction of every opener.
    """
    soil = field.soil
    ratio = soil.draft_ratio if draft_ratio is None else draft_ratio
    return Soil(reaction, soil.reference_depth, field.target_depth, soil.exponent, ratio)


class PassStopped(Exception):
    """Work on a pass was stopped by the person who asked for it."""


class Watch:
    """Says how far the work is, and ends it when asked to.

    Parameters
    ----------
    total : int [-]
        Steps in all.
    progress : callable, optional [-]
        Called with the share done, 0 to 1.
    stop : callable or threading.Event, optional [-]
        Ends the work when it says so.
    """

    def __init__(self, total, progress=None, stop=None):
        self._total, self._done = total, 0
        self._progress = progress
        self._stop = getattr(stop, "is_set", stop)
        self.done(0)

    def done(self, steps):
        """Count steps as done.

        Parameters
        ----------
        steps : int [-]
            Steps since the last call.

        Raises
        ------
        PassStopped
            If the work is to end.
        """
        self._done += steps
        if self._progress:
            self._progress(self._done / self._total)
        if self._stop and self._done < self._total and self._stop():
            raise PassStopped(f"Stopped after {100 * self._done / self._total:.0f} % of the pass.")


def _block_stations(rows):
    return max(16, BLOCK_OPENERS // rows)


def _blocks(drill, field, ground, first, seed, stations, spacing, speed, block_stations):
    soils = _soil_blocks(drill, field, seed, stations, spacing, block_stations)
    for start in range(0, stations, block_stations):
        end = min(start + block_stations, stations)
        station = first + np.arange(start, end) * spacing
        height, acceleration = _height_and_acceleration(ground, first, start, end, spacing, speed)
        yield Crossing(
            station,
            height - ground.frame_plane(station),
            next(soils),
            acceleration,
            ground.place(station),
            speed,
            ground.words,
        )


def _height_and_acceleration(ground, first, start, end, spacing, speed):
    """Ground under the openers at the stations of a block, and what following it at speed asks."""
    if spacing > 1.5 * ACCELERATION_REACH:
        station = first + np.arange(start, end) * spacing
        around = [ground.height(station + shift) for shift in (-ACCELERATION_REACH, 0.0, ACCELERATION_REACH)]
        return around[1], opener_acceleration(np.stack(around), ACCELERATION_REACH, speed)[0]
    reach = max(1, round(ACCELERATION_REACH / spacing))
    height = ground.height(first + np.arange(start - reach, end + reach) * spacing)
    return height[reach:-reach], opener_acceleration(height, spacing, speed, reach)


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
    for start in range(0, stations, block_stations):
        count = min(block_stations, stations - start)
        while len(held) < count + most:
            held = np.concatenate((held, next(stream)))
        met = np.empty((count, drill.row_count))
        for rank, lag in enumerate(behind):
            rows = drill.row_rank == rank
            met[:, rows] = held[most - lag : most - lag + count, rows]
        held = held[count:]
        yield soil.reaction * factor * soil_factor(met, spread)
