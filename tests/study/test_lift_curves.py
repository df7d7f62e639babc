"""Lift curves over soil, fill, slope and speed; a day with the hopper; wings, fold cylinders, fore-aft."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.field import Soil
from downforce.machine.units import unit_system
from downforce.study.card_lines import lift_lines
from downforce.study.frame.ballast import fore_aft, moved_fore_aft
from downforce.study.frame.lift_curves import (
    SEED_RATE_UNITS,
    fold_sweep,
    hopper_day,
    lift_curves,
    separate_pressures,
    with_wing_weight_at,
)
from downforce.study.frame.stand import frame_stand, headroom
from downforce.study.frame_lift import lift_pressure, pressure_for_frame_load, pressure_with_headroom
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import recommend
from first_round import example_drill, example_field

D12, BOX, DOUBLE = (example_drill(k) for k in ("air_drill_12m", "box_drill_15ft", "double_disc_9m"))
FIRM = Soil(900.0)
SOILS, FILLS = np.linspace(300.0, 2200.0, 20), np.linspace(0.0, 1.0, 11)


def test_curves_equal_one_case_at_a_time():
    curves = lift_curves(DOUBLE, FIRM, SOILS, FILLS, 220.0, 0.05, 0.02)
    for i, k in ((0, 0), (7, 10), (19, 5)):
        one = lift_pressure(DOUBLE, Soil(SOILS[i]), FILLS[k], 0.05, 0.02)
        assert curves.limits.pressure[i, k] == pytest.approx(one.pressure, rel=1e-9)
        assert list(curves.limits.support[i, k]) == list(one.support)


def test_teaching_drill_lifts_at_86_93_100_bar_and_not_at_depth_on_a_light_frame():
    """By hand: (118 - 57) kN over 63 openers, then the moments of one opener."""
    curves = lift_curves(D12, FIRM, [900.0, 1200.0, 1500.0], 0.0, 220.0)
    assert curves.limits.lowest[:, 0] / 1e5 == pytest.approx([86.1, 93.2, 100.3], abs=0.05)
    assert curves.needed / 1e5 == pytest.approx([59.9, 82.8, 105.6], abs=0.06)
    light = replace(
        D12, sections=tuple(replace(s, frame_mass=3200.0 - 21 * D12.opener.mass) for s in D12.sections)
    )
    shallow = lift_curves(light, FIRM, [1500.0], 0.0, 220.0)
    assert not shallow.limits.at_depth[0, 0].any()
    assert shallow.limits.lowest[0, 0] / 1e5 == pytest.approx(74.6, abs=0.2)


def test_a_fuller_hopper_lifts_later_in_every_soil():
    lowest = lift_curves(BOX, FIRM, SOILS, FILLS, 220.0).limits.lowest
    assert np.all(np.diff(lowest, axis=1) > 0)


def test_seed_over_the_centre_does_not_help_the_wings():
    pressure = lift_curves(DOUBLE, FIRM, SOILS[:6], FILLS, 220.0).limits.pressure
    assert np.ptp(pressure[:, :, 0], axis=1) == pytest.approx(0.0, abs=1.0)
    assert np.all(np.diff(pressure[:, :, 1], axis=1) > 0)


def test_speed_raises_draft_by_4_percent_a_km_h_and_with_it_the_setting():
    slow = lift_curves(D12, FIRM, [900.0], 0.0, 220.0, speed=8 / 3.6, base_speed=8 / 3.6)
    fast = lift_curves(D12, FIRM, [900.0], 0.0, 220.0, speed=10 / 3.6, base_speed=8 / 3.6)
    assert fast.draft_ratio / slow.draft_ratio == pytest.approx(1.08)
    assert fast.needed[0] > slow.needed[0]


def test_headroom_taken_off_the_lift_load():
    """By hand: 0.85 x 967.9 N, and 0.15 x 967.9 N over 19.0 N a bar are 7.6 bar, not 0.15 x 86 = 13 bar."""
    lift = lift_pressure(D12, FIRM)
    keep = float(pressure_with_headroom(D12, FIRM, lift, 0.15))
    assert float(frame_stand(D12, FIRM, keep).promised.frame_load) == pytest.approx(0.85 * 967.9, abs=0.1)
    assert (float(lift.lowest) - keep) / 1e5 == pytest.approx(7.6, abs=0.1)
    assert pressure_with_headroom(D12, FIRM, lift, 0.0) == pytest.approx(lift.lowest)
    with pytest.raises(ValueError, match="headroom must"):
        pressure_with_headroom(D12, FIRM, lift, 1.0)


def test_headroom_counts_on_the_weakest_section_and_only_where_there_is_load():
    lift = lift_pressure(D12, FIRM)
    never = replace(lift, pressure=np.full(3, np.inf), frame_load=np.full(3, np.inf))
    assert np.isinf(pressure_with_headroom(D12, FIRM, never, 0.15))
    # A section held up by its neighbours takes no load off the others, and its own limit stays.
    below = replace(lift, frame_load=np.array([967.9, -50.0, 967.9]))
    assert pressure_with_headroom(D12, FIRM, below, 0.15) == pytest.approx(
        float(pressure_for_frame_load(D12, FIRM, -50.0))
    )
    early = replace(lift, pressure=lift.pressure * np.array([1.0, 0.1, 1.0]))
    assert pressure_with_headroom(D12, FIRM, early, 0.15) == early.lowest


def test_headroom_on_many_soils_is_that_of_each_alone():
    curves = lift_curves(DOUBLE, FIRM, SOILS, FILLS, 220.0)
    column = replace(FIRM, reaction=SOILS[:, None])
    keep = pressure_with_headroom(DOUBLE, column, curves.limits, 0.15)
    for i, k in ((0, 0), (7, 10), (19, 5)):
        soil = Soil(SOILS[i])
        one = pressure_with_headroom(DOUBLE, soil, lift_pressure(DOUBLE, soil, FILLS[k]), 0.15)
        assert keep[i, k] == pytest.approx(float(one))
    assert np.all(keep < curves.limits.lowest)


def test_the_day_ends_where_the_frame_lifts():
    day = hopper_day(BOX, Soil(1200.0), 82.8e5, 0.012)
    assert 0 < day.lifts_at_seed < 500
    lift = lift_pressure(BOX, Soil(1200.0), day.lifts_at_seed / BOX.hoppers[0].mass).lowest
    assert float(lift) == pytest.approx(82.8e5, rel=1e-4)
    assert day.lifts_after_area == pytest.approx((BOX.hoppers[0].mass - day.lifts_at_seed) / 0.012)
    assert day.area[-1] * 0.012 == pytest.approx(BOX.hoppers[0].mass)
    early = hopper_day(BOX, Soil(1200.0), 82.8e5, 0.012, headroom_share=0.15)
    assert early.refill_at_seed > day.lifts_at_seed == early.lifts_at_seed


def test_refill_is_due_when_the_load_s_headroom_is_used_up():
    pressure, soil = 82.8e5, Soil(1200.0)
    day = hopper_day(BOX, soil, pressure, 0.012, headroom_share=0.15)
    limits = lift_pressure(BOX, soil, day.refill_at_seed / BOX.hoppers[0].mass)
    used = float(frame_stand(BOX, soil, pressure, 1.0).promised.frame_load)
    assert float(headroom(used, limits.frame_load[0])) == pytest.approx(0.15, abs=1e-4)


def test_the_hopper_and_the_card_agree_down_to_which_seed_840_psi_may_be_held():
    """Box drill, firm field: 840 psi holds to the last kernel, with 15 % in hand and 1 lift in 20.

    870 psi keeps the headroom that long, but the lift is not known well enough for it.
    """
    field = example_field("firm")
    psi = unit_system("US")
    low, held = (float(psi.si("pressure", number)) for number in (840.0, 870.0))
    empty = lift_lines(BOX, field, psi)[-1]
    assert empty.hopper == "Hopper empty" and low < empty.ceiling < held
    ends = [recommend(BOX, field, hopper_fill=fill) for fill in (1.0, 0.0)]
    doubt = [float(end.lift.lowest) - end.lift_with_chance for end in ends]

    def day(pressure, doubt=(0.0, 0.0)):
        return hopper_day(BOX, field.opener_soil, pressure, 0.012, 0.15, doubt=doubt)

    assert day(held).refill_at_seed == day(low, doubt).refill_at_seed == 0.0
    assert day(held, doubt).refill_at_seed > 0.0 == day(empty.ceiling - 1.0, doubt).refill_at_seed
    assert day(empty.ceiling + 1e5, doubt).refill_at_seed > 0.0
    assert day(held, doubt).lifts_at_seed == day(held).lifts_at_seed


def test_a_day_without_lift_and_a_day_that_never_starts():
    calm, hopeless = hopper_day(BOX, FIRM, 20e5, 0.012), hopper_day(BOX, FIRM, 150e5, 0.012)
    assert calm.lifts_at_seed == 0.0 and np.isinf(calm.lifts_after_area)
    assert np.isnan(hopeless.lifts_at_seed)
    with pytest.raises(ValueError, match="carries no seed on its frame"):
        hopper_day(D12, FIRM, 60e5, 0.012)


def test_seed_rate_units():
    """1 lb/ac = 1.1209 kg/ha ([NIST], from memory)."""
    assert SEED_RATE_UNITS["US"][1] / SEED_RATE_UNITS["metric"][1] == pytest.approx(1.1209, abs=5e-5)


@pytest.mark.parametrize(("share", "newton"), [(0.40, 773), (0.45, 869), (0.50, 966)])
def test_wing_weight_at_a_share_of_its_width(share, newton):
    """Wing of 4000 kg with 21 openers of 92 kg: 2 x share x net weight / 21, by hand."""
    opener = replace(D12.opener, mass=92.0)
    sections = tuple(replace(s, frame_mass=4000 - 21 * 92.0) for s in D12.sections)
    moved = with_wing_weight_at(replace(D12, opener=opener, sections=sections), share)
    assert lift_pressure(moved, FIRM).frame_load[[0, 2]] == pytest.approx([newton] * 2, abs=0.6)


def test_fold_moment_goes_from_centre_to_wings_up_to_one_best_value():
    moments = np.arange(0.0, 20001.0, 1000.0)
    sweep = fold_sweep(with_wing_weight_at(D12, 0.4), FIRM, moments)
    lowest, best = sweep.limits.lowest, int(np.flatnonzero(moments == sweep.best_moment)[0])
    assert 0 < best < 20
    assert np.all(np.diff(lowest[: best + 1]) > 0) and np.all(np.diff(lowest[best + 1 :]) < 0)
    assert np.all(np.diff(sweep.limits.pressure[:, 1]) < 0)
    # 10 kN m over 21 rows of a 4 m wing: 238 N an opener, by hand.
    gain = sweep.limits.frame_load[5, 0] - sweep.limits.frame_load[0, 0]
    assert gain == pytest.approx(0.5 * 238, abs=0.5)
    drilled = replace(
        with_wing_weight_at(D12, 0.4), hinges=tuple(replace(h, fold_moment=5e3) for h in D12.hinges)
    )
    assert lift_pressure(drilled, FIRM).pressure == pytest.approx(sweep.limits.pressure[5])
    with pytest.raises(ValueError, match="one rigid frame"):
        fold_sweep(BOX, FIRM, moments)
    with pytest.raises(ValueError, match="one rigid frame"):
        with_wing_weight_at(BOX, 0.5)


def test_separate_pressures_help_only_the_section_with_weight_left():
    found = separate_pressures(D12, FIRM, headroom_share=0.0)
    limits = lift_pressure(D12, FIRM)
    assert found.pressure == pytest.approx(limits.pressure)
    assert found.common_pressure == pytest.approx(limits.lowest)
    assert found.gain[[0, 2]] == pytest.approx([0.0, 0.0]) and found.gain[1] > 300
    kept = separate_pressures(D12, FIRM, headroom_share=0.15)
    assert np.all(kept.pressure < found.pressure)


def test_openers_behind_the_wheels_unload_them_faster_and_load_the_hitch():
    ahead, behind = (fore_aft(moved_fore_aft(D12, 0.0, shift), FIRM, [0.0, 40e5]) for shift in (0.0, 1.8))
    fall_ahead, fall_behind = (found.wheel_load[0] - found.wheel_load[1] for found in (ahead, behind))
    one = opener_loads(D12.opener, D12.cylinder, FIRM, 0.0, np.array([0.0, 40e5]))
    grown = 63 * np.diff(one.soil_reaction + one.gauge_wheel_load + one.closing_wheel_load)[0]
    assert fall_behind > fall_ahead
    assert behind.hitch_load[1] - behind.hitch_load[0] > ahead.hitch_load[1] - ahead.hitch_load[0]
    # What wheels and hitch lose together is what the openers have gained.
    lost = (behind.wheel_load + behind.hitch_load)[0] - (behind.wheel_load + behind.hitch_load)[1]
    assert lost == pytest.approx(grown, rel=1e-9)


def test_loads_over_pressure_end_where_the_frame_floats():
    found = fore_aft(D12, FIRM, np.linspace(0, 120e5, 25))
    held = np.isfinite(found.wheel_load)
    assert np.all(held == (found.gauge_pressure < found.lift_pressure))
    stand = frame_stand(D12, FIRM, 40e5)
    assert fore_aft(D12, FIRM, 40e5).hitch_load[0] == pytest.approx(stand.hitch_load)
    assert found.first_support in ("left wing wheel", "right wing wheel")
    moved = moved_fore_aft(D12, 0.3)
    assert fore_aft(moved, FIRM, 0.0).hitch_load[0] < found.hitch_load[0]
