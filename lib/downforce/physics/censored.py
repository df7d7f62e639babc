"""A sample some of whose values are only bounded: at most so much, at least so much, or between the two.

One normal distribution is taken for all of them. A reading counts by the density there, a bound by the chance
of what it leaves open. Leaving the bounds out would draw the mean to the side where readings could be had.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import between, finite, positive
from downforce.physics.kinds import Amount, Amounts, Ratio

FEWEST_READINGS = 3
"""Readings below which no spread can be seen [-]; our own limit."""

_ROUNDING = 1e-12  # spread over the size of the readings: below it they are one and the same
_EXACT = 1e-9  # of an end of the interval, over the width of the sample
_NEAR = 1e-10  # rise of the log likelihood a value, so near the top that Newton's next step is exact
_LOG_ROOT = 0.5 * np.log(2.0 * np.pi)
_BOTH, _SPREAD_ALONE = slice(0, 2), slice(1, 2)


@dataclass(frozen=True)
class CensoredFit:
    """The normal distribution that makes a partly bounded sample most likely.

    mean [unit of the values]: of the distribution.
    spread [unit of the values]: standard deviation of greatest likelihood, which divides by the count.
    covariance (2, 2) [unit of the values, squared]: of mean and spread, from the information.
    log_likelihood: of all values, with this mean and spread.
    values, readings: how many there are, and how many of them are no bounds.
    """

    mean: Amount
    spread: Amount
    covariance: Amounts
    log_likelihood: Ratio
    values: int
    readings: int

    @property
    def sample_spread(self) -> Amount:
        """Standard deviation that divides by the count less one [unit of the values]."""
        return self.spread * float(np.sqrt(self.values / (self.values - 1)))

    @property
    def uncertainty(self) -> Amount:
        """Standard uncertainty of the mean, wider the fewer values there are [unit of the values].

        From the information, times t over z: a normal distribution so wide holds 90 % as Student's t does.
        """
        from scipy.special import ndtri, stdtrit

        few = stdtrit(self.values - 1, 0.95) / ndtri(0.95)
        return float(few * np.sqrt(self.covariance[0, 0] * self.values / (self.values - 1)))


def log_likelihood(low: Amounts, high: Amounts, mean: Amount, spread: Amount) -> Ratio:
    """Log of the likelihood of a partly bounded normal sample.

    low, high (values,) [unit of the values]: ends between which each lies: alike for a reading; low is minus
        infinity for one that is at most so much, high infinity for one that is at least so much.
    mean, spread [unit of the values]: of the distribution.
    Raises ValueError if the ends are in the wrong order or leave a value quite open, or the spread is not
        positive.

    Sum of log(phi(z) / s) over readings and of log(Phi(z_high) - Phi(z_low)) over bounds, z = (y - mean) / s.
    Range: any.
    Source: [TOB].

    >>> round(float(log_likelihood([1, 2, 3, 3, 3], [1, 2, 3, np.inf, np.inf], 2.0, 1.0)), 6)
    -7.438859
    """
    low, high = _ends(low, high)
    mean, inverse = float(finite("mean", mean)), 1.0 / float(positive("spread", spread))
    return _terms(low - mean, high - mean, 0.0, inverse)[0]


def most_likely(low: Amounts, high: Amounts) -> CensoredFit:
    """Mean and spread that make a partly bounded normal sample most likely.

    low, high (values,) [unit of the values]: as of `log_likelihood`.
    Result: without bounds mean and root mean square deviation. Readings that are all alike and agree with
        every bound have a spread of zero and an infinite likelihood.
    Raises ValueError as `log_likelihood` does, or if there are fewer than three readings.

    The log likelihood has one top in mean/s and 1/s; the covariance is the inverse of its curvature there.
    Range: any.
    Source: [TOB]; mean/s and 1/s by Olsen, 1978, from memory.

    >>> fit = most_likely([1, 2, 3, 3, 3], [1, 2, 3, np.inf, np.inf])
    >>> round(fit.mean, 4), round(fit.spread, 4)
    (2.7442, 1.1878)
    """
    low, high, middle, width = _scaled(*_ends(low, high))
    readings = int((low == high).sum())
    if width == 0.0:
        return CensoredFit(middle, 0.0, np.zeros((2, 2)), np.inf, low.size, readings)
    ratio, inverse = _top(low, high, _BOTH)
    log, _, curvature = _terms(low, high, ratio, inverse)
    spread = 1.0 / inverse
    turned = spread * np.array([[1.0, -ratio * spread], [0.0, -spread]])
    return CensoredFit(
        middle + width * float(ratio * spread),
        width * float(spread),
        width**2 * (turned @ np.linalg.inv(-curvature) @ turned.T),
        log - readings * float(np.log(width)),
        low.size,
        readings,
    )


def mean_interval(low: Amounts, high: Amounts, confidence: Ratio) -> tuple[Amount, Amount]:
    """Interval that holds the mean of a partly bounded normal sample.

    low, high (values,) [unit of the values]: as of `log_likelihood`.
    confidence: how often it is to hold it.
    Result [unit of the values]: both ends; with bounds not alike on both sides.
    Raises ValueError as `most_likely` does, or if the confidence is not between 0 and 1.

    Means for which twice the log likelihood, the spread chosen anew, lies at most n log(1 + t^2 / (n - 1))
    below its top. Without bounds that is Student's interval; with bounds n counts them as well.
    Range: six values or more, half of them readings: where 90 in 100 are wanted it holds 87 to 96 (a test).
    Source: likelihood ratio, common practice; Student's t in it is our own.

    >>> [round(float(end), 3) for end in mean_interval([1, 2, 3], [1, 2, 3], 0.9)]
    [0.314, 3.686]
    """
    from scipy.optimize import brentq
    from scipy.special import stdtrit

    tail = 0.5 + between("confidence", confidence, 0.01, 0.9999) / 2.0
    low, high, middle, width = _scaled(*_ends(low, high))
    if width == 0.0:
        return middle, middle
    ratio, inverse = _top(low, high, _BOTH)
    top, best = _terms(low, high, ratio, inverse)[0], ratio / inverse
    count = low.size
    allowed = 0.5 * count * float(np.log1p(stdtrit(count - 1, tail) ** 2 / (count - 1)))

    def beyond(mean):
        left, right = low - mean, high - mean
        return top - _terms(left, right, *_top(left, right, _SPREAD_ALONE))[0] - allowed

    ends = []
    for step in (-1.0, 1.0):
        while beyond(best + step) < 0.0:
            step *= 2.0
        ends.append(middle + width * float(brentq(beyond, best, best + step, xtol=_EXACT)))
    return ends[0], ends[1]


def _ends(low, high):
    low, high = (np.asarray(end, dtype=float).ravel() for end in (low, high))
    if low.shape != high.shape or not (low <= high).all():
        raise ValueError("low and high must be ends of the same values, low never above high.")
    if (np.isinf(low) & np.isinf(high)).any():
        raise ValueError("Each value needs at least one end that is a finite number.")
    return low, high


def _scaled(low, high):
    """Ends less the middle of the readings, over a width; the width is 0 where one number fits all."""
    known = low == high
    if known.sum() < FEWEST_READINGS:
        raise ValueError(f"{known.sum()} of the values are readings; at least {FEWEST_READINGS} are needed.")
    middle = float(low[known].mean())
    missed = float(max((low - middle).max(), (middle - high).max()))
    if missed <= _ROUNDING * abs(middle):
        return low, high, middle, 0.0
    return (low - middle) / missed, (high - middle) / missed, middle, missed


def _top(low, high, free):
    """Where the log likelihood is highest: mean/s and 1/s, or 1/s alone with a mean of zero."""
    at = np.array([0.0, 1.0])
    log, slope, curvature = _terms(low, high, *at)
    while True:
        step = np.zeros(2)
        step[free] = np.linalg.solve(-curvature[free, free], slope[free])
        rise = slope @ step
        if rise <= _NEAR * low.size:
            return at + step
        # The top is the only one, so a step that is halved until it climbs leads there.
        while at[1] + step[1] <= 0.0 or (tried := _terms(low, high, *(at + step)))[0] < log + 1e-4 * rise:
            step, rise = step / 2.0, rise / 2.0
        at, (log, slope, curvature) = at + step, tried


def _terms(low, high, ratio, inverse):
    """Log likelihood with its slope and curvature over mean/s and 1/s."""
    from scipy.special import log_ndtr

    known = low == high
    value, count = low[known], int(known.sum())
    z = inverse * value - ratio
    log = count * (np.log(inverse) - _LOG_ROOT) - 0.5 * float(z @ z)
    slope = np.array([z.sum(), count / inverse - z @ value])
    across = value.sum()
    curvature = np.array([[-count, across], [across, -count / inverse**2 - value @ value]])
    if count == known.size:
        return log, slope, curvature
    ends = np.array([low[~known], high[~known]])
    z = inverse * ends - ratio
    # The side of the smaller tail, where a difference of chances keeps its digits.
    near = np.where(z[0] > 0.0, -z[::-1], z)
    below, above = log_ndtr(near)
    chance = above + np.log1p(-np.exp(below - above))
    log += float(chance.sum())
    density = np.array([[-1.0], [1.0]]) * np.exp(-0.5 * z**2 - _LOG_ROOT - chance)
    ends, z = (np.where(np.isfinite(each), each, 0.0) for each in (ends, z))
    change = np.array([-np.ones_like(ends), ends])
    first = (density * change).sum(axis=1)
    slope += first.sum(axis=1)
    curvature -= np.einsum("iek,jek,ek->ij", change, change, z * density) + first @ first.T
    return log, slope, curvature
