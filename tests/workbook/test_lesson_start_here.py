"""Workbook 00: every corner of its panel, and the numbers it quotes."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field, shipped_drills, shipped_fields
from downforce.machine.units import METRIC
from downforce.study.first_look import KnownAnswer, first_look, known_answers, whole_drill
from downforce.study.oil.band import oil_band
from downforce.study.openers.row_sample import assumed_sample
from downforce.study.pressure_setting import recommend, usual_sample
from downforce.workbook.bench import Bench
from downforce.workbook.setting import lesson as lesson_pressure_setpoint
from downforce.workbook.start import lesson

NOTEBOOK = Path(__file__).parents[2] / "notebooks" / "00_start_here.ipynb"
DRILLS = [key for key, _ in shipped_drills()]
FIELDS = [key for key, _ in shipped_fields()]


def bench(drill="air_drill_12m", field="firm", units="metric"):
    return Bench(example_drill(drill), example_field(field), units)


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("drill", DRILLS)
def test_every_corner_of_the_panel_says_something(unrendered, drill, field, units):
    panel = lesson.first_panel(bench(drill, field, units))
    said = set()
    for corner in panel.corners():
        panel.set(**corner)
        assert panel.sentence.startswith("Here the springs leave")
        assert "nan" not in panel.sentence and "inf " not in panel.sentence
        said.add(panel.sentence)
    assert len(said) >= 4


def test_the_sentence_holds_the_numbers_of_the_study():
    on = bench()
    panel = lesson.first_panel(on)
    panel.set(height=50)
    look = first_look(on.drill, on.field, 0.05)
    assert f"{float(look.spring_here.gauge_wheel_load):.0f} N" in panel.sentence
    assert f"cylinders at {look.gauge_pressure / 1e5:.0f} bar" in panel.sentence
    assert f"lifts at {float(look.lift.lowest) / 1e5:.0f} bar" in panel.sentence


def test_a_pressure_above_the_lift_limit_is_called_out_of_reach():
    panel = lesson.first_panel(bench("box_drill_15ft", "firm", "metric"))
    panel.set(reaction=1300, wanted=400)
    assert "cannot be reached" in panel.sentence


def test_every_regime_is_put_into_words():
    panel = lesson.first_panel(bench())
    assert (panel.controls["height"].low, panel.controls["height"].high) == (-180, 130)  # the opener's stops
    panel.set(height=-180)
    assert panel.sentence.count("not at depth") == 2
    panel.reset()
    panel.set(height=-130, reaction=1800)
    assert "not at depth" in panel.sentence
    panel.set(height=130, reaction=400)
    assert "upper stop" in panel.sentence


def test_numbers_quoted_in_the_answers_are_those_of_the_library():
    text = NOTEBOOK.read_text(encoding="utf-8")
    on = bench()
    hollow, rise = first_look(on.drill, on.field, -0.05), first_look(on.drill, on.field, 0.05)
    quoted = {
        "Its wheel keeps {:.0f} N": hollow.cylinder_here.gauge_wheel_load,
        "disc runs at {:.0f} mm": hollow.spring_here.depth * 1e3,
        "The spring's: {:.0f} N": rise.spring_here.gauge_wheel_load,
        "against {:.0f} N": rise.cylinder_here.gauge_wheel_load,
    }
    for words, value in quoted.items():
        assert words.format(float(value)) in text


def test_the_table_counts_what_the_study_counts():
    on = bench("double_disc_9m", "moist_soft")
    text = lesson.result_table(on).plain
    assert "Springs, 95 % of the rows in; Cylinders, 95 % of the rows in" in text
    assert "; adjuster 33 mm out; 31 bar" in text
    assert "a pass of" in text and "lifts at" in text


def test_cylinders_turned_up_stand_where_the_setting_says_enough_rows():
    on = bench()
    enough = recommend(on.drill, on.field).needed_for_share
    assert enough == lesson_pressure_setpoint.today_panel(on).result.setting.needed_for_share
    last = lesson.result_table(on).plain.splitlines()[2].split("; ")[-1]
    assert last == METRIC.show("pressure", enough)


def test_the_table_says_under_which_column_the_frame_would_lift():
    row = next(line for line in lesson.result_table(bench()).plain.splitlines() if line.startswith("Frame,"))
    assert row == "Frame, no seed on it; stays down; stays down; would lift first; stays down"


@pytest.mark.parametrize("drill", ["air_drill_12m", "double_disc_9m"])
def test_the_table_says_what_the_cylinders_get_with_the_oil_in_it(drill):
    on = bench(drill)
    found = whole_drill(on.drill, on.field, usual_sample(on.drill, on.field))
    for band, pressure in (
        (found.oil, found.setting.setting),
        (found.oil_turned_up, found.cylinders_turned_up.setting),
    ):
        assert band == oil_band(on.drill, on.field, pressure)
    rows = {
        line.partition("; ")[0]: line.split("; ")[1:] for line in lesson.result_table(on).plain.splitlines()
    }
    ends = [
        f"{band.fed_low / 1e5:.0f} bar to {band.fed_high / 1e5:.0f} bar"
        for band in (found.oil, found.oil_turned_up)
    ]
    assert rows["At the cylinders at work, oil at 40 °C"] == ["no oil", ends[0], "no oil", ends[1]]
    short = [f"{100 * band.starved:.0f} %" for band in (found.oil, found.oil_turned_up)]
    assert rows["Way on which the tractor's oil runs short"] == ["no oil", short[0], "no oil", short[1]]


def test_turning_up_springs_loads_more_rows_heavily_than_raising_the_pressure():
    on = bench()
    found = whole_drill(on.drill, on.field, assumed_sample(on.drill, on.field))
    springs, cylinders = found.springs_turned_up, found.cylinders_turned_up
    assert springs.shares.short == pytest.approx(0.05, abs=0.005)
    assert cylinders.shares.short == pytest.approx(0.05, abs=0.005)
    assert springs.shares.packing > cylinders.shares.packing + 0.2
    assert springs.shares.mean > cylinders.shares.mean


def test_the_first_look_takes_todays_soil_and_wish():
    on = bench()
    harder = first_look(on.drill, on.field, reaction=1200.0, gauge_wheel_load=220.0)
    assert harder.gauge_pressure / 1e5 == pytest.approx(82.8, abs=0.05)
    assert np.all(harder.cylinder.gauge_wheel_load >= 0)


def test_known_answers_come_out_and_a_wrong_one_is_called_wrong():
    answers = known_answers()
    assert all(answer.agrees for answer in answers)
    assert not replace(answers[0], found=answers[0].known * 1.01).agrees
    assert "4 of 4 known answers come out: the installation is sound." in lesson.installation_check().plain


def test_a_failed_check_says_install_again(monkeypatch):
    wrong = (KnownAnswer("two", 2.0, 3.0, 0.5, "arithmetic"),)
    monkeypatch.setattr(lesson, "known_answers", lambda: wrong)
    text = lesson.installation_check().plain
    assert "NO" in text and "Install again" in text
