"""Pressure lost in a hose or pipe, laminar, turbulent and in the doubtful band between.

VISCOSITY HERE IS ALWAYS KINEMATIC, in m2/s (46 cSt is 46e-6): what `viscosity_at` returns and what an
oil's data sheet prints. It is not the dynamic viscosity in Pa s.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import GRAVITY, finite, not_negative, positive
from downforce.physics.kinds import (
    CubicMetrePerSecond,
    CubicMetresPerSecond,
    KilogramPerCubicMetre,
    Metre,
    Pascal,
    Pascals,
    PascalSecondsPerCubicMetre,
    PascalsPerFlowSquared,
    PerFlows,
    Ratio,
    Ratios,
    SquareMetrePerSecond,
)
from downforce.physics.oil.friction import (
    flow_velocity,
    friction_band,
    friction_product_and_slope,
    reynolds_number,
)


def line_loss(
    flow: CubicMetrePerSecond,
    bore: Metre,
    length: Metre,
    density: KilogramPerCubicMetre,
    viscosity: SquareMetrePerSecond,
    roughness: Metre = 0.0,
    loss_coefficient: Ratio = 0.0,
    rise: Metre = 0.0,
    laminar_coefficient: Ratio = 0.0,
) -> Pascal:
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
    flow: CubicMetrePerSecond,
    bore: Metre,
    length: Metre,
    density: KilogramPerCubicMetre,
    viscosity: SquareMetrePerSecond,
    roughness: Metre = 0.0,
    loss_coefficient: Ratio = 0.0,
) -> tuple[Pascal, Pascal]:
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

    per_flow: PerFlows
    wall: PascalSecondsPerCubicMetre
    laminar: PascalSecondsPerCubicMetre
    square: PascalsPerFlowSquared
    roughness: Ratios

    def part(self, chosen: Ratios) -> "LineResistance":
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
    bore: Metre,
    length: Metre,
    density: KilogramPerCubicMetre,
    viscosity: SquareMetrePerSecond,
    roughness: Metre = 0.0,
    loss_coefficient: Ratio = 0.0,
    laminar_coefficient: Ratio = 0.0,
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
    resistance: LineResistance, flow: CubicMetresPerSecond
) -> tuple[Pascals, PascalSecondsPerCubicMetre]:
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
