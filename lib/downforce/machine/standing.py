"""Whether a drill stands with its openers off the ground, and whether a field's terraces have room.

Here a drill becomes the frame and the weights of the frame physics, with the signs of
`downforce.physics.frame`: forces positive downward.
"""

import math
from functools import lru_cache, partial

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.units import METRIC
from downforce.physics.checks import GRAVITY, between
from downforce.physics.frame import FrameLoad, FrameModel, slope_loads
from downforce.physics.frame_supports import wheel_loads
from downforce.physics.ground_section import (
    TerraceSection,
    balanced_channel_depth,
    broad_base,
    grassed_back_slope,
    narrow_base,
)
from downforce.physics.kinds import NewtonMetre, Radian, Ratio


@lru_cache(64)
def frame_model(drill: Drill) -> FrameModel:
    """The drill's sections, hinges, wheels and hitch.

    Result: for the frame physics; the hitch pin is at x = 0, y = 0.
    """
    wheels = drill.wheels
    return FrameModel(
        section_count=len(drill.sections),
        hitched_section=drill.section_index(drill.hitch.section),
        hinge_y=np.array([hinge.y for hinge in drill.hinges]),
        wheel_section=np.array([drill.section_index(wheel.section) for wheel in wheels]),
        wheel_x=np.array([wheel.x for wheel in wheels]),
        wheel_y=np.array([wheel.y for wheel in wheels]),
        wheel_stiffness=np.array([wheel.stiffness for wheel in wheels]),
        hitch_x=drill.hitch.x,
        hitch_holds=not drill.hitch.floats,
    )


def standing_load(
    drill: Drill,
    hopper_fill: Ratio = 0.0,
    side_slope: Radian = 0.0,
    grade: Radian = 0.0,
    with_openers=True,
    fold_moment: NewtonMetre | None = None,
) -> FrameLoad:
    """Weights and fold moments that act on the frame whatever the openers do.

    hopper_fill: share of a full hopper.
    side_slope: positive when the right side is the lower one.
    grade: positive when the drill is pulled uphill.
    fold_moment (..., hinges): moment of the fold cylinders in place of the drill's own.
    Result: one force for each section, hopper, ballast and opener.
    """
    fill = between("hopper_fill", hopper_fill, 0.0, 1.0)
    masses = [(section.name, section.frame_mass, section.frame_centre) for section in drill.sections]
    masses += [(load.section, load.mass, load.centre) for load in drill.ballast]
    fixed = np.array([mass for _, mass, _ in masses])
    seed = np.array([load.mass for load in drill.hoppers])
    masses += [(load.section, load.mass, load.centre) for load in drill.hoppers]
    section = np.array([drill.section_index(name) for name, _, _ in masses])
    x, y, z = np.array([centre for _, _, centre in masses]).T
    mass = np.concatenate(
        [np.broadcast_to(fixed, (*fill.shape, fixed.size)), fill[..., None] * seed], axis=-1
    )
    if with_openers:
        opener = drill.opener
        section = np.concatenate([section, drill.row_section])
        x = np.concatenate([x, drill.row_x + opener.mass_centre[0] - opener.disc[0]])
        y = np.concatenate([y, drill.row_y])
        z = np.concatenate([z, np.full(drill.row_count, opener.mass_centre[1])])
        own = np.full((*fill.shape, drill.row_count), opener.mass)
        mass = np.concatenate([mass, own], axis=-1)
    slope = slope_loads(mass * GRAVITY, z, side_slope, grade, drill.hitch.height)
    roll = np.stack([slope.roll_moment[..., section == k].sum(-1) for k in range(len(drill.sections))], -1)
    return FrameLoad(
        section,
        x,
        y,
        slope.force,
        pitch_moment=slope.pitch_moment.sum(-1),
        roll_moment=roll,
        fold_moment=np.array([h.fold_moment for h in drill.hinges]) if fold_moment is None else fold_moment,
    )


def falls(drill):
    """Why a drill cannot stand by itself, level, its openers raised: (key path, sentence), or nothing.

    Looked at empty and, with hoppers, full; between these it stands where it stands at both.
    """
    for fill, words in ((0.0, "empty"), (1.0, "with full hoppers"))[: 1 + bool(drill.hoppers)]:
        standing = standing_load(drill, fill)
        found = wheel_loads(frame_model(drill), standing)
        if found.regime >= 2:
            loose = [place for place, moves in enumerate(found.loose_section) if moves]
            place, why = _why_it_falls(drill, standing, loose, words)
            yield f"sections.{place}", why
            return


def _why_it_falls(drill, standing, loose, words):
    wide = partial(METRIC.both, "large length")
    hitched = drill.section_index(drill.hitch.section)
    place = next((one for one in loose if _overhangs(drill, standing, one, hitched)), loose[0])
    section = drill.sections[place]
    x, y = (wide(_middle(standing, place, along)) for along in (standing.x, standing.y))
    wheels = [(wheel.x, wheel.y) for wheel in drill.wheels if wheel.section == section.name]
    stand = "are none"
    if wheels:
        back, right = (" and ".join(dict.fromkeys(map(wide, along))) for along in zip(*wheels, strict=True))
        stand = f"stand {back} behind the pin and {right} right of the middle"
    return place, (
        f'{words} and with its openers raised the drill cannot stand: what weighs on "{section.name}" stands '
        f"{x} behind the hitch pin and {y} right of the middle; its own wheels {stand}. Check the places of "
        f"wheels and masses{', and the fold moments' if drill.hinges else ''}. Left is negative."
    )


def _middle(standing, place, along):
    here = standing.section == place
    return float(standing.force[here] @ along[here] / standing.force[here].sum())


def _overhangs(drill, standing, place, hitched):
    """Whether a section's weight stands beside its wheels and the hinge toward the hitch."""
    held = [wheel.y for wheel in drill.wheels if wheel.section == drill.sections[place].name]
    if place != hitched:
        held.append(drill.hinges[place if place < hitched else place - 1].y)
    return not held or not min(held) <= _middle(standing, place, standing.y) <= max(held)


_SECTIONS = {"broad-base": broad_base, "grassed back slope": grassed_back_slope, "narrow base": narrow_base}


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
