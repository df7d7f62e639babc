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

MIDDLE_SHARE = 0.9
"""Share of the seedlings between "first" and "last" [-]; the earliest and latest twentieth are left out."""


@dataclass(frozen=True)
class Emergence:
    """What a spread of depth means for wheat in moist soil, as far as depth alone decides.

    Attributes
    ----------
    mean_depth, spread : float [m]
        Mean and standard deviation of seed depth.
    first, middle, last : float [d]
        Days from sowing to emergence: the earliest twentieth, the mean depth, the latest twentieth.
    shares : DepthShares [-]
        Above, inside and below the window.
    beyond_short, beyond_long : float [-]
        Share sown deeper than the shortest and the longest published coleoptile reaches.
    """

    mean_depth: float
    spread: float
    first: float
    middle: float
    last: float
    shares: DepthShares
    beyond_short: float
    beyond_long: float

    @property
    def days_apart(self):
        """Days from first to last [d]."""
        return self.last - self.first


def emergence(mean_depth, spread, soil_temperature, shallowest, deepest):
    """Days and shares that follow from a normal spread of depth.

    Parameters
    ----------
    mean_depth : float [m]
        Mean depth of the seeds.
    spread : float [m]
        Standard deviation of depth.
    soil_temperature : float [K]
        Mean at seed depth.
    shallowest, deepest : float [m]
        Window that the grower wants.

    Returns
    -------
    Emergence [d, -]
        Promises no yield.

    Raises
    ------
    ValueError
        If a depth is negative, the window is upside down or the soil is frozen.
    """
    mean = float(positive("mean_depth", mean_depth))
    spread = float(not_negative("spread", spread))
    away = NormalDist().inv_cdf((1.0 + MIDDLE_SHARE) / 2.0) * spread
    days = [
        float(days_to_emergence(max(depth, 0.0), soil_temperature))
        for depth in (mean - away, mean, mean + away)
    ]
    beyond = [float(share_beyond_coleoptile(mean, spread, length)) for length in COLEOPTILE_LENGTHS]
    return Emergence(mean, spread, *days, depth_shares(mean, spread, shallowest, deepest), *beyond)


def emergence_of(depths, soil_temperature, shallowest, deepest):
    """Days and shares counted from known depths.

    Parameters
    ----------
    depths : array [m]
        Of seeds, or of openers of a sample or a pass.
    soil_temperature : float [K]
        Mean at seed depth.
    shallowest, deepest : float [m]
        Window that the grower wants.

    Returns
    -------
    Emergence [d, -]
        Promises no yield.

    Raises
    ------
    ValueError
        If there is no depth or one is negative, the window is upside down or the soil is frozen.
    """
    depths = np.ravel(not_negative("depths", np.asarray(depths, dtype=float)))
    shares = depth_shares_of(depths, shallowest, deepest)
    mean, tail = float(depths.mean()), (1.0 - MIDDLE_SHARE) / 2.0
    first, last = np.quantile(depths, [tail, 1.0 - tail])
    days = [float(days_to_emergence(depth, soil_temperature)) for depth in (first, mean, last)]
    beyond = [float(np.mean(depths > length)) for length in COLEOPTILE_LENGTHS]
    return Emergence(mean, float(depths.std()), *days, shares, *beyond)


def emerged_share(days, mean_depth, spread, soil_temperature):
    """Share of the seedlings that can be up after some days, as far as depth alone decides.

    Parameters
    ----------
    days : array [d]
        Days from sowing.
    mean_depth : float [m]
        Mean depth of the seeds.
    spread : float [m]
        Standard deviation of depth.
    soil_temperature : float [K]
        Mean at seed depth.

    Returns
    -------
    array [-]
        0 to 1. Every seed counts as sound and in moist soil.

    Raises
    ------
    ValueError
        If a depth is negative or the soil is frozen.
    """
    reach = _reach(days, soil_temperature)
    up = depth_shares(positive("mean_depth", mean_depth), spread, reach, reach).shallow
    return np.where(reach < 0, 0.0, between("share", up, 0.0, 1.0))


def emerged_share_of(days, depths, soil_temperature):
    """Share of the seedlings that can be up after some days, counted from known depths.

    Parameters
    ----------
    days : array [d]
        Days from sowing.
    depths : array [m]
        Of seeds, or of openers of a sample or a pass.
    soil_temperature : float [K]
        Mean at seed depth.

    Returns
    -------
    array [-]
        0 to 1. Every seed counts as sound and in moist soil.

    Raises
    ------
    ValueError
        If days or a depth are negative or the soil is frozen.
    """
    depths = np.sort(np.ravel(not_negative("depths", np.asarray(depths, dtype=float))))
    return np.searchsorted(depths, _reach(days, soil_temperature), side="right") / depths.size


def _reach(days, soil_temperature):
    """Depth from which seedlings are up after some days; below zero before any can be."""
    days = not_negative("days", np.asarray(days, dtype=float))
    start = float(days_to_emergence(0.0, soil_temperature))
    return (days - start) / (float(days_to_emergence(1.0, soil_temperature)) - start)
