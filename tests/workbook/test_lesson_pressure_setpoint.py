"""The pressure workbook: every corner of its panels, and its words against the studies behind them."""

import json
import re
from dataclasses import replace
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from downforce.machine.shipped import example_drill, example_field
from downforce.machine.units import METRIC, US
from downforce.study.field_check import seeds_to_dig
from downforce.study.frame_lift import lift_pressure
from downforce.study.oil.band import oil_band
from downforce.study.pressure_setting import recommend
from downforce.study.setting.gauge_face import gauge_face
from downforce.study.setting.reading_width import reading_width
from downforce.workbook.bench import Bench
from downforce.workbook.drawing_gauge import draw_gauge, gauge_words
from downforce.workbook.setting import lesson
from downforce.workbook.setting.drawing import spread_out
from downforce.workbook.style import percent

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
FIELDS = ("moist_soft", "firm", "dry_hard_tracks")
PANELS = (
    lesson.ladder_panel,
    lesson.today_panel,
    lesson.spread_panel,
    lesson.turn_up_panel,
    lesson.width_panel,
)
PAGES = (
    lesson.machine_picture,
    lesson.reasons_table,
    lesson.settings_table,
    lesson.gauge_page,
    lesson.next_step_table,
    lesson.wheel_test_table,
)
NOTEBOOK = Path(__file__).resolve().parents[2] / "notebooks" / "06_pressure_setpoint.ipynb"


def bench(drill="air_drill_12m", field="firm", units="metric"):
    return Bench(example_drill(drill), example_field(field), units)


def outer_corners(panel):
    """All corners, with the first and the last of each list."""
    ends = [sorted({c.ends[0], c.ends[-1]}, key=str) for c in panel.controls.values()]
    return [dict(zip(panel.controls, values, strict=True)) for values in product(*ends)]


def no_holes(text):
    return text.strip() and not re.search(r"\b(nan|inf|no value|None)\b", text)


def moved_to(panel, **values):
    panel.reset()
    panel.set(**values)
    return panel.sentence


@pytest.fixture(scope="module")
def panels():
    return {build: build(bench()) for build in PANELS}


@pytest.fixture(scope="module")
def words():
    cells = json.loads(NOTEBOOK.read_text(encoding="utf-8"))["cells"]
    return re.sub(r"\s+", " ", " ".join("".join(cell["source"]) for cell in cells))


@pytest.mark.parametrize("build", PANELS)
@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("drill", DRILLS)
def test_every_corner_computes_and_speaks(unrendered, build, drill, field):
    # Units change the words only: each drill meets one system in two fields and the other in the third.
    units = ("metric", "US")[(DRILLS.index(drill) + FIELDS.index(field)) % 2]
    panel = build(bench(drill, field, units))
    said = {panel._write_sentence(panel._compute(**corner)) for corner in outer_corners(panel)}
    assert all(no_holes(text) for text in said)
    assert len(said) >= 4


@pytest.mark.parametrize("build", PANELS)
@pytest.mark.parametrize(
    ("drill", "field", "units"),
    [
        ("air_drill_12m", "firm", "US"),
        ("box_drill_15ft", "dry_hard_tracks", "metric"),
    ],
)
def test_every_control_changes_picture_and_sentence(build, drill, field, units):
    panel = build(bench(drill, field, units))
    other = {"metric": " psi", "US": " bar"}[units]
    for name, control in panel.controls.items():
        seen = []
        for value in (control.ends[0], control.ends[-1]):
            said = moved_to(panel, **{name: value})
            seen.append((panel.picture_png(), said))
            assert no_holes(panel.alt)
            assert other not in re.sub(r"\([^)]*\)", "", said)
        assert seen[0][0] != seen[1][0], name
        assert seen[0][1] != seen[1][1], name


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_every_page_is_whole(page, drill, units):
    made = page(bench(drill, "dry_hard_tracks", units))
    assert made.plain.strip() and not re.search(r"\b(nan|inf)\b", made.plain)
    assert made.html.count("<table") + made.html.count("<img") == 1


def test_todays_sentence_says_what_the_study_found():
    panel = lesson.today_panel(bench())
    found = panel.result.setting
    assert f"Set {found.words(METRIC)}:" in panel.sentence
    assert f"{percent(found.shares.short)} of the rows are short" in panel.sentence
    said = panel.alt + lesson.reasons_table(bench()).plain
    for words in (found.words_for_share(METRIC, bench().field.aim), found.stop_words):
        assert words and said.count(f" {words}.") == 2
    for reason in found.reasons:
        assert f"{reason.name} {reason.shown(METRIC)}" in panel.alt
    assert recommend(example_drill("air_drill_12m"), example_field("firm")).setting == pytest.approx(
        found.setting
    )


def test_a_setting_out_of_reach_points_at_weight_and_full_hopper_helps():
    panel = lesson.today_panel(bench("box_drill_15ft", "dry_hard_tracks", "US"))
    assert "more weight comes first" in moved_to(panel, fill=0.0)
    assert "more weight comes first" not in moved_to(panel, fill=100.0)


def test_the_sentence_of_the_turned_up_panel_comes_from_the_counting():
    panel = lesson.turn_up_panel(bench())
    result = panel.result
    assert result.springs.shares.mean > result.cylinders.shares.mean
    heavy = [percent(one.shares.packing) for one in (result.springs, result.cylinders)]
    assert f"{heavy[0]} and {heavy[1]} of the rows" in panel.sentence
    assert result.springs.lifts and not result.cylinders.lifts
    assert "With the springs the frame would lift first" in panel.sentence
    assert "With the springs and with the cylinders the frame" in moved_to(panel, share=99.0)
    assert "lift" not in moved_to(panel, share=60.0)


def test_an_empty_hopper_is_named_only_where_there_is_one():
    for drill, hopper in (("air_drill_12m", False), ("double_disc_9m", True), ("box_drill_15ft", True)):
        panel = lesson.turn_up_panel(bench(drill))
        said = moved_to(panel, share=99.0)
        assert "would lift first" in said
        assert ("hopper" in said) == hopper == example_drill(drill).seed_on_frame
        assert "the frame would lift first" in panel._canvas._drawing._means[0].get_text()


@pytest.mark.parametrize("moisture", ["wet", "moist", "dry"])
@pytest.mark.parametrize("units", ["metric", "US"])
def test_the_setting_lies_in_the_band_that_is_printed(moisture, units):
    panel = lesson.today_panel(bench(units=units))
    said = moved_to(panel, moisture=moisture)
    printed = re.search(r"; (\d+) \w+ to (\d+) \w+ will do", said)
    if moisture == "wet":
        # Too many rows are heavy before the mean row has its least load: one pressure is left.
        assert printed is None and np.ptp(panel.result.setting.band) == 0
        return
    low, high = map(int, printed.groups())
    assert low <= int(re.match(r"Set (\d+)", said).group(1)) <= high
    system = {"metric": METRIC, "US": US}[units]
    ends = [system.number("pressure", end) for end in panel.result.setting.band]
    assert ends[0] - 1e-6 <= low < high <= ends[1] + 1e-6


@pytest.mark.parametrize("units", [METRIC, US], ids=["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_printed_bands_never_leave_the_band_or_pass_the_lift_of_their_soil(drill, units):
    face = gauge_face(example_drill(drill), [example_field(key) for key in FIELDS])
    lines = gauge_words(face, units)
    assert [kind for kind, _ in lines] == ["floor", "soft", "usual", "hard", "red"]
    for (_, text), band in zip(lines[1:-1], face.bands, strict=True):
        printed = [float(number) for number in re.findall(rf"(\d+) {units.unit('pressure')}", text)]
        assert max(printed) <= units.number("pressure", band.limit)
        if not band.out_of_reach and "and no more" not in text:
            low, high = (units.number("pressure", end) for end in (band.low, band.high))
            assert low - 1e-6 <= printed[0] <= printed[1] <= high + 1e-6


def test_a_band_narrower_than_a_step_is_not_printed_backwards():
    face = gauge_face(example_drill("box_drill_15ft"), [example_field("dry_hard_tracks")])
    assert gauge_words(face, US)[1][1] == "Dry and hard, with wheel tracks: 940 psi and no more"


def test_the_dial_turns_clockwise_over_270_degrees_and_follows_a_new_face():
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    face = gauge_face(drill, [field])
    figure = Figure()
    FigureCanvasAgg(figure)
    dial = draw_gauge(figure.add_subplot(), face, METRIC, 0.0)
    x, y = dial._pointer.get_data()
    assert x[1] < 0 and y[1] < 0 and x[1] == pytest.approx(y[1])
    dial.update(face, 160e5)
    x, y = dial._pointer.get_data()
    assert x[1] > 0 > y[1] and x[1] == pytest.approx(-y[1])
    dial.update(face, 80e5)
    assert dial._pointer.get_data()[0][1] == pytest.approx(0.0, abs=1e-9)
    before = dial._bands[1].theta1
    soft = replace(field, soil=replace(field.soil, reaction=600.0))
    dial.update(gauge_face(drill, [soft]), 80e5)
    # A lower band lies further anticlockwise.
    assert dial._bands[1].theta1 > before
    assert set(dial._legend) < set(dial.moving)


def test_labels_move_apart_and_stay_on_the_picture():
    places = spread_out(np.array([10.0, 11.0, 60.0, 99.0, 100.0]), 6.0, 100.0)
    assert np.diff(places).min() >= 6.0 - 1e-9
    assert places[-1] <= 100.0 and places[0] == 10.0


@pytest.mark.parametrize(
    ("build", "values", "quoted"),
    [
        (lesson.ladder_panel, {}, ["6841 N", "223 N"]),
        (lesson.ladder_panel, {"pressure": 65.0}, ["7411 N", "1235 N", "318 N"]),
        (lesson.ladder_panel, {"wanted": 220.0, "soil": 0}, ["37 bar"]),
        (lesson.ladder_panel, {"wanted": 220.0, "soil": 3}, ["106 bar", "24 mm"]),
        (lesson.ladder_panel, {"pressure": 105.0}, ["1078 N"]),
        (lesson.today_panel, {"reaction": 1200.0}, ["83 bar", "20 % of the weight"]),
        (lesson.today_panel, {"reaction": 1300.0}, ["90 bar", "87 bar", "15 % of the weight"]),
        (lesson.today_panel, {"moisture": "wet"}, ["54 bar", "6 % packing"]),
        (lesson.today_panel, {"reaction": 400.0}, ["74 bar"]),
        (lesson.today_panel, {}, ["86 bar"]),
        (lesson.spread_panel, {"height_spread": 0.0}, ["217 N"]),
        (lesson.spread_panel, {"soil_spread": 0.0}, ["292 N", "47 N"]),
        (lesson.turn_up_panel, {}, ["981 N", "706 N", "67 % and 26 %", "would lift first"]),
        (lesson.turn_up_panel, {"share": 80.0}, ["525 N", "430 N", "13 % and 3 %"]),
        (lesson.turn_up_panel, {"ground": 1}, ["802 N", "569 N", "42 % and 7 %"]),
        (lesson.width_panel, {}, ["628 N", "223 N", "140 N", "88 N", "38 N"]),
        (lesson.width_panel, {"temperature": 273.15}, ["451 N", "430 N"]),
        (lesson.width_panel, {"draft_left": 50.0}, ["425 N"]),
        (lesson.width_panel, {"accuracy": 0.04}, ["179 N"]),
    ],
)
def test_answers_in_the_notebook_are_what_the_panels_say(words, panels, build, values, quoted):
    said = moved_to(panels[build], **values)
    for number in quoted:
        assert number in words, f"the notebook no longer says {number}"
        assert number in said, f"the panel says {said}"


def test_a_pressure_is_not_called_a_setting_where_the_frame_lifts(panels):
    panel, air = panels[lesson.ladder_panel], bench()
    assert "would take 106 bar, but the frame lifts at 89 bar." in moved_to(panel, wanted=220.0, soil=3)
    lift = lift_pressure(air.drill, example_field("dry_hard_tracks").opener_soil).lowest
    assert panel.result.lift == pytest.approx(float(lift)) and int(lift / 1e5) == 89
    assert "the parts end at 120 bar." in panel._write_sentence(
        replace(panel.result, lift=np.inf, needed=1.3e7)
    )
    assert panel.sentence.count(" set ") == 0


def test_the_reading_takes_in_what_the_oil_does(panels):
    air = bench()
    oil = oil_band(air.drill, air.field, 60e5, 273.15)
    said = moved_to(panels[lesson.width_panel], temperature=273.15)
    width = reading_width(air.drill, air.field.opener_soil, 60e5, oil=oil)
    assert f"droop makes {width.load_from_droop:.0f} N of that" in said
    assert f"the hoses {width.load_from_lines:.0f} N" in said
    assert f"give or take {width.likely:.0f} N;" in said
    assert f"On {percent(oil.starved)} of this ground the tractor falls short and no oil presses." in said
    calm = lesson.width_panel(bench("double_disc_9m", "moist_soft"))
    assert "no oil" not in calm.sentence


def test_other_numbers_in_the_notebook(words):
    air = bench()
    double = lesson.width_panel(bench("double_disc_9m"))
    assert "248 N instead of 201 N" in words
    assert {"248 N", "201 N"} <= set(re.findall(r"\d+ N", double.sentence))
    steps = lesson.by_hand(air, "60 bar")
    for number in ("1140", "825", "437.5", "405", "222.6"):
        assert number in words and number in steps
    soils = lesson.soils_by_hand(air, "220 N")
    for number in ("59.9 bar", "82.8", "105.6", "1090 N (245 lbf)"):
        assert number in soils and number.split(" (")[0] in words
    assert lesson.closing_by_hand(air, "70 bar", "100 N") == "Change on the gauge wheel: −175 N (−39 lbf)"
    assert seeds_to_dig(0.008, 0.003) == 28
    report = lesson.dig_report(air, "31 28 34 30 33 29 32 35 27 30 mm", "45 bar")
    assert "from 71 to 82 bar" in words and "71 bar" in report and "82 bar" in report
    per_bar = 1140.1 / 60
    assert "19.0 N for each bar" in words and per_bar == pytest.approx(19.0, abs=0.05)
    assert "48 N (11 lbf)" in words and 2.5 * per_bar == pytest.approx(48, abs=0.5)
    assert f"{100 * 222.6 / 6841:.0f} %" in words
    # 1.5 in bore: 1.767 in2; x 900 psi x 4 / 24.
    assert "265 lbf" in words and pytest.approx(265, abs=0.5) == 0.7854 * 2.25 * 900 * 4 / 24


def test_a_dig_in_inches_reads_the_same():
    metric = lesson.dig_report(bench(), "25.4 27.94 30.48 mm", "45 bar").splitlines()
    inches = lesson.dig_report(bench(), "1 1.1 1.2 in", "652.67 psi").splitlines()
    assert metric == inches


def test_a_dig_with_two_holes_or_no_unit_is_refused():
    with pytest.raises(ValueError, match="at least three"):
        lesson.dig_report(bench(), "30 31 mm", "45 bar")
    with pytest.raises(ValueError, match="unit"):
        lesson.dig_report(bench(), "30 31 32", "45 bar")
