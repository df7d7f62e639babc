"""Oil that moving openers draw and give back, and what stays missing when the supply is too small."""

import numpy as np

from downforce.physics.checks import finite, not_negative, positive

_POINTS = 2001


def rod_flow(drill, travel, time_step):
    """Oil into each cylinder while its opener moves.

    Parameters
    ----------
    drill : Drill [-]
        Opener and cylinder.
    travel : array [m]
        Travel of the discs, one row a station; beyond a stop the opener stands on it.
    time_step : float [s]
        Between stations.

    Returns
    -------
    array [m3/s]
        Area x growth of length with time; negative where a rising disc pushes oil back.

    Raises
    ------
    ValueError
        If travel is not finite or the time step is not positive.

    Notes
    -----
    The length at each travel is read from a table of the whole linkage, exact to a micrometre; the rate is
    the central difference over two steps.
    """
    travel = finite("travel", travel)
    stops = drill.cylinder.travel_stops(drill.opener)
    at = np.linspace(*stops, _POINTS)
    volume = drill.cylinder.swept_volume(drill.cylinder.length(drill.opener, at))
    return np.gradient(np.interp(travel, at, volume), float(positive("time_step", time_step)), axis=0)


def void_volume(given, taken, supply_flow, time_step):
    """Oil that a supply still owes, station by station.

    Parameters
    ----------
    given : array [m3/s]
        What the valves would have to give at each station.
    taken : array [m3/s]
        What they would take back; where none gives, it closes voids first.
    supply_flow : float [m3/s]
        Most the supply gives.
    time_step : float [s]
        Between stations.

    Returns
    -------
    array [m3]
        Grows while the demand is above the supply and is made up while it is below; never negative.

    Raises
    ------
    ValueError
        If a flow is negative or another input is not positive.
    """
    given, taken = not_negative("given", given), not_negative("taken", taken)
    excess = given - positive("supply_flow", supply_flow) - np.where(given == 0.0, taken, 0.0)
    owed = np.cumsum(excess * positive("time_step", time_step))
    return owed - np.minimum(np.minimum.accumulate(owed), 0.0)
