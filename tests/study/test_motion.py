"""Openers in motion over a field: against an outside solver, cut and whole, coarse and fine, sample, pass."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline

from downforce.machine.shipped import example_drill, example_field
from downforce.study.field_pass import press, run_pass
from downforce.study.ground import motion
from downforce.study.ground.crossing import cross_field
from downforce.study.ground.field_ground import field_ground
from downforce.study.ground.pass_report import PassCase, long_pass_shares
from downforce.study.pressure_setting import recommend
from downforce.study.setting.row_needs import pass_sample

DRILL, FIRM = example_drill("air_drill_12m"), example_field("firm")
PRESSURE = 68e5
STILL = pass_sample(DRILL, FIRM, 200).at_rest()
DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
FIELDS = ("moist_soft", "firm", "dry_hard_tracks")


def with_wheel(stiffness, damping=0.2, friction=True):
    cylinder = (
        DRILL.cylinder if friction else replace(DRILL.cylinder, friction_pressure=0.0, friction_share=0.0)
    )
    opener = replace(DRILL.opener, gauge_wheel_stiffness=stiffness, gauge_wheel_damping=damping)
    return replace(DRILL, opener=opener, cylinder=cylinder)


def by_solver(drill, field, speed, count, rows):
    """Gauge-wheel loads by solve_ivp on ground asked for every 12.5 mm, all written anew."""
    opener, cylinder = drill.opener, drill.cylinder
    ground, step = field_ground(drill, field, 1), 0.0125
    place = np.arange(-40, int(count * 0.1 / step) + 40) * step
    height = ground.height(place)[:, rows]
    frame = ground.frame_plane(place)[:, rows]
    shape, travel = CubicSpline(place, height), CubicSpline(place, height - frame)
    met = cross_field(drill, field, 1, count, speed=speed)
    station = np.arange(count) * 0.1
    at_depth = met.reaction[:, rows] * field.target_depth / field.soil.reference_depth
    ratio = field.soil.draft_ratio * (1 + 0.04 * 3.6 * (speed - field.speed))
    w, c, _, t = (float(share) for share in opener.shares(0.0, 0.0))
    mass, lever = w * opener.mass, float(cylinder.leverage(opener, 0.0))
    stiffness = opener.gauge_wheel_stiffness
    damping = 2 * opener.gauge_wheel_damping * np.sqrt(stiffness * mass)
    push = PRESSURE * cylinder.area * lever + w * opener.weight - c * opener.closing_load
    friction = cylinder.area * lever * (cylinder.friction_pressure + cylinder.friction_share * PRESSURE)
    bend, slope = shape.derivative(2), travel.derivative()

    def loads(t_, y, rate):
        i = min(int(speed * t_ / 0.1 + 0.5), count - 1)
        x = speed * t_
        soil = at_depth[i] * (1 + ratio * t)
        lost = soil * np.clip(y / field.target_depth, 0.0, 1.0)
        rub = friction * np.clip((speed * slope(x) + rate) / 0.01, -1.0, 1.0)
        wheel = np.maximum(0.0, -stiffness * y - damping * rate)
        return wheel, push - soil + lost + rub

    def moving(t_, state):
        y, rate = state.reshape(2, -1)
        wheel, down = loads(t_, y, rate)
        return np.concatenate((rate, (wheel - down) / mass - speed**2 * bend(speed * t_)))

    start = np.zeros(2 * len(rows))
    found = solve_ivp(
        moving, (0, station[-1] / speed), start, t_eval=station / speed, rtol=1e-3, atol=1e-5, max_step=0.02
    )
    y, rate = found.y.reshape(2, len(rows), -1)
    return np.array([loads(*each)[0] for each in zip(found.t, y.T, rate.T, strict=True)])


@pytest.mark.parametrize(("speed", "stiffness"), [(6 / 3.6, 250e3), (9 / 3.6, 120e3), (12 / 3.6, 60e3)])
def test_an_outside_solver_finds_the_same_spread_and_the_same_short_rows(speed, stiffness):
    """Standard deviation within 3 %, share short within 1 point: scipy's solve_ivp, ten rows."""
    drill, rows, count = with_wheel(stiffness), np.arange(2, 63, 6), 500
    field = replace(FIRM, terrace=None)
    ours = run_pass(drill, field, drill.cylinder, PRESSURE, 1, count, speed=speed).gauge_wheel_load[30:, rows]
    exact = by_solver(drill, field, speed, count, rows)[30:]
    least = field.aim.least_load
    assert ours.std() == pytest.approx(exact.std(), rel=0.03)
    assert np.mean(ours < least) == pytest.approx(np.mean(exact < least), abs=0.01)


@pytest.mark.parametrize("actuator", ["spring", "cylinder"])
def test_stretches_do_not_show(monkeypatch, actuator):
    """One long march from the first station on, against many stretches and blocks side by side."""
    part, pressure = (DRILL.spring, None) if actuator == "spring" else (DRILL.cylinder, PRESSURE)
    crossing = cross_field(DRILL, FIRM, 1, 400)
    many = press(DRILL, FIRM, crossing, part, pressure)
    monkeypatch.setattr(motion, "_CALL", 0)
    whole = press(DRILL, FIRM, crossing, part, pressure)
    monkeypatch.undo()
    monkeypatch.setattr("downforce.study.field_pass.RIDE_OPENERS", 63 * 150)
    blocks = press(DRILL, FIRM, crossing, part, pressure)
    for one in (many, blocks):
        off = np.abs(one.gauge_wheel_load - whole.gauge_wheel_load)[40:]
        # On bare springs a shallow disc swings in the soil with nothing to damp it, and forgets more slowly.
        assert np.mean(off > 20.0) < (0.15 if actuator == "spring" else 0.01)
        assert one.shares().spread == pytest.approx(whole.shares().spread, rel=0.005)
        assert one.shares().short == pytest.approx(whole.shares().short, abs=0.003)


def test_half_the_stations_give_the_same():
    even = replace(FIRM, soil=replace(FIRM.soil, spread=0.0))
    fine, usual, wide = (
        run_pass(DRILL, even, DRILL.cylinder, PRESSURE, 1, round(150 / step), step).shares()
        for step in (0.05, 0.1, 0.2)
    )
    for other in (fine, wide):
        assert other.spread == pytest.approx(usual.spread, rel=0.02)
        assert other.short == pytest.approx(usual.short, abs=0.01)


def test_places_far_apart_ride_as_on_the_whole_way():
    even = replace(FIRM, soil=replace(FIRM.soil, spread=0.0))
    whole = run_pass(DRILL, even, DRILL.cylinder, PRESSURE, 1, 1150)
    apart = run_pass(DRILL, even, DRILL.cylinder, PRESSURE, 1, 50, 2.3)
    assert apart.crossing.alone
    met = np.corrcoef(apart.acceleration[2:].ravel(), whole.acceleration[46::23].ravel())[0, 1]
    assert met > 0.93
    assert apart.shares().spread == pytest.approx(whole.shares().spread, rel=0.04)


@pytest.mark.parametrize("drill", DRILLS)
def test_without_speed_bumps_and_friction_it_is_the_balance_at_rest(drill):
    drill = example_drill(drill)
    smooth = replace(drill.cylinder, friction_pressure=0.0, friction_share=0.0)
    for part, pressure in ((drill.spring, None), (smooth, 60e5)):
        crossing = cross_field(drill, FIRM, 1, 60, 1.0, speed=0.01)
        moving, still = (press(drill, FIRM, crossing, part, pressure, on) for on in (True, False))
        assert np.allclose(moving.gauge_wheel_load, still.gauge_wheel_load, rtol=0, atol=0.5)
        assert np.allclose(moving.depth, still.depth, rtol=0, atol=1e-4)


def test_a_stiff_wheel_that_never_leaves_follows_the_ground():
    """Pressed so hard that it never leaves, a very stiff wheel throws the opener as the ground bends."""
    drill = with_wheel(2e6, 0.7, friction=False)
    even = replace(FIRM, soil=replace(FIRM.soil, spread=0.0))
    crossing = cross_field(drill, even, 1, 300, 0.1, speed=1.0)
    done = press(drill, even, crossing, drill.cylinder, 120e5)
    assert np.corrcoef(done.acceleration.ravel(), crossing.acceleration.ravel())[0, 1] > 0.95


def test_friction_is_in_the_load_of_every_row():
    """2 bar and 3 % of 68 bar are 4.04 bar: 77 N at the disc on a lever of 1 to 6, up as down."""
    crossing = cross_field(DRILL, FIRM, 1, 200)
    done = press(DRILL, FIRM, crossing, DRILL.cylinder, PRESSURE)
    slides = np.abs(done.rubbing) == 1.0
    assert slides.mean() > 0.8 and abs(done.rubbing.mean()) < 0.1
    free = done.regime == 0
    area, lever = DRILL.cylinder.area, DRILL.cylinder.leverage(DRILL.opener, done.travel)
    added = done.down_force - PRESSURE * area * lever
    assert np.allclose(added[free], (done.rubbing * 4.04e5 * area * lever)[free], rtol=1e-4, atol=1e-3)
    assert np.abs(added[free & slides]).mean() == pytest.approx(77.0, abs=1.0)


def test_a_long_pass_rides_across_its_blocks(monkeypatch):
    case = PassCase("long", DRILL, FIRM, DRILL.cylinder, PRESSURE, stations=700)
    whole = run_pass(DRILL, FIRM, DRILL.cylinder, PRESSURE, 1, 700).shares()
    monkeypatch.setattr("downforce.study.ground.pass_report.RIDE_OPENERS", 63 * 160)
    long = long_pass_shares(case)
    assert long.short == pytest.approx(whole.short, abs=0.002)
    assert long.spread == pytest.approx(whole.spread, rel=0.003)


@pytest.mark.parametrize("drill", DRILLS)
@pytest.mark.parametrize("field", FIELDS)
def test_the_setting_counts_rows_as_a_pass_does(drill, field):
    """At the setting within 2 points of the openers of its sample ridden one by one, and of a pass by as much
    more as two stretches of ground and soil differ."""
    drill, field = example_drill(drill), example_field(field)
    setting = recommend(drill, field)
    again = motion.ridden(drill, field, setting.case.sample, drill.cylinder, setting.pressed)
    exact = replace(setting.case, sample=again).needs
    assert setting.shares.short == pytest.approx(exact.short(setting.pressed), abs=0.01)
    assert setting.shares.packing == pytest.approx(exact.packing(setting.pressed), abs=0.01)
    passes = [
        run_pass(drill, field, drill.cylinder, setting.pressed, seed, 600, 0.7).shares() for seed in (1, 2)
    ]
    assert setting.shares.short == pytest.approx(np.mean([one.short for one in passes]), abs=0.02)
    assert setting.shares.packing == pytest.approx(np.mean([one.packing for one in passes]), abs=0.02)


def test_a_sample_is_ridden_anew_for_what_presses_it():
    sample = pass_sample(DRILL, FIRM, 2000)
    other = motion.ridden(DRILL, FIRM, sample, DRILL.spring)
    assert not other.rubbing.any() and sample.rubbing.any()
    soft = motion.ridden(with_wheel(60e3), FIRM, sample, DRILL.cylinder, PRESSURE)
    assert soft.acceleration.std() < 0.9 * sample.acceleration.std()
    still = sample.at_rest()
    assert not motion.ridden(DRILL, FIRM, still, DRILL.spring).acceleration.any()
    few = sample.where(slice(None, None, 3))
    assert np.array_equal(
        motion.ridden(DRILL, FIRM, few, DRILL.cylinder, PRESSURE).acceleration,
        motion.ridden(DRILL, FIRM, sample, DRILL.cylinder, PRESSURE).acceleration[::3],
    )


@pytest.mark.parametrize("first", [2.0, 20.5, 90.0])
@pytest.mark.parametrize("step", [0.5, 3.0])
def test_a_setting_that_asks_for_itself_is_found_from_anywhere(first, step):
    """x = 10 + x / 2 at 20, and x = 30 - x / 2 too; straight lines, so that steps cost nothing."""
    for asked in (lambda at: 10.0 + at / 2.0, lambda at: 30.0 - at / 2.0):
        found, there = motion.where_it_holds(lambda at, asked=asked: (asked(at), STILL), first, step)
        assert found == pytest.approx(20.0, rel=1e-12)
        assert there.travel == pytest.approx(STILL.travel, rel=1e-12)


def test_openers_between_two_steps_ride_between_two_rides():
    """8 asks for 10 and 10 for 9: lines meet at 8 + 2 x 2 / 3, two thirds of the way."""
    low, high = (replace(STILL, acceleration=np.full(STILL.travel.shape, value)) for value in (0.0, 3.0))
    told = {8.0: (10.0, low), 10.0: (9.0, high)}
    found, there = motion.where_it_holds(told.__getitem__, 8.0, 2.0)
    assert found == pytest.approx(8.0 + 4.0 / 3.0) and there.acceleration == pytest.approx(2.0)


def test_what_no_setting_does_and_what_lies_beyond_the_ends_is_said_as_asked():
    assert motion.where_it_holds(lambda at: (np.inf, STILL), 5.0, 1.0) == (np.inf, STILL)
    assert motion.where_it_holds(lambda at: (9.7, STILL), 5.0, 1.0, (0.0, 9.5)) == (9.7, STILL)


def test_a_sample_keeps_its_rides_and_they_are_those_of_any_other():
    sample, given = pass_sample(DRILL, FIRM, 500), (DRILL.cylinder, PRESSURE)
    once = motion.ridden(DRILL, FIRM, sample, *given)
    assert motion.ridden(DRILL, FIRM, sample, *given) is once
    assert motion.ridden(DRILL, FIRM, sample, DRILL.cylinder, np.array(PRESSURE)) is once
    anew = motion.ridden(DRILL, FIRM, replace(sample), *given)
    assert anew is not once and np.array_equal(anew.acceleration, once.acceleration)
    harder = replace(FIRM, soil=replace(FIRM.soil, draft_ratio=0.5))
    assert not np.array_equal(motion.ridden(DRILL, harder, sample, *given).acceleration, once.acceleration)
    still = sample.at_rest()
    for pressure in np.linspace(50e5, 60e5, 60):
        last = motion.ridden(DRILL, FIRM, still, DRILL.cylinder, pressure)
    assert len(still.rides) == 48 and list(still.rides.values())[-1] is last
