"""Whether what a file says fits together: opener, spring and cylinder; a field, and a field with a drill."""

from functools import partial

import numpy as np

from downforce.machine.actuators import CYLINDER_KINDS
from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.reading.model_reader import checks_in, needs
from downforce.machine.units import METRIC

_length = partial(METRIC.both, "length")
_bore = partial(METRIC.both, "small length")

_ARM_PINS = ("pivot",)
_LINK_PINS = ("lower_frame_pin", "lower_opener_pin", "upper_frame_pin")
_ARM_LENGTHS = (0.2, 1.5)
_HAIR = 1e-6  # what two pins of whole digits may be off a length by
_DEEPEST_DISC = 0.15
_WHEEL_OFF_GROUND = 0.06
_CLOSED_OVER_STROKE = 0.05
_PLACES = 63  # between the stops, at which the sign of the leverage is looked at


@needs("opener.linkage", *(f"opener.{pin}" for pin in _ARM_PINS + _LINK_PINS))
def pins_of_the_linkage(linkage, *pins):
    """Each linkage has its own pins and not those of the other."""
    own, kind = (
        (_ARM_PINS, "a parallel linkage") if linkage == "trailing arm" else (_LINK_PINS, "a trailing arm")
    )
    for name, pin in zip(_ARM_PINS + _LINK_PINS, pins, strict=True):
        if name in own and pin is None:
            yield "opener", f"{name} is missing; a {linkage} needs it as [x rearward, z upward]."
        if name not in own and pin is not None:
            yield (
                f"opener.{name}",
                f'{name} belongs to {kind}, but linkage is "{linkage}". Remove one of them.',
            )


@needs("opener.draft_height", "opener.disc")
def line_of_draft(draft_height, disc):
    """No part of an opener pulls above its axle."""
    if draft_height is not None and draft_height > disc[1] + 1e-9:
        yield (
            "opener.draft_height",
            f"the line of draft is {_length(draft_height)} over the soil surface, above the axle at "
            f"{_length(disc[1])}. Allowed: {_length(-0.1)} to the axle.",
        )


@needs("opener.linkage", "spring.mount.moves_with", "cylinder.mount.moves_with")
def parts_that_pins_sit_on(linkage, *parts):
    """A trailing arm has an arm, a parallel linkage has links and an opener that stays level."""
    allowed = ("arm",) if linkage == "trailing arm" else ("link", "opener")
    for owner, part in zip(("spring", "cylinder"), parts, strict=True):
        if part not in allowed:
            words = " or ".join(f'"{word}"' for word in allowed)
            yield f"{owner}.mount.moves_with", f'"{part}" is no part of a {linkage}. Allowed: {words}.'


@needs("opener")
def shape_of_the_linkage(opener):
    """The arm has a length and a direction that such arms have."""
    if not _complete(opener):
        return
    arm = opener.linkage == "trailing arm"
    start, end = (opener.pivot, opener.disc) if arm else (opener.lower_frame_pin, opener.lower_opener_pin)
    names = "from pivot to disc" if arm else "from lower_frame_pin to lower_opener_pin"
    place = "opener.disc" if arm else "opener.lower_opener_pin"
    length = float(np.hypot(end[0] - start[0], end[1] - start[1]))
    if end[0] <= start[0]:
        yield place, f"the arm {names} points forward. x counts rearward, so the second x must be the larger."
    elif not _ARM_LENGTHS[0] - _HAIR <= length <= _ARM_LENGTHS[1] + _HAIR:
        least, most = (_length(limit) for limit in _ARM_LENGTHS)
        yield place, f"the arm {names} is {_length(length)} long. Allowed: {least} to {most}."
    else:
        yield from _travel_within_reach(opener, end[1] - start[1], length)
    if not arm and opener.upper_frame_pin[1] < opener.lower_frame_pin[1] + 0.05:
        yield (
            "opener.upper_frame_pin",
            "the upper pin must stand at least 50 mm (2.0 in) above the lower one. z counts upward.",
        )


def _travel_within_reach(opener, height, length):
    limits = {"travel_up": length - height, "travel_down": length + height}
    for name, limit in limits.items():
        travel = getattr(opener, name)
        if travel >= limit:
            yield (
                f"opener.{name}",
                f"{_length(travel)} is more than the arm can swing. "
                f"With these pins it ends before {_length(limit)}.",
            )


@needs("opener.travel_up", "opener.travel_down", "opener.raised_travel", "opener.transport_travel")
def heights_between_the_stops(travel_up, travel_down, raised, transport):
    """Raised and transport positions lie between the travel stops."""
    for name, travel in (("raised_travel", raised), ("transport_travel", transport)):
        if not -travel_down - 1e-9 <= travel <= travel_up + 1e-9:
            yield (
                f"opener.{name}",
                f"{_length(travel)} lies beyond the travel stops, which allow {_length(-travel_down)} to "
                f"{_length(travel_up)}. Up is positive, down is negative.",
            )


@needs("opener.disc", "opener.disc_diameter", "opener.gauge_wheel", "opener.gauge_wheel_diameter")
def heights_over_the_soil(disc, disc_diameter, wheel, wheel_diameter):
    """At working height the disc is in the soil and the gauge wheel is on it."""
    depth = disc_diameter / 2 - disc[1]
    if not 0 <= depth <= _DEEPEST_DISC:
        where = f"{_length(abs(depth))} {'below' if depth > 0 else 'above'} the soil surface"
        yield (
            "opener.disc",
            f"the lower edge of the disc stands {where} at working height. "
            f"Allowed: 0 mm to {_length(_DEEPEST_DISC)} below. z counts from the soil surface to the axle.",
        )
    gap = wheel[1] - wheel_diameter / 2
    if abs(gap) > _WHEEL_OFF_GROUND:
        where = f"{_length(abs(gap))} {'above' if gap > 0 else 'below'} the soil surface"
        yield (
            "opener.gauge_wheel",
            f"the lower edge of the gauge wheel stands {where} at working height, where it should touch. "
            "Check its z and its diameter.",
        )


@needs(
    "opener.linkage", "opener.pivot", "opener.disc", "opener.front_coulter.on", "opener.front_coulter.axle"
)
def coulter_ahead_of_the_disc(linkage, pivot, disc, on, axle):
    """A coulter cuts ahead of the opener, and one on its arm is behind the pivot."""
    if axle[0] >= disc[0]:
        yield (
            "opener.front_coulter.axle",
            f"the coulter stands {_length(axle[0] - disc[0])} behind the disc axle, and it should cut ahead "
            "of it. x counts rearward.",
        )
    elif on == "opener" and linkage == "trailing arm" and pivot is not None and axle[0] <= pivot[0]:
        yield (
            "opener.front_coulter.axle",
            "a coulter ahead of the pivot is not carried by the arm. "
            'Write on = "frame", or give an x behind the pivot.',
        )
    elif axle[1] <= 0:
        yield "opener.front_coulter.axle", "its axle is in the soil. z counts upward from the soil surface."


@needs("spring.coils.*.free_length", "spring.coils.*.solid_length")
def coils_that_can_be_pressed(free_lengths, solid_lengths):
    """A coil spring is shorter solid than free."""
    for place, (free, solid) in enumerate(zip(free_lengths, solid_lengths, strict=True)):
        if solid >= free:
            yield (
                f"spring.coils.{place}.solid_length",
                f"{_length(solid)} with the coils closed is not shorter than "
                f"{_length(free)} free. Were the two exchanged?",
            )


@needs("cylinder.bore", "cylinder.rod", "cylinder.kind")
def rod_that_fits_the_bore(bore, rod, kind):
    """The rod or plunger goes into the tube."""
    if rod >= bore:
        names = CYLINDER_KINDS[kind]
        noun = names.acting_name if names.acting == "rod" else names.other_name
        yield (
            "cylinder.rod",
            f"a {noun} of {_bore(rod)} does not fit into a bore of {_bore(bore)}. Were the two exchanged?",
        )


@needs("cylinder.kind", "cylinder.back_pressure")
def back_pressure_on_a_rod_side(kind, back_pressure):
    """Only a double-acting cylinder has oil on its rod side."""
    if back_pressure and kind != "double-acting":
        yield (
            "cylinder.back_pressure",
            f"{METRIC.both('pressure', back_pressure)} on the rod side of a {kind} type, which has no oil "
            'there. Leave it out, or write kind = "double-acting".',
        )


@needs("cylinder.stroke", "cylinder.closed_length", "cylinder.end_margin")
def stroke_that_fits_the_length(stroke, closed_length, end_margin):
    """A closed cylinder is longer than its stroke, and its margins leave some stroke."""
    least = stroke + _CLOSED_OVER_STROKE
    if closed_length < least:
        yield (
            "cylinder.closed_length",
            f"{_length(closed_length)} pin to pin is too short for a stroke of "
            f"{_length(stroke)}: the tube, piston and ends need {_length(least)} or more.",
        )
    if 2 * end_margin >= stroke:
        yield (
            "cylinder.end_margin",
            f"{_length(end_margin)} free at both ends leaves nothing of a stroke of {_length(stroke)}.",
        )


@needs("opener", "spring.mount", "spring")
def spring_at_work(opener, mount, spring):
    """The spring presses down at working height and its coils are not closed."""
    if not _movable(opener, mount) or any(coil.solid_length >= coil.free_length for coil in spring.coils):
        return
    yield from _push_down("spring", opener, spring)
    length = float(spring.length(opener, 0.0))
    solid = max(coil.solid_length for coil in spring.coils)
    left = float(spring.spring_length(length))
    if left <= solid:
        yield (
            "spring.mount",
            f"at working height the pins leave {_length(left)} for the coils, which are closed at "
            f"{_length(solid)}. Check the pins, fittings and setting.",
        )


@needs("opener", "cylinder.mount", "cylinder")
def cylinder_at_work(opener, mount, cylinder):
    """The cylinder presses down at working height and is neither bottomed nor fully out."""
    if not _movable(opener, mount) or cylinder.closed_length < cylinder.stroke + _CLOSED_OVER_STROKE:
        return
    yield from _push_down("cylinder", opener, cylinder)
    length = float(cylinder.length(opener, 0.0))
    if not cylinder.closed_length < length < cylinder.open_length:
        state = "bottomed" if length <= cylinder.closed_length else "fully out"
        yield (
            "cylinder.closed_length",
            f"at working height the pins are {_length(length)} apart and the cylinder is {state}: it works "
            f"between {_length(cylinder.closed_length)} and "
            f"{_length(cylinder.open_length)}. Check pins, closed length and stroke.",
        )


def _push_down(owner, opener, actuator):
    if float(actuator.length(opener, 0.0)) < 1e-6:
        yield f"{owner}.mount", "frame_pin and moving_pin are at the same place."
    elif float(actuator.leverage(opener, 0.0)) <= 0:
        yield (
            f"{owner}.mount",
            f"these pins make the {owner} push the disc up, not down. The frame pin must stand above the "
            "moving pin, and both behind the pivot. Were the two exchanged?",
        )
    else:
        yield from _over_centre(owner, opener, actuator)


def _over_centre(owner, opener, actuator):
    """Pins that press down at working height may stand in line with the pivot before a stop is met."""
    travel = np.linspace(opener.lowest_travel, opener.highest_travel, _PLACES)
    wrong = travel[actuator.leverage(opener, travel) <= 0]
    if wrong.size:
        first = float(wrong[np.argmin(np.abs(wrong))])
        where = f"{_length(abs(first))} {'above' if first > 0 else 'below'} working height"
        yield (
            f"{owner}.mount",
            f"from about {where} the {owner} goes over centre and pushes the disc up, not down. "
            "It must press down all the way from stop to stop. Check the pins and the travel.",
        )


def _complete(opener):
    pins = _ARM_PINS if opener.linkage == "trailing arm" else _LINK_PINS
    return all(getattr(opener, pin) is not None for pin in pins)


def _movable(opener, mount):
    """Whether the pins can be moved at all; if not, another check has said why."""
    allowed = ("arm",) if opener.linkage == "trailing arm" else ("link", "opener")
    return (
        _complete(opener)
        and mount.moves_with in allowed
        and not list(shape_of_the_linkage.__wrapped__(opener))
    )


OPENER_CHECKS = checks_in(globals())
"""Checks of one opener, run on a file's values [-]."""


_wide = partial(METRIC.both, "large length")
_force = partial(METRIC.both, "force")

_DEPTH_RATIO = 2.5


@needs("aim.least_load", "aim.gauge_wheel_load", "aim.heavy_load")
def loads_in_order(least, wanted, heavy):
    """The wanted load lies between the least and the heavy one."""
    if heavy <= least:
        yield ("aim.heavy_load", f"{_force(heavy)} is not above least_load, {_force(least)}.")
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
            f"the soil load was found at {_length(reference)} and the seed goes to {_length(target)}. So far "
            f"apart one says little about the other: keep them within a factor of {_DEPTH_RATIO:g}.",
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


FIELD_CHECKS = checks_in(globals())[len(OPENER_CHECKS) :]
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
