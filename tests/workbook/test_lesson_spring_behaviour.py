"""Spring behaviour: its panels at covering corners, sentences against the study, quoted answers."""

import re
from dataclasses import replace
from functools import lru_cache
from itertools import product

import nbformat
import numpy as np
import pytest
from corners import covering_corners

from downforce.machine.shipped import example_drill, example_field
from downforce.study.spring_behaviour import changed_spring, rate_at_disc, spring_curve
from downforce.workbook.bench import Bench
from downforce.workbook.panel import Panel
from downforce.workbook.series import workbook
from downforce.workbook.springs import lesson
from downforce.workbook.springs.lesson import behaviour

NOTEBOOK = workbook("spring_behaviour").path
DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
FIELDS = ("firm", "moist_soft", "dry_hard_tracks")
PANELS = ("mechanism", "behaviour", "rivals", "measured", "coil")
TABLES = ("travel", "relaxed", "measured")


def bench(drill="air_drill_12m", field="firm", units="metric"):
    return Bench(example_drill(drill), example_field(field), units)


@lru_cache(maxsize=8)
def panel(name, *where):
    """A panel as it is at the start; building one costs more than moving it."""
    return getattr(lesson, f"{name}_panel")(bench(*where))


def sweep(shown):
    """Corners computed, put into words and set on the artists; the last one also drawn."""
    said, corners = [], covering_corners(shown)
    for corner in corners:
        result = shown._compute(**corner)
        shown._canvas._drawing.update(result)
        said.append(shown._write_sentence(result))
        assert len(shown._write_alt(result)) > 60
    shown.set(**corners[-1])
    assert len(shown.picture_png()) > 2000
    shown.reset()
    for words in said:
        assert not re.search(r"\bnan\b|\binf\b|no value", words), words
        assert len(words) > 30
    assert len(set(said)) > 1
    return said


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
@pytest.mark.parametrize("name", PANELS)
def test_covering_corners_of_a_panel_have_a_picture_and_a_sentence(name, drill, units):
    sweep(panel(name, drill, "firm", units))


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize(("drill", "field"), list(product(DRILLS, FIELDS)))
def test_covering_corners_of_turning_up_have_a_picture_and_a_sentence(drill, field, units):
    said = sweep(panel("turn_up", drill, field, units))
    assert all("hollow" in words and "rise" in words for words in said)


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize(("drill", "field"), list(product(DRILLS, FIELDS)))
def test_tables_are_whole_on_every_drill_and_field(drill, field, units):
    on = bench(drill, field, units)
    for name in TABLES:
        page = getattr(lesson, f"{name}_page")(on)
        assert "nan" not in page.plain and "<table" in page.html
        assert page.plain.count("\n") >= 3
        assert ("lbf" in page.plain.split("\n")[2]) or units == "metric"


@pytest.mark.parametrize("name", [*PANELS, "turn_up"])
def test_each_slider_alone_changes_the_sentence_and_reset_brings_it_back(name):
    shown = panel(name)
    shown.reset()
    start = shown.sentence
    for control in shown.controls.values():
        ends = [end for end in control.ends if end != control.value]
        shown.set(**{control.name: ends[-1]})
        # The rise of a closed line does not hang on the strut, and so on; but some word must change.
        assert shown.sentence != start, control.name
        shown.reset()
        assert shown.sentence == start


def test_sentence_says_the_load_of_the_study():
    shown = panel("behaviour")
    shown.set(rearward=20, rate=85, setting=10, travel=-60)
    drill = example_drill("air_drill_12m")
    spring = changed_spring(drill.spring, 0.010, 0.85, 0.020)
    now = spring_curve(drill.opener, spring, -0.060)
    at_work = float(spring.down_force(drill.opener, 0.0))
    for words in (
        f"pushes {float(now.spring_force):.0f} N",
        f"leverage of {float(now.leverage):.3f}",
        f"is {float(now.down_force):.0f} N at the disc",
        f"{100 * float(now.down_force) / at_work:.0f} % of the {at_work:.0f} N",
        "25.5 N/mm on the spring",
        f"{rate_at_disc(drill.opener, spring) / 1e3:.1f} N/mm felt",
    ):
        assert words in shown.sentence, words


def test_sentence_names_slack_and_coil_bind():
    shown = panel("behaviour")
    shown.reset()
    shown.set(travel=-180)
    assert "slack and gives nothing" in shown.sentence
    shown.set(setting=60, travel=130)
    assert "Coil-bind" in shown.sentence and "stop the arm at 32 mm" in shown.sentence


def test_behaviour_finds_where_the_spring_goes_slack_and_closes():
    drill = example_drill("air_drill_12m")
    found = behaviour(drill.opener, drill.spring, 0.0)
    beyond = drill.spring.axial_force(
        drill.spring.length(drill.opener, found.slack_travel + np.array([-1e-3, 1e-3]))
    )
    assert beyond[0] == 0 < beyond[1]
    assert found.stop == pytest.approx(drill.opener.highest_travel)


def test_no_corner_of_the_curves_is_cut_off():
    """Between two points a line is straight, so where a curve turns away from nothing a point must lie."""
    drill = example_drill("air_drill_12m")
    found = behaviour(drill.opener, drill.spring, 0.0)
    curve = found.curve
    assert found.slack_travel in curve.travel
    # By hand: 1050 N less 30 N/mm x 0.46667^2 for each millimetre are gone 160.7 mm below.
    for force, corner in ((curve.down_force, found.slack_travel), (curve.hand_force, -0.16071)):
        last = np.flatnonzero(force <= 1e-6)[-1]
        assert curve.travel[last] == pytest.approx(corner, abs=2e-5)
        assert force[last + 1] > 1.0


def test_own_readings_may_hold_a_single_spring(tmp_path):
    path = tmp_path / "mine.csv"
    path.write_text(
        "length_in,force_lbf\n13,0\n12.5,0\n12,0\n11,170\n10,345\n9,508\n8,683\n7,848\n", encoding="utf-8"
    )
    shown = lesson.measured_panel(bench(units="US"), path)
    assert isinstance(shown, Panel) and "spring" not in shown.controls
    assert "rate 170 lbf/in" in shown.sentence


# --- what the notebook's words quote ----------------------------------------------------------------------


def words_of_the_notebook():
    notebook = nbformat.read(NOTEBOOK, as_version=4)
    return "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown").replace("**", "")


def sentence(name, **values):
    shown = panel(name)
    shown.reset()
    shown.set(**values)
    return shown.sentence.replace("\N{NO-BREAK SPACE}", " ")


def page(name):
    return getattr(lesson, f"{name}_page")(bench()).plain.replace("\N{NO-BREAK SPACE}", " ")


QUOTED = [
    # words of the notebook, where the library says it, how it says it
    ("333 mm instead of 285 mm", "mechanism", {"travel": -100}, ["333 mm"]),
    ("333 mm instead of 285 mm", "mechanism", {}, ["285 mm"]),
    ("401 N, 38 % in the hollow", "behaviour", {"travel": -100}, ["401 N at the disc", "38 %"]),
    ("from 0.467 to 0.489", "behaviour", {"travel": -100}, ["0.489"]),
    ("1664 N, 158 % on the rise", "behaviour", {"travel": 100}, ["1664 N at the disc", "158 %", "0.458"]),
    ("The coils close 32 mm up", "behaviour", {"setting": 60, "travel": 130}, ["stop the arm at 32 mm"]),
    ("at work, 1029 N", "behaviour", {"rate": 70, "setting": 30}, ["1029 N at the disc"]),
    ("57 % is left", "behaviour", {"rate": 70, "setting": 30, "travel": -100}, ["57 %"]),
    ("close 98 mm up", "behaviour", {"rate": 70, "setting": 30, "travel": 130}, ["stop the arm at 98 mm"]),
    ("60 mL: 72 % and 159 %", "rivals", {"gas": 60}, ["accumulator 72 % and 159 %"]),
    ("1000 mL: 99 % and 102 %", "rivals", {"gas": 1000}, ["accumulator 99 % and 102 %"]),
    ("8 times the swept gas gives 100 % and 103 %", "rivals", {"ratio": 8}, ["gas spring 100 % and 103 %"]),
    ("101 % in the hollow. And ±70 N", "rivals", {}, ["pressure held 101 % and 100 %", "±70 N"]),
    ("(39 mm of its 40 mm) to 227 N", "turn_up", {}, ["not at depth (39 mm) → 227 N"]),
    ("from 533 N to 811 N", "turn_up", {}, ["rise 533 N → 811 N"]),
    ("949 N, over 890 N", "turn_up", {"turned": 30}, ["→ 949 N", "over 890 N"]),
    (
        "28, 33 and on the rise 39 mm of 40 mm",
        "turn_up",
        {"turned": 20, "reaction": 1600},
        ["(28 mm); level", "(33 mm); rise", "(39 mm)."],
    ),
    ("28.4 N/mm instead of 29.8 N/mm", "measured", {"line": True}, ["rate 29.8 N/mm", "say 28.4 N/mm"]),
    ("it says 26.5 N/mm", "measured", {"line": True, "readings": 2}, ["rate 29.7 N/mm", "say 26.5 N/mm"]),
    ("From ± 19 N to ± 43 N", "measured", {"spring": "row 48"}, ["± 19 N"]),
    ("From ± 19 N to ± 43 N", "measured", {"spring": "row 48", "readings": 3}, ["± 43 N"]),
    ("At work 305 MPa of 575 MPa", "coil", {}, ["about 575 MPa", "305 MPa at work"]),
    ("At the opener's stop 545 MPa, 95 %", "coil", {}, ["545 MPa at the upper stop", "stop, 95 % of it"]),
    ("Closed 610 MPa: 6 % over", "coil", {}, ["610 MPa closed", "6 % over"]),
    ("wire is thicker than 12.7 mm", "coil", {}, ["a guess: the table ends at 12.7 mm"]),
    ("From 29.9 to 15.3 N/mm", "coil", {}, ["Rate 29.9 N/mm"]),
    ("From 29.9 to 15.3 N/mm", "coil", {"wire": 11}, ["Rate 15.3 N/mm"]),
]


@pytest.mark.parametrize(("quoted", "name", "values", "found"), sorted(QUOTED, key=lambda quote: quote[1]))
def test_answers_quote_what_the_panels_say(quoted, name, values, found):
    assert quoted in words_of_the_notebook()
    said = sentence(name, **values)
    for part in found:
        assert part in said, said


@pytest.mark.parametrize(
    ("quoted", "name", "found"),
    [
        ("= 397 N, or 38 %", "travel", ["−100 mm; 397 N (38 %); 401 N (38 %)"]),
        ("= 1703 N, or 162 %", "travel", ["+100 mm; 1703 N (162 %); 1664 N"]),
        ("takes 39 N off", "travel", ["1703 N", "1664 N"]),
        ("At 79 mm down half the compression leaves 52 %", "relaxed", ["half of it; 79 mm; 543 N, 52 %"]),
        ("at 155 mm the spring is slack and 845 N", "relaxed", ["155 mm; 0 N, 0 %; 845 N"]),
        ("the grip of its seals, 70 N", "relaxed", ["1050 N ± 70 N"]),
        ("that is 222 N against 121 N", "measured", ["+5.4 %; 222 N", "−4.9 %; 121 N"]),
        ("1030 ± 3 N and 929 ± 8 N", "measured", ["1030 N ± 3 N", "929 N ± 8 N"]),
        ("29.3 against 29.8 N/mm", "measured", ["29.3 N/mm", "29.8 N/mm"]),
        ("292.9 instead of 299.1 mm", "measured", ["292.9 mm", "299.1 mm"]),
    ],
)
def test_words_quote_what_the_tables_say(quoted, name, found):
    assert quoted in words_of_the_notebook()
    for part in found:
        assert part in page(name)


def test_turned_in_as_far_as_the_answer_says_the_coils_close_before_the_stop():
    assert "Turn it in by 16 mm or more" in words_of_the_notebook()
    drill = example_drill("air_drill_12m")
    stops = [drill.spring.turned_to(turned).travel_stops(drill.opener)[1] for turned in (0.015, 0.016)]
    assert stops[0] == drill.opener.highest_travel > stops[1]


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_likely_coil_is_never_called_overstressed_at_the_stop(drill, units):
    said = panel("coil", drill, "firm", units).sentence
    assert "not overstressed at the upper stop" in said and "No oil-tempered wire" not in said


def test_coil_that_no_wire_makes_is_said_to_be_so():
    drill = example_drill("air_drill_12m")
    coil = replace(drill.spring.coils[0], rate=90e3)
    odd = replace(drill, spring=replace(drill.spring, coils=(coil,)))
    said = lesson.coil_panel(Bench(odd, example_field("firm"), "metric")).sentence
    assert "No oil-tempered wire of 6.0 mm to 18.0 mm" in said and "overstressed at the upper stop" in said


def test_box_drill_keeps_the_share_the_exercise_quotes():
    assert "24 %: two nested coils" in words_of_the_notebook()
    plain = lesson.travel_page(bench("box_drill_15ft", "firm", "US")).plain
    assert "−4.00 in" in plain and "(24 %)" in plain.split("\n")[2]


def test_notebook_says_what_is_common_practice_and_what_is_from_memory():
    words = words_of_the_notebook()
    assert "500 lbf" not in words and "common practice, no source" in words
    assert "from memory" in words and "invented" in words


def test_everything_follows_when_the_bench_changes():
    on = bench()
    shown = [on.show(getattr(lesson, f"{name}_panel")) for name in ("behaviour", "turn_up", "measured")]
    before = [live.part.sentence for live in shown]
    on.put(drill=example_drill("box_drill_15ft"), field=example_field("dry_hard_tracks"))
    after = [live.part.sentence for live in shown]
    assert all("lbf" in words and " N " not in words for words in after)
    assert not set(before) & set(after)
