"""What to set on the gauge for today's soil, between which limits, and why."""

from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from downforce.machine.units import unit_system
from downforce.physics.checks import between
from downforce.study.cylinders.force_needs import Limit, pressure_limits
from downforce.study.frame_lift import LiftLimits, lift_pressure, pressure_with_headroom
from downforce.study.ground.pass_sample import SAMPLE_COUNT, pass_sample
from downforce.study.kept import kept
from downforce.study.opener_loads import down_force_wanted, opener_loads
from downforce.study.openers.load_shares import LoadShares, load_shares
from downforce.study.openers.row_sample import asked_soil, assumed_sample, sample_loads
from downforce.study.setting.reasons import Reason, inside, setting_reasons

FEW_ON_STOPS = 0.01
"""Share of rows on a travel stop that is not worth a word [-]; a choice of this project."""


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
        The same in the wheel tracks, with the frame standing outside them; NaN where there are none.
    needed_for_share : float [Pa]
        For the least load on the wanted share of all rows, limits aside; inf where no pressure does it.
        Where the ceiling allows it, the other setting to choose: see `words_for_share`.
    packing_for_share : float [-]
        Share of the rows that pack there.
    band : tuple of two floats [Pa]
        Lowest and highest pressure that will do.
    lift : LiftLimits [-]
        Where the frame lifts, in this soil at this hopper fill.
    lift_with_headroom : float [Pa]
        Highest pressure that keeps the wanted headroom on every section.
    lift_with_error : float [Pa]
        Highest reading at which a gauge that reads low by its own error is still below the lift.
    headroom : float [-]
        Share of the available weight not used at the setting, on the section that goes first.
    limit : Limit [Pa]
        Highest pressure allowed, with what comes first.
    set_by : str [-]
        What decides the setting: "wanted load", or the limit that keeps it lower or higher.
    reached : bool [-]
        Whether the setting gives the wanted load to the mean row outside tracks.
    shares : LoadShares [-]
        What the rows carry at the setting.
    on_stops : float [-]
        Share of the rows whose ground is beyond a travel stop.
    reasons : tuple of Reason [-]
        Every pressure that has a say, from the lowest up.
    """

    setting: float
    needed: float
    needed_in_tracks: float
    needed_for_share: float
    packing_for_share: float
    band: tuple[float, float]
    lift: LiftLimits
    lift_with_headroom: float
    lift_with_error: float
    headroom: float
    limit: Limit
    set_by: str
    reached: bool
    shares: LoadShares
    on_stops: float
    reasons: tuple[Reason, ...]

    @property
    def ceiling(self):
        """Highest pressure allowed [Pa]."""
        return self.limit.gauge_pressure

    @property
    def ceiling_set_by(self):
        """What sets it, in words."""
        return self.limit.words

    def to_set(self, units):
        """The setting as a person can set it: rounded to the gauge's step inside its band.

        Parameters
        ----------
        units : UnitSystem [-]
            Whose steps.

        Returns
        -------
        float [Pa]
            The pressure to print.
        """
        return inside(units, self.setting, self.band, self.ceiling)

    def words(self, units):
        """The setting in both unit systems, each rounded as it can be set.

        Parameters
        ----------
        units : UnitSystem [-]
            The one to write first.

        Returns
        -------
        str [-]
            Such as "60 bar (870 psi)".
        """
        return self._words(units, self.setting, self.band)

    def words_for_share(self, units, aim):
        """The pressure that brings the wanted share of rows to the least load, and whether it may be set.

        Parameters
        ----------
        units : UnitSystem [-]
            The one to write first.
        aim : Aim [-]
            What the grower wants.

        Returns
        -------
        str [-]
            Such as "78 bar (1130 psi) brings 95 % of the rows to 100 N (22 lbf) and 5 % over 890 N
            (200 lbf)"; empty where the setting does it already, and where the limit does not even give the
            mean row its wanted load.
        """
        least, heavy = (units.both("force", load) for load in (aim.least_load, aim.heavy_load))
        rows = f"{100 * aim.share_in:.0f} % of the rows to {least}"
        if self.needed_for_share <= self.setting or self.setting == self.ceiling:
            return ""
        if np.isinf(self.needed_for_share):
            return f"No pressure brings {rows}"
        if self.needed_for_share > self.ceiling:
            return (
                f"{units.both('pressure', self.needed_for_share)} would bring {rows}, but is above the limit"
            )
        pressure = self._words(units, self.needed_for_share, (0.0, self.ceiling))
        return f"{pressure} brings {rows} and {100 * self.packing_for_share:.0f} % over {heavy}"

    @property
    def stop_words(self):
        """That rows are on a travel stop, where more than `FEW_ON_STOPS` of them are; else empty [-]."""
        if self.on_stops <= FEW_ON_STOPS:
            return ""
        return f"{100 * self.on_stops:.0f} % of the rows are on a travel stop here; no pressure helps them"

    def _words(self, units, gauge_pressure, band):
        pressures = (inside(each, gauge_pressure, band, self.ceiling) for each in (units, units.other))
        first, second = (
            each.show("pressure", shown) for each, shown in zip((units, units.other), pressures, strict=True)
        )
        return f"{first} ({second})"


def pressure_for_load(drill, soil, gauge_wheel_load, travel=0.0, ground_travel=None, acceleration=0.0):
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
    ground_travel : float or array, optional [m]
        Travel the ground asks for, where a stop keeps the disc from it.
    acceleration : float or array [m/s2]
        Upward acceleration of the opener.

    Returns
    -------
    float or array [Pa]
        Zero where the opener's weight alone gives more.

    Notes
    -----
    The balance of an opener at depth, solved for the pressure: wanted down force over area and leverage.
    """
    push = down_force_wanted(drill.opener, soil, gauge_wheel_load, travel, ground_travel, acceleration)
    return drill.cylinder.pressure_for(drill.opener, push, travel)


def usual_sample(drill, field, count=SAMPLE_COUNT):
    """The openers that a setting is judged on if no others are given.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    count : int [-]
        How many openers at least.

    Returns
    -------
    RowSample [-]
        From a pass over the field's own relief and terraces at its speed; from the spread written in its
        file, without bumps, where it describes neither.
    """
    if field.relief is None and field.terrace is None:
        return assumed_sample(drill, field, count)
    return pass_sample(drill, field, count)


@kept(64)
def recommend(drill, field, sample=None, hopper_fill=0.0, units=None):
    """Setting for a drill on a field, with its band and its reasons.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    sample : RowSample, optional [-]
        Where the openers are; `usual_sample` if left out.
    hopper_fill : float [-]
        Share of a full hopper; the emptiest the operator allows.
    units : UnitSystem, optional [-]
        Units the reasons are written in; those of the drill if left out.

    Returns
    -------
    PressureSetting [Pa]
        Setting, band and reasons. Never above the lift, relief or valve limit.

    Notes
    -----
    The setting gives the wanted load to the mean row outside tracks; the pressure for the wanted share of
    rows is named beside it and is the grower's to choose. The band reaches down to where that row
    keeps the least load, and up to where more rows than allowed pack, or the ceiling. The ceiling is the
    lowest of: frame lift less headroom, frame lift less the error of the gauge, highest valve setting, relief
    valve, ratings of the parts less the error of the gauge. All of them are those of this soil at this fill.

    A row in a track is taken to work its whole depth lower than the others, on every drill. Where the wheels
    of the frame run in the same tracks the frame comes down as well and the row needs less than is said
    here; the figure is on the cautious side.
    """
    sample = usual_sample(drill, field) if sample is None else sample
    units = unit_system(drill.units) if units is None else units
    aim, soil = field.aim, field.opener_soil
    limits = pressure_limits(drill)
    needed = float(pressure_for_load(drill, soil, aim.gauge_wheel_load))
    track = _in_tracks(drill, field)
    lift = lift_pressure(drill, soil, hopper_fill)
    with_headroom = float(pressure_with_headroom(drill, soil, lift, aim.headroom))
    with_error = max(float(lift.lowest) - gauge_error(drill), 0.0)
    first = f"{lift.first_section}, {lift.first_support}"
    limit = min(
        _parts_limit(drill, limits),
        Limit("headroom", with_headroom, f"frame lift: {first}"),
        Limit("chance of lift", with_error, f"frame lift less the gauge's error: {first}"),
        key=lambda one: one.gauge_pressure,
    )
    ceiling = limit.gauge_pressure

    least = float(pressure_for_load(drill, soil, aim.least_load))
    packing_at = pressure_for_share(drill, field, sample, aim.heavy_load, 1.0 - aim.share_in)
    for_share = pressure_for_share(drill, field, sample, aim.least_load, aim.share_in)
    packing_for_share = np.mean(pressure_for_each(drill, field, sample, aim.heavy_load) < for_share)
    low, high = max(limits.lowest, least), min(ceiling, max(packing_at, limits.lowest, least))
    setting = float(np.clip(needed, min(low, high), high))
    shares = load_shares(
        sample_loads(drill.opener, drill.cylinder, field, sample, setting), aim, field.target_depth
    )
    result = {
        "setting": setting,
        "needed": needed,
        "needed_in_tracks": track,
        "needed_for_share": for_share,
        "packing_for_share": float(packing_for_share),
        "band": (min(low, high), high),
        "lift": lift,
        "lift_with_headroom": with_headroom,
        "lift_with_error": with_error,
        "headroom": frame_headroom(drill, field, setting, hopper_fill, lift),
        "limit": limit,
        "set_by": _set_by(needed, setting, limits, limit),
        "reached": bool(needed <= setting),
        "shares": shares,
        "on_stops": _on_stops(drill, sample),
    }
    return PressureSetting(**result, reasons=setting_reasons(units, aim, limits, packing_at, result))


def frame_headroom(drill, field, gauge_pressure, hopper_fill=0.0, lift=None):
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
    lift : LiftLimits, optional [-]
        Where the frame lifts, if it has been worked out already.

    Returns
    -------
    float [-]
        1 - used / available; zero or less when the section lifts.
    """
    soil = field.opener_soil
    lift = lift_pressure(drill, soil, hopper_fill) if lift is None else lift
    used = float(opener_loads(drill.opener, drill.cylinder, soil, 0.0, gauge_pressure).frame_load)
    available = float(lift.frame_load.min())
    return 1.0 - used / available if available > 0 else float("-inf")


def gauge_error(drill):
    """Largest error of a drill's gauge, the same all over its dial.

    Parameters
    ----------
    drill : Drill [-]
        The drill.

    Returns
    -------
    float [Pa]
        Accuracy times full scale.
    """
    gauge = drill.hydraulics.gauge
    return gauge.accuracy * gauge.full_scale


def pressure_for_each(drill, field, sample, gauge_wheel_load):
    """Gauge pressure at which each opener of a sample carries a given gauge-wheel load.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        Depths, exponent and draft ratio.
    sample : RowSample [-]
        Where the openers are.
    gauge_wheel_load : float [N]
        The load.

    Returns
    -------
    array [Pa]
        Inf where the opener hangs on its lower stop: no pressure brings it down to the ground.

    Notes
    -----
    At a given height the gauge-wheel load of a disc at depth rises in proportion to the pressure, so the
    pressure of each opener follows from the balance without a search.
    """
    lowest, highest = drill.cylinder.travel_stops(drill.opener)
    travel = np.clip(sample.travel, lowest, highest)
    soil = asked_soil(field, sample)
    pressure = pressure_for_load(drill, soil, gauge_wheel_load, travel, sample.travel, sample.acceleration)
    return np.where(sample.travel < lowest, np.inf, pressure)


def pressure_for_share(drill, field, sample, gauge_wheel_load, share):
    """Gauge pressure at which a share of the openers carries at least a given gauge-wheel load.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    sample : RowSample [-]
        Where the openers are.
    gauge_wheel_load : float [N]
        The load.
    share : float [-]
        Share of openers, 0 to 1.

    Returns
    -------
    float [Pa]
        Inf where no pressure does it.

    Raises
    ------
    ValueError
        If the share is not between 0 and 1.
    """
    each = np.sort(pressure_for_each(drill, field, sample, gauge_wheel_load))
    share = float(between("share", share, 0.0, 1.0))
    # A hair less than the product, so that 0.95 of 100 rows is 95 rows and not 96.
    return float(each[max(ceil(share * each.size - 1e-9), 1) - 1])


def _in_tracks(drill, field):
    if field.tracks is None or not field.rows_in_tracks(drill).any():
        return float("nan")
    travel = max(-field.tracks.depth, drill.cylinder.travel_stops(drill.opener)[0])
    return float(pressure_for_load(drill, field.track_soil, field.aim.gauge_wheel_load, travel))


def _on_stops(drill, sample):
    lowest, highest = drill.cylinder.travel_stops(drill.opener)
    return float(np.mean((sample.travel < lowest) | (sample.travel > highest)))


def _parts_limit(drill, limits):
    # Valves hold themselves at their limit; a rated part has only the gauge to keep it from its own.
    error = gauge_error(drill) if limits.top.kind == "rating" else 0.0
    return replace(limits.top, gauge_pressure=max(limits.highest - error, 0.0))


def _set_by(needed, setting, limits, limit):
    if setting < needed:
        return limit.words if setting == limit.gauge_pressure else "packing rows"
    if setting > needed:
        return limits.floor.words if setting == limits.lowest else "least load"
    return "wanted load"
