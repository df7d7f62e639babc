"""The random field of soil strength."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import soil_reaction

ROWS = np.arange(24) * 0.19


def spread_field(seed, station_spacing, stations, row_positions, length_along, length_across):
    """All blocks in one array."""
    return next(
        soil_reaction.spread_blocks(
            seed, station_spacing, stations, row_positions, length_along, length_across, stations
        )
    )


def test_same_seed_same_field_other_seed_other_field():
    one = spread_field(7, 0.5, 300, ROWS, 10.0, 3.0)
    assert one.shape == (300, 24)
    assert np.array_equal(one, spread_field(7, 0.5, 300, ROWS, 10.0, 3.0))
    assert not np.allclose(one, spread_field(8, 0.5, 300, ROWS, 10.0, 3.0))


@settings(deadline=None, max_examples=25)
@given(st.integers(1, 200), st.integers(1, 250), st.integers(1, 6))
def test_blocks_are_the_whole_field_bit_for_bit(block, stations, rows):
    positions = np.arange(rows) * 0.3
    whole = spread_field(3, 0.2, stations, positions, 4.0, 1.0)
    blocks = list(soil_reaction.spread_blocks(3, 0.2, stations, positions, 4.0, 1.0, block_stations=block))
    assert all(len(b) <= block for b in blocks)
    assert np.array_equal(np.concatenate(blocks), whole)


def test_an_earlier_block_may_be_changed_without_harm():
    whole = spread_field(3, 0.2, 20, ROWS, 4.0, 1.0)
    blocks = soil_reaction.spread_blocks(3, 0.2, 20, ROWS, 4.0, 1.0, block_stations=10)
    next(blocks)[:] = 99.0
    assert np.array_equal(next(blocks), whole[10:])


def test_what_is_fresh_at_each_step_is_what_keeps_the_variance_at_one():
    """First-order chain by hand: x2 = a x1 + sqrt(1 - a^2) e with a = exp(-step / length). The same seed
    draws the same e at every step length, so two step lengths must give one e back; along and across."""

    def drawn(step):
        field = spread_field(5, step, 2, [0.0], 1.0, 1.0)[:, 0]
        across = spread_field(5, 1.0, 1, [0.0, step], 1.0, 1.0)[0]
        kept = np.exp(-step)
        return [(x[1] - kept * x[0]) / np.sqrt(1.0 - kept**2) for x in (field, across)]

    assert drawn(1.0) == pytest.approx(drawn(0.1), rel=1e-9)


def test_mean_variance_and_normal_shape():
    field = spread_field(1, 1.0, 400_000, [0.0, 1.0], 0.5, 0.5)
    assert field.mean(axis=0) == pytest.approx(0.0, abs=0.01)
    assert field.std(axis=0) == pytest.approx(1.0, abs=0.005)
    assert np.mean(np.abs(field) < 1.0) == pytest.approx(0.6827, abs=0.003)


def test_first_station_has_full_variance():
    first = np.array([spread_field(s, 0.1, 2, [0.0, 0.2], 50.0, 5.0) for s in range(4000)])
    assert first.std(axis=0) == pytest.approx(1.0, abs=0.04)


@pytest.mark.parametrize(("length_along", "length_across"), [(2.0, 0.6), (0.8, 3.0)])
def test_correlation_falls_as_asked_in_both_directions(length_along, length_across):
    field = spread_field(11, 0.5, 400_000, ROWS[:6], length_along, length_across)
    for lag in (1, 2, 4):
        along = np.mean(field[:-lag] * field[lag:])
        assert along == pytest.approx(soil_reaction.correlation(0.5 * lag, length_along), abs=0.012)
        across = np.mean(field[:, :-lag] * field[:, lag:])
        assert across == pytest.approx(soil_reaction.correlation(0.19 * lag, length_across), abs=0.02)
    both = np.mean(field[:-1, :-2] * field[1:, 2:])
    product = soil_reaction.correlation(0.5, length_along) * soil_reaction.correlation(0.38, length_across)
    assert both == pytest.approx(product, abs=0.02)


def test_order_of_rows_does_not_matter_and_rows_at_one_place_agree():
    sorted_rows = spread_field(5, 0.5, 50, [0.0, 0.2, 0.7], 5.0, 1.0)
    mixed = spread_field(5, 0.5, 50, [0.7, 0.0, 0.2], 5.0, 1.0)
    assert np.array_equal(mixed, sorted_rows[:, [2, 0, 1]])
    twins = spread_field(5, 0.5, 50, [0.3, 0.0, 0.3], 5.0, 1.0)
    assert np.array_equal(twins[:, 0], twins[:, 2])


def test_zero_lengths_leave_every_place_on_its_own():
    field = spread_field(2, 0.5, 50_000, ROWS[:3], 0.0, 0.0)
    assert np.corrcoef(field.T)[0, 1] == pytest.approx(0.0, abs=0.02)
    assert np.mean(field[1:] * field[:-1]) == pytest.approx(0.0, abs=0.02)


def test_long_lengths_make_the_field_one():
    field = spread_field(2, 0.5, 500, ROWS, 1e9, 1e9)
    assert np.ptp(field) < 0.01


def test_correlation_of_a_place_with_itself_is_one():
    assert soil_reaction.correlation([0.0, 3.0], 3.0).tolist() == pytest.approx([1.0, np.exp(-1)])
    assert soil_reaction.correlation([0.0, 1e-9], 0.0).tolist() == [1.0, 0.0]


def test_soil_factor_has_mean_one_and_the_spread_asked_for():
    # Gauss-Hermite nodes give the moments of the normal without drawing
    nodes, weights = np.polynomial.hermite_e.hermegauss(40)
    weights = weights / weights.sum()
    for spread in (0.05, 0.17, 0.5):
        factor = soil_reaction.soil_factor(nodes, spread)
        assert np.all(factor > 0)
        mean = np.sum(weights * factor)
        assert mean == pytest.approx(1.0, rel=1e-9)
        assert np.sqrt(np.sum(weights * (factor - mean) ** 2)) == pytest.approx(spread, rel=1e-9)
    assert soil_reaction.soil_factor([-2.0, 2.0], 0.0).tolist() == [1.0, 1.0]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"station_spacing": 0.0}, "station_spacing must be greater"),
        ({"stations": 0}, "stations must be a whole number above zero; got 0"),
        ({"stations": 2.5}, "stations must be a whole number"),
        ({"row_positions": []}, "row_positions must be one row of numbers"),
        ({"row_positions": [[0.0]]}, "row_positions must be one row of numbers"),
        ({"length_along": -1.0}, "length_along must not be negative"),
        ({"length_across": -1.0}, "length_across must not be negative"),
    ],
)
def test_refusals_name_the_value(change, words):
    given_values = {
        "seed": 1,
        "station_spacing": 0.5,
        "stations": 5,
        "row_positions": [0.0, 0.2],
        "length_along": 5.0,
        "length_across": 1.0,
    }
    with pytest.raises(ValueError, match=words):
        spread_field(**{**given_values, **change})


def test_blocks_are_refused_before_the_first_is_asked_for():
    with pytest.raises(ValueError, match="block_stations must be a whole number above zero; got 0"):
        soil_reaction.spread_blocks(1, 0.5, 5, [0.0], 5.0, 1.0, block_stations=0)
    with pytest.raises(ValueError, match="standard_deviation must not be negative"):
        soil_reaction.soil_factor(0.0, -0.1)
