"""What to set on the gauge for today's soil, between which limits, how sure that is, and why.

As much as the wanted share of rows needs, unless more turn packing; never less than was asked for the mean
row; never above the ceiling.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.unit_table import UnitSystem, percent
from downforce.machine.units import unit_system
from downforce.physics.kinds import Pascal, Ratio
from downforce.study.cylinders.force_needs import Limit, pressure_limits
from downforce.study.frame.tyre_give import gauge_moves, working_rise
from downforce.study.frame_lift import LiftLimits, lift_pressure, pressure_with_headroom
from downforce.study.ground.motion import RIDES
from downforce.study.kept import kept
from downforce.study.rows import LoadShares, RowSample, assumed_sample, load_shares, sample_loads
from downforce.study.setting.reasons import Reason, in_both, inside, setting_reasons, straw_words
from downforce.study.setting.row_needs import SAMPLE_COUNT, pass_sample, pressure_for_load
from downforce.study.setting.sureness import (
    SETTLED,
    Case,
    Intervals,
    LiftChance,
    lift_slopes,
    mean_frame_load,
    the_rule,
)

FEW_ON_STOPS = 0.01
"""Share of rows on a travel stop that is not worth a word [-]; a choice of this project."""
DECISIONS = {
    "wanted load": "the wanted load on the mean row",
    "share": "the wanted share of rows",
    "best": "most rows with enough",
    "packing": "rows that begin to pack",
}
"""What may decide a setting beside floor and ceiling, by its kind, as a page says it."""


@dataclass(frozen=True, eq=False)
class PressureSetting:
    """What to set, in which band, how sure it is, and why.

    setting: what to set on the gauge; NaN where the ceiling is below what the valve holds: then there is
        none.
    needed: for the wanted load on the mean row outside tracks, limits aside.
    needed_in_tracks: the same in the wheel tracks, with the frame standing outside them; NaN where there are
        none.
    best, needed_for_share, packing_at: where most rows have enough, where the wanted share of all rows has
        the least load (inf where no pressure does it), and where more rows off the upper stop pack than are
        allowed; limits aside. Each with a frame that stands and openers that bounce as they do at that
        pressure itself, not at the setting.
    band: the one stretch round the setting with at most 5 points less rows with enough.
    decided_by: a key of `DECISIONS`, "floor" or "ceiling".
    lift: where the frame lifts, in this soil at this hopper fill.
    lift_with_headroom: highest pressure that keeps the wanted headroom on every section.
    lift_with_chance: highest reading at which the frame lifts with 5 % probability, the gauge's error in it.
    headroom: share of the available weight not used at the setting, on the section that goes first.
    reached: whether the setting gives the wanted load to the mean row outside tracks.
    shares_outside, shares_in_tracks: the same of the rows outside wheel tracks and in them; None without
        tracks.
    on_stops, under_frame: share of the rows whose ground is beyond a travel stop, and beyond the upper one.
    """

    setting: Pascal
    needed: Pascal
    needed_in_tracks: Pascal
    best: Pascal
    needed_for_share: Pascal
    packing_at: Pascal
    band: tuple[Pascal, Pascal]
    floor: Limit
    limit: Limit
    decided_by: str
    lift: LiftLimits
    lift_with_headroom: Pascal
    lift_with_chance: Pascal
    headroom: Ratio
    reached: bool
    shares: LoadShares
    shares_outside: LoadShares | None
    shares_in_tracks: LoadShares | None
    on_stops: Ratio
    under_frame: Ratio
    case: Case
    chance: LiftChance
    intervals: Intervals

    @property
    def exists(self):
        """Whether there is a setting at all."""
        return bool(np.isfinite(self.setting))

    @property
    def ceiling(self) -> Pascal:
        """Highest pressure allowed."""
        return self.limit.gauge_pressure

    @property
    def ceiling_set_by(self):
        """What sets it, in words."""
        return self.limit.words

    @property
    def set_by(self):
        """What decides the setting, in words."""
        ends = {"floor": self.floor.words, "ceiling": self.limit.words}
        return ends.get(self.decided_by) or DECISIONS[self.decided_by]

    @property
    def aim_met(self):
        """Whether the wanted share of the rows has the least load at the setting."""
        return self.exists and self.needed_for_share <= self.setting

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """Every pressure that has a say, from the lowest up, in the units of the drill's owner."""
        return self.reasons_in(unit_system(self.case.drill.units))

    def reasons_in(self, units: UnitSystem) -> tuple[Reason, ...]:
        """The same in the units of whoever reads them."""
        return setting_reasons(units, pressure_limits(self.case.drill), self)

    def up_to(self, ceiling=np.inf) -> Pascal:
        """What the rule would set under another ceiling."""
        pressures = self.needed, self.best, self.needed_for_share, self.packing_at
        return float(the_rule(self.floor.gauge_pressure, ceiling, *pressures))

    @property
    def red_line(self) -> Pascal:
        """What no gauge should pass: the low end of the lift, or the parts where they end before it."""
        return min(self.lift_interval[0], pressure_limits(self.case.drill).highest)

    @cached_property
    def interval(self) -> Pascal:
        """Where the setting lies, 90 %."""
        return self.intervals.setting_interval

    @cached_property
    def ceiling_interval(self) -> Pascal:
        """Where the ceiling lies, 90 %."""
        return self.intervals.ceiling_interval

    @cached_property
    def lift_interval(self) -> Pascal:
        """Where the frame lifts, 90 %."""
        return self.intervals.lift_interval

    @cached_property
    def headroom_interval(self) -> Ratio:
        """Where the headroom lies, 90 %."""
        used = self.case.frame_load(self.pressed)
        return self.intervals.headroom_interval(used, self.lift.frame_load)

    @cached_property
    def sure(self) -> Ratio:
        """Probability that the number as dialled lies below the lift, the gauge's error in it."""
        return self.chance.sure(self.to_set(unit_system(self.case.drill.units)))

    @cached_property
    def remedies(self):
        """What would help, best first; worked out when asked."""
        from downforce.study.setting.remedies import remedies

        return remedies(self)

    @property
    def pressed(self) -> Pascal:
        """The pressure that rows are counted at: the setting, or the floor where there is none."""
        return self.setting if self.exists else self.floor.gauge_pressure

    def to_set(self, units):
        """The setting as a person can set it: rounded to what a gauge is read to, inside its band."""
        if not self.exists:
            return float("nan")
        return inside(units, self.setting, self.band, self.ceiling)

    def words(self, units):
        """The setting in both unit systems, each rounded as it can be set, such as "60 bar (870 psi)"."""
        return in_both(units, self.to_set) if self.exists else "no setting"

    @property
    def moved_words(self):
        """Which rows the gauge moves, in a sentence; empty where it moves them all."""
        return gauge_moves(self.case.drill)

    @property
    def straw_words(self):
        """What straw does here, and whether more force can cure it; empty without straw."""
        return straw_words(self.case.field)

    @property
    def stop_words(self):
        """That rows are on a travel stop, where more than `FEW_ON_STOPS` of them are; else empty."""
        if self.on_stops <= FEW_ON_STOPS:
            return ""
        words = f"{percent(self.on_stops)} of the rows are on a travel stop here; no pressure helps them"
        if self.under_frame <= FEW_ON_STOPS:
            return words
        return f"{words}. The frame stands on {percent(self.under_frame)}: they pack at any pressure"


@kept(16)
def usual_sample(drill, field, count=SAMPLE_COUNT):
    """The openers that a setting is judged on if no others are given.

    From a pass over the field's own relief and terraces at its speed; from the spread written in its file,
    without bumps, where it describes neither.
    """
    if field.relief is None and field.terrace is None:
        return assumed_sample(drill, field, count)
    return pass_sample(drill, field, count)


@kept(24)
def recommend(
    drill: Drill,
    field: Field,
    sample: RowSample | None = None,
    hopper_fill: Ratio = 0.0,
    like: PressureSetting | None = None,
) -> PressureSetting:
    """Setting for a drill on a field, with its band, its limits, how sure it is and its reasons.

    sample: where the openers are; `usual_sample` if left out.
    hopper_fill: share of a full hopper; the emptiest the operator allows.
    like: an earlier answer close by, whose slopes are kept while a slider moves.
    Result: setting, band, ceiling, intervals, remedies and reasons.

    setting = max(lowest the valve holds, min(ceiling, max(needed, min(best, needed_for_share, packing_at)))).
    The ceiling is the lowest of the parts, the headroom on the best estimate, and the reading at which the
    frame lifts with 5 % probability; the last two are never multiplied. All of them are those of this soil at
    this fill. Each pressure that rows ask for is counted as openers bounce at it. Rows that keep their
    springs are not counted: no gauge moves them, and `moved_words` says so. A row in a track is taken to work
    its whole depth lower than the others, on every drill: where the wheels of the frame run in the same
    tracks the row needs less than is said here.
    """
    if sample is None:
        return recommend(drill, field, usual_sample(drill, field), hopper_fill, like)
    if drill.half_refitted:
        sample = sample.where(~drill.row_on_springs[sample.row])
    case = Case(drill, field, sample, hopper_fill)
    limits, lift = pressure_limits(drill), lift_pressure(drill, field.opener_soil, hopper_fill)
    slopes = lift_slopes(drill, field, hopper_fill) if like is None else like.chance.slopes
    chance = LiftChance(lift.pressure, slopes, gauge_error(drill))
    with_headroom = float(pressure_with_headroom(drill, field.opener_soil, lift, field.aim.headroom))
    with_chance = min(chance.highest, float(lift.lowest))
    first = f"{lift.first_section}, {lift.first_support}"
    parts = _parts_limit(drill, limits)
    limit = min(
        parts,
        Limit("headroom", with_headroom, f"frame lift: {first}"),
        Limit("chance of lift", with_chance, f"5 % chance of frame lift: {first}"),
        key=lambda one: one.gauge_pressure,
    )
    exists = limit.gauge_pressure >= limits.lowest

    def rule(pressures):
        return float(the_rule(limits.lowest, limit.gauge_pressure, *pressures))

    case, pressures = case.settled(rule) if like is None else _near(case, like, rule)
    ruled, sample = rule(pressures), case.sample
    needed, best, for_share, packing_at = pressures
    setting = ruled if exists else float("nan")
    loads = sample_loads(drill.opener, drill.cylinder, field, sample, ruled)
    highest = max(limit.gauge_pressure, limits.lowest)
    parted = sample.in_track.any() and not sample.in_track.all()
    return PressureSetting(
        setting=setting,
        needed=needed,
        needed_in_tracks=_in_tracks(drill, field),
        best=best,
        needed_for_share=for_share,
        packing_at=packing_at,
        band=case.needs.band(ruled, limits.lowest, highest) if exists else (float("nan"),) * 2,
        floor=limits.floor,
        limit=limit,
        decided_by=_decided_by(ruled, limits.lowest, limit.gauge_pressure, pressures),
        lift=lift,
        lift_with_headroom=with_headroom,
        lift_with_chance=with_chance,
        headroom=_headroom(case.frame_load(ruled), lift),
        reached=bool(exists and needed <= ruled),
        shares=load_shares(loads, field.aim, field.target_depth),
        shares_outside=_shares(loads, field, ~sample.in_track) if parted else None,
        shares_in_tracks=_shares(loads, field, sample.in_track) if parted else None,
        on_stops=_on_stops(drill, sample),
        under_frame=case.needs.under_frame,
        case=case,
        chance=chance,
        intervals=Intervals(
            case,
            chance,
            ruled,
            pressures,
            limits.lowest,
            parts.gauge_pressure,
            min(with_headroom, with_chance),
            None if like is None else like.intervals,
        ),
    )


def frame_headroom(drill: Drill, field: Field, gauge_pressure: Pascal, hopper_fill: Ratio = 0.0) -> Ratio:
    """Share of the weight an opener may borrow that is not borrowed, on the section that goes first.

    Result: 1 - used / available; zero or less when the section lifts.
    """
    soil = field.opener_soil
    rise = working_rise(drill, soil, None, gauge_pressure, hopper_fill).mean()
    used = mean_frame_load(drill, soil, gauge_pressure, -float(rise))
    return _headroom(used, lift_pressure(drill, soil, hopper_fill))


def gauge_error(drill) -> Pascal:
    """Largest error of a drill's gauge, the same all over its dial."""
    gauge = drill.hydraulics.gauge
    return gauge.accuracy * gauge.full_scale


def _near(case, like, rule):
    """Case and pressures of the rule, by the leans of an earlier answer close by: a ride or two."""
    case, ruled = replace(case, leans=like.case.leans), like.pressed
    for _ in range(RIDES):
        case, before = case.ridden(ruled), ruled
        ruled = rule(case.rule_pressures)
        if abs(ruled - before) < SETTLED:
            break
    return case, case.rule_pressures


def _headroom(used, lift):
    available = float(lift.frame_load.min())
    return 1.0 - used / available if available > 0 else float("-inf")


def _shares(loads, field, where):
    return load_shares(loads, field.aim, field.target_depth, where)


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


def _decided_by(setting, lowest, ceiling, pressures):
    needed, best, for_share, packing_at = pressures
    if setting <= lowest:
        return "floor"
    if setting >= ceiling:
        return "ceiling"
    if setting <= needed:
        return "wanted load"
    rows = {"share": for_share, "packing": packing_at, "best": best}
    return min(rows, key=rows.get)
