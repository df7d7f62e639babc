"""From a spread of depth to a spread of emergence: days, shares outside a window, reach of the coleoptile.

Where depths are known, of a dug row, a sample or a pass, they are counted. A mean and a spread alone ask for
a normal curve, and that invents deep seeds where rows pile up at the depth they are set to.
"""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from downforce.physics.checks import between, not_negative, positive
from downforce.physics.emergence import (
    COLEOPTILE_LENGTHS,
    DepthShares,
    days_to_emergence,
    depth_shares,
    depth_shares_of,
    share_beyond_coleoptile,
)
from downforce.physics.kinds import Day, Days, Kelvin, Metre, Metres, Ratio, Ratios

MIDDLE_SHARE = 0.9
"""Share of the seedlings between "first" and "last" [-]; the earliest and latest twentieth are left out."""


@dataclass(frozen=True)
class Emergence:
    """What a spread of depth means for wheat in moist soil, as far as depth alone decides.

    mean_depth, spread: mean and standard deviation of seed depth.
    first, middle, last: days from sowing to emergence: the earliest twentieth, the mean depth, the latest
        twentieth.
    shares: above, inside and below the window.
    beyond_short, beyond_long: share sown deeper than the shortest and the longest published coleoptile
        reaches.
    """

    mean_depth: Metre
    spread: Metre
    first: Day
    middle: Day
    last: Day
    shares: DepthShares
    beyond_short: Ratio
    beyond_long: Ratio

    @property
    def days_apart(self) -> Day:
        """Days from first to last."""
        return self.last - self.first


def emergence(
    mean_depth: Metre, spread: Metre, soil_temperature: Kelvin, shallowest: Metre, deepest: Metre
) -> Emergence:
    """Days and shares that follow from a normal spread of depth.

    spread: standard deviation of depth.
    """
    mean = float(positive("mean_depth", mean_depth))
    spread = float(not_negative("spread", spread))
    away = NormalDist().inv_cdf((1.0 + MIDDLE_SHARE) / 2.0) * spread
    days = [
        float(days_to_emergence(max(depth, 0.0), soil_temperature))
        for depth in (mean - away, mean, mean + away)
    ]
    beyond = [float(share_beyond_coleoptile(mean, spread, length)) for length in COLEOPTILE_LENGTHS]
    return Emergence(mean, spread, *days, depth_shares(mean, spread, shallowest, deepest), *beyond)  # type: ignore[arg-type, call-arg]


def emergence_of(depths: Metres, soil_temperature: Kelvin, shallowest: Metre, deepest: Metre) -> Emergence:
    """Days and shares counted from known depths.

    depths: of seeds, or of openers of a sample or a pass.
    """
    depths = np.ravel(not_negative("depths", np.asarray(depths, dtype=float)))
    shares = depth_shares_of(depths, shallowest, deepest)
    mean, tail = float(depths.mean()), (1.0 - MIDDLE_SHARE) / 2.0
    first, last = np.quantile(depths, [tail, 1.0 - tail])
    days = [float(days_to_emergence(depth, soil_temperature)) for depth in (first, mean, last)]
    beyond = [float(np.mean(depths > length)) for length in COLEOPTILE_LENGTHS]
    return Emergence(mean, float(depths.std()), *days, shares, *beyond)  # type: ignore[arg-type, call-arg]


def emerged_share(days: Days, mean_depth: Metre, spread: Metre, soil_temperature: Kelvin) -> Ratios:
    """Share of the seedlings that can be up after some days, as far as depth alone decides.

    spread: standard deviation of depth.
    Result: 0 to 1. Every seed counts as sound and in moist soil.
    """
    reach = _reach(days, soil_temperature)
    up = depth_shares(positive("mean_depth", mean_depth), spread, reach, reach).shallow
    return np.where(reach < 0, 0.0, between("share", up, 0.0, 1.0))


def emerged_share_of(days: Days, depths: Metres, soil_temperature: Kelvin) -> Ratios:
    """Share of the seedlings that can be up after some days, counted from known depths.

    depths: of seeds, or of openers of a sample or a pass.
    Result: 0 to 1. Every seed counts as sound and in moist soil.
    """
    depths = np.sort(np.ravel(not_negative("depths", np.asarray(depths, dtype=float))))
    return np.searchsorted(depths, _reach(days, soil_temperature), side="right") / depths.size


def _reach(days, soil_temperature):
    """Depth from which seedlings are up after some days; below zero before any can be."""
    days = not_negative("days", np.asarray(days, dtype=float))
    start = float(days_to_emergence(0.0, soil_temperature))
    return (days - start) / (float(days_to_emergence(1.0, soil_temperature)) - start)
