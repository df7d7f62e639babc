"""Sizes a shop orders by: bores, dash sizes, filling times and the heat a restriction makes."""

import numpy as np

from downforce.physics.checks import finite, not_negative, positive

NOMINAL_BORES = (
    0.0032, 0.004, 0.005, 0.0063, 0.008, 0.010, 0.0125, 0.016, 0.019, 0.025, 0.0315, 0.038, 0.051,
)  # fmt: skip
"""Nominal hose bores [m], [ISO4397]."""

VELOCITY_LIMITS = {"pressure": (2.0, 6.1), "return": (1.5, 4.6), "suction": (0.6, 1.2)}
"""Usual oil velocities [m/s], low and high: rules of thumb; 6.1 from [ESP], the others from memory."""


def bore_for_velocity(flow, velocity):
    """Bore in which a flow has a chosen velocity, not yet rounded to a hose that is made.

    Parameters
    ----------
    flow : float or array [m3/s]
        Volume flow, either sign.
    velocity : float or array [m/s]
        Velocity wanted; see `VELOCITY_LIMITS`.

    Returns
    -------
    float or array [m]
        Inside diameter.

    Raises
    ------
    ValueError
        If velocity is not positive.

    Notes
    -----
    D = sqrt(4 Q / (pi v)). In cold thick oil the pressure loss, not the velocity, sets the size.

    Range: any.

    Source: [ESP] ex. 10-1 and 10-2.

    Examples
    --------
    >>> round(1e3 * float(bore_for_velocity(0.002, 6.1)), 1)
    20.4
    """
    return np.sqrt(4.0 * np.abs(finite("flow", flow)) / (np.pi * positive("velocity", velocity)))


def next_nominal_bore(bore):
    """The smallest hose bore that is made and not below a wanted bore.

    Parameters
    ----------
    bore : float or array [m]
        Bore wanted.

    Returns
    -------
    float or array [m]
        Nominal bore.

    Raises
    ------
    ValueError
        If a bore is not positive or larger than the largest hose.

    Notes
    -----
    First of `NOMINAL_BORES` that is large enough. Real bores lie within the tolerance, about -0.2 to +1 mm.

    Range: up to 51 mm.

    Source: [ISO4397].

    Examples
    --------
    >>> round(1e3 * float(next_nominal_bore(0.011)), 1)
    12.5
    """
    bore = positive("bore", bore)
    bores = np.array(NOMINAL_BORES)
    # A bore of 12.5 mm worked out by division may sit one digit above 0.0125.
    place = np.searchsorted(bores, bore * (1.0 - 1e-9))
    if np.any(place >= len(bores)):
        raise ValueError(f"bore must not exceed {bores[-1]:g} m, the largest hose; got {bore.max():g}.")
    return bores[place]


def line_volume(bore, length):
    """Oil that fills a line.

    Parameters
    ----------
    bore : float or array [m]
        Inside diameter.
    length : float or array [m]
        Length.

    Returns
    -------
    float or array [m3]
        Volume.

    Raises
    ------
    ValueError
        If bore is not positive or length is negative.

    Notes
    -----
    V = pi D^2 L / 4; a hose swells a little under pressure.

    Range: any.

    Source: definition.

    Examples
    --------
    >>> round(1e3 * float(line_volume(0.019, 12.0)), 1)
    3.4
    """
    return np.pi * positive("bore", bore) ** 2 / 4.0 * not_negative("length", length)


def fill_time(volume, flow):
    """Time a flow takes to fill a volume.

    Parameters
    ----------
    volume : float or array [m3]
        Volume to fill.
    flow : float or array [m3/s]
        Volume flow.

    Returns
    -------
    float or array [s]
        Time.

    Raises
    ------
    ValueError
        If volume is negative or flow not positive.

    Notes
    -----
    t = V / Q.

    Range: the flow does not fall as pressure builds up.

    Source: definition.

    Examples
    --------
    >>> round(float(fill_time(10.8e-3, 40e-3 / 60)), 1)
    16.2
    """
    return not_negative("volume", volume) / positive("flow", flow)


def power_lost(pressure_drop, flow):
    """Power that turns into heat where a flow loses pressure.

    Parameters
    ----------
    pressure_drop : float or array [Pa]
        Pressure lost, with the sign of the flow.
    flow : float or array [m3/s]
        Volume flow.

    Returns
    -------
    float or array [W]
        Power.

    Raises
    ------
    ValueError
        If an input is not finite.

    Notes
    -----
    P = dp Q.

    Range: any.

    Source: definition.

    Examples
    --------
    >>> round(float(power_lost(120e5, 20e-3 / 60)))
    4000
    """
    return finite("pressure_drop", pressure_drop) * finite("flow", flow)
