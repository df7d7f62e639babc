"""Friction factor of a round pipe, one continuous curve, with the doubtful band between its two parts.

VISCOSITY HERE IS ALWAYS KINEMATIC, in m2/s (46 cSt is 46e-6), not the dynamic viscosity in Pa s.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import (
    CubicMetrePerSecond,
    Metre,
    MetrePerSecond,
    Ratio,
    Ratios,
    SquareMetrePerSecond,
)

UNCERTAIN_REYNOLDS = (2000.0, 4000.0)
"""Reynolds numbers [-] between which flow may be laminar or turbulent, so that friction is not one number."""


# Below this Reynolds number Churchill's formula equals 64/Re to the last digit of a float.
_PURELY_LAMINAR = 800.0


def flow_velocity(flow: CubicMetrePerSecond, bore: Metre) -> MetrePerSecond:
    """Mean velocity of a flow in a round bore, signed with the flow.

    bore: inside diameter.
    Raises ValueError if bore is not positive.

    v = 4 Q / (pi D^2).
    Range: any.
    Source: definition.

    >>> round(float(flow_velocity(0.002, 0.0204)), 1)
    6.1
    """
    return 4.0 * finite("flow", flow) / (np.pi * positive("bore", bore) ** 2)


def reynolds_number(flow: CubicMetrePerSecond, bore: Metre, viscosity: SquareMetrePerSecond) -> Ratio:
    """Reynolds number of a flow in a round bore, never negative.

    flow: volume flow, either sign.
    bore: inside diameter.
    Raises ValueError if bore or viscosity is not positive.

    Re = |v| D / viscosity.
    Range: any.
    Source: definition.

    >>> round(float(reynolds_number(10e-3 / 60, 9.5e-3, 46e-6)))
    486
    """
    return np.abs(flow_velocity(flow, bore)) * bore / positive("viscosity", viscosity)


def friction_factor(reynolds: Ratio, relative_roughness: Ratio = 0.0) -> Ratio:
    """Darcy friction factor of a round pipe, one continuous curve from laminar to turbulent.

    reynolds: Reynolds number, above zero.
    relative_roughness: height of the roughness over the bore; 0 for drawn tube and hose liner.
    Result: Darcy friction factor (four times the Fanning factor).
    Raises ValueError if reynolds is not positive or relative_roughness is negative.

    f = 8 ((8/Re)^12 + (A + B)^-1.5)^(1/12), A = (2.457 ln(1 / ((7/Re)^0.9 + 0.27 e/D)))^16, B =
    (37530/Re)^16.
    Range: any Reynolds number; relative roughness 0 to 0.05. Between Reynolds 2000 and 4000 friction is not a
    known number: `friction_band` gives the two limits.
    Source: [CHU], equal to [FLU].

    >>> round(float(friction_factor(1e5, 0.001)), 6)
    0.022343
    """
    reynolds = positive("reynolds", reynolds)
    roughness = not_negative("relative_roughness", relative_roughness)
    return friction_product_and_slope(reynolds, roughness)[0] / reynolds


@dataclass(frozen=True)
class FrictionBand:
    """Friction factor with the limits between which it may lie.

    low: lowest likely friction factor.
    likely: the continuous curve of `friction_factor`.
    high: highest likely friction factor.
    uncertain: True where the Reynolds number lies in `UNCERTAIN_REYNOLDS`.
    """

    low: Ratios
    likely: Ratios
    high: Ratios
    uncertain: Ratios


def friction_band(reynolds: Ratio, relative_roughness: Ratio = 0.0) -> FrictionBand:
    """Friction factor with its lower and upper limit; they part only between Reynolds 2000 and 4000.

    reynolds: Reynolds number, above zero.
    relative_roughness: height of the roughness over the bore.
    Result: low, likely and high friction factor, and where it is uncertain.
    Raises ValueError if reynolds is not positive or relative_roughness is negative.

    In the band the low limit is laminar flow, 64/Re, and the high limit is turbulent flow drawn on to lower
    Reynolds numbers, f = 8 / (2.457 ln(1 / ((7/Re)^0.9 + 0.27 e/D)))^2. Outside it all three are the same.
    Range: as `friction_factor`.
    Source: [CHU], its two parts taken alone; the limits 2000 and 4000 are common practice.

    >>> band = friction_band(3000.0)
    >>> bool(band.uncertain), round(float(band.low), 4), round(float(band.high), 4)
    (True, 0.0213, 0.0445)
    """
    likely = friction_factor(reynolds, relative_roughness)
    reynolds = np.asarray(reynolds, dtype=float)
    uncertain = (reynolds > UNCERTAIN_REYNOLDS[0]) & (reynolds < UNCERTAIN_REYNOLDS[1])
    uncertain = np.broadcast_to(uncertain, np.shape(likely))
    inner = (7.0 / reynolds) ** 0.9 + 0.27 * np.asarray(relative_roughness, dtype=float)
    with np.errstate(divide="ignore"):
        turbulent = 8.0 / (2.457 * np.log(inner)) ** 2
    low = np.where(uncertain, 64.0 / reynolds, likely)
    high = np.where(uncertain, turbulent, likely)
    return FrictionBand(low, likely, high, uncertain)


def friction_product_and_slope(reynolds: Ratios, roughness: Ratios) -> tuple[Ratios, Ratios]:
    """Friction factor times Reynolds number, and how fast its product with another Reynolds number grows.

    reynolds: Reynolds number, 0 allowed; not checked, for speed.
    roughness: relative roughness.
    Result: f Re, which is 64 in laminar flow and at rest, and d(f Re^2)/dRe, which is 64 there too.

    The derivative of Churchill's formula, worked out by hand.
    Range: as `friction_factor`.
    Source: as `friction_factor`; derivation.

    >>> [float(x) for x in friction_product_and_slope(0.0, 0.0)]
    [64.0, 64.0]
    """
    shape = np.broadcast_shapes(np.shape(reynolds), np.shape(roughness))
    product, slope = np.full(shape, 64.0), np.full(shape, 64.0)
    reynolds = np.broadcast_to(reynolds, shape)
    other = reynolds > _PURELY_LAMINAR
    if np.any(other):
        number = reynolds[other]
        product[other], slope[other] = _churchill(number, np.broadcast_to(roughness, shape)[other])
    return product, slope


def _churchill(reynolds, roughness):
    inverse = 1.0 / reynolds
    smooth = (7.0 * inverse) ** 0.9
    inner = smooth + 0.27 * roughness
    root = -2.457 * np.log(inner)
    turbulent = _power_16(root)
    transition = _power_16(37530.0 * inverse)
    both = turbulent + transition
    tail = both**-1.5
    laminar = (8.0 * inverse) ** 12
    total = laminar + tail
    product = 8.0 * total ** (1.0 / 12.0) * reynolds
    # Logarithmic derivatives, with respect to ln Re, keep every term near one.
    turbulent_growth = 16.0 * turbulent / root * 2.457 * 0.9 * smooth / inner
    both_growth = (turbulent_growth - 16.0 * transition) / both
    growth = (-12.0 * laminar - 1.5 * tail * both_growth) / (12.0 * total)
    return product, product * (2.0 + growth)


def _power_16(value):
    square = value * value
    fourth = square * square
    eighth = fourth * fourth
    return eighth * eighth
