"""Ground as a sum of parts: each part gives heights at any points, in blocks that keep memory small."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from downforce.physics.checks import finite
from downforce.physics.ground.contact import ContactAverage
from downforce.physics.kinds import Metre, Metres, Ratio

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
