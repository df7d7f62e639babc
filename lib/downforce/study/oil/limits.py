"""What gives way first where the oil would press a drill harder than it can be pressed."""

from dataclasses import dataclass

import numpy as np

from downforce.study.frame_lift import lift_pressure

FRAME, RATING, RELIEF = "the frame would rise first", "a part's rating is passed", "the relief opens"
"""What is said of pressures that are reckoned but not reached [-]."""


@dataclass(frozen=True)
class FirstLimit:
    """What gives way before a pressure is reached.

    Attributes
    ----------
    words : str [-]
        `FRAME`, `RATING` or `RELIEF`.
    gauge_pressure : float [Pa]
        Where it gives way.
    """

    words: str
    gauge_pressure: float


def first_to_give(drill, field, state):
    """What gives way before the highest pressures of a crossing are reached.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        Its soil.
    state : OilState [-]
        Pressure at every cylinder.

    Returns
    -------
    FirstLimit or None [Pa]
        None where the pressures can be.

    Notes
    -----
    The frame rises where the mean pressure over one section's rows is above the section's lift pressure,
    hopper empty, on level ground. One row alone does not lift a section; it is held against the ratings of
    cylinder, drop and header, and against the relief valve, which stands beside the valve and does nothing
    for what the hoses lose beyond it.
    """
    pressure, parts = state.gauge_pressure, drill.hydraulics
    rows = np.array([np.count_nonzero(drill.row_section == i) for i in range(len(drill.sections))])
    means = np.add.reduceat(pressure, np.cumsum(rows) - rows, axis=1) / rows
    lift = lift_pressure(drill, field.opener_soil).pressure
    lifted = np.any(means > lift, axis=0)
    if np.any(lifted):
        return FirstLimit(FRAME, float(lift[lifted].min()))
    weakest = min(drill.cylinder.rated_pressure, parts.drop.rated_pressure, parts.header.rated_pressure)
    for words, limit in ((RATING, weakest), (RELIEF, parts.valve.relief_pressure)):
        if pressure.max() > limit:
            return FirstLimit(words, float(limit))
    return None
