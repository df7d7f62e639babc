"""Headers whose oil runs short: rows hang back, hoses, air and accumulators lend, one supply feeds all valves.

Stations follow each other in time, so each is solved from the one before; stretches that do not follow each
other are marched side by side.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics.gas import STANDARD_ATMOSPHERE
from downforce.physics.oil.loss import LineResistance, loss_and_slope
from downforce.physics.oil.valve import FLATTEST, FilledHose, Valve

SQUEEZE_EXPONENT = 1.4
"""Gas of an accumulator that is squeezed fast [-]."""

PUMP_GIVE = 1e-3
"""Share of its flow that a pump at its limit gives more while its pressure falls to nothing [-]."""

MOST_STEPS = 100
LEAST_SHARE = 1e-3
CLOSED = 1e-6
"""Share of the flow supplied and asked for that may be left over at the nodes of a header [-]."""

_REST_FLOW, _NO_DEPTH = 1e-9, 1e-6


@dataclass(frozen=True)
class GivingRows:
    """What every cylinder's opener does when its push falls, arrays of shape (stations, rows).

    While `top` of the depth or more is kept, the cylinder holds `full`. Below, its pressure is
    rest + soil x (share of the depth)^exponent, and each share of the depth is worth `stroke` of oil. Below
    `low` the opener stands by its weight, or on its stop, and a void opens in the cylinder.

    Attributes
    ----------
    full : array [m3]
        Oil in the cylinder while the opener follows the ground.
    stroke : array [m3]
        Oil that the whole depth is worth.
    soil : array [Pa]
        Pressure that the soil takes at full depth.
    rest : array [Pa]
        Pressure that closing wheel and weight take together; mostly below zero.
    top, low : array [-]
        Shares of the depth at the valve's setting, and at no pressure.
    exponent : float [-]
        Power of depth in the soil's reaction.
    """

    full: np.ndarray
    stroke: np.ndarray
    soil: np.ndarray
    rest: np.ndarray
    top: np.ndarray
    low: np.ndarray
    exponent: float

    def part(self, chosen):
        """Some of the stations.

        Parameters
        ----------
        chosen : slice or array [-]
            Which.

        Returns
        -------
        GivingRows [-]
            The same for those stations only.

        Notes
        -----
        Range: any.

        Source: definition.
        """
        arrays = (self.full, self.stroke, self.soil, self.rest, self.top, self.low)
        return GivingRows(*(values[chosen] for values in arrays), self.exponent)


@dataclass(frozen=True)
class Store:
    """What lends oil at every node of a header, arrays of shape (rows,).

    Attributes
    ----------
    give : array [m3/Pa]
        Of hoses and oil.
    air : array [m3]
        Free air at atmospheric pressure.
    gas : array [m3]
        Gas volume of accumulators without oil.
    precharge : float [Pa]
        Their gauge pressure without oil; 0 where there is none.
    """

    give: np.ndarray
    air: np.ndarray
    gas: np.ndarray
    precharge: float

    def oil_and_slope(self, gauge_pressure):
        """Oil held beyond that at no pressure, and how it grows.

        Parameters
        ----------
        gauge_pressure : array [Pa]
            At every node, shape (..., rows).

        Returns
        -------
        tuple of two arrays [m3, m3/Pa]
            Oil and its derivative.

        Notes
        -----
        give p + air [1 - p0/(p + p0)] + gas [1 - (pc/(p + p0))^(1/1.4)], with absolute precharge pc and
        atmosphere p0; below no pressure it goes on straight.

        Range: free air that does not dissolve, at the oil's temperature; gas squeezed fast.

        Source: laws of Boyle and of the polytropic gas; as `gas_pressure`.

        Examples
        --------
        >>> store = Store(np.zeros(1), np.zeros(1), np.array([1e-3]), 40e5 - 101325)
        >>> low, high = (store.oil_and_slope(np.array([p - 101325]))[0][0] for p in (60e5, 70e5))
        >>> round(1e3 * float(high - low), 5)
        0.07863
        """
        absolute = np.maximum(gauge_pressure, 0.0) + STANDARD_ATMOSPHERE
        squeezed = STANDARD_ATMOSPHERE / absolute
        oil = self.give * gauge_pressure + self.air * (1.0 - squeezed)
        slope = self.give + self.air * squeezed / absolute
        oil = oil + np.minimum(gauge_pressure, 0.0) * self.air / STANDARD_ATMOSPHERE
        if self.precharge > 0.0:
            charge = self.precharge + STANDARD_ATMOSPHERE
            kept = self.gas * np.minimum(charge / absolute, 1.0) ** (1.0 / SQUEEZE_EXPONENT)
            oil = oil + self.gas - kept
            slope = slope + np.where(absolute > charge, kept / (SQUEEZE_EXPONENT * absolute), 0.0)
        return oil, slope


@dataclass(frozen=True)
class Inlet:
    """What the tractor gives all valves together.

    Attributes
    ----------
    pressure : float [Pa]
        Highest gauge pressure at its coupler.
    flow : float [m3/s]
        Most it gives.
    hose : FilledHose or None [-]
        To the valves; None loses nothing.
    """

    pressure: float
    flow: float
    hose: FilledHose | None = None

    def left(self, flow):
        """Pressure at the valves' inlet while a flow is given.

        Parameters
        ----------
        flow : float or array [m3/s]
            Given to all valves together.

        Returns
        -------
        float or array [Pa]
            Below zero where the hose cannot pass so much.

        Notes
        -----
        Range: up to the supply's flow; nothing is left beyond it.

        Source: definition.

        Examples
        --------
        >>> float(Inlet(190e5, 1e-3).left(5e-4))
        19000000.0
        """
        return self.pressure - (self.hose.loss_and_slope(flow)[0] if self.hose else 0.0 * np.asarray(flow))

    def enough(self, flow, gauge_pressure):
        """Whether valves that are set to a pressure get a flow.

        Parameters
        ----------
        flow : array [m3/s]
            Asked for by all valves together.
        gauge_pressure : float [Pa]
            Highest setting among them.

        Returns
        -------
        array of bool [-]
            False where flow or pressure runs short.

        Notes
        -----
        Range: as `left`.

        Source: definition.

        Examples
        --------
        >>> [bool(x) for x in Inlet(190e5, 1e-3).enough(np.array([9e-4, 2e-3]), 60e5)]
        [True, False]
        """
        return (flow <= self.flow) & (self.left(flow) >= gauge_pressure)


@dataclass(frozen=True)
class MarchedHeader:
    """Circuits side by side in one row of nodes, ready to be marched.

    Attributes
    ----------
    pieces : LineResistance [-]
        Header between neighbouring nodes, one fewer than the rows.
    joined : array of bool [-]
        False where a circuit ends and the next begins.
    drops : LineResistance [-]
        Hose from each node to its cylinder.
    feeds : tuple of (int, Valve, LineResistance, float) [-]
        Node, valve, hose and relief pressure of every feed.
    store : Store [-]
        What lends oil at every node.
    inlet : Inlet [-]
        The supply.
    """

    pieces: LineResistance
    joined: np.ndarray
    drops: LineResistance
    feeds: tuple
    store: Store
    inlet: Inlet


@dataclass
class MarchState:
    """State of many stretches at one moment, first axis the stretches.

    Attributes
    ----------
    header_pressure, gauge_pressure : array [Pa]
        At every node and cylinder.
    oil : array [m3]
        In every cylinder.
    flow : array [m3/s]
        Into every cylinder.
    header_flow : array [m3/s]
        Between neighbouring nodes, positive to the right.
    feed_flow : array [m3/s]
        Out of every valve.
    inlet_pressure : array [Pa]
        Left at the valves' inlet, at most the highest setting: more makes no difference. Shape (stretches,).
    """

    header_pressure: np.ndarray
    gauge_pressure: np.ndarray
    oil: np.ndarray
    flow: np.ndarray
    header_flow: np.ndarray
    feed_flow: np.ndarray
    inlet_pressure: np.ndarray

    def part(self, chosen):
        """Some of the stretches.

        Parameters
        ----------
        chosen : slice or array [-]
            Which.

        Returns
        -------
        MarchState [-]
            Their state.

        Notes
        -----
        Range: any.

        Source: definition.
        """
        return MarchState(**{name: values[chosen] for name, values in vars(self).items()})


def march_step(header, rows, state, step):
    """State of many stretches one station later.

    Parameters
    ----------
    header : MarchedHeader [-]
        Lines, valves, stores, supply.
    rows : GivingRows [-]
        What the openers do at the new station, one row a stretch.
    state : MarchState [-]
        Of the station before.
    step : float [s]
        From station to station.

    Returns
    -------
    MarchState [-]
        Of the new station.

    Raises
    ------
    RuntimeError
        If the nodes do not settle, which the method is made to prevent.

    Notes
    -----
    Implicit Euler. Unknown are the header's pressures at the drops and what is left of the supply's pressure
    at the valves; each opener, hose and valve answers to them by its own balance, and every answer only grows
    or only falls. At each node: what comes through header and valve = what the row takes + what is stored; at
    the inlet: what all valves give = what the supply gives. While a valve gives, its outlet is the setting or
    what the inlet has left, whichever is lower, less its droop. Newton's method on straight pieces; a header
    is a chain, so its equations have three diagonals. The losses of hoses are straight through nothing and
    the loss at the flow of the station before, exact in laminar flow.

    Range: stations closer than the time in which the ground changes; oil without inertia.

    Source: derivation; the losses of `loss_and_slope`.
    """
    from scipy.linalg.lapack import dgtsv

    count, nodes = state.oil.shape
    per_header = header.joined / _secant(header.pieces, state.header_flow)
    solve_row = _rows_answer(rows, state.oil, _secant(header.drops, state.flow), step)
    feeds = [
        _Feed(*feed, state.feed_flow[:, column], header.feeds) for column, feed in enumerate(header.feeds)
    ]
    supply = _Supply(header.inlet, np.maximum(state.feed_flow, 0.0).sum(axis=1))
    held = header.store.oil_and_slope(state.header_pressure)[0]
    highest = max(feed[1].setting for feed in header.feeds)
    pressure, inlet = state.header_pressure, np.minimum(state.inlet_pressure, highest)
    allowed = CLOSED * (header.inlet.flow + np.abs(rows.full - state.oil).sum(axis=1) / step)
    direction, lean_on = np.zeros((count, nodes)), np.zeros(count)
    at, share, before = (pressure, inlet), np.ones(count), np.full(count, np.inf)
    for _ in range(MOST_STEPS):
        answer = _balance(header, feeds, supply, solve_row, held, per_header, step, pressure, inlet, highest)
        if np.all(answer.size <= allowed):
            flows = answer.flow, answer.along, answer.feed_flow
            return MarchState(pressure, answer.cylinder, answer.oil, *flows, inlet)
        # A step past a corner may overshoot: it is halved until what is left over falls.
        falls = (answer.size < before * (1.0 - 0.1 * share)) | (share < LEAST_SHARE)
        at = np.where(falls[:, None], pressure, at[0]), np.where(falls, inlet, at[1])
        before = np.where(falls, answer.size, before)
        move, inlet_move = answer.newton(dgtsv, per_header)
        direction = np.where(falls[:, None], move, direction)
        lean_on = np.where(falls, inlet_move, lean_on)
        share = np.where(falls, 1.0, 0.5 * share)
        pressure = at[0] + share[:, None] * direction
        inlet = np.minimum(at[1] + share * lean_on, highest)
    raise RuntimeError(
        f"The oil of a station did not settle: {answer.size.max() * 6e4:.3g} L/min are left over. Please report it."
    )


@dataclass
class _Balance:
    """What is left over at every node and at the inlet, and how it changes."""

    oil: np.ndarray
    flow: np.ndarray
    cylinder: np.ndarray
    along: np.ndarray
    feed_flow: np.ndarray
    left: np.ndarray
    over: np.ndarray
    binds: np.ndarray
    size: np.ndarray
    diagonal: np.ndarray
    border: np.ndarray
    drawn: np.ndarray
    by_inlet: np.ndarray

    def newton(self, solve, per_header):
        """Step of all pressures that would leave nothing over if all answers were straight."""
        count, nodes = self.left.shape
        beside = np.zeros((count, nodes))
        beside[:, :-1] = -per_header
        chain = beside.ravel()[:-1]
        both = np.stack([self.left, self.border], axis=-1).reshape(count * nodes, 2)
        *_, found, failed = solve(chain, self.diagonal.ravel(), chain, both)
        if failed:
            raise RuntimeError(
                "A header's equations cannot be solved: look for a hose far outside the sizes."
            )
        move, lean = found.reshape(count, nodes, 2).transpose(2, 0, 1)
        wanted = self.over + (self.drawn * move).sum(axis=1)
        inlet = np.where(self.binds, wanted / (self.by_inlet - (self.drawn * lean).sum(axis=1)), 0.0)
        return move + lean * inlet[:, None], inlet


def _balance(header, feeds, supply, solve_row, held, per_header, step, pressure, inlet, highest):
    oil, flow, cylinder, growth = solve_row(pressure)
    stored, give = header.store.oil_and_slope(pressure)
    along = (pressure[:, :-1] - pressure[:, 1:]) * per_header
    left = -flow - (stored - held) / step
    left[:, :-1] -= along
    left[:, 1:] += along
    diagonal = growth + give / step
    diagonal[:, :-1] += per_header
    diagonal[:, 1:] += per_header
    border, drawn = np.zeros_like(left), np.zeros_like(left)
    over, falls = supply.answer(inlet)
    feed_flow = np.empty((len(left), len(feeds)))
    for column, feed in enumerate(feeds):
        out, against_node, with_inlet = feed.answer(pressure[:, feed.node], inlet)
        feed_flow[:, column] = out
        left[:, feed.node] += out
        diagonal[:, feed.node] += against_node
        border[:, feed.node] += with_inlet
        # What a valve gives falls with its node's pressure as fast as it grows with the inlet's.
        drawn[:, feed.node] += np.where(out > 0.0, against_node, 0.0)
        over, falls = over - np.maximum(out, 0.0), falls + with_inlet
    # At the highest setting the inlet has enough, unless more is drawn than there is.
    binds = (inlet < highest) | (over < 0.0)
    size = np.abs(left).sum(axis=1) + np.where(binds, np.abs(over), 0.0)
    return _Balance(
        oil, flow, cylinder, along, feed_flow, left, over, binds, size, diagonal, border, drawn, falls
    )


def _secant(lines, flow):
    """Loss over flow, above zero also at rest."""
    size = np.maximum(np.abs(flow), _REST_FLOW)
    return loss_and_slope(lines, size)[0] / size


class _Supply:
    """What the inlet gives as its pressure falls."""

    def __init__(self, inlet, flow):
        self.pressure, self.most = inlet.pressure, inlet.flow
        size = np.maximum(flow, _REST_FLOW)
        loss = inlet.hose.loss_and_slope(size)[0] / size if inlet.hose else 0.0 * size
        self.slope = loss + FLATTEST
        self.knee = self.pressure - self.slope * self.most
        self.give = PUMP_GIVE * self.most / self.pressure

    def answer(self, left):
        """Flow at an inlet pressure, and how fast it grows as that falls."""
        limited = left < self.knee
        by_hose = (self.pressure - left) / self.slope
        flow = np.where(limited, self.most + self.give * (self.knee - left), by_hose)
        return flow, np.where(limited, self.give, 1.0 / self.slope)


class _Feed:
    """One valve with its hose to the header."""

    def __init__(self, node, valve, hose, relief, flow, all_feeds):
        self.node, self.valve, self.relief = node, valve, relief
        through = _secant(hose, flow)
        self.gives = max(valve.droop / valve.rated_flow, FLATTEST) + through
        self.takes = max(valve.rise / valve.rated_flow, FLATTEST) + through
        back = np.maximum(-flow, _REST_FLOW)
        line = valve.return_line
        self.relieves = FLATTEST + through
        self.returns = self.takes + (line.loss_and_slope(back)[0] / back if line else 0.0)

    def answer(self, pressure, inlet):
        """Flow into the header, how fast it falls as the header's pressure grows, and grows with the inlet's."""
        valve = self.valve
        held = np.minimum(valve.setting, inlet)
        giving = pressure < held
        out = np.where(giving, (held - pressure) / self.gives, 0.0)
        falls = np.where(giving, 1.0 / self.gives, 0.0)
        with_inlet = np.where(giving & (inlet <= valve.setting), falls, 0.0)
        if valve.relieving:
            band, leak = valve.band + FLATTEST * valve.closing_flow, valve.closing_flow
            over = pressure - valve.setting
            by_spool = np.where(over < band, leak * over / band, leak + (over - band) / self.takes)
            by_return = np.maximum(pressure - valve.back_pressure, 0.0) / self.returns
            taking = over > 0.0
            spool_rules = by_spool <= by_return
            out = out - np.where(taking, np.minimum(by_spool, by_return), 0.0)
            steep = np.where(over < band, leak / band, 1.0 / self.takes)
            falls = falls + np.where(taking, np.where(spool_rules, steep, 1.0 / self.returns), 0.0)
        opened = pressure > self.relief
        out = out - np.where(opened, (pressure - self.relief) / self.relieves, 0.0)
        return out, falls + np.where(opened, 1.0 / self.relieves, 0.0), with_inlet


def _rows_answer(rows, before, resistance, step):
    """How every row answers to the pressure in the header beside its drop, from the oil it had before."""
    part = resistance / step
    lying = rows.full - rows.stroke * rows.top
    void_below = part * (lying + rows.stroke * rows.low - before)
    slope = part * rows.stroke
    at_rest = rows.rest + part * (lying - before)
    straight = rows.exponent == 1.0
    # Without a depth to lose there is nothing to divide by, and nothing that grows.
    stiff = np.maximum(rows.soil + slope, 1e-30)
    growth_hung, growth_void = rows.stroke / (stiff * step), 1.0 / resistance

    def answer(pressure):
        wanted = pressure - at_rest
        if straight:
            hung, growth = wanted / stiff, growth_hung
        else:
            hung, steep = _share_hung(rows, slope, wanted)
            growth = rows.stroke / (np.maximum(steep + slope, 1e-30) * step)
        share = np.clip(hung, rows.low, rows.top)
        void = pressure < void_below
        oil = np.where(void, before + pressure / part, lying + rows.stroke * share)
        flow = (oil - before) / step
        cylinder = np.where(void, 0.0, pressure - resistance * flow)
        return oil, flow, cylinder, np.where(void, growth_void, np.where(hung == share, growth, 0.0))

    return answer


def _share_hung(rows, slope, wanted):
    """Share of the depth at which soil and the loss of the drop take what is wanted, and the soil's slope."""
    share = np.maximum(rows.top, _NO_DEPTH)
    for _ in range(8):
        power = rows.soil * share ** (rows.exponent - 1.0)
        miss = power * share + slope * share - wanted
        share = np.clip(share - miss / np.maximum(rows.exponent * power + slope, 1e-30), _NO_DEPTH, 2.0)
    return share, rows.exponent * rows.soil * share ** (rows.exponent - 1.0)
