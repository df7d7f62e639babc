"""Headers whose oil runs short, station by station: rows hang back, hoses and gas lend, one supply feeds all.

Stations follow each other in time, so each is solved from the one before; stretches that do not follow each
other are marched side by side.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics.kinds import Second
from downforce.physics.oil_loss import loss_and_slope
from downforce.physics.oil_valve import FLATTEST, GivingRows, MarchedHeader, MarchState

PUMP_GIVE = 1e-3
"""Share of its flow that a pump at its limit gives more while its pressure falls to nothing [-]."""

CLOSED = 1e-6
"""Share of the flow supplied and asked for that may be left over at the nodes of a header [-]."""

LEAST_BAND = 1e4
"""Between giving and taking back a spool moves over this at least [Pa]."""

LOWEST = 2e5
"""No more than this below the atmosphere is searched [Pa]."""

MOST_STEPS, MOST_CUTS = 60, 40
_REST_FLOW, _NO_DEPTH = 1e-9, 1e-6


def march_step(header: MarchedHeader, rows: GivingRows, state: MarchState, step: Second) -> MarchState:
    """State of many stretches one station later.

    header: lines, valves, stores, supply.
    rows: what the openers do at the new station, one row a stretch.
    state: of the station before.
    Raises RuntimeError if the nodes do not settle, which the method is made to prevent.

    Implicit Euler. Unknown are the header's pressures at the drops; each opener, hose and valve answers to
    them by its own balance, and every answer only grows or only falls, so the answer is the lowest point of a
    convex function: Newton's method with a line search on straight pieces finds it from any start. A header
    is a chain, so its equations have three diagonals. While a valve gives, its outlet is the setting or what
    the inlet has left, whichever is lower, less its droop. One valve alone answers for the supply as well;
    for several, what is left at their inlet is searched between bounds until they give what there is. The
    losses of hoses are straight through nothing and the loss at the flow of the station before, exact in
    laminar flow.
    Range: stations closer than the time in which the ground changes; oil without inertia.
    Source: derivation; the losses of `loss_and_slope`.
    """
    solve = _Station(header, rows, state, step)
    highest = max(feed.valve.setting for feed in solve.feeds)
    count = len(state.inlet_pressure)
    pressure, found = solve.settled(state.header_pressure, np.full(count, highest))
    inlet, over = np.full(count, highest), found.over
    short = np.flatnonzero(over < -solve.allowed)
    if len(short):
        part = solve.part(short)
        begin = np.where(state.inlet_pressure < highest, state.inlet_pressure, 0.9 * highest)[short]
        pressure[short], inlet[short] = part.shared(pressure[short], begin, np.full(len(short), highest))
        found = solve.left_over(pressure, inlet)
    inlet = np.minimum(inlet, found.inlet)
    return MarchState(pressure, found.cylinder, found.oil, found.flow, found.along, found.feed_flow, inlet)


@dataclass
class _LeftOver:
    """What is left over at every node and at the inlet, and how it changes."""

    oil: np.ndarray
    flow: np.ndarray
    cylinder: np.ndarray
    along: np.ndarray
    feed_flow: np.ndarray
    node: np.ndarray
    diagonal: np.ndarray
    over: np.ndarray
    inlet: np.ndarray
    by_inlet: np.ndarray
    drawn: np.ndarray
    supply_falls: np.ndarray


class _Station:
    """One station of many stretches: everything that answers to the header's pressures."""

    def __init__(self, header, rows, state, step):
        self.header, self.rows, self.state, self.step = header, rows, state, step
        self.per_header = header.joined / _secant(header.pieces, state.header_flow)
        self.answer = _rows_answer(rows, state.oil, _secant(header.drops, state.flow), step)
        self.supply = _Supply(header.inlet, np.maximum(state.feed_flow, 0.0).sum(axis=1))
        alone = self.supply if len(header.feeds) == 1 else None
        self.feeds = [
            _Feed(*feed, state.feed_flow[:, column], alone) for column, feed in enumerate(header.feeds)
        ]
        self.held = header.store.oil_and_slope(state.header_pressure)[0]
        asked = np.abs(rows.full - state.oil).sum(axis=1) / step
        self.allowed = CLOSED * (header.inlet.flow + asked)

    def part(self, chosen):
        """The same for some of the stretches."""
        return _Station(self.header, self.rows.part(chosen), self.state.part(chosen), self.step)

    def left_over(self, pressure, inlet):
        oil, flow, cylinder, growth = self.answer(pressure)
        stored, give = self.header.store.oil_and_slope(pressure)
        along = (pressure[:, :-1] - pressure[:, 1:]) * self.per_header
        node = -flow - (stored - self.held) / self.step
        node[:, :-1] -= along
        node[:, 1:] += along
        diagonal = growth + give / self.step
        diagonal[:, :-1] += self.per_header
        diagonal[:, 1:] += self.per_header
        by_inlet, drawn = np.zeros((2, *node.shape))
        over, falls = self.supply.answer(inlet)
        feed_flow = np.empty((len(node), len(self.feeds)))
        kept = np.full(len(node), np.inf)
        for column, feed in enumerate(self.feeds):
            out, slope, with_inlet, held = feed.answer(pressure[:, feed.node], inlet)
            feed_flow[:, column] = out
            node[:, feed.node] += out
            diagonal[:, feed.node] += slope
            by_inlet[:, feed.node] += with_inlet
            drawn[:, feed.node] += np.where(out > 0.0, slope, 0.0)
            over = over - np.maximum(out, 0.0)
            kept = np.minimum(kept, held)
        if len(self.feeds) == 1:
            over = np.zeros_like(over)
        else:
            kept = inlet
        return _LeftOver(
            oil, flow, cylinder, along, feed_flow, node, diagonal, over, kept, by_inlet, drawn, falls
        )

    def chain(self, diagonal, right):
        """Solve the header's three diagonals for all stretches at once."""
        from scipy.linalg.lapack import dgtsv

        beside = np.zeros_like(diagonal)
        beside[:, :-1] = -self.per_header
        chain = beside.ravel()[:-1]
        *_, found, failed = dgtsv(chain, diagonal.ravel(), chain, right.ravel())
        if failed:
            raise RuntimeError(
                "A header's equations cannot be solved: look for a hose far outside the sizes."
            )
        return found.reshape(diagonal.shape)

    def settled(self, pressure, inlet):
        """Header's pressures at which nothing is left over at the nodes, for what the inlet has left."""
        at, found = pressure, self.left_over(pressure, inlet)
        for _ in range(MOST_STEPS):
            going = np.abs(found.node).sum(axis=1) > self.allowed
            if not np.any(going):
                return at, found
            move = self.chain(found.diagonal, found.node) * going[:, None]
            start = (found.node * move).sum(axis=1)
            share = np.ones(len(at))
            after, found = at + move, self.left_over(at + move, inlet)
            for _ in range(MOST_CUTS):
                past = -(found.node * move).sum(axis=1)
                # A step past a corner may run beyond the lowest point: it is cut where it went too far.
                far = past > 0.5 * start
                if not np.any(far):
                    break
                cut = np.clip(start / (start + np.maximum(past, 0.0) + 1e-300), 0.1, 0.5)
                share = np.where(far, share * cut, share)
                after = at + share[:, None] * move
                found = self.left_over(after, inlet)
            at = after
        if np.all(np.abs(found.node).sum(axis=1) <= 1e3 * self.allowed):
            return at, found
        left = 6e4 * np.abs(found.node).sum(axis=1).max()
        raise RuntimeError(f"The oil of a station did not settle: {left:.3g} L/min are left over. Report it.")

    def shared(self, pressure, inlet, highest):
        """Header's and inlet's pressures at which several valves give together what the supply has."""
        low, high = np.full(len(inlet), -LOWEST), highest.copy()
        for _ in range(MOST_STEPS):
            pressure, found = self.settled(pressure, inlet)
            enough = found.over > 0.0
            low, high = np.where(enough, inlet, low), np.where(enough, high, inlet)
            open_ = (np.abs(found.over) > 10.0 * self.allowed) & (high - low > 1.0)
            if not np.any(open_):
                return pressure, inlet
            lean = self.chain(found.diagonal, found.by_inlet)
            grows = found.by_inlet.sum(axis=1) - (found.drawn * lean).sum(axis=1) + found.supply_falls
            newton = inlet + found.over / np.maximum(grows, 1e-300)
            inside = (newton > low) & (newton < high)
            inlet = np.where(open_, np.where(inside, newton, 0.5 * (low + high)), inlet)
        return pressure, inlet


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
        self.give = PUMP_GIVE * self.most / self.pressure

    def answer(self, left, further=0.0):
        """Flow at a pressure, and how fast it grows as that falls; further on is another resistance."""
        by_hose, per_hose = (self.pressure - left) / (self.slope + further), 1.0 / (self.slope + further)
        by_pump = self.most + self.give * (self.pressure - left)
        return np.minimum(by_hose, by_pump), np.where(by_hose < by_pump, per_hose, self.give)


class _Feed:
    """One valve with its hose to the header; alone it knows the supply."""

    def __init__(self, node, valve, hose, relief, flow, supply):
        self.node, self.valve, self.relief, self.supply = node, valve, relief, supply
        through = _secant(hose, flow)
        self.gives = max(valve.droop / valve.rated_flow, FLATTEST) + through
        self.takes = max(valve.rise / valve.rated_flow, FLATTEST) + through
        self.relieves = FLATTEST + through
        back = np.maximum(-flow, _REST_FLOW)
        line = valve.return_line
        self.returns = self.takes + (line.loss_and_slope(back)[0] / back if line else 0.0)

    def answer(self, pressure, inlet):
        """Flow into the header, how it falls with the header's and grows with the inlet's pressure, inlet."""
        valve = self.valve
        held = np.minimum(valve.setting, inlet)
        giving = pressure < held
        out, falls = (held - pressure) / self.gives, 1.0 / self.gives
        with_inlet = np.where(giving & (inlet <= valve.setting), falls, 0.0)
        if self.supply is not None:
            most, slope = self.supply.answer(pressure, self.gives)
            limits = most < out
            out, falls = np.where(limits, most, out), np.where(limits, slope, falls)
            held = np.where(giving & limits, pressure + self.gives * out, valve.setting)
        out, falls = np.where(giving, out, 0.0), np.where(giving, falls, 0.0)
        if valve.relieving:
            band, leak = max(valve.band, LEAST_BAND), valve.closing_flow
            over = np.maximum(pressure - valve.setting, 0.0)
            closed = over < band
            by_spool = np.where(closed, leak * over / band, leak + (over - band) / self.takes)
            by_return = np.maximum(pressure - valve.back_pressure, 0.0) / self.returns
            spool_rules = by_spool <= by_return
            steep = np.where(spool_rules, np.where(closed, leak / band, 1.0 / self.takes), 1.0 / self.returns)
            out = out - np.minimum(by_spool, by_return)
            falls = falls + np.where(over > 0.0, steep, 0.0)
        opened = pressure > self.relief
        out = out - np.where(opened, (pressure - self.relief) / self.relieves, 0.0)
        return out, falls + np.where(opened, 1.0 / self.relieves, 0.0), with_inlet, held


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
            hung, steep = _share_hung(rows.soil, slope, rows.exponent, wanted)
            # A disc that is out of the soil has no more depth to lose.
            growth = (wanted > 0.0) * rows.stroke / (np.maximum(steep + slope, 1e-30) * step)
        share = np.clip(hung, rows.low, rows.top)
        void = pressure < void_below
        oil = np.where(void, before + pressure / part, lying + rows.stroke * share)
        flow = (oil - before) / step
        cylinder = np.where(void, 0.0, pressure - resistance * flow)
        return oil, flow, cylinder, np.where(void, growth_void, np.where(hung == share, growth, 0.0))

    return answer


def _share_hung(soil, slope, exponent, wanted):
    """Share of the depth at which soil and the loss of the drop take what is wanted, and the soil's slope.

    soil x^n + slope x = wanted, in x^n where n is below 1: either way a curve that only grows steeper, so
    that Newton's method from above never falls below the answer.
    """
    wanted = np.maximum(wanted, 0.0)
    curved, plain, power = (soil, slope, exponent) if exponent > 1.0 else (slope, soil, 1.0 / exponent)
    curved, plain = np.maximum(curved, 1e-30), np.maximum(plain, 1e-30)
    found = np.minimum((wanted / curved) ** (1.0 / power), wanted / plain)
    for _ in range(6):
        steep = curved * found ** (power - 1.0)
        found = found - (steep * found + plain * found - wanted) / (power * steep + plain)
    share = found if exponent > 1.0 else found**power
    return share, exponent * soil * np.maximum(share, _NO_DEPTH) ** (exponent - 1.0)
