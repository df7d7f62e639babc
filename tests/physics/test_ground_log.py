"""A log of a field: degrees as metres and back, standing points, and passes cut by heading."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import ground_frame, ground_survey
from downforce.physics.ground_frame import SHORTEST_PASS

DEGREE = np.pi / 180


def walked(*legs, step=0.5, start=(0.0, 0.0)):
    """East and north of points along straight legs, each (heading in degrees, length)."""
    points = [np.array(start, dtype=float)]
    for heading, length in legs:
        way = np.array([np.sin(heading * DEGREE), np.cos(heading * DEGREE)])
        first = points[-1]
        points += [first + way * step * i for i in range(1, round(length / step) + 1)]
    return np.array(points).T


# ---- degrees and metres ----


@pytest.mark.parametrize(
    ("latitude", "east", "north"),
    [(0.0, "111.320", "110.574"), (45.0, "78.847", "111.132"), (60.0, "55.800", "111.412")],
)
@pytest.mark.outside("GEO", "length of a degree", "from memory", "kilometres of a degree, east and north")
def test_length_of_a_degree(printed, latitude, east, north):
    middle = latitude * DEGREE
    found, _ = ground_survey.local_metres(0.5 * DEGREE, middle, -0.5 * DEGREE, middle)
    printed(found / 1000, east, 0.0006, "half a degree either way")
    _, found = ground_survey.local_metres(0.0, middle + 0.005 * DEGREE, 0.0, middle)
    printed(200 * found / 1000, north, 0.0006, "over a two-hundredth of a degree")


@given(
    longitude=st.floats(-180, 180),
    latitude=st.floats(-84, 84),
    east=st.floats(-5000, 5000),
    north=st.floats(-5000, 5000),
)
def test_coordinates_go_round(longitude, latitude, east, north):
    middle = longitude * DEGREE, latitude * DEGREE
    angles = ground_survey.map_angles(east, north, *middle)
    assert -np.pi <= angles[0] <= np.pi
    assert np.allclose(ground_survey.local_metres(*angles, *middle), (east, north), atol=1e-5)


def test_range_of_the_flat_map_is_as_said():
    # Against the great circle at 60 degrees, 5 km up: a metre east is shorter there by tan(60) 5 / 6371.
    middle = 60 * DEGREE
    _, up = ground_survey.map_angles(0.0, 5000.0, 0.0, middle)
    flat, _ = ground_survey.local_metres(1e-5, up, 0.0, middle)
    true, _ = ground_survey.local_metres(1e-5, up, 0.0, up)
    assert flat / true - 1 == pytest.approx(np.tan(middle) * 5000 / 6.38e6, rel=0.01)
    assert flat / true - 1 < 0.0015


def test_a_field_across_the_date_line_is_no_wider():
    east, _ = ground_survey.local_metres(np.array([179.999, -179.999]) * DEGREE, 0.0, np.pi, 0.0)
    assert east == pytest.approx([-111.3, 111.3], abs=0.1)


def test_the_poles_are_refused():
    with pytest.raises(ValueError, match="middle_latitude"):
        ground_survey.local_metres(0.0, 1.5, 0.0, 1.5)


# ---- standing points ----


def test_usual_step_is_that_of_the_way_and_not_of_the_points():
    east = np.concatenate((np.zeros(500), np.arange(1, 60) * 2.0))
    assert ground_frame.usual_step(east, np.zeros(east.size)) == 2.0
    assert ground_frame.usual_step([1.0, 1.0], [2.0, 2.0]) == 0.0
    # Driven to another field 3 km away, further than all that was logged.
    assert ground_frame.usual_step(np.concatenate((east, east + 3000.0)), np.zeros(2 * east.size)) == 2.0


def test_points_scattered_about_a_stop_are_one_group():
    east, north = walked((90, 20))
    stop = np.random.default_rng(1).normal(0, 0.01, (2, 40))
    east = np.concatenate((east[:20], east[19] + stop[0], east[20:]))
    north = np.concatenate((north[:20], north[19] + stop[1], north[20:]))
    group = ground_frame.standing_groups(east, north, 0.5)
    assert group.max() == 40
    assert (group == 19).sum() == 41
    assert (np.bincount(group) == 1).sum() == 40


# ---- passes ----


def test_an_l_is_two_passes():
    east, north = walked((0, 100), (90, 60))
    first, second = ground_frame.cut_passes(east, north, 0.5)
    # The corner lies at 100 m; within half a reach of it the way counts as turning.
    assert north[first][0] == 0 and 94 < north[first][-1] <= 100 and np.ptp(east[first]) == pytest.approx(0)
    assert east[second][-1] == pytest.approx(60) and 0 <= east[second][0] < 6
    assert np.ptp(north[second]) == pytest.approx(0, abs=1e-9)


@settings(max_examples=60)
@given(
    heading=st.floats(-180, 180),
    length=st.floats(50, 300),
    radius=st.floats(3, 12),
    step=st.sampled_from([0.2, 0.5, 1.0, 3.0, 6.0]),
    legs=st.integers(2, 5),
)
def test_up_and_down_a_field_is_a_pass_for_each_way_whatever_the_heading(heading, length, radius, step, legs):
    turn = [(90 * (2 * i + 1) / 20, np.pi * radius / 10) for i in range(20)]
    path = []
    for leg in range(legs):
        way = 180 * (leg % 2)
        side = 1 if leg % 2 == 0 else -1
        path += [(heading + way, length)]
        path += [(heading + way + side * 2 * bend, part) for bend, part in turn] if leg < legs - 1 else []
    corners = np.cumsum(
        [[0, 0]] + [[p * np.sin(h * DEGREE), p * np.cos(h * DEGREE)] for h, p in path], axis=0
    )
    way = np.concatenate(([0], np.cumsum([p for _, p in path])))
    at = np.arange(0, way[-1], step)
    east, north = np.interp(at, way, corners[:, 0]), np.interp(at, way, corners[:, 1])
    found = ground_frame.cut_passes(east, north, step)
    assert len(found) == legs
    for cut in found:
        driven = np.hypot(east[cut][-1] - east[cut][0], north[cut][-1] - north[cut][0])
        assert length - 4 * max(5, step) <= driven <= length + 2 * step
        right = east[cut] * np.cos(heading * DEGREE) - north[cut] * np.sin(heading * DEGREE)
        assert np.ptp(right) < 1.0 + step


def test_a_pass_along_a_contour_stays_whole_and_one_that_goes_round_does_not():
    bend = np.arange(0, 40, 0.5)
    east, north = walked(*((angle, 1.5) for angle in bend))  # a radius of 170 m
    assert len(ground_frame.cut_passes(east, north, 0.5)) == 1
    east, north = walked(*((angle, 1.5) for angle in np.arange(0, 120, 0.5)))
    assert len(ground_frame.cut_passes(east, north, 0.5)) == 3  # a new one each 45 degrees


def test_a_gap_ends_a_pass_and_a_few_lost_points_do_not():
    east, north = walked((0, 200))
    lost = np.r_[0:100, 103:240, 260:401]  # 2 m lost at 50 m, 10 m at 120 m
    first, second = ground_frame.cut_passes(east[lost], north[lost], 0.5)
    assert north[lost][first][[0, -1]] == pytest.approx([0, 119.5])
    assert north[lost][second][[0, -1]] == pytest.approx([130, 200])


def test_short_stretches_are_no_passes():
    assert ground_frame.cut_passes(*walked((0, SHORTEST_PASS - 1)), 0.5) == []
    assert len(ground_frame.cut_passes(*walked((0, SHORTEST_PASS)), 0.5)) == 1


def test_a_log_in_a_circle_of_a_headland_turn_has_no_pass():
    angle = np.arange(0, 20, 0.05)
    assert ground_frame.cut_passes(12 * np.cos(angle), 12 * np.sin(angle), 0.6) == []


def test_steps_of_a_log_are_not_those_of_a_survey():
    way, level = np.arange(0, 60, 6.0), np.zeros(10)
    assert "usual step is 6 m" in ground_survey.survey_problems(way, level)[0]
    assert ground_survey.survey_problems(way, level, steps_checked=True) == []
    assert ground_survey.SurveyedTrack(way, level, steps_checked=True).end == 54.0
