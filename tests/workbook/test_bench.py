"""The bench: opened in one line, changed by the picker, and never with a file that has problems."""

import gc
import threading
import weakref
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import ipywidgets
import pytest

from downforce.machine import read_drill
from downforce.machine.field import Tracks
from downforce.machine.shipped import example_drill, shipped_drills
from downforce.workbook import bench as workbook_bench
from downforce.workbook.bench import Bench, PlainProblem, open_bench
from downforce.workbook.start import lesson as lesson_start_here
from downforce.workbook.table import Page

MOMENT = datetime(2026, 1, 1, tzinfo=UTC)
AIR = dict(shipped_drills())["air_drill_12m"].read_text(encoding="utf-8")


def upload(picker, text, name="mine.toml"):
    content = text.encode()
    file = {"name": name, "type": "", "size": len(content), "content": content, "last_modified": MOMENT}
    picker.uploads["drill"].value = (file,)
    picker.work.wait()


def test_one_line_says_what_is_on_the_bench(capsys):
    bench = open_bench("box_drill_15ft", "moist_soft")
    assert capsys.readouterr().out.strip() == bench.line
    ready = "Ready. Drill: Teaching box drill, 15 ft. Field: Moist and soft. Units: US."
    assert bench.line == f"{ready} {bench.drill.note}" and "A warning example" in bench.drill.note


@pytest.mark.parametrize(
    ("written", "said"),
    [
        (
            "45 psi",
            '"45 psi" is outside what this drill\'s gauge shows well. Allowed: 117 psi to 2320 psi '
            '(8 bar to 160 bar). Did you mean "45 bar"?',
        ),
        (
            "450 bar",
            '"450 bar" is outside what this drill\'s gauge shows well. Allowed: 8 bar to 160 bar '
            '(117 psi to 2320 psi). Did you mean "450 psi"?',
        ),
        ("45", '"45" has no unit. A pressure is in bar, kPa, MPa or psi. Write it like "45 bar".'),
    ],
)
def test_a_pressure_the_gauge_cannot_show_is_asked_back(written, said):
    with pytest.raises(PlainProblem) as problem:
        open_bench("air_drill_12m", "firm").gauge_pressure(written)
    assert str(problem.value) == said


def test_a_pressure_is_read_up_to_the_ends_of_the_dial():
    bench = open_bench("air_drill_12m", "firm")
    assert bench.gauge_pressure("8 bar") == pytest.approx(8e5)
    assert bench.gauge_pressure("160 bar") == pytest.approx(160e5)


def test_a_path_of_ones_own_works_and_the_file_stays_as_it_was(tmp_path):
    mine = tmp_path / "mine.toml"
    mine.write_text(AIR.replace("Teaching air drill, 12 m", "My own drill"), encoding="utf-8")
    before = mine.read_bytes()
    assert open_bench(mine, "firm", "US").drill.name == "My own drill"
    assert mine.read_bytes() == before


def test_a_bad_file_is_told_in_sentences_without_a_traceback(tmp_path):
    mine = tmp_path / "mine.toml"
    spoilt = AIR.replace('"38.1 mm"', '"381 mm"').replace('"91.774 kg (weighed)"', "91.774")
    mine.write_text(spoilt, encoding="utf-8")
    with pytest.raises(PlainProblem) as problem:
        open_bench(mine)
    shown = "\n".join(problem.value._render_traceback_())
    assert 'Did you mean "38.1 mm"?' in shown and "is a bare number" in shown
    assert "Traceback" not in shown


def test_panels_follow_the_picker_and_its_units():
    bench = open_bench()
    part, picker = bench.show(lesson_start_here.first_panel), bench.picker()
    assert " bar" in part.part.sentence
    picker.lists["drill"].value = dict(picker.lists["drill"].options)["Teaching box drill, 15 ft"]
    picker.work.wait()
    assert " psi" in part.part.sentence and picker.units.value == "US"
    picker.units.value = "metric"
    picker.work.wait()
    assert " bar" in part.part.sentence and bench.drill.name == "Teaching box drill, 15 ft"


def test_a_good_upload_is_put_on_the_bench_and_a_bad_one_changes_nothing():
    bench = open_bench()
    picker = bench.picker()
    upload(picker, AIR.replace('"38.1 mm"', '"381 mm"'))
    assert bench.drill.name == "Teaching air drill, 12 m"
    assert "Nothing was changed" in picker.work.outcome and "38.1 mm" in picker.work.outcome
    upload(picker, AIR.replace("Teaching air drill, 12 m", "My own drill"), "mine2.toml")
    assert bench.drill.name == "My own drill" and picker.lists["drill"].label == "My own drill"


def test_an_upload_is_shown_once_and_with_its_own_result(monkeypatch):
    bench, put = open_bench(), []
    picker = bench.picker()
    monkeypatch.setattr(bench, "put", lambda **what: put.append(what))
    upload(picker, AIR.replace("Teaching air drill, 12 m", "My own drill"))
    assert [what["drill"].name for what in put] == ["My own drill"]
    assert picker.lists["drill"].label == "My own drill"


@pytest.mark.parametrize("name", ["a" * 300 + ".toml", "a\0.toml", "..", "", "x/y.toml"])
def test_an_upload_may_have_any_name(name):
    picker = open_bench().picker()
    upload(picker, AIR.replace("Teaching air drill, 12 m", "My own drill"), name)
    assert picker.lists["drill"].label == "My own drill"


def test_what_goes_wrong_when_an_upload_is_read_is_always_shown(monkeypatch):
    picker = open_bench().picker()

    def broken(_path):
        raise ZeroDivisionError("by <nothing>")

    monkeypatch.setitem(workbook_bench._READERS, "drill", broken)
    with pytest.raises(ZeroDivisionError):
        upload(picker, AIR)
    picker.work.wait()
    assert "Nothing was changed" in picker.work.outcome
    assert (
        "This part has a fault, please report it: ZeroDivisionError: by &lt;nothing&gt;"
        in picker.work.outcome
    )


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_part_with_a_fault_says_so_and_the_others_still_follow(monkeypatch):
    monkeypatch.setattr(threading, "excepthook", lambda _: None)
    bench = open_bench()
    picker = bench.picker()

    def build(on, fault):
        if fault and on.drill.name != "Teaching air drill, 12 m":
            raise ZeroDivisionError("by nothing")
        return Page("", on.drill.name)

    parts = [bench.show(build, fault) for fault in (True, False)]
    picker.lists["drill"].value = dict(picker.lists["drill"].options)["Teaching box drill, 15 ft"]
    picker.work.wait()
    fault = "This part has a fault, please report it: ZeroDivisionError: by nothing"
    assert [part.part.plain for part in parts] == [fault, "Teaching box drill, 15 ft"]
    assert fault in picker.work.outcome


def test_a_part_that_cannot_be_built_says_so_in_its_place():
    bench = open_bench()

    def build(on):
        if on.drill.name != "Teaching air drill, 12 m":
            raise ValueError("this drill has no wings")
        return lesson_start_here.installation_check()

    part = bench.show(build)
    bench.put(drill=open_bench("box_drill_15ft").drill)
    assert "this drill has no wings" in part._box.children[0].value
    first = bench.show(build)._repr_mimebundle_()
    assert first["text/plain"] == "this drill has no wings"
    assert "this drill has no wings" in first["text/html"]
    assert "Nothing was changed" not in first["text/html"]


def test_the_line_says_what_does_not_fit_between_drill_and_field():
    bench = open_bench()
    tracks = Tracks(1.4, 0.03, positions=(9.0,))
    bench.put(field=replace(bench.field, tracks=tracks))
    assert "But " in bench.line and "no row of" in bench.line
    assert "no row of" in bench.picker().work.outcome


def test_an_unusual_value_is_told_on_the_bench_in_the_picker_and_under_every_part():
    bench = open_bench()

    def page(on):
        return Page(f"<p>{on.drill.name}</p>", on.drill.name)

    parts = [bench.show(lesson_start_here.first_panel), bench.show(page)]
    picker = bench.picker()
    before = [part._repr_mimebundle_()["text/plain"] for part in parts]
    assert "Unusual" not in bench.line + picker.work.outcome + "".join(before)
    upload(picker, AIR.replace('"91.774 kg', '"7.5 kg').replace("Teaching air drill, 12 m", "My own drill"))
    told = "Unusual, and used as it stands: opener.mass is 7.5 kg (17 lb); usual is 60 kg to 130 kg (133 lb"
    assert told in bench.line and told in picker.plain and "opener.mass is 7.5 kg" in picker.work.outcome
    for part in parts:
        shown = part._repr_mimebundle_()
        assert told in shown["text/plain"] and told in shown["text/html"].replace("&quot;", '"')
        assert "opener.mass is 7.5 kg" in part._box.children[1].value
    bench.put(drill=open_bench("box_drill_15ft").drill)
    assert all(part.remark == "" for part in parts)
    assert not any("Unusual" in getattr(shown, "value", "") for part in parts for shown in part._box.children)


def test_a_part_that_cannot_be_built_still_tells_what_is_unusual():
    bench = open_bench()
    bench.put(drill=replace(bench.drill, opener=replace(bench.drill.opener, mass=7.5)))

    def build(_bench):
        raise ValueError("no weight")

    assert "no weight\nUnusual, and used" in bench.show(build)._repr_mimebundle_()["text/plain"]


def test_unknown_units_are_refused():
    drill, field = open_bench().drill, open_bench().field
    with pytest.raises(ValueError, match='Units are "metric" or "US"'):
        Bench(drill, field, "imperial")


def test_the_picker_says_how_far_it_is_and_can_be_stopped():
    """The second part waits for the test, which then presses Stop: the third part never follows."""
    bench = open_bench("air_drill_12m", "firm")
    picker, reached, go_on = bench.picker(), threading.Event(), threading.Event()
    built = []

    def slow_page(bench, name):
        if built.count(name) and name == "second":
            reached.set()
            assert go_on.wait(30)
        built.append(name)
        return Page(name, f"{name} of {bench.drill.name}")

    parts = [bench.show(slow_page, name) for name in ("first", "second", "third")]
    picker.lists["drill"].value = dict(picker.lists["drill"].options)["Teaching box drill, 15 ft"]
    assert reached.wait(30)
    assert picker.work.share == pytest.approx(1 / 3)
    assert picker.work.widget.children[0].layout.display == "flex"
    picker.work.widget.children[0].children[1].click()
    go_on.set()
    picker.work.wait()
    assert [part.part.plain for part in parts[:2]] == [
        "first of Teaching box drill, 15 ft",
        "second of Teaching box drill, 15 ft",
    ]
    assert "You stopped this before it was worked out" in parts[2].part.plain
    assert picker.work.widget.children[0].layout.display == "none"
    picker.units.value = "metric"
    picker.work.wait()
    assert parts[2].part.plain == "third of Teaching box drill, 15 ft"


# --- what is no longer shown ---------------------------------------------------------------


class Shell:
    """Stands in for a kernel whose front end names the cell it runs."""

    execution_count = 1

    def __init__(self, cell):
        self.cell = cell

    def get_parent(self):
        return {"metadata": {"cellId": self.cell} if self.cell else {}}


@pytest.fixture
def shell(monkeypatch):
    """A cell that runs, as often as the test says."""
    running = Shell("a")
    monkeypatch.setattr("downforce.workbook.long_work.get_ipython", lambda: running)
    monkeypatch.setattr("downforce.workbook.long_work._RUNS", {})
    return running


def open_widgets():
    return len(ipywidgets.widgets.widget._instances)


def test_a_panel_of_a_cell_that_runs_again_is_freed_and_no_other(unrendered, shell):
    desk = open_bench()
    first, second = (desk.show(lesson_start_here.first_panel) for _ in "12")
    shell.cell = "b"
    other = desk.show(lesson_start_here.first_panel)
    gone, count = weakref.ref(first.part), open_widgets()
    shell.cell, shell.execution_count = "a", 2
    again = desk.show(lesson_start_here.first_panel)
    assert desk._live == [other, again]
    assert second._box.comm is None and other._box.comm is not None
    # Two of the same size went and one came.
    assert open_widgets() < count
    del first, second
    gc.collect()
    assert gone() is None


def test_a_panel_that_follows_the_bench_leaves_nothing_behind(unrendered, shell):
    desk = open_bench()
    part = desk.show(lesson_start_here.first_panel)
    desk.put(units="US")
    gone, count = weakref.ref(part.part), open_widgets()
    for units in ("metric", "US"):
        desk.put(units=units)
    assert open_widgets() == count
    gc.collect()
    assert gone() is None and " psi" in part.part.sentence


def test_where_no_cell_is_named_nothing_is_freed(unrendered, shell):
    shell.cell = None
    desk = open_bench()
    first = desk.show(lesson_start_here.first_panel)
    shell.execution_count = 2
    desk.show(lesson_start_here.first_panel)
    assert len(desk._live) == 2 and first._box.comm is not None


def test_what_others_put_on_the_bench_stands_in_its_picker(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    desk = open_bench()
    picker = desk.picker()
    Path("my_drill.toml").write_text(
        AIR.replace("Teaching air drill, 12 m", "My own drill"), encoding="utf-8"
    )
    Path("my_broken.toml").write_text('describes = "drill"', encoding="utf-8")
    mine = read_drill("my_drill.toml")
    desk.put(drill=mine, units="US")
    assert (picker.lists["drill"].value, picker.units.value) == (mine, "US")
    desk.put(drill=example_drill("air_drill_12m"))
    assert picker.lists["drill"].label == "Teaching air drill, 12 m"
    # It is still listed, also in a picker that is made later; a file that cannot be read is in none.
    for each in (picker, open_bench().picker()):
        assert dict(each.lists["drill"].options)["My own drill"] == mine
        assert len(each.lists["drill"].options) == 4


def test_two_files_of_one_name_are_both_listed_and_each_is_remembered_as_itself(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DOWNFORCE_STATE", "state.json")
    texts = [
        AIR.replace("Teaching air drill, 12 m", "My drill"),
        AIR.replace("drill, 12 m", "drill, 12 m, wide"),
    ]
    texts.append(texts[0].replace('"130 mm"', '"120 mm"'))
    for name, text in zip(("my_a.toml", "my_b.toml", "my_c.toml"), texts, strict=True):
        Path(name).write_text(text, encoding="utf-8")
    picker = open_bench().picker()
    drills = dict(picker.lists["drill"].options)
    assert list(drills)[3:] == ["My drill", "Teaching air drill, 12 m, wide", "My drill (my_c.toml)"]
    picker.lists["drill"].value = drills["My drill (my_c.toml)"]
    picker.work.wait()
    assert open_bench().drill == read_drill("my_c.toml")
