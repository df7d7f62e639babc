"""Bench readings of springs from CSV: what is taken, and what is said of a file that cannot be taken."""

import pytest

from downforce.machine.reader import FileProblem
from downforce.machine.readings import SPRING_EXAMPLE, read_measured_springs

GOOD = "length_mm,force_N\n330,0\n300,0\n280,600\n250,1500\n220,2400\n"


@pytest.fixture
def csv(tmp_path):
    def write(text):
        path = tmp_path / "springs.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def problems_of(path):
    with pytest.raises(FileProblem) as refusal:
        read_measured_springs(path)
    return refusal.value.problems


def test_shipped_readings_say_that_they_are_invented_and_hold_slack_and_closed_points():
    assert SPRING_EXAMPLE.read_text(encoding="utf-8").startswith("# Invented readings")
    springs = read_measured_springs()
    assert list(springs) == ["row 12", "row 31", "row 48"]
    for spring in springs.values():
        slack = spring.spring_force[spring.length > 0.305]
        assert slack.size >= 3 and slack.max() < 10
        assert spring.length.min() < 0.155


def test_columns_may_stand_in_any_order_and_units_are_read_into_si(csv):
    metric = read_measured_springs(csv(GOOD))["spring"]
    swapped = "# note\nforce_lbf,Length_in\n" + "\n".join(
        f"{f / 4.4482216152605},{x / 25.4}"
        for x, f in zip((330, 300, 280, 250, 220), (0, 0, 600, 1500, 2400), strict=True)
    )
    american = read_measured_springs(csv(swapped))["spring"]
    assert metric.length.tolist() == [0.33, 0.3, 0.28, 0.25, 0.22]
    assert american.length == pytest.approx(metric.length)
    assert american.spring_force == pytest.approx(metric.spring_force)


def test_springs_are_kept_apart_by_name_in_the_order_of_the_file(csv):
    rows = GOOD.splitlines()[1:]
    text = "spring,length_mm,force_N\n" + "\n".join(f"b,{row}\na,{row}" for row in rows)
    springs = read_measured_springs(csv(text))
    assert list(springs) == ["b", "a"]
    assert springs["a"].length.tolist() == [0.33, 0.3, 0.28, 0.25, 0.22]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "The file is empty. Its first line names the columns, such as length_mm,force_N."),
        ("length_mm,force_N\n", "There are no readings below the column names."),
        ("length_mm;force_N\n1;2\n", "Cells are parted by semicolons. Save with commas and decimal points."),
        ("length,force_N\n", "Column 'length' has no unit. Name it length_mm or length_in."),
        (
            "length_mm,force_lb\n",
            "Column 'force_lb': lb is a mass. If the scale showed a push, name it force_lbf.",
        ),
        (
            "length_mm,force_kg\n",
            "Column 'force_kg': kg is a mass. If the scale showed a push, name it force_kgf.",
        ),
        (
            "length_yd,force_N\n",
            "Column 'length_yd' has a unit that is not known here, 'yd'. "
            "Allowed: mm, cm, m, in, inch, inches, ft, feet.",
        ),
        ("length_mm\n", "There is no column of force. Name it force_N or force_lbf."),
        ("length_mm,length_in,force_N\n", "There are two columns of length. Keep one."),
        (
            "length_mm,force_N,colour\n",
            "Column 'colour' is not known. Known: length, force, each with its unit, and spring.",
        ),
        (
            GOOD + "210,2700,\n",
            "Line 7 has 3 cells and the line of names has 2. Write decimals with a point, not a comma.",
        ),
        (
            GOOD + "210,much\n",
            "Line 7, force: 'much' is not a number. Write a number with a decimal point, without its unit.",
        ),
        (
            GOOD + ",2700\n",
            "Line 7, length: the cell is empty. Write a number with a decimal point, without its unit.",
        ),
        (
            GOOD + "21000,2700\n",
            "Line 7, length: 21000 is outside what an opener's spring can be (10 mm to 2000 mm). "
            "Is the unit in the column's name right?",
        ),
        (
            GOOD + "210,nan\n",
            "Line 7, force: nan is outside what an opener's spring can be (-2000 N to 100000 N). "
            "Is the unit in the column's name right?",
        ),
        (
            "spring,length_mm,force_N\n,300,0\n",
            "Line 2: the spring has no name. Write one in the column spring.",
        ),
        (
            "length_mm,force_N\n300,0\n280,600\n250,1500\n",
            "Spring 'spring' has 3 readings; at least 5 are needed.",
        ),
        (
            "length_mm,force_N\n300,0\n300,0\n280,600\n280,610\n250,1500\n",
            "Spring 'spring' was read at 3 lengths only; read it at 5 or more.",
        ),
        (
            GOOD + "340,-300\n",
            "Spring 'spring' has a force of -300 N: a compression spring does not pull. "
            "Set the scale to zero with the seat off it and read again.",
        ),
        (
            "length_mm,force_N\n10,300\n20,600\n30,900\n40,1200\n50,1500\n",
            "Spring 'spring' pushes no harder when short than when long. "
            "Give the length of the spring, not how far it was compressed.",
        ),
        (
            "length_mm,force_N\n300,0\n310,0\n320,0\n330,0\n340,0\n",
            "Spring 'spring' never pushes: every force is zero.",
        ),
    ],
)
def test_file_that_cannot_be_taken_is_refused_in_a_sentence(csv, text, sentence):
    assert sentence in problems_of(csv(text))


def test_every_problem_is_told_at_once(csv):
    assert len(problems_of(csv(GOOD + "x,1\n200,y\n150\n"))) == 3


def test_a_little_below_zero_is_the_scale_and_is_taken(csv):
    assert read_measured_springs(csv(GOOD + "340,-4\n"))["spring"].spring_force[-1] == -4


def test_missing_file_folder_and_binary_file_are_refused(tmp_path):
    assert "no file at" in problems_of(tmp_path / "none.csv")[0]
    assert "folder" in problems_of(tmp_path)[0] or "cannot be read" in problems_of(tmp_path)[0]
    picture = tmp_path / "picture.csv"
    picture.write_bytes(b"\x89PNG\xff\xfe\x00")
    assert "cannot be read as text" in problems_of(picture)[0]
