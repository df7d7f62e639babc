"""Loss coefficients of fittings and orifices, with the part that matters in thick oil."""

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import CubicMetrePerSecond, KilogramPerCubicMetre, Metre, Pascal, Ratio

INCH = 0.0254
"""One inch [m], exact."""

ORIFICE_COEFFICIENT = 0.62
"""Usual discharge coefficient [-] of a sharp-edged orifice, 0.6 to 0.7 (common practice)."""


def fitting_turbulent_coefficient(bore: Metre, turbulent_constant: Ratio) -> Ratio:
    """The part of a fitting's loss coefficient that does not depend on the flow.

    bore: actual inside diameter.
    turbulent_constant: K-infinity of the fitting for a large bore.
    Result: loss coefficient for a line; the laminar constant K1 goes beside it as `laminar_coefficient`.
    Raises ValueError if bore is not positive or the constant is negative.

    K = K1/Re + Kinf (1 + 1 inch/D), by the two-constant method, which holds in laminar flow too.
    Range: pipes of 1/2 to 24 inch; hose fittings of 1/4 inch are outside it, and a crimped hose end is
    narrower than its hose, so allow more.
    Source: [HOO], constants as in [FLU].

    >>> round(float(fitting_turbulent_coefficient(0.0127, 0.4)), 2)
    1.2
    """
    return not_negative("turbulent_constant", turbulent_constant) * (1.0 + INCH / positive("bore", bore))


def orifice_flow(
    pressure_drop: Pascal,
    diameter: Metre,
    density: KilogramPerCubicMetre,
    discharge_coefficient: Ratio = ORIFICE_COEFFICIENT,
) -> CubicMetrePerSecond:
    """Flow through a sharp-edged orifice, signed with the pressure drop.

    pressure_drop: pressure before less pressure behind the orifice.
    discharge_coefficient: 0.6 to 0.7 for a sharp edge.
    Raises ValueError if diameter, density or discharge_coefficient is not positive.

    Q = Cd A sqrt(2 dp / rho).
    Range: turbulent flow in the hole, Reynolds above about 1000; thick cold oil gives less.
    Source: [SUL] example 5.4.

    >>> round(60e3 * float(orifice_flow(50e5, 1e-3, 870.0, 0.6)), 2)
    3.03
    """
    drop = finite("pressure_drop", pressure_drop)
    speed = np.sqrt(2.0 * np.abs(drop) / positive("density", density))
    area = np.pi * positive("diameter", diameter) ** 2 / 4.0
    return positive("discharge_coefficient", discharge_coefficient) * area * np.sign(drop) * speed
