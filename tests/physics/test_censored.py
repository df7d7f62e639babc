"""Samples with readings and bounds: likelihood, its top, and the interval of the mean."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import CensoredData, norm

from downforce.physics.censored import log_likelihood, mean_interval, most_likely

OPEN = np.inf


def at_most(readings, bound, count):
    """Readings, and some values of which only an upper bound is known."""
    readings = np.asarray(readings, dtype=float)
    bounds = np.full(count, float(bound))
    return np.append(readings, np.full(count, -OPEN)), np.append(readings, bounds)


def made(mean, spread, count):
    """Readings whose mean and root mean square about it are those asked for."""
    shape = np.linspace(-1.0, 1.0, count)
    return mean + spread * shape / np.sqrt(np.mean(shape**2))


@st.composite
def samples(draw):
    """Three readings that differ, and values known, bounded on either side, or between two ends."""
    finite = st.floats(-5.0, 5.0)
    low, high = [0.0, 0.7, 1.9], [0.0, 0.7, 1.9]
    for kind in draw(st.lists(st.sampled_from(("reading", "at most", "at least", "between")), max_size=8)):
        value, width = draw(finite), draw(st.floats(0.1, 4.0)) if kind == "between" else 0.0
        low.append(-OPEN if kind == "at most" else value)
        high.append(OPEN if kind == "at least" else value + width)
    return np.array(low), np.array(high)


def test_one_to_three_and_two_at_least_three():
    """Likelihood and its top as another program has them."""
    low, high = [1, 2, 3, 3, 3], [1, 2, 3, OPEN, OPEN]
    assert log_likelihood(low, high, 2.0, 1.0) == pytest.approx(-7.438859, abs=5e-7)
    fit = most_likely(low, high)
    assert (fit.mean, fit.spread) == pytest.approx((2.74423, 1.18781), abs=5e-6)
    assert fit.log_likelihood == pytest.approx(-6.330913, abs=5e-7)
    assert (fit.values, fit.readings) == (5, 3)


def cohen_lambda(bounded, gamma):
    """Share of the way from the mean of the readings to the bound by which the mean comes nearer to it."""
    low, high = at_most(made(1.0, np.sqrt(gamma), round(40 * (1.0 - bounded))), 0.0, round(40 * bounded))
    fit = most_likely(low, high)
    # Cohen's variance follows from the same number.
    assert fit.spread**2 == pytest.approx(gamma + 1.0 - fit.mean, rel=1e-9)
    return 1.0 - fit.mean


@pytest.mark.outside("COH", "table 1, h 0.10, gamma 0.10", "from memory", "how far bounds move a mean")
def test_mean_of_a_tenth_bounded_is_by_cohen_s_table(printed):
    printed(cohen_lambda(0.10, 0.10), "0.11804")


@pytest.mark.parametrize(("bounded", "gamma", "known"), [(0.10, 0.50, 0.14090), (0.25, 0.20, 0.35255)])
def test_cohen_s_number_elsewhere(bounded, gamma, known):
    """By another program."""
    assert cohen_lambda(bounded, gamma) == pytest.approx(known, abs=5e-6)


@pytest.mark.outside("EPQ", "24 sulphates", "from memory", "mean and deviation, 3 of 24 below 1450 ppm")
def test_sulphates_of_which_three_are_below_1450(printed):
    """21 readings, mean 1771.9, variance 8593.69: by n - 1, put in where Cohen's method divides by n."""
    low, high = at_most(made(1771.9, np.sqrt(8593.69), 21), 1450.0, 3)
    fit = most_likely(low, high)
    printed(fit.mean, "1723.88")
    printed(fit.spread, "155.09")


def test_without_bounds_they_are_mean_and_standard_deviation():
    values = np.array([710.0, 1044.0, 880.0, 931.0, 655.0])
    fit = most_likely(values, values)
    assert fit.mean == pytest.approx(values.mean(), rel=1e-12)
    assert fit.spread == pytest.approx(values.std(), rel=1e-9)
    assert fit.sample_spread == pytest.approx(values.std(ddof=1), rel=1e-9)
    np.testing.assert_allclose(fit.covariance, fit.spread**2 / 5 * np.diag([1.0, 0.5]), atol=1e-6)
    # Student's t for four degrees of freedom and the normal quantile at 95 %, of any table.
    assert fit.uncertainty == pytest.approx(values.std(ddof=1) / np.sqrt(5) * 2.1318 / 1.6449, rel=1e-4)
    half = 2.7764 * values.std(ddof=1) / np.sqrt(5)
    assert mean_interval(values, values, 0.95) == pytest.approx(
        (values.mean() - half, values.mean() + half), rel=1e-5
    )


@settings(deadline=None, max_examples=60)
@given(samples(), st.floats(-3, 3), st.floats(0.2, 3))
def test_likelihood_is_that_of_the_normal_distribution(ends, mean, spread):
    low, high = ends
    known = low == high
    expected = norm.logpdf(low[known], mean, spread).sum()
    for left, right in zip(low[~known], high[~known], strict=True):
        tail = norm.sf if left > mean else norm.cdf
        expected += np.log(abs(tail(right, mean, spread) - tail(left, mean, spread)))
    assert log_likelihood(low, high, mean, spread) == pytest.approx(expected, rel=1e-8, abs=1e-8)


@settings(deadline=None, max_examples=40)
@given(samples())
def test_nothing_beside_the_top_is_likelier(ends):
    fit = most_likely(*ends)
    assert log_likelihood(*ends, fit.mean, fit.spread) == pytest.approx(fit.log_likelihood, abs=1e-9)
    for mean, spread in ((1e-3, 0), (-1e-3, 0), (0, 1e-3), (0, -1e-3), (1.0, 0.3), (-1.0, -0.3)):
        beside = log_likelihood(*ends, fit.mean + mean * fit.spread, fit.spread * (1 + spread))
        assert beside < fit.log_likelihood


@settings(deadline=None, max_examples=10)
@given(samples())
def test_the_top_is_where_scipy_finds_it(ends):
    low, high = ends
    fit, between = most_likely(low, high), np.isfinite(low) & np.isfinite(high) & (low != high)
    data = CensoredData(
        uncensored=low[low == high],
        left=high[np.isneginf(low)],
        right=low[np.isposinf(high)],
        interval=np.stack([low[between], high[between]], axis=1),
    )
    assert norm.fit(data) == pytest.approx((fit.mean, fit.spread), abs=2e-3)


@settings(deadline=None, max_examples=30)
@given(samples(), st.floats(-100, 100), st.floats(0.01, 100))
def test_mirror_shift_and_unit_go_with_the_values(ends, shift, unit):
    low, high = ends
    fit, interval = most_likely(low, high), mean_interval(low, high, 0.9)
    mirrored, other = most_likely(-high, -low), mean_interval(-high, -low, 0.9)
    assert (-mirrored.mean, mirrored.spread) == pytest.approx((fit.mean, fit.spread), abs=1e-7)
    assert (-other[1], -other[0]) == pytest.approx(interval, abs=1e-6)
    assert mirrored.covariance == pytest.approx(fit.covariance * [[1, -1], [-1, 1]], rel=1e-5, abs=1e-9)
    low, high = shift + unit * low, shift + unit * high
    moved = most_likely(low, high)
    assert (moved.mean, moved.spread) == pytest.approx((shift + unit * fit.mean, unit * fit.spread), abs=1e-5)
    assert moved.covariance == pytest.approx(unit**2 * fit.covariance, rel=1e-4)
    expected = shift + unit * np.array(interval)
    assert mean_interval(low, high, 0.9) == pytest.approx(expected, abs=1e-4 * unit)


def test_covariance_is_the_curvature_of_the_likelihood():
    low, high = at_most([4.0, 5.5, 6.0, 7.5, 8.0], 3.0, 4)
    fit, step = most_likely(low, high), 1e-3

    def value(mean, spread):
        return log_likelihood(low, high, fit.mean + mean * step, fit.spread + spread * step)

    assert fit.log_likelihood == pytest.approx(value(0, 0), abs=1e-9)
    across = (value(1, 1) - value(1, -1) - value(-1, 1) + value(-1, -1)) / 4
    along = [value(*by) + value(*(-np.array(by))) - 2 * value(0, 0) for by in ((1, 0), (0, 1))]
    curvature = np.array([[along[0], across], [across, along[1]]]) / step**2
    np.testing.assert_allclose(np.linalg.inv(-curvature), fit.covariance, rtol=1e-4)


def test_a_bound_far_off_says_nothing_and_a_narrow_one_is_a_reading():
    values = made(10.0, 2.0, 7)
    bare = most_likely(values, values)
    low, high = at_most(values, 1e3, 3)
    far = most_likely(low, high)
    assert (far.mean, far.spread) == pytest.approx((bare.mean, bare.spread), rel=1e-9)
    low, high = np.append(values, 12.0 - 1e-5), np.append(values, 12.0 + 1e-5)
    narrow, known = most_likely(low, high), most_likely(*[np.append(values, 12.0)] * 2)
    assert (narrow.mean, narrow.spread) == pytest.approx((known.mean, known.spread), rel=1e-6)


def test_readings_that_are_alike_have_no_spread_unless_a_bound_says_other():
    alike = most_likely(*at_most([5.0, 5.0, 5.0], 6.0, 2))
    assert (alike.mean, alike.spread, alike.uncertainty) == (5.0, 0.0, 0.0)
    assert mean_interval(*at_most([5.0, 5.0, 5.0], 6.0, 2), 0.9) == (5.0, 5.0)
    against = most_likely(*at_most([5.0, 5.0, 5.0], 4.0, 1))
    assert against.mean < 5.0 and against.spread > 0.1


def test_bounds_left_out_draw_the_mean_their_way():
    readings = made(10.0, 2.0, 8)
    means = [most_likely(*at_most(readings, 8.0, count)).mean for count in range(5)]
    assert np.all(np.diff(means) < 0)
    low, high = -np.array(at_most(-readings, -12.0, 3))[::-1]
    assert most_likely(low, high).mean > 10.0


@pytest.mark.parametrize(
    ("count", "bounded", "confidence"), [(6, 0.0, 0.9), (6, 0.25, 0.95), (10, 0.4, 0.9), (20, 0.5, 0.95)]
)
def test_interval_holds_the_mean_as_often_as_it_says(count, bounded, confidence):
    """Bounds as a push gives them: everything below one value. Draws with too few readings are left out."""
    random, held = np.random.default_rng(11), []
    bound = norm.ppf(bounded)
    while len(held) < 300:
        values = random.normal(size=count)
        low, high = np.where(values > bound, values, -OPEN), np.maximum(values, bound)
        if (low == high).sum() >= 3:
            ends = mean_interval(low, high, confidence)
            held.append(ends[0] <= 0.0 <= ends[1])
    # Two and a half standard errors of 300 draws below; bounds may make it somewhat too wide.
    assert -0.044 < np.mean(held) - confidence < (0.03 if bounded == 0 else 0.06)


def test_uncertainty_of_few_readings_holds_ninety_in_a_hundred_as_a_normal_one():
    random = np.random.default_rng(12)
    held = []
    for _ in range(1000):
        values = random.normal(size=5)
        fit = most_likely(values, values)
        held.append(abs(fit.mean) < 1.6449 * fit.uncertainty)
    assert np.mean(held) == pytest.approx(0.9, abs=0.025)


def test_what_cannot_be_worked_out_is_refused():
    with pytest.raises(ValueError, match="2 of the values are readings; at least 3 are needed"):
        most_likely([1.0, 2.0, -OPEN], [1.0, 2.0, 3.0])
    with pytest.raises(ValueError, match="low never above high"):
        most_likely([1.0, 2.0, 3.0, 5.0], [1.0, 2.0, 3.0, 4.0])
    with pytest.raises(ValueError, match="low never above high"):
        most_likely([1.0, np.nan], [1.0, np.nan])
    with pytest.raises(ValueError, match="at least one end that is a finite number"):
        most_likely([1.0, 2.0, 3.0, -OPEN], [1.0, 2.0, 3.0, OPEN])
    with pytest.raises(ValueError, match="spread must be greater than zero"):
        log_likelihood([1.0], [1.0], 0.0, 0.0)
    with pytest.raises(ValueError, match="confidence must lie between"):
        mean_interval([1.0, 2.0, 3.0], [1.0, 2.0, 3.0], 1.0)
