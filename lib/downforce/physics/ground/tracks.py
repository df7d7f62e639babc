"""Wheel tracks: ruts of a given depth and width at given places across the pass."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.ground.parts import heights_in_blocks
from downforce.physics.kinds import Metre, Metres, Ratios


@dataclass(frozen=True)
class WheelTracks:
    """Wheel tracks along the pass, with soft edges.

    Where tracks overlap the ground is as low as the deeper one, not as both together.

    lateral: middle of each track, to the right of the pass.
    width: width at half depth.
    depth: depth below the ground beside it.
    edge: width over which each side falls, at most the width.

    Range: 20 to 50 mm deep is common; settled no-till ground less (from memory).
    Source: common practice; the edge shape is invented.

    >>> ruts = WheelTracks((-1.0, 1.0), width=0.5, depth=0.03, edge=0.1)
    >>> [round(float(h), 4) for h in ruts.heights(0.0, np.array([0.0, 0.75, 1.0]))]
    [0.0, -0.015, -0.03]
    """

    lateral: tuple[Metre, ...]
    width: Metre
    depth: Metre
    edge: Metre = 0.05

    def __post_init__(self):
        object.__setattr__(
            self, "lateral", tuple(float(v) for v in np.atleast_1d(finite("lateral", self.lateral)))
        )
        positive("width", self.width)
        not_negative("depth", self.depth)
        positive("edge", self.edge)
        if self.edge > self.width:
            raise ValueError(f"edge must be at most the width, {self.width:g} m; got {self.edge:g} m.")

    def cover(self, y: Metre) -> Ratios:
        """How much of a track a place lies in.

        y: distance to the right.
        Result: 1 on the floor of a track, 0 beside it, one half at the track's width.
        Raises ValueError if a distance is not finite.

        (1 + cos(pi u)) / 2 down each edge, u from 0 to 1 over the edge.
        Range: none.
        Source: geometry.
        """
        y = finite("y", y)
        most = np.zeros(y.shape)
        for middle in self.lateral:
            beyond_floor = np.abs(y - middle) - (self.width - self.edge) / 2
            share = np.clip(beyond_floor / self.edge, 0.0, 1.0)
            most = np.maximum(most, (1 + np.cos(np.pi * share)) / 2)
        return most

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Heights the tracks add, never positive, the same all along the pass.

        x, y: distance along the pass and to the right; the two broadcast.
        Raises ValueError if a coordinate is not finite.

        Range: none.
        Source: geometry.
        """
        return heights_in_blocks(lambda a, b: -self.depth * self.cover(b) + 0.0 * a, x, y)
