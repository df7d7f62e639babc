"""A surveyed track read from CSV: what is taken, and what is said of a file that cannot be taken."""

from pathlib import Path

import numpy as np
import pytest

from downforce.machine.field_log import LENGTH_UNITS, read_survey
from downforce.physics.ground_survey import SurveyProblems

EXAMPLE = Path(__file__).parents[2] / "data" / "measured" / "surveyed_track.csv"


@pytest.fixture
def csv(tmp_path):
    def write(text):
        path = tmp_path / "track.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def problems_of(path):
    with pytest.raises(SurveyProblems) as refusal:
        read_survey(path)
    return refusal.value.problems


def test_shipped_example_says_that_it_is_invented_and_reads():
    assert EXAMPLE.read_text(encoding="utf-8").startswith("# Invented example")
    track = read_survey(EXAMPLE)
    assert (track.start, track.end) == (0.0, 40.0)
    assert [line[0] for line in track.lines] == [-3.0, 3.0]


@pytest.mark.parametrize("unit", ["m", "cm", "mm", "ft", "in"])
def test_every_unit_is_read_into_metres(csv, unit):
    size = {"m": 1, "cm": 0.01, "mm": 0.001, "ft": 0.3048, "in": 0.0254}[unit]
    rows = "\n".join(f"{i * 0.5 / size},{0.1 * (i % 2) / size}" for i in range(5))
    track = read_survey(csv(f"distance_{unit},height_{unit}\n{rows}\n"))
    assert track.end == pytest.approx(2.0)
    assert np.allclose(track.heights([0.5, 0.25], 0.0), [0.1, 0.05])
    assert LENGTH_UNITS[unit] == size


def test_map_coordinates_are_read(csv):
    track = read_survey(csv("easting_m,northing_m,height_cm\n500,1000,0\n500.6,1000.8,5\n501.2,1001.6,0\n"))
    assert track.end == pytest.approx(2.0)
    assert float(track.heights(1.0, 0.0)) == pytest.approx(0.05)


def test_notes_and_empty_lines_are_passed_over_but_counted(csv):
    path = csv("# note\n\ndistance_m,height_m\n0,0\n# note\n0.5,0\n0.5,0\n")
    assert problems_of(path) == [
        "track.csv: Row 7 repeats the place of the row above: distance 0.5 m. Delete one of the two."
    ]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("distance,height_m\n0,0\n1,0\n", "column 'distance' has no unit. Write for example distance_m"),
        ("distance_km,height_m\n0,0\n1,0\n", "column 'distance_km' has an unknown unit"),
        ("distance_m,elevation_m\n0,0\n1,0\n", "column 'elevation_m' is unknown"),
        ("distance_m,line\n0,a\n1,a\n", "there is no height column"),
        ("height_m,line\n0,a\n1,a\n", "there is no distance column"),
        ("easting_m,height_m\n0,0\n1,0\n", "there is only easting"),
        ("easting_m,northing_m,distance_m,height_m\n0,0,0,0\n1,0,1,0\n", "not both"),
        ("distance_m,distance_ft,height_m\n0,0,0\n1,3,0\n", "say the same twice"),
        ("distance_m,height_m\n0,0\n1,abc\n", "row 3, column height_m: 'abc' is not a number"),
        ("distance_m,height_m\n0,0\n1,\n", "row 3, column height_m: '' is not a number"),
        ("distance_m,height_m\n0,0\n1,nan\n", "row 3, column height_m: 'nan' is not a finite number"),
        ("distance_m,height_m\n0,0\n0,5,0,1\n", "row 3 does not have 2 cells"),
        ("distance_m;height_m\n0;0\n1;0\n", "parted by semicolons"),
        ("distance_m,height_m\n", "no rows below"),
        ("distance_m,height_m\n0,0\n0.5,30\n1,12\n", "heights look like millimetres"),
        ("distance_m,height_m,line\n0,0,a\n1,0,a\n0,0,b\n1,0,b\n", "does not say how far to the right"),
    ],
)
def test_file_that_cannot_be_taken_is_refused_in_sentences(csv, text, words):
    problems = problems_of(csv(text))
    assert any(words in problem for problem in problems), problems
    assert all(problem.startswith("track.csv: ") for problem in problems)


def test_every_bad_cell_is_told_at_once(csv):
    assert len(problems_of(csv("distance_m,height_m\n0,x\ny,0\n1,z\n"))) == 3


def test_missing_and_binary_files_are_refused(tmp_path):
    assert "no such file" in problems_of(tmp_path / "none.csv")[0]
    picture = tmp_path / "picture.csv"
    picture.write_bytes(b"\x89PNG\xff\xfe\x00")
    assert "not a text file" in problems_of(picture)[0]
