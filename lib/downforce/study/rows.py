"""Many openers at once: heights and soils that the rows of a drill meet, and which share of them is short.

A sample is what a setting is judged on. It is drawn here from an assumed spread; the field pass takes it from
ground that was really crossed. Shares say how many are short, have enough or pack, and how much of the spread
comes from what. For passes with many openers one opener's kinematics are tabled over the travel.
"""

import math
from dataclasses import dataclass, replace
from functools import cached_property
from statistics import NormalDist

import numpy as np

from downforce.machine.drill import Drill, Opener
from downforce.machine.field import Field, Soil
from downforce.physics.balance import REGIMES, UPPER_STOP, soil_push
from downforce.physics.kinds import (
    Flags,
    Metre,
    MetrePerSecond,
    Metres,
    MetresPerSecondSquared,
    Newton,
    NewtonPerMetre,
    Newtons,
    Pascal,
    Ratio,
    Ratios,
    Wholes,
)
from downforce.physics.soil_reaction import draft_ratio_at_speed
from downforce.study.kept import kept
from downforce.study.opener_loads import OpenerLoads, opener_loads

LEAST_REACTION_SHARE = 0.05
"""No soil is drawn weaker than this share of the mean: a normal spread has no floor of its own [-]."""

EACH = ("travel", "reaction", "in_track", "row", "acceleration", "rubbing", "rise")
"""What a sample holds one of for each opener [-]."""


@dataclass(frozen=True)
class RunIn:
    """The ground that openers of a sample come over, points along the first axis, openers along the second.

    bumps: upward acceleration of the ground at equally spaced points, at `speed`.
    climb: rise of the ground relative to the frame from each point to the next.
    """

    bumps: MetresPerSecondSquared
    climb: Metres
    spacing: Metre
    speed: MetrePerSecond

    def at_speed(self, speed):
        """The same ground met at another speed."""
        return replace(self, bumps=self.bumps * (speed / self.speed) ** 2, speed=speed)


@dataclass(frozen=True, eq=False)
class RowSample:
    """Openers at many places, one element each.

    travel: height of the ground relative to the frame.
    reaction: soil reaction at the field's reference depth, track factor included.
    row: row, 0 at the left.
    basis: where the spread comes from, in words.
    rubbing: 1 where the disc rises against its seals, -1 where it falls.
    run_in: the ground before each opener, where the sample comes from one that was crossed.
    rise: how far the frame stands over its working height there, which is off `travel` already.
    """

    travel: Metres
    reaction: Newtons
    in_track: Flags
    row: Wholes
    acceleration: MetresPerSecondSquared
    basis: str
    rubbing: Ratios | None = None
    run_in: RunIn | None = None
    rise: Metres | None = None

    def __post_init__(self):
        for name in ("rubbing", "rise"):
            if getattr(self, name) is None:
                object.__setattr__(self, name, np.zeros(np.shape(self.travel)))

    @cached_property
    def rides(self):
        """The same places ridden by one actuator or another, as `study.ground.motion.ridden` keeps them."""
        return {}

    def under(self, rise):
        """The same places under a frame that stands by `rise` (rows,) [m] over its working height."""
        rise = rise[self.row]
        return replace(self, travel=self.travel + (self.rise - rise), rise=rise)

    def where(self, pick: slice | Flags | int) -> "RowSample":
        """Some of the openers."""
        run_in = self.run_in
        if run_in is not None:
            run_in = replace(run_in, bumps=run_in.bumps[:, pick], climb=run_in.climb[:, pick])
        return replace(self, **{name: getattr(self, name)[pick] for name in EACH}, run_in=run_in)

    def at_rest(self) -> "RowSample":
        """The same places with openers that neither bounce nor rub.

        Result: what is left when the bumps are taken out.
        """
        still = np.zeros_like(self.travel)
        return replace(self, acceleration=still, rubbing=still, run_in=None)

    def on_level_ground(self) -> "RowSample":
        """The same soils with every opener at its working height.

        Result: what is left when height is taken out, and with it the bumps.
        """
        level = np.zeros_like(self.travel)
        return replace(self.at_rest(), travel=level, rise=level)

    def on_even_soil(self) -> "RowSample":
        """The same heights with the mean soil of all rows everywhere."""
        return replace(self, reaction=np.full_like(self.reaction, self.reaction.mean()))


@kept(16)
def normal_quantiles(count: int) -> Ratios:
    """Standard normal quantiles at equal steps, of the standard library: scipy is slow to load."""
    normal = NormalDist()
    return np.array([normal.inv_cdf((place + 0.5) / count) for place in range(count)])


def assumed_sample(drill: Drill, field: Field, count=4096, seed=1) -> RowSample:
    """Openers at places drawn from the field file's own spread of height and of soil.

    Result: heights and soils, independent of each other; a track lies lower by its depth.

    Normal quantiles at equal steps, shuffled: the spread of the sample is the one asked for, so a share of
    rows does not jump with the seed. Left out: bumps at speed, and that neighbouring rows are alike on real
    ground.
    """
    random = np.random.default_rng(seed)
    row = np.arange(count) % drill.row_count
    steps = normal_quantiles(count)
    in_track = field.rows_in_tracks(drill)[row]
    tracks = field.tracks
    height = field.height_spread * random.permutation(steps)
    height = height - (tracks.depth if tracks else 0.0) * in_track
    reaction = field.soil.reaction + field.soil.spread * random.permutation(steps)
    reaction = np.maximum(reaction, LEAST_REACTION_SHARE * field.soil.reaction)
    factor = np.where(in_track, tracks.factor if tracks else 1.0, 1.0)
    basis = "the spread written in the field file, bumps at speed left out"
    return RowSample(height, reaction * factor, in_track, row, np.zeros(count), basis)


def sample_loads(
    opener: Opener, actuator, field: Field, sample: RowSample, gauge_pressure: Pascal | None = None
) -> OpenerLoads:
    """Loads of every opener of a sample.

    actuator: what presses it down.
    field: depths, exponent and draft ratio.
    Result: one element for each opener of the sample.
    """
    soil = asked_soil(field, sample)
    return opener_loads(
        opener, actuator, soil, sample.travel, gauge_pressure, sample.acceleration, sample.rubbing
    )


def asked_soil(field: Field, sample: RowSample) -> Soil:
    """What the soil asks of every opener of a sample.

    field: depths, exponent and draft ratio.
    Result: with one reaction for each opener.
    """
    soil = field.soil
    return Soil(sample.reaction, soil.reference_depth, field.target_depth, soil.exponent, soil.draft_ratio)


def sample_for(sample, field, other):
    """The same places where the field is described otherwise: its soil, its tracks, its speed of work.

    The soil of each place keeps its distance from the mean in standard deviations; a track keeps its rows.
    Without relief and terraces heights follow the spread written in the file. Where the speed is another the
    openers must be ridden again.
    """
    soil, new = field.soil, other.soil
    factor, depth = (1.0, 0.0) if field.tracks is None else (field.tracks.factor, field.tracks.depth)
    factor_now, depth_now = (1.0, 0.0) if other.tracks is None else (other.tracks.factor, other.tracks.depth)
    base = sample.reaction / np.where(sample.in_track, factor, 1.0)
    wider = new.spread / soil.spread if soil.spread > 0 else 1.0
    base = np.maximum(new.reaction + (base - soil.reaction) * wider, LEAST_REACTION_SHARE * new.reaction)
    travel = sample.travel + sample.rise + depth * sample.in_track
    if field.relief is None and field.terrace is None and field.height_spread > 0:
        travel = travel * (other.height_spread / field.height_spread)
    return replace(
        sample,
        travel=travel - sample.rise - depth_now * sample.in_track,
        reaction=base * np.where(sample.in_track, factor_now, 1.0),
        run_in=None if sample.run_in is None else sample.run_in.at_speed(other.speed),
    )


def at_speed(field, speed):
    """A field worked at another speed: its draft ratio grows or falls by the published rule."""
    ratio = float(draft_ratio_at_speed(field.soil.draft_ratio, speed, field.speed))
    return replace(field, speed=speed, soil=replace(field.soil, draft_ratio=ratio))


@dataclass(frozen=True)
class LoadShares:
    """How evenly the gauge wheels are loaded.

    mean, spread: mean and standard deviation of the gauge-wheel load.
    low, high: 5th and 95th percentile.
    not_at_depth: share of openers that are not at depth, for whatever reason.
    short: share with less than the least load, those not at depth among them.
    packing: share above the heavy load; those that the frame stands on are among them, whatever the pressure.
    mean_depth, depth_spread: mean and standard deviation of the depth.
    """

    mean: Newton
    spread: Newton
    low: Newton
    high: Newton
    not_at_depth: Ratio
    short: Ratio
    enough: Ratio
    packing: Ratio
    mean_depth: Metre
    depth_spread: Metre


@dataclass(frozen=True)
class SpreadParts:
    """Standard deviation of the push that is left over at the gauge wheel, and where it comes from.

    height: with the soil the same everywhere; where openers are thrown at speed, their inertia is in it.
    """

    height: Newton
    soil: Newton
    together: Newton


def load_shares(loads, aim, target_depth, where=np.s_[...]):
    """Shares of openers that are short, have enough and pack, of all or of those picked by `where`.

    Loads are OpenerLoads, a pass or any object with gauge_wheel_load, depth and regime.
    """
    load, depth = np.ravel(loads.gauge_wheel_load[where]), np.ravel(loads.depth[where])
    under = under_frame(loads.regime[where], loads.depth[where], target_depth).ravel()
    short = float(np.mean((load < aim.least_load) & ~under))
    packing = float(np.mean((load > aim.heavy_load) | under))
    low, high = np.percentile(load, [5, 95])
    return LoadShares(
        mean=float(load.mean()),
        spread=float(load.std()),
        low=float(low),
        high=float(high),
        not_at_depth=float(np.mean(depth < target_depth)),
        short=short,
        enough=1.0 - short - packing,
        packing=packing,
        mean_depth=float(depth.mean()),
        depth_spread=float(depth.std()),
    )


def under_frame(regime, depth, target_depth):
    """Which gauge wheels the frame itself stands on: at depth, with the arm on its upper stop."""
    stopped = regime == (REGIMES[UPPER_STOP] if regime.dtype.kind == "U" else UPPER_STOP)
    return stopped & (depth >= target_depth)


def spread_parts(
    opener: Opener, actuator, field: Field, sample: RowSample, gauge_pressure: Pascal | None = None
) -> SpreadParts:
    """How much of the spread comes from height and how much from soil.

    actuator: what presses it down.
    field: depths, exponent and draft ratio.
    Result: standard deviations; for independent causes their squares add up.

    The spread is that of the loads: the gauge-wheel load, or where the opener is not at depth the load it
    lacks there, so that the cut at zero does not hide the spread of the rows that fail.
    """

    # The three cases in one call: half the time of a panel that is moved by hand.
    cases = (sample.on_even_soil(), sample.on_level_ground(), sample)
    joined = RowSample(  # type: ignore[call-arg]
        *(  # type: ignore[arg-type]
            np.concatenate([getattr(case, name) for case in cases])
            for name in ("travel", "reaction", "in_track", "row", "acceleration")
        ),
        sample.basis,
        np.concatenate([case.rubbing for case in cases]),
    )
    loads = _load_at_depth(opener, actuator, field, joined, gauge_pressure).reshape(len(cases), -1)
    return SpreadParts(*(float(spread) for spread in loads.std(axis=1)))


def _load_at_depth(opener, actuator, field, sample, gauge_pressure):
    loads = sample_loads(opener, actuator, field, sample, gauge_pressure)
    soil = field.soil
    target = asked_soil(field, sample).target_reaction
    _, _, gauge_share, draft_share = opener.shares(loads.travel, loads.ground_travel)
    lacking = soil_push(target - loads.soil_reaction, soil.draft_ratio, draft_share) / gauge_share
    return loads.gauge_wheel_load - lacking


STEP = 5e-5
"""Travel between tabled points [m]; working height is one of them, so level ground loses nothing."""

RATE_STEP = 2e-3
"""Step over which the rise of the push is taken [m]."""


class OpenerTable:
    """Lever ratios of an opener and length and leverage of its actuator, joined by straight lines.

    actuator: what presses it down.

    The tabled functions are smooth, so the straight lines miss them by about 1e-9 of their value: well under
    a thousandth of a newton. Force laws with corners (a slack spring, an end of stroke) are not tabled.
    """

    def __init__(self, opener: Opener, actuator):
        self.lowest, self.highest = actuator.travel_stops(opener)
        self._actuator = actuator
        first = math.floor(self.lowest / STEP) - 1
        travel = np.arange(first, math.ceil(self.highest / STEP) + 2) * STEP
        self._first = first
        weight, closing, gauge, draft = opener.shares(travel, np.zeros_like(travel))
        # Draft works at the ground's height, and its share is a straight line in that height.
        further = opener.shares(travel, np.ones_like(travel))[3] - draft
        self._further = _rows(further) if np.any(further) else None
        self._gauge = _rows(gauge) if np.any(gauge != 1.0) else None
        self._weight, self._closing, self._draft = _rows(weight), _rows(closing), _rows(draft)
        self._length = _rows(actuator.length(opener, travel))
        self._leverage = _rows(actuator.leverage(opener, travel))

    def shares(self, travel: Metres, ground_travel: Metres) -> tuple[Ratios, Ratios, Ratios, Ratios]:
        """Newtons at the disc for one newton of weight, closing wheel, gauge wheel and draft.

        Result: as Opener.shares.
        """
        place = self._place(travel)
        draft = _between(self._draft, *place)
        if self._further is not None:
            draft += ground_travel * _between(self._further, *place)
        gauge = np.ones_like(travel) if self._gauge is None else _between(self._gauge, *place)
        return _between(self._weight, *place), _between(self._closing, *place), gauge, draft

    def length(self, travel: Metres) -> Metres:
        """Pin-to-pin length of the actuator."""
        return _between(self._length, *self._place(travel))

    def down_force(self, travel: Metres, gauge_pressure: Pascal | None = None) -> Newtons:
        """What the actuator gives at the disc."""
        place = self._place(travel)
        force = self._actuator.axial_force(_between(self._length, *place), gauge_pressure)
        return force * _between(self._leverage, *place)

    def friction(self, travel: Metres, gauge_pressure: Pascal | None = None) -> Newton:
        """Seal friction felt at the disc, whichever way it works.

        Result: friction along the axis x leverage; 0.0 where there is none at all.
        """
        place = self._place(travel)
        length = _between(self._length, *place)
        force = self._actuator.friction_force(gauge_pressure, length)
        return np.abs(force * _between(self._leverage, *place)) if np.any(force) else 0.0

    def push_rate(self, travel: Metres, gauge_pressure: Pascal | None = None) -> NewtonPerMetre:
        """Rise of the push for each metre of travel.

        Result: by a step of `RATE_STEP` either way, within the stops; 0.0 at held pressure, being next to
            none.
        """
        if gauge_pressure is not None:
            return 0.0
        low, high = (np.clip(travel + way * RATE_STEP, self.lowest, self.highest) for way in (-1.0, 1.0))
        step = np.maximum(high - low, STEP)
        return np.maximum((self.down_force(high) - self.down_force(low)) / step, 0.0)

    def _place(self, travel):
        """Tabled point at or below each travel, and how far on to the next."""
        steps = travel / STEP - self._first
        index = steps.astype(np.intp)
        return index, steps - index


def _rows(values):
    """Each tabled value and the step to the next."""
    return values[:-1].copy(), np.diff(values)


def _between(rows, index, part):
    start, step = rows
    found = step.take(index)
    found *= part
    found += start.take(index)
    return found
