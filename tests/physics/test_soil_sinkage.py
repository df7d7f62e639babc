"""Pressure and sinkage: plates, rigid wheels, the table of soils."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from downforce.physics import soil_stress

TABLES = Path(__file__).parents[2] / "data" / "tables"

# Parameters: [WON] table 2.3. Sinkage of a wheel
# of 0.40 x 0.10 m under 1000 N, closed and exact: recomputed, no source.
SOILS = {
    "dry sand LLL": (1.1, 990.0, 1528430.0, 76.11, 77.84),
    "sandy loam LLL 15 %": (0.7, 5270.0, 1515040.0, 27.08, 28.77),
    "sandy loam Michigan 11 %": (0.9, 52530.0, 1127970.0, 46.58, 48.61),
    "clayey soil Thailand 38 %": (0.5, 13190.0, 692150.0, 23.02, 25.03),
    "Grenville loam": (1.01, 60.0, 5880000.0, 26.05, 26.36),
}
soils = pytest.mark.parametrize("row", SOILS.values(), ids=SOILS.keys())


@soils
def test_wheel_sinkage_of_the_five_soils(row):
    n, k_c, k_phi, closed, exact = row
    sinkage = soil_stress.wheel_sinkage(1000.0, 0.10, 0.40, n, k_c, k_phi)
    assert sinkage * 1000 == pytest.approx(closed, abs=0.005)
    assert soil_stress.wheel_sinkage_exact(1000.0, 0.10, 0.40, n, k_c, k_phi) * 1000 == pytest.approx(
        exact, abs=0.005
    )


@soils
def test_exact_sinkage_agrees_with_scipy(row):
    n, k_c, k_phi = row[:3]
    radius, stiffness = 0.2, k_c + 0.10 * k_phi

    def load(z0):
        entry = np.arccos(1 - z0 / radius)
        inside = quad(
            lambda t: max(radius * (np.cos(t) - np.cos(entry)), 0.0) ** n * radius * np.cos(t), 0, entry
        )
        return stiffness * inside[0]

    other = brentq(lambda z: load(z) - 1000.0, 1e-4, 0.19, xtol=1e-12)
    assert soil_stress.wheel_sinkage_exact(1000.0, 0.10, 0.40, n, k_c, k_phi) == pytest.approx(
        other, rel=1e-6
    )
    assert soil_stress.wheel_load(0.03, 0.10, 0.40, n, k_c, k_phi) == pytest.approx(load(0.03), rel=1e-6)


def test_wheel_load_at_n_one_has_a_closed_integral():
    # n = 1: R^2 (t0 / 2 - sin(2 t0) / 4), derivation
    entry = np.arccos(1 - 0.05 / 0.3)
    area = 0.3**2 * (entry / 2 - np.sin(2 * entry) / 4)
    assert soil_stress.wheel_load(0.05, 0.2, 0.6, 1.0, 0.0, 1e6) == pytest.approx(0.2e6 * area, rel=1e-9)


@settings(deadline=None, max_examples=40)
@given(st.floats(1e-3, 0.45), st.floats(0.13, 1.3), st.floats(0.3, 0.9), st.floats(0.03, 0.3))
def test_exact_sinkage_turns_the_load_round(share, n, diameter, width):
    load = soil_stress.wheel_load(share * diameter, width, diameter, n, 5e3, 1.5e6)
    found = soil_stress.wheel_sinkage_exact(load, width, diameter, n, 5e3, 1.5e6)
    assert found == pytest.approx(share * diameter, rel=1e-9)


def test_closed_form_meets_the_exact_one_for_small_sinkage_of_a_parabola():
    # at small sinkage only the two-term series for z^n is left; it is exact for n = 1
    closed = soil_stress.wheel_sinkage(1.0, 0.1, 0.6, 1.0, 0.0, 1e7)
    exact = soil_stress.wheel_sinkage_exact(1.0, 0.1, 0.6, 1.0, 0.0, 1e7)
    assert closed == pytest.approx(exact, rel=1e-3)


@settings(deadline=None, max_examples=40)
@given(st.floats(10, 2000), st.floats(0.3, 1.3))
def test_more_load_sinks_more_and_a_wider_or_larger_wheel_less(load, n):
    def sinkage(load=load, width=0.1, diameter=0.4):
        return soil_stress.wheel_sinkage(load, width, diameter, n, 5e3, 1.5e6)

    assert sinkage(load=1.1 * load) > sinkage()
    assert sinkage(width=0.12) < sinkage()
    assert sinkage(diameter=0.5) < sinkage()


def test_no_load_no_sinkage():
    assert soil_stress.wheel_sinkage(0.0, 0.1, 0.4, 0.7, 5e3, 1.5e6) == 0.0
    assert soil_stress.wheel_sinkage_exact([0.0, 500.0], 0.1, 0.4, 0.7, 5e3, 1.5e6)[0] == 0.0


def test_range_of_the_closed_form_is_said():
    inside = soil_stress.wheel_sinkage_in_range([0.5, 0.499, 0.6, 0.6], [0.7, 0.7, 1.3, 1.31])
    assert inside.tolist() == [True, False, True, False]


def test_wheel_at_the_axle_is_refused():
    with pytest.raises(ValueError, match="load of 50000 N sinks the wheel to its axle"):
        soil_stress.wheel_sinkage_exact([100.0, 5e4], 0.1, 0.4, 1.1, 990.0, 1528430.0)


def test_the_last_load_before_the_axle_is_still_carried():
    most = soil_stress.wheel_load(0.2, 0.1, 0.4, 1.1, 990.0, 1528430.0)
    assert soil_stress.wheel_sinkage_exact(0.999 * most, 0.1, 0.4, 1.1, 990.0, 1528430.0) < 0.2
    with pytest.raises(ValueError, match="sinks the wheel to its axle"):
        soil_stress.wheel_sinkage_exact(1.001 * most, 0.1, 0.4, 1.1, 990.0, 1528430.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: soil_stress.wheel_sinkage(-1, 0.1, 0.4, 0.7, 5e3, 1e6), "load must not be negative"),
        (lambda: soil_stress.wheel_sinkage(1, 0, 0.4, 0.7, 5e3, 1e6), "width must be greater than zero"),
        (lambda: soil_stress.wheel_sinkage(1, 0.1, 0, 0.7, 5e3, 1e6), "diameter must be greater than zero"),
        (lambda: soil_stress.wheel_sinkage(1, 0.1, 0.4, 3.0, 5e3, 1e6), "n must be below 3"),
        (lambda: soil_stress.wheel_sinkage(1, 0.1, 0.4, 0.0, 5e3, 1e6), "n must be greater than zero"),
        (lambda: soil_stress.wheel_sinkage(1, 0.1, 0.4, 0.7, -2e5, 1e6), "k_c / width \\+ k_phi"),
        (
            lambda: soil_stress.wheel_load(0.201, 0.1, 0.4, 0.7, 5e3, 1e6),
            "sinkage / diameter must lie between",
        ),
    ],
)
def test_refusals_name_the_value(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def _rows(name):
    with (TABLES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_soil_table_keeps_its_laboratories_and_sources():
    rows = _rows("soils.csv")
    assert len(rows) == 15
    names = {(r["soil"], r["laboratory"], r["moisture [%]"]) for r in rows}
    assert len(names) == 15
    assert ("sandy loam", "LLL", "15") in names
    assert ("LETE sand", "Wong", "") in names
    assert all(r["source"] and r["how_sure"] for r in rows)


def test_every_soil_of_the_table_carries_a_gauge_wheel():
    for r in _rows("soils.csv"):
        n = float(r["n [-]"])
        k_c, k_phi = 1e3 * float(r["k_c [kN/m^(n+1)]"]), 1e3 * float(r["k_phi [kN/m^(n+2)]"])
        closed = soil_stress.wheel_sinkage(300.0, 0.10, 0.40, n, k_c, k_phi)
        exact = soil_stress.wheel_sinkage_exact(300.0, 0.10, 0.40, n, k_c, k_phi)
        assert 0.0 < exact < 0.2
        assert -0.12 < closed / exact - 1 < 0.01


def test_table_rows_match_the_worked_soils():
    found = {(r["soil"], r["laboratory"], r["moisture [%]"]): r for r in _rows("soils.csv")}
    keys = [
        ("dry sand", "LLL", "0"),
        ("sandy loam", "LLL", "15"),
        ("sandy loam", "Michigan", "11"),
        ("clayey soil", "Thailand", "38"),
        ("Grenville loam", "not given", "24"),
    ]
    for key, row in zip(keys, SOILS.values(), strict=True):
        r = found[key]
        assert float(r["n [-]"]) == row[0]
        assert 1e3 * float(r["k_c [kN/m^(n+1)]"]) == pytest.approx(row[1])
        assert 1e3 * float(r["k_phi [kN/m^(n+2)]"]) == pytest.approx(row[2])


def test_reaction_classes_rise_and_are_marked_as_memory():
    rows = _rows("soil_reaction_classes.csv")
    low = [float(r["soil_reaction_low [N]"]) for r in rows]
    high = [float(r["soil_reaction_high [N]"]) for r in rows]
    assert low == [400.0, 700.0, 1200.0]
    assert high == [700.0, 1200.0, 2200.0]
    assert all("memory" in r["how_sure"] for r in rows)
