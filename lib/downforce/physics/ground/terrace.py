"""Terraces as cross-sections drawn out along their contour and crossed at any angle, and gullies."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.ground.parts import heights_in_blocks

RAINFALL_FACTOR_RANGE = (0.12, 0.24)
"""Usual rainfall factor x of the terrace spacing formula [m] for each per cent of slope (from memory)."""

SOIL_FACTOR_RANGE = (0.3, 1.2)
"""Usual soil and cover factor y of the terrace spacing formula [m] (from memory)."""


def vertical_interval(land_slope, rainfall_factor, soil_factor):
    """Drop of the land from one terrace to the next.

    Parameters
    ----------
    land_slope : float or array [-]
        Fall for one metre, 0.06 for six per cent.
    rainfall_factor : float or array [m]
        x of the formula, for each per cent of slope.
    soil_factor : float or array [m]
        y of the formula.

    Returns
    -------
    float or array [m]
        Vertical interval.

    Raises
    ------
    ValueError
        If the slope is not above zero or a factor is negative.

    Notes
    -----
    VI = x s + y, s in per cent.

    Range: x 0.12 to 0.24 m, y 0.3 to 1.2 m (from memory); see the module constants.

    Source: the terrace spacing formula of ASABE S268 and the NRCS Engineering Field Handbook, ch. 8 (form
    and one example seen in a secondary source).

    Examples
    --------
    >>> round(float(vertical_interval(0.06, 0.6 * 0.3048, 1.4 * 0.3048) / 0.3048), 6)
    5.0
    """
    slope = positive("land_slope", land_slope)
    return not_negative("rainfall_factor", rainfall_factor) * slope * 100 + not_negative(
        "soil_factor", soil_factor
    )


def horizontal_interval(land_slope, vertical_interval):
    """Distance along the ground plan from one terrace to the next.

    Parameters
    ----------
    land_slope : float or array [-]
        Fall for one metre.
    vertical_interval : float or array [m]
        Drop of the land from one terrace to the next.

    Returns
    -------
    float or array [m]
        Horizontal interval.

    Raises
    ------
    ValueError
        If an input is not above zero.

    Notes
    -----
    HI = 100 VI / s with s in per cent. Practice allows 10 % more for a better line.

    Range: none.

    Source: as the vertical interval; the 10 % from NRCS practice standard 600.

    Examples
    --------
    >>> round(float(horizontal_interval(0.06, 1.5)), 6)
    25.0
    """
    return positive("vertical_interval", vertical_interval) / positive("land_slope", land_slope)


def crest_gap(section_width, crest_radius):
    """How far the ends of a rigid section stand above the ground when its middle lies on a crest.

    Parameters
    ----------
    section_width : float or array [m]
        Width of the rigid section.
    crest_radius : float or array [m]
        Radius of the crest.

    Returns
    -------
    float or array [m]
        Gap at each end.

    Raises
    ------
    ValueError
        If an input is not above zero.

    Notes
    -----
    B^2 / (8 R), the sagitta of a flat arc.

    Range: crests much wider than the section; 1 % low at B = 0.4 R.

    Source: derivation, geometry of a circle.

    Examples
    --------
    >>> round(float(crest_gap(4.0, 15.0)), 3)
    0.133
    """
    return positive("section_width", section_width) ** 2 / (8 * positive("crest_radius", crest_radius))


@dataclass(frozen=True)
class TerraceSection:
    """Cross-section of a terrace, uphill to downhill: cut slope, channel, front slope, top, back slope.

    Slopes are rise over run against the horizontal. The corners of the top are rounded with the crest
    radius, the corners at the channel and at both toes with the toe radius; away from its corners the
    section is exactly as asked.

    Parameters
    ----------
    land_slope : float [-]
        Fall of the undisturbed land for one metre.
    front_slope : float [-]
        Rise from channel to top.
    back_slope : float [-]
        Fall from the top to the land below.
    cut_slope : float [-]
        Fall from the land above into the channel.
    ridge_height : float [m]
        Top above channel.
    channel_depth : float [m]
        Channel below the undisturbed land, at the channel's uphill edge.
    channel_width : float [m]
        Level channel bottom.
    top_width : float [m]
        Level top.
    crest_radius : float [m]
        Radius of the corners of the top.
    toe_radius : float [m]
        Radius of the other corners.

    Notes
    -----
    Range: farmed slopes no steeper than 5:1 (0.2) on land up to about 6 %; ridge height 0.3 to 0.6 m and
    top width 0.9 m typical (from memory).

    Source: soil conservation practice, see the three makers below.

    Examples
    --------
    >>> section = TerraceSection(0.04, 0.2, 0.2, 0.2, ridge_height=0.45, channel_depth=0.2)
    >>> round(float(section.heights_across(0.0)), 3)
    0.45
    """

    land_slope: float
    front_slope: float
    back_slope: float
    cut_slope: float
    ridge_height: float = 0.45
    channel_depth: float = 0.2
    channel_width: float = 0.0
    top_width: float = 0.9
    crest_radius: float = 3.0
    toe_radius: float = 2.0

    def __post_init__(self):
        not_negative("land_slope", self.land_slope)
        for name in ("front_slope", "back_slope", "cut_slope", "ridge_height"):
            positive(name, getattr(self, name))
        for name in ("channel_depth", "channel_width", "top_width", "crest_radius", "toe_radius"):
            not_negative(name, getattr(self, name))
        for name in ("back_slope", "cut_slope"):
            if getattr(self, name) <= self.land_slope:
                raise ValueError(
                    f"{name} must be steeper than the land, {self.land_slope:g}; got {getattr(self, name):g}. "
                    "Otherwise it never meets the land."
                )
        object.__setattr__(self, "_pieces", _rounded(*self._corners()))

    def _corners(self):
        """Corner places (0 at the middle of the top), heights above the channel bottom, and radii."""
        top_start, top_end = -self.top_width / 2, self.top_width / 2
        channel_end = top_start - self.ridge_height / self.front_slope
        channel_start = channel_end - self.channel_width
        cut_run = self.channel_depth / (self.cut_slope - self.land_slope)
        cut_start = channel_start - cut_run
        land_at_top_end = self.channel_depth - self.land_slope * (top_end - channel_start)
        fill = self.ridge_height - land_at_top_end
        if fill <= 0:
            raise ValueError(
                f"ridge_height {self.ridge_height:g} m leaves the top below the land; make the ridge higher "
                f"than {land_at_top_end:g} m or the channel shallower."
            )
        back_end = top_end + fill / (self.back_slope - self.land_slope)
        places = [cut_start, channel_start, channel_end, top_start, top_end, back_end]
        rise, drop = self.ridge_height, self.ridge_height - self.back_slope * (back_end - top_end)
        heights = [self.cut_slope * cut_run, 0.0, 0.0, rise, rise, drop]
        radii = [self.toe_radius] * 3 + [self.crest_radius] * 2 + [self.toe_radius]
        return places, heights, radii, self.land_slope

    @property
    def extent(self):
        """Where the section leaves and meets the undisturbed land.

        Returns
        -------
        tuple of two floats [m]
            Uphill and downhill end, counted from the middle of the top, downhill positive.

        Notes
        -----
        Range: none.

        Source: definition.
        """
        return float(self._pieces[0][0]), float(self._pieces[0][-1])

    def heights_across(self, across):
        """Heights above the channel bottom, land included.

        Parameters
        ----------
        across : float or array [m]
            Distance square to the contour from the middle of the top, downhill positive.

        Returns
        -------
        array [m]
            Height above the channel bottom.

        Raises
        ------
        ValueError
            If a distance is not finite.

        Notes
        -----
        Straight slopes joined by circular arcs that touch both.

        Range: none.

        Source: derivation, geometry.
        """
        return _evaluate(self._pieces, finite("across", across))

    def land_across(self, across):
        """Heights of the undisturbed land above the channel bottom.

        Parameters
        ----------
        across : float or array [m]
            Distance square to the contour from the middle of the top, downhill positive.

        Returns
        -------
        array [m]
            Height above the channel bottom.

        Raises
        ------
        ValueError
            If a distance is not finite.

        Notes
        -----
        Range: none.

        Source: definition.
        """
        channel_start = -self.top_width / 2 - self.ridge_height / self.front_slope - self.channel_width
        return self.channel_depth - self.land_slope * (finite("across", across) - channel_start)


def broad_base(land_slope=0.04, **changes):
    """Section of a broad-base terrace, farmed all over.

    Parameters
    ----------
    land_slope : float [-]
        Fall of the land; up to about 0.06.
    **changes : float [SI]
        Any measure of :class:`TerraceSection` to be set otherwise.

    Returns
    -------
    TerraceSection [-]
        All slopes 5:1.

    Raises
    ------
    ValueError
        If the measures do not fit together.

    Notes
    -----
    Range: land up to 6 %, farmed slopes no steeper than 5:1.

    Source: a soil conservation district's terrace page (slopes); ridge and top from memory; radii invented.
    """
    return TerraceSection(
        **({"front_slope": 0.2, "back_slope": 0.2, "cut_slope": 0.2, "land_slope": land_slope} | changes)
    )


def grassed_back_slope(land_slope=0.08, **changes):
    """Section of a terrace with a farmed front and a steep grassed back.

    Parameters
    ----------
    land_slope : float [-]
        Fall of the land, 0.06 to 0.15.
    **changes : float [SI]
        Any measure of :class:`TerraceSection` to be set otherwise.

    Returns
    -------
    TerraceSection [-]
        Front and cut 5:1, back 2:1.

    Raises
    ------
    ValueError
        If the measures do not fit together.

    Notes
    -----
    Range: land 6 to 15 %.

    Source: a soil conservation district's and an Illinois land guide's terrace pages; radii invented.
    """
    own = {"front_slope": 0.2, "back_slope": 0.5, "cut_slope": 0.2, "crest_radius": 1.5, "toe_radius": 1.0}
    return TerraceSection(**(own | {"land_slope": land_slope} | changes))


def narrow_base(land_slope=0.06, **changes):
    """Section of a narrow-base terrace, grassed on both sides of the top.

    Parameters
    ----------
    land_slope : float [-]
        Fall of the land.
    **changes : float [SI]
        Any measure of :class:`TerraceSection` to be set otherwise.

    Returns
    -------
    TerraceSection [-]
        Front and back 2:1, cut 5:1.

    Raises
    ------
    ValueError
        If the measures do not fit together.

    Notes
    -----
    Range: none given. It is not made to be drilled over; crossing it shows what runs out.

    Source: a soil conservation district's terrace page (slopes); radii and cut slope invented.
    """
    own = {"front_slope": 0.5, "back_slope": 0.5, "cut_slope": 0.2, "crest_radius": 1.5, "toe_radius": 0.6}
    return TerraceSection(**(own | {"channel_depth": 0.15, "land_slope": land_slope} | changes))


@dataclass(frozen=True)
class Terrace:
    """A terrace across or along the pass: what its section adds to the undisturbed land.

    Add a :class:`downforce.physics.ground.parts.Plane` for the land's own slope, see ``land``.

    Parameters
    ----------
    section : TerraceSection [-]
        The cross-section.
    position : float [m]
        Distance along the pass at which the middle of the top meets the line y = 0; for a terrace along the
        pass (angle 0) the distance to the right at which the top lies.
    crossing_angle : float [rad]
        Between the pass and the top: pi/2 straight over, going downhill; -pi/2 straight over, going uphill;
        0 along the top, downhill to the right.
    """

    section: Any
    position: float
    crossing_angle: float = math.pi / 2

    def __post_init__(self):
        finite("position", self.position)
        between("crossing_angle", self.crossing_angle, -math.pi / 2, math.pi / 2)

    def across(self, x, y):
        """Distance from the middle of the top, square to the contour, downhill positive.

        Parameters
        ----------
        x, y : float or array [m]
            Distance along the pass and to the right.

        Returns
        -------
        array [m]
            Distance across the terrace.

        Notes
        -----
        Range: none.

        Source: geometry.
        """
        return _across(self.crossing_angle, self.position, x, y)

    def heights(self, x, y):
        """Heights the terrace adds to the undisturbed land.

        Parameters
        ----------
        x, y : float or array [m]
            Distance along the pass and to the right; the two broadcast.

        Returns
        -------
        array [m]
            Added height; zero beyond the section.

        Raises
        ------
        ValueError
            If a coordinate is not finite.

        Notes
        -----
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
    def land(self):
        """Slope of the undisturbed land along and across the pass, for a Plane.

        Returns
        -------
        tuple of two floats [-]
            Rise for one metre forward and for one metre to the right.

        Notes
        -----
        Range: none.

        Source: geometry.
        """
        fall = self.section.land_slope
        return -fall * math.sin(self.crossing_angle), -fall * math.cos(self.crossing_angle)


@dataclass(frozen=True)
class Gully:
    """A washed channel across the pass.

    Parameters
    ----------
    position : float [m]
        Distance along the pass at which its middle meets the line y = 0 (angle 0: distance to the right).
    width : float [m]
        From edge to edge, square to the channel.
    depth : float [m]
        Depth in the middle.
    crossing_angle : float [rad]
        Between pass and channel, pi/2 straight over.
    shape : str [-]
        "vee" or "cosine".
    """

    position: float
    width: float
    depth: float
    crossing_angle: float = math.pi / 2
    shape: str = "cosine"

    def __post_init__(self):
        finite("position", self.position)
        positive("width", self.width)
        not_negative("depth", self.depth)
        between("crossing_angle", self.crossing_angle, -math.pi / 2, math.pi / 2)
        if self.shape not in ("vee", "cosine"):
            raise ValueError(f"shape must be 'vee' or 'cosine'; got {self.shape!r}.")

    def heights(self, x, y):
        """Heights the gully adds, never positive.

        Parameters
        ----------
        x, y : float or array [m]
            Distance along the pass and to the right; the two broadcast.

        Returns
        -------
        array [m]
            Added height.

        Raises
        ------
        ValueError
            If a coordinate is not finite.

        Notes
        -----
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
    """Distance square to a line that crosses the pass at an angle; position is along x, or along y at angle 0."""
    sine, cosine = math.sin(angle), math.cos(angle)
    offset = position * (sine if angle else cosine)
    return np.asarray(x * sine + y * cosine - offset)


def _rounded(places, heights, radii, land_slope):
    """Pieces of a section: starts, and for each piece a point, a slope, and an arc's centre and radius."""
    slopes = [-land_slope] + [
        (h1 - h0) / (s1 - s0) if s1 > s0 else None
        for s0, s1, h0, h1 in zip(places, places[1:], heights, heights[1:], strict=False)
    ]
    slopes.append(-land_slope)
    corners = _merged(places, heights, radii, slopes)
    tangents = [
        radius * math.tan(abs(math.atan(after) - math.atan(before)) / 2)
        for _, _, radius, before, after in corners
    ]
    for index, ((s0, h0, *_), (s1, h1, *_)) in enumerate(zip(corners, corners[1:], strict=False)):
        length, needed = math.hypot(s1 - s0, h1 - h0), tangents[index] + tangents[index + 1]
        if needed > length * (1 + 1e-12):
            raise ValueError(
                f"crest_radius or toe_radius is too large: the slope of {length:.3g} m that starts {s0:.3g} m "
                f"from the middle of the top has no room for its two rounded corners, which need {needed:.3g} m. "
                "Take smaller radii or a longer slope."
            )
    starts, lines, arcs = [], [], []
    for (s, h, radius, before, after), tangent in zip(corners, tangents, strict=True):
        first, second = math.atan(before), math.atan(after)
        turn = math.copysign(1.0, second - first)
        arc_start, arc_end = s - tangent * math.cos(first), s + tangent * math.cos(second)
        # The centre lies above the corner of a hollow and below the corner of a crest.
        centre = (
            arc_start - turn * radius * math.sin(first),
            h - tangent * math.sin(first) + turn * radius * math.cos(first),
        )
        starts += [arc_start, arc_end]
        lines += [(s, h, before), (s, h, after)]
        arcs += [(*centre, radius, -turn), (0.0, 0.0, 0.0, 0.0)]
    lines, arcs = np.array(lines), np.array(arcs)
    return np.array(starts), np.vstack((lines[:1], lines)), np.vstack((np.zeros((1, 4)), arcs))


def _merged(places, heights, radii, slopes):
    """Corners with the slope before and after each; a piece of no length makes one corner of two."""
    corners, before = [], slopes[0]
    for place, height, radius, after in zip(places, heights, radii, slopes[1:], strict=True):
        if after is None:
            continue
        corners.append((place, height, radius, before, after))
        before = after
    return corners


def _evaluate(pieces, across):
    starts, lines, arcs = pieces
    index = np.searchsorted(starts, across, side="right")
    s, h, slope = np.moveaxis(lines[index], -1, 0)
    centre, middle, radius, side = np.moveaxis(arcs[index], -1, 0)
    straight = h + slope * (across - s)
    round_part = middle + side * np.sqrt(np.maximum(radius**2 - (across - centre) ** 2, 0.0))
    return np.where(side == 0, straight, round_part)
