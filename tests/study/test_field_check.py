"""From a wheel test to a load, and from a dig to the soil and the setting."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.field import Soil
from downforce.machine.shipped import shipped_drills
from downforce.study.field_check import pull_for_load, seeds_to_dig, soil_from_dig, standing_load
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
    depth = float(opener_loads(drill.opener, drill.cylinder, soil, 0.0, 25e5).depth)
    assert 0 < depth < 0.04
    found = soil_from_dig(drill, FIRM, [depth] * 4, 25e5)
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


def test_two_holes_are_too_few():
    with pytest.raises(ValueError, match="depths has 2 values; take at least three"):
        soil_from_dig(DRILL, FIRM, [0.03, 0.031], 45e5)


def test_a_dig_with_more_on_the_closing_wheel_than_on_the_disc_is_refused_in_words():
    drill = replace(DRILL, opener=replace(DRILL.opener, closing_load=2000.0))
    told = r"At 5 bar \(70 psi\) the closing wheel takes .* more than presses the disc down: no disc was in"
    with pytest.raises(ValueError, match=told):
        soil_from_dig(drill, FIRM, [0.03, 0.031, 0.029], 5e5)
