"""What a cylinder's tube, rod and pins bear.

The wall under pressure: Lame's exact answer and the thin-wall shortcut. The rod under push: Euler where it is
long, Johnson where it is short, the secant rule off centre. Then the pin that joins an eye and a fork, and
the fillet welds that hold its bracket.
"""

import numpy as np

from downforce.physics.checks import not_negative, positive
from downforce.physics.kinds import Metre, MetreToTheFourth, Newton, NewtonMetre, Pascal, Ratio, SquareMetre


def wall_thickness(bore: Metre, gauge_pressure: Pascal, allowed_stress: Pascal) -> Metre:
    """Wall of a cylinder tube that brings the hoop stress at the bore to an allowed value.

    bore: inside diameter.
    Result: wall thickness, not yet rounded up to a tube that is sold.
    Raises ValueError if bore or stress are not positive, the pressure is negative, or the pressure is not
        below the allowed stress: no wall is thick enough then.

    t = (D / 2) [sqrt((S + p) / (S - p)) - 1], from Lame's hoop stress p (b^2 + a^2) / (b^2 - a^2) = S.
    Range: any thickness; steady pressure, no notch, no fatigue. For teaching, not a pressure-equipment check.
    Source: [BOR] ch. 11 (stresses checked on ex. 11.1 and 11.2); solved for the wall by hand.

    >>> round(float(wall_thickness(0.020, 300e6, 325e6)), 6)
    0.04
    """
    radius = positive("bore", bore) / 2
    pressure = not_negative("gauge_pressure", gauge_pressure)
    stress = positive("allowed_stress", allowed_stress)
    hopeless = np.broadcast_to(pressure >= stress, np.broadcast(pressure, stress).shape)
    if hopeless.any():
        first = np.unravel_index(np.argmax(hopeless), hopeless.shape)
        where = f" at index {tuple(int(i) for i in first)}" if hopeless.ndim else ""
        raise ValueError(
            "gauge_pressure must be below allowed_stress, or no wall is thick enough; got "
            f"{np.broadcast_to(pressure, hopeless.shape)[first]:g} Pa against "
            f"{np.broadcast_to(stress, hopeless.shape)[first]:g} Pa{where}."
        )
    return radius * (np.sqrt((stress + pressure) / (stress - pressure)) - 1)


def lame_stresses(
    radius: Metre, inner_radius: Metre, outer_radius: Metre, gauge_pressure: Pascal
) -> tuple[Pascal, ...]:
    """Radial and hoop stress in the wall of a thick tube with pressure inside and none outside.

    Result: radial stress and hoop stress, tension positive.
    Raises ValueError if a radius is not positive, the radii are out of order, or the pressure is negative.

    sigma = p a^2 / (b^2 - a^2) (1 -+ b^2 / r^2), minus for radial, plus for hoop.
    Range: elastic, away from the tube's ends.
    Source: [BOR] ch. 11 (checked on ex. 11.1).

    >>> [round(float(x) / 1e6, 1) for x in lame_stresses(0.025, 0.010, 0.050, 300e6)]
    [-37.5, 62.5]
    """
    place = positive("radius", radius)
    inner, outer = _radii(inner_radius, outer_radius)
    # A billionth of slack: a radius read off a drawing may miss the wall's edge by a rounding error.
    not_negative("radius minus inner_radius", place - inner * (1 - 1e-9))
    not_negative("outer_radius minus radius", outer * (1 + 1e-9) - place)
    mean = not_negative("gauge_pressure", gauge_pressure) * inner**2 / (outer**2 - inner**2)
    return mean * (1 - outer**2 / place**2), mean * (1 + outer**2 / place**2)


def closed_end_stress(inner_radius: Metre, outer_radius: Metre, gauge_pressure: Pascal) -> Pascal:
    """Axial stress in a tube whose closed ends the pressure pushes apart.

    Result: axial stress, tension positive.
    Raises ValueError if a radius is not positive, the radii are out of order, or the pressure is negative.

    sigma = p a^2 / (b^2 - a^2). A cylinder held at its rod eye carries no such stress from the rod's side.
    Range: away from the ends.
    Source: [BOR] ex. 11.2.

    >>> round(float(closed_end_stress(0.1, 0.4, 150e6)) / 1e6, 6)
    10.0
    """
    inner, outer = _radii(inner_radius, outer_radius)
    return not_negative("gauge_pressure", gauge_pressure) * inner**2 / (outer**2 - inner**2)


def bore_growth(
    inner_radius: Metre,
    outer_radius: Metre,
    gauge_pressure: Pascal,
    elastic_modulus: Pascal,
    poisson_ratio: Ratio,
) -> Metre:
    """How far the inside radius of a tube with closed ends moves out under pressure.

    Raises ValueError if a radius or modulus is not positive, the radii are out of order, or another value is
        negative.

    u = (a / E) [hoop - nu (radial + axial)], stresses at the bore.
    Range: elastic, away from the ends.
    Source: [BOR] ex. 11.2.

    >>> round(float(bore_growth(0.1, 0.4, 150e6, 72e9, 0.33)) * 1000, 4)
    0.3003
    """
    radial, hoop = lame_stresses(inner_radius, inner_radius, outer_radius, gauge_pressure)
    axial = closed_end_stress(inner_radius, outer_radius, gauge_pressure)
    inner = positive("inner_radius", inner_radius)
    strain = hoop - not_negative("poisson_ratio", poisson_ratio) * (radial + axial)
    return inner * strain / positive("elastic_modulus", elastic_modulus)


def thin_wall_burst_pressure(wall: Metre, inside_diameter: Metre, tensile_strength: Pascal) -> Pascal:
    """Pressure that bursts a thin tube.

    Result: burst pressure by the gauge.
    Raises ValueError if a value is not positive.

    p = 2 t S / D.
    Range: wall up to about a tenth of the inside diameter; unsafe above it.
    Source: [ESP] ch. 10 (checked on ex. 10-3).

    >>> round(float(thin_wall_burst_pressure(0.095, 1.060, 55000)))
    9858
    """
    strength = positive("tensile_strength", tensile_strength)
    return 2 * positive("wall", wall) * strength / positive("inside_diameter", inside_diameter)


def thin_wall_working_pressure(
    wall: Metre, inside_diameter: Metre, tensile_strength: Pascal, safety_factor: Ratio
) -> Pascal:
    """Pressure a thin tube may work at: burst pressure over a safety factor.

    safety_factor: burst pressure over working pressure.
    Result: working pressure by the gauge.
    Raises ValueError if a value is not positive.

    p = 2 t S / (D n). The textbook takes n = 8 up to 1000 psi; hoses have their own rules.
    Range: as ``thin_wall_burst_pressure``.
    Source: [ESP] ch. 10 (checked on ex. 10-3 to 10-5).

    >>> round(float(thin_wall_working_pressure(0.095, 1.060, 55000, 8)))
    1232
    """
    burst = thin_wall_burst_pressure(wall, inside_diameter, tensile_strength)
    return burst / positive("safety_factor", safety_factor)


def _radii(inner_radius, outer_radius):
    inner = positive("inner_radius", inner_radius)
    outer = positive("outer_radius", outer_radius)
    positive("outer_radius minus inner_radius", outer - inner)
    return inner, outer


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
