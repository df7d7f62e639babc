"""What comes with a cylinder: flatness of its load, oil, loads on pins, fork, eye, rod and tube.

Pins are judged at the relief valve and at the tractor's most. The proposed cylinder is also tried on other
pins: nearer or further from the pivot, tilted, or mounted higher.
"""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from downforce.machine.actuators import Cylinder
from downforce.machine.drill import Drill, Opener
from downforce.machine.shipped import read_table
from downforce.physics import kinds as si
from downforce.physics.checks import not_negative, positive
from downforce.physics.cylinder import cylinder_force, force_on_lever, pressure_area, side_force
from downforce.physics.cylinder_strength import column_limit, lame_stresses, pin_stresses, second_moment_round
from downforce.physics.linkage import side_angle
from downforce.study.cylinders import choice
from downforce.study.cylinders.force_needs import PLACES, stroke_check

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

    travel: si.Metres
    down_force: si.Newtons
    share: si.Ratios
    at_work: si.Newton
    friction: si.Newtons
    swing: si.Radians


@dataclass(frozen=True)
class OilNeed:
    """Oil of one drill's cylinders.

    drill_used: oil for the stroke that the openers' travel uses.
    fill_time: to fill every cylinder for the whole stroke with the supply's flow.
    share_of_tractor_oil: oil for the stroke used over the oil that the tractor may lend.
    """

    opener_full: si.CubicMetre
    drill_full: si.CubicMetre
    drill_used: si.CubicMetre
    fill_time: si.Second
    share_of_tractor_oil: si.Ratio


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
    force: si.Newton
    angle: si.Radians
    side: si.Newton
    misalignment: si.Radian


@dataclass(frozen=True)
class LiftTorque:
    """Torque about the openers' own pivots, summed over the drill, that a lift shaft must overcome.

    by_shaft: whether this drill picks its openers up against the cylinders.
    travel: from working height to the raised travel.
    """

    by_shaft: bool
    travel: si.Metres
    weight_only: si.NewtonMetres
    with_cylinders: si.NewtonMetres


def load_flatness(opener: Opener, cylinder: Cylinder, gauge_pressure: si.Pascal, points=101) -> Flatness:
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


def pin_loads(opener: Opener, cylinder: Cylinder, gauge_pressure: si.Pascal) -> PinLoads:
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
        side=float(side_force(force, MISALIGNMENT)),
        misalignment=MISALIGNMENT,
    )


def lift_torque(drill: Drill, gauge_pressure: si.Pascal, points=51) -> LiftTorque:
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
    diameter: si.Metre, gauge_pressure: si.Pascal, cylinder_arm: si.Metre, disc_arm: si.Metre
) -> tuple[si.SquareMetre, si.Newton, si.Newton]:
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


BENDING_SHARE, SHEAR_SHARE = 0.25, 0.12
"""Allowed bending and shear over strength, swelling load [-]: 0.2 to 0.3, 0.1 to 0.15 (from memory)."""
BEARING = {"greased": 40e6, "dry": 20e6}
"""Allowed bearing of a moving joint [Pa]: 20 to 40 MPa hardened and greased, 10 to 20 dry (from memory)."""

RELIEF, MOST = "relief valve", "tractor's most"
"""What may stand in a cylinder [-]: the second only where the relief valve fails or somebody sets it up."""


@dataclass(frozen=True)
class Joint:
    """Fork and eye that a pin joins; every value is a guess until the drawing says it.

    eye: width of the cylinder's eye or tube; 15 to 40 mm is usual.
    fork: thickness of each plate; 6 to 15 mm is usual.
    gap: side clearance, each side; 0.5 to 1 mm is usual.
    strength: tensile strength of the pin's steel; 500 MPa plain to 900 quenched is usual.
    bushing: "greased" or "dry".
    """

    eye: si.Metre = 0.020
    fork: si.Metre = 0.008
    gap: si.Metre = 0.0005
    strength: si.Pascal = 600e6
    bushing: Literal["greased", "dry"] = "greased"

    def __post_init__(self):
        for name in ("eye", "fork", "strength"):
            positive(name, getattr(self, name))
        not_negative("gap", self.gap)
        if self.bushing not in BEARING:
            raise ValueError(f"bushing must be one of {', '.join(BEARING)}; got {self.bushing!r}.")


@dataclass(frozen=True)
class PinTrial:
    """One pin of the series, in the joint.

    system, label: "metric" or "inch", and the size as sold.
    stresses: shear, bearing in the eye, bearing in the fork, bending; by `RELIEF` and `MOST`.
    """

    system: str
    label: str
    diameter: si.Metre
    stresses: dict
    over: dict

    @property
    def holds(self) -> bool:
        """Whether nothing is over what is allowed at the relief valve's pressure."""
        return not self.over[RELIEF]


@dataclass(frozen=True)
class Strength:
    """Rod as a column and tube at one pressure.

    column_safety: column load over the push at the longest pin-to-pin length.
    enough: whether both have the safety that the choice of sizes asks for.
    """

    gauge_pressure: si.Pascal
    force: si.Newton
    column_safety: si.Ratio
    hoop_stress: si.Pascal
    wall_safety: si.Ratio
    enough: bool


STRESSES = ("shear", "bearing in the eye", "bearing in the fork", "bending")
"""Names of a pin's stresses, in their order [-]."""


def standing_pressures(drill) -> si.Pascal:
    """What may stand in a drill's cylinders: the relief valve's pressure, the most the tractor gives."""
    parts = drill.hydraulics
    return {
        RELIEF: parts.valve.relief_pressure,
        MOST: max(parts.supply.max_pressure, parts.valve.relief_pressure),
    }


def pin_trials(drill: Drill, joint: Joint | None = None) -> tuple[PinTrial, ...]:
    """Every pin of both series in the joint of a drill's cylinder.

    joint: fork and eye; usual ones if left out.
    Result: in the order of the table of pins.

    Without blows from stones and without what a bracket that stands out of line adds.
    """
    joint = joint or Joint()
    allowed = (
        SHEAR_SHARE * joint.strength,
        BEARING[joint.bushing],
        BEARING[joint.bushing],
        BENDING_SHARE * joint.strength,
    )
    found = []
    for row in read_table("pins").itertuples():
        stresses = {
            name: tuple(
                map(
                    float,
                    pin_stresses(
                        drill.cylinder.push(pressure), row.size_mm / 1e3, joint.eye, joint.fork, joint.gap
                    ),
                )
            )
            for name, pressure in standing_pressures(drill).items()
        }
        over = {
            name: tuple(words for words, one, most in zip(STRESSES, each, allowed, strict=True) if one > most)
            for name, each in stresses.items()
        }
        found.append(PinTrial(row.system, row.label, row.size_mm / 1e3, stresses, over))
    return tuple(found)


def smallest_pin(trials, system):
    """The smallest pin of a system that holds, or None."""
    return next((trial for trial in trials if trial.system == system and trial.holds), None)


def strength(drill: Drill):
    """Rod as a column and tube, at the relief valve's pressure and at the tractor's most.

    Result: by `RELIEF` and `MOST`.
    """
    cylinder = drill.cylinder
    longest = stroke_check(drill.opener, cylinder).longest
    area, second = pressure_area(cylinder.rod), second_moment_round(cylinder.rod)
    column = float(
        column_limit(area, second, longest, choice.END_FACTOR, choice.ROD_MODULUS, choice.ROD_YIELD)
    )
    inner = cylinder.bore / 2
    found = {}
    for name, pressure in standing_pressures(drill).items():
        force = float(cylinder.push(pressure))
        hoop = float(np.max(lame_stresses(inner, inner, inner + cylinder.wall, pressure)[1]))
        safety = column / force, choice.TUBE_YIELD / hoop
        found[name] = Strength(
            pressure,
            force,
            safety[0],
            hoop,
            safety[1],
            safety[0] >= choice.COLUMN_SAFETY and safety[1] >= choice.WALL_SAFETY,
        )
    return found


def lever_length(opener: Opener, cylinder: Cylinder) -> si.Metre:
    """Distance from the pivot that the opener's pin turns about to that pin.

    Result: for a pin that rises with the opener without turning: its distance from the lower link's frame
        pin.
    """
    return float(np.hypot(*_lever(opener, cylinder)))


def cylinder_on_moved_pins(
    opener: Opener, cylinder: Cylinder, along: si.Metre = 0.0, tilt: si.Metre = 0.0, apart: si.Metre = 0.0
) -> Cylinder:
    """The cylinder with its pins moved, the rest as it is.

    along: both pins moved away from the pivot, along the bar that carries the opener's pin.
    tilt: frame pin alone moved rearward.
    apart: frame pin alone moved away from the opener's pin, along the cylinder as it stood at work.
    """
    pins = cylinder.mount
    bar = np.array(_lever(opener, cylinder)) / lever_length(opener, cylinder)
    axis = np.subtract(pins.frame_pin, pins.moving_pin)
    axis = axis / np.hypot(*axis)
    frame_pin = np.asarray(pins.frame_pin) + along * bar + tilt * np.array([1.0, 0.0]) + apart * axis
    moving_pin = np.asarray(pins.moving_pin) + along * bar
    mount = replace(pins, frame_pin=_pair(frame_pin), moving_pin=_pair(moving_pin))
    return replace(cylinder, mount=mount)


def _lever(opener, cylinder):
    pivot = opener.pivot if opener.linkage == "trailing arm" else opener.lower_frame_pin
    return np.subtract(cylinder.mount.moving_pin, pivot)


def _pair(place):
    return float(place[0]), float(place[1])
