"""A header across the drill with a drop hose to every cylinder and one or more valves that feed it."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from downforce.physics.checks import finite
from downforce.physics.kinds import (
    CubicMetresPerSecond,
    KilogramPerCubicMetre,
    Metre,
    Pascals,
    Ratio,
    Ratios,
    SquareMetrePerSecond,
)
from downforce.physics.oil.stations import solve_stations
from downforce.physics.oil.topology import Feed, Line, Network, prepare_network
from downforce.physics.oil.valve import Valve


@dataclass(frozen=True)
class HeaderLadder:
    """A header with its drops and valves, ready to be solved; made by `header_ladder`.

    network: the lines: header from left to right, then drops, then the hoses of the valves.
    header_columns: columns of the header's nodes, one a drop, from left to right.
    """

    network: Network
    header_columns: Ratios
    cylinder_columns: Ratios
    feed_columns: Ratios


@dataclass(frozen=True)
class LadderSolution:
    """State of a header at many stations, one row a station.

    feed_pressure: gauge pressure at each valve's outlet.
    header_flow: flow in the header between neighbouring drops, positive to the right.
    feed_flow: flow each valve gives, negative while it takes back.
    """

    cylinder_pressure: Pascals
    header_pressure: Pascals
    feed_pressure: Pascals
    header_flow: CubicMetresPerSecond
    feed_flow: CubicMetresPerSecond


@dataclass(frozen=True)
class Hose:
    """Size of a hose, without its place.

    bore: inside diameter.
    loss_coefficient: sum of its fittings' loss coefficients.
    laminar_coefficient: sum of its fittings' laminar constants K1.
    """

    bore: Metre
    length: Metre
    loss_coefficient: Ratio = 0.0
    laminar_coefficient: Ratio = 0.0

    def between(self, start: str, end: str) -> Line:
        """This hose between two nodes.

        Range: any; smooth wall.
        Source: definition.
        """
        return Line(start, end, self.bore, self.length, 0.0, self.loss_coefficient, self.laminar_coefficient)


def header_ladder(
    header: Sequence[Hose], drops: Sequence[Hose], feeds: Sequence[tuple[int, Valve, Hose]]
) -> HeaderLadder:
    """A header with drops and valves, checked and ready for any number of stations.

    header: pieces of the header between neighbouring drops, from left to right: one fewer than the drops.
    drops: one hose to each cylinder, from left to right.
    feeds: for each valve the drop beside which it feeds (0 is the leftmost), the valve, and its hose.
    Result: the header, for `solve_ladder`.
    Raises ValueError if the numbers of pieces do not fit, a valve feeds beside no drop, or a hose is
        impossible.

    Separate circuits (wheel tracks, wings, ranks) are separate ladders.
    Range: as `solve_stations`.
    Source: definition.

    >>> from downforce.physics.oil import Valve
    >>> piece, drop, hose = Hose(0.019, 0.19), Hose(0.008, 1.0), Hose(0.019, 1.0)
    >>> ladder = header_ladder([piece] * 62, [drop] * 63, [(31, Valve(60e5, 1e-3), hose)])
    >>> len(ladder.network.lines)
    126
    """
    header, drops, feeds = list(header), list(drops), list(feeds)
    if len(header) != len(drops) - 1:
        raise ValueError(
            f"A header with {len(drops)} drops has {len(drops) - 1} pieces between them; got {len(header)}."
        )
    if not feeds:
        raise ValueError("No valve feeds the header: give at least one.")
    for where, _, _ in feeds:
        if where not in range(len(drops)):
            raise ValueError(f"A valve feeds beside drop {where!r}; the drops are 0 to {len(drops) - 1}.")
    nodes, ends = [f"header {i}" for i in range(len(drops))], [f"cylinder {i}" for i in range(len(drops))]
    outlets = [f"valve {i}" for i in range(len(feeds))]
    lines = [piece.between(*pair) for piece, pair in zip(header, pairwise(nodes), strict=True)]
    lines += [drop.between(*pair) for drop, pair in zip(drops, zip(nodes, ends, strict=True), strict=True)]
    lines += [feed[2].between(outlet, nodes[feed[0]]) for feed, outlet in zip(feeds, outlets, strict=True)]
    network = prepare_network(lines, None, [Feed(o, feed[1]) for o, feed in zip(outlets, feeds, strict=True)])
    columns = {node: i for i, node in enumerate(network.nodes)}
    return HeaderLadder(network, *(np.array([columns[n] for n in group]) for group in (nodes, ends, outlets)))


def solve_ladder(
    ladder: HeaderLadder,
    outflows: CubicMetresPerSecond,
    density: KilogramPerCubicMetre,
    viscosity: SquareMetrePerSecond,
) -> LadderSolution:
    """Pressure at every cylinder of a header, at many stations at once.

    ladder: made once by `header_ladder`.
    outflows: flow into each cylinder, negative where it gives oil back; one row a station, one column a drop.
    viscosity: KINEMATIC viscosity of the oil (46 cSt is 46e-6).
    Result: pressures and flows, one row a station.
    Raises ValueError if the shape does not fit, or density or viscosity is not positive.

    The network of `solve_stations`; only the flow between two valves is searched, all else follows by sums. A
    cylinder pressure below about -1 bar cannot exist: the hose is too small, and a void opens.
    Range: as `solve_stations`.
    Source: as `solve_stations`.

    >>> from downforce.physics.oil import Valve
    >>> hose = Hose(0.0127, 1.0)
    >>> ladder = header_ladder([hose], [hose, hose], [(0, Valve(60e5, 1e-3), hose)])
    >>> state = solve_ladder(ladder, [[1e-5, 1e-5], [0.0, 0.0]], 870.0, 577e-6)
    >>> [round(float(p) / 1e5, 2) for p in state.cylinder_pressure[0]]
    [59.76, 59.69]
    """
    outflows = np.atleast_2d(finite("outflows", outflows))
    drops = len(ladder.cylinder_columns)
    if outflows.ndim != 2 or outflows.shape[1] != drops:
        raise ValueError(
            f"outflows needs one column for each of the {drops} drops; got shape {outflows.shape}."
        )
    inflows = np.zeros((len(outflows), len(ladder.network.nodes)))
    inflows[:, ladder.cylinder_columns] = -outflows
    state = solve_stations(ladder.network, inflows, density, viscosity)
    return LadderSolution(
        cylinder_pressure=state.pressure[:, ladder.cylinder_columns],
        header_pressure=state.pressure[:, ladder.header_columns],
        feed_pressure=state.pressure[:, ladder.feed_columns],
        header_flow=state.flow[:, : drops - 1],
        feed_flow=state.feed_flow,
    )
