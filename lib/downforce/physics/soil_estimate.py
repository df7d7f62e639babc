"""Estimates of the soil reaction from a penetrometer or from tables; a dig always beats them."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.kinds import (
    CohesiveModulus,
    DraftTerm,
    DraftTermPerSpeed,
    DraftTermPerSpeedSquared,
    FrictionalModulus,
    Metre,
    MetrePerSecond,
    Newton,
    Pascal,
    Ratio,
    SquareMetre,
)
from downforce.physics.soil_stress import wheel_load

CONE_BASE_DIAMETER = {"soft": 0.02027, "hard": 0.01283}
"""Base diameter of the 30 degree cone [m], [S313]."""

EFFECTIVE_WIDTH = (0.005, 0.008)
"""Width of soil that bears on one disc edge [m], low and high (assumed, no source)."""

_CENTIMETRES = 100.0
_KMH = 3.6


@dataclass(frozen=True)
class Estimate:
    """A soil reaction that was worked out, not measured.

    low: lower end.
    high: upper end. The truth may still lie outside.
    is_estimate: always true; a measured value is a plain number.
    """

    low: Newton
    middle: Newton
    high: Newton
    basis: str
    is_estimate: bool = True

    def __str__(self):
        """One sentence with low and high, for a single value."""
        return f"estimate, not a measurement: {self.low:.0f} to {self.high:.0f} N, {self.basis}"


def cone_index(force: Newton, base_area: SquareMetre) -> Pascal:
    """Cone index of a penetrometer reading.

    Raises ValueError if the force is negative or the area not positive.

    Force divided by base area.
    Range: 30 degree cone pushed at 30 mm/s.
    Source: [S313].

    >>> round(float(cone_index(322.7, cone_base_area(0.02027))) / 1000)
    1000
    """
    return not_negative("force", force) / positive("base_area", base_area)


def cone_base_area(base_diameter: Metre) -> SquareMetre:
    """Base area of a cone.

    base_diameter: diameter of the cone's base; the standard ones are held as CONE_BASE_DIAMETER.
    Raises ValueError if the diameter is not positive.

    pi d^2 / 4. A cone worn by 3 percent of its diameter should be replaced.
    Range: any.
    Source: derivation above.

    >>> round(float(cone_base_area(0.02027)) * 1e6, 1)
    322.7
    """
    return np.pi / 4.0 * positive("base_diameter", base_diameter) ** 2


def bearing_length(disc_diameter: Metre, depth: Metre) -> Metre:
    """Length of the front half of a disc's contact at the surface.

    depth: depth of the disc, at most half the diameter.
    Result: half of the chord that the surface cuts from the disc.
    Raises ValueError if the diameter is not positive or the depth is not between zero and the axle.

    sqrt(d (D - d)).
    Range: flat ground, disc below its axle.
    Source: derivation above.

    >>> round(float(bearing_length(0.457, 0.04)) * 1000, 1)
    129.2
    """
    disc_diameter = positive("disc_diameter", disc_diameter)
    depth = not_negative("depth", depth)
    between("depth / disc_diameter", depth / disc_diameter, 0.0, 0.5)
    return np.sqrt(depth * (disc_diameter - depth))


def reaction_from_cone(
    cone_index: Pascal,
    disc_diameter: Metre,
    depth: Metre,
    effective_width: tuple[Metre, Metre] = EFFECTIVE_WIDTH,
) -> Estimate:
    """Estimated soil reaction of a disc from cone index and contact area.

    cone_index: mean cone index down to the depth.
    effective_width: low and high width of the soil that bears on the edge.
    Result: low, middle and high reaction and what they rest on.
    Raises ValueError if the cone index is negative, the depth beyond the axle or the widths not positive and
        in order.

    V = cone index x sqrt(d (D - d)) x effective width: the plan area of the front half of one edge.
    Range: an order-of-magnitude check, not a predictor.
    Source: derivation above; common practice, no source for the width.

    >>> guess = reaction_from_cone(1e6, 0.457, 0.04)
    >>> round(float(guess.low)), round(float(guess.high))
    (646, 1033)
    """
    cone_index = not_negative("cone_index", cone_index)
    length = bearing_length(disc_diameter, depth)
    low, high = _widths(effective_width)
    return Estimate(
        cone_index * length * low,
        cone_index * length * (low + high) / 2.0,
        cone_index * length * high,
        f"from cone index and a contact {low * 1000:g} to {high * 1000:g} mm wide; dig to make sure",
    )


def reaction_from_pressure_sinkage(
    depth: Metre,
    disc_diameter: Metre,
    n: Ratio,
    k_c: CohesiveModulus,
    k_phi: FrictionalModulus,
    effective_width: tuple[Metre, Metre] = EFFECTIVE_WIDTH,
) -> Estimate:
    """Estimated soil reaction of a disc from a soil's pressure-sinkage parameters.

    k_c: cohesive modulus of the soil.
    k_phi: frictional modulus of the soil.
    effective_width: low and high width of the soil that bears on the edge.
    Result: low, middle and high reaction and what they rest on.
    Raises ValueError as `downforce.physics.soil_stress.wheel_load`, or if the widths are not positive and in
        order.

    The disc is taken as a very narrow rigid wheel: V = (k_c + b k_phi) integral of z^n dx.
    Range: far outside it. The moduli are measured with plates ten times wider than a disc edge, and no-till
    ground is likely firmer than those soils, so the figure is likely too low (our judgement).
    Source: [BEK] as in [WON]; use on a disc is our own.

    >>> guess = reaction_from_pressure_sinkage(0.04, 0.457, 0.7, 5270.0, 1515040.0)
    >>> bool(guess.low < guess.middle < guess.high)
    True
    """
    low, high = _widths(effective_width)
    ends = [wheel_load(depth, w, disc_diameter, n, k_c, k_phi) for w in (low, (low + high) / 2.0, high)]
    return Estimate(*ends, "from a table of pressure and sinkage, stretched to a disc edge; dig to make sure")  # type: ignore[call-arg]


def implement_draft(
    texture_factor: Ratio,
    a: DraftTerm,
    b: DraftTermPerSpeed,
    c: DraftTermPerSpeedSquared,
    speed: MetrePerSecond,
    width: Ratio,
    depth: Metre | None = None,
) -> Newton:
    """Draft of a whole implement by the ASABE form.

    texture_factor: F for fine, medium or coarse soil.
    a: constant term for one row, tool or metre.
    b: term with speed.
    c: term with speed squared.
    width: number of rows or tools, or width in metres, whichever the row of the table is for.
    depth: tillage depth, only for rows of the table that count in centimetres; leave out for seed drills.
    Result: draft. The standard gives it 25 to 50 percent either way.
    Raises ValueError if a value is negative, or the factor or width not positive.

    D = F (A + B S + C S^2) W T, with S in km/h and T in centimetres (1 for seed drills).
    Range: the table's own spread, 25 to 50 percent; no-till drill rows are from memory.
    Source: [D497], form as in [DRA].

    >>> round(float(implement_draft(0.92, 720.0, 0.0, 0.0, 2.2, 24)))
    15898
    """
    kmh = not_negative("speed", speed) * _KMH
    terms = not_negative("a", a) + not_negative("b", b) * kmh + not_negative("c", c) * kmh**2
    centimetres = 1.0 if depth is None else not_negative("depth", depth) * _CENTIMETRES
    return positive("texture_factor", texture_factor) * terms * positive("width", width) * centimetres


def _widths(effective_width):
    low, high = (float(v) for v in positive("effective_width", effective_width))
    if low > high:
        raise ValueError(f"effective_width must be low, then high; got {low:g} and {high:g}.")
    return low, high


def _profile(depths, cone_index):
    depths = finite("depths", depths)
    cone_index = not_negative("cone_index", cone_index)
    if depths.ndim != 1 or depths.shape != cone_index.shape or depths.size < 2:
        raise ValueError(
            "depths and cone_index must be two rows of equal length, at least 2 readings; "
            f"got shapes {depths.shape} and {cone_index.shape}."
        )
    if depths[0] != 0.0 or np.any(np.diff(depths) <= 0):
        raise ValueError(f"depths must start at 0 and rise; got {depths.tolist()}.")
    return depths, cone_index
