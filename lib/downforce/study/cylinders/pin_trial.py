"""The proposed cylinder on other pins: nearer or further from the pivot, tilted, or mounted higher."""

from dataclasses import replace

import numpy as np

from downforce.machine.cylinders import Cylinder
from downforce.machine.drill import Opener
from downforce.physics.kinds import Metre


def lever_length(opener: Opener, cylinder: Cylinder) -> Metre:
    """Distance from the pivot that the opener's pin turns about to that pin.

    Result: for a pin that rises with the opener without turning: its distance from the lower link's frame
        pin.
    """
    return float(np.hypot(*_lever(opener, cylinder)))


def cylinder_on_moved_pins(
    opener: Opener, cylinder: Cylinder, along: Metre = 0.0, tilt: Metre = 0.0, apart: Metre = 0.0
) -> Cylinder:
    """The cylinder with its pins moved, the rest as it is.

    along: both pins moved away from the pivot, along the bar that carries the opener's pin.
    tilt: frame pin alone moved rearward.
    apart: frame pin alone moved away from the opener's pin, along the cylinder as it stood at work.
    """
    pins = cylinder.mount
    bar = np.array(_lever(opener, cylinder)) / lever_length(opener, cylinder)
    axis = np.subtract(pins.frame_pin, pins.moving_pin)
    axis = axis / np.hypot(*axis)
    frame_pin = np.asarray(pins.frame_pin) + along * bar + tilt * np.array([1.0, 0.0]) + apart * axis
    moving_pin = np.asarray(pins.moving_pin) + along * bar
    mount = replace(pins, frame_pin=_pair(frame_pin), moving_pin=_pair(moving_pin))
    return replace(cylinder, mount=mount)


def _lever(opener, cylinder):
    pivot = opener.pivot if opener.linkage == "trailing arm" else opener.lower_frame_pin
    return np.subtract(cylinder.mount.moving_pin, pivot)


def _pair(place):
    return float(place[0]), float(place[1])
