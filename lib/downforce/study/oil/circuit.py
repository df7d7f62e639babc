"""From a drill to its oil circuits: rows that share a header, its valves, the length of each piece."""

from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np

from downforce.machine.tables import read_table
from downforce.physics.checks import positive
from downforce.physics.oil import (
    Feed,
    FilledHose,
    HeaderLadder,
    Hose,
    Valve,
    fitting_turbulent_coefficient,
    header_ladder,
)

FEED_LENGTH = 1.0
"""Hose from a valve to the header [m] (assumed)."""

DIVISIONS = ("one header", "sections", "ranks", "tracks")
"""Ways to divide the rows into circuits [-]."""

_PIECE_FITTINGS = ("tee, straight through, threaded",)
_DROP_FITTINGS = ("tee, into the branch, threaded", "elbow, 90 degrees, threaded")


@dataclass(frozen=True)
class Circuit:
    """Rows that share one header, with the valves that feed it.

    Attributes
    ----------
    name : str [-]
        What the rows have in common.
    rows : array of int [-]
        Its rows from left to right, 0 is the leftmost of the drill.
    setting : float [Pa]
        Gauge pressure its valves are set to.
    feeds : tuple of int [-]
        For each valve the drop beside which it feeds, counted within the circuit.
    pieces : array [m]
        Length of the header between neighbouring drops.
    valve : Valve [-]
        Each of its valves, at the setting.
    ladder : HeaderLadder [-]
        Ready for `solve_ladder`.
    """

    name: str
    rows: np.ndarray
    setting: float
    feeds: tuple[int, ...]
    pieces: np.ndarray
    valve: Valve
    ladder: HeaderLadder


def drill_with_hoses(drill, header_bore=None, drop_bore=None, valves=None, feeds_y=None, rated_flow=None):
    """The same drill with other hoses, or other valves, or valves in other places.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    header_bore, drop_bore : float, optional [m]
        Inside diameters; as they are if left out.
    valves : int, optional [-]
        Number of valves, spread evenly along the header.
    feeds_y : sequence of floats, optional [m]
        Where valves feed the header, right of the middle; goes before `valves`.
    rated_flow : float, optional [m3/s]
        Of each valve, at which its droop is stated.

    Returns
    -------
    Drill [-]
        A changed copy.

    Raises
    ------
    ValueError
        If a bore or the flow is not positive or there is no valve.
    """
    parts = drill.hydraulics
    header, drop, valve = parts.header, parts.drop, parts.valve
    if feeds_y is None and valves is not None:
        feeds_y = even_places(drill, valves)
    if feeds_y is not None:
        header = replace(header, feeds_y=tuple(float(y) for y in feeds_y))
    if header_bore is not None:
        header = replace(header, bore=float(positive("header_bore", header_bore)))
    if drop_bore is not None:
        drop = replace(drop, bore=float(positive("drop_bore", drop_bore)))
    if rated_flow is not None:
        valve = replace(valve, rated_flow=float(positive("rated_flow", rated_flow)))
    return replace(drill, hydraulics=replace(parts, header=header, drop=drop, valve=valve))


def even_places(drill, valves):
    """Places of valves that each feed an equal part of the rows on oil from its middle.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    valves : int [-]
        How many.

    Returns
    -------
    array [m]
        Right of the middle, from left to right.

    Raises
    ------
    ValueError
        If there is no valve.
    """
    if valves < 1:
        raise ValueError(f"valves must be 1 or more; got {valves}.")
    # Rows that keep their springs draw no oil; where all do, all are counted.
    kept = drill.row_on_springs
    fed = drill.row_y[kept == kept.all()]
    return np.interp((np.arange(valves) + 0.5) / valves, (np.arange(fed.size) + 0.5) / fed.size, fed)


def row_groups(drill, divide="one header", field=None):
    """Rows of each circuit when a drill's rows are divided.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    divide : str [-]
        One of `DIVISIONS`: "one header" for all, a circuit for each section or rank, or one for the rows in
        wheel tracks and one for the others.
    field : Field, optional [-]
        Says which rows run in tracks; needed for "tracks".

    Returns
    -------
    list of (str, array of int) [-]
        Name and rows, from left to right.

    Raises
    ------
    ValueError
        If the division is unknown, or "tracks" is asked without a field.
    """
    rows = np.arange(drill.row_count)
    if divide == "one header":
        return [("all rows", rows)]
    if divide == "sections":
        return [(section.name, rows[drill.row_section == i]) for i, section in enumerate(drill.sections)]
    if divide == "ranks":
        names = ["front rank", *(f"rank {i + 1}" for i in range(1, len(drill.rank_x)))]
        return [(name, rows[drill.row_rank == i]) for i, name in enumerate(names)]
    if divide == "tracks":
        if field is None:
            raise ValueError('divide = "tracks" needs a field, which says which rows run in tracks.')
        in_track = field.rows_in_tracks(drill)
        groups = [("rows outside tracks", rows[~in_track]), ("rows in tracks", rows[in_track])]
        return [group for group in groups if len(group[1])]
    raise ValueError(f"divide must be one of {', '.join(DIVISIONS)}; got {divide!r}.")


def oil_circuits(
    drill, gauge_pressure, divide="one header", field=None, relieving=None, oil_temperature=None
):
    """The oil circuits of a drill, ready to be solved.

    Parameters
    ----------
    drill : Drill [-]
        Rows, hinges, header, drops, places of the valves.
    gauge_pressure : float or sequence of floats [Pa]
        What the valves are set to by the gauge, one for all circuits or one for each.
    divide : str [-]
        One of `DIVISIONS`. A drill on one header has its valves where the drill file says; a circuit of a
        divided drill has one valve, at its middle row.
    field : Field, optional [-]
        Needed for "tracks".
    relieving : bool, optional [-]
        Whether the valves can take oil back; as the drill file says if left out.
    oil_temperature : float, optional [K]
        Of the oil in the return hose, which loses nothing if left out.

    Returns
    -------
    tuple of Circuit [-]
        From left to right.

    Raises
    ------
    ValueError
        If a pressure is not positive, their number does not fit, or the division is unknown.

    Notes
    -----
    A piece of header is as long as its drops are apart, with the drill's extra length at each hinge between
    them. Each drop leaves by a tee and ends in an elbow; the header runs straight through the tees (2-K
    constants). A valve feeds beside the drop nearest to its place. The valve's rise while it takes back
    is taken to be its droop while it gives. What the valves take back runs through one return hose, shared
    alike; the setting is what the gauge reads, the return's back-pressure inside it.
    """
    groups = row_groups(drill, divide, field)
    pressures = np.broadcast_to(positive("gauge_pressure", gauge_pressure), (len(groups),))
    parts = drill.hydraulics
    valve, hose = parts.valve, parts.return_hose
    if relieving is None:
        relieving = valve.kind == "reducing-relieving"
    feeds = [_feeds(drill, rows, divide) for _, rows in groups]
    line = None
    if oil_temperature is not None:
        # Several valves share one return hose: alike, it is to each as much longer as there are valves.
        line = FilledHose(hose.bore, hose.length * sum(map(len, feeds)), *parts.oil.at(oil_temperature))
    flows = (valve.rated_flow, valve.band, valve.droop, valve.droop, parts.supply.return_pressure)
    made = []
    for (name, rows), places, pressure in zip(groups, feeds, pressures, strict=True):
        outlet = Valve(float(pressure), *flows, relieving=relieving, return_line=line)
        pieces = header_pieces(drill, rows)
        hoses = tuple(pieces.tolist()), parts.header.bore, parts.drop.bore, parts.drop.length
        made.append(
            Circuit(name, rows, float(pressure), places, pieces, outlet, _ladder(*hoses, places, outlet))
        )
    return tuple(made)


def _ladder(pieces, header_bore, drop_bore, drop_length, feeds, valve):
    ladder = _bare_ladder(pieces, header_bore, drop_bore, drop_length, feeds)
    network = replace(ladder.network, feeds=tuple(Feed(f.node, valve) for f in ladder.network.feeds))
    return replace(ladder, network=network)


@lru_cache(maxsize=64)
def _bare_ladder(pieces, header_bore, drop_bore, drop_length, feeds):
    """Making a ladder ready takes longer than solving it for a terrace, so the last few are kept."""
    header = [_hose(header_bore, length, _PIECE_FITTINGS) for length in pieces]
    drops = [_hose(drop_bore, drop_length, _DROP_FITTINGS)] * (len(pieces) + 1)
    hose, any_valve = Hose(header_bore, FEED_LENGTH), Valve(1e5, 1e-3)
    return header_ladder(header, drops, [(place, any_valve, hose) for place in feeds])


def header_pieces(drill, rows):
    """Length of the header between neighbouring rows, with the extra length at the hinges it crosses.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    rows : array of int [-]
        Rows of one circuit, from left to right.

    Returns
    -------
    array [m]
        One fewer than the rows.
    """
    hinges = np.abs(np.diff(drill.row_section[rows]))
    return np.diff(drill.row_y[rows]) + hinges * drill.hydraulics.header.extra_length


def _feeds(drill, rows, divide):
    if divide != "one header":
        return ((len(rows) - 1) // 2,)
    places = np.array(drill.hydraulics.header.feeds_y)
    return tuple(int(np.argmin(np.abs(drill.row_y[rows] - y))) for y in places)


@lru_cache(maxsize=256)
def _hose(bore, length, fittings):
    laminar, turbulent = (sum(constants) for constants in zip(*map(_constants().get, fittings), strict=True))
    return Hose(bore, length, float(fitting_turbulent_coefficient(bore, turbulent)), laminar)


@cache
def _constants():
    table = read_table("fittings_2k")
    pairs = zip(table["laminar_constant"], table["turbulent_constant"], strict=True)
    return {name: (float(a), float(b)) for name, (a, b) in zip(table["fitting"], pairs, strict=True)}
