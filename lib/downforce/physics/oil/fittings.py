"""Loss coefficients of fittings and orifices, with the part that matters in thick oil."""

import numpy as np

from downforce.physics.checks import finite, not_negative, positive

INCH = 0.0254
"""One inch [m], exact."""

ORIFICE_COEFFICIENT = 0.62
"""Usual discharge coefficient [-] of a sharp-edged orifice, 0.6 to 0.7 (common practice)."""


def fitting_turbulent_coefficient(bore, turbulent_constant):
    """The part of a fitting's loss coefficient that does not depend on the flow.

    Parameters
    ----------
    bore : float or array [m]
        Actual inside diameter.
    turbulent_constant : float or array [-]
        K-infinity of the fitting for a large bore.

    Returns
    -------
    float or array [-]
        Loss coefficient for a line; the laminar constant K1 goes beside it as `laminar_coefficient`.

    Raises
    ------
    ValueError
        If bore is not positive or the constant is negative.

    Notes
    -----
    K = K1/Re + Kinf (1 + 1 inch/D), by the two-constant method, which holds in laminar flow too.

    Range: pipes of 1/2 to 24 inch; hose fittings of 1/4 inch are outside it, and a crimped hose end is
    narrower than its hose, so allow more.

    Source: [HOO], constants as in [FLU].

    Examples
    --------
    >>> round(float(fitting_turbulent_coefficient(0.0127, 0.4)), 2)
    1.2
    """
    return not_negative("turbulent_constant", turbulent_constant) * (1.0 + INCH / positive("bore", bore))


def orifice_flow(pressure_drop, diameter, density, discharge_coefficient=ORIFICE_COEFFICIENT):
    """Flow through a sharp-edged orifice, signed with the pressure drop.

    Parameters
    ----------
    pressure_drop : float or array [Pa]
        Pressure before less pressure behind the orifice.
    diameter : float or array [m]
        Diameter of the hole.
    density : float or array [kg/m3]
        Density of the oil.
    discharge_coefficient : float or array [-]
        0.6 to 0.7 for a sharp edge.

    Returns
    -------
    float or array [m3/s]
        Volume flow.

    Raises
    ------
    ValueError
        If diameter, density or discharge_coefficient is not positive.

    Notes
    -----
    Q = Cd A sqrt(2 dp / rho).

    Range: turbulent flow in the hole, Reynolds above about 1000; thick cold oil gives less.

    Source: [SUL] example 5.4.

    Examples
    --------
    >>> round(60e3 * float(orifice_flow(50e5, 1e-3, 870.0, 0.6)), 2)
    3.03
    """
    drop = finite("pressure_drop", pressure_drop)
    speed = np.sqrt(2.0 * np.abs(drop) / positive("density", density))
    area = np.pi * positive("diameter", diameter) ** 2 / 4.0
    return positive("discharge_coefficient", discharge_coefficient) * area * np.sign(drop) * speed
