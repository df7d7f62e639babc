"""Shear stress in the wire of a coil spring, and the factors that correct it."""

import numpy as np

from downforce.physics.checks import not_negative, positive
from downforce.physics.spring.size import spring_index as index_of


def direct_shear_factor(spring_index):
    """Stress factor for direct shear alone, without the curvature of the wire.

    Parameters
    ----------
    spring_index : float or array [-]
        Mean diameter over wire diameter.

    Returns
    -------
    float or array [-]
        Factor Ks to use in ``coil_shear_stress``.

    Raises
    ------
    ValueError
        If the index is not above 1.

    Notes
    -----
    Ks = (2 C + 1) / (2 C). Fit for static load, where yielding evens out the curvature peak.

    Range: spring index 4 to 12.

    Source: [SHI] eq. 10-3 (number from memory).

    Examples
    --------
    >>> round(float(direct_shear_factor(6)), 4)
    1.0833
    """
    index = _index_above_one(spring_index)
    return (2 * index + 1) / (2 * index)


def wahl_factor(spring_index):
    """Wahl's stress factor: direct shear and curvature of the wire together.

    Parameters
    ----------
    spring_index : float or array [-]
        Mean diameter over wire diameter.

    Returns
    -------
    float or array [-]
        Factor KW to use in ``coil_shear_stress``.

    Raises
    ------
    ValueError
        If the index is not above 1.

    Notes
    -----
    KW = (4 C - 1) / (4 C - 4) + 0.615 / C.

    Range: spring index 4 to 12.

    Source: [SHI] eq. 10-4.

    Examples
    --------
    >>> round(float(wahl_factor(6)), 4)
    1.2525
    """
    index = _index_above_one(spring_index)
    return (4 * index - 1) / (4 * index - 4) + 0.615 / index


def bergstraesser_factor(spring_index):
    """Bergstraesser's stress factor, within 1.4 % of Wahl's and simpler.

    Parameters
    ----------
    spring_index : float or array [-]
        Mean diameter over wire diameter.

    Returns
    -------
    float or array [-]
        Factor KB to use in ``coil_shear_stress``.

    Raises
    ------
    ValueError
        If the index is not above 1.

    Notes
    -----
    KB = (4 C + 2) / (4 C - 3).

    Range: spring index 4 to 12.

    Source: [SHI] eq. 10-5.

    Examples
    --------
    >>> round(float(bergstraesser_factor(6)), 4)
    1.2381
    """
    index = _index_above_one(spring_index)
    return (4 * index + 2) / (4 * index - 3)


def coil_shear_stress(force, wire_diameter, mean_diameter, factor):
    """Greatest shear stress in the wire of a coil spring.

    Parameters
    ----------
    force : float or array [N]
        Force along the axis of the coil.
    wire_diameter : float or array [m]
        Diameter of the wire.
    mean_diameter : float or array [m]
        Outside diameter of the coil less one wire diameter.
    factor : float or array [-]
        Stress factor, from ``wahl_factor``, ``bergstraesser_factor`` or ``direct_shear_factor``.

    Returns
    -------
    float or array [Pa]
        Shear stress.

    Raises
    ------
    ValueError
        If the force is negative, another value is not positive, or the mean diameter is not larger than
        the wire.

    Notes
    -----
    tau = K 8 F D / (pi d^3).

    Range: spring index 4 to 12; below the yield strength in torsion.

    Source: [SHI] eq. 10-7.

    Examples
    --------
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
