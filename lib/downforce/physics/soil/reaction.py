"""Soil reaction on a disc against depth, its draft, and what a dig or a reading says about it."""

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import Metre, MetrePerSecond, Newton, Ratio

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
