"""Stretches of a pass on which the supply gives less than the ground asks for, solved station by station."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics import kinds as si
from downforce.physics.balance import push_wanted, soil_push
from downforce.physics.oil import line_volume
from downforce.physics.oil_ladder import LadderSolution
from downforce.physics.oil_loss import LineResistance
from downforce.physics.oil_march import march_step
from downforce.physics.oil_valve import FilledHose, GivingRows, Inlet, MarchedHeader, MarchState, Store
from downforce.physics.soil_reaction import draft_ratio_at_speed
from downforce.study.ground.crossing import Crossing, soil_at_depth
from downforce.study.oil.circuit import FEED_LENGTH, Circuit, void_volume
from downforce.study.rows import OpenerTable

OIL_MODULUS = 1.5e9
"""Bulk modulus of oil without free air [Pa] (from memory)."""

AFTER = 0.5
"""How long a stretch goes on once the supply has made up what it owed [s]: the hoses' own lag is shorter."""

CUT, LEAD = 200, 2.0
"""With an accumulator no station is free of the past: stations in a piece [-], and its lead-in [s]."""


@dataclass(frozen=True)
class Stretches:
    """What the march found, one row a station of `stations`.

    gauge_pressure, header_pressure: at cylinders and drops of the rows on a circuit, from left to right.
    flow: into the cylinders.
    valve_flow: out of every valve, circuit by circuit.
    header_flow: largest in any piece of header, shape (stations,).
    missing: oil that rows and hoses lack, shape (stations,).
    behind: whether the supply cannot hold the valves' inlet over their settings.
    """

    stations: si.Wholes
    gauge_pressure: si.Pascals
    header_pressure: si.Pascals
    flow: si.CubicMetresPerSecond
    valve_flow: si.CubicMetresPerSecond
    header_flow: si.CubicMetresPerSecond
    missing: si.CubicMetres
    behind: si.Flags


def tractor_inlet(drill: Drill, oil_temperature: si.Kelvin) -> Inlet:
    """What the tractor gives the valves at an oil temperature."""
    parts = drill.hydraulics
    hose = FilledHose(parts.inlet_hose.bore, parts.inlet_hose.length, *parts.oil.at(oil_temperature))
    return Inlet(parts.supply.max_pressure, parts.supply.flow, hose)


def giving_rows(
    drill: Drill,
    travel: si.Metres,
    oil: si.CubicMetres,
    setting: si.Pascals,
    field: Field | None = None,
    crossing: Crossing | None = None,
    rows: si.Wholes | None = None,
) -> GivingRows:
    """What every opener does when its push falls.

    travel: that the ground asks for, shape (stations, openers).
    oil: in each cylinder while its opener follows the ground.
    setting: of each row's valve, shape (openers,).
    field: its soil; without one an opener follows the ground until no oil presses it.
    crossing: soil and acceleration of every opener at these stations; the field's mean soil if left out.
    rows: rows of the drill in the order in which they stand here; from left to right if left out.
    Result: for `march_step`.

    The balance of the pass, without a gauge-wheel load, brought to the cylinder: leverage and shares are
    those at the height of the ground. A disc that is shallow already at the setting goes up and down with the
    ground; only what it hangs back beyond that moves oil.
    """
    if field is None:
        nothing = np.zeros_like(oil)
        return GivingRows(oil, nothing, nothing, nothing, nothing, nothing, 1.0)
    opener, table = drill.opener, _table(drill)
    at = np.clip(travel, table.lowest, table.highest)
    shares = table.shares(at, travel)
    swept = np.interp(at, *_swept(drill))
    reaction = field.soil.reaction if crossing is None else crossing.reaction
    speed, acceleration = (field.speed, 0.0) if crossing is None else (crossing.speed, crossing.acceleration)
    ratio = draft_ratio_at_speed(field.soil.draft_ratio, speed, field.speed)
    soil = soil_at_depth(field, reaction)
    weight = opener.weight + opener.mass * acceleration
    at_depth = soil_push(soil.target_reaction, ratio, shares[3]) / swept
    rest = push_wanted(shares, weight, opener.closing_load, 0.0, ratio) / swept
    depth = field.target_depth
    highest = np.clip(1.0 - (table.lowest - travel) / depth, 0.0, 1.0)
    forced = np.clip(1.0 - (table.highest - travel) / depth, 0.0, highest)

    def share_at(pressure):
        carried = np.maximum(pressure - rest, 0.0) / np.maximum(at_depth, 1.0)
        return np.clip(carried ** (1.0 / soil.exponent), forced, highest)

    top = share_at(setting)
    # No cylinder stands where springs were kept, so nothing that a disc does there moves oil.
    moves = swept * depth * ~(drill.row_on_springs if rows is None else drill.row_on_springs[rows])
    return GivingRows(oil, moves, at_depth, rest, top, share_at(0.0), soil.exponent)


@lru_cache(maxsize=8)
def _table(drill):
    return OpenerTable(drill.opener, drill.cylinder)


@lru_cache(maxsize=8)
def _swept(drill):
    """Travel, and oil that a cylinder moves for each metre of it."""
    at = np.linspace(*drill.cylinder.travel_stops(drill.opener), 401)
    return at, drill.cylinder.swept_volume(drill.cylinder.leverage(drill.opener, at))


def marched(
    drill: Drill,
    circuits: Sequence[Circuit],
    solved: Sequence[LadderSolution],
    travel: si.Metres,
    flow: si.CubicMetresPerSecond,
    step: si.Second,
    oil_temperature: si.Kelvin,
    field: Field | Crossing | None = None,
    crossing: Field | Crossing | None = None,
) -> Stretches | None:
    """The stations at which oil is short, or an accumulator lends some, with what comes of it.

    travel: that the ground asks for, shape (stations, openers).
    field, crossing: soil, see `giving_rows`.
    Result: None where there is oil enough everywhere.
    """
    inlet = tractor_inlet(drill, oil_temperature)
    owed = _owed(circuits, solved, inlet, step)
    held = drill.hydraulics.accumulator is not None
    pieces = _pieces(owed, step) if held else _runs(owed, round(AFTER / step))
    if not len(pieces):
        return None
    made = _March(drill, circuits, solved, travel, flow, step, inlet, oil_temperature, field, crossing)
    lead = round(LEAD / step) if held else 0
    work = [(max(start - lead, 0), start, stop, None) for start, stop in pieces]
    while work:
        ends = made.run(work)
        work = [] if held else _unfinished(work, ends, made.behind_at, pieces, len(owed), round(AFTER / step))
    return made.found()


def _owed(circuits, solved, inlet, step):
    """Stations at which oil is short, or still owed, or a row's hose passes too little."""
    given = sum(np.maximum(s.feed_flow, 0.0).sum(axis=1) for s in solved)
    taken = sum(np.maximum(-s.feed_flow, 0.0).sum(axis=1) for s in solved)
    highest = max(circuit.setting for circuit in circuits)
    short = ~inlet.enough(given, highest)
    for state in solved:
        short |= np.any(state.cylinder_pressure < 0.0, axis=1)
    if not np.any(short):
        return short
    return short | (void_volume(given, taken, _most(inlet, highest), step) > 0.0)


def _most(inlet, gauge_pressure):
    """Largest flow at which the inlet keeps a pressure."""
    flows = np.linspace(0.0, inlet.flow, 201)[1:]
    kept = flows[inlet.left(flows) >= gauge_pressure]
    return float(kept[-1]) if len(kept) else float(flows[0])


def _runs(flags, after):
    """First station and the one past the last of every run of flags, each some stations longer."""
    if not np.any(flags):
        return []
    at = np.flatnonzero(flags)
    breaks = np.flatnonzero(np.diff(at) > after + 1)
    starts, stops = at[np.r_[0, breaks + 1]], at[np.r_[breaks, len(at) - 1]] + 1 + after
    return list(zip(starts.tolist(), np.minimum(stops, len(flags)).tolist(), strict=True))


def _pieces(owed, step):
    """A whole pass in pieces of about `CUT` stations; none begins where oil was owed during its lead-in."""
    lead = round(LEAD / step)
    before = np.convolve(owed, np.ones(lead + 1))[: len(owed)] > 0.5
    free = np.flatnonzero(~before)
    cuts = [0]
    for station in range(CUT, len(owed), CUT):
        later = free[np.searchsorted(free, max(station, cuts[-1] + 1)) :]
        if len(later) and later[0] > cuts[-1]:
            cuts.append(int(later[0]))
    return list(zip(cuts, [*cuts[1:], len(owed)], strict=True))


def _unfinished(work, ends, behind, pieces, count, after):
    """Stretches that end with oil still owed go on, through the next stretch if they reach it."""
    more = []
    for (_, _, stop, _), state in zip(work, ends, strict=True):
        if stop < count and behind(state):
            reached = min(stop + max(after, 10), count)
            further = [end for start, end in pieces if start <= reached and end > stop]
            more.append((stop, stop, max([reached, *further[:1]]), state))
    return more


class _March:
    """The header of all circuits side by side, and room for what is found."""

    def __init__(self, drill, circuits, solved, travel, flow, step, inlet, temperature, field, crossing):
        self.order = np.concatenate([circuit.rows for circuit in circuits])
        self.step, self.flow = step, flow[:, self.order]
        self.oil = np.cumsum(self.flow, axis=0) * step
        self.header = _header(drill, circuits, inlet, temperature)
        self.setting = np.concatenate([np.full(len(c.rows), c.setting) for c in circuits])
        self.solved = solved
        self.given = (drill, travel, field, crossing)
        count, rows = self.flow.shape
        feeds = len(self.header.feeds)
        self.pressure, self.outlet, self.into = np.empty((3, count, rows))
        self.valves = np.empty((count, feeds))
        self.most, self.missing = np.zeros((2, count))
        self.behind, self.done = np.zeros((2, count), dtype=bool)

    def behind_at(self, state):
        """Whether the supply has still to catch up."""
        return bool(state.inlet_pressure[0] < self.setting.max() or np.any(state.gauge_pressure <= 0.0))

    def run(self, work):
        """March stretches side by side; what each found last goes over what stood there before."""
        order = sorted(range(len(work)), key=lambda i: work[i][0] - work[i][2])
        first, wanted, stop = (np.array([work[i][part] for i in order]) for part in range(3))
        states = [work[i][3] or self._fed(work[i][0]) for i in order]
        state = MarchState(
            **{name: np.concatenate([getattr(s, name) for s in states]) for name in vars(states[0])}
        )
        length, ends = stop - first, [None] * len(work)
        stations = np.unique(np.concatenate([np.arange(*pair) for pair in zip(first, stop, strict=True)]))
        rows = self._rows(stations)
        full = self.header.store.oil_and_slope(self.setting)[0]
        for k in range(int(length[0])):
            going = int(np.count_nonzero(length > k))
            for gone in range(going, len(state.inlet_pressure)):
                ends[order[gone]] = state.part(slice(gone, gone + 1))
            here = first[:going] + k
            part = rows.part(np.searchsorted(stations, here))
            state = march_step(self.header, part, state.part(slice(0, going)), self.step)
            lent = np.maximum(full - self.header.store.oil_and_slope(state.header_pressure)[0], 0.0)
            behind = state.inlet_pressure < self.setting.max() * (1.0 - 1e-9)
            self._put(here, wanted[:going] <= here, state, part.full - state.oil + lent, behind)
        for gone in range(len(state.inlet_pressure)):
            ends[order[gone]] = state.part(slice(gone, gone + 1))
        return ends

    def _put(self, here, keep, state, missing, behind):
        here = here[keep]
        self.pressure[here], self.outlet[here] = state.gauge_pressure[keep], state.header_pressure[keep]
        self.into[here], self.valves[here] = state.flow[keep], state.feed_flow[keep]
        self.most[here] = np.abs(state.header_flow[keep]).max(axis=1, initial=0.0)
        self.behind[here] = behind[keep]
        self.missing[here] = np.where(behind[keep], missing[keep].sum(axis=1), 0.0)
        self.done[here] = True

    def _rows(self, stations):
        drill, travel, field, crossing = self.given
        met = None
        if crossing is not None:
            met = _Met(
                crossing.reaction[np.ix_(stations, self.order)],
                crossing.acceleration[np.ix_(stations, self.order)],
                crossing.speed,
            )
        way = travel[np.ix_(stations, self.order)]
        return giving_rows(drill, way, self.oil[stations], self.setting, field, met, self.order)

    def _fed(self, station):
        """State just before a station, with oil enough; at rest before the first."""
        before = max(station - 1, 0)
        header = np.concatenate([s.header_pressure[before] for s in self.solved])
        cylinder = np.concatenate([s.cylinder_pressure[before] for s in self.solved])
        feed = np.concatenate([s.feed_flow[before] for s in self.solved])
        flow = self.flow[before]
        if station == 0:
            header = cylinder = self.setting
            feed, flow = 0.0 * feed, 0.0 * flow
        pieces = [s.header_flow[before] * (station > 0) for s in self.solved]
        between = np.concatenate([np.r_[piece, 0.0] for piece in pieces])[:-1]
        oil = self.oil[station] - self.flow[station] * self.step
        inlet = self.header.inlet.left(min(np.maximum(feed, 0.0).sum(), self.header.inlet.flow))
        parts = (header, cylinder, oil, flow, between, feed)
        return MarchState(*(np.array(part)[None] for part in parts), np.reshape(inlet, 1))

    def found(self):
        stations = np.flatnonzero(self.done)
        back = np.argsort(self.order)
        by_row = (array[stations][:, back] for array in (self.pressure, self.outlet, self.into))
        whole = (array[stations] for array in (self.valves, self.most, self.missing, self.behind))
        return Stretches(stations, *by_row, *whole)


@dataclass(frozen=True)
class _Met:
    """Soil and motion at some stations."""

    reaction: np.ndarray
    acceleration: np.ndarray
    speed: float


def _header(drill, circuits, inlet, temperature):
    """All circuits' headers end to end, not joined."""
    parts = drill.hydraulics
    fluid = parts.oil.at(temperature)
    pieces, drops, joined, feeds = [], [], [], []
    nodes = 0
    for circuit in circuits:
        count = len(circuit.rows)
        lines = circuit.ladder.network.resistance(*fluid)
        # After the last drop any line will do: it is not joined.
        pieces.append(lines.part(np.r_[np.arange(count - 1), count]))
        drops.append(lines.part(np.arange(count - 1, 2 * count - 1)))
        joined += [True] * (count - 1) + [False]
        for number, place in enumerate(circuit.feeds, start=2 * count - 1):
            hose = lines.part(np.array([number]))
            feeds.append((nodes + place, circuit.valve, hose, parts.valve.relief_pressure))
        nodes += count
    along = _end_to_end(pieces).part(slice(0, nodes - 1))
    store = _store(drill, circuits)
    return MarchedHeader(along, np.array(joined[:-1]), _end_to_end(drops), tuple(feeds), store, inlet)


def _end_to_end(lines):
    return LineResistance(
        *(np.concatenate(part) for part in zip(*(vars(x).values() for x in lines), strict=True))
    )


def _store(drill, circuits):
    """What hoses, oil, air and accumulator lend at every node."""
    parts, cylinder = drill.hydraulics, drill.cylinder
    out = float(cylinder.length(drill.opener, 0.0)) - cylinder.closed_length
    drop = float(line_volume(parts.drop.bore, parts.drop.length))
    hoses, gas, moved = [], [], []
    fed = sum(len(circuit.rows) for circuit in circuits)
    for circuit in circuits:
        # Each piece belongs half to the drop before it and half to that behind.
        ends = np.r_[0.0, circuit.pieces, 0.0]
        header = np.array(line_volume(parts.header.bore, 0.5 * (ends[:-1] + ends[1:])))
        np.add.at(header, list(circuit.feeds), float(line_volume(parts.header.bore, FEED_LENGTH)))
        moved.append(~drill.row_on_springs[circuit.rows])
        hoses.append(drop * moved[-1] + header)
        beside = np.zeros(len(circuit.rows))
        if parts.accumulator is not None:
            beside[circuit.feeds[0]] = parts.accumulator.volume * len(circuit.rows) / fed
        gas.append(beside)
    hoses = np.concatenate(hoses)
    oil = hoses + cylinder.swept_volume(out) * np.concatenate(moved)
    give = hoses / parts.hose_modulus + oil / OIL_MODULUS
    precharge = parts.accumulator.precharge if parts.accumulator else 0.0
    return Store(give, oil * parts.oil.free_air, np.concatenate(gas), precharge)
