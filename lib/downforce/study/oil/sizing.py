"""How few and how large valves and how small hoses keep the load, in oil of a chosen temperature.

Also how fast the oil runs at its fastest, and how long where its friction is not known.
"""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Drill
from downforce.physics import kinds as si
from downforce.physics.checks import between, positive
from downforce.physics.oil import NOMINAL_BORES
from downforce.physics.oil_ladder import solve_ladder
from downforce.physics.oil_loss import UNCERTAIN_REYNOLDS, flow_velocity, line_loss_band, reynolds_number
from downforce.physics.oil_valve import outlet_pressure
from downforce.study.oil.circuit import (
    Bearable,
    FirstLimit,
    drill_with_hoses,
    even_places,
    oil_circuits,
    rod_flow,
)
from downforce.study.oil_supply import OilState

VALVE_FLOWS = tuple(litres / 60e3 for litres in (20, 40, 60, 90, 120, 150))
"""Rated flows of the valves tried [m3/s] (common practice, no source)."""

OVER_RATED = 1.1
"""Flow to which a valve's curve is trusted, over the flow it is rated for [-]; a choice of this project."""

HEADER_BORES = tuple(bore for bore in NOMINAL_BORES if 0.0095 <= bore <= 0.026)
"""Header hoses tried [m]: 3/8 to 1 inch."""

DROP_BORES = tuple(bore for bore in NOMINAL_BORES if 0.0045 <= bore <= 0.013)
"""Drop hoses tried [m]: 3/16 to 1/2 inch."""

MOST_VALVES = 3
"""More valves than this are not tried [-]."""

KEPT = 0.99
"""Share of all openers and stations at which the load must be kept [-]."""

HABIT = (0.019, 0.0125)
"""Header and drop of the trade's habit on wide drills [m]: 3/4 and 1/2 inch (common practice, no source)."""

VALVE, DROOP, LINE = "valve", "droop", "line"
"""What limits a circuit, supply aside [-]: a valve passes more than it is rated for; its droop and band alone
are too much; header and drops alone lose too much."""

_MOVING = 1e-9
_LOSSLESS = 0.2


@dataclass(frozen=True)
class Hoses:
    """Valves and hoses, and how well they keep the load.

    places: where they feed the header, right of the middle.
    kept: share of openers and stations whose load stays within the wanted share.
    largest_error: largest departure of the load from the setting, as a share of it.
    limits: what keeps them from being enough: `VALVE` or `DROOP`, and `LINE`; empty where they are enough.
    gives: what of the drill gives way before the highest pressure is reached.
    """

    valves: int
    places: tuple[si.Metre, ...]
    rated_flow: si.CubicMetrePerSecond
    header_bore: si.Metre
    drop_bore: si.Metre
    kept: si.Ratio
    largest_error: si.Ratio
    given: si.CubicMetrePerSecond
    taken: si.CubicMetrePerSecond
    limits: tuple[str, ...]
    gives: FirstLimit | None

    @property
    def enough(self) -> bool:
        """Whether that is as good as asked."""
        return not self.limits


@dataclass(frozen=True)
class Duty:
    """What the hoses must cope with.

    travel: travel of the discs, shape (stations, openers).
    """

    travel: si.Metres
    station_spacing: si.Metre
    speed: si.MetrePerSecond
    gauge_pressure: si.Pascal
    oil_temperature: si.Kelvin
    share: si.Ratio = 0.2
    kept: si.Ratio = KEPT

    def __post_init__(self):
        positive("share", self.share)
        between("kept", self.kept, 0.0, 1.0)


class Trials:
    """Circuits tried on one duty, whatever the supply; what several of them share is solved once.

    Down force at the disc is pressure x area x leverage, so its share of departure is the pressure's. Rod
    flow is the ground's: what a drop loses hangs on its bore alone, and behind a single valve the header's
    loss does not hang on the valve. Where nothing moves, the valve holds its setting.
    """

    def __init__(self, drill: Drill, duty: Duty, borne: Bearable):
        self.drill, self.duty, self._borne = drill, duty, borne
        self._places = tuple(drill.hydraulics.header.feeds_y)
        flow = rod_flow(drill, duty.travel, duty.station_spacing / positive("speed", duty.speed))
        self._moving = np.any(np.abs(flow) > _MOVING, axis=1)
        self._flow = flow[self._moving]
        self._fluid = drill.hydraulics.oil.at(duty.oil_temperature)
        self._headers, self._drops, self._found, self._valve = {}, {}, {}, None

    def judged(
        self,
        rated_flow: si.CubicMetrePerSecond | None = None,
        valves: int | None = None,
        header_bore: si.Metre | None = None,
        drop_bore: si.Metre | None = None,
    ) -> Hoses:
        """How well one circuit keeps the load.

        rated_flow: of each valve; as in the drill file if left out.
        valves: spread evenly; number and places of the drill file if left out.
        """
        parts = self.drill.hydraulics
        places = self._places if valves is None else tuple(map(float, even_places(self.drill, valves)))
        sizes = (
            float(parts.valve.rated_flow if rated_flow is None else rated_flow),
            places,
            float(parts.header.bore if header_bore is None else header_bore),
            float(parts.drop.bore if drop_bore is None else drop_bore),
        )
        if sizes not in self._found:
            self._found[sizes] = self._judged(*sizes)
        return self._found[sizes]

    def smallest(self, valves: int, rated_flow: si.CubicMetrePerSecond | None = None) -> Hoses:
        """Smallest valve, with it the smallest header, and with both the smallest drop that keep the load.

        Result: where nothing is enough, the largest tried, marked so.

        A larger valve or hose never keeps the load worse, so each bore is found by halving the list.
        """
        widest = HEADER_BORES[-1], DROP_BORES[-1]
        # The valves together pass what all rows draw or give back, so none smaller will do.
        least = valve_for(_most(np.abs(self._flow.sum(axis=1))) / valves)
        tried = [flow for flow in VALVE_FLOWS if flow >= least] if rated_flow is None else [rated_flow]
        places = tuple(map(float, even_places(self.drill, valves)))
        flow = next((flow for flow in tried if self._enough(flow, places, *widest)), tried[-1])
        header = _first_enough(HEADER_BORES, lambda bore: self._enough(flow, places, bore, widest[1]))
        drop = _first_enough(DROP_BORES, lambda bore: self._enough(flow, places, header, bore))
        return self.judged(flow, valves, header, drop)

    def pressure(self, hoses: Hoses) -> si.Pascals:
        """Pressure at every cylinder with one circuit.

        hoses: as `judged` gave it.
        Result: shape (stations, openers).
        """
        return self.duty.gauge_pressure * (1.0 + self._error(*_sizes(hoses))[0])

    def header_flow(self, hoses: Hoses) -> si.CubicMetresPerSecond:
        """Flow in the fullest piece of header with one circuit.

        hoses: as `judged` gave it.
        Result: shape (stations,).
        """
        return self._error(*_sizes(hoses))[2]

    def _judged(self, rated_flow, places, header_bore, drop_bore):
        error, feed_flow, _ = self._error(rated_flow, places, header_bore, drop_bore)
        kept, given, taken = self._kept(error), _most(feed_flow), _most(-feed_flow)
        limits = [VALVE] if max(given, taken) > OVER_RATED * rated_flow else []
        if kept < self.duty.kept:
            lossless = self._error(rated_flow, places, _LOSSLESS, _LOSSLESS)[0]
            lines = self._error(rated_flow, places, header_bore, drop_bore, ideal=True)[0]
            if not limits and self._kept(lossless) < self.duty.kept:
                limits.append(DROOP)
            if self._kept(lines) < self.duty.kept:
                limits.append(LINE)
            # Where each alone would do, it is both together.
            limits = limits or [DROOP, LINE]
        return Hoses(
            len(places),
            places,
            rated_flow,
            header_bore,
            drop_bore,
            kept,
            _most(np.abs(error)),
            given,
            taken,
            tuple(limits),
            self._borne.first_to_give(self.duty.gauge_pressure * (1.0 + error)),
        )

    def _enough(self, rated_flow, places, header_bore, drop_bore):
        error, feed_flow, _ = self._error(rated_flow, places, header_bore, drop_bore)
        return _most(np.abs(feed_flow)) <= OVER_RATED * rated_flow and self._kept(error) >= self.duty.kept

    def _kept(self, error):
        return float(np.mean(np.abs(error) <= self.duty.share))

    def _error(self, rated_flow, places, header_bore, drop_bore, ideal=False):
        """Pressure at the cylinders over the setting, as a share of it; flow of each valve, of the header."""
        one, setting = len(places) == 1, self.duty.gauge_pressure
        if drop_bore not in self._drops:
            self._solve(self._places[:1], _partner(drop_bore, DROP_BORES, HEADER_BORES), drop_bore)
        key = places, header_bore, *(() if one else (rated_flow, ideal))
        if key not in self._headers:
            drop = _partner(header_bore, HEADER_BORES, DROP_BORES)
            self._solve(places, header_bore, drop, *(() if one else (rated_flow, ideal)))
        header, feed_flow, fullest = self._headers[key]
        if one and not ideal:
            header = (
                header + outlet_pressure(replace(self._valve, rated_flow=rated_flow), feed_flow) - setting
            )
        error = np.zeros((len(self._moving), self._flow.shape[1]))
        # A void opens where less than nothing would press.
        error[self._moving] = np.maximum((header - self._drops[drop_bore]) / setting, -1.0)
        return error, feed_flow, fullest

    def _solve(self, places, header_bore, drop_bore, rated_flow=None, ideal=False):
        """Losses of a header and of drops, kept apart; behind one valve without what the valve costs."""
        made = drill_with_hoses(self.drill, header_bore, drop_bore, feeds_y=places, rated_flow=rated_flow)
        (circuit,) = oil_circuits(
            _with_ideal_valves(made) if ideal else made,
            self.duty.gauge_pressure,
            oil_temperature=self.duty.oil_temperature,
        )
        solved = solve_ladder(circuit.ladder, self._flow, *self._fluid)
        one = len(places) == 1
        self._valve = circuit.valve if one else self._valve
        fullest = np.zeros(len(self._moving))
        fullest[self._moving] = np.abs(solved.header_flow).max(axis=1, initial=0.0)
        told_from = solved.feed_pressure if one else self.duty.gauge_pressure
        key = places, header_bore, *(() if one else (rated_flow, ideal))
        self._headers[key] = solved.header_pressure - told_from, solved.feed_flow, fullest
        self._drops[drop_bore] = solved.header_pressure - solved.cylinder_pressure


def habit_gain(trials: Trials) -> tuple[Hoses, Hoses, Hoses, Hoses]:
    """What the trade's habit of wide hoses gains over those in the drill file.

    Result: as the drill file has it; then, with valves in the same places that are large enough, its own
        hoses, the habit's drops, the habit's drops and header.
    """
    own = trials.judged()
    flow = valve_for(max(own.given, own.taken))
    header, drop = HABIT
    return (
        own,
        trials.judged(flow),
        trials.judged(flow, drop_bore=drop),
        trials.judged(flow, header_bore=header, drop_bore=drop),
    )


def valve_for(flow: si.CubicMetrePerSecond) -> si.CubicMetrePerSecond:
    """Rated flow of the smallest valve tried that passes a flow.

    Result: the largest tried where none passes it.
    """
    return next((rated for rated in VALVE_FLOWS if OVER_RATED * rated >= flow), VALVE_FLOWS[-1])


def circuit_to_order(trials: Trials) -> Hoses:
    """The circuit that is judged good: the drill file's own if it is enough, else the fewest valves.

    Result: where none is enough, the one tried that keeps the load best.
    """
    own = trials.judged()
    if own.enough:
        return own
    tried = []
    for valves in range(1, MOST_VALVES + 1):
        tried.append(trials.smallest(valves))
        if tried[-1].enough:
            return tried[-1]
    return max(tried, key=lambda hoses: hoses.kept)


def _partner(bore, bores, others):
    """Hose solved together with another, always the same, so that few networks are made ready."""
    return others[bores.index(bore)] if bore in bores else others[len(others) // 2]


def _sizes(hoses):
    return hoses.rated_flow, hoses.places, hoses.header_bore, hoses.drop_bore


def _with_ideal_valves(drill):
    parts = drill.hydraulics
    return replace(drill, hydraulics=replace(parts, valve=replace(parts.valve, band=0.0, droop=0.0)))


def _most(values):
    return float(values.max(initial=0.0))


def _first_enough(bores, enough):
    """First of rising bores that is enough, or the last."""
    low, high = 0, len(bores) - 1
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(bores[middle]) else (middle + 1, high)
    return bores[low]


HEADER_LENGTH = 10.0
"""Length of header whose loss is told [m], as in the sum by hand."""


@dataclass(frozen=True)
class FastestOil:
    """Oil in one kind of line over a crossing.

    more: whether it would be more where the ground asks for what the drill does not bear.
    uncertain: share of the crossing that is borne, with a Reynolds number in `UNCERTAIN_REYNOLDS`.
    low, high: ends of the loss in that length where they are farthest apart; NaN where it never runs there.
    """

    velocity: si.MetrePerSecond
    more: bool
    reynolds: si.Ratio
    length: si.Metre
    uncertain: si.Ratio
    low: si.Pascal
    high: si.Pascal


def reached_stations(state: OilState, borne: Bearable) -> si.Flags:
    """Where a crossing runs as it is reckoned: nothing of the drill gives way.

    Result: one for each station.
    """
    return ~np.any(borne.beyond(state.gauge_pressure), axis=1)


def fastest_oil(
    drill: Drill, state: OilState, oil_temperature: si.Kelvin, borne: Bearable
) -> tuple[FastestOil, FastestOil]:
    """Velocity, Reynolds number and doubtful loss of header and drops over a crossing.

    Result: fullest piece of the header, all drops.

    The loss is that of the hose alone, without fittings.
    """
    fluid, reached = drill.hydraulics.oil.at(oil_temperature), reached_stations(state, borne)
    return (
        fastest_in_line(state.header_flow, reached, state.header_bore, HEADER_LENGTH, fluid),
        fastest_in_line(
            np.abs(state.flow).max(axis=1), reached, state.drop_bore, drill.hydraulics.drop.length, fluid
        ),
    )


def fastest_in_line(
    flow: si.CubicMetresPerSecond,
    reached: si.Flags,
    bore: si.Metre,
    length: si.Metre,
    fluid: tuple[si.KilogramPerCubicMetre, si.SquareMetrePerSecond],
) -> FastestOil:
    """Velocity, Reynolds number and doubtful loss in one line.

    Result: of the stations where it is reached.
    """
    most, flow = flow.max(), flow[reached]
    reynolds = reynolds_number(flow, bore, fluid[1])
    there = (reynolds > UNCERTAIN_REYNOLDS[0]) & (reynolds < UNCERTAIN_REYNOLDS[1])
    ends = float("nan"), float("nan")
    if np.any(there):
        low, high = line_loss_band(flow[there], bore, length, *fluid)
        widest = np.argmax(high - low)
        ends = float(low[widest]), float(high[widest])
    highest = flow.max(initial=0.0)
    return FastestOil(
        float(flow_velocity(highest, bore)),
        bool(most > highest),
        float(reynolds.max(initial=0.0)),
        float(length),
        float(np.mean(there)) if len(there) else 0.0,
        *ends,
    )
