"""A drill's frame for the frame physics, its weights, and whether it stands with its openers off the ground.

Signs are those of :mod:`downforce.physics.frame.model`: forces positive downward.
"""

import numpy as np

from downforce.machine.units import METRIC
from downforce.physics.checks import GRAVITY, between
from downforce.physics.frame import FrameLoad, FrameModel, slope_loads, wheel_loads


def frame_model(drill):
    """The drill's sections, hinges, wheels and hitch.

    Parameters
    ----------
    drill : Drill [-]
        The drill.

    Returns
    -------
    FrameModel [-]
        For the frame physics; the hitch pin is at x = 0, y = 0.
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


def standing_load(drill, hopper_fill=0.0, side_slope=0.0, grade=0.0, with_openers=True, fold_moment=None):
    """Weights and fold moments that act on the frame whatever the openers do.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    hopper_fill : float or array (...) [-]
        Share of a full hopper.
    side_slope : float [rad]
        Positive when the right side is the lower one.
    grade : float [rad]
        Positive when the drill is pulled uphill.
    with_openers : bool [-]
        Whether the openers hang on the frame with their own weight.
    fold_moment : float or array (..., hinges), optional [N m]
        Moment of the fold cylinders in place of the drill's own.

    Returns
    -------
    FrameLoad [-]
        One force for each section, hopper, ballast and opener.

    Raises
    ------
    ValueError
        If the hopper fill is not between 0 and 1, or a slope is steeper than 30 degrees.
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
            yield f"sections.{loose[0]}", _why_it_falls(drill, standing, loose, words)
            return


def _why_it_falls(drill, standing, loose, words):
    here = np.isin(standing.section, loose)
    force, wide = standing.force[here], lambda value: METRIC.both("large length", value)
    x, y = (wide(float(force @ place[here] / force.sum())) for place in (standing.x, standing.y))
    names = [drill.sections[place].name for place in loose]
    wheels = [(wheel.x, wheel.y) for wheel in drill.wheels if wheel.section in names]
    back, right = (
        f"{wide(min(along))} to {wide(max(along))}" if wheels else "" for along in zip(*wheels, strict=True)
    )
    named = f'"{names[0]}"' + (f" and {len(names) - 1} beside it" if names[1:] else "")
    return (
        f"{words} and with its openers raised the drill cannot stand: {named} would "
        f"{'fold or ' if drill.hinges else ''}tip. What weighs there stands {x} behind the hitch pin and {y} "
        f"right of the middle; its wheels stand {back} behind the pin and {right} right of the middle. Check "
        f"the places of wheels and masses{', and the fold moments' if drill.hinges else ''}. "
        "Left is negative."
    )
