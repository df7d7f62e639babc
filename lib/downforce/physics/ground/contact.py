"""What a wheel feels: ground averaged over the contact, which hides what is shorter than the contact."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import Metre, Metres

_POINTS, _SHARES = np.polynomial.legendre.leggauss(6)
_POINTS, _SHARES = _POINTS / 2, _SHARES / 2


def moving_average(height: Metres, spacing: Metre, contact_length: Metre) -> Metres:
    """Mean height over a contact centred on every point of a profile.

    height: heights at equal spacing along the first axis, joined by straight lines.
    contact_length: length of the contact; zero changes nothing.
    Result: averaged heights, same shape. Within half a contact of an end the contact is cut at the end.
    Raises ValueError if the spacing is not above zero or the length is negative.

    Exact integral of the joined lines; a contact shorter than the spacing still works.
    Range: any. A real tyre presses harder in the middle of its contact; an even average is an approximation.
    Source: derivation.

    >>> [round(float(h), 3) for h in moving_average(np.array([0.0, 0.0, 1.0, 0.0, 0.0]), 1.0, 2.0)]
    [0.0, 0.25, 0.5, 0.25, 0.0]
    """
    height = np.atleast_1d(finite("height", height))
    spacing = float(positive("spacing", spacing))
    contact_length = float(not_negative("contact_length", contact_length))
    if contact_length == 0 or len(height) < 2:
        return height.copy()
    last = len(height) - 1
    places = np.arange(len(height), dtype=float)
    reach = contact_length / spacing / 2
    start, end = np.maximum(places - reach, 0.0), np.minimum(places + reach, last)
    area = np.concatenate(
        (np.zeros((1, *height.shape[1:])), np.cumsum((height[1:] + height[:-1]) / 2, axis=0))
    )
    span = (end - start).reshape((-1,) + (1,) * (height.ndim - 1))
    return (_area_to(area, height, end) - _area_to(area, height, start)) / span


def _area_to(area, height, place):
    """Area below the joined lines from the first point to a place, in steps of the spacing."""
    index = np.minimum(place.astype(int), len(height) - 2)
    part = (place - index).reshape((-1,) + (1,) * (height.ndim - 1))
    return area[index] + part * (height[index] + part * (height[index + 1] - height[index]) / 2)


@dataclass(frozen=True)
class ContactAverage:
    """A part of the ground averaged over a rectangular contact.

    part: thing with ``heights(x, y)``.
    length: contact along the pass.
    width: contact across the pass.
    """

    part: Any
    length: Metre
    width: Metre

    def __post_init__(self):
        not_negative("length", self.length)
        not_negative("width", self.width)

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Mean heights over the contact centred on each point.

        x, y: distance along the pass and to the right; the two broadcast.
        Raises ValueError if a coordinate is not finite.

        Six Gauss-Legendre points in each direction (one where the contact has no size).
        Range: edges much narrower than a fifth of the contact are caught only roughly.
        Source: derivation.
        """
        x, y = finite("x", x), finite("y", y)
        total = np.zeros(np.broadcast_shapes(x.shape, y.shape))
        for shift_x, share_x in _places(self.length):
            for shift_y, share_y in _places(self.width):
                total += share_x * share_y * self.part.heights(x + shift_x, y + shift_y)
        return total


def _places(size):
    if size == 0:
        return [(0.0, 1.0)]
    return list(zip(size * _POINTS, _SHARES, strict=True))
