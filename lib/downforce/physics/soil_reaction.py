"""What the soil pushes back at an opener, and how it is spread over a field.

Soil reaction on a disc against depth, its draft, and what a dig or a reading says about it; then a repeatable
random field of soil strength, correlated along and across.
"""

from collections.abc import Iterator

import numpy as np

from downforce.physics.checks import count_number, finite, not_negative, positive
from downforce.physics.kinds import Metre, MetrePerSecond, Metres, Newton, Ratio, Ratios

DRAFT_GROWTH_PER_KMH = 0.04
"""Growth of draft for one km/h more [-] [COL]."""

DRAFT_GROWTH_PER_CM = 0.20
"""Growth of draft for one centimetre more depth [-], nearly, mean of nine openers [COL]."""

_KMH = 3.6
_ROUNDING = 1e-9  # so that the ends themselves count as inside


def reaction_share(depth_share: Ratio, exponent: Ratio) -> Ratio:
    """Soil reaction over the reference reaction, at a depth over the reference depth: the law itself.

    depth_share: depth over the reference depth; nothing is left of the reaction at or above the surface.

    (d / d_ref)^n. Everything that needs the law asks here; nothing is checked, so that passes may.
    Range: as `soil_reaction`.
    Source: common practice, no source.
    """
    share = np.maximum(depth_share, 0.0)
    # Most soils are taken in proportion, and a power costs ten times a comparison.
    return share if np.ndim(exponent) == 0 and exponent == 1.0 else share**exponent


def depth_share(reaction_share: Ratio, exponent: Ratio) -> Ratio:
    """Depth over the reference depth at which a share of the reference reaction stands: the law inverted.

    reaction_share: reaction over the reference reaction; below zero counts as zero.

    (V / V_ref)^(1/n).
    Range: as `soil_reaction`.
    Source: derivation above.
    """
    share = np.maximum(reaction_share, 0.0)
    return share if np.ndim(exponent) == 0 and exponent == 1.0 else share ** (1.0 / exponent)


def soil_reaction(
    depth: Metre, reference_reaction: Newton, reference_depth: Metre, exponent: Ratio
) -> Newton:
    """Vertical soil load on the disc at a depth, scaled from one known reaction.

    depth: how deep the disc runs; zero or below means it is at or above the surface.
    exponent: power of the depth. 1 makes the reaction grow in proportion to depth.
    Result: soil reaction; zero at or above the surface.
    Raises ValueError if a depth is not finite, the reaction is negative, or reference depth or exponent is
        not positive.

    V = V_ref (d / d_ref)^n.
    Range: depths of 20 to 90 mm near the reference depth. It is a scaling rule; the reference reaction should
    come from a dig.
    Source: common practice, no source for the power law; the growth of draft with depth it is compared with
    is [COL].

    >>> float(soil_reaction(0.02, 900.0, 0.04, 1.0))
    450.0
    >>> float(soil_reaction(-0.01, 900.0, 0.04, 1.0))
    0.0
    """
    depth = finite("depth", depth)
    reference_reaction = not_negative("reference_reaction", reference_reaction)
    reference_depth = positive("reference_depth", reference_depth)
    exponent = positive("exponent", exponent)
    return reference_reaction * reaction_share(depth / reference_depth, exponent)


def growth_per_centimetre(depth: Metre, exponent: Ratio) -> Ratio:
    """Share by which reaction and draft grow when the disc goes one centimetre deeper.

    depth: depth before the extra centimetre.
    exponent: power of the depth in the reaction law.
    Result: growth as a share of the load at the first depth; 0.2 means 20 percent.
    Raises ValueError if the depth or the exponent is not positive.

    ((d + 10 mm) / d)^n - 1. Draft is a fixed share of the reaction here, so both grow alike.
    Range: nearly 0.20 was published for the draft of nine openers from 1 to 5 cm; that the reaction grows
    alike is our assumption. It makes n about 0.8 at 40 mm.
    Source: derivation above; [COL].

    >>> float(growth_per_centimetre(0.04, 1.0))
    0.25
    """
    depth = positive("depth", depth)
    exponent = positive("exponent", exponent)
    return np.expm1(exponent * np.log1p(0.01 / depth))


def exponent_for_growth(growth: Ratio, depth: Metre) -> Ratio:
    """Power of the depth that makes the reaction grow by a given share for one centimetre.

    depth: depth before the extra centimetre.
    Raises ValueError if the growth or the depth is not positive.

    n = ln(1 + growth) / ln((d + 10 mm) / d).
    Range: as the growth it is made from; the published growth is about 0.20.
    Source: derivation above.

    >>> round(float(exponent_for_growth(0.20, 0.04)), 3)
    0.817
    """
    growth = positive("growth", growth)
    depth = positive("depth", depth)
    return np.log1p(growth) / np.log1p(0.01 / depth)


def draft(soil_reaction: Newton, draft_ratio: Ratio) -> Newton:
    """Horizontal pull that goes with a vertical soil reaction.

    soil_reaction: vertical soil load on the disc.
    Raises ValueError if either value is negative.

    H = ratio V.
    Range: published reaction divided by draft is 1.3 to 1.9, a draft ratio of 0.53 to 0.77.
    Source: [GER08].

    >>> float(draft(900.0, 0.6))
    540.0
    """
    return not_negative("soil_reaction", soil_reaction) * not_negative("draft_ratio", draft_ratio)


def draft_ratio_at_speed(draft_ratio: Ratio, speed: MetrePerSecond, reference_speed: MetrePerSecond) -> Ratio:
    """Draft ratio at another ground speed.

    draft_ratio: draft divided by soil reaction at the reference speed.
    Raises ValueError if a value is negative, or the speed is so far below the reference that the rule leaves
        no draft.

    ratio (1 + 0.04 (speed - reference_speed)), speeds in km/h. The vertical reaction is kept. [SAR] saw it
    fall a little with speed, in direction only, so that part is left out.
    Range: drilling speeds, about 5 to 12 km/h.
    Source: [COL], about +4 percent per km/h.

    >>> round(float(draft_ratio_at_speed(0.6, 10 / 3.6, 8 / 3.6)), 3)
    0.648
    """
    draft_ratio = not_negative("draft_ratio", draft_ratio)
    speed = not_negative("speed", speed)
    reference_speed = not_negative("reference_speed", reference_speed)
    growth = 1.0 + DRAFT_GROWTH_PER_KMH * _KMH * (speed - reference_speed)
    if np.any(growth <= 0):
        raise ValueError(
            "speed is 25 km/h or more below reference_speed; the rule of 4 percent per km/h holds only "
            f"for drilling speeds. Got growth factor {float(np.min(growth)):g}."
        )
    return draft_ratio * growth


def reaction_from_balance(
    net_push: Newton, draft_ratio: Ratio, draft_share: Ratio, gauge_wheel_load: Newton = 0.0
) -> Newton:
    """Soil reaction that closes the balance of an opener whose gauge-wheel load is known.

    net_push: down force at the disc plus opener weight less closing-wheel load, each as felt at the disc.
    draft_share: lift at the disc for one newton of draft: pivot height over arm length for a trailing arm,
        tangent of the link slope for a parallel linkage (negative when the links climb rearward).
    gauge_wheel_load: load read on the gauge wheel; zero when it turns freely.
    Result: soil reaction at the depth the disc has reached.
    Raises ValueError if the gauge wheel would carry more than the push, or the draft would pull the disc in
        by more than its own reaction.

    The balance is push = V + ratio share V + G, so V = (push - G) / (1 + ratio share).
    Range: disc and gauge wheel at the same distance from the pivot; moving, so that the draft acts.
    Source: derivation above.

    >>> round(float(reaction_from_balance(1527.6, 0.6, 0.75)), 1)
    1053.5
    """
    net_push = finite("net_push", net_push)
    draft_ratio = not_negative("draft_ratio", draft_ratio)
    draft_share = finite("draft_share", draft_share)
    gauge_wheel_load = not_negative("gauge_wheel_load", gauge_wheel_load)
    left = not_negative("net_push less gauge_wheel_load", net_push - gauge_wheel_load)
    return left / positive("1 + draft_ratio x draft_share", 1.0 + draft_ratio * draft_share)


def reaction_from_dig(
    depth_reached: Metre,
    net_push: Newton,
    draft_ratio: Ratio,
    draft_share: Ratio,
    reference_depth: Metre,
    exponent: Ratio,
) -> Newton:
    """Soil reaction at the wanted depth, from a dig where the gauge wheel carried nothing.

    depth_reached: depth found by digging.
    net_push: down force at the disc plus opener weight less closing-wheel load, each as felt at the disc.
    draft_share: lift at the disc for one newton of draft.
    reference_depth: depth the reaction is wanted for, usually the depth the stop is set to.
    exponent: power of the depth in the reaction law.
    Result: reaction at the reference depth. Several depths give several values; their spread is the honest
        width of the answer.
    Raises ValueError if a depth or the exponent is not positive, or the balance leaves no push.

    V_ref = V (d_ref / d)^n with V from the balance at a gauge-wheel load of zero. A dig where the gauge wheel
    was pressed down says only that the reaction is less than this; take a reading of the gauge-wheel load
    then and use `reaction_from_balance`.
    Range: gauge wheel turning freely, depth reached at least half the reference depth.
    Source: derivation above.

    >>> round(float(reaction_from_dig(0.0281, 1527.6, 0.6, 0.75, 0.04, 1.0)))
    1500
    """
    reaction = reaction_from_balance(net_push, draft_ratio, draft_share)
    depth_reached = positive("depth_reached", depth_reached)
    return soil_reaction(reference_depth, reaction, depth_reached, exponent)


# Stations that are mixed at once, whatever the blocks: these change no bit of the field. With more, products
# of sixty rows wake the threads of the linear algebra, which cost more than they save.
_CHUNK = 16


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
