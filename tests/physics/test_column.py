"""Columns against [WEN], [BJM], [HIB] and [GERE]."""

from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from downforce.physics import cylinder, cylinder_strength
from ledger import agrees

INCH = 0.0254
LBF = 4.4482216152605
PSI = LBF / INCH**2


@pytest.mark.outside("WEN", "ex. 3.5", "retyped copy", "slenderness, where Euler ends, Euler's load")
def test_wentzell_example_3_5(printed):
    rod = 0.625 * INCH
    area, second_moment = cylinder.pressure_area(rod), cylinder_strength.second_moment_round(rod)
    young, strength = 30e6 * PSI, 42e3 * PSI
    printed(cylinder_strength.slenderness(area, second_moment, 30 * INCH, 1), "192.0")
    printed(cylinder_strength.transition_slenderness(young, strength), "118.7")
    printed(cylinder_strength.euler_load(second_moment, 30 * INCH, 1, young) / LBF, "2464")
    printed(cylinder_strength.column_limit(area, second_moment, 30 * INCH, 1, young, strength) / LBF, "2464")


@pytest.mark.outside("BJM", "sample problem 10.2", "retyped copy", "Euler's load, bend and stress off centre")
def test_beer_and_johnston_sample_problem_10_2(printed):
    young, second_moment, area = 29e6 * PSI, 8.00 * INCH**4, 3.54 * INCH**2
    limit = cylinder_strength.euler_load(second_moment, 96 * INCH, 2, young)
    printed(limit / LBF / 1e3, "62.1")
    allowed = limit / 2
    printed(allowed / LBF / 1e3, "31.1")
    printed(allowed / area / PSI / 1e3, "8.77", 0.011, "the book goes on from the rounded 31.1")
    printed(cylinder_strength.eccentric_deflection(allowed, limit, 0.75 * INCH) / INCH, "0.939")
    stress = cylinder_strength.eccentric_stress(allowed, limit, area, second_moment, 2 * INCH, 0.75 * INCH)
    printed(stress / PSI / 1e3, "21.95", 0.066, "the book goes on from r = 1.50 in")


@pytest.mark.outside("BJM", "ex. 10.01", "retyped copy", "side of the square that carries 100 kN, mm")
def test_beer_and_johnston_example_10_01_timber(printed):
    # Euler's load goes with the fourth power of the side: scale from a square of 0.1 m.
    tenth = cylinder_strength.euler_load(0.1**4 / 12, 2.0, 1, 13e9)
    printed(100 * (2.5 * 100e3 / tenth) ** 0.25, "98.3")


@pytest.mark.outside("HIB", "ex. 13.3", "retyped copy", "Euler's load about two axes")
def test_hibbeler_example_13_3(printed):
    strong = cylinder_strength.euler_load(61.3e-6, 5, 2, 70e9)
    weak = cylinder_strength.euler_load(23.2e-6, 5, 0.7, 70e9)
    printed(strong / 1e3, "423.5")
    printed(weak / 1e3, "1308")
    printed(min(strong, weak) / 3 / 1e3, "141")


@pytest.mark.outside("GERE", "ex. 11-2", "retyped copy", "wall of a pipe column, mm")
def test_gere_example_11_2(printed):
    def limit(wall):
        second_moment = cylinder_strength.second_moment_round(0.1) - cylinder_strength.second_moment_round(
            0.1 - 2 * wall
        )
        return cylinder_strength.euler_load(second_moment, 3.25, 1 / sqrt(2.046), 72e9)

    printed(1e3 * brentq(lambda wall: limit(wall) - 3 * 100e3, 1e-3, 0.02), "6.82")


@pytest.mark.parametrize(("length", "printed"), [(0.600, "104.2"), (0.300, "156.7")])
def test_short_rod_goes_by_johnson(length, printed):
    # 25 mm rod, E 206 GPa, Sy 355 MPa, by hand calculator. Euler would say 108.3 and 433 kN.
    area, second_moment = cylinder.pressure_area(0.025), cylinder_strength.second_moment_round(0.025)
    agrees(cylinder_strength.column_limit(area, second_moment, length, 1, 206e9, 355e6) / 1e3, printed)


def test_euler_of_the_same_rod():
    second_moment = cylinder_strength.second_moment_round(0.025)
    agrees(cylinder_strength.euler_load(second_moment, 0.600, 1, 206e9) / 1e3, "108.3")
    agrees(cylinder_strength.euler_load(second_moment, 0.300, 1, 206e9) / 1e3, "433")
    # A 20 mm rod of 0.35 m, pinned: 130 kN (by hand).
    agrees(
        cylinder_strength.euler_load(cylinder_strength.second_moment_round(0.020), 0.35, 1, 206e9) / 1e3,
        "130",
    )


materials = st.tuples(st.floats(5e10, 3e11), st.floats(1e8, 1e9))


@settings(deadline=None, max_examples=60)
@given(st.floats(0.01, 0.1), materials)
def test_euler_and_johnson_meet_with_one_value_and_one_tangent(rod, material):
    area, second_moment = cylinder.pressure_area(rod), cylinder_strength.second_moment_round(rod)
    meeting = cylinder_strength.transition_slenderness(*material) * rod / 4

    def limit(length):
        return cylinder_strength.column_limit(area, second_moment, length, 1, *material)

    step = 1e-5 * meeting
    below, at, above = limit(meeting - step), limit(meeting), limit(meeting + step)
    assert at == pytest.approx(area * material[1] / 2, rel=1e-9)
    slopes = (at - below) / step, (above - at) / step
    assert slopes[0] == pytest.approx(slopes[1], rel=1e-3)


@settings(deadline=None, max_examples=60)
@given(st.floats(0.01, 0.1), materials, st.floats(0, 5), st.floats(0, 5))
def test_limit_falls_with_length_and_never_passes_yield(rod, material, first, second):
    area, second_moment = cylinder.pressure_area(rod), cylinder_strength.second_moment_round(rod)
    short, long = sorted((first, second))
    at_short, at_long = cylinder_strength.column_limit(area, second_moment, [short, long], 1, *material)
    assert 0 < at_long <= at_short <= area * material[1] * (1 + 1e-12)


def test_a_column_without_length_yields():
    assert cylinder_strength.column_limit(1e-3, 1e-7, 0, 1, 206e9, 355e6) == pytest.approx(355e3)


def test_end_factor_acts_as_a_longer_rod():
    args = 1e-3, 1e-7
    assert cylinder_strength.column_limit(*args, 0.5, 2, 206e9, 355e6) == cylinder_strength.column_limit(
        *args, 1.0, 1, 206e9, 355e6
    )


def test_long_columns_equal_euler_and_arrays_broadcast():
    limit = cylinder_strength.column_limit(1e-3, 1e-7, [[2.0], [4.0]], [1.0, 0.7], 206e9, 355e6)
    assert limit.shape == (2, 2)
    assert limit == pytest.approx(
        cylinder_strength.euler_load(1e-7, np.array([[2.0], [4.0]]), [1.0, 0.7], 206e9)
    )


def test_second_moment_of_a_round_rod():
    assert cylinder_strength.second_moment_round(2.0) == pytest.approx(pi / 4)


def test_eccentric_load_without_eccentricity_is_plain():
    assert cylinder_strength.eccentric_deflection(50.0, 100.0, 0) == 0
    assert cylinder_strength.eccentric_stress(50.0, 100.0, 2.0, 1.0, 1.0, 0) == pytest.approx(25.0)
    # Small loads bend only by load x eccentricity.
    assert cylinder_strength.eccentric_stress(1e-6, 1.0, 2.0, 1.5, 1.0, 0.5) == pytest.approx(
        1e-6 / 2 + 0.5e-6 / 1.5, rel=1e-5
    )
    assert cylinder_strength.eccentric_deflection(99.999, 100.0, 0.001) > 0.1


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: cylinder_strength.second_moment_round(-1), "diameter must be greater"),
        (lambda: cylinder_strength.column_limit(0, 1, 1, 1, 1, 1), "area must be greater"),
        (lambda: cylinder_strength.column_limit(1, 0, 1, 1, 1, 1), "second_moment must be greater"),
        (lambda: cylinder_strength.column_limit(1, 1, -1, 1, 1, 1), "length must not be negative; got -1"),
        (lambda: cylinder_strength.column_limit(1, 1, 1, 0, 1, 1), "end_factor must be greater"),
        (lambda: cylinder_strength.column_limit(1, 1, 1, 1, 0, 1), "elastic_modulus must be greater"),
        (lambda: cylinder_strength.column_limit(1, 1, 1, 1, 1, [1, 0]), r"yield_strength .* at index \(1,\)"),
        (lambda: cylinder_strength.euler_load(1, 0, 1, 1), "length must be greater"),
        (
            lambda: cylinder_strength.eccentric_deflection(2, 1, 0.1),
            "buckling_load minus load must be greater",
        ),
        (lambda: cylinder_strength.eccentric_stress(1, 2, 1, 1, 1, -1), "eccentricity must not be negative"),
    ],
)
def test_impossible_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
