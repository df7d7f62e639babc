"""Hinged frames on wheels that push only."""

import numpy as np
import pytest
from random_drill import random_drill, together
from scipy.optimize import linprog, minimize

from downforce.physics.frame import FrameLoad, FrameModel
from downforce.physics.frame_supports import REGIMES, frame_motion, load_size, wheel_loads


def folding_frame(wing_wheel=4.0, stiffness=4e5):
    """Three sections of 4 m, hitched in the middle, one wheel on each wing."""
    y = [-wing_wheel, -1.5, 1.5, wing_wheel]
    return FrameModel(3, 1, [-2.0, 2.0], [0, 1, 1, 2], [4.5] * 4, y, stiffness)


def weights(force, share=0.5, **moments):
    """Weights of the three sections, those of the wings at a share of their width from the hinge."""
    return FrameLoad([0, 1, 2], [4.3] * 3, [-2 - 4 * share, 0.0, 2 + 4 * share], force, **moments)


def free_bodies(model, load, stand):
    """What is left over on each section cut free at its hinges, and in pitch on the whole frame."""
    shape = stand.hitch_load.shape
    force = np.broadcast_to(load.force, (*shape, load.section.size))
    fold = np.broadcast_to(load.fold_moment, (*shape, model.section_count - 1))
    roll = np.broadcast_to(load.roll_moment, (*shape, model.section_count))
    left = []
    for k in range(model.section_count):
        mine, own = load.section == k, model.wheel_section == k
        up = stand.wheel_load[..., own].sum(-1)
        turn = stand.wheel_load[..., own] @ model.wheel_y[own]
        down, moment = force[..., mine].sum(-1), force[..., mine] @ load.y[mine] + roll[..., k]
        if k == model.hitched_section:
            up, turn = up + stand.hitch_load, turn + stand.hitch_load * model.hitch_y
        for hinge in range(model.section_count - 1):
            place = model.hinge_y[hinge]
            outer = hinge + 1 if hinge >= model.hitched_section else hinge
            inner = 2 * hinge + 1 - outer
            # A fold moment presses the tip of the outer section down: to the right on the right-hand side.
            press = fold[..., hinge] * (1 if outer > inner else -1)
            if k == outer:
                down, moment = down - stand.hinge_load[..., hinge], moment + press
                moment = moment - stand.hinge_load[..., hinge] * place
            if k == inner:
                down, moment = down + stand.hinge_load[..., hinge], moment - press
                moment = moment + stand.hinge_load[..., hinge] * place
        left += [down - up, (moment - turn) / 10.0]
    pitch = force @ load.x + load.pitch_moment - stand.wheel_load @ model.wheel_x
    left.append((pitch - stand.hitch_load * model.hitch_x) / 5.0)
    return np.max(np.abs(left), axis=0) / np.abs(force).sum(-1)


def test_every_section_cut_free_is_in_balance():
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(400):
        model, weight, opener = random_drill(rng, least_wheels=0)
        load = together(weight, opener, rng.uniform(0, 1000))
        stand = wheel_loads(model, load, ground_rise=rng.normal(size=model.wheel_section.size) * 0.01)
        if stand.regime < 2:
            held += 1
            assert free_bodies(model, load, stand) <= 1e-9
            assert stand.residual <= 1e-9
            assert np.all(stand.wheel_load >= 0) and np.all(stand.wheel_load[stand.off] == 0)
        else:
            assert np.all(np.isnan(stand.wheel_load)) and np.any(stand.loose_section)
    assert 100 < held < 400


def by_quadratic_programme(model, load, rise):
    """Loads of hitch and wheels by another road: the dual, least spring energy in the loads, by SLSQP.

    A linear programme says first whether any loads can balance. That the rows of balance are right is
    for the test that cuts every section free.
    """
    stiffness, sinking = model.supports()
    total = load.parts(model).sum(axis=0)
    size = np.abs(load.force).sum()
    bounds = [(None, None)] + [(0, None)] * model.wheel_section.size
    reachable = linprog(np.zeros(len(stiffness)), A_eq=sinking.T, b_eq=total / size, bounds=bounds)
    if reachable.status != 0:
        return None
    soft = stiffness.min()
    weight, lift = soft / stiffness, np.concatenate([[0.0], rise]) * soft / size
    answer = minimize(
        lambda share: 0.5 * share @ (weight * share) - lift @ share,
        reachable.x,
        jac=lambda share: weight * share - lift,
        bounds=bounds,
        constraints={"type": "eq", "fun": lambda s: sinking.T @ s - total / size, "jac": lambda s: sinking.T},
        method="SLSQP",
        options={"ftol": 1e-15, "maxiter": 500},
    )
    assert answer.success or "directional derivative" in answer.message, answer.message
    return answer.x * size


def test_loads_agree_with_a_general_quadratic_programme():
    rng = np.random.default_rng(5)
    solved = refused = off = 0
    for _ in range(200):
        model, weight, opener = random_drill(rng, least_wheels=int(rng.integers(0, 2)))
        load = together(weight, opener, rng.uniform(0, 1000))
        rise = rng.normal(size=model.wheel_section.size) * 0.01
        expected = by_quadratic_programme(model, load, rise)
        stand = wheel_loads(model, load, ground_rise=rise)
        if expected is None:
            refused += 1
            assert stand.regime >= 2
            continue
        solved += 1
        off += int(np.any(stand.off))
        found = np.concatenate([[stand.hitch_load], stand.wheel_load])
        np.testing.assert_allclose(found, expected, atol=2e-6 * np.abs(load.force).sum())
    assert solved >= 50 and refused >= 10 and off >= 10


def test_a_single_section_with_two_wheels_is_a_matter_of_levers():
    model = FrameModel(1, 0, [], [0, 0], [4.5, 4.5], [-2.0, 2.0], [1e5, 9e5])
    stand = wheel_loads(model, FrameLoad([0], [3.6], [0.5], [40e3]))
    # By hand: 40 x 3.6 / 4.5 = 32 kN on the wheels, 8 on the hitch; 40 x 0.5 = 20 kN m over 4 m of track.
    np.testing.assert_allclose(stand.wheel_load, [16e3 - 5e3, 16e3 + 5e3], rtol=1e-12)
    assert stand.hitch_load == pytest.approx(8e3)
    assert REGIMES[int(stand.regime)] == "carried on all wheels"


def test_a_wing_rests_on_its_wheel_and_its_hinge():
    model = folding_frame(wing_wheel=5.0)
    stand = wheel_loads(model, FrameLoad([0, 1, 2], [4.5] * 3, [-4.0, 0.0, 4.0], [21e3, 30e3, 21e3]))
    # By hand: a wheel 3 m and a weight 2 m from the hinge: two thirds on the wheel, one third on the hinge.
    np.testing.assert_allclose(stand.wheel_load, [14e3, 22e3, 22e3, 14e3], rtol=1e-9)
    np.testing.assert_allclose(stand.hinge_load, [7e3, 7e3], rtol=1e-9)
    assert stand.hitch_load == pytest.approx(0.0, abs=1e-6)


def test_a_fold_moment_goes_from_the_centre_to_the_wing():
    model = folding_frame(wing_wheel=5.0)
    free = wheel_loads(model, weights([21e3, 30e3, 21e3]))
    pressed = wheel_loads(model, weights([21e3, 30e3, 21e3], fold_moment=[0.0, 6e3]))
    gain = pressed.wheel_load - free.wheel_load
    # By hand: 6 kN m over 3 m is 2 kN more on the right wing's wheel and 2 kN less through the hinge; the
    # centre loses those 2 kN at 2 m and takes a roll of -6 kN m: 10 kN m over its 3 m track.
    np.testing.assert_allclose(gain, [0, -1e3 + 10 / 3 * 1e3, -1e3 - 10 / 3 * 1e3, 2e3], atol=1e-6)
    np.testing.assert_allclose(pressed.hinge_load - free.hinge_load, [0.0, -2e3], atol=1e-6)


def test_a_roll_moment_on_the_centre_presses_its_right_wheel():
    gain = (
        wheel_loads(folding_frame(), weights([2e4] * 3, roll_moment=[0, 3e3, 0])).wheel_load
        - wheel_loads(folding_frame(), weights([2e4] * 3)).wheel_load
    )
    np.testing.assert_allclose(gain, [0, -1e3, 1e3, 0], atol=1e-6)


def test_draft_below_the_hitch_unloads_the_wheels_and_loads_the_hitch():
    model = FrameModel(1, 0, [], [0, 0], [4.5, 4.5], [-2.0, 2.0], 4e5)
    still = wheel_loads(model, FrameLoad([0], [4.3], [0.0], [50e3]))
    moving = wheel_loads(model, FrameLoad([0], [4.3], [0.0], [50e3], pitch_moment=-34e3 * 0.5))
    # By hand: 34 kN x 0.5 m / 4.5 m = 3.8 kN.
    assert (still.wheel_load - moving.wheel_load).sum() / 1e3 == pytest.approx(3.8, abs=0.05)
    assert (moving.hitch_load - still.hitch_load) / 1e3 == pytest.approx(3.8, abs=0.05)


def test_a_hitch_as_good_as_rigid_does_not_spoil_the_balance():
    model = FrameModel(1, 0, [], [0, 0], [4.5, 4.7], [-2.0, 2.0], 1e5, hitch_x=0.3, hitch_stiffness=1e13)
    load = FrameLoad([0], [3.7], [0.3], np.linspace(3e4, 7e4, 50)[:, None])
    stand = wheel_loads(model, load)
    assert np.all(stand.residual <= 1e-13)
    # By hand: three supports, three equations.
    rows = [[1, 1, 1], [4.5, 4.7, 0.3], [-2.0, 2.0, 0.0]]
    weight = load.force[:, 0]
    by_hand = np.linalg.solve(rows, [weight, weight * load.x[0], weight * 0.3]).T
    np.testing.assert_allclose(np.c_[stand.wheel_load, stand.hitch_load], by_hand, rtol=1e-11)


def test_mirrored_drills_have_mirrored_loads():
    rng = np.random.default_rng(21)
    for _ in range(40):
        model, weight, opener = random_drill(rng)
        load = together(weight, opener, rng.uniform(0, 800))
        last = model.section_count - 1
        mirror_model = FrameModel(
            model.section_count,
            last - model.hitched_section,
            -model.hinge_y[::-1],
            last - model.wheel_section,
            model.wheel_x,
            -model.wheel_y,
            model.wheel_stiffness,
            hitch_y=-model.hitch_y,
            hitch_stiffness=model.hitch_stiffness,
        )
        mirror_load = FrameLoad(
            last - load.section,
            load.x,
            -load.y,
            load.force,
            load.pitch_moment,
            -load.roll_moment[::-1],
            load.fold_moment[::-1],
        )
        one, other = wheel_loads(model, load), wheel_loads(mirror_model, mirror_load)
        assert one.regime == other.regime
        scale = np.abs(load.force).sum()
        np.testing.assert_allclose(one.wheel_load, other.wheel_load, atol=1e-9 * scale)
        np.testing.assert_allclose(one.hinge_load, other.hinge_load[::-1], atol=1e-9 * scale)


def test_wheel_loads_grow_with_weight_over_the_wheels_and_with_fold_moment():
    model = folding_frame(wing_wheel=4.5)
    force = np.repeat([[2e4, 3e4, 2e4]], 12, axis=0)
    force[:, 2] += np.linspace(0, 5e3, 12)
    assert np.all(np.diff(wheel_loads(model, weights(force)).wheel_load[:, 3]) > 0)
    fold = np.zeros((12, 2))
    fold[:, 1] = np.linspace(0, 1e4, 12)
    stand = wheel_loads(model, weights([2e4, 3e4, 2e4], fold_moment=fold))
    assert np.all(np.diff(stand.wheel_load[:, 3]) > 0)
    assert np.all(np.diff(stand.wheel_load[:, 1:3].sum(axis=1)) < 0)


def test_a_wheel_in_a_hole_hands_its_load_to_its_partner():
    model = FrameModel(1, 0, [], [0, 0, 0], [4.5, 4.5, 4.5], [-2.0, 1.9, 2.1], 4e5)
    load = FrameLoad([0], [4.5], [0.0], [40e3])
    stand = wheel_loads(model, load, ground_rise=[0.0, 0.0, -0.2])
    assert stand.off.tolist() == [False, False, True]
    assert REGIMES[int(stand.regime)] == "some wheels off"
    np.testing.assert_allclose(stand.wheel_load, [40e3 * 1.9 / 3.9, 40e3 * 2.0 / 3.9, 0.0], rtol=1e-9)


def test_frames_without_balance_are_named():
    lifted = wheel_loads(folding_frame(), weights([20e3, 30e3, -10.0]))
    assert REGIMES[int(lifted.regime)] == "lifts or tips"
    assert lifted.loose_section.tolist() == [False, False, True]
    no_wheel = FrameModel(2, 0, [2.0], [0, 0], [4.5, 4.5], [-1.5, 1.5], 4e5)
    fallen = wheel_loads(no_wheel, FrameLoad([0, 1], [4.3, 4.3], [0.0, 4.0], [30e3, 10e3]))
    assert REGIMES[int(fallen.regime)] == "drops"
    assert fallen.loose_section.tolist() == [False, True]
    raised = wheel_loads(no_wheel, FrameLoad([0, 1], [4.3, 4.3], [0.0, 4.0], [30e3, -2e3]))
    assert REGIMES[int(raised.regime)] == "lifts or tips"
    tipped = wheel_loads(folding_frame(), weights([20e3, 30e3, 20e3], roll_moment=[0, 2e6, 0]))
    assert REGIMES[int(tipped.regime)] == "lifts or tips"


def test_a_wing_without_wheels_hangs_on_exactly_its_fold_moment():
    model = FrameModel(2, 0, [2.0], [0, 0], [4.5, 4.5], [-1.5, 1.5], 4e5)
    load = FrameLoad([0, 1], [4.5, 4.5], [-1.0, 3.0], [30e3, 3e3], fold_moment=[-3e3])
    stand = wheel_loads(model, load)
    assert stand.regime == 0
    assert stand.hinge_load[0] == pytest.approx(3e3)
    # By hand about the middle: -30 + 3 x 2 + 3 = -21 kN m over 3 m of track.
    np.testing.assert_allclose(stand.wheel_load, [16.5e3 + 7e3, 16.5e3 - 7e3], rtol=1e-9)


def test_heights_follow_the_tyres():
    stand = wheel_loads(folding_frame(), weights([2e4, 3e4, 2e4]))
    height = stand.height(folding_frame(), [0, 1, 1, 2], [4.5] * 4, [-4.0, -1.5, 1.5, 4.0])
    np.testing.assert_allclose(height, -stand.wheel_load / 4e5, rtol=1e-9)
    both = stand.height(folding_frame(), [1, 2], [3.0, 3.0], [2.0, 2.0])
    assert both[0] == pytest.approx(both[1], abs=1e-15)


def test_many_cases_come_out_as_they_do_one_by_one():
    rng = np.random.default_rng(2)
    force = rng.uniform(-5e3, 4e4, (5, 4, 3))
    many = wheel_loads(folding_frame(), weights(force, pitch_moment=np.linspace(0, -1e4, 4)))
    for i, j in [(0, 0), (2, 3), (4, 1)]:
        one = wheel_loads(folding_frame(), weights(force[i, j], pitch_moment=np.linspace(0, -1e4, 4)[j]))
        assert one.regime == many.regime[i, j]
        np.testing.assert_allclose(one.wheel_load, many.wheel_load[i, j], rtol=1e-9, atol=1e-6)
    assert many.hinge_load.shape == (5, 4, 2) and many.loose_section.shape == (5, 4, 3)


GOOD = {
    "section_count": 2,
    "hitched_section": 0,
    "hinge_y": [2.0],
    "wheel_section": [0, 0, 1],
    "wheel_x": [4.5] * 3,
    "wheel_y": [-1.5, 1.5, 4.0],
    "wheel_stiffness": 4e5,
}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"hitched_section": 2}, "hitched_section must be one of the sections 0 to 1; got 2"),
        ({"hinge_y": [2.0, 3.0]}, r"hinge_y must hold 1 place\(s\)"),
        ({"section_count": 3, "hinge_y": [2.0, 1.0]}, "rising from left to right"),
        ({"wheel_section": [0, 0, 2]}, "wheel_section must be a list of whole numbers from 0 to 1; got 2"),
        ({"wheel_section": [0, 0.5, 1]}, "got 0.5"),
        ({"wheel_x": [4.5, 4.5]}, r"wheel_x must hold one value for each of the 3 wheel\(s\).*got 2"),
        ({"wheel_stiffness": [1e5, -1.0, 1e5]}, "wheel_stiffness must be greater than zero; got -1 at index"),
        ({"hitch_stiffness": 0.0}, "hitch_stiffness must be greater than zero"),
    ],
)
def test_impossible_frames_are_refused(change, words):
    with pytest.raises(ValueError, match=words):
        FrameModel(**{**GOOD, **change})


def test_impossible_loads_are_refused():
    model = FrameModel(**GOOD)
    with pytest.raises(ValueError, match=r"force must hold one value for each of the 2 force\(s\)"):
        FrameLoad([0, 1], [4, 4], [0, 4], [1.0])
    with pytest.raises(ValueError, match="x must hold one value"):
        FrameLoad([0, 1], [[4, 4, 4]], [0, 4], [1.0, 2.0])
    with pytest.raises(ValueError, match="section must be a list of whole numbers"):
        wheel_loads(model, FrameLoad([0, 2], [4, 4], [0, 4], [1.0, 1.0]))
    with pytest.raises(ValueError, match=r"2 roll_moment\(s\) and 1 fold_moment\(s\)"):
        wheel_loads(model, FrameLoad([0], [4], [0], [1.0], roll_moment=[1.0, 2.0, 3.0]))
    with pytest.raises(ValueError, match=r"each of the 3 wheel\(s\)"):
        wheel_loads(model, FrameLoad([0], [4], [0], [1.0]), ground_rise=[0.0, 0.1])
    with pytest.raises(ValueError, match="force must be a finite number; got nan at index"):
        FrameLoad([0], [4], [0], [np.nan])


def test_the_motion_alone_is_that_of_the_whole_answer():
    """Many cases at once and one by one, held and lifted."""
    rng, held = np.random.default_rng(8), 0
    for _ in range(60):
        model, weight, opener = random_drill(rng)
        loads = [together(weight, opener, scale) for scale in rng.uniform(0, 1000, 4)]
        work = np.array([load.parts(model).sum(axis=-2) for load in loads])
        size = np.array([load_size(model, load) for load in loads])
        found = frame_motion(model, work, size)
        for load, motion, *alone in zip(loads, found, work, size, strict=True):
            stand = wheel_loads(model, load)
            held += stand.regime < 2
            assert np.isnan(motion).all() == (stand.regime >= 2)
            if stand.regime < 2:
                assert motion == pytest.approx(stand.motion, rel=1e-9, abs=1e-15)
            one = frame_motion(model, *alone)
            assert one == pytest.approx(motion, rel=1e-9, abs=1e-15, nan_ok=True)
    assert 60 < held < 240
