"""A drill's frame and the loads on it, at work and folded on the road, put together for the frame physics.

Signs are those of `downforce.physics.frame`: forces positive downward. Folded, every outer section with its
openers, seed and ballast stands over the hinge it folds on, its wheels are off the ground, and places along
the drill stay as in work. That is an assumption: a drill file knows no folded shape. The plates of tyres,
hubs and axle decide.
"""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.plausible import (
    frame_model,  # noqa: F401 (studies ask for them here)
    standing_load,
)
from downforce.physics.frame import FrameLoad, FrameModel, draft_moment
from downforce.physics.frame_supports import support_shares
from downforce.physics.kinds import Flags, Newton, Newtons


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


@dataclass(frozen=True)
class RoadLoads:
    """Loads of the hitch and the wheels that stay on the ground, hopper empty and full, and what they may be.

    supports: "hitch", then each wheel.
    load (2, supports): hopper empty and full; alike without a hopper.
    least, most (supports,): allowed.
    """

    section: str
    folded: bool
    supports: tuple[str, ...]
    load: Newtons
    least: Newtons
    most: Newtons

    @property
    def broken(self) -> Flags:
        """Whether a limit is broken, shape (2, supports)."""
        return (self.load > self.most) | (self.load < self.least)


def road_shares(drill, section, x, y):
    """Load on the hitch and on each road wheel of a newton at each point, shape (supports, points)."""
    hitched = drill.section_index(drill.hitch.section)
    hinges = [-np.inf, *(hinge.y for hinge in drill.hinges), np.inf]
    over = np.where(section < hitched, hinges[hitched], np.where(section > hitched, hinges[hitched + 1], y))
    wheels = [drill.wheels[i] for i in _road_wheels(drill)]
    places = [[getattr(wheel, name) for wheel in wheels] for name in ("x", "y", "stiffness")]
    holds = not drill.hitch.floats
    model = FrameModel(1, 0, [], np.zeros(len(wheels), dtype=int), *places, hitch_holds=holds)
    return support_shares(model) @ model.sinking(np.zeros(len(over), dtype=int), x, over).T


def road_loads(drill):
    """Hitch and wheels on a level road; None where the hitched section cannot stand on its own wheels.

    Nor is there an answer for a drill that the tractor carries on its links.
    """
    if drill.hitch.kind == "three-point":
        return None
    names, wheels = wheel_names(drill), _road_wheels(drill)
    try:
        load = [standing_load(drill, fill) for fill in (0.0, 1.0)]
        shares = road_shares(drill, load[0].section, load[0].x, load[0].y)
    except ValueError:
        return None
    return RoadLoads(
        section=drill.hitch.section,
        folded=bool(drill.hinges),
        supports=("hitch", *(names[i] for i in wheels)),
        load=np.array([shares @ each.force for each in load]),
        least=np.array([-drill.hitch.lift_limit, *np.zeros(len(wheels))]),
        most=np.array([drill.hitch.load_limit, *(drill.wheels[i].load_limit for i in wheels)]),
    )


def _road_wheels(drill):
    return [i for i, wheel in enumerate(drill.wheels) if wheel.section == drill.hitch.section]
