"""Pages for who orders and welds; pins that move together; a copy of the drill file."""

import json
import re

import pytest

from downforce.machine import read_drill
from downforce.machine.shipped import DATA, example_drill, example_field
from downforce.study.cylinders.choice import cylinder_choice
from downforce.study.cylinders.loads import RELIEF, pin_trials
from downforce.study.cylinders.order import cylinder_order, old_place
from downforce.workbook.bench import Bench, PlainProblem, open_bench
from downforce.workbook.cylinders import lesson
from downforce.workbook.cylinders.order_page import chosen_drill
from downforce.workbook.cylinders.tables import season, shared_pins
from downforce.workbook.oil.parts import parts_buttons
from downforce.workbook.series import workbook

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
UNITS = pytest.mark.parametrize("units", ["metric", "US"])
EVERY = pytest.mark.parametrize("drill", DRILLS)


def bench(drill="air_drill_12m", units="metric"):
    return Bench(example_drill(drill), example_field("firm"), units)


def rows(page):
    return [row.split("; ") for row in page.plain.replace("\N{NO-BREAK SPACE}", " ").split("\n")[2:-1]]


def words_of(name):
    cells = json.loads(workbook(name).path.read_text(encoding="utf-8"))["cells"]
    return " ".join("".join(cell["source"]) for cell in cells).replace("\n", " ")


@EVERY
@UNITS
def test_the_old_place_holds_the_numbers_of_its_study(drill, units):
    desk = bench(drill, units)
    found, place = dict(row[:2] for row in rows(lesson.old_place_table(desk))), old_place(desk.drill)
    show = desk.units.show
    low, high = show("length", place.shortest), show("length", place.longest)
    assert found["Between the old spring's pins"] == f"{low} to {high}"
    assert found["Standard cylinders that fit there"] == "nothing"
    assert show("length", place.missing) in found["The shortest with enough stroke"]
    assert "no release" in lesson.old_place_table(desk).plain


def test_the_answer_about_the_old_place_holds():
    words, place = words_of("cylinder_sizing"), old_place(example_drill("air_drill_12m"))
    numbers = [round(1e3 * value) for value in (place.shortest, place.longest, place.stroke_wanted)]
    assert "from {} to {} mm apart. That takes {} mm of stroke".format(*numbers) in words
    assert (
        f"is {1e3 * place.closed:.0f} mm long closed at the least: {1e3 * place.missing:.0f} mm too long"
        in words
    )
    assert all(not old_place(example_drill(key)).fits for key in DRILLS)


@UNITS
def test_pins_are_those_of_their_study_in_the_units_of_steel(units):
    desk = bench(units=units)
    size = {"metric": 1e6, "US": 6.894757e6}[units]
    for trial, row in zip(pin_trials(desk.drill), rows(lesson.pins_table(desk)), strict=True):
        assert row[0] == trial.label
        assert row[1] == " / ".join(f"{stress / size:.0f}" for stress in trial.stresses[RELIEF])
        assert row[2].startswith("holds") == trial.holds
    assert {"metric": "(MPa)", "US": "(ksi)"}[units] in lesson.pins_table(desk).plain


@EVERY
@UNITS
def test_the_sheet_is_that_of_the_place_that_was_chosen(drill, units):
    desk = bench(drill, units)
    best = cylinder_choice(desk.drill, season(desk)).ranked[0]
    assert (
        chosen_drill(desk, 1).cylinder == best.cylinder and chosen_drill(desk).cylinder == desk.drill.cylinder
    )
    plain = lesson.order_table(desk, 1).plain
    assert all(row.order in plain for row in cylinder_order(chosen_drill(desk, 1), units=units).rows)
    with pytest.raises(PlainProblem, match="there is no place 99"):
        chosen_drill(desk, 99)


def test_the_sheet_is_one_page_and_a_spreadsheet(tmp_path):
    for drill, units, paper in zip(DRILLS, ("US", "metric", "US"), ("A4", "Letter", "Letter"), strict=True):
        folder = tmp_path / drill
        folder.mkdir()
        said = lesson.write_order(bench(drill, units), 0, folder=folder, paper=paper)
        assert said.startswith("Your sheet is my_cylinder.csv (for a spreadsheet)")
        assert said.endswith(f"my_cylinder.pdf ({paper}, one page).")
        pdf = (folder / "my_cylinder.pdf").read_bytes()
        assert len(re.findall(rb"/Type /Page\b", pdf)) == 1
    (folder / "my_cylinder.csv").write_bytes(b"precious")
    assert lesson.write_order(bench(), folder=folder).endswith("Older sheets were left as they are.")
    assert (folder / "my_cylinder.csv").read_bytes() == b"precious"


def test_pins_moved_in_one_panel_move_in_all_and_in_the_tables():
    desk = bench()
    panels = [build(desk) for build in (lesson.mechanism_panel, lesson.stroke_panel, lesson.force_panel)]
    plain = lesson.choice_table(desk).plain
    panels[0].set(along=40, tilt=20)
    assert [panel.values["along"] for panel in panels] == [40, 40, 40]
    panels[2].set(along=30)
    panels[1].set(apart=-10)
    assert [panel.values["along"] for panel in panels] == [30, 30, 30]
    moved = shared_pins(desk).cylinder
    # What one panel has no slider for counts there all the same.
    assert panels[0].result.cylinder.mount == moved.mount == panels[1].result.cylinder.mount
    assert lesson.choice_table(desk).plain != plain and chosen_drill(desk).cylinder.mount == moved.mount
    # A panel that is built later joins in; Reset puts all pins back in all panels.
    late = lesson.stroke_panel(desk)
    assert (late.values["along"], late.values["apart"]) == (30, -10)
    panels[2].reset()
    assert all(panel.values["along"] == 0 for panel in (*panels, late)) and panels[0].values["tilt"] == 0
    assert panels[0].result.cylinder.mount == desk.drill.cylinder.mount
    assert lesson.choice_table(desk).plain == plain
    # Another drill begins with its own pins.
    panels[0].set(along=40)
    desk.put(drill=example_drill("double_disc_9m"))
    assert not shared_pins(desk).moved


@EVERY
def test_write_this_into_my_drill_does(drill, tmp_path, capsys):
    desk = open_bench(drill, "firm")
    assert lesson.write_drill(desk, folder=tmp_path) == (
        "Nothing is moved and no other cylinder is chosen, so there is nothing to write."
    )
    step = 20 if desk.units.name == "metric" else 1
    # On moved pins no standard size may fit; then the drill's own cylinder is written.
    place = 0 if drill == "double_disc_9m" else 1
    lesson.mechanism_panel(desk).set(along=step)
    before = (DATA / "drills" / f"{drill}.toml").read_text(encoding="utf-8")
    said = lesson.write_drill(desk, place, folder=tmp_path)
    assert said.startswith(f"Written: my_{drill}.toml; {drill}.toml is as it was.")
    back, wanted = read_drill(tmp_path / f"my_{drill}.toml"), chosen_drill(desk, place).cylinder
    assert back.cylinder.mount.frame_pin == pytest.approx(wanted.mount.frame_pin, abs=1e-4)
    assert back.cylinder.bore == pytest.approx(wanted.bore, abs=1e-4)
    assert back.cylinder.closed_length == pytest.approx(wanted.closed_length, abs=1e-4)
    # Comments and everything else stay, and nothing is written over.
    after = (tmp_path / f"my_{drill}.toml").read_text(encoding="utf-8")
    changed = [one for one, two in zip(before.splitlines(), after.splitlines(), strict=True) if one != two]
    assert 1 <= len(changed) <= 5
    assert before.count("#") == after.count("#")
    lesson.mechanism_panel(desk).set(along=2 * step)
    assert f"my_{drill}-2.toml" in lesson.write_drill(desk, place, folder=tmp_path)
    # The copy is opened like any other, and may be changed again.
    again = open_bench(tmp_path / f"my_{drill}.toml", "firm")
    lesson.mechanism_panel(again).set(along=step)
    assert f"my_{drill}-3.toml" in lesson.write_drill(again, folder=tmp_path)


def test_a_drill_that_comes_from_no_file_is_not_written(tmp_path):
    desk = Bench(example_drill("air_drill_12m").with_cylinder(wall=0.006), example_field("firm"))
    with pytest.raises(ValueError, match="comes from no file that is known here"):
        lesson.write_drill(desk, 1, folder=tmp_path)


def test_a_suppliers_list_is_ranked(tmp_path):
    file = tmp_path / "offer.csv"
    file.write_text("part,bore_mm,rod_mm,stroke_mm,closed_mm\nB7,40,20,160,325\n")
    plain = lesson.choice_table(bench(), supplier=file).plain
    assert "1; 40.0 mm (B7); 20.0 mm; 160.0 mm; 325 / 485; " in plain
    assert chosen_drill(bench(), 1, file).cylinder.stroke == pytest.approx(0.16)


def test_buttons_write_when_they_are_pressed_and_not_before(tmp_path):
    desk = open_bench("air_drill_12m", "firm")
    order, parts = lesson.order_buttons(desk, 1, folder=tmp_path), parts_buttons(desk, tmp_path)
    assert not list(tmp_path.iterdir()) and "Nothing is written" in order.plain
    for writer in (order, parts):
        for button in writer.buttons.values():
            button.click()
            writer.work.wait()
            assert "Your " in writer.work.outcome or "Written: " in writer.work.outcome
    assert {path.name for path in tmp_path.iterdir()} >= {
        "my_cylinder.pdf",
        "my_parts.csv",
        "my_air_drill_12m.toml",
    }
    # The same sheet on other paper is another file.
    assert (tmp_path / "my_parts-2.pdf").exists() and not (tmp_path / "my_parts-2.csv").exists()
    assert "order_buttons(bench, 1)" in words_of("cylinder_sizing")
    assert "parts_buttons(bench)" in words_of("oil_supply")
