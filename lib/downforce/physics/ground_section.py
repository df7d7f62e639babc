"""Cross-section of a terrace and the earth moved for it.

Straight slopes of the steepness asked for are joined by round corners; in balanced earthwork the channel
gives as much soil as ridge and back slope take.
"""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import Amount, Metre, Metres, Ratio


@dataclass(frozen=True)
class TerraceSection:
    """Cross-section of a terrace, uphill to downhill: cut slope, channel, front slope, top, back slope.

    Slopes are rise over run against the horizontal. The corners of the top are rounded with the crest
    radius, the corners at the channel and at both toes with the toe radius; away from its corners the
    section is exactly as asked. A top without width is a rounded corner and ends below the ridge height.

    land_slope: fall of the undisturbed land for one metre.
    front_slope: rise from channel to top.
    back_slope: fall from the top to the land below.
    cut_slope: fall from the land above into the channel.
    ridge_height: top above channel.
    channel_depth: channel below the undisturbed land, at the channel's uphill edge.
    channel_width: level channel bottom.
    top_width: level top.

    Range: farmed slopes no steeper than 5:1 (0.2) on land up to about 6 %; ridge height 0.3 to 0.6 m and top
    width 0.9 m typical (from memory).
    Source: soil conservation practice, see the three makers below.

    >>> section = TerraceSection(0.04, 0.2, 0.2, 0.2, ridge_height=0.45, channel_depth=0.2)
    >>> round(float(section.heights_across(0.0)), 3)
    0.45
    """

    land_slope: Ratio
    front_slope: Ratio
    back_slope: Ratio
    cut_slope: Ratio
    ridge_height: Metre = 0.45
    channel_depth: Metre = 0.2
    channel_width: Metre = 0.0
    top_width: Metre = 0.9
    crest_radius: Metre = 3.0
    toe_radius: Metre = 2.0

    def __post_init__(self):
        not_negative("land_slope", self.land_slope)
        for name in ("front_slope", "back_slope", "cut_slope", "ridge_height"):
            positive(name, getattr(self, name))
        for name in ("channel_depth", "channel_width", "top_width", "crest_radius", "toe_radius"):
            not_negative(name, getattr(self, name))
        for name in ("back_slope", "cut_slope"):
            if getattr(self, name) <= self.land_slope:
                raise ValueError(
                    f"{name} must be steeper than the land, {self.land_slope:g}; got "
                    f"{getattr(self, name):g}, which never meets the land."
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
    def extent(self) -> tuple[Metre, Metre]:
        """Where the section leaves and meets the undisturbed land.

        Result: uphill and downhill end, counted from the middle of the top, downhill positive.

        Range: none.
        Source: definition.
        """
        return float(self._pieces[0][0]), float(self._pieces[0][-1])  # type: ignore[attr-defined]

    def heights_across(self, across: Metre) -> Metres:
        """Heights above the channel bottom, land included.

        across: distance square to the contour from the middle of the top, downhill positive.
        Raises ValueError if a distance is not finite.

        Straight slopes joined by circular arcs that touch both.
        Range: none.
        Source: derivation, geometry.
        """
        return _evaluate(self._pieces, finite("across", across))  # type: ignore[attr-defined]

    def land_across(self, across: Metre) -> Metres:
        """Heights of the undisturbed land above the channel bottom.

        across: distance square to the contour from the middle of the top, downhill positive.
        Raises ValueError if a distance is not finite.

        Range: none.
        Source: definition.
        """
        channel_start = -self.top_width / 2 - self.ridge_height / self.front_slope - self.channel_width
        return self.channel_depth - self.land_slope * (finite("across", across) - channel_start)


def broad_base(land_slope: Ratio = 0.04, **changes: Amount) -> TerraceSection:
    """Section of a broad-base terrace, farmed all over.

    land_slope: fall of the land; up to about 0.06.
    changes [SI]: any measure of `TerraceSection` to be set otherwise.
    Result: all slopes 5:1.
    Raises ValueError if the measures do not fit together.

    Range: land up to 6 %, farmed slopes no steeper than 5:1.
    Source: [SWCD] (slopes); ridge and top from memory; radii invented.
    """
    return TerraceSection(
        **({"front_slope": 0.2, "back_slope": 0.2, "cut_slope": 0.2, "land_slope": land_slope} | changes)
    )


def grassed_back_slope(land_slope: Ratio = 0.08, **changes: Amount) -> TerraceSection:
    """Section of a terrace with a farmed front and a steep grassed back.

    land_slope: fall of the land, 0.06 to 0.15.
    changes [SI]: any measure of `TerraceSection` to be set otherwise.
    Result: front and cut 5:1, back 2:1.
    Raises ValueError if the measures do not fit together.

    Range: land 6 to 15 %.
    Source: [SWCD], [SIXTY]; radii invented.
    """
    own = {"front_slope": 0.2, "back_slope": 0.5, "cut_slope": 0.2, "crest_radius": 1.5, "toe_radius": 1.0}
    return TerraceSection(**(own | {"land_slope": land_slope} | changes))


def narrow_base(land_slope: Ratio = 0.06, **changes: Amount) -> TerraceSection:
    """Section of a narrow-base terrace, grassed on both sides of the top.

    changes [SI]: any measure of `TerraceSection` to be set otherwise.
    Result: front and back 2:1, cut 5:1.
    Raises ValueError if the measures do not fit together.

    Range: none given. It is not made to be drilled over; crossing it shows what runs out.
    Source: [SWCD], [JOB] (slopes); radii and cut slope invented.
    """
    own = {"front_slope": 0.5, "back_slope": 0.5, "cut_slope": 0.2, "crest_radius": 1.5, "toe_radius": 0.6}
    return TerraceSection(**(own | {"channel_depth": 0.15, "land_slope": land_slope} | changes))


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
    for index, ((s0, h0, *_), (s1, h1, *_)) in enumerate(itertools.pairwise(corners)):
        length, needed = math.hypot(s1 - s0, h1 - h0), tangents[index] + tangents[index + 1]
        if needed > length * (1 + 1e-12):
            raise ValueError(
                f"crest_radius or toe_radius is too large: the slope of {length:.3g} m that starts {s0:.3g} "
                "m from the middle of the top has no room for its two round corners, which need "
                f"{needed:.3g} m. Take smaller radii or a longer slope."
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


def balanced_channel_depth(
    land_slope: Ratio,
    front_slope: Ratio,
    back_slope: Ratio,
    cut_slope: Ratio,
    ridge_height: Metre,
    channel_width: Metre = 0.0,
    top_width: Metre = 0.0,
    crest_radius: Metre = 0.0,
    toe_radius: Metre = 0.0,
) -> Metre:
    """Depth of channel at which a terrace with given faces fills its ridge with its own cut.

    Result: channel below the undisturbed land at its uphill edge; 0 where even without a channel the corners'
        rounding takes more than the fill.
    Raises ValueError if back or cut slope are not steeper than the land, or round toes fill more than any cut
        gives.

    Fill less cut is h^2 / (2 a) + h T - c L + s L^2 / 2 + (h - c + s L)^2 / (2 (b - s)) - c^2 / (2 (k - s)) +
    K with L = B + h / a + T from the channel's uphill edge to the downhill edge of the top; K is what round
    corners add in hollows and take off crests, R^2 (tan(t / 2) - t / 2) for a turn t. It falls with c, and
    the depth is where it is zero.
    Range: as TerraceSection.
    Source: derivation, areas of straight faces and of the gap between a corner and its arc.

    >>> round(balanced_channel_depth(0.02, 0.36 / 4.3, 0.309 / 4.3, 0.309 / 4.3, 0.36), 3)
    0.223
    """
    rise, fall = (
        positive("back_slope", back_slope) - land_slope,
        positive("cut_slope", cut_slope) - land_slope,
    )
    positive("back_slope less land_slope", rise)
    positive("cut_slope less land_slope", fall)
    length = channel_width + ridge_height / positive("front_slope", front_slope) + top_width
    top = ridge_height + land_slope * length
    square = (1 / rise - 1 / fall) / 2
    line = length + top / rise
    rest = (
        ridge_height**2 / (2 * front_slope)
        + ridge_height * top_width
        + land_slope * length**2 / 2
        + top**2 / (2 * rise)
        + toe_radius**2 * _hollows(land_slope, front_slope, back_slope, cut_slope, channel_width)
        - crest_radius**2 * _crests(front_slope, back_slope, top_width)
    )
    if rest <= 0:
        return 0.0
    under_root = line**2 - 4 * square * rest
    if under_root < 0:
        raise ValueError(
            f"toe_radius {toe_radius:g} m fills more than a channel beside a ridge of {ridge_height:.3g} m "
            "gives; take a smaller one."
        )
    return float(2 * rest / (line + math.sqrt(under_root)))


def _hollows(land, front, back, cut, channel_width):
    """What arcs of radius 1 fill at the toes, less what the one at the upper edge takes off."""
    turns = (math.atan(cut), math.atan(front))
    channel = sum(map(_gap, turns)) if channel_width else _gap(sum(turns))
    lower, upper = (_gap(math.atan(slope) - math.atan(land)) for slope in (back, cut))
    return channel + lower - upper


def _crests(front, back, top_width):
    turns = (math.atan(front), math.atan(back))
    return sum(map(_gap, turns)) if top_width else _gap(sum(turns))


def _gap(turn):
    """Area between a corner and the arc of radius 1 that rounds it."""
    return math.tan(turn / 2) - turn / 2
