"""Workbook 08: panels at their ends, tables, the printed card, and every number its answers quote."""

import datetime
import re
from dataclasses import replace
from functools import cache
from itertools import cycle, product
from pathlib import Path

import nbformat
import pytest

from downforce.machine.shipped import example_drill, example_field, shipped_drills, shipped_fields
from downforce.study.pressure_setting import recommend
from downforce.study.setting.gauge_face import gauge_face
from downforce.study.setup_card import card_data, card_soils
from downforce.workbook.bench import Bench, Live
from downforce.workbook.card import lesson
from downforce.workbook.card import preview as card_preview
from downforce.workbook.card.page import card_file
from downforce.workbook.setting import lesson as lesson_pressure_setpoint
from downforce.workbook.start import lesson as lesson_start_here

NOTEBOOK = Path(__file__).resolve().parents[2] / "notebooks" / "08_setup_card.ipynb"
DAY = datetime.date(2026, 11, 25)
PLACES = [
    (drill, field, units)
    for drill, _ in shipped_drills()
    for field, _ in shipped_fields()
    for units in ("metric", "US")
]


@cache
def bench_of(drill="air_drill_12m", field="firm", units=None):
    return Bench(example_drill(drill), example_field(field), units)


@cache
def panel_of(build, *place):
    return getattr(lesson, build)(bench_of(*place))


def plain(text):
    assert text
    assert not re.search(r"\b(nan|inf|None|no value)\b", text), text
    return text


def todays(card):
    return next(line for line in card.starts if line.today)


@pytest.mark.parametrize("place", PLACES)
def test_the_preview_says_its_numbers_at_every_corner(place):
    """Without drawing, which is tried below; paper and units change with the corner, in turn."""
    bench, known, said = bench_of(*place), {}, set()
    controls = {control.name: control.ends for control in card_preview.card_controls(bench)}
    papers, systems = cycle(controls.pop("paper")), cycle(controls.pop("system"))
    for corner in product(*controls.values()):
        paper, system = next(papers), next(systems)
        values = dict(zip(controls, corner, strict=True))
        preview = card_preview.card_preview(bench, paper=paper, system=system, known=known, **values)
        card = preview.card
        assert (card.paper, card.units.name, card.date) == (paper, system, None)
        sentence = plain(card_preview.card_sentence(preview))
        plain(card_preview.card_alt(preview))
        assert todays(card).pressure_text in sentence
        assert card.limits[0][1] in sentence
        said.add(sentence)
    assert len(said) > 2


@pytest.mark.parametrize("place", [PLACES[0], PLACES[9], PLACES[16]])
def test_the_preview_is_drawn_anew_at_its_far_corners(place):
    panel = panel_of("card_panel", *place)
    start = panel.picture_png()
    corners = list(panel.corners())
    for corner in (corners[0], corners[-1]):
        panel.set(**corner)
        assert panel.picture_png() != start
        assert panel.sentence == card_preview.card_sentence(panel.result)
    panel.reset()
    assert panel.picture_png() == start


def test_the_preview_is_the_card_of_the_study():
    bench = bench_of()
    field = bench.field
    today = replace(
        field,
        soil=replace(field.soil, reaction=1200.0),
        aim=replace(field.aim, gauge_wheel_load=300.0),
    )
    found = card_preview.card_preview(bench, 1200.0, 300.0, "A4", "metric").card
    assert found == replace(card_data(bench.drill, today, date=DAY), date=None)


@pytest.mark.parametrize("place", PLACES)
def test_the_decision_panel_holds_at_every_corner(unrendered, place):
    said, bench = set(), bench_of(*place)
    panel = lesson.decision_panel(bench)
    red = gauge_face(bench.drill, card_soils(bench.field), today=bench.field).red_line
    for corner in panel.corners():
        panel.set(**corner)
        said.add(plain(panel.sentence))
        plain(panel.alt)
        assert panel.result["step"].gauge_pressure <= red
        assert panel.sentence == panel.result["step"].text
    assert len(said) >= 4


@pytest.mark.parametrize("place", PLACES)
def test_the_decision_opens_at_the_start_of_the_card_and_leaves_it(place):
    """Also where the start is the ceiling, which no rounding may pass."""
    panel = lesson.decision_panel(bench_of(*place))
    start = todays(panel.result["card"]).pressure_text
    assert panel.sentence.startswith(f"Leave it at {start}: ")


@pytest.mark.parametrize("place", PLACES[::2])
def test_the_first_table_the_setting_panel_and_the_card_start_at_the_same_pressure(place):
    bench = bench_of(*place)
    start = todays(card_data(bench.drill, bench.field, units=bench.units.name)).pressure_text
    assert lesson_pressure_setpoint.today_panel(bench).sentence.startswith(f"Set {start}:")
    settings = lesson_start_here.result_table(bench).plain.splitlines()[2]
    assert settings.split("; ")[2] == start.partition(" (")[0]


def test_rows_on_a_travel_stop_are_said_by_first_table_setting_panel_and_card():
    bench = bench_of()
    words = recommend(bench.drill, bench.field).stop_words
    assert words.startswith("5 % of the rows are on a travel stop here")
    assert words in lesson_start_here.result_table(bench).plain
    assert words in lesson_pressure_setpoint.today_panel(bench).alt
    assert words in lesson_pressure_setpoint.reasons_table(bench).plain
    assert words in lesson.card_tables(bench).plain
    assert words in card_preview.card_alt(panel_of("card_panel", "air_drill_12m", "firm").result)


@pytest.mark.parametrize("place", PLACES)
def test_tables_hold_the_numbers_of_the_card(place):
    bench = bench_of(*place)
    card = card_data(bench.drill, bench.field, units=bench.units.name)
    table = lesson.card_tables(bench)
    for line in (*card.starts, *card.loads):
        assert line.pressure_text in table.plain and line.pressure_text in table.html
    assert todays(card).pressure_text in lesson.first_days_table(bench).plain
    for page in (table, lesson.first_days_table(bench), lesson.basis_table(bench)):
        assert "nan" not in page.plain and "<th" in page.html


def test_a_card_is_never_written_over(tmp_path):
    bench = bench_of()
    (tmp_path / "my_card.pdf").write_bytes(b"precious")
    said = lesson.write_my_card(bench, folder=tmp_path, date=DAY)
    assert said == "Your card is my_card_2.pdf (A4, one page). Older cards were left as they are."
    assert (tmp_path / "my_card.pdf").read_bytes() == b"precious"
    second = (tmp_path / "my_card_2.pdf").read_bytes()
    again = lesson.write_my_card(bench, folder=tmp_path, date=DAY)
    assert again == said
    later = lesson.write_my_card(bench, folder=tmp_path, date=DAY + datetime.timedelta(days=1))
    assert later.startswith("Your card is my_card_3.pdf")
    assert (tmp_path / "my_card_2.pdf").read_bytes() == second
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "my_card.pdf",
        "my_card_2.pdf",
        "my_card_3.pdf",
    ]


def test_the_card_of_the_panel_is_the_card_that_is_written(tmp_path):
    bench = bench_of("box_drill_15ft", "firm")
    shown = Live(lambda: lesson.card_panel(bench))
    shown.part.set(reaction=250.0, fill=0.5, paper="A4", system="metric")
    assert (
        lesson.write_my_card(bench, shown, tmp_path, ".png", DAY)
        == "Your card is my_card.png (A4, one page)."
    )
    card = replace(shown.part.result.card, date=DAY)
    assert (tmp_path / "my_card.png").read_bytes() == card_file(card, ".png")


def test_a_card_that_cannot_be_written_is_refused(tmp_path):
    with pytest.raises(ValueError, match=r"got '\.docx'"):
        lesson.write_my_card(bench_of(), folder=tmp_path, suffix=".docx")
    with pytest.raises(ValueError, match="There is no folder"):
        lesson.write_my_card(bench_of(), folder=tmp_path / "nowhere")


KNOWN = {}


def card(reaction=900.0, wanted=220.0):
    return card_preview.card_preview(bench_of(), reaction, wanted, "A4", "metric", known=KNOWN).card


def step(**values):
    panel = panel_of("decision_panel", "air_drill_12m", "firm", "metric")
    panel.reset()
    panel.set(**values)
    return panel.result["step"]


def box(fill):
    bench = bench_of("box_drill_15ft", "firm")
    return card_preview.card_preview(bench, 200.0, 50.0, "Letter", "metric", fill).card


def bar(change):
    return f"{abs(change) / 1e5:.0f} bar"


def step_to(**found):
    """Where the panel leads from 60 bar."""
    text = step(now=60.0, **found).text
    return re.search(r" (?:to|at) (.*?):", text)[1]


def quoted():
    """Words in the notebook, and the words or numbers of the library that they must hold."""
    hard, start = card(reaction=1300.0), card()
    wished, no_headroom = card(reaction=1300.0, wanted=400.0), start.face.red_line - start.face.error
    ceiling = todays(card(reaction=1200.0, wanted=400.0)).ceiling / 1e5
    tables = card_data(bench_of().drill, bench_of().field, date=DAY)
    lines = {line.pressure_text: line for line in tables.loads}
    basis = {row.name: row for row in lesson.reliances(bench_of().drill, bench_of().field)}
    return [
        ("Answer to the prediction", todays(hard).pressure_text),
        ("Answer to the prediction", todays(hard).load_text),
        ("Put today's soil to 1600 N", todays(card(reaction=1600.0)).pressure_text),
        ("Put today's soil to 1600 N", todays(card(reaction=1600.0)).load_text.removeprefix("shallow: ")),
        ("Put it to 450 N", card(reaction=450.0).limits[0][1].partition(",")[0]),
        ("ask for 400 N", todays(wished).pressure_text),
        (
            "ask for 400 N",
            f"still {todays(wished).load_text.partition(' (')[0]}",
        ),
        ("Refill at half", f"from {box(fill=0.0).limits[0][1].partition(',')[0]}"),
        ("Refill at half", f"to {box(fill=0.5).limits[0][1].partition(',')[0]}"),
        ("firm soil begin", "At 45 bar (650 psi) the disc still runs shallow, at 38 mm"),
        ("firm soil begin", f"{lines['60 bar (870 psi)'].cells[1]} are left"),
        ("wheel tracks cost", tables.starts[-1].pressure_text),
        ("wheel tracks cost", tables.starts[-1].load_text.removeprefix("shallow: ")),
        ("what reaches the cylinders", start.oil[0][1].partition(" at work")[0]),
        ("what reaches the cylinders", start.oil[0][1].partition(": ")[2]),
        ("what reaches the cylinders", start.oil[1][1]),
        ("At 60 bar the wheels turn", step_to(wheels="free", seeds="shallow")),
        ("cannot be turned and seeds", step_to(wheels="stuck", seeds="shallow")),
        ("a shiny slab", step_to(wall="shiny")),
        ("500 000 Pa", "**95 N at the disc**"),
        ("would you measure first", bar(basis["Bore, so the area by twice as much"].start_change)),
        ("would you measure first", bar(basis["Soil reaction"].start_change)),
        ("would you measure first", bar(basis["Frame weight"].lift_change)),
        ("moves with the soil too", bar(basis["Soil reaction"].lift_change)),
        ("bar is printed as", f"{ceiling:.2f} bar is printed as 85 bar"),
        ("The gauge reads up to", f"up to {start.face.error / 1e5:.2f} bar"),
        (
            "The gauge reads up to",
            f"{no_headroom / 1e5:.2f} bar; printed as 83 bar",
        ),
        (
            "The gauge reads up to",
            f"With 15 % in hand {int(todays(start).ceiling / 1e5)} bar comes first",
        ),
    ]


def test_every_number_the_answers_quote_is_the_library_s():
    cells = [
        " ".join(cell.source.split())
        for cell in nbformat.read(NOTEBOOK, as_version=4).cells
        if cell.cell_type == "markdown"
    ]
    for place, words in quoted():
        cell = [source for source in cells if place in source]
        assert cell, f"no cell holds {place!r}"
        assert any(words in source for source in cell), f"{words!r} is not in the cell with {place!r}"


def test_what_the_answers_say_besides():
    tables = card_data(bench_of().drill, bench_of().field, date=DAY)
    lines = {line.pressure_text: line for line in tables.loads}
    assert lines["45 bar (650 psi)"].cells[1] == "shallow: 38 mm (1.5 in)"
    assert lesson.step_by_hand(bench_of()) == "5 bar x 11.40 cm² x 0.1667 = 95 N"
    assert lesson.soil_spread_by_dig(bench_of()).splitlines() == [
        "750 N: 48 bar (700 psi)",
        "900 N: 60 bar (870 psi)",
        "1050 N: 71 bar (1030 psi)",
    ]
    found = step(now=60.0, wheels="stuck", seeds="shallow")
    assert found.text.startswith("Do not touch the gauge; stay at 60 bar (870 psi)")
