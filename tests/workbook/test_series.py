"""One list numbers the workbooks: put one in, take it out, and nothing leads nowhere."""

import json
import re
import shutil
from pathlib import Path

import pytest

import series
from downforce.workbook.series import contents, read_series, shipped_series, ways, workbook

ROOT = Path(__file__).parents[2]
LINE = 'new_book,New book,45,all,"a file for your own drill, step by step"\n'
BARE = re.compile(r"(?<![\w.,:/+-])0\d(?![\w.,:]?\d|[\w%])")
"""A number of a workbook without its name or title [-]."""


@pytest.fixture
def copy(tmp_path):
    """A copy of what the command writes; without pictures, which are most of the bytes."""
    for folder in ("data", "notebooks"):
        (tmp_path / folder).mkdir()
    for book in shipped_series():
        notebook = json.loads(book.path.read_text(encoding="utf-8"))
        for cell in notebook["cells"]:
            if cell["cell_type"] == "code":
                cell["outputs"] = [output for output in cell["outputs"] if len(str(output)) < 20_000]
        text = json.dumps(notebook, indent=1, ensure_ascii=False) + "\n"
        (tmp_path / "notebooks" / book.file).write_text(text, encoding="utf-8")
    for name in (*series.PAGES, "data/workbooks.csv"):
        shutil.copy(ROOT / name, tmp_path / name)
    return tmp_path


def bytes_of(folder):
    return {path.name: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def put_in(root):
    """New book, behind the first; returns the list's file and what stood in it."""
    page = root / "data" / "workbooks.csv"
    before = page.read_text(encoding="utf-8")
    lines = before.splitlines(keepends=True)
    page.write_text("".join([*lines[:2], LINE, *lines[2:]]), encoding="utf-8")
    cells = [
        {"cell_type": "markdown", "id": f"cell-{n}", "metadata": {}, "source": ["# Words"]} for n in "ab"
    ]
    new = {"cells": cells, "metadata": {}, "nbformat": 4, "nbformat_minor": 5}
    (root / "notebooks" / "new_book.ipynb").write_text(json.dumps(new), encoding="utf-8")
    return page, before


def test_everything_stands_as_the_list_says(capsys):
    assert series.main(["--check"]) == 0, capsys.readouterr().out


def test_one_is_put_between_two_others_by_one_line_and_taken_out_again(copy, capsys):
    before = bytes_of(copy)
    page, old_list = put_in(copy)
    assert series.main(["--check"], copy) == 1 and (copy / "notebooks" / "new_book.ipynb").exists()
    assert series.main([], copy) == 0
    now = read_series(page)
    files = sorted(path.name for path in (copy / "notebooks").iterdir())
    assert [book.name for book in now][:3] == ["start_here", "new_book", "your_drill"]
    assert files == [book.file for book in now]
    assert [name[:2] for name in files] == [f"{number:02}" for number in range(len(now))]
    texts = {path.name: path.read_text(encoding="utf-8") for path in copy.rglob("*.[im]*")}
    any_title = re.compile(rf"(?<!\w)\d\d (?:{'|'.join(book.title for book in now)})(?!\w)")
    for name, text in texts.items():
        assert {found[0] for found in series.LINK.findall(text)} <= set(files), name
        assert set(any_title.findall(text)) <= {book.called for book in now}, name
    assert texts["01_new_book.ipynb"].count(ways(now, 1)) == 2
    assert texts["00_start_here.ipynb"].count("[Next: 01 New book](01_new_book.ipynb)") == 2
    assert texts["02_your_drill.ipynb"].count("[Previous: 01 New book](01_new_book.ipynb)") == 2
    assert contents(now, "notebooks/") in texts["README.md"]
    cells = json.loads(texts["00_start_here.ipynb"])["cells"]
    assert any(contents(now[1:]) in "".join(cell["source"]) for cell in cells)
    assert series.main(["--check"], copy) == 0
    page.write_text(old_list, encoding="utf-8")
    assert series.main([], copy) == 1 and "01_new_book.ipynb stands in no line" in capsys.readouterr().out
    (copy / "notebooks" / "01_new_book.ipynb").unlink()
    assert series.main([], copy) == 0
    assert bytes_of(copy) == before


def test_what_cannot_stay_is_said_and_nothing_is_written(copy, capsys):
    put_in(copy)
    (copy / "notebooks" / "new_book.ipynb").unlink()
    book = copy / "notebooks" / workbook("soil_load").file
    shutil.copy(book, copy / "notebooks" / "12_soil_load.ipynb")
    before = bytes_of(copy)
    assert series.main([], copy) == 1
    said = capsys.readouterr().out
    assert "names new_book, and notebooks/ has no new_book.ipynb" in said
    assert f"One workbook, two files: {workbook('soil_load').file} and 12_soil_load.ipynb" in said
    assert bytes_of(copy) == before


def test_a_workbook_that_others_lead_to_does_not_go_in_silence(copy, capsys):
    page = copy / "data" / "workbooks.csv"
    lines = page.read_text(encoding="utf-8").splitlines(keepends=True)
    page.write_text("".join(line for line in lines if not line.startswith("oil_supply")), encoding="utf-8")
    (copy / "notebooks" / workbook("oil_supply").file).unlink()
    assert series.main([], copy) == 1
    said = capsys.readouterr().out
    assert f"00_start_here.ipynb leads to {workbook('oil_supply').file}, which stands in no line" in said


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("x,X,ten,all,what", "line 3: 'ten' is not a whole number of minutes"),
        ("X y,X,10,all,what", "line 3: 'X y' is not a name"),
        ("a,X,10,all,what", "line 3: a stands there twice"),
        ("x,A,10,all,what", "line 3: x stands there twice"),
        ("x,X,10,all,what,more", "line 3: a line is name, title"),
        ("x,X,10,all,", "line 3: a line is name, title"),
    ],
)
def test_a_line_that_cannot_be_is_refused(tmp_path, line, said):
    page = tmp_path / "workbooks.csv"
    page.write_text(f"name,title,minutes,audience,question\na,A,10,all,what\n{line}\n", encoding="utf-8")
    with pytest.raises(ValueError, match=said):
        read_series(page)


def test_a_name_that_is_not_there_is_told_with_those_that_are():
    with pytest.raises(ValueError, match=r"no workbook 'soil'\. There are: start_here"):
        workbook("soil")


def test_prose_names_a_workbook_and_never_its_number_alone():
    pages = {name: (ROOT / name).read_text(encoding="utf-8") for name in series.PAGES}
    for book in shipped_series():
        cells = json.loads(book.path.read_text(encoding="utf-8"))["cells"]
        words = ("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")
        pages[book.file] = "\n".join(words)
    titles = re.compile(rf"\d\d (?:{'|'.join(book.title for book in shipped_series())})(?!\w)")
    bare = []
    for name, text in pages.items():
        rest = titles.sub("", text)
        bare += [f"{name}: {rest[max(0, m.start() - 30) : m.end() + 20]!r}" for m in BARE.finditer(rest)]
    assert not bare, "\n".join(bare)


def test_code_names_a_workbook_and_never_its_number():
    """Three files show the form: where it is made, and where the README's command and this are tested."""
    named = re.compile(rf"\d\d_(?:{'|'.join(b.name for b in shipped_series())})\b|workbooks? 0\d", re.I)
    shown = {"series.py", "test_series.py", "test_readme.py", "test_notebooks.py"}
    found = {
        str(path.relative_to(ROOT)): named.findall(path.read_text(encoding="utf-8"))
        for folder in ("lib", "tests")
        for path in (ROOT / folder).rglob("*.py")
        if path.name not in shown
    }
    assert not {name: numbers for name, numbers in found.items() if numbers}
