"""From a drill to its oil circuits: rows that share a header, its valves, the length of each piece."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.tables import table_rows
from downforce.physics.checks import positive
from downforce.physics.kinds import CubicMetrePerSecond, Kelvin, Metre, Metres, Pascal, Wholes
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

    rows: its rows from left to right, 0 is the leftmost of the drill.
    feeds: for each valve the drop beside which it feeds, counted within the circuit.
    ladder: ready for `solve_ladder`.
    """

    name: str
    rows: Wholes
    setting: Pascal
    feeds: tuple[int, ...]
    pieces: Metres
    valve: Valve
    ladder: HeaderLadder


def drill_with_hoses(
    drill: Drill,
    header_bore: Metre | None = None,
    drop_bore: Metre | None = None,
    valves=None,
    feeds_y: Sequence[Metre] | None = None,
    rated_flow: CubicMetrePerSecond | None = None,
) -> Drill:
    """The same drill with other hoses, or other valves, or valves in other places.

    header_bore, drop_bore: inside diameters; as they are if left out.
    valves: number of valves, spread evenly along the header.
    feeds_y: where valves feed the header, right of the middle; goes before `valves`.
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


def even_places(drill: Drill, valves) -> Metres:
    """Places of valves that each feed an equal part of the rows on oil from its middle.

    Result: right of the middle, from left to right.
    """
    if valves < 1:
        raise ValueError(f"valves must be 1 or more; got {valves}.")
    # Rows that keep their springs draw no oil; where all do, all are counted.
    kept = drill.row_on_springs
    fed = drill.row_y[kept == kept.all()]
    return np.interp((np.arange(valves) + 0.5) / valves, (np.arange(fed.size) + 0.5) / fed.size, fed)


def row_groups(drill: Drill, divide="one header", field: Field | None = None):
    """Rows of each circuit when a drill's rows are divided.

    divide: one of `DIVISIONS`: "one header" for all, a circuit for each section or rank, or one for the rows
        in wheel tracks and one for the others.
    field: says which rows run in tracks; needed for "tracks".
    Result (str, array of int): name and rows, from left to right.
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
    drill: Drill,
    gauge_pressure: Pascal | Sequence[Pascal],
    divide="one header",
    field: Field | None = None,
    relieving=None,
    oil_temperature: Kelvin | None = None,
) -> tuple[Circuit, ...]:
    """The oil circuits of a drill, ready to be solved.

    drill: rows, hinges, header, drops, places of the valves.
    gauge_pressure: what the valves are set to by the gauge, one for all circuits or one for each.
    divide: one of `DIVISIONS`. A drill on one header has its valves where the drill file says; a circuit of a
        divided drill has one valve, at its middle row.
    field: needed for "tracks".
    relieving: whether the valves can take oil back; as the drill file says if left out.
    oil_temperature: of the oil in the return hose, which loses nothing if left out.
    Result: from left to right.

    A piece of header is as long as its drops are apart, with the drill's extra length at each hinge between
    them. Each drop leaves by a tee and ends in an elbow; the header runs straight through the tees (2-K
    constants). A valve feeds beside the drop nearest to its place. The valve's rise while it takes back is
    taken to be its droop while it gives. What the valves take back runs through one return hose, shared
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


def header_pieces(drill: Drill, rows: Wholes) -> Metres:
    """Length of the header between neighbouring rows, with the extra length at the hinges it crosses.

    rows: rows of one circuit, from left to right.
    Result: one fewer than the rows.
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
    names = "laminar_constant", "turbulent_constant"
    return {row["fitting"]: tuple(float(row[name]) for name in names) for row in table_rows("fittings_2k")}
