"""Lift pressure over soil, hopper fill, slope and speed, over a day, and with other wings.

In a day the hopper empties. Wing against centre: what fold cylinders, the place of the wing's weight and
separate pressures do.
"""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Soil
from downforce.machine.units import METRIC, US
from downforce.physics import kinds as si
from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.frame_supports import wheel_loads
from downforce.physics.soil_reaction import draft_ratio_at_speed
from downforce.study.frame.loads import frame_model, standing_load
from downforce.study.frame_lift import (
    CANNOT_STAND,
    LiftLimits,
    disc_load_for,
    lift_pressure,
    load_with_headroom,
    pressure_for_frame_load,
    pressure_with_headroom,
)
from downforce.study.setting.row_needs import pressure_for_load

FILLS = 41
"""Hopper fills between which the lift is taken as a straight line [-]."""
SEED_RATE_UNITS = {one.name: (one.unit("seed rate"), float(one.si("seed rate", 1.0))) for one in (METRIC, US)}
"""Unit of seed rate for each unit system, and its size [kg/m2]."""


@dataclass(frozen=True)
class LiftCurves:
    """Lift pressure of each section over soil reaction and hopper fill.

    reaction (soils,): soil reaction at the target depth.
    hopper_fill (fills,): share of a full hopper.
    limits: shape (soils, fills): pressures, loads, supports and whether the disc is at depth.
    needed (soils,): setting for the wanted gauge-wheel load.
    """

    reaction: si.Newtons
    hopper_fill: si.Ratios
    limits: LiftLimits
    needed: si.Pascals
    draft_ratio: si.Ratio


@dataclass(frozen=True)
class HopperDay:
    """A day's work with one setting while the hopper empties.

    seed_left (fills,): on the frame, from full to empty.
    area (fills,): sown since the hopper was full.
    lift_pressure (fills, sections): lift pressure of each section.
    pressure_kept (fills,): highest pressure that keeps the headroom on every section and stays below the lift
        by the doubt.
    headroom_share: share of the frame load kept in hand.
    lifts_at_seed: seed left when the first section lifts at the setting; zero if never, NaN if it lifts when
        full.
    refill_at_seed: seed left when headroom or doubt is used up; zero if never, NaN if there is none even when
        full.
    lifts_after_area, refill_after_area: area sown by then; NaN with them, inf if never.
    """

    seed_left: si.Kilograms
    area: si.SquareMetres
    lift_pressure: si.Pascals
    pressure_kept: si.Pascals
    gauge_pressure: si.Pascal
    headroom_share: si.Ratio
    lifts_at_seed: si.Kilogram
    refill_at_seed: si.Kilogram
    lifts_after_area: si.SquareMetre
    refill_after_area: si.SquareMetre


def lift_curves(
    drill: Drill,
    soil: Soil,
    reactions: si.Newtons,
    fills: si.Ratios,
    wanted: si.Newton,
    side_slope: si.Radian = 0.0,
    grade: si.Radian = 0.0,
    speed: si.MetrePerSecond | None = None,
    base_speed: si.MetrePerSecond | None = None,
) -> LiftCurves:
    """Lift pressure over soil reaction and hopper fill, in one go.

    soil: depths, exponent and draft ratio; its reaction is not used.
    reactions (soils,): soil reaction at the target depth.
    fills (fills,): share of a full hopper.
    side_slope: positive when the right side is the lower one.
    grade: positive when the drill is pulled uphill.
    speed: ground speed; draft grows with it from its value at base_speed.
    Result: one lift pressure for each soil, fill and section.
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
    drill: Drill,
    soil: Soil,
    gauge_pressure: si.Pascal,
    seed_rate: si.KilogramPerSquareMetre,
    headroom_share: si.Ratio = 0.0,
    doubt: tuple[si.Pascal, si.Pascal] = (0.0, 0.0),
) -> HopperDay:
    """When the frame lifts as the hopper empties, at one setting.

    doubt: how far to stay below the lift with the hopper full, and empty; a straight line between.
    Result: lift pressure against seed left, and when to refill.

    All hoppers empty together. Between fills the lift pressure is taken as a straight line.
    """
    if not drill.seed_on_frame:
        raise ValueError(f"{drill.name} carries no seed on its frame: the cart's seed does not weigh on it.")
    rate = positive("seed_rate", seed_rate)
    pressure = float(not_negative("gauge_pressure", gauge_pressure))
    fill = np.linspace(1.0, 0.0, FILLS)
    full = sum(hopper.mass for hopper in drill.hoppers)
    limits = lift_pressure(drill, soil, fill)
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


@dataclass(frozen=True)
class FoldSweep:
    """Lift of each section over the moment of the fold cylinders.

    fold_moment (moments,): at every hinge, pressing the outer section down; only those at which the frame
        stands.
    limits: shape (moments,).
    best_moment: the moment at which the first section to lift does so latest; the smallest of equals.
    """

    fold_moment: si.NewtonMetres
    limits: LiftLimits
    best_moment: si.NewtonMetre


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
    headroom_share: si.Ratio
    common_pressure: si.Pascal
    common_load: si.Newton
    pressure: si.Pascals
    gauge_wheel_load: si.Newtons

    @property
    def gain(self) -> si.Newtons:
        """Gauge-wheel load each section gains by a pressure of its own, shape (sections,)."""
        return self.gauge_wheel_load - self.common_load


def fold_sweep(drill: Drill, soil: Soil, moments: si.NewtonMetres, hopper_fill: si.Ratio = 0.0) -> FoldSweep:
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


def with_wing_weight_at(drill: Drill, share: si.Ratio) -> Drill:
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
    drill: Drill, soil: Soil, hopper_fill: si.Ratio = 0.0, headroom_share: si.Ratio = 0.15
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
