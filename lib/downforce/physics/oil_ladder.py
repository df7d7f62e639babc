"""A header across the drill with a drop hose to every cylinder, any network, and hoses over a hinge.

One or more valves feed the header; of any connected network of hoses and pipes, pressures and flows are found
for one state. A hose clamped on both sides of a hinge has a least length and a width of its loop.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from downforce.physics import kinds as si
from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.oil_network import Feed, Line, Network, prepare_network, solve_stations
from downforce.physics.oil_valve import Valve


@dataclass(frozen=True)
class HeaderLadder:
    """A header with its drops and valves, ready to be solved; made by `header_ladder`.

    network: the lines: header from left to right, then drops, then the hoses of the valves.
    header_columns: columns of the header's nodes, one a drop, from left to right.
    """

    network: Network
    header_columns: si.Ratios
    cylinder_columns: si.Ratios
    feed_columns: si.Ratios


@dataclass(frozen=True)
class LadderSolution:
    """State of a header at many stations, one row a station.

    feed_pressure: gauge pressure at each valve's outlet.
    header_flow: flow in the header between neighbouring drops, positive to the right.
    feed_flow: flow each valve gives, negative while it takes back.
    """

    cylinder_pressure: si.Pascals
    header_pressure: si.Pascals
    feed_pressure: si.Pascals
    header_flow: si.CubicMetresPerSecond
    feed_flow: si.CubicMetresPerSecond


@dataclass(frozen=True)
class Hose:
    """Size of a hose, without its place.

    bore: inside diameter.
    loss_coefficient: sum of its fittings' loss coefficients.
    laminar_coefficient: sum of its fittings' laminar constants K1.
    """

    bore: si.Metre
    length: si.Metre
    loss_coefficient: si.Ratio = 0.0
    laminar_coefficient: si.Ratio = 0.0

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

    >>> from downforce.physics.oil_valve import Valve
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
    outflows: si.CubicMetresPerSecond,
    density: si.KilogramPerCubicMetre,
    viscosity: si.SquareMetrePerSecond,
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

    >>> from downforce.physics.oil_valve import Valve
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


@dataclass(frozen=True)
class NetworkSolution:
    """State of a network.

    flow: flow in every line, in the order of the lines, positive from start to end.
    loss: pressure lost along every line, signed with its flow.
    supply: flow into the network at every node of fixed pressure, beside any inflow named there: what
        balances.
    feed_flow: flow each valve gives, in the order of the feeds.
    """

    pressure: dict[str, si.Pascal]
    flow: si.CubicMetresPerSecond
    loss: si.Pascals
    supply: dict[str, si.CubicMetrePerSecond]
    feed_flow: si.CubicMetresPerSecond


def solve_network(
    lines: Sequence[Line],
    inflows: dict[str, si.CubicMetrePerSecond],
    fixed_pressures: dict[str, si.Pascal],
    density: si.KilogramPerCubicMetre,
    viscosity: si.SquareMetrePerSecond,
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

    >>> from downforce.physics.oil_network import Line
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


SHORTENS = 0.04
"""By how much a hose may shorten under pressure [-]; it may also grow by 2 % (two installation sheets)."""

STRAIGHT_DIAMETERS = 1.5
"""Straight hose behind each end before it may bend, over its outside diameter [-] (an installation sheet)."""

_HALVINGS = 50


def clamp_distance(angle: si.Radian, inner: si.Metre, outer: si.Metre, height: si.Metre) -> si.Metre:
    """Distance of two clamps on either side of a hinge, one on each part.

    angle: by which the outer part is folded up; 0 is level, below 0 it hangs down.
    inner, outer: how far the clamps are from the hinge when level, one on each side.
    height: of both clamps over the hinge when level; negative below it.
    Result: straight from clamp to clamp.
    Raises ValueError if a clamp is on the wrong side of the hinge.

    s = |R(angle) Q - P| with the hinge as origin, P = (-inner, height), Q = (outer, height).
    Range: any angle; hinge and clamps seen along the hinge.
    Source: geometry; derivation: Q turns about the hinge.

    >>> [round(1e3 * float(clamp_distance(np.radians(fold), 0.3, 0.3, -0.05))) for fold in (0, 30, 120, 170)]
    [600, 605, 387, 152]
    """
    angle, height = finite("angle", angle), finite("height", height)
    a, b = not_negative("inner", inner), not_negative("outer", outer)
    across = b * np.cos(angle) - height * np.sin(angle) + a
    up = b * np.sin(angle) + height * np.cos(angle) - height
    return np.hypot(across, up)


def hose_length_wanted(longest: si.Metre, outside_diameter: si.Metre, tolerance: si.Metre) -> si.Metre:
    """Length to order of a hose whose ends come apart and together.

    longest: greatest distance of its ends or clamps, over all places they go to.
    tolerance: for what the machine differs from its drawing.
    Result: length of the whole assembly.
    Raises ValueError if a length is negative.

    longest / (1 - 0.04) + 2 x 1.5 outside diameters + tolerance: the hose shortens under pressure, and a
    straight piece stands behind each end.
    Range: wire-braided hose.
    Source: rules of [J1273] as two installation sheets tell them; the sheets differ, the larger is taken.

    >>> round(float(hose_length_wanted(0.608, 0.0222, 0.05)), 3)
    0.75
    """
    straight = STRAIGHT_DIAMETERS * not_negative("outside_diameter", outside_diameter)
    return (
        not_negative("longest", longest) / (1.0 - SHORTENS)
        + 2.0 * straight
        + not_negative("tolerance", tolerance)
    )


def loop_radius(chord: si.Metre, length: si.Metre, ends_turn: bool = False) -> si.Metre:
    """Radius of the arc in which a hose hangs between its ends.

    ends_turn: whether its ends may point away from each other, as at a tee and an elbow; clamps hold them
        parallel, and then it bends no wider than half a circle.
    Result: infinite where it lies straight.
    Raises ValueError if the chord is negative or the length is not positive.

    R = length / (2 phi) with sin(phi) / phi = chord / length; between clamps no more than chord / 2 where phi
    is above a right angle.
    Range: one plane, hose without stiffness; a hose that lies straight or is too short for its chord has no
    arc.
    Source: geometry; derivation: arc and chord of a circle, phi half the angle of the arc.

    >>> round(1e3 * float(loop_radius(0.047, 0.675)), 1)
    23.5
    """
    chord, length = np.broadcast_arrays(not_negative("chord", chord), positive("length", length))
    share = np.clip(chord / length, 0.0, 1.0)
    low, high = np.zeros_like(share), np.full_like(share, np.pi)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        above = np.sinc(middle / np.pi) > share
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    with np.errstate(divide="ignore"):
        radius = np.where(share < 1.0, length / (2.0 * high), np.inf)
    return radius if ends_turn else np.where(high > np.pi / 2.0, chord / 2.0, radius)
