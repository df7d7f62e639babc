"""The next turn of the valve follows the decision after a dig and stays between its limits."""

import datetime
from dataclasses import replace
from itertools import product
from math import isnan

import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study.card_lines import next_step
from downforce.study.field_check import SEEDS, WALLS, WHEELS, dig_decision
from downforce.study.setup_card import card_data

FINDINGS = list(product(WHEELS, SEEDS, WALLS))


@pytest.fixture(scope="module")
def card():
    day = datetime.date(2026, 11, 25)
    return card_data(example_drill("air_drill_12m"), example_field("firm"), fields=(), date=day)


@pytest.fixture(scope="module")
def ceiling(card):
    return next(line for line in card.starts if line.today).ceiling


@pytest.mark.parametrize("finding", FINDINGS)
def test_between_its_limits_the_setting_moves_by_the_step_of_the_decision(card, finding):
    """One step is 5 bar."""
    found, decision = next_step(card, *finding, 40e5), dig_decision(*finding)
    assert found.action == decision.action
    assert found.gauge_pressure == pytest.approx(40e5 + 5e5 * decision.step)
    assert decision.reason in found.text


def test_a_raise_stops_at_the_ceiling_and_then_it_is_weight(card, ceiling):
    last = next_step(card, "free", "shallow", "crumbly", ceiling - 2e5)
    assert (last.action, last.gauge_pressure) == ("raise", ceiling)
    over = next_step(card, "free", "shallow", "crumbly", ceiling)
    assert over.action == "weight" and "weight" in over.text and over.gauge_pressure == ceiling


@pytest.mark.parametrize("finding", FINDINGS)
def test_a_gauge_above_the_ceiling_comes_down_whatever_is_found(card, ceiling, finding):
    found = next_step(card, *finding, ceiling + 10e5)
    assert (found.action, found.gauge_pressure) == ("lower", ceiling)


@pytest.mark.parametrize("finding", FINDINGS)
def test_no_answer_passes_the_ceiling_or_goes_below_the_lowest_setting(card, ceiling, finding):
    low = card.face.floor
    for now in (low, low + 1e5, low + 6e5, ceiling - 6e5, ceiling - 1e5, ceiling):
        assert low <= next_step(card, *finding, now).gauge_pressure <= ceiling


@pytest.mark.parametrize("finding", [("stuck", "right", "crumbly"), ("firm", "right", "shiny")])
def test_a_lowering_stops_at_the_lowest_setting(card, finding):
    """The valve holds no less than 10 bar."""
    assert next_step(card, *finding, 12e5).gauge_pressure == pytest.approx(10e5)
    last = next_step(card, *finding, 10e5)
    assert (last.action, last.gauge_pressure) == ("look", 10e5) and "lowest setting" in last.text


@pytest.mark.parametrize("finding", FINDINGS)
def test_where_there_is_no_setting_nothing_is_raised_or_lowered(finding):
    """The sections weigh so little that the frame lifts below what the valve holds."""
    drill = example_drill("air_drill_12m")
    sections = tuple(replace(section, frame_mass=100.0) for section in drill.sections)
    valve = replace(drill.hydraulics.valve, min_pressure=30e5)
    drill = replace(drill, sections=sections, hydraulics=replace(drill.hydraulics, valve=valve))
    light = card_data(drill, example_field("moist_soft"), fields=())
    for now in (0.0, 30e5, 60e5):
        found = next_step(light, *finding, now)
        assert found.action == "stop" and isnan(found.gauge_pressure)
        assert found.text == (
            "Do not sow, there is no setting: the weight ends below the lowest setting of the valve."
        )


def test_unknown_findings_and_pressures_are_refused(card):
    with pytest.raises(ValueError, match="wheels = 'spin' is no answer"):
        next_step(card, "spin", "shallow", "crumbly", 60e5)
    with pytest.raises(ValueError, match="gauge_pressure"):
        next_step(card, "free", "shallow", "crumbly", -1.0)
