"""Estimates of the soil reaction from a penetrometer or from tables; a dig always beats them."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.soil.sinkage import wheel_load

CONE_BASE_DIAMETER = {"soft": 0.02027, "hard": 0.01283}
"""Base diameter of the 30 degree cone [m], [S313]."""

EFFECTIVE_WIDTH = (0.005, 0.008)
"""Width of soil that bears on one disc edge [m], low and high (assumed, no source)."""

_CENTIMETRES = 100.0
_KMH = 3.6


@dataclass(frozen=True)
class Estimate:
    """A soil reaction that was worked out, not measured.

    Parameters
    ----------
    low : float or array [N]
        Lower end.
    middle : float or array [N]
        Middle value.
    high : float or array [N]
        Upper end. The truth may still lie outside.
    basis : str [-]
        What it was worked out from, in words.
    is_estimate : bool [-]
        Always true; a measured value is a plain number.
    """

    low: object
    middle: object
    high: object
    basis: str
    is_estimate: bool = True

    def __str__(self):
        """One sentence with low and high, for a single value."""
        return f"estimate, not a measurement: {self.low:.0f} to {self.high:.0f} N, {self.basis}"


def cone_index(force, base_area):
    """Cone index of a penetrometer reading.

    Parameters
    ----------
    force : float or array [N]
        Force on the cone.
    base_area : float or array [m2]
        Area of the cone's base.

    Returns
    -------
    float or array [Pa]
        Cone index.

    Raises
    ------
    ValueError
        If the force is negative or the area not positive.

    Notes
    -----
    Force divided by base area.

    Range: 30 degree cone pushed at 30 mm/s.

    Source: [S313].

    Examples
    --------
    >>> round(float(cone_index(322.7, cone_base_area(0.02027))) / 1000)
    1000
    """
    return not_negative("force", force) / positive("base_area", base_area)


def cone_base_area(base_diameter):
    """Base area of a cone.

    Parameters
    ----------
    base_diameter : float or array [m]
        Diameter of the cone's base; the standard ones are held as CONE_BASE_DIAMETER.

    Returns
    -------
    float or array [m2]
        Area.

    Raises
    ------
    ValueError
        If the diameter is not positive.

    Notes
    -----
    pi d^2 / 4. A cone worn by 3 percent of its diameter should be replaced.

    Range: any.

    Source: derivation in Notes.

    Examples
    --------
    >>> round(float(cone_base_area(0.02027)) * 1e6, 1)
    322.7
    """
    return np.pi / 4.0 * positive("base_diameter", base_diameter) ** 2


def bearing_length(disc_diameter, depth):
    """Length of the front half of a disc's contact at the surface.

    Parameters
    ----------
    disc_diameter : float or array [m]
        Disc diameter.
    depth : float or array [m]
        Depth of the disc, at most half the diameter.

    Returns
    -------
    float or array [m]
        Half of the chord that the surface cuts from the disc.

    Raises
    ------
    ValueError
        If the diameter is not positive or the depth is not between zero and the axle.

    Notes
    -----
    sqrt(d (D - d)).

    Range: flat ground, disc below its axle.

    Source: derivation in Notes.

    Examples
    --------
    >>> round(float(bearing_length(0.457, 0.04)) * 1000, 1)
    129.2
    """
    disc_diameter = positive("disc_diameter", disc_diameter)
    depth = not_negative("depth", depth)
    between("depth / disc_diameter", depth / disc_diameter, 0.0, 0.5)
    return np.sqrt(depth * (disc_diameter - depth))


def reaction_from_cone(cone_index, disc_diameter, depth, effective_width=EFFECTIVE_WIDTH):
    """Estimated soil reaction of a disc from cone index and contact area.

    Parameters
    ----------
    cone_index : float or array [Pa]
        Mean cone index down to the depth.
    disc_diameter : float or array [m]
        Disc diameter.
    depth : float or array [m]
        Depth of the disc.
    effective_width : tuple of two floats [m]
        Low and high width of the soil that bears on the edge.

    Returns
    -------
    Estimate [N]
        Low, middle and high reaction and what they rest on.

    Raises
    ------
    ValueError
        If the cone index is negative, the depth beyond the axle or the widths not positive and in order.

    Notes
    -----
    V = cone index x sqrt(d (D - d)) x effective width: the plan area of the front half of one edge.

    Range: an order-of-magnitude check, not a predictor.

    Source: derivation in Notes; common practice, no source for the width.

    Examples
    --------
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


def reaction_from_pressure_sinkage(depth, disc_diameter, n, k_c, k_phi, effective_width=EFFECTIVE_WIDTH):
    """Estimated soil reaction of a disc from a soil's pressure-sinkage parameters.

    Parameters
    ----------
    depth : float or array [m]
        Depth of the disc.
    disc_diameter : float or array [m]
        Disc diameter.
    n : float or array [-]
        Sinkage exponent of the soil.
    k_c : float or array [N/m^(n+1)]
        Cohesive modulus of the soil.
    k_phi : float or array [N/m^(n+2)]
        Frictional modulus of the soil.
    effective_width : tuple of two floats [m]
        Low and high width of the soil that bears on the edge.

    Returns
    -------
    Estimate [N]
        Low, middle and high reaction and what they rest on.

    Raises
    ------
    ValueError
        As :func:`downforce.physics.soil.sinkage.wheel_load`, or if the widths are not positive and in order.

    Notes
    -----
    The disc is taken as a very narrow rigid wheel: V = (k_c + b k_phi) integral of z^n dx.

    Range: far outside it. The moduli are measured with plates ten times wider than a disc edge, and
    no-till ground is likely firmer than those soils, so the figure is likely too low (our judgement).

    Source: [BEK] as in [WON]; use on a disc is our own.

    Examples
    --------
    >>> guess = reaction_from_pressure_sinkage(0.04, 0.457, 0.7, 5270.0, 1515040.0)
    >>> bool(guess.low < guess.middle < guess.high)
    True
    """
    low, high = _widths(effective_width)
    ends = [wheel_load(depth, w, disc_diameter, n, k_c, k_phi) for w in (low, (low + high) / 2.0, high)]
    return Estimate(*ends, "from a table of pressure and sinkage, stretched to a disc edge; dig to make sure")


def implement_draft(texture_factor, a, b, c, speed, width, depth=None):
    """Draft of a whole implement by the ASABE form.

    Parameters
    ----------
    texture_factor : float or array [-]
        F for fine, medium or coarse soil.
    a : float or array [N/row, N/m or N/(m cm)]
        Constant term for one row, tool or metre.
    b : float or array [N/row etc. for one km/h]
        Term with speed.
    c : float or array [N/row etc. for one km/h squared]
        Term with speed squared.
    speed : float or array [m/s]
        Ground speed.
    width : float or array [-]
        Number of rows or tools, or width in metres, whichever the row of the table is for.
    depth : float or array [m]
        Tillage depth, only for rows of the table that count in centimetres; leave out for seed drills.

    Returns
    -------
    float or array [N]
        Draft. The standard gives it 25 to 50 percent either way.

    Raises
    ------
    ValueError
        If a value is negative, or the factor or width not positive.

    Notes
    -----
    D = F (A + B S + C S^2) W T, with S in km/h and T in centimetres (1 for seed drills).

    Range: the table's own spread, 25 to 50 percent; no-till drill rows are from memory.

    Source: [D497], form as in [DRA].

    Examples
    --------
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
