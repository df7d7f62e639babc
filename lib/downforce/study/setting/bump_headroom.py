"""How much headroom bumps ask for: the frame load of a section, moment by moment, over its mean."""

from functools import lru_cache

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.kinds import Pascal, Ratio
from downforce.study.field_pass import run_pass

PART_OF_TIME = 0.99
"""Part of the time in which a section must stay down on its bumps [-]; a choice of this project."""

STATIONS = 1000
"""Stations, a tenth of a metre apart, on which the frame load is followed [-]."""


@lru_cache(32)
def bump_headroom(drill: Drill, field: Field, gauge_pressure: Pascal) -> Ratio:
    """Share of the frame load to keep in hand so that a section stays down in spite of bumps.

    Result: 1 - mean / the frame load that is passed in one part of a hundred of the time, of the section that
        swings most.

    The mean of a section's openers at every moment of a pass with motion. Left out: the inertia of the frame,
    which gives way only to a pull that lasts, so that this is on the safe side.
    """
    load = run_pass(drill, field, drill.cylinder, gauge_pressure, stations=STATIONS).frame_load
    sections = np.arange(len(drill.sections))[:, None] == drill.row_section
    swinging = load @ (sections / sections.sum(axis=1, keepdims=True)).T
    high = np.quantile(swinging, PART_OF_TIME, axis=0)
    mean = swinging.mean(axis=0)
    return float(np.max(np.where(high > 0, 1.0 - mean / np.maximum(high, 1.0), 0.0)).clip(0.0, 1.0))
