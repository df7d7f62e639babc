"""What to set on the gauge for today's soil, between which limits, and why."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.units import unit_system
from downforce.study.force_needs import down_force_wanted, pressure_limits
from downforce.study.frame_lift import LiftLimits, lift_pressure, pressure_for_frame_load
from downforce.study.load_shares import LoadShares, load_shares
from downforce.study.opener_loads import opener_loads
from downforce.study.row_sample import assumed_sample, sample_loads


@dataclass(frozen=True)
class Reason:
    """One pressure that has a say in the setting.

    Attributes
    ----------
    name : str [-]
        Short name.
    gauge_pressure : float [Pa]
        The pressure.
    text : str [-]
        A sentence for the operator, in the units of the drill's owner with the others in brackets.
    """

    name: str
    gauge_pressure: float
    text: str


@dataclass(frozen=True)
class PressureSetting:
    """What to set, in which band, and why.

    Attributes
    ----------
    setting : float [Pa]
        What to set on the gauge.
    needed : float [Pa]
        For the wanted load on the mean row outside tracks, limits aside.
    needed_in_tracks : float [Pa]
        The same in the wheel tracks; NaN where there are none.
    needed_for_share : float [Pa]
        For the least load on the wanted share of all rows; NaN where no pressure below the ceiling does it.
    band : tuple of two floats [Pa]
        Lowest and highest pressure that will do.
    lift : LiftLimits [-]
        Where the frame lifts, in this soil at this hopper fill.
    lift_with_headroom : float [Pa]
        Highest pressure that keeps the wanted headroom on every section.
    headroom : float [-]
        Share of the available weight not used at the setting, on the section that goes first.
    ceiling : float [Pa]
        Highest pressure allowed, by whatever comes first.
    ceiling_set_by : str [-]
        What comes first.
    reached : bool [-]
        Whether the wanted load is reached below the ceiling.
    shares : LoadShares [-]
        What the rows carry at the setting.
    reasons : tuple of Reason [-]
        Every pressure that has a say, from the lowest up.
    """

    setting: float
    needed: float
    needed_in_tracks: float
    needed_for_share: float
    band: tuple[float, float]
    lift: LiftLimits
    lift_with_headroom: float
    headroom: float
    ceiling: float
    ceiling_set_by: str
    reached: bool
    shares: LoadShares
    reasons: tuple[Reason, ...]


def pressure_for_load(drill, soil, gauge_wheel_load, travel=0.0):
    """Gauge pressure that leaves a wanted load on the gauge wheel.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    soil : Soil [-]
        What the soil asks.
    gauge_wheel_load : float or array [N]
        Wanted on the gauge wheel.
    travel : float or array [m]
        Travel of the disc, at its target depth.

    Returns
    -------
    float or array [Pa]
        Zero where the opener's weight alone gives more.

    Notes
    -----
    The balance of an opener at depth, solved for the pressure: wanted down force over area and leverage.
    """
    push = down_force_wanted(drill.opener, soil, gauge_wheel_load, travel)
    return np.maximum(push, 0.0) / (drill.cylinder.area * drill.cylinder.leverage(drill.opener, travel))


def recommend(drill, field, sample=None, hopper_fill=0.0):
    """Setting for a drill on a field, with its band and its reasons.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    sample : RowSample, optional [-]
        Where the openers are; drawn from the field file's own spread if left out.
    hopper_fill : float [-]
        Share of a full hopper; the emptiest the operator allows.

    Returns
    -------
    PressureSetting [Pa]
        Setting, band and reasons. Never above the lift, relief or valve limit.

    Notes
    -----
    The setting gives the wanted load to the mean row outside tracks. The band reaches down to where that row
    keeps the least load, and up to where more rows than allowed are heavy, or the ceiling. The ceiling is the
    lowest of: frame lift less headroom, highest valve setting, relief valve, ratings of the parts.
    """
    sample = assumed_sample(drill, field) if sample is None else sample
    aim, soil = field.aim, field.opener_soil
    limits = pressure_limits(drill)
    needed = float(pressure_for_load(drill, soil, aim.gauge_wheel_load))
    track = _in_tracks(drill, field)
    lift = lift_pressure(drill, soil, hopper_fill)
    with_headroom = _with_headroom(drill, soil, lift, aim.headroom)
    ceiling, set_by = limits.highest, limits.highest_set_by
    if with_headroom < ceiling:
        ceiling, set_by = with_headroom, f"frame lift: {lift.first_section}, {lift.first_support}"

    low = max(limits.lowest, float(pressure_for_load(drill, soil, aim.least_load)))
    heavy_at = pressure_for_share(
        drill, field, sample, lambda shares: shares.heavy, 1.0 - aim.share_in, limits.lowest, ceiling
    )
    enough_at = pressure_for_share(
        drill, field, sample, lambda shares: shares.light, 1.0 - aim.share_in, limits.lowest, ceiling
    )
    high = ceiling if heavy_at is None else min(ceiling, max(heavy_at, low))
    setting = float(np.clip(needed, min(low, high), high))
    shares = load_shares(
        sample_loads(drill.opener, drill.cylinder, field, sample, setting), aim, field.target_depth
    )
    result = {
        "setting": setting,
        "needed": needed,
        "needed_in_tracks": track,
        "needed_for_share": float("nan") if enough_at is None else enough_at,
        "band": (min(low, high), high),
        "lift": lift,
        "lift_with_headroom": with_headroom,
        "headroom": frame_headroom(drill, field, setting, hopper_fill),
        "ceiling": ceiling,
        "ceiling_set_by": set_by,
        "reached": needed <= ceiling,
        "shares": shares,
    }
    return PressureSetting(**result, reasons=_reasons(drill, field, limits, heavy_at, result))


def frame_headroom(drill, field, gauge_pressure, hopper_fill=0.0):
    """Share of the weight an opener may borrow that is not borrowed, on the section that goes first.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    gauge_pressure : float [Pa]
        The setting.
    hopper_fill : float [-]
        Share of a full hopper.

    Returns
    -------
    float [-]
        1 - used / available; zero or less when the section lifts.
    """
    soil = field.opener_soil
    lift = lift_pressure(drill, soil, hopper_fill)
    used = float(opener_loads(drill.opener, drill.cylinder, soil, 0.0, gauge_pressure).frame_load)
    available = float(lift.frame_load.min())
    return 1.0 - used / available if available > 0 else float("-inf")


def pressure_for_share(drill, field, sample, share, wanted, lowest, highest):
    """Pressure at which a share of the rows that rises or falls with pressure takes a wanted value.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    sample : RowSample [-]
        Where the openers are.
    share : callable [-]
        share(LoadShares) -> the share looked at.
    wanted : float [-]
        Its wanted value.
    lowest, highest : float [Pa]
        Between which to look.

    Returns
    -------
    float or None [Pa]
        None where the share does not take that value between the ends.
    """
    from scipy.optimize import brentq

    def missing(pressure):
        loads = sample_loads(drill.opener, drill.cylinder, field, sample, pressure)
        return share(load_shares(loads, field.aim, field.target_depth)) - wanted

    if lowest >= highest or missing(lowest) * missing(highest) > 0:
        return None
    return float(brentq(missing, lowest, highest, xtol=1e4))


def _in_tracks(drill, field):
    if field.tracks is None or not field.rows_in_tracks(drill).any():
        return float("nan")
    travel = max(-field.tracks.depth, drill.cylinder.travel_stops(drill.opener)[0])
    return float(pressure_for_load(drill, field.track_soil, field.aim.gauge_wheel_load, travel))


def _with_headroom(drill, soil, lift, headroom):
    allowed = lift.frame_load * np.where(lift.frame_load > 0, 1.0 - headroom, 1.0)
    return float(np.min(pressure_for_frame_load(drill, soil, allowed)))


def _reasons(drill, field, limits, heavy_at, found):
    show = unit_system(drill.units).both
    aim = field.aim
    wanted = show("force", aim.gauge_wheel_load)
    reasons = [
        Reason(
            "lowest setting",
            limits.lowest,
            f"Below {show('pressure', limits.lowest)} {limits.lowest_set_by} keeps the oil from going lower.",
        ),
        Reason(
            "wanted load",
            found["needed"],
            f"{show('pressure', found['needed'])} leaves {wanted} on the gauge wheel of the mean row.",
        ),
        Reason(
            "frame lift",
            float(found["lift"].lowest),
            f"At {show('pressure', found['lift'].lowest)} the {found['lift'].first_section} goes light "
            f"({found['lift'].first_support}); above that a higher gauge brings nothing.",
        ),
        Reason(
            "frame lift less headroom",
            found["lift_with_headroom"],
            f"{show('pressure', found['lift_with_headroom'])} keeps {aim.headroom:.0%} of the weight in hand "
            "for bumps.",
        ),
        Reason(
            "parts",
            limits.highest,
            f"{limits.highest_set_by[:1].upper()}{limits.highest_set_by[1:]} ends at "
            f"{show('pressure', limits.highest)}.",
        ),
    ]
    if np.isfinite(found["needed_in_tracks"]):
        reasons.append(
            Reason(
                "wheel tracks",
                found["needed_in_tracks"],
                f"Rows in wheel tracks need {show('pressure', found['needed_in_tracks'])} for the same load.",
            )
        )
    if np.isfinite(found["needed_for_share"]):
        reasons.append(
            Reason(
                "enough rows",
                found["needed_for_share"],
                f"{show('pressure', found['needed_for_share'])} gives {aim.share_in:.0%} of the rows "
                f"at least {show('force', aim.least_load)}.",
            )
        )
    if heavy_at is not None:
        reasons.append(
            Reason(
                "heavy rows",
                heavy_at,
                f"Above {show('pressure', heavy_at)} more than {1 - aim.share_in:.0%} of the rows carry over "
                f"{show('force', aim.heavy_load)}.",
            )
        )
    return tuple(sorted(reasons, key=lambda reason: reason.gauge_pressure))
