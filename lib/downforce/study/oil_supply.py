"""Is the pressure kept while the openers move? Motion makes flow, flow costs pressure, pressure is load."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics import kinds as si
from downforce.physics.checks import finite, positive
from downforce.physics.oil_ladder import solve_ladder
from downforce.physics.oil_valve import valve_regime
from downforce.study.ground.crossing import Crossing
from downforce.study.oil.circuit import Circuit, oil_circuits, rod_flow
from downforce.study.oil.short_oil import marched

REGIMES = ("held", "low", "high", "starved", "trapped")
"""What can be said of a cylinder's pressure, by the codes 0 to 4 [-].

"held": within the valve's own droop and band of the setting. "starved": no oil presses, the opener's
weight alone is left and a void may open in the cylinder. "trapped": the valve cannot take oil back, so the
pressure has no upper limit but the relief.
"""

HELD, LOW, HIGH, STARVED, TRAPPED = range(5)

STAYS = 0.5
"""A pressure is back when it stays back for this long [s]; a choice of this project."""


@dataclass(frozen=True)
class OilState:
    """Flow and pressure at every cylinder while a drill crosses a field, one row a station.

    setting: gauge pressure each row's valve is set to, shape (openers,).
    flow: oil into each cylinder, negative where it gives oil back.
    regime: index into `REGIMES`.
    asked: what the ground asks of all valves together, shape (stations,).
    given, taken: what they give and take back, shape (stations,); both positive.
    valve_flow: flow of each valve, one column a valve, circuit by circuit.
    header_flow: largest flow in any piece of header, shape (stations,).
    void: oil that the supply still owes to rows and hoses, shape (stations,).
    behind: whether the supply cannot hold the valves' inlet over their settings, shape (stations,).
    steady: whether the openers follow the ground and what came before no longer matters, shape (stations,).
    """

    time: si.Seconds
    setting: si.Pascals
    flow: si.CubicMetresPerSecond
    ground_flow: si.CubicMetresPerSecond
    gauge_pressure: si.Pascals
    header_pressure: si.Pascals
    regime: si.Wholes
    asked: si.CubicMetresPerSecond
    given: si.CubicMetresPerSecond
    taken: si.CubicMetresPerSecond
    valve_flow: si.CubicMetresPerSecond
    header_flow: si.CubicMetresPerSecond
    void: si.CubicMetres
    behind: si.Flags
    steady: si.Flags
    supply_flow: si.CubicMetrePerSecond
    header_bore: si.Metre
    drop_bore: si.Metre

    @property
    def error(self) -> si.Ratio:
        """Pressure over the setting, as a share of it, shape (stations, openers)."""
        return self.gauge_pressure / self.setting - 1.0

    @property
    def regime_names(self):
        """Regime of every cylinder by name."""
        return np.asarray(REGIMES)[self.regime]

    @property
    def largest_error(self) -> si.Ratio:
        """Largest departure from the setting, up or down, as a share of it."""
        return float(np.max(np.abs(self.error)))

    @property
    def supply_share(self) -> si.Ratio:
        """Largest flow that the ground asks for over what the tractor can give."""
        return float(self.asked.max() / self.supply_flow)

    def recovery_time(self, share: si.Ratio, after: si.Second = 0.0) -> si.Second:
        """Longest time a cylinder that is off its setting takes until it stays within a share of it.

        after: time before this does not count: the end of a terrace asks how long it is felt beyond.
        Result: 0 if none is off, infinity if one still is at the last station.

        To stay is to stay for `STAYS`: a pressure on its way from too much to too little is not back.
        """
        out = np.abs(self.error[self.time >= after]) > share
        if not np.any(out):
            return 0.0
        if np.any(out[-1]):
            return float("inf")
        step = self.time[1] - self.time[0]
        stays = max(round(STAYS / step), 1)
        padded = np.pad(out, ((stays - 1, stays - 1), (0, 0)))
        off = sliding_window_view(padded, stays, axis=0).any(axis=-1)
        station = np.arange(len(off))[:, None]  # type: ignore[arg-type]
        last_kept = np.maximum.accumulate(np.where(off, -1, station), axis=0)
        return float(((station - last_kept).max() - (stays - 1)) * step)


def section_flows(drill: Drill, state: OilState) -> si.CubicMetresPerSecond:
    """Net flow into each section's cylinders.

    Result: one row a station, one column a section.
    """
    starts = np.searchsorted(drill.row_section, np.arange(len(drill.sections)))
    return np.add.reduceat(state.flow, starts, axis=1)


def exchanged_flow(flows: si.CubicMetresPerSecond) -> si.CubicMetresPerSecond:
    """Flow that moves between parts of a drill and not through the valves.

    flows: net flow into each part, last axis the parts.
    Result: what rising parts give to falling ones.

    The smaller of all that is given back and all that is taken.
    """
    flows = finite("flows", flows)
    return np.minimum(np.maximum(flows, 0.0).sum(axis=-1), np.maximum(-flows, 0.0).sum(axis=-1))


def oil_state(
    drill: Drill,
    travel: si.Metres,
    station_spacing: si.Metre,
    speed: si.MetrePerSecond,
    gauge_pressure: si.Pascal | Sequence[si.Pascal],
    oil_temperature: si.Kelvin,
    divide="one header",
    field: Field | None = None,
    relieving=None,
    crossing: Crossing | None = None,
    follow_short=True,
) -> OilState:
    """Pressure at every cylinder at every station of a pass.

    drill: rows, cylinders, hoses, valves, supply.
    travel: travel of the discs, one row a station, one column an opener.
    gauge_pressure: setting, one for all circuits or one for each.
    divide: how the rows are divided into circuits, see `oil_circuit.DIVISIONS`.
    field: its soil says how far openers hang back when oil runs short; needed for "tracks". Without one they
        follow the ground until no oil presses them.
    relieving: whether the valves can take oil back; as the drill file says if left out.
    crossing: soil and acceleration of every opener; the field's mean soil if left out.
    follow_short: whether stations short of oil are followed; else all are told as if there were enough.

    While there is oil enough the openers follow the ground between their stops, so the flow is known first
    and the pressure follows from it, station by station. Where the valves would have to give more than the
    tractor's flow, or than gets through the inlet hose at the setting, the stations are marched one after the
    other until what is owed is made up (`march_step`): the pressure sinks, discs come out of the soil by
    their balance, hoses, oil, air and accumulator lend, and each cylinder gets what its hoses bring. A
    cylinder at no pressure is starved; a void opens in it and the opener's weight still presses. What is
    taken back has to overcome the return hose and the tractor's own return. A relief valve beside the
    reducing valve opens at its setting, also for a plain reducing valve that cannot take back; it does
    nothing for what the hoses lose further out. Rows that keep their springs have no cylinder: no oil flows
    there, and their pressure is the header's beside them, or as set where none runs. Left out: hoses and oil
    that give while there is
    enough (an accumulator counts everywhere), the oil's inertia, seal friction, a frame that lifts:
    `study.oil.circuit` says which pressures are not reached.
    """
    travel = finite("travel", travel)
    if travel.ndim != 2 or travel.shape[1] != drill.row_count or len(travel) < 2:
        raise ValueError(
            f"travel needs two stations or more and one column for each of the {drill.row_count} openers; "
            f"got shape {travel.shape}."
        )
    step = float(positive("station_spacing", station_spacing) / positive("speed", speed))
    circuits = oil_circuits(drill, gauge_pressure, divide, field, relieving, oil_temperature)
    travel = np.where(drill.row_on_springs, 0.0, travel)
    ground_flow = rod_flow(drill, travel, step)
    flow = ground_flow.copy()
    fluid = drill.hydraulics.oil.at(oil_temperature)
    solved = [solve_ladder(circuit.ladder, flow[:, circuit.rows], *fluid) for circuit in circuits]
    valve_flow = np.concatenate([s.feed_flow for s in solved], axis=1)
    asked = np.maximum(valve_flow, 0.0).sum(axis=1)
    # A row beside which no header runs stands at what the circuit nearest to it is set to.
    fed = np.sort(np.concatenate([circuit.rows for circuit in circuits]))
    beside = fed[np.abs(drill.row_y[:, None] - drill.row_y[fed]).argmin(axis=1)]
    pressure, header, setting = np.empty_like(flow), np.empty_like(flow), np.empty(drill.row_count)
    droop, top = np.empty((2, drill.row_count))
    trapped = np.zeros(flow.shape, dtype=bool)
    relief = drill.hydraulics.valve.relief_pressure
    for circuit, state in zip(circuits, solved, strict=True):
        rows, valve = circuit.rows, circuit.valve
        setting[rows] = circuit.setting
        droop[rows], top[rows] = circuit.setting - valve.droop, circuit.setting + valve.band + valve.rise
        pressure[:, rows], header[:, rows], trapped[:, rows] = _pressures(circuit, state, relief)
    setting, droop, top = setting[beside], droop[beside], top[beside]
    alone = beside != np.arange(drill.row_count)
    pressure[:, alone] = header[:, alone] = setting[alone]
    header_flow, void = _largest_header_flow(solved, len(travel)), np.zeros(len(travel))
    behind, steady = np.zeros(len(travel), dtype=bool), np.ones(len(travel), dtype=bool)
    short = None
    if follow_short:
        short = marched(drill, circuits, solved, travel, flow, step, oil_temperature, field, crossing)
    if short is not None:
        at = short.stations
        on = np.ix_(at, fed)
        pressure[on], header[on], flow[on] = short.gauge_pressure, short.header_pressure, short.flow
        valve_flow[at], header_flow[at] = short.valve_flow, short.header_flow
        void[at], behind[at], trapped[at] = short.missing, short.behind, False
        # An accumulator lends everywhere; there it matters only where the supply is behind.
        steady[at] = False if drill.hydraulics.accumulator is None else ~short.behind
    return OilState(
        time=np.arange(len(travel)) * step,
        setting=setting,
        flow=flow,
        ground_flow=ground_flow,
        gauge_pressure=np.maximum(pressure, 0.0),
        header_pressure=np.maximum(header, 0.0),
        regime=_regimes(pressure, droop, top, trapped),
        asked=asked,
        given=np.maximum(valve_flow, 0.0).sum(axis=1),
        taken=np.maximum(-valve_flow, 0.0).sum(axis=1),
        valve_flow=valve_flow,
        header_flow=header_flow,
        void=void,
        behind=behind,
        steady=steady,
        supply_flow=drill.hydraulics.supply.flow,
        header_bore=drill.hydraulics.header.bore,
        drop_bore=drill.hydraulics.drop.bore,
    )


def pressed(drill: Drill, gauge_pressure: si.Pascals, travel: si.Metres) -> si.Newtons:
    """Down force of each opener at its cylinder's pressure and its travel, for many places at once.

    gauge_pressure: at every cylinder, shape (stations, openers).
    travel: travel of the discs, shape (stations, openers).
    Result: pressure x area x leverage at the disc, seal friction left out.
    """
    at = np.linspace(*drill.cylinder.travel_stops(drill.opener), 401)
    leverage = np.interp(travel, at, drill.cylinder.leverage(drill.opener, at))
    return drill.cylinder.push(gauge_pressure) * leverage


def _pressures(circuit: Circuit, state, relief):
    """Cylinder and header pressure of one circuit with oil enough, relieved, and where its oil is trapped."""
    trapped = _trapped(circuit.valve, state.feed_flow)[:, None]
    # The relief valve stands beside the reducing valve and opens for what that cannot take.
    over = relief - np.max(state.feed_pressure, axis=1, keepdims=True)
    shift = np.where(trapped, over, np.minimum(over, 0.0))
    return state.cylinder_pressure + shift, state.header_pressure + shift, trapped


def _regimes(pressure, lowest, highest, trapped):
    """What can be said of every cylinder, by code."""
    slack = 1e-7 * highest
    regime = np.full(pressure.shape, HELD, dtype=np.int8)
    regime[pressure < lowest - slack] = LOW
    regime[pressure > highest + slack] = HIGH
    regime[trapped] = TRAPPED
    regime[pressure <= 0.0] = STARVED
    return regime


def _trapped(valve, feed_flow):
    """When oil is shut in: from the moment it wants to come back until the rows draw some again."""
    regime = valve_regime(valve, feed_flow)
    shut = np.any(regime == "trapped", axis=1)
    if valve.relieving:
        return shut
    decided = shut | np.any(regime == "gives", axis=1)
    last = np.maximum.accumulate(np.where(decided, np.arange(len(shut)), -1))
    return (last >= 0) & shut[last]


def _largest_header_flow(solved, stations):
    largest = np.zeros(stations)
    for state in solved:
        if state.header_flow.shape[1]:
            largest = np.maximum(largest, np.abs(state.header_flow).max(axis=1))
    return largest
