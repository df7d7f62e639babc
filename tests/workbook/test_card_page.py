"""The card on paper: a window side of few words in large type, a desk side with the rest, nothing cut."""

import datetime
import io
import re
from dataclasses import fields, is_dataclass, replace
from functools import cache

import numpy as np
import pypdf
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from downforce.machine.shipped import example_drill, example_field, shipped_drills, shipped_fields
from downforce.study.card_window import WindowSide
from downforce.study.cautions import CAUTIONS
from downforce.study.setting.gauge_face import GaugeFace
from downforce.study.setup_card import PAPERS, card_data, write_card
from downforce.workbook.card.page import card_file, desk_layouts, dial_on, window_layout
from downforce.workbook.card.sheet import HATCHES, POINT, Pages, fitted, text_width, wrapped

DRILLS = [key for key, _ in shipped_drills()]
FIELDS = [key for key, _ in shipped_fields()]
# Each drill meets each field, on one paper or the other.
CASES = [
    (drill, field, sorted(PAPERS)[(n + m) % 2])
    for n, drill in enumerate(DRILLS)
    for m, field in enumerate(FIELDS)
]
DAY = datetime.date(2026, 11, 25)
LONG = "A long name for a drill that its owner calls by all of its parts and by the year it was bought in "


@cache
def card_of(drill, field, paper, units=None):
    others = [example_field(key) for key in FIELDS]
    return card_data(example_drill(drill), example_field(field), others, paper=paper, units=units, date=DAY)


@cache
def pages_of(drill, field, paper):
    reader = pypdf.PdfReader(io.BytesIO(card_file(card_of(drill, field, paper), ".pdf")))
    return reader, [" ".join(page.extract_text().split()) for page in reader.pages]


@cache
def hard_card():
    """Somebody's own drill with long names, US units, a hopper and a seed rate; nothing of it is usual."""
    drill = replace(example_drill("box_drill_15ft"), name=LONG + "<$5_x^2$> Höhe")
    field = replace(example_field("dry_hard_tracks"), name=LONG.replace("drill", "field"), seed_rate=0.0101)
    return card_data(drill, field, hopper_fill=0.5, date=DAY)


@cache
def no_setting():
    drill = example_drill("air_drill_12m")
    light = tuple(replace(section, frame_mass=100.0) for section in drill.sections)
    valve = replace(drill.hydraulics.valve, min_pressure=30e5)
    drill = replace(drill, name="Ours", sections=light, hydraulics=replace(drill.hydraulics, valve=valve))
    return card_data(drill, replace(example_field("moist_soft"), name="Home"), date=DAY)


def texts(thing):
    """Every text that the desk side holds."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, tuple):
        for part in thing:
            yield from texts(part)
    elif is_dataclass(thing) and not isinstance(thing, GaugeFace | WindowSide):
        for field in fields(thing):
            if field.name not in ("units", "paper"):
                yield from texts(getattr(thing, field.name))


@pytest.mark.parametrize(("drill", "field", "paper"), CASES)
def test_the_window_side_is_the_first_page_and_every_page_has_the_paper_s_size(drill, field, paper):
    reader, (window, *desk) = pages_of(drill, field, paper)
    wanted = {"A4": [595.28, 841.89], "Letter": [612.0, 792.0]}[paper]
    for page in reader.pages:
        assert [float(page.mediabox.width), float(page.mediabox.height)] == pytest.approx(wanted, abs=0.5)
    assert "Set the gauge to" in window and desk[0].startswith("Desk side: ")
    assert 2 <= len(desk) <= 3


@pytest.mark.parametrize(("drill", "field", "paper"), CASES)
def test_the_window_side_has_at_most_150_words_and_all_that_a_driver_needs(drill, field, paper):
    _, (said, *_) = pages_of(drill, field, paper)
    side = card_of(drill, field, paper).window
    assert len(said.split()) <= 150
    wanted = [side.number, side.verdict, f"Red line {side.red_line}", side.lifts_first, side.caution]
    wanted += [side.rests_on, side.step, side.drill, side.field, DAY.isoformat(), *side.checks]
    wanted += [f"{how} {what}" for how, what in side.turns]
    wanted += [text.split(" ")[0] for pair in side.hopper for text in pair]
    for text in wanted:
        assert text in said, text
    assert "Refill after" in said


@pytest.mark.parametrize(("drill", "field", "paper"), CASES)
def test_every_word_and_number_of_the_desk_side_stands_there(drill, field, paper):
    _, (_, *desk) = pages_of(drill, field, paper)
    said = " ".join(desk)
    card = card_of(drill, field, paper)
    for text in texts(card):
        for word in text.split():
            assert word in said, f"{word!r} of {text!r} is not on the page"
    for line in (*card.starts, *card.loads):
        assert line.pressure_text in said
    for title, words in CAUTIONS:
        assert f"{title}. {words}" in said
    for unit in ("bar", "psi", "N", "lbf", "mm", "in"):
        assert len(re.findall(rf"\d {unit}\b", said)) >= 5, unit


def assert_nothing_is_cut(layout, margin, smallest):
    width, height = layout.size
    boxes = []
    for words in layout.words:
        end = words.x + text_width(words.text, words.size, words.bold)
        assert end <= words.right + 0.01, words
        assert words.x >= margin and end <= width - margin, words
        assert words.y - words.size * POINT * 0.75 >= margin and words.y <= height - margin, words
        assert words.size >= smallest, words
        # The big number has no letter that hangs below its line.
        below = 0.02 if words.size > 100 else 0.1
        boxes.append((words.x, words.y - 0.7 * words.size * POINT, end, words.y + below * words.size * POINT))
    left, top, right, low = np.array([box for box in boxes if box[2] > box[0]]).T
    over = (left[:, None] < right) & (left < right[:, None]) & (top[:, None] < low) & (top < low[:, None])
    assert not (over & ~np.eye(len(left), dtype=bool)).any()
    if layout.dial:
        x, y, side = layout.dial
        assert not ((left < x + side) & (right > x) & (top < y + side) & (low > y)).any()
    for rule in layout.rules:
        assert margin - 0.01 <= rule.x1 <= rule.x2 + 4.0 <= width - margin + 4.01
        assert margin - 0.01 <= min(rule.y1, rule.y2) and max(rule.y1, rule.y2) <= height - margin + 0.01


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize(("drill", "field", "paper"), CASES)
def test_nothing_is_cut_no_two_texts_touch_and_no_type_is_small(drill, field, paper, units):
    card = card_of(drill, field, paper, units)
    assert_nothing_is_cut(window_layout(card.window), 8.0, 11.0)
    for layout in desk_layouts(card):
        assert_nothing_is_cut(layout, 8.0, 8.0)


@pytest.mark.parametrize("make", [hard_card, no_setting])
@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_long_names_and_no_setting_find_their_room_without_smaller_type(make, paper):
    card = make()
    card = replace(card, paper=paper, window=replace(card.window, paper=paper))
    assert_nothing_is_cut(window_layout(card.window), 8.0, 11.0)
    for layout in desk_layouts(card):
        assert_nothing_is_cut(layout, 8.0, 8.0)
    reader = pypdf.PdfReader(io.BytesIO(card_file(card, ".pdf")))
    window, *desk = (" ".join(page.extract_text().split()) for page in reader.pages)
    assert len(window.split()) <= 150
    assert " ".join(card.drill.split()) in " ".join(desk)
    assert ("Do not sow" in window) == (not card.window.number)


def test_the_number_is_as_large_as_the_page_allows():
    """It fills the width, or the height between heading and verdict."""
    for card in (
        card_of("air_drill_12m", "firm", "A4"),
        card_of("box_drill_15ft", "firm", "Letter"),
        hard_card(),
    ):
        layout = window_layout(card.window)
        number = next(words for words in layout.words if words.text == card.window.number)
        inner = layout.size[0] - 18.0
        width = text_width(number.text, number.size, True)
        verdict = next(words for words in layout.words if card.window.verdict.startswith(words.text))
        free = verdict.y - verdict.size * POINT - number.y
        assert number.bold and number.size > 150.0
        assert width > 0.95 * inner or free < 6.0


def test_a_name_without_end_and_soils_without_number_are_not_refused():
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    usual = len(desk_layouts(card_data(drill, field, date=DAY)))
    card = card_data(replace(drill, name="endless " * 700), replace(field, name="Field " * 300), date=DAY)
    for layout in (window_layout(card.window), *desk_layouts(card)):
        assert_nothing_is_cut(layout, 8.0, 8.0)
    assert len(desk_layouts(card)) > usual
    many = card_data(drill, field, [replace(field, name=f"Soil {n}") for n in range(6)], date=DAY)
    said = " ".join(words.text for layout in desk_layouts(many) for words in layout.words)
    assert all(f"Soil {n}" in said for n in range(6))


def test_three_bands_differ_in_one_bit_black_and_white():
    """Share of black inside each band: dots are thin, crosses are half, today's is all black."""
    card = card_of("double_disc_9m", "firm", "A4")
    layout = window_layout(card.window)
    figure = Figure(figsize=tuple(side / 25.4 for side in layout.size), dpi=200, facecolor="white")
    canvas, dial = FigureCanvasAgg(figure), dial_on(figure, card.window, layout)
    dial.update(card.window.face)
    canvas.draw()
    black = np.asarray(Image.fromarray(np.asarray(canvas.buffer_rgba())).convert("1")) == 0
    box = dial._axes.get_window_extent()
    face, shares = card.window.face, {}
    (band,) = face.bands
    spans = {
        "floor": (0.0, face.floor),
        "today": (band.low, band.start),
        "never": (face.red_line, face.full_scale),
    }
    for kind, (low, high) in spans.items():
        at = low + np.linspace(0.2, 0.8, 60) * (high - low)
        angle = np.radians(225.0 - 270.0 * at / face.full_scale)[:, None]
        radius = np.linspace(0.84, 0.94, 30)
        x = box.x0 + box.width * (1.06 + radius * np.cos(angle)) / 2.12
        y = black.shape[0] - box.y0 - box.height * (1.06 + radius * np.sin(angle)) / 2.12
        shares[kind] = black[y.astype(int), x.astype(int)].mean()
    assert len(HATCHES) == 3
    assert 0.02 < shares["floor"] < 0.35
    assert 0.35 < shares["never"] < 0.85
    assert shares["today"] > 0.95


def test_text_is_vector_and_its_fonts_are_inside():
    reader, _ = pages_of("air_drill_12m", "firm", "A4")
    for page in reader.pages:
        assert len(page.images) == 0
        fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
        assert fonts
        for font in fonts:
            inside = font["/Subtype"] == "/Type3" and len(font["/CharProcs"]) > 0
            assert inside or "/FontFile2" in font["/FontDescriptor"]


@pytest.mark.parametrize("suffix", [".pdf", ".png"])
def test_the_same_card_gives_the_same_bytes(suffix):
    card = card_of("box_drill_15ft", "dry_hard_tracks", "Letter")
    first = card_file(card, suffix)
    assert first == card_file(card, suffix)
    later = DAY + datetime.timedelta(days=1)
    assert first != card_file(replace(card, date=later, window=replace(card.window, date=later)), suffix)


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_a_picture_is_the_window_side_at_the_paper_s_size_in_black_and_white(paper):
    card = card_of("air_drill_12m", "firm", paper)
    picture = Image.open(io.BytesIO(card_file(card, ".png"))).convert("RGB")
    assert picture.size == pytest.approx([side / 0.0254 * 200 for side in PAPERS[paper]], abs=1.5)
    colours = np.asarray(picture, dtype=int)
    assert np.ptp(colours, axis=2).max() == 0
    grey = colours[:, :, 0]
    assert grey.min() == 0 and np.mean((grey < 60) | (grey > 200)) > 0.98


def test_write_card_finds_this_drawing(tmp_path):
    """The entry point of the installed package leads to the pages drawn here."""
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    path = write_card(drill, field, tmp_path / "card.pdf", date=DAY)
    assert path.read_bytes() == card_file(card_data(drill, field, date=DAY), ".pdf")


def test_names_with_odd_letters_are_printed_as_they_are():
    drill = replace(example_drill("air_drill_12m"), name="Drill No. $5_x^2$ – Höhe %")
    card = card_data(drill, replace(example_field("firm"), name="Home"), date=DAY)
    for page in pypdf.PdfReader(io.BytesIO(card_file(card, ".pdf"))).pages[:2]:
        assert "$5_x^2$ – Höhe %" in " ".join(page.extract_text().split())


def test_a_text_too_long_for_its_lines_ends_in_dots():
    lines = fitted("one two three four five six seven eight", 15.0, 8.0, 2)
    assert len(lines) == 2 and lines[1].endswith("…") and lines[0] == wrapped("one two three", 15.0, 8.0)[0]
    assert all(text_width(line, 8.0) <= 15.0 for line in lines)
    assert fitted("one", 15.0, 8.0) == ("one",)


def test_a_text_is_wrapped_to_its_column_and_a_long_word_is_parted():
    lines = wrapped("one two three four five six", 15.0, 8.0)
    assert " ".join(lines) == "one two three four five six" and len(lines) > 1
    assert all(text_width(line, 8.0) <= 15.0 for line in lines)
    parted = wrapped("x" * 60, 15.0, 8.0)
    assert "".join(parted) == "x" * 60 and len(parted) > 2


def test_a_width_is_that_of_the_drawn_text():
    """Against matplotlib's own text path, an independent way; kerning makes it at most a little shorter."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextToPath

    for bold in (False, True):
        font = FontProperties(family="DejaVu Sans", size=8.0, weight="bold" if bold else "normal")
        for text in ("78 bar (1140 psi) red line", "Where the weight ends", "To AVATAR"):
            drawn = TextToPath().get_text_width_height_descent(text, font, ismath=False)[0] * POINT
            assert drawn - 0.02 <= text_width(text, 8.0, bold) <= drawn * 1.1


def lines_of(pages):
    return [{(round(words.x, 2), words.text) for words in layout.words} for layout in pages.layouts]


def test_a_table_that_goes_on_begins_with_its_header_again_and_rows_stay_whole():
    pages = Pages(100.0, 60.0, 5.0)
    rows = [(f"row {n}", "many words that need two or three lines here") for n in range(8)]
    pages.table((20.0, 30.0), rows, 8.0, ("Name", "Words"))
    found = lines_of(pages)
    assert len(found) > 1
    for page in found:
        assert (5.5, "Name") in {(x + 0.5, text) for x, text in page}
    for layout in pages.layouts:
        names = [words for words in layout.words if words.text.startswith("row ")]
        last = max(words.y for words in layout.words)
        assert all(words.y <= last - 2 * 8.0 * POINT for words in names[-1:])
    assert sum(text.startswith("row ") for page in found for _, text in page) == 8


def test_lines_to_write_on_fill_what_is_left():
    pages = Pages(100.0, 100.0, 5.0)
    pages.blanks(("Date", "Gauge"), 8.0, 7.0, 50)
    (layout,) = pages.layouts
    across = [rule for rule in layout.rules if rule.y1 == rule.y2]
    assert 95.0 - 7.0 < across[-1].y1 <= 95.0
