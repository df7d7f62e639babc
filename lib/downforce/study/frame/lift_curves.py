"""Lift pressure over soil, hopper fill, slope and speed, and over a day in which the hopper empties."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.units import METRIC, US
from downforce.physics.checks import between, not_negative, positive
from downforce.physics.soil import draft_ratio_at_speed
from downforce.study.frame_lift import LiftLimits, lift_pressure, pressure_with_headroom
from downforce.study.setting.row_needs import pressure_for_load

AREA_UNITS = {one.name: (one.unit("land"), float(one.si("land", 1.0))) for one in (METRIC, US)}
"""Unit of sown area for each unit system, and its size [m2]."""
SEED_RATE_UNITS = {one.name: (one.unit("seed rate"), float(one.si("seed rate", 1.0))) for one in (METRIC, US)}
"""Unit of seed rate for each unit system, and its size [kg/m2]."""


@dataclass(frozen=True)
class LiftCurves:
    """Lift pressure of each section over soil reaction and hopper fill.

    Attributes
    ----------
    reaction : array (soils,) [N]
        Soil reaction at the target depth.
    hopper_fill : array (fills,) [-]
        Share of a full hopper.
    limits : LiftLimits [Pa]
        Shape (soils, fills): pressures, loads, supports and whether the disc is at depth.
    needed : array (soils,) [Pa]
        Setting for the wanted gauge-wheel load.
    draft_ratio : float [-]
        Draft over soil reaction at the speed.
    """

    reaction: np.ndarray
    hopper_fill: np.ndarray
    limits: LiftLimits
    needed: np.ndarray
    draft_ratio: float


@dataclass(frozen=True)
class HopperDay:
    """A day's work with one setting while the hopper empties.

    Attributes
    ----------
    seed_left : array (fills,) [kg]
        On the frame, from full to empty.
    area : array (fills,) [m2]
        Sown since the hopper was full.
    lift_pressure : array (fills, sections) [Pa]
        Lift pressure of each section.
    pressure_kept : array (fills,) [Pa]
        Highest pressure that keeps the headroom on every section and stays below the lift by the doubt.
    gauge_pressure : float [Pa]
        The setting held.
    headroom_share : float [-]
        Share of the frame load kept in hand.
    lifts_at_seed : float [kg]
        Seed left when the first section lifts at the setting; zero if never, NaN if it lifts when full.
    refill_at_seed : float [kg]
        Seed left when headroom or doubt is used up; zero if never, NaN if there is none even when full.
    lifts_after_area, refill_after_area : float [m2]
        Area sown by then; NaN with them, inf if never.
    """

    seed_left: np.ndarray
    area: np.ndarray
    lift_pressure: np.ndarray
    pressure_kept: np.ndarray
    gauge_pressure: float
    headroom_share: float
    lifts_at_seed: float
    refill_at_seed: float
    lifts_after_area: float
    refill_after_area: float


def lift_curves(
    drill, soil, reactions, fills, wanted, side_slope=0.0, grade=0.0, speed=None, base_speed=None
):
    """Lift pressure over soil reaction and hopper fill, in one go.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    soil : Soil [-]
        Depths, exponent and draft ratio; its reaction is not used.
    reactions : array (soils,) [N]
        Soil reaction at the target depth.
    fills : array (fills,) [-]
        Share of a full hopper.
    wanted : float [N]
        Gauge-wheel load wanted.
    side_slope : float [rad]
        Positive when the right side is the lower one.
    grade : float [rad]
        Positive when the drill is pulled uphill.
    speed : float, optional [m/s]
        Ground speed; draft grows with it from its value at base_speed.
    base_speed : float, optional [m/s]
        Speed at which the soil's draft ratio holds.

    Returns
    -------
    LiftCurves [Pa]
        One lift pressure for each soil, fill and section.

    Raises
    ------
    ValueError
        If a value is out of bounds.
    """
    reaction = np.atleast_1d(positive("reactions", reactions))
    fill = np.atleast_1d(between("fills", fills, 0.0, 1.0))
    ratio = float(soil.draft_ratio)
    if speed is not None:
        ratio = float(draft_ratio_at_speed(ratio, speed, base_speed))
    ground = replace(soil, reaction=reaction, reference_depth=soil.target_depth, draft_ratio=ratio)
    column = replace(ground, reaction=reaction[:, None])
    limits = lift_pressure(drill, column, fill, side_slope, grade)
    return LiftCurves(reaction, fill, limits, pressure_for_load(drill, ground, wanted), ratio)


def hopper_day(
    drill, soil, gauge_pressure, seed_rate, headroom_share=0.0, side_slope=0.0, steps=41, doubt=(0.0, 0.0)
):
    """When the frame lifts as the hopper empties, at one setting.

    Parameters
    ----------
    drill : Drill [-]
        A drill with seed on its frame.
    soil : Soil [-]
        What the soil asks.
    gauge_pressure : float [Pa]
        The setting.
    seed_rate : float [kg/m2]
        Seed sown per area.
    headroom_share : float [-]
        Share of the frame load to keep in hand.
    side_slope : float [rad]
        Positive when the right side is the lower one.
    steps : int [-]
        Number of fills.
    doubt : tuple of two floats [Pa]
        How far to stay below the lift with the hopper full, and empty; a straight line between.

    Returns
    -------
    HopperDay [kg, m2]
        Lift pressure against seed left, and when to refill.

    Raises
    ------
    ValueError
        If the drill carries no seed, or a value is out of bounds.

    Notes
    -----
    All hoppers empty together. Between fills the lift pressure is taken as a straight line.
    """
    if not drill.seed_on_frame:
        raise ValueError(f"{drill.name} carries no seed on its frame: the cart's seed does not weigh on it.")
    rate = positive("seed_rate", seed_rate)
    pressure = float(not_negative("gauge_pressure", gauge_pressure))
    fill = np.linspace(1.0, 0.0, steps)
    full = sum(hopper.mass for hopper in drill.hoppers)
    limits = lift_pressure(drill, soil, fill, side_slope)
    seed = fill * full
    lifts_at = _seed_when(seed, limits.lowest, pressure)
    kept = np.minimum(
        pressure_with_headroom(drill, soil, limits, headroom_share),
        limits.lowest - (fill * doubt[0] + (1.0 - fill) * doubt[1]),
    )
    refill_at = _seed_when(seed, kept, pressure)
    return HopperDay(
        seed_left=seed,
        area=(full - seed) / rate,
        lift_pressure=limits.pressure,
        pressure_kept=kept,
        gauge_pressure=pressure,
        headroom_share=float(headroom_share),
        lifts_at_seed=lifts_at,
        refill_at_seed=refill_at,
        lifts_after_area=_area_at(lifts_at, full, rate),
        refill_after_area=_area_at(refill_at, full, rate),
    )


def _seed_when(seed, limit, pressure):
    """Seed left when a falling limit first meets the pressure."""
    over = limit <= pressure
    if over[0]:
        return float("nan")
    if not over.any():
        return 0.0
    i = int(np.argmax(over))
    share = (limit[i - 1] - pressure) / (limit[i - 1] - limit[i])
    if not np.isfinite(share):
        share = 1.0
    return float(seed[i - 1] + share * (seed[i] - seed[i - 1]))


def _area_at(seed, full, rate):
    return float("inf") if seed == 0.0 else float((full - seed) / rate)
