"""Where an actuator sits on an opener: its pins, its length and its leverage at any travel."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from downforce.machine.quantity import Pin
from downforce.physics import linkage as linkage_physics
from downforce.physics.kinds import Metre, Metres, Newtons, Pascal, Ratios

END_OF_STROKE = 1e-6
"""Distance from an end of the stroke that counts as being on it [m]."""


@dataclass(frozen=True)
class Mount:
    """The two pins of an actuator.

    frame_pin: pin on the frame, (x, z) at working height.
    moving_pin: pin on the opener, (x, z) at working height.
    moves_with: part the moving pin sits on: "arm", "link" or "opener".
    """

    frame_pin: Pin
    moving_pin: Pin
    moves_with: Literal["arm", "link", "opener"]


@dataclass(frozen=True)
class Mounted:
    """Geometry shared by every actuator: length, leverage and down force at any travel.

    mount: the pins.
    """

    mount: Mount

    def friction_force(self, gauge_pressure: Pascal | None = None, length: Metre | None = None):
        """Friction along the axis, whichever way it works [N]; none unless a cylinder says otherwise."""
        return 0.0

    def length(self, opener, travel: Metre) -> Metres:
        """Pin-to-pin length."""
        pins = self.mount
        return linkage_physics.actuator_length(
            opener.geometry, pins.frame_pin, pins.moving_pin, pins.moves_with, travel
        )

    def leverage(self, opener, travel: Metre) -> Ratios:
        """Newtons at the disc for one newton on the actuator.

        Result: -d(actuator length)/d(travel).
        """
        pins = self.mount
        return linkage_physics.leverage(
            opener.geometry, pins.frame_pin, pins.moving_pin, pins.moves_with, travel
        )

    def down_force(self, opener, travel: Metre, gauge_pressure: Pascal | None = None) -> Newtons:
        """What the actuator gives at the disc.

        gauge_pressure: oil pressure; needed by a cylinder at held pressure only.
        """
        pins = self.mount
        length, leverage = linkage_physics.length_and_leverage(
            opener.geometry, pins.frame_pin, pins.moving_pin, pins.moves_with, travel
        )
        return self.axial_force(length, gauge_pressure) * leverage  # type: ignore[attr-defined]

    def travel_where_length_is(self, opener, length: Metre) -> Metre:
        """Travel at which the actuator has a given length, within the opener's stops.

        Result: the travel, or NaN when the length is not met between the stops.
        """
        ends = float(opener.lowest_travel), float(opener.highest_travel)
        return _travel_at(opener.geometry, self.mount, *ends, float(length))


@lru_cache(1024)
def _travel_at(geometry, mount, lowest, highest, wanted):
    """Kept, because every question about an opener begins with its stops."""
    pins = mount.frame_pin, mount.moving_pin, mount.moves_with
    travel = np.linspace(lowest, highest, 2001)
    lengths = linkage_physics.actuator_length(geometry, *pins, travel)
    if not lengths.min() <= wanted <= lengths.max():
        return float("nan")
    order = np.argsort(lengths)
    found = np.interp(wanted, lengths[order], travel[order])
    for _ in range(3):
        length, leverage = linkage_physics.length_and_leverage(geometry, *pins, found)
        found = found + (length - wanted) / leverage
    return float(found)


def tighter(stop: Metre, limit: Metre, choose: Callable) -> Metre:
    """The tighter of an opener's stop and an actuator's.

    limit: travel at which the actuator ends, NaN if it does not end between the stops.
    choose: min for the way up, max for the way down.
    """
    return float(stop) if np.isnan(limit) else float(choose(stop, limit))
