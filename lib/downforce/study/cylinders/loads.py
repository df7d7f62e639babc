"""What comes with a cylinder: flatness of its load, oil, load on its pins, what a lift must raise."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import positive
from downforce.physics.cylinder import cylinder_force, force_on_lever, pressure_area, side_force
from downforce.physics.linkage import side_angle
from downforce.study.cylinders.stroke_check import PLACES, stroke_check

MISALIGNMENT = float(np.radians(3.0))
"""Error of welded brackets to reckon with [rad] (common practice, no source)."""


@dataclass(frozen=True)
class Flatness:
    """How even a cylinder's down force is over the travel, at one gauge pressure.

    Attributes
    ----------
    travel : array [m]
        From stop to stop.
    down_force : array [N]
        At the disc, middle of the friction band.
    share : array [-]
        Down force over that at working height.
    at_work : float [N]
        Down force at working height.
    friction : array [N]
        Half the friction band, felt at the disc.
    swing : array [rad]
        How far the cylinder has turned about its frame pin since working height.
    """

    travel: np.ndarray
    down_force: np.ndarray
    share: np.ndarray
    at_work: float
    friction: np.ndarray
    swing: np.ndarray


@dataclass(frozen=True)
class OilNeed:
    """Oil of one drill's cylinders.

    Attributes
    ----------
    opener_full, drill_full : float [m3]
        Oil for the whole stroke.
    drill_used : float [m3]
        Oil for the stroke that the openers' travel uses.
    fill_time : float [s]
        To fill every cylinder for the whole stroke with the supply's flow.
    share_of_tractor_oil : float [-]
        Oil for the stroke used over the oil that the tractor may lend.
    """

    opener_full: float
    drill_full: float
    drill_used: float
    fill_time: float
    share_of_tractor_oil: float


@dataclass(frozen=True)
class PinLoads:
    """Load of a cylinder on its pins, in the order of the stroke check's places.

    Attributes
    ----------
    places : tuple of str [-]
        Where the opener stands.
    force : float [N]
        Along the cylinder with the rod pushed in, friction added; both pins carry it.
    angle : array [rad]
        Direction of the push on the opener's pin: 0 straight down, positive towards the rear. The frame's
        pin carries the same force the other way.
    side : float [N]
        Sideways part for each cylinder that stands out of line by `misalignment`.
    misalignment : float [rad]
        Assumed error of the brackets.
    """

    places: tuple[str, ...]
    force: float
    angle: np.ndarray
    side: float
    misalignment: float


@dataclass(frozen=True)
class LiftTorque:
    """Torque about the openers' own pivots, summed over the drill, that a lift shaft must overcome.

    Attributes
    ----------
    by_shaft : bool [-]
        Whether this drill picks its openers up against the cylinders.
    travel : array [m]
        From working height to the raised travel.
    weight_only : array [N m]
        With no pressure in the cylinders.
    with_cylinders : array [N m]
        With the cylinders at their gauge pressure.
    """

    by_shaft: bool
    travel: np.ndarray
    weight_only: np.ndarray
    with_cylinders: np.ndarray


def load_flatness(opener, cylinder, gauge_pressure, points=101):
    """Down force of a cylinder at held pressure from stop to stop.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    cylinder : Cylinder [-]
        The cylinder with its pins.
    gauge_pressure : float [Pa]
        Oil pressure.
    points : int [-]
        Points between the stops.

    Returns
    -------
    Flatness [N]
        The load, its friction band and its share of the load at work.

    Raises
    ------
    ValueError
        If the pressure is not positive or the linkage cannot reach a stop.
    """
    travel = np.linspace(opener.lowest_travel, opener.highest_travel, points)
    leverage = cylinder.leverage(opener, travel)
    force = cylinder.push(positive("gauge_pressure", gauge_pressure))
    at_work = float(force * cylinder.leverage(opener, 0.0))
    pins = cylinder.mount
    swing = side_angle(opener.geometry, pins.frame_pin, pins.moving_pin, pins.moves_with, travel)
    down_force = force * leverage
    friction = cylinder.friction_force(gauge_pressure) * np.abs(leverage)
    return Flatness(travel, down_force, down_force / at_work, at_work, friction, swing)


def oil_need(drill):
    """Oil that a drill's cylinders take, and the time to fill them.

    Parameters
    ----------
    drill : Drill [-]
        The drill with its cylinder.

    Returns
    -------
    OilNeed [m3]
        For one opener and for the drill.

    Raises
    ------
    ValueError
        If the linkage cannot reach a stop.
    """
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


def pin_loads(opener, cylinder, gauge_pressure, misalignment=MISALIGNMENT):
    """Force and direction on a cylinder's pins at every place the opener goes, for who makes the brackets.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    cylinder : Cylinder [-]
        The cylinder with its pins.
    gauge_pressure : float [Pa]
        Highest pressure that can stand in the cylinder.
    misalignment : float [rad]
        How far the brackets may stand out of line.

    Returns
    -------
    PinLoads [N]
        Steady loads; blows from stones and the end of the stroke come on top.

    Raises
    ------
    ValueError
        If the pressure is negative or the linkage cannot reach a place.
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


def lift_torque(drill, gauge_pressure, points=51):
    """Torque that raising all openers by a lift shaft takes, without and with pressure in the cylinders.

    Parameters
    ----------
    drill : Drill [-]
        The drill with its cylinder.
    gauge_pressure : float [Pa]
        Pressure left in the cylinders while the shaft lifts.
    points : int [-]
        Points between working height and the raised travel.

    Returns
    -------
    LiftTorque [N m]
        About the arm pivots, or about the links' pins on the frame.

    Raises
    ------
    ValueError
        If the pressure is negative or the linkage cannot reach the raised travel.

    Notes
    -----
    Moments about the pivots: (weight share x weight + down force) x reach of the disc, for each opener.
    What the lift's own cylinder must give follows from its lever on the shaft, which a drill file does
    not hold. The closing wheel is off the ground and takes no part.
    """
    opener, cylinder = drill.opener, drill.cylinder
    by_shaft = opener.raised_travel > 0
    travel = np.linspace(0.0, opener.raised_travel if by_shaft else opener.highest_travel, points)
    weight = opener.shares(travel, travel)[0] * opener.weight
    push = cylinder.push(gauge_pressure) * cylinder.leverage(opener, travel)
    reach = _reach(opener, travel) * drill.row_count
    return LiftTorque(by_shaft, travel, weight * reach, (weight + push) * reach)


def down_force_by_lever(diameter, gauge_pressure, cylinder_arm, disc_arm):
    """Area, cylinder force and down force from what a tape measures: the sum done by hand.

    Parameters
    ----------
    diameter : float [m]
        Bore, or rod diameter of a plunger type.
    gauge_pressure : float [Pa]
        Oil pressure.
    cylinder_arm : float [m]
        Distance from the pivot to the cylinder's line, square to it.
    disc_arm : float [m]
        Distance from the pivot to the disc axle.

    Returns
    -------
    tuple of three floats [m2, N, N]
        Area, force along the cylinder, down force at the disc.

    Raises
    ------
    ValueError
        If a length is not positive or the pressure is negative.
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
