"""Spread of soil strength over a field: a repeatable random field, correlated along and across."""

from collections.abc import Iterator

import numpy as np

from downforce.physics.checks import count_number, finite, not_negative, positive
from downforce.physics.kinds import Metre, Metres, Ratio, Ratios

_CHUNK = 32  # stations that are mixed at once, whatever the blocks: these change no bit of the field


def correlation(distance: Metre, length: Metre) -> Ratio:
    """Correlation of soil strength at two places.

    distance: distance between the places, along or across the rows.
    length: correlation length; zero means no two places are alike.
    Result: correlation, 1 for the same place.
    Raises ValueError if the distance or the length is negative.

    exp(-distance / length).
    Range: any; field lengths of 5 to 50 m are common in soil surveys (from memory).
    Source: exponential model, common practice, no source.

    >>> round(float(correlation(10.0, 10.0)), 4)
    0.3679
    """
    distance = not_negative("distance", distance)
    length = not_negative("length", length)
    ratio = np.divide(  # type: ignore[call-overload]
        *np.broadcast_arrays(distance, length),
        out=np.full(np.broadcast_shapes(distance.shape, length.shape), np.inf),
        where=length > 0,
    )
    return np.where(distance == 0, 1.0, np.exp(-ratio))[()]


def spread_blocks(
    seed: int,
    station_spacing: Metre,
    stations: int,
    row_positions: Metres,
    length_along: Metre,
    length_across: Metre,
    block_stations: int = 4096,
) -> Iterator[Ratios]:
    """Blocks of a standard normal field over stations and rows, one after the other.

    station_spacing: distance between stations along the pass.
    row_positions: sideways position of each row, in any order.
    length_along: correlation length along the pass; zero for none.
    length_across: correlation length across the rows; zero for none.
    block_stations: most stations in one block. It bounds the memory and does not change the field.
    Result: arrays (stations of the block, rows), mean 0 and variance 1 over many fields.
    Raises ValueError if a spacing is not positive, a length is negative, or a count is not a whole number
        above zero.

    Each direction is a first-order autoregression x_k = c x_(k-1) + sqrt(1 - c^2) w_k with c = exp(-step /
    length); the two together give exp(-dx/Lx) exp(-dy/Ly). Rows at one position share one value. Both are
    worked as sums over the noise before, a fixed number of stations at a time.
    Range: any.
    Source: derivation above.

    >>> blocks = list(spread_blocks(1, 0.5, 10, [0.0, 0.19], 5.0, 2.0, block_stations=4))
    >>> [b.shape for b in blocks]
    [(4, 2), (4, 2), (2, 2)]
    """
    station_spacing = positive("station_spacing", station_spacing)
    along = float(correlation(station_spacing, not_negative("length_along", length_along)))
    order, across = _across(row_positions, length_across)
    stations = count_number("stations", stations)
    block_stations = count_number("block_stations", block_stations)
    return _blocks(np.random.default_rng(seed), stations, block_stations, along, order, across)


def spread_field(
    seed: int,
    station_spacing: Metre,
    stations: int,
    row_positions: Metres,
    length_along: Metre,
    length_across: Metre,
) -> Ratios:
    """Standard normal field over stations and rows, correlated along and across.

    station_spacing: distance between stations along the pass.
    row_positions: sideways position of each row, in any order.
    length_along: correlation length along the pass; zero for none.
    length_across: correlation length across the rows; zero for none.
    Result: field (stations, rows), mean 0 and variance 1 over many fields.
    Raises ValueError as `spread_blocks` does.

    All blocks of `spread_blocks` in one array; equal to them bit for bit.
    Range: any.
    Source: derivation in the Notes of `spread_blocks`.

    >>> spread_field(1, 0.5, 10, [0.0, 0.19], 5.0, 2.0).shape
    (10, 2)
    """
    count = count_number("stations", stations)
    blocks = spread_blocks(
        seed, station_spacing, count, row_positions, length_along, length_across, block_stations=count
    )
    return next(blocks)


def soil_factor(field: Ratio, standard_deviation: Ratio) -> Ratio:
    """Factor on the soil reaction from a standard normal field.

    standard_deviation: standard deviation of the factor; 0.17 means 17 percent of the mean.
    Result: factor, always above zero, mean 1 and the standard deviation asked for.
    Raises ValueError if the field is not finite or the standard deviation is negative.

    Lognormal: exp(s x - s^2 / 2) with s^2 = ln(1 + sd^2), so that hard spots reach further from the mean than
    soft ones and no reaction is negative.
    Range: any; 0.1 to 0.4 inside one field (from memory).
    Source: derivation above; the lognormal shape is common practice, no source.

    >>> float(soil_factor(1.3, 0.0))
    1.0
    """
    variance = np.log1p(not_negative("standard_deviation", standard_deviation) ** 2)
    return np.exp(np.sqrt(variance) * finite("field", field) - variance / 2.0)


def _blocks(rng, stations, block_stations, along, order, across):
    chunks = _chunks(rng, along, order, across)
    chunk, used = None, _CHUNK
    for start in range(0, stations, block_stations):
        block = np.empty((min(block_stations, stations - start), order.size))
        filled = 0
        while filled < len(block):
            if used == _CHUNK:
                chunk, used = next(chunks), 0
            count = min(_CHUNK - used, len(block) - filled)
            block[filled : filled + count] = chunk[used : used + count]
            filled, used = filled + count, used + count
        yield block


def _chunks(rng, along, order, across):
    """The field without end, `_CHUNK` stations at a time, both autoregressions as sums of noise before."""
    count = np.arange(_CHUNK)
    mixed = np.tril(along ** np.maximum(count[:, None] - count, 0.0))
    first = mixed * np.where(count > 0, np.sqrt(1.0 - along**2), 1.0)
    mixed *= np.sqrt(1.0 - along**2)
    carried = (along ** (count + 1.0))[:, None]
    last = None
    while True:
        noise = rng.standard_normal((_CHUNK, len(across))) @ across
        field = (first if last is None else mixed) @ noise.take(order, axis=1)
        if last is not None:
            field += carried * last
        last = field[-1]
        yield field


def _across(row_positions, length_across):
    """Place of each row in the order across, and the share of each noise in each row, in that order."""
    positions = finite("row_positions", row_positions)
    if positions.ndim != 1 or positions.size == 0:
        raise ValueError(f"row_positions must be one row of numbers; got shape {positions.shape}.")
    order = np.sort(positions)
    like = correlation(np.diff(order), not_negative("length_across", length_across))
    share = np.eye(order.size)
    for row in range(1, order.size):
        share[:, row] *= np.sqrt(1.0 - like[row - 1] ** 2)
        share[:row, row] = share[:row, row - 1] * like[row - 1]
    # Rows at one position take the first one's column: the same sum to the last bit.
    return np.searchsorted(order, positions), share
