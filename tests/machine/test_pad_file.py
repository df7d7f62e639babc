"""Pad files: readings in newtons, and every fault in a sentence that names file and row."""

import pytest

from downforce.machine.readings import PadProblems, read_pads

HEAD = "openers,hopper_percent,support,load_kg\n"
SUPPORTS = ("hitch", "left wheel")


def written(tmp_path, text):
    path = tmp_path / "pads.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_readings_come_in_newtons(tmp_path):
    for unit, newton in (
        ("kg", 9.80665),
        ("t", 9806.65),
        ("kN", 1000.0),
        ("lb", 4.4482216),
        ("lbf", 4.4482216),
    ):
        head = f"# note\nopeners,hopper_percent,support,load_{unit}\n\n"
        text = head + "raised,50,hitch,2\non the ground,0,left wheel,3\n"
        found = read_pads(written(tmp_path, text), SUPPORTS)
        assert found.load == pytest.approx([2 * newton, 3 * newton])
        assert found.support == ("hitch", "left wheel") and found.openers == ("raised", "on the ground")
        assert found.hopper_fill == pytest.approx([0.5, 0.0]) and list(found.row) == [4, 5]


def test_a_reading_without_a_pad_s_name_belongs_to_the_pad_of_its_place(tmp_path):
    found = read_pads(written(tmp_path, HEAD + "raised,0,hitch,1\nraised,0,left wheel,2\n"), SUPPORTS)
    assert found.pad == SUPPORTS
    text = "pad," + HEAD + "A,raised,0,hitch,1\nB,raised,0,left wheel,2\n,raised,0,hitch,2\n"
    assert read_pads(written(tmp_path, text), SUPPORTS).pad == ("A", "B", "hitch")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "pads.csv: the file has no rows below its column names."),
        (HEAD, "pads.csv: the file has no rows below its column names."),
        (
            "openers;hopper_percent;support;load_kg\nraised;0;hitch;1\n",
            "pads.csv: cells are parted by semicolons. Save with commas and decimal points.",
        ),
        (
            HEAD + "raised,0,hitch,1,5\n",
            "pads.csv: row 2 does not have 4 cells like the row of names. Write decimals with a point, not "
            "a comma.",
        ),
        (
            "openers,hopper_percent,support,load\nraised,0,hitch,1\n",
            "pads.csv: column 'load' has no unit. Write for example load_kg; allowed: kg, t, lb, N, daN, "
            "kN, lbf, kgf.",
        ),
        (
            "openers,hopper_percent,support,load_stone\nraised,0,hitch,1\n",
            "pads.csv: column 'load_stone' has the unit 'stone', which is unknown. Write for example "
            "load_kg; "
            "allowed: kg, t, lb, N, daN, kN, lbf, kgf.",
        ),
        (
            "openers,support,load_kg\nraised,hitch,1\n",
            "pads.csv: there is no column 'hopper_percent'. Needed: openers, hopper_percent, support and "
            "load with a "
            "unit, such as load_kg.",
        ),
        (
            "openers,hopper_percent,support,load_kg,load_N\nraised,0,hitch,1,10\n",
            "pads.csv: there must be one load column, such as load_kg; there are 2.",
        ),
        (
            "openers,hopper_percent,support,load_kg,colour\nraised,0,hitch,1,red\n",
            "pads.csv: column 'colour' is unknown. Allowed: openers, hopper_percent, support, pad, note, "
            "and load with a unit.",
        ),
        (
            HEAD + "up,0,hitch,1\n",
            "pads.csv: row 2, column openers: 'up' is not known. Write 'raised' or 'on the ground'.",
        ),
        (
            HEAD + "raised,0,nose,1\n",
            "pads.csv: row 2, column support: the drill has no 'nose'. It has: hitch, left wheel.",
        ),
        (HEAD + "raised,0,hitch,many\n", "pads.csv: row 2, column load_kg: 'many' is not a number."),
        (HEAD + "raised,0,hitch,-3\n", "pads.csv: row 2, column load_kg: '-3' must be 0 kg to 50000 kg."),
        (HEAD + "raised,0,hitch,nan\n", "pads.csv: row 2, column load_kg: 'nan' must be 0 kg to 50000 kg."),
        (
            HEAD + "raised,120,hitch,3\n",
            "pads.csv: row 2, column hopper_percent: '120' must be from 0 to 100.",
        ),
    ],
)
def test_each_fault_is_a_sentence(tmp_path, text, words):
    with pytest.raises(PadProblems) as caught:
        read_pads(written(tmp_path, text), SUPPORTS)
    assert caught.value.problems == [words]


def test_all_faults_come_at_once(tmp_path):
    with pytest.raises(PadProblems) as caught:
        read_pads(written(tmp_path, HEAD + "up,0,nose,x\nraised,0,hitch,-1\n"), SUPPORTS)
    assert len(caught.value.problems) == 4


def test_a_file_that_is_not_there_or_no_text(tmp_path):
    with pytest.raises(PadProblems, match="there is no such file"):
        read_pads(tmp_path / "none.csv")
    path = tmp_path / "pads.csv"
    path.write_bytes(b"\xff\xfe\x00\x81")
    with pytest.raises(PadProblems, match="not a text file"):
        read_pads(path)
