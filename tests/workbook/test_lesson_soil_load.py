"""The soil workbook: its panels at covering corners, its words against the studies, the numbers it quotes."""

import re

import nbformat
import numpy as np
import pytest
from corners import alone, covering_corners

from downforce.machine.field import Soil
from downforce.machine.reader import read_field
from downforce.machine.readings import read_dig_sheet
from downforce.machine.shipped import example_drill, example_field, shipped_fields
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import usual_sample
from downforce.study.rows import sample_loads
from downforce.study.soil_limits import draft_loads, emergence, emergence_of
from downforce.study.soil_load import gauge_wheel_sinkage, sheet_dug, what_the_soil_asks, wheel_mark
from downforce.workbook.bench import Bench, PlainProblem
from downforce.workbook.series import workbook
from downforce.workbook.soil import lesson
from downforce.workbook.soil.drawing_limits import _bands
from downforce.workbook.soil.tables import CONE_START, SOIL_START, as_long

NOTEBOOK = workbook("soil_load").path
DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
FIELDS = ("moist_soft", "firm", "dry_hard_tracks")
SHEET = read_dig_sheet()


def evidence_panel(bench):
    return lesson.evidence_panel(bench, SHEET)


PANELS = {
    "asked": lesson.asked_panel,
    "reached": lesson.reached_panel,
    "stress": lesson.stress_panel,
    "draft": lesson.draft_panel,
    "emergence": lesson.emergence_panel,
    "evidence": evidence_panel,
}
PAGES = (
    lesson.sinkage_table,
    lesson.emergence_table,
    lambda bench: lesson.dig_table(bench, SHEET),
    lambda bench: lesson.evidence_table(bench, SHEET),
)


def bench(drill="air_drill_12m", field="firm", units="metric"):
    return Bench(example_drill(drill), example_field(field), units)


def no_holes(text):
    return text.strip() and not re.search(r"\b(nan|inf|no value|None)\b", text)


def plain(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize("build", PANELS.values(), ids=PANELS)
@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_covering_corners_compute_and_speak_in_every_field(build, drill, units, unrendered):
    for field in FIELDS:
        panel = build(bench(drill, field, units))
        said = set()
        for corner in covering_corners(panel):
            panel.set(**corner)
            said.add(panel.sentence)
        assert all(no_holes(text) for text in said)
        assert len(said) >= 4


@pytest.mark.parametrize("build", PANELS.values(), ids=PANELS)
@pytest.mark.parametrize(("drill", "units"), list(zip(DRILLS, ("US", "metric", "US"), strict=True)))
def test_every_control_changes_picture_and_sentence(build, drill, units):
    panel = build(bench(drill, "dry_hard_tracks", units))
    for name, control in panel.controls.items():
        seen = []
        for value in (control.ends[0], control.ends[-1]):
            panel.set(**alone(panel, **{name: value}))
            seen.append((panel.picture_png(), panel.sentence))
            assert no_holes(panel.alt)
        assert seen[0][0] != seen[1][0], name
        assert seen[0][1] != seen[1][1], name


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_every_page_is_whole_in_every_drill_and_unit_system(drill, units):
    for field in FIELDS:
        here = bench(drill, field, units)
        for page in PAGES:
            shown = page(here)
            assert no_holes(shown.plain)
            assert shown.html.count("<caption") == 1
            assert shown.html.count('scope="row"') == shown.html.count("<tr>") - 1
    assert no_holes(lesson.forces_picture(here).plain)


@pytest.mark.parametrize("drill", DRILLS)
def test_what_is_reached_is_the_balance_of_the_opener(drill, unrendered):
    here = bench(drill, "firm", "metric")
    panel = lesson.reached_panel(here)
    panel.set(soil=panel.controls["soil"].high, pressure=panel.controls["pressure"].low)
    field, values = here.field, panel.values
    soil = Soil(values["soil"], 0.04, 0.04, field.soil.exponent, field.soil.draft_ratio)
    loads = opener_loads(here.drill.opener, here.drill.cylinder, soil, 0.0, values["pressure"] * 1e5)
    assert str(loads.regime) == "not at depth" and ": not at depth." in panel.sentence
    assert f"reaches {here.units.show('length', float(loads.depth))} of 40 mm" in panel.sentence
    assert here.units.show("force", float(loads.down_force)) in panel.sentence


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_panels_start_from_the_recommended_setting(drill, units):
    here = bench(drill, "firm", units)
    gauge = lesson.reached_panel(here).controls["pressure"]
    assert here.units.si("pressure", gauge.value) == pytest.approx(here.dialled)
    # Any reading can be typed, and the gauge turned by its own steps.
    assert gauge.step == {"metric": 1, "US": 5}[units]
    # Counted depths come from a sample that leaves the frame on the ground: no pressure above the setting.
    counted_at = lesson.emergence_panel(here).controls["depths"].ends[1:]
    assert counted_at[-1] == here.dialled and len(counted_at) == 3
    assert np.diff(counted_at) == pytest.approx(4 * here.units.gauge_step)


def test_what_the_panel_says_for_a_field_file_is_read_as_it_was_meant(tmp_path, unrendered):
    said = evidence_panel(bench()).sentence
    value, depth = re.search(r'reaction "([^"]+)", reference depth ([0-9.]+.mm)', said).groups()
    text = dict(shipped_fields())["firm"].read_text(encoding="utf-8")
    text = text.replace('reaction = "900 N"', f'reaction = "{value}"')
    path = tmp_path / "mine.toml"
    text = text.replace('reference_depth = "40 mm"', f'reference_depth = "{depth}"')
    path.write_text(text, encoding="utf-8")
    here = bench()
    field, found = read_field(path), sheet_dug(here.drill, here.field, SHEET).outside.estimate
    assert field.soil.reaction == pytest.approx(found.reaction, abs=0.5)
    assert field.doubts[0].path == ("soil", "reaction")
    assert field.doubts[0].uncertainty == pytest.approx(found.uncertainty, abs=0.5)


def test_every_regime_has_its_sentence(unrendered):
    panel = lesson.reached_panel(bench())
    for change, words in (
        ({}, "are left on the gauge wheel"),
        ({"soil": 1500}, "the gauge wheel carries nothing"),
        ({"travel": 130}, "holds it against its stop"),
        ({"soil": 2250, "pressure": 60}, "needs 148 bar, more than the 120 bar that its valve can hold"),
    ):
        panel.reset()
        panel.set(**change)
        assert words in panel.sentence, panel.sentence
    box = lesson.reached_panel(bench("box_drill_15ft", "firm", "metric"))
    box.set(travel=box.controls["travel"].low)
    assert box.result.regime in box.sentence


@pytest.mark.parametrize("units", ["metric", "US"])
def test_tables_hold_the_numbers_of_the_studies(units):
    desk = bench(units=units)
    drill, field, show = desk.drill, desk.field, desk.units.show

    def cells(page):
        return [row.split("; ") for row in page.plain.split("\n")[2:-1]]

    loads = (field.aim.gauge_wheel_load, field.aim.heavy_load, 1.5 * field.aim.heavy_load)
    page = lesson.sinkage_table(desk)
    assert [f"Sinkage under {show('force', load)}" in page.plain for load in loads] == [True] * 3
    found = [gauge_wheel_sinkage(drill.opener, load) for load in loads]
    for row, soils in zip(cells(page), zip(*found, strict=True), strict=True):
        sunk = [show("length", s.sinkage) if s.carried else "to the axle: not carried" for s in soils]
        assert row == [soils[0].soil, *sunk]

    dug = sheet_dug(drill, field, SHEET)
    found = [(f"outside tracks, {show('pressure', one.gauge_pressure)}", one.outside) for one in dug.settings]
    found += [("outside tracks, all pressures", dug.outside), ("in tracks, all pressures", dug.in_tracks)]
    shown = cells(lesson.dig_table(desk, SHEET))
    for row, (name, said) in zip(shown, found, strict=True):
        assert row[0] == name
        if said.estimate is None:
            assert row[2:4] == ["not found"] * 2 and "; ".join(row[4:]) == said.why_none
        else:
            low, high = show("force", said.estimate.low), show("force", said.estimate.high)
            assert row[2:4] == [show("force", said.estimate.reaction), f"{low} to {high}"]
            assert row[4].startswith(said.estimate.counted)
    for row, setting in zip(shown, dug.settings, strict=False):
        assert row[1] == show("length", np.mean(setting.depth[~setting.in_track]))
    alone = show("force", dug.settings[2].outside.estimate.readings_alone)
    assert shown[2][4:] == [
        "4 rows give a reading, 2 only a bound",
        f"without the bounds it would be {alone}",
    ]

    page = lesson.evidence_table(desk, SHEET)
    asked = what_the_soil_asks(drill, field, dug, CONE_START, SOIL_START)
    for row, source in zip(cells(page), asked, strict=True):
        assert row[1:4] == [
            show("force", source.low),
            show("force", source.middle),
            show("force", source.high),
        ]
    assert f"asks at {show('length', field.target_depth)}" in page.plain
    assert f"Cone reading of {show('stress', 1e6)} " in page.plain

    page = lesson.emergence_table(desk).plain
    # A guard: the page says what the table holds of [MOH] and [WHA].
    for low, high in ((0.034, 0.114), (0.11, 0.14), (0.10, 0.11)):
        assert f"{show('length', low)} to {show('length', high)}" in page
    assert "17 % lost to 61 % lost" in page and "; 28 %; " in page


@pytest.mark.parametrize("units", ["metric", "US"])
def test_stress_sentence_holds_the_numbers_of_the_study_and_no_verdict(units, unrendered):
    here = bench("air_drill_12m", "moist_soft", units)
    panel = lesson.stress_panel(here)
    panel.set(load=panel.controls["load"].high)
    values = panel.values
    mark = wheel_mark(
        here.drill.opener,
        here.units.si("force", values["load"]),
        here.units.si("length", values["contact"]),
        "soft wet",
        180.0,
        0.04,
        [0.04],
    )
    assert here.units.show("stress", mark.contact_pressure) in panel.sentence
    digits = 1 if units == "metric" else 2
    assert here.units.show("stress", mark.seed_depth_stress, digits) in panel.sentence
    assert "factor 6" in panel.sentence
    assert "We found no published stress at which a slot wall smears or shuts" in panel.sentence
    assert not re.search(r"\b(safe|damaging|too high|limit of)\b", panel.sentence)


def test_margin_sentence_holds_the_numbers_of_the_study(unrendered):
    here = bench()
    panel = lesson.draft_panel(here)
    panel.set(speed=12, closing=50)
    study = draft_loads(here.drill.opener, here.field, 0.35, np.radians(5.0), 12 / 3.6, 0.0, 50.0)
    for load in (study.draft, study.lost_on_arm, study.trailing_arm, study.parallel_linkage):
        assert here.units.show("force", float(load)) in panel.sentence
    assert "12 % more than in the field as set" in panel.sentence
    panel.reset()
    assert "as in the field as set" in panel.sentence


@pytest.mark.parametrize("drill", DRILLS)
def test_draft_panel_opens_at_the_drills_own_line_and_says_what_the_line_decides(drill, unrendered):
    here = bench(drill)
    panel = lesson.draft_panel(here)
    assert panel.values["dragged"] == 35
    assert float(panel.result.now.trailing_arm) == pytest.approx(here.field.aim.gauge_wheel_load)
    assert "We found no published share; 0 % to 50 % can be defended." in plain(panel.sentence)
    links = float(panel.result.now.parallel_linkage)
    for dragged, taken in zip((0, 35, 100), panel.result.taken, strict=True):
        panel.set(dragged=dragged)
        assert float(panel.result.now.lost_on_arm) == pytest.approx(taken)
        assert here.units.show("force", taken) in panel.sentence
        assert float(panel.result.now.parallel_linkage) == links
    assert "wherever it acts" in panel.sentence


def test_a_measured_line_is_named_and_a_high_one_presses_down(unrendered):
    from dataclasses import replace

    air = example_drill("air_drill_12m")
    opener = replace(air.opener, dragged_share=None, draft_height=0.094)
    panel = lesson.draft_panel(Bench(replace(air, opener=opener), example_field("firm"), "metric"))
    assert panel.values["dragged"] == 50
    assert "320 N with this drill's own line, 94 mm over the surface" in plain(panel.sentence)
    assert "That line was measured." in panel.sentence and "published" not in panel.sentence
    low = replace(air.opener, pivot=(air.opener.pivot[0], 0.10))
    panel = lesson.draft_panel(Bench(replace(air, opener=low), example_field("firm"), "metric"))
    assert "it adds 20 N to the trailing arm's gauge wheel" in plain(panel.sentence)


def test_the_draft_arrow_stands_on_the_line_of_draft():
    from dataclasses import replace

    from matplotlib.figure import Figure

    from downforce.workbook.setting.drawing_spread import ForcesPicture

    air = example_drill("air_drill_12m")
    for opener in (air.opener, replace(air.opener, dragged_share=None, draft_height=0.0)):
        figure = Figure()
        ForcesPicture(replace(air, opener=opener), bench().units).draw(figure)
        arrows = {text.get_text(): text for text in figure.axes[0].texts}
        line = opener.draft_line()
        assert arrows["draft H"].xy[1] == pytest.approx(line)
        assert arrows["soil reaction V"].xy[0] == pytest.approx(opener.disc[0])


def test_emergence_sentence_holds_the_numbers_of_the_study_and_promises_nothing(unrendered):
    panel = lesson.emergence_panel(bench())
    panel.set(mean=35, spread=12, deepest=45)
    study = emergence(0.035, 0.012, 285.15, 0.025, 0.045)
    assert f"{study.days_apart:.1f} days apart" in panel.sentence
    assert f"{100 * study.shares.in_window:.0f} % of the seeds" in panel.sentence
    assert "not what is harvested" in panel.sentence
    assert panel.sentence.startswith("A normal curve, from the mean and the spread that you typed.")


@pytest.mark.parametrize("units", ["metric", "US"])
def test_emergence_of_the_rows_is_counted_from_their_depths(units, unrendered):
    here = bench("air_drill_12m", "firm", units)
    panel = lesson.emergence_panel(here)
    sample = usual_sample(here.drill, here.field)
    for pressure in panel.controls["depths"].ends[1:]:
        panel.set(depths=pressure)
        depth = sample_loads(here.drill.opener, here.drill.cylinder, here.field, sample, pressure).depth
        values = (here.units.si("length", panel.values[name]) for name in ("shallowest", "deepest"))
        warmth = here.units.si("temperature", panel.values["temperature"])
        study = emergence_of(depth, warmth, *values)
        assert f"{study.days_apart:.1f} days apart" in panel.sentence
        assert "0 % too deep" in panel.sentence and study.shares.deep == 0
        assert "seeds bounce in the slot and lie wider" in panel.sentence
        assert f"at {here.units.show('pressure', pressure)}, " in panel.sentence
        shallow = round(100 * np.mean(depth < here.field.target_depth))
        assert f"{shallow} % of them not at depth" in plain(panel.sentence)
        # The outline on the picture holds every seed once, whatever its scale.
        bars = panel.result.bell[::2]
        assert bars.max() == 1.0 and panel.result.up[-1] == 1.0
        share = np.mean(np.abs(depth - here.field.target_depth) < 0.00125)
        assert bars.sum() == pytest.approx(1 / share, rel=1e-6)


def test_evidence_uses_the_dig_and_marks_the_estimates(unrendered):
    here = bench()
    panel = evidence_panel(here)
    dug = sheet_dug(here.drill, here.field, SHEET)
    found = dug.outside.estimate
    assert panel.result.asked == what_the_soil_asks(
        here.drill, here.field, dug, 1e6, "sandy loam (LLL), 15 % water"
    )
    assert panel.sentence.startswith("Use the dig sheet: ")
    for value in (found.reaction, found.low, found.high):
        assert here.units.show("force", value) in panel.sentence
    assert here.units.show("pressure", found.needed) in panel.sentence
    assert "All 6 rows give a reading. " in panel.sentence
    assert "rows differ, so that is the least to ask for" in panel.sentence
    assert "Estimates, not measurements" in panel.sentence
    other = evidence_panel(bench("box_drill_15ft"))
    assert other.sentence.startswith("Use the field file: ")
    assert "Was it dug behind another drill?" in other.sentence


def test_a_sheet_with_bounds_says_what_leaving_them_out_would_say(unrendered):
    from dataclasses import replace

    at_40 = SHEET.gauge_pressure == 40e5
    columns = ("row", "depth", "gauge_pressure", "free", "in_track")
    mixed = replace(SHEET, **{name: getattr(SHEET, name)[at_40] for name in columns})
    panel = lesson.evidence_panel(bench(), mixed)
    words = "4 rows give a reading, 2 only a bound; without the bounds it would be 1005 N. "
    assert words in plain(panel.sentence) and plain(panel.sentence).startswith("Use the dig sheet: 936 N")


def test_a_sheet_of_loaded_wheels_says_what_is_known(unrendered):
    from dataclasses import replace

    loaded = replace(SHEET, free=np.zeros_like(SHEET.free))
    panel = lesson.evidence_panel(bench(), loaded)
    assert panel.sentence.startswith("Use the field file: ")
    assert "Under loaded wheels it asks for at most" in panel.sentence
    assert "0 of 6 rows give a reading" in lesson.dig_table(bench(), loaded).plain


def test_a_bad_sheet_comes_back_as_sentences(tmp_path):
    with pytest.raises(PlainProblem, match="There is no file at"):
        lesson.open_digs(tmp_path / "none.csv")


def test_sums_by_hand():
    """By hand: 31 mm of 40; 236 N at the axle, 405 N below; 77.5, 115 degree days, 3.1 days; 29.6 %."""
    here = bench()
    assert lesson.depth_when_short(here, "1500 N", "60 bar").startswith("Depth: 31 mm (1.2 in) of 40 mm")
    assert lesson.lift_by_draft(here, "540 N", "262 mm", "600 mm") == "Off the gauge wheel: 236 N (53 lbf)"
    assert lesson.lift_by_draft(here, "540 N", "450 mm", "600 mm") == "Off the gauge wheel: 405 N (91 lbf)"
    assert lesson.delay("25 mm", "50 mm", "12 degC") == "Degree-days: 77.5 and 115.0\nDelay: 3.1 days"
    assert lesson.bearing_life(1.5) == "Load x 1.5: 29.6 % of the life"
    with pytest.raises(ValueError, match="has no unit"):
        lesson.delay("25", "50 mm", "12 degC")


QUOTED = [
    ("asked", {"soil": "Firm no-till"}, ["700 N", "1200 N"]),
    ("asked", {}, ["750 N", "1050 N"]),
    ("asked", {"depth": 50}, ["1125 N"]),
    ("asked", {"depth": 50, "exponent": 0.8}, ["1076 N"]),
    ("asked", {"reference": 50}, ["720 N"]),
    ("reached", {"soil": 1500, "pressure": 75}, ["36 mm"]),
    ("reached", {"soil": 1500, "pressure": 95}, ["40 mm", "201 N"]),
    ("reached", {"kind": "spring", "travel": -50}, ["37 mm"]),
    ("reached", {"kind": "spring", "travel": -100}, ["27 mm"]),
    ("reached", {"travel": -100, "pressure": 60}, ["60 bar", "40 mm", "213 N"]),
    ("stress", {}, ["24 kPa", "7.1 kPa"]),
    ("stress", {"load": 890}, ["99 kPa", "28.7 kPa", "1.5 %"]),
    ("stress", {"load": 890, "state": "hard"}, ["29.8 kPa"]),
    ("stress", {"load": 890, "state": "soft wet"}, ["27.4 kPa"]),
    ("stress", {"load": 890, "contact": 180}, ["66 kPa", "19.5 kPa"]),
    ("draft", {}, ["540 N", "220 N", "468 N"]),
    ("draft", {"dragged": 0}, ["236 N", "405 N", "279 N", "468 N"]),
    ("draft", {"dragged": 100}, ["405 N", "110 N", "468 N"]),
    ("draft", {"speed": 12}, ["12 %", "605 N", "185 N", "462 N"]),
    ("draft", {"closing": 100}, ["175 N", "100 N"]),
    ("draft", {"deeper": 10}, ["278 N", "not at depth"]),
    ("emergence", {"mean": 35, "spread": 8, "deepest": 45}, ["79 %", "3.3 days"]),
    ("emergence", {"mean": 35, "spread": 12, "deepest": 45}, ["60 %", "4.9 days"]),
    ("emergence", {"temperature": 8}, ["4.9 days"]),
    ("evidence", {}, ["747 N", "1066 N", "55 bar", "43 bar", "66 bar", "906 N ± 76 N", "129 N", "175 N"]),
    ("evidence", {"soil": "heavy clay (WES), 25 % water"}, ["1622 N", "1992 N"]),
]


@pytest.fixture(scope="module")
def words():
    cells = nbformat.read(NOTEBOOK, as_version=4).cells
    return " ".join(" ".join(c.source.split()) for c in cells if c.cell_type == "markdown")


@pytest.mark.parametrize(("panel", "values", "numbers"), QUOTED)
def test_answers_in_the_workbook_are_what_the_panel_says(panel, values, numbers, words, unrendered):
    shown = PANELS[panel](bench())
    shown.set(**values)
    for number in numbers:
        assert number in plain(shown.sentence), (number, shown.sentence)
        written = number if number not in ("43 bar", "66 bar") else "43 to 66 bar"
        assert written in words, number


def test_what_the_workbook_says_of_the_digs_is_what_they_give(words):
    from dataclasses import replace

    air, firm = example_drill("air_drill_12m"), example_field("firm")
    dragged = replace(air, opener=replace(air.opener, dragged_share=1.0))
    dug, other = (sheet_dug(drill, firm, SHEET) for drill in (air, dragged))
    mixed = dug.settings[2].outside.estimate
    assert f"they say {mixed.readings_alone:.0f} N" in words and f"it is {mixed.reaction:.0f} N" in words
    ours, theirs = (each.outside.estimate.reaction for each in (dug, other))
    assert f"{theirs:.0f} N, not {ours:.0f} N" in words


def test_the_way_by_hand_is_that_of_the_library(words):
    """1140 N + 825 N of weight - 437.5 N of closing wheel; 1.328 N of push for each newton of soil."""
    drill = example_drill("air_drill_12m")
    weight, closing, _, lift = (float(v) for v in drill.opener.shares(np.array(0.0), np.array(0.0)))
    push = float(drill.cylinder.down_force(drill.opener, 0.0, 60e5))
    push += weight * drill.opener.weight - closing * drill.opener.closing_load
    assert push == pytest.approx(1527.5, abs=0.5) and "1527.5 N" in words
    assert 1 + 0.6 * lift == pytest.approx(1.328, abs=0.0005) and "= 1.328 N" in words
    assert push / 1.328 == pytest.approx(1150, abs=1) and "= 1150 N" in words
    assert push / 1.328 / 1500 == pytest.approx(0.77, abs=0.005)
    assert drill.opener.draft_line() == pytest.approx(0.122, abs=0.0005) and "0.65 × 188 = 122 mm" in words


def test_bands_of_the_stress_scale_are_plain_numbers_and_show_a_light_wheel():
    for most in (16.1, 111.0, 167.0, 8.0):
        edges = _bands(most)
        assert edges[0] == 0 and most / 2.5 < edges[-1] <= most and 5 <= edges.size <= 8
        assert {f"{edge:.0e}"[0] for edge in edges[1:]} == {"1", "2", "5"}
        assert edges[3] < 0.15 * most


def test_a_life_that_hardly_differs_is_not_counted():
    assert as_long(1.0) == as_long(1.03) == "about as long"
    assert as_long(0.296) == "30 % as long" and as_long(2.4) == "2.4 times as long"
