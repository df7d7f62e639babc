"""Many openers at once: the heights and soils that the rows of a drill meet on a field.

A sample is what a setting is judged on. This module draws it from an assumed spread;
the field pass takes it from ground that was really crossed.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from downforce.machine.drill import Drill, Opener
from downforce.machine.field import Field, Soil
from downforce.physics.kinds import (
    Flags,
    Metre,
    MetrePerSecond,
    Metres,
    MetresPerSecondSquared,
    Newtons,
    Pascal,
    Ratios,
    Wholes,
)
from downforce.physics.soil import draft_ratio_at_speed
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


@dataclass(frozen=True)
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


def assumed_sample(drill: Drill, field: Field, count=4096, seed=1) -> RowSample:
    """Openers at places drawn from the field file's own spread of height and of soil.

    Result: heights and soils, independent of each other; a track lies lower by its depth.

    Normal quantiles at equal steps, shuffled: the spread of the sample is the one asked for, so a share of
    rows does not jump with the seed. Left out: bumps at speed, and that neighbouring rows are alike on real
    ground.
    """
    from scipy.special import ndtri

    random = np.random.default_rng(seed)
    row = np.arange(count) % drill.row_count
    steps = ndtri((np.arange(count) + 0.5) / count)
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
