"""Whether what a field file says fits together, and whether a field fits a drill."""

from functools import partial

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.reading.check_kit import needs
from downforce.machine.units import METRIC

_length = partial(METRIC.both, "length")
_wide = partial(METRIC.both, "large length")
_force = partial(METRIC.both, "force")

_DEPTH_RATIO = 2.5


@needs("aim.least_load", "aim.gauge_wheel_load", "aim.heavy_load")
def loads_in_order(least, wanted, heavy):
    """The wanted load lies between the least and the heavy one."""
    if heavy <= least:
        yield (
            "aim.heavy_load",
            f"{_force(heavy)} is not above least_load, {_force(least)}.",
        )
    elif not least <= wanted <= heavy:
        yield (
            "aim.gauge_wheel_load",
            f"{_force(wanted)} is wanted, but it should lie between least_load, "
            f"{_force(least)}, and heavy_load, {_force(heavy)}.",
        )


@needs("tracks.positions", "tracks.rows")
def tracks_in_one_way(positions, rows):
    """Tracks are given by place or by row number."""
    if positions and rows:
        yield "tracks.rows", "positions and rows both say where the tracks are. Keep one of the two."
    if not positions and not rows:
        yield (
            "tracks",
            "nothing says where the tracks are. "
            'Add positions = ["-1.1 m", "1.1 m"] with width, or rows = [5, 6].',
        )
    for place, row in enumerate(rows):
        if row in rows[:place]:
            yield f"tracks.rows.{place}", f"row {row} is listed twice."


@needs("relief.roughness_class", "relief.density")
def relief_in_one_way(roughness_class, density):
    """Relief is given by its class or by a measured density."""
    if roughness_class and density:
        yield "relief.density", "roughness_class and density both describe the relief. Keep one of the two."
    if not roughness_class and not density:
        yield (
            "relief",
            'nothing says how rough the ground is. Add roughness_class = "C" or a measured density.',
        )


@needs("target_depth", "soil.reference_depth")
def depths_close_together(target, reference):
    """The soil was tried at about the depth that is wanted."""
    if not 1 / _DEPTH_RATIO <= target / reference <= _DEPTH_RATIO:
        yield (
            "soil.reference_depth",
            f"the soil load was found at {_length(reference)} and the seed goes to "
            f"{_length(target)}. So far apart one says little about the other: "
            f"keep them within a factor of {_DEPTH_RATIO:g}.",
        )


@needs("soil.reaction", "soil.spread")
def spread_below_the_mean(reaction, spread):
    """The soil's spread is smaller than its mean."""
    if spread >= reaction:
        yield (
            "soil.spread",
            f"a spread of {_force(spread)} is as large as the mean, {_force(reaction)}. "
            "The spread is one standard deviation, usually a tenth to a third of the mean.",
        )


@needs(
    "terrace.ridge_height",
    "terrace.front_slope",
    "terrace.back_slope",
    "terrace.spacing",
    "terrace.channel_width",
)
def terrace_that_fits(ridge_height, front_slope, back_slope, spacing, channel_width):
    """A terrace ends before the next begins."""
    length = ridge_height * (front_slope + back_slope) + channel_width
    if length > spacing:
        yield (
            "terrace.spacing",
            f"one terrace is {_wide(length)} long with these slopes, and the next begins after "
            f"{_wide(spacing)}.",
        )


@needs("terrace.land_slope", "terrace.back_slope", "terrace.cut_slope")
def terrace_faces_steeper_than_the_land(land_slope, back_slope, cut_slope):
    """The outer faces of a terrace meet the land again."""
    for name, run in (("back_slope", back_slope), ("cut_slope", cut_slope or 1.0)):
        if land_slope and run * land_slope >= 1:
            yield (
                f"terrace.{name}",
                f"a face of {run:g} for one metre of rise never meets land that falls by "
                f"{METRIC.show('share', land_slope)}. Give less than {1 / land_slope:.3g}.",
            )


@needs(
    "terrace.land_slope",
    "terrace.front_slope",
    "terrace.ridge_height",
    "terrace.channel_depth",
    "terrace.channel_width",
)
def terrace_channel_below_its_ridge(land_slope, front_slope, ridge_height, channel_depth, channel_width):
    """A channel has width only if it has depth, and the ridge stands above the old ground."""
    if channel_depth is None:
        return
    if channel_width and not channel_depth:
        yield (
            "terrace.channel_width",
            f"{_wide(channel_width)} of channel without depth. Give channel_depth, or take the width out.",
        )
    deepest = ridge_height + (land_slope or 0.0) * (front_slope * ridge_height + channel_width)
    if channel_depth >= deepest:
        yield (
            "terrace.channel_depth",
            f"a channel {_length(channel_depth)} below the old ground leaves the ridge under it. "
            f"Give less than {_length(deepest)}; cut and fill alike where the line is left out.",
        )


FIELD_CHECKS = (
    loads_in_order,
    tracks_in_one_way,
    relief_in_one_way,
    depths_close_together,
    spread_below_the_mean,
    terrace_that_fits,
    terrace_faces_steeper_than_the_land,
    terrace_channel_below_its_ridge,
)
"""Checks of a field, run on a file's values [-]."""


def check_pair(drill: Drill, field: Field) -> list[str]:
    """What does not fit between a drill and a field.

    Result: one sentence for each problem; empty when they fit.
    """
    return [*_tracks_under_the_drill(drill, field), *_depth_within_reach(drill, field)]


def _tracks_under_the_drill(drill, field):
    if field.tracks is None:
        return
    beyond = [row for row in field.tracks.rows if row > drill.row_count]
    if beyond:
        listed = ", ".join(str(row) for row in beyond)
        yield f'"{field.name}" has tracks in row {listed}, but "{drill.name}" has {drill.row_count} rows.'
    elif not field.rows_in_tracks(drill).any():
        yield (
            f'"{field.name}" has tracks, but no row of "{drill.name}" runs in them: it reaches '
            f"{_wide(drill.width / 2)} to each side. Check positions and width of the tracks."
        )


def _depth_within_reach(drill, field):
    deepest = drill.opener.disc_diameter / 3
    if field.target_depth > deepest:
        yield (
            f'"{field.name}" asks for {_length(field.target_depth)} of depth; a disc of '
            f"{_length(drill.opener.disc_diameter)} goes to about {_length(deepest)}."
        )
