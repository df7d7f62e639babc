"""From the gauge to the gauge wheel, and how wide a reading is."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.shipped import shipped_drills
from downforce.study.oil.band import oil_band
from downforce.study.rows import assumed_sample, load_shares, sample_for
from downforce.study.setting.gauge_face import (
    HEAVY_LOAD,
    change_for_closing,
    load_steps,
    reading_width,
    todays_field,
    turned,
    with_spread,
)
from first_round import example_drill, example_field

DRILL, FIRM = example_drill("air_drill_12m"), example_field("firm")
DRILLS = [example_drill(key) for key, _ in shipped_drills()]
SAMPLE = assumed_sample(DRILL, FIRM, 1000)


def test_the_steps_of_the_teaching_opener_are_those_by_hand():
    """60 bar x 11.40 cm2 = 6840.6 N; x 0.1 / 0.6; 900 x 0.55 / 0.6; 250 x 1.05 / 0.6; 540 x 0.45 / 0.6."""
    steps = load_steps(DRILL, FIRM.opener_soil, 60e5)
    assert steps.cylinder_force == pytest.approx(6840.6, abs=0.05)
    assert steps.leverage == pytest.approx(1 / 6)
    assert steps.down_force == pytest.approx(1140.1, abs=0.05)
    assert steps.weight == pytest.approx(825.0, abs=0.05)
    assert steps.closing == pytest.approx(437.5)
    assert steps.soil_reaction == pytest.approx(900.0)
    assert steps.draft_lift == pytest.approx(405.0)
    assert steps.gauge_wheel_load == pytest.approx(222.6, abs=0.05)
    assert steps.regime == "at depth"


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.name)
@pytest.mark.parametrize("bar", [20, 60, 110])
def test_the_steps_add_up(drill, bar):
    steps = load_steps(drill, FIRM.opener_soil, bar * 1e5)
    left = steps.down_force + steps.weight - steps.closing - steps.soil_reaction - steps.draft_lift
    share = float(drill.opener.shares(0.0, 0.0)[2])
    assert left == pytest.approx(steps.gauge_wheel_load * share, abs=0.01)
    assert (steps.regime == "at depth") == (steps.gauge_wheel_load > 0)


def test_a_harder_closing_spring_takes_more_than_it_gives():
    """100 N at 1.05 m against a gauge wheel at 0.60 m."""
    assert change_for_closing(DRILL, FIRM.opener_soil, 70e5, 100.0) == pytest.approx(-175.0)
    assert change_for_closing(DRILL, FIRM.opener_soil, 20e5, 100.0) == 0.0


def test_the_width_of_60_bar_on_the_teaching_drill():
    """19.0 N per bar: gauge 2.56 bar, valve 2.5 bar, seals 4 bar = 76 N; 628 N standing."""
    width = reading_width(DRILL, FIRM.opener_soil, 60e5)
    per_bar = 1140.1 / 60
    assert width.load_from_gauge == pytest.approx(2.56 * per_bar, rel=1e-4)
    assert width.load_from_valve == pytest.approx(2.5 * per_bar, rel=1e-4)
    assert width.load_from_friction == pytest.approx(76.0, abs=0.5)
    assert width.worst == pytest.approx(9.06 * per_bar, rel=1e-4)
    assert width.likely == pytest.approx(np.sqrt(2.56**2 + 2.5**2 + 4**2) * per_bar, rel=1e-4)
    assert width.moving == pytest.approx(222.6, abs=0.05)
    assert width.standing == width.standing_free == pytest.approx(627.6, abs=0.05)


def test_moving_oil_widens_the_reading_by_half_its_parts():
    oil = oil_band(DRILL, FIRM, 60e5, 293.15, stations=200)
    still, moving = (reading_width(DRILL, FIRM.opener_soil, 60e5, oil=each) for each in (None, oil))
    assert (still.load_from_droop, still.load_from_lines) == (0.0, 0.0)
    per_pascal = 1140.1 / 60e5
    assert moving.load_from_droop == pytest.approx(oil.droop / 2 * per_pascal, rel=1e-4)
    assert moving.load_from_lines == pytest.approx(oil.line_loss / 2 * per_pascal, rel=1e-4)
    assert moving.worst == pytest.approx(sum(moving.loads)) and len(moving.loads) == 5
    parts = np.array([2.56e5, 2.5e5, 4e5, oil.droop / 2, oil.line_loss / 2]) * per_pascal
    assert moving.likely == pytest.approx(np.sqrt((parts**2).sum()), rel=1e-4)
    assert (moving.moving, moving.standing) == (still.moving, still.standing)


def test_draft_that_stays_locked_lowers_what_a_standing_test_reads():
    half = reading_width(DRILL, FIRM.opener_soil, 60e5, draft_left=0.5)
    assert half.standing == pytest.approx(222.6 + 405.0 / 2, abs=0.05)
    assert reading_width(DRILL, FIRM.opener_soil, 60e5, draft_left=1.0).standing == half.moving


def test_a_coarser_gauge_widens_its_own_part_only():
    fine, coarse = (reading_width(DRILL, FIRM.opener_soil, 60e5, each) for each in (0.01, 0.04))
    assert coarse.load_from_gauge == pytest.approx(4 * fine.load_from_gauge)
    assert (
        coarse.load_from_valve == fine.load_from_valve
        and coarse.load_from_friction == fine.load_from_friction
    )


def test_a_parallel_linkage_hardly_over_reads():
    drill = example_drill("double_disc_9m")
    width = reading_width(drill, FIRM.opener_soil, 60e5)
    assert 0 < width.standing - width.moving < 60


def test_todays_field_has_the_reaction_at_its_target_depth():
    odd = replace(FIRM, target_depth=0.05)
    today = todays_field(odd, 1100.0, 250.0)
    assert float(today.opener_soil.target_reaction) == pytest.approx(1100.0)
    assert today.aim.gauge_wheel_load == 250.0
    assert today.soil.spread / today.soil.reaction == pytest.approx(odd.soil.spread / odd.soil.reaction)


def test_a_turn_to_wet_sets_what_counts_as_packing_unless_the_soil_was_wet():
    assert turned(FIRM, "wetter").aim.heavy_load == HEAVY_LOAD["wet"] == 490.0
    own = replace(FIRM, aim=replace(FIRM.aim, heavy_load=700.0), soil=replace(FIRM.soil, moisture="wet"))
    assert turned(own, "wetter").aim.heavy_load == turned(own, "harder").aim.heavy_load == 700.0


def test_a_packing_row_may_count_twice():
    assert todays_field(FIRM, 900.0, 220.0).aim.packing_counts == 1
    assert todays_field(FIRM, 900.0, 220.0, packing_twice=True).aim.packing_counts == 2


def test_the_least_load_follows_a_small_wish():
    assert todays_field(FIRM, 900.0, 50.0).aim.least_load == 50.0


def test_samples_are_scaled_and_stretched_without_moving_their_means():
    today = todays_field(FIRM, 1350.0, 220.0)
    assert sample_for(SAMPLE, FIRM, today).reaction == pytest.approx(1.5 * SAMPLE.reaction)
    wide = with_spread(SAMPLE, 0.06, 100.0)
    assert wide.travel.std() == pytest.approx(0.06) and wide.reaction.std() == pytest.approx(100.0)
    assert wide.reaction.mean() == pytest.approx(SAMPLE.reaction.mean())


def test_a_sample_without_spread_cannot_be_stretched():
    flat = with_spread(SAMPLE, 0.0, 100.0)
    assert with_spread(flat, 0.0, 50.0).travel.std() < 1e-15
    with pytest.raises(ValueError, match="no spread to stretch"):
        with_spread(flat, 0.02, 100.0)


def test_the_share_of_light_rows_counts_the_least_load_itself_as_enough():
    class Loads:
        gauge_wheel_load, depth = np.array([100.0, 99.9]), np.array([0.04, 0.04])
        regime = np.array([0, 0])

    assert load_shares(Loads, FIRM.aim, 0.04).short == 0.5
