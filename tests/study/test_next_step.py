"""The next turn of the valve follows the decision table and never passes the ceiling."""

import datetime
from itertools import product

import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study.card.next_step import SEEDS, WHEELS, next_step
from downforce.study.setup_card import card_data


@pytest.fixture(scope="module")
def card():
    day = datetime.date(2026, 11, 25)
    return card_data(example_drill("air_drill_12m"), example_field("firm"), fields=(), date=day)


@pytest.fixture(scope="module")
def ceiling(card):
    return next(line for line in card.starts if line.today).ceiling


@pytest.mark.parametrize(
    ("wheels", "seeds", "action", "change"),
    [
        ("turn freely", "shallow", "raise", 5e5),
        ("turn freely", "at depth", "raise", 5e5),
        ("drag and still turn", "at depth", "leave", 0.0),
        ("drag and still turn", "shallow", "look", 0.0),
        ("cannot be turned", "at depth", "lower", -5e5),
        ("cannot be turned", "shallow", "look", 0.0),
    ],
)
def test_the_decision_table(card, wheels, seeds, action, change):
    """Common practice, no source."""
    found = next_step(card, wheels, seeds, 60e5)
    assert found.action == action
    assert found.gauge_pressure == pytest.approx(60e5 + change)


def test_a_raise_stops_at_the_ceiling_and_then_it_is_weight(card, ceiling):
    last = next_step(card, "turn freely", "shallow", ceiling - 2e5)
    assert (last.action, last.gauge_pressure) == ("raise", ceiling)
    over = next_step(card, "turn freely", "shallow", ceiling)
    assert over.action == "weight" and "weight" in over.text and over.gauge_pressure == ceiling


@pytest.mark.parametrize(("wheels", "seeds"), list(product(WHEELS, SEEDS)))
def test_a_gauge_above_the_ceiling_comes_down_whatever_is_found(card, ceiling, wheels, seeds):
    found = next_step(card, wheels, seeds, ceiling + 10e5)
    assert (found.action, found.gauge_pressure) == ("lower", ceiling)


def test_a_lowering_stops_at_the_lowest_setting(card):
    found = next_step(card, "cannot be turned", "at depth", 12e5)
    assert found.gauge_pressure == pytest.approx(10e5)
    assert next_step(card, "cannot be turned", "at depth", 10e5).action == "look"


def test_unknown_findings_and_pressures_are_refused(card):
    with pytest.raises(ValueError, match="wheels is one of turn freely, drag and still turn"):
        next_step(card, "spin", "shallow", 60e5)
    with pytest.raises(ValueError, match="seeds is one of at depth, shallow"):
        next_step(card, "turn freely", "deep", 60e5)
    with pytest.raises(ValueError, match="gauge_pressure"):
        next_step(card, "turn freely", "shallow", -1.0)
