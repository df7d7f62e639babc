"""Stress in the wall of a cylinder or tube under pressure: Lame's exact answer and the thin-wall shortcut."""

import numpy as np

from downforce.physics.checks import not_negative, positive
from downforce.physics.kinds import Metre, Pascal, Ratio


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
