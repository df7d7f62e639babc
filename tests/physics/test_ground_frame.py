"""The frame on its wheels, and the travel of openers that follows."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import ground_frame, ground_parts, ground_relief, ground_section, ground_terraces

# An invented 12 m drill: three sections of 4 m, two ranks 1.2 m apart,
# wheels between them, 5 m behind the hitch.
HINGES = (-2.0, 2.0)
FRAME = ground_frame.FrameOnWheels(HINGES, (5.0,) * 4, (-5.6, -1.5, 1.5, 5.6))
OPENER_Y = (np.arange(63) - 31) * 0.1905
OPENER_X = np.where(np.arange(63) % 2, 4.4, 5.6)
STATION = np.arange(0.0, 60.0, 0.25)


def travel(*parts, frame=FRAME, station=STATION, x=OPENER_X, y=OPENER_Y, hitch_height=None):
    """Ground below every opener less the plane of its section."""
    ground = ground_parts.Ground(parts)
    x, y = np.broadcast_arrays(np.ravel(x), np.ravel(y))
    if hitch_height is None:
        hitch_height = ground_relief.wheel_heights(ground, station, frame.hitch_x, frame.hitch_y)[..., 0]
    below_wheels = ground_relief.wheel_heights(ground, station, frame.wheel_x, frame.wheel_y)
    return ground_relief.wheel_heights(ground, station, x, y) - frame.plane(hitch_height, below_wheels, x, y)


def test_level_ground_gives_no_travel():
    assert np.all(travel() == 0.0)
    assert travel().shape == (STATION.size, 63)


@settings(deadline=None, max_examples=20)
@given(st.floats(-0.2, 0.2), st.floats(-0.2, 0.2), st.floats(-5, 5))
def test_tilted_flat_field_gives_no_travel(along, across, level):
    assert np.allclose(travel(ground_parts.Plane(along, across, level)), 0.0, atol=1e-11)


def test_shifting_ground_and_frame_together_changes_nothing():
    relief = ground_relief.Relief(1024e-6, 3)
    assert np.allclose(travel(relief), travel(relief, ground_parts.Plane(0.0, 0.0, 250.0)), atol=1e-10)


def test_shares_of_the_ground_below_hitch_and_wheels_sum_to_one():
    shares = FRAME.shares(OPENER_X, OPENER_Y)
    assert shares.shape == (63, 5)
    assert np.allclose(shares.sum(axis=1), 1.0, atol=1e-12)


def test_plane_passes_through_the_wheels_when_they_can_all_be_met():
    # Four unknowns (pitch and three rolls), four wheels.
    heights = np.array([0.11, -0.04, 0.07, 0.02])
    plane = FRAME.plane(0.05, heights, FRAME.wheel_x, FRAME.wheel_y)
    assert np.allclose(plane, heights, atol=1e-12)
    assert float(FRAME.plane(0.05, heights, 0.0, 0.0).item()) == pytest.approx(0.05)


def test_neighbours_have_the_same_height_all_along_their_hinge():
    heights = np.array([0.11, -0.04, 0.07, 0.02])
    for hinge in HINGES:
        for x in (0.0, 4.0, 6.0):
            left, right = FRAME.plane(0.0, heights, x, np.array([hinge - 1e-9, hinge + 1e-9]))
            assert left == pytest.approx(right, abs=1e-8)


def test_a_wing_wheel_rolls_its_own_wing_only():
    # One right wing wheel up 0.1 m at 5.6 m: the wing turns about its hinge at 2 m by 0.1 / 3.6.
    plane = FRAME.plane(0.0, np.array([0.0, 0.0, 0.0, 0.1]), 5.0, np.array([-6.0, 0.0, 2.0, 3.8, 5.6]))
    assert np.allclose(plane, [0.0, 0.0, 0.0, 0.05, 0.1], atol=1e-12)


def test_hitch_lift_pitches_every_section_alike():
    plane = FRAME.plane(0.2, np.zeros(4), np.array([0.0, 2.5, 5.0, 6.0]), np.array([0.0, 0.0, 4.0, 4.0]))
    assert np.allclose(plane, [0.2, 0.1, 0.0, -0.04], atol=1e-12)


def test_front_and_rear_rank_part_by_the_pitch():
    # One degree of pitch parts ranks 0.9 to 1.5 m apart by 16 to 26 mm (worked by hand).
    lift = 5.0 * math.tan(math.radians(1.0))
    for apart, millimetres in ((0.9, 16), (1.5, 26)):
        front, rear = FRAME.plane(lift, np.zeros(4), np.array([4.4, 4.4 + apart]), 0.0)
        assert 1000 * (front - rear) == pytest.approx(millimetres, abs=0.5)


def test_wheels_too_many_share_the_misfit_by_their_stiffness():
    # Three wheels in line on a frame held level by its hitch height: the least of k * gap^2 with pitch alone
    # and roll; symmetric, so roll is nought and the height is the weighted mean.
    frame = ground_frame.FrameOnWheels((), (4.0,) * 3, (-2.0, 0.0, 2.0), (1.0, 2.0, 1.0))
    plane = frame.plane(0.0, np.array([0.0, 0.08, 0.0]), 4.0, np.array([-2.0, 0.0, 2.0]))
    assert np.allclose(plane, 0.04, atol=1e-12)
    stiffer = ground_frame.FrameOnWheels((), (4.0,) * 3, (-2.0, 0.0, 2.0), (1.0, 6.0, 1.0))
    assert float(stiffer.plane(0.0, np.array([0.0, 0.08, 0.0]), 4.0, 0.0).item()) == pytest.approx(0.06)


def test_section_without_wheels_follows_its_neighbour_towards_the_hitch():
    frame = ground_frame.FrameOnWheels(HINGES, (5.0, 5.0), (-1.5, 1.5))
    assert frame.leaders == (1, 1, 1)
    plane = frame.plane(0.0, np.array([-0.015, 0.015]), 5.0, np.array([-6.0, 6.0]))
    assert np.allclose(plane, [-0.06, 0.06], atol=1e-12)


def test_centre_without_wheels_hangs_on_one_wing_only_when_the_other_has_none():
    assert ground_frame.FrameOnWheels(HINGES, (5.0, 5.0), (3.0, 5.0)).leaders == (2, 2, 2)
    five = ground_frame.FrameOnWheels((-6.0, -2.0, 2.0, 6.0), (5.0,) * 4, (-1.5, 1.5, 5.0, -5.0))
    assert five.leaders == (1, 1, 2, 3, 3)


def test_place_on_a_hinge_belongs_to_the_section_right_of_it():
    assert FRAME.section_of([-6.0, -2.0, 0.0, 2.0, 5.0]).tolist() == [0, 1, 1, 2, 2]


# ---- riding ----


def test_one_bump_moves_one_opener():
    class Bump:
        def heights(self, x, y):
            return 0.05 * ((np.abs(x - 30.0) < 0.01) & (np.abs(y - OPENER_Y[20]) < 0.01))

    station = 30.0 + OPENER_X[20] + np.arange(-40, 41) * 0.25
    moved = travel(Bump(), station=station)
    assert np.count_nonzero(moved) == 1
    assert moved[40, 20] == 0.05


def test_rear_rank_meets_the_ground_the_front_rank_has_met():
    relief = ground_parts.Ground((ground_relief.Relief(1024e-6, 8),))
    front = ground_relief.wheel_heights(relief, STATION, 4.4, 1.0)
    rear = ground_relief.wheel_heights(relief, STATION + 1.2, 5.6, 1.0)
    assert np.allclose(front, rear, atol=1e-12)


def test_symmetric_ground_gives_symmetric_travel():
    class Ridge:
        def heights(self, x, y):
            return 0.1 * np.cos(0.7 * y) * np.sin(0.4 * x)

    moved = travel(Ridge())
    assert np.allclose(moved, moved[:, ::-1], atol=1e-12)


def test_mirrored_ground_gives_mirrored_travel():
    class Mirror:
        def __init__(self, side):
            self.side, self.relief = side, ground_relief.Relief(1024e-6, 8)

        def heights(self, x, y):
            return self.relief.heights(x, self.side * np.asarray(y))

    assert np.allclose(travel(Mirror(1)), travel(Mirror(-1))[:, ::-1], atol=1e-12)


@pytest.mark.parametrize("width", [3.0, 4.0])
def test_a_rigid_section_on_a_crest_leaves_its_ends_high(width):
    radius = 15.0
    section = ground_section.TerraceSection(
        0.0, 0.2, 0.2, 0.2, ridge_height=1.2, top_width=0.0, crest_radius=radius
    )
    crest = ground_terraces.Terrace(section, 0.0, 0.0)
    on_the_top = ground_frame.FrameOnWheels((), (5.0, 5.0), (-1e-6, 1e-6))
    y = np.array([-width / 2, 0.0, width / 2])
    moved = travel(crest, frame=on_the_top, station=np.array([0.0]), x=5.0, y=y)[0]
    exact = radius - math.sqrt(radius**2 - width**2 / 4)
    assert np.allclose(moved, [-exact, 0.0, -exact], atol=1e-9)
    assert exact == pytest.approx(float(ground_terraces.crest_gap(width, radius)), rel=0.006)
    # The same section on wheels at its ends: its middle opener is pushed up as far.
    on_the_ends = ground_frame.FrameOnWheels((), (5.0, 5.0), (-width / 2, width / 2))
    hitch = ground_parts.Ground((crest,)).heights(0.0, width / 2)
    moved = travel(crest, frame=on_the_ends, station=np.array([0.0]), x=5.0, y=y, hitch_height=hitch)[0]
    assert np.allclose(moved, [0.0, exact, 0.0], atol=1e-9)


@pytest.mark.parametrize(("wing_wheels", "centre_wheels"), [(7.0, 4.0), (4.0, 6.0)])
def test_straight_over_a_terrace_the_middle_openers_rise_while_the_ends_fall(wing_wheels, centre_wheels):
    # The centre's wheels stand ahead of the wings' or behind them, as on folding drills: the wheels on one
    # side of the ridge tilt the wings, and every row meets the ridge at once.
    frame = ground_frame.FrameOnWheels(
        HINGES, (wing_wheels, centre_wheels, centre_wheels, wing_wheels), FRAME.wheel_y
    )
    terrace = ground_terraces.Terrace(ground_section.broad_base(0.02), 30.0)
    station = np.arange(20.0, 50.0, 0.1)
    left, middle, right = travel(terrace, frame=frame, station=station, x=5.0, y=np.array([-6.0, 0.0, 6.0])).T
    assert np.any((middle > 0.15) & (left < -0.15) & (right < -0.15))
    assert np.allclose(left, right, atol=1e-12)


def test_a_ridge_below_the_middle_lifts_middle_openers_and_drops_the_ends():
    rigid = ground_frame.FrameOnWheels((), (5.0, 5.0), (-3.0, 3.0))
    ridge = ground_terraces.Terrace(ground_section.broad_base(0.0), 0.0, 0.0)
    middle, end = travel(ridge, frame=rigid, station=np.array([0.0]), x=5.0, y=np.array([0.0, 6.0]))[0]
    assert middle > 0.1 and end < -0.05


def test_straight_over_a_terrace_openers_rise_before_the_wheels_climb_and_fall_after():
    terrace = ground_terraces.Terrace(ground_section.broad_base(0.02), 30.0)
    station = np.arange(10.0, 60.0, 0.1)
    behind, ahead = 6.5, 3.5
    moved = travel(terrace, station=station, x=np.array([ahead, behind]), y=np.array([0.0, 0.0]))
    # While the top passes an opener, hitch and wheels stand lower, so that it is pushed up.
    for column, x in enumerate((ahead, behind)):
        assert moved[np.argmin(np.abs(station - x - 30.0)), column] > 0.05
    # While the wheels stand on the top, the openers behind them hang down.
    assert moved[np.argmin(np.abs(station - 5.0 - 30.0)), 1] < -0.05
    # All rows across see a straight crossing alike.
    row = travel(terrace, station=station, x=5.6, y=OPENER_Y)
    assert np.allclose(row, row[:, :1], atol=1e-12)


def test_long_pass_in_pieces_is_the_long_pass():
    whole = travel(ground_relief.Relief(1024e-6, 5))
    assert np.array_equal(whole[100:130], travel(ground_relief.Relief(1024e-6, 5), station=STATION[100:130]))


def test_drawbar_of_a_tractor_on_a_plane_stays_in_the_plane():
    # Front axle at 0, rear at -2.5, pin at -3.5 m on a rise of 10 %.
    assert float(ground_frame.drawbar_height(-0.25, 0.0, 1.0, 2.5)) == pytest.approx(-0.35)
    assert float(ground_frame.drawbar_height(0.1, 0.1, 1.0, 2.5)) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (((2.0, -2.0), (5.0,), (0.0,)), "hinges must rise"),
        (((), (5.0, 5.0), (0.0,)), "must name the same wheels"),
        (((), (), ()), "at least one"),
        (((), (5.0,), (0.0,)), "The wheels do not hold the frame"),
        (((), (0.0, 0.0), (-1.0, 1.0)), "The wheels do not hold the frame"),
        (((2.0,), (5.0, 5.0, 5.0), (-1.0, 1.0, 2.0)), "The wheels do not hold the frame"),
        (((), (5.0, 5.0), (-1.0, 1.0), (1e5,)), "one value a wheel"),
        (((), (5.0, 5.0), (-1.0, 1.0), (1e5, 0.0)), "wheel_stiffness must be greater than zero"),
    ],
)
def test_frame_that_cannot_stand_is_refused_in_words(arguments, words):
    with pytest.raises(ValueError, match=words):
        ground_frame.FrameOnWheels(*arguments)


def test_wrong_number_of_wheel_heights_is_refused():
    with pytest.raises(ValueError, match="one height a wheel, 4"):
        FRAME.plane(0.0, np.zeros(3), 0.0, 0.0)
    with pytest.raises(ValueError, match="wheelbase must be greater than zero"):
        ground_frame.drawbar_height(0.0, 0.0, 1.0, 0.0)


def test_hitch_away_from_the_origin_keeps_its_height_and_the_frame_turns_about_it():
    frame = ground_frame.FrameOnWheels(
        (-2.0, 2.0), (5.0,) * 4, (-5.6, -1.5, 1.5, 5.6), hitch_x=1.0, hitch_y=3.0
    )
    heights = np.array([0.11, -0.04, 0.07, 0.02])
    assert float(frame.plane(0.05, heights, 1.0, 3.0).item()) == pytest.approx(0.05, abs=1e-12)
    assert np.allclose(frame.plane(0.05, heights, 5.0, frame.wheel_y), heights, atol=1e-12)
    # Lift of the hitch alone: 0.2 m at 1 m, nothing at the wheels' 5 m.
    plane = frame.plane(0.2, np.zeros(4), np.array([1.0, 3.0, 5.0]), 3.0)
    assert np.allclose(plane, [0.2, 0.1, 0.0], atol=1e-12)
