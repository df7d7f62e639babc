"""Numbers in the tables of the setting workbook, by hand where a sum does it, else against their study."""

import re

import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study.pressure_setting import recommend
from downforce.study.setting.gauge_face import gauge_face
from downforce.study.setting.reasons import range_words, verdict_words
from downforce.workbook.bench import Bench
from downforce.workbook.cylinders.tables import season
from downforce.workbook.setting import lesson
from downforce.workbook.style import percent

UNITS = pytest.mark.parametrize("units", ["metric", "US"])


def bench(units="metric", drill="air_drill_12m", field="firm"):
    return Bench(example_drill(drill), example_field(field), units)


def cells(page):
    return [row.split("; ") for row in page.plain.replace("\N{NO-BREAK SPACE}", " ").split("\n")[2:]]


@UNITS
@pytest.mark.parametrize("drill", ["air_drill_12m", "box_drill_15ft"])
def test_settings_by_soil_are_those_of_the_study(units, drill):
    desk = bench(units, drill, "dry_hard_tracks")
    show = desk.units.show
    rows = {row[0]: row[1:] for row in cells(lesson.settings_table(desk))}
    for field in season(desk):
        found, row = recommend(desk.drill, field), rows[field.name]
        assert row[:3] == [
            show("force", field.opener_soil.target_reaction),
            show("force", field.aim.gauge_wheel_load),
            show("pressure", found.to_set(desk.units)),
        ]
        assert row[4] == range_words(found.interval, desk.units).replace("\N{NO-BREAK SPACE}", " ")
        assert row[5] == verdict_words(found.shares) and row[7] == found.set_by
        parts = found.shares_outside, found.shares_in_tracks
        assert row[6] == (" / ".join(percent(one.short) for one in parts) if field.tracks else "no tracks")
        shown_ends = [float(number) for number in re.findall(r"\d+", row[3])]
        step = desk.units.step("pressure")
        for shown, end in zip((shown_ends[0], shown_ends[-1]), found.band, strict=True):
            assert shown == pytest.approx(desk.units.number("pressure", end), abs=1.01 * step)


def test_wanted_loads_of_the_season_by_hand():
    """220 N at 900 and 1050 N of soil, 1500 N in tracks: moments about the pivot of the opener, the draft at
    328 mm. 900 N: (220 + 900 + 295 + 437.5 - 825) / 19.0 = 54.1 bar; each 150 N more of soil asks for
    150 x (1 + 0.6 x 328 / 600) / 19.0 = 10.5 bar."""
    for field, wanted in (("firm", "54 bar"), ("dry_hard_tracks", "65 bar")):
        rows = {row[0]: row for row in cells(lesson.reasons_table(bench(field=field)))}
        assert rows["wanted load"][1].startswith(wanted)


@UNITS
def test_reasons_are_those_of_the_study(units):
    desk = bench(units)
    found = recommend(desk.drill, desk.field)
    page = lesson.reasons_table(desk)
    told = {row[0]: row[1] for row in cells(page)[: len(found.reasons)]}
    both = desk.units.both
    assert told["wanted load"] == both("pressure", found.needed)
    # A limit is rounded down.
    lift, step = desk.units.number("pressure", found.lift.lowest), desk.units.step("pressure")
    assert lift - step < float(told["frame lift"].split()[0]) <= lift
    assert told["enough rows"] == both("pressure", found.needed_for_share)
    assert f"Set {found.words(desk.units)}; decided by: {found.set_by}." in page.plain


def test_pull_at_the_tread_by_hand():
    """0.6 x 100, 220, 400 and 890 N (0.6 from memory)."""
    rows = cells(lesson.wheel_test_table(bench()))[:4]
    assert rows == [["100 N", "60 N"], ["220 N", "132 N"], ["400 N", "240 N"], ["890 N", "534 N"]]
    pounds = cells(lesson.wheel_test_table(bench("US")))[:4]
    assert pounds == [
        ["22 lbf", "13 lbf"],
        ["49 lbf", "30 lbf"],
        ["90 lbf", "54 lbf"],
        ["200 lbf", "120 lbf"],
    ]


@UNITS
def test_marks_of_the_gauge_are_those_of_the_study(units):
    desk = bench(units)
    face = gauge_face(desk.drill, season(desk), today=desk.field)
    plain = lesson.gauge_page(desk).plain
    assert f"right to within {desk.units.both('pressure', 0.016 * 160e5)} anywhere" in plain
    for field in season(desk):
        start = recommend(desk.drill, field).to_set(desk.units)
        assert re.search(rf"{field.name}: .*start at {desk.units.show('pressure', start)}\b", plain)
    red = float(re.search(r"Red line (\d+)", plain)[1])
    assert red == pytest.approx(desk.units.number("pressure", face.red_line), abs=desk.units.step("pressure"))


def test_a_dig_is_reported_at_the_depth_of_the_field():
    report = lesson.dig_report(bench(), "31 28 34 30 mm", "45 bar").replace("\N{NO-BREAK SPACE}", " ")
    assert report.startswith("All 4 rows give a reading.\nSoil reaction at 40 mm (1.6 in): ")
    alone = report.partition("1.6 in): ")[2].partition(" (")[0]
    report = lesson.dig_report(bench(), "31 28 34 30 mm", "45 bar", loaded=2).replace(
        "\N{NO-BREAK SPACE}", " "
    )
    words = f"4 rows give a reading, 2 only a bound; without the bounds it would be {alone}.\nSoil reaction"
    assert report.startswith(words)


@UNITS
@pytest.mark.parametrize("drill", ["air_drill_12m", "box_drill_15ft"])
def test_remedies_are_told_in_the_units_of_the_reader(units, drill):
    told = lesson.remedies_table(bench(units, drill, "dry_hard_tracks")).plain
    for own, other in (("bar", "psi"), ("km/h", "mph"), ("mm", "in")):
        meant, strange = (own, other) if units == "metric" else (other, own)
        number = r"\d\s{}\b"
        assert re.search(number.format(meant), told)
        assert not re.search(number.format(strange), told.replace("rows in 10", "rows"))
