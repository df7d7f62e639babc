"""A name is text: whatever its owner writes is drawn and written as it is, and cut where there is no room."""

import importlib
import inspect
import json
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest
from matplotlib.text import Text
from pypdf import PdfReader

from downforce.machine import read_drill, read_field
from downforce.study.cylinders.choice import cylinder_choice
from downforce.study.setup_card import write_card
from downforce.workbook import markup, style
from downforce.workbook.bench import Bench
from downforce.workbook.canvas import Canvas, Still
from downforce.workbook.card.preview import phone_page
from downforce.workbook.long_work import LongTable
from downforce.workbook.panel import Panel
from downforce.workbook.table import Page, table_page
from downforce.workbook.your_drill.form import Form

ODD = Path(__file__).parents[1] / "odd"
LESSONS = ("start", "your_drill", "springs", "soil", "ground", "cylinders", "oil", "setting", "frame", "card")
NASTY = "$5 & \"J\" 'o' <s>{x}</s> \\$ 😀 שלום $a_{"
OTHER_WORK = 12.0
"""How far words may stand over the edge of a picture: axis labels lean out by so much [pixel]."""


def named(what):
    """A name of 80 characters in which everything stands that is special somewhere."""
    return f"{NASTY} {what} on and on and on and on and on and on and on"[:80]


def renamed(text):
    """A file with such names for itself and its sections."""
    return re.sub(
        r'^(name|section) = "(.*)"$',
        lambda line: f"{line[1]} = {json.dumps(named(line[2]), ensure_ascii=False)}",
        text,
        flags=re.MULTILINE,
    )


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("named")
    for path in (ODD / "narrow_3m.toml", ODD / "five_sections.toml", ODD / "peat.toml"):
        (folder / path.name).write_text(renamed(path.read_text(encoding="utf-8")), encoding="utf-8")
    return folder


@pytest.fixture
def bench(files, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    made = Bench(read_drill(files / "narrow_3m.toml"), read_field(files / "peat.toml"))
    assert made.drill.name == named("Odd drill, 3 m, one frame") and len(made.drill.name) == 80
    made.names = {"drill": str(files / "narrow_3m.toml"), "field": str(files / "peat.toml")}
    return made


class Reader(HTMLParser):
    """What a browser shows of a page: its elements, its words, and those it may take for a formula."""

    def __init__(self, page):
        super().__init__()
        self.elements, self.words, self.formulas, self._open = set(), "", "", []
        self.feed(page)

    def handle_starttag(self, tag, attributes):
        self.elements.add(tag)
        if tag not in ("img", "br", "meta", "input", "link"):
            self._open.append((tag, "mathjax_ignore" in (dict(attributes).get("class") or "")))

    def handle_endtag(self, tag):
        if any(tag == name for name, _ in self._open):
            while self._open.pop()[0] != tag:
                pass

    def handle_data(self, data):
        self.words += data
        self.formulas += "" if any(ignored for _, ignored in self._open) else data


def assert_written_as_it_is(page):
    shown = Reader(page)
    assert "s" not in shown.elements and "x" not in shown.elements
    assert "$" not in shown.formulas
    assert "&lt;" not in shown.words and "&amp;" not in shown.words


def assert_drawn_inside(panel):
    """Words with a name in them lie on the picture, and every axis has room to be read."""
    figure, renderer = panel._canvas._figure, panel._canvas._agg.get_renderer()
    for words in figure.findobj(Text):
        if "$5" in words.get_text() and words.get_visible():
            box = words.get_window_extent(renderer)
            assert box.x0 > -OTHER_WORK and box.x1 < figure.bbox.width + OTHER_WORK, words.get_text()
    for axes in figure.axes:
        assert min(axes.bbox.size) > 8 and max(axes.bbox.size) > 60


def builders(lesson):
    """Everything a workbook shows of a bench, without a further question."""
    module = importlib.import_module(f"downforce.workbook.{lesson}.lesson")
    for name, build in vars(module).items():
        if name.startswith("_") or not callable(build) or build is LongTable:
            continue
        try:
            first, *rest = inspect.signature(build).parameters.values()
        except (ValueError, TypeError):
            continue
        if first.name == "bench" and all(one.default is not one.empty for one in rest):
            yield name, build


def assert_shown(part):
    if isinstance(part, Panel):
        assert part.result is not None, part.sentence
        assert_drawn_inside(part)
        assert part.picture_png().startswith(b"\x89PNG") and b"</svg>" in part.picture_svg()
        assert_written_as_it_is(part._picture.value + part._words.value)
    if hasattr(part, "_repr_mimebundle_"):
        shown = part._repr_mimebundle_()
        assert_written_as_it_is(shown.get("text/html", ""))
        if isinstance(part, Page):
            words = " ".join(Reader(shown["text/html"]).words.split())
            assert NASTY not in part.plain or " ".join(NASTY.split()) in words


@pytest.mark.parametrize("lesson", LESSONS)
def test_every_page_and_panel_takes_every_name(lesson, bench):
    found = list(builders(lesson))
    assert found
    for _name, build in found:
        assert_shown(build(bench))


def test_the_frame_of_many_sections_takes_every_name(files):
    from downforce.workbook.frame import lesson

    desk = Bench(read_drill(files / "five_sections.toml"), read_field(files / "peat.toml"))
    for build in (lesson.free_body_panel, lesson.ballast_panel):
        assert_shown(build(desk))


def test_a_shown_part_its_picker_and_a_file_with_problems_are_written_as_they_are(bench, files):
    shown = bench.show(lambda _bench: Page("$x$ <s>"))
    picker = bench.picker()
    for part in (shown, picker):
        assert_written_as_it_is(part._repr_mimebundle_()["text/html"])
    picker._read("drill", [{"name": "<s>$a$.toml", "content": b'describes = "drill"\nname = "<s>$"\n'}])
    picker.work.wait()
    assert "Nothing was changed" in picker.work.outcome
    assert_written_as_it_is(picker.work.outcome)

    def refused(_bench):
        raise ValueError(f"no {bench.drill.name}")

    assert_written_as_it_is(bench.show(refused)._repr_mimebundle_()["text/html"])
    panel = Form(bench, "drill")
    panel._title.value = named("mine")
    assert panel.draft.model.name == named("mine")
    assert_written_as_it_is(panel._repr_mimebundle_()["text/html"])


def test_the_card_the_sheets_and_the_phone_page_take_every_name(bench, tmp_path, files):
    from downforce.study.card_window import phone_table

    drill, field = bench.drill, bench.field
    pages = PdfReader(write_card(drill, field, tmp_path / "card.pdf")).pages
    text = " ".join("".join(page.extract_text() for page in pages).split())
    assert "$5 & \"J\" 'o' <s>{x}</s> \\$" in text
    assert write_card(drill, field, tmp_path / "card.png").stat().st_size > 10_000
    page = phone_page(drill, field, phone_table(drill, field), hopper_fill=0.0)
    shown = Reader(page)
    assert "s" not in shown.elements and drill.name in shown.words and field.name in shown.words
    assert "</s>" not in page


def test_numbers_and_lists_keep_the_whole_name(bench):
    assert cylinder_choice(bench.drill, [bench.field]).usual.name == bench.field.name
    table = table_page(bench.drill.name, ["Name", "Load"], [[bench.field.name, "5 N"]], bench.drill.name)
    saved = table.numbers().to_csv(index=False)
    assert json.dumps(bench.field.name, ensure_ascii=False)[1:20].replace("\\", "")[:4] in saved
    assert table.numbers()["Name"].tolist() == [bench.field.name]
    assert Reader(table.html).words.count(bench.drill.name) == 2


def test_words_become_html_in_one_way():
    assert markup.element("p", "a < b", class_="x", data_at='"1"') == (
        '<p class="x" data-at="&quot;1&quot;">a &lt; b</p>'
    )
    inner = markup.element("b", "x & y")
    assert markup.element("p", inner, " <", title="<") == '<p title="&lt;"><b>x &amp; y</b> &lt;</p>'
    assert markup.element("img", alt="$") == '<img alt="$">'
    assert isinstance(inner + "<i>", markup.Markup) and (inner + "<i>").endswith("&lt;i&gt;")
    assert markup.page("<i>") == "<p>&lt;i&gt;</p>" and markup.page(inner) is inner
    assert markup.filled("<p>{{a}}, {{b}}</p>", a="{{b}}", b="<") == "<p>{&#123;b}}, &lt;</p>"
    assert Page("<i>").html == "<p>&lt;i&gt;</p>" and Page("<i>").plain == "<i>"


def test_no_word_of_a_picture_is_taken_for_a_formula_wherever_it_comes_from():
    """In titles, ticks and legends, in words that come with a move, in PNG and in SVG."""

    class Named:
        def setup(self, figure):
            axes = style.dress(figure.add_subplot(), NASTY, (NASTY, 0, 1), ("up", 0, 1))
            axes.plot([0, 1], [0, 1], label=NASTY)
            axes.set_xticks([0.5], [NASTY])
            axes.legend()
            self.moving = axes.text(0.5, 0.5, "")
            return [self.moving]

        def update(self, result):
            self.moving.set_text(result)
            self.moving.axes.texts[-1].set_parse_math(True)

    canvas = Canvas(Named(), (6, 4))
    for words in ("plain", NASTY, "$x$", "$\\frac{1}{2}$"):
        canvas.show(words)
        assert canvas.png()[:4] == b"\x89PNG" and b"</svg>" in canvas.svg()
    still = Still(lambda figure: figure.text(0.1, 0.5, NASTY), alt=NASTY, caption=NASTY)
    assert_written_as_it_is(still._repr_mimebundle_()["text/html"])


def test_a_letter_that_no_font_has_is_no_news():
    code = (
        "from downforce.workbook.canvas import Still\n"
        "Still(lambda figure: figure.text(0.1, 0.5, 'a\\N{DROMEDARY CAMEL}b'), alt='a', caption='b')\n"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stderr == ""


def test_a_name_is_cut_only_where_it_is_too_long():
    assert style.short("Home field", 10) == "Home field" and style.short("Home field", None) == "Home field"
    assert style.short("Home field", 9) == "Home fie…" and style.short("Home field", 6) == "Home…"
