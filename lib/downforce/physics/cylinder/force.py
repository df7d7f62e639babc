"""Area of a hydraulic cylinder, its force with the friction band, and the bore for a force."""

import numpy as np

from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.kinds import Metre, Newton, Pascal, Ratio, SquareMetre, Wholes


def pressure_area(diameter: Metre) -> SquareMetre:
    """Area the oil pushes on: the bore of a piston cylinder, the rod of a plunger cylinder.

    diameter: bore, or rod diameter of a plunger type.
    Raises ValueError if the diameter is not positive.

    A = pi d^2 / 4.
    Range: any.
    Source: geometry, area of a circle.

    >>> round(float(pressure_area(0.0381)) * 1e4, 1)
    11.4
    """
    return np.pi * positive("diameter", diameter) ** 2 / 4


def annulus_area(bore: Metre, rod: Metre) -> SquareMetre:
    """Area on the rod side of a piston.

    Raises ValueError if a diameter is not positive, or the rod is not smaller than the bore.

    A = pi (D^2 - d^2) / 4.
    Range: any.
    Source: geometry; checked with [ESP] ex. 6-1.

    >>> round(1000 / float(annulus_area(2, 1)), 1)
    424.4
    """
    outer, inner = positive("bore", bore), positive("rod", rod)
    positive("bore minus rod", outer - inner)
    return pressure_area(outer) - pressure_area(inner)


def cylinder_force(
    gauge_pressure: Pascal, area: SquareMetre, friction_force: Newton = 0.0, direction: int | Wholes = 0
) -> Newton:
    """Force along the rod of a cylinder at held pressure.

    direction: +1 the rod moves out, -1 it is pushed in, 0 the middle of the band.
    Result: push of the rod. Negative when the rod is pulled out against friction with too little pressure.
    Raises ValueError if pressure or friction is negative, the area is not positive, or the direction is not
        -1, 0 or 1.

    F = p A - s Ff. Friction works against motion, so a falling opener gets less and a rising one more.
    Range: friction taken as steady; seals stick more after standing.
    Source: balance of forces on the rod, derivation above.

    >>> [round(float(cylinder_force(60e5, 1.14e-3, 400.0, way))) for way in (1, 0, -1)]
    [6440, 6840, 7240]
    """
    way = finite("direction", direction)
    wrong = (way != 0.0) & (np.abs(way) != 1.0)
    if wrong.any():
        raise ValueError(
            "direction must be +1 (rod moving out), -1 (rod pushed in) or 0 (middle of the band); "
            f"got {way[wrong].flat[0]:g}."
        )
    push = not_negative("gauge_pressure", gauge_pressure) * positive("area", area)
    return push - way * not_negative("friction_force", friction_force)


def bore_for_force(force: Newton, gauge_pressure: Pascal, friction_share: Ratio) -> Metre:
    """Bore that gives a force at a pressure, not yet rounded to a standard bore.

    force: force wanted along the rod.
    friction_share: share of pressure x area lost to seals, from 0 to below 1.
    Result: bore, or rod diameter of a plunger type.
    Raises ValueError if force or pressure is not positive, or the share is not from 0 to below 1.

    D = sqrt(4 F / (pi p (1 - s))).
    Range: any; 0.05 to 0.10 is a usual share at working pressure.
    Source: [SUL] ex. 8.1.

    >>> round(float(bore_for_force(80000, 1600, 0.0)), 3)
    7.979
    """
    left = 1 - between("friction_share", friction_share, 0, 1)
    positive("1 minus friction_share", left)
    area = positive("force", force) / (positive("gauge_pressure", gauge_pressure) * left)
    return np.sqrt(4 * area / np.pi)
