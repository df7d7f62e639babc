"""Fittings, orifices, sizes and the tables beside them."""

import csv
from pathlib import Path

import numpy as np
import pytest
from fluids.fittings import Hooper, Hooper2K

from downforce.physics import oil, oil_loss

INCH, FOOT, GPM, PSI = 0.0254, 0.3048, 6.30901964e-5, 6894.757293168361
TABLES = Path(__file__).parents[2] / "data" / "tables"


def table(name):
    with (TABLES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", table("fittings_2k.csv"), ids=lambda row: row["fitting"])
def test_fittings_equal_an_independent_library(row):
    """fluids.fittings.Hooper2K, constants and formula, from laminar to turbulent."""
    first, last = float(row["laminar_constant"]), float(row["turbulent_constant"])
    assert (first, last) == Hooper[row["name_in_the_open_library"]]
    for bore in (0.0063, 0.0127, 0.0508):
        for reynolds in (10.0, 500.0, 1e5):
            other = Hooper2K(Di=bore / INCH, Re=reynolds, name=row["name_in_the_open_library"])
            ours = first / reynolds + oil.fitting_turbulent_coefficient(bore, last)
            assert ours == pytest.approx(other, rel=1e-12)


def test_a_line_takes_a_fitting_in_its_two_parts():
    bore, flow, viscosity = 0.0127, 2e-4, 30e-6
    parts = oil.fitting_turbulent_coefficient(bore, 0.4)
    reynolds = oil_loss.reynolds_number(flow, bore, viscosity)
    whole = oil_loss.line_loss(flow, bore, 0.0, 870.0, viscosity, loss_coefficient=800.0 / reynolds + parts)
    apart = oil_loss.line_loss(
        flow, bore, 0.0, 870.0, viscosity, loss_coefficient=parts, laminar_coefficient=800.0
    )
    assert apart == pytest.approx(whole, rel=1e-12)


def test_turbulent_constants_alone_are_half_of_the_truth_in_thick_oil():
    turbulent = oil.fitting_turbulent_coefficient(0.0127, 0.4)
    assert 0.3 < turbulent / (800.0 / 500.0 + turbulent) < 0.6


@pytest.mark.outside("SUL", "ex. 5.4", "retyped copy", "discharge coefficient of an orifice")
def test_orifice_of_sullivan_example_5_4(printed):
    """1000 gpm, 3.14 in2, 120 psi, SG 0.85; 0.7055 in exact units."""
    diameter = np.sqrt(4 * 3.14 / np.pi) * INCH
    coefficient = 1000 * GPM / oil.orifice_flow(120 * PSI, diameter, 0.85 * 999.0, 1.0)
    printed(coefficient, "0.70", 0.006, "the book's units are rounded")
    assert coefficient == pytest.approx(0.7055, abs=0.0003)


@pytest.mark.outside("CRA", "problem 7-23", "library's documents", "flow through an orifice meter, gpm")
def test_orifice_of_crane_problem_7_23(printed):
    """2 in in a 4 in pipe, water, 4.4 in of mercury under water; flow coefficient 0.625, the book's."""
    density = 62.364 * 16.018463374
    drop = 4.4 * INCH * (13_595.0 - density) * 9.80665
    printed(oil.orifice_flow(drop, 2 * INCH, density, 0.625) / GPM, "106")


def test_orifice_by_hand():
    """Own arithmetic: 0.6, 1 mm, 50 bar, 870 kg/m3: 3.03 L/min."""
    assert oil.orifice_flow(50e5, 1e-3, 870.0, 0.6) * 6e4 == pytest.approx(3.03, abs=0.005)


def test_orifice_flow_follows_the_sign_and_the_root_of_the_drop():
    drops = np.array([-30e5, -1.0, 0.0, 1.0, 200e5])
    flows = oil.orifice_flow(drops, 2e-3, 860.0)
    assert np.abs(flows[4] / flows[3]) == pytest.approx(200e5**0.5, rel=1e-12)
    assert np.array_equal(np.sign(flows), np.sign(drops))


@pytest.mark.outside("ESP", "ex. 10-1", "retyped copy", "bore for a velocity, in")
def test_bores_of_esposito_example_10_1(printed):
    """30 gpm at 20 ft/s."""
    printed(
        oil.bore_for_velocity(30 * GPM, 20 * FOOT) / INCH, "0.783", 0.0006, "the book's gallon is rounded"
    )


@pytest.mark.outside("ESP", "ex. 10-2", "retyped copy", "bore for a velocity, mm")
def test_bores_of_esposito_example_10_2(printed):
    """0.002 m3/s at 6.1 m/s."""
    printed(oil.bore_for_velocity(0.002, 6.1) * 1e3, "20.4")


def test_bore_and_velocity_undo_each_other():
    assert oil_loss.flow_velocity(0.002, oil.bore_for_velocity(-0.002, 6.1)) == pytest.approx(6.1, rel=1e-12)
    # The other limits are common practice, no source: returns to 15, suction 2 to 4 feet a second.
    limits = {"pressure": (2.0, 20 * FOOT), "return": (1.5, 15 * FOOT), "suction": (2 * FOOT, 4 * FOOT)}
    for line, limit in limits.items():
        assert oil.VELOCITY_LIMITS[line] == pytest.approx([round(end, 1) for end in limit], rel=1e-9)


def test_next_nominal_bore_is_the_smallest_that_is_large_enough():
    wanted = np.array([0.001, 0.0032, 0.0033, 0.0125, 0.0126, 0.051])
    assert oil.next_nominal_bore(wanted) == pytest.approx([0.0032, 0.0032, 0.004, 0.0125, 0.016, 0.051])
    with pytest.raises(ValueError, match=r"bore must not exceed 0\.051 m, the largest hose; got 0\.06"):
        oil.next_nominal_bore([0.01, 0.06])


def test_volumes_times_and_heat():
    """Own arithmetic: 10.8 L at 40 L/min take 16 s; 20 L/min across 120 bar is 4.0 kW, 1 L/min 0.2 kW."""
    assert oil.fill_time(10.8e-3, 40e-3 / 60) == pytest.approx(16, abs=0.5)
    assert oil.power_lost(120e5, np.array([20e-3, 1e-3]) / 60) == pytest.approx([4000, 200], rel=1e-9)
    assert oil.line_volume(0.02, 10.0) == pytest.approx(3.14159265e-3, rel=1e-8)


def test_hose_table_holds_the_nominal_bores_and_their_dashes():
    rows = table("hoses.csv")
    assert [float(row["bore_mm"]) for row in rows] == pytest.approx([1e3 * b for b in oil.NOMINAL_BORES])
    for row in rows:
        if row["dash"]:
            assert int(row["dash"]) == round(float(row["bore_mm"]) / 25.4 * 16)
        if row["smallest_bore_mm"]:
            assert float(row["smallest_bore_mm"]) <= float(row["bore_mm"]) <= float(row["largest_bore_mm"])


def test_hose_pressures_fall_with_size_and_burst_at_four_times():
    """A guard: two-wire hose of 1/2 in works at 275 bar and bursts at 1100, from a page on [J517]."""
    rows = [row for row in table("hoses.csv") if row["two_wire_working_pressure_bar"]]
    working = [float(row["two_wire_working_pressure_bar"]) for row in rows]
    assert working == sorted(working, reverse=True)
    assert [float(row["two_wire_burst_pressure_bar"]) for row in rows] == [4 * w for w in working]
    half_inch = next(row for row in rows if row["dash"] == "8")
    assert half_inch["two_wire_burst_pressure_bar"] == "1100"


def test_oil_table_keeps_the_grade_limits_of_iso_3448():
    """A guard of what was typed from [ISO3448]: viscosity at 40 degrees within 10 % of the grade's number."""
    for row in table("oils.csv"):
        middle = float(row["viscosity_40_mm2_s"])
        if row["lowest_40_mm2_s"]:
            assert middle == float(row["oil"].split()[1])
            assert float(row["lowest_40_mm2_s"]) == pytest.approx(0.9 * middle, rel=1e-9)
            assert float(row["highest_40_mm2_s"]) == pytest.approx(1.1 * middle, rel=1e-9)
        assert oil.viscosity_at(313.15, middle * 1e-6, float(row["viscosity_100_mm2_s"]) * 1e-6) > 0


@pytest.mark.parametrize("name", ["hoses.csv", "oils.csv", "fittings_2k.csv"])
def test_every_row_of_a_table_says_where_it_is_from_and_how_sure(name):
    for row in table(name):
        for column, text in row.items():
            if column.endswith("sure") and column != "burst_sure":
                assert text
        assert any(text for column, text in row.items() if column.endswith("source"))


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: oil.fitting_turbulent_coefficient(0.0, 0.4), "bore"),
        (lambda: oil.fitting_turbulent_coefficient(0.01, -0.4), "turbulent_constant"),
        (lambda: oil.orifice_flow(1e5, 0.0, 870), "diameter"),
        (lambda: oil.orifice_flow(1e5, 1e-3, 870, 0.0), "discharge_coefficient"),
        (lambda: oil.bore_for_velocity(1e-3, 0.0), "velocity"),
        (lambda: oil.next_nominal_bore(0.0), "bore"),
        (lambda: oil.line_volume(0.01, -1.0), "length"),
        (lambda: oil.fill_time(1.0, 0.0), "flow"),
        (lambda: oil.fill_time(-1.0, 1.0), "volume"),
        (lambda: oil.power_lost(np.nan, 1.0), "pressure_drop"),
    ],
)
def test_impossible_values_are_refused_by_name(call, name):
    with pytest.raises(ValueError, match=rf"^{name} must"):
        call()


def test_an_orifice_is_sharp_edged_unless_told():
    """Common practice: 0.6 to 0.7; the middle of the turbulent range, 0.62, is the default."""
    assert oil.orifice_flow(50e5, 1e-3, 870.0) == oil.orifice_flow(50e5, 1e-3, 870.0, 0.62)
