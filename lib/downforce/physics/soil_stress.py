"""Stress in the ground beside the slot and below a gauge wheel, and how deep a wheel sinks.

Sinkage is Bekker's, for plates and rigid wheels with their rolling resistance. What load does to the life of
bearings and welds is told as ratios only.
"""

import numpy as np

from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.kinds import CohesiveModulus, Flags, FrictionalModulus, Metre, Newton, Pascal, Ratio

CONCENTRATION = {"hard": 4, "normal": 5, "soft wet": 6}
"""Concentration factor by state of the soil [-] [SOE]."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)
_BLOCK = 4096  # points worked at once, so that large maps stay small in memory


def concentration_for(state: str) -> int:
    """Concentration factor for a state of the soil.

    state: "hard", "normal" or "soft wet".
    Result: 4, 5 or 6. The wetter and softer the soil, the deeper the stress reaches under the load, and the
        less of it goes to the side.
    Raises ValueError if the state is none of the three.

    A table of three rows, held as CONCENTRATION. Factor 3 is the elastic ground of Boussinesq.
    Range: 3 to 6.
    Source: [SOE].

    >>> concentration_for("normal")
    5
    """
    if state not in CONCENTRATION:
        raise ValueError(f"state must be one of {', '.join(CONCENTRATION)}; got {state!r}.")
    return CONCENTRATION[state]


def stress_below_circle(
    depth: Metre, radius: Metre, load_radius: Metre, contact_pressure: Pascal, concentration: Ratio = 3
) -> Pascal:
    """Vertical stress below a uniform pressure on a circle of the surface.

    radius: horizontal distance from the load's centre line.
    concentration: 3 for elastic ground [BOU], 4 to 6 for hard to soft soil [FRO].
    Result: vertical stress. At depth zero: the contact pressure inside, half of it on the edge, zero outside.
    Raises ValueError if depth, radius or pressure is negative, or the load radius or concentration is not
        positive.

    Point loads P, each with the stress nu P cos^nu(theta) / (2 pi R^2), are summed over the circle. With the
    distance s from the point to the rim and F = (z^2 / (z^2 + s^2))^(nu/2), the sum along each ray is closed,
    and one integral around the rim is left:

    sigma / q = (1 / 2 pi) integral of (1 - F) (a^2 - a r cos t) / s^2 dt,  s^2 = a^2 + r^2 - 2 a r cos t.

    On the axis it is q (1 - cos^nu alpha), tan alpha = a / z. A sinh substitution keeps the nodes where the
    rim is nearest, so the error stays below 1e-9 q also close to the edge at shallow depth.
    Range: elastic half-space for 3; soil not at failure. A tyre lug or a rigid rim is not uniform.
    Source: derivation above; [VEN] table 10.5; factor of [FRO] as used in [SOE].

    >>> round(float(stress_below_circle(1.0, 0.0, 1.0, 1.0)), 4)
    0.6464
    """
    depth = not_negative("depth", depth)
    radius = not_negative("radius", radius)
    load_radius = positive("load_radius", load_radius)
    contact_pressure = not_negative("contact_pressure", contact_pressure)
    concentration = positive("concentration", concentration)
    share = _in_blocks(_circle_share, depth / load_radius, radius / load_radius, concentration)
    return (contact_pressure * share)[()]


def stress_below_rectangle(
    depth: Metre,
    across: Metre,
    along: Metre,
    width: Metre,
    length: Metre,
    contact_pressure: Pascal,
    concentration: Ratio = 3,
) -> Pascal:
    """Vertical stress below a uniform pressure on a rectangle of the surface.

    across: distance from the patch's centre along its width, to either side.
    along: distance from the patch's centre along its length, to either side.
    concentration: 3 for elastic ground [BOU], 4 to 6 for hard to soft soil [FRO].
    Result: vertical stress. At depth zero: the contact pressure inside, half of it on an edge, a quarter at a
        corner, zero outside.
    Raises ValueError if depth or pressure is negative, a size or the concentration is not positive, or a
        distance is not a finite number.

    Point loads are summed as in `stress_below_circle`, and one integral along each edge is left. With the
    distance g of the point from the line of the edge (negative on the outer side), s along the edge and F =
    (z^2 / (z^2 + g^2 + s^2))^(nu/2), each edge adds

    sigma / q = (1 / 2 pi) integral of (1 - F) g / (g^2 + s^2) ds.

    For nu = 3 this is Newmark's closed form. With s = sqrt(z^2 + g^2) sinh(u) the error stays below 1e-9 q
    down to a thousandth of the patch's size, 1e-6 q down to a hundred thousandth.
    Range: elastic half-space for 3; soil not at failure. A tyre lug or a rigid rim is not uniform.
    Source: derivation above; [NEW] and [FAD] for 3, values in [CHA]; factor of [FRO] as used in [SOE].

    >>> round(float(stress_below_rectangle(1.0, 0.5, 0.5, 1.0, 1.0, 1.0)), 4)
    0.1752
    """
    depth = not_negative("depth", depth)
    across, along = finite("across", across), finite("along", along)
    width, length = positive("width", width), positive("length", length)
    contact_pressure = not_negative("contact_pressure", contact_pressure)
    concentration = positive("concentration", concentration)
    share = _in_blocks(_rectangle_share, depth, across, along, width / 2.0, length / 2.0, concentration)
    return (contact_pressure * share)[()]


def contact_pressure(load: Newton, width: Metre, length: Metre) -> Pascal:
    """Mean pressure on a contact patch.

    Raises ValueError if the load is negative or a size not positive.

    q = G / (width length).
    Range: any; the real peak under a rim or a lug is higher.
    Source: derivation above.

    >>> round(float(contact_pressure(890.0, 0.075, 0.120)) / 1000, 1)
    98.9
    """
    return not_negative("load", load) / (positive("width", width) * positive("length", length))


def _in_blocks(share_of, *values):
    """A share of the contact pressure at broadcast places, worked a block of them at a time."""
    values = np.broadcast_arrays(*values)
    flat, share = [value.reshape(-1) for value in values], np.empty(values[0].size)
    for start in range(0, share.size, _BLOCK):
        part = slice(start, start + _BLOCK)
        share[part] = share_of(*(value[part] for value in flat))
    return share.reshape(values[0].shape)


def _spread(square, z, nu):
    """(1 - F) / s^2 at the square of a level distance, also where that is zero."""
    ratio = np.maximum(square / z**2, 1e-300)
    return -np.expm1(-0.5 * nu * np.log1p(ratio)) / ratio / z**2


def _rectangle_share(z, x, y, half_width, half_length, nu):
    """Stress over contact pressure on a rectangle, for one block of points."""
    surface = z == 0.0
    at_surface = np.heaviside(half_width - np.abs(x), 0.5) * np.heaviside(half_length - np.abs(y), 0.5)
    z = np.where(surface, half_width, z)
    edges = ((half_width, x, half_length, y), (half_length, y, half_width, x))
    share = np.zeros(z.shape)
    for away, place, half, beside in edges:
        for gap in (away - place, away + place):
            scale = np.hypot(z, gap)
            first, last = np.arcsinh((-half - beside) / scale), np.arcsinh((half - beside) / scale)
            u = 0.5 * ((first + last)[:, None] + (last - first)[:, None] * _NODES)
            square = gap[:, None] ** 2 + (scale[:, None] * np.sinh(u)) ** 2
            edge = (_spread(square, z[:, None], nu[:, None]) * np.cosh(u)) @ _WEIGHTS
            share += edge * 0.5 * (last - first) * scale * gap / (2.0 * np.pi)
    return np.where(surface, at_surface, np.clip(share, 0.0, 1.0))


def _circle_share(z, r, nu):
    """Stress over contact pressure on a circle of radius 1, for one block of points."""
    surface = z == 0.0
    z = np.where(surface, 1.0, z)
    near = np.hypot(r - 1.0, z)
    # scale of the sinh substitution: angular distance of the nearest singular point, or the whole rim
    scale = np.minimum(near / np.sqrt(np.maximum(r, 1e-12)), 10.0)
    top = np.arcsinh(np.pi / scale)
    u = top[:, None] * (0.5 * (1.0 + _NODES))
    angle = scale[:, None] * np.sinh(u)
    half = np.sin(angle / 2.0) ** 2
    r_, z_ = r[:, None], z[:, None]
    square = (r_ - 1.0) ** 2 + 4.0 * r_ * half
    rim = (1.0 - r_ + 2.0 * r_ * half) * _spread(square, z_, nu[:, None]) * np.cosh(u)
    share = (rim @ _WEIGHTS) * 0.5 * top * scale / np.pi
    at_surface = np.where(r < 1.0, 1.0, np.where(r > 1.0, 0.0, 0.5))
    return np.where(surface, at_surface, np.clip(share, 0.0, 1.0))


LARGEST_EXPONENT = 1.3
"""Largest sinkage exponent for which the closed wheel form is meant [-] (from memory)."""

SMALLEST_DIAMETER = 0.5
"""Smallest wheel diameter for which the closed wheel form is meant [m] (from memory)."""

_STRIP_NODES, _STRIP_WEIGHTS = np.polynomial.legendre.leggauss(48)
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
    for node, weight in zip(_STRIP_NODES, _STRIP_WEIGHTS, strict=True):
        s = 0.5 * (1.0 + node)
        short = entry * s**_GRADING  # angle left before the point where the wheel enters the soil
        angle = entry - short
        z = 2.0 * radius * np.sin(entry - short / 2.0) * np.sin(short / 2.0)
        jacobian = entry * _GRADING * s ** (_GRADING - 1) * 0.5 * weight
        total = total + jacobian * z**n * radius * np.cos(angle)
    return total


def bearing_life_ratio(load_ratio: Ratio, exponent: Ratio = 3.0) -> Ratio:
    """Life of a ball bearing under a changed load, as a share of its life before.

    load_ratio: new load divided by old load.
    exponent: 3 for ball bearings, 10/3 for roller bearings; 3 also for steel welds under changing stress.
    Result: life ratio; 0.5 means half the life.
    Raises ValueError if either value is not positive.

    L2 / L1 = (1 / load ratio)^p.
    Range: same bearing, lubrication and dirt. In dust the seal often fails first.
    Source: [ISO281], as in [LAZ]; the slope of 3 for welds from memory.

    >>> float(bearing_life_ratio(2.0))
    0.125
    """
    return positive("load_ratio", load_ratio) ** -positive("exponent", exponent)
