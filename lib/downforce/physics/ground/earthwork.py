"""Balanced earthwork of a terrace: the channel gives as much soil as ridge and back slope take."""

import math

from downforce.physics.checks import positive
from downforce.physics.kinds import Metre, Ratio


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
