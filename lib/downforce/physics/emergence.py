"""Depth spread to days and shares at emergence, from published figures. It promises no yield."""

from dataclasses import dataclass
from math import erf, sqrt

import numpy as np

from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.kinds import Day, Kelvin, KelvinDay, Metre, Metres, Ratio

THERMAL_TIME_AT_SURFACE = 40.0
"""Thermal time to emergence for a seed at the surface [K d] [APS]: a model's assumption, not a
measurement, there from germination; used here from sowing, as a later note in its code has it."""

THERMAL_TIME_PER_DEPTH = 1500.0
"""Thermal time for one metre more depth [K d/m], 1.5 degree-days per millimetre [APS], an excerpt."""

FREEZING = 273.15
"""Base temperature of the thermal time [K]."""

COLEOPTILE_LENGTHS = (0.034, 0.114)
"""Shortest and longest coleoptile of 662 wheat cultivars [m] [MOH]."""

NO_YIELD_PROMISE = "This tells when and how evenly seedlings can come up, not what is harvested."
"""Words that go wherever an emergence figure is shown [-]."""


@dataclass(frozen=True)
class DepthShares:
    """Shares of seeds by depth; the three sum to one.

    shallow: share above the window.
    deep: share below the window.
    """

    shallow: Ratio
    in_window: Ratio
    deep: Ratio


def thermal_time_to_emergence(depth: Metre) -> KelvinDay:
    """Thermal time from sowing to emergence of wheat.

    Result: thermal time above freezing, in degree-days.
    Raises ValueError if the depth is negative.

    40 + 1.5 x depth in mm.
    Range: wheat in moist soil, depths up to the length of the coleoptile. Dry soil waits for rain.
    Source: [APS].

    >>> float(thermal_time_to_emergence(0.025)), float(thermal_time_to_emergence(0.050))
    (77.5, 115.0)
    """
    return THERMAL_TIME_AT_SURFACE + THERMAL_TIME_PER_DEPTH * not_negative("depth", depth)


def days_to_emergence(depth: Metre, soil_temperature: Kelvin) -> Day:
    """Days from sowing to emergence of wheat at a steady soil temperature.

    soil_temperature: mean soil temperature at the seed, above freezing.
    Raises ValueError if the depth is negative or the temperature is not above freezing and below 320 K.

    Thermal time divided by the temperature above freezing.
    Range: about 5 to 25 degC; moist soil.
    Source: [APS].

    >>> round(float(days_to_emergence(0.05, 285.15)), 1)
    9.6
    """
    return thermal_time_to_emergence(depth) / _warmth(soil_temperature)


def emergence_delay(depth: Metre, other_depth: Metre, soil_temperature: Kelvin) -> Day:
    """Days by which seed at another depth comes up later.

    soil_temperature: mean soil temperature at the seed, above freezing.
    Result: delay, negative when the other seed is shallower.
    Raises ValueError as `days_to_emergence` does.

    Difference of two times to emergence; the 40 degree-days drop out.
    Range: as `days_to_emergence`.
    Source: [APS].

    >>> round(float(emergence_delay(0.025, 0.050, 285.15)), 3)
    3.125
    """
    return days_to_emergence(other_depth, soil_temperature) - days_to_emergence(depth, soil_temperature)


def depth_shares(
    mean_depth: Metre, standard_deviation: Metre, shallowest: Metre, deepest: Metre
) -> DepthShares:
    """Shares of seeds above, inside and below a depth window, for a normal depth spread.

    standard_deviation: standard deviation of depth; zero puts every seed at the mean.
    shallowest: upper edge of the window.
    deepest: lower edge of the window.
    Raises ValueError if the spread is negative or the window is upside down.

    Normal distribution function by the error function.
    Range: depth spreads without long tails; for found depths use `depth_shares_of`.
    Source: derivation above.

    >>> round(float(depth_shares(0.035, 0.008, 0.025, 0.045).in_window), 2)
    0.79
    """
    shallowest, deepest = _window(shallowest, deepest)
    below_top = _normal_share(shallowest, mean_depth, standard_deviation, ends=False)
    below_bottom = _normal_share(deepest, mean_depth, standard_deviation, ends=True)
    return DepthShares(below_top, below_bottom - below_top, 1.0 - below_bottom)


def depth_shares_of(depths: Metres, shallowest: Metre, deepest: Metre) -> DepthShares:
    """Shares of found or computed depths above, inside and below a depth window.

    depths: depths of seeds or of openers over stations.
    shallowest: upper edge of the window, itself inside.
    deepest: lower edge of the window, itself inside.
    Raises ValueError if there is no depth, one is not finite, or the window is upside down.

    Counted, with no assumed shape.
    Range: any.
    Source: derivation above.

    >>> depth_shares_of([0.02, 0.03, 0.04, 0.05], 0.025, 0.045).in_window
    0.5
    """
    depths = finite("depths", depths)
    if depths.size == 0:
        raise ValueError("depths must hold at least one depth; got none.")
    shallowest, deepest = _window(shallowest, deepest)
    shallow = float(np.mean(depths < shallowest))
    deep = float(np.mean(depths > deepest))
    inside = float(np.mean((depths >= shallowest) & (depths <= deepest)))
    return DepthShares(shallow, inside, deep)


def share_beyond_coleoptile(mean_depth: Metre, standard_deviation: Metre, coleoptile_length: Metre) -> Ratio:
    """Share of seeds sown deeper than the coleoptile can reach, for a normal depth spread.

    coleoptile_length: coleoptile length of the cultivar; COLEOPTILE_LENGTHS holds the published ends.
    Result: share too deep. Such seeds are at risk, not lost: length explained only 28 percent of the
        differences in emergence.
    Raises ValueError if the spread is negative or the length not positive.

    1 - normal distribution function at the coleoptile length.
    Range: coleoptiles of 34 to 114 mm; semi-dwarf wheats and warm soil are at the short end.
    Source: [MOH] and [WHA].

    >>> round(float(share_beyond_coleoptile(0.050, 0.012, 0.062)), 3)
    0.159
    """
    length = positive("coleoptile_length", coleoptile_length)
    return 1.0 - _normal_share(length, mean_depth, standard_deviation, ends=True)


def _warmth(soil_temperature):
    between("soil_temperature in kelvin", soil_temperature, FREEZING, 320.0)
    return positive("soil_temperature above freezing", np.asarray(soil_temperature, dtype=float) - FREEZING)


def _window(shallowest, deepest):
    shallowest = finite("shallowest", shallowest)
    deepest = finite("deepest", deepest)
    not_negative("deepest - shallowest", deepest - shallowest)
    return shallowest, deepest


def _normal_share(limit, mean_depth, standard_deviation, ends):
    """Share above a depth; with no spread a seed on the limit counts as above it only when ends is true."""
    mean_depth = finite("mean_depth", mean_depth)
    spread = not_negative("standard_deviation", standard_deviation)
    limit, mean_depth, spread = np.broadcast_arrays(limit, mean_depth, spread)
    gap = np.asarray(limit - mean_depth)
    step = gap >= 0 if ends else gap > 0
    with np.errstate(over="ignore"):  # a spread next to zero makes it infinite, which erf takes
        scaled = np.divide(gap, spread * sqrt(2.0), out=np.zeros(gap.shape), where=spread > 0)
    smooth = 0.5 * (1.0 + np.vectorize(erf, otypes=[float])(scaled))
    return np.where(spread > 0, smooth, step.astype(float))[()]
