"""The cross-section of a field's terraces, and whether there is room for it."""

import math

from downforce.machine.units import METRIC
from downforce.physics.ground import (
    TerraceSection,
    balanced_channel_depth,
    broad_base,
    grassed_back_slope,
    narrow_base,
)

_SECTIONS = {
    "broad-base": broad_base,
    "grassed back slope": grassed_back_slope,
    "narrow base": narrow_base,
}


def terrace_section(terrace):
    """Cross-section of a field file's terrace, usual or balanced where the file leaves a measure out.

    The crest arc rises to the ridge height; where the radii would round away the faces they are as large as
    there is room for. Without a channel depth cut and fill are the same.
    """
    usual = _SECTIONS[terrace.kind]()
    front, back = 1 / terrace.front_slope, 1 / terrace.back_slope
    cut = 1 / terrace.cut_slope if terrace.cut_slope else min(usual.cut_slope, front)
    land = terrace.land_slope
    if land is None:
        land = min(usual.land_slope, min(front, back, cut) / 2)
    front_angle, turn = math.atan(front), math.atan(front) + math.atan(back)
    tangent = math.tan(turn / 2)
    # What a crest of radius 1 m takes off the corner it rounds.
    cut_off = tangent * math.sin(front_angle) - (1 - math.cos(front_angle))
    # The steeper side is the shorter one; its half of the crest arc must leave room for the toe.
    steeper = math.sin(math.atan(max(front, back)))
    radius = min(terrace.crest_radius, 0.85 * terrace.ridge_height / (steeper * tangent - 0.85 * cut_off))
    toe = terrace.toe_radius
    while True:
        measures = {
            "land_slope": land,
            "front_slope": front,
            "back_slope": back,
            "cut_slope": cut,
            "ridge_height": terrace.ridge_height + radius * cut_off,
            "channel_width": terrace.channel_width,
            "top_width": 0.0,
            "crest_radius": radius,
            "toe_radius": toe,
        }
        depth = terrace.channel_depth
        try:
            if depth is None:
                depth = balanced_channel_depth(**measures)
            return TerraceSection(**measures, channel_depth=depth)
        except ValueError:
            if toe < 1e-3:
                raise
            toe, radius = toe / 2, radius * 0.95


def crowded(field):
    """Why a field's terraces cannot be built as they are described: (key path, sentence), or nothing."""
    if field.terrace is None:
        return
    try:
        start, end = terrace_section(field.terrace).extent
    except ValueError as problem:
        yield "terrace", str(problem)
        return
    if end - start > field.terrace.spacing:
        built, apart = (METRIC.both("large length", each) for each in (end - start, field.terrace.spacing))
        yield (
            "terrace.spacing",
            f"with its channel and its round corners one terrace is {built} wide, and the next begins after "
            f"{apart}. Space them wider, or give a lower ridge, steeper slopes or a smaller crest_radius.",
        )
