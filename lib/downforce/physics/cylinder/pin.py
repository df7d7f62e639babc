"""A pin that joins an eye and a fork, and the fillet welds that hold its bracket."""

import numpy as np

from downforce.physics.checks import not_negative, positive


def pin_stresses(force, diameter, eye, fork, gap):
    """Shear, bearing and bending of a pin in double shear.

    Parameters
    ----------
    force : float or array [N]
        Through the pin.
    diameter : float or array [m]
        Of the pin.
    eye : float or array [m]
        Width of the eye.
    fork : float or array [m]
        Thickness of each plate of the fork.
    gap : float or array [m]
        Between eye and plate, on each side.

    Returns
    -------
    tuple of four floats or arrays [Pa]
        Shear, bearing in the eye, bearing in the fork, bending.

    Raises
    ------
    ValueError
        If the gap is negative or another value is not positive.

    Notes
    -----
    Shear 2 F / (pi d^2); bearing F / (d t) and F / (2 d a); bending 32 M / (pi d^3) with
    M = F (t + 4 c + 2 a) / 8, for a pin with clearance.

    Range: a pin in two plates; one beside a single plate has twice the shear and far more bending.

    Source: the check of pins in machine-element texts, from memory.

    Examples
    --------
    >>> [round(float(stress) / 1e6, 1) for stress in pin_stresses(15.96e3, 0.016, 0.020, 0.008, 0.0005)]
    [39.7, 49.9, 62.3, 188.5]
    """
    force, d = positive("force", force), positive("diameter", diameter)
    t, a, c = positive("eye", eye), positive("fork", fork), not_negative("gap", gap)
    moment = force * (t + 4.0 * c + 2.0 * a) / 8.0
    return (
        2.0 * force / (np.pi * d**2),
        force / (d * t),
        force / (2.0 * d * a),
        32.0 * moment / (np.pi * d**3),
    )


def fillet_stress(force, leg, length, moment=0.0):
    """Throat stress of two parallel fillet welds of one length that hold a bracket.

    Parameters
    ----------
    force : float or array [N]
        On the bracket.
    leg : float or array [m]
        Leg of each fillet.
    length : float or array [m]
        Of each fillet.
    moment : float or array [N m]
        About the middle of the welds, in their plane.

    Returns
    -------
    float or array [Pa]
        Force over both throats, plus what the moment adds at their ends.

    Raises
    ------
    ValueError
        If the moment is negative or another value is not positive.

    Notes
    -----
    F / (0.7 leg 2 L) + 3 M / (0.7 leg L^2): throat 0.7 leg, two rectangles bent along their length.

    Range: two fillets along a plate; both parts are added as if they pointed the same way, which is cautious.

    Source: throat rule of weld texts, from memory; derivation of the second part: two rectangles of
    section modulus 0.7 leg L^2 / 6 each.

    Examples
    --------
    >>> round(float(fillet_stress(15.96e3, 0.005, 0.040)) / 1e6)
    57
    """
    throat = 0.7 * positive("leg", leg)
    length = positive("length", length)
    return positive("force", force) / (2.0 * throat * length) + 3.0 * not_negative("moment", moment) / (
        throat * length**2
    )
