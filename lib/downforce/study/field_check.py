"""What a wheel test is worth, and from a dig to the soil and the setting."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.field import Soil
from downforce.physics.checks import between, not_negative, positive
from downforce.physics.soil import reaction_from_dig
from downforce.study.opener_loads import opener_loads
from downforce.study.setting.row_needs import pressure_for_load

TREAD_FRICTION = 0.6
"""Pull on the tread that just turns a loaded gauge wheel, over its load [-]; from memory, to be checked."""


@dataclass(frozen=True)
class SoilEstimate:
    """Soil reaction found with a spade, and the setting that follows.

    Attributes
    ----------
    reaction : float [N]
        At the target depth.
    low, high : float [N]
        Interval that holds the mean of the field with the stated confidence.
    confidence : float [-]
        Of the interval.
    spread, uncertainty : float [N]
        Standard deviation from hole to hole, and that of their mean.
    soil : Soil [-]
        The mean soil, ready for a setting.
    needed, needed_low, needed_high : float [Pa]
        Pressure for the wanted load in that soil and at the ends of the interval.
    """

    reaction: float
    low: float
    high: float
    confidence: float
    spread: float
    uncertainty: float
    soil: Soil
    needed: float
    needed_low: float
    needed_high: float


def pull_for_load(gauge_wheel_load, friction=TREAD_FRICTION):
    """Pull at the tread that just turns a gauge wheel.

    Parameters
    ----------
    gauge_wheel_load : float or array [N]
        What the wheel carries.
    friction : float [-]
        Pull over load.

    Returns
    -------
    float or array [N]
        What the luggage scale should read.

    Raises
    ------
    ValueError
        If the load is negative or the friction is not positive.
    """
    return positive("friction", friction) * not_negative("gauge_wheel_load", gauge_wheel_load)


def standing_load(opener, actuator, soil, gauge_pressure):
    """Gauge-wheel load of a drill that has stopped, with all of the draft gone.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    actuator : Cylinder or any other [-]
        What presses it down.
    soil : Soil [-]
        What the soil asks.
    gauge_pressure : float or array [Pa]
        The setting.

    Returns
    -------
    array [N]
        The most that a test at a standstill can read; some draft may stay locked in the soil.
    """
    still = Soil(soil.reaction, soil.reference_depth, soil.target_depth, soil.exponent, 0.0)
    return opener_loads(opener, actuator, still, 0.0, gauge_pressure).gauge_wheel_load


def seeds_to_dig(spread, error, confidence=0.95):
    """How many seeds to dig so that the mean depth is known well enough.

    Parameters
    ----------
    spread : float [m]
        Standard deviation of depth from seed to seed, a guess or from an earlier dig.
    error : float [m]
        Largest error of the mean that will do.
    confidence : float [-]
        How often the error may not be exceeded.

    Returns
    -------
    int [-]
        Number of seeds, spread over rows.

    Raises
    ------
    ValueError
        If the spread or the error is not positive, or the confidence not between 0 and 1.

    Notes
    -----
    n = (z s / E)^2 with z = 1.96 for 95 %, rounded up; textbook sampling, seeds independent of each other.
    """
    from scipy.special import ndtri

    z = float(ndtri(0.5 + between("confidence", confidence, 0.01, 0.9999) / 2.0))
    return int(np.ceil((z * positive("spread", spread) / positive("error", error)) ** 2))


def soil_from_dig(drill, field, depths, gauge_pressure, confidence=0.95):
    """Soil reaction from depths found by digging where the gauge wheels turned freely.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        Target depth, exponent, draft ratio and wanted load.
    depths : sequence of float [m]
        One depth a hole, behind rows outside wheel tracks.
    gauge_pressure : float [Pa]
        Setting while those seeds went in.
    confidence : float [-]
        Of the interval.

    Returns
    -------
    SoilEstimate [N, Pa]
        Reaction, interval, and the pressures that follow.

    Raises
    ------
    ValueError
        If there are fewer than three depths, or one is not positive.

    Notes
    -----
    Each hole gives one reaction by the balance at its depth; interval by Student's t. A hole at the target
    depth says only that the soil asks for no more than that. Left out: the error of the gauge and of the
    assumed draft ratio.
    """
    from scipy.special import stdtrit

    depths = positive("depths", np.asarray(depths, dtype=float).ravel())
    if depths.size < 3:
        raise ValueError(f"depths has {depths.size} values; take at least three to see their spread.")
    opener, cylinder, soil = drill.opener, drill.cylinder, field.soil
    travel = np.clip(field.target_depth - depths, *cylinder.travel_stops(opener))
    weight, closing, _, draft = opener.shares(travel, np.zeros_like(travel))
    push = cylinder.down_force(opener, travel, gauge_pressure)
    push = push + weight * opener.weight - closing * opener.closing_load
    found = reaction_from_dig(depths, push, soil.draft_ratio, draft, field.target_depth, soil.exponent)
    mean, spread = float(found.mean()), float(found.std(ddof=1))
    tail = 0.5 + between("confidence", confidence, 0.01, 0.9999) / 2.0
    uncertainty = spread / float(np.sqrt(found.size))
    half = float(stdtrit(found.size - 1, tail)) * uncertainty
    ends = max(mean - half, 0.0), mean + half
    soils = [
        Soil(each, field.target_depth, field.target_depth, soil.exponent, soil.draft_ratio)
        for each in (mean, *ends)
    ]
    needed = [float(pressure_for_load(drill, each, field.aim.gauge_wheel_load)) for each in soils]
    return SoilEstimate(mean, *ends, confidence, spread, uncertainty, soils[0], *needed)
