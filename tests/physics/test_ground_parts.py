"""Planes, terraces, gullies, wheel tracks, contacts, and their sum."""

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from downforce.physics import ground_parts, ground_relief, ground_section, ground_survey, ground_terraces

STRAIGHT = math.pi / 2
MAKERS = {
    "broad": ground_section.broad_base,
    "grassed": ground_section.grassed_back_slope,
    "narrow": ground_section.narrow_base,
}


# ---- spacing ----


@pytest.mark.outside("VIC", "x 0.6, y 1.4, 6 %", "secondary page", "spacing of terraces, ft")
def test_vertical_and_horizontal_interval_of_the_calculator_s_example(printed):
    drop = ground_terraces.vertical_interval(0.06, 0.6 * 0.3048, 1.4 * 0.3048)
    printed(float(drop) / 0.3048, "5.0")
    printed(float(ground_terraces.horizontal_interval(0.06, drop)) / 0.3048, "83")


@pytest.mark.parametrize(("per_cent", "feet", "interval"), [(2, 2.6, 130), (4, 3.8, 95), (8, 6.2, 77.5)])
def test_vertical_and_horizontal_interval_worked_by_hand(per_cent, feet, interval):
    drop = ground_terraces.vertical_interval(per_cent / 100, 0.6 * 0.3048, 1.4 * 0.3048)
    assert float(drop) / 0.3048 == pytest.approx(feet, abs=0.005)
    assert float(ground_terraces.horizontal_interval(per_cent / 100, drop)) / 0.3048 == pytest.approx(
        interval, abs=0.05
    )


# ---- crest ----


@pytest.mark.parametrize(
    ("width", "millimetres"), [(3, (112.5, 75, 45, 22.5)), (4, (200, 133, 80, 40)), (6, (450, 300, 180, 90))]
)
def test_gap_under_the_ends_of_a_section_on_a_crest(width, millimetres):
    # Sagitta B^2 / (8 R) at R = 10, 15, 25, 50 m, worked by hand.
    gaps = 1000 * ground_terraces.crest_gap(width, np.array([10.0, 15.0, 25.0, 50.0]))
    assert np.allclose(gaps, millimetres, atol=0.5)


# ---- section ----


@pytest.mark.parametrize("maker", MAKERS.values(), ids=MAKERS)
def test_section_has_the_slopes_and_height_asked_for(maker):
    section = maker()
    d = 1e-4

    def slope(s):
        return float(section.heights_across(s + d) - section.heights_across(s - d)) / (2 * d)

    half_top = section.top_width / 2
    run = section.ridge_height / section.front_slope
    assert slope(-half_top - run / 2) == pytest.approx(section.front_slope, rel=1e-6)
    fill = float(section.ridge_height - section.land_across(half_top))
    back_run = fill / (section.back_slope - section.land_slope)
    assert slope(half_top + back_run / 2) == pytest.approx(-section.back_slope, rel=1e-6)
    cut_run = section.channel_depth / (section.cut_slope - section.land_slope)
    assert slope(-half_top - run - cut_run / 2) == pytest.approx(-section.cut_slope, rel=1e-6)
    assert float(section.heights_across(0.0)) == pytest.approx(section.ridge_height, rel=1e-9)


def test_makers_have_the_published_slopes():
    # A guard of what was typed: 5:1 farmed faces and 2:1 grassed backs, [SWCD], [SIXTY], [JOB].
    broad, grassed, narrow = (maker() for maker in MAKERS.values())
    assert (broad.front_slope, broad.back_slope, broad.cut_slope) == (1 / 5, 1 / 5, 1 / 5)
    assert (grassed.front_slope, grassed.back_slope) == (1 / 5, 1 / 2)
    assert (narrow.front_slope, narrow.back_slope) == (1 / 2, 1 / 2)
    assert broad.land_slope <= 0.06 and 0.06 <= grassed.land_slope <= 0.15


def test_angle_of_a_five_to_one_face():
    # 5:1 is 11.31 degrees, 2:1 is 26.57 degrees.
    assert math.degrees(math.atan(ground_section.broad_base().front_slope)) == pytest.approx(11.31, abs=0.005)
    assert math.degrees(math.atan(ground_section.narrow_base().back_slope)) == pytest.approx(26.57, abs=0.005)


def test_channel_lies_as_deep_as_asked_where_it_is_flat():
    section = ground_section.broad_base(0.04, channel_width=2.0)
    start = -section.top_width / 2 - section.ridge_height / section.front_slope - 2.0
    assert float(section.land_across(start)) == pytest.approx(section.channel_depth)
    assert float(section.heights_across(start + 1.0)) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("maker", MAKERS.values(), ids=MAKERS)
def test_section_has_no_step_and_no_corner_and_meets_the_land(maker):
    section = maker()
    start, end = section.extent
    s = np.linspace(start - 1, end + 1, 40_001)
    h = section.heights_across(s)
    step = s[1] - s[0]
    slope = np.diff(h) / step
    steepest = max(section.front_slope, section.back_slope)
    assert np.abs(slope).max() <= steepest * (1 + 1e-6)
    tightest = min(section.crest_radius, section.toe_radius)
    # The turn of slope in one step is step / radius, more on a slope by (1 + slope^2)^1.5.
    assert np.abs(np.diff(slope)).max() <= 1.01 * step / tightest * (1 + steepest**2) ** 1.5
    outside = (s < start) | (s > end)
    assert np.allclose(h[outside], section.land_across(s[outside]), atol=1e-12)


def test_crest_is_a_circle_of_the_radius_asked_for():
    section = ground_section.TerraceSection(
        0.0, 0.2, 0.2, 0.2, ridge_height=1.2, top_width=0.0, crest_radius=15.0
    )
    top = float(section.heights_across(0.0))
    x = np.array([-2.0, -1.0, 1.0, 2.0])
    drop = 15.0 - np.sqrt(15.0**2 - x**2)
    assert np.allclose(section.heights_across(x), top - drop, atol=1e-12)
    # The corner itself is cut off: R (1 / cos(a) - 1) below the corner of two 5:1 faces.
    assert top == pytest.approx(1.2 - 15.0 * (math.hypot(1, 0.2) - 1), rel=1e-12)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"crest_radius": 9.0}, "no room for its two round corners"),
        ({"back_slope": 0.03}, "back_slope must be steeper than the land"),
        ({"cut_slope": 0.04}, "cut_slope must be steeper than the land"),
        ({"ridge_height": 0.05}, "leaves the top below the land"),
        ({"front_slope": 0.0}, "front_slope must be greater than zero"),
        ({"channel_width": -1.0}, "channel_width must not be negative"),
    ],
)
def test_measures_that_do_not_fit_are_refused_in_words(changes, words):
    with pytest.raises(ValueError, match=words):
        ground_section.broad_base(0.04, **changes)


# ---- terrace on the ground ----


@pytest.mark.parametrize("angle", [STRAIGHT, -STRAIGHT, 0.6, 0.0, -0.3])
def test_land_and_terrace_together_are_the_section_drawn_out(angle):
    section = ground_section.broad_base()
    terrace = ground_terraces.Terrace(section, 7.0, angle)
    land = ground_parts.Plane(*terrace.land)
    x, y = np.linspace(-30, 40, 301)[:, None], np.linspace(-20, 20, 41)
    built = ground_parts.Ground((terrace, land)).heights(x, y)
    expected = section.heights_across(terrace.across(x, y))
    shift = built - expected
    assert np.allclose(shift, shift[0, 0], atol=1e-12)


def test_straight_over_all_rows_meet_the_terrace_together():
    terrace = ground_terraces.Terrace(ground_section.broad_base(), 20.0)
    h = terrace.heights(np.linspace(0, 40, 100)[:, None], np.linspace(-6, 6, 9))
    assert np.allclose(h, h[:, :1], atol=1e-12)
    assert np.argmax(terrace.heights(np.linspace(0, 40, 401), 0.0)) == pytest.approx(200, abs=12)


def test_a_slanting_terrace_meets_the_right_rows_later_or_sooner_by_its_angle():
    terrace = ground_terraces.Terrace(ground_section.broad_base(), 20.0, math.radians(30))
    at = terrace.heights(20.0, 0.0)
    assert float(terrace.heights(20.0 - 5.0 / math.tan(math.radians(30)), 5.0)) == pytest.approx(
        float(at), rel=1e-9
    )


def test_uphill_crossing_is_the_downhill_crossing_seen_from_behind():
    down, up = (
        ground_terraces.Terrace(ground_section.grassed_back_slope(), 0.0),
        ground_terraces.Terrace(ground_section.grassed_back_slope(), 0.0, -STRAIGHT),
    )
    x = np.linspace(-10, 10, 200)
    assert np.allclose(down.heights(x, 3.0), up.heights(-x, 3.0), atol=1e-12)


def test_terrace_is_nothing_beyond_its_section():
    terrace = ground_terraces.Terrace(ground_section.narrow_base(), 0.0)
    start, end = terrace.section.extent
    assert np.all(terrace.heights(np.array([start - 0.01, end + 0.01, 100.0]), 0.0) == 0.0)
    assert float(terrace.heights(start + 1e-6, 0.0)) == pytest.approx(0.0, abs=1e-9)


def test_along_the_top_the_position_is_to_the_right():
    terrace = ground_terraces.Terrace(ground_section.broad_base(), 3.0, 0.0)
    assert float(terrace.heights(55.0, 3.0)) == pytest.approx(float(terrace.heights(-10.0, 3.0)))
    assert float(terrace.across(0.0, 3.0)) == 0.0 and float(terrace.across(0.0, 4.5)) == pytest.approx(1.5)


def test_terrace_beyond_a_right_angle_is_refused():
    with pytest.raises(ValueError, match="crossing_angle must lie between"):
        ground_terraces.Terrace(ground_section.broad_base(), 0.0, 2.0)


# ---- gully ----


@pytest.mark.parametrize("shape", ["vee", "cosine"])
def test_gully_has_its_depth_width_and_area(shape):
    gully = ground_terraces.Gully(10.0, 1.2, 0.3, shape=shape)
    assert float(gully.heights(10.0, 4.0)) == pytest.approx(-0.3)
    assert np.allclose(gully.heights(np.array([9.4, 10.6, 12.0]), 0.0), 0.0, atol=1e-12)
    assert float(gully.heights(10.3, 0.0)) == pytest.approx(-0.15)
    area = quad(lambda x: float(gully.heights(x, 0.0)), 9.4, 10.6, points=[10.0])[0]
    assert area == pytest.approx(-0.3 * 1.2 / 2, rel=1e-9)


def test_slanting_gully_looks_wider_along_the_pass():
    gully = ground_terraces.Gully(0.0, 1.0, 0.2, math.radians(30), "vee")
    assert float(gully.heights(0.5, 0.0)) == pytest.approx(-0.1)  # 0.25 m square to the gully
    assert float(gully.heights(0.999, 0.0)) < 0 < 1e-9 - float(gully.heights(1.001, 0.0))


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((0.0, 0.0, 0.1), "width must be"),
        ((0.0, 1.0, -0.1), "depth must not"),
        ((0.0, 1.0, 0.1, 1.0, "U"), "shape must be"),
    ],
)
def test_impossible_gully_is_refused(arguments, words):
    with pytest.raises(ValueError, match=words):
        ground_terraces.Gully(*arguments)


# ---- tracks ----


def test_track_has_its_depth_and_its_width_at_half_depth():
    tracks = ground_relief.WheelTracks((-1.0, 1.0), 0.5, 0.04, 0.1)
    y = 1.0 + np.array([0.0, 0.19, 0.25, 0.31])
    assert np.allclose(tracks.heights(0.0, y), [-0.04, -0.04, -0.02, 0.0], atol=1e-9)
    assert np.allclose(tracks.heights(3.0, 2.0 - y), tracks.heights(9.0, y), atol=1e-12)


def test_track_area_is_depth_times_width():
    tracks = ground_relief.WheelTracks((0.0,), 0.5, 0.04, 0.2)
    area = quad(lambda y: float(tracks.heights(0.0, y)), -0.5, 0.5, points=[-0.35, -0.15, 0.15, 0.35])[0]
    assert area == pytest.approx(-0.02, rel=1e-9)


def test_overlapping_tracks_are_not_twice_as_deep():
    assert float(ground_relief.WheelTracks((0.0, 0.1), 0.5, 0.04).heights(0.0, 0.05)) == pytest.approx(-0.04)


def test_no_tracks_and_impossible_tracks():
    assert float(ground_relief.WheelTracks((), 0.5, 0.04).heights(0.0, 0.0)) == 0.0
    with pytest.raises(ValueError, match="edge must be at most the width"):
        ground_relief.WheelTracks((0.0,), 0.1, 0.04, 0.2)
    with pytest.raises(ValueError, match="depth must not be negative"):
        ground_relief.WheelTracks((0.0,), 0.1, -0.04)


# ---- sum ----


def test_parts_add_up():
    parts = (
        ground_parts.Plane(0.01, -0.02, 0.3),
        ground_relief.Relief(256e-6, 1),
        ground_terraces.Terrace(ground_section.broad_base(), 10.0),
        ground_terraces.Gully(3.0, 1.0, 0.2),
        ground_relief.WheelTracks((0.0,), 0.5, 0.03),
        ground_survey.SurveyedTrack([-5.0, -4.0, -3.0], [0.0, 0.1, 0.0], overhang=50.0),
    )
    x, y = np.linspace(0, 20, 50)[:, None], np.linspace(-3, 3, 7)
    assert np.allclose(
        ground_parts.Ground(parts).heights(x, y), sum(p.heights(x, y) for p in parts), atol=1e-15
    )


def test_no_parts_is_level_ground_in_the_broadcast_shape():
    assert np.array_equal(ground_parts.Ground().heights(np.zeros((4, 1)), np.zeros(3)), np.zeros((4, 3)))


def test_a_thing_without_heights_is_no_part():
    with pytest.raises(ValueError, match=r"parts\[1\] is no part of a ground"):
        ground_parts.Ground((ground_parts.Plane(), 3.0))


@settings(deadline=None, max_examples=20)
@given(st.floats(-0.2, 0.2), st.floats(-0.2, 0.2), st.floats(-5, 5), st.floats(-100, 100), st.floats(-6, 6))
def test_plane_is_its_formula(along, across, level, x, y):
    assert float(ground_parts.Plane(along, across, level).heights(x, y)) == pytest.approx(
        level + along * x + across * y, abs=1e-12
    )


# ---- contact ----


@pytest.mark.parametrize("waves", [0.3, 1.0, 2.0, 3.1, 5.0])
def test_moving_average_leaves_of_a_wave_what_the_closed_form_says(waves):
    x = np.arange(4001) * 0.002
    wave = np.cos(2 * np.pi * waves * (x - 4.0))
    felt = ground_parts.moving_average(wave, 0.002, 0.35)
    assert felt[2000] == pytest.approx(float(np.sinc(waves * 0.35)), abs=1e-4)


def test_moving_average_of_a_short_contact_between_points_is_exact():
    # A roof 0, 1, 0: mean over half a step to each side of the top is 3/4.
    assert ground_parts.moving_average(np.array([0.0, 1.0, 0.0]), 1.0, 1.0)[1] == pytest.approx(
        0.75, rel=1e-12
    )


def test_moving_average_keeps_a_slope_away_from_the_ends_and_all_levels():
    line = np.arange(50) * 0.3
    assert np.allclose(ground_parts.moving_average(line, 0.1, 0.45)[5:-5], line[5:-5], atol=1e-12)
    assert np.allclose(ground_parts.moving_average(np.full(9, 2.0), 0.1, 5.0), 2.0)
    assert np.array_equal(ground_parts.moving_average(line, 0.1, 0.0), line)


def test_moving_average_works_on_each_row_by_itself():
    rows = np.random.default_rng(0).normal(size=(40, 3))
    felt = ground_parts.moving_average(rows, 0.1, 0.37)
    assert np.allclose(felt[:, 1], ground_parts.moving_average(rows[:, 1], 0.1, 0.37), atol=1e-12)


def test_contact_average_of_parts_agrees_with_the_closed_form():
    class Wave:
        def heights(self, x, y):
            return np.cos(2 * np.pi * (1.2 * x)) * np.cos(2 * np.pi * 0.9 * y)

    felt = ground_parts.Ground((Wave(),)).smoothed(0.5, 0.3).heights(0.0, 0.0)
    expected = np.sinc(1.2 * 0.5) * np.sinc(0.9 * 0.3)
    assert float(felt) == pytest.approx(float(expected), rel=1e-6)


def test_contact_average_leaves_planes_and_contacts_without_size_alone():
    ground = ground_parts.Ground(
        (ground_parts.Plane(0.1, 0.2, 1.0), ground_relief.WheelTracks((0.0,), 0.5, 0.03))
    )
    x, y = np.linspace(0, 3, 20)[:, None], np.linspace(-1, 1, 9)
    assert np.allclose(ground.smoothed(0.0, 0.0).heights(x, y), ground.heights(x, y), atol=1e-15)
    assert ground_parts.Plane(0.1).smoothed(1.0, 1.0) == ground_parts.Plane(0.1)
    with pytest.raises(ValueError, match="length must not be negative"):
        ground.smoothed(-0.1, 0.0)


def test_wide_contact_bridges_a_narrow_track():
    tracks = ground_parts.Ground((ground_relief.WheelTracks((0.0,), 0.1, 0.03, 0.1),))
    assert float(tracks.smoothed(0.0, 0.4).heights(0.0, 0.0)) == pytest.approx(-0.03 * 0.1 / 0.4, rel=0.15)


def test_a_track_off_the_middle_lies_where_it_was_put():
    tracks = ground_relief.WheelTracks((2.0,), 0.5, 0.03)
    assert tracks.heights(0.0, np.array([2.0, -2.0])).tolist() == [-0.03, 0.0]


# ---- balanced earthwork ----


@given(
    land=st.floats(0.0, 0.06),
    front=st.floats(0.09, 0.3),
    back=st.floats(0.09, 0.5),
    cut=st.floats(0.09, 0.3),
    ridge=st.floats(0.3, 0.9),
    channel=st.sampled_from([0.0, 1.5]),
    top=st.sampled_from([0.0, 0.9]),
    toe=st.just(0.3),
)
# Round toes take part in the sum with the third power of their turns: these are large, and unlike.
@example(land=0.06, front=0.2, back=0.5, cut=0.2, ridge=0.9, channel=1.5, top=0.9, toe=2.0)
def test_balanced_channel_holds_as_much_as_the_ridge_takes(land, front, back, cut, ridge, channel, top, toe):
    faces = {"land_slope": land, "front_slope": front, "back_slope": back, "cut_slope": cut}
    sizes = {"ridge_height": ridge, "channel_width": channel, "top_width": top}
    radii = {"crest_radius": 0.8, "toe_radius": toe}
    depth = ground_section.balanced_channel_depth(**faces, **sizes, **radii)
    section = ground_section.TerraceSection(**faces, **sizes, **radii, channel_depth=depth)
    start, end = section.extent
    across = start + (np.arange(20_000) + 0.5) * (end - start) / 20_000
    added = section.heights_across(across) - section.land_across(across)
    assert abs(added.sum()) <= 1e-5 * np.abs(added).sum()


def test_balanced_channel_needs_faces_steeper_than_the_land():
    with pytest.raises(ValueError, match="cut_slope less land_slope must be greater than zero"):
        ground_section.balanced_channel_depth(0.1, 0.2, 0.2, 0.1, 0.4)


def test_toes_too_round_for_any_channel_are_refused():
    with pytest.raises(ValueError, match="toe_radius 5 m fills more"):
        ground_section.balanced_channel_depth(0.04, 1.0, 1 / 6, 0.2, 0.06, toe_radius=5.0)


def test_a_crest_so_round_that_nothing_is_filled_has_no_channel():
    assert ground_section.balanced_channel_depth(0.0, 0.2, 0.2, 0.2, 0.1, crest_radius=100.0) == 0.0


def test_a_terrace_without_a_channel_only_adds_to_the_land():
    section = ground_section.broad_base(0.04, channel_depth=0.0)
    across = np.linspace(*section.extent, 4001)
    added = section.heights_across(across) - section.land_across(across)
    assert added.min() >= -1e-12
    # The ridge stands on the land at the foot of its front: 0.45 m over a point 2.7 m up the slope.
    assert float(added.max()) > 0.45
