"""Rows of a drill at work, kind by kind: outside wheel tracks and in them, pressed by oil or by kept springs.

What `drill.row_on_springs` marks keeps its springs on a half-refitted drill. Their load knows no gauge: it
stands on the frame before the gauge is turned up, and only the other rows' loads grow with it.
"""

from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from downforce.study.frame.loads import at_work, joined, opener_load
from downforce.study.opener_loads import opener_loads

SPRINGS_LIFT = "the springs that were kept"
"""Said as the support that goes first where they lift the frame before the gauge is turned up [-]."""
VALUES = ("soil_reaction", "gauge_wheel_load", "closing_wheel_load", "draft", "depth", "frame_load")
"""Loads of a row that the frame is asked about, as OpenerLoads names them."""


@dataclass(frozen=True)
class RowKind:
    """One kind of rows: the soil they stand in, how high the ground lies there, and what presses them."""

    soil: Any
    lies: float
    actuator: Any

    def loads(self, drill, gauge_pressure, rise=0.0):
        """OpenerLoads of such a row, the ground by `rise` higher than where it lies."""
        return opener_loads(drill.opener, self.actuator, self.soil, self.lies + rise, gauge_pressure)


def row_kinds(drill, soil, pressed_by=None):
    """Every kind of rows of a drill, first that outside tracks on oil, and the kind of each row (rows,).

    With `pressed_by` that actuator presses all of them, whatever the file says.
    """
    in_track = np.zeros(drill.row_count, dtype=bool) if soil.tracks is None else soil.tracks.hold(drill)
    code = in_track + 2 * (drill.row_on_springs if pressed_by is None else 0)
    kinds, kind = [], np.zeros(drill.row_count, dtype=int)
    for one in sorted({0, *code.tolist()}):
        kind[code == one] = len(kinds)
        actuator = pressed_by or (drill.spring if one & 2 else drill.cylinder)
        kinds.append(RowKind(soil, 0.0, actuator))
        if one & 1:
            lies = max(-soil.tracks.depth, actuator.travel_stops(drill.opener)[0])
            kinds[-1] = RowKind(replace(soil, reaction=soil.reaction * soil.tracks.factor), lies, actuator)
    return kinds, kind


def row_values(drill, soil, gauge_pressure, rise=0.0):
    """Loads of every row (..., rows) by name, with the frame down at a gauge pressure (...).

    `rise`, one for all or (rows,), is how far the frame stands over its working height.
    """
    return values_at(drill, soil, np.asarray(gauge_pressure, dtype=float)[..., None], rise)


def values_at(drill, soil, row_pressure, rise=0.0, pressed_by=None):
    """The same with a pressure for each row (..., rows), and any actuator on all of them."""
    wide = replace(soil, reaction=np.asarray(soil.reaction, dtype=float)[..., None])
    kinds, kind = row_kinds(drill, wide, pressed_by)
    first, *others = (one.loads(drill, row_pressure, -np.asarray(rise)) for one in kinds)
    found = {}
    for name in VALUES:
        values = getattr(first, name)
        for place, other in enumerate(others, 1):
            values = np.where(kind == place, getattr(other, name), values)
        found[name] = np.broadcast_to(values, np.broadcast_shapes(values.shape, kind.shape))
    return found


def gauge_moves(drill):
    """Which rows the gauge moves, in a sentence; empty where it moves them all."""
    if not drill.half_refitted:
        return ""
    moved, kept = int(np.count_nonzero(~drill.row_on_springs)), drill.springs_kept
    ranks = [f"rank {rank}" for rank in kept.ranks]
    *most, last = [*kept.sections, *ranks]  # type: ignore[misc]
    names = f"{', '.join(most)} and {last}" if most else last
    keep = "keep their" if most else "keeps its"
    return f"The gauge moves {moved} of the {drill.row_count} rows: {names} {keep} springs"


def pressed_frame(drill, soil, standing, rise=0.0):
    """What stands on the frame at work with the gauge at nothing, and what its rows add as it is turned up.

    Kept springs press as they do where the frame stands by `rise` (..., rows) over its working height.
    Returns the load and a function like `opener_load` without its drill, which loads only the rows that the
    gauge moves.
    """
    standing, ground = at_work(drill, soil, standing), partial(opener_load, drill)
    if not drill.half_refitted:
        return standing, ground
    kept = drill.row_on_springs
    rows = {name: values * kept for name, values in row_values(drill, soil, 0.0, rise).items()}
    disc = rows["soil_reaction"] + rows["gauge_wheel_load"]

    def moved(disc_load=0.0, closing_load=0.0, draft=0.0):
        return ground(*(np.asarray(load) * ~kept for load in (disc_load, closing_load, draft)))

    return joined(standing, ground(disc, rows["closing_wheel_load"], rows["draft"])), moved
