"""Half-refitted drills: which rows the gauge moves, and what rows that keep their springs do to the frame.

What `drill.row_on_springs` marks is on springs. Their load knows no gauge: it stands on the frame before the
gauge is turned up, and only the other rows' loads grow with it.
"""

from functools import partial

import numpy as np

from downforce.study.frame.loads import at_work, joined, opener_load
from downforce.study.opener_loads import opener_loads

SPRINGS_LIFT = "the springs that were kept"
"""Said as the support that goes first where they lift the frame before the gauge is turned up [-]."""


def gauge_moves(drill):
    """Which rows the gauge moves, in a sentence; empty where it moves them all."""
    if not drill.half_refitted:
        return ""
    moved, kept = int(np.count_nonzero(~drill.row_on_springs)), drill.springs_kept
    ranks = [f"rank {rank}" for rank in kept.ranks]
    *most, last = [*kept.sections, *ranks]
    names = f"{', '.join(most)} and {last}" if most else last
    keep = "keep their" if most else "keeps its"
    return f"The gauge moves {moved} of the {drill.row_count} rows: {names} {keep} springs"


def spring_loads(drill, soil):
    """Loads of a row that keeps its springs, at working height (OpenerLoads)."""
    return opener_loads(drill.opener, drill.spring, soil, 0.0)


def row_loads(drill, soil, moved):
    """Loads of every row at working height, shape (..., rows), by name.

    `moved` are the loads (OpenerLoads) of a row that the gauge moves.
    """
    kept = drill.row_on_springs
    springs = spring_loads(drill, soil) if kept.any() else moved
    names = ("soil_reaction", "gauge_wheel_load", "closing_wheel_load", "frame_load", "draft", "depth")
    return {
        name: np.where(kept, *(np.asarray(getattr(loads, name))[..., None] for loads in (springs, moved)))
        for name in names
    }


def pressed_frame(drill, soil, standing):
    """What stands on the frame at work with the gauge at nothing, and what its rows add as it is turned up.

    Returns the load and a function like `opener_load` without its drill, which loads only the rows that the
    gauge moves.
    """
    standing, ground = at_work(drill, soil, standing), partial(opener_load, drill)
    if not drill.half_refitted:
        return standing, ground
    kept = drill.row_on_springs
    springs = spring_loads(drill, soil)
    disc = springs.soil_reaction + springs.gauge_wheel_load
    on_frame = (each[..., None] * kept for each in (disc, springs.closing_wheel_load, springs.draft))

    def moved(disc_load=0.0, closing_load=0.0, draft=0.0):
        return ground(*(np.asarray(load) * ~kept for load in (disc_load, closing_load, draft)))

    return joined(standing, ground(*on_frame)), moved
