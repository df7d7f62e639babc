"""A sample of openers taken from ground that a drill really crosses, to judge a setting on."""

import math

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.ground.survey import SurveyedTrack
from downforce.study.ground.crossing import Crossing, cross_field
from downforce.study.ground.field_ground import IN_TRACK
from downforce.study.ground.motion import FINE, ridden
from downforce.study.kept import kept
from downforce.study.openers.row_sample import RowSample, RunIn
from downforce.study.setting.row_needs import pressure_for_load

SPACING = 2.3
"""Distance between the stations of a sample [m]; no whole part of the usual terrace spacings."""

SAMPLE_COUNT = 16384
"""Openers that a setting is judged on [-]: with more, "enough rows" moves by no more than a bar."""


@kept(16)
def sampled_crossing(
    drill: Drill, field: Field, count=SAMPLE_COUNT, seed=1, survey: SurveyedTrack | None = None
) -> Crossing:
    """The pass that a sample is taken from: places far apart, crossed at the field's speed.

    count: how many openers at least; whole stations are taken.

    Stations stand apart so that the crossing sees much ground. Whoever counts rows counts them here, so that
    the same question has the same answer everywhere.
    """
    return cross_field(drill, field, seed, math.ceil(count / drill.row_count), SPACING, survey=survey)


@kept(16)
def pass_sample(
    drill: Drill, field: Field, count=SAMPLE_COUNT, seed=1, survey: SurveyedTrack | None = None
) -> RowSample:
    """Openers at places of a pass over the field's own ground and soil.

    field: relief, terraces, tracks, soil and speed.
    count: how many openers at least; whole stations are taken.
    Result: heights, soils and accelerations as they go together on the ground, ridden at the pressure that
        gives the mean row its wanted load; its basis says what was crossed.
    """
    crossing = sampled_crossing(drill, field, count, seed, survey)
    rows = np.broadcast_to(np.arange(drill.row_count), crossing.reaction.shape)
    bumps, climb = (
        values.transpose(1, 0, 2).reshape(values.shape[1], -1) for values in (crossing.bumps, crossing.climb)
    )
    sample = RowSample(
        crossing.ground_travel.ravel(),
        crossing.reaction.ravel(),
        (crossing.place == IN_TRACK).ravel(),
        rows.ravel(),
        crossing.acceleration.ravel(),
        f"a pass of {crossing.station.size} places at the field's speed over {crossing.words}",
        run_in=RunIn(bumps, climb, FINE, crossing.speed) if crossing.speed > 0 else None,
    )
    pressure = pressure_for_load(drill, field.opener_soil, field.aim.gauge_wheel_load)
    return ridden(drill, field, sample, drill.cylinder, float(pressure))
