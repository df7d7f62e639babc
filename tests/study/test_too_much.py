"""Gauge-wheel load on the ground: contact pressure, stress, sinkage, bearing life."""

import numpy as np
import pytest

from downforce.machine.shipped import example_drill
from downforce.study.soil_load import (
    gauge_wheel_sinkage,
    stress_map,
    usual_contact_length,
    wall_distance,
    wheel_mark,
)

OPENER = example_drill("air_drill_12m").opener
DEPTHS = np.array([0.02, 0.04, 0.08, 0.16, 0.32])


def mark(load=890.0, length=0.120, state="normal", wanted=220.0, seed=0.04):
    return wheel_mark(OPENER, load, length, state, wanted, seed, DEPTHS)


@pytest.mark.parametrize("load, kilopascal", [(220, 24), (490, 54), (890, 99), (1300, 144)])
def test_contact_pressure_of_75_by_120_mm(load, kilopascal):
    """Load over area by hand."""
    assert mark(load).contact_pressure / 1e3 == pytest.approx(kilopascal, abs=0.5)


@pytest.mark.parametrize("ratio, life, digit", [(1.5, 0.30, 0.005), (2.0, 0.125, 0.0005)])
def test_bearing_life_by_the_cube(ratio, life, digit):
    """ISO 281 form: 30 % and 12.5 %."""
    assert mark(220.0 * ratio).life == pytest.approx(life, abs=digit)


@pytest.mark.parametrize(
    ("state", "factor", "light", "heavy"), [("normal", 5, 7.10, 28.70), ("soft wet", 6, 6.76, 27.35)]
)
def test_stress_at_the_wall_is_that_of_the_real_patch(state, factor, light, heavy):
    """75 x 120 mm, 40 mm deep, 47.5 mm from the middle, in kPa: outside recomputation by double integral."""
    found = mark(state=state)
    assert found.concentration == factor
    assert found.seed_depth_stress / 1e3 == pytest.approx(heavy, abs=0.005)
    assert mark(220.0, state=state).seed_depth_stress / 1e3 == pytest.approx(light, abs=0.005)


def test_under_the_middle_the_circle_of_equal_area_comes_near():
    """Within 6 % from 40 mm down, by q (1 - cos^nu): a check of size, the patch itself is a rectangle."""
    cosine = DEPTHS / np.hypot(DEPTHS, np.sqrt(0.075 * 0.120 / np.pi))
    for state, factor in (("hard", 4), ("normal", 5), ("soft wet", 6)):
        circle = 890 / 0.009 * (1 - cosine**factor)
        np.testing.assert_allclose(mark(state=state).below_wheel[1:], circle[1:], rtol=0.06)


def test_stress_falls_with_depth_and_to_the_side_and_grows_with_load():
    found = mark()
    assert np.all(np.diff(found.below_wheel) < 0)
    assert np.all(found.at_wall < found.below_wheel)
    np.testing.assert_allclose(mark(1780.0).at_wall, 2 * found.at_wall, rtol=1e-12)
    assert found.seed_depth_stress == pytest.approx(float(found.at_wall[1]))
    assert found.seed_depth_stress < found.contact_pressure


def test_wet_soil_leads_the_stress_deeper_and_less_of_it_to_the_wall():
    hard, moist, wet = (mark(state=state) for state in ("hard", "normal", "soft wet"))
    assert np.all(wet.below_wheel[1:] > hard.below_wheel[1:])
    assert hard.seed_depth_stress > moist.seed_depth_stress > wet.seed_depth_stress


def test_a_longer_contact_helps_at_the_surface_more_than_deep_down():
    short, long = mark(length=0.08), mark(length=0.16)
    ratio = long.below_wheel / short.below_wheel
    assert long.contact_pressure == pytest.approx(short.contact_pressure / 2)
    assert np.all(np.diff(ratio) > 0) and ratio[-1] > 0.9


def test_the_map_is_alike_on_both_sides_and_holds_the_profiles():
    wall = wall_distance(OPENER)
    stress = stress_map(OPENER, 890.0, 0.120, "normal", [-wall, 0.0, wall], DEPTHS)
    assert stress.shape == (5, 3)
    np.testing.assert_allclose(stress[:, 0], stress[:, 2])
    np.testing.assert_allclose(stress[:, 1], mark().below_wheel)
    np.testing.assert_allclose(stress[:, 2], mark().at_wall)
    assert wall == pytest.approx(0.0475)
    assert usual_contact_length(OPENER) == pytest.approx(0.120)


def test_sinkage_that_a_soil_cannot_carry_is_said_and_not_raised():
    by_soil = {one.soil: one for one in gauge_wheel_sinkage(OPENER, 890.0)}
    weak = by_soil["sandy loam (LLL), 22 % water"]
    assert not weak.carried and np.isnan(weak.sinkage)
    assert gauge_wheel_sinkage(OPENER, 220.0)[2].carried
    assert not any(one.in_range for one in by_soil.values())  # a 0.4 m wheel is below the form's 0.5 m


def test_sinkage_grows_with_load_and_is_that_of_the_exact_balance():
    """1000 N on 0.10 x 0.40 m in LLL 15 %: 28.77 mm, recomputed from Wong's table 2.3."""
    from dataclasses import replace

    wheel = replace(OPENER, gauge_wheel_width=0.10)
    found = {one.soil: one.sinkage for one in gauge_wheel_sinkage(wheel, 1000.0)}
    assert found["sandy loam (LLL), 15 % water"] * 1e3 == pytest.approx(28.77, abs=0.005)
    assert found["Grenville loam, 24 % water"] * 1e3 == pytest.approx(26.36, abs=0.005)
    light, heavy = gauge_wheel_sinkage(OPENER, 200.0), gauge_wheel_sinkage(OPENER, 400.0)
    assert all(a.sinkage < b.sinkage for a, b in zip(light, heavy, strict=True) if b.carried)
    with pytest.raises(ValueError, match="gauge_wheel_load"):
        gauge_wheel_sinkage(OPENER, -1.0)


def test_impossible_inputs_are_refused():
    with pytest.raises(ValueError, match="state must be one of"):
        mark(state="muddy")
    with pytest.raises(ValueError, match="length must be"):
        mark(length=0.0)
