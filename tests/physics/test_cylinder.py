"""Cylinders: areas, forces, friction band, stroke, against [ESP] and [SUL] and the size tables."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import cylinder
from ledger import agrees

INCH = 0.0254
FOOT = 0.3048
LBF = 4.4482216152605
PSI = LBF / INCH**2
GPM = 6.30901964e-5
HORSEPOWER = 550 * FOOT * LBF
TABLES = Path(__file__).parents[2] / "data" / "tables"


@pytest.mark.outside("ESP", "ex. 6-1", "retyped copy", "pressure, speed and power, out and in")
def test_esposito_example_6_1_extends_and_retracts(printed):
    sides = (
        (cylinder.pressure_area(2 * INCH), "318.3", "2.04", "3.71"),
        (cylinder.annulus_area(2 * INCH, 1 * INCH), "424.4", "2.72", "4.95"),
    )
    for area, psi, feet_per_second, horsepower in sides:
        pressure = 1000 * LBF / area
        printed(pressure / PSI, psi)
        assert cylinder.cylinder_force(pressure, area) == pytest.approx(1000 * LBF)
        speed = 20 * GPM / cylinder.oil_volume(area, 1.0)
        printed(speed / FOOT, feet_per_second)
        printed(pressure * 20 * GPM / HORSEPOWER, horsepower)


@pytest.mark.parametrize(
    ("load_arm", "cylinder_arm", "known"), [(10, 10, "1000"), (10, 20, "500"), (20, 10, "2000")]
)
@pytest.mark.outside("ESP", "ex. 6-5", "retyped copy", "cylinder force on levers of three classes")
def test_esposito_example_6_5_levers_of_three_classes(printed, load_arm, cylinder_arm, known):
    force = cylinder.force_on_lever(1000 * LBF, load_arm * INCH, cylinder_arm * INCH)
    printed(force / LBF, known)
    leaning = cylinder.force_on_lever(1000 * LBF, load_arm * INCH, cylinder_arm * INCH, np.radians(60))
    assert leaning == pytest.approx(2 * force)


@pytest.mark.outside("ESP", "ex. 6-6", "retyped copy", "speed, deceleration and pressure of an end cushion")
def test_esposito_example_6_6_end_cushion(printed):
    area = cylinder.pressure_area(3 * INCH)
    speed = 18.2 * GPM / cylinder.oil_volume(area, 1.0)
    printed(speed / FOOT, "0.826")
    printed(speed**2 / (2 * 0.75 * INCH) / FOOT, "5.46")
    cushion = cylinder.stopping_pressure(
        750 * PSI,
        area,
        cylinder.annulus_area(3 * INCH, 1 * INCH),
        1500 * LBF / 9.80665,
        0.12 * 1500 * LBF,
        speed,
        0.75 * INCH,
    )
    printed(cushion / PSI, "855.6", 0.11, "the book rounds gravity to 32.2 ft/s2")


@pytest.mark.outside("SUL", "ex. 8.1", "retyped copy", "bore for a force")
def test_sullivan_example_8_1_bore(printed):
    printed(cylinder.bore_for_force(80000 * LBF, 1600 * PSI, 0.0) / INCH, "7.979")
    printed(cylinder.bore_for_force(355.8e3, 11.03e6, 0.0) * 100, "20.27")


def test_sullivan_example_8_6_pull():
    # A guard: [SUL] ex. 8.6 worked through is 1414.7 psi, the retyped copy shows 1413.7.
    agrees(7500 * LBF / cylinder.annulus_area(3 * INCH, 1.5 * INCH) / PSI, "1414.7")


@pytest.mark.parametrize(
    ("bore", "square_millimetres", "kilonewtons"),
    [
        (25, "490.9", "4.909"),
        (32, "804.2", "8.042"),
        (40, "1256.6", "12.566"),
        (50, "1963.5", "19.635"),
        (63, "3117.2", "31.172"),
        (80, "5026.5", "50.265"),
        (100, "7854.0", "78.540"),
    ],
)
def test_force_at_100_bar(bore, square_millimetres, kilonewtons):
    # Pressure x area, worked by hand calculator.
    area = cylinder.pressure_area(bore * 1e-3)
    agrees(area * 1e6, square_millimetres)
    agrees(cylinder.cylinder_force(100e5, area) / 1e3, kilonewtons)


@pytest.mark.parametrize(
    ("bore", "rod", "ratio"),
    [
        (25, 12, "1.299"),
        (32, 14, "1.237"),
        (40, 18, "1.254"),
        (63, 28, "1.246"),
        (25, 18, "2.076"),
        (80, 56, "1.961"),
    ],
)
def test_area_ratios_of_standard_pairs(bore, rod, ratio):
    # Pairs of [ISO3320] (from memory); ratios by hand calculator.
    agrees(cylinder.pressure_area(bore) / cylinder.annulus_area(bore, rod), ratio)


def test_an_inch_and_a_half_at_60_bar():
    # Figures of a teaching machine with a 38.1 mm bore and 150 mm stroke, by hand: 11.4 cm2, 6.84 kN.
    area = cylinder.pressure_area(0.0381)
    force = cylinder.cylinder_force(60e5, area)
    agrees(area * 1e4, "11.40")
    agrees(area / INCH**2, "1.77")
    agrees(force / 1e3, "6.84")
    agrees(force / LBF, "1538")
    agrees(cylinder.side_force(force, np.radians(3)), "358")
    agrees(cylinder.oil_volume(area, 0.150) * 1e6, "171")
    agrees(63 * cylinder.oil_volume(area, 0.150) * 1e3, "10.8")


sizes = st.floats(0.01, 0.2)
pressures = st.floats(0, 3e7)


@settings(deadline=None, max_examples=60)
@given(pressures, sizes, st.floats(0, 1000))
def test_the_three_directions_lie_as_far_apart_as_twice_the_friction(pressure, bore, friction):
    area = cylinder.pressure_area(bore)
    out, middle, pushed_in = cylinder.cylinder_force(pressure, area, friction, np.array([1, 0, -1]))
    assert out <= middle <= pushed_in
    assert pushed_in - out == pytest.approx(2 * friction, abs=1e-6)
    assert (out + pushed_in) / 2 == pytest.approx(pressure * area)


@settings(deadline=None, max_examples=60)
@given(st.floats(1, 1e6), st.floats(1e5, 4e7), st.floats(0, 0.9))
def test_bore_for_force_gives_the_force_back(force, pressure, share):
    area = cylinder.pressure_area(cylinder.bore_for_force(force, pressure, share))
    friction = share * pressure * area
    assert cylinder.cylinder_force(pressure, area, friction, 1) == pytest.approx(force)


def test_break_away_pressure_just_does_not_move_the_rod():
    area = cylinder.pressure_area(0.04)
    friction = 3e5 * area
    assert cylinder.cylinder_force(3e5, area, friction, 1) == pytest.approx(0, abs=1e-9)
    assert cylinder.cylinder_force(1e5, area, friction, 1) < 0


@settings(deadline=None, max_examples=60)
@given(st.floats(0.1, 1), st.floats(0.05, 0.5), st.floats(0.1, 1.5), st.floats(0, 0.5))
def test_margins_add_up_to_the_stroke_not_used(closed, stroke, shortest, used):
    at_closed, at_open = cylinder.stroke_margins(closed, stroke, shortest, shortest + used)
    assert at_closed + at_open == pytest.approx(stroke - used)
    assert (at_closed < 0) == (shortest < closed)


def test_margins_of_a_cylinder_that_bottoms_at_the_open_end():
    assert cylinder.stroke_margins(0.300, 0.150, 0.312, 0.455) == pytest.approx((0.012, -0.005))


def test_side_force_is_odd_and_small_at_small_angles():
    assert cylinder.side_force(1000, -0.05) == -cylinder.side_force(1000, 0.05)
    assert cylinder.side_force(1000, 1e-4) == pytest.approx(0.1)
    assert cylinder.side_force(1000, 0) == 0
    assert cylinder.side_force(1000, [-np.pi / 2, np.pi / 2]) == pytest.approx([-1000, 1000])


def test_stopping_a_load_that_does_not_move_takes_the_driving_pressure():
    assert cylinder.stopping_pressure(5e6, 2e-3, 2e-3, 100, 0, 0, 0.01) == pytest.approx(5e6)
    assert cylinder.stopping_pressure(0, 1e-3, 1e-3, 10, 0, 2, 0.1) == pytest.approx(200 / 1e-3)


def test_oil_comes_back_when_the_rod_moves_in():
    assert cylinder.oil_volume(1e-3, -0.1) == pytest.approx(-1e-4)


def test_sizes_table_is_computed_and_marked():
    rows = list(csv.DictReader((TABLES / "cylinder_sizes.csv").open()))
    assert {(row["system"], row["kind"]) for row in rows} == {
        (system, kind) for system in ("metric", "inch") for kind in ("bore", "rod", "stroke")
    }
    for row in rows:
        assert row["sure"] == "from memory" and row["source"]
        if row["kind"] == "stroke":
            assert row["area_mm2"] == "" and row["area_and_force_sure"] == ""
            continue
        assert row["area_and_force_sure"] == "computed"
        area = cylinder.pressure_area(float(row["size_mm"]) * 1e-3)
        assert area * 1e6 == pytest.approx(float(row["area_mm2"]), abs=0.0501)
        assert area / INCH**2 == pytest.approx(float(row["area_in2"]), abs=0.0000501)
        assert cylinder.cylinder_force(1e7, area) / 1e3 == pytest.approx(
            float(row["force_at_100_bar_kN"]), abs=0.000501
        )


def test_sizes_table_labels_say_the_size_and_rise():
    rows = list(csv.DictReader((TABLES / "cylinder_sizes.csv").open()))
    seen = {}
    for row in rows:
        words = row["label"].split()
        unit = {"mm": 1.0, "in": 25.4}[words.pop()]
        size = sum(int(top) / int(bottom or 1) for top, _, bottom in (word.partition("/") for word in words))
        assert size * unit == pytest.approx(float(row["size_mm"]), abs=5e-5)
        key = row["system"], row["kind"]
        assert float(row["size_mm"]) > seen.get(key, 0)
        seen[key] = float(row["size_mm"])


def test_printed_inch_areas():
    # Areas of inch bores by hand calculator.
    rows = {
        r["label"]: r for r in csv.DictReader((TABLES / "cylinder_sizes.csv").open()) if r["kind"] == "bore"
    }
    printed = {"1 in": 0.7854, "1 1/8 in": 0.9940, "1 1/2 in": 1.7671, "2 1/2 in": 4.9087, "4 in": 12.5664}
    for label, area in printed.items():
        assert float(rows[label]["area_in2"]) == area


def test_gauge_table_errors_are_computed_from_the_class():
    rows = list(csv.DictReader((TABLES / "gauge_classes.csv").open()))
    for row in rows:
        parts = [
            float(row[f"{part}_percent_of_span"]) for part in ("first_quarter", "middle_half", "last_quarter")
        ]
        assert float(row["middle_error_on_160_bar_gauge_bar"]) == pytest.approx(
            parts[1] / 100 * 160, abs=5e-4
        )
        assert float(row["worst_error_on_160_bar_gauge_bar"]) == pytest.approx(
            max(parts) / 100 * 160, abs=5e-4
        )
        assert row["error_sure"] == "computed" and row["sure"] in ("seen", "from memory")
    classes = {row["class"]: row for row in rows}
    # A class 1.6 gauge of 10 bar may be 0.16 bar off anywhere ([EN837] table 11).
    assert float(classes["1.6"]["middle_half_percent_of_span"]) / 100 * 10 == pytest.approx(0.16)
    assert (classes["B"]["first_quarter_percent_of_span"], classes["B"]["middle_half_percent_of_span"]) == (
        "3",
        "2",
    )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: cylinder.pressure_area(0), "diameter must be greater"),
        (lambda: cylinder.annulus_area(0.04, 0.04), "bore minus rod must be greater"),
        (lambda: cylinder.cylinder_force(-1, 1e-3), "gauge_pressure must not be negative"),
        (lambda: cylinder.cylinder_force(1, 0), "area must be greater"),
        (lambda: cylinder.cylinder_force(1, 1e-3, -5), "friction_force must not be negative"),
        (lambda: cylinder.cylinder_force(1, 1e-3, 5, 2), r"direction must be \+1 .* got 2"),
        (lambda: cylinder.bore_for_force(1, 1, 1), "1 minus friction_share must be greater"),
        (lambda: cylinder.bore_for_force(1, 1, 1.2), "friction_share must lie between 0 and 1"),
        (lambda: cylinder.bore_for_force(1, 1, -0.1), "friction_share must lie between 0 and 1"),
        (lambda: cylinder.bore_for_force(0, 1, 0), "force must be greater"),
        (lambda: cylinder.oil_volume(0, 1), "area must be greater"),
        (lambda: cylinder.side_force(-1, 0), "axial_force must not"),
        (lambda: cylinder.side_force(1, 1.575), "misalignment must lie between"),
        (lambda: cylinder.stroke_margins(0.3, 0.1, 0.4, 0.35), "longest minus shortest must not"),
        (lambda: cylinder.stopping_pressure(1, 1, 1, 1, 0, 1, 0), "distance must be greater"),
        (lambda: cylinder.force_on_lever(1, 1, 1, np.pi / 2), "cosine of angle must be greater"),
        (lambda: cylinder.force_on_lever(1, 1, 0), "cylinder_arm must be greater"),
    ],
)
def test_impossible_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
