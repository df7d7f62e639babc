"""Hoses over a hinge: distance of clamps, length, arc; each against geometry worked another way."""

import numpy as np
import pytest

from downforce.physics.oil_ladder import clamp_distance, hose_length_wanted, loop_radius


@pytest.mark.parametrize(
    ("height", "degrees", "millimetres"),
    [(-50, 0, 600), (-50, 30, 605), (-50, 120, 387), (-50, 170, 152), (50, 120, 213), (50, 170, 47)],
)
def test_clamps_300_mm_from_a_hinge(height, degrees, millimetres):
    """Worked with a calculator: below the pin the hose stays long, above it there is no room for a loop."""
    found = clamp_distance(np.radians(degrees), 0.3, 0.3, height / 1e3)
    assert 1e3 * found == pytest.approx(millimetres, abs=0.5)


def test_clamps_turn_as_complex_numbers_do():
    chance = np.random.default_rng(1)
    a, b, h, angle = chance.uniform([0, 0, -1, -1], [2, 2, 1, 4], (200, 4)).T
    turned = (b + 1j * h) * np.exp(1j * angle)
    assert clamp_distance(angle, 0.0, 1.0, 0.0) == pytest.approx(1.0)
    for one in range(200):
        found = clamp_distance(angle[one], a[one], b[one], h[one])
        assert found == pytest.approx(abs(turned[one] - (-a[one] + 1j * h[one])), rel=1e-12)


def test_a_hose_that_shortens_by_4_per_cent_still_reaches():
    chance = np.random.default_rng(2)
    longest, outside, tolerance = chance.uniform([0.1, 0.01, 0.0], [5.0, 0.05, 0.2], (50, 3)).T
    length = hose_length_wanted(longest, outside, tolerance)
    assert (length - 2 * 1.5 * outside - tolerance) * 0.96 == pytest.approx(longest, rel=1e-12)
    assert hose_length_wanted(0.608, 0.0222, 0.05) == pytest.approx(0.633333 + 0.0666 + 0.05, abs=1e-5)


@pytest.mark.parametrize("half", [0.05, 0.4, 1.2, 1.57, 2.4, 3.0])
def test_an_arc_has_its_own_radius(half):
    """From a circle of 0.4 m: chord 2 R sin(phi), length 2 R phi."""
    chord, length = 2 * 0.4 * np.sin(half), 2 * 0.4 * half
    assert loop_radius(chord, length, ends_turn=True) == pytest.approx(0.4, rel=1e-6)
    clamped = 0.4 if half < np.pi / 2 else chord / 2
    assert loop_radius(chord, length) == pytest.approx(clamped, rel=1e-6)


def test_a_straight_hose_has_no_arc_and_the_impossible_is_refused():
    assert loop_radius(1.0, 1.0) == loop_radius(1.2, 1.0) == np.inf
    assert np.all(np.diff(loop_radius(np.linspace(0.1, 0.99, 50), 1.0)) > 0)
    with pytest.raises(ValueError, match="length"):
        loop_radius(0.1, 0.0)
    with pytest.raises(ValueError, match="inner"):
        clamp_distance(0.0, -0.1, 0.3, 0.0)
