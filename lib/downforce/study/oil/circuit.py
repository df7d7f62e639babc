"""From a drill to its oil circuits: rows that share a header, its valves, the length of each piece.

Hoses and threads are named as a shop does, in nominal sizes of both systems, with ratings and bend radii.
Moving openers draw oil and give it back; what gives way first, where the oil would press a drill harder than
it can be pressed, is told.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.shipped import read_table, table_rows
from downforce.machine.unit_table import UnitSystem
from downforce.machine.units import METRIC, US
from downforce.physics import kinds as si
from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.oil import fitting_turbulent_coefficient, next_nominal_bore
from downforce.physics.oil_ladder import HeaderLadder, Hose, header_ladder
from downforce.physics.oil_network import Feed
from downforce.physics.oil_valve import FilledHose, Valve
from downforce.study.frame_lift import lift_pressure

_POINTS = 2001


def rod_flow(drill: Drill, travel: si.Metres, time_step: si.Second) -> si.CubicMetresPerSecond:
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
    given: si.CubicMetresPerSecond,
    taken: si.CubicMetresPerSecond,
    supply_flow: si.CubicMetrePerSecond,
    time_step: si.Second,
) -> si.CubicMetres:
    """Oil that a supply still owes, station by station.

    taken: what they would take back; where none gives, it closes voids first.
    Result: grows while the demand is above the supply and is made up while it is below; never negative.
    """
    given, taken = not_negative("given", given), not_negative("taken", taken)
    excess = given - positive("supply_flow", supply_flow) - np.where(given == 0.0, taken, 0.0)
    owed = np.cumsum(excess * positive("time_step", time_step))
    return owed - np.minimum(np.minimum.accumulate(owed), 0.0)


INCH_OVER_NOMINAL = 1.02
"""How far a bore in inches may be over its nominal bore in millimetres [-]."""

_AS_SOLD = 0.06


@dataclass(frozen=True)
class HoseSize:
    """One nominal size of two-wire hose; what the table does not know is NaN or empty.

    inch, dash: such as "1/4" and "4".
    bend_radius: least radius; a hose that moves is bent to half as much again at least (common practice, no
        source).
    thread: of flare and O-ring boss, as seen on secondary pages.
    metric_boss: thread of the metric port, from memory.
    """

    bore: si.Metre
    inch: str
    dash: str
    rating: si.Pascal
    bend_radius: si.Metre
    outside: si.Metre
    thread: str
    metric_boss: str

    @property
    def name(self):
        """As the trade says it in both systems, such as "1/4 in (6.3 mm, -4)"."""
        millimetres = f"{1e3 * self.bore:g} mm"
        return f"{self.inch} in ({millimetres}, -{self.dash})" if self.inch else millimetres

    @property
    def flare(self):
        """Dash size and thread of a flare fitting."""
        if not self.dash:
            return f"for {self.name} hose: ask"
        return f"-{self.dash}, {self.thread} flare" if self.thread else f"-{self.dash} flare"


def hose_size(bore: si.Metre) -> HoseSize:
    """The nominal size that a bore is sold as: the next that is made."""
    # An inch size is a little over its nominal bore in millimetres: half an inch is 12.5 mm hose.
    nominal = next_nominal_bore(bore / INCH_OVER_NOMINAL)
    return _sizes()[round(1e3 * float(nominal), 1)]


@cache
def _sizes():
    table = read_table("hoses").astype({"dash": object})
    found = {}
    for row in table.itertuples():
        known = ["" if text != text else str(text) for text in (row.size_in, row.thread, row.metric_boss)]
        found[round(row.bore_mm, 1)] = HoseSize(
            row.bore_mm / 1e3,
            known[0],
            "" if row.dash != row.dash else f"{row.dash:.0f}",
            row.two_wire_working_pressure_bar * 1e5,
            row.bend_radius_mm / 1e3,
            row.outside_mm / 1e3,
            *known[1:],
        )
    return found


def cylinder_size(kind, size: si.Metre, units: UnitSystem):
    """A size of a cylinder as the trade says it, the other system in brackets.

    kind: "bore", "rod" or "stroke".
    """
    label, sold = min(_labels(kind), key=lambda one: abs(one[1] - 1e3 * size))
    if abs(sold - 1e3 * size) > _AS_SOLD:
        return units.both("small length", size)
    other = METRIC if label.endswith(" in") else US
    return f"{label} ({other.show('small length', size)})"


@cache
def _labels(kind):
    table = read_table("cylinder_sizes")
    return [(row.label, row.size_mm) for row in table[table["kind"] == kind].itertuples()]


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
    rows: si.Wholes
    setting: si.Pascal
    feeds: tuple[int, ...]
    pieces: si.Metres
    valve: Valve
    ladder: HeaderLadder


def drill_with_hoses(
    drill: Drill,
    header_bore: si.Metre | None = None,
    drop_bore: si.Metre | None = None,
    valves=None,
    feeds_y: Sequence[si.Metre] | None = None,
    rated_flow: si.CubicMetrePerSecond | None = None,
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


def even_places(drill: Drill, valves) -> si.Metres:
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
    Result (str, array of int): name and rows, from left to right; a part whose rows all keep their springs
        has no circuit.
    Raises ValueError if the way to divide is not known, needs a field, or leaves no circuit.
    """
    rows = np.arange(drill.row_count)
    if divide == "one header":
        return [("all rows", rows)]
    if divide == "sections":
        groups = [(section.name, rows[drill.row_section == i]) for i, section in enumerate(drill.sections)]
    elif divide == "ranks":
        names = ["front rank", *(f"rank {i + 1}" for i in range(1, len(drill.rank_x)))]
        groups = [(name, rows[drill.row_rank == i]) for i, name in enumerate(names)]
    elif divide == "tracks":
        if field is None:
            raise ValueError('divide = "tracks" needs a field, which says which rows run in tracks.')
        in_track = field.rows_in_tracks(drill)
        groups = [("rows outside tracks", rows[~in_track]), ("rows in tracks", rows[in_track])]
    else:
        raise ValueError(f"divide must be one of {', '.join(DIVISIONS)}; got {divide!r}.")
    groups = [group for group in groups if not drill.row_on_springs[group[1]].all()]
    if not groups:
        raise ValueError("Every row keeps its springs, so there is no oil circuit to divide.")
    return groups


def oil_circuits(
    drill: Drill,
    gauge_pressure: si.Pascal | Sequence[si.Pascal],
    divide="one header",
    field: Field | None = None,
    relieving=None,
    oil_temperature: si.Kelvin | None = None,
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


def header_pieces(drill: Drill, rows: si.Wholes) -> si.Metres:
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


FRAME, RATING, RELIEF = "the frame would rise first", "a part's rating is passed", "the relief opens"
"""What is said of pressures that are reckoned but not reached [-]."""

MORE_THAN_BORNE = "more than the drill bears"
"""Stands where such a pressure would stand: it would be believed [-]."""


@dataclass(frozen=True)
class FirstLimit:
    """What gives way before a pressure is reached.

    words: `FRAME`, `RATING` or `RELIEF`.
    """

    words: str
    gauge_pressure: si.Pascal


@dataclass(frozen=True)
class Bearable:
    """What a drill bears of the pressures that oil would bring.

    row_section: section of every row, from the left.
    lift: lift pressure of every section, hopper empty, on level ground.
    rating: lowest rating of cylinder, drop and header.
    relief: where the relief valve opens.

    The frame rises where the mean pressure over one section's rows is above the section's lift pressure. One
    row alone does not lift a section; it is held against the ratings and against the relief valve, which
    stands beside the valve and does nothing for what the hoses lose beyond it.
    """

    row_section: si.Ratios
    lift: si.Pascals
    rating: si.Pascal
    relief: si.Pascal

    def beyond(self, gauge_pressure: si.Pascals) -> si.Flags:
        """Where a pressure is reckoned but not reached.

        gauge_pressure: at every cylinder, shape (stations, rows) or (rows,).
        Result: one for each cylinder.
        """
        pressure = np.asarray(gauge_pressure)
        return self._lifted(pressure)[..., self.row_section] | (pressure > min(self.rating, self.relief))

    def first_to_give(self, gauge_pressure: si.Pascals) -> FirstLimit | None:
        """What gives way before the highest of some pressures is reached.

        gauge_pressure: at every cylinder, shape (stations, rows) or (rows,).
        Result: None where the pressures can be.
        """
        pressure = np.atleast_2d(gauge_pressure)
        lifted = np.any(self._lifted(pressure), axis=0)
        if np.any(lifted):
            return FirstLimit(FRAME, float(self.lift[lifted].min()))
        for words, limit in ((RATING, self.rating), (RELIEF, self.relief)):
            if pressure.max() > limit:
                return FirstLimit(words, float(limit))
        return None

    def _lifted(self, pressure):
        rows = np.bincount(self.row_section, minlength=len(self.lift))
        return np.add.reduceat(pressure, np.cumsum(rows) - rows, axis=-1) / rows > self.lift


def bearable(drill: Drill, field: Field) -> Bearable:
    """What a drill bears in the soil of a field."""
    parts = drill.hydraulics
    return Bearable(
        np.asarray(drill.row_section),
        lift_pressure(drill, field.opener_soil).pressure,
        min(drill.cylinder.rated_pressure, parts.drop.rated_pressure, parts.header.rated_pressure),
        parts.valve.relief_pressure,
    )
