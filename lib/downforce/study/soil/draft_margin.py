"""Speed and draft eat the margin: a trailing arm against a parallel linkage under the same loads."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.balance import load_left, push_wanted
from downforce.physics.checks import between, not_negative, positive
from downforce.physics.soil import (
    DRAFT_GROWTH_PER_CM,
    draft,
    draft_ratio_at_speed,
    exponent_for_growth,
    soil_reaction,
)

USUAL_ARM = (0.45, 0.60)
"""Pivot height and arm length for a drill that has no trailing arm [m]; invented teaching opener."""


@dataclass(frozen=True)
class Margin:
    """Gauge-wheel load of two openers that get the same push.

    Attributes
    ----------
    soil_reaction : float or array [N]
        At the depth.
    draft : float or array [N]
        At speed and depth.
    trailing_arm : float or array [N]
        Gauge-wheel load of the trailing arm; zero means that it is not at depth.
    parallel_linkage : float or array [N]
        Gauge-wheel load of the parallel linkage.
    lost_on_arm, lost_on_links : float or array [N]
        What the draft takes off each gauge wheel.
    closing_on_arm, closing_on_links : float [N]
        What the added closing-wheel load takes off each gauge wheel.
    """

    soil_reaction: np.ndarray
    draft: np.ndarray
    trailing_arm: np.ndarray
    parallel_linkage: np.ndarray
    lost_on_arm: np.ndarray
    lost_on_links: np.ndarray
    closing_on_arm: float
    closing_on_links: float


def draft_lift(draft, pivot_height, arm_length):
    """Load that draft takes off the gauge wheel of a trailing arm.

    Parameters
    ----------
    draft : float or array [N]
        Horizontal pull on the disc.
    pivot_height : float or array [m]
        Arm pivot above the line of draft.
    arm_length : float or array [m]
        Pivot to disc and gauge wheel, measured level.

    Returns
    -------
    float or array [N]
        draft x height / length, by moments about the pivot.

    Raises
    ------
    ValueError
        If the draft is negative or a length is not positive.
    """
    return (
        not_negative("draft", draft)
        * positive("pivot_height", pivot_height)
        / positive("arm_length", arm_length)
    )


def arm_of(opener):
    """Pivot height and arm length of an opener's trailing arm, or the usual ones if it has none.

    Parameters
    ----------
    opener : Opener [-]
        The opener.

    Returns
    -------
    tuple of two floats [m]
        Height above the line of draft and level length.
    """
    if opener.linkage != "trailing arm":
        return USUAL_ARM
    return opener.pivot[1] - opener.draft_line(), opener.disc[0] - opener.pivot[0]


def closing_shares(opener):
    """Load taken off the gauge wheel by one newton more on the closing wheel.

    Parameters
    ----------
    opener : Opener [-]
        Gives the place of the closing wheel.

    Returns
    -------
    tuple of two floats [-]
        On a trailing arm (distance of the closing wheel over that of the disc) and on a parallel linkage
        (one, because the opener keeps level).
    """
    if opener.linkage != "trailing arm":
        behind = opener.closing_wheel[0] - opener.disc[0]
        return 1.0 + behind / USUAL_ARM[1], 1.0
    return (opener.closing_wheel[0] - opener.pivot[0]) / (opener.disc[0] - opener.pivot[0]), 1.0


def margins(opener, field, pivot_height, link_slope, speed, deeper=0.0, added_closing=0.0):
    """Gauge-wheel load of both linkages at a speed and a depth.

    Parameters
    ----------
    opener : Opener [-]
        Gives arm length and place of the closing wheel.
    field : Field [-]
        Gives the soil, the reference speed and the wanted load.
    pivot_height : float [m]
        Arm pivot of the trailing arm above the line of draft.
    link_slope : float [rad]
        How far the links of the parallel linkage slope down to the rear.
    speed : float or array [m/s]
        Ground speed.
    deeper : float [m]
        Depth beyond the target.
    added_closing : float [N]
        Added to the closing wheel's load.

    Returns
    -------
    Margin [N]
        Both gauge-wheel loads.

    Raises
    ------
    ValueError
        If an input is outside what the rules hold for.

    Notes
    -----
    Both openers get the same push: as much as leaves the wanted load on the drill's own trailing arm, or on
    the usual one, at the field's own speed and depth. The file's draft ratio is taken to hold there. Draft
    grows by 4 percent a km/h, reaction and draft by 20 percent a centimetre of depth (Collins and Fowler
    1995, excerpt only). The reaction is kept at other speeds; one paper saw it fall a little.
    """
    soil, at_target = field.opener_soil, float(field.opener_soil.target_reaction)
    usual_height, length = arm_of(opener)
    usual_share = float(draft_lift(1.0, usual_height, length))
    arm_share = float(draft_lift(1.0, pivot_height, length))
    link_share = float(np.tan(between("link_slope", link_slope, -0.5, 0.5)))
    shares = (0.0, 1.0, 1.0, usual_share)
    push = push_wanted(shares, 0.0, 0.0, at_target, soil.draft_ratio, field.aim.gauge_wheel_load)
    exponent = exponent_for_growth(DRAFT_GROWTH_PER_CM, field.target_depth)
    depth = field.target_depth + not_negative("deeper", deeper)
    reaction = soil_reaction(depth, at_target, field.target_depth, exponent)
    ratio = draft_ratio_at_speed(soil.draft_ratio, speed, field.speed)
    pull = draft(reaction, ratio)
    on_arm, on_links = (
        share * float(not_negative("added_closing", added_closing)) for share in closing_shares(opener)
    )
    left = [
        np.maximum(load_left(push, (0.0, 1.0, 1.0, share), 0.0, closing, reaction, ratio), 0.0)
        for share, closing in ((arm_share, on_arm), (link_share, on_links))
    ]
    return Margin(reaction, pull, *left, pull * arm_share, pull * link_share, on_arm, on_links)
