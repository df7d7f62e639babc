"""A drill's frame and the loads on it, put together from the models for the frame physics.

Signs are those of :mod:`downforce.physics.frame.model`: forces positive downward.
"""

from functools import lru_cache

import numpy as np

from downforce.physics.checks import GRAVITY, between
from downforce.physics.frame import FrameLoad, FrameModel, draft_moment, slope_loads


@lru_cache(64)
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


def opener_load(drill, disc_load=0.0, closing_load=0.0, draft=0.0):
    """What the ground gives the frame through the openers.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    disc_load : float or array (..., rows) [N]
        Soil reaction and gauge-wheel load of each opener, both at the disc.
    closing_load : float or array (..., rows) [N]
        Load of each closing wheel, at its own place behind the disc.
    draft : float or array (..., rows) [N]
        Draft of each opener; below the hitch it presses the front down. A coulter on the opener adds its own
        draft and its load, which go with it.

    Returns
    -------
    FrameLoad [-]
        Upward forces at discs and closing wheels, and the moment of the draft as a pair of forces.
    """
    opener, rows = drill.opener, drill.row_count
    disc, closing, pull = (
        np.broadcast_to(load, np.broadcast_shapes(np.shape(load), (rows,)))
        for load in (disc_load, closing_load, draft)
    )
    disc, closing, pull = np.broadcast_arrays(disc, closing, pull)
    behind = opener.closing_wheel[0] - opener.disc[0]
    # A disc that runs shallow stands a little higher; over the hitch's height that is left out.
    # A pair one metre long keeps the moment on the row's own section, so that it stops growing with the
    # rest of the row's load when the section rides on its openers.
    pair = draft_moment(pull, opener.draft_line(), drill.hitch.height)
    x = [drill.row_x, drill.row_x + behind, drill.row_x, drill.row_x + 1.0]
    force = [-disc, -closing, -pair, pair]
    if opener.carries_coulter:
        x, force = [*x, *_coulter_x(drill)], [*force, *_coulter_force(drill, pull)]
    return _row_load(drill, x, force)


def coulter_load(drill, soil, draft):
    """Vertical load of a row's coulter [N], on its opener at the opener's draft [N] or on the frame."""
    coulter = drill.opener.front_coulter
    if coulter is None or coulter.on == "opener":
        return drill.opener.coulter_load(draft)
    return coulter.reaction_ratio * coulter.draft_share * soil.draft_ratio * soil.target_reaction


def at_work(drill, soil, standing):
    """What stands on the frame at work before its openers press: with the coulters that the frame carries.

    Their soil load goes with the draft that the soil asks of the openers at their target depth, however deep
    these run; it stays as it is while the frame goes up.
    """
    coulter = drill.opener.front_coulter
    if coulter is None or coulter.on != "frame":
        return standing
    draft = np.asarray(soil.draft_ratio * soil.target_reaction)[..., None] * np.ones(drill.row_count)
    return joined(standing, _row_load(drill, _coulter_x(drill), _coulter_force(drill, draft)))


def _row_load(drill, x, force):
    """Forces of one size for each row, at several places of it."""
    return FrameLoad(
        np.tile(drill.row_section, len(x)),
        np.concatenate(x),
        np.tile(drill.row_y, len(x)),
        np.concatenate(force, axis=-1),
        roll_moment=np.zeros(len(drill.sections)),
        fold_moment=np.zeros(len(drill.hinges)),
    )


def _coulter_x(drill):
    """Places of a coulter's load and of the pair of forces that stands for the moment of its draft."""
    at = drill.row_x + drill.opener.front_coulter.axle[0] - drill.opener.disc[0]
    return at, at, at + 1.0


def _coulter_force(drill, draft):
    """Its load and that pair, at the draft of the openers."""
    coulter = drill.opener.front_coulter
    pull = coulter.draft_share * draft
    pair = draft_moment(pull, coulter.axle[1], drill.hitch.height)
    return -coulter.reaction_ratio * pull, -pair, pair


def side_by_side(loads):
    """Loads of several frames of one shape as one load with a case for each."""
    return FrameLoad(
        loads[0].section,
        *(np.stack([getattr(load, name) for load in loads]) for name in ("x", "y", "force")),
        *(
            np.stack([np.broadcast_to(getattr(load, name), getattr(loads[0], name).shape) for load in loads])
            for name in ("pitch_moment", "roll_moment", "fold_moment")
        ),
    )


def joined(*loads):
    """Several loads on one frame as one.

    Parameters
    ----------
    *loads : FrameLoad [-]
        Loads on the same frame.

    Returns
    -------
    FrameLoad [-]
        All forces side by side, moments added.
    """

    def beside(name):
        arrays = [getattr(load, name) for load in loads]
        cases = np.broadcast_shapes(*(array.shape[:-1] for array in arrays))
        return np.concatenate([np.broadcast_to(one, (*cases, one.shape[-1])) for one in arrays], axis=-1)

    return FrameLoad(
        *(beside(name) for name in ("section", "x", "y", "force")),
        **{
            name: sum(getattr(load, name) for load in loads)
            for name in ("pitch_moment", "roll_moment", "fold_moment")
        },
    )


def wheel_names(drill):
    """A name for each frame wheel, as the pages use it.

    Parameters
    ----------
    drill : Drill [-]
        The drill.

    Returns
    -------
    list of str [-]
        Such as "left wing wheel" or "centre right wheel", each one its own.
    """
    names = []
    for wheel in drill.wheels:
        beside = [other.y for other in drill.wheels if other.section == wheel.section]
        side = "" if len(beside) == 1 else (" left" if wheel.y < np.mean(beside) else " right")
        names.append(f"{wheel.section}{side} wheel")
    alike = {name: [i for i, other in enumerate(names) if other == name] for name in names}
    for name, places in alike.items():
        for number, place in enumerate(places, 1):
            names[place] = name if len(places) == 1 else f"{name} {number}"
    return names
