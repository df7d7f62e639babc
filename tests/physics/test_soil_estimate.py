"""Estimates from a penetrometer or a table, draft of a whole implement, and load against life."""

import csv
from pathlib import Path

import numpy as np
import pytest

from downforce.physics import soil_estimate, soil_stress

TABLES = Path(__file__).parents[2] / "data" / "tables"


@pytest.mark.outside("S313", "base areas", "text", "area of the two cones, mm2")
def test_standard_cones_have_their_areas(printed):
    printed(soil_estimate.cone_base_area(soil_estimate.CONE_BASE_DIAMETER["soft"]) * 1e6, "322.7")
    printed(soil_estimate.cone_base_area(soil_estimate.CONE_BASE_DIAMETER["hard"]) * 1e6, "129.3")
    assert soil_estimate.cone_index(645.4, 322.7e-6) == pytest.approx(2e6)


@pytest.mark.parametrize(("cone_index", "low", "high"), [(1e6, 0.65, 1.0), (2e6, 1.3, 2.1)])
def test_reaction_from_cone_gives_the_trade_figures(cone_index, low, high):
    # own trade figures: 457 mm disc at 40 mm, 5 to 8 mm wide
    guess = soil_estimate.reaction_from_cone(cone_index, 0.457, 0.04)
    assert guess.low / 1e3 == pytest.approx(low, abs=0.05 if low >= 1 else 0.005)
    assert guess.high / 1e3 == pytest.approx(high, abs=0.05)
    assert guess.middle == pytest.approx((guess.low + guess.high) / 2)


def test_an_estimate_says_so():
    for guess in (
        soil_estimate.reaction_from_cone(1e6, 0.457, 0.04),
        soil_estimate.reaction_from_pressure_sinkage(0.04, 0.457, 0.7, 5270.0, 1515040.0),
    ):
        assert guess.is_estimate
        assert str(guess).startswith(f"estimate, not a measurement: {guess.low:.0f} to {guess.high:.0f} N")
        assert "dig to make sure" in str(guess)


def test_larger_disc_asks_more_as_published():
    # [AHM]: vertical 905, 1554, 1620 N for 330, 450, 600 mm. Order only.
    assert np.all(
        np.diff(soil_estimate.reaction_from_cone(1e6, np.array([0.33, 0.45, 0.60]), 0.06).middle) > 0
    )


def test_bearing_length_is_half_the_chord():
    radius, depth = 0.2285, 0.04
    assert soil_estimate.bearing_length(2 * radius, depth) == pytest.approx(
        np.sqrt(radius**2 - (radius - depth) ** 2)
    )
    assert soil_estimate.bearing_length(0.457, [0.0, 0.2285]).tolist() == pytest.approx([0.0, 0.2285])


def test_pressure_sinkage_estimate_is_a_narrow_wheel_and_steeper_than_half_a_power_above_n():
    guess = soil_estimate.reaction_from_pressure_sinkage(
        np.array([0.02, 0.04]), 0.457, 0.7, 5270.0, 1515040.0
    )
    assert guess.low[1] == pytest.approx(soil_stress.wheel_load(0.04, 0.005, 0.457, 0.7, 5270.0, 1515040.0))
    assert guess.middle[1] == pytest.approx(
        soil_stress.wheel_load(0.04, 0.0065, 0.457, 0.7, 5270.0, 1515040.0)
    )
    assert guess.high[1] == pytest.approx(soil_stress.wheel_load(0.04, 0.008, 0.457, 0.7, 5270.0, 1515040.0))
    power = np.log(guess.middle[1] / guess.middle[0]) / np.log(2)
    assert power == pytest.approx(1.2, abs=0.05)


@pytest.mark.outside("DRA", "chisel plough", "secondary page", "draft of an implement, kN")
def test_draft_of_the_chisel_plow_example(printed):
    found = soil_estimate.implement_draft(0.7, 91.0, 5.4, 0.0, 10 / 3.6, 45, depth=0.15)
    printed(found / 1e3, "68.5")


def test_draft_has_a_square_term():
    assert soil_estimate.implement_draft(1.0, 0.0, 0.0, 2.0, 10 / 3.6, 3) == pytest.approx(600.0)


def _factors():
    with (TABLES / "draft_factors.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(
    ("machine", "texture", "newton"),
    [("no-till drill, 1 fluted coulter a row", "F_medium [-]", 15.9), ("over 3.7 m", "F_medium [-]", 4.8)],
)
def test_draft_of_24_rows_by_the_table(machine, texture, newton):
    # recomputed from table rows that are from memory
    (row,) = [r for r in _factors() if machine in r["machine"]]
    speed_terms = float(row["B [N per km/h]"]), float(row["C [N per (km/h)^2]"])
    found = soil_estimate.implement_draft(
        float(row[texture]), float(row["A [N/row or N/m]"]), *speed_terms, 2.5, 24
    )
    assert found / 1e3 == pytest.approx(newton, abs=0.05)


def test_draft_table_says_how_sure_it_is():
    rows = _factors()
    assert len(rows) == 12
    assert all("memory" in r["how_sure"] and r["source"] == "[D497]" for r in rows)
    assert {r["counted_by"] for r in rows} == {"row", "m"}
    for r in rows:
        fine, medium, coarse = (float(r[f"F_{t} [-]"]) for t in ("fine", "medium", "coarse"))
        assert fine == 1.0 >= medium >= coarse > 0.5
        assert 25 <= float(r["spread [%]"]) <= 50


def test_bearing_life_goes_with_the_third_power():
    # Form of [ISO281]: load x 1.5 leaves 30 %, x 2 leaves 12.5 %
    assert 100 * soil_stress.bearing_life_ratio(1.5) == pytest.approx(30, abs=0.5)
    assert 100 * soil_stress.bearing_life_ratio(2.0) == pytest.approx(12.5, rel=1e-12)
    assert soil_stress.bearing_life_ratio(2.0, 10 / 3) == pytest.approx(2 ** (-10 / 3))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: soil_estimate.cone_index(-1, 1), "force must not be negative"),
        (lambda: soil_estimate.cone_base_area(0), "base_diameter must be greater"),
        (lambda: soil_estimate.bearing_length(0.4, 0.21), "depth / disc_diameter must lie between 0 and 0.5"),
        (lambda: soil_estimate.reaction_from_cone(-1, 0.4, 0.04), "cone_index must not be negative"),
        (
            lambda: soil_estimate.reaction_from_cone(1, 0.4, 0.04, (0.008, 0.005)),
            "low, then high; got 0.008 and",
        ),
        (lambda: soil_estimate.implement_draft(0, 1, 1, 1, 1, 1), "texture_factor must be greater"),
        (lambda: soil_estimate.implement_draft(1, 1, 1, 1, -1, 1), "speed must not be negative"),
        (lambda: soil_stress.bearing_life_ratio(0), "load_ratio must be greater"),
    ],
)
def test_refusals_name_the_value(call, words):
    with pytest.raises(ValueError, match=words):
        call()
