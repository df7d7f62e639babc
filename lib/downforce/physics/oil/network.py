"""Pressures and flows of any connected network of hoses and pipes, for one state."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import finite
from downforce.physics.kinds import (
    CubicMetrePerSecond,
    CubicMetresPerSecond,
    KilogramPerCubicMetre,
    Pascal,
    Pascals,
    SquareMetrePerSecond,
)
from downforce.physics.oil.stations import solve_stations
from downforce.physics.oil.topology import Feed, Line, prepare_network


@dataclass(frozen=True)
class NetworkSolution:
    """State of a network.

    flow: flow in every line, in the order of the lines, positive from start to end.
    loss: pressure lost along every line, signed with its flow.
    supply: flow into the network at every node of fixed pressure, beside any inflow named there: what
        balances.
    feed_flow: flow each valve gives, in the order of the feeds.
    """

    pressure: dict[str, Pascal]
    flow: CubicMetresPerSecond
    loss: Pascals
    supply: dict[str, CubicMetrePerSecond]
    feed_flow: CubicMetresPerSecond


def solve_network(
    lines: Sequence[Line],
    inflows: dict[str, CubicMetrePerSecond],
    fixed_pressures: dict[str, Pascal],
    density: KilogramPerCubicMetre,
    viscosity: SquareMetrePerSecond,
    feeds: Sequence[Feed] = (),
) -> NetworkSolution:
    """Pressures and flows of a network of hoses and pipes.

    lines: hoses and pipes; loops and lines side by side are allowed.
    inflows: flow into the network at nodes, negative where it leaves; nodes not named have none.
    fixed_pressures: gauge pressure of every node where it is held; at least one, unless a valve feeds the
        network.
    viscosity: KINEMATIC viscosity of the oil (46 cSt is 46e-6), as `viscosity_at` returns it; not Pa s.
    feeds: valves that feed a node at a pressure that depends on their flow.
    Result: pressures of all nodes and flows of all lines.
    Raises ValueError: in a sentence, if a node is unknown or not connected, no pressure is held, or a line is
        impossible.

    At every node the flows add up to nothing; along every line the pressure falls as in `line_loss`. Losses
    grow with flow, so there is exactly one answer; `solve_stations` says how it is found.
    Range: as `line_loss`; all nodes at one height (add density x g x height where they are not).
    Source: as `solve_stations`.

    >>> from downforce.physics.oil import Line
    >>> pair = [Line("valve", "wing", 0.0127, 10.0), Line("valve", "wing", 0.0127, 10.0)]
    >>> state = solve_network(pair, {"wing": -2e-4}, {"valve": 60e5}, 870.0, 577e-6)
    >>> [round(6e4 * float(q), 1) for q in state.flow], round(state.pressure["wing"] / 1e5, 1)
    ([6.0, 6.0], 52.1)
    """
    network = prepare_network(lines, fixed_pressures, feeds)
    place = {node: i for i, node in enumerate(network.nodes)}
    row = np.zeros(len(place))
    for node, value in dict(inflows).items():
        if node not in place:
            raise ValueError(f"inflows names {node!r}, but no line starts or ends there.")
        row[place[node]] = finite(f"inflow at {node!r}", value)
    state = solve_stations(network, row[None, :], density, viscosity)
    flow, feed_flow = state.flow[0], state.feed_flow[0]
    arriving = np.concatenate([flow, feed_flow]) @ network.incidence
    supply = {node: float(-arriving[place[node]] - row[place[node]]) for node in network.fixed_pressures}
    pressure = dict(zip(network.nodes, state.pressure[0].tolist(), strict=True))
    flow.flags.writeable = False
    return NetworkSolution(pressure, flow, state.loss[0], supply, feed_flow)
