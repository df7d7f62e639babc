"""What too much gauge-wheel load does: contact pressure, sinkage, stress beside the slot, bearing life."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import not_negative
from downforce.physics.soil import (
    bearing_life_ratio,
    concentration_for,
    contact_pressure,
    stress_beside_slot,
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
NO_WALL_FIGURE = "No usable figure was published for the stress that damages a slot wall: compare settings."
"""Words that go wherever a stress beside the slot is shown [-]."""


@dataclass(frozen=True)
class WheelMark:
    """What a gauge wheel does to the soil beside the slot.

    Attributes
    ----------
    gauge_wheel_load : float [N]
        Load on the wheel.
    contact_pressure : float [Pa]
        Mean pressure on the contact.
    concentration : int [-]
        Factor of the soil's state.
    depth : array [m]
        Depths of the two profiles.
    below_wheel : array [Pa]
        Vertical stress below the middle of the wheel.
    at_wall : array [Pa]
        Vertical stress at the slot's wall.
    seed_depth_stress : float [Pa]
        At the wall, at seed depth.
    life : float [-]
        Life of the wheel's bearing over that under the wanted load.
    """

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
    """How deep a gauge wheel sinks into one soil of the table.

    Attributes
    ----------
    soil : str [-]
        Name in the table.
    sinkage : float [m]
        NaN where the soil does not carry the load.
    carried : bool [-]
        Whether the soil carries the load before the axle reaches the ground.
    in_range : bool [-]
        Whether wheel and soil are of the size the formula is meant for.
    """

    soil: str
    sinkage: float
    carried: bool
    in_range: bool


def usual_contact_length(opener):
    """Length of the gauge wheel's contact to start from; measure your own.

    Parameters
    ----------
    opener : Opener [-]
        Gives the diameter of the wheel.

    Returns
    -------
    float [m]
        An assumed share of the diameter, no source.
    """
    return GAUGE_CONTACT_SHARE * opener.gauge_wheel_diameter


def wall_distance(opener):
    """From the middle of the gauge wheel to the wall of the slot.

    Parameters
    ----------
    opener : Opener [-]
        Gives the width of the wheel.

    Returns
    -------
    float [m]
        Half the wheel and an assumed gap.
    """
    return opener.gauge_wheel_width / 2 + SLOT_GAP


def wheel_mark(opener, gauge_wheel_load, contact_length, state, wanted_load, target_depth, depths):
    """Contact pressure, stress beside the slot and bearing life under a gauge-wheel load.

    Parameters
    ----------
    opener : Opener [-]
        Gives the width of the wheel.
    gauge_wheel_load : float [N]
        Load on the wheel.
    contact_length : float [m]
        Length of its contact.
    state : str [-]
        "hard", "normal" or "soft wet".
    wanted_load : float [N]
        Load with which the bearing life is compared.
    target_depth : float [m]
        Where the seed lies.
    depths : array [m]
        Depths of the profiles.

    Returns
    -------
    WheelMark [N, Pa, m]
        No limit is given: none was published.

    Raises
    ------
    ValueError
        If a load or size is not positive, or the state is none of the three.

    Notes
    -----
    Uniform pressure on a circle of the contact's area, Froehlich's stress below it. The open slot is left
    out: its wall is a free face, where real stress is higher and the soil can move sideways.
    """
    factor = concentration_for(state)
    width = opener.gauge_wheel_width
    beside = wall_distance(opener)

    def stress(depth, distance):
        return stress_beside_slot(depth, distance, gauge_wheel_load, width, contact_length, factor)

    return WheelMark(
        float(gauge_wheel_load),
        float(contact_pressure(gauge_wheel_load, width, contact_length)),
        factor,
        np.asarray(depths, dtype=float),
        stress(depths, 0.0),
        stress(depths, beside),
        float(stress(target_depth, beside)),
        float(bearing_life_ratio(gauge_wheel_load / wanted_load)),
    )


def stress_map(opener, gauge_wheel_load, contact_length, state, distances, depths):
    """Vertical stress over a cross-section of the ground beside the slot.

    Parameters
    ----------
    opener : Opener [-]
        Gives the width of the wheel.
    gauge_wheel_load : float [N]
        Load on the wheel.
    contact_length : float [m]
        Length of its contact.
    state : str [-]
        "hard", "normal" or "soft wet".
    distances : array [m]
        From the middle of the wheel, both sides alike.
    depths : array [m]
        Below the surface.

    Returns
    -------
    array, shape (depths, distances) [Pa]
        The stress.
    """
    distances, depths = np.abs(np.asarray(distances, dtype=float)), np.asarray(depths, dtype=float)
    # Both sides are alike, so each distance is worked once.
    once, back = np.unique(distances, return_inverse=True)
    stress = stress_beside_slot(
        depths[:, None],
        once[None, :],
        gauge_wheel_load,
        opener.gauge_wheel_width,
        contact_length,
        concentration_for(state),
    )
    return stress[:, back]


def gauge_wheel_sinkage(opener, gauge_wheel_load):
    """Sinkage of the gauge wheel in every soil of the pressure-sinkage table.

    Parameters
    ----------
    opener : Opener [-]
        Gives the wheel.
    gauge_wheel_load : float [N]
        Load on it.

    Returns
    -------
    tuple of Sinkage [m]
        In the order of the table. What the wheel sinks, the seed lies deeper below the untouched surface
        than the depth stop says, and the disc runs deeper.

    Raises
    ------
    ValueError
        If the load is negative.
    """
    load = float(not_negative("gauge_wheel_load", gauge_wheel_load))
    width, diameter = opener.gauge_wheel_width, opener.gauge_wheel_diameter
    found = []
    for name, soil in sinkage_soils().items():
        carried = bool(wheel_load(diameter / 2, width, diameter, *soil) >= load)
        sinkage = float(wheel_sinkage_exact(load, width, diameter, *soil)) if carried else np.nan
        found.append(Sinkage(name, sinkage, carried, bool(wheel_sinkage_in_range(diameter, soil[0]))))
    return tuple(found)
