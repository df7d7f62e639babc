"""From a spread of depth to days and shares at emergence."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.machine.shipped import example_drill, example_field
from downforce.study.field_pass import run_pass
from downforce.study.soil_limits import emerged_share, emerged_share_of, emergence, emergence_of

COOL = 285.15  # 12 degC


def found(mean=0.035, spread=0.008, warm=COOL, window=(0.025, 0.045)):
    return emergence(mean, spread, warm, *window)


@pytest.mark.parametrize("spread, share", [(0.008, 0.79), (0.012, 0.60)])
def test_shares_inside_the_window(spread, share):
    """Depth 35 +- 8 mm and +- 12 mm in 25 to 45 mm: 79 % and 60 %."""
    assert float(found(spread=spread).shares.in_window) == pytest.approx(share, abs=0.005)


def test_days_are_those_of_the_thermal_time():
    """40 degree-days and 1.5 a millimetre (APSIM wheat notes): 25 against 50 mm at 12 degC is 3.1 days."""
    days = found(mean=0.050, spread=0.0).middle - found(mean=0.025, spread=0.0).middle
    assert days == pytest.approx(3.1, abs=0.05)
    assert found(mean=0.050, spread=0.0).middle == pytest.approx(115 / 12)
    level = found(spread=0.0)
    assert level.first == level.middle == level.last and level.days_apart == 0.0


def test_first_and_last_are_the_twentieths():
    one = found()
    up = emerged_share(np.array([one.first, one.middle, one.last]), 0.035, 0.008, COOL)
    np.testing.assert_allclose(up, [0.05, 0.50, 0.95], atol=1e-9)


def test_the_share_that_is_up_starts_at_the_surface_and_ends_at_one():
    days = np.linspace(0, 40, 81)
    up = emerged_share(days, 0.035, 0.012, COOL)
    assert up[0] == 0.0 and up[days < 40 / 12][-1] == 0.0 and up[-1] == pytest.approx(1.0)
    assert np.all(np.diff(up) >= 0)
    for day in (6.0, 8.0, 10.0):  # counted from drawn depths instead
        depths = np.random.default_rng(2).normal(0.035, 0.012, 40_000)
        counted = np.mean((40 + 1500 * np.maximum(depths, 0)) / 12 <= day)
        assert float(emerged_share(day, 0.035, 0.012, COOL)) == pytest.approx(counted, abs=0.01)


def test_no_seed_comes_up_before_one_at_the_surface():
    wide = found(mean=0.010, spread=0.020)
    assert wide.first == pytest.approx(40 / 12)


def test_coleoptile_reach_is_a_range():
    """34 mm and 114 mm [MOH]. At a mean of 34 mm, half lie beyond the shortest."""
    one = found(mean=0.034)
    assert one.beyond_short == pytest.approx(0.5) and one.beyond_long == pytest.approx(0.0, abs=1e-9)


TEN = np.array([0, 20, 30, 34, 35, 40, 40, 40, 40, 40]) / 1000


def test_ten_depths_counted_by_hand():
    """Ten rows, five at the 40 mm they are set to. 40 degree-days and 1.5 a millimetre at 12 degC."""
    one = emergence_of(TEN, COOL, 0.025, 0.040)
    assert (one.shares.shallow, one.shares.in_window, one.shares.deep) == pytest.approx((0.2, 0.8, 0.0))
    assert one.mean_depth == pytest.approx(0.0319)
    # Squares from the mean: 1017.61 + 141.61 + 3.61 + 4.41 + 9.61 + 5 x 65.61 = 1504.9, over ten.
    assert one.spread == pytest.approx(np.sqrt(150.49) / 1000)
    # The twentieth lies 0.45 of the way from the first to the second.
    assert one.first == pytest.approx((40 + 1.5 * 0.45 * 20) / 12)
    assert one.middle == pytest.approx((40 + 1.5 * 31.9) / 12)
    assert one.last == pytest.approx((40 + 1.5 * 40) / 12)
    # Beyond 34 mm: 35 and five times 40, the one on the limit not.
    assert (one.beyond_short, one.beyond_long) == (0.6, 0.0)
    up = emerged_share_of([0.0, 3.3, 3.4, 7.0, 8.3, 8.4, 30.0], TEN, COOL)
    np.testing.assert_allclose(up, [0.0, 0.0, 0.1, 0.2, 0.5, 1.0, 1.0])


def test_a_normal_curve_would_sow_deep_seeds_that_a_pass_has_not():
    """Wheels hold every row at 40 mm or above it; the bell of the same mean and spread goes deeper."""
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    crossed = run_pass(drill, field, drill.cylinder, 45e5, stations=200)
    counted = emergence_of(crossed.depth, COOL, 0.025, 0.045)
    normal = emergence(counted.mean_depth, counted.spread, COOL, 0.025, 0.045)
    at_depth = np.mean(crossed.depth == field.target_depth)
    assert 0.2 < at_depth < 0.9 and counted.shares.deep == 0.0
    assert float(normal.shares.deep) > 0.02 and normal.last > counted.last
    assert counted.last == pytest.approx((40 + 1.5 * 40) / 12)


def test_many_depths_drawn_from_a_normal_curve_count_as_the_curve_says():
    depths = np.random.default_rng(6).normal(0.050, 0.008, 100_000)
    counted, normal = emergence_of(depths, COOL, 0.035, 0.055), emergence(0.050, 0.008, COOL, 0.035, 0.055)
    for name in ("first", "middle", "last"):
        assert getattr(counted, name) == pytest.approx(getattr(normal, name), abs=0.02)
    assert counted.shares.in_window == pytest.approx(float(normal.shares.in_window), abs=0.005)
    assert counted.beyond_short == pytest.approx(normal.beyond_short, abs=0.005)
    days = np.linspace(0.0, 20.0, 41)
    np.testing.assert_allclose(
        emerged_share_of(days, depths, COOL), emerged_share(days, 0.050, 0.008, COOL), atol=0.006
    )


@settings(deadline=None, max_examples=60)
@given(
    mean=st.floats(0.015, 0.08),
    spread=st.floats(0.0, 0.02),
    warm=st.floats(278.0, 298.0),
    top=st.floats(0.01, 0.03),
)
def test_shares_sum_to_one_and_days_are_in_order(mean, spread, warm, top):
    one = emergence(mean, spread, warm, top, 0.05)
    parts = one.shares
    assert float(parts.shallow + parts.in_window + parts.deep) == pytest.approx(1.0)
    assert one.first <= one.middle <= one.last
    warmer = emergence(mean, spread, warm + 2.0, top, 0.05)
    assert warmer.days_apart <= one.days_apart


@pytest.mark.parametrize(
    "change, words",
    [
        ({"mean": -0.01}, "mean_depth"),
        ({"spread": -0.001}, "spread"),
        ({"warm": 273.15}, "above freezing"),
        ({"window": (0.05, 0.02)}, "deepest - shallowest"),
    ],
)
def test_impossible_inputs_are_refused(change, words):
    with pytest.raises(ValueError, match=words):
        found(**change)


@pytest.mark.parametrize(
    ("depths", "words"), [([], "at least one depth"), ([0.03, -0.01], "depths must not be negative")]
)
def test_impossible_depths_are_refused(depths, words):
    with pytest.raises(ValueError, match=words):
        emergence_of(depths, COOL, 0.025, 0.045)
