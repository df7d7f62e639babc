"""Set-up card: panels at their ends, tables, the printed card, and every number its answers quote."""

import datetime
import re
from dataclasses import replace
from functools import cache
from itertools import cycle, product
from math import floor

import nbformat
import pytest

from downforce.machine.shipped import example_drill, example_field, shipped_drills, shipped_fields
from downforce.machine.units import METRIC
from downforce.study.pressure_setting import recommend
from downforce.study.setting.gauge_face import gauge_face, todays_field
from downforce.study.setting.reasons import pressure_text
from downforce.study.setup_card import card_data
from downforce.workbook.bench import Bench, Live
from downforce.workbook.card import lesson
from downforce.workbook.card import preview as card_preview
from downforce.workbook.card.page import card_file
from downforce.workbook.series import workbook
from downforce.workbook.setting import lesson as lesson_pressure_setpoint
from downforce.workbook.start import lesson as lesson_start_here

NOTEBOOK = workbook("setup_card").path
DAY = datetime.date(2026, 11, 25)
SEASON = [example_field(key) for key in ("moist_soft", "dry_hard_tracks")]
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


# Each drill meets each field, in one unit system or the other.
@pytest.mark.parametrize("place", [place for n, place in enumerate(PLACES) if n % 2 == n // 2 % 2])
def test_the_preview_says_its_numbers_at_every_corner(place):
    """Without drawing, which is tried below; paper, units, fill and a turn of the soil change with it."""
    bench, known, said = bench_of(*place), {}, set()
    controls = {control.name: control.ends for control in card_preview.card_controls(bench)}
    papers, systems = cycle(controls.pop("paper")), cycle(controls.pop("system"))
    turns, fills = cycle(controls.pop("turn")), cycle(controls.pop("fill", (0.0,)))
    for corner in product(*controls.values()):
        paper, system = next(papers), next(systems)
        values = dict(zip(controls, corner, strict=True), turn=next(turns), fill=next(fills))
        for name in ("reaction", "wanted"):
            values[name] = float(bench.units.si("force", values[name]))
        preview = card_preview.card_preview(
            bench, paper=paper, system=system, known=known, moving=True, **values
        )
        side = preview.window
        assert min(words.size for words in preview.layout.words) >= 11.0
        assert (side.paper, side.units.name, side.date) == (paper, system, None)
        sentence = plain(card_preview.card_sentence(preview))
        plain(card_preview.card_alt(preview))
        assert f"{side.number} {side.unit}" in sentence if side.number else sentence.startswith("Do not sow")
        assert side.red_line in sentence
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
    """The spread of the soil grows with its mean."""
    bench = bench_of()
    today = todays_field(bench.field, 1200.0, 300.0)
    assert today.soil.spread == pytest.approx(bench.field.soil.spread * 1200.0 / 900.0)
    found = card_preview.card_preview(bench, 1200.0, 300.0, "A4", "metric")
    card = card_data(bench.drill, today, date=DAY)
    wanted = replace(card.window, date=None)
    # Rows of the ground already crossed are taken over: they differ in the last digits.
    for mine, other in zip(found.window.face.bands, wanted.face.bands, strict=True):
        assert (mine.low, mine.high) == pytest.approx((other.low, other.high))
    assert replace(found.window, face=wanted.face) == wanted
    assert (found.field, found.start.load_text) == (today, todays(card).load_text)


def test_while_a_slider_moves_the_slopes_are_kept_and_at_rest_they_are_renewed():
    bench = bench_of()
    moving, rested = (
        card_preview.card_preview(bench, 1200.0, 300.0, "A4", "metric", moving=moving).window.face.red_line
        for moving in (True, False)
    )
    assert moving == pytest.approx(rested, rel=0.03) and moving != rested
    for still in (True, False):
        side = card_preview.card_preview(bench, 1200.0, 300.0, "A4", "metric", moving=not still).window
        assert all((what == "…") != still for _, what in side.turns)
    panel = panel_of("card_panel", "air_drill_12m", "firm")
    panel.set(reaction=1200.0, wanted=300.0, system="metric", paper="A4")
    assert panel.result.window.face.red_line == rested
    panel.reset()


@pytest.mark.parametrize("place", PLACES)
def test_the_decision_panel_holds_at_every_corner(unrendered, place):
    said, bench = set(), bench_of(*place)
    panel = lesson.decision_panel(bench)
    red = gauge_face(bench.drill, [bench.field]).red_line
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
    assert f"Now {start}" in panel.alt


@pytest.mark.parametrize("place", PLACES[::2])
def test_the_first_table_the_setting_panel_and_the_card_start_at_the_same_pressure(place):
    bench = bench_of(*place)
    start = todays(card_data(bench.drill, bench.field, units=bench.units.name)).pressure_text
    assert lesson_pressure_setpoint.today_panel(bench).sentence.startswith(f"Set {start}")
    settings = lesson_start_here.result_table(bench).plain.splitlines()[2]
    assert settings.split("; ")[1] == start.partition(" (")[0]


def test_rows_on_a_travel_stop_are_said_by_first_table_setting_panel_and_card():
    bench = bench_of()
    words = recommend(bench.drill, bench.field).stop_words
    assert words.startswith("5 % of the rows are on a travel stop here")
    assert words in lesson_start_here.result_table(bench).plain
    assert words in lesson_pressure_setpoint.today_panel(bench).alt
    assert words in lesson_pressure_setpoint.reasons_table(bench).plain
    assert words in lesson.card_tables(bench).plain
    assert words in panel_of("card_panel", "air_drill_12m", "firm").sentence


@pytest.mark.parametrize("place", PLACES)
def test_tables_hold_the_numbers_of_the_card(place):
    bench = bench_of(*place)
    card = card_data(bench.drill, bench.field, SEASON, units=bench.units.name)
    table = lesson.card_tables(bench, *SEASON)
    for line in (*card.starts, *card.loads):
        assert line.pressure_text in table.plain and line.pressure_text in table.html
    assert todays(card).pressure_text in lesson.first_days_table(bench).plain
    for page in (table, lesson.first_days_table(bench), lesson.sureness_table(bench)):
        assert "nan" not in page.plain and "<th" in page.html


def test_nothing_is_written_before_a_button_is_pressed(tmp_path, monkeypatch):
    """Neither by the cells of the workbook, nor by the buttons as they are made."""
    monkeypatch.chdir(tmp_path)
    source = "\n".join(
        cell.source for cell in nbformat.read(NOTEBOOK, as_version=4).cells if cell.cell_type == "code"
    )
    assert "write_my_card(" not in source and "write_card(" not in source
    assert "lesson.card_buttons(bench, preview" in source
    writer = lesson.card_buttons(bench_of(), panel_of("card_panel", "air_drill_12m", "firm"))
    assert (
        "Nothing is written" in writer.work.outcome
        and writer._repr_mimebundle_()["text/plain"] == writer.plain
    )
    assert list(tmp_path.iterdir()) == []


def test_a_button_writes_the_card_named_after_drill_and_date_and_never_over_another(tmp_path):
    bench = bench_of()
    writer = lesson.card_buttons(bench, panel_of("card_panel", "air_drill_12m", "firm"), SEASON, tmp_path)
    name = f"card_teaching-air-drill-12-m_{datetime.date.today().isoformat()}"
    (tmp_path / f"{name}.png").write_bytes(b"precious")
    for words in ("Window side (PNG)", "Card, both sides (PDF)"):
        writer.buttons[words].click()
        writer.work.wait()
    assert writer.work.outcome == f"<p>Written: {name}.pdf, both sides.</p>"
    assert (tmp_path / f"{name}.png").read_bytes() == b"precious"
    assert sorted(path.name for path in tmp_path.iterdir()) == [f"{name}-2.png", f"{name}.pdf", f"{name}.png"]
    assert lesson.card_path(tmp_path, bench.drill, datetime.date.today(), ".png").name == f"{name}-3.png"


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("Höhe 7/8 <x>: a_b", "höhe-7-8-x-a-b"),
        ("...", "drill"),
        ("x" * 200, "x" * 60),
        ("Ours\n\\..\\", "ours"),
    ],
)
def test_a_file_name_holds_nothing_that_a_file_system_refuses(tmp_path, name, stem):
    drill = replace(example_drill("air_drill_12m"), name=name)
    assert lesson.card_path(tmp_path, drill, DAY, ".pdf") == tmp_path / f"card_{stem}_2026-11-25.pdf"


def test_the_card_of_the_panel_is_the_card_that_is_written(tmp_path):
    bench = bench_of("box_drill_15ft", "firm")
    shown = Live(lambda: lesson.card_panel(bench))
    shown.part.set(reaction=250.0, fill=0.5, paper="A4", system="metric")
    said = lesson.write_my_card(bench, shown, (), tmp_path, ".png", DAY)
    name = "card_teaching-box-drill-15-ft_2026-11-25.png"
    assert said == f"Written: {name}, the window side."
    result = shown.part.result
    card = card_data(bench.drill, result.field, (), result.fill, "A4", "metric", DAY)
    assert (tmp_path / name).read_bytes() == card_file(card, ".png")
    assert card.window == replace(result.window, date=DAY, face=card.window.face)


def test_invented_soils_stand_only_beside_an_invented_drill():
    bench = bench_of()
    ours = Bench(replace(bench.drill, name="Ours"), bench.field)
    home = replace(bench.field, name="Home")
    names = ["moist_soft", SEASON[1], home]
    assert lesson.other_soils(bench, names) == [*SEASON, home]
    assert lesson.other_soils(ours, names) == [home]


def test_a_card_that_cannot_be_written_is_refused(tmp_path):
    with pytest.raises(ValueError, match=r"card_.*\.docx' ends in neither"):
        lesson.write_my_card(bench_of(), folder=tmp_path, suffix=".docx")
    with pytest.raises(ValueError, match="There is no folder"):
        lesson.write_my_card(bench_of(), folder=tmp_path / "nowhere")
    writer = lesson.card_buttons(
        bench_of(), panel_of("card_panel", "air_drill_12m", "firm"), (), tmp_path / "no"
    )
    writer.buttons["Card, both sides (PDF)"].click()
    writer.work.wait()
    assert "There is no folder" in writer.work.outcome


KNOWN = {}


@cache
def preview(reaction=900.0, wanted=220.0, turn=""):
    return card_preview.card_preview(bench_of(), reaction, wanted, "A4", "metric", turn=turn, known=KNOWN)


def step(**values):
    panel = panel_of("decision_panel", "air_drill_12m", "firm", "metric")
    panel.reset()
    panel.set(**values)
    return panel.result["step"]


def red_of_box(fill):
    bench = bench_of("box_drill_15ft", "firm")
    setting = recommend(bench.drill, bench.field, hopper_fill=fill)
    return pressure_text(METRIC, setting.red_line, setting.red_line)


def step_to(**found):
    """Where the panel leads."""
    return re.search(r" (?:to|at) (.*?):", step(**found).text)[1]


def quoted():
    """Words in the notebook, and the words or numbers of the library that they must hold."""
    hard, hardest = preview(reaction=1300.0).start, preview(reaction=1600.0).start
    wished, wet, dry = preview(1300.0, 400.0).start, preview(turn="wetter").start, preview(turn="drier").start
    start = tables = card_data(bench_of().drill, bench_of().field, SEASON, date=DAY)
    lines, tracks = {line.pressure_text: line for line in tables.loads}, tables.starts[-1]
    soft = recommend(bench_of().drill, preview(reaction=450.0).field).red_line
    lift = recommend(bench_of().drill, bench_of().field)
    low, high = (f"{way(end / 1e5):.0f}" for way, end in zip((floor, round), lift.lift_interval, strict=True))
    first_unit = todays(start).pressure_text.partition(" (")[0]
    stopped = step_to(now=68.0, wheels="free", seeds="shallow")
    return [
        ("Answer to the prediction", hard.pressure_text),
        ("Answer to the prediction", hard.load_text),
        ("Put today's soil to 1600 N", hardest.pressure_text),
        ("Put today's soil to 1600 N", hardest.load_text.removeprefix("shallow: ")),
        ("Put it to 450 N", pressure_text(METRIC, soft, soft)),
        ("ask for 400 N", wished.pressure_text),
        ("ask for 400 N", f"still {wished.load_text.partition(' (')[0]}"),
        ("Refill at half", f"from {red_of_box(fill=0.0)} to {red_of_box(fill=0.5)}"),
        ("turned wetter", f"From {first_unit} to {wet.pressure_text}"),
        ("turned wetter", re.search(r"wetter: \d steps? down", start.change_rule[2])[0]),
        ("drier or harder", todays(start).reason),
        ("firm soil begin", "At 40 bar (580 psi) the mean row still runs shallow, at 38 mm"),
        ("firm soil begin", f"At 50 bar (730 psi) {lines['50 bar (730 psi)'].cells[1]} are left"),
        ("wheel tracks cost", tracks.pressure_text),
        ("wheel tracks cost", tracks.load_text.removeprefix("shallow: ")),
        ("wheel tracks cost", tracks.verdict.partition(",")[0]),
        ("what reaches the cylinders", start.oil[0][1].partition(" at work")[0]),
        ("what reaches the cylinders", start.oil[0][1].partition(": ")[2]),
        ("what reaches the cylinders", start.oil[1][1]),
        ("what reaches the cylinders", start.oil[2][1]),
        ("the wheels turn freely", f"At {stopped} the card lets you go no higher"),
        ("the wheels turn freely", f"to {step_to(now=58.0, wheels='free', seeds='shallow')}"),
        ("cannot be turned and seeds", step_to(wheels="stuck", seeds="shallow")),
        ("a shiny slab. What now", step_to(wall="shiny")),
        ("500 000 Pa", "**95 N at the disc**"),
        ("bar is printed as", f"{dry.ceiling / 1e5:.2f} bar is printed as 71 bar"),
        ("by the best estimate", f"lifts at {int(float(lift.lift.lowest) / 1e5)} bar"),
        ("by the best estimate", f"between {low} and {high} bar in nine cases of ten"),
        ("by the best estimate", f"until the card stops you at {int(todays(start).ceiling / 1e5)} bar"),
        ("by the best estimate", f"At {low} bar, the low end"),
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
    tables = card_data(bench_of().drill, bench_of().field, SEASON, date=DAY)
    lines = {line.pressure_text: line for line in tables.loads}
    assert lines["40 bar (580 psi)"].cells[1] == "shallow: 38 mm (1.5 in)"
    assert lesson.step_by_hand(bench_of()) == "5 bar x 11.40 cm² x 0.1667 = 95 N"
    found = step(wheels="stuck", seeds="shallow")
    assert found.text.startswith("Do not touch the gauge; stay at ")
    assert step(wheels="free", seeds="shallow").action == "raise"
    assert step(now=68.0, wheels="free", seeds="shallow").action == "weight"
    for how in ("drier", "harder"):
        assert f"{how}: 2 steps up" in tables.change_rule[2]
        assert preview(turn=how).start.reason == "more may lift the frame"
    assert "is not met" in todays(tables).notes[0]


def test_the_spread_of_the_soil_moves_the_start_by_ten_bar_either_way():
    bench, lines = bench_of(), lesson.soil_spread_by_dig(bench_of()).splitlines()
    assert [line.partition(":")[0] for line in lines] == ["750 N", "900 N", "1050 N"]
    starts = []
    for line, reaction in zip(lines, (750.0, 900.0, 1050.0), strict=True):
        field = replace(bench.field, soil=replace(bench.field.soil, reaction=reaction))
        found = recommend(bench.drill, field)
        assert line.endswith(found.words(bench.units))
        starts.append(found.to_set(METRIC) / 1e5)
    assert starts[1] - starts[0] == pytest.approx(10.0, abs=1.5) == starts[2] - starts[1]


def test_what_the_card_rests_on_is_ranked_as_the_answer_says():
    """Pins make most of the width of the lift, the soil of the setting."""
    blame = recommend(bench_of().drill, bench_of().field).intervals.blame()
    assert blame[0].words == "cylinder pins"
    assert blame[0].lift_share == max(one.lift_share for one in blame)
    by_setting = sorted(blame, key=lambda one: -one.setting_share)
    assert by_setting[0].words == "soil"


def test_without_a_setting_panel_tables_and_preview_say_so():
    drill = example_drill("air_drill_12m")
    sections = tuple(replace(section, frame_mass=100.0) for section in drill.sections)
    valve = replace(drill.hydraulics.valve, min_pressure=30e5)
    drill = replace(drill, sections=sections, hydraulics=replace(drill.hydraulics, valve=valve))
    bench = Bench(drill, example_field("moist_soft"))
    words = "there is no setting: the weight ends below the lowest setting of the valve"
    panel = lesson.decision_panel(bench)
    assert panel.sentence == f"Do not sow, {words}." and panel.picture_png()
    assert "no setting; do not sow" in lesson.card_tables(bench).plain
    found = card_preview.card_preview(bench, 600.0, 180.0, "A4", "metric")
    assert card_preview.card_sentence(found).startswith(
        f"Do not sow today. No setting{words[len('there is no setting') :]}."
    )
