"""Torsion and extension springs against worked examples of [JIN] and [SHI]."""

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import spring, spring_kinds

INCH = 0.0254
LBF = 4.4482216152605
PSI = LBF / INCH**2


@pytest.mark.outside("JIN", "ex. 8-9", "retyped copy", "torsion spring: moment, turns, coils, clearance")
def test_torsion_spring_of_jindal_example_8_9(printed):
    wire, mean, body = 1.5e-3, 14.5e-3, 4.25
    strength = 0.78 * spring_kinds.wire_strength(wire, spring_kinds.WIRES["music"])
    factor = spring_kinds.torsion_bending_factor(spring.spring_index(wire, mean))
    moment = strength / spring_kinds.torsion_bending_stress(1.0, wire, factor)
    printed(moment * 1e3, "497.25")
    turns = moment / spring_kinds.torsion_rate(wire, mean, body, 200e9)
    printed(turns, "0.3269")
    printed(spring_kinds.torsion_active_coils(body, mean, 0.020, 0.020) - body, "0.2927")
    loaded = spring_kinds.torsion_loaded_diameter(mean, body, turns)
    printed(loaded * 1e3, "13.46")
    printed((mean - wire - 11.5e-3) / 2 * 1e3, "0.75")
    printed((loaded - wire - 11.5e-3) / 2 * 1e3, "0.23")


@pytest.mark.outside("SHI", "ex. 10-6", "from memory", "extension spring: coils, rate, length")
def test_extension_spring_of_shigley_example_10_6(printed):
    wire, mean = 0.035 * INCH, (0.248 - 0.035) * INCH
    coils = spring_kinds.extension_active_coils(12.17, 28.7e6 * PSI, 11.6e6 * PSI)
    printed(coils, "12.57")
    rate = spring.coil_rate(wire, mean, coils, 11.6e6 * PSI)
    printed(rate / (LBF / INCH), "17.91")
    free = spring_kinds.extension_free_length(wire, spring.spring_index(wire, mean), 12.17)
    printed(free / INCH, "0.817")
    # 5.25 lbf stretches it by 0.227 in (from memory).
    stretched = spring_kinds.extension_force(free + 0.227 * INCH, rate, free, 1.19 * LBF) / LBF
    printed(stretched, "5.25", 0.01, "the book rounds in between")


@pytest.mark.outside("SHI", "ex. 10-6, metric", "library's documents", "extension spring: rate")
def test_metric_figures_of_shigley_example_10_6(printed):
    # As an example notebook of [MET] prints them, from rounded metric inputs.
    wire, mean = 0.035 * INCH, (0.248 - 0.035) * INCH
    coils = spring_kinds.extension_active_coils(12.17, 28.7e6 * PSI, 11.6e6 * PSI)
    printed(spring.coil_rate(wire, mean, coils, 11.6e6 * PSI) / 1e3, "3.13", 0.016, "rounded metric inputs")


@pytest.mark.outside("SHI", "ex. 10-6, initial stress", "from memory", "stress wound in")
def test_initial_stress_band_of_shigley_example_10_6(printed):
    # Preferred 14.2 to 21.2 kpsi, and 15.1 kpsi at 1.19 lbf.
    low, high = spring_kinds.initial_stress_band(0.213 / 0.035)
    printed(low / PSI / 1e3, "14.2")
    printed(high / PSI / 1e3, "21.2")
    wound_in = spring_kinds.coil_shear_stress(1.19 * LBF, 0.035 * INCH, 0.213 * INCH, 1.0)
    printed(wound_in / PSI / 1e3, "15.1")
    assert low < wound_in < high


def test_torsion_rate_is_the_exact_rate_less_coil_friction():
    # Bent wire: turns = 64 M D N / (2 pi d^4 E); [SHI] replaces 10.19 by 10.8.
    wire, mean, coils, young = 0.003, 0.025, 6, 200e9
    exact = 2 * pi * wire**4 * young / (64 * mean * coils)
    assert spring_kinds.torsion_rate(wire, mean, coils, young) / exact == pytest.approx(
        (64 / (2 * pi)) / 10.8, rel=1e-12
    )


@settings(deadline=None, max_examples=40)
@given(st.floats(0.005, 0.1), st.floats(1, 20), st.floats(0, 3))
def test_winding_up_keeps_the_length_of_wire(mean, body, turns):
    loaded = spring_kinds.torsion_loaded_diameter(mean, body, turns)
    assert loaded * (body + turns) == pytest.approx(mean * body)
    assert spring_kinds.torsion_loaded_diameter(mean, body, 0) == pytest.approx(mean)


@settings(deadline=None, max_examples=40)
@given(st.floats(1.5, 50))
def test_bending_factor_falls_to_one(index):
    assert 1 < spring_kinds.torsion_bending_factor(index * 1.1) < spring_kinds.torsion_bending_factor(index)
    assert spring_kinds.torsion_bending_factor(1e9) == pytest.approx(1)


def test_plain_bar_stress_where_the_factor_is_one():
    assert spring_kinds.torsion_bending_stress(2.0, 0.01, 1.0) == pytest.approx(
        2.0 * 0.005 / (pi * 0.01**4 / 64)
    )


def test_extension_spring_hangs_loose_until_the_coils_open():
    pull = spring_kinds.extension_force([0.1, 0.2, 0.2 + 1e-12, 0.3], 1000.0, 0.2, 50.0)
    assert pull == pytest.approx([0.0, 0.0, 50.0, 150.0])
    assert spring_kinds.extension_force(0.3, 1000.0, 0.2, 0.0) == pytest.approx(100.0)


@pytest.mark.parametrize(("index", "half_width"), [(3.0, 4000), (9.5, 3000)])
def test_initial_stress_band_narrows_with_the_index(index, half_width):
    # Shigley eq. 10-41 (from memory): 4000 psi either side at C = 3, less 1000 psi for every 6.5 of C.
    low, high = spring_kinds.initial_stress_band(index)
    assert (high - low) / 2 / PSI == pytest.approx(half_width, rel=1e-9)


def test_free_length_of_an_extension_spring_counts_hooks_and_coils():
    # Two hooks of 2 C - 1 = 11 wires in all, and ten coils.
    assert spring_kinds.extension_free_length(1.0, 6.0, 10.0) == pytest.approx(21.0)


def test_bending_factor_computes_down_to_its_pole():
    assert spring_kinds.torsion_bending_factor(1.005) > 50


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: spring_kinds.torsion_active_coils(0, 0.02, 0, 0), "body_coils must be greater"),
        (lambda: spring_kinds.torsion_active_coils(4, 0.02, -1, 0), "first_leg must not be negative"),
        (lambda: spring_kinds.torsion_active_coils(4, 0.02, 0, -1), "second_leg must not be negative"),
        (lambda: spring_kinds.torsion_rate(0.002, 0.02, 4, 0), "elastic_modulus must be greater"),
        (lambda: spring_kinds.torsion_bending_factor(1), "spring_index minus 1"),
        (lambda: spring_kinds.torsion_bending_stress(-1, 0.002, 1), "moment must not be negative"),
        (lambda: spring_kinds.torsion_loaded_diameter(0.02, 4, -0.1), "turns must not be negative"),
        (lambda: spring_kinds.extension_active_coils(4, 0, 1), "elastic_modulus must be greater"),
        (lambda: spring_kinds.extension_free_length(0.002, -6, 4), "spring_index must be greater"),
        (lambda: spring_kinds.extension_force(-1, 1e3, 0.2, 0), "length must not be negative"),
        (lambda: spring_kinds.extension_force(0.3, 1e3, 0.2, -1), "initial_force must not be negative"),
        (lambda: spring_kinds.initial_stress_band(0), "spring_index must be greater"),
    ],
)
def test_impossible_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
