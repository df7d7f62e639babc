"""What the soil asks, by source: the dig first, estimates marked, and the numbers against hand values."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.field import Soil
from downforce.machine.readings import DigSheet, read_dig_sheet
from downforce.machine.shipped import example_drill, example_field
from downforce.study.opener_loads import opener_loads
from downforce.study.soil_load import (
    asked_by_class,
    asked_by_cone,
    asked_by_field,
    asked_by_table,
    best_setting,
    settings_dug,
    sinkage_soils,
    soil_classes,
    what_the_soil_asks,
)

DRILL, FIELD = example_drill("air_drill_12m"), example_field("firm")


def dug_in(reaction, pressures, rows=(2, 11, 30, 47), seeds=2, noise=0.0, tracks=()):
    """A sheet of a soil that is known, by the balance of the opener itself."""
    rng = np.random.default_rng(1)
    found = []
    for pressure in pressures:
        for row in rows:
            soil = Soil(reaction * (1.4 if row in tracks else 1.0), 0.04, 0.04, 1.0, 0.6)
            loads = opener_loads(DRILL.opener, DRILL.cylinder, soil, 0.0, pressure)
            for _ in range(seeds):
                depth = float(loads.depth) + noise * rng.standard_normal()
                found.append((row, depth, pressure, float(loads.gauge_wheel_load) <= 0, row in tracks))
    columns = [np.array(column) for column in zip(*found, strict=True)]
    return DigSheet("made.csv", *columns, ("",) * len(found))


@pytest.mark.parametrize("reaction", [700.0, 1100.0, 2000.0])
def test_a_dig_gives_back_the_soil_it_was_made_from(reaction):
    settings = settings_dug(DRILL, FIELD, dug_in(reaction, (15e5, 25e5)))
    for setting in settings:
        assert setting.all_free
        assert setting.estimate.reaction == pytest.approx(reaction, rel=1e-6)
        assert setting.estimate.low == pytest.approx(reaction, rel=1e-6)
    assert best_setting(settings).gauge_pressure == 25e5


MADE_FROM = {2: 740, 11: 730, 24: 930, 30: 1050, 33: 870, 40: 1540, 47: 970, 62: 1030}
"""Soil reaction of each row of the shipped sheet at 40 mm [N]: from 900 N ± 150 N, 1.5 times in tracks."""


def test_the_shipped_sheet_is_made_as_its_note_says():
    """Wheels by the balance of the opener itself; seeds 3 mm (1 SD) about their discs."""
    sheet, away = read_dig_sheet(), []
    for row, depth, pressure, free in zip(
        sheet.row, sheet.depth, sheet.gauge_pressure, sheet.free, strict=True
    ):
        soil = Soil(float(MADE_FROM[row]), 0.04, 0.04, 1.0, 0.6)
        loads = opener_loads(DRILL.opener, DRILL.cylinder, soil, 0.0, pressure)
        assert free == (loads.gauge_wheel_load <= 0), (row, pressure)
        away.append(1e3 * (depth - float(loads.depth)))
    # 96 seeds: the mean within 1.96 standard errors, the spread within the middle 95 % of its chi-square.
    assert abs(np.mean(away)) < 1.96 * 3.0 / np.sqrt(96)
    assert 2.6 < np.std(away, ddof=1) < 3.5 and np.max(np.abs(away)) < 10.0
    assert sorted(set(sheet.row[sheet.in_track])) == [24, 40]


def test_the_shipped_sheet_gives_back_the_field_and_shows_what_some_loaded_wheels_do():
    low, right, mixed, loaded = settings_dug(DRILL, FIELD, read_dig_sheet())
    for setting in (low, right):
        assert setting.all_free and setting.estimate.low < FIELD.soil.reaction < setting.estimate.high
    assert right.estimate.reaction == pytest.approx(FIELD.soil.reaction, rel=0.02)
    assert right.estimate.spread == pytest.approx(FIELD.soil.spread, rel=0.1)
    # The soft rows have gone out of it, so it comes out too high.
    assert not mixed.all_free and mixed.estimate.low > FIELD.soil.reaction
    assert loaded.estimate is None


def test_another_line_of_draft_changes_the_newtons_and_hardly_the_bar():
    """910 N becomes 830 N with all of it dragged; the pressure that follows stays within 1 bar."""
    dragged = replace(DRILL, opener=replace(DRILL.opener, dragged_share=1.0))
    own, other = (settings_dug(drill, FIELD, read_dig_sheet())[1].estimate for drill in (DRILL, dragged))
    assert (round(own.reaction), round(other.reaction)) == (910, 830)
    assert other.needed == pytest.approx(own.needed, abs=1e5)


def test_what_goes_into_the_field_file_is_the_mean_and_its_own_uncertainty():
    """Standard error: spread over the root of the rows, 140 N over the root of 6: 57 N."""
    found = settings_dug(DRILL, FIELD, read_dig_sheet())[1].estimate
    assert found.uncertainty == pytest.approx(140 / np.sqrt(6), abs=0.5)
    assert found.high - found.reaction == pytest.approx(2.571 * found.uncertainty, rel=1e-3)


def test_two_pressures_in_one_soil_agree_within_their_intervals():
    settings = settings_dug(DRILL, FIELD, dug_in(1100.0, (30e5, 45e5), rows=range(1, 13), noise=0.002))
    low, high = settings[0].estimate, settings[1].estimate
    assert low.low < 1100.0 < low.high and high.low < 1100.0 < high.high


def test_seeds_of_one_row_count_as_one_hole():
    few = settings_dug(DRILL, FIELD, dug_in(1100.0, (30e5,), seeds=1))[0].estimate
    many = settings_dug(DRILL, FIELD, dug_in(1100.0, (30e5,), seeds=9))[0].estimate
    assert (few.low, few.high) == pytest.approx((many.low, many.high), rel=1e-9)


def test_the_mean_depth_of_a_row_is_that_of_its_seeds():
    sheet = dug_in(1100.0, (30e5,), rows=(5, 3, 9))
    depth = np.array([0.020, 0.030, 0.010, 0.020, 0.030, 0.050])
    setting = settings_dug(DRILL, FIELD, replace(sheet, depth=depth))[0]
    assert setting.row.tolist() == [3, 5, 9]
    np.testing.assert_allclose(setting.depth, [0.015, 0.025, 0.040])


def test_rows_in_tracks_and_loaded_wheels_are_left_out():
    with_tracks = settings_dug(DRILL, FIELD, dug_in(1100.0, (30e5,), rows=(2, 11, 24, 30), tracks=(24,)))[0]
    assert with_tracks.estimate.reaction == pytest.approx(1100.0, rel=1e-6)
    loaded = settings_dug(DRILL, FIELD, dug_in(700.0, (60e5,)))[0]
    assert loaded.estimate is None and not loaded.all_free


def test_a_setting_with_some_loaded_wheels_is_not_trusted():
    sheet = dug_in(1100.0, (30e5, 40e5))
    free = sheet.free.copy()
    free[sheet.gauge_pressure == 40e5] = [False, False] + [True] * 6
    settings = settings_dug(DRILL, FIELD, replace(sheet, free=free))
    assert settings[1].estimate is not None and not settings[1].all_free
    assert best_setting(settings).gauge_pressure == 30e5
    assert best_setting(settings[1:]) is None


def test_fewer_than_three_free_rows_give_no_number():
    assert settings_dug(DRILL, FIELD, dug_in(1100.0, (30e5,), rows=(2, 11)))[0].estimate is None


def test_a_row_that_the_drill_has_not_is_refused():
    with pytest.raises(ValueError, match=r"made.csv has a dig in row 47, but this drill has 24 rows"):
        settings_dug(example_drill("box_drill_15ft"), FIELD, dug_in(1100.0, (30e5,)))


def test_a_dig_overrides_the_field_and_the_estimates_follow():
    asked = what_the_soil_asks(DRILL, FIELD, read_dig_sheet(), 1e6, "sandy loam (LLL), 15 % water")
    assert [one.basis for one in asked] == [
        "dig sheet",
        "field file",
        "cone index",
        "pressure-sinkage table",
        "class",
        "class",
        "class",
    ]
    assert [one.is_estimate for one in asked] == [False, False] + [True] * 5
    assert all(one.low < one.middle < one.high and one.depth == 0.04 for one in asked)
    assert what_the_soil_asks(DRILL, FIELD)[0].basis == "field file"


def test_an_estimate_in_the_field_file_stays_an_estimate():
    guessed = replace(FIELD, soil=replace(FIELD.soil, basis="estimate"))
    assert asked_by_field(guessed).is_estimate and "by estimate" in asked_by_field(guessed).words


def test_the_field_is_brought_to_its_target_depth():
    dry = example_field("dry_hard_tracks")  # 1200 N at 40 mm, set to 35 mm, exponent 1, spread 200 N
    asked = asked_by_field(dry)
    assert (asked.low, asked.middle, asked.high) == pytest.approx((875.0, 1050.0, 1225.0))


def test_classes_are_those_remembered_and_scale_with_depth():
    assert {name: figures[:2] for name, figures in soil_classes().items()} == {
        "soft or moist": (400.0, 700.0),
        "firm no-till": (700.0, 1200.0),
        "dry or wheel track": (1200.0, 2200.0),
    }
    assert asked_by_class(FIELD, "firm no-till").middle == 950.0
    deep = replace(FIELD, target_depth=0.05)
    assert asked_by_class(deep, "firm no-till").high == pytest.approx(1500.0)
    with pytest.raises(ValueError, match="'rock' is not known; there are: soft or moist"):
        asked_by_class(FIELD, "rock")


def test_the_cone_gives_the_bearing_area_figures():
    """A 457 mm disc at 40 mm, 5 to 8 mm wide: 0.65 to 1.0 kN at 1 MPa, 1.3 to 2.1 kN at 2 MPa."""
    one, two = (asked_by_cone(DRILL.opener, FIELD, value) for value in (1e6, 2e6))
    assert (one.low, one.high) == (pytest.approx(650.0, abs=5), pytest.approx(1030.0, abs=50))
    assert (two.low, two.high) == (pytest.approx(1300.0, abs=50), pytest.approx(2100.0, abs=50))
    # By hand: 1 MPa x sqrt(0.04 x 0.417) m x 6.5 mm.
    assert one.middle == pytest.approx(839.5, abs=0.5)
    double = replace(DRILL.opener, discs=2)
    assert asked_by_cone(double, FIELD, 1e6).middle == pytest.approx(2 * one.middle)
    with pytest.raises(ValueError, match="cone_index"):
        what_the_soil_asks(DRILL, FIELD, cone_index=0.0)


def test_soils_of_the_table_keep_their_units():
    soils = sinkage_soils()
    assert len(soils) == 15
    assert soils["sandy loam (LLL), 15 % water"] == pytest.approx((0.7, 5270.0, 1515040.0))
    assert "LETE sand (Wong)" in soils and "Grenville loam, 24 % water" in soils
    with pytest.raises(ValueError, match="soil = 'moon' is not in the table"):
        asked_by_table(DRILL.opener, FIELD, "moon")
