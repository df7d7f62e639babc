"""Round-wire compression springs: rate, stress, coils and lengths, and the length at which one bows out.

The load law over the whole travel is in ``spring_regime``, wire strength in ``spring_wire``, torsion and
extension springs in ``spring_kinds``; their names are offered here too, so one import serves.
"""

import numpy as np

from .checks import between, not_negative, positive
from .spring_kinds import (
    INITIAL_STRESS_INDEX_RANGE,
    extension_active_coils,
    extension_force,
    extension_free_length,
    initial_stress_band,
    torsion_active_coils,
    torsion_bending_factor,
    torsion_bending_stress,
    torsion_loaded_diameter,
    torsion_rate,
)
from .spring_regime import (
    COIL_REGIMES,
    coil_force,
    coil_regime,
    nested_coil_forces,
    nested_force,
    nested_regime,
    nested_shares,
)
from .spring_wire import (
    ALLOWED_TORSION_SHARE,
    OLDER_WIRES,
    WIRES,
    Wire,
    wire_in_range,
    wire_strength,
)

__all__ = [
    "ACTIVE_COILS_RANGE",
    "ALLOWED_TORSION_SHARE",
    "COIL_ENDS",
    "COIL_REGIMES",
    "INITIAL_STRESS_INDEX_RANGE",
    "OLDER_WIRES",
    "SPRING_INDEX_RANGE",
    "WIRES",
    "Wire",
    "bergstraesser_factor",
    "coil_force",
    "coil_pitch",
    "coil_rate",
    "coil_rate_with_direct_shear",
    "coil_regime",
    "coil_shear_stress",
    "direct_shear_factor",
    "extension_active_coils",
    "extension_force",
    "extension_free_length",
    "initial_stress_band",
    "nested_coil_forces",
    "nested_force",
    "nested_regime",
    "nested_shares",
    "shape_in_range",
    "solid_length",
    "spring_index",
    "stable_free_length",
    "torsion_active_coils",
    "torsion_bending_factor",
    "torsion_bending_stress",
    "torsion_loaded_diameter",
    "torsion_rate",
    "total_coils",
    "wahl_factor",
    "wire_in_range",
    "wire_strength",
]

SPRING_INDEX_RANGE = (4.0, 12.0)
"""Preferred mean diameter over wire diameter [-]; Shigley eq. 10-18 (seen)."""

ACTIVE_COILS_RANGE = (3.0, 15.0)
"""Preferred number of active coils [-]; Shigley eq. 10-19 (seen)."""

COIL_ENDS = {
    "plain": (0.0, 1.0),
    "plain ground": (1.0, 0.0),
    "squared": (2.0, 1.0),
    "squared ground": (2.0, 0.0),
}
"""For each kind of end: dead coils, and wire diameters to add to total coils for the solid length [-].

Shigley table 10-1 (from memory; the same numbers were seen in an open library that follows it)."""


def spring_index(wire_diameter, mean_diameter):
    """Spring index: mean coil diameter over wire diameter.

    Parameters
    ----------
    wire_diameter : float or array [m]
        Diameter of the wire.
    mean_diameter : float or array [m]
        Outside diameter of the coil less one wire diameter.

    Returns
    -------
    float or array [-]
        Spring index C.

    Raises
    ------
    ValueError
        If a diameter is not positive, or the mean diameter is not larger than the wire.

    Notes
    -----
    C = D / d.

    Range: any C above 1; springs that wind and set well have C from 4 to 12 (``SPRING_INDEX_RANGE``).

    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 10-1 (from memory).

    Examples
    --------
    >>> float(spring_index(0.005, 0.030))
    6.0
    """
    wire = positive("wire_diameter", wire_diameter)
    mean = positive("mean_diameter", mean_diameter)
    positive("mean_diameter minus wire_diameter", mean - wire)
    return mean / wire


def shape_in_range(wire_diameter, mean_diameter, active_coils):
    """Whether index and number of active coils lie in the ranges the spring formulas are recommended for.

    Parameters
    ----------
    wire_diameter : float or array [m]
        Diameter of the wire.
    mean_diameter : float or array [m]
        Outside diameter of the coil less one wire diameter.
    active_coils : float or array [-]
        Coils that bend.

    Returns
    -------
    bool or array [-]
        True where both lie in their range, ends included.

    Raises
    ------
    ValueError
        If a value is not positive, or the mean diameter is not larger than the wire.

    Notes
    -----
    C from 4 to 12 and N from 3 to 15.

    Range: the answer is about the range; any positive input is allowed.

    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eqs. 10-18 and 10-19 (seen).

    Examples
    --------
    >>> bool(shape_in_range(0.005, 0.030, 8))
    True
    """
    index = spring_index(wire_diameter, mean_diameter)
    coils = positive("active_coils", active_coils)
    index_fits = (index >= SPRING_INDEX_RANGE[0]) & (index <= SPRING_INDEX_RANGE[1])
    return index_fits & (coils >= ACTIVE_COILS_RANGE[0]) & (coils <= ACTIVE_COILS_RANGE[1])


def coil_rate(wire_diameter, mean_diameter, active_coils, shear_modulus):
    """Rate of a coil spring: newtons for one metre of compression.

    Parameters
    ----------
    wire_diameter : float or array [m]
        Diameter of the wire.
    mean_diameter : float or array [m]
        Outside diameter of the coil less one wire diameter.
    active_coils : float or array [-]
        Coils that bend, without the dead coils at the ends.
    shear_modulus : float or array [Pa]
        Shear modulus of the wire.

    Returns
    -------
    float or array [N/m]
        Spring rate.

    Raises
    ------
    ValueError
        If a value is not positive, or the mean diameter is not larger than the wire.

    Notes
    -----
    k = G d^4 / (8 D^3 N). Torsion of the wire only; see ``coil_rate_with_direct_shear``.

    Range: spring index 4 to 12, active coils 3 to 15, small pitch angle.

    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 10-9 (seen in a table scan).

    Examples
    --------
    >>> round(float(coil_rate(0.005, 0.030, 15, 84e9)))
    16204
    """
    spring_index(wire_diameter, mean_diameter)
    wire = positive("wire_diameter", wire_diameter)
    mean = positive("mean_diameter", mean_diameter)
    coils = positive("active_coils", active_coils)
    return positive("shear_modulus", shear_modulus) * wire**4 / (8 * mean**3 * coils)


def coil_rate_with_direct_shear(wire_diameter, mean_diameter, active_coils, shear_modulus):
    """Rate of a coil spring when the wire's direct shear is counted as well as its torsion.

    Parameters
    ----------
    wire_diameter : float or array [m]
        Diameter of the wire.
    mean_diameter : float or array [m]
        Outside diameter of the coil less one wire diameter.
    active_coils : float or array [-]
        Coils that bend, without the dead coils at the ends.
    shear_modulus : float or array [Pa]
        Shear modulus of the wire.

    Returns
    -------
    float or array [N/m]
        Spring rate, a little below ``coil_rate``.

    Raises
    ------
    ValueError
        If a value is not positive, or the mean diameter is not larger than the wire.

    Notes
    -----
    k = G d^4 / (8 D^3 N) / (1 + 1 / (2 C^2)). At C = 6 it is 1.4 % below the plain rate.

    Range: spring index 4 to 12, active coils 3 to 15, small pitch angle.

    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 10-8 (from memory; an open
    library gives the same numbers).

    Examples
    --------
    >>> round(float(coil_rate_with_direct_shear(0.005, 0.030, 15, 84e9)))
    15982
    """
    index = spring_index(wire_diameter, mean_diameter)
    return coil_rate(wire_diameter, mean_diameter, active_coils, shear_modulus) / (1 + 1 / (2 * index**2))


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

    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 10-3 (number from memory).

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

    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 10-4 (seen in a table scan).

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

    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 10-5 (seen in a table scan).

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

    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 10-7 (seen in a table scan).

    Examples
    --------
    >>> round(float(coil_shear_stress(300, 0.005, 0.030, wahl_factor(6))) / 1e6, 2)
    229.64
    """
    spring_index(wire_diameter, mean_diameter)
    load = not_negative("force", force)
    wire = positive("wire_diameter", wire_diameter)
    mean = positive("mean_diameter", mean_diameter)
    return positive("factor", factor) * 8 * load * mean / (np.pi * wire**3)


def total_coils(active_coils, ends):
    """Coils in all, dead end coils included.

    Parameters
    ----------
    active_coils : float or array [-]
        Coils that bend.
    ends : str [-]
        Kind of end: "plain", "plain ground", "squared" or "squared ground".

    Returns
    -------
    float or array [-]
        Number of coils counted along the wire.

    Raises
    ------
    ValueError
        If the number of coils is not positive or the kind of end is not known.

    Notes
    -----
    Nt = N + Ne, with Ne 0, 1, 2, 2 for the four kinds of end.

    Range: both ends of the spring alike.

    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, table 10-1 (from memory).

    Examples
    --------
    >>> float(total_coils(8, "squared ground"))
    10.0
    """
    return positive("active_coils", active_coils) + _end(ends)[0]


def solid_length(wire_diameter, active_coils, ends):
    """Length of the spring when every coil touches the next.

    Parameters
    ----------
    wire_diameter : float or array [m]
        Diameter of the wire.
    active_coils : float or array [-]
        Coils that bend.
    ends : str [-]
        Kind of end: "plain", "plain ground", "squared" or "squared ground".

    Returns
    -------
    float or array [m]
        Solid length.

    Raises
    ------
    ValueError
        If a value is not positive or the kind of end is not known.

    Notes
    -----
    Ls = (Nt + 1) d for ends as wound, Nt d for ground ends.

    Range: both ends of the spring alike; bare wire, without paint or dirt between the coils.

    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, table 10-1 (from memory).

    Examples
    --------
    >>> round(float(solid_length(0.007, 8, "squared ground")), 3)
    0.07
    """
    wire = positive("wire_diameter", wire_diameter)
    return (total_coils(active_coils, ends) + _end(ends)[1]) * wire


def coil_pitch(free_length, wire_diameter, active_coils, ends):
    """Distance from one active coil to the next when the spring is free.

    Parameters
    ----------
    free_length : float or array [m]
        Length with no load.
    wire_diameter : float or array [m]
        Diameter of the wire.
    active_coils : float or array [-]
        Coils that bend.
    ends : str [-]
        Kind of end: "plain", "plain ground", "squared" or "squared ground".

    Returns
    -------
    float or array [m]
        Pitch.

    Raises
    ------
    ValueError
        If a value is not positive, the kind of end is not known, or the free length is below the solid one.

    Notes
    -----
    p = d + (L0 - Ls) / N: the whole free compression is shared by the active coils. The same as
    (L0 - 2 d) / N for squared and ground ends and (L0 - 3 d) / N for squared ends.

    Range: even pitch over the active coils.

    Source: derivation in Notes; agrees with Shigley table 10-1 for squared ends (from memory).

    Examples
    --------
    >>> round(float(coil_pitch(0.0525, 0.0009398, 10.5, "squared")) * 1000, 2)
    4.73
    """
    wire = positive("wire_diameter", wire_diameter)
    coils = positive("active_coils", active_coils)
    gap = positive("free_length", free_length) - solid_length(wire, coils, ends)
    return wire + not_negative("free_length minus solid length", gap) / coils


def stable_free_length(mean_diameter, end_factor, elastic_modulus, shear_modulus):
    """Longest free length at which a compression spring cannot bow out sideways at any compression.

    Parameters
    ----------
    mean_diameter : float or array [m]
        Outside diameter of the coil less one wire diameter.
    end_factor : float or array [-]
        0.5 both ends on flat fixed seats, 0.707 one seat fixed and one pivoted, 1 both pivoted, 2 one end
        fixed and the other free to move sideways.
    elastic_modulus : float or array [Pa]
        Young's modulus of the wire.
    shear_modulus : float or array [Pa]
        Shear modulus of the wire.

    Returns
    -------
    float or array [m]
        Free length below which no guide is needed.

    Raises
    ------
    ValueError
        If a value is not positive, or Young's modulus is not larger than the shear modulus.

    Notes
    -----
    L0 < pi (D / alpha) sqrt(2 (E - G) / (2 G + E)), about 2.63 D / alpha for steel. A rod or tube that
    guides the spring lifts the limit.

    Range: end factor 0.5 to 2.

    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eqs. 10-12 and 10-13, table 10-2
    (the 2.63 and the table seen).

    Examples
    --------
    >>> round(float(stable_free_length(1.0, 1.0, 207e9, 79.3e9)), 2)
    2.62
    """
    mean = positive("mean_diameter", mean_diameter)
    end = between("end_factor", positive("end_factor", end_factor), 0.1, 10.0)
    young = positive("elastic_modulus", elastic_modulus)
    shear = positive("shear_modulus", shear_modulus)
    positive("elastic_modulus minus shear_modulus", young - shear)
    return np.pi * mean / end * np.sqrt(2 * (young - shear) / (2 * shear + young))


def _index_above_one(index):
    # At C = 1 the inside of the coil closes up and the factors have a pole just below.
    value = positive("spring_index", index)
    positive("spring_index minus 1", value - 1)
    return value


def _end(ends):
    if ends not in COIL_ENDS:
        allowed = ", ".join(f'"{name}"' for name in COIL_ENDS)
        raise ValueError(f"ends must be one of {allowed}; got {ends!r}.")
    return COIL_ENDS[ends]
