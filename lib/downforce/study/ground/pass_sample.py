"""A sample of openers taken from ground that a drill really crosses, to judge a setting on."""

import math

import numpy as np

from downforce.study.ground.crossing import cross_field
from downforce.study.ground.field_ground import IN_TRACK
from downforce.study.kept import kept
from downforce.study.openers.row_sample import RowSample

SPACING = 2.3
"""Distance between the stations of a sample [m]; no whole part of the usual terrace spacings."""


@kept(16)
def pass_sample(drill, field, count=4096, seed=1, survey=None):
    """Openers at places of a pass over the field's own ground and soil.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        Relief, terraces, tracks and soil.
    count : int [-]
        How many openers at least; whole stations are taken.
    seed : int [-]
        The same seed gives the same sample.
    survey : SurveyedTrack, optional [-]
        Surveyed ground in the place of relief and terraces.

    Returns
    -------
    RowSample [-]
        Heights and soils as they go together on the ground; its basis says what was crossed.

    Raises
    ------
    ValueError
        If the field's parts do not fit together.

    Notes
    -----
    Stations stand apart so that the sample sees much ground. Left out: inertia at speed; ask run_pass.
    """
    stations = math.ceil(count / drill.row_count)
    crossing = cross_field(drill, field, seed, stations, SPACING, survey=survey)
    rows = np.broadcast_to(np.arange(drill.row_count), crossing.reaction.shape)
    return RowSample(
        crossing.ground_travel.ravel(),
        crossing.reaction.ravel(),
        (crossing.place == IN_TRACK).ravel(),
        rows.ravel(),
        f"a pass of {stations} places over {crossing.words}",
    )
