"""A file that is being described: comments and units stay, the assumed is marked, nothing is written over."""

import math
import tomllib
from pathlib import Path

import pytest

from downforce.machine import FileProblem, read_drill, read_field
from downforce.machine.doubts import uncertain_inputs
from downforce.machine.files import NameTaken
from downforce.machine.plausible import unusual
from downforce.machine.reading.tape import answer, measured, move_along, questions
from downforce.machine.reading.writer import Draft
from downforce.machine.shipped import shipped_drills, shipped_fields

DRILLS, FIELDS = dict(shipped_drills()), dict(shipped_fields())
FILES = [*(("drill", path) for path in DRILLS.values()), *(("field", path) for path in FIELDS.values())]
IDS = [path.stem for _, path in FILES]
ODD = sorted((Path(__file__).parents[1] / "odd").glob("*.toml"))


def drill(key="air_drill_12m"):
    return Draft.like(DRILLS[key], "drill")


def asked(draft, about, page="opener"):
    return next(q for q in questions(draft, page) if about in (q.key, q.along))


def said_as(question, value):
    """A value as an answer, to a hundredth of a millimetre."""
    units = {"opener.mass": "kg", "opener.closing_load": "N"}
    return str(value) if isinstance(value, int) else f"{value:.5f} {units.get(question.key, 'm')}"


@pytest.mark.parametrize(("kind", "path"), FILES, ids=IDS)
def test_a_file_that_is_opened_again_stays_as_it_is_but_for_the_answer(kind, path):
    text = path.read_text(encoding="utf-8")
    draft = Draft(text, kind)
    assert draft.text == text
    key, value = (("units",), "US") if kind == "drill" else (("speed",), "5 1/2 mph")
    draft.put(key, value)
    changed = [
        (old, new) for old, new in zip(text.splitlines(), draft.text.splitlines(), strict=True) if old != new
    ]
    assert len(changed) <= 1 and value in draft.text


@pytest.mark.parametrize("path", ODD, ids=lambda path: path.stem)
def test_files_far_from_the_shipped_ones_are_opened_again_and_asked_about(path):
    text = path.read_text(encoding="utf-8")
    kind = tomllib.loads(text)["describes"]
    draft = Draft(text, kind)
    assert draft.text == text and draft.problems == {}
    for page in ("opener", "frame") if kind == "drill" else ("field",):
        for question in questions(draft, page):
            shown = measured(draft.model, question)
            if question.along in ("straight", "level", "upright") and len(question.path) > 1:
                assert answer(draft, question, f"{shown:.5f} m") == {}, question.ask
    assert draft.problems == {}


@pytest.mark.parametrize(("kind", "path"), FILES, ids=IDS)
def test_a_new_file_marks_what_nobody_measured_and_is_accepted(kind, path):
    draft = Draft.like(path, kind)
    assert draft.problems == {}
    marked, given = draft.assumed_count
    assert 0.6 < marked / given < 0.9
    read = read_drill if kind == "drill" else read_field
    numbers = [draft.basis(one.path) for one in uncertain_inputs(draft.model) if draft.written(one.path)]
    # Only x of the pin from which x is counted is nobody's guess.
    assert numbers.count("usual") <= 1 and numbers.count("guessed") >= len(numbers) - 2
    assert draft.model.name == f"My {kind}" and read(path).name in draft.model.note


def test_an_assumed_value_is_as_uncertain_as_a_guess_until_it_is_measured():
    draft = drill()

    def width(path):
        return next(one.uncertainty for one in uncertain_inputs(draft.model) if one.path == path)

    assert width(("opener", "pivot", 1)) == pytest.approx(0.015)
    answer(draft, asked(draft, "opener.pivot[2]"), "450 mm")
    assert width(("opener", "pivot", 1)) == pytest.approx(0.002)
    answer(draft, asked(draft, "opener.pivot[2]"), "45 cm ± 1 cm")
    assert width(("opener", "pivot", 1)) == pytest.approx(0.010)


def test_an_answer_keeps_its_unit_and_the_comment_but_not_what_the_comment_said_of_the_old_value():
    draft = Draft(DRILLS["air_drill_12m"].read_text(encoding="utf-8"), "drill")
    answer(draft, asked(draft, "opener.mass"), "205 lb")
    draft.put(("opener", "raised_travel"), "-7 in")
    line = next(line for line in draft.text.splitlines() if line.startswith("mass = "))
    assert line.startswith('mass = "205 lb (measured)" ') and line.index("# one opener, complete") == 39
    assert 'raised_travel = "-7 in (measured)"     # the frame is raised' in draft.text
    fresh = drill()
    fresh.put(("cylinder", "kind"), "plunger")
    assert 'kind = "piston"  # assumed' in drill().text
    assert 'kind = "plunger"\n' in fresh.text


@pytest.mark.parametrize("key", DRILLS)
def test_every_question_takes_its_own_answer_back(key):
    """What the tape shows is given as the answer: no value moves by more than the digits of a file."""
    draft = drill(key)
    before = draft.model
    for question in questions(draft, "opener"):
        shown = measured(draft.model, question)
        assert answer(draft, question, said_as(question, shown)) == {}
        assert draft.problems == {}
        again = measured(draft.model, question)
        assert again == pytest.approx(shown, rel=1e-4)
    assert draft.model.opener.disc == pytest.approx(before.opener.disc, abs=1e-4)
    assert draft.model.cylinder.mount.frame_pin == pytest.approx(before.cylinder.mount.frame_pin, abs=1e-4)


@pytest.mark.parametrize("key", DRILLS)
@pytest.mark.parametrize("change", [0.9, 1.1])
def test_all_answers_hold_together_and_what_belongs_to_them_moves_along(key, change):
    """The tapes show what was answered, whatever was answered after it; nothing looks unlike a drill."""
    draft = drill(key)
    stiff = draft.model.spring.down_force(draft.model.opener, 0.0)
    said = []
    for question in questions(draft, "opener"):
        shown = measured(draft.model, question)
        text = said_as(question, shown * change if isinstance(shown, float) else shown)
        answer(draft, question, text, said)
        said.append((question, text))
        assert draft.problems == {}, question.ask
    # Backwards: what the first question moves does not undo the later ones.
    first = next(q for q in questions(draft, "opener") if q.start == "ground")
    answer(draft, first, "17 1/2 in", [each for each in said if each[0] != first])
    for question, text in said:
        if question != first and text.endswith(" m"):
            assert measured(draft.model, question) == pytest.approx(float(text.split()[0]), abs=1e-4)
    assert draft.problems == {}
    assert [each.said for each in unusual(draft.model) if not each.path.startswith("row_spacing")] == []
    # The spring presses as it did but for its lever: pins moved, and what is not known of it moved along.
    lever = draft.model.spring.leverage(draft.model.opener, 0.0) / drill(key).model.spring.leverage(
        drill(key).model.opener, 0.0
    )
    assert draft.model.spring.down_force(draft.model.opener, 0.0) == pytest.approx(stiff * lever, rel=2e-3)


def test_arm_and_pivot_by_hand():
    """An arm of 700 mm from a pin 500 mm high to an axle 188 mm high reaches 626.6 mm back: 3-4-5 by hand."""
    draft = drill()
    answer(draft, asked(draft, "opener.pivot[2]"), "500 mm")
    answer(draft, asked(draft, "opener.disc[1]"), "700 mm")
    assert draft.model.opener.disc[0] == pytest.approx(math.sqrt(0.7**2 - 0.312**2), abs=1e-5)
    # The gauge wheel goes with the disc and stays on the ground; the cylinder's frame pin goes up.
    assert draft.model.opener.gauge_wheel == pytest.approx((draft.model.opener.disc[0], 0.2), abs=1e-5)
    assert draft.model.cylinder.mount.frame_pin[1] == pytest.approx(0.793 + 0.05, abs=1e-4)
    share = draft.model.cylinder.mount.moving_pin[0] / draft.model.opener.disc[0]
    assert share == pytest.approx(100 / 600, abs=3e-3)
    # The middle of the mass keeps its share of the reach; spring and cylinder, what they leave unsaid.
    assert draft.model.opener.mass_centre[0] == pytest.approx(550 / 600 * 0.62662, abs=2e-5)
    for name, before, said in (
        ("spring", 0.285, draft.model.spring.fittings - 0.060),
        ("cylinder", 0.390, draft.model.cylinder.closed_length - 0.315),
    ):
        mount = getattr(draft.model, name).mount
        longer = math.dist(mount.frame_pin, mount.moving_pin) - before
        assert said == pytest.approx(longer, abs=2e-5) and abs(longer) > 0.005


def test_a_larger_disc_stands_on_the_same_depth():
    draft = drill()
    answer(draft, asked(draft, "opener.disc_diameter"), "20 in")
    opener = draft.model.opener
    assert opener.disc_diameter / 2 - opener.disc[1] == pytest.approx(0.457 / 2 - 0.188, abs=1e-5)


def test_what_is_not_marked_as_assumed_is_left_and_asked_about():
    draft = Draft(DRILLS["box_drill_15ft"].read_text(encoding="utf-8"), "drill")
    left = answer(draft, asked(draft, "opener.disc[1]"), "30 in")
    assert ("opener", "gauge_wheel", 0) in left and ("cylinder", "mount", "moving_pin", 0) in left
    before = draft.model.opener.gauge_wheel[0]
    move_along(draft, left)
    # By hand: sqrt(30^2 - 10.317^2) = 28.170 in, 4.548 in further back than 23.622 in.
    assert draft.model.opener.gauge_wheel[0] - before == pytest.approx(4.548 * 0.0254, abs=2e-5)
    assert 'gauge_wheel = ["' in draft.text and draft.plain(("opener", "gauge_wheel", 0)).endswith(" in")
    measured_first = drill()
    measured_first.put(("opener", "gauge_wheel", 0), "605 mm")
    assert ("opener", "gauge_wheel", 0) not in answer(
        measured_first, asked(measured_first, "opener.disc[1]"), "700 mm"
    )
    assert measured_first.model.opener.gauge_wheel[0] == pytest.approx(0.605)


@pytest.mark.parametrize("key", DRILLS)
def test_rows_are_shared_among_sections_and_the_frame_grows_with_them(key):
    draft = drill(key)
    before = draft.model
    answer(draft, asked(draft, "rows"), str(before.row_count + 7))
    after = draft.model
    assert draft.problems == {} and after.row_count == before.row_count + 7
    wider = after.width / before.width
    for old, new in zip(before.sections, after.sections, strict=True):
        assert new.frame_mass / new.openers == pytest.approx(old.frame_mass / old.openers, rel=1e-4)
    # Hinges of the shipped drills stand where the rows of two sections meet.
    rows = 0
    for hinge, section in zip(after.hinges, after.sections, strict=False):
        rows += section.openers
        assert hinge.y == pytest.approx((rows - after.row_count / 2) * after.row_spacing, abs=1e-3)
    for old, new in zip(before.hoppers, after.hoppers, strict=True):
        assert new.mass == pytest.approx(wider * old.mass, rel=1e-4)
    assert unusual(after) == ()


@pytest.mark.parametrize("key", DRILLS)
def test_a_frame_of_another_number_of_sections_stands(key):
    for count in (1, 2, 3, 5, 7):
        draft = drill(key)
        rows, mass = draft.model.row_count, sum(s.frame_mass for s in draft.model.sections)
        answer(draft, asked(draft, "parts", "frame"), str(count))
        assert draft.problems == {}
        assert len(draft.model.sections) == count and draft.model.row_count == rows
        assert sum(s.frame_mass for s in draft.model.sections) == pytest.approx(mass, rel=1e-3)
        assert tomllib.loads(draft.text)["sections"][0]["name"] == draft.model.sections[0].name
        assert unusual(draft.model) == ()


def test_a_rank_more_and_a_rank_less():
    draft = drill()
    answer(draft, asked(draft, "ranks"), "3")
    assert draft.model.rank_x == pytest.approx((3.9, 5.1, 6.3))
    answer(draft, asked(draft, "gap"), "3 ft")
    assert draft.model.rank_x == pytest.approx((3.9, 4.8144, 5.7288), abs=1e-3)
    answer(draft, asked(draft, "ranks"), "1")
    assert draft.model.rank_x == (3.9,) and not [q for q in questions(draft, "opener") if q.along == "gap"]


@pytest.mark.parametrize(
    ("about", "text", "said"),
    [
        ("opener.disc[1]", "1,5 in", "decimal comma"),
        ("opener.mass", "900 N", "is a force"),
        ("row_spacing", "190", "no unit"),
        ("opener.disc_diameter", "4.57 m", "0.457 m"),
        ("opener.travel_down", "two", "two"),
    ],
)
def test_the_sentence_of_the_reader_stands_at_the_answer_and_the_file_is_not_written(
    about, text, said, tmp_path
):
    draft = drill()
    question = asked(draft, about)
    answer(draft, question, text)
    sentences = draft.problems_at(question.path)
    assert len(sentences) == 1 and said in sentences[0] and sentences[0].startswith("Line ")
    assert draft.problems_at(("cylinder", "bore")) == []
    with pytest.raises(FileProblem, match="Line"):
        draft.write(tmp_path / "my.toml")
    assert list(tmp_path.iterdir()) == []
    answer(draft, question, "20 kg" if about == "opener.mass" else "300 mm")
    assert draft.problems_at(question.path) == []


@pytest.mark.parametrize(
    ("about", "text", "said"),
    [
        ("rows", "some", "some"),
        ("rows", "2", "each section needs one"),
        ("ranks", "9", "1 to 8"),
        ("gap", "5 kg", "is a mass"),
        ("opener.disc[1]", "200 mm", "already stand 262 mm"),
    ],
)
def test_what_cannot_be_written_is_refused_in_a_sentence(about, text, said):
    draft = drill()
    before = draft.text
    with pytest.raises(ValueError, match=said):
        answer(draft, asked(draft, about), text)
    assert draft.text == before


def test_nothing_is_written_over(tmp_path):
    path = tmp_path / "my_drill.toml"
    draft = drill()
    draft.write(path)
    assert read_drill(path) == draft.model
    with pytest.raises(NameTaken, match="There is a file"):
        drill("box_drill_15ft").write(path)
    assert read_drill(path) == draft.model


@pytest.mark.parametrize(("kind", "path"), FILES, ids=IDS)
def test_all_values_of_a_model_are_asked_for_and_each_says_what_it_is(kind, path):
    draft = Draft.like(path, kind)
    entries = draft.entries()
    given = set()

    def leaves(part, at):
        if isinstance(part, dict):
            for key, inner in part.items():
                leaves(inner, (*at, key))
        elif isinstance(part, list):
            for place, inner in enumerate(part):
                leaves(inner, (*at, place))
        else:
            given.add(at)

    leaves(tomllib.loads(draft.text), ())
    assert given - {("describes",)} <= {entry.path for entry in entries}
    assert [entry.path for entry in entries if not entry.words and entry.path[-1] != "describes"] == []
    assert all(entry.allowed for entry in entries)
    assert kind == "field" or draft.entry(("height_taken_at",)).allowed == (
        '0 bar to 400 bar (0 psi to 5800 psi), or "springs as set" or "each setting"'
    )


def test_a_table_that_was_not_there_can_be_begun_and_taken_out_again():
    draft = drill()
    before = draft.text
    for path, text in (
        (("opener", "front_coulter", "on"), "opener"),
        (("opener", "front_coulter", "axle", 0), "200 mm"),
        (("opener", "front_coulter", "axle", 1), "190 mm"),
    ):
        draft.put(path, text)
        draft.read()
    assert draft.problems == {} and draft.model.opener.front_coulter.on == "opener"
    for path in (("ballast", 0, "section"), ("ballast", 0, "mass")):
        draft.put(path, "centre" if path[-1] == "section" else "300 kg")
    for place, text in enumerate(("5 m", "0 m", "1 m")):
        draft.put(("ballast", 0, "centre", place), text)
    draft.read()
    assert draft.model.ballast[0].mass == 300
    for place in (2, 1, 0):
        draft.put(("ballast", 0, "centre", place), "")
    for path in (("ballast", 0, "section"), ("ballast", 0, "mass")):
        draft.put(path, "")
    draft.take_out(("opener", "front_coulter"))
    draft.read()
    assert tomllib.loads(draft.text) == tomllib.loads(before)
