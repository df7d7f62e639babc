"""Slopes and draft as loads on a frame."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics.frame import STEEPEST, draft_moment, slope_loads

SLOPE = st.floats(-float(STEEPEST), float(STEEPEST))


def test_level_ground_leaves_the_weight_alone():
    load = slope_loads([5e3, 2e3], [1.0, 1.6], 0.0, 0.0, 0.5)
    np.testing.assert_array_equal(load.force, [5e3, 2e3])
    assert not np.any(load.pitch_moment) and not np.any(load.roll_moment)


def test_a_weight_above_the_hitch_presses_the_rear_down_uphill_and_the_right_when_it_is_lower():
    load = slope_loads(10e3, 1.5, side_slope=np.radians(5), grade=np.radians(10), hitch_height=0.5)
    # By hand: 10 kN x sin 10 deg x 1.0 m and 10 kN x sin 5 deg x 1.5 m.
    assert load.pitch_moment == pytest.approx(10e3 * 0.173648 * 1.0, rel=1e-5)
    assert load.roll_moment == pytest.approx(10e3 * 0.0871557 * 1.5, rel=1e-5)
    assert slope_loads(10e3, 0.2, 0.0, 0.1, 0.5).pitch_moment < 0


def test_a_pull_held_at_the_height_of_the_weight_gives_no_roll():
    assert slope_loads(10e3, 1.5, 0.1, 0.0, 0.5, side_hold_height=1.5).roll_moment == 0
    assert slope_loads(10e3, 1.5, 0.1, 0.0, 0.5, side_hold_height=0.5).roll_moment == pytest.approx(
        10e3 * np.sin(0.1)
    )


@given(SLOPE, SLOPE)
@settings(deadline=None)
def test_the_three_pulls_of_a_weight_add_up_to_the_weight(side, grade):
    load = slope_loads(7e3, 2.0, side, grade, hitch_height=1.0, side_hold_height=1.0)
    assert np.sqrt(load.force**2 + load.pitch_moment**2 + load.roll_moment**2) == pytest.approx(
        7e3, rel=1e-12
    )


def test_draft_below_the_hitch_lifts_the_rear():
    # By hand: 34 kN at 0.5 m below the hitch over 4.5 m is 3.8 kN off the wheels.
    assert draft_moment(34e3, 0.0, 0.5) / 4.5 / 1e3 == pytest.approx(-3.8, abs=0.05)
    assert draft_moment(34e3, -0.05, 0.5) == pytest.approx(-34e3 * 0.55)
    assert draft_moment(34e3, 0.5, 0.5) == 0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"side_slope": 5.0}, "side_slope must lie between"),
        ({"grade": -0.6}, "grade must lie between"),
        ({"weight": -1.0}, "weight must not be negative"),
        ({"height": -0.1}, "height must not be negative"),
        ({"hitch_height": -0.1}, "hitch_height must not be negative"),
        ({"side_hold_height": -0.1}, "side_hold_height must not be negative"),
    ],
)
def test_refusals_name_the_value(change, words):
    case = {"weight": 1e4, "height": 1.0, "side_slope": 0.0, "grade": 0.0, "hitch_height": 0.5}
    with pytest.raises(ValueError, match=words):
        slope_loads(**{**case, **change})


def test_draft_moment_refuses_what_is_not_a_number():
    with pytest.raises(ValueError, match="draft must be a finite number"):
        draft_moment(np.inf, 0.0, 0.5)
    with pytest.raises(ValueError, match="hitch_height must not be negative"):
        draft_moment(1.0, 0.0, -0.5)
