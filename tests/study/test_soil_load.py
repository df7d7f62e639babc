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
    sheet_dug,
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


@pytest.mark.parametrize(("reaction", "pressures"), [(700.0, (15e5, 25e5)), (2000.0, (60e5, 80e5))])
def test_a_dig_gives_back_the_soil_it_was_made_from(reaction, pressures):
    dug = sheet_dug(DRILL, FIELD, dug_in(reaction, pressures))
    for found in (*(setting.outside for setting in dug.settings), dug.outside):
        assert found.estimate.bounds == 0
        assert found.estimate.reaction == pytest.approx(reaction, rel=1e-6)
        assert found.estimate.low == pytest.approx(reaction, rel=1e-6)


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


def test_the_shipped_sheet_gives_back_the_field_and_bounds_mend_what_loaded_wheels_do():
    """The six rows outside tracks were made of 898 N in the mean."""
    dug = sheet_dug(DRILL, FIELD, read_dig_sheet())
    low, right, mixed = (setting.outside.estimate for setting in dug.settings[:3])
    for found in (low, right, mixed, dug.outside.estimate):
        assert found.low < FIELD.soil.reaction < found.high
    made_of = np.mean([MADE_FROM[row] for row in (2, 11, 30, 33, 47, 62)])
    assert (mixed.readings, mixed.bounds) == (4, 2)
    assert abs(mixed.reaction - made_of) < 0.4 * abs(mixed.readings_alone - made_of)
    whole = dug.outside.estimate
    assert (dug.outside.rows, whole.readings, whole.bounds) == (6, 6, 0)
    assert whole.reaction == pytest.approx(made_of, rel=0.01)
    assert whole.spread == pytest.approx(FIELD.soil.spread, rel=0.1)
    loaded = dug.settings[3].outside
    assert loaded.estimate is None and "asks for at most 1365 N" in loaded.why_none
    assert dug.in_tracks.rows == 2 and dug.in_tracks.why_none.startswith("2 of 2 rows give a reading")


def test_another_line_of_draft_changes_the_newtons_and_hardly_the_bar():
    """910 N becomes 830 N with all of it dragged; the pressure that follows stays within 1 bar."""
    dragged = replace(DRILL, opener=replace(DRILL.opener, dragged_share=1.0))
    own, other = (
        sheet_dug(drill, FIELD, read_dig_sheet()).settings[1].outside.estimate for drill in (DRILL, dragged)
    )
    assert (round(own.reaction), round(other.reaction)) == (910, 830)
    assert other.needed == pytest.approx(own.needed, abs=1e5)


def test_what_goes_into_the_field_file_is_the_mean_and_its_own_uncertainty():
    """Standard error at 30 bar: 140 N over the root of 6, 57 N; times t over z at 95 %, 2.015 over 1.645."""
    found = sheet_dug(DRILL, FIELD, read_dig_sheet()).settings[1].outside.estimate
    assert found.uncertainty == pytest.approx(140 / np.sqrt(6) * 2.015 / 1.645, abs=0.5)
    assert found.high - found.reaction == pytest.approx(2.571 * 140 / np.sqrt(6), abs=1.0)


def test_two_pressures_in_one_soil_agree_within_their_intervals():
    dug = sheet_dug(DRILL, FIELD, dug_in(1100.0, (30e5, 45e5), rows=range(1, 13), noise=0.002))
    low, high = (setting.outside.estimate for setting in dug.settings)
    assert low.low < 1100.0 < low.high and high.low < 1100.0 < high.high
    whole = dug.outside.estimate
    assert whole.low < 1100.0 < whole.high and whole.spread < max(low.spread, high.spread)


def test_seeds_of_one_row_count_as_one_hole():
    few = sheet_dug(DRILL, FIELD, dug_in(1100.0, (30e5,), seeds=1)).outside.estimate
    many = sheet_dug(DRILL, FIELD, dug_in(1100.0, (30e5,), seeds=9)).outside.estimate
    assert (few.low, few.high) == pytest.approx((many.low, many.high), rel=1e-9)


def test_the_mean_depth_of_a_row_is_that_of_its_seeds():
    sheet = dug_in(1100.0, (30e5,), rows=(5, 3, 9))
    depth = np.array([0.020, 0.030, 0.010, 0.020, 0.030, 0.050])
    setting = sheet_dug(DRILL, FIELD, replace(sheet, depth=depth)).settings[0]
    assert setting.row.tolist() == [3, 5, 9]
    np.testing.assert_allclose(setting.depth, [0.015, 0.025, 0.040])


def test_rows_in_tracks_have_a_soil_of_their_own():
    sheet = dug_in(1100.0, (40e5,), rows=(2, 11, 24, 30, 40, 41), tracks=(24, 40, 41))
    dug = sheet_dug(DRILL, FIELD, sheet)
    assert dug.outside.estimate.reaction == pytest.approx(1100.0, rel=1e-6)
    assert dug.in_tracks.estimate.reaction == pytest.approx(1540.0, rel=1e-6)


def test_a_row_counts_once_by_its_readings_weighed_by_depth_squared():
    """By hand: depths of 24 and 32 mm of one row weigh 576 and 1024."""
    sheet = dug_in(1100.0, (25e5, 40e5), rows=(2, 11, 30), seeds=1)
    depth = np.where(sheet.gauge_pressure < 30e5, 0.024, 0.032)
    dug = sheet_dug(DRILL, FIELD, replace(sheet, depth=depth))
    first, second = (setting.outside.estimate.reaction for setting in dug.settings)
    whole = dug.outside.estimate
    assert whole.reaction == pytest.approx((576 * first + 1024 * second) / 1600, rel=1e-9)
    assert (whole.readings, dug.outside.rows) == (3, 3)


def test_a_row_without_a_reading_counts_by_its_tightest_bound():
    """Three rows free at 40 bar; one loaded at 40 and at 60 bar: the bound of the lower pressure holds."""
    rows = (2, 11, 30, 47)
    sheet = dug_in(1100.0, (40e5, 60e5), rows=rows, seeds=1, noise=0.001)
    sheet = replace(sheet, free=(sheet.gauge_pressure < 50e5) & (sheet.row != 47))
    whole = sheet_dug(DRILL, FIELD, sheet).outside.estimate
    alone = sheet_dug(DRILL, FIELD, sheet).settings[0].outside.estimate
    assert (whole.readings, whole.bounds) == (3, 1)
    assert whole.reaction == pytest.approx(alone.reaction, rel=1e-9) and whole.reaction < whole.readings_alone


def test_a_row_that_contradicts_itself_is_named():
    sheet = dug_in(2000.0, (20e5, 25e5), rows=(2, 11, 30, 47), seeds=1)
    dug = sheet_dug(DRILL, FIELD, replace(sheet, free=~((sheet.row == 11) & (sheet.gauge_pressure < 22e5))))
    assert dug.outside.estimate is None
    assert dug.outside.why_none.startswith(
        "Row 11 has a loaded wheel at one pressure and runs much too shallow"
    )


def test_fewer_than_three_readings_give_no_number():
    dug = sheet_dug(DRILL, FIELD, dug_in(1100.0, (30e5,), rows=(2, 11)))
    assert dug.outside.estimate is None and "2 of 2 rows give a reading" in dug.outside.why_none
    assert what_the_soil_asks(DRILL, FIELD, dug)[0].basis == "field file"


def test_a_row_that_the_drill_has_not_is_refused():
    with pytest.raises(ValueError, match=r"made.csv has a dig in row 47, but this drill has 24 rows"):
        sheet_dug(example_drill("box_drill_15ft"), FIELD, dug_in(1100.0, (30e5,)))


def test_a_dig_overrides_the_field_and_the_estimates_follow():
    dug = sheet_dug(DRILL, FIELD, read_dig_sheet())
    asked = what_the_soil_asks(DRILL, FIELD, dug, 1e6, "sandy loam (LLL), 15 % water")
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
