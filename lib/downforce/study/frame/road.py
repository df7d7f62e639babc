"""What the wheels carry on the road: wings folded, or a frame of one piece with its openers raised.

Folded, every outer section with its openers, seed and ballast stands over the hinge it folds on, its wheels
are off the ground, and places along the drill stay as in work. That is an assumption: a drill file knows no
folded shape. The plates of tyres, hubs and axle decide.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics.frame import FrameModel, support_shares
from downforce.physics.kinds import Flags, Newtons
from downforce.study.frame.loads import standing_load, wheel_names


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
