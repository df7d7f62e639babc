"""Marks on the gauge: bands in order, today's red line, and starts that are each soil's own."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.machine.shipped import example_drill, example_field, shipped_drills, shipped_fields, table_rows
from downforce.machine.units import METRIC, US
from downforce.study.frame_lift import lift_pressure
from downforce.study.pressure_setting import recommend
from downforce.study.rows import assumed_sample
from downforce.study.setting.gauge_face import GAUGE_CLASSES, gauge_face, scale_ticks

DRILLS = [example_drill(key) for key, _ in shipped_drills()]
FIELDS = [example_field(key) for key, _ in shipped_fields()]
AIR, BOX = example_drill("air_drill_12m"), example_drill("box_drill_15ft")


def settings_for(drill, fields, fill=0.0):
    return [recommend(drill, field, assumed_sample(drill, field, 96), fill) for field in fields]


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.name)
def test_starts_rise_with_the_soil_and_lie_in_bands_below_their_ceilings(drill):
    face = gauge_face(drill, FIELDS)
    starts = [band.start for band in face.bands]
    assert starts == sorted(starts)
    assert [band.kind for band in face.bands] == ["soft", "usual", "hard"]
    assert all(band.low <= band.start <= band.high <= band.ceiling for band in face.bands)


@pytest.mark.parametrize("today", FIELDS, ids=lambda field: field.name)
def test_the_red_line_is_the_low_end_of_the_lift_in_todays_soil(today):
    face = gauge_face(AIR, FIELDS, today=today)
    lift = recommend(AIR, today).lift_interval
    assert face.red_line == lift[0] < float(lift_pressure(AIR, today.opener_soil).lowest)
    assert face.red_line_set_by == f"the frame may lift in {today.name}: left wing, left wing wheel"
    assert gauge_face(AIR, [today]).red_line == face.red_line


def test_a_start_above_todays_red_line_is_said_to_be_so():
    soft = example_field("moist_soft")
    face = gauge_face(AIR, FIELDS, today=soft)
    assert [band.beyond for band in face.bands] == [band.start > face.red_line for band in face.bands]
    assert face.bands[2].start > face.red_line and face.bands[2].start <= face.bands[2].ceiling
    hard = example_field("dry_hard_tracks")
    assert not any(band.beyond for band in gauge_face(AIR, FIELDS, today=hard).bands)


def test_the_relief_valve_is_the_red_line_where_it_comes_first():
    valve = replace(AIR.hydraulics.valve, relief_pressure=70e5)
    face = gauge_face(replace(AIR, hydraulics=replace(AIR.hydraulics, valve=valve)), FIELDS)
    assert face.red_line == 70e5 and face.red_line_set_by == "the relief valve"


def test_todays_face_has_one_band_as_recommended():
    field = example_field("firm")
    setting = recommend(AIR, field)
    (band,) = gauge_face(AIR, [field]).bands
    assert (band.low, band.high) == setting.band
    assert band.start == setting.setting and band.kind == "usual" and not band.beyond


def test_an_emptying_hopper_holds_the_start_of_a_hard_soil():
    empty, full = (gauge_face(BOX, FIELDS, fill) for fill in (0.0, 1.0))
    assert empty.red_line < full.red_line
    assert empty.bands[2].start < full.bands[2].start


def test_overlapping_bands_stay_whole():
    fields = (example_field("firm"), example_field("dry_hard_tracks"))
    firm, hard = settings_for(AIR, fields)
    wide = replace(firm, band=(firm.band[0], hard.band[0] + 1e5), limit=hard.limit)
    face = gauge_face(AIR, fields, 0.0, [wide, hard])
    assert [(band.low, band.high) for band in face.bands] == [wide.band, hard.band]
    assert face.bands[0].high > face.bands[1].low


def test_the_gauge_errs_by_its_class_all_over_the_dial():
    """Class 1.6 on 0-10 bar is 0.16 bar anywhere: EN 837-1, in sellers' tables."""
    gauge = replace(AIR.hydraulics.gauge, full_scale=10e5, accuracy=0.016)
    small = replace(AIR, hydraulics=replace(AIR.hydraulics, gauge=gauge))
    assert gauge_face(small, FIELDS, 0.0, settings_for(AIR, FIELDS)).error == pytest.approx(0.16e5)
    assert gauge_face(AIR, FIELDS).error == pytest.approx(2.56e5)


def test_the_middle_half_of_the_dial_reads_well():
    assert gauge_face(AIR, [FIELDS[0]]).middle == (40e5, 120e5)


@pytest.mark.parametrize(
    ("full_scale", "units", "major", "minor"),
    [
        (160e5, METRIC, 20, 5),
        (250e5, METRIC, 50, 10),
        (60e5, METRIC, 10, 2),
        (2500 * 6894.757, US, 500, 100),
        (160e5, US, 500, 100),
    ],
)
def test_numbers_on_the_dial_are_those_of_a_real_one(full_scale, units, major, minor):
    numbers, strokes = scale_ticks(full_scale, units)
    assert numbers[0] == strokes[0] == 0
    assert np.diff(numbers) == pytest.approx(major) and np.diff(strokes) == pytest.approx(minor)
    top = float(units.number("pressure", full_scale))
    assert top - major < numbers[-1] <= top * 1.001


def test_a_face_without_a_field_or_with_too_few_settings_is_refused():
    with pytest.raises(ValueError, match="fields is empty"):
        gauge_face(AIR, [])
    with pytest.raises(ValueError, match="today, 'Moist and soft', is none of the fields"):
        gauge_face(AIR, [example_field("firm")], today=example_field("moist_soft"))
    with pytest.raises(ValueError, match="settings has 1 entries; give one for each of the 3 fields"):
        gauge_face(AIR, FIELDS, 0.0, settings_for(AIR, FIELDS[:1]))


@settings(max_examples=25, deadline=None)
@given(
    place=st.integers(0, 2),
    soils=st.lists(st.floats(80.0, 3000.0), min_size=1, max_size=4),
    fill=st.floats(0, 1),
)
def test_no_start_and_no_band_is_above_the_lift_of_its_own_soil(place, soils, fill):
    drill = DRILLS[place]
    fields = [
        replace(FIELDS[1], name=f"soil {number}", soil=replace(FIELDS[1].soil, reaction=soil))
        for number, soil in enumerate(soils)
    ]
    face = gauge_face(drill, fields, fill, settings_for(drill, fields, fill))
    relief = drill.hydraulics.valve.relief_pressure
    lifts = {field.name: float(lift_pressure(drill, field.opener_soil, fill).lowest) for field in fields}
    assert face.red_line <= min(lifts["soil 0"], relief)
    for band in face.bands:
        if band.exists:
            assert band.low <= band.start <= band.high <= band.ceiling <= min(lifts[band.name], relief) + 1e-6
        else:
            assert band.ceiling < face.floor and np.isnan([band.low, band.high]).all()


def test_classes_of_farm_gauges_are_those_of_the_table_from_0_6_up():
    rows = [row for row in table_rows("gauge_classes") if row["standard"] == "EN 837-1"]
    printed = [float(row["middle_half_percent_of_span"]) / 100 for row in rows]
    assert list(GAUGE_CLASSES) == [share for share in printed if share >= 0.006]
