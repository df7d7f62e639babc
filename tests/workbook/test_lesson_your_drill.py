"""Your drill: the numbers of its answers, and its page on every shipped drill."""

import re
from pathlib import Path

import nbformat
import pytest

from downforce.machine.shipped import example_drill, example_field, shipped_drills
from downforce.workbook.bench import Bench
from downforce.workbook.series import workbook
from downforce.workbook.your_drill import lesson

DRILLS = [key for key, _ in shipped_drills()]
TEXT = "\n".join(
    cell.source
    for cell in nbformat.read(workbook("your_drill").path, as_version=4).cells
    if cell.cell_type == "markdown"
)


def bench(drill="air_drill_12m", units=None):
    return Bench(example_drill(drill), example_field("firm"), units)


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_the_reach_is_that_of_the_pins(drill, units):
    on = bench(drill, units)
    opener = on.drill.opener
    reach = opener.disc[0] if opener.linkage == "trailing arm" else opener.lower_opener_pin[0]
    assert on.units.show("length", reach) in lesson.reach_by_hand(on).plain.split("reaches")[1]


def test_the_numbers_by_hand_are_those_of_the_drill():
    opener = bench().drill.opener
    assert "reads 655 mm" in TEXT and "262 mm higher" in TEXT and "(450 − 188)" in TEXT
    assert (opener.pivot[1], opener.disc[1]) == (0.450, 0.188)
    assert "655 mm along it" in lesson.reach_by_hand(bench()).plain
    assert "= **600 mm**" in TEXT and opener.disc[0] == 0.600


def test_what_the_answers_say_of_the_form(unrendered, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    form = lesson.drill_form(bench())
    form.ask("opener.mass")
    form.answer("20 kg")
    usual = re.search(r"usual is (60 kg to 130 kg)", TEXT)
    assert usual and usual[1] in form.said and form.draft.problems == {}
    form.answer("90 kg")
    depth = form.draft.model.opener.disc_diameter / 2 - form.draft.model.opener.disc[1]
    form.ask("opener.disc_diameter")
    form.answer("20 in")
    opener = form.draft.model.opener
    assert opener.disc_diameter / 2 - opener.disc[1] == pytest.approx(depth, abs=1e-5)
    form.turn_to("frame")
    form.ask("parts")
    form.answer("1")
    model = form.draft.model
    assert (len(model.sections), len(model.wheels)) == (1, 2) and not form.draft.problems


def test_still_and_plain_text_hold_every_question(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    shown = lesson.drill_form(bench())._repr_mimebundle_()
    assert shown["text/plain"].count("?") >= 12 and "<img" in shown["text/html"]
    assert Path("my_drill.toml").exists() is False
