"""Every workbook keeps the rules of the series, and every rule bites."""

from __future__ import annotations

from pathlib import Path

import nbformat
import notebook_rules as rules
import pytest
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output

NOTEBOOKS = Path(__file__).resolve().parents[2] / "notebooks"
WORKBOOKS = sorted(NOTEBOOKS.glob("[0-9]*.ipynb"))


@pytest.fixture(scope="module")
def workbooks():
    return {path: nbformat.read(path, as_version=4) for path in WORKBOOKS}


def _told(wrong):
    assert not wrong, "\n".join(("", *wrong))


@pytest.mark.parametrize("rule", sorted(rules.EVERY_RULE))
def test_workbooks_keep_the_rule(workbooks, rule):
    broken = rules.EVERY_RULE[rule]
    _told([f"{path.stem}: {what}" for path, notebook in workbooks.items() for what in broken(notebook)])


@pytest.mark.parametrize("rule", sorted(rules.RULES_WITH_PLACE))
def test_workbooks_keep_the_rule_of_their_place(workbooks, rule):
    broken = rules.RULES_WITH_PLACE[rule]
    _told([f"{path.stem}: {what}" for path, notebook in workbooks.items() for what in broken(notebook, path)])


def _ran(source, place=1, tags=(), outputs=(), hidden=False):
    metadata = {"tags": list(tags)} | ({"jupyter": {"source_hidden": True}} if hidden else {})
    return new_code_cell(source, execution_count=place, outputs=list(outputs), metadata=metadata)


def _good():
    still = {"text/html": '<img alt="Line chart: load against travel." src="data:x">', "image/png": "x"}
    return [
        new_markdown_cell("# Springs lose load\n\nWords."),
        _ran(
            "from downforce.workbook import style",
            outputs=[new_output("stream", name="stdout", text="Ready.")],
        ),
        new_markdown_cell("**In the field.** Words.\n\n**By hand.** Words.\n\n**Why.** Words."),
        _ran("panel", 2, outputs=[new_output("execute_result", data=still)]),
        new_markdown_cell("## Cautions\n\nBlock the drill."),
        _ran("all_cautions()", 3, outputs=[new_output("execute_result", data={"text/plain": "All"})]),
    ]


_PANEL = {"text/html": '<figure class="downforce-panel-still"></figure>'}


def _words(source):
    return [*_good(), new_markdown_cell(source)]


def _code(source, **more):
    return [*_good(), _ran(source, 4, **more)]


def test_a_good_notebook_breaks_no_rule():
    notebook = new_notebook(cells=_good())
    assert [wrong for rule in rules.EVERY_RULE.values() for wrong in rule(notebook)] == []
    assert rules.labels(notebook, Path("01_x.ipynb")) == []


@pytest.mark.parametrize(
    ("rule", "cells"),
    [
        ("opening", [_ran("x")]),
        ("opening", [new_markdown_cell("No title")]),
        (
            "stored_widgets",
            _code(
                "p",
                outputs=[new_output("display_data", data={"application/vnd.jupyter.widget-view+json": {}})],
            ),
        ),
        ("stored_runs", [*_good(), new_code_cell("x")]),
        ("stored_runs", [*_good(), _ran("x", 7)]),
        ("ignored_outputs", _code("x", tags=["nbval-ignore-output"])),
        ("ignored_outputs", _code("# NBVAL_IGNORE_OUTPUT\nx")),
        ("ignored_outputs", _code("x", tags=["nbval-skip", "reason-slow"])),
        ("error_outputs", _code("x", outputs=[new_output("error", ename="E", evalue="", traceback=[])])),
        ("error_outputs", _code("x", outputs=[new_output("stream", name="stderr", text="Warning")])),
        (
            "set_up_first",
            _code("bench.show(lesson.panel)", outputs=[new_output("display_data", data=_PANEL)]),
        ),
        ("long_code", _code("\n".join("abcdefghi"))),
        ("long_code", _code("x", hidden=True)),
        ("long_words", _words("word " * 121)),
        ("physics", _code("import numpy as np")),
        ("physics", _code("from downforce.study import *")),
        ("physics", _code("def f(): pass")),
        ("physics", _code("k = g * d**4 / (8 * m**3 * n)")),
        ("physics", _code("%matplotlib inline")),
        ("physics", _code("# Use it yourself\nk = a * b * c * d / (e * f * g * h)")),
        ("pictures", _code("x", outputs=[new_output("display_data", data={"image/png": "x"})])),
        ("pictures", _code("x", outputs=[new_output("display_data", data={"text/html": "<img src='x'>"})])),
        ("pictures", _words("![](drawing.png)")),
        ("cautions", _good()[:-2]),
        ("cautions", _good()[:-1]),
        ("far_resources", _words('<img alt="a long enough text" src="https://x.example/a.png">')),
        ("far_resources", _words("<script>x</script>")),
        ("far_resources", _code('read("https://x.example/a.csv")')),
    ],
)
def test_a_bad_notebook_is_named(rule, cells):
    assert rules.EVERY_RULE[rule](new_notebook(cells=cells))


def test_long_tables_and_folded_set_up_are_allowed():
    table = "| a | b |\n" * 200
    folded = _code("\n".join("abcdefghij"), hidden=True, tags=["setup"])
    assert rules.long_words(new_notebook(cells=_words(table))) == []
    assert rules.long_code(new_notebook(cells=folded)) == []


def test_by_hand_is_done_in_the_open():
    assert rules.physics(new_notebook(cells=_code("# Use it yourself\nleft = a + b - c - d - e"))) == []


def test_labels_are_asked_of_every_workbook_but_the_first():
    bare = new_notebook(cells=[new_markdown_cell("# Title")])
    assert len(rules.labels(bare, Path("01_x.ipynb"))) == 3
    assert rules.labels(bare, Path("00_start_here.ipynb")) == []


def test_links_must_lead_to_the_neighbours_and_to_files(tmp_path):
    for name in ("00_a.ipynb", "01_b.ipynb", "02_c.ipynb"):
        (tmp_path / name).write_text("", encoding="utf-8")
    path = tmp_path / "01_b.ipynb"
    row = "[Previous](00_a.ipynb) [Contents](00_a.ipynb) [Next](02_c.ipynb)"
    good = new_notebook(cells=[new_markdown_cell("# T\n\n" + row), *_good()[1:], new_markdown_cell(row)])
    assert rules.links(good, path) == []
    bad = new_notebook(
        cells=[new_markdown_cell("# T\n\n" + row), *_good()[1:], new_markdown_cell("[x](no.ipynb)")]
    )
    wrong = " ".join(rules.links(bad, path))
    assert "no.ipynb" in wrong and "02_c.ipynb (next)" in wrong
