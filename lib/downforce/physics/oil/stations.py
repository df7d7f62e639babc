"""Pressures and flows of a network for many stations at once."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import finite, positive
from downforce.physics.kinds import CubicMetresPerSecond, KilogramPerCubicMetre, Pascals, SquareMetrePerSecond
from downforce.physics.oil.loss import loss_and_slope
from downforce.physics.oil.topology import Network
from downforce.physics.oil.valve import outlet_pressure_and_slope

CLOSURE = 1e-13
"""Share [-] of a loop's pressures that may be left over when it counts as closed."""

MOST_STEPS = 200
_CHUNK = 2048
"""Stations worked on together; more would not stay in the processor's fast memory."""

_ALONE = 2**18
"""Multiplications that a linear-algebra library does in one thread [-]. More would wake its others, which
wait in circles and cost several times what they save."""


@dataclass(frozen=True)
class StationSolution:
    """State of a network at many stations.

    nodes: names of the columns of `pressure`.
    pressure: gauge pressure, one row a station, one column a node.
    flow: flow from start to end, one row a station, one column a line.
    feed_flow: flow each valve gives, negative while it takes back, one column a valve.
    loss: pressure lost along each line, signed with its flow.
    """

    nodes: tuple[str, ...]
    pressure: Pascals
    flow: CubicMetresPerSecond
    feed_flow: CubicMetresPerSecond
    loss: Pascals


def solve_stations(
    network: Network,
    inflows: CubicMetresPerSecond,
    density: KilogramPerCubicMetre,
    viscosity: SquareMetrePerSecond,
) -> StationSolution:
    """Pressures and flows of a network at many stations, each with its own inflows.

    network: made once by `prepare_network`.
    inflows: flow into the network, one row a station, one column a node in the order of `network.nodes`.
    viscosity: KINEMATIC viscosity of the oil (46 cSt is 46e-6).
    Result: pressures of all nodes, flows of all lines and valves, at every station.
    Raises ValueError if the shapes do not fit, or density or viscosity is not positive.
    Raises RuntimeError if a loop does not close, which the method is made to prevent.

    Mass balance holds at every step: the tree carries the inflows, and each loop adds one circulating flow.
    Losses only grow with flow, so the circulating flows are the lowest point of a convex function; Newton's
    method with a line search finds it from any start. In laminar flow the first step is the exact answer.
    Range: steady flow at each station; oil and hoses that do not store any, all nodes at one height.
    Source: content function of a non-linear network [MIL]; derivation.

    >>> from downforce.physics.oil import Line, prepare_network
    >>> network = prepare_network([Line("valve", "cylinder", 0.00635, 2.0)], {"valve": 60e5})
    >>> states = solve_stations(network, [[0.0, -2.3e-3 / 60], [0.0, 0.0]], 870.0, 577e-6)
    >>> [round(float(p) / 1e5, 1) for p in states.pressure[:, 1]]
    [50.4, 60.0]
    """
    inflows = np.atleast_2d(finite("inflows", inflows))
    if inflows.ndim != 2 or inflows.shape[1] != len(network.nodes):
        raise ValueError(
            f"inflows needs one column for each of the {len(network.nodes)} nodes; got shape {inflows.shape}."
        )
    for name, value in (("density", density), ("viscosity", viscosity)):
        if positive(name, value).ndim:
            raise ValueError(f"{name} must be one number for the whole network; got an array.")
    law = _Law(network, density, viscosity)
    flow, drop = np.empty((2, len(inflows), len(network.paths.T)))
    for first in range(0, len(inflows), _CHUNK):
        part = slice(first, first + _CHUNK)
        flow[part] = _flows(law, _product(-inflows[part], network.paths))
        drop[part] = law.drop_and_slope(flow[part])[0]
    pressure = law.reference - _product(drop, network.paths.T)
    for node, held in network.fixed_pressures.items():
        pressure[:, network.nodes.index(node)] = held
    count = len(network.lines)
    return StationSolution(
        network.nodes, pressure, flow[:, :count], flow[:, count:], drop[:, :count] + law.source[:count]
    )


def _product(values, matrix):
    """Matrix product of many rows, a few rows at a time."""
    made, rows = np.empty((len(values), matrix.shape[1])), max(_ALONE // matrix.size, 1)
    for first in range(0, len(values), rows):
        np.matmul(values[first : first + rows], matrix, out=made[first : first + rows])
    return made


class _Law:
    """Pressure drop along every edge of a network, held pressures and valves included.

    A reference pressure is taken off, so that a small difference under a high pressure keeps its digits.
    """

    def __init__(self, network, density, viscosity, chosen=None):
        count = len(network.lines)
        fixed = network.fixed_pressures
        held = [*fixed.values(), *(feed.valve.setting for feed in network.feeds)]
        self.network, self.density, self.viscosity = network, density, viscosity
        self.reference = float(held[0])
        self.source = np.zeros(count + len(network.feeds))
        for place, line in enumerate(network.lines):
            self.source[place] += fixed[line.start] - self.reference if line.start in fixed else 0.0
            self.source[place] -= fixed[line.end] - self.reference if line.end in fixed else 0.0
        chosen = np.arange(len(self.source)) if chosen is None else chosen
        self.loops = network.loops[chosen]
        self.lines = int(np.sum(chosen < count))
        self.resistance = network.resistance(density, viscosity).part(chosen[chosen < count])
        self.valves = [network.feeds[place - count].valve for place in chosen[chosen >= count]]
        self.source = self.source[chosen]
        # Rounding leaves a few digits of these pressures in every loop.
        valve_size = [self.reference + valve.setting + valve.band for valve in self.valves]
        self.size = np.concatenate([2.0 * np.abs(self.source[: self.lines]), valve_size])

    def drop_and_slope(self, flow):
        drop, slope = np.empty_like(flow), np.empty_like(flow)
        loss, growth = loss_and_slope(self.resistance, flow[:, : self.lines])
        drop[:, : self.lines] = loss - self.source[: self.lines]
        # A fitting without any hose has no slope at rest; its slope at Reynolds 1 stands in.
        slope[:, : self.lines] = np.maximum(growth, self.resistance.square / self.resistance.per_flow)
        for column, valve in enumerate(self.valves, start=self.lines):
            pressure, growth = outlet_pressure_and_slope(valve, flow[:, column])
            drop[:, column] = self.reference - pressure
            slope[:, column] = growth
        return drop, slope


def _flows(law, flow):
    """Flow in every edge: what the tree carries and what circulates in the loops."""
    edges = np.flatnonzero(np.any(law.network.loops != 0.0, axis=1))
    if not len(edges):
        return flow
    part = _Law(law.network, law.density, law.viscosity, edges)
    flow[:, edges] = _closed_loops(part, flow[:, edges])
    return flow


def _closed_loops(law, flow):
    """Flow in the edges of all loops once no loop has pressure left over."""
    loops = law.loops
    count = loops.shape[1]
    pairs = (loops[:, :, None] * loops[:, None, :]).reshape(len(loops), count * count)
    open_ones = np.arange(len(flow))
    drop, slope = law.drop_and_slope(flow)
    for _ in range(MOST_STEPS):
        left = drop @ loops
        allowed = (np.abs(drop) + law.size) @ np.abs(loops)
        going = np.any(np.abs(left) > CLOSURE * allowed, axis=1)
        if not np.any(going):
            return flow
        open_ones, drop, slope, left = open_ones[going], drop[going], slope[going], left[going]
        step = _newton_step((slope @ pairs).reshape(-1, count, count), left) @ loops.T
        before = flow[open_ones]
        after, drop, slope = _searched(law, before, step, drop)
        flow[open_ones] = after
        moved = np.max(np.abs(after - before), axis=1) > 1e-15 * np.max(np.abs(after), axis=1)
        # A flow that no longer changes in its last digit is as good as floats can say.
        if not np.all(moved):
            _refuse_open(law, drop[~moved], loops)
            open_ones, drop, slope = open_ones[moved], drop[moved], slope[moved]
        if not len(open_ones):
            return flow
    _refuse_open(law, drop, loops)
    return flow


def _newton_step(matrix, left):
    scale = 1.0 / np.sqrt(np.diagonal(matrix, axis1=1, axis2=2))
    matrix = matrix * scale[:, :, None] * scale[:, None, :]
    return -scale * np.linalg.solve(matrix, (scale * left)[:, :, None])[:, :, 0]


def _searched(law, flow, step, drop):
    """Flow after a step that is shortened wherever it would run past the lowest point and up again."""
    share = np.ones(len(flow))
    downhill = np.sum(drop * step, axis=1)
    after = flow + step
    drop, slope = law.drop_and_slope(after)
    for _ in range(60):
        uphill = np.sum(drop * step, axis=1)
        far = np.flatnonzero(uphill > 0.5 * np.abs(downhill))
        if not len(far):
            break
        start = np.abs(downhill[far])
        share[far] *= np.clip(start / (start + uphill[far]), 0.1, 0.5)
        after[far] = flow[far] + share[far, None] * step[far]
        drop[far], slope[far] = law.drop_and_slope(after[far])
    return after, drop, slope


def _refuse_open(law, drop, loops):
    left = np.abs(drop @ loops)
    if np.any(left > 1e-8 * ((np.abs(drop) + law.size) @ np.abs(loops))):
        raise RuntimeError(
            f"The network did not settle: {left.max():.3g} Pa are left over in a loop. "
            "Look for a line far outside the sizes of hoses, and report it."
        )
