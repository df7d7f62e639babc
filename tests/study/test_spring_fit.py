"""A measured spring: exact readings give it back, slack and closed ones are told apart, intervals hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import stdtrit

from downforce.machine.readings import read_measured_springs
from downforce.machine.shipped import example_drill
from downforce.study.spring_checks import fit_spring, measured_set, straight_line

LENGTHS = np.array([0.33, 0.32, 0.31, 0.29, 0.28, 0.26, 0.24, 0.22, 0.20, 0.18, 0.16])

# [STRD]: x, then y.
NORRIS = np.array([
    [0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0,
     447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3,
     229.2, 669.1, 448.9, 0.5],
    [0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3,
     448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6,
     228.9, 668.4, 449.2, 0.2],
])  # fmt: skip
# [JCGM100] H.3: degrees, then corrections.
THERMOMETER = np.array([
    [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511],
    [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160],
])  # fmt: skip


def push(rate, free, length):
    return rate * np.maximum(free - length, 0.0)


@settings(deadline=None, max_examples=60)
@given(rate=st.floats(5e3, 90e3), free=st.floats(0.245, 0.345))
def test_exact_readings_give_rate_free_length_and_regimes_back(rate, free):
    fit = fit_spring(LENGTHS, push(rate, free, LENGTHS))
    assert fit.rate == pytest.approx(rate, rel=1e-6)
    assert fit.free_length == pytest.approx(free, abs=1e-7)
    off_the_kink = np.abs(LENGTHS - free) > 1e-6
    expected = np.where(free > LENGTHS, "working", "slack")
    assert (fit.regime == expected)[off_the_kink].all()
    assert fit.scatter < 1e-3


def test_order_of_the_readings_does_not_matter():
    noise = np.random.default_rng(3).normal(0, 20, LENGTHS.size)
    force = push(30e3, 0.3, LENGTHS) + noise * (LENGTHS < 0.3)
    mixed = np.random.default_rng(4).permutation(LENGTHS.size)
    one, two = fit_spring(LENGTHS, force), fit_spring(LENGTHS[mixed], force[mixed])
    assert two.rate == pytest.approx(one.rate, rel=1e-12)
    assert (two.regime == one.regime[mixed]).all()


def test_fit_of_the_working_readings_is_the_regression_of_an_open_library():
    from scipy.stats import linregress, t

    spring = read_measured_springs()["row 31"]
    fit = fit_spring(spring.length, spring.spring_force)
    line = linregress(spring.length[fit.working], spring.spring_force[fit.working])
    factor = t.ppf(0.975, fit.working.sum() - 2)
    assert fit.rate == pytest.approx(-line.slope, rel=1e-9)
    assert fit.rate_half_width == pytest.approx(factor * line.stderr, rel=1e-9)
    assert fit.free_length == pytest.approx(-line.intercept / line.slope, rel=1e-9)
    # At length zero the half width of the mean force is that of the intercept.
    assert fit.half_width_at(0.0) == pytest.approx(factor * line.intercept_stderr, rel=1e-9)
    at_free = fit.half_width_at(fit.free_length - 1e-12)
    assert fit.free_length_half_width == pytest.approx(at_free / fit.rate, rel=1e-6)


@pytest.mark.outside(
    "STRD", "Norris", "library's documents", "straight line: slope, start and their standard errors"
)
def test_line_of_the_nist_reference_data(printed):
    """36 readings turned into a spring, so that every reading works: 2000 less x, 10 over y."""
    fit = fit_spring(2000.0 - NORRIS[0], NORRIS[1] + 10.0)
    assert fit.working.all()
    factor = stdtrit(34, 0.975)
    printed(fit.rate, "1.00211681802045", 1e-12, "rounding of the computer")
    printed(fit.force_at(2000.0) - 10.0, "-0.262323073774029", 1e-9, "rounding of the computer")
    printed(fit.rate_half_width / factor, "0.00042979684820")
    printed(fit.half_width_at(2000.0) / factor, "0.23281823430153", 1e-10, "rounding of the computer")


@pytest.mark.outside(
    "JCGM100", "H.3", "from memory", "calibration line of a thermometer, and its uncertainties"
)
def test_line_of_the_guide(printed):
    """Corrections over temperature turned into a spring: 100 less the temperature, 0.3 over the correction.

    The readings were seen in the documents of an open library, the results are from memory.
    """
    fit = fit_spring(100.0 - THERMOMETER[0], THERMOMETER[1] + 0.3)
    assert fit.working.all()
    factor = stdtrit(9, 0.975)
    printed(fit.force_at(80.0) - 0.3, "-0.1712")
    printed(fit.half_width_at(80.0) / factor, "0.0029")
    printed(fit.rate, "0.00218")
    printed(fit.rate_half_width / factor, "0.00067")
    printed(fit.scatter, "0.0035")
    printed(fit.force_at(70.0) - 0.3, "-0.1494")
    printed(fit.half_width_at(70.0) / factor, "0.0041")


def test_fit_is_the_least_squares_optimum_that_a_general_search_finds():
    from scipy.optimize import least_squares

    for spring in read_measured_springs().values():
        fit = fit_spring(spring.length, spring.spring_force)
        kept = fit.regime != "coil-bind"
        at, force = spring.length[kept], spring.spring_force[kept]
        best = min(
            (
                least_squares(
                    lambda p, at=at, force=force: push(p[0] * 1e3, p[1], at) - force,
                    [25.0, start],
                    x_scale=[1, 0.01],
                )
                for start in (0.27, 0.29, 0.31)
            ),
            key=lambda found: found.cost,
        )
        ours = 0.5 * np.sum((push(fit.rate, fit.free_length, at) - force) ** 2)
        assert ours <= best.cost * (1 + 1e-9)
        assert fit.rate == pytest.approx(best.x[0] * 1e3, rel=1e-4)


def test_shipped_readings_tell_slack_and_closed_apart_and_hold_the_springs_they_were_made_of():
    made = {"row 12": (29.8e3, 0.299), "row 31": (29.4e3, 0.2925), "row 48": (27.3e3, 0.3005)}
    for name, spring in read_measured_springs().items():
        fit = fit_spring(spring.length, spring.spring_force, 0.99)
        rate, free = made[name]
        assert abs(fit.rate - rate) < fit.rate_half_width
        assert abs(fit.free_length - free) < fit.free_length_half_width
        assert (fit.regime == "coil-bind").tolist() == (spring.length < 0.154).tolist()
        assert (fit.regime[spring.length > 0.304] == "slack").all()
        assert (fit.regime[(spring.length > 0.154) & (spring.length < 0.29)] == "working").all()


def test_slack_readings_drag_a_plain_line_down():
    spring = read_measured_springs()["row 12"]
    kept = spring.length > 0.154
    rate, free = straight_line(spring.length[kept], spring.spring_force[kept])
    fit = fit_spring(spring.length, spring.spring_force)
    assert rate < 0.95 * fit.rate and free > fit.free_length + 0.005


def test_plain_line_through_exact_working_readings_is_the_spring():
    length = np.linspace(0.16, 0.28, 7)
    assert straight_line(length, push(30e3, 0.3, length)) == pytest.approx((30e3, 0.3))


@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_intervals_hold_the_truth_as_often_as_they_say(confidence):
    random, trials = np.random.default_rng(7), 600
    length = np.linspace(0.16, 0.34, 13)
    truth = push(30e3, 0.3, length)
    hits = {"rate": 0, "free": 0, "preload": 0}
    for _ in range(trials):
        force = truth + np.where(truth > 0, random.normal(0, 25, length.size), 0.0)
        fit = fit_spring(length, force, confidence)
        hits["rate"] += abs(fit.rate - 30e3) < fit.rate_half_width
        hits["free"] += abs(fit.free_length - 0.3) < fit.free_length_half_width
        hits["preload"] += abs(fit.force_at(0.225) - 2250) < fit.half_width_at(0.225)
    # Three standard deviations of a binomial share, and a point for readings wrongly told apart.
    allowed = 3 * np.sqrt(confidence * (1 - confidence) / trials) + 0.015
    for name, count in hits.items():
        assert abs(count / trials - confidence) < allowed, (name, count / trials)


def test_a_good_reading_is_seldom_called_coil_bind():
    random, wrong, length = np.random.default_rng(8), 0, np.linspace(0.16, 0.34, 13)
    for _ in range(400):
        fit = fit_spring(length, push(30e3, 0.3, length) + random.normal(0, 25, 13) * (length < 0.3))
        wrong += bool((fit.regime == "coil-bind").any())
    assert 0 < wrong < 16  # one in a hundred is meant; four in a hundred would be too many


def test_closed_readings_are_told_apart_two_at_a_time():
    length = np.array([*LENGTHS, 0.150, 0.149])
    force = push(30e3, 0.3, length) + np.array([3.0, -2.0] * 6 + [1.0]) * (length < 0.3)
    force[-2:] += [700, 1500]
    fit = fit_spring(length, force)
    assert (fit.regime == "coil-bind").tolist() == [False] * 11 + [True, True]
    assert fit.rate == pytest.approx(30e3, rel=2e-3)


def test_preload_is_zero_when_slack_and_its_interval_narrowest_in_the_middle():
    spring = read_measured_springs()["row 48"]
    fit = fit_spring(spring.length, spring.spring_force)
    assert fit.force_at(0.35) == 0 and fit.half_width_at(0.35) == 0
    middle = fit.length[fit.working].mean()
    assert fit.half_width_at(middle) < min(fit.half_width_at(middle - 0.03), fit.half_width_at(middle + 0.03))


@pytest.mark.parametrize(
    ("length", "force", "words"),
    [
        ([0.2, 0.25], [1.0], "lists of one size"),
        ([0.2, 0.25, 0.3], [900.0, 400.0, 0.0], "no straight part of 4 or more"),
        ([0.2, 0.22, 0.24, 0.26, 0.28], [0.0, 100.0, 200.0, 300.0, 400.0], "falls with length"),
        ([-0.2, 0.22, 0.24, 0.26], [4.0, 3.0, 2.0, 1.0], "length"),
    ],
)
def test_readings_that_hold_no_line_are_refused(length, force, words):
    with pytest.raises(ValueError, match=words):
        fit_spring(np.array(length), np.array(force))


def test_measured_coil_on_the_drill_gives_the_force_that_was_fitted():
    drill, readings = example_drill("air_drill_12m"), read_measured_springs()["row 31"]
    fit = fit_spring(readings.length, readings.spring_force)
    measured = measured_set(drill.spring, fit)
    at_work = measured.spring_length(measured.length(drill.opener, 0.0))
    leverage = float(measured.leverage(drill.opener, 0.0))
    assert float(measured.down_force(drill.opener, 0.0)) == pytest.approx(leverage * fit.force_at(at_work))
