"""When a rod under push bows out: Euler for long rods, Johnson for short ones, the secant rule off centre."""

import numpy as np

from downforce.physics.checks import not_negative, positive


def second_moment_round(diameter):
    """Second moment of area of a solid round rod about a diameter.

    Parameters
    ----------
    diameter : float or array [m]
        Diameter of the rod.

    Returns
    -------
    float or array [m4]
        Second moment of area.

    Raises
    ------
    ValueError
        If the diameter is not positive.

    Notes
    -----
    I = pi d^4 / 64.

    Range: solid round section.

    Source: geometry; derivation: the integral of y^2 over the circle.

    Examples
    --------
    >>> round(float(second_moment_round(0.020)) * 1e12)
    7854
    """
    return np.pi * positive("diameter", diameter) ** 4 / 64


def slenderness(area, second_moment, length, end_factor):
    """Slenderness of a column: effective length over radius of gyration.

    Parameters
    ----------
    area : float or array [m2]
        Area of the section.
    second_moment : float or array [m4]
        Second moment of the section about its weak axis.
    length : float or array [m]
        Length between the ends.
    end_factor : float or array [-]
        Effective length over length: 1 pinned at both ends, 2 fixed and free, 0.7 fixed and pinned.

    Returns
    -------
    float or array [-]
        Slenderness ratio.

    Raises
    ------
    ValueError
        If the length is negative or another value is not positive.

    Notes
    -----
    K L / r with r = sqrt(I / A).

    Range: any.

    Source: [WEN] ch. 3.

    Examples
    --------
    >>> round(float(slenderness(0.3068, 0.00749, 30.0, 1.0)), 1)
    192.0
    """
    gyration = np.sqrt(positive("second_moment", second_moment) / positive("area", area))
    return positive("end_factor", end_factor) * not_negative("length", length) / gyration


def transition_slenderness(elastic_modulus, yield_strength):
    """Slenderness at which Euler's and Johnson's loads meet.

    Parameters
    ----------
    elastic_modulus : float or array [Pa]
        Young's modulus.
    yield_strength : float or array [Pa]
        Yield strength in compression.

    Returns
    -------
    float or array [-]
        Slenderness ratio.

    Raises
    ------
    ValueError
        If a value is not positive.

    Notes
    -----
    Cc = sqrt(2 pi^2 E / Sy), where the load is half the yield load and the two curves share a tangent.

    Range: any.

    Source: [WEN] ch. 3.

    Examples
    --------
    >>> round(float(transition_slenderness(30e6, 42e3)), 1)
    118.7
    """
    young = positive("elastic_modulus", elastic_modulus)
    return np.pi * np.sqrt(2 * young / positive("yield_strength", yield_strength))


def euler_load(second_moment, length, end_factor, elastic_modulus):
    """Euler's buckling load of a slender, straight, centred column.

    Parameters
    ----------
    second_moment : float or array [m4]
        Second moment of the section about its weak axis.
    length : float or array [m]
        Length between the ends.
    end_factor : float or array [-]
        Effective length over length.
    elastic_modulus : float or array [Pa]
        Young's modulus.

    Returns
    -------
    float or array [N]
        Load at which the column bows out, without a safety factor.

    Raises
    ------
    ValueError
        If a value is not positive.

    Notes
    -----
    P = pi^2 E I / (K L)^2.

    Range: slenderness above ``transition_slenderness``; too high below it, where ``column_limit`` serves.

    Source: [HIB] ch. 13 (checked on ex. 13.3).

    Examples
    --------
    >>> round(float(euler_load(second_moment_round(0.020), 0.35, 1.0, 206e9)) / 1e3)
    130
    """
    effective = positive("end_factor", end_factor) * positive("length", length)
    young = positive("elastic_modulus", elastic_modulus)
    return np.pi**2 * young * positive("second_moment", second_moment) / effective**2


def column_limit(area, second_moment, length, end_factor, elastic_modulus, yield_strength):
    """Load at which a column gives way, by Euler or by Johnson, whichever governs.

    Parameters
    ----------
    area : float or array [m2]
        Area of the section.
    second_moment : float or array [m4]
        Second moment of the section about its weak axis.
    length : float or array [m]
        Length between the ends.
    end_factor : float or array [-]
        Effective length over length: 1 pinned at both ends, 2 fixed and free, 0.7 fixed and pinned.
    elastic_modulus : float or array [Pa]
        Young's modulus.
    yield_strength : float or array [Pa]
        Yield strength in compression.

    Returns
    -------
    float or array [N]
        Limit load, without a safety factor.

    Raises
    ------
    ValueError
        If the length is negative or another value is not positive.

    Notes
    -----
    With s = K L / r: P = A Sy [1 - Sy s^2 / (4 pi^2 E)] for s below sqrt(2 pi^2 E / Sy), else
    P = pi^2 E A / s^2. The two meet with the same value and slope.

    Range: straight, centred, uniform columns. A cylinder is stepped and its rod has play, so the result is an
    upper limit for it. ISO/TS 13725 treats the real stepped shape.

    Source: [WEN] ch. 3.

    Examples
    --------
    >>> area, second_moment = 490.87e-6, 19174.8e-12
    >>> round(float(column_limit(area, second_moment, 0.6, 1.0, 206e9, 355e6)) / 1e3, 1)
    104.2
    """
    ratio = slenderness(area, second_moment, length, end_factor)
    meeting = transition_slenderness(elastic_modulus, yield_strength)
    young, strength = np.asarray(elastic_modulus, dtype=float), np.asarray(yield_strength, dtype=float)
    johnson = strength * (1 - strength * ratio**2 / (4 * np.pi**2 * young))
    # The larger of the two keeps Euler's branch off its pole at zero length; it is only used above it.
    euler = np.pi**2 * young / np.maximum(ratio, meeting) ** 2
    return (np.asarray(area, dtype=float) * np.where(ratio < meeting, johnson, euler))[()]


def eccentric_deflection(load, buckling_load, eccentricity):
    """Sideways deflection of a slender column that is loaded off its centre line.

    Parameters
    ----------
    load : float or array [N]
        Load along the column.
    buckling_load : float or array [N]
        Euler's load of the same column.
    eccentricity : float or array [m]
        Distance of the load from the centre line.

    Returns
    -------
    float or array [m]
        Greatest deflection.

    Raises
    ------
    ValueError
        If a value is negative, or the load is not below the buckling load.

    Notes
    -----
    y = e [sec((pi / 2) sqrt(P / Pcr)) - 1].

    Range: slender columns below yield.

    Source: [BJM] sample problem 10.2.

    Examples
    --------
    >>> round(float(eccentric_deflection(31.1, 62.1, 0.75)), 2)
    0.94
    """
    return not_negative("eccentricity", eccentricity) * (_secant(load, buckling_load) - 1)


def eccentric_stress(load, buckling_load, area, second_moment, half_depth, eccentricity):
    """Greatest compressive stress in a slender column that is loaded off its centre line.

    Parameters
    ----------
    load : float or array [N]
        Load along the column.
    buckling_load : float or array [N]
        Euler's load of the same column.
    area : float or array [m2]
        Area of the section.
    second_moment : float or array [m4]
        Second moment of the section about the axis it bends on.
    half_depth : float or array [m]
        Distance from that axis to the outermost fibre.
    eccentricity : float or array [m]
        Distance of the load from the centre line.

    Returns
    -------
    float or array [Pa]
        Stress on the hollow side.

    Raises
    ------
    ValueError
        If a value is negative, or the load is not below the buckling load.

    Notes
    -----
    sigma = (P / A) [1 + (e c A / I) sec((pi / 2) sqrt(P / Pcr))].

    Range: slender columns below yield.

    Source: [BJM] sample problem 10.2.

    Examples
    --------
    >>> round(float(eccentric_stress(31.1, 62.1, 3.54, 8.0, 2.0, 0.75)))
    22
    """
    section = positive("area", area)
    arm = not_negative("eccentricity", eccentricity) * positive("half_depth", half_depth)
    bending = arm * section / positive("second_moment", second_moment)
    return not_negative("load", load) / section * (1 + bending * _secant(load, buckling_load))


def _secant(load, buckling_load):
    push = not_negative("load", load)
    limit = positive("buckling_load", buckling_load)
    positive("buckling_load minus load", limit - push)
    return 1 / np.cos(np.pi / 2 * np.sqrt(push / limit))
