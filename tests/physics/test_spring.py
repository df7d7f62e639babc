"""Coil springs against worked examples of [SHI], [JIN], [WEN] and [BHA]."""

import csv
from math import pi, sqrt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import spring, spring_kinds
from ledger import agrees

INCH = 0.0254
LBF = 4.4482216152605
PSI = LBF / INCH**2
TABLES = Path(__file__).parents[2] / "data" / "tables"


@pytest.mark.outside("SHI", "ex. 10-1", "from memory", "strength, factor, force, rate, lengths")
def test_music_wire_example_of_shigley_10_1(printed):
    rounded = "the book rounds in between"
    wire = 0.037 * INCH
    mean = 0.4375 * INCH - wire
    index = spring.spring_index(wire, mean)
    strength = spring_kinds.wire_strength(wire, spring_kinds.WIRES["music"])
    allowed = spring_kinds.ALLOWED_TORSION_SHARE["music"] * strength
    factor = spring_kinds.bergstraesser_factor(index)
    force = allowed / spring_kinds.coil_shear_stress(1.0, wire, mean, factor)
    rate = spring.coil_rate(wire, mean, 10.5, 11.85e6 * PSI)
    solid = spring.solid_length(wire, 10.5, "squared")
    free = solid + force / rate
    printed(strength / PSI / 1e3, "324")
    printed(allowed / PSI / 1e3, "146")
    printed(index, "10.8")
    printed(factor, "1.124")
    printed(spring.total_coils(10.5, "squared"), "12.5")
    printed(solid / INCH, "0.500")
    printed(force / LBF, "6.46", 0.03, rounded)
    printed(rate / (LBF / INCH), "4.13", 0.02, rounded)
    printed(force / rate / INCH, "1.56", 0.008, rounded)
    printed(free / INCH, "2.06", 0.01, rounded)
    printed(spring.coil_pitch(free, wire, 10.5, "squared") / INCH, "0.186", 0.001, rounded)
    # 2.63 D / alpha with squared ends between flat plates, alpha 0.5.
    limit = spring.stable_free_length(mean, 0.5, 207e9, 79.3e9)
    printed(limit / INCH, "2.10", 0.01, rounded)


def test_jindal_example_8_1():
    # A guard: the data of [JIN] ex. 8-1 worked in real numbers, for the retyped copy divides integers.
    index = spring.spring_index(0.005, 0.030)
    assert index == pytest.approx(6.0, abs=1e-12)
    agrees(spring_kinds.direct_shear_factor(index), "1.0833")
    agrees(spring_kinds.wahl_factor(index), "1.2525")
    agrees(spring_kinds.bergstraesser_factor(index), "1.2381")
    rate = spring.coil_rate(0.005, 0.030, 15, 84e9)
    agrees(rate / 1e3, "16.204")
    agrees(300 / rate * 1e3, "18.51")
    agrees(spring_kinds.coil_shear_stress(300, 0.005, 0.030, spring_kinds.wahl_factor(index)) / 1e6, "229.64")


@pytest.mark.outside("JIN", "ex. 8-6", "retyped copy", "strength, force, deflection, lengths")
def test_jindal_example_8_6(printed):
    wire, mean = 1.219e-3, (12.5 - 1.219) * 1e-3
    strength = spring_kinds.wire_strength(wire, spring_kinds.WIRES["hard-drawn"])
    printed(strength / 1e6, "1717.2")
    printed(0.4 * strength / 1e6, "686.9")
    factor = spring_kinds.direct_shear_factor(spring.spring_index(wire, mean))
    force = 0.4 * strength / spring_kinds.coil_shear_stress(1.0, wire, mean, factor)
    printed(force, "41.1")
    deflection = force / spring.coil_rate(wire, mean, 11.5, 80.7e9)
    printed(deflection * 1e3, "30.46")
    # This book counts the solid length as one wire less than squared and ground ends do.
    solid = spring.solid_length(wire, 11.5, "squared ground") - wire
    printed(solid * 1e3, "15.24")
    # Its free length keeps 15 % of the deflection in hand before the coil goes solid.
    printed((solid + 1.15 * deflection) * 1e3, "50.26")


@pytest.mark.outside("JIN", "ex. 8-7", "retyped copy", "stress, force, rate, lengths")
def test_jindal_example_8_7_buckles(printed):
    wire, mean = 1.016e-3, (12.6 - 1.016) * 1e-3
    allowed = 0.45 * spring_kinds.wire_strength(wire, spring_kinds.WIRES["music"])
    printed(allowed / 1e6, "992.7")
    factor = spring_kinds.direct_shear_factor(spring.spring_index(wire, mean))
    force = allowed / spring_kinds.coil_shear_stress(1.0, wire, mean, factor)
    printed(force, "33.8")
    rate = spring.coil_rate(wire, mean, 14, 81e9)
    printed(rate / 1e3, "0.496")
    printed(force / rate * 1e3, "68.2")
    free = spring.solid_length(wire, 14, "squared ground") - wire + 1.15 * force / rate
    printed(free * 1e3, "93.67", 0.03, "the book goes on from the rounded 68.2")
    printed(free / mean, "8.09")
    assert free > spring.stable_free_length(mean, 0.5, 207e9, 79.3e9)


@pytest.mark.outside("JIN", "ex. 8-8", "retyped copy", "force at the allowed stress")
def test_jindal_example_8_8(printed):
    wire, mean = 0.002, 0.018
    allowed = 0.45 * spring_kinds.wire_strength(wire, spring_kinds.WIRES["hard-drawn"]) / 1.5
    factor = spring_kinds.direct_shear_factor(spring.spring_index(wire, mean))
    printed(allowed / spring_kinds.coil_shear_stress(1.0, wire, mean, factor), "77.53")


def test_rate_of_jindal_example_8_8_in_real_numbers():
    # A guard: the retyped copy prints 3.000, for it divides integers.
    agrees(spring.coil_rate(0.002, 0.018, 9, 81e9) / 1e3, "3.086")


@pytest.mark.outside("WEN", "ex. 8.2", "retyped copy", "rate, coils")
def test_wentzell_example_8_2(printed):
    rate = spring.coil_rate(0.105 * INCH, 0.620 * INCH, 10.79, 11.85e6 * PSI)
    printed(rate / (LBF / INCH), "70.0")
    printed(35 / (rate / (LBF / INCH)), "0.5")
    printed(spring.total_coils(10.79, "squared ground"), "12.79")
    # A free length of 2.00 in gives the pitch by active coils, 0.166; the book divides by total coils.
    assert float(spring.coil_pitch(2.0, 0.105, 10.79, "squared ground")) == pytest.approx(0.166, abs=5e-4)


@pytest.mark.outside("BHA", "ex. 10.1", "retyped copy", "Wahl factor, wire, coils, free length")
def test_bhandari_example_10_1(printed):
    factor = spring_kinds.wahl_factor(6)
    printed(factor, "1.2525")
    # With C held, stress falls with d^2: scale from the stress of a 1 mm wire.
    wire = 1e-3 * sqrt(spring_kinds.coil_shear_stress(1250, 1e-3, 6e-3, factor) / (0.5 * 1090e6))
    printed(wire * 1e3, "6.625")
    printed(spring.coil_rate(0.007, 0.042, 1, 81370e6) * 0.030 / 1250, "7.91")
    printed(spring.total_coils(8, "squared ground"), "10")
    deflection = 1250 / spring.coil_rate(0.007, 0.042, 8, 81370e6)
    solid = spring.solid_length(0.007, 8, "squared ground")
    printed((solid + deflection + 9 * 0.001) * 1e3, "109.34")


@pytest.mark.outside(
    "BHA", "ex. 10.19", "retyped copy", "springs that engage in turn: forces, travel, stress"
)
def test_two_springs_with_an_engagement_gap(printed):
    rates = [spring.coil_rate(0.006, 0.036, 10, 81370e6), spring.coil_rate(0.005, 0.030, 8, 81370e6)]
    free = [0.215, 0.200]
    solid = [0.072, 0.050]
    low, high = 0.1, 0.215
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (
            (middle, high) if spring.nested_force(middle, rates, free, solid) > 1000 else (low, middle)
        )
    each = spring.nested_coil_forces(low, rates, free, solid)
    printed(each[0], "706.02")
    printed(each[1], "293.98")
    printed((0.215 - low) * 1e3, "24.99")
    printed((0.200 - low) * 1e3, "9.99")
    for force, wire, mean, known in ((each[0], 0.006, 0.036, "375.3"), (each[1], 0.005, 0.030, "225.0")):
        printed(spring_kinds.coil_shear_stress(force, wire, mean, spring_kinds.wahl_factor(6)) / 1e6, known)


@pytest.mark.parametrize(("index", "percent"), [(4, "1.36"), (12, "0.743")])
@pytest.mark.outside("SHI", "problem 10-1", "text", "difference of the two stress factors, per cent")
def test_wahl_and_bergstraesser_differ_as_shigley_says(printed, index, percent):
    wahl = spring_kinds.wahl_factor(index)
    printed(100 * (wahl - spring_kinds.bergstraesser_factor(index)) / wahl, percent)


@pytest.mark.parametrize(
    ("ends", "total", "solid_wires"),
    [("plain", 8, 9), ("plain ground", 9, 9), ("squared", 10, 11), ("squared ground", 10, 10)],
)
def test_end_conditions_follow_shigley_table_10_1(ends, total, solid_wires):
    # [SHI] table 10-1, from memory; [MET] has the same numbers.
    assert spring.total_coils(8, ends) == total
    assert spring.solid_length(0.004, 8, ends) == pytest.approx(solid_wires * 0.004, rel=1e-12)


@pytest.mark.parametrize(
    ("ends", "wires"), [("squared ground", 2), ("squared", 3), ("plain", 1), ("plain ground", 1)]
)
def test_pitch_is_what_the_active_coils_share(ends, wires):
    # [SHI] table 10-1, from memory: free length is p N + 2 d, p N + 3 d, p N + d and p (N + 1).
    pitch = spring.coil_pitch(0.1, 0.004, 8, ends)
    if ends == "plain ground":
        # The table spreads the pitch over the ground coil too; here that coil counts as dead.
        assert pitch * 8 + 0.004 == pytest.approx(0.1)
    else:
        assert pitch * 8 + wires * 0.004 == pytest.approx(0.1)


@pytest.mark.outside("SHI", "eq. 10-13", "text", "stable length of steel over its diameter")
def test_stable_length_of_steel_is_2_63_diameters_on_pivots(printed):
    # With the moduli of carbon steel from the same book, from memory.
    printed(spring.stable_free_length(1.0, 1.0, 207e9, 79.3e9), "2.63")


@pytest.mark.parametrize("end", [0.5, 0.707, 1.0, 2.0])
def test_stable_length_goes_with_one_over_the_end_factor(end):
    alone = spring.stable_free_length(0.05, 1.0, 207e9, 79.3e9)
    assert spring.stable_free_length(0.05, end, 207e9, 79.3e9) * end == pytest.approx(alone, rel=1e-12)


def test_stable_length_factor_in_the_moduli_table_is_computed():
    rows = list(csv.DictReader((TABLES / "spring_moduli.csv").open()))
    assert len(rows) == 11
    for row in rows:
        young, shear = float(row["elastic_modulus_GPa"]), float(row["shear_modulus_GPa"])
        agrees(spring.stable_free_length(1.0, 1.0, young, shear), row["stable_length_factor"].ljust(5, "0"))
        assert row["sure"] == "seen" and row["stable_length_factor_sure"] == "computed"


def test_moduli_table_holds_the_printed_pairs():
    # A guard, typed from [SHI] table 10-5: music over 3.2 mm, hard-drawn over 3.2 mm, oil-tempered.
    rows = {(r["wire"], r["above_mm"]): r for r in csv.DictReader((TABLES / "spring_moduli.csv").open())}
    pairs = {
        ("music", "3.2"): (193, 80.0),
        ("hard-drawn", "3.2"): (196.5, 78.6),
        ("oil-tempered", ""): (196.5, 77.2),
    }
    for key, pair in pairs.items():
        assert (float(rows[key]["elastic_modulus_GPa"]), float(rows[key]["shear_modulus_GPa"])) == pair


def test_shape_range_has_its_ends_inside():
    index = np.array([3.9, 4.0, 12.0, 12.1])
    assert spring.shape_in_range(1.0, index, 8).tolist() == [False, True, True, False]
    assert spring.shape_in_range(1.0, 6.0, [2.9, 3, 15, 15.1]).tolist() == [False, True, True, False]


shapes = st.tuples(st.floats(0.001, 0.02), st.floats(1.5, 20), st.floats(1, 30))


@settings(deadline=None, max_examples=50)
@given(shapes)
def test_rate_scales_with_wire_coil_and_number(shape):
    wire, index, coils = shape
    rate = spring.coil_rate(wire, index * wire, coils, 80e9)
    assert spring.coil_rate(2 * wire, 2 * index * wire, coils, 80e9) == pytest.approx(2 * rate)
    assert spring.coil_rate(wire, index * wire, 2 * coils, 80e9) == pytest.approx(rate / 2)


@settings(deadline=None, max_examples=50)
@given(st.floats(1.2, 100))
def test_factors_are_ordered_and_fall_to_one_with_the_index(index):
    factors = spring_kinds.direct_shear_factor, spring_kinds.bergstraesser_factor, spring_kinds.wahl_factor
    assert 1 < factors[0](index) < min(factors[1](index), factors[2](index))
    for factor in factors:
        assert factor(index * 1.1) < factor(index)
        assert factor(1e9) == pytest.approx(1)


def test_factors_compute_down_to_an_index_of_one():
    assert spring_kinds.wahl_factor(1.005) > 100
    assert 1 < spring_kinds.direct_shear_factor(1.005) < 1.5
    assert 5.8 < spring_kinds.bergstraesser_factor(1.005) < 6


def test_energy_of_the_twisted_wire_equals_the_work_of_the_spring():
    # Castigliano on the wire: torque F D / 2 along a length pi D N with polar moment pi d^4 / 32.
    wire, mean, coils, shear, force = 0.006, 0.04, 7, 79e9, 500.0
    stored = (force * mean / 2) ** 2 * (pi * mean * coils) / (2 * shear * pi * wire**4 / 32)
    assert force**2 / (2 * spring.coil_rate(wire, mean, coils, shear)) == pytest.approx(stored, rel=1e-12)


def test_arrays_broadcast():
    assert spring.coil_rate([0.005, 0.006], [[0.03], [0.04], [0.05]], 8, 80e9).shape == (3, 2)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: spring.coil_rate(0.005, 0.005, 8, 80e9),
            "mean_diameter minus wire_diameter must be greater",
        ),
        (lambda: spring.coil_rate(0, 0.03, 8, 80e9), "wire_diameter must be greater than zero; got 0"),
        (lambda: spring.coil_rate(0.005, 0.03, [8, -1], 80e9), r"active_coils .* got -1 at index \(1,\)"),
        (lambda: spring.coil_rate(0.005, 0.03, 8, float("nan")), "shear_modulus must be a finite"),
        (lambda: spring_kinds.wahl_factor(1.0), "spring_index minus 1 must be greater"),
        (lambda: spring_kinds.direct_shear_factor(0.9), "spring_index minus 1"),
        (lambda: spring_kinds.bergstraesser_factor(-2), "spring_index must be greater"),
        (lambda: spring_kinds.coil_shear_stress(-1, 0.005, 0.03, 1.2), "force must not be negative"),
        (lambda: spring_kinds.coil_shear_stress(1, 0.005, 0.03, 0), "factor must be greater"),
        (lambda: spring.total_coils(8, "sqared"), "\"squared ground\"; got 'sqared'"),
        (lambda: spring.total_coils(0, "plain"), "active_coils must be greater"),
        (lambda: spring.solid_length(-1, 8, "plain"), "wire_diameter must be greater"),
        (lambda: spring.coil_pitch(0.01, 0.004, 8, "squared"), "free_length minus solid length must not be"),
        (lambda: spring.stable_free_length(0.05, 0, 2e11, 8e10), "end_factor must be greater"),
        (lambda: spring.stable_free_length(0.05, 1, 8e10, 2e11), "elastic_modulus minus shear_modulus"),
    ],
)
def test_impossible_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
