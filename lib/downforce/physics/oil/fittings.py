"""Loss coefficients of fittings and orifices, with the part that matters in thick oil."""

import numpy as np

from downforce.physics.checks import finite, not_negative, positive

INCH = 0.0254
"""One inch [m], exact."""

ORIFICE_COEFFICIENT = 0.62
"""Usual discharge coefficient [-] of a sharp-edged orifice, 0.6 to 0.7 (common practice)."""


def fitting_loss_coefficient(reynolds, bore, laminar_constant, turbulent_constant):
    """Loss coefficient of a fitting by the two-constant method, which holds in laminar flow too.

    Parameters
    ----------
    reynolds : float or array [-]
        Reynolds number in the fitting's bore, above zero.
    bore : float or array [m]
        Actual inside diameter.
    laminar_constant : float or array [-]
        K1 of the fitting, e.g. 800 for a threaded elbow.
    turbulent_constant : float or array [-]
        K-infinity of the fitting for a large bore, e.g. 0.40 for a threaded elbow.

    Returns
    -------
    float or array [-]
        Loss coefficient, in velocity heads.

    Raises
    ------
    ValueError
        If reynolds or bore is not positive or a constant is negative.

    Notes
    -----
    K = K1/Re + Kinf (1 + 1 inch/D).

    Range: pipes of 1/2 to 24 inch; hose fittings of 1/4 inch are outside it, and a crimped hose end is
    narrower than its hose, so allow more.

    Source: [HOO], constants as in [FLU].

    Examples
    --------
    >>> round(float(fitting_loss_coefficient(1e4, 0.0508, 1500.0, 4.0)), 2)
    6.15
    """
    first = not_negative("laminar_constant", laminar_constant) / positive("reynolds", reynolds)
    return first + fitting_turbulent_coefficient(bore, turbulent_constant)


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
    Kinf (1 + 1 inch/D).

    Range: as `fitting_loss_coefficient`.

    Source: as `fitting_loss_coefficient`.

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


def orifice_pressure_drop(flow, diameter, density, discharge_coefficient=ORIFICE_COEFFICIENT):
    """Pressure lost in a sharp-edged orifice, signed with the flow.

    Parameters
    ----------
    flow : float or array [m3/s]
        Volume flow.
    diameter : float or array [m]
        Diameter of the hole.
    density : float or array [kg/m3]
        Density of the oil.
    discharge_coefficient : float or array [-]
        0.6 to 0.7 for a sharp edge.

    Returns
    -------
    float or array [Pa]
        Pressure before less pressure behind the orifice.

    Raises
    ------
    ValueError
        If diameter, density or discharge_coefficient is not positive.

    Notes
    -----
    dp = rho/2 (Q / (Cd A))^2.

    Range: as `orifice_flow`.

    Source: as `orifice_flow`.

    Examples
    --------
    >>> round(float(orifice_pressure_drop(3.03e-3 / 60, 1e-3, 870.0, 0.6)) / 1e5)
    50
    """
    area = np.pi * positive("diameter", diameter) ** 2 / 4.0
    speed = finite("flow", flow) / (positive("discharge_coefficient", discharge_coefficient) * area)
    return positive("density", density) / 2.0 * speed * np.abs(speed)
