"""A drill riding over ground: travel of every opener against its own section, station by station."""

import numpy as np

from downforce.physics.checks import finite

_RANK = 8  # places side by side for which one call more is worth while


def wheel_heights(ground, station, x, y):
    """Ground under things that stand still on the machine, station by station.

    Parameters
    ----------
    ground : object [-]
        Thing with ``heights(x, y)``.
    station : float or array [m]
        Distance along the pass of the hitch pin.
    x, y : float or array [m]
        Places on the machine, x rearward from the hitch pin, y to the right.

    Returns
    -------
    array [m]
        Heights, stations first, places last.

    Raises
    ------
    ValueError
        If an input is not finite.

    Notes
    -----
    A place x metres behind the hitch is at (station - x) along the pass. Every place is asked of the same
    ground, so a rear rank meets what a front rank has met before.

    Range: none.

    Source: definition.
    """
    station = finite("station", station)[..., None]
    x, y = np.broadcast_arrays(np.ravel(finite("x", x)), np.ravel(finite("y", y)))
    ranks = np.unique(x)
    if ranks.size * _RANK > x.size:
        return ground.heights(station - x, y)
    # Places of one rank share their distance along, so that a ground works it out once for all of them.
    height = np.empty((*station.shape[:-1], x.size))
    for rank in ranks:
        there = np.flatnonzero(x == rank)
        height[..., there] = ground.heights(station - rank, y[there])
    return height


def opener_travel(ground, frame, station, opener_x, opener_y, wheel_ground=None, hitch_height=None):
    """Travel of every opener: ground below it less the plane of its section.

    Parameters
    ----------
    ground : object [-]
        Ground under the openers, as their gauge wheels feel it.
    frame : FrameOnWheels [-]
        Wheels, hinges and hitch.
    station : array [m]
        Distance along the pass of the hitch pin.
    opener_x, opener_y : array [m]
        Places of the openers, x rearward from the hitch pin, y to the right.
    wheel_ground : object [-]
        Ground as the frame's wheels feel it (smoothed by their contact); the same ground when left out.
    hitch_height : array [m]
        Lift of the hitch pin at every station; the wheels' ground below the pin when left out.

    Returns
    -------
    array [m]
        Travel, stations first, openers last; up positive, 0 on level ground.

    Raises
    ------
    ValueError
        If an input is not finite.

    Notes
    -----
    Range: small slopes; stiff tyres; every wheel on the ground; no tyre or frame dynamics.

    Source: derivation.
    """
    wheel_ground = ground if wheel_ground is None else wheel_ground
    if hitch_height is None:
        hitch_height = wheel_heights(wheel_ground, station, frame.hitch_x, frame.hitch_y)[..., 0]
    below_wheels = wheel_heights(wheel_ground, station, frame.wheel_x, frame.wheel_y)
    opener_x, opener_y = np.broadcast_arrays(np.ravel(opener_x), np.ravel(opener_y))
    travel = wheel_heights(ground, station, opener_x, opener_y)
    travel -= frame.plane(hitch_height, below_wheels, opener_x, opener_y)
    return travel
