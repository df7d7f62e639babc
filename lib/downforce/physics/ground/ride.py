"""Ground under a drill that rides over it, station by station."""

from typing import Protocol

import numpy as np

from downforce.physics.checks import finite
from downforce.physics.kinds import Metre, Metres

_RANK = 8  # places side by side for which one call more is worth while


class Surface(Protocol):
    """What has heights at points (x, y): the ground, or a part of it."""

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Heights at points; the two broadcast."""


def wheel_heights(ground: Surface, station: Metre, x: Metre, y: Metre) -> Metres:
    """Ground under things that stand still on the machine, station by station.

    station: distance along the pass of the hitch pin.
    x, y: places on the machine, x rearward from the hitch pin, y to the right.
    Result: heights, stations first, places last.
    Raises ValueError if an input is not finite.

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
