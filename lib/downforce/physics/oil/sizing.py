"""Sizes a shop orders by: bores, dash sizes, filling times and the heat a restriction makes."""

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import (
    CubicMetre,
    CubicMetrePerSecond,
    Metre,
    MetrePerSecond,
    Pascal,
    Second,
    Watt,
)

NOMINAL_BORES = (
    0.0032, 0.004, 0.005, 0.0063, 0.008, 0.010, 0.0125, 0.016, 0.019, 0.025, 0.0315, 0.038, 0.051,
)  # fmt: skip
"""Nominal hose bores [m], [ISO4397]."""

VELOCITY_LIMITS = {"pressure": (2.0, 6.1), "return": (1.5, 4.6), "suction": (0.6, 1.2)}
"""Usual oil velocities [m/s], low and high: rules of thumb; 6.1 from [ESP], the others from memory."""


def bore_for_velocity(flow: CubicMetrePerSecond, velocity: MetrePerSecond) -> Metre:
    """Bore in which a flow has a chosen velocity, not yet rounded to a hose that is made.

    flow: volume flow, either sign.
    velocity: velocity wanted; see `VELOCITY_LIMITS`.
    Result: inside diameter.
    Raises ValueError if velocity is not positive.

    D = sqrt(4 Q / (pi v)). In cold thick oil the pressure loss, not the velocity, sets the size.
    Range: any.
    Source: [ESP] ex. 10-1 and 10-2.

    >>> round(1e3 * float(bore_for_velocity(0.002, 6.1)), 1)
    20.4
    """
    return np.sqrt(4.0 * np.abs(finite("flow", flow)) / (np.pi * positive("velocity", velocity)))


def next_nominal_bore(bore: Metre) -> Metre:
    """The smallest hose bore that is made and not below a wanted bore.

    Raises ValueError if a bore is not positive or larger than the largest hose.

    First of `NOMINAL_BORES` that is large enough. Real bores lie within the tolerance, about -0.2 to +1 mm.
    Range: up to 51 mm.
    Source: [ISO4397].

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


def line_volume(bore: Metre, length: Metre) -> CubicMetre:
    """Oil that fills a line.

    bore: inside diameter.
    Raises ValueError if bore is not positive or length is negative.

    V = pi D^2 L / 4; a hose swells a little under pressure.
    Range: any.
    Source: definition.

    >>> round(1e3 * float(line_volume(0.019, 12.0)), 1)
    3.4
    """
    return np.pi * positive("bore", bore) ** 2 / 4.0 * not_negative("length", length)


def fill_time(volume: CubicMetre, flow: CubicMetrePerSecond) -> Second:
    """Time a flow takes to fill a volume.

    Raises ValueError if volume is negative or flow not positive.

    t = V / Q.
    Range: the flow does not fall as pressure builds up.
    Source: definition.

    >>> round(float(fill_time(10.8e-3, 40e-3 / 60)), 1)
    16.2
    """
    return not_negative("volume", volume) / positive("flow", flow)


def power_lost(pressure_drop: Pascal, flow: CubicMetrePerSecond) -> Watt:
    """Power that turns into heat where a flow loses pressure.

    pressure_drop: pressure lost, with the sign of the flow.
    Raises ValueError if an input is not finite.

    P = dp Q.
    Range: any.
    Source: definition.

    >>> round(float(power_lost(120e5, 20e-3 / 60)))
    4000
    """
    return finite("pressure_drop", pressure_drop) * finite("flow", flow)
