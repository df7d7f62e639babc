"""Every source has a name, every name a source, and the ledger is that of the tests."""

import ast
import csv
import re
import tokenize
from functools import cache
from pathlib import Path

import nbformat
import pytest

import downforce
import ledger
from downforce.machine.shipped import KEY, bibliography, reference, spelled

ROOT = Path(__file__).parents[2]
WORKBOOKS = sorted((ROOT / "notebooks").glob("[0-9]*.ipynb"))
KINDS = {"article", "book", "page", "report", "software", "standard"}
SEEN_AT_LEAST = 75
"""Distinct examples printed outside the project and seen by somebody."""

NAMELESS = (
    r"\ba published (?:\w+ )?trial",
    r"best-known trial",
    r"soil-bin work",
    r"sellers' tables",
    r"\bone paper\b",
    r"open (?:library|notebook|farm model)",
    r"(?:exam|makers') (?:web )?pages",
    r"university extension advice",
    r"safety bulletins",
    r"conservation district pages",
    r"\bland guide\b",
    r"agency handbook",
    r"retyped copy",
)
"""Words that point at a source and do not name it; how it was seen stands in bibliography and ledger."""


@cache
def texts():
    """Path and text of everything that may name a source, the bibliography and the ledger left out."""
    found = {}
    for folder, pattern in (
        ("lib", "*.py"),
        ("tests", "*.py"),
        ("data/tables", "*.csv"),
        ("notebooks", "*.ipynb"),
    ):
        for path in sorted((ROOT / folder).rglob(pattern)):
            if "my_" not in path.name:
                found[path.relative_to(ROOT).as_posix()] = _words(path)
    for name in ("README.md", "DEVELOPERS.md"):
        found[name] = (ROOT / name).read_text(encoding="utf-8")
    return found


def _words(path):
    """What a person reads of a file: of Python its comments and texts, of a workbook its cells."""
    if path.suffix == ".py":
        with tokenize.open(path) as file:
            kinds = (tokenize.COMMENT, tokenize.STRING)
            return "\n".join(
                token.string for token in tokenize.generate_tokens(file.readline) if token.type in kinds
            )
    if path.suffix == ".csv":
        return path.read_text(encoding="utf-8")
    return "\n".join(cell.source for cell in nbformat.read(path, as_version=4).cells)


def marks():
    """Marks of every test that holds a printed figure: name of the test, and the words of its mark."""
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        text = path.read_text(encoding="utf-8")
        for node in ast.walk(ast.parse(text)) if "mark.outside(" in text else ():
            for call in getattr(node, "decorator_list", ()):
                if isinstance(call, ast.Call) and ast.unparse(call.func) == "pytest.mark.outside":
                    words = tuple(ast.literal_eval(word) for word in call.args)
                    yield f"{path.relative_to(ROOT).as_posix()}::{node.name}", words


def referred(text):
    """Keys that a workbook's own list of references names."""
    calls = re.findall(r"^references\((.*?)\)$", text, re.M | re.S)
    return {key for call in calls for key in re.findall(r"\b([A-Z][A-Z0-9]{2,})=", call)}


def named_in(text):
    """Keys that a text names: in square brackets, or in its list of references."""
    return set(KEY.findall(text)) | referred(text)


def test_every_entry_says_who_what_and_what_was_seen():
    with (ROOT / "data" / "bibliography.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    keys = [row["key"] for row in rows]
    assert keys == sorted(set(keys)), "keys are unique and in order"
    wrong = []
    for row in rows:
        if not re.fullmatch(r"[A-Z][A-Z0-9]{2,}", row["key"]) or row["kind"] not in KINDS:
            wrong.append(f"{row['key']}, {row['kind']}: no such key or kind")
        if not (row["authors"] and row["title"] and row["seen"]):
            wrong.append(f"{row['key']} is nameless")
        if not row["year"] and "not seen" not in " ".join(row.values()) and row["kind"] != "software":
            wrong.append(f"{row['key']} has no year and does not say that none was seen")
    assert not wrong, "\n".join(wrong)


def test_no_text_names_an_unknown_source():
    known = {*bibliography(), "KEY"}
    unknown = {path: named_in(text) - known for path, text in texts().items()}
    assert not {path: keys for path, keys in unknown.items() if keys}


def test_every_source_is_used():
    used = set().union(*(named_in(text) for text in texts().values()))
    used |= {words[0] for _, words in marks()}
    used |= {key for entry in bibliography().values() for key in KEY.findall(" ".join(vars(entry).values()))}
    assert not set(bibliography()) - used


def test_no_source_is_nameless():
    shown = {path: text for path, text in texts().items() if not path.startswith("tests/")}
    wrong = [
        (path, words) for path, text in shown.items() for words in NAMELESS if re.search(words, text, re.I)
    ]
    assert not wrong


def test_workbooks_refer_to_what_their_words_name():
    words = {path.stem: texts()[f"notebooks/{path.name}"] for path in WORKBOOKS}
    missing = {name: set(KEY.findall(text)) - referred(text) for name, text in words.items()}
    assert not {name: keys for name, keys in missing.items() if keys}, "missing in references(...)"


def test_the_ledger_holds_the_marked_tests_and_no_others():
    listed = {
        (row["test"].split("[")[0], row["source"], row["example"], row["seen"], row["what"])
        for row in ledger.stored()
    }
    assert listed == {(name, *words) for name, words in marks()}
    assert not {row["source"] for row in ledger.stored()} - set(bibliography())


def test_enough_examples_were_seen():
    seen = {(row["source"], row["example"]) for row in ledger.stored() if row["seen"] not in ledger.SEEN[-2:]}
    assert len(seen) >= SEEN_AT_LEAST


def test_a_printed_figure_is_held_to_half_its_last_digit():
    held = ledger.Printed(
        pytest.mark.outside("SHI", "x", "text", "y").mark, "tests/physics/test_spring.py::t"
    )
    held(2.634, "2.63")
    held(2.66, "2.63", 0.03, "rounded")
    assert [row["off_percent"] for row in held.rows] == ["0.15", "1.14"]
    for value in (2.636, 2.63 * 1.01):
        with pytest.raises(AssertionError):
            held(value, "2.63")
    with pytest.raises(AssertionError, match="needs its reason"):
        held(2.66, "2.63", 0.03)


def test_a_source_is_printed_short_long_and_as_bibtex():
    hanna = reference("HAN")
    assert hanna.short == "Hanna and others 2010"
    assert hanna.printed.startswith("Hanna, H. M.; Steward, B. L.; Aldinger, L. (2010). Soil loading effects")
    assert spelled("[HAN], [EN837] table 11") == "Hanna and others 2010, EN 837-1:1996 table 11"
    assert "@article{HAN,\n  author = {Hanna, H. M. and Steward, B. L. and Aldinger, L.}," in downforce.cite(
        "HAN"
    )
    assert "author = {Beer, F. P. and Johnston, E. R. and others}" in downforce.cite("BJS", "HAN")
    assert downforce.cite().count("\n@") == len(bibliography()) - 1
    with pytest.raises(ValueError, match="No source has the key 'XYZ'"):
        downforce.cite("XYZ")
