"""A drill's frame and the loads on it, put together from the models for the frame physics.

Signs are those of `downforce.physics.frame.model`: forces positive downward.
"""

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.standing import frame_model, standing_load  # noqa: F401 (studies ask for them here)
from downforce.physics.frame import FrameLoad, draft_moment
from downforce.physics.kinds import Newton


def opener_load(
    drill: Drill, disc_load: Newton = 0.0, closing_load: Newton = 0.0, draft: Newton = 0.0
) -> FrameLoad:
    """What the ground gives the frame through the openers.

    disc_load (..., rows): soil reaction and gauge-wheel load of each opener, both at the disc.
    closing_load (..., rows): load of each closing wheel, at its own place behind the disc.
    draft (..., rows): draft of each opener; below the hitch it presses the front down. A coulter on the
        opener adds its own draft and its load, which go with it.
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


def joined(*loads) -> FrameLoad:
    """Several loads on one frame as one."""

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


def wheel_names(drill: Drill) -> list[str]:
    """A name for each frame wheel, as the pages use it.

    Result: such as "left wing wheel" or "centre right wheel", each one its own.
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
