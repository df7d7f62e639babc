"""Drill and field files: good ones whole, bad ones by their whole message, spoiled ones never half."""

import dataclasses
import random
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from refresh_messages import FOLDER, message_of

from downforce.machine import FileProblem, read_drill, read_field
from downforce.machine.drill import FrameCylinders
from downforce.machine.reading.checks import check_pair
from downforce.machine.reading.toml_lines import read_lines

HERE = Path(__file__).parent
GOOD = {"drill": HERE / "good_drill.toml", "field": HERE / "good_field.toml"}
READ = {"drill": read_drill, "field": read_field}
BAD = sorted(FOLDER.glob("*.toml"))


def test_there_are_many_bad_files_each_with_its_message():
    assert len(BAD) >= 40
    assert {path.stem for path in BAD} == {path.stem for path in FOLDER.glob("*.txt")}


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_bad_file_gives_its_whole_message(path):
    expected = path.with_suffix(".txt").read_text(encoding="utf-8")
    assert message_of(path) + "\n" == expected


def test_good_drill_arrives_in_si():
    drill = read_drill(GOOD["drill"])
    assert drill.row_spacing == pytest.approx(0.1905)
    assert drill.opener.pivot == (0.0, 0.45)
    assert drill.spring.coils[1].rate == pytest.approx(14010.1, abs=0.05)  # 80 x 175.126835 N/m, NIST SP 811
    assert drill.row_count == 12
    assert type(drill.sections[0].openers) is int
    assert drill.hoppers[0].centre == (4.5, 0.0, 1.4)
    assert drill.hydraulics.supply.flow == pytest.approx(40e-3 / 60)
    assert drill.ballast == ()
    assert drill.frame_cylinders == (FrameCylinders("left wing", "fold", 1, 0.08, 0.6),)


def height_taken(tmp_path, words):
    path = tmp_path / "drill.toml"
    text = GOOD["drill"].read_text(encoding="utf-8")
    path.write_text(
        text.replace("row_spacing", f'height_taken_at = "{words}"\nrow_spacing', 1), encoding="utf-8"
    )
    return read_drill(path)


def test_the_working_height_may_have_been_taken_at_a_pressure_or_on_its_springs(tmp_path):
    assert read_drill(GOOD["drill"]).height_taken_at == "each setting"
    assert height_taken(tmp_path, "springs as set").height_taken_at == "springs as set"
    assert height_taken(tmp_path, "60 bar ± 5 bar (measured)").height_taken_at == pytest.approx(60e5)
    assert height_taken(tmp_path, "each setting").height_taken_at == "each setting"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            "spring as set",
            'A pressure is written like "50 bar". Or write "springs as set" or "each setting".',
        ),
        ("500 bar", 'Did you mean "500 psi"? Or write "springs as set" or "each setting".'),
        ("60", 'Write it like "60 bar". Or write "springs as set" or "each setting".'),
    ],
)
def test_what_is_no_working_height_is_refused_with_what_may_stand_there(tmp_path, words, said):
    with pytest.raises(FileProblem) as refusal:
        height_taken(tmp_path, words)
    assert said in str(refusal.value) and "height_taken_at" in str(refusal.value)


def test_good_field_arrives_in_si():
    field = read_field(str(GOOD["field"]))
    assert field.oil_temperature == pytest.approx(313.15)
    assert field.speed == pytest.approx(8 / 3.6)
    assert field.tracks.rows == (3, 4)
    assert type(field.terrace.back_slope) is float
    assert field.terrace.crossing_angle == pytest.approx(1.0471976, abs=5e-8)
    assert field.aim.share_in == pytest.approx(0.95)


@pytest.mark.parametrize("kind", GOOD)
def test_our_tree_is_the_standard_reader_s_tree(kind):
    text = GOOD[kind].read_text(encoding="utf-8")
    reading = read_lines(text)
    assert reading.problems == []
    assert reading.tree == tomllib.loads(text)


@pytest.mark.parametrize("kind", GOOD)
def test_every_line_number_points_at_its_key(kind):
    rows = GOOD[kind].read_text(encoding="utf-8").splitlines()
    reading = read_lines("\n".join(rows))
    for path, line in reading.lines.items():
        named = [part for part in path if isinstance(part, str)][-1]
        block = "\n".join(rows[line - 1 : line + 3])
        assert named in block or len(path) > 2, path


def test_windows_line_ends_and_byte_order_mark_are_read(tmp_path):
    text = GOOD["field"].read_text(encoding="utf-8").replace("\n", "\r\n")
    path = tmp_path / "field.toml"
    path.write_bytes(b"\xef\xbb\xbf" + text.encode())
    assert read_field(path) == read_field(GOOD["field"])


def test_missing_file_names_the_near_one(tmp_path):
    (tmp_path / "my_drill.toml").write_text("x = 1")
    with pytest.raises(FileProblem, match=r"no such file .* Did you mean my_drill.toml\?"):
        read_drill(tmp_path / "my_dril.toml")
    with pytest.raises(FileProblem, match="There is no folder"):
        read_drill(tmp_path / "nowhere" / "a.toml")
    with pytest.raises(FileProblem, match="This is a folder"):
        read_field(tmp_path)


def test_notebook_shows_the_sentences_and_no_traceback():
    with pytest.raises(FileProblem) as refusal:
        read_drill(GOOD["field"])
    shown = "\n".join(refusal.value._render_traceback_())
    assert shown == str(refusal.value)
    assert "Traceback" not in shown
    assert refusal.value.problems == ["This file describes a field, and a drill file is wanted here."]


def _blocks(text):
    head, *rest = text.split("\n\n")
    return head, rest


@settings(deadline=None, max_examples=30)
@given(st.randoms(use_true_random=False))
def test_order_of_tables_and_keys_does_not_matter(chance):
    head, blocks = _blocks(GOOD["field"].read_text(encoding="utf-8"))
    chance.shuffle(blocks)
    shuffled = []
    for block in blocks:
        heading, *keys = block.strip().split("\n")
        chance.shuffle(keys)
        shuffled.append("\n".join([heading, *keys]))
    assert _read_text("field", "\n\n".join([head, *shuffled])) == read_field(GOOD["field"])


@settings(deadline=None, max_examples=250)
@given(st.sampled_from(sorted(GOOD)), st.integers(0, 2**32 - 1), st.integers(1, 6))
def test_random_damage_is_read_whole_or_refused_in_sentences(kind, seed, hits):
    text = _damaged(GOOD[kind].read_text(encoding="utf-8"), random.Random(seed), hits)
    try:
        model = _read_text(kind, text)
    except FileProblem as problem:
        assert problem.problems
        assert all(sentence.strip() for sentence in problem.problems)
        assert all(sentence in str(problem) for sentence in problem.problems)
    else:
        _assert_complete(model)
        tomllib.loads(text)  # what we read must be TOML to the standard reader too


@pytest.mark.parametrize("kind", GOOD)
def test_every_line_can_be_dropped_without_anything_but_a_sentence(kind):
    rows = GOOD[kind].read_text(encoding="utf-8").split("\n")
    for place in range(len(rows)):
        try:
            _assert_complete(_read_text(kind, "\n".join(rows[:place] + rows[place + 1 :])))
        except FileProblem as problem:
            assert problem.problems


def _damaged(text, chance, hits):
    junk = [
        '"',
        "“",
        ",",
        "[",
        "]",
        "{",
        "}",
        "=",
        "\n",
        " ",
        "kg",
        "psi",
        "nan",
        "-",
        ".",
        "#",
        "\\",
        "'",
        "½",
        "9",
    ]
    for _ in range(hits):
        at = chance.randrange(len(text))
        deed = chance.randrange(4)
        if deed == 0:
            text = text[:at] + chance.choice(junk) + text[at:]
        elif deed == 1:
            text = text[:at] + text[at + chance.randint(1, 12) :]
        elif deed == 2:
            text = text[:at] + chance.choice(junk) + text[at + 1 :]
        else:
            rows = text.split("\n")
            rows.insert(chance.randrange(len(rows)), chance.choice(rows))
            text = "\n".join(rows)
    return text


def _read_text(kind, text):
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "some.toml"
        path.write_text(text, encoding="utf-8", newline="\n")
        return READ[kind](path)


def _assert_complete(model):
    for entry in dataclasses.fields(model):
        value = getattr(model, entry.name)
        for part in value if isinstance(value, tuple) else (value,):
            assert type(part) is not object, entry.name
            if dataclasses.is_dataclass(part):
                _assert_complete(part)


def test_pair_that_fits_has_no_complaint():
    assert check_pair(read_drill(GOOD["drill"]), read_field(GOOD["field"])) == []


def test_tracks_must_lie_under_the_drill():
    drill, field = read_drill(GOOD["drill"]), read_field(GOOD["field"])
    tracks = dataclasses.replace(field.tracks, rows=(3, 40))
    assert check_pair(drill, dataclasses.replace(field, tracks=tracks)) == [
        '"Small test field" has tracks in row 40, but "Small test drill" has 12 rows.'
    ]
    tracks = dataclasses.replace(field.tracks, rows=(), positions=(6.0,))
    assert check_pair(drill, dataclasses.replace(field, tracks=tracks)) == [
        '"Small test field" has tracks, but no row of "Small test drill" runs in them: '
        "it reaches 1.1 m (3.8 ft) to each side. Check positions and width of the tracks."
    ]


def test_depth_must_be_within_the_disc():
    drill, field = read_drill(GOOD["drill"]), read_field(GOOD["field"])
    small = dataclasses.replace(drill, opener=dataclasses.replace(drill.opener, disc_diameter=0.1))
    assert check_pair(small, field) == [
        '"Small test field" asks for 40 mm (1.6 in) of depth; '
        "a disc of 100 mm (3.9 in) goes to about 33 mm (1.3 in)."
    ]


def test_import_of_the_machine_floor_loads_no_heavy_package():
    code = "import downforce.machine, sys; print([m for m in ('pandas', 'scipy') if m in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True).stdout.strip() == "[]"
