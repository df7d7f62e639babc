"""Pins, fork and eye, rod and tube of a cylinder, at the relief valve and at the tractor's most."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.tables import read_table
from downforce.physics.checks import not_negative, positive
from downforce.physics.cylinder import (
    column_limit,
    lame_stresses,
    pin_stresses,
    pressure_area,
    second_moment_round,
)
from downforce.physics.kinds import Metre, Newton, Pascal, Ratio
from downforce.study.cylinders.judge import (
    COLUMN_SAFETY,
    END_FACTOR,
    ROD_MODULUS,
    ROD_YIELD,
    TUBE_YIELD,
    WALL_SAFETY,
)
from downforce.study.cylinders.stroke_check import stroke_check

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

    eye: Metre = 0.020
    fork: Metre = 0.008
    gap: Metre = 0.0005
    strength: Pascal = 600e6
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
    diameter: Metre
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

    gauge_pressure: Pascal
    force: Newton
    column_safety: Ratio
    hoop_stress: Pascal
    wall_safety: Ratio
    enough: bool


STRESSES = ("shear", "bearing in the eye", "bearing in the fork", "bending")
"""Names of a pin's stresses, in their order [-]."""


def standing_pressures(drill) -> Pascal:
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
                        drill.cylinder.push(pressure),
                        row.size_mm / 1e3,
                        joint.eye,
                        joint.fork,
                        joint.gap,
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
    column = float(column_limit(area, second, longest, END_FACTOR, ROD_MODULUS, ROD_YIELD))
    inner = cylinder.bore / 2
    found = {}
    for name, pressure in standing_pressures(drill).items():
        force = float(cylinder.push(pressure))
        hoop = float(np.max(lame_stresses(inner, inner, inner + cylinder.wall, pressure)[1]))
        safety = column / force, TUBE_YIELD / hoop
        found[name] = Strength(
            pressure,
            force,
            safety[0],
            hoop,
            safety[1],
            safety[0] >= COLUMN_SAFETY and safety[1] >= WALL_SAFETY,
        )
    return found
