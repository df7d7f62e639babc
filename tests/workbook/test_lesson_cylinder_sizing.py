"""The cylinder workbook: its panels at covering corners, and its words against the studies behind them."""

import json
import re
from dataclasses import replace

import numpy as np
import pytest
from corners import alone, covering_corners

from downforce.machine.shipped import example_drill, example_field
from downforce.study.cylinders.choice import cylinder_choice, judged_cylinder
from downforce.study.cylinders.force_needs import stroke_check
from downforce.study.cylinders.loads import (
    cylinder_on_moved_pins,
    lever_length,
    lift_torque,
    load_flatness,
    oil_need,
    pin_loads,
)
from downforce.study.pressure_setting import recommend
from downforce.workbook.bench import Bench
from downforce.workbook.cylinders import lesson
from downforce.workbook.series import workbook
from downforce.workbook.table import table_page

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
FIELDS = ("moist_soft", "firm", "dry_hard_tracks")
PANELS = (lesson.mechanism_panel, lesson.stroke_panel, lesson.force_panel)
PAGES = (lesson.choice_table, lesson.out_table, lesson.facts_table, lesson.pin_table, lesson.machine_picture)


def bench(drill="air_drill_12m", field="firm", units="metric"):
    return Bench(example_drill(drill), example_field(field), units)


def no_holes(text):
    return text.strip() and not re.search(r"\b(nan|inf|no value|None)\b", text)


@pytest.mark.parametrize("build", PANELS)
@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_covering_corners_compute_and_speak_in_every_field(unrendered, build, drill, units):
    for field in FIELDS:
        panel = build(bench(drill, field, units))
        assert no_holes(panel.sentence)
        # The field moves the soils of the force panel; elsewhere it only sets where the pressure starts.
        if build is lesson.force_panel or field == FIELDS[DRILLS.index(drill)]:
            said = {panel._write_sentence(panel._compute(**corner)) for corner in covering_corners(panel)}
            assert all(no_holes(text) for text in said)
            assert len(said) >= 4


@pytest.mark.parametrize("build", PANELS)
@pytest.mark.parametrize(
    "drill, units", [(d, u) for d, u in zip(DRILLS, ("US", "metric", "US"), strict=True)]
)
def test_every_slider_changes_picture_and_sentence(build, drill, units):
    panel = build(bench(drill, "dry_hard_tracks", units))
    for name, control in panel.controls.items():
        seen = []
        for value in (control.ends[0], control.ends[-1]):
            panel.set(**alone(panel, **{name: value}))
            seen.append((panel.picture_png(), panel.sentence))
            assert no_holes(panel.alt)
        assert seen[0][0] != seen[1][0], name
        assert seen[0][1] != seen[1][1], name


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_every_page_is_whole_in_every_drill_and_unit_system(page, drill, units):
    shown = page(bench(drill, "dry_hard_tracks", units))
    assert no_holes(shown.plain)
    if page is not lesson.machine_picture:
        html = shown.html
        assert html.count("<caption") == 1
        assert html.count('scope="col"') >= 2
        assert html.count('scope="row"') == html.count("<tr>") - 1
    unit = {"metric": r"\b(mm|N|bar)\b", "US": r"\b(in|lbf|psi)\b"}[units]
    assert re.search(unit, shown.plain) or page is lesson.machine_picture


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_mechanism_sentence_holds_the_numbers_of_the_study(drill, units):
    here = bench(drill, "firm", units)
    panel = lesson.mechanism_panel(here)
    travel = panel.controls["travel"].low
    panel.set(travel=travel)
    gauge = here.units.si("pressure", panel.values["pressure"])
    load = load_flatness(here.drill.opener, here.drill.cylinder, gauge)
    at = float(here.drill.cylinder.down_force(here.drill.opener, here.units.si("length", travel), gauge))
    for number in (
        here.units.show("pressure", gauge),
        here.units.show("force", load.at_work),
        f"{here.units.show('share', load.share.min())} to {here.units.show('share', load.share.max())}",
        here.units.show("force", at),
    ):
        assert number in panel.sentence


def test_mechanism_says_when_the_stroke_runs_out_and_shows_no_load_there():
    panel = lesson.mechanism_panel(bench())
    assert "Mind the stroke" not in panel.sentence
    short = example_drill("air_drill_12m").with_cylinder(stroke=0.08, closed_length=0.32)
    panel = lesson.mechanism_panel(Bench(short, example_field("firm"), "metric"))
    assert "Mind the stroke" in panel.sentence and "left at the open end" in panel.sentence
    panel.set(travel=panel.controls["travel"].low)
    assert panel.result.down_force == 0.0
    assert not panel.result.working.all()
    share = panel.result.flatness.share[panel.result.working]
    ends = f"{100 * share.min():.0f} % to {100 * share.max():.0f} %"
    assert f"{ends} of it where the stroke allows" in panel.sentence
    never = example_drill("air_drill_12m").with_cylinder(stroke=0.03, closed_length=0.25)
    panel = lesson.mechanism_panel(Bench(never, example_field("firm"), "metric"))
    assert "at its end over the whole travel" in panel.sentence


@pytest.mark.parametrize("stroke, verdict", [("125 mm", "it runs out of stroke"), ("160 mm", "it fits")])
def test_stroke_sentence_holds_the_numbers_of_the_study(stroke, verdict):
    here = bench()
    panel = lesson.stroke_panel(here)
    panel.set(stroke=stroke, apart=0.0)
    size = float(stroke.split()[0]) / 1e3
    trial = replace(here.drill.cylinder, stroke=size, closed_length=0.165 + size)
    check = stroke_check(here.drill.opener, trial)
    assert verdict in panel.sentence
    assert here.units.show("length", check.least_closed_margin) in panel.sentence
    assert here.units.show("length", check.least_open_margin).replace("-", "−") in panel.sentence


def test_stroke_with_too_little_to_spare_is_told_from_one_that_runs_out():
    panel = lesson.stroke_panel(bench())
    panel.set(stroke="8 in")
    assert "with too little to spare" in panel.sentence


@pytest.mark.parametrize("drill", DRILLS)
def test_force_sentence_holds_the_numbers_of_the_study(drill):
    here = bench(drill, "firm", "metric")
    panel = lesson.force_panel(here)
    proposed = judged_cylinder(here.drill, lesson.season(here))
    for pressure in (proposed.usual_pressure, min(proposed.pressures), max(proposed.pressures)):
        assert here.units.show("pressure", pressure) in panel.sentence
    assert here.units.show("force", proposed.effective_area * here.units.gauge_step) in panel.sentence
    panel.set(size=panel.controls["size"].ends[0], harder=140)
    assert "is out, too little force" in panel.sentence


@pytest.mark.parametrize("drill", DRILLS)
def test_tables_hold_the_numbers_of_the_studies(drill):
    here = bench(drill, "firm", "metric")
    choice = cylinder_choice(here.drill, lesson.season(here))
    table = lesson.choice_table(here).plain
    best = choice.ranked[0]
    assert f"1; {best.bore_label}; {best.rod_label}; {best.stroke_label}" in table
    assert f"{best.score:.2f}" in table
    oil = oil_need(here.drill)
    facts = lesson.facts_table(here).plain
    assert here.units.show("volume", oil.drill_full) in facts
    loads = pin_loads(here.drill.opener, here.drill.cylinder, here.drill.hydraulics.valve.relief_pressure)
    assert here.units.show("force", loads.side) in lesson.pin_table(here).plain


def test_out_table_names_every_size_that_fits_nowhere():
    here = bench()
    choice = cylinder_choice(here.drill, lesson.season(here))
    table = lesson.out_table(here).plain
    for words in (
        "bore 8 mm to 32 mm; too little force",
        "bore 80 mm to 100 mm; too coarse",
        "rod 5/8 in; column",
    ):
        assert words in table
    fitting = {c.stroke_label for c in choice.ranked}
    assert not any(re.search(rf"^stroke {label};", table, re.M) for label in fitting)


def test_a_lift_shaft_is_judged_where_there_is_one():
    box = bench("box_drill_15ft", "firm", "US")
    facts = lesson.facts_table(box).plain
    torque = lift_torque(box.drill, box.dialled)
    assert box.units.show("moment", float(torque.with_cylinders.max())) in facts
    assert "no lift shaft works against" in lesson.facts_table(bench()).plain


def test_moved_pins_change_the_leverage_and_leave_the_cylinder():
    drill = example_drill("air_drill_12m")
    opener, cylinder = drill.opener, drill.cylinder
    lever = lever_length(opener, cylinder)
    assert lever == pytest.approx(np.hypot(0.1, 0.047))
    further = cylinder_on_moved_pins(opener, cylinder, along=0.5 * lever)
    # The lever grows by half: so does the down force of the same push; the cylinder stays upright.
    assert float(further.leverage(opener, 0.0)) == pytest.approx(1.5 * float(cylinder.leverage(opener, 0.0)))
    assert float(further.length(opener, 0.0)) == pytest.approx(0.390)
    higher = cylinder_on_moved_pins(opener, cylinder, apart=0.02)
    assert float(higher.length(opener, 0.0)) == pytest.approx(0.410)
    tilted = cylinder_on_moved_pins(opener, cylinder, tilt=0.1)
    assert float(tilted.length(opener, 0.0)) == pytest.approx(np.hypot(0.390, 0.1))
    assert tilted.bore == cylinder.bore


def test_readings_of_a_tape_give_the_exercise_and_refuse_a_bare_number():
    """Exercise by hand: 1.77 in², 1590 lbf, 265 lbf."""
    said = lesson.from_the_tape("1 1/2 in", "900 psi", "4 in", "24 in")
    assert [line.split(" (")[0] for line in said.splitlines()] == [
        "Area: 1.77 in²",
        "Cylinder force: 1590 lbf",
        "Down force: 265 lbf",
    ]
    assert "Down force: 1140 N (256 lbf)" in lesson.from_the_tape("38.1 mm", "60 bar", "100 mm", "600 mm")
    with pytest.raises(ValueError, match="has no unit"):
        lesson.from_the_tape("1.5", "900 psi", "4 in", "24 in")


def test_steps_by_hand_lead_to_the_pressure_of_the_study():
    here = bench()
    text = lesson.by_hand(here)
    advice = recommend(here.drill, here.field)
    assert "Down force wanted, mean row: 1028 N (231 lbf)" in text
    # The sum by hand takes the opener at its working height, the setting where the tyres let it stand.
    assert ": 54 bar (780 psi)\n" in text and advice.needed == pytest.approx(54.08e5, rel=0.01)
    assert "95 N (21 lbf) at the disc" in text
    assert text.endswith(f"every row counted: {advice.words(here.units)}") and advice.setting > advice.needed


def test_facts_are_those_of_the_recommended_setting():
    here = bench("box_drill_15ft", "firm", "US")
    facts = lesson.facts_table(here).plain
    assert f"every row counted; {recommend(here.drill, here.field).words(here.units)}\n" in facts
    load = here.drill.cylinder.down_force(here.drill.opener, 0.0, here.dialled)
    assert f"at that setting; {here.units.show('force', float(load))}\n" in facts


def test_a_table_with_a_short_row_is_refused():
    with pytest.raises(ValueError, match="The row that begins 'a' has 1 cells, not 2"):
        table_page("Caption", ["x", "y"], [["a"]])


# --- numbers quoted in the notebook's answers --------------------------------------------

NOTEBOOK = workbook("cylinder_sizing").path


@pytest.fixture(scope="module")
def words():
    cells = json.loads(NOTEBOOK.read_text(encoding="utf-8"))["cells"]
    return " ".join(" ".join("".join(c["source"]).split()) for c in cells if c["cell_type"] == "markdown")


@pytest.fixture(scope="module")
def panels():
    here = bench()
    return {build: build(here) for build in PANELS}


def moved_to(panel, **values):
    panel.reset()
    panel.set(**values)
    return panel.sentence


@pytest.mark.parametrize(
    "build, values, quoted",
    [
        (lesson.mechanism_panel, {}, ["100 % and 103 %", "± 71 N"]),
        (lesson.mechanism_panel, {"along": 60}, ["± 110 N"]),
        (lesson.mechanism_panel, {"tilt": 90}, ["96 % to 111 %"]),
        (lesson.mechanism_panel, {"tilt": -90}, ["94 % to 105 %"]),
        (lesson.stroke_panel, {"along": 60}, ["uses 81 mm"]),
        (lesson.stroke_panel, {}, ["uses 52 mm"]),
        (lesson.stroke_panel, {"stroke": "125 mm", "apart": -20}, ["15 mm", "58 mm"]),
        (lesson.force_panel, {"size": "32 mm"}, ["1611 N", "1842 N"]),
        (lesson.force_panel, {"size": "32 mm", "along": 40}, ["from 32 bar to 101 bar"]),
        (lesson.force_panel, {"harder": 120}, ["118 bar"]),
    ],
)
def test_answers_in_the_notebook_are_what_the_panels_say(words, panels, build, values, quoted):
    said = moved_to(panels[build], **values).replace("\N{NO-BREAK SPACE}", " ")
    said = said.replace("100 % to 103 %", "100 % and 103 %")
    for number in quoted:
        assert number in words, f"the notebook no longer says {number}"
        assert number in said, f"the panel says {said}"


def test_shares_of_the_load_in_the_notebook(words, panels):
    panel = panels[lesson.mechanism_panel]

    def force(**values):
        moved_to(panel, **values)
        return panel.result.down_force

    assert "by about 1 %" in words and 1 - force(travel=100) / force() == pytest.approx(0, abs=0.005)
    assert force(travel=-100) / force() - 1 == pytest.approx(0.01, abs=0.005)
    assert "54 % more" in words and force(along=60) / force() - 1 == pytest.approx(0.54, abs=0.005)
    least = panel.controls["pressure"].ends[0]
    force(pressure=least)
    assert "it is a fifth of what is left, not one part in fifteen" in words
    low, usual = (_friction_share(moved_to(panel, **values)) for values in ({"pressure": least}, {}))
    assert low == pytest.approx(1 / 5, abs=0.04) and usual == pytest.approx(1 / 15, abs=0.01)


def _friction_share(said):
    said = said.replace("\N{NO-BREAK SPACE}", " ")
    return float(re.search(r"± (\d+) N", said)[1]) / float(re.search(r"(\d+) N at working", said)[1])


def test_other_numbers_in_the_notebook(words, panels):
    assert "−5 mm at the open end" in moved_to(panels[lesson.stroke_panel], stroke="125 mm")
    assert "is out, too little force" in moved_to(panels[lesson.force_panel], harder=125)
    assert "serves all" in moved_to(panels[lesson.force_panel], harder=120)
    assert "At 120 % it still serves" in words and "At 125 % it is out" in words
    drill = example_drill("air_drill_12m")
    oil = oil_need(drill)
    smooth = replace(drill.cylinder, friction_pressure=0.0, friction_share=0.0)
    loads = pin_loads(drill.opener, smooth, 60e5)
    per_bar = load_flatness(drill.opener, drill.cylinder, 1e5).at_work
    quoted = {
        "171 cm³ each": oil.opener_full * 1e6,
        "10.8 L in all": oil.drill_full * 1e3,
        "358 N across the rod": loads.side,
        "19.0 N more": per_bar,
        "is 1.78": (2 / 1.5) ** 2,
    }
    assert "6840 N along the rod" in words and loads.force == pytest.approx(6840, abs=5)
    for text, value in quoted.items():
        number = re.search(r"[\d.]+", text)[0]
        decimals = len(number.partition(".")[2])
        assert text in words
        assert float(number) == pytest.approx(value, abs=0.5 * 10.0**-decimals)
