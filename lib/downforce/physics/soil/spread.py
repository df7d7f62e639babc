"""Spread of soil strength over a field: a repeatable random field, correlated along and across."""

from itertools import pairwise

import numpy as np

from downforce.physics.checks import count_number, finite, not_negative, positive


def correlation(distance, length):
    """Correlation of soil strength at two places.

    Parameters
    ----------
    distance : float or array [m]
        Distance between the places, along or across the rows.
    length : float or array [m]
        Correlation length; zero means no two places are alike.

    Returns
    -------
    float or array [-]
        Correlation, 1 for the same place.

    Raises
    ------
    ValueError
        If the distance or the length is negative.

    Notes
    -----
    exp(-distance / length).

    Range: any; field lengths of 5 to 50 m are common in soil surveys (from memory).

    Source: exponential model, common practice, no source.

    Examples
    --------
    >>> round(float(correlation(10.0, 10.0)), 4)
    0.3679
    """
    distance = not_negative("distance", distance)
    length = not_negative("length", length)
    ratio = np.divide(
        *np.broadcast_arrays(distance, length),
        out=np.full(np.broadcast_shapes(distance.shape, length.shape), np.inf),
        where=length > 0,
    )
    return np.where(distance == 0, 1.0, np.exp(-ratio))[()]


def spread_blocks(
    seed, station_spacing, stations, row_positions, length_along, length_across, block_stations=4096
):
    """Blocks of a standard normal field over stations and rows, one after the other.

    Parameters
    ----------
    seed : int [-]
        The same seed gives the same field.
    station_spacing : float [m]
        Distance between stations along the pass.
    stations : int [-]
        Number of stations in all.
    row_positions : array [m]
        Sideways position of each row, in any order.
    length_along : float [m]
        Correlation length along the pass; zero for none.
    length_across : float [m]
        Correlation length across the rows; zero for none.
    block_stations : int [-]
        Most stations in one block. It bounds the memory and does not change the field.

    Returns
    -------
    iterator of arrays [-]
        Arrays (stations of the block, rows), mean 0 and variance 1 over many fields.

    Raises
    ------
    ValueError
        If a spacing is not positive, a length is negative, or a count is not a whole number above zero.

    Notes
    -----
    Each direction is a first-order autoregression x_k = c x_(k-1) + sqrt(1 - c^2) w_k with
    c = exp(-step / length); the two together give exp(-dx/Lx) exp(-dy/Ly). Rows at one position share
    one value. The last station is carried from block to block.

    Range: any.

    Source: derivation in Notes.

    Examples
    --------
    >>> blocks = list(spread_blocks(1, 0.5, 10, [0.0, 0.19], 5.0, 2.0, block_stations=4))
    >>> [b.shape for b in blocks]
    [(4, 2), (4, 2), (2, 2)]
    """
    station_spacing = positive("station_spacing", station_spacing)
    along = float(correlation(station_spacing, not_negative("length_along", length_along)))
    order, across = _across(row_positions, length_across)
    stations = count_number("stations", stations)
    block_stations = count_number("block_stations", block_stations)
    return _blocks(np.random.default_rng(seed), stations, block_stations, along, across, order)


def spread_field(seed, station_spacing, stations, row_positions, length_along, length_across):
    """Standard normal field over stations and rows, correlated along and across.

    Parameters
    ----------
    seed : int [-]
        The same seed gives the same field.
    station_spacing : float [m]
        Distance between stations along the pass.
    stations : int [-]
        Number of stations.
    row_positions : array [m]
        Sideways position of each row, in any order.
    length_along : float [m]
        Correlation length along the pass; zero for none.
    length_across : float [m]
        Correlation length across the rows; zero for none.

    Returns
    -------
    array [-]
        Field (stations, rows), mean 0 and variance 1 over many fields.

    Raises
    ------
    ValueError
        As :func:`spread_blocks`.

    Notes
    -----
    All blocks of :func:`spread_blocks` in one array; equal to them bit for bit.

    Range: any.

    Source: derivation in the Notes of :func:`spread_blocks`.

    Examples
    --------
    >>> spread_field(1, 0.5, 10, [0.0, 0.19], 5.0, 2.0).shape
    (10, 2)
    """
    count = count_number("stations", stations)
    blocks = spread_blocks(
        seed, station_spacing, count, row_positions, length_along, length_across, block_stations=count
    )
    return next(blocks)


def soil_factor(field, standard_deviation):
    """Factor on the soil reaction from a standard normal field.

    Parameters
    ----------
    field : float or array [-]
        Standard normal values.
    standard_deviation : float or array [-]
        Standard deviation of the factor; 0.17 means 17 percent of the mean.

    Returns
    -------
    float or array [-]
        Factor, always above zero, mean 1 and the standard deviation asked for.

    Raises
    ------
    ValueError
        If the field is not finite or the standard deviation is negative.

    Notes
    -----
    Lognormal: exp(s x - s^2 / 2) with s^2 = ln(1 + sd^2), so that hard spots reach further from the mean
    than soft ones and no reaction is negative.

    Range: any; 0.1 to 0.4 inside one field (from memory).

    Source: derivation in Notes; the lognormal shape is common practice, no source.

    Examples
    --------
    >>> float(soil_factor(1.3, 0.0))
    1.0
    """
    variance = np.log1p(not_negative("standard_deviation", standard_deviation) ** 2)
    return np.exp(np.sqrt(variance) * finite("field", field) - variance / 2.0)


def _blocks(rng, stations, block_stations, along, across, order):
    fresh_along = np.sqrt(1.0 - along**2)
    fresh_across = np.sqrt(1.0 - across**2)
    last = None
    for start in range(0, stations, block_stations):
        noise = rng.standard_normal((min(block_stations, stations - start), order.size))
        columns = np.ascontiguousarray(noise.T)  # rows of the drill lie together, so this loop is cheap
        for row in range(1, order.size):
            columns[row] = across[row - 1] * columns[row - 1] + fresh_across[row - 1] * columns[row]
        field = np.empty_like(noise)
        field[:, order] = columns.T
        field[1 if last is None else 0 :] *= fresh_along
        if last is not None:
            field[0] += along * last
        carried = np.empty(order.size)
        for before, here in pairwise(field):
            np.multiply(before, along, out=carried)
            here += carried
        last = field[-1].copy()
        yield field


def _across(row_positions, length_across):
    positions = finite("row_positions", row_positions)
    if positions.ndim != 1 or positions.size == 0:
        raise ValueError(f"row_positions must be one row of numbers; got shape {positions.shape}.")
    order = np.argsort(positions, kind="stable")
    steps = np.diff(positions[order])
    return order, correlation(steps, not_negative("length_across", length_across))
