"""Oil that moving openers draw and give back, and what stays missing when the supply is too small."""

import numpy as np

from downforce.machine.drill import Drill
from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import CubicMetrePerSecond, CubicMetres, CubicMetresPerSecond, Metres, Second

_POINTS = 2001


def rod_flow(drill: Drill, travel: Metres, time_step: Second) -> CubicMetresPerSecond:
    """Oil into each cylinder while its opener moves.

    travel: travel of the discs, one row a station; beyond a stop the opener stands on it.
    Result: area x growth of length with time; negative where a rising disc pushes oil back.

    The length at each travel is read from a table of the whole linkage, exact to a micrometre; the rate is
    the central difference over two steps.
    """
    travel = finite("travel", travel)
    stops = drill.cylinder.travel_stops(drill.opener)
    at = np.linspace(*stops, _POINTS)
    volume = drill.cylinder.swept_volume(drill.cylinder.length(drill.opener, at))
    return np.gradient(np.interp(travel, at, volume), float(positive("time_step", time_step)), axis=0)


def void_volume(
    given: CubicMetresPerSecond,
    taken: CubicMetresPerSecond,
    supply_flow: CubicMetrePerSecond,
    time_step: Second,
) -> CubicMetres:
    """Oil that a supply still owes, station by station.

    taken: what they would take back; where none gives, it closes voids first.
    Result: grows while the demand is above the supply and is made up while it is below; never negative.
    """
    given, taken = not_negative("given", given), not_negative("taken", taken)
    excess = given - positive("supply_flow", supply_flow) - np.where(given == 0.0, taken, 0.0)
    owed = np.cumsum(excess * positive("time_step", time_step))
    return owed - np.minimum(np.minimum.accumulate(owed), 0.0)
