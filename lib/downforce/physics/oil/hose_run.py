"""How long a hose must be that is clamped on both sides of a hinge, and how wide a loop it needs."""

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import Metre, Radian

SHORTENS = 0.04
"""By how much a hose may shorten under pressure [-]; it may also grow by 2 % (two installation sheets)."""

STRAIGHT_DIAMETERS = 1.5
"""Straight hose behind each end before it may bend, over its outside diameter [-] (an installation sheet)."""

_HALVINGS = 50


def clamp_distance(angle: Radian, inner: Metre, outer: Metre, height: Metre) -> Metre:
    """Distance of two clamps on either side of a hinge, one on each part.

    angle: by which the outer part is folded up; 0 is level, below 0 it hangs down.
    inner, outer: how far the clamps are from the hinge when level, one on each side.
    height: of both clamps over the hinge when level; negative below it.
    Result: straight from clamp to clamp.
    Raises ValueError if a clamp is on the wrong side of the hinge.

    s = |R(angle) Q - P| with the hinge as origin, P = (-inner, height), Q = (outer, height).
    Range: any angle; hinge and clamps seen along the hinge.
    Source: geometry; derivation: Q turns about the hinge.

    >>> [round(1e3 * float(clamp_distance(np.radians(fold), 0.3, 0.3, -0.05))) for fold in (0, 30, 120, 170)]
    [600, 605, 387, 152]
    """
    angle, height = finite("angle", angle), finite("height", height)
    a, b = not_negative("inner", inner), not_negative("outer", outer)
    across = b * np.cos(angle) - height * np.sin(angle) + a
    up = b * np.sin(angle) + height * np.cos(angle) - height
    return np.hypot(across, up)


def hose_length_wanted(longest: Metre, outside_diameter: Metre, tolerance: Metre) -> Metre:
    """Length to order of a hose whose ends come apart and together.

    longest: greatest distance of its ends or clamps, over all places they go to.
    tolerance: for what the machine differs from its drawing.
    Result: length of the whole assembly.
    Raises ValueError if a length is negative.

    longest / (1 - 0.04) + 2 x 1.5 outside diameters + tolerance: the hose shortens under pressure, and a
    straight piece stands behind each end.
    Range: wire-braided hose.
    Source: rules of [J1273] as two installation sheets tell them; the sheets differ, the larger is taken.

    >>> round(float(hose_length_wanted(0.608, 0.0222, 0.05)), 3)
    0.75
    """
    straight = STRAIGHT_DIAMETERS * not_negative("outside_diameter", outside_diameter)
    return (
        not_negative("longest", longest) / (1.0 - SHORTENS)
        + 2.0 * straight
        + not_negative("tolerance", tolerance)
    )


def loop_radius(chord: Metre, length: Metre, ends_turn: bool = False) -> Metre:
    """Radius of the arc in which a hose hangs between its ends.

    ends_turn: whether its ends may point away from each other, as at a tee and an elbow; clamps hold them
        parallel, and then it bends no wider than half a circle.
    Result: infinite where it lies straight.
    Raises ValueError if the chord is negative or the length is not positive.

    R = length / (2 phi) with sin(phi) / phi = chord / length; between clamps no more than chord / 2 where phi
    is above a right angle.
    Range: one plane, hose without stiffness; a hose that lies straight or is too short for its chord has no
    arc.
    Source: geometry; derivation: arc and chord of a circle, phi half the angle of the arc.

    >>> round(1e3 * float(loop_radius(0.047, 0.675)), 1)
    23.5
    """
    chord, length = np.broadcast_arrays(not_negative("chord", chord), positive("length", length))
    share = np.clip(chord / length, 0.0, 1.0)
    low, high = np.zeros_like(share), np.full_like(share, np.pi)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        above = np.sinc(middle / np.pi) > share
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    with np.errstate(divide="ignore"):
        radius = np.where(share < 1.0, length / (2.0 * high), np.inf)
    return radius if ends_turn else np.where(high > np.pi / 2.0, chord / 2.0, radius)
