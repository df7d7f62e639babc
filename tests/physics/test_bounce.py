"""An opener on a gauge wheel that gives: swing, damping, transmissibility, rest, flight, rubbing seals."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from downforce.physics.bounce import Wheel, bends, mirrored, ride


def riding(
    wheel, ground, time, preload=1e5, soil=0.0, friction=0.0, room=1.0, exponent=1.0, depth=0.04, **more
):
    """Openers over a ground given as heights at equal steps, one column each."""
    ground = np.asarray(ground, float).reshape(len(ground), -1)
    acceleration = bends((ground[2:] - 2 * ground[1:-1] + ground[:-2]) / time**2)
    climb = np.diff(ground, axis=0)[1:]
    openers = ground.shape[1]
    held = [np.full((1, openers), float(value)) for value in (preload, soil, 0.0, friction, room)]
    return ride(wheel, acceleration, climb, *held, 1.0, depth, exponent, time, **more)


@pytest.mark.parametrize(("stiffness", "hertz"), [(60e3, 3.898), (120e3, 5.513), (250e3, 7.958)])
def test_own_frequency_of_a_hundred_kilograms(stiffness, hertz):
    assert Wheel(100.0, stiffness, 0.2).own_frequency / (2 * math.pi) == pytest.approx(hertz, abs=5e-4)


def test_damping_and_settling_by_hand():
    """120 N/mm and 100 kg with 1500 N s/m: a damping ratio of 0.2165; a swing falls by e^-5 = 1/148."""
    wheel = Wheel(100.0, 120e3, 0.2165)
    assert wheel.damping == pytest.approx(1500.0, rel=1e-3)
    assert math.exp(-wheel.damping / 200.0 * wheel.settling_time) == pytest.approx(1 / 148.4, rel=1e-3)


@pytest.mark.parametrize(
    ("ratio", "damping", "expected"),
    [
        (1.0, 0.1, 5.099),
        (1.0, 0.2, 2.6926),
        (math.sqrt(2), 0.1, 1.0),
        (math.sqrt(2), 0.3, 1.0),
        (2.0, 0.1, 0.35586),
    ],
)
def test_transmissibility_of_a_wavy_ground(ratio, damping, expected):
    """Base-excited mass on spring and damper, T(r, zeta): any book on vibration."""
    wheel = Wheel(100.0, 120e3, damping)
    rate = ratio * wheel.own_frequency
    time = 2 * math.pi / rate / 24
    ground = 1e-3 * np.sin(rate * time * np.arange(24 * 60))
    swing, _ = riding(wheel, ground, time, settle=24 * 50)
    whole = swing[: 24 * 9]  # the ground is mirrored beyond its end
    assert math.sqrt(2) * whole.std() == pytest.approx(1e-3 * rate**2 * expected, rel=2e-3)


def test_at_rest_nothing_moves_and_a_shallow_disc_stays_where_the_soil_bears_it():
    wheel, level = Wheel(90.0, 120e3, 0.2), np.zeros((60, 3))
    for preload, soil, exponent in ((300.0, 900.0, 1.0), (-300.0, 900.0, 1.0), (-300.0, 900.0, 1.5)):
        swing, rubbing = riding(wheel, level, 0.04, preload, soil, exponent=exponent)
        assert np.abs(swing).max() < 1e-5 and not rubbing.any()  # single precision: 0.001 N


def test_a_solver_with_an_error_bound_finds_the_same_flight():
    """One opener that leaves the ground, 150 N left on its wheel, soil under it, no seals: scipy's solver."""
    wheel, preload, soil, depth, time = Wheel(84.0, 120e3, 0.2), 250.0, 1000.0, 0.04, 0.04
    count = 400
    waves = np.random.default_rng(5).uniform(0, 2 * math.pi, 40)
    rates = np.linspace(2.0, 40.0, 40)

    def height(t):
        return 1.3e-3 * np.sin(np.outer(t, rates) + waves).sum(axis=1)

    def lift(t):
        return -1.3e-3 * (rates**2 * np.sin(rates * t + waves)).sum()

    swing, _ = riding(wheel, height(time * np.arange(-1, count + 1)), time, preload, soil, depth=depth)

    def motion(t, state):
        y, rate = state
        wheel_load = max(0.0, -wheel.stiffness * y - wheel.damping * rate)
        down = preload + soil * min(max(y, 0.0) / depth, 1.0)
        return [rate, (wheel_load - down) / wheel.mass - lift(t)]

    start = [-preload / wheel.stiffness, 0.0]
    found = solve_ivp(
        motion,
        (0.0, time * count),
        start,
        t_eval=time * np.arange(count),
        rtol=1e-7,
        atol=1e-9,
        max_step=0.01,
    )
    y, rate = found.y
    exact = np.maximum(0.0, -wheel.stiffness * y - wheel.damping * rate)
    soil_lost = soil * np.clip(y / depth, 0.0, 1.0)
    ours = wheel.mass * swing[:, 0] + preload + soil_lost
    assert np.mean(exact == 0) > 0.1
    assert np.maximum(ours, 0)[20:].std() == pytest.approx(exact[20:].std(), rel=0.01)
    assert np.corrcoef(ours[20:], exact[20:])[0, 1] > 0.998


def test_seals_rub_against_the_motion_and_stick_at_rest():
    """Slowly up a ramp and down again: friction is added to the push, then taken off; the wheel bears it."""
    ramp = np.concatenate((np.arange(50), np.full(50, 50), np.arange(50, 0, -1))) * 5e-3
    swing, rubbing = riding(Wheel(90.0, 120e3, 0.2), ramp, 0.04, 400.0, 900.0, friction=76.0)
    assert rubbing[20:45].min() == 1.0 and rubbing[-20:].max() == -1.0
    assert np.abs(rubbing[70:90]).max() < 0.01
    assert np.abs(swing[25:45]).max() < 0.05


def test_a_disc_is_thrown_no_higher_than_its_stop():
    """A step of 80 mm, with the upper stop far above and 5 mm above."""
    ground = np.zeros((200, 1))
    ground[100:] = 0.08
    wheel = Wheel(90.0, 120e3, 0.2)
    free, held = (riding(wheel, ground, 0.04, 300.0, 900.0, room=room)[0] for room in (1.0, 0.005))
    assert np.abs(free - held).max() > 1.0
    assert np.abs(held[-20:]).max() < 0.01


def test_bends_are_those_of_a_smooth_curve():
    """Of a wave of ten points; the second difference alone leaves 3 % less, the spline 0.04 % more."""
    angle = 2 * math.pi / 10
    wave = np.sin(angle * np.arange(200))
    second = wave[2:] - 2 * wave[1:-1] + wave[:-2]
    exact = -(angle**2) * wave[1:-1]
    inner = slice(20, -20)
    assert np.abs(second - exact)[inner].max() > 0.03 * angle**2
    smooth = bends(second)
    left = (smooth[:-2] + 4 * smooth[1:-1] + smooth[2:]) / 6
    assert left[inner] == pytest.approx(second[1:-1][inner], abs=1e-3 * angle**2)
    strided = bends(np.repeat(second, 2), 2)[::2]
    assert strided[inner] == pytest.approx(smooth[inner], abs=1e-12)
    assert bends(second[:1]) == second[:1]


def test_a_mirrored_row():
    assert list(mirrored(np.arange(-3, 7), 4)) == [3, 2, 1, 0, 1, 2, 3, 2, 1, 0]
    assert list(mirrored(np.array([-2, 5]), 1)) == [0, 0]


def test_what_makes_no_sense_is_refused():
    level = np.zeros((10, 1))
    for more in ({"time": 0.0}, {"time": 0.04, "depth": 0.0}, {"time": 0.04, "exponent": -1.0}):
        with pytest.raises(ValueError, match="must be"):
            riding(Wheel(90.0, 120e3, 0.2), level, **more)
    with pytest.raises(ValueError, match="settle"):
        riding(Wheel(90.0, 120e3, 0.2), level, 0.04, settle=-1)
