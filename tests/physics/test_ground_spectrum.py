"""Roughness densities: closed forms, the inversion to a surface, and the estimate from a profile."""

import csv
import itertools
import math
from pathlib import Path

import numpy as np
import pytest
import spectra as sp
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from downforce.physics.ground_relief import surface_variance_beyond

TABLE = Path(__file__).parents[2] / "data" / "tables" / "roughness_classes.csv"
# A guard: RMS over 0.011 to 2.83 cycle/m, millimetres, recomputed from the class means of [ISO8608].
CLASS_RMS = {"A": 3.81, "B": 7.61, "C": 15.23, "D": 30.45, "E": 60.90, "F": 121.81, "G": 243.6, "H": 487.2}


def classes():
    with TABLE.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", classes(), ids=lambda row: row["class"])
def test_each_class_of_the_table_has_the_rms_of_the_band(row):
    rms = 1000 * float(sp.power_law_rms(float(row["density_at_0.1_cycle_per_m_m3"])))
    printed = CLASS_RMS[row["class"]]
    assert rms == pytest.approx(printed, abs=0.05 if printed > 200 else 0.005)


def test_class_limits_are_twice_and_half_the_mean_and_meet():
    rows = classes()
    assert [row["class"] for row in rows] == list("ABCDEFGH")
    for lower, upper in itertools.pairwise(rows):
        assert float(lower["upper_m3"]) == float(upper["lower_m3"])
        assert float(lower["upper_m3"]) == pytest.approx(2 * float(lower["density_at_0.1_cycle_per_m_m3"]))
    assert all(row["source"] and row["how_sure"] for row in rows)


def test_off_road_band_of_class_d():
    # A guard: 14.3 mm over 0.05 to 10 cycle/m, recomputed.
    assert 1000 * float(sp.power_law_rms(1024e-6, 2.0, 0.05, 10.0)) == pytest.approx(14.3, abs=0.05)


def test_paddy_field_rms_of_a_published_slope():
    # A guard: [PAD] has 645.06e-6 m3, slope 1.2399, 0.05 to 3.5 cycle/m; RMS 14.2 mm is its own integral.
    assert 1000 * float(sp.power_law_rms(645.06e-6, 1.2399, 0.05, 3.5)) == pytest.approx(14.2, abs=0.05)


@pytest.mark.parametrize("exponent", [1.0, 1.24, 2.0, 3.0])
def test_rms_squared_is_the_integral_of_the_density(exponent):
    integral = quad(
        lambda n: float(sp.power_law_density(n, 1e-3, exponent)), 0.05, 3.0, epsabs=0, epsrel=1e-10
    )[0]
    assert float(sp.power_law_rms(1e-3, exponent, 0.05, 3.0)) ** 2 == pytest.approx(integral, rel=1e-8)


@settings(deadline=None, max_examples=30)
@given(st.floats(0.6, 3.5), st.floats(0.05, 2.0))
def test_surface_density_integrated_across_gives_the_profile_density(exponent, wavenumber):
    def across(k):
        return float(sp.surface_density(math.hypot(wavenumber, k), 1e-3, exponent))

    two_sided = 2 * quad(across, 0, np.inf, epsabs=0, epsrel=1e-9, limit=200)[0]
    assert 2 * two_sided == pytest.approx(float(sp.power_law_density(wavenumber, 1e-3, exponent)), rel=1e-5)


@pytest.mark.parametrize("exponent", [1.24, 2.0, 2.7])
@pytest.mark.parametrize("wavenumber", [0.05, 0.4, 0.95])
def test_surface_with_an_upper_edge_still_gives_the_power_law_up_to_the_edge(exponent, wavenumber):
    # k^2 = n^2 + S^2 sin^2(a) takes the edge's square-root peak away.
    reach = math.sqrt(1.0 - wavenumber**2)

    def across(angle):
        radial = math.sqrt(wavenumber**2 + (reach * math.sin(angle)) ** 2)
        return (
            float(sp.surface_density(min(radial, 1 - 1e-15), 1e-3, exponent, 1.0)) * reach * math.cos(angle)
        )

    one_sided = 4 * quad(across, 0, math.pi / 2 - 1e-6, epsabs=0, epsrel=1e-8, limit=200)[0]
    assert one_sided == pytest.approx(float(sp.power_law_density(wavenumber, 1e-3, exponent)), rel=1e-4)


def test_upper_edge_far_away_leaves_the_endless_surface():
    near = sp.surface_density(0.1, 1e-3, 2.0, highest=1e4)
    assert float(near) == pytest.approx(float(sp.surface_density(0.1, 1e-3, 2.0)), rel=1e-6)


@pytest.mark.parametrize("wavenumber", [0.011, 0.2, 1.0, 2.82, 2.83])
def test_variance_beyond_has_the_closed_form_of_exponent_two(wavenumber):
    expected = 1e-3 * 0.01 * math.acos(wavenumber / 2.83) / wavenumber
    assert float(surface_variance_beyond(wavenumber, 1e-3)) == pytest.approx(expected, rel=1e-9, abs=1e-15)


@pytest.mark.parametrize("exponent", [0.8, 1.24, 2.0, 2.7])
def test_variance_beyond_is_the_surface_density_integrated_over_the_ring(exponent):
    def ring(k):
        return 2 * math.pi * k * float(sp.surface_density(k, 1e-3, exponent, 1.0))

    difference = surface_variance_beyond(np.array([0.1, 0.6]), 1e-3, exponent, 1.0)
    expected = quad(ring, 0.1, 0.6, epsabs=0, epsrel=1e-9)[0]
    assert float(difference[0] - difference[1]) == pytest.approx(expected, rel=1e-6)


def test_density_of_white_noise_is_level_and_holds_its_variance():
    noise = np.random.default_rng(1).normal(size=(40, 4096))
    n, g = sp.profile_density(noise, 0.5, 512)
    # 40 rows of 15 half-overlapping segments: about 40 * 8 * 256 free values, 1.0 / sqrt(that) = 0.35 %.
    assert np.mean(g[2:]) == pytest.approx(2 * 0.5, rel=0.015)
    assert n[0] == pytest.approx(1 / 256) and n[-1] == pytest.approx(1.0)


def test_density_of_a_sine_holds_half_its_square_in_its_own_place():
    x = np.arange(8000) * 0.1
    n, g = sp.profile_density(0.02 * np.sin(2 * np.pi * 0.5 * x), 0.1, 800)
    assert n[np.argmax(g)] == pytest.approx(0.5)
    assert sp.band_rms(n, g, 0.4, 0.6) == pytest.approx(0.02 / math.sqrt(2), rel=1e-6)


def test_density_of_the_shortest_wave_there_is_holds_its_variance():
    n, g = sp.profile_density((-1.0) ** np.arange(4000), 0.1, 400)
    assert np.sum(g) * (n[1] - n[0]) == pytest.approx(1.0, rel=1e-9)


def test_density_does_not_see_the_level_of_a_profile():
    profile = np.random.default_rng(2).normal(size=1024)
    assert np.allclose(
        sp.profile_density(profile, 1.0, 128)[1], sp.profile_density(profile + 300, 1.0, 128)[1]
    )


def test_band_rms_of_the_power_law_agrees_with_its_closed_form():
    n = np.geomspace(0.01, 3, 5000)
    estimate = sp.band_rms(n, sp.power_law_density(n, 1e-3), 0.011, 2.83)
    assert estimate == pytest.approx(float(sp.power_law_rms(1e-3)), rel=1e-5)


def test_a_wave_above_the_highest_is_refused():
    with pytest.raises(ValueError, match="wavenumber must not be above highest"):
        surface_variance_beyond(1.1, 1e-3, 2.0, 1.0)
