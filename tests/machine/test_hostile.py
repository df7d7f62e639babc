"""Files that nobody would write and a disk can hold: each is read or refused in sentences, none breaks."""

import os
import re
import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_measured_tables import DIGS, LOG, PADS, SPRINGS, SURVEY

from downforce.machine import FileProblem, field_log, read_drill, read_field, readings
from downforce.machine.columns import LONGEST_LINE, MOST_BYTES, MOST_LINES
from downforce.machine.field_log import read_field_log
from downforce.machine.files import MOST_SHOWN, MOST_TOLD, lines_of, shown
from downforce.machine.reader import MOST_BYTES as MOST_BYTES_OF_TOML
from downforce.machine.readings import read_offered
from downforce.machine.shipped import named_drill
from downforce.physics.ground_survey import SurveyProblems

GOOD = (Path(__file__).parent / "good_drill.toml").read_text(encoding="utf-8")
BORE = 'bore = "38.1 mm"'
REFUSALS = (FileProblem, readings.PadProblems, SurveyProblems)
MEASURED = {
    "digs": (readings.read_dig_sheet, DIGS),
    "springs": (readings.read_measured_springs, SPRINGS),
    "pads": (readings.read_pads, PADS),
    "survey": (field_log.read_survey, SURVEY),
    "log": (read_field_log, LOG),
    "offered": (read_offered, "part,bore_mm,rod_mm,stroke_mm,closed_mm\nA,38,20,200,400\n"),
}
EVERY = {"drill": (read_drill, GOOD), "field": (read_field, GOOD), **MEASURED}
each = pytest.mark.parametrize("kind", EVERY)
each_measured = pytest.mark.parametrize("kind", MEASURED)


def with_bore(value):
    assert BORE in GOOD
    return GOOD.replace(BORE, f"bore = {value}")


def with_line(line):
    return GOOD.replace("row_spacing", f"{line}\nrow_spacing", 1)


def answer(read, content, suffix="toml"):
    """Sentences of a refusal, or nothing where the file was read."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, f"some.{suffix}")
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass"))
        try:
            read(path)
        except REFUSALS as problem:
            assert problem.problems and str(problem).strip()
            assert len(problem.problems) <= MOST_TOLD + 1
            return problem.problems
    return []


def line_of(text, part):
    return 1 + text[: text.index(part)].count("\n")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (with_bore("9" * 400), f"cylinder.bore: {'9' * 77}... is not a number a machine can have. Allowed"),
        (with_bore('"' + "9" * 400 + ' mm"'), "is too long for a number with its unit"),
        (with_bore('"' + "9" * 79 + '"'), "has no unit"),
        (with_bore("9" * 5000), "the line has 5007 characters, and the longest may have 1000: bore = 99999"),
        (with_bore("-inf"), "-inf is not a number a machine can have"),
        (with_bore('"٣٨ mm"'), '"٣٨ mm" cannot be read as a number and a unit'),
        (with_bore('"3_8 mm"'), 'a unit that is not known here, "_8 mm"'),
        (with_bore('"1e999 mm"'), "is larger than any machine"),
        (with_bore("1979-05-27"), "1979-05-27 stands where a length is wanted"),
        (with_bore('"""\n' + "9 mm (\n" * 900 + '"""'), "is too long for a number with its unit"),
        (re.sub(r"openers = \d+", "openers = " + "9" * 400, GOOD), "is outside what is possible. Allowed: a"),
        (with_line("x = " + "[" * 400 + "]" * 400), "x is not a key of the top of the file"),
        (with_line("x = [\n" + "[\n" * 3000 + "]\n" * 3001), "Is a bracket or quote open?"),
        (with_line("x = " + "[" * 3000), "the line has 3004 characters"),
        (with_line(".".join("a" * 400) + " = 1"), "a is not a key of the top of the file"),
        (with_line(".".join("a" * 400) + " = 1\nb = "), "more than 20 deep. No key needs that"),
        (GOOD + "[" + ".".join("a" * 40000) + "]\n", "The file has 83 kB; a drill file has no more"),
        (GOOD + "[" + ".".join("a" * 20000) + "]\n", "the line has 40001 characters"),
        (GOOD + "[" + ".".join("a" * 400) + "]\nb = \n", "more than 20 deep. No key needs that"),
        (GOOD + "\0", "This is not a text file."),
        (GOOD + "# \ud800", "a character is not saved as UTF-8"),
        (GOOD.replace("\n", "\x0b\n", 1), "Line 1: this is no TOML: "),
        (GOOD.replace('name = "', 'name = "' + "N" * 99, 1), "characters. Allowed: 80."),
        (GOOD.replace("rank_x = [", "rank_x = [" + '"1 m",\n' * 999), "values in the list. Allowed: 500."),
        ("", "The file is empty."),
    ],
)  # fmt: skip
def test_a_hostile_drill_file_gets_its_sentence(text, said):
    assert any(said in sentence for sentence in answer(read_drill, text)), answer(read_drill, text)


@pytest.mark.parametrize(
    "text",
    [
        GOOD.replace("row_spacing", '"row_spacing"'),
        GOOD.replace("[opener]", '["opener"]'),
        with_bore("'38.1 mm'"),
        with_line("# a trap: ''' and \"\"\""),
    ],
)
def test_the_standard_reader_says_what_is_toml(text):
    assert answer(read_drill, text) == []


@pytest.mark.parametrize("odd", ["\u2028", "\x85", "\u2029"])
def test_lines_are_counted_as_an_editor_counts_them(odd):
    text = with_bore('"381 mm"').replace("describes", f"# {odd}{odd}\ndescribes", 1)
    (sentence,) = answer(read_drill, text)
    assert sentence.startswith(f"Line {line_of(text, 'bore = ')}, ")
    text = DIGS.replace("row,", f"# {odd}{odd}\nrow,", 1).replace("free", "fre", 1)
    (sentence,) = answer(readings.read_dig_sheet, text, "csv")
    assert sentence.startswith("Line 3, ")


def test_all_three_ends_of_lines_are_lines():
    assert lines_of("a\nb\r\nc\rd\x0be\u2028") == ["a", "b", "c", "d\x0be\u2028"]


def test_of_many_problems_thirty_are_told_and_how_many_more_there_are():
    told = answer(read_drill, GOOD + "".join(f"key_{place} = 1\n" for place in range(400)))
    assert len(told) == MOST_TOLD + 1
    assert told[-1] == f"There are {400 - MOST_TOLD} more problems. Put these right first."
    told = answer(read_drill, GOOD + "".join(f"key_{place} = 1\n" for place in range(MOST_TOLD + 1)))
    assert told[-1] == "There is 1 more problem. Put these right first."
    assert len(answer(read_drill, GOOD + "".join(f"key_{place} = 1\n" for place in range(MOST_TOLD)))) == 30


@pytest.mark.parametrize(
    "text",
    [
        with_line("x" * 500 + " = 1"),
        with_line("x" * 500 + ' "1"'),
        with_line("x" * 500 + ": 1"),
        with_line("y = " + "x" * 500),
        with_line("y = [" + "x" * 500 + "]"),
        with_line('y = "' + "x" * 500),
        with_line('y = "' + "x" * 500 + '""'),
        with_line('y = "a" ' + "x" * 500),
        with_line("x" * 500),
        with_bore('"' + "x" * 500 + '"'),
        with_bore('"1 ' + "x" * 70 + '"'),
        GOOD + "[" + "x" * 500 + "]\n",
        GOOD + "[[" + "x" * 500 + "\n",
        GOOD.replace('linkage = "', 'linkage = "' + "x" * 500),
        with_line("x" * 5000),
    ],
)
def test_no_sentence_repeats_more_than_it_has_to(text):
    told = answer(read_drill, text)
    assert told
    assert max(len(run) for sentence in told for run in re.findall("x+", sentence)) <= MOST_SHOWN


def test_what_is_shown_of_a_text_is_one_printable_line():
    assert shown("a\n\tb\x07\ud800") == "a b\ufffd\ufffd"
    assert shown("x" * MOST_SHOWN) == "x" * MOST_SHOWN
    assert shown("x" * 81) == "x" * 77 + "..." and shown(" " * 999 + "x").endswith("...")


@each
def test_a_file_that_is_too_large_is_refused_before_it_is_read(tmp_path, kind):
    path = tmp_path / "large.csv"
    path.touch()
    os.truncate(path, 1 << 40)  # a terabyte without a byte on the disk
    with pytest.raises(REFUSALS) as caught:
        EVERY[kind][0](path)
    assert re.search(r"he file has 1099512 MB", caught.value.problems[0])


@pytest.mark.parametrize("name", ["a" * 300, "a\0b", "x/" * 3000, "\ud800"])
@each
def test_a_name_that_no_file_can_have(kind, name):
    with pytest.raises(REFUSALS) as caught:
        EVERY[kind][0](name)
    assert "No file can have this name." in caught.value.problems[0]
    with pytest.raises(FileProblem, match="No file can have this name"):
        named_drill(name)


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no devices here")
@each
def test_a_device_is_not_read(kind):
    with pytest.raises(REFUSALS) as caught:
        EVERY[kind][0]("/dev/zero")
    assert "it is a device and not a file" in caught.value.problems[0]


@each
@given(content=st.binary(max_size=300))
def test_any_bytes_are_refused_in_sentences(kind, content):
    assert answer(EVERY[kind][0], content)


_CELLS = st.one_of(
    st.text(max_size=12),
    st.sampled_from(
        ["1e300", "-1e300", "nan", "inf", "", "0", "9" * 30, "1_0", "٣", '"', "\x0b1", "2024-01-01"]
    ),
)


@each_measured
@given(cells=st.lists(st.lists(_CELLS, min_size=1, max_size=7), max_size=14), cut=st.integers(0, 40))
def test_any_cells_are_read_or_refused_in_sentences(kind, cells, cut):
    read, good = MEASURED[kind]
    rows = "\n".join(",".join(row) for row in cells)
    answer(read, f"{good[: len(good) - cut]}\n{rows}\n", "csv")


@given(at=st.integers(0, len(GOOD)), junk=st.text(min_size=1, max_size=30))
def test_any_text_within_a_drill_file_is_read_or_refused_in_sentences(at, junk):
    answer(read_drill, GOOD[:at] + junk + GOOD[at:])


@each_measured
@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        (lambda good: good + "x" * 5000 + "\n", "has 5000 characters, and at most 1000 are read"),
        (lambda good: good + "," * 5000 + "\n", "has 5000 characters, and at most 1000 are read"),
        (lambda good: "x" * (LONGEST_LINE + 1) + good, "characters, and at most 1000 are read"),
        (lambda good: good + "\n" * MOST_LINES, f"here are more than {MOST_LINES} lines."),
    ],
)
def test_what_is_too_long_in_a_table_is_refused(kind, spoilt, said):
    read, good = MEASURED[kind]
    assert any(said in sentence for sentence in answer(read, spoilt(good), "csv"))


@each_measured
def test_digits_are_those_of_the_keyboard(kind):
    read, good = MEASURED[kind]
    names, first, *rest = good.splitlines()
    number = first.split(",")[-1]
    for odd in (number.replace("0", "٠").replace("1", "١").replace("2", "٢") + "٠", number + "_0"):
        spoilt = "\n".join([names, first.removesuffix(number) + odd, *rest])
        assert any(f"{odd!r} is not a" in sentence for sentence in answer(read, spoilt, "csv"))


def test_limits_of_a_file_are_wide_enough_for_a_real_one():
    assert 10 * len(GOOD) < MOST_BYTES_OF_TOML
    assert MOST_LINES >= 8 * 3600 * 10 and MOST_BYTES >= MOST_LINES * 60
    assert MOST_TOLD == 30


def test_more_of_a_kind_than_anybody_measures_is_refused():
    many = "".join(f"{330 - place / 10},{place},s{place}\n" for place in range(101))
    said = answer(readings.read_measured_springs, "length_mm,force_N,spring\n" + many, "csv")
    assert said == ["There are 101 springs, and at most 100 are read from one file."]
    many = "".join(f"{place},0,{place},{place}\n" for place in range(101))
    (said,) = answer(field_log.read_survey, "distance_m,height_m,line,lateral_m\n" + many, "csv")
    assert "there are 101 lines, and at most 100 are read" in said
    row = "raised,0,hitch,1500,{0}\n"
    many = "".join(row.format(place % 60) for place in range(2001))
    said = answer(readings.read_pads, "openers,hopper_percent,support,load_kg,pad\n" + many, "csv")
    assert [sentence.partition(": ")[2] for sentence in said] == [
        "column pad holds 60 different cells, and at most 50 are read.",
        "there are 2001 readings, and at most 2000 are read.",
    ]
    many = "".join(f"{place},38,20,200,400\n" for place in range(1001))
    said = answer(read_offered, "part,bore_mm,rod_mm,stroke_mm,closed_mm\n" + many, "csv")
    assert said == ["There are 1001 cylinders, and at most 1000 are read."]


def test_a_survey_that_ends_where_it_began_has_no_direction():
    (said,) = answer(field_log.read_survey, "easting_m,northing_m,height_m\n0,0,0\n1,0,0\n0,0,0\n", "csv")
    assert "ends where it began" in said


@pytest.mark.parametrize(
    ("read", "text", "said"),
    [
        (readings.read_pads, PADS.replace(",50,", ",0.5,"), "'0.5' is next to an empty hopper, for the"),
        (readings.read_pads, PADS.replace(",50,", ",1,"), "'1' is next to an empty hopper, for the"),
        (readings.read_pads, PADS.replace("1540", "1e300"), "'1e300' must be 0 kg to 50000 kg."),
        (readings.read_pads, PADS.replace(",", "\t"), "cells are parted by tabs. Save with commas"),
        (readings.read_dig_sheet, DIGS.replace("_bar", "_Pa"), "'40' is next to no pressure. Is the unit"),
        (readings.read_dig_sheet, DIGS.replace(",31", ",3.1").replace(",40\n", ",4\n"), "Are the depths"),
        (readings.read_measured_springs, re.sub(r"0,", ",", SPRINGS), "Are the lengths inches or"),
        (field_log.read_survey, SURVEY.replace("0.1", "1e300"), "'1e300' is not a finite number, or"),
    ],
)  # fmt: skip
def test_a_slip_is_named(read, text, said):
    assert any(said in sentence for sentence in answer(read, text, "csv")), answer(read, text, "csv")


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("60 Pa", '"60 Pa" is next to no pressure. Did you mean "60 bar"? For none write "0 bar".'),
        ("5 kPa", '"5 kPa" is next to no pressure. Did you mean "5 bar"? For none write "0 bar".'),
        ("900 Pa", '"900 Pa" is next to no pressure. Did you mean "900 psi"? For none write "0 bar".'),
    ],
)
def test_a_pressure_in_pascals_for_bars_is_asked_back(written, said):
    text, count = re.subn(r'min_pressure = "[^"]*"', f'min_pressure = "{written}"', GOOD)
    assert count == 1
    assert any(said in sentence for sentence in answer(read_drill, text)), answer(read_drill, text)
    assert answer(read_drill, text.replace(written, "0 Pa")) == []


def test_a_missing_table_is_named_with_the_keys_it_takes():
    text = (Path(__file__).parent / "good_field.toml").read_text(encoding="utf-8")
    head, _, rest = text.partition("[soil]")
    (said,) = answer(read_field, head + rest[rest.index("[tracks]") :])
    assert "the table [soil] is missing. It holds " in said and "spread, " in said
