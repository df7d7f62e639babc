"""A header across the drill with a drop hose to every cylinder and one or more valves that feed it."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from downforce.physics.checks import finite
from downforce.physics.oil.stations import solve_stations
from downforce.physics.oil.topology import Feed, Line, Network, prepare_network


@dataclass(frozen=True)
class HeaderLadder:
    """A header with its drops and valves, ready to be solved; made by `header_ladder`.

    Attributes
    ----------
    network : Network [-]
        The lines: header from left to right, then drops, then the hoses of the valves.
    header_columns : array [-]
        Columns of the header's nodes, one a drop, from left to right.
    cylinder_columns : array [-]
        Columns of the cylinders' nodes.
    feed_columns : array [-]
        Columns of the valves' outlets.
    """

    network: Network
    header_columns: np.ndarray
    cylinder_columns: np.ndarray
    feed_columns: np.ndarray


@dataclass(frozen=True)
class LadderSolution:
    """State of a header at many stations, one row a station.

    Attributes
    ----------
    cylinder_pressure : array [Pa]
        Gauge pressure at each cylinder.
    header_pressure : array [Pa]
        Gauge pressure in the header at each drop.
    feed_pressure : array [Pa]
        Gauge pressure at each valve's outlet.
    header_flow : array [m3/s]
        Flow in the header between neighbouring drops, positive to the right.
    feed_flow : array [m3/s]
        Flow each valve gives, negative while it takes back.
    """

    cylinder_pressure: np.ndarray
    header_pressure: np.ndarray
    feed_pressure: np.ndarray
    header_flow: np.ndarray
    feed_flow: np.ndarray


@dataclass(frozen=True)
class Hose:
    """Size of a hose, without its place.

    Attributes
    ----------
    bore : float [m]
        Inside diameter.
    length : float [m]
        Length.
    loss_coefficient : float [-]
        Sum of its fittings' loss coefficients.
    laminar_coefficient : float [-]
        Sum of its fittings' laminar constants K1.
    """

    bore: float
    length: float
    loss_coefficient: float = 0.0
    laminar_coefficient: float = 0.0

    def between(self, start, end):
        """This hose between two nodes.

        Parameters
        ----------
        start, end : str [-]
            Names of the nodes.

        Returns
        -------
        Line [-]
            The line.

        Notes
        -----
        Range: any; smooth wall.

        Source: definition.
        """
        return Line(start, end, self.bore, self.length, 0.0, self.loss_coefficient, self.laminar_coefficient)


def header_ladder(header, drops, feeds):
    """A header with drops and valves, checked and ready for any number of stations.

    Parameters
    ----------
    header : sequence of Hose [-]
        Pieces of the header between neighbouring drops, from left to right: one fewer than the drops.
    drops : sequence of Hose [-]
        One hose to each cylinder, from left to right.
    feeds : sequence of tuple (int, Valve, Hose) [-]
        For each valve the drop beside which it feeds (0 is the leftmost), the valve, and its hose.

    Returns
    -------
    HeaderLadder [-]
        The header, for `solve_ladder`.

    Raises
    ------
    ValueError
        If the numbers of pieces do not fit, a valve feeds beside no drop, or a hose is impossible.

    Notes
    -----
    Separate circuits (wheel tracks, wings, ranks) are separate ladders.

    Range: as `solve_stations`.

    Source: definition.

    Examples
    --------
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


def solve_ladder(ladder, outflows, density, viscosity):
    """Pressure at every cylinder of a header, at many stations at once.

    Parameters
    ----------
    ladder : HeaderLadder [-]
        Made once by `header_ladder`.
    outflows : array [m3/s]
        Flow into each cylinder, negative where it gives oil back; one row a station, one column a drop.
    density : float [kg/m3]
        Density of the oil.
    viscosity : float [m2/s]
        KINEMATIC viscosity of the oil (46 cSt is 46e-6).

    Returns
    -------
    LadderSolution [-]
        Pressures and flows, one row a station.

    Raises
    ------
    ValueError
        If the shape does not fit, or density or viscosity is not positive.

    Notes
    -----
    The network of `solve_stations`; only the flow between two valves is searched, all else follows by sums.
    A cylinder pressure below about -1 bar cannot exist: the hose is too small, and a void opens.

    Range: as `solve_stations`.

    Source: as `solve_stations`.

    Examples
    --------
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
