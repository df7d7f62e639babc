"""The proposed cylinder on other pins: nearer or further from the pivot, tilted, or mounted higher."""

from dataclasses import replace

import numpy as np


def lever_length(opener, cylinder):
    """Distance from the pivot that the opener's pin turns about to that pin.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    cylinder : Cylinder [-]
        The cylinder with its pins.

    Returns
    -------
    float [m]
        For a pin that rises with the opener without turning: its distance from the lower link's frame pin.
    """
    return float(np.hypot(*_lever(opener, cylinder)))


def cylinder_on_moved_pins(opener, cylinder, along=0.0, tilt=0.0, apart=0.0):
    """The cylinder with its pins moved, the rest as it is.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    cylinder : Cylinder [-]
        The cylinder with its pins.
    along : float [m]
        Both pins moved away from the pivot, along the bar that carries the opener's pin.
    tilt : float [m]
        Frame pin alone moved rearward.
    apart : float [m]
        Frame pin alone moved away from the opener's pin, along the cylinder as it stood at work.

    Returns
    -------
    Cylinder [-]
        A changed copy.
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
