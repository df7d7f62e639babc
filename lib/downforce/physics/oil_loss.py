"""Friction in a round pipe, and the pressure lost along a hose or pipe.

Friction is one continuous curve: laminar, turbulent, and the doubtful band between. VISCOSITY HERE IS ALWAYS
KINEMATIC, in m2/s (46 cSt is 46e-6): what `viscosity_at` returns and what an oil's data sheet prints. It is
not the dynamic viscosity in Pa s.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics import kinds as si
from downforce.physics.checks import GRAVITY, finite, not_negative, positive

UNCERTAIN_REYNOLDS = (2000.0, 4000.0)
"""Reynolds numbers [-] between which flow may be laminar or turbulent, so that friction is not one number."""


# Below this Reynolds number Churchill's formula equals 64/Re to the last digit of a float.
_PURELY_LAMINAR = 800.0


def flow_velocity(flow: si.CubicMetrePerSecond, bore: si.Metre) -> si.MetrePerSecond:
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


def reynolds_number(
    flow: si.CubicMetrePerSecond, bore: si.Metre, viscosity: si.SquareMetrePerSecond
) -> si.Ratio:
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


def friction_factor(reynolds: si.Ratio, relative_roughness: si.Ratio = 0.0) -> si.Ratio:
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

    low: si.Ratios
    likely: si.Ratios
    high: si.Ratios
    uncertain: si.Ratios


def friction_band(reynolds: si.Ratio, relative_roughness: si.Ratio = 0.0) -> FrictionBand:
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


def friction_product_and_slope(reynolds: si.Ratios, roughness: si.Ratios) -> tuple[si.Ratios, si.Ratios]:
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


def line_loss(
    flow: si.CubicMetrePerSecond,
    bore: si.Metre,
    length: si.Metre,
    density: si.KilogramPerCubicMetre,
    viscosity: si.SquareMetrePerSecond,
    roughness: si.Metre = 0.0,
    loss_coefficient: si.Ratio = 0.0,
    rise: si.Metre = 0.0,
    laminar_coefficient: si.Ratio = 0.0,
) -> si.Pascal:
    """Pressure lost along a round hose or pipe with its fittings, signed with the flow.

    flow: volume flow; a negative flow gives a negative loss.
    bore: inside diameter.
    length: length, 0 allowed.
    viscosity: KINEMATIC viscosity (46 cSt is 46e-6), as `viscosity_at` returns it; not Pa s.
    roughness: height of the wall's roughness; 0 for hose and drawn tube.
    loss_coefficient: sum of the fittings' loss coefficients, in velocity heads of this bore.
    rise: height of the end above the start; adds density x g x rise whatever the flow.
    laminar_coefficient: sum of the fittings' laminar constants K1, which add K1/Re to the loss coefficient.
    Result: pressure at the start less pressure at the end.
    Raises ValueError if bore, density or viscosity is not positive, or a length, roughness or coefficient is
        negative.

    dp = (f L/D + K + K1/Re) rho v |v| / 2 + rho g rise, f by Churchill. In laminar flow this is 128 rho
    viscosity L Q / (pi D^4).
    Range: full, steady flow of a Newtonian liquid; friction is uncertain for Reynolds 2000 to 4000, see
    `line_loss_band`.
    Source: Darcy and Weisbach; [CHU].

    >>> round(float(line_loss(11.4e-3 / 60, 12.7e-3, 10.0, 870.0, 577e-6)) / 1e5)
    15
    """
    resistance = line_resistance(
        bore, length, density, viscosity, roughness, loss_coefficient, laminar_coefficient
    )
    flow = finite("flow", flow)
    loss, _ = loss_and_slope(resistance, flow)
    return loss + np.asarray(density, dtype=float) * GRAVITY * finite("rise", rise)


def line_loss_band(
    flow: si.CubicMetrePerSecond,
    bore: si.Metre,
    length: si.Metre,
    density: si.KilogramPerCubicMetre,
    viscosity: si.SquareMetrePerSecond,
    roughness: si.Metre = 0.0,
    loss_coefficient: si.Ratio = 0.0,
) -> tuple[si.Pascal, si.Pascal]:
    """Lowest and highest likely pressure loss; they part only between Reynolds 2000 and 4000.

    bore: inside diameter.
    roughness: height of the wall's roughness.
    loss_coefficient: sum of the fittings' loss coefficients.
    Result: loss nearest to zero and loss farthest from zero, both signed with the flow.
    Raises ValueError as `line_loss` does.

    The loss of `line_loss` with the friction factor replaced by the limits of `friction_band`.
    Range: as `line_loss`.
    Source: as `friction_band`.

    >>> low, high = line_loss_band(1.5e-3, 12.7e-3, 10.0, 870.0, 50e-6)
    >>> round(float(high / low), 1)
    2.1
    """
    likely = line_loss(flow, bore, length, density, viscosity, roughness, loss_coefficient)
    reynolds = np.maximum(reynolds_number(flow, bore, viscosity), 1e-12)
    band = friction_band(reynolds, np.asarray(roughness, dtype=float) / bore)
    velocity = flow_velocity(flow, bore)
    head = np.asarray(length, dtype=float) / bore * density * velocity * np.abs(velocity) / 2.0
    return likely + (band.low - band.likely) * head, likely + (band.high - band.likely) * head


@dataclass(frozen=True)
class LineResistance:
    """What turns a flow into a pressure loss, for many lines at once.

    per_flow: Reynolds number for each m3/s.
    wall: loss for each m3/s and each unit of f Re.
    laminar: loss of the fittings' laminar part for each m3/s.
    square: loss of the fittings' turbulent part for each (m3/s) squared.
    roughness: relative roughness.
    """

    per_flow: si.PerFlows
    wall: si.PascalSecondsPerCubicMetre
    laminar: si.PascalSecondsPerCubicMetre
    square: si.PascalsPerFlowSquared
    roughness: si.Ratios

    def part(self, chosen: si.Ratios) -> "LineResistance":
        """The resistance of some of the lines.

        Result: the same record for those lines only.

        Range: any.
        Source: definition.
        """
        return LineResistance(
            self.per_flow[chosen],
            self.wall[chosen],
            self.laminar[chosen],
            self.square[chosen],
            self.roughness[chosen],
        )


def line_resistance(
    bore: si.Metre,
    length: si.Metre,
    density: si.KilogramPerCubicMetre,
    viscosity: si.SquareMetrePerSecond,
    roughness: si.Metre = 0.0,
    loss_coefficient: si.Ratio = 0.0,
    laminar_coefficient: si.Ratio = 0.0,
) -> LineResistance:
    """The constants of lines that do not change with the flow.

    bore: inside diameter.
    roughness: height of the wall's roughness.
    loss_coefficient: sum of the fittings' loss coefficients.
    laminar_coefficient: sum of the fittings' laminar constants K1.
    Result: the constants, one for each line.
    Raises ValueError as `line_loss` does.

    With area a = pi D^2/4: Reynolds for each flow 4/(pi D viscosity), wall rho viscosity L/(2 D^2 a), laminar
    K1 rho viscosity/(2 D a), square K rho/(2 a^2).
    Range: as `line_loss`.
    Source: derivation from the formula of `line_loss`.

    >>> round(float(64 * line_resistance(0.0127, 10.0, 870.0, 577e-6).wall) / 1e9, 2)
    7.86
    """
    bore, length = positive("bore", bore), not_negative("length", length)
    density, viscosity = positive("density", density), positive("viscosity", viscosity)
    fittings = not_negative("loss_coefficient", loss_coefficient)
    first = not_negative("laminar_coefficient", laminar_coefficient)
    area = np.pi * bore**2 / 4.0
    return LineResistance(
        per_flow=4.0 / (np.pi * bore * viscosity),
        wall=density * viscosity * length / (2.0 * bore**2 * area),
        laminar=first * density * viscosity / (2.0 * bore * area),
        square=fittings * density / (2.0 * area**2),
        roughness=not_negative("roughness", roughness) / bore,
    )


def loss_and_slope(
    resistance: LineResistance, flow: si.CubicMetresPerSecond
) -> tuple[si.Pascals, si.PascalSecondsPerCubicMetre]:
    """Pressure loss of lines and how fast it grows with the flow.

    flow: flow in each line; leading axes allowed.
    Result: loss, signed with the flow, and its derivative, never negative.

    loss = (wall f Re + laminar) Q + square Q |Q|; the derivative is exact, so that Newton's method closes
    fast.
    Range: as `line_loss`.
    Source: derivation.

    >>> loss, slope = loss_and_slope(line_resistance(0.0127, 10.0, 870.0, 577e-6), 1e-4)
    >>> bool(abs(loss - slope * 1e-4) < 1e-6)
    True
    """
    size = np.abs(flow)
    product, growth = friction_product_and_slope(resistance.per_flow * size, resistance.roughness)
    loss = (resistance.wall * product + resistance.laminar + resistance.square * size) * flow
    slope = resistance.wall * growth + resistance.laminar + 2.0 * resistance.square * size
    return loss, slope
