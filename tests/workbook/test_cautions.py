"""The cautions: one list, complete, the same on every page, open in every workbook and on paper."""

import ast
import re
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import nbformat
import pytest
from nbconvert import HTMLExporter

from downforce.machine.shipped import example_drill, shipped_drills
from downforce.study.cautions import CAUTIONS, MAKE_DEAD, WINDOW_CAUTION
from downforce.workbook.sources import all_cautions

ROOT = Path(__file__).parents[2]
WORKBOOKS = sorted((ROOT / "notebooks").glob("[0-9]*.ipynb"))
each_workbook = pytest.mark.parametrize("path", WORKBOOKS, ids=lambda path: path.stem)

SPRING = "A compression spring is never cut, heated, pried or knocked out, and its retainer is never cut."
PIERCES = "above the pressure that can pierce skin, about 7 bar (100 psi)"


def one_line(text):
    return " ".join(text.split())


def words_of_the_library():
    """Every text in the library but the list itself; what an f-string works out is a line."""
    for path in sorted((ROOT / "lib").rglob("*.py")):
        if path.name == "cautions.py":
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"))
        parts = {
            id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.JoinedStr):
                texts = [part.value if isinstance(part, ast.Constant) else "_" for part in node.values]
                yield path.stem, "".join(texts)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in parts:
                yield path.stem, node.value


def pages():
    yield "all_cautions", all_cautions().plain
    yield "window side", WINDOW_CAUTION
    for name in ("README.md", "DEVELOPERS.md"):
        yield name, (ROOT / name).read_text(encoding="utf-8")
    for path in WORKBOOKS:
        for cell in nbformat.read(path, as_version=4).cells:
            if cell.cell_type == "markdown":
                yield path.stem, cell.source
    yield from words_of_the_library()


SENTENCES = [
    (name, sentence)
    for name, text in pages()
    for sentence in re.split(r"(?<=[.!?])\s+|\n\n|\n(?=- )", re.sub(r"\n\s*(?!- )", " ", text))
]


def sentences_with(pattern):
    found = [(name, said) for name, said in SENTENCES if re.search(pattern, said)]
    assert {"all_cautions", "README.md"} <= {name for name, _ in found}, pattern
    return found


def in_order(said):
    return ", ".join(MAKE_DEAD) in one_line(said).lower()


@pytest.mark.parametrize(
    "words",
    [
        f"Every setting of these drills is {PIERCES}",
        "never with a hand",
        "go to hospital at once, it is surgery within hours",
        "live with the engine off and the drill raised",
        "lower or lock the drill, engine off, open the dump valve, watch the gauge to zero, then loosen",
        "No cap, hose end or fitting is ever loosened under pressure, not even to bleed",
        "a bleed screw, ports up, into a hose that ends in a pail, at the lowest supply that moves oil",
        "Nobody under or between",
        "locks and stands, not oil",
        "tractor in park, engine off, nobody at the levers",
        "can swing down when its lift chain or link is taken off",
        SPRING,
        "First take the load off by the machine's own motion and adjuster; if load is left, hold it captive "
        "on both sides, then let it out slowly; if it cannot be held, it stays on and goes to a shop with a "
        "press.",
        "Nitrogen only",
        "Let the oil side down",
        "tests go by local law",
        "Never cap or plug",
        "Every volume that can be shut in has a relief valve",
        "tractor's maximum, not for the setting",
        "hollow shafts, hinge tubes or hardened parts",
        "Battery off; paint gives fumes",
        "folded centre of gravity",
        "at most 1.5 times the tractor",
        "not a structural, pressure-equipment or roadworthiness check",
        "Somebody competent signs off",
        "The machine's manual, local codes and licensed people decide",
    ],
)
def test_the_list_says_it_as_plain_text_and_as_a_page(words):
    page = all_cautions()
    assert words in page.plain
    assert words in page.html.replace("&#x27;", "'")


def test_each_caution_stands_in_the_page_once_and_is_short():
    html = all_cautions().html
    assert html.count("<li>") == len(CAUTIONS) == len({title for title, _words in CAUTIONS})
    assert max(len(words.split()) for _title, words in CAUTIONS) <= 60
    assert len(all_cautions().plain.split()) <= 450


def test_the_readme_shows_the_list_and_nothing_beside_it():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    section = readme.partition("## Cautions\n")[2].partition("\n## ")[0]
    assert one_line(section) == " ".join(f"- **{title}.** {words}" for title, words in CAUTIONS)


def test_the_window_says_the_four_steps_in_their_order_and_how_leaks_are_found():
    said = WINDOW_CAUTION.partition("To loosen: ")
    assert said[0].startswith("Leaks: cardboard, never a hand.")
    steps = said[2].split(", ")
    assert len(steps) == len(MAKE_DEAD)
    for short, long in zip(steps, ("drill", "engine off", "dump", "gauge zero"), strict=True):
        assert long in short
    for step, word in zip(MAKE_DEAD, ("drill", "engine off", "dump", "gauge"), strict=True):
        assert word in step


def test_one_answer_to_what_pierces_skin():
    for name, said in sentences_with(r"\bskin\b"):
        assert PIERCES in one_line(said), f"{name}: {said}"


@pytest.mark.parametrize("key", [key for key, _ in shipped_drills()])
def test_every_setting_is_above_what_pierces_skin(key):
    psi = 6894.757293168  # Pa, by definition of pound and inch
    assert example_drill(key).hydraulics.valve.min_pressure > max(7e5, 100 * psi)


def test_one_answer_to_how_a_spring_comes_off():
    for name, said in sentences_with(r"retainer|(?i:\bsprings?\b.{0,40}\b(?:cut|heated|pried|knocked)\b)"):
        assert SPRING.rstrip(".") in one_line(said), f"{name}: {said}"


def test_one_answer_to_when_a_fitting_is_loosened():
    """Soil is loosened too; a fitting after the four steps in their order, and under pressure never."""
    for name, said in sentences_with(r"(?i)\bloosen"):
        if re.search(r"soil|till", said):
            continue
        never = re.search(r"ever loosened (?:under pressure|for that)|loosen nothing|Then loosen", said)
        # The window has its own test above.
        assert never or name == "window side" or in_order(said), f"{name}: {said}"


def test_one_order_of_making_dead():
    for name, said in sentences_with(r"then loosen"):
        assert in_order(said), f"{name}: {said}"


def test_one_answer_to_what_hoses_are_rated_for():
    for name, said in sentences_with(r"[Hh]oses (?:and fittings )?(?:are )?rated"):
        most = r"tractor's maximum|tractor can press, not for the setting"
        assert re.search(most, one_line(said)), f"{name}: {said}"


def caution_cells(path):
    """The words under the heading and the cell of the list, which follows them."""
    for words, shown in pairwise(nbformat.read(path, as_version=4).cells):
        if words.cell_type == "markdown" and words.source.startswith("## Cautions"):
            return words, shown
    raise AssertionError(f"{path.stem} has no heading Cautions")


@each_workbook
def test_a_workbook_has_no_rule_of_its_own(path):
    """It says which of the list matter most here; a rule said twice would be said in two ways."""
    words, _shown = caution_cells(path)
    own = r"(?i)loosen|cardboard|skin|surgery|retainer|dump|gauge to zero|nitrogen|cap a line|rated|licensed"
    assert not re.search(own, words.source)
    titles = {title.lower() for title, _words in CAUTIONS}
    assert set(re.findall(r"\*\*(.+?)\*\*", words.source)) <= titles


@each_workbook
def test_a_workbook_stores_the_whole_list_unfolded(path):
    words, shown = caution_cells(path)
    assert shown.source == "all_cautions()"
    # Folded source, folded output, a folded heading and tags that hide would all stand there.
    assert words.metadata == {} and shown.metadata == {}
    assert [dict(output.data) for output in shown.outputs] == [all_cautions()._repr_mimebundle_()]


class Open(HTMLParser):
    """The text of a page that shows without a click."""

    def __init__(self):
        super().__init__()
        self.folds, self.text = 0, ""

    def handle_starttag(self, tag, attrs):
        self.folds += tag == "details" and "open" not in dict(attrs)

    def handle_endtag(self, tag):
        self.folds -= tag == "details" and self.folds > 0

    def handle_data(self, data):
        self.text += "" if self.folds else data


def open_text(html):
    page = Open()
    page.feed(html)
    return one_line(page.text)


@each_workbook
def test_an_exported_workbook_shows_every_caution_without_a_click(path):
    """Cells before the list may leave a fold open, so the whole workbook is exported, pictures aside."""
    notebook = nbformat.read(path, as_version=4)
    for cell in notebook.cells:
        for output in cell.get("outputs", []):
            data = output.get("data", {})
            data.pop("image/png", None)
            if "text/html" in data:
                data["text/html"] = re.sub(r'(?<=src=")data:[^"]*', "", data["text/html"])
    page = open_text(HTMLExporter(template_name="basic").from_notebook_node(notebook)[0])
    for title, words in CAUTIONS:
        assert f"{title}. {one_line(words)}" in page, title


def test_what_is_folded_would_be_missed():
    assert open_text("<p>a</p><details><summary>b</summary>c</details>d") == "ad"
    assert open_text("<details open>a</details>b") == "ab"
