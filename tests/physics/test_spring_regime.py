"""The load law of compression coils: slack, working, coil-bind, and nests that engage late."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import spring

INCH = 0.0254
LBF = 4.4482216152605


@pytest.mark.parametrize(("squeezed_in", "force_lbf"), [(2.0, 500.0), (1.0, 250.0), (0.0, 0.0), (-1.5, 0.0)])
def test_two_inches_give_500_pounds_half_when_half_relaxed_nothing_when_slack(squeezed_in, force_lbf):
    # Common practice, no source.
    free = 12 * INCH
    force = spring.coil_force(free - squeezed_in * INCH, 250 * LBF / INCH, free, 6 * INCH)
    assert force / LBF == pytest.approx(force_lbf, abs=1e-9)


def test_force_beyond_solid_is_held_at_the_solid_force():
    assert spring.coil_force([0.15, 0.10, 0.0], 30e3, 0.30, 0.15) == pytest.approx([4500.0] * 3)


coils = st.tuples(st.floats(1e3, 1e5), st.floats(0.05, 0.5), st.floats(0.1, 0.95))


@settings(deadline=None, max_examples=80)
@given(coils, st.floats(0, 1), st.floats(0, 1))
def test_force_never_rises_with_length_and_stays_in_its_bounds(coil, first, second):
    rate, free, share = coil
    short, long = sorted((first, second))
    at_short, at_long = spring.coil_force([short, long], rate, free, share * free)
    assert 0 <= at_long <= at_short <= rate * free * (1 - share) * (1 + 1e-12)
    # Continuity: no step larger than the rate allows, regime edges included.
    assert at_short - at_long <= rate * (long - short) + 1e-9


@settings(deadline=None, max_examples=80)
@given(coils, st.floats(0, 1))
def test_force_is_slack_working_or_solid(coil, length):
    rate, free, share = coil
    force = spring.coil_force(length, rate, free, share * free)
    if length > free:
        assert force == 0
    elif length > share * free:
        assert force == pytest.approx(rate * (free - length))
    else:
        assert force == pytest.approx(rate * free * (1 - share))


RATES, FREE, SOLID = [20e3, 30e3, 10e3], [0.30, 0.27, 0.25], [0.12, 0.16, 0.10]


def test_each_coil_of_a_nest_engages_at_its_own_free_length():
    forces = spring.nested_coil_forces([0.31, 0.28, 0.26, 0.20], RATES, FREE, SOLID)
    expected = [[0, 0, 0], [400, 0, 0], [800, 300, 0], [2000, 2100, 500]]
    assert forces == pytest.approx(np.array(expected, dtype=float), abs=1e-9)


def test_first_coil_to_go_solid_stops_the_whole_nest():
    at_solid = spring.nested_coil_forces(0.16, RATES, FREE, SOLID)
    assert spring.nested_coil_forces([0.10, 0.0], RATES, FREE, SOLID) == pytest.approx(
        np.array([at_solid] * 2)
    )
    assert at_solid == pytest.approx([2800, 3300, 900])


@settings(deadline=None, max_examples=60)
@given(st.lists(coils, min_size=1, max_size=3), st.floats(0, 0.6))
def test_nest_adds_up(nest, length):
    rates, free, shares = (np.array(column) for column in zip(*nest, strict=True))
    solid = free * shares
    each = spring.nested_coil_forces(length, rates, free, solid)
    total = spring.nested_force(length, rates, free, solid)
    assert total == pytest.approx(each.sum())


def test_one_coil_is_a_nest_of_one():
    assert spring.nested_force(0.2, 1e4, 0.3, 0.1) == pytest.approx(spring.coil_force(0.2, 1e4, 0.3, 0.1))


def test_shapes_of_lengths_are_kept():
    lengths = np.full((4, 5), 0.2)
    assert spring.nested_force(lengths, RATES, FREE, SOLID).shape == (4, 5)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: spring.coil_force(-0.1, 1e4, 0.3, 0.1), "length must not be negative"),
        (lambda: spring.coil_force(0.2, 0, 0.3, 0.1), "rate must be greater"),
        (
            lambda: spring.coil_force(0.2, 1e4, 0.1, 0.3),
            "free_length minus solid_length must not be negative",
        ),
        (lambda: spring.coil_force(0.2, 1e4, 0.3, -0.1), "solid_length must not be negative"),
        (lambda: spring.nested_force(0.2, [1e4], [0.3, 0.2], [0.1, 0.1]), "one entry for each coil"),
        (lambda: spring.nested_force(0.2, [], [], []), "one entry for each coil"),
        (lambda: spring.nested_force(0.2, [1e4, 0], [0.3, 0.2], [0.1, 0.1]), r"rate must be greater.*\(1,\)"),
    ],
)
def test_impossible_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
