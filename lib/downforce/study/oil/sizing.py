"""How few valves and how small hoses keep the load, in oil of a chosen temperature."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.physics.checks import between, positive
from downforce.physics.oil import NOMINAL_BORES
from downforce.study.oil.circuit import drill_with_hoses, even_places
from downforce.study.oil_supply import oil_state

HEADER_BORES = tuple(bore for bore in NOMINAL_BORES if 0.0095 <= bore <= 0.026)
"""Header hoses tried [m]: 3/8 to 1 inch."""

DROP_BORES = tuple(bore for bore in NOMINAL_BORES if 0.0045 <= bore <= 0.013)
"""Drop hoses tried [m]: 3/16 to 1/2 inch."""

MOST_VALVES = 6
"""More valves than this are not tried [-]."""

KEPT = 0.99
"""Share of all openers and stations at which the load must be kept [-]."""

HABIT = (0.019, 0.0125)
"""Header and drop of the trade's habit on wide drills [m]: 3/4 and 1/2 inch (common practice, no source)."""

_ENDLESS_FLOW = 1.0
_NO_RELIEF = 1e10
_LOSES_NOTHING = 0.5


@dataclass(frozen=True)
class Hoses:
    """Valves and hoses, and how well they keep the load.

    Attributes
    ----------
    valves : int [-]
        Number of valves.
    places : tuple of floats [m]
        Where they feed the header, right of the middle.
    header_bore, drop_bore : float [m]
        Inside diameters.
    kept : float [-]
        Share of openers and stations whose load stays within the wanted share.
    largest_error : float [-]
        Largest departure of the load from the setting, as a share of it.
    enough : bool [-]
        Whether that is as good as asked.
    """

    valves: int
    places: tuple[float, ...]
    header_bore: float
    drop_bore: float
    kept: float
    largest_error: float
    enough: bool


@dataclass(frozen=True)
class Duty:
    """What the hoses must cope with.

    Attributes
    ----------
    travel : array [m]
        Travel of the discs, shape (stations, openers).
    station_spacing : float [m]
        Between stations.
    speed : float [m/s]
        Of work.
    gauge_pressure : float [Pa]
        Setting.
    oil_temperature : float [K]
        In the lines.
    share : float [-]
        How far the load may be off, as a share of it.
    kept : float [-]
        At how many of all openers and stations.
    """

    travel: np.ndarray
    station_spacing: float
    speed: float
    gauge_pressure: float
    oil_temperature: float
    share: float = 0.2
    kept: float = KEPT

    def __post_init__(self):
        positive("share", self.share)
        between("kept", self.kept, 0.0, 1.0)


def with_endless_supply(drill):
    """The same drill with a supply that never ends, so that only valves and hoses are judged.

    Parameters
    ----------
    drill : Drill [-]
        The drill.

    Returns
    -------
    Drill [-]
        A changed copy, without a relief valve that would hide what the hoses lose.
    """
    parts = drill.hydraulics
    supply = replace(parts.supply, flow=_ENDLESS_FLOW)
    valve = replace(parts.valve, relief_pressure=_NO_RELIEF)
    hose = replace(parts.inlet_hose, bore=_LOSES_NOTHING)
    return replace(drill, hydraulics=replace(parts, supply=supply, valve=valve, inlet_hose=hose))


def judged_hoses(drill, duty, valves=None, header_bore=None, drop_bore=None):
    """How well valves and hoses keep the load on a duty, whatever the supply.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    duty : Duty [-]
        What they must cope with.
    valves : int, optional [-]
        Spread evenly; number and places of the drill file if left out.
    header_bore, drop_bore : float, optional [m]
        As in the drill file if left out.

    Returns
    -------
    Hoses [-]
        Their size and how well they do.

    Raises
    ------
    ValueError
        If a size or the duty is impossible.

    Notes
    -----
    Down force at the disc is pressure x area x leverage, so its share of departure is the pressure's.
    """
    made = drill_with_hoses(with_endless_supply(drill), header_bore, drop_bore, valves)
    header = made.hydraulics.header
    state = oil_state(
        made, duty.travel, duty.station_spacing, duty.speed, duty.gauge_pressure, duty.oil_temperature
    )
    kept = state.share_within(duty.share)
    return Hoses(
        len(header.feeds_y),
        header.feeds_y,
        header.bore,
        made.hydraulics.drop.bore,
        kept,
        state.largest_error,
        kept >= duty.kept,
    )


def smallest_hoses(drill, duty, most_valves=MOST_VALVES):
    """For each number of valves the smallest header, and with it the smallest drop, that keeps the load.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    duty : Duty [-]
        What they must cope with.
    most_valves : int [-]
        Largest number tried.

    Returns
    -------
    tuple of Hoses [-]
        One for each number of valves from 1; where nothing is enough, the largest hoses tried, marked so.

    Notes
    -----
    Larger hoses never keep the load worse, so each size is found by halving the list.
    """
    return tuple(_smallest(drill, duty, valves) for valves in range(1, most_valves + 1))


def habit_gain(drill, duty):
    """What the trade's habit of wide hoses gains over those in the drill file.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    duty : Duty [-]
        What they must cope with.

    Returns
    -------
    tuple of three Hoses [-]
        The drill's own hoses; the same with the habit's drops alone; the habit's header and drops. All with
        the drill's own valves.
    """
    header, drop = HABIT
    return (
        judged_hoses(drill, duty),
        judged_hoses(drill, duty, drop_bore=drop),
        judged_hoses(drill, duty, header_bore=header, drop_bore=drop),
    )


def valve_share(drill, duty, valves=None):
    """What the valves alone cost with hoses that lose nothing, as a share of the setting.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    duty : Duty [-]
        What they must cope with.
    valves : int, optional [-]
        Spread evenly; number and places of the drill file if left out.

    Returns
    -------
    float [-]
        No hose keeps the load closer than this.
    """
    return judged_hoses(drill, duty, valves, 0.2, 0.2).largest_error


def _smallest(drill, duty, valves):
    places = even_places(drill, valves)
    # The piece of work with the valves in place; sizes are tried on it.
    placed = drill_with_hoses(drill, feeds_y=places)
    wide = DROP_BORES[-1]
    header = _first_enough(HEADER_BORES, lambda bore: judged_hoses(placed, duty, None, bore, wide).enough)
    drop = _first_enough(DROP_BORES, lambda bore: judged_hoses(placed, duty, None, header, bore).enough)
    return judged_hoses(placed, duty, None, header, drop)


def _first_enough(bores, enough):
    """First of rising bores that is enough, or the last."""
    low, high = 0, len(bores) - 1
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(bores[middle]) else (middle + 1, high)
    return bores[low]
