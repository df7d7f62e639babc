"""The one table of wheel, seed and slot wall: what to do after a dig."""

from itertools import product

import pytest

from downforce.study.field_check import SEEDS, TABLE, WALLS, WHEELS, dig_decision

FINDINGS = list(product(WHEELS, SEEDS, WALLS))


@pytest.mark.parametrize(
    ("wheels", "seeds", "wall", "step", "action", "word"),
    [
        ("free", "shallow", "crumbly", 1, "raise", "too little is left"),
        ("free", "right", "crumbly", 1, "raise", "Raise one step"),
        ("free after raising", "shallow", "crumbly", 0, "weight", "Stop raising"),
        ("firm", "right", "crumbly", 0, "leave", "Leave the gauge"),
        ("firm", "right", "shiny", -1, "lower", "the slot smears"),
        ("firm", "shallow", "shiny", 0, "look", "depth stop"),
        ("stuck", "right", "shiny", -1, "lower", "drier soil"),
        ("stuck", "right", "crumbly", -1, "lower", "carry too much"),
        ("stuck", "shallow", "crumbly", 0, "look", "boot bounce"),
        ("stuck", "shallow", "shiny", 0, "look", "residue"),
        ("mixed", "shallow", "crumbly", 0, "look", "wheel tracks"),
        ("mixed", "right", "shiny", 0, "look", "blocked drop"),
    ],
)
def test_the_decision_is_that_of_the_trade(wheels, seeds, wall, step, action, word):
    """Common practice, no source."""
    found = dig_decision(wheels, seeds, wall)
    assert (found.step, found.action) == (step, action) and word in found.why


def test_every_finding_has_exactly_one_row_and_every_row_a_finding():
    rows = [[row for row in TABLE if row.holds(*finding)] for finding in FINDINGS]
    assert {len(of) for of in rows} == {1}
    assert {row for of in rows for row in of} == set(TABLE)


@pytest.mark.parametrize("finding", FINDINGS)
def test_an_answer_is_a_step_and_a_sentence(finding):
    found = dig_decision(*finding)
    assert found.step == {"raise": 1, "lower": -1}.get(found.action, 0)
    assert found.action in ("raise", "lower", "leave", "weight", "look")
    for said in (found.why, found.short):
        assert said.endswith(".") and said[0].isupper()


@pytest.mark.parametrize(("wheels", "seeds"), list(product(WHEELS, SEEDS)))
def test_a_smeared_wall_never_asks_for_more_than_a_crumbling_one(wheels, seeds):
    assert dig_decision(wheels, seeds, "shiny").step <= dig_decision(wheels, seeds, "crumbly").step


def test_only_free_wheels_are_answered_with_a_raise_and_not_a_second_time():
    assert {finding[0] for finding in FINDINGS if dig_decision(*finding).step > 0} == {"free"}


@pytest.mark.parametrize(
    ("wrong", "known"),
    [
        (("loose", "right", "crumbly"), "wheels = 'loose' is no answer; give one of: free, free after"),
        (("free", "deep", "crumbly"), "seeds = 'deep' is no answer; give one of: right, shallow"),
        (("free", "right", "any"), "wall = 'any' is no answer; give one of: crumbly, shiny"),
    ],
)
def test_an_unknown_answer_is_refused_with_those_there_are(wrong, known):
    with pytest.raises(ValueError, match=known):
        dig_decision(*wrong)
