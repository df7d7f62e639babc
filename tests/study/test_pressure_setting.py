"""Settings of the gauge: by hand, never above a limit, with every reason."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.machine.field import Aim, Soil
from downforce.machine.shipped import shipped_drills, shipped_fields
from downforce.machine.units import METRIC, US
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.frame_lift import lift_pressure
from downforce.study.ground.pass_sample import pass_sample
from downforce.study.opener_loads import opener_loads
from downforce.study.openers.load_shares import load_shares
from downforce.study.openers.row_sample import assumed_sample, sample_loads
from downforce.study.pressure_setting import (
    frame_headroom,
    pressure_for_each,
    pressure_for_load,
    pressure_for_share,
    recommend,
    usual_sample,
)
from downforce.study.setting.reasons import at_most, rounded
from first_round import example_drill, example_field

DRILL = example_drill("air_drill_12m")
FIRM = example_field("firm")
HARD = example_field("dry_hard_tracks")
SOFT = example_field("moist_soft")
DRILLS = [example_drill(key) for key, _ in shipped_drills()]
FIELDS = [example_field(key) for key, _ in shipped_fields()]
SAMPLE = assumed_sample(DRILL, FIRM, 504)


@pytest.mark.parametrize(("reaction", "bar"), [(900, 59.9), (1200, 82.8), (1500, 105.6)])
def test_pressures_for_220_newtons_are_those_found_by_hand(reaction, bar):
    """Teaching opener: (220 x 0.6 + V 0.6 + 0.6 V 0.45 + 250 x 1.05 - 900 x 0.55) / (area x 0.1 m)."""
    assert pressure_for_load(DRILL, Soil(float(reaction)), 220.0) / 1e5 == pytest.approx(bar, abs=0.05)


def test_a_pressure_brings_back_the_load_it_was_asked_for():
    for drill in DRILLS:
        for field in FIELDS:
            pressure = pressure_for_load(drill, field.opener_soil, np.array([100.0, 400.0]), 0.02)
            loads = opener_loads(drill.opener, drill.cylinder, field.opener_soil, 0.02, pressure)
            assert loads.gauge_wheel_load == pytest.approx([100.0, 400.0])


def test_no_pressure_is_negative_where_the_weight_alone_is_enough():
    assert pressure_for_load(DRILL, Soil(100.0), 50.0) == 0.0


@pytest.mark.parametrize("field", FIELDS, ids=lambda field: field.name)
@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.name)
def test_pressure_for_a_share_is_where_counting_finds_it(drill, field):
    sample = usual_sample(drill, field, 1000)
    for load, share in ((field.aim.least_load, 0.8), (field.aim.heavy_load, 0.3)):
        pressure = pressure_for_share(drill, field, sample, load, share)
        for sign, more in ((1, True), (-1, False)):
            loads = sample_loads(
                drill.opener, drill.cylinder, field, sample, max(pressure * (1 + 1e-9 * sign), 0)
            )
            counted = np.mean(loads.gauge_wheel_load >= load)
            assert counted >= share if more else counted < share


def test_an_opener_on_its_lower_stop_has_no_pressure():
    low = replace(SAMPLE, travel=SAMPLE.travel - 0.5)
    assert np.isinf(pressure_for_each(DRILL, FIRM, low, 100.0)).all()
    assert np.isinf(pressure_for_share(DRILL, FIRM, low, 100.0, 0.5))


def test_every_row_counts_at_a_share_of_one_and_the_first_at_zero():
    each = pressure_for_each(DRILL, FIRM, SAMPLE, 100.0)
    assert pressure_for_share(DRILL, FIRM, SAMPLE, 100.0, 1.0) == each.max()
    assert pressure_for_share(DRILL, FIRM, SAMPLE, 100.0, 0.0) == each.min()
    with pytest.raises(ValueError, match="share"):
        pressure_for_share(DRILL, FIRM, SAMPLE, 100.0, 1.2)


def test_the_firm_field_is_set_for_the_mean_row():
    found = recommend(DRILL, FIRM, SAMPLE)
    assert found.setting / 1e5 == pytest.approx(59.9, abs=0.05)
    assert found.setting == found.needed
    assert found.set_by == "wanted load" and found.reached
    assert np.isnan(found.needed_in_tracks)
    assert found.ceiling_set_by == "frame lift: left wing, left wing wheel"


def test_the_band_runs_from_the_least_load_to_heavy_rows_or_the_ceiling():
    found = recommend(DRILL, FIRM, SAMPLE)
    low, high = found.band
    assert low == pytest.approx(float(pressure_for_load(DRILL, FIRM.opener_soil, FIRM.aim.least_load)))
    assert high == pytest.approx(
        pressure_for_share(DRILL, FIRM, SAMPLE, FIRM.aim.heavy_load, 1 - FIRM.aim.share_in)
    )
    at_high = sample_loads(DRILL.opener, DRILL.cylinder, FIRM, SAMPLE, high)
    assert load_shares(at_high, FIRM.aim, FIRM.target_depth).packing <= 0.05 + 1 / 504


def test_rows_in_tracks_need_more_and_are_not_promised():
    found = recommend(DRILL, HARD, assumed_sample(DRILL, HARD, 504))
    assert found.needed_in_tracks > found.ceiling > found.setting
    assert "wheel tracks" in [reason.name for reason in found.reasons]
    without = recommend(DRILL, replace(HARD, tracks=None), SAMPLE)
    assert "wheel tracks" not in [reason.name for reason in without.reasons]


def test_a_load_out_of_reach_stops_at_the_ceiling_and_says_so():
    drill = example_drill("box_drill_15ft")
    found = recommend(drill, HARD, assumed_sample(drill, HARD, 480))
    assert not found.reached
    assert found.setting == found.ceiling == found.band[1] < found.needed
    assert found.set_by == found.ceiling_set_by == "frame lift: frame, frame left wheel"
    assert found.headroom == pytest.approx(HARD.aim.headroom, abs=1e-6)


def test_a_full_hopper_reaches_what_an_empty_one_does_not():
    drill = example_drill("box_drill_15ft")
    sample = assumed_sample(drill, HARD, 480)
    assert recommend(drill, HARD, sample, hopper_fill=1.0).reached
    assert frame_headroom(drill, HARD, 50e5, 1.0) > frame_headroom(drill, HARD, 50e5, 0.0)


def test_heavy_rows_hold_the_setting_where_they_come_first():
    picky = replace(FIRM, aim=replace(FIRM.aim, heavy_load=400.0))
    found = recommend(DRILL, picky, SAMPLE)
    assert found.set_by == "packing rows" and not found.reached
    assert found.band[0] <= found.setting < found.needed


def test_soft_soil_stops_at_the_lowest_setting_of_the_valve():
    soft = replace(FIRM, soil=replace(FIRM.soil, reaction=150.0, spread=20.0))
    found = recommend(DRILL, soft, assumed_sample(DRILL, soft, 504))
    assert found.setting == pressure_limits(DRILL).lowest
    assert found.set_by == "the lowest setting of the valve" and found.reached


def test_a_least_load_above_the_wanted_one_decides():
    odd = replace(FIRM, aim=replace(FIRM.aim, gauge_wheel_load=50.0, least_load=300.0))
    assert recommend(DRILL, odd, SAMPLE).set_by == "least load"


def test_a_frame_that_lifts_below_the_lowest_setting_is_told_plainly():
    valve = replace(DRILL.hydraulics.valve, min_pressure=99e5)
    high = replace(DRILL, hydraulics=replace(DRILL.hydraulics, valve=valve))
    found = recommend(high, FIRM, SAMPLE)
    assert found.setting == found.ceiling < 99e5
    lowest = next(reason for reason in found.reasons if reason.name == "lowest setting")
    assert lowest.text.endswith("do not press these openers at all.")


def test_every_reason_is_there_once_in_the_order_of_pressure():
    found = recommend(DRILL, HARD, assumed_sample(DRILL, HARD, 504))
    pressures = [reason.gauge_pressure for reason in found.reasons]
    assert pressures == sorted(pressures)
    assert sorted(reason.name for reason in found.reasons) == [
        "enough rows",
        "frame lift",
        "frame lift less headroom",
        "lowest setting",
        "packing rows",
        "parts",
        "wanted load",
        "wheel tracks",
    ]


def test_reasons_by_their_words_in_both_unit_systems():
    words = {reason.name: reason.text for reason in recommend(DRILL, FIRM, SAMPLE).reasons}
    assert words["wanted load"] == "60 bar (870 psi) leaves the mean row 220 N (49 lbf) on its gauge wheel."
    assert words["parts"] == "The highest setting of the valve is 120 bar (1740 psi)."
    assert words["frame lift"] == (
        "At 86 bar (1240 psi) the left wing goes light (left wing wheel); "
        "above that it rises, and its gauge wheels get only part of what the gauge adds."
    )
    american = {reason.name: reason.text for reason in recommend(DRILL, FIRM, SAMPLE, units=US).reasons}
    assert american["wanted load"].startswith("870 psi (60 bar) leaves the mean row 49 lbf (220 N)")
    own = recommend(example_drill("box_drill_15ft"), FIRM, SAMPLE).reasons
    assert "psi (" in own[0].text


def test_limits_are_never_rounded_up():
    assert at_most(METRIC, 78.9e5) == "78 bar (1140 psi)"
    assert at_most(US, 78.9e5) == "1140 psi (78 bar)"
    assert at_most(METRIC, 120e5) == "120 bar (1740 psi)"
    assert at_most(METRIC, np.inf) == "no value"
    assert rounded(METRIC, 78.2e5, np.ceil) == pytest.approx(79e5)


def test_a_frame_too_heavy_to_lift_is_said_to_be_so():
    sections = tuple(replace(part, frame_mass=part.frame_mass * 50) for part in DRILL.sections)
    heavy = replace(DRILL, sections=sections)
    found = recommend(heavy, FIRM, SAMPLE)
    assert found.ceiling_set_by == "the highest setting of the valve"
    assert found.headroom > 0.9


def test_ground_that_is_described_is_crossed_and_other_ground_is_assumed():
    crossed = usual_sample(DRILL, FIRM, 500)
    assert crossed.basis == pass_sample(DRILL, FIRM, 500).basis
    assert "terraces" in crossed.basis
    bare = replace(FIRM, relief=None, terrace=None)
    assert usual_sample(DRILL, bare, 500).basis == assumed_sample(DRILL, bare, 500).basis
    assert "bumps at speed left out" in usual_sample(DRILL, bare, 500).basis
    assert recommend(DRILL, FIRM).shares == recommend(DRILL, FIRM, usual_sample(DRILL, FIRM)).shares


@pytest.mark.parametrize("field", FIELDS, ids=lambda field: field.name)
@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.name)
def test_four_times_the_openers_move_enough_rows_by_no_more_than_a_bar(drill, field):
    aim = field.aim
    usual, more = (
        pressure_for_share(drill, field, sample, aim.least_load, aim.share_in)
        for sample in (usual_sample(drill, field), usual_sample(drill, field, 65536))
    )
    assert more == pytest.approx(usual, abs=1e5)


def test_the_pressure_for_enough_rows_is_named_and_whether_it_may_be_set():
    found = recommend(DRILL, SOFT)
    assert found.setting < found.needed_for_share <= found.ceiling
    assert found.words_for_share(METRIC, SOFT.aim) == (
        "44 bar (640 psi) brings 95 % of the rows to 100 N (22 lbf) and 17 % over 490 N (110 lbf)"
    )
    sample, pressure = usual_sample(DRILL, SOFT), found.needed_for_share
    at_it = sample_loads(DRILL.opener, DRILL.cylinder, SOFT, sample, pressure)
    counted = load_shares(at_it, SOFT.aim, SOFT.target_depth)
    assert counted.short == pytest.approx(0.05, abs=1e-4)
    assert counted.packing == pytest.approx(found.packing_for_share, abs=1e-3)
    out_of_reach = recommend(DRILL, FIRM)
    assert out_of_reach.needed_for_share > out_of_reach.ceiling
    assert out_of_reach.words_for_share(METRIC, FIRM.aim) == (
        "81 bar (1170 psi) would bring 95 % of the rows to 100 N (22 lbf), but is above the limit"
    )
    held_back = replace(out_of_reach, setting=out_of_reach.ceiling)
    assert held_back.words_for_share(METRIC, FIRM.aim) == ""
    never = replace(found, needed_for_share=np.inf)
    assert never.words_for_share(US, SOFT.aim) == "No pressure brings 95 % of the rows to 22 lbf (100 N)"
    easy = replace(FIRM, aim=replace(FIRM.aim, share_in=0.5))
    assert recommend(DRILL, easy).words_for_share(US, easy.aim) == ""


def test_the_pressure_for_enough_rows_is_never_printed_above_the_ceiling():
    found = recommend(DRILL, FIRM)
    tight = replace(found, needed_for_share=77.7e5, limit=replace(found.limit, gauge_pressure=77.8e5))
    assert tight.words_for_share(METRIC, FIRM.aim).startswith("77 bar (1120 psi)")


def test_rows_on_a_travel_stop_are_counted_and_said():
    """The ground is beyond the stop there, so no row of them changes its travel with the pressure."""
    sample = usual_sample(DRILL, FIRM)
    found = recommend(DRILL, FIRM, sample)
    # A bump throws a few of them off their stop again, so the bumps are taken away to count.
    sample = replace(sample, acceleration=np.zeros_like(sample.acceleration))
    stopped = [
        sample_loads(DRILL.opener, DRILL.cylinder, FIRM, sample, pressure).regime
        for pressure in (80e5, 120e5)
    ]
    for regime in stopped:
        bound = np.isin(regime, ("on the lower stop", "on the upper stop", "out of the ground"))
        assert np.mean(bound) == pytest.approx(found.on_stops, abs=1e-9)
    assert found.on_stops > 0.01
    assert found.stop_words == (
        f"{100 * found.on_stops:.0f} % of the rows are on a travel stop here; no pressure helps them"
    )
    assert recommend(DRILL, HARD).stop_words == "" and recommend(DRILL, HARD).on_stops < 0.01
    low = replace(SAMPLE, travel=np.where(np.arange(504) < 126, -0.9, 0.0))
    high = replace(SAMPLE, travel=np.where(np.arange(504) < 126, 0.9, 0.0))
    for beyond in (low, high):
        assert recommend(DRILL, FIRM, beyond).on_stops == 0.25


@settings(max_examples=40, deadline=None)
@given(
    place=st.integers(0, 2),
    reaction=st.floats(60.0, 4000.0),
    spread=st.floats(0.0, 600.0),
    wanted=st.floats(0.0, 2000.0),
    least=st.floats(0.0, 800.0),
    heavy=st.floats(100.0, 3000.0),
    share=st.floats(0.5, 0.999),
    headroom=st.floats(0.0, 0.5),
    fill=st.floats(0.0, 1.0),
    height=st.floats(0.0, 0.15),
)
def test_never_above_lift_relief_or_valve(
    place, reaction, spread, wanted, least, heavy, share, headroom, fill, height
):
    drill = DRILLS[place]
    field = replace(
        FIELDS[place],
        soil=replace(FIELDS[place].soil, reaction=reaction, spread=spread),
        aim=Aim(wanted, least, heavy, share, headroom),
        height_spread=height,
    )
    found = recommend(drill, field, assumed_sample(drill, field, 96), fill)
    valve = drill.hydraulics.valve
    lift = float(lift_pressure(drill, field.opener_soil, fill).lowest)
    for pressure in (
        found.setting,
        found.band[1],
        found.to_set(METRIC) * (1 - 1e-9),
        found.to_set(US) * (1 - 1e-9),
    ):
        assert 0 <= pressure <= min(lift, valve.max_pressure, valve.relief_pressure) + 1e-6
    assert found.band[0] <= found.setting <= found.band[1] <= found.ceiling
    assert found.reached == (found.needed <= found.setting)
    assert (found.set_by == "wanted load") == (found.needed == found.setting)
    assert all("nan" not in reason.text and "inf" not in reason.text for reason in found.reasons)
