"""Kinematics against finite differences, right triangles and each other."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics.linkage import ParallelLinkage, TrailingArm, actuator_length, leverage, side_angle

ARM = TrailingArm(pivot=(0.0, 0.45), disc=(0.6, 0.188))
LINKS = ParallelLinkage((0.0, 0.42), (0.3487, 0.3895), (0.0, 0.64))
PINS = {
    "arm": ((0.10, 0.793), (0.10, 0.403)),
    "link": ((0.12, 0.74), (0.12, 0.41)),
    "opener": ((0.0, 0.7), (0.36, 0.4)),
}
CASES = [(ARM, "arm"), (LINKS, "link"), (LINKS, "opener")]
TRAVEL = np.linspace(-0.15, 0.11, 27)


@pytest.mark.parametrize(("linkage", "member"), CASES)
def test_leverage_is_minus_the_slope_of_the_actuator_length(linkage, member):
    frame_pin, moving_pin = PINS[member]
    step = 1e-6
    longer = actuator_length(linkage, frame_pin, moving_pin, member, TRAVEL - step)
    shorter = actuator_length(linkage, frame_pin, moving_pin, member, TRAVEL + step)
    slope = (longer - shorter) / (2 * step)
    assert leverage(linkage, frame_pin, moving_pin, member, TRAVEL) == pytest.approx(slope, abs=1e-8)


@pytest.mark.parametrize(("linkage", "member"), CASES)
def test_motion_is_the_slope_of_the_place(linkage, member):
    pin, step = PINS[member][1], 1e-6
    after, before = linkage.point(pin, member, TRAVEL + step), linkage.point(pin, member, TRAVEL - step)
    for moved, back, slope in zip(after, before, linkage.motion(pin, member, TRAVEL), strict=True):
        assert slope == pytest.approx((moved - back) / (2 * step), abs=1e-8)


@pytest.mark.parametrize(("linkage", "member"), [(ARM, "arm"), (LINKS, "link"), (LINKS, "opener")])
def test_pins_start_where_they_were_measured(linkage, member):
    pin = PINS[member][1]
    assert linkage.point(pin, member, 0.0) == pytest.approx(pin, abs=1e-12)


def test_the_disc_rises_by_the_travel_and_keeps_its_distance_from_the_pivot():
    x, z = ARM.point(ARM.disc, "arm", TRAVEL)
    assert z == pytest.approx(0.188 + TRAVEL, abs=1e-12)
    assert np.hypot(x, z - 0.45) == pytest.approx(np.hypot(0.6, 0.262), abs=1e-12)


def test_everything_on_an_arm_turns_as_one_body():
    first, second = (0.28, 0.32), (1.05, 0.16)
    x1, z1 = ARM.point(first, "arm", TRAVEL)
    x2, z2 = ARM.point(second, "arm", TRAVEL)
    assert np.hypot(x1 - x2, z1 - z2) == pytest.approx(np.hypot(0.77, 0.16), abs=1e-12)


def test_an_opener_on_parallel_links_rises_without_turning():
    x1, z1 = LINKS.point((0.7, 0.15), "opener", TRAVEL)
    x2, z2 = LINKS.point((0.36, 0.4), "opener", TRAVEL)
    assert z1 - 0.15 == pytest.approx(TRAVEL, abs=1e-12)
    assert x1 - x2 == pytest.approx(np.full_like(TRAVEL, 0.34), abs=1e-12)
    assert z1 - z2 == pytest.approx(np.full_like(TRAVEL, -0.25), abs=1e-12)


def test_leverage_of_a_vertical_actuator_is_its_lever_over_the_reach():
    """Right angles: 0.10 m lever on a 0.60 m arm gives one sixth, by hand."""
    assert leverage(ARM, (0.10, 0.793), (0.10, 0.403), "arm", 0.0) == pytest.approx(1 / 6, rel=1e-12)


def test_actuator_length_obeys_the_cosine_rule():
    """l^2 = a^2 + b^2 - 2 a b cos(phi), a and b from the pivot to the two pins."""
    frame_pin, moving_pin = (0.05, 0.80), (0.10, 0.40)
    x, z = ARM.point(moving_pin, "arm", TRAVEL)
    a, b = np.hypot(0.05, 0.35), np.hypot(x, z - 0.45)
    cosine = (0.05 * x + 0.35 * (z - 0.45)) / (a * b)
    assert actuator_length(ARM, frame_pin, moving_pin, "arm", TRAVEL) == pytest.approx(
        np.sqrt(a**2 + b**2 - 2 * a * b * cosine), rel=1e-12
    )


def test_draft_takes_height_over_reach_from_a_trailing_arm():
    """Pivot 0.45 m above the line of draft, disc 0.60 m behind: three quarters of the draft."""
    assert ARM.draft_share(0.0) == pytest.approx(0.75, rel=1e-12)
    assert ARM.draft_share(0.0, draft_height=-0.02) == pytest.approx(0.47 / 0.6, rel=1e-12)


def test_draft_takes_the_slope_of_the_links():
    """Links 5 degrees down: tan 5 degrees = 0.0875; level links: nothing."""
    five = np.radians(5.0)
    linkage = ParallelLinkage((0, 0.42), (0.35 * np.cos(five), 0.42 - 0.35 * np.sin(five)), (0, 0.64))
    assert linkage.draft_share(0.0) == pytest.approx(np.tan(five), rel=1e-12)
    level = ParallelLinkage((0, 0.42), (0.35, 0.42), (0, 0.64))
    assert level.draft_share(0.0) == pytest.approx(0.0, abs=1e-12)


def test_draft_share_is_the_rearward_motion_of_the_ground_contact():
    """Virtual work once more: a point of the arm at the soil surface moves rearward as the disc rises."""
    contact = (0.6, 0.0)
    assert ARM.motion(contact, "arm", 0.0)[0] == pytest.approx(ARM.draft_share(0.0), rel=1e-12)


def test_side_angle_starts_at_zero_and_keeps_its_sign():
    frame_pin, moving_pin = PINS["arm"]
    turn = side_angle(ARM, frame_pin, moving_pin, "arm", np.array([-0.1, 0.0, 0.1]))
    assert turn[1] == 0.0
    assert turn[0] * turn[2] < 0


def test_side_angle_is_that_of_the_triangle():
    x, z = ARM.point((0.1, 0.403), "arm", 0.1)
    by_hand = np.arctan2(x - 0.1, 0.793 - z)
    assert side_angle(ARM, (0.1, 0.793), (0.1, 0.403), "arm", 0.1) == pytest.approx(by_hand, abs=1e-12)


@settings(deadline=None, max_examples=60)
@given(st.floats(-0.15, 0.2), st.floats(0.5, 0.9), st.floats(0.3, 0.5))
def test_work_done_on_the_actuator_is_the_work_done_at_the_disc(travel, reach, pivot_height):
    arm = TrailingArm((0.0, pivot_height), (reach, 0.2))
    steps = np.linspace(0.0, travel, 2001)
    at_disc = np.trapezoid(leverage(arm, (0.1, 0.9), (0.15, 0.4), "arm", steps), steps)
    lengths = actuator_length(arm, (0.1, 0.9), (0.15, 0.4), "arm", steps[[0, -1]])
    assert at_disc == pytest.approx(lengths[0] - lengths[1], abs=1e-7)


def test_a_forward_lying_arm_mirrors_a_trailing_one():
    forward = TrailingArm((0.0, 0.45), (-0.6, 0.188))
    ahead = leverage(forward, (-0.10, 0.793), (-0.10, 0.403), "arm", TRAVEL)
    assert ahead == pytest.approx(leverage(ARM, *PINS["arm"], "arm", TRAVEL), rel=1e-12)


def test_a_travel_out_of_reach_is_refused_with_the_lengths():
    with pytest.raises(ValueError, match="The arm is 655 mm long and cannot bring its end 838 mm"):
        ARM.point(ARM.disc, "arm", 1.1)


def test_a_pin_on_an_unknown_part_is_refused():
    with pytest.raises(ValueError, match="A pin on a trailing arm moves with arm; got 'link'"):
        ARM.point((0.1, 0.4), "link", 0.0)
    with pytest.raises(ValueError, match="moves with link or opener; got 'arm'"):
        LINKS.point((0.1, 0.4), "arm", 0.0)


def test_pins_that_meet_are_refused():
    with pytest.raises(ValueError, match="distance between the actuator's pins must be greater than zero"):
        leverage(ARM, (0.1, 0.4), (0.1, 0.4), "arm", 0.0)
