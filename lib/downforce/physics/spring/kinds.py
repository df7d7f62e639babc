"""Torsion springs (they turn) and extension springs (they pull, and start with a set-in tension)."""

import numpy as np

from downforce.physics.checks import not_negative, positive

INITIAL_STRESS_INDEX_RANGE = (4.0, 16.0)
"""Spring indexes the band of initial stress is drawn for [-] (from memory)."""

PSI = 6894.757293168361


def torsion_active_coils(body_coils, mean_diameter, first_leg, second_leg):
    """Active coils of a torsion spring: the body and the bending of its two legs.

    Parameters
    ----------
    body_coils : float or array [-]
        Coils in the body.
    mean_diameter : float or array [m]
        Outside diameter of the coil less one wire diameter.
    first_leg, second_leg : float or array [m]
        Lengths of the straight legs.

    Returns
    -------
    float or array [-]
        Active coils.

    Raises
    ------
    ValueError
        If coils or diameter are not positive or a leg is negative.

    Notes
    -----
    N = Nb + (l1 + l2) / (3 pi D).

    Range: legs tangent to the coil and loaded at their ends.

    Source: [SHI] sec. 10-12 (from memory); checked
    with [JIN] ex. 8-9.

    Examples
    --------
    >>> round(float(torsion_active_coils(4.25, 0.0145, 0.020, 0.020)), 4)
    4.5427
    """
    legs = not_negative("first_leg", first_leg) + not_negative("second_leg", second_leg)
    return positive("body_coils", body_coils) + legs / (3 * np.pi * positive("mean_diameter", mean_diameter))


def torsion_rate(wire_diameter, mean_diameter, active_coils, elastic_modulus):
    """Rate of a torsion spring: moment for one whole turn.

    Parameters
    ----------
    wire_diameter : float or array [m]
        Diameter of the wire.
    mean_diameter : float or array [m]
        Outside diameter of the coil less one wire diameter.
    active_coils : float or array [-]
        Coils that bend, legs included (``torsion_active_coils``).
    elastic_modulus : float or array [Pa]
        Young's modulus of the wire.

    Returns
    -------
    float or array [N m per turn]
        Torsional rate.

    Raises
    ------
    ValueError
        If a value is not positive.

    Notes
    -----
    k' = d^4 E / (10.8 D N). The 10.8 stands for the exact 10.19 and allows for friction between coils.

    Range: spring index 4 to 12, close-wound.

    Source: [SHI] sec. 10-12 (from memory); checked
    with [JIN] ex. 8-9.

    Examples
    --------
    >>> round(float(torsion_rate(0.0015, 0.0145, 4.25, 200e9)), 3)
    1.521
    """
    wire = positive("wire_diameter", wire_diameter)
    mean = positive("mean_diameter", mean_diameter)
    coils = positive("active_coils", active_coils)
    return wire**4 * positive("elastic_modulus", elastic_modulus) / (10.8 * mean * coils)


def torsion_bending_factor(spring_index):
    """Stress factor at the inside of a torsion spring's coil.

    Parameters
    ----------
    spring_index : float or array [-]
        Mean diameter over wire diameter.

    Returns
    -------
    float or array [-]
        Factor Ki to use in ``torsion_bending_stress``.

    Raises
    ------
    ValueError
        If the index is not above 1.

    Notes
    -----
    Ki = (4 C^2 - C - 1) / (4 C (C - 1)).

    Range: spring index 4 to 12.

    Source: [SHI] sec. 10-12 (from memory).

    Examples
    --------
    >>> round(float(torsion_bending_factor(29 / 3)), 4)
    1.0836
    """
    index = positive("spring_index", spring_index)
    positive("spring_index minus 1", index - 1)
    return (4 * index**2 - index - 1) / (4 * index * (index - 1))


def torsion_bending_stress(moment, wire_diameter, factor):
    """Greatest bending stress in the wire of a torsion spring.

    Parameters
    ----------
    moment : float or array [N m]
        Moment about the axis of the coil.
    wire_diameter : float or array [m]
        Diameter of the wire.
    factor : float or array [-]
        Stress factor, from ``torsion_bending_factor``.

    Returns
    -------
    float or array [Pa]
        Bending stress.

    Raises
    ------
    ValueError
        If the moment is negative or another value is not positive.

    Notes
    -----
    sigma = Ki 32 M / (pi d^3).

    Range: a moment that winds the coil up; below the yield strength.

    Source: [SHI] sec. 10-12 (from memory).

    Examples
    --------
    >>> round(float(torsion_bending_stress(0.49725, 0.0015, torsion_bending_factor(29 / 3))) / 1e6)
    1626
    """
    wire = positive("wire_diameter", wire_diameter)
    return positive("factor", factor) * 32 * not_negative("moment", moment) / (np.pi * wire**3)


def torsion_loaded_diameter(mean_diameter, body_coils, turns):
    """Mean diameter of a torsion spring's coil after it has been wound up.

    Parameters
    ----------
    mean_diameter : float or array [m]
        Mean diameter when free.
    body_coils : float or array [-]
        Coils in the body when free.
    turns : float or array [-]
        Turns the body has been wound up by.

    Returns
    -------
    float or array [m]
        Mean diameter under load.

    Raises
    ------
    ValueError
        If diameter or coils are not positive, or turns are negative.

    Notes
    -----
    D' = Nb D / (Nb + theta): the wire keeps its length.

    Range: winding up only.

    Source: [SHI] sec. 10-12 (from memory).

    Examples
    --------
    >>> round(float(torsion_loaded_diameter(0.0145, 4.25, 0.3269)) * 1000, 2)
    13.46
    """
    coils = positive("body_coils", body_coils)
    return coils * positive("mean_diameter", mean_diameter) / (coils + not_negative("turns", turns))


def extension_active_coils(body_coils, elastic_modulus, shear_modulus):
    """Active coils of an extension spring: the body and the give of its two hooks.

    Parameters
    ----------
    body_coils : float or array [-]
        Coils in the body.
    elastic_modulus : float or array [Pa]
        Young's modulus of the wire.
    shear_modulus : float or array [Pa]
        Shear modulus of the wire.

    Returns
    -------
    float or array [-]
        Active coils, for use in ``coil_rate``.

    Raises
    ------
    ValueError
        If a value is not positive.

    Notes
    -----
    N = Nb + G / E.

    Range: two full hooks bent from the end coils.

    Source: [SHI] sec. 10-11 (seen in an example notebook of [MET]).

    Examples
    --------
    >>> round(float(extension_active_coils(12.17, 28.7, 11.6)), 2)
    12.57
    """
    ratio = positive("shear_modulus", shear_modulus) / positive("elastic_modulus", elastic_modulus)
    return positive("body_coils", body_coils) + ratio


def extension_free_length(wire_diameter, spring_index, body_coils):
    """Free length of a close-wound extension spring, inside the hooks.

    Parameters
    ----------
    wire_diameter : float or array [m]
        Diameter of the wire.
    spring_index : float or array [-]
        Mean diameter over wire diameter.
    body_coils : float or array [-]
        Coils in the body.

    Returns
    -------
    float or array [m]
        Free length.

    Raises
    ------
    ValueError
        If a value is not positive.

    Notes
    -----
    L0 = (2 C - 1 + Nb) d.

    Range: two full hooks of the coil's own diameter.

    Source: [SHI] sec. 10-11 (seen in an example notebook of [MET]).

    Examples
    --------
    >>> round(float(extension_free_length(0.035, 0.213 / 0.035, 12.17)), 3)
    0.817
    """
    index = positive("spring_index", spring_index)
    coils = positive("body_coils", body_coils)
    return (2 * index - 1 + coils) * positive("wire_diameter", wire_diameter)


def extension_force(length, rate, free_length, initial_force):
    """Pull of an extension spring at its present length.

    Parameters
    ----------
    length : float or array [m]
        Present length inside the hooks.
    rate : float or array [N/m]
        Spring rate.
    free_length : float or array [m]
        Length at which the coils just touch.
    initial_force : float or array [N]
        Tension wound into the coils.

    Returns
    -------
    float or array [N]
        Pull; zero at or below the free length, where the coils touch and the hooks hang loose.

    Raises
    ------
    ValueError
        If a length or the initial force is negative, or the rate or free length is not positive.

    Notes
    -----
    F = Fi + k (L - L0) for L > L0. The pull jumps to Fi as the coils open: that is real, not a slip.

    Range: below the yield strength of coil and hooks.

    Source: [SHI] sec. 10-11 (seen in an example notebook of [MET]).

    Examples
    --------
    >>> round(float(extension_force(0.25, 2000.0, 0.20, 50.0)), 6)
    150.0
    """
    stretch = not_negative("length", length) - positive("free_length", free_length)
    stiffness = positive("rate", rate)
    start = not_negative("initial_force", initial_force)
    return np.where(stretch > 0, start + stiffness * stretch, 0.0)[()]


def initial_stress_band(spring_index):
    """Band of shear stress a coiler can readily wind into an extension spring.

    Parameters
    ----------
    spring_index : float or array [-]
        Mean diameter over wire diameter.

    Returns
    -------
    tuple of float or array [Pa]
        Low and high initial stress, without a stress factor.

    Raises
    ------
    ValueError
        If the index is not positive.

    Notes
    -----
    33 500 / exp(0.105 C) plus or minus 1000 (4 - (C - 3) / 6.5), in psi.

    Range: spring index 4 to 16 (``INITIAL_STRESS_INDEX_RANGE``).

    Source: [SHI] eq. 10-41 (from memory).

    Examples
    --------
    >>> [round(float(x) / 1e6) for x in initial_stress_band(6.086)]
    [98, 146]
    """
    index = positive("spring_index", spring_index)
    middle = 33500 / np.exp(0.105 * index)
    half_width = 1000 * (4 - (index - 3) / 6.5)
    return (middle - half_width) * PSI, (middle + half_width) * PSI
