"""Springs over the travel: by hand, relaxed, the adjuster, a coil."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.machine.actuators import Coil
from downforce.machine.shipped import example_drill, example_field
from downforce.physics.spring_kinds import WIRES, wire_strength
from downforce.study.setting.same_target import springs_that_give
from downforce.study.spring_behaviour import (
    changed_spring,
    rate_at_disc,
    relaxed_travel,
    room_to_turn_in,
    spring_curve,
    spring_rate,
)
from downforce.study.spring_checks import coil_check, coil_of, shear_modulus_of

POUND_FORCE, INCH = 4.4482216152605, 0.0254
DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")


@pytest.fixture(scope="module")
def air():
    drill = example_drill("air_drill_12m")
    return drill.opener, drill.spring, drill.cylinder


@pytest.fixture(scope="module")
def firm():
    return example_field("firm").opener_soil


def test_teaching_opener_by_hand_with_a_constant_lever(air):
    # 30 N/mm, 75 mm, 0.28 m on 0.60 m: 30 x 75 x 0.4667 = 1050; 30 x (75 -+ 46.67) x 0.4667 = 397 and 1703.
    opener, spring, _ = air
    curve = spring_curve(opener, spring, [-0.10, -0.05, 0.0, 0.05, 0.10])
    assert np.round(curve.hand_force).tolist() == [397, 723, 1050, 1377, 1703]
    assert rate_at_disc(opener, spring) == pytest.approx(6.5e3, abs=50)


def test_exact_force_is_the_change_of_stored_energy(air):
    # Virtual work: down force = -dU/dz of the spring's energy, with no leverage in it.
    opener, spring, _ = air
    coil = spring.coils[0]

    def energy(z):
        x = coil.free_length - float(spring.spring_length(spring.length(opener, z)))
        return 0.5 * coil.rate * max(x, 0.0) ** 2

    for z in (-0.12, -0.05, 0.0, 0.06, 0.12):
        slope = (energy(z + 1e-5) - energy(z - 1e-5)) / 2e-5
        assert spring_curve(opener, spring, z).down_force == pytest.approx(slope, rel=1e-6)


@pytest.mark.parametrize("name", DRILLS)
def test_rate_at_the_disc_is_the_slope_by_hand_and_near_the_true_one(name):
    drill = example_drill(name)
    curve = spring_curve(drill.opener, drill.spring, [-1e-3, 1e-3])
    assert np.diff(curve.hand_force)[0] / 2e-3 == pytest.approx(rate_at_disc(drill.opener, drill.spring))
    assert np.diff(curve.down_force)[0] / 2e-3 == pytest.approx(
        rate_at_disc(drill.opener, drill.spring), rel=0.08
    )


def test_nested_coils_count_only_while_they_are_engaged():
    drill = example_drill("box_drill_15ft")
    both = spring_rate(drill.opener, drill.spring)
    assert both == pytest.approx(180 * POUND_FORCE / INCH)
    low = drill.spring.travel_where_length_is(drill.opener, drill.spring.fittings + 11.5 * INCH)
    assert spring_rate(drill.opener, drill.spring, low) == pytest.approx(120 * POUND_FORCE / INCH)
    # The shorter coil is 11 in long when free, and counts from there on.
    for length, rate in ((11.05, 120), (10.95, 180), (11.95, 120), (12.05, 0)):
        z = drill.spring.travel_where_length_is(drill.opener, drill.spring.fittings + length * INCH)
        assert spring_rate(drill.opener, drill.spring, z) == pytest.approx(rate * POUND_FORCE / INCH)


def test_travel_is_held_where_the_coils_close(air):
    opener, spring, _ = air
    tight = changed_spring(spring, setting=0.06)
    curve = spring_curve(opener, tight, [0.0, opener.highest_travel])
    assert curve.regime.tolist() == ["working", "coil-bind"]
    assert curve.spring_length[1] == pytest.approx(spring.coils[0].solid_length, abs=1e-7)
    assert curve.travel[1] < opener.highest_travel


def test_softer_and_tighter_is_more_even(air):
    opener, spring, _ = air
    soft = changed_spring(spring, setting=0.03, rate_share=0.7)
    assert spring_rate(opener, soft) == pytest.approx(0.7 * 30e3) and soft.setting == 0.03

    def left(part):
        at = spring_curve(opener, part, [-0.10, 0.0]).down_force
        return at[0] / at[1]

    assert left(soft) > left(spring) + 0.15


@settings(deadline=None, max_examples=30)
@given(rearward=st.floats(-0.04, 0.04))
def test_moving_the_spring_rearward_lengthens_the_lever_alone(rearward):
    drill = example_drill("air_drill_12m")
    moved = changed_spring(drill.spring, rearward=rearward)
    assert float(moved.length(drill.opener, 0.0)) == pytest.approx(
        float(drill.spring.length(drill.opener, 0.0))
    )
    assert float(moved.leverage(drill.opener, 0.0)) == pytest.approx((0.28 + rearward) / 0.60, rel=1e-3)


@pytest.mark.parametrize("name", DRILLS)
@pytest.mark.parametrize("share", [0.3, 0.8, 1.0, 1.4])
def test_setting_for_a_down_force_gives_that_down_force(name, share):
    drill = example_drill(name)
    wanted = share * float(drill.spring.down_force(drill.opener, 0.0))
    assert float(springs_that_give(drill, wanted).down_force(drill.opener, 0.0)) == pytest.approx(wanted)


def test_a_down_force_beyond_the_closed_coils_ends_a_millimetre_before_them(air):
    opener, spring, _ = air
    most = springs_that_give(example_drill("air_drill_12m"), 2101.0)
    # 30 N/mm x 149 mm x 0.4667
    assert float(most.down_force(opener, 0.0)) == pytest.approx(30.0 * 149.0 * 0.28 / 0.60, rel=1e-3)
    assert room_to_turn_in(opener, spring) == pytest.approx(0.075)


def test_a_spring_relaxed_by_half_gives_half_but_for_its_lever(air):
    """37.5 of 75 mm over a lever of 0.4667: 80 mm down, 30 x 37.5 x 0.4667 = 525 N, and 3 % as it swings."""
    opener, spring, _ = air
    assert relaxed_travel(opener, spring, 1.0) == pytest.approx(0.0, abs=1e-9)
    half = relaxed_travel(opener, spring, 0.5)
    assert half == pytest.approx(-0.080, abs=0.003)
    assert float(spring.axial_force(spring.length(opener, half))) == pytest.approx(1125.0, abs=0.01)
    assert float(spring.down_force(opener, half)) == pytest.approx(1.033 * 525.0, rel=0.005)
    assert float(spring.down_force(opener, relaxed_travel(opener, spring, 0.0))) == pytest.approx(0, abs=0.01)


def test_a_spring_that_is_slack_or_never_slack_within_the_stops_has_no_such_place(air):
    opener, spring, _ = air
    assert np.isnan(relaxed_travel(opener, replace(spring, setting=-0.080), 0.5))
    assert np.isnan(relaxed_travel(opener, replace(spring, setting=0.060), 0.0))


def test_coil_of_a_book_example_has_its_rate_and_stress():
    # d 5, D 30 mm, Na 15, G 84 GPa: C 6, k 16.204 N/mm, and KB 1.2381 at 300 N (a guard: the data of
    # [JIN] ex. 8-1, worked in real numbers): 1.2381 x 8 x 300 x 0.030 / pi 0.005^3 = 227.0 MPa.
    check = coil_check(0.005, 0.030, 15, 0.200, "oil-tempered", 84e9, 300 / 16204, 0.060)
    assert check.rate == pytest.approx(16204, abs=0.5)
    assert check.index == pytest.approx(6)
    assert check.stress_at_work == pytest.approx(227.0e6, abs=0.05e6)
    assert check.solid_length == pytest.approx(17 * 0.005)
    assert check.stress_closed == pytest.approx(check.stress_at_work * 0.115 / (300 / 16204), rel=1e-4)
    assert check.stress_at_stop == pytest.approx(check.stress_closed * 60 / 115) and check.stop_comes_first
    assert check.allowed_stress == pytest.approx(0.50 * wire_strength(0.005, WIRES["oil-tempered"]))
    assert check.wire_in_range and check.shape_in_range


def test_coil_beyond_the_tables_says_so_and_one_too_long_is_refused():
    assert not coil_check(0.014, 0.09, 5, 0.3, "oil-tempered", 77.2e9, 0.07, 0.13).wire_in_range
    assert not coil_check(0.012, 0.04, 5, 0.3, "oil-tempered", 77.2e9, 0.07, 0.13).shape_in_range
    with pytest.raises(ValueError, match="free_length minus solid_length"):
        coil_check(0.02, 0.1, 20, 0.3, "oil-tempered", 77.2e9, 0.07, 0.13)


def test_stop_beyond_the_closed_coils_counts_as_closed():
    check = coil_check(0.012, 0.09, 8, 0.3, "oil-tempered", 77.2e9, 0.07, 0.25)
    assert not check.stop_comes_first and check.stress_at_stop == check.stress_closed


WIRES_TRIED = np.arange(12, 37) * 0.5e-3


def stop_compression(drill, coil):
    spring = drill.spring
    length = spring.length(drill.opener, drill.opener.highest_travel)
    return coil.free_length - float(spring.spring_length(length))


def built(coil, wire, stop):
    """The coil wound from this wire, checked; None if it cannot be wound."""
    active = coil.solid_length / wire - 2
    mean = (77.2e9 * wire**4 / (8 * coil.rate * active)) ** (1 / 3)
    if active < 3 or not 4 <= mean / wire <= 12:
        return None
    return coil_check(wire, mean, active, coil.free_length, "oil-tempered", 77.2e9, 0.04, stop)


@pytest.mark.parametrize(("name", "which"), [*((name, 0) for name in DRILLS), ("box_drill_15ft", 1)])
def test_likely_build_of_every_shipped_coil_is_not_overstressed_at_the_upper_stop(name, which):
    drill = example_drill(name)
    coil = drill.spring.coils[which]
    stop = stop_compression(drill, coil)
    build = coil_of(coil, "oil-tempered", 77.2e9, WIRES_TRIED, stop)
    shape = (build.wire_diameter, build.mean_diameter, build.active_coils)
    check = coil_check(*shape, coil.free_length, "oil-tempered", 77.2e9, 0.04, stop)
    assert check.rate == pytest.approx(coil.rate)
    assert check.solid_length == pytest.approx(coil.solid_length)
    assert 4 <= check.index <= 12
    assert build.holds and check.stress_at_stop <= check.allowed_stress
    tried = [each for each in (built(coil, float(d), stop) for d in WIRES_TRIED) if each]
    fits = [each for each in tried if each.stress_at_stop <= each.allowed_stress]
    assert abs(check.index - 7) == pytest.approx(min(abs(each.index - 7) for each in fits))


def test_the_air_drill_needs_a_wire_beyond_the_strength_table_and_it_is_marked():
    # 12.5 mm is 0.01 % over at the stop; 13 mm lies beyond 12.7 mm, where the table of the wire ends.
    drill = example_drill("air_drill_12m")
    coil = drill.spring.coils[0]
    stop = stop_compression(drill, coil)
    build = coil_of(coil, "oil-tempered", 77.2e9, WIRES_TRIED, stop)
    assert build.wire_diameter == pytest.approx(0.013)
    assert not built(coil, build.wire_diameter, stop).wire_in_range


def test_a_coil_no_wire_makes_sanely_says_so_and_is_the_least_stressed():
    coil = Coil(60e3, 0.30, 0.12)
    build = coil_of(coil, "oil-tempered", 77.2e9, WIRES_TRIED, 0.17)
    assert not build.holds
    tried = [each for each in (built(coil, float(d), 0.17) for d in WIRES_TRIED) if each]
    used = [each.stress_at_stop / each.allowed_stress for each in tried]
    here = built(coil, build.wire_diameter, 0.17)
    assert min(used) > 1 and here.stress_at_stop / here.allowed_stress == pytest.approx(min(used))
    # Hardly pressed at all it holds; and one that cannot be wound from any wire does not hold.
    assert coil_of(coil, "oil-tempered", 77.2e9, WIRES_TRIED, 0.05).holds
    assert not coil_of(Coil(500e3, 0.30, 0.28), "oil-tempered", 77.2e9, [0.006, 0.007], 0.01).holds


def test_shear_modulus_follows_the_diameter_where_the_table_does():
    # Shigley's table 10-5 (seen): music wire 81.7 GPa up to 1.6 mm, 80.0 above 3.2 mm; oil-tempered 77.2.
    assert shear_modulus_of("music", 0.0012) == 81.7e9
    assert shear_modulus_of("music", 0.010) == 80.0e9
    assert shear_modulus_of("oil-tempered", 0.010) == 77.2e9
    with pytest.raises(ValueError, match="no wire 'copper'"):
        shear_modulus_of("copper", 0.01)
