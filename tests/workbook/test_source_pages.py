"""Pages of words and sources: nothing on them is typed."""

import re

import pytest

from downforce.machine.shipped import reference, shipped_rows
from downforce.workbook.series import workbook
from downforce.workbook.sources import ledger_table, references, words_table


def test_references_are_printed_in_full_from_the_bibliography():
    page = references(HAN="load classes", CHU="friction")
    lines = page.plain.split("\n")
    assert lines == [
        f"[HAN] load classes: {reference('HAN').printed}",
        f"[CHU] friction: {reference('CHU').printed}",
    ]
    assert page.html.count("<li>") == 2 and "26(4)" in page.html
    with pytest.raises(ValueError, match="No source has the key 'XYZ'"):
        references(XYZ="nothing")


def test_the_ledger_counts_what_its_file_holds():
    rows = shipped_rows("ledger")
    lines = ledger_table().plain.split("\n")
    together = next(line for line in lines if line.startswith("all; ")).split("; ")
    examples = {(row["source"], row["example"]) for row in rows}
    memory, library = (
        {(row["source"], row["example"]) for row in rows if row["seen"] == seen}
        for seen in ("from memory", "library's result")
    )
    assert together[1:3] == [str(len({row["source"] for row in rows})), str(len(examples - memory - library))]
    assert together[4:7] == [str(len(library)), str(len(memory)), str(len(rows))]
    by_topic = [line.split("; ") for line in lines[2:-2]]
    assert sum(int(line[6]) for line in by_topic) == len(rows)
    page = ledger_table().html
    assert page.count("<summary>") == 1 and page.count('scope="row"') == len(examples) + len(by_topic) + 1


def test_words_stand_in_both_unit_systems_with_the_workbook_that_explains_them():
    page = words_table()
    for row in shipped_rows("words"):
        line = next(line for line in page.plain.split("\n") if line.startswith(f"{row['word']}; "))
        assert line.endswith(workbook(row["workbook"]).called)
        assert bool(row["metric"]) == bool(row["us"])
    assert re.search(r"gauge-wheel load; .*; N; lbf; ", page.plain) and "droop; " in page.plain
