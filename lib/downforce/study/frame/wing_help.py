"""Wing against centre: what fold cylinders, the place of the wing's weight and separate pressures do."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Soil
from downforce.physics.checks import between, finite
from downforce.physics.frame import wheel_loads
from downforce.physics.kinds import Newton, NewtonMetre, NewtonMetres, Newtons, Pascal, Pascals, Ratio
from downforce.study.frame.loads import frame_model, standing_load
from downforce.study.frame_lift import (
    CANNOT_STAND,
    LiftLimits,
    disc_load_for,
    lift_pressure,
    load_with_headroom,
    pressure_for_frame_load,
)


@dataclass(frozen=True)
class FoldSweep:
    """Lift of each section over the moment of the fold cylinders.

    fold_moment (moments,): at every hinge, pressing the outer section down; only those at which the frame
        stands.
    limits: shape (moments,).
    best_moment: the moment at which the first section to lift does so latest; the smallest of equals.
    """

    fold_moment: NewtonMetres
    limits: LiftLimits
    best_moment: NewtonMetre


@dataclass(frozen=True)
class SeparatePressures:
    """What each section could have with a pressure of its own.

    sections: names, left to right.
    headroom_share: share of the available weight kept in hand.
    common_load: gauge-wheel load there; zero where the disc is not at depth.
    pressure (sections,): highest setting of each section, the weaker ones held at theirs.
    gauge_wheel_load (sections,): gauge-wheel load there.
    """

    sections: tuple[str, ...]
    headroom_share: Ratio
    common_pressure: Pascal
    common_load: Newton
    pressure: Pascals
    gauge_wheel_load: Newtons

    @property
    def gain(self) -> Newtons:
        """Gauge-wheel load each section gains by a pressure of its own, shape (sections,)."""
        return self.gauge_wheel_load - self.common_load


def fold_sweep(drill: Drill, soil: Soil, moments: NewtonMetres, hopper_fill: Ratio = 0.0) -> FoldSweep:
    """Lift pressure of each section over the moment of the fold cylinders.

    moments (moments,): moment at every hinge, pressing the outer section down.

    What the wing gains the centre pays: the moment acts on both sides of the hinge. A moment that lifts the
    section between the wings off its wheels before any opener pushes is left out.
    """
    if not drill.hinges:
        raise ValueError(f"{drill.name} is one rigid frame: it has no wings to press down.")
    moment = _that_stand(drill, np.atleast_1d(finite("moments", moments)), hopper_fill)
    limits = lift_pressure(drill, soil, hopper_fill, fold_moment=moment)
    lowest = np.nan_to_num(limits.lowest, nan=-1.0)
    best = float(moment[np.argmax(lowest >= lowest.max() - 1.0)])
    return FoldSweep(moment, limits, best)


def _that_stand(drill, moment, hopper_fill):
    folded = np.repeat(moment[:, None], len(drill.hinges), axis=-1)
    standing = standing_load(drill, np.full(moment.shape, hopper_fill), fold_moment=folded)
    stands = wheel_loads(frame_model(drill), standing).regime < 2
    if not stands.any():
        raise ValueError(CANNOT_STAND)
    return moment[stands]


def with_wing_weight_at(drill: Drill, share: Ratio) -> Drill:
    """The same drill with the frame weight of its outermost sections moved across.

    share: place of the weight as a share of the section's working width, from its hinge outward.
    """
    if not drill.hinges:
        raise ValueError(f"{drill.name} is one rigid frame: it has no wings.")
    share = float(between("share", share, 0.0, 1.0))
    sections = list(drill.sections)
    hitched = drill.section_index(drill.hitch.section)
    for end, hinge, side in ((0, drill.hinges[0], -1), (len(sections) - 1, drill.hinges[-1], 1)):
        if end == hitched:
            continue
        section = sections[end]
        x, _, z = section.frame_centre
        width = section.openers * drill.row_spacing
        sections[end] = replace(section, frame_centre=(x, hinge.y + side * share * width, z))
    return replace(drill, sections=tuple(sections))


def separate_pressures(
    drill: Drill, soil: Soil, hopper_fill: Ratio = 0.0, headroom_share: Ratio = 0.15
) -> SeparatePressures:
    """What each section could have with a pressure of its own.

    headroom_share: share of the available weight to keep in hand.

    The load on all openers grows together until the first section lifts; that one is then held and the others
    go on. The headroom is taken off every section's own load in the end. A section that rises with its
    neighbour gains nothing.
    """
    limits = lift_pressure(drill, soil, hopper_fill)
    used = load_with_headroom(np.minimum(limits.frame_load, 1e12), headroom_share)
    gauge = np.maximum(disc_load_for(drill, soil, used) - soil.target_reaction, 0.0)
    pressure = pressure_for_frame_load(drill, soil, used)
    weakest = int(np.argmin(pressure))
    return SeparatePressures(
        limits.sections,
        float(headroom_share),
        float(pressure[weakest]),
        float(gauge[weakest]),
        pressure,
        gauge,
    )
