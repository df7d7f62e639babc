"""What comes with a cylinder: flatness of its load, oil, load on its pins, what a lift must raise."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.cylinders import Cylinder
from downforce.machine.drill import Drill, Opener
from downforce.physics.checks import positive
from downforce.physics.cylinder import cylinder_force, force_on_lever, pressure_area, side_force
from downforce.physics.kinds import (
    CubicMetre,
    Metre,
    Metres,
    Newton,
    NewtonMetres,
    Newtons,
    Pascal,
    Radian,
    Radians,
    Ratio,
    Ratios,
    Second,
    SquareMetre,
)
from downforce.physics.linkage import side_angle
from downforce.study.cylinders.stroke_check import PLACES, stroke_check

MISALIGNMENT = float(np.radians(3.0))
"""Error of welded brackets to reckon with [rad] (common practice, no source)."""


@dataclass(frozen=True)
class Flatness:
    """How even a cylinder's down force is over the travel, at one gauge pressure.

    down_force: at the disc, middle of the friction band.
    share: down force over that at working height.
    at_work: down force at working height.
    friction: half the friction band, felt at the disc.
    swing: how far the cylinder has turned about its frame pin since working height.
    """

    travel: Metres
    down_force: Newtons
    share: Ratios
    at_work: Newton
    friction: Newtons
    swing: Radians


@dataclass(frozen=True)
class OilNeed:
    """Oil of one drill's cylinders.

    drill_used: oil for the stroke that the openers' travel uses.
    fill_time: to fill every cylinder for the whole stroke with the supply's flow.
    share_of_tractor_oil: oil for the stroke used over the oil that the tractor may lend.
    """

    opener_full: CubicMetre
    drill_full: CubicMetre
    drill_used: CubicMetre
    fill_time: Second
    share_of_tractor_oil: Ratio


@dataclass(frozen=True)
class PinLoads:
    """Load of a cylinder on its pins, in the order of the stroke check's places.

    places: where the opener stands.
    force: along the cylinder with the rod pushed in, friction added; both pins carry it.
    angle: direction of the push on the opener's pin: 0 straight down, positive towards the rear. The frame's
        pin carries the same force the other way.
    side: sideways part for each cylinder that stands out of line by `misalignment`.
    """

    places: tuple[str, ...]
    force: Newton
    angle: Radians
    side: Newton
    misalignment: Radian


@dataclass(frozen=True)
class LiftTorque:
    """Torque about the openers' own pivots, summed over the drill, that a lift shaft must overcome.

    by_shaft: whether this drill picks its openers up against the cylinders.
    travel: from working height to the raised travel.
    """

    by_shaft: bool
    travel: Metres
    weight_only: NewtonMetres
    with_cylinders: NewtonMetres


def load_flatness(opener: Opener, cylinder: Cylinder, gauge_pressure: Pascal, points=101) -> Flatness:
    """Down force of a cylinder at held pressure from stop to stop."""
    travel = np.linspace(opener.lowest_travel, opener.highest_travel, points)
    leverage = cylinder.leverage(opener, travel)
    force = cylinder.push(positive("gauge_pressure", gauge_pressure))
    at_work = float(force * cylinder.leverage(opener, 0.0))
    pins = cylinder.mount
    swing = side_angle(opener.geometry, pins.frame_pin, pins.moving_pin, pins.moves_with, travel)
    down_force = force * leverage
    friction = cylinder.friction_force(gauge_pressure) * np.abs(leverage)
    return Flatness(travel, down_force, down_force / at_work, at_work, friction, swing)


def oil_need(drill: Drill) -> OilNeed:
    """Oil that a drill's cylinders take, and the time to fill them."""
    cylinder, supply = drill.cylinder, drill.hydraulics.supply
    used = stroke_check(drill.opener, cylinder).stroke_used
    full = float(cylinder.swept_volume(cylinder.stroke))
    worked = float(cylinder.swept_volume(used)) * drill.row_count
    return OilNeed(
        opener_full=full,
        drill_full=full * drill.row_count,
        drill_used=worked,
        fill_time=full * drill.row_count / supply.flow,
        share_of_tractor_oil=worked / supply.oil_available,
    )


def pin_loads(
    opener: Opener, cylinder: Cylinder, gauge_pressure: Pascal, misalignment: Radian = MISALIGNMENT
) -> PinLoads:
    """Force and direction on a cylinder's pins at every place the opener goes, for who makes the brackets.

    Result: steady loads; blows from stones and the end of the stroke come on top.
    """
    check = stroke_check(opener, cylinder)
    force = float(cylinder.push(gauge_pressure, rubbing=-1))
    pins = cylinder.mount
    x, z = opener.geometry.point(pins.moving_pin, pins.moves_with, check.travel)
    return PinLoads(
        places=PLACES,
        force=force,
        angle=np.arctan2(x - pins.frame_pin[0], pins.frame_pin[1] - z),
        side=float(side_force(force, misalignment)),
        misalignment=float(misalignment),
    )


def lift_torque(drill: Drill, gauge_pressure: Pascal, points=51) -> LiftTorque:
    """Torque that raising all openers by a lift shaft takes, without and with pressure in the cylinders.

    gauge_pressure: pressure left in the cylinders while the shaft lifts.
    points: points between working height and the raised travel.

    Moments about the pivots: (weight share x weight + down force) x reach of the disc, for each opener. What
    the lift's own cylinder must give follows from its lever on the shaft, which a drill file does not hold.
    The closing wheel is off the ground and takes no part.
    """
    opener, cylinder = drill.opener, drill.cylinder
    by_shaft = opener.raised_travel > 0
    travel = np.linspace(0.0, opener.raised_travel if by_shaft else opener.highest_travel, points)
    weight = opener.shares(travel, travel)[0] * opener.weight
    push = cylinder.push(gauge_pressure) * cylinder.leverage(opener, travel)
    reach = _reach(opener, travel) * drill.row_count
    return LiftTorque(by_shaft, travel, weight * reach, (weight + push) * reach)


def down_force_by_lever(
    diameter: Metre, gauge_pressure: Pascal, cylinder_arm: Metre, disc_arm: Metre
) -> tuple[SquareMetre, Newton, Newton]:
    """Area, cylinder force and down force from what a tape measures: the sum done by hand.

    diameter: bore, or rod diameter of a plunger type.
    cylinder_arm: distance from the pivot to the cylinder's line, square to it.
    disc_arm: distance from the pivot to the disc axle.
    Result: area, force along the cylinder, down force at the disc.
    """
    area = pressure_area(diameter)
    force = cylinder_force(gauge_pressure, area)
    for_one_newton = force_on_lever(1.0, disc_arm, cylinder_arm)
    return float(area), float(force), float(force / for_one_newton)


def _reach(opener, travel):
    """How far the disc's turning circle reaches: travel per radian of the arm or of the links."""
    if opener.linkage == "trailing arm":
        return opener.geometry.point(opener.disc, "arm", travel)[0] - opener.pivot[0]
    end = opener.geometry.point(opener.lower_opener_pin, "opener", travel)
    return end[0] - opener.lower_frame_pin[0]
