"""Soil reaction, draft and what a dig says."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import soil_reaction

KMH = 1 / 3.6


def test_reaction_follows_the_power_of_depth():
    assert soil_reaction.soil_reaction(0.08, 900.0, 0.04, 1.0) == pytest.approx(1800.0)
    assert soil_reaction.soil_reaction(0.08, 900.0, 0.04, 0.5) == pytest.approx(900.0 * 2**0.5)
    assert soil_reaction.soil_reaction(0.04, 900.0, 0.04, 0.7) == 900.0


def test_no_reaction_at_or_above_the_surface():
    assert soil_reaction.soil_reaction([-0.05, 0.0], 900.0, 0.04, 0.8).tolist() == [0.0, 0.0]


@settings(deadline=None, max_examples=60)
@given(st.floats(-0.1, 0.2), st.floats(1e-3, 0.1), st.floats(0.2, 3))
def test_reaction_grows_with_depth(depth, more, exponent):
    shallow, deep = soil_reaction.soil_reaction([depth, depth + more], 900.0, 0.04, exponent)
    assert deep > shallow or depth + more <= 0


def test_growth_of_a_centimetre_and_the_exponent_undo_each_other():
    # A guard: the draft grows by nearly 20 % a centimetre [COL]; that the reaction does is our assumption.
    exponent = soil_reaction.exponent_for_growth(soil_reaction.DRAFT_GROWTH_PER_CM, 0.04)
    assert 0.7 < exponent < 1.0
    before, after = soil_reaction.draft(soil_reaction.soil_reaction([0.04, 0.05], 900.0, 0.04, exponent), 0.6)
    assert after / before == pytest.approx(1.20, rel=1e-12)
    assert soil_reaction.growth_per_centimetre(0.04, exponent) == pytest.approx(0.20, rel=1e-12)
    assert soil_reaction.growth_per_centimetre([0.03, 0.05], 0.8).tolist() == pytest.approx(
        [(4 / 3) ** 0.8 - 1, 1.2**0.8 - 1]
    )


def test_draft_is_the_reaction_times_the_ratio():
    assert soil_reaction.draft(900.0, 0.6) == pytest.approx(540.0)


def test_draft_grows_four_percent_for_each_kmh():
    # A guard: 4 % a km/h [COL], by hand.
    assert soil_reaction.draft_ratio_at_speed(0.6, 9 * KMH, 8 * KMH) == pytest.approx(0.624, rel=1e-12)
    assert soil_reaction.draft_ratio_at_speed(0.6, 6 * KMH, 8 * KMH) == pytest.approx(0.552, rel=1e-12)
    assert soil_reaction.draft_ratio_at_speed(0.6, 2.0, 2.0) == 0.6


def test_speed_rule_refuses_what_leaves_no_draft():
    with pytest.raises(ValueError, match="25 km/h or more below reference_speed"):
        soil_reaction.draft_ratio_at_speed(0.6, 0.0, 7.0)


# Invented trailing-arm opener: 38.1 mm bore at 60 bar on a 0.10 m lever, 900 N at 0.55 m, closing wheel
# 250 N at 1.05 m, disc at 0.60 m, pivot 0.45 m above the line of draft.
PUSH = (6e6 * np.pi / 4 * 0.0381**2 * 0.10 + 900 * 0.55 - 250 * 1.05) / 0.60
SHARE = 0.45 / 0.60


def test_balance_gives_back_the_reaction_behind_a_gauge_wheel_reading():
    # own trade figures: V 900 N leaves 222.6 N moving; with the draft gone 628 N
    assert soil_reaction.reaction_from_balance(PUSH, 0.6, SHARE, 222.6) == pytest.approx(900.0, abs=0.1)
    assert soil_reaction.reaction_from_balance(PUSH, 0.0, SHARE, 628.0) == pytest.approx(900.0, abs=0.5)


def test_dig_at_28_mm_of_40_means_1500_newton():
    # own trade figure: V 1500 N at 40 mm leaves the disc at 28 mm when V goes with depth
    depth = 0.04 * soil_reaction.reaction_from_balance(PUSH, 0.6, SHARE) / 1500.0
    assert depth == pytest.approx(0.028, abs=0.0005)
    assert soil_reaction.reaction_from_dig(depth, PUSH, 0.6, SHARE, 0.04, 1.0) == pytest.approx(
        1500.0, rel=1e-12
    )


@settings(deadline=None, max_examples=60)
@given(st.floats(0.005, 0.06), st.floats(100, 4000), st.floats(0.3, 1), st.floats(-0.3, 1), st.floats(0.4, 2))
def test_dig_recovers_the_soil_it_was_made_in(depth, reference, ratio, share, exponent):
    reaction = soil_reaction.soil_reaction(depth, reference, 0.04, exponent)
    push = reaction + share * soil_reaction.draft(reaction, ratio)
    found = soil_reaction.reaction_from_dig(depth, push, ratio, share, 0.04, exponent)
    assert found == pytest.approx(reference, rel=1e-9)


def test_shallower_digs_mean_harder_soil():
    found = soil_reaction.reaction_from_dig([0.02, 0.03, 0.04], PUSH, 0.6, SHARE, 0.04, 0.8)
    assert found.shape == (3,)
    assert np.all(np.diff(found) < 0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: soil_reaction.soil_reaction(np.nan, 900, 0.04, 1), "depth must be a finite number"),
        (
            lambda: soil_reaction.soil_reaction(0.04, -1, 0.04, 1),
            "reference_reaction must not be negative; got -1",
        ),
        (lambda: soil_reaction.soil_reaction(0.04, 900, 0, 1), "reference_depth must be greater than zero"),
        (lambda: soil_reaction.soil_reaction(0.04, 900, 0.04, [1, 0]), r"exponent .* got 0 at index \(1,\)"),
        (lambda: soil_reaction.draft(-1, 0.6), "soil_reaction must not be negative"),
        (lambda: soil_reaction.draft(1, -0.6), "draft_ratio must not be negative"),
        (lambda: soil_reaction.growth_per_centimetre(0, 1), "depth must be greater"),
        (lambda: soil_reaction.exponent_for_growth(0, 0.04), "growth must be greater"),
        (lambda: soil_reaction.reaction_from_balance(100, 0.6, 0.7, 101), "net_push less gauge_wheel_load"),
        (lambda: soil_reaction.reaction_from_balance(100, 0.6, -2), "1 \\+ draft_ratio x draft_share"),
        (lambda: soil_reaction.reaction_from_dig(0, 100, 0.6, 0.7, 0.04, 1), "depth_reached must be greater"),
    ],
)
def test_refusals_name_the_value(call, words):
    with pytest.raises(ValueError, match=words):
        call()
