"""Measured files as spreadsheets leave them: each is read, or refused in a sentence that says what to do."""

import codecs
import re
from itertools import count

import numpy as np
import pytest

from downforce.machine.field_log import read_field_log, read_survey
from downforce.machine.files import MOST_TOLD
from downforce.machine.reader import FileProblem
from downforce.machine.readings import PadProblems, read_dig_sheet, read_measured_springs, read_pads
from downforce.physics.ground_survey import SurveyProblems

DIGS = "row,place,notch,pressure_bar,wheel,depth_mm\n2,open,5,40,free,31\n24,track,5,40,loaded,40\n"
SPRINGS = "length_mm,force_N\n330,0\n300,0\n280,600\n250,1500\n220,2400\n"
PADS = "openers,hopper_percent,support,load_kg\nraised,50,hitch,1540\non the ground,0,hitch,990.5\n"
SURVEY = "distance_m,height_m\n0,0\n0.5,0.1\n1,0\n"
LOG = "easting_m,northing_m,height_m\n" + "".join(f"{4 * i},7,{0.1 * (i % 2)}\n" for i in range(12))


def of_digs(path):
    sheet = read_dig_sheet(path)
    return [sheet.row, sheet.depth, sheet.gauge_pressure, sheet.free, sheet.in_track, sheet.notch]


def of_springs(path):
    spring = read_measured_springs(path)["spring"]
    return [spring.length, spring.spring_force]


def of_pads(path):
    found = read_pads(path, ("hitch",))
    return [found.support, found.openers, found.hopper_fill, found.load]


def of_survey(path):
    return list(read_survey(path).lines[0][1:])


def of_log(path):
    (one,) = read_field_log(path).passes
    return [one.along, one.height]


READERS = pytest.mark.parametrize(
    ("read", "good", "refusal"),
    [
        (of_digs, DIGS, FileProblem),
        (of_springs, SPRINGS, FileProblem),
        (of_pads, PADS, PadProblems),
        (of_survey, SURVEY, SurveyProblems),
        (of_log, LOG, SurveyProblems),
    ],
    ids=["digs", "springs", "pads", "survey", "log"],
)
WAYS = {
    "byte order mark": lambda good: "\ufeff" + good,
    "Windows line ends": lambda good: good.replace("\n", "\r\n"),
    "old line ends": lambda good: good.replace("\n", "\r"),
    "no last line end": str.rstrip,
    "every cell in quotes": lambda good: '"' + good.strip().replace(",", '","').replace("\n", '"\n"') + '"',
    "blanks before quotes": lambda good: re.sub(r",([^,\n]*)", r',  "\1"', good),
    "sep= line": lambda good: "sep=,\n" + good,
    "empty columns": lambda good: good.replace("\n", ",,,\n"),
    "empty rows": lambda good: "\n,,\n" + good + ",,,,\n \n\n",
    "notes as a spreadsheet saves them": lambda good: '"# invented, no real field",,\n# b "c,,\n' + good,
    "hard blanks": lambda good: good.replace(",", "\u00a0,"),
    "capitals in names": lambda good: good.replace("hopper", "Hopper").replace("length", "Length"),
}


def as_written(tmp_path, content):
    path = tmp_path / "measured.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def problems_of(read, refusal, path):
    with pytest.raises(refusal) as caught:
        read(path)
    return caught.value.problems


@READERS
@pytest.mark.parametrize("way", WAYS)
def test_what_a_spreadsheet_adds_changes_no_value(tmp_path, read, good, refusal, way):
    wanted = read(as_written(tmp_path, good))
    for found, value in zip(read(as_written(tmp_path, WAYS[way](good))), wanted, strict=True):
        np.testing.assert_array_equal(found, value)


def semicolons(good):
    return good.replace(".", ",").replace(",", ";")


@READERS
@pytest.mark.parametrize(
    ("spoilt", "words"),
    [
        (semicolons, "ells are parted by semicolons"),
        (lambda good: "sep=;\n" + semicolons(good), "ells are parted by semicolons"),
        (lambda good: good.replace(",", "\t"), "Save with commas and decimal points."),
        (lambda good: codecs.BOM_UTF16_LE + good.encode("utf-16-le"), 'it is saved as "Unicode" (UTF-16)'),
        (lambda good: codecs.BOM_UTF16_BE + good.encode("utf-16-be"), 'it is saved as "Unicode" (UTF-16)'),
        (lambda good: good.encode("utf-16-le"), "it holds bytes that no text has"),
        (
            lambda good: b"PK\x03\x04\x14\x00" + good.encode(),
            "it is a spreadsheet's own file (.xlsx or .ods)",
        ),
        (lambda good: b"\xd0\xcf\x11\xe0\xa1\xb1" + good.encode(), "it is a spreadsheet's own file (.xls)"),
        (
            lambda good: "# sown\n# Mäntel\n".encode("cp1252") + good.encode(),
            "line 2 has a character that is not saved as UTF-8",
        ),
        (lambda good: good.splitlines()[0], "below the column names.|below its column names."),
        (lambda good: "sep=,\n", "The file is empty.|the file has no rows"),
        (lambda good: ",,\n", "The file is empty.|the file has no rows"),
        (lambda good: '"' + good, "Line 1: quotation marks do not stand around whole cells."),
        (
            lambda good: good + '"a note\nof two lines"\n',
            "quotation marks do not stand around whole cells. Take them out, or the line break in a cell.",
        ),
    ],
    ids=count(),
)
def test_what_cannot_be_read_is_refused_with_what_to_do(tmp_path, read, good, refusal, spoilt, words):
    said = problems_of(read, refusal, as_written(tmp_path, spoilt(good)))
    assert any(word in said[0] for word in words.split("|")), said


@READERS
def test_decimal_commas_are_refused_in_and_out_of_quotes(tmp_path, read, good, refusal):
    *lines, last = good.splitlines()
    number = last.split(",")[-1]
    for cell, words in (
        (f"{number},5", "decimals with a point"),
        (f'"{number},5"', f"'{number},5' is not a"),
    ):
        spoilt = "\n".join([*lines, last.removesuffix(number) + cell])
        (said,) = problems_of(read, refusal, as_written(tmp_path, spoilt))
        assert words in said and (f"Line {len(lines) + 1}" in said or f"row {len(lines) + 1}" in said)


@READERS
def test_a_folder_is_no_table(tmp_path, read, good, refusal):
    assert "This is a folder." in problems_of(read, refusal, tmp_path)[0]


@READERS
def test_names_rows_and_cells_are_put_right_in_one_go_and_told_in_the_order_of_the_file(
    tmp_path, read, good, refusal
):
    names, first, *rest = good.splitlines()
    number = first.split(",")[-1]
    bad = first.removesuffix(number) + "x"
    spoilt = "\n".join([names + ",colour", first + ",1,2", bad + ",red", *(row + "," for row in rest), '"'])
    said = problems_of(read, refusal, as_written(tmp_path, spoilt))
    words = ("'colour'", " cells ", "'x' is not a number", "quotation marks")
    assert all(word in problem for word, problem in zip(words, said, strict=True)), said


def test_a_long_file_is_read_and_a_long_list_of_problems_cut(tmp_path):
    many = 100_000
    rows = "\n".join(f"{200 + i / 1000},{5000 - i / 50}" for i in range(many))
    path = as_written(tmp_path, f"length_mm,force_N\n{rows}\n")
    length, force = of_springs(path)
    assert (length.size, force[-1]) == (many, pytest.approx(5000 - (many - 1) / 50))
    path = as_written(tmp_path, "length_mm,force_N\n" + rows.replace(",", ",about "))
    said = problems_of(of_springs, FileProblem, path)
    assert len(said) == MOST_TOLD + 1
    assert said[-1] == f"There are {many - MOST_TOLD} more problems. Put these right first."


def test_a_row_number_in_raised_digits_is_no_number(tmp_path):
    said = problems_of(of_digs, FileProblem, as_written(tmp_path, DIGS.replace("24,", "²,")))
    assert said == ["Line 3, row: '²' is no row number. Count rows from the left; the first is 1."]


def test_a_support_may_have_braces_in_its_name(tmp_path):
    with pytest.raises(PadProblems) as caught:
        read_pads(as_written(tmp_path, PADS), ("nose {left}",))
    assert caught.value.problems[0].endswith("the drill has no 'hitch'. It has: nose {left}.")
