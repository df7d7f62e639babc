"""Ground as a sum of parts, and what a disc or a wheel feels of it.

Each part gives heights at any points, in blocks that keep memory small. A wheel feels the ground averaged
over its contact, which hides what is shorter.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import Metre, Metres, Ratio

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


BLOCK_POINTS = 16_384
"""Points worked at a time [-]; small enough for the processor's own memory."""


def heights_in_blocks(function: Callable, x: Metre, y: Metre) -> Metres:
    """Heights from a pointwise function, worked in blocks.

    function: takes two arrays that broadcast and returns heights [m].
    x, y: points; the two broadcast against each other.
    Result: heights in the broadcast shape; the blocks do not change any value.
    Raises ValueError if a coordinate is not finite or the shapes do not broadcast.

    Range: none.
    Source: derivation, none needed.
    """
    x, y = finite("x", x), finite("y", y)
    shape = np.broadcast_shapes(x.shape, y.shape)
    x = x.reshape((1,) * (len(shape) - x.ndim) + x.shape)
    y = y.reshape((1,) * (len(shape) - y.ndim) + y.shape)
    out = np.empty(shape)
    _fill(function, x, y, out)
    return out


def _fill(function, x, y, out):
    if out.size <= BLOCK_POINTS:
        out[...] = function(x, y)
        return
    axis = 0 if out.shape[0] > 1 else int(np.argmax(out.shape))
    middle = out.shape[axis] // 2
    for part in (slice(None, middle), slice(middle, None)):
        take = (slice(None),) * axis + (part,)
        _fill(function, _cut(x, axis, take), _cut(y, axis, take), out[take])


def _cut(array, axis, take):
    return array if array.shape[axis] == 1 else array[take]


@dataclass(frozen=True)
class Plane:
    """A flat field, level or tilted.

    slope_along: rise for one metre forward.
    slope_across: rise for one metre to the right.
    level: height at the origin.
    """

    slope_along: Ratio = 0.0
    slope_across: Ratio = 0.0
    level: Metre = 0.0

    def __post_init__(self):
        for name in ("slope_along", "slope_across", "level"):
            finite(name, getattr(self, name))

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Heights at points.

        x, y: distance along the pass and to the right.

        Range: none.
        Source: definition.
        """
        return heights_in_blocks(lambda a, b: self.level + self.slope_along * a + self.slope_across * b, x, y)

    def smoothed(self, length: Metre, width: Metre) -> "Plane":
        """The same plane: an average over a contact centred on a point changes no plane.

        length, width: size of the contact along and across the pass.

        Range: none.
        Source: definition.
        """
        return self


@dataclass(frozen=True)
class Ground:
    """Ground made of parts that add up.

    x is the distance along the pass, growing forward; y is the distance to the right; z is up.
    A thing that stands d metres behind the hitch is at x = (hitch position) - d.

    parts: things with ``heights(x, y)``: relief, terraces, gullies, tracks, a survey. None is level ground.
    """

    parts: tuple = field(default=())

    def __post_init__(self):
        object.__setattr__(self, "parts", tuple(self.parts))
        for index, part in enumerate(self.parts):
            if not callable(getattr(part, "heights", None)):
                raise ValueError(
                    f"parts[{index}] is no part of a ground: it has no heights(x, y); got {part!r}."
                )

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Heights at points, the sum of all parts.

        x, y: distance along the pass and to the right; the two broadcast.
        Result: heights in the broadcast shape.
        Raises ValueError if a coordinate is not finite or the shapes do not broadcast.

        Range: none.
        Source: definition.
        """
        total = np.zeros(np.broadcast_shapes(np.shape(x), np.shape(y)))
        for part in self.parts:
            total += part.heights(x, y)
        return total

    def smoothed(self, length: Metre, width: Metre) -> "Ground":
        """The ground as a wheel with a contact of this size feels it.

        length, width: size of the contact along and across the pass.
        Result: every part averaged over the contact.
        Raises ValueError if a size is negative.

        Relief is averaged exactly in its waves, other parts by Gauss-Legendre points.
        Range: contacts of about 1 m and less.
        Source: derivation.
        """
        return Ground(tuple(_smoothed(part, length, width) for part in self.parts))


def _smoothed(part, length, width):
    own = getattr(part, "smoothed", None)
    return own(length, width) if own else ContactAverage(part, length, width)
