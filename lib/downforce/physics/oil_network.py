"""Networks of lines: how they hang together, and their pressures and flows for many stations at once.

A tree feeds every node, and loops are left over. All nodes of known pressure, and the tank side of every
valve, are one node here, called the ground.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from downforce.physics import kinds as si
from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.oil_loss import LineResistance, line_resistance, loss_and_slope
from downforce.physics.oil_valve import Valve, outlet_pressure_and_slope

GROUND = -1


@dataclass(frozen=True)
class Line:
    """One hose or pipe between two named nodes.

    start: node where a positive flow enters.
    end: node where a positive flow leaves.
    bore: inside diameter.
    roughness: height of the wall's roughness; 0 for hose.
    loss_coefficient: sum of the fittings' loss coefficients.
    laminar_coefficient: sum of the fittings' laminar constants K1, which add K1/Re to the loss coefficient.
    """

    start: str
    end: str
    bore: si.Metre
    length: si.Metre
    roughness: si.Metre = 0.0
    loss_coefficient: si.Ratio = 0.0
    laminar_coefficient: si.Ratio = 0.0


@dataclass(frozen=True)
class Feed:
    """A valve whose outlet is a node of the network."""

    node: str
    valve: Valve


@dataclass(frozen=True)
class Network:
    """Lines made ready for solving; made by `prepare_network`.

    lines: the lines, in the order given.
    feeds: the valves, in the order given.
    fixed_pressures: pressure of each node that is held.
    nodes: all nodes, in the order in which the lines name them.
    paths: one row a node, one column a line and then a feed: +1 or -1 where the way from the ground to the
        node runs along it or against it.
    loops: one row a line and then a feed, one column a loop: +1 or -1 where the loop runs along or against
        it.
    incidence: one row a line and then a feed, one column a node: +1 where it ends, -1 where it starts.
    """

    lines: tuple[Line, ...]
    feeds: tuple[Feed, ...]
    fixed_pressures: dict[str, si.Pascal]
    nodes: tuple[str, ...]
    paths: si.Ratios
    loops: si.Ratios
    incidence: si.Ratios

    def resistance(
        self, density: si.KilogramPerCubicMetre, viscosity: si.SquareMetrePerSecond
    ) -> LineResistance:
        """Constants of all lines for one oil.

        Range: as `line_resistance`.
        Source: as `line_resistance`.
        """
        names = ("bore", "length", "roughness", "loss_coefficient", "laminar_coefficient")
        bore, length, roughness, fittings, laminar = (
            np.array([getattr(line, name) for line in self.lines], dtype=float) for name in names
        )
        made: LineResistance = line_resistance(bore, length, density, viscosity, roughness, fittings, laminar)
        return made


def prepare_network(
    lines: Sequence[Line], fixed_pressures: dict[str, si.Pascal] | None = None, feeds: Sequence[Feed] = ()
) -> Network:
    """Lines, held pressures and valves checked and made ready, once for any number of solutions.

    lines: hoses and pipes; lines side by side and loops are allowed.
    fixed_pressures: gauge pressure of every node where it is held.
    feeds: valves, each at a node whose pressure is not held.
    Result: the network, for `solve_stations` and `solve_network`.
    Raises ValueError: in a sentence, if a line is impossible, a node is unknown, nothing holds a pressure, or
        nodes have no way to a held pressure.

    The tree is grown along the lines with the least resistance, so that each loop is ruled by its tightest
    line and its equations stay well conditioned.
    Range: up to a few thousand lines and a few hundred loops.
    Source: spanning tree [KRU]; loop equations as in [CRO], solved all at once.

    >>> network = prepare_network([Line("valve", "cylinder", 0.01, 2.0)], {"valve": 60e5})
    >>> network.nodes, network.loops.shape
    (('valve', 'cylinder'), (1, 0))
    """
    lines, feeds, fixed = tuple(lines), tuple(feeds), dict(fixed_pressures or {})
    _refuse_lines(lines)
    nodes = tuple(dict.fromkeys(node for line in lines for node in (line.start, line.end)))
    _refuse_holders(nodes, fixed, feeds)
    place = {node: GROUND if node in fixed else i for i, node in enumerate(nodes)}
    ends = [(place[line.start], place[line.end]) for line in lines] + [(GROUND, place[f.node]) for f in feeds]
    # A valve is a better way than any hose, so it always belongs to the tree first.
    weights = [_tightness(line) for line in lines] + [0.0] * len(feeds)
    paths, in_tree = _grow_tree(nodes, place, ends, weights)
    rest = [i for i in range(len(ends)) if i not in in_tree]
    loops = np.zeros((len(ends), len(rest)))
    for column, edge in enumerate(rest):
        start, end = ends[edge]
        loops[edge, column] = 1.0
        loops[:, column] += (paths[start] if start != GROUND else 0.0) - (
            paths[end] if end != GROUND else 0.0
        )
    return Network(lines, feeds, fixed, nodes, paths, loops, _incidence(nodes, lines, feeds))


def _tightness(line):
    return line.length / line.bore**4 + line.loss_coefficient / line.bore**3


def _incidence(nodes, lines, feeds):
    index = {node: i for i, node in enumerate(nodes)}
    incidence = np.zeros((len(lines) + len(feeds), len(nodes)))
    for row, line in enumerate(lines):
        incidence[row, index[line.start]] = -1.0
        incidence[row, index[line.end]] = 1.0
    for row, feed in enumerate(feeds, start=len(lines)):
        incidence[row, index[feed.node]] = 1.0
    return incidence


def _grow_tree(nodes, place, ends, weights):
    """Signed paths from the ground to every node along the least resistance, and the edges used."""
    leader = {GROUND: GROUND, **{i: i for i in place.values()}}

    def root(point):
        while leader[point] != point:
            leader[point] = leader[leader[point]]
            point = leader[point]
        return point

    near = {point: [] for point in leader}
    in_tree = set()
    for edge in sorted(range(len(ends)), key=lambda i: (weights[i], i)):
        start, end = ends[edge]
        if root(start) != root(end):
            leader[root(start)] = root(end)
            in_tree.add(edge)
            near[start].append((end, edge, 1.0))
            near[end].append((start, edge, -1.0))
    paths = np.zeros((len(nodes), len(ends)))
    seen, waiting = {GROUND}, [GROUND]
    while waiting:
        here = waiting.pop()
        for there, edge, sign in near[here]:
            if there not in seen:
                seen.add(there)
                waiting.append(there)
                if here != GROUND:
                    paths[there] = paths[here]
                paths[there, edge] = sign
    _refuse_islands([node for node in nodes if place[node] not in seen])
    return paths, in_tree


def _refuse_islands(lost):
    if lost:
        names = ", ".join(repr(node) for node in lost)
        raise ValueError(
            f"No line leads from a held pressure to: {names}. Connect them, or hold a pressure among them."
        )


def _refuse_lines(lines):
    if not lines:
        raise ValueError("lines is empty: give at least one Line.")
    for number, line in enumerate(lines):
        # To check each value in words takes longer than to solve the network.
        if _is_sound(line):
            continue
        name = f"lines[{number}] (from {line.start!r} to {line.end!r})"
        if line.start == line.end:
            raise ValueError(f"{name} starts and ends at the same node; a line joins two nodes.")
        positive(f"bore of {name}", line.bore)
        length = not_negative(f"length of {name}", line.length)
        for part in ("roughness", "loss_coefficient", "laminar_coefficient"):
            not_negative(f"{part} of {name}", getattr(line, part))
        if length == 0 and line.loss_coefficient == 0 and line.laminar_coefficient == 0:
            raise ValueError(f"{name} has no length and no fittings; join its two nodes into one.")


def _is_sound(line):
    sizes = line.bore, line.length, line.roughness, line.loss_coefficient, line.laminar_coefficient
    return (
        all(isinstance(size, float) and 0.0 <= size < np.inf for size in sizes)
        and line.start != line.end
        and line.bore > 0.0
        and line.length + line.loss_coefficient + line.laminar_coefficient > 0.0
    )


def _refuse_holders(nodes, fixed, feeds):
    if not fixed and not feeds:
        raise ValueError("No pressure is held: name at least one node in fixed_pressures.")
    for node, pressure in fixed.items():
        if node not in nodes:
            raise ValueError(f"fixed_pressures names {node!r}, but no line starts or ends there.")
        finite(f"fixed pressure of {node!r}", pressure)
    for feed in feeds:
        if feed.node not in nodes:
            raise ValueError(f"A feed names {feed.node!r}, but no line starts or ends there.")
        if feed.node in fixed:
            raise ValueError(f"{feed.node!r} has both a valve and a fixed pressure; keep one of them.")


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
    pressure: si.Pascals
    flow: si.CubicMetresPerSecond
    feed_flow: si.CubicMetresPerSecond
    loss: si.Pascals


def solve_stations(
    network: Network,
    inflows: si.CubicMetresPerSecond,
    density: si.KilogramPerCubicMetre,
    viscosity: si.SquareMetrePerSecond,
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

    >>> from downforce.physics.oil_network import Line, prepare_network
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
