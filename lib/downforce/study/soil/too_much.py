"""What too much gauge-wheel load does: contact pressure, sinkage, stress beside the slot, bearing life."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import not_negative
from downforce.physics.soil import (
    bearing_life_ratio,
    concentration_for,
    contact_pressure,
    stress_below_rectangle,
    wheel_load,
    wheel_sinkage_exact,
    wheel_sinkage_in_range,
)
from downforce.study.ground.field_ground import GAUGE_CONTACT_SHARE
from downforce.study.soil.soil_load import sinkage_soils

SLOT_GAP = 0.010
"""From the edge of the gauge wheel to the wall of the slot [m]; assumed, no source."""
STATES = {"dry": "hard", "moist": "normal", "wet": "soft wet"}
"""State of the soil for the concentration factor, by the moisture of a field file [-]."""
NO_WALL_FIGURE = (
    "We found no published stress at which a slot wall smears or shuts: compare settings, look at the wall."
)
"""Words that go wherever a stress beside the slot is shown [-]."""


@dataclass(frozen=True)
class WheelMark:
    """What a gauge wheel does to the soil under it and at the slot's wall (SI); no limit was found."""

    gauge_wheel_load: float
    contact_pressure: float
    concentration: int
    depth: np.ndarray
    below_wheel: np.ndarray
    at_wall: np.ndarray
    seed_depth_stress: float
    life: float


@dataclass(frozen=True)
class Sinkage:
    """How deep a gauge wheel sinks into one soil [m], NaN where it is not carried.

    `in_range`: whether wheel and soil are of the size the formula is meant for.
    """

    soil: str
    sinkage: float
    carried: bool
    in_range: bool


def usual_contact_length(opener):
    """Length of the gauge wheel's contact to start from [m]: an assumed share of its diameter, no source."""
    return GAUGE_CONTACT_SHARE * opener.gauge_wheel_diameter


def wall_distance(opener):
    """From the middle of the gauge wheel to the wall of the slot [m]: half the wheel and an assumed gap."""
    return opener.gauge_wheel_width / 2 + SLOT_GAP


def stress_in_ground(opener, gauge_wheel_load, contact_length, state, distance, depth):
    """Vertical stress [Pa] at a distance across from the middle of the gauge wheel's contact, and a depth.

    Uniform pressure on the rectangle of the contact. The open slot is left out: its wall is a free face,
    where real stress is higher and the soil can move sideways.
    """
    width = opener.gauge_wheel_width
    pressure = contact_pressure(gauge_wheel_load, width, contact_length)
    return stress_below_rectangle(
        depth, distance, 0.0, width, contact_length, pressure, concentration_for(state)
    )


def wheel_mark(opener, gauge_wheel_load, contact_length, state, wanted_load, target_depth, depths):
    """Contact pressure, stress under the wheel and at the slot's wall, and bearing life: a WheelMark."""
    wall = wall_distance(opener)

    def stress(depth, distance):
        return stress_in_ground(opener, gauge_wheel_load, contact_length, state, distance, depth)

    return WheelMark(
        float(gauge_wheel_load),
        float(contact_pressure(gauge_wheel_load, opener.gauge_wheel_width, contact_length)),
        concentration_for(state),
        np.asarray(depths, dtype=float),
        stress(depths, 0.0),
        stress(depths, wall),
        float(stress(target_depth, wall)),
        float(bearing_life_ratio(gauge_wheel_load / wanted_load)),
    )


def stress_map(opener, gauge_wheel_load, contact_length, state, distances, depths):
    """Vertical stress [Pa] over a cross-section of the ground, shape (depths, distances)."""
    depths = np.asarray(depths, dtype=float)[:, None]
    # Both sides are alike, so each distance is worked once.
    once, back = np.unique(np.abs(distances), return_inverse=True)
    return stress_in_ground(opener, gauge_wheel_load, contact_length, state, once, depths)[:, back]


def gauge_wheel_sinkage(opener, gauge_wheel_load):
    """Sinkage of the gauge wheel in every soil of the pressure-sinkage table, in its order.

    What the wheel sinks, the seed lies deeper below the untouched surface than the depth stop says.
    """
    load = float(not_negative("gauge_wheel_load", gauge_wheel_load))
    width, diameter = opener.gauge_wheel_width, opener.gauge_wheel_diameter
    found = []
    for name, soil in sinkage_soils().items():
        carried = bool(wheel_load(diameter / 2, width, diameter, *soil) >= load)
        sinkage = float(wheel_sinkage_exact(load, width, diameter, *soil)) if carried else np.nan
        found.append(Sinkage(name, sinkage, carried, bool(wheel_sinkage_in_range(diameter, soil[0]))))
    return tuple(found)
