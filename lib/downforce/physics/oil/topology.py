"""How lines hang together: the tree that feeds every node, and the loops left over.

All nodes of known pressure, and the tank side of every valve, are one node here, called the ground.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import KilogramPerCubicMetre, Metre, Pascal, Ratio, Ratios, SquareMetrePerSecond
from downforce.physics.oil.loss import LineResistance, line_resistance
from downforce.physics.oil.valve import Valve

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
    bore: Metre
    length: Metre
    roughness: Metre = 0.0
    loss_coefficient: Ratio = 0.0
    laminar_coefficient: Ratio = 0.0


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
    fixed_pressures: dict[str, Pascal]
    nodes: tuple[str, ...]
    paths: Ratios
    loops: Ratios
    incidence: Ratios

    def resistance(self, density: KilogramPerCubicMetre, viscosity: SquareMetrePerSecond) -> LineResistance:
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
    lines: Sequence[Line], fixed_pressures: dict[str, Pascal] | None = None, feeds: Sequence[Feed] = ()
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
