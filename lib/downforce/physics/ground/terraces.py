"""A field of terraces: one cross-section repeated at its spacing, quick to ask at many points."""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.ground.contact import moving_average
from downforce.physics.ground.parts import heights_in_blocks
from downforce.physics.kinds import Flags, Metre, Metres, Radian

TABLE_STEP = 0.005
"""Distance between the tabled heights of a section [m]."""


@dataclass(frozen=True)
class Terraces:
    """Equal terraces side by side, crossed at any angle.

    spacing: from ridge to ridge, square to the contour.
    first: distance along the pass at which the first ridge meets the line y = 0; at angle 0 it runs along it.
    crossing_angle: between pass and contour: pi/2 straight over, 0 along the terrace.
    contact_length, contact_width: contact over which heights are averaged, along and across the pass.

    Range: sections no wider than their spacing. Heights between tabled points are joined by straight lines,
    which is 3 micrometres on a radius of 1 m.
    Source: geometry.
    """

    section: Any
    spacing: Metre
    first: Metre = 0.0
    crossing_angle: Radian = math.pi / 2
    contact_length: Metre = 0.0
    contact_width: Metre = 0.0

    def __post_init__(self):
        positive("spacing", self.spacing)
        finite("first", self.first)
        between("crossing_angle", self.crossing_angle, 0.0, math.pi / 2)
        not_negative("contact_length", self.contact_length)
        not_negative("contact_width", self.contact_width)
        start, end = self.section.extent
        if end - start > self.spacing:
            raise ValueError(
                f"spacing {self.spacing:g} m leaves no room for a terrace {end - start:.1f} m wide; space "
                "the terraces wider, or take a lower ridge, steeper slopes or a smaller crest radius."
            )

    @cached_property
    def _table(self):
        """Heights added over one spacing, a ridge in its middle, averaged over the contact."""
        count = math.ceil(self.spacing / TABLE_STEP)
        step = self.spacing / count
        start, end = self.section.extent
        across = start - self._uphill_room + step * np.arange(count)
        added = np.zeros(count)
        touched = (across > start) & (across < end)
        added[touched] = self.section.heights_across(across[touched]) - self.section.land_across(
            across[touched]
        )
        # A contact turned against the contour averages over its length and then over its width.
        for size in self._reaches:
            if size > TABLE_STEP / 100:  # at a right angle the cosine is not quite zero
                ends = math.ceil(size / step)
                added = moving_average(np.pad(added, ends, mode="wrap"), step, size)[ends : ends + count]
        return np.append(added, added[0])

    @property
    def _uphill_room(self):
        start, end = self.section.extent
        return (self.spacing - (end - start)) / 2

    @property
    def _reaches(self):
        sine, cosine = math.sin(self.crossing_angle), math.cos(self.crossing_angle)
        return self.contact_length * sine, self.contact_width * cosine

    def across(self, x: Metre, y: Metre) -> Metres:
        """Distance from the nearest ridge, square to the contour, downhill positive.

        x, y: distance along the pass and to the right.
        Result: distance from the middle of the top.
        Raises ValueError if a coordinate is not finite.

        Range: none.
        Source: geometry.
        """
        return self._place(finite("x", x), finite("y", y)) + self.section.extent[0] - self._uphill_room

    def covers(self, x: Metre, y: Metre) -> Flags:
        """Whether points lie on the ground a terrace has changed.

        x, y: distance along the pass and to the right.
        Result: True between the toes of a terrace.
        Raises ValueError if a coordinate is not finite.

        Range: none.
        Source: geometry.
        """
        across = self.across(x, y)
        start, end = self.section.extent
        return (across > start) & (across < end)

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Heights the terraces add to the undisturbed land.

        x, y: distance along the pass and to the right; the two broadcast.
        Result: added height; zero between terraces.
        Raises ValueError if a coordinate is not finite.

        Range: none.
        Source: geometry.
        """
        return heights_in_blocks(self._heights, x, y)

    def smoothed(self, length: Metre, width: Metre) -> "Terraces":
        """The same terraces averaged over a contact.

        length, width: size of the contact along and across the pass.
        Result: the averages are exact for the tabled heights.
        Raises ValueError if a size is negative.

        Range: contacts shorter than the spacing.
        Source: a contact turned against straight contours averages over its two sides one after the other.
        """
        return Terraces(self.section, self.spacing, self.first, self.crossing_angle, length, width)

    def _place(self, x, y):
        """Distance downhill from where the table starts, within one spacing."""
        sine, cosine = math.sin(self.crossing_angle), math.cos(self.crossing_angle)
        offset = self.section.extent[0] - self._uphill_room + self.first * sine
        along = x * sine + y * cosine - offset
        # Ten times as fast as a remainder, and the same but for rounding.
        return along - self.spacing * np.floor(along / self.spacing)

    def _heights(self, x, y):
        # Straight over, the place across has no say: one answer does for all rows of a rank.
        straight = math.cos(self.crossing_angle) < 1e-12
        steps = self._place(x, 0.0 if straight else y) * ((len(self._table) - 1) / self.spacing)
        index = np.minimum(steps.astype(np.int64), len(self._table) - 2)
        low = self._table.take(index)
        return low + (steps - index) * (self._table.take(index + 1) - low)
