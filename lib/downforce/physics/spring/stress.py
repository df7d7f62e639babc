"""Shear stress in the wire of a coil spring, and the factors that correct it."""

import numpy as np

from downforce.physics.checks import not_negative, positive
from downforce.physics.kinds import Metre, Newton, Pascal, Ratio
from downforce.physics.spring.size import spring_index as index_of


def direct_shear_factor(spring_index: Ratio) -> Ratio:
    """Stress factor for direct shear alone, without the curvature of the wire.

    spring_index: mean diameter over wire diameter.
    Result: factor Ks to use in ``coil_shear_stress``.
    Raises ValueError if the index is not above 1.

    Ks = (2 C + 1) / (2 C). Fit for static load, where yielding evens out the curvature peak.
    Range: spring index 4 to 12.
    Source: [SHI] eq. 10-3 (number from memory).

    >>> round(float(direct_shear_factor(6)), 4)
    1.0833
    """
    index = _index_above_one(spring_index)
    return (2 * index + 1) / (2 * index)


def wahl_factor(spring_index: Ratio) -> Ratio:
    """Wahl's stress factor: direct shear and curvature of the wire together.

    spring_index: mean diameter over wire diameter.
    Result: factor KW to use in ``coil_shear_stress``.
    Raises ValueError if the index is not above 1.

    KW = (4 C - 1) / (4 C - 4) + 0.615 / C.
    Range: spring index 4 to 12.
    Source: [SHI] eq. 10-4.

    >>> round(float(wahl_factor(6)), 4)
    1.2525
    """
    index = _index_above_one(spring_index)
    return (4 * index - 1) / (4 * index - 4) + 0.615 / index


def bergstraesser_factor(spring_index: Ratio) -> Ratio:
    """Bergstraesser's stress factor, within 1.4 % of Wahl's and simpler.

    spring_index: mean diameter over wire diameter.
    Result: factor KB to use in ``coil_shear_stress``.
    Raises ValueError if the index is not above 1.

    KB = (4 C + 2) / (4 C - 3).
    Range: spring index 4 to 12.
    Source: [SHI] eq. 10-5.

    >>> round(float(bergstraesser_factor(6)), 4)
    1.2381
    """
    index = _index_above_one(spring_index)
    return (4 * index + 2) / (4 * index - 3)


def coil_shear_stress(force: Newton, wire_diameter: Metre, mean_diameter: Metre, factor: Ratio) -> Pascal:
    """Greatest shear stress in the wire of a coil spring.

    force: force along the axis of the coil.
    mean_diameter: outside diameter of the coil less one wire diameter.
    factor: stress factor, from ``wahl_factor``, ``bergstraesser_factor`` or ``direct_shear_factor``.
    Raises ValueError if the force is negative, another value is not positive, or the mean diameter is not
        larger than the wire.

    tau = K 8 F D / (pi d^3).
    Range: spring index 4 to 12; below the yield strength in torsion.
    Source: [SHI] eq. 10-7.

    >>> round(float(coil_shear_stress(300, 0.005, 0.030, wahl_factor(6))) / 1e6, 2)
    229.64
    """
    index_of(wire_diameter, mean_diameter)
    load = not_negative("force", force)
    wire = positive("wire_diameter", wire_diameter)
    mean = positive("mean_diameter", mean_diameter)
    return positive("factor", factor) * 8 * load * mean / (np.pi * wire**3)


def _index_above_one(index):
    # At C = 1 the inside of the coil closes up and the factors have a pole just below.
    value = positive("spring_index", index)
    positive("spring_index minus 1", value - 1)
    return value
