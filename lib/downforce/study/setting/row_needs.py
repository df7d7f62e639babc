"""What each row of a sample needs: pressures at which it has the least load and from which it packs.

The sample is of openers on ground that a drill really crosses.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from math import ceil, floor

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.checks import between
from downforce.physics.kinds import Pascal, Pascals, Ratio
from downforce.study.ground.crossing import Crossing, cross_field
from downforce.study.ground.field_ground import IN_TRACK
from downforce.study.ground.motion import FINE, ridden
from downforce.study.kept import kept
from downforce.study.opener_loads import down_force_wanted
from downforce.study.rows import RowSample, RunIn, asked_soil

ALLOWED_PACKING = 0.05
"""Share of the rows off the upper stop that may pack, where a packing row counts once; half where twice."""
BAND_POINTS = 0.05
"""How far the share of rows with enough may fall below the setting's within the band."""
_EVEN = 0.001  # shares closer than one row in a thousand to the most are as good as the most


@dataclass(frozen=True, eq=False)
class RowNeeds:
    """Pressures of the rows of a sample, each sorted, from which shares follow at any gauge pressure.

    least: from where a row has the least load: 0 where the frame stands on it, inf on the lower stop.
    heavy: above what a row packs; rows that the frame stands on are left out.
    """

    least: Pascals
    heavy: Pascals
    count: int
    packing_counts: int = 1

    @property
    def under_frame(self) -> Ratio:
        """Share of the rows that the frame stands on, which pack at any pressure."""
        return 1.0 - self.heavy.size / self.count

    def short(self, gauge_pressure):
        """Share of the rows with less than the least load."""
        return 1.0 - np.searchsorted(self.least, gauge_pressure, "right") / self.count

    def packing(self, gauge_pressure):
        """Share of the rows that pack, those that the frame stands on among them."""
        return self.under_frame + np.searchsorted(self.heavy, gauge_pressure, "left") / self.count

    def enough(self, gauge_pressure):
        """Share of the rows with enough."""
        return 1.0 - self.short(gauge_pressure) - self.packing(gauge_pressure)

    def worth(self, gauge_pressure):
        """Share with enough, less the packing ones where they count twice."""
        return self.enough(gauge_pressure) - (self.packing_counts - 1) * self.packing(gauge_pressure)

    def for_share(self, share):
        """Pressure at which a share of the rows has the least load; inf where none does it."""
        return share_pressure(self.least, share)

    @property
    def packing_at(self) -> Pascal:
        """Pressure above which more of the rows off the upper stop pack than are allowed."""
        allowed = ALLOWED_PACKING / self.packing_counts
        place = floor(allowed * self.heavy.size + 1e-9)
        return float(self.heavy[place]) if place < self.heavy.size else np.inf

    @cached_property
    def best(self) -> Pascal:
        """Pressure with most rows with enough: the middle of the stretch that is as good as the most."""
        tried = self.least[np.isfinite(self.least)]
        if not tried.size:
            return 0.0
        worth = self.worth(tried)
        good = np.flatnonzero(worth >= worth.max() - _EVEN)
        return float((tried[good[0]] + tried[good[-1]]) / 2.0)

    def band(self, setting, lowest, ceiling):
        """Ends of the one stretch round a setting with at most `BAND_POINTS` less rows with enough."""
        edges = np.concatenate([self.least, np.nextafter(self.heavy, np.inf), [lowest, setting, ceiling]])
        edges = np.unique(edges[(edges >= lowest) & (edges <= ceiling)])
        bad = self.enough(edges) < self.enough(setting) - BAND_POINTS - 1e-12
        below, above = edges[bad & (edges < setting)], edges[bad & (edges > setting)]
        low = edges[edges > below[-1]][0] if below.size else lowest
        return float(low), float(np.nextafter(above[0], 0.0) if above.size else ceiling)


def row_needs(drill, field, sample):
    """The needs of the rows of a sample on a field."""
    aim, highest = field.aim, drill.cylinder.travel_stops(drill.opener)[1]
    off_stop = sample.travel < highest
    least, heavy = pressure_for_each(drill, field, sample, np.array([[aim.least_load], [aim.heavy_load]]))
    return RowNeeds(np.sort(least), np.sort(heavy[off_stop]), sample.travel.size, aim.packing_counts)


def pressure_for_load(
    drill, soil, gauge_wheel_load, travel=0.0, ground_travel=None, acceleration=0.0, rubbing=0.0
):
    """Gauge pressure that leaves a wanted load on the gauge wheel; zero where the weight alone gives more.

    The balance of an opener at depth, solved for the pressure; parameters as of `down_force_wanted`.
    """
    push = down_force_wanted(drill.opener, soil, gauge_wheel_load, travel, ground_travel, acceleration)
    return drill.cylinder.pressure_for(drill.opener, push, travel, rubbing)


def pressure_for_each(drill, field, sample, gauge_wheel_load):
    """Gauge pressure at which each opener of a sample carries a given gauge-wheel load.

    A column of loads gives a row of pressures for each. Inf where the opener hangs on its lower stop: no
    pressure brings it down to the ground. Zero where its ground is beyond the upper stop: the frame stands on
    it. At a given height the load of a disc at depth rises in proportion to the pressure, so no search is
    needed. Bumps press and let go as at the pressure the sample was ridden at: away from it that is right to
    first order.
    """
    lowest, highest = drill.cylinder.travel_stops(drill.opener)
    travel = np.clip(sample.travel, lowest, highest)
    soil = asked_soil(field, sample)
    pressure = pressure_for_load(
        drill, soil, gauge_wheel_load, travel, sample.travel, sample.acceleration, sample.rubbing
    )
    pressure = np.where(sample.travel < lowest, np.inf, pressure)
    return np.where(sample.travel >= highest, 0.0, pressure)


def share_pressure(pressures, share):
    """The one of sorted pressures at which a share, 0 to 1, of the rows is reached."""
    share = float(between("share", share, 0.0, 1.0))
    # A hair less than the product, so that 0.95 of 100 rows is 95 rows and not 96.
    return float(pressures[max(ceil(share * pressures.size - 1e-9), 1) - 1])


SPACING = 2.3
"""Distance between the stations of a sample [m]; no whole part of the usual terrace spacings."""

SAMPLE_COUNT = 16384
"""Openers that a setting is judged on [-]: with more, "enough rows" moves by no more than a bar."""


@kept(16)
def sampled_crossing(drill: Drill, field: Field, count=SAMPLE_COUNT, seed=1) -> Crossing:
    """The pass that a sample is taken from: places far apart, crossed at the field's speed.

    count: how many openers at least; whole stations are taken.

    Stations stand apart so that the crossing sees much ground. Whoever counts rows counts them here, so that
    the same question has the same answer everywhere.
    """
    return cross_field(drill, field, seed, math.ceil(count / drill.row_count), SPACING)


@kept(16)
def pass_sample(drill: Drill, field: Field, count=SAMPLE_COUNT, seed=1) -> RowSample:
    """Openers at places of a pass over the field's own ground and soil.

    field: relief, terraces, tracks, soil and speed.
    count: how many openers at least; whole stations are taken.
    Result: heights, soils and accelerations as they go together on the ground, ridden at the pressure that
        gives the mean row its wanted load; its basis says what was crossed.
    """
    crossing = sampled_crossing(drill, field, count, seed)
    rows = np.broadcast_to(np.arange(drill.row_count), crossing.reaction.shape)
    bumps, climb = (
        values.transpose(1, 0, 2).reshape(values.shape[1], -1) for values in (crossing.bumps, crossing.climb)
    )
    sample = RowSample(
        crossing.ground_travel.ravel(),
        crossing.reaction.ravel(),
        (crossing.place == IN_TRACK).ravel(),
        rows.ravel(),
        crossing.acceleration.ravel(),
        f"a pass of {crossing.station.size} places at the field's speed over {crossing.words}",
        run_in=RunIn(bumps, climb, FINE, crossing.speed) if crossing.speed > 0 else None,
    )
    pressure = pressure_for_load(drill, field.opener_soil, field.aim.gauge_wheel_load)
    return ridden(drill, field, sample, drill.cylinder, float(pressure))
