"""The form, its drawing, the sheet for the yard, and what a workbook remembers."""

import json
import sys
from itertools import combinations
from pathlib import Path

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from pypdf import PdfReader

from downforce.machine import read_drill, read_field
from downforce.machine.doubts import uncertain_inputs
from downforce.machine.reading.tape import measured, questions
from downforce.machine.reading.writer import Draft
from downforce.machine.shipped import DATA, example_drill, example_field, named_drill, shipped_drills
from downforce.study.setup_card import PAPERS
from downforce.workbook import long_work
from downforce.workbook.bench import Bench, open_bench
from downforce.workbook.your_drill import lesson
from downforce.workbook.your_drill.sheet import TapeDrawing, measuring_sheet, tape_ends

DRILLS = [key for key, _ in shipped_drills()]


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """An empty folder to work in, in which workbooks remember."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DOWNFORCE_STATE", long_work.FILE)
    return tmp_path


def bench():
    return Bench(example_drill("air_drill_12m"), example_field("firm"))


# --- the form -----------------------------------------------------------------------------


@pytest.mark.parametrize("key", DRILLS)
def test_every_question_of_every_page_is_shown_with_how_to_measure_and_what_is_assumed(
    unrendered, folder, key
):
    form = lesson.drill_form(bench())
    form.begin(f"a new file like {key}")
    for page, least in (("opener", 12), ("frame", 7), ("all", 100)):
        form.turn_to(page)
        asked = questions(form.draft, page)
        assert len(asked) >= least
        for question in asked if page != "all" else asked[::5]:
            form.ask(question.along if question.along in ("rows", "ranks", "gap", "parts") else question.key)
            assert "nan" not in form.said
            if page != "all":
                assert "How: " in form.said
            if form.draft.assumed(question.path):
                assert "is <b>assumed</b>" in form.said


def test_usual_range_and_uncertainty_come_from_the_tables(unrendered, folder):
    form = lesson.drill_form(bench())
    form.ask("opener.pivot[2]")
    assert "Usual: 350 mm to 550 mm" in form.said and "± 15 mm" in form.said
    form.answer("45 cm")
    assert "assumed" not in form.said
    form.turn_to("all")
    form.ask("spring.coils[1].rate")
    assert "press the spring on a bench" in form.said and "± 6.0 N/mm" in form.said


def test_the_readers_own_sentence_stands_at_the_answer_that_caused_it(unrendered, folder):
    form = lesson.drill_form(bench())
    form.ask("opener.disc[1]")
    form.answer("65,5 cm")
    assert "decimal comma" in form.said and "until your answer can be read" in form._panel.sentence
    form.ask("opener.mass")
    assert "decimal comma" not in form.said
    assert form.write("my_drill.toml") is None and "decimal comma" in form.outcome
    assert not Path("my_drill.toml").exists()
    form.ask("opener.disc[1]")
    form.answer("6.55 m")
    assert "outside what such a machine can be" in form.said
    form.answer("655 mm")
    assert "Line" not in form.said and form.write("my_drill") == Path("my_drill.toml")


def test_what_is_unlike_such_a_machine_is_told_at_its_answer(unrendered, folder):
    form = lesson.drill_form(bench())
    form.ask("opener.mass")
    form.answer("20 kg")
    assert "usual is 60 kg to 130 kg" in form.said


def test_a_stranger_describes_a_drill_and_a_field_and_they_are_on_the_bench(unrendered, folder):
    on = bench()
    form = lesson.drill_form(on)
    answers = {
        "row_spacing": "10 in",
        "rows": "48",
        "ranks": "2",
        "gap": "4 ft",
        "opener.pivot[2]": "480 mm",
        "opener.disc[1]": "26 in",
        "opener.disc_diameter": "18 in",
        "opener.gauge_wheel_diameter": "16 in",
        "spring.mount.moving_pin[1]": "300 mm",
        "spring.mount.frame_pin[2]": "310 mm",
        "opener.travel_down": "7 in",
        "opener.mass": "205 lb ± 5 lb",
    }
    for key, text in answers.items():
        form.ask(key)
        form.answer(text)
        assert form.draft.problems == {}
    form.turn_to("frame")
    form.ask("parts")
    form.answer("5")
    form._title.value = "Our drill"
    assert form.write("my_own.toml") == Path("my_own.toml")
    assert on.drill == read_drill("my_own.toml") == named_drill("my_own")
    assert (on.drill.row_count, len(on.drill.sections), on.drill.name) == (48, 5, "Our drill")
    assert on.drill.row_spacing == pytest.approx(0.254)
    assert form.write("my_own") is None and "stays as it is" in form.outcome
    field = lesson.field_form(on)
    field.ask("speed")
    field.answer("6 mph")
    field.write("my_land")
    assert on.field == read_field("my_land.toml")
    assert lesson.setting_table(on).plain.startswith("To set today: Our drill on My field")


def test_a_file_of_ones_own_goes_on_where_it_was_left(unrendered, folder):
    form = lesson.drill_form(bench())
    form.ask("row_spacing")
    form.answer("10 in")
    form.write("my_first")
    again = lesson.drill_form(bench())
    again.begin("my own my_first.toml")
    again.ask("row_spacing")
    assert again._answer.value == "10 in" and "assumed" not in again.said
    assert again.draft.text == Path("my_first.toml").read_text(encoding="utf-8")


def test_what_is_left_is_asked_about_and_moves_at_a_press(unrendered, folder):
    Path("my_box.toml").write_bytes(dict(shipped_drills())["box_drill_15ft"].read_bytes())
    form = lesson.drill_form(bench())
    form.begin("my own my_box.toml")
    form.ask("opener.disc[1]")
    form.answer("30 in")
    assert "Move it along?" in form.said and "opener.gauge_wheel[1]" in form.said
    before = form.draft.model.opener.gauge_wheel[0]
    form._along.click()
    assert form.draft.model.opener.gauge_wheel[0] - before == pytest.approx(0.1155, abs=1e-4)
    assert "Move it along?" not in form.said


def test_load_pads_are_answers_with_their_own_uncertainty(unrendered, folder):
    """Pads of the example drill put right what was wrong in the file by a fifth."""
    form = lesson.drill_form(bench())
    form.turn_to("frame")
    for name in ("sections[1].frame_mass", "sections[2].frame_mass"):
        form.ask(name)
        form.answer("1700 kg")
    form.take_pads(DATA / "measured" / "weighing_air_drill.csv")
    assert "Taken from the pads" in form.outcome
    for place, section in enumerate(example_drill("air_drill_12m").sections):
        path = ("sections", place, "frame_mass")
        sure = next(one for one in uncertain_inputs(form.draft.model) if one.path == path)
        assert (sure.basis, sure.source) == ("weighed", "file")
        assert abs(sure.value - section.frame_mass) < 3 * sure.uncertainty < 0.1 * section.frame_mass
    assert form.draft.model.sections[0].frame_centre[0] == pytest.approx(5.6, abs=0.1)
    Path("bad.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    before = form.draft.text
    form.take_pads("bad.csv")
    assert "Nothing was taken" in form.outcome and form.draft.text == before


def test_an_answer_costs_little_and_makes_no_new_panel(folder):
    form = lesson.drill_form(bench())
    form.ask("opener.disc[1]")
    panel, calls = form._panel, 0

    def count(frame, event, _):
        nonlocal calls
        calls += event == "call" and "downforce" in frame.f_code.co_filename

    for text in ("65 cm", "26 in", "0.66 m", "670 mm", "64 cm"):
        calls = 0
        sys.setprofile(count)
        try:
            form.answer(text)
        finally:
            sys.setprofile(None)
        # Calls of the library, as a clock lies on a shared machine; 18,800 take about 150 ms.
        assert calls <= 22_000
    assert form._panel is panel


@pytest.mark.parametrize("key", DRILLS)
def test_the_tape_in_the_drawing_is_as_long_as_the_answer(key):
    """To scale: between its two ends lies what the tape shows, pin to pin, level, upright or across."""
    draft = Draft.like(dict(shipped_drills())[key], "drill")
    lengths = 0
    for page in ("opener", "frame"):
        for question in questions(draft, page):
            _, ends = tape_ends(draft.model, question)
            if not ends or question.along in ("rows", "ranks", "parts") or question.path[-1] == "openers":
                continue
            (x1, z1), (x2, z2) = ends
            shown = ((x1 - x2) ** 2 + (z1 - z2) ** 2) ** 0.5
            assert shown == pytest.approx(abs(measured(draft.model, question)), abs=1e-6), question.ask
            lengths += 1
    assert lengths >= 10


def test_the_tape_moves_with_the_opener_through_its_travel():
    draft = Draft.like(dict(shipped_drills())["air_drill_12m"], "drill")
    spring = next(q for q in questions(draft, "opener") if q.key == "spring.mount.frame_pin[2]")
    (_, at_work), (_, low), (_, high) = (tape_ends(draft.model, spring, u) for u in (0.0, -0.1, 0.1))

    def length(ends):
        return ((ends[0][0] - ends[1][0]) ** 2 + (ends[0][1] - ends[1][1]) ** 2) ** 0.5

    opener = draft.model.opener
    assert length(low) == pytest.approx(float(draft.model.spring.length(opener, -0.1)))
    assert length(high) < length(at_work) < length(low)


@pytest.mark.parametrize("key", DRILLS)
def test_all_tapes_can_be_drawn_at_once(key):
    draft = Draft.like(dict(shipped_drills())[key], "drill")
    for page in ("opener", "frame"):
        figure = Figure(figsize=(8, 3.7))
        asked = questions(draft, page)
        TapeDrawing(draft.model, bench().units, asked).setup(figure)
        numbers = {text.get_text() for axes in figure.axes for text in axes.texts}
        held = {str(n) for n, q in enumerate(asked, 1) if tape_ends(draft.model, q)[1]}
        assert held and held <= numbers


@pytest.mark.parametrize("key", DRILLS)
def test_no_number_of_a_tape_hides_another(key):
    draft = Draft.like(dict(shipped_drills())[key], "drill")
    for page in ("opener", "frame"):
        figure = Figure(figsize=(7.3, 3.07))
        TapeDrawing(draft.model, bench().units, questions(draft, page)).setup(figure)
        FigureCanvasAgg(figure).draw()
        boxes = [
            (text.get_text(), text.get_window_extent())
            for axes in figure.axes
            for text in axes.texts
            if text.get_text().isdigit()
        ]
        for (one, box), (other, other_box) in combinations(boxes, 2):
            assert not box.overlaps(other_box), f"{one} and {other} lie on each other"


# --- the sheet ----------------------------------------------------------------------------


@pytest.mark.parametrize(("paper", "units"), [("A4", "metric"), ("Letter", "US")])
def test_the_sheet_asks_every_question_on_its_paper(folder, paper, units):
    path = measuring_sheet("sheet.pdf", "double_disc_9m", units, paper)
    pages = PdfReader(path).pages
    size = [float(side) / 72 * 25.4 for side in pages[0].mediabox[2:]]
    assert size == pytest.approx([1000 * side for side in PAPERS[paper]], abs=0.1)
    text = " ".join(" ".join(page.extract_text().split()) for page in pages)
    draft = Draft.like(dict(shipped_drills())["double_disc_9m"], "drill")
    for page in ("opener", "frame"):
        for question in questions(draft, page):
            assert question.ask in text
    assert ("9.8 in" if units == "US" else "250 mm") in text
    with pytest.raises(ValueError, match="already"):
        measuring_sheet("sheet.pdf")
    for wrong, said in (({"paper": "A5"}, "one of A4, Letter; got 'A5'"), ({"like": "mine"}, "There are")):
        with pytest.raises(ValueError, match=said):
            measuring_sheet("other.pdf", **wrong)


def test_the_button_writes_a_sheet_under_a_free_name(folder):
    maker = lesson.sheet_maker(bench())
    assert maker.write() == Path("my_measuring_sheet.pdf")
    assert maker.write() == Path("my_measuring_sheet-2.pdf")


# --- what is remembered -------------------------------------------------------------------


def test_nothing_is_remembered_unless_it_is_chosen(folder, capsys):
    open_bench()
    assert list(folder.iterdir()) == []
    assert capsys.readouterr().out.startswith("Ready. Drill: Teaching air drill, 12 m. Field: Firm")


def test_a_choice_is_found_in_the_next_workbook_and_a_named_bench_wins(folder, capsys):
    picker = open_bench().picker()
    picker.lists["drill"].value = dict(picker.lists["drill"].options)["Teaching box drill, 15 ft"]
    picker.work.wait()
    assert "Remembered" in picker.work.outcome
    picker.units.value = "metric"
    picker.work.wait()
    again = open_bench()
    assert again.drill == example_drill("box_drill_15ft") and again.units.name == "metric"
    assert "As you left it" in capsys.readouterr().out
    named = open_bench("double_disc_9m", "firm")
    assert named.drill == example_drill("double_disc_9m") and named.units.name == "metric"
    assert "As you left it" not in capsys.readouterr().out


def test_a_written_drill_is_found_next_week(unrendered, folder):
    form = lesson.drill_form(bench())
    form.ask("row_spacing")
    form.answer("10 in")
    form.write("my_drill")
    assert json.loads(Path(long_work.FILE).read_text(encoding="utf-8")) == {
        "drill": "my_drill.toml",
        "units": "metric",
    }
    assert "next workbook" in form.outcome
    assert open_bench().drill == read_drill("my_drill.toml")


def test_it_is_forgotten_with_one_press_and_no_file_of_the_users_goes(folder):
    long_work.remember(drill="double_disc_9m")
    Path("my_drill.toml").write_text("mine", encoding="utf-8")
    picker = open_bench().picker()
    assert picker._forget in picker.widget.children
    picker._forget.click()
    picker.work.wait()
    assert "Forgotten" in picker.work.outcome
    assert [path.name for path in folder.iterdir()] == ["my_drill.toml"]
    assert open_bench().drill == example_drill("air_drill_12m")


def test_a_remembered_file_that_has_gone_is_told_and_the_bench_opens(folder, capsys):
    long_work.remember(drill="my_gone.toml")
    assert open_bench().drill == example_drill("air_drill_12m")
    said = capsys.readouterr().out
    assert "cannot be opened" in said and "my_gone.toml" in said


@pytest.mark.parametrize("content", ["", "{", "[]", '{"drill": 3, "units": ""}'])
def test_a_broken_file_holds_nothing(folder, content):
    Path(long_work.FILE).write_text(content, encoding="utf-8")
    assert long_work.remembered() == {}
    assert long_work.remember(field="firm") and long_work.remembered() == {"field": "firm"}


@pytest.mark.parametrize(
    "where", [{"DOWNFORCE_STATE": ""}, {"JUPYTERHUB_USER": "ada"}, {"SERVER_SOFTWARE": "voila/0.5"}]
)
def test_on_a_shared_server_and_in_tests_nothing_is_kept(tmp_path, monkeypatch, where):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("DOWNFORCE_STATE")
    assert long_work.state_file() == Path(long_work.FILE)
    for name, value in where.items():
        monkeypatch.setenv(name, value)
    assert not long_work.remember(drill="double_disc_9m") and list(tmp_path.iterdir()) == []
    picker = open_bench().picker()
    assert picker._forget is None


@pytest.mark.parametrize("name", ["air_drill_12m", "air_drill_12m.toml"])
def test_names_with_and_without_their_ending(folder, name):
    assert named_drill(name) == example_drill("air_drill_12m")
    Path("my_own.toml").write_bytes(dict(shipped_drills())["double_disc_9m"].read_bytes())
    assert named_drill("my_own") == named_drill("my_own.toml") == example_drill("double_disc_9m")
