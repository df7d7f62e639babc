"""From a wheel test to a load, and from a dig to the soil and the setting."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.field import Soil
from downforce.machine.shipped import shipped_drills
from downforce.study.field_check import (
    pull_for_load,
    said_of_soil,
    seeds_to_dig,
    soil_from_dig,
    standing_load,
)
from downforce.study.opener_loads import opener_loads
from first_round import example_drill, example_field

DRILL, FIRM = example_drill("air_drill_12m"), example_field("firm")
DRILLS = [example_drill(key) for key, _ in shipped_drills()]


@pytest.mark.parametrize(("load", "pull"), [(100, 60), (220, 132), (400, 240)])
def test_pull_on_the_tread_is_six_tenths_of_the_load(load, pull):
    """0.6 is from memory."""
    assert pull_for_load(float(load)) == pytest.approx(pull)


def test_a_pull_the_wrong_way_is_refused():
    with pytest.raises(ValueError):
        pull_for_load(-1.0)
    with pytest.raises(ValueError):
        pull_for_load(1.0, 0.0)


def test_a_standing_test_reads_628_newtons_where_222_6_are_at_work():
    """By hand: 1140.1 + 825 - 437.5 - 900 = 627.6 N; 405 N of draft less at work."""
    soil = FIRM.opener_soil
    assert float(standing_load(DRILL.opener, DRILL.cylinder, soil, 60e5)) == pytest.approx(627.6, abs=0.05)
    moving = opener_loads(DRILL.opener, DRILL.cylinder, soil, 0.0, 60e5).gauge_wheel_load
    assert float(moving) == pytest.approx(222.6, abs=0.05)


@pytest.mark.parametrize(("spread", "seeds"), [(0.008, 28), (0.012, 62)])
def test_seeds_to_dig_for_three_millimetres(spread, seeds):
    """(1.96 s / E)^2, textbook sampling: 27.3 and 61.5, rounded up."""
    assert seeds_to_dig(spread, 0.003) == seeds


def test_more_confidence_takes_more_seeds():
    assert seeds_to_dig(0.008, 0.003, 0.99) > seeds_to_dig(0.008, 0.003, 0.9)
    with pytest.raises(ValueError):
        seeds_to_dig(0.008, 0.0)
    with pytest.raises(ValueError):
        seeds_to_dig(0.008, 0.003, 1.0)


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.name)
@pytest.mark.parametrize("reaction", [1200.0, 1500.0])
def test_a_dig_gives_back_the_soil_that_made_its_depths(drill, reaction):
    soil = Soil(reaction, 0.04, 0.04, 1.0, 0.6)
    depth = float(opener_loads(drill.opener, drill.cylinder, soil, 0.0, 40e5).depth)
    assert 0.02 < depth < 0.04
    found = soil_from_dig(drill, FIRM, [depth] * 4, 40e5)
    assert found.reaction == pytest.approx(reaction, rel=1e-6)
    assert found.spread == pytest.approx(0.0, abs=1e-6)
    assert found.low == pytest.approx(found.high)


def test_the_interval_is_students_t():
    """t for 95 % and nine degrees of freedom is 2.262 in any table."""
    depths = [0.031, 0.028, 0.034, 0.030, 0.033, 0.029, 0.032, 0.035, 0.027, 0.030]
    found = soil_from_dig(DRILL, FIRM, depths, 45e5)
    half = (found.high - found.low) / 2
    assert half == pytest.approx(2.262 * found.spread / np.sqrt(10), rel=2.5e-4)
    assert found.low < found.reaction < found.high
    assert found.needed_low < found.needed < found.needed_high


def test_interval_holds_the_truth_as_often_as_it_says():
    random, inside = np.random.default_rng(5), 0
    truth = 1000.0
    for _ in range(400):
        soil = Soil(random.normal(truth, 100.0, 5), 0.04, 0.04, 1.0, 0.6)
        depths = opener_loads(DRILL.opener, DRILL.cylinder, soil, 0.0, 30e5).depth
        found = soil_from_dig(DRILL, FIRM, depths, 30e5, 0.8)
        inside += found.low <= truth <= found.high
    assert inside / 400 == pytest.approx(0.8, abs=0.06)


def dug(random, drill, pressure, rows, mean=900.0, spread=150.0):
    """Depths of free wheels, and how many were loaded, in a soil that is known."""
    soil = Soil(random.normal(mean, spread, rows), 0.04, 0.04, 1.0, 0.6)
    loads = opener_loads(drill.opener, drill.cylinder, soil, 0.0, pressure)
    free = loads.gauge_wheel_load <= 0
    return loads.depth[free], int(np.sum(~free))


def test_loaded_wheels_bring_the_estimate_back_to_the_soil():
    """Ten rows at 45 bar, where a row of less than 856 N is loaded: free wheels alone are the hard rows."""
    random, with_bounds, without, inside = np.random.default_rng(6), [], [], []
    while len(with_bounds) < 150:
        depths, loaded = dug(random, DRILL, 45e5, 10)
        if depths.size >= 3:
            found = soil_from_dig(DRILL, FIRM, depths, 45e5, 0.9, loaded)
            assert (found.readings, found.bounds) == (depths.size, loaded)
            with_bounds.append(found.reaction)
            without.append(found.readings_alone)
            inside.append(found.low <= 900.0 <= found.high)
    assert np.mean(without) > 960.0
    assert np.mean(with_bounds) == pytest.approx(900.0, abs=12.0)
    miss = [np.sqrt(np.mean((np.array(each) - 900.0) ** 2)) for each in (with_bounds, without)]
    assert miss[0] < 0.7 * miss[1]
    assert 0.84 < np.mean(inside) < 0.96


def test_every_loaded_wheel_lowers_the_soil_and_what_it_needs():
    found = [soil_from_dig(DRILL, FIRM, [0.033, 0.036, 0.038], 40e5, loaded=count) for count in range(4)]
    for name in ("reaction", "low", "needed", "needed_low"):
        values = [getattr(one, name) for one in found]
        assert np.all(np.diff(values) < 0), name
    assert [one.readings_alone for one in found] == pytest.approx([found[0].reaction] * 4)
    assert found[0].counted == "All 3 rows give a reading"
    assert found[2].counted == "3 rows give a reading, 2 only a bound"
    with pytest.raises(ValueError, match="loaded must not be negative"):
        soil_from_dig(DRILL, FIRM, [0.033, 0.036, 0.038], 40e5, loaded=-1)


def test_a_bound_is_the_push_at_the_target_depth():
    """By the balance itself: a soil a little softer than the bound loads the wheel, one harder frees it."""
    low, high = said_of_soil(DRILL, FIRM, np.array([0.037, 0.043]), 40e5, np.array([False, False]))
    assert np.isneginf(low).all() and high[0] == high[1]
    for reaction, free in ((high[0] - 1.0, False), (high[0] + 1.0, True)):
        soil = Soil(float(reaction), 0.04, 0.04, 1.0, 0.6)
        loads = opener_loads(DRILL.opener, DRILL.cylinder, soil, 0.0, 40e5)
        assert (loads.gauge_wheel_load <= 0) == free


def test_a_disc_that_ran_less_than_half_as_deep_bounds_the_soil_from_below():
    low, high = said_of_soil(
        DRILL, FIRM, np.array([0.012, 0.019, 0.020, 0.030]), np.array([20e5] * 4), np.ones(4, bool)
    )
    assert low[0] == low[1] == low[2] and np.isposinf(high[:2]).all() and high[2] == low[2]
    assert low[3] == high[3] < low[0]
    found = soil_from_dig(DRILL, FIRM, [0.03, 0.028, 0.025, 0.012], 20e5)
    assert (found.readings, found.bounds) == (3, 1) and found.reaction > found.readings_alone


def test_a_disc_on_the_upper_stop_bounds_the_soil_from_below():
    short = replace(DRILL, opener=replace(DRILL.opener, travel_up=0.02))
    deep = replace(FIRM, target_depth=0.06)
    low, high = said_of_soil(short, deep, np.array([0.038, 0.042]), 30e5, np.array([True, True]))
    assert np.isposinf(high[0]) and low[1] == high[1] < low[0]


def test_too_few_readings_are_told_with_what_is_known():
    with pytest.raises(ValueError, match=r"^2 of 2 rows give a reading of the soil; it takes 3\.$"):
        soil_from_dig(DRILL, FIRM, [0.03, 0.031], 45e5)
    told = (
        r"0 of 4 rows .* Under loaded wheels it asks for at most 791 N \(178 lbf\) at 40 mm .* lower pressure"
    )
    with pytest.raises(ValueError, match=told):
        soil_from_dig(DRILL, FIRM, [], 40e5, loaded=4)
    told = "1 of 3 rows .* less than half as deep as set, it asks for at least 1063 N .* higher pressure"
    with pytest.raises(ValueError, match=told):
        soil_from_dig(DRILL, FIRM, [0.03, 0.012, 0.011], 20e5)


def test_three_readings_lost_among_bounds_are_refused():
    with pytest.raises(ValueError, match="3 readings are too few beside 60 bounds"):
        soil_from_dig(DRILL, FIRM, [0.02, 0.03, 0.038], 40e5, loaded=60)


def test_a_dig_with_more_on_the_closing_wheel_than_on_the_disc_is_refused_in_words():
    drill = replace(DRILL, opener=replace(DRILL.opener, closing_load=2000.0))
    told = r"At 5 bar \(70 psi\) the closing wheel takes .* more than presses the disc down: no disc was in"
    with pytest.raises(ValueError, match=told):
        soil_from_dig(drill, FIRM, [0.03, 0.031, 0.029], 5e5)
