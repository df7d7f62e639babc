"""When a rod under push bows out: Euler for long rods, Johnson for short ones, the secant rule off centre."""

import numpy as np

from downforce.physics.checks import not_negative, positive
from downforce.physics.kinds import Metre, MetreToTheFourth, Newton, Pascal, Ratio, SquareMetre


def second_moment_round(diameter: Metre) -> MetreToTheFourth:
    """Second moment of area of a solid round rod about a diameter.

    Raises ValueError if the diameter is not positive.

    I = pi d^4 / 64.
    Range: solid round section.
    Source: geometry; derivation: the integral of y^2 over the circle.

    >>> round(float(second_moment_round(0.020)) * 1e12)
    7854
    """
    return np.pi * positive("diameter", diameter) ** 4 / 64


def slenderness(
    area: SquareMetre, second_moment: MetreToTheFourth, length: Metre, end_factor: Ratio
) -> Ratio:
    """Slenderness of a column: effective length over radius of gyration.

    second_moment: second moment of the section about its weak axis.
    end_factor: effective length over length: 1 pinned at both ends, 2 fixed and free, 0.7 fixed and pinned.
    Raises ValueError if the length is negative or another value is not positive.

    K L / r with r = sqrt(I / A).
    Range: any.
    Source: [WEN] ch. 3.

    >>> round(float(slenderness(0.3068, 0.00749, 30.0, 1.0)), 1)
    192.0
    """
    gyration = np.sqrt(positive("second_moment", second_moment) / positive("area", area))
    return positive("end_factor", end_factor) * not_negative("length", length) / gyration


def transition_slenderness(elastic_modulus: Pascal, yield_strength: Pascal) -> Ratio:
    """Slenderness at which Euler's and Johnson's loads meet.

    Raises ValueError if a value is not positive.

    Cc = sqrt(2 pi^2 E / Sy), where the load is half the yield load and the two curves share a tangent.
    Range: any.
    Source: [WEN] ch. 3.

    >>> round(float(transition_slenderness(30e6, 42e3)), 1)
    118.7
    """
    young = positive("elastic_modulus", elastic_modulus)
    return np.pi * np.sqrt(2 * young / positive("yield_strength", yield_strength))


def euler_load(
    second_moment: MetreToTheFourth, length: Metre, end_factor: Ratio, elastic_modulus: Pascal
) -> Newton:
    """Euler's buckling load of a slender, straight, centred column.

    second_moment: second moment of the section about its weak axis.
    end_factor: effective length over length.
    Result: load at which the column bows out, without a safety factor.
    Raises ValueError if a value is not positive.

    P = pi^2 E I / (K L)^2.
    Range: slenderness above ``transition_slenderness``; too high below it, where ``column_limit`` serves.
    Source: [HIB] ch. 13 (checked on ex. 13.3).

    >>> round(float(euler_load(second_moment_round(0.020), 0.35, 1.0, 206e9)) / 1e3)
    130
    """
    effective = positive("end_factor", end_factor) * positive("length", length)
    young = positive("elastic_modulus", elastic_modulus)
    return np.pi**2 * young * positive("second_moment", second_moment) / effective**2


def column_limit(
    area: SquareMetre,
    second_moment: MetreToTheFourth,
    length: Metre,
    end_factor: Ratio,
    elastic_modulus: Pascal,
    yield_strength: Pascal,
) -> Newton:
    """Load at which a column gives way, by Euler or by Johnson, whichever governs.

    second_moment: second moment of the section about its weak axis.
    end_factor: effective length over length: 1 pinned at both ends, 2 fixed and free, 0.7 fixed and pinned.
    Result: limit load, without a safety factor.
    Raises ValueError if the length is negative or another value is not positive.

    With s = K L / r: P = A Sy [1 - Sy s^2 / (4 pi^2 E)] for s below sqrt(2 pi^2 E / Sy), else P = pi^2 E A /
    s^2. The two meet with the same value and slope.
    Range: straight, centred, uniform columns. A cylinder is stepped and its rod has play, so the result is an
    upper limit for it. ISO/TS 13725 treats the real stepped shape.
    Source: [WEN] ch. 3.

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


def eccentric_deflection(load: Newton, buckling_load: Newton, eccentricity: Metre) -> Metre:
    """Sideways deflection of a slender column that is loaded off its centre line.

    eccentricity: distance of the load from the centre line.
    Raises ValueError if a value is negative, or the load is not below the buckling load.

    y = e [sec((pi / 2) sqrt(P / Pcr)) - 1].
    Range: slender columns below yield.
    Source: [BJM] sample problem 10.2.

    >>> round(float(eccentric_deflection(31.1, 62.1, 0.75)), 2)
    0.94
    """
    return not_negative("eccentricity", eccentricity) * (_secant(load, buckling_load) - 1)


def eccentric_stress(
    load: Newton,
    buckling_load: Newton,
    area: SquareMetre,
    second_moment: MetreToTheFourth,
    half_depth: Metre,
    eccentricity: Metre,
) -> Pascal:
    """Greatest compressive stress in a slender column that is loaded off its centre line.

    second_moment: second moment of the section about the axis it bends on.
    half_depth: distance from that axis to the outermost fibre.
    eccentricity: distance of the load from the centre line.
    Result: stress on the hollow side.
    Raises ValueError if a value is negative, or the load is not below the buckling load.

    sigma = (P / A) [1 + (e c A / I) sec((pi / 2) sqrt(P / Pcr))].
    Range: slender columns below yield.
    Source: [BJM] sample problem 10.2.

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
