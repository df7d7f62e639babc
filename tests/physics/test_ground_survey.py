"""A surveyed track as ground, and the sentences that refuse a survey that cannot be right."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics.ground_survey import SurveyedTrack, SurveyProblems, survey_problems, track_axes

DISTANCE = np.arange(0, 10.01, 0.25)
HEIGHT = 0.05 * np.sin(DISTANCE)


def changed(array, index, value):
    array = np.array(array)
    array[index] = value
    return array


def test_good_survey_has_no_problem():
    assert survey_problems(DISTANCE, HEIGHT) == []
    assert survey_problems(DISTANCE, np.zeros(DISTANCE.size)) == []


def test_survey_gives_its_own_points_and_straight_lines_between():
    track = SurveyedTrack(DISTANCE, HEIGHT)
    assert np.allclose(track.heights(DISTANCE, 2.0), HEIGHT, atol=1e-15)
    middle = (DISTANCE[1:] + DISTANCE[:-1]) / 2
    assert np.allclose(track.heights(middle, -3.0), (HEIGHT[1:] + HEIGHT[:-1]) / 2, atol=1e-15)


def test_several_lines_are_joined_straight_and_held_outside():
    track = SurveyedTrack(
        np.tile(DISTANCE, 2),
        np.r_[HEIGHT, HEIGHT + 0.4],
        ["b"] * 41 + ["a"] * 41,
        np.r_[np.full(41, 3.0), np.full(41, -1.0)],
    )
    assert np.allclose(
        track.heights(5.0, np.array([-9.0, -1.0, 0.0, 3.0, 9.0])) - np.interp(5.0, DISTANCE, HEIGHT),
        [0.4, 0.4, 0.3, 0.0, 0.0],
        atol=1e-12,
    )
    assert track.heights(DISTANCE[:, None], np.zeros(5)).shape == (41, 5)


def test_ground_lies_level_beyond_the_ends_and_then_refuses():
    track = SurveyedTrack(DISTANCE, HEIGHT, overhang=8.0)
    assert float(track.heights(-8.0, 0.0)) == HEIGHT[0] and float(track.heights(18.0, 0.0)) == HEIGHT[-1]
    with pytest.raises(ValueError, match=r"from 0 m to 10 m along the pass.*no ground at 18.5 m"):
        track.heights(np.array([1.0, 18.5]), 0.0)


def test_shorter_of_two_lines_ends_the_ground():
    track = SurveyedTrack([0.0, 1.0, 2.0, 0.5, 1.0, 1.5], np.zeros(6), list("aaabbb"), [0, 0, 0, 2, 2, 2])
    assert (track.start, track.end) == (0.5, 1.5)


@settings(deadline=None, max_examples=20)
@given(st.floats(0, 6.28), st.floats(-1e5, 1e5), st.floats(-1e6, 1e6))
def test_map_coordinates_turned_and_moved_give_the_same_track(angle, east, north):
    along, right = np.array([0.0, 1.0, 2.0, 1.0]), np.array([0.0, 0.1, 0.0, 3.0])
    easting = east + along * np.sin(angle) + right * np.cos(angle)
    northing = north + along * np.cos(angle) - right * np.sin(angle)
    got_along, got_right = track_axes(easting, northing, list("aaab"))
    assert np.allclose(got_along, along, atol=1e-6) and np.allclose(got_right, right, atol=1e-6)


def test_track_that_ends_where_it_began_has_no_direction():
    with pytest.raises(ValueError, match="ends where it began"):
        track_axes([0.0, 5.0, 0.0], [0.0, 5.0, 0.0])


@pytest.mark.parametrize(
    ("distance", "height", "words"),
    [
        (changed(DISTANCE, 5, 1.0), HEIGHT, ["Row 6 repeats the place of the row above: distance 1 m"]),
        (changed(DISTANCE, 5, 0.9), HEIGHT, ["Row 6 runs backwards: distance 0.9 m after 1 m"]),
        (DISTANCE[::-1], HEIGHT, ["Rows 1 to 41 run backwards, from 10 m to 0 m. Turn their order round."]),
        (np.delete(DISTANCE, slice(8, 12)), np.delete(HEIGHT, slice(8, 12)), ["Rows 8 and 9: gap of 1.25 m"]),
        (DISTANCE, changed(HEIGHT, 7, 0.9), ["Rows 7 and 8: jump", "Rows 8 and 9: jump"]),
        (DISTANCE, 1000 * HEIGHT, ["Rows 1 to 41: heights", "look like millimetres, centimetres or feet"]),
        (DISTANCE, 100 * HEIGHT, ["heights look like millimetres, centimetres or feet"]),
        (DISTANCE, HEIGHT / 1000, ["Rows 1 to 41: all heights", "metres written as millimetres"]),
        (1000 * DISTANCE, HEIGHT, ["distances look like millimetres, centimetres or feet"]),
        (DISTANCE / 0.3048 * 4, HEIGHT, ["usual step is 3.28084 m, wider than 2 m"]),
        (DISTANCE / 1000, HEIGHT, ["distances look like kilometres"]),
        (changed(DISTANCE, 3, np.nan), HEIGHT, ["Row 4: distance and height must both be numbers"]),
        ([1.0], [0.0], ["Row 1: a line needs two points or more"]),
        ([], [], ["The survey has no rows"]),
    ],
)
def test_survey_that_cannot_be_right_is_refused_in_sentences(distance, height, words):
    problems = survey_problems(distance, height)
    for word in words:
        assert any(word in problem for problem in problems), problems
    with pytest.raises(SurveyProblems):
        SurveyedTrack(distance, height)


def test_wrong_unit_is_told_once_and_not_for_every_row_it_breaks():
    assert len(survey_problems(DISTANCE, 1000 * HEIGHT)) == 1
    assert len(survey_problems(1000 * DISTANCE, HEIGHT)) == 1


def test_terrace_faces_of_five_to_one_are_no_jump_and_no_wrong_unit():
    assert survey_problems(DISTANCE, np.abs(DISTANCE - 5) * -0.2) == []


def test_a_step_of_a_few_centimetres_between_close_points_is_no_jump():
    x = np.arange(0, 5, 0.03)
    assert survey_problems(x, changed(np.zeros(x.size), 9, 0.04)) == []
    assert len(survey_problems(x, changed(np.zeros(x.size), 9, 0.06))) == 2


def test_gap_of_three_steps_is_still_joined():
    assert survey_problems(np.delete(DISTANCE, [8, 9]), np.delete(HEIGHT, [8, 9])) == []


def test_all_problems_are_told_at_once_with_line_and_row():
    distance = np.r_[changed(DISTANCE, 5, 1.0), DISTANCE]
    height = np.r_[HEIGHT, changed(HEIGHT, 7, 0.9)]
    with pytest.raises(SurveyProblems) as refusal:
        SurveyedTrack(distance, height, ["left"] * 41 + ["right"] * 41)
    text = str(refusal.value)
    for words in (
        "Row 6, line left repeats",
        "Rows 48 and 49, line right: jump",
        "2 lines but does not say how far",
    ):
        assert words in text
    assert len(refusal.value.problems) == 4
    assert isinstance(refusal.value, ValueError)


@pytest.mark.parametrize(
    ("lateral", "words"),
    [
        (np.r_[np.zeros(41), np.full(41, 0.01)], "Lines a and b lie on top of each other"),
        (np.r_[np.linspace(0, 1.5, 41), np.full(41, 5.0)], "Line a wanders 1.5 m across the pass"),
        (np.r_[np.zeros(41), np.full(41, np.nan)], "Line b: the distance to the right must be a number"),
    ],
)
def test_lines_that_cannot_lie_so_are_refused(lateral, words):
    problems = survey_problems(np.tile(DISTANCE, 2), np.tile(HEIGHT, 2), ["a"] * 41 + ["b"] * 41, lateral)
    assert any(words in problem for problem in problems)


def test_rows_keep_the_numbers_of_their_file():
    problems = survey_problems([0.0, 0.1, 0.1, 0.3], np.zeros(4), row_numbers=[5, 6, 9, 10])
    assert problems == ["Row 9 repeats the place of the row above: distance 0.1 m. Delete one of the two."]


def test_arrays_of_different_length_are_refused():
    with pytest.raises(ValueError, match="one value of each kind for every point"):
        survey_problems([0.0, 1.0], [0.0])
