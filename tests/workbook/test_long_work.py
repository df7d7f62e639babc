"""Work with a bar: how far it is, Stop, a new choice over an old one, errors, and the long pass."""

import threading

import pytest

from downforce.machine import FileProblem
from downforce.machine.shipped import example_drill, example_field
from downforce.study.ground.compare_actuators import level_pressure
from downforce.study.setting.same_target import four_ways, shares_of
from downforce.workbook import long_work
from downforce.workbook.bench import Bench
from downforce.workbook.ground.terrace import DISTANCES, LONG_SPACING, LongPass
from downforce.workbook.long_work import LongWork, telling


def row_of(work):
    return work.widget.children[0]


def test_the_bar_moves_and_goes_away_when_the_work_has_ended():
    work, seen = LongWork("before"), []
    assert work.outcome == "<p>before</p>" and row_of(work).layout.display == "none"

    def task(progress, stop):
        for share in (0.0, 0.5, 1.0):
            progress(share)
            seen.append((work.share, row_of(work).children[0].value, row_of(work).layout.display))
        return "after"

    work.start(task)
    work.wait()
    assert work.outcome == "<p>after</p>" and row_of(work).layout.display == "none"
    assert [share for share, _bar, _display in seen] == [0.0, 0.5, 1.0]
    assert {display for _share, _bar, display in seen} == {"flex"}
    assert 'value="100"' in seen[-1][1] and "100 % done" in seen[-1][1]


def test_the_bar_is_not_moved_more_often_than_it_can_be_seen(monkeypatch):
    monkeypatch.setattr(long_work, "REFRESH", 1e9)
    work, bars = LongWork(), set()

    def task(progress, stop):
        for share in range(1, 100):
            progress(share / 100)
            bars.add(row_of(work).children[0].value)
        return ""

    work.start(task)
    work.wait()
    assert len(bars) == 1 and work.share == 0.99


def test_a_new_task_ends_the_one_before():
    work, begun, ended = LongWork(), threading.Event(), []

    def endless(progress, stop):
        begun.set()
        assert stop.wait(30)
        ended.append(True)
        return "stopped"

    work.start(endless)
    assert begun.wait(30)
    work.start(lambda progress, stop: f"next, stopped: {stop.is_set()}")
    work.wait()
    assert ended == [True] and work.outcome == "<p>next, stopped: False</p>"


def test_an_impossible_choice_is_said_in_place_of_the_outcome():
    work = LongWork()

    def refused(progress, stop):
        raise ValueError("The spring <closes>.")

    work.start(refused)
    work.wait()
    assert "The spring &lt;closes&gt;." in work.outcome and row_of(work).layout.display == "none"


def test_a_problem_in_a_callback_is_shown_and_a_fault_is_raised_too():
    said = []

    def refused(problem):
        raise problem

    told = telling(said.append, refused)
    told(ValueError("The spring closes."))
    told(FileProblem("mine.toml", ["Line 3: no."]))
    told(FileNotFoundError(2, "No such file or directory", "mine.csv"))
    with pytest.raises(KeyError):
        told(KeyError("bore"))
    assert said == [
        "The spring closes.",
        "mine.toml cannot be used. Line 3: no.\nNothing has been loaded.",
        "mine.csv cannot be used: No such file or directory.",
        "This part has a fault, please report it: KeyError: 'bore'",
    ]


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_fault_is_said_and_reported():
    work, reported = LongWork(), []
    before, threading.excepthook = threading.excepthook, reported.append

    def broken(progress, stop):
        raise TypeError("a fault")

    try:
        work.start(broken)
        work.wait()
    finally:
        threading.excepthook = before
    assert "a fault" in work.outcome and reported[0].exc_type is TypeError


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", ["air_drill_12m", "box_drill_15ft", "double_disc_9m"])
def test_the_long_pass_starts_short_and_says_what_the_study_gives(drill, units):
    bench = Bench(example_drill(drill), example_field("firm"), units)
    part = bench.show(LongPass)
    first, metres = next(iter(DISTANCES[units].items()))
    lines = part.part.plain.splitlines()
    assert first in lines[0] and len(lines) == 6
    pressure = level_pressure(bench.drill, bench.field, bench.field.aim.gauge_wheel_load)
    cases = four_ways(
        bench.drill, bench.field, pressure, stations=round(metres / LONG_SPACING), spacing=LONG_SPACING
    )
    for line, shares in zip(lines[2:], shares_of(cases).values(), strict=True):
        assert line.split("; ")[-2:] == [
            bench.units.show("force", shares.mean),
            bench.units.show("force", shares.spread),
        ]


def test_driving_further_moves_the_table_and_stop_says_where_it_ended():
    page = LongPass(Bench(example_drill("box_drill_15ft"), example_field("moist_soft")))
    short = page.plain
    page.choice.value = "1 mile"
    page.work.wait()
    assert "over 1 mile of" in page.plain and page.plain != short
    assert page.work.outcome == page.html
    page.choice.value = "30 miles"
    page.work.stop()
    page.work.wait()
    assert "Stopped after" in page.work.outcome and "over 1 mile of" in page.plain


def test_intervals_are_drawn_anew_when_asked_and_can_be_stopped():
    from downforce.machine.shipped import example_drill, example_field
    from downforce.workbook.bench import Bench
    from downforce.workbook.setting.lesson import Redraw

    redraw = Redraw(Bench(example_drill("box_drill_15ft"), example_field("firm")))
    before = redraw.plain
    assert "by slopes" in before and "anew" not in before.splitlines()[2]
    redraw.choice.value = "200 times"
    redraw.work.wait()
    assert "every input drawn anew, 200 times" in redraw.plain and redraw.work.share == 1.0
    redraw.choice.value = "4000 times"
    redraw.work.stop()
    redraw.work.wait()
    assert "Stopped" in redraw.work.outcome
    redraw.choice.value = "not yet"
    redraw.work.wait()
    assert redraw.plain == before
