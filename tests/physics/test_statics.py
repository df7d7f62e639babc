"""Plane bodies on supports that push only."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics.frame_supports import support_loads

HITCH_AND_WHEELS = {"stiffness": [1e7, 8e5], "position": [0.0, 4.5], "two_way": [True, False]}


@pytest.mark.outside(
    "BJS", "sample problem 4.2", "retyped copy", "a beam with loads behind its rear support, kN"
)
def test_beam_with_a_load_behind_the_rear_support_matches_the_textbook(printed):
    stand = support_loads([1e7, 1e7], [0, 2.7], [70e3, 27e3, 27e3], [0.9, 3.3, 3.9], two_way=[True, False])
    printed(stand.load[0] / 1e3, "28.7")
    printed(stand.load[1] / 1e3, "95.3")


@pytest.mark.outside("BJS", "sample problem 4.1", "retyped copy", "a crane whose one support pulls, kN")
def test_crane_with_a_pulling_support_matches_the_textbook(printed):
    # The overturning moment of two loads over supports 1.5 m apart.
    moment = 9.81e3 * 2 + 23.5e3 * 6
    stand = support_loads([1e7, 1e7], [0, 1.5], [0.0], [0.0], moment=moment, two_way=True)
    printed(stand.load[0] / 1e3, "-107.1")
    printed(stand.load[1] / 1e3, "107.1")


@pytest.mark.outside("BJS", "sample problem 4.3", "retyped copy", "wheels of a cart on a slope, kN")
def test_cart_on_a_track_matches_the_textbook(printed):
    # The printed answers follow from the book's rounded components 22.65 and 10.5 kN;
    # the cable pulls 150 mm from the line of the weight (that distance and 10.5 are from memory).
    stand = support_loads([1e7, 1e7], [0, 1.25], [10.5e3], [0.625], moment=22.65e3 * 0.15)
    printed(stand.load[0] / 1e3, "2.53")
    printed(stand.load[1] / 1e3, "7.97")


@pytest.mark.parametrize(("opener_load", "hitch"), [(0.0, 2.2), (20e3, 5.3)])
def test_hitch_gains_when_openers_stand_behind_the_wheels(opener_load, hitch):
    # Worked by hand: 50 kN at 4.3 m, wheels 4.5 m, openers 5.2 m behind the hitch.
    stand = support_loads(**HITCH_AND_WHEELS, weight=[50e3, -opener_load], weight_position=[4.3, 5.2])
    assert stand.load[0] / 1e3 == pytest.approx(hitch, abs=0.05)


def test_frame_loses_its_wheels_at_41_kn():
    # By hand: 50 x 4.3 / 5.2 = 41.3 kN.
    at = 50e3 * 4.3 / 5.2
    assert at / 1e3 == pytest.approx(41.3, abs=0.05)
    below = support_loads(**HITCH_AND_WHEELS, weight=[50e3, -at * 0.999], weight_position=[4.3, 5.2])
    assert 0 < below.load[1] < 60 and not below.off[1]
    with pytest.raises(ValueError, match="nothing can hold the body"):
        support_loads(**HITCH_AND_WHEELS, weight=[50e3, -at * 1.001], weight_position=[4.3, 5.2])


def test_draft_half_a_metre_below_the_hitch_takes_38_hundred_newtons_off_the_wheels():
    # By hand: 34 kN x 0.5 m / 4.5 m = 3.8 kN.
    case = {**HITCH_AND_WHEELS, "weight": [50e3], "weight_position": [4.3]}
    lost = support_loads(**case).load[1] - support_loads(**case, moment=-34e3 * 0.5).load[1]
    assert lost / 1e3 == pytest.approx(3.8, abs=0.05)


def test_support_that_would_have_to_pull_comes_off():
    stand = support_loads([1e6, 1e6, 1e6], [0.0, 1.0, 2.0], [900.0], [0.1])
    np.testing.assert_allclose(stand.load, [810, 90, 0], rtol=1e-12)
    assert stand.off.tolist() == [False, False, True]


def test_settlement_and_pitch_follow_the_springs():
    stand = support_loads([1e6, 2e6], [0.0, 2.0], [3000.0], [1.0])
    assert stand.settlement == pytest.approx(1.5e-3)
    assert stand.pitch == pytest.approx((0.75e-3 - 1.5e-3) / 2)


def test_a_bump_moves_load_to_the_support_that_stands_on_it():
    # Three equal springs 1 m apart, the middle one raised by h: it gains k h 2/3, the others lose half that.
    flat = support_loads([1e6] * 3, [0, 1, 2], [9000.0], [1.0]).load
    bump = support_loads([1e6] * 3, [0, 1, 2], [9000.0], [1.0], rise=[0, 0.003, 0]).load
    np.testing.assert_allclose(bump - flat, [-1000, 2000, -1000], rtol=1e-9)


def test_a_support_in_a_deep_hole_carries_nothing():
    stand = support_loads([1e6] * 3, [0, 1, 2], [9000.0], [1.0], rise=[0, -0.1, 0])
    np.testing.assert_allclose(stand.load, [4500, 0, 4500], rtol=1e-12)


def by_trying_every_set(stiffness, position, force, turning, two_way, rise):
    """Loads by trying every set of supports in contact: slow, and owes nothing to the solver."""
    for size in range(len(position), 0, -1):
        for chosen in itertools.combinations(range(len(position)), size):
            on = np.isin(np.arange(len(position)), chosen)
            if np.any(two_way & ~on):
                continue
            rows = np.stack([np.ones(size), position[on]])
            matrix = (rows * stiffness[on]) @ rows.T
            if np.linalg.matrix_rank(rows) < 2:
                continue
            motion = np.linalg.solve(matrix, [force, turning] - (rows * stiffness[on]) @ rise[on])
            press = motion[0] + motion[1] * position + rise
            if np.all(press[on & ~two_way] >= 0) and np.all(press[~on] <= 0):
                return np.where(on, stiffness * press, 0.0)
    return None


def test_loads_agree_with_trying_every_set_of_supports():
    rng = np.random.default_rng(7)
    solved = 0
    for _ in range(150):
        count = int(rng.integers(2, 6))
        position, stiffness = rng.uniform(-3, 3, count), 10 ** rng.uniform(4, 7, count)
        two_way = rng.random(count) < 0.2
        rise = rng.normal(size=count) * 1e-3 * rng.integers(0, 2)
        weight, place = rng.uniform(-3e3, 9e3, 3), rng.uniform(-2, 2, 3)
        expected = by_trying_every_set(stiffness, position, weight.sum(), weight @ place, two_way, rise)
        if expected is None:
            with pytest.raises(ValueError, match="nothing can hold"):
                support_loads(stiffness, position, weight, place, two_way=two_way, rise=rise)
            continue
        solved += 1
        found = support_loads(stiffness, position, weight, place, two_way=two_way, rise=rise)
        np.testing.assert_allclose(found.load, expected, atol=1e-7 * np.abs(weight).sum())
    assert 50 < solved < 150


@given(
    st.lists(st.tuples(st.floats(-5, 5), st.floats(4, 8)), min_size=2, max_size=8),
    st.lists(st.tuples(st.floats(0, 1), st.just(0.0) | st.floats(1e-3, 1e5)), min_size=1, max_size=6),
)
@settings(deadline=None, max_examples=100)
def test_forces_and_moments_balance_and_no_support_pulls(supports, weights):
    position = np.array([x for x, _ in supports])
    if np.ptp(position) < 0.1:
        position[0] += 1.0
    share, weight = np.array(weights).T
    place = position.min() + share * np.ptp(position)
    stand = support_loads(10 ** np.array([k for _, k in supports]), position, weight, place)
    scale = max(weight.sum(), 1e-300)
    assert np.all(stand.load >= 0)
    assert abs(stand.load.sum() - weight.sum()) <= 1e-9 * scale
    assert abs(stand.load @ position - weight @ place) <= 1e-9 * scale * 6
    assert stand.residual <= 1e-9


def test_a_mirrored_body_has_mirrored_loads():
    stiffness, position = np.array([1e6, 3e5, 7e5]), np.array([-1.0, 0.4, 2.0])
    one = support_loads(stiffness, position, [5e3, 2e3], [0.3, -0.8], moment=400.0)
    other = support_loads(stiffness, -position, [5e3, 2e3], [-0.3, 0.8], moment=-400.0)
    np.testing.assert_allclose(one.load, other.load, rtol=1e-12)
    assert one.pitch == pytest.approx(-other.pitch)


def test_many_cases_come_out_as_they_do_one_by_one():
    weight = np.random.default_rng(3).uniform(0, 1e4, (4, 3, 2))
    many = support_loads([1e6] * 3, [0, 1, 2.5], weight, [0.2, 2.0])
    assert many.load.shape == (4, 3, 3) and many.settlement.shape == (4, 3)
    one = support_loads([1e6] * 3, [0, 1, 2.5], weight[2, 1], [0.2, 2.0])
    np.testing.assert_allclose(many.load[2, 1], one.load, rtol=1e-12)


def test_more_weight_over_the_supports_never_takes_load_off_two_supports():
    loads = support_loads([1e6, 1e6], [0, 2], np.linspace(0, 1e4, 30)[:, None], [0.7]).load
    assert np.all(np.diff(loads, axis=0) > 0)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"stiffness": [1e6, 0.0]}, "stiffness must be greater than zero; got 0 at index"),
        ({"stiffness": [1e6]}, "stiffness has 1 value"),
        ({"position": [[0, 1]]}, "position must be a list"),
        ({"weight": [np.nan]}, "weight must be a finite number"),
        ({"weight": [1.0, 2.0], "weight_position": [1.0, 2.0, 3.0]}, "one weight_position per weight"),
        ({"rise": [0.0, 0.0, 0.0]}, "one two_way and rise per support"),
        ({"weight_position": [3.0]}, "it tips over under a total load of 1000 N with a moment of 3000 N m"),
        ({"weight": [-1000.0]}, "it lifts off under a total load of -1000 N"),
        ({"weight": [[1.0], [-1.0]]}, r"\(case \(1,\)\)"),
    ],
)
def test_refusals_say_what_is_wrong(change, words):
    case = {"stiffness": [1e6, 1e6], "position": [0.0, 2.0], "weight": [1000.0], "weight_position": [1.0]}
    with pytest.raises(ValueError, match=words):
        support_loads(**{**case, **change})
