"""Pressure against sinkage after Bekker: plates, rigid wheels and their rolling resistance."""

import numpy as np

from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.kinds import CohesiveModulus, Flags, FrictionalModulus, Metre, Newton, Ratio

LARGEST_EXPONENT = 1.3
"""Largest sinkage exponent for which the closed wheel form is meant [-] (from memory)."""

SMALLEST_DIAMETER = 0.5
"""Smallest wheel diameter for which the closed wheel form is meant [m] (from memory)."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(48)
_GRADING = 5  # power that smooths z^n where the wheel enters the soil; n may be as small as 0.1


def wheel_sinkage(
    load: Newton, width: Metre, diameter: Metre, n: Ratio, k_c: CohesiveModulus, k_phi: FrictionalModulus
) -> Metre:
    """Sinkage of a rigid wheel, Bekker's closed form.

    n: sinkage exponent of the soil, below 3.
    k_c: cohesive modulus of the soil.
    k_phi: frictional modulus of the soil.
    Result: sinkage of the lowest point of the wheel.
    Raises ValueError if the load is negative, a size not positive, n not between 0 and 3, or the soil has no
        stiffness.

    z0 = [3 W / ((3 - n) (k_c + b k_phi) sqrt(D))]^(2 / (2 n + 1)).
    Range: n up to 1.3, diameter above about 0.5 m, moderate sinkage (from memory); see
    `wheel_sinkage_in_range`. A wheel of 0.4 m under 1 kN sinks 1 to 15 percent deeper by
    `wheel_sinkage_exact`, most in weak soil with a small exponent.
    Source: [BEK] as in [WON].

    >>> round(float(wheel_sinkage(1000.0, 0.10, 0.40, 0.7, 5270.0, 1515040.0)) * 1000, 2)
    27.08
    """
    load = not_negative("load", load)
    diameter = positive("diameter", diameter)
    n = _exponent(n)
    stiffness = width * _modulus(width, k_c, k_phi)
    return (3.0 * load / ((3.0 - n) * stiffness * np.sqrt(diameter))) ** (2.0 / (2.0 * n + 1.0))


def wheel_sinkage_in_range(diameter: Metre, n: Ratio) -> bool | Flags:
    """Whether the closed wheel form is inside the range it is meant for.

    n: sinkage exponent of the soil.
    Result: True when the diameter is at least 0.5 m and n at most 1.3. Most gauge wheels are smaller.
    Raises ValueError if either value is not positive.

    Two plain limits, held as SMALLEST_DIAMETER and LARGEST_EXPONENT.
    Range: this function says the range.
    Source: [BEK], from memory.

    >>> bool(wheel_sinkage_in_range(0.6, 0.7)), bool(wheel_sinkage_in_range(0.4, 0.7))
    (True, False)
    """
    diameter = positive("diameter", diameter)
    return (diameter >= SMALLEST_DIAMETER) & (positive("n", n) <= LARGEST_EXPONENT)


def wheel_load(
    sinkage: Metre, width: Metre, diameter: Metre, n: Ratio, k_c: CohesiveModulus, k_phi: FrictionalModulus
) -> Newton:
    """Vertical load that a rigid wheel at a given sinkage carries, circle taken exactly.

    sinkage: sinkage of the lowest point, at most half the diameter.
    n: sinkage exponent of the soil, below 3.
    k_c: cohesive modulus of the soil.
    k_phi: frictional modulus of the soil.
    Raises ValueError if the sinkage is negative or deeper than the axle, a size not positive, n not between 0
        and 3, or the soil has no stiffness.

    W = b (k_c / b + k_phi) integral of z^n dx over the front half of the contact, with z = R (cos t - cos
    t0), dx = R cos t dt. Bekker's closed form replaces the circle by a parabola and z^n by two terms of a
    series.
    Range: rigid wheel, no slip, soil pressure as under a plate, no soil load behind the axle.
    Source: derivation above.

    >>> round(float(wheel_load(0.02877, 0.10, 0.40, 0.7, 5270.0, 1515040.0)))
    1000
    """
    stiffness = width * _modulus(width, k_c, k_phi)
    diameter = positive("diameter", diameter)
    n = _exponent(n)
    sinkage = not_negative("sinkage", sinkage)
    between("sinkage / diameter", sinkage / diameter, 0.0, 0.5)
    return stiffness * _contact_integral(sinkage, diameter, n)


def wheel_sinkage_exact(
    load: Newton, width: Metre, diameter: Metre, n: Ratio, k_c: CohesiveModulus, k_phi: FrictionalModulus
) -> Metre:
    """Sinkage of a rigid wheel from the whole vertical balance, circle taken exactly.

    n: sinkage exponent of the soil, below 3.
    k_c: cohesive modulus of the soil.
    k_phi: frictional modulus of the soil.
    Result: sinkage of the lowest point of the wheel.
    Raises ValueError as `wheel_sinkage`, and when the soil cannot carry the load before the axle reaches the
        ground.

    Solves `wheel_load` for the sinkage. The load goes nearly as sinkage^(n + 1/2), so the step z -> z (W /
    W(z))^(2 / (2 n + 1)) settles in a few turns.
    Range: rigid wheel, no slip, sinkage up to half the diameter.
    Source: derivation above.

    >>> round(float(wheel_sinkage_exact(1000.0, 0.10, 0.40, 0.7, 5270.0, 1515040.0)) * 1000, 2)
    28.77
    """
    start = wheel_sinkage(load, width, diameter, n, k_c, k_phi)
    load, width, diameter, n, modulus = np.broadcast_arrays(
        *(np.asarray(v, dtype=float) for v in (load, width, diameter, n)), _modulus(width, k_c, k_phi)
    )
    wanted = load / (width * modulus)
    too_much = wanted > _contact_integral(diameter / 2.0, diameter, n)
    if np.any(too_much):
        raise ValueError(
            f"load of {float(load[too_much].flat[0]):g} N sinks the wheel to its axle; "
            "this soil cannot carry it. Use a wider or larger wheel, or a firmer soil."
        )
    power = 2.0 / (2.0 * n + 1.0)
    sinkage = np.minimum(start, diameter / 2.0)
    for _ in range(100):
        carried = _contact_integral(sinkage, diameter, n)
        step = np.divide(wanted, carried, out=np.ones_like(wanted), where=carried > 0) ** power
        sinkage = np.minimum(sinkage * step, diameter / 2.0)
        if np.all(np.abs(step - 1.0) < 1e-13):
            break
    return sinkage[()]


def _modulus(width, k_c, k_phi):
    width = positive("width", width)
    modulus = finite("k_c", k_c) / width + finite("k_phi", k_phi)
    return positive("k_c / width + k_phi", modulus)


def _exponent(n):
    n = positive("n", n)
    if np.any(n >= 3.0):
        raise ValueError(f"n must be below 3 for a wheel; got {float(np.max(n)):g}.")
    return n


def _contact_integral(sinkage, diameter, n):
    """Integral of z^n dx over the front half of the contact [m^(n+1)]."""
    radius = diameter / 2.0
    entry = 2.0 * np.arcsin(np.sqrt(np.clip(sinkage / diameter, 0.0, 0.5)))
    total = 0.0
    for node, weight in zip(_NODES, _WEIGHTS, strict=True):
        s = 0.5 * (1.0 + node)
        short = entry * s**_GRADING  # angle left before the point where the wheel enters the soil
        angle = entry - short
        z = 2.0 * radius * np.sin(entry - short / 2.0) * np.sin(short / 2.0)
        jacobian = entry * _GRADING * s ** (_GRADING - 1) * 0.5 * weight
        total = total + jacobian * z**n * radius * np.cos(angle)
    return total
