"""The pressure workbook: its panels at covering corners, and its words against the studies behind them."""

import json
import re
from dataclasses import replace

import numpy as np
import pytest
from corners import alone, covering_corners
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from downforce.machine.shipped import example_drill, example_field
from downforce.machine.units import METRIC, US
from downforce.study.field_check import seeds_to_dig
from downforce.study.frame_lift import lift_pressure
from downforce.study.oil.band import oil_band
from downforce.study.pressure_setting import recommend
from downforce.study.setting.gauge_face import TURNS, gauge_face, reading_width
from downforce.study.setting.reasons import aim_words, sure_words, verdict_words
from downforce.study.setting.sureness import the_rule
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.drawing_gauge import draw_gauge, gauge_words
from downforce.workbook.series import workbook
from downforce.workbook.setting import lesson
from downforce.workbook.setting.drawing import spread_out
from downforce.workbook.setting.words import band_words
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
    lesson.remedies_table,
    lesson.sureness_table,
    lesson.settings_table,
    lesson.gauge_page,
    lesson.next_step_table,
    lesson.wheel_test_table,
)
NOTEBOOK = workbook("pressure_setpoint").path


def bench(drill="air_drill_12m", field="firm", units="metric"):
    return Bench(example_drill(drill), example_field(field), units)


def no_holes(text):
    return text.strip() and not re.search(r"\b(nan|inf|no value|None)\b", text)


def moved_to(panel, **values):
    panel.set(**alone(panel, **values))
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
def test_covering_corners_compute_and_speak(unrendered, build, drill, field):
    # Units change the words only: each drill meets one system in two fields and the other in the third.
    units = ("metric", "US")[(DRILLS.index(drill) + FIELDS.index(field)) % 2]
    panel = build(bench(drill, field, units))
    said = {panel._write_sentence(panel._compute(**corner)) for corner in covering_corners(panel)}
    assert all(no_holes(text) for text in said)
    assert len(said) >= 4


@pytest.mark.parametrize("build", PANELS)
@pytest.mark.parametrize(
    ("drill", "field", "units"),
    [("air_drill_12m", "firm", "US"), ("box_drill_15ft", "dry_hard_tracks", "metric")],
)
def test_every_control_changes_picture_and_sentence(build, drill, field, units):
    panel = build(bench(drill, field, units))
    other = {"metric": " psi", "US": " bar"}[units]
    for name, control in panel.controls.items():
        seen = []
        for value in (control.ends[0], control.ends[-1]):
            said = moved_to(panel, **{name: value})
            seen.append((panel.picture_png(), panel.alt if name == "twice" else said))
            assert no_holes(panel.alt)
            assert other not in re.sub(r"\([^)]*\)", "", said)
        # Where the ceiling decides, packing has its say in the scale and not in the setting.
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
    found = recommend(example_drill("air_drill_12m"), example_field("firm"))
    assert found.decided_by == "packing"
    assert f"Set {found.words(METRIC)}: above it too many rows pack" in panel.sentence
    ended = recommend(example_drill("air_drill_12m"), example_field("dry_hard_tracks"))
    said = lesson.today_panel(bench(field="dry_hard_tracks")).sentence
    assert f"Set {ended.words(METRIC)}, the ceiling ({ended.ceiling_set_by})" in said
    for words in (verdict_words(found.shares), aim_words(found, METRIC), sure_words(found, METRIC)):
        assert f" {words}." in panel.sentence
    said = panel.alt + lesson.reasons_table(bench()).plain
    assert found.stop_words and said.count(f"{found.stop_words}.") == 2
    assert f"Band {band_words(found, METRIC)}." in panel.alt
    for reason in found.reasons:
        assert f"{reason.name} {reason.shown(METRIC)}" in panel.alt


@pytest.mark.parametrize("how", sorted(TURNS))
def test_a_turn_of_the_soil_is_answered_in_steps_from_what_is_set(panels, how):
    panel = panels[lesson.today_panel]
    panel.reset()
    now = float(METRIC.number("pressure", bench().dialled))
    assert panel.result.setting.to_set(METRIC) == pytest.approx(now * 1e5)
    said = moved_to(panel, turned=how)
    made, there = panel.result.turn, panel.result.setting
    assert said.startswith(f"It turned {how} since you set it: ")
    found = re.search(r": (raise|lower) the gauge by (\d+) step", said)
    steps = 0 if found is None else int(found[2]) * {"raise": 1, "lower": -1}[found[1]]
    assert steps == made.steps
    assert now + 5.0 * steps <= there.ceiling / 1e5 and (
        made.held or abs(now + 5.0 * steps - there.setting / 1e5) <= 2.5
    )


def test_a_setting_out_of_reach_points_at_weight_and_full_hopper_helps():
    panel = lesson.today_panel(bench("box_drill_15ft", "dry_hard_tracks", "US"))
    assert "going higher takes more weight" in moved_to(panel, fill=0.0)
    assert "going higher takes more weight" not in moved_to(panel, fill=100.0)


def test_the_sentence_of_the_turned_up_panel_comes_from_the_counting():
    panel = lesson.turn_up_panel(bench())
    result = panel.result
    assert result.springs.shares.mean > result.cylinders.shares.mean
    heavy = [percent(one.shares.packing) for one in (result.springs, result.cylinders)]
    assert f"{heavy[0]} and {heavy[1]} of the rows" in panel.sentence
    assert result.springs.lifts and result.cylinders.lifts
    assert "With the springs and with the cylinders the frame" in panel.sentence
    assert "With the springs the frame would lift first" in moved_to(panel, share=90.0)
    assert "lift" not in moved_to(panel, share=60.0)


def test_an_empty_hopper_is_named_only_where_there_is_one():
    for drill, hopper in (("air_drill_12m", False), ("double_disc_9m", True), ("box_drill_15ft", True)):
        panel = lesson.turn_up_panel(bench(drill))
        said = moved_to(panel, share=99.0)
        assert "would lift first" in said
        assert ("hopper" in said) == hopper == example_drill(drill).seed_on_frame
        assert "the frame would lift first" in panel._canvas._drawing._means[0].get_text()


@pytest.mark.parametrize("change", [{}, {"turned": "softer"}, {"turned": "wetter"}, {"twice": True}], ids=str)
@pytest.mark.parametrize("units", [METRIC, US], ids=["metric", "US"])
def test_the_setting_lies_in_the_band_that_is_printed(units, change):
    panel = lesson.today_panel(bench(units=units.name))
    said = moved_to(panel, **change)
    setting, alt = panel.result.setting, panel.alt.replace("\N{NO-BREAK SPACE}", " ")
    low, high = map(int, re.search(r"Band (\d+) to (\d+) ", alt).groups())
    assert low <= int(re.search(r"(?:Set|sets) (\d+)", said)[1]) <= high
    ends = [units.number("pressure", end) for end in setting.band]
    assert ends[0] - 1e-6 <= low < high <= ends[1] + 1e-6
    assert units.si("pressure", high) <= setting.ceiling <= setting.red_line


@pytest.mark.parametrize("units", [METRIC, US], ids=["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_printed_bands_never_leave_the_band_or_pass_the_ceiling_of_their_soil(drill, units):
    face = gauge_face(example_drill(drill), [example_field(key) for key in FIELDS])
    lines = gauge_words(face, units)
    assert [kind for kind, _ in lines] == ["floor", "soft", "usual", "hard", "red"]
    for (_, text), band in zip(lines[1:-1], face.bands, strict=True):
        printed = [float(number) for number in re.findall(rf"(\d+) {units.unit('pressure')}", text)]
        assert max(printed) <= units.number("pressure", band.ceiling)
        assert ("above today's red line" in text) == band.beyond
        if "and no more" not in text:
            low, high = (units.number("pressure", end) for end in (band.low, band.high))
            assert low - 1e-6 <= printed[0] <= printed[2] <= printed[1] <= high + 1e-6


def test_a_band_narrower_than_a_step_is_not_printed_backwards():
    """940 psi is 64.81 bar and 950 psi is 65.50 bar: no step of the gauge lies between 64.9 and 65.1 bar."""
    face = gauge_face(example_drill("box_drill_15ft"), [example_field("dry_hard_tracks")])
    band = replace(face.bands[0], low=64.9e5, high=65.1e5, start=65e5, ceiling=65.1e5, beyond=False)
    words = gauge_words(replace(face, bands=(band,)), US)[1][1]
    assert words == "Dry and hard, with wheel tracks: 940 psi and no more"


def test_a_long_line_below_the_dial_is_written_smaller():
    face = gauge_face(example_drill("air_drill_12m"), [example_field(key) for key in FIELDS])
    figure = Figure(figsize=style.SQUARE, layout="constrained")
    FigureCanvasAgg(figure)
    dial = draw_gauge(figure.add_subplot(), face, US)
    figure.canvas.draw()
    ends = [text.get_window_extent().x1 for text in dial._legend]
    assert max(len(text.get_text()) for text in dial._legend) > 64
    assert max(ends) <= figure.bbox.x1


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


def test_the_answer_on_the_hoses_of_the_warning_example_holds(words):
    said = moved_to(lesson.width_panel(bench("box_drill_15ft", "firm", "metric")), temperature=273.15)
    assert "the hoses make 131 N of 175 N" in words
    assert "give or take 175 N" in said and "the hoses 131 N" in said
    assert "more than the drill bears is reckoned: the frame would rise first" in said


def test_labels_move_apart_and_stay_on_the_picture():
    places = spread_out(np.array([10.0, 11.0, 60.0, 99.0, 100.0]), 6.0, 100.0)
    assert np.diff(places).min() >= 6.0 - 1e-9
    assert places[-1] <= 100.0 and places[0] == 10.0


@pytest.mark.parametrize(
    ("build", "values", "quoted"),
    [
        (lesson.ladder_panel, {"pressure": 60.0}, ["6841 N", "333 N"]),
        (lesson.ladder_panel, {}, ["58 bar", "54 bar"]),
        (lesson.ladder_panel, {"soil": 0}, ["33 bar"]),
        (lesson.ladder_panel, {"soil": 3}, ["97 bar", "83 bar", "26 mm"]),
        (lesson.ladder_panel, {"pressure": 98.0}, ["1055 N"]),
        (lesson.today_panel, {}, ["58 bar"]),
        (lesson.today_panel, {"reaction": 1200.0}, ["72 bar", "5 rows in 10", "he ceiling"]),
        (lesson.today_panel, {"turned": "wetter"}, ["3 steps"]),
        (lesson.today_panel, {"turned": "drier"}, ["2 steps"]),
        (lesson.today_panel, {"twice": True}, ["54 bar"]),
        (lesson.spread_panel, {"height_spread": 0.0}, ["199 N"]),
        (lesson.spread_panel, {"soil_spread": 0.0}, ["286 N", "44 N"]),
        (lesson.turn_up_panel, {}, ["1064 N", "801 N", "69 % and 43 %", "86 bar"]),
        (lesson.turn_up_panel, {"share": 80.0}, ["594 N", "457 N", "26 % and 14 %"]),
        (lesson.width_panel, {}, ["590 N", "295 N", "102 N", "26 N", "2 N"]),
        (lesson.width_panel, {"temperature": 273.15}, ["295 N", "107 N", "32 N"]),
        (lesson.width_panel, {"draft_left": 50.0}, ["442 N"]),
        (lesson.width_panel, {"accuracy": 0.04}, ["151 N"]),
    ],
)
def test_answers_in_the_notebook_are_what_the_panels_say(words, panels, build, values, quoted):
    said = moved_to(panels[build], **values)
    for number in quoted:
        assert number in words, f"the notebook no longer says {number}"
        assert number in said, f"the panel says {said}"


def test_a_pressure_is_not_called_a_setting_where_the_frame_lifts(panels):
    panel, air = panels[lesson.ladder_panel], bench()
    assert "would take 97 bar, but the frame lifts at 83 bar." in moved_to(panel, wanted=220.0, soil=3)
    lift = lift_pressure(air.drill, example_field("dry_hard_tracks").opener_soil).lowest
    assert panel.result.lift == pytest.approx(float(lift)) and int(lift / 1e5) == 83
    assert "the parts end at 120 bar." in panel._write_sentence(
        replace(panel.result, lift=np.inf, needed=1.3e7)
    )
    assert panel.sentence.count(" set ") == 0


def test_the_reading_takes_in_what_the_oil_does(panels):
    air = bench()
    oil = oil_band(air.drill, air.field, air.dialled, 273.15)
    said = moved_to(panels[lesson.width_panel], temperature=273.15)
    width = reading_width(air.drill, air.field.opener_soil, air.dialled, oil=oil)
    assert f"droop makes {width.load_from_droop:.0f} N of that" in said
    assert f"the hoses {width.load_from_lines:.0f} N" in said
    assert f"give or take {width.likely:.0f} N;" in said
    assert f"On {percent(oil.starved)} of this ground the tractor falls short and no oil presses." in said
    calm = lesson.width_panel(bench("double_disc_9m", "moist_soft"))
    assert "no oil" not in calm.sentence


def test_other_numbers_in_the_notebook(words):
    air = bench()
    double = lesson.width_panel(bench("double_disc_9m"))
    assert "550 N instead of 502 N" in words
    assert {"550 N", "502 N"} <= set(re.findall(r"\d+ N", double.sentence))
    steps = lesson.by_hand(air, "60 bar")
    for number in ("1140", "825", "437.5", "295", "332.6"):
        assert number in words and number in steps
    soils = lesson.soils_by_hand(air, "220 N")
    for number in ("54.1 bar", "75.0", "96.0", "1017 N (229 lbf)"):
        assert number in soils and number.split(" (")[0] in words
    assert lesson.closing_by_hand(air, "70 bar", "100 N") == "Change on the gauge wheel: −175 N (−39 lbf)"
    assert seeds_to_dig(0.008, 0.003) == 28
    report = lesson.dig_report(air, "31 28 34 30 33 29 32 35 27 30 mm", "45 bar")
    assert "from 72 to 82 bar" in words and "over the interval 72 bar" in report and "to 82 bar" in report
    assert "ceiling is at 73 bar. Go up to 70 bar" in words and "Set 73 bar" in report
    assert 70 == 45 + 5 * ((73 - 45) // 5)
    per_bar = 1140.1 / 60
    assert "19.0 N for each bar" in words and per_bar == pytest.approx(19.0, abs=0.05)
    assert "48 N (11 lbf)" in words and 2.5 * per_bar == pytest.approx(48, abs=0.5)
    assert f"{100 * 332.6 / 6841:.0f} %" in words
    # One step of 5 bar on 11.401 cm2, and at a lever of one sixth.
    assert "570 N, 95 N and 95 N" in words and pytest.approx(570, abs=0.5) == 5 * 114.01
    # 35 % dragged at the soil surface, the rest through the axle, 228.5 - 40 mm above it.
    assert "0.35 × 450 + 0.65 × 262 = 328 mm" in words
    assert pytest.approx(328, abs=0.5) == 0.35 * 450 + 0.65 * 262
    assert 450.0 - 1000 * air.drill.opener.draft_line() == pytest.approx(327.8, abs=0.05)
    # 1.5 in bore: 1.767 in2; x 900 psi x 4 / 24.
    assert "265 lbf" in words and pytest.approx(265, abs=0.5) == 0.7854 * 2.25 * 900 * 4 / 24


def test_the_mean_row_is_no_guide_for_the_others(words):
    found = recommend(example_drill("air_drill_12m"), example_field("firm"))
    short = found.case.needs.short(found.needed)
    assert "54 bar here, 40 rows of 100 are short" in words
    assert (round(found.needed / 1e5), round(100 * short)) == (54, 40)
    assert found.shares.short < short - 0.05


def test_weight_gains_no_rows_here_as_the_notebook_says(words):
    assert "Weight presses on soft headlands too, and here it gains no rows." in words
    page = lesson.remedies_table(bench()).plain
    assert not any(line.startswith("Add weight") for line in page.splitlines())


def test_the_rule_by_hand(words):
    """max(50, min(70, 80, 65)) is 65 under 75, and the ceiling is 60 under 60."""
    assert "Mean row 50 bar, share 80, best 70, packing 65." in words
    assert "65 bar: packing; 60 bar: the ceiling" in words
    settings = [float(the_rule(10.0, ceiling, 50.0, 70.0, 80.0, 65.0)) for ceiling in (75.0, 60.0)]
    assert settings == [65.0, 60.0]


def test_a_dig_says_what_its_setting_does_to_the_rows():
    report = lesson.dig_report(bench(), "31 28 34 30 33 29 32 35 27 30 mm", "45 bar")
    assert re.search(r"\d+ rows in 10 have enough, .*\. The aim, .* is not met", report)


def test_a_dig_in_inches_reads_the_same():
    metric = lesson.dig_report(bench(), "25.4 27.94 30.48 mm", "45 bar").splitlines()
    inches = lesson.dig_report(bench(), "1 1.1 1.2 in", "652.67 psi").splitlines()
    assert metric == inches


def test_a_dig_with_two_holes_or_no_unit_is_refused():
    with pytest.raises(ValueError, match="it takes 3"):
        lesson.dig_report(bench(), "30 31 mm", "45 bar")
    with pytest.raises(ValueError, match="unit"):
        lesson.dig_report(bench(), "30 31 32", "45 bar")
