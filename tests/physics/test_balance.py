"""The balance of one opener against sums by hand and against a scalar root finder."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from downforce.physics.balance import (
    AT_DEPTH,
    LOWER_STOP,
    NOT_AT_DEPTH,
    OUT,
    REGIMES,
    UPPER_STOP,
    balance_opener,
)

# A trailing arm written as plain ratios: weight at 0.55, closing wheel at 1.05, disc and gauge wheel
# at 0.60 m behind a pivot 0.45 m above the line of draft.
SHARES = (0.55 / 0.60, 1.05 / 0.60, 1.0, 0.45 / 0.60)
BASE = {
    "weight": 900.0,
    "closing_load": 250.0,
    "exponent": 1.0,
    "target_depth": 0.04,
    "draft_ratio": 0.6,
    "lowest_travel": -0.18,
    "highest_travel": 0.13,
}


def balance(down_force, target_reaction, ground=0.0, rate=0.0, **changes):
    def push(travel, pick):
        return np.maximum(0.0, down_force + rate * np.asarray(travel, dtype=float))

    def shares(travel, ground_travel):
        return tuple(np.full_like(travel, share) for share in SHARES)

    return balance_opener(ground, push, shares, target_reaction=target_reaction, **{**BASE, **changes})


AT_60_BAR = 60e5 * np.pi / 4 * 0.0381**2 / 6


def test_teaching_opener_at_60_bar_and_900_newtons():
    """By hand: (1140.09*0.6 + 900*0.55 - 900*0.6 - 250*1.05 - 540*0.45)/0.6 = 222.6 N."""
    loads = balance(AT_60_BAR, 900.0)
    assert loads.gauge_wheel_load == pytest.approx(222.6, abs=0.05)
    assert loads.frame_load == pytest.approx(472.6, abs=0.05)
    assert loads.draft == pytest.approx(540.0)
    assert REGIMES[int(loads.regime)] == "at depth"


def test_teaching_opener_is_not_at_depth_at_1500_newtons():
    """By hand: V = (1140.09 + 825 - 437.5)/1.45 = 1053.5 N, 28.1 of 40 mm."""
    loads = balance(AT_60_BAR, 1500.0)
    assert REGIMES[int(loads.regime)] == "not at depth"
    assert loads.gauge_wheel_load == 0.0
    assert loads.depth == pytest.approx(0.028093, abs=1e-6)
    assert loads.soil_reaction == pytest.approx(1527.59 / 1.45, abs=0.05)
    assert loads.frame_load == pytest.approx(loads.soil_reaction + 250 - 900)


@pytest.mark.parametrize(("reaction", "bar"), [(900, 59.9), (1200, 82.8), (1500, 105.6)])
def test_pressure_for_220_newtons_at_the_gauge_wheel(reaction, bar):
    """By hand from the same moments, to the printed 0.05 bar."""
    per_bar = AT_60_BAR / 60
    found = brentq(lambda p: float(balance(p * per_bar, float(reaction)).gauge_wheel_load) - 220.0, 50, 150)
    assert found == pytest.approx(bar, abs=0.05)


def test_without_draft_the_same_opener_carries_more():
    """A standing test over-reads: 628 N instead of 223 N."""
    assert balance(AT_60_BAR, 900.0, draft_ratio=0.0).gauge_wheel_load == pytest.approx(628, abs=0.6)


def test_a_closing_wheel_far_back_takes_more_than_its_load():
    """+100 N on the closing wheel takes 175 N from the gauge wheel."""
    lighter = balance(AT_60_BAR, 900.0).gauge_wheel_load
    heavier = balance(AT_60_BAR, 900.0, closing_load=350.0).gauge_wheel_load
    assert lighter - heavier == pytest.approx(175.0, abs=1e-9)


def test_loads_at_depth_add_up_by_virtual_work():
    loads = balance(1500.0, np.linspace(100, 900, 9))
    w, c, g, t = SHARES
    left = loads.down_force + w * 900.0
    right = loads.soil_reaction + t * loads.draft + c * loads.closing_wheel_load + g * loads.gauge_wheel_load
    assert left == pytest.approx(right, abs=1e-9)


@settings(deadline=None, max_examples=200)
@given(
    st.floats(200, 2500), st.floats(50, 3000), st.floats(-0.12, 0.08), st.floats(0, 9000), st.floats(0.4, 2.0)
)
def test_shallow_depth_equals_a_scalar_root_finder(down_force, reaction, ground, rate, exponent):
    loads = balance(down_force, reaction, ground, rate=rate, exponent=exponent, highest_travel=0.4)
    w, c, _, t = SHARES

    def left_over(depth):
        push = max(0.0, down_force + rate * (ground + 0.04 - depth))
        return push + w * 900 - c * 250 - reaction * (depth / 0.04) ** exponent * (1 + 0.6 * t)

    if left_over(0.04) >= 0:
        assert loads.regime == AT_DEPTH and loads.depth == 0.04
        assert loads.gauge_wheel_load == pytest.approx(left_over(0.04), abs=1e-6)
    elif left_over(0.0) <= 0:
        assert loads.regime == OUT and loads.depth == 0.0
    else:
        depth = brentq(left_over, 0.0, 0.04, xtol=1e-14, rtol=1e-14)
        assert loads.regime == NOT_AT_DEPTH
        assert loads.soil_reaction == pytest.approx(reaction * (depth / 0.04) ** exponent, abs=1e-4)
        assert loads.travel == pytest.approx(ground + 0.04 - depth, abs=1e-6)


def test_a_spring_gains_force_where_the_disc_runs_shallow():
    """The disc that is 10 mm shallow stands 10 mm higher, so a spring presses harder than at depth."""
    stiff = balance(700.0, 1500.0, rate=6500.0)
    assert stiff.depth > balance(700.0, 1500.0).depth
    assert stiff.down_force == pytest.approx(700.0 + 6500.0 * (0.04 - stiff.depth), abs=1e-6)


def test_a_hollow_below_the_lower_stop_makes_the_disc_shallow_without_any_gauge_wheel_load():
    loads = balance(3000.0, 600.0, ground=-0.19)
    assert loads.regime == LOWER_STOP
    assert loads.depth == pytest.approx(0.03)
    assert loads.travel == pytest.approx(-0.18)
    assert loads.soil_reaction == pytest.approx(450.0)
    assert loads.gauge_wheel_load == 0.0
    assert loads.frame_load == pytest.approx(450 + 250 - 900)


def test_a_hollow_deeper_than_stop_and_depth_leaves_the_opener_hanging():
    loads = balance(3000.0, 600.0, ground=-0.25)
    assert loads.regime == OUT
    assert loads.depth == loads.soil_reaction == loads.gauge_wheel_load == loads.closing_wheel_load == 0.0
    assert loads.frame_load == pytest.approx(-900.0)


def test_a_weak_push_in_a_hollow_is_short_of_depth_before_the_stop():
    loads = balance(300.0, 3000.0, ground=-0.185)
    assert loads.regime == NOT_AT_DEPTH
    assert loads.depth < 0.035


def test_a_rise_above_the_upper_stop_keeps_the_depth_and_reports_at_least_the_load_there():
    loads = balance(1500.0, 600.0, ground=0.20, rate=5000.0)
    assert loads.regime == UPPER_STOP
    assert loads.travel == pytest.approx(0.13)
    assert loads.depth == pytest.approx(0.04)
    assert loads.down_force == pytest.approx(1500 + 5000 * 0.13)


def test_the_upper_stop_presses_a_shallow_disc_back_into_the_ground():
    """Ground 120 mm high, stop at 130 mm: the disc can be at most 10 mm shallow."""
    loads = balance(300.0, 3000.0, ground=0.12)
    assert loads.regime == UPPER_STOP
    assert loads.depth == pytest.approx(0.03)
    assert loads.soil_reaction == pytest.approx(3000 * 0.75)


def test_a_closing_wheel_that_carries_the_opener_is_said():
    """No push, a light opener and a strong closing spring: the disc rides on the surface."""
    loads = balance(0.0, 600.0, weight=200.0)
    assert loads.regime == OUT
    assert loads.closing_wheel_load == pytest.approx(200 * 0.55 / 1.05)
    assert loads.frame_load == pytest.approx(200 * 0.55 / 1.05 - 200)


@settings(deadline=None, max_examples=100)
@given(st.floats(0, 3000), st.floats(0, 3000), st.floats(-0.3, 0.3))
def test_loads_are_never_negative_and_depth_never_beyond_the_target(down_force, reaction, ground):
    loads = balance(down_force, reaction, ground)
    assert loads.gauge_wheel_load >= 0
    assert loads.closing_wheel_load >= 0
    assert 0 <= loads.depth <= 0.04
    assert -0.18 <= loads.travel <= 0.13
    assert loads.frame_load == pytest.approx(
        float(loads.soil_reaction + loads.gauge_wheel_load + loads.closing_wheel_load - 900.0)
    )


@settings(deadline=None, max_examples=60)
@given(st.floats(0, 2500), st.floats(100, 3000))
def test_more_push_never_lowers_depth_gauge_wheel_load_or_frame_load(down_force, reaction):
    less, more = balance(down_force, reaction), balance(down_force + 50, reaction)
    assert more.depth >= less.depth
    assert more.gauge_wheel_load >= less.gauge_wheel_load
    assert more.frame_load >= less.frame_load - 1e-6


def test_the_regimes_meet_without_a_step():
    edge = (1140.0 + 825 - 437.5) / 1.45
    loads = balance(1140.0, np.array([edge - 1e-6, edge + 1e-6]))
    assert list(loads.regime) == [AT_DEPTH, NOT_AT_DEPTH]
    assert loads.soil_reaction[0] == pytest.approx(loads.soil_reaction[1], abs=1e-4)
    assert loads.frame_load[0] == pytest.approx(loads.frame_load[1], abs=1e-4)


def test_arrays_of_any_shape_give_the_scalar_answers():
    ground = np.array([[-0.25, -0.19, -0.05], [0.0, 0.1, 0.2]])
    reaction = np.array([[600.0], [1600.0]])
    whole = balance(1100.0, reaction, ground)
    for (i, j), height in np.ndenumerate(ground):
        one = balance(1100.0, reaction[i, 0], height)
        assert whole.frame_load[i, j] == pytest.approx(float(one.frame_load), abs=1e-6)
        assert whole.regime[i, j] == one.regime


def test_a_lower_stop_above_the_working_height_keeps_the_disc_up_by_that_much():
    """By hand: 30 of 40 mm, 900 * 3/4 = 675 N of soil."""
    loads = balance(1140.0, 900.0, lowest_travel=0.01)
    assert loads.regime == LOWER_STOP and loads.travel == 0.01
    assert loads.depth == pytest.approx(0.03) and loads.soil_reaction == pytest.approx(675.0)
    loads = balance(1140.0, 900.0, highest_travel=-0.01)
    assert loads.regime == UPPER_STOP and loads.travel == -0.01


def test_stops_that_were_exchanged_are_refused():
    with pytest.raises(ValueError, match=r"must not stand above the upper one; got 0\.2 and 0\.13 m"):
        balance(1000.0, 900.0, lowest_travel=0.2)


def test_impossible_loads_are_refused_by_name():
    with pytest.raises(ValueError, match=r"target_reaction must not be negative; got -5 at index \(1,\)"):
        balance(1000.0, np.array([5.0, -5.0]))
    with pytest.raises(ValueError, match="closing_load must not be negative"):
        balance(1000.0, 900.0, closing_load=-1.0)
    with pytest.raises(ValueError, match="draft_ratio must lie between 0 and 10"):
        balance(1000.0, 900.0, draft_ratio=-0.1)
    with pytest.raises(ValueError, match="exponent must be greater than zero"):
        balance(1000.0, 900.0, exponent=0.0)


def test_a_disc_that_hangs_on_its_lower_stop_stays_on_it():
    """Thrown upward over a hole: nothing presses, the ground is out of reach, and the stop holds the disc."""
    loads = balance(0.0, 900.0, ground=-0.30, weight=100.0)
    assert REGIMES[int(loads.regime)] == "out of the ground"
    assert loads.travel == -0.18
    assert loads.closing_wheel_load == 0.0
