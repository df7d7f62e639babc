"""The card on paper: one page, nothing cut, every number there, the same bytes each time."""

import datetime
import io
import re
from dataclasses import fields, is_dataclass, replace
from functools import cache

import numpy as np
import pypdf
import pytest
from PIL import Image

from downforce.machine.shipped import example_drill, example_field, shipped_drills, shipped_fields
from downforce.study.setting.gauge_face import GaugeFace
from downforce.study.setup_card import PAPERS, card_data, write_card
from downforce.workbook.card.page import card_file, card_layout
from downforce.workbook.card.sheet import POINT, Sheet, text_width, wrapped

DRILLS = [key for key, _ in shipped_drills()]
FIELDS = [key for key, _ in shipped_fields()]
CASES = [(drill, field, paper) for drill in DRILLS for field in FIELDS for paper in PAPERS]
DAY = datetime.date(2026, 11, 25)


@cache
def card_of(drill, field, paper, units=None):
    return card_data(example_drill(drill), example_field(field), paper=paper, units=units, date=DAY)


@cache
def page_of(drill, field, paper):
    reader = pypdf.PdfReader(io.BytesIO(card_file(card_of(drill, field, paper), ".pdf")))
    return reader, " ".join(reader.pages[0].extract_text().split())


def texts(thing):
    """Every text that a card holds, the gauge face aside."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, tuple):
        for part in thing:
            yield from texts(part)
    elif is_dataclass(thing) and not isinstance(thing, GaugeFace):
        for field in fields(thing):
            if field.name not in ("units", "paper"):
                yield from texts(getattr(thing, field.name))


@pytest.mark.parametrize(("drill", "field", "paper"), CASES)
def test_it_is_one_page_of_its_paper(drill, field, paper):
    reader, _ = page_of(drill, field, paper)
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    wanted = [side / 0.0254 * 72 for side in PAPERS[paper]]
    assert [float(box.width), float(box.height)] == pytest.approx(wanted, abs=0.5)


@pytest.mark.parametrize(("drill", "field", "paper"), CASES)
def test_every_word_and_number_of_the_card_stands_on_the_page(drill, field, paper):
    _, text = page_of(drill, field, paper)
    card = card_of(drill, field, paper)
    assert f"Date {DAY.isoformat()}" in text
    for said in texts(card):
        for word in said.split():
            assert word in text, f"{word!r} of {said!r} is not on the page"
    for line in (*card.starts, *card.loads):
        assert line.pressure_text in text


@pytest.mark.parametrize(("drill", "field", "paper"), CASES)
def test_both_unit_systems_stand_on_the_page(drill, field, paper):
    _, text = page_of(drill, field, paper)
    for unit in ("bar", "psi", "N", "lbf", "mm", "in"):
        assert len(re.findall(rf"\d {unit}\b", text)) >= 5, unit


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize(("drill", "field", "paper"), CASES)
def test_nothing_is_cut_and_no_two_texts_touch(drill, field, paper, units):
    layout = card_layout(card_of(drill, field, paper, units))
    width, height = layout.size
    boxes = []
    for words in layout.words:
        end = words.x + text_width(words.text, words.size, words.bold)
        assert end <= words.right + 0.01, words
        assert words.x >= 8.0 and end <= width - 8.0, words
        assert words.y - words.size * POINT * 0.75 >= 8.0 and words.y <= height - 8.0, words
        assert words.size >= 5.8, words
        boxes.append((words.x, words.y - 0.7 * words.size * POINT, end, words.y + 0.1 * words.size * POINT))
    left, top, right, low = np.array([box for box in boxes if box[2] > box[0]]).T
    over = (left[:, None] < right) & (left < right[:, None]) & (top[:, None] < low) & (top < low[:, None])
    assert not (over & ~np.eye(len(left), dtype=bool)).any()
    x, y, wide, tall = layout.gauge
    inside = (left < x + wide) & (right > x) & (top < y + tall) & (low > y)
    assert not inside.any()


def test_text_is_vector_and_its_fonts_are_inside():
    reader, _ = page_of("air_drill_12m", "firm", "A4")
    page = reader.pages[0]
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
    assert first != card_file(replace(card, date=DAY + datetime.timedelta(days=1)), suffix)


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_a_picture_has_the_paper_s_size_and_is_readable_in_grey(paper):
    card = card_of("air_drill_12m", "firm", paper)
    picture = Image.open(io.BytesIO(card_file(card, ".png")))
    assert picture.size == pytest.approx([side / 0.0254 * 200 for side in PAPERS[paper]], abs=1.5)
    grey = np.asarray(picture.convert("L"))
    assert grey.min() < 60 and np.mean(grey > 250) > 0.75


def test_write_card_finds_this_drawing(tmp_path):
    """The entry point of the installed package leads to the page drawn here."""
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    path = write_card(drill, field, tmp_path / "card.pdf", date=DAY)
    assert path.read_bytes() == card_file(card_of("air_drill_12m", "firm", "A4"), ".pdf")


def test_names_with_odd_letters_are_printed_as_they_are():
    drill = replace(example_drill("air_drill_12m"), name="Drill No. $5_x^2$ – Höhe %")
    card = card_data(drill, example_field("firm"), fields=(), date=DAY)
    text = pypdf.PdfReader(io.BytesIO(card_file(card, ".pdf"))).pages[0].extract_text()
    assert "$5_x^2$ – Höhe %" in " ".join(text.split())


def test_long_names_shrink_the_type_and_endless_ones_are_refused():
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    usual = card_layout(card_data(drill, field, date=DAY)).scale
    long = replace(drill, name="A long name for a drill " * 12)
    assert card_layout(card_data(long, field, date=DAY)).scale < usual
    with pytest.raises(ValueError, match="does not fit on one page: the names"):
        card_layout(card_data(replace(drill, name="endless " * 400), field, date=DAY))


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


def test_a_table_row_is_as_high_as_its_highest_cell():
    sheet = Sheet()
    low = sheet.table(0.0, 0.0, (20.0, 20.0), [("a", "many words that need some lines")], 8.0)
    one = Sheet().table(0.0, 0.0, (20.0, 20.0), [("a", "b")], 8.0)
    assert low > 1.8 * one
