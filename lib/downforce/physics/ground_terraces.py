"""Terraces as cross-sections drawn out along their contour and crossed at any angle, and gullies.

In a field of them one cross-section is repeated at its spacing, quick to ask at many points.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.ground_parts import heights_in_blocks, moving_average
from downforce.physics.kinds import Flags, Metre, Metres, Radian, Ratio


def vertical_interval(land_slope: Ratio, rainfall_factor: Metre, soil_factor: Metre) -> Metre:
    """Drop of the land from one terrace to the next.

    land_slope: fall for one metre, 0.06 for six per cent.
    rainfall_factor: x of the formula, for each per cent of slope.
    soil_factor: y of the formula.
    Raises ValueError if the slope is not above zero or a factor is negative.

    VI = x s + y, s in per cent.
    Range: x 0.12 to 0.24 m, y 0.3 to 1.2 m (from memory).
    Source: [S268] and [EFH]; form and one example as in [VIC].

    >>> round(float(vertical_interval(0.06, 0.6 * 0.3048, 1.4 * 0.3048) / 0.3048), 6)
    5.0
    """
    slope = positive("land_slope", land_slope)
    return not_negative("rainfall_factor", rainfall_factor) * slope * 100 + not_negative(
        "soil_factor", soil_factor
    )


def horizontal_interval(land_slope: Ratio, vertical_interval: Metre) -> Metre:
    """Distance along the ground plan from one terrace to the next.

    land_slope: fall for one metre.
    vertical_interval: drop of the land from one terrace to the next.
    Raises ValueError if an input is not above zero.

    HI = 100 VI / s with s in per cent. Practice allows 10 % more for a better line.
    Range: none.
    Source: as the vertical interval; the 10 % from [CPS600].

    >>> round(float(horizontal_interval(0.06, 1.5)), 6)
    25.0
    """
    return positive("vertical_interval", vertical_interval) / positive("land_slope", land_slope)


def crest_gap(section_width: Metre, crest_radius: Metre) -> Metre:
    """How far the ends of a rigid section stand above the ground when its middle lies on a crest.

    Raises ValueError if an input is not above zero.

    B^2 / (8 R), the sagitta of a flat arc.
    Range: crests much wider than the section; 1 % low at B = 0.4 R.
    Source: derivation, geometry of a circle.

    >>> round(float(crest_gap(4.0, 15.0)), 3)
    0.133
    """
    return positive("section_width", section_width) ** 2 / (8 * positive("crest_radius", crest_radius))


@dataclass(frozen=True)
class Terrace:
    """A terrace across or along the pass: what its section adds to the undisturbed land.

    Add a `downforce.physics.ground_parts.Plane` for the land's own slope, see ``land``.

    position: distance along the pass at which the middle of the top meets the line y = 0; for a terrace along
        the pass (angle 0) the distance to the right at which the top lies.
    crossing_angle: between the pass and the top: pi/2 straight over, going downhill; -pi/2 straight over,
        going uphill; 0 along the top, downhill to the right.
    """

    section: Any
    position: Metre
    crossing_angle: Radian = math.pi / 2

    def __post_init__(self):
        finite("position", self.position)
        between("crossing_angle", self.crossing_angle, -math.pi / 2, math.pi / 2)

    def across(self, x: Metre, y: Metre) -> Metres:
        """Distance from the middle of the top, square to the contour, downhill positive.

        x, y: distance along the pass and to the right.

        Range: none.
        Source: geometry.
        """
        return _across(self.crossing_angle, self.position, x, y)

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Heights the terrace adds to the undisturbed land.

        x, y: distance along the pass and to the right; the two broadcast.
        Result: added height; zero beyond the section.
        Raises ValueError if a coordinate is not finite.

        Range: none.
        Source: geometry.
        """
        return heights_in_blocks(self._heights, x, y)

    def _heights(self, x, y):
        across = self.across(x, y)
        start, end = self.section.extent
        added = np.zeros(np.shape(across))
        touched = (across > start) & (across < end)
        places = across[touched]
        added[touched] = self.section.heights_across(places) - self.section.land_across(places)
        return added

    @property
    def land(self) -> tuple[Ratio, Ratio]:
        """Slope of the undisturbed land along and across the pass, for a Plane.

        Result: rise for one metre forward and for one metre to the right.

        Range: none.
        Source: geometry.
        """
        fall = self.section.land_slope
        return -fall * math.sin(self.crossing_angle), -fall * math.cos(self.crossing_angle)


@dataclass(frozen=True)
class Gully:
    """A washed channel across the pass.

    position: distance along the pass at which its middle meets the line y = 0 (angle 0: distance to the
        right).
    width: from edge to edge, square to the channel.
    crossing_angle: between pass and channel, pi/2 straight over.
    shape: "vee" or "cosine".
    """

    position: Metre
    width: Metre
    depth: Metre
    crossing_angle: Radian = math.pi / 2
    shape: str = "cosine"

    def __post_init__(self):
        finite("position", self.position)
        positive("width", self.width)
        not_negative("depth", self.depth)
        between("crossing_angle", self.crossing_angle, -math.pi / 2, math.pi / 2)
        if self.shape not in ("vee", "cosine"):
            raise ValueError(f"shape must be 'vee' or 'cosine'; got {self.shape!r}.")

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Heights the gully adds, never positive.

        x, y: distance along the pass and to the right; the two broadcast.
        Raises ValueError if a coordinate is not finite.

        With u = 2 |distance| / width up to 1: vee -depth (1 - u), cosine -depth (1 + cos(pi u)) / 2.
        Range: none.
        Source: geometry, the shapes are invented.
        """
        return heights_in_blocks(self._heights, x, y)

    def _heights(self, x, y):
        share = np.minimum(np.abs(_across(self.crossing_angle, self.position, x, y)) * 2 / self.width, 1.0)
        if self.shape == "vee":
            return -self.depth * (1 - share)
        return -self.depth * (1 + np.cos(math.pi * share)) / 2


def _across(angle, position, x, y):
    """Distance square to a line that crosses the pass; position is along x, or along y at angle 0."""
    sine, cosine = math.sin(angle), math.cos(angle)
    offset = position * (sine if angle else cosine)
    return np.asarray(x * sine + y * cosine - offset)


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
