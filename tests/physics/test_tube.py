"""Tube walls against [BOR] (thick) and [ESP] (thin)."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import cylinder_strength
from ledger import agrees


@pytest.mark.parametrize(
    ("radius", "radial", "hoop"), [(10, "-300", "325"), (25, "-37.5", "62.5"), (50, "0", "25")]
)
@pytest.mark.outside("BOR", "ex. 11.1", "retyped copy", "stresses in a thick wall")
def test_boresi_example_11_1(printed, radius, radial, hoop):
    stresses = cylinder_strength.lame_stresses(radius * 1e-3, 0.010, 0.050, 300e6)
    printed(stresses[0] / 1e6, radial)
    printed(stresses[1] / 1e6, hoop)


@pytest.mark.outside("BOR", "ex. 11.2", "retyped copy", "stresses and growth of a closed thick tube")
def test_boresi_example_11_2(printed):
    radial, hoop = cylinder_strength.lame_stresses(0.1, 0.1, 0.4, 150e6)
    printed(hoop / 1e6, "170")
    printed((hoop - radial) / 2 / 1e6, "160")
    printed(cylinder_strength.closed_end_stress(0.1, 0.4, 150e6) / 1e6, "10")
    printed(cylinder_strength.bore_growth(0.1, 0.4, 150e6, 72e9, 0.33) * 1e3, "0.3003")


@pytest.mark.outside("ESP", "ex. 10-3", "retyped copy", "burst and working pressure of a tube")
def test_esposito_example_10_3(printed):
    printed(cylinder_strength.thin_wall_burst_pressure((1.250 - 1.060) / 2, 1.060, 55000), "9858")
    printed(cylinder_strength.thin_wall_working_pressure((1.250 - 1.060) / 2, 1.060, 55000, 8), "1232")


@pytest.mark.outside("ESP", "ex. 10-4", "retyped copy", "working pressure of tubes, psi")
def test_esposito_examples_10_4(printed):
    printed(cylinder_strength.thin_wall_working_pressure(0.049, 0.902, 55000, 8), "747")
    printed(cylinder_strength.thin_wall_working_pressure(0.065, 0.870, 55000, 8), "1027")


@pytest.mark.outside("ESP", "ex. 10-5", "retyped copy", "working pressure of tubes, bar")
def test_esposito_examples_10_5(printed):
    printed(cylinder_strength.thin_wall_working_pressure(1, 20, 3790, 8), "47.4")
    printed(cylinder_strength.thin_wall_working_pressure(2, 24, 3790, 8), "79.0")


@settings(deadline=None, max_examples=60)
@given(st.floats(0.005, 0.2), st.floats(1.05, 5), st.floats(0, 1e9), st.floats(0, 1))
def test_lame_meets_its_boundaries_and_balances(inner, ratio, pressure, share):
    outer = inner * ratio
    radial, hoop = cylinder_strength.lame_stresses(np.array([inner, outer]), inner, outer, pressure)
    scale = pressure + 1
    assert radial[0] == pytest.approx(-pressure, abs=1e-9 * scale * 100)
    assert radial[1] == pytest.approx(0, abs=1e-9 * scale * 100)
    # Equilibrium of half the tube: the hoop stress over both walls carries p x bore (midpoint rule).
    steps = 2000
    edges = np.linspace(inner, outer, steps + 1)
    middle = (edges[1:] + edges[:-1]) / 2
    carried = 2 * np.sum(cylinder_strength.lame_stresses(middle, inner, outer, pressure)[1] * np.diff(edges))
    assert carried == pytest.approx(2 * pressure * inner, rel=1e-5, abs=1e-6)
    # Radial plus hoop is the same everywhere.
    place = inner + share * (outer - inner)
    assert sum(cylinder_strength.lame_stresses(place, inner, outer, pressure)) == pytest.approx(
        2 * cylinder_strength.closed_end_stress(inner, outer, pressure), rel=1e-9, abs=1e-3
    )
    assert hoop[0] >= hoop[1] >= 0


@settings(deadline=None, max_examples=60)
@given(st.floats(0.01, 0.2), st.floats(1e5, 1e8), st.floats(1.01, 20))
def test_wall_brings_lame_hoop_stress_to_the_allowed_one(bore, pressure, ratio):
    wall = cylinder_strength.wall_thickness(bore, pressure, pressure * ratio)
    hoop = cylinder_strength.lame_stresses(bore / 2, bore / 2, bore / 2 + wall, pressure)[1]
    assert hoop == pytest.approx(pressure * ratio, rel=1e-6)


def test_wall_from_boresi_example_11_1_turned_round():
    # A guard: in [BOR] ex. 11.1 300 MPa and a hoop stress of 325 MPa at a 20 mm bore belong to a 40 mm wall.
    agrees(cylinder_strength.wall_thickness(0.020, 300e6, 325e6) * 1e3, "40.00")


def test_wall_goes_to_the_thin_formula_and_to_nothing():
    assert cylinder_strength.wall_thickness(0.04, 1e5, 2e8) == pytest.approx(1e5 * 0.04 / (2 * 2e8), rel=1e-3)
    assert cylinder_strength.wall_thickness(0.04, 0, 2e8) == 0


def test_thin_wall_stress_is_a_tenth_below_lame_at_the_end_of_its_range():
    lame = cylinder_strength.lame_stresses(1.0, 1.0, 1.2, 1.0)[1]
    agrees(100 * (1 - 2 * 1.0 / (2 * 0.2) / lame), "10")


def test_pressure_at_or_above_the_allowed_stress_is_refused_in_a_sentence():
    words = "gauge_pressure must be below allowed_stress, or no wall is thick enough; got 2e"
    with pytest.raises(ValueError, match=rf"{words}\+08 Pa against 2e\+08 Pa\.$"):
        cylinder_strength.wall_thickness(0.04, 2e8, 2e8)
    with pytest.raises(ValueError, match=rf"{words}\+08 Pa against 1e\+08 Pa at index \(1,\)\.$"):
        cylinder_strength.wall_thickness(0.04, [1e7, 2e8], 1e8)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: cylinder_strength.wall_thickness(0, 1, 2), "bore must be greater"),
        (lambda: cylinder_strength.wall_thickness(1, -1, 2), "gauge_pressure must not"),
        (lambda: cylinder_strength.wall_thickness(1, 1, 0), "allowed_stress must be greater"),
        (lambda: cylinder_strength.lame_stresses(0.5, 1, 2, 1), "radius minus inner_radius must not"),
        (lambda: cylinder_strength.lame_stresses(2.5, 1, 2, 1), "outer_radius minus radius must not"),
        (
            lambda: cylinder_strength.lame_stresses(1, 2, 1, 1),
            "outer_radius minus inner_radius must be greater",
        ),
        (lambda: cylinder_strength.closed_end_stress(1, 2, -1), "gauge_pressure must not"),
        (lambda: cylinder_strength.bore_growth(1, 2, 1, 0, 0.3), "elastic_modulus must be greater"),
        (lambda: cylinder_strength.bore_growth(1, 2, 1, 1, -0.3), "poisson_ratio must not"),
        (lambda: cylinder_strength.thin_wall_burst_pressure(0, 1, 1), "wall must be greater"),
        (lambda: cylinder_strength.thin_wall_working_pressure(1, 1, 1, 0), "safety_factor must be greater"),
    ],
)
def test_impossible_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
