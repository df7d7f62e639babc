"""Days and shares at emergence."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from downforce.physics import emergence

TABLE = Path(__file__).parents[2] / "data" / "tables" / "emergence_sources.csv"
TWELVE = 285.15


def test_thermal_time_and_delay_of_25_and_50_mm():
    # A guard: 40 + 1.5 degree-days a millimetre [APS], by hand.
    assert emergence.thermal_time_to_emergence([0.025, 0.050]).tolist() == pytest.approx([77.5, 115.0])
    assert emergence.emergence_delay(0.025, 0.050, TWELVE) == pytest.approx(3.1, abs=0.05)
    assert emergence.days_to_emergence(0.0, TWELVE) == pytest.approx(40 / 12)


@settings(deadline=None, max_examples=50)
@given(st.floats(0, 0.1), st.floats(0.001, 0.05), st.floats(275, 300), st.floats(1, 15))
def test_deeper_is_later_and_warmer_is_sooner(depth, more, temperature, warmer):
    days = emergence.days_to_emergence(depth, temperature)
    assert emergence.days_to_emergence(depth + more, temperature) > days
    assert emergence.days_to_emergence(depth, temperature + warmer) < days
    delay = emergence.emergence_delay(depth, depth + more, temperature)
    assert emergence.emergence_delay(depth + more, depth, temperature) == pytest.approx(-delay)


@pytest.mark.parametrize(("spread", "percent"), [(0.008, 79), (0.012, 60)])
def test_share_in_the_window(spread, percent):
    # own trade figures: 35 mm, window 25 to 45 mm
    shares = emergence.depth_shares(0.035, spread, 0.025, 0.045)
    assert 100 * shares.in_window == pytest.approx(percent, abs=0.5)
    assert shares.shallow == pytest.approx(shares.deep)


@settings(deadline=None, max_examples=80)
@given(st.floats(0.01, 0.1), st.floats(0, 0.03), st.floats(0.005, 0.06), st.floats(0, 0.05))
def test_shares_sum_to_one_and_agree_with_scipy(mean, spread, top, window):
    shares = emergence.depth_shares(mean, spread, top, top + window)
    assert shares.shallow + shares.in_window + shares.deep == pytest.approx(1.0, abs=1e-12)
    assert min(shares.shallow, shares.in_window, shares.deep) >= -1e-15
    if spread > 1e-9:
        assert shares.shallow == pytest.approx(norm.cdf(top, mean, spread), abs=1e-9)
        assert shares.deep == pytest.approx(norm.sf(top + window, mean, spread), abs=1e-9)


def test_no_spread_puts_every_seed_at_the_mean():
    shares = emergence.depth_shares([0.02, 0.025, 0.045, 0.05], 0.0, 0.025, 0.045)
    assert shares.shallow.tolist() == [1, 0, 0, 0]
    assert shares.in_window.tolist() == [0, 1, 1, 0]
    assert shares.deep.tolist() == [0, 0, 0, 1]


def test_found_depths_are_counted_with_the_edges_inside():
    shares = emergence.depth_shares_of([0.020, 0.025, 0.030, 0.045, 0.050], 0.025, 0.045)
    assert (shares.shallow, shares.in_window, shares.deep) == pytest.approx((0.2, 0.6, 0.2))


def test_counted_shares_of_many_normal_depths_meet_the_formula():
    depths = np.random.default_rng(4).normal(0.035, 0.008, 200_000)
    counted = emergence.depth_shares_of(depths, 0.025, 0.045)
    assert counted.in_window == pytest.approx(
        emergence.depth_shares(0.035, 0.008, 0.025, 0.045).in_window, abs=0.004
    )


def test_share_beyond_the_coleoptile_by_length():
    # Lengths: 662 wheat cultivars [MOH].
    short, long = emergence.share_beyond_coleoptile(0.05, 0.012, emergence.COLEOPTILE_LENGTHS)
    assert short == pytest.approx(norm.sf(0.034, 0.05, 0.012), abs=1e-9)
    assert long < 1e-6
    assert emergence.share_beyond_coleoptile(0.05, 0.0, [0.049, 0.05, 0.051]).tolist() == [1, 0, 0]


def test_constants_are_those_of_the_table():
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = {r["key"]: r for r in csv.DictReader(file)}
    assert all(r["source"] and r["how_sure"] for r in rows.values())
    assert all(float(r["low"]) <= float(r["high"]) for r in rows.values() if r["low"])
    lengths = rows["wheat_coleoptile"]
    assert (float(lengths["low"]), float(lengths["high"])) == emergence.COLEOPTILE_LENGTHS
    assert float(rows["wheat_thermal_time_start"]["low"]) == emergence.THERMAL_TIME_AT_SURFACE
    assert float(rows["wheat_thermal_time_depth"]["low"]) * 1000 == emergence.THERMAL_TIME_PER_DEPTH


def test_no_yield_is_promised():
    assert "not what is harvested" in emergence.NO_YIELD_PROMISE
    assert "yield" not in TABLE.read_text(encoding="utf-8").lower()


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: emergence.thermal_time_to_emergence(-0.01), "depth must not be negative"),
        (lambda: emergence.days_to_emergence(0.03, 12.0), "soil_temperature in kelvin must lie between"),
        (lambda: emergence.days_to_emergence(0.03, 273.15), "soil_temperature above freezing"),
        (lambda: emergence.depth_shares(0.03, -1, 0.02, 0.04), "standard_deviation must not be negative"),
        (lambda: emergence.depth_shares(0.03, 0.01, 0.04, 0.02), "deepest - shallowest must not be negative"),
        (lambda: emergence.depth_shares_of([], 0.02, 0.04), "at least one depth"),
        (lambda: emergence.share_beyond_coleoptile(0.03, 0.01, 0), "coleoptile_length must be greater"),
    ],
)
def test_refusals_name_the_value(call, words):
    with pytest.raises(ValueError, match=words):
        call()
