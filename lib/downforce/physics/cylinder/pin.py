"""A pin that joins an eye and a fork, and the fillet welds that hold its bracket."""

import numpy as np

from downforce.physics.checks import not_negative, positive
from downforce.physics.kinds import Metre, Newton, NewtonMetre, Pascal


def pin_stresses(
    force: Newton, diameter: Metre, eye: Metre, fork: Metre, gap: Metre
) -> tuple[Pascal, Pascal, Pascal, Pascal]:
    """Shear, bearing and bending of a pin in double shear.

    fork: thickness of each plate of the fork.
    gap: between eye and plate, on each side.
    Result: shear, bearing in the eye, bearing in the fork, bending.
    Raises ValueError if the gap is negative or another value is not positive.

    Shear 2 F / (pi d^2); bearing F / (d t) and F / (2 d a); bending 32 M / (pi d^3) with M = F (t + 4 c + 2
    a) / 8, for a pin with clearance.
    Range: a pin in two plates; one beside a single plate has twice the shear and far more bending.
    Source: the check of pins in machine-element texts, from memory.

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


def fillet_stress(force: Newton, leg: Metre, length: Metre, moment: NewtonMetre = 0.0) -> Pascal:
    """Throat stress of two parallel fillet welds of one length that hold a bracket.

    moment: about the middle of the welds, in their plane.
    Result: force over both throats, plus what the moment adds at their ends.
    Raises ValueError if the moment is negative or another value is not positive.

    F / (0.7 leg 2 L) + 3 M / (0.7 leg L^2): throat 0.7 leg, two rectangles bent along their length.
    Range: two fillets along a plate; both parts are added as if they pointed the same way, which is cautious.
    Source: throat rule of weld texts, from memory; derivation of the second part: two rectangles of section
    modulus 0.7 leg L^2 / 6 each.

    >>> round(float(fillet_stress(15.96e3, 0.005, 0.040)) / 1e6)
    57
    """
    throat = 0.7 * positive("leg", leg)
    length = positive("length", length)
    return positive("force", force) / (2.0 * throat * length) + 3.0 * not_negative("moment", moment) / (
        throat * length**2
    )
