"""What an opener must be pressed with, from soft soil to the hardest track, and between which pressures."""

from dataclasses import dataclass

from downforce.machine.field import Soil
from downforce.physics.checks import not_negative


@dataclass(frozen=True)
class Need:
    """Down force that one soil asks for.

    Attributes
    ----------
    name : str [-]
        Name of the field; "tracks in ..." for its wheel tracks.
    soil : Soil [-]
        The soil as the opener meets it.
    travel : float [m]
        Travel of the disc there: a track lies lower.
    gauge_wheel_load : float [N]
        Wanted on the gauge wheel.
    down_force : float [N]
        What the cylinder must give at the disc for it; 0 where the opener's weight alone is enough.
    """

    name: str
    soil: Soil
    travel: float
    gauge_wheel_load: float
    down_force: float


@dataclass(frozen=True)
class PressureLimits:
    """The pressures between which a drill's cylinders can be set.

    Attributes
    ----------
    lowest : float [Pa]
        Lowest gauge pressure.
    lowest_set_by : str [-]
        What sets it.
    highest : float [Pa]
        Highest gauge pressure.
    highest_set_by : str [-]
        What sets it.
    standing : float [Pa]
        Highest gauge pressure that can stand in a cylinder: the relief valve's.
    """

    lowest: float
    lowest_set_by: str
    highest: float
    highest_set_by: str
    standing: float


def down_force_wanted(opener, soil, gauge_wheel_load, travel=0.0, ground_travel=None, acceleration=0.0):
    """Down force at the disc that leaves a wanted load on the gauge wheel.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    soil : Soil [-]
        What the soil asks.
    gauge_wheel_load : float or array [N]
        Wanted on the gauge wheel.
    travel : float or array [m]
        Travel of the disc, at its target depth.
    ground_travel : float or array, optional [m]
        Travel the ground asks for, where a stop keeps the disc from it.
    acceleration : float or array [m/s2]
        Upward acceleration of the opener.

    Returns
    -------
    float or array [N]
        Negative where the opener's weight alone gives more.

    Raises
    ------
    ValueError
        If the gauge-wheel load is negative or the linkage cannot reach the travel.

    Notes
    -----
    Wanted = g G + V (1 + draft ratio x draft share) + c C - w W, with the shares of
    `Opener.shares` and the inertia in the weight W; the balance of an opener at depth, solved for the push.
    """
    weight, closing, gauge, draft = opener.shares(travel, travel if ground_travel is None else ground_travel)
    wanted = gauge * not_negative("gauge_wheel_load", gauge_wheel_load)
    soil_part = soil.target_reaction * (1.0 + soil.draft_ratio * draft)
    heft = opener.weight + opener.mass * acceleration
    return wanted + soil_part + closing * opener.closing_load - weight * heft


def force_needs(drill, fields):
    """What each field, and each field's wheel tracks, ask of one opener.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    fields : sequence of Field [-]
        The fields it must serve.

    Returns
    -------
    tuple of Need [N]
        From the softest to the hardest.

    Raises
    ------
    ValueError
        If there is no field.
    """
    if not fields:
        raise ValueError("fields is empty; give at least one field for the cylinder to serve.")
    needs = []
    for field in fields:
        load = field.aim.gauge_wheel_load
        needs.append(_need(drill.opener, field.name, field.opener_soil, 0.0, load))
        if field.tracks is not None:
            travel = max(-field.tracks.depth, drill.opener.lowest_travel)
            needs.append(_need(drill.opener, f"tracks in {field.name}", field.track_soil, travel, load))
    return tuple(sorted(needs, key=lambda need: need.down_force))


def pressure_limits(drill):
    """Lowest and highest gauge pressure at which a drill's cylinders can work, and what sets them.

    Parameters
    ----------
    drill : Drill [-]
        The drill.

    Returns
    -------
    PressureLimits [Pa]
        The limits by value and by name.
    """
    parts = drill.hydraulics
    floors = {
        "the lowest setting of the valve": parts.valve.min_pressure,
        "the back-pressure of the return": parts.supply.return_pressure,
    }
    ceilings = {
        "the highest setting of the valve": parts.valve.max_pressure,
        "the relief valve": parts.valve.relief_pressure,
        "the tractor's outlet": parts.supply.max_pressure,
        "the rating of the header": parts.header.rated_pressure,
        "the rating of the drops": parts.drop.rated_pressure,
        "the rating of the cylinder": drill.cylinder.rated_pressure,
        "the end of the gauge": parts.gauge.full_scale,
    }
    low, high = max(floors, key=floors.get), min(ceilings, key=ceilings.get)
    return PressureLimits(floors[low], low, ceilings[high], high, parts.valve.relief_pressure)


def _need(opener, name, soil, travel, load):
    return Need(name, soil, travel, load, max(0.0, float(down_force_wanted(opener, soil, load, travel))))
