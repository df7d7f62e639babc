"""The path of lift: wheels going light while the opener loads grow."""

import numpy as np
import pytest
from random_drill import random_drill, together

from downforce.physics.frame import FrameLoad, FrameModel
from downforce.physics.frame_lift import first_lift
from downforce.physics.frame_supports import wheel_loads

WING = 4000 * 9.81 - 21 * 92 * 9.81  # weight of a wing of 4 t without its 21 openers of 92 kg
ROWS = np.arange(21)
ACROSS = -6 + 12 * (np.arange(63) + 0.5) / 63


def wheel_load_at(path, scale):
    """Load of each wheel at a scale, also beyond lift-offs: straight lines between events."""
    after = np.sum(path.scale <= scale, axis=-1)  # NaN counts as later
    last = np.maximum(after - 1, 0)[..., None]
    following = np.minimum(last + 1, path.scale.shape[-1] - 1)
    start, end = (np.take_along_axis(path.scale, place, axis=-1) for place in (last, following))
    load, there = (
        np.take_along_axis(path.wheel_load, place[..., None], axis=-2)[..., 0, :]
        for place in (last, following)
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = (there - load) / (end - start)
    rate = np.where(end > start, rate, path.last_rate[..., 1:])
    return load + rate * (scale - start)


def teaching_drill(wing_wheels=(4.0,)):
    """Three sections of 4 m with 21 rows each, hitched in the middle."""
    out = np.array(wing_wheels)
    side = len(out)
    section = np.r_[np.zeros(side, int), 1, 1, np.full(side, 2)]
    x = 4.5 + 0.1 * np.arange(len(section))
    return FrameModel(3, 1, [-2.0, 2.0], section, x, np.r_[-out, -1.5, 1.5, out], 4e5)


def net_weights(share, fold=(0.0, 0.0), centre=WING):
    """The net weights of the sections, those of the wings at a share of their width from the hinge."""
    place = [-2 - 4 * share, 0.0, 2 + 4 * share]
    return FrameLoad([0, 1, 2], [4.6] * 3, place, [WING, centre, WING], fold_moment=fold)


OPENERS = FrameLoad(np.repeat([0, 1, 2], 21), np.full(63, 4.6), ACROSS, np.full(63, -1.0))


@pytest.mark.parametrize("wheels", [(3.6,), (4.0,), (5.9,), (3.0, 5.0)])
@pytest.mark.parametrize(("share", "opener_load"), [(0.40, 773), (0.45, 869), (0.50, 966)])
def test_wings_lift_where_the_hand_sum_says_wherever_their_wheels_are(share, opener_load, wheels):
    # By hand, about the hinge: 4 t wing, 21 openers of 92 kg, g = 9.81: W share / (21 x 0.5).
    path = first_lift(teaching_drill(wheels), net_weights(share), OPENERS)
    np.testing.assert_allclose(path.float_scale[[0, 2]], opener_load, atol=0.5)


def test_a_fold_moment_of_10_kn_m_is_worth_238_n_an_opener():
    # By hand: 10 kN m / (21 x 2 m).
    free = first_lift(teaching_drill(), net_weights(0.45, centre=2 * WING), OPENERS)
    pressed = first_lift(teaching_drill(), net_weights(0.45, (10e3, 10e3), 2 * WING), OPENERS)
    np.testing.assert_allclose((pressed.float_scale - free.float_scale)[[0, 2]], 238, atol=0.5)
    # The moment comes from the centre: by hand, its wheels lose 10 kN m over the wings' 2 m on either side.
    lost = wheel_load_at(free, 0.0) - wheel_load_at(pressed, 0.0)
    assert lost[1:3].sum() == pytest.approx(2 * 10e3 / 2.0, rel=0.03)
    assert pressed.section_scale[1] < free.section_scale[1]


def test_too_much_fold_moment_lifts_a_light_centre_before_the_wings():
    free = first_lift(teaching_drill(), net_weights(0.45), OPENERS)
    pressed = first_lift(teaching_drill(), net_weights(0.45, (10e3, 10e3)), OPENERS)
    assert np.argmin(free.wheel_scale) in (0, 3) and free.section_wheel[1] in (1, 2)
    # The centre takes the wings' hinges up with it: all float, and only the centre's wheels have gone light.
    assert np.argmin(pressed.wheel_scale) in (1, 2) and pressed.section_wheel[[0, 2]].tolist() == [-1, -1]
    assert np.ptp(pressed.float_scale) == 0
    assert np.min(pressed.section_scale) < np.min(free.section_scale)


def test_the_wheel_that_goes_first_is_named():
    base = FrameLoad([0, 1, 2], [4.6] * 3, [-3.9, -0.3, 4.1], [WING, 2 * WING, WING])
    path = first_lift(teaching_drill(), base, OPENERS)
    assert path.section_wheel.tolist() == [0, 2, 3]
    assert path.section_scale[0] < path.section_scale[2]
    assert path.wheel_scale[2] < path.wheel_scale[1]


def grown(path, opener, scale):
    """What the openers really take at a scale: those of a floating section stay where they were."""
    return np.minimum(scale, path.float_scale)[opener.section]


def test_the_path_equals_a_scan_of_solved_frames():
    rng = np.random.default_rng(31)
    compared = beyond = events = 0
    for _ in range(80):
        model, weight, opener = random_drill(rng)
        path = first_lift(model, weight, opener)
        if not path.held:
            assert wheel_loads(model, weight).regime >= 2
            continue
        top = 1.3 * np.max(path.float_scale[np.isfinite(path.float_scale)], initial=500.0)
        scales = np.linspace(0, top, 60) + 0.123
        share = np.array([grown(path, opener, scale) for scale in scales])
        stand = wheel_loads(model, together(weight, opener, share))
        size = np.abs(weight.force).sum()
        for scale, loads, regime in zip(scales, stand.wheel_load, stand.regime, strict=True):
            if np.all(scale > path.float_scale) and regime >= 2:
                continue  # nothing but the hitch is left: balance then hangs on the last digit
            compared += 1
            beyond += int(np.any(scale > path.float_scale))
            assert regime < 2
            np.testing.assert_allclose(wheel_load_at(path, scale), loads, atol=1e-8 * size)
        events += np.isfinite(path.scale).sum()
    assert compared > 1500 and beyond > 300 and events > 200


def test_no_wheel_is_light_before_first_lift_and_one_is_just_after():
    rng = np.random.default_rng(41)
    checked = 0
    for _ in range(80):
        model, weight, opener = random_drill(rng)
        limit = 300.0
        first = np.min(first_lift(model, weight, opener, limit_load=limit).section_scale)
        if not 0 < first < np.inf:
            continue
        scales = first * np.concatenate([np.linspace(0, 1 - 1e-6, 50), [1 + 1e-6]])
        stand = wheel_loads(model, together(weight, opener, scales[:, None]))
        light = (stand.regime >= 2) | ~np.all(stand.wheel_load > limit, axis=1)
        assert light.tolist() == [False] * 50 + [True]
        checked += 1
    assert checked > 20


def test_a_wheel_stands_at_its_limit_load_at_its_scale():
    path = first_lift(teaching_drill(), net_weights(0.45), OPENERS, limit_load=[500.0, 800.0, 0.0, 500.0])
    for wheel, limit in [(0, 500.0), (1, 800.0), (2, 0.0)]:
        assert wheel_load_at(path, path.wheel_scale[wheel])[wheel] == pytest.approx(limit, abs=1e-6)
    bare = first_lift(teaching_drill(), net_weights(0.45), OPENERS)
    assert np.all(path.section_scale <= bare.section_scale)
    assert path.section_scale[0] < bare.section_scale[0]


def test_beyond_lift_a_floating_section_takes_no_more_from_its_wheels_and_the_centre_goes_on():
    path = first_lift(teaching_drill(), net_weights(0.40), OPENERS)
    at = path.float_scale[0]
    after = wheel_load_at(path, at + 100) - wheel_load_at(path, at)
    # By hand, about the hitch: only the centre's 21 openers go on, 100 N each, at 4.6 m; wheels 4.6, 4.7 m.
    assert after[0] == 0 and after[3] == 0
    np.testing.assert_allclose(after[1] * 4.6 + after[2] * 4.7, -2100 * 4.6, rtol=1e-9)
    assert path.section_scale[1] > at


def test_hitch_load_changing_its_sign_is_found():
    # By hand: openers ahead of the wheels lift the hitch: 50 x 0.2 kN m = P x 0.5 m about the wheels.
    model = FrameModel(1, 0, [], [0, 0], [4.5, 4.5], [-2.0, 2.0], 4e5)
    path = first_lift(model, FrameLoad([0], [4.3], [0.0], [50e3]), FrameLoad([0], [4.0], [0.0], [-1.0]))
    assert path.hitch_scale == pytest.approx(20e3)
    rear = first_lift(model, FrameLoad([0], [4.3], [0.0], [50e3]), FrameLoad([0], [5.2], [0.0], [-1.0]))
    # By hand: 50 x 4.3 / 5.2 = 41.3 kN lifts the wheels; the hitch gains all the way.
    assert rear.float_scale[0] / 1e3 == pytest.approx(41.3, abs=0.05)
    assert np.isinf(rear.hitch_scale)
    # A pull at the hitch itself leaves the wheels alone: by hand, 50 x 0.2 / 4.5 = 2.22 kN.
    own = first_lift(model, FrameLoad([0], [4.3], [0.0], [50e3]), FrameLoad([0], [0.0], [0.0], [-1.0]))
    assert own.hitch_scale == pytest.approx(50e3 * 0.2 / 4.5, rel=1e-9)
    assert np.all(np.isinf(own.wheel_scale))
    assert np.all(np.diff(rear.hitch_load[np.isfinite(rear.scale)]) > 0)


def test_a_load_that_presses_down_never_lifts():
    path = first_lift(teaching_drill(), net_weights(0.45), FrameLoad([1], [4.5], [0.0], [5.0]))
    assert np.all(np.isinf(path.section_scale)) and np.all(np.isinf(path.wheel_scale))
    assert path.section_wheel.tolist() == [-1, -1, -1]


def test_a_growing_fold_moment_lifts_the_centre_in_the_end():
    model = FrameModel(3, 1, [-2.0, 2.0], [0, 1, 1, 2], [4.6] * 4, [-4.0, -1.5, 1.5, 4.0], 4e5)
    press = FrameLoad([0], [4.5], [-4.0], [0.0], fold_moment=[1.0, 1.0])
    path = first_lift(model, net_weights(0.5), press)
    # By hand: the wheel of each wing is 2 m out, so each hinge loses M/2, the centre's wheels M of WING.
    assert path.section_scale[1] == pytest.approx(WING, rel=1e-9)
    assert path.section_wheel[1] in (1, 2) and path.section_wheel[[0, 2]].tolist() == [-1, -1]


def test_a_frame_without_balance_at_the_start_is_told_apart():
    base = FrameLoad([0, 1, 2], [4.6] * 3, [-4.0, 0.0, 4.0], [[WING] * 3, [WING, WING, -5.0]])
    path = first_lift(teaching_drill(), base, OPENERS)
    assert path.held.tolist() == [True, False]
    assert np.all(np.isnan(path.section_scale[1])) and np.all(np.isfinite(path.section_scale[0]))
    assert path.section_wheel[1].tolist() == [-1, -1, -1]


def test_lift_comes_later_with_weight_and_with_fold_moment_on_the_wing():
    force = np.array([WING, 2 * WING, WING]) * np.linspace(0.8, 1.4, 9)[:, None]
    base = FrameLoad([0, 1, 2], [4.6] * 3, [-3.8, 0.0, 3.8], force)
    assert np.all(np.diff(first_lift(teaching_drill(), base, OPENERS).section_scale, axis=0) > 0)
    fold = np.linspace(0, 1e4, 9)[:, None] * [0.0, 1.0]
    base = FrameLoad([0, 1, 2], [4.6] * 3, [-3.8, 0.0, 3.8], [WING, 2 * WING, WING], fold_moment=fold)
    scale = first_lift(teaching_drill(), base, OPENERS).section_scale
    assert np.all(np.diff(scale[:, 2]) > 0) and np.all(np.diff(scale[:, 1]) < 1e-6)


def test_mirrored_weights_lift_the_mirrored_sections():
    model = FrameModel(3, 1, [-2.0, 2.0], [0, 1, 1, 2], [4.5] * 4, [-4.0, -1.5, 1.5, 4.0], 4e5)
    force = np.array([[WING, WING, 0.8 * WING], [0.8 * WING, WING, WING]])
    path = first_lift(model, FrameLoad([0, 1, 2], [4.6] * 3, [-3.8, 0.0, 3.8], force), OPENERS)
    np.testing.assert_allclose(path.section_scale[0], path.section_scale[1, ::-1], rtol=1e-9)
    np.testing.assert_allclose(path.wheel_scale[0], path.wheel_scale[1, ::-1], rtol=1e-9)


def test_many_cases_come_out_as_they_do_one_by_one():
    rng = np.random.default_rng(8)
    model, weight, opener = random_drill(rng)
    while model.section_count < 3:
        model, weight, opener = random_drill(rng)
    force = weight.force * rng.uniform(0.7, 1.3, (4, 5, model.section_count))
    base = FrameLoad(weight.section, weight.x, weight.y, force)
    many = first_lift(model, base, opener)
    for index in [(0, 0), (3, 4), (1, 2)]:
        one = first_lift(model, FrameLoad(weight.section, weight.x, weight.y, force[index]), opener)
        np.testing.assert_allclose(one.wheel_scale, many.wheel_scale[index], rtol=1e-9)
        np.testing.assert_allclose(wheel_load_at(one, 321.0), wheel_load_at(many, 321.0)[index], atol=1e-6)


def test_refusals_name_the_value():
    with pytest.raises(ValueError, match="limit_load must not be negative"):
        first_lift(teaching_drill(), net_weights(0.5), OPENERS, limit_load=-1.0)
