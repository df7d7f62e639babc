"""Dig sheets: what is read, and that every mistake comes back as a sentence with its line."""

import re

import numpy as np
import pytest

from downforce.machine import FileProblem
from downforce.machine.readings import read_dig_sheet

HEADER = "row,place,notch,pressure_bar,wheel,depth_mm"
GOOD = f"{HEADER}\n2,open,5,40,free,31\n2,open,5,40,free,29\n24,track,5,40,loaded,40\n"


def written(tmp_path, text, name="digs.csv", encoding="utf-8"):
    path = tmp_path / name
    path.write_text(text, encoding=encoding)
    return path


def problems_of(tmp_path, text):
    with pytest.raises(FileProblem) as caught:
        read_dig_sheet(written(tmp_path, text))
    return caught.value.problems


def test_a_sheet_comes_back_in_si(tmp_path):
    sheet = read_dig_sheet(written(tmp_path, GOOD))
    assert sheet.name == "digs.csv"
    assert sheet.row.tolist() == [2, 2, 24]
    np.testing.assert_allclose(sheet.depth, [0.031, 0.029, 0.040])
    np.testing.assert_allclose(sheet.gauge_pressure, 40e5)
    assert sheet.free.tolist() == [True, True, False]
    assert sheet.in_track.tolist() == [False, False, True]
    assert sheet.notch == ("5", "5", "5")
    assert sheet.settings.tolist() == [40e5]


def test_inches_psi_notes_order_of_columns_and_a_byte_order_mark_are_read(tmp_path):
    text = "# a note\n\nwheel,depth_in,row,pressure_psi\nFREE,1.5,3,580\n"
    sheet = read_dig_sheet(written(tmp_path, text, encoding="utf-8-sig"))
    assert float(sheet.depth[0]) == pytest.approx(0.0381)
    assert float(sheet.gauge_pressure[0]) == pytest.approx(580 * 6894.757, rel=1e-6)
    assert sheet.free[0] and not sheet.in_track[0] and sheet.notch == ("",)


def test_the_shipped_sheet_is_read_and_says_that_it_is_invented():
    from downforce.machine.readings import DIG_EXAMPLE as EXAMPLE

    sheet = read_dig_sheet()
    assert sheet.depth.size == 96 and np.unique(sheet.row).size == 8
    assert [p / 1e5 for p in sheet.settings] == [20, 30, 40, 75]
    assert "Invented" in EXAMPLE.read_text(encoding="utf-8").splitlines()[0]


@pytest.mark.parametrize(
    "change, sentence",
    [
        (("depth_mm", "depth"), "Column 'depth' has no unit. Name it depth_mm or depth_in."),
        (("depth_mm", "depth_bar"), "Column 'depth_bar' has a unit that is not known here, 'bar'"),
        (("pressure_bar", "pressure_N"), "Name it pressure_bar or pressure_psi."),
        (("notch", "colour"), "Column 'colour' is not known."),
        (("place", "wheel"), "There are two columns of wheel. Keep one."),
        (("row,", "row_mm,"), "Column 'row_mm' needs no unit. Name it row."),
        (("31", "31 mm"), "Line 2, depth: '31 mm' is not a number."),
        (("31", ""), "Line 2, depth: the cell is empty."),
        (("31", "nan"), "Line 2, depth: nan is outside what can be (1 mm to 150 mm)."),
        (
            ("31", "310"),
            "310 is outside what can be (1 mm to 150 mm). Is the unit in the column's name right?",
        ),
        (("5,40,free,31", "5,580,free,31"), "580 is outside what can be (0 bar to 250 bar)"),
        (("free,31", "firm,31"), "Line 2, wheel: 'firm' is not free or loaded."),
        (("2,open", "2,rut"), "Line 2, place: 'rut' is not open or track."),
        (("2,open", "left,open"), "Line 2, row: 'left' is no row number."),
        (
            ("2,open", "0,open"),
            "Line 2, row: '0' is no row number. Count rows from the left; the first is 1.",
        ),
        (("free,31", "free,31,5"), "Line 2 has 7 cells and the line of names has 6."),
        (("free,29", "loaded,29"), "Line 3: row 2 is loaded, open here, but free, open in line 2"),
    ],
)
def test_each_mistake_has_its_sentence(tmp_path, change, sentence):
    said = problems_of(tmp_path, GOOD.replace(*change, 1))
    assert any(sentence in problem for problem in said), said


def test_missing_columns_are_named_all_at_once(tmp_path):
    said = problems_of(tmp_path, "notch\n5\n")
    assert [re.search(r"no column of (\w+)", line).group(1) for line in said] == [
        "row",
        "depth",
        "pressure",
        "wheel",
    ]


def test_all_problems_come_at_once(tmp_path):
    said = problems_of(tmp_path, f"{HEADER}\n2,open,5,40,firm,x\n3,rut,5,40,free,30\n")
    assert len(said) == 3


@pytest.mark.parametrize(
    "text, sentence",
    [
        ("", "The file is empty."),
        ("# only notes\n", "The file is empty."),
        (HEADER + "\n", "There are no digs below the column names."),
        (HEADER.replace(",", ";") + "\n2;open;5;40;free;31\n", "Cells are parted by semicolons."),
    ],
)
def test_a_file_that_is_no_table_is_refused(tmp_path, text, sentence):
    assert problems_of(tmp_path, text)[0].startswith(sentence)


def test_a_missing_file_a_folder_and_bytes_are_refused(tmp_path):
    for path, words in ((tmp_path / "no.csv", "There is no file at"), (tmp_path, "folder|cannot be read")):
        with pytest.raises(FileProblem, match=words):
            read_dig_sheet(path)
    (tmp_path / "bytes.csv").write_bytes(b"\xff\xfe\x00\x01")
    with pytest.raises(FileProblem, match="cannot be read as text"):
        read_dig_sheet(tmp_path / "bytes.csv")
