"""The oil circuit as a graph: every part with its openings, every hose with its two ends."""

from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from downforce.machine.drill import Drill
from downforce.physics.kinds import Amount, Metre, Radian, Ratio
from downforce.physics.oil_ladder import STRAIGHT_DIAMETERS, clamp_distance, hose_length_wanted, loop_radius
from downforce.study.oil.circuit import FEED_LENGTH, hose_size
from downforce.study.oil.sizing import Hoses

NO_LENGTH = float("nan")
"""Length of what has none [m]."""


@dataclass(frozen=True)
class Figure:
    """One figure of a part."""

    words: str
    kind: str
    value: Amount


@dataclass(frozen=True)
class Part:
    """One line of the list.

    what: what to order; begins with the kind of part.
    size: as the trade says it, in both unit systems; empty where nobody can say it yet.
    why: why, in one or two sentences without figures.
    warning: what is wrong with the drill file's own part; empty if nothing.
    length: of each; NaN where it has none.
    fitting: whether it is tightened to a torque, which is left blank: tables in print differ by two to one.
    """

    what: str
    count: int
    size: str
    why: str
    figures: tuple[Figure, ...] = ()
    warning: str = ""
    length: Metre = NO_LENGTH
    fitting: bool = False


OPENINGS = {
    "tee": 3,
    "elbow": 2,
    "cylinder": 1,
    "pressure valve": 5,
    "filter": 2,
    "check valve": 2,
    "dump valve": 2,
    "section valve": 2,
    "gauge": 1,
    "coupler": 1,
    "bleed screw": 1,
}
"""Openings of each kind of part [-]; a valve has inlet, outlet, return, gauge, drain. All are joined."""
TEE, ELBOW, CYLINDER, VALVE, FILTER, CHECK, DUMP, SECTION_VALVE, GAUGE, COUPLER, BLEED = OPENINGS

FLARED = (TEE, ELBOW, BLEED)
"""Parts with flares, onto which a hose's swivel screws; all others have a port that takes an adapter [-]."""

PURPOSES = (
    *(
        "inlet",
        "inlet, on to a valve",
        "valve to header",
        "header, tee to tee",
        "header, tee to section valve",
    ),
    *("header, over a hinge", "drop", "return", "return, from a valve", "dump valve to return"),
    *("gauge line", "drain"),
)
"""What hoses are for [-], from the tractor to the rows and back."""
INLET, FURTHER, FEED, PIECE, STUB, HINGE, DROP, RETURN, BACK, DUMP_LINE, GAUGE_LINE, DRAIN = PURPOSES

GAUGE_LENGTH = 6.0
"""Hose from a valve to a gauge that is seen from the seat [m] (assumed)."""
SHORT_LENGTH = 0.4
"""Hose between parts that stand beside each other [m] (assumed)."""
THIN_BORE = 0.0063
"""Of gauge lines and drains [m] (common practice, no source)."""
DUMP_BORE = 0.0125
"""Of the hose from the dump valve to the return [m] (common practice, no source)."""
CLAMP_SPACING = 0.55
"""Between two clamps along a hose [m]: 0.5 to 0.6 (common practice, no source)."""
FLEXING = 1.5
"""Bend radius of a hose that moves over that of one that does not [-] (common practice, no source)."""
FLOATS = float(np.radians(15.0))
"""How far a wing may hang below level at work [rad] (common practice, no source)."""

_ANGLES = 181


@dataclass(frozen=True)
class HoseRun:
    """One hose assembly."""

    purpose: str
    ends: tuple[str, str]
    bore: Metre
    length: Metre

    @property
    def clamps(self):
        """Clamps along it, its ends held by fittings; the two beside a hinge come with the hinge."""
        return 2 if self.purpose == HINGE else int(self.length / CLAMP_SPACING)


@dataclass
class CircuitGraph:
    """Parts of a circuit and what joins them."""

    parts: dict = field(default_factory=dict)
    hoses: list[HoseRun] = field(default_factory=list)
    joints: list = field(default_factory=list)

    def count(self, kind):
        """How many parts of a kind there are."""
        return sum(one == kind for one in self.parts.values())

    def joined(self):
        """How many openings of each part are joined, by its name."""
        ends = Counter(end for hose in self.hoses for end in hose.ends)
        return ends + Counter(end for joint in self.joints for end in joint)

    def adapters(self):
        """Adapters from flare to port: kind of part to how many, by the bore of the hose that ends there.

        Result: kind of part and bore [m]; bore 0 where two parts are screwed onto each other.
        """
        found = Counter(
            (self.parts[end], hose.bore)
            for hose in self.hoses
            for end in hose.ends
            if self.parts[end] not in FLARED
        )
        for one, other in self.joints:
            ported = [self.parts[end] for end in (one, other) if self.parts[end] not in FLARED]
            # One nipple joins two ports.
            found.update([(kind, 0.0) for kind in ported[:1]])
        return found

    def loose(self) -> Ratio:
        """Parts with an opening that nothing closes, or with more joined than they have."""
        joined = self.joined()
        return [name for name, kind in self.parts.items() if joined[name] != OPENINGS[kind]]


@dataclass(frozen=True)
class DropRun:
    """Whether the drop hoses of one rank reach and can bend.

    rank: 0 at the front.
    shortest, longest: from tee to port, over travel, raised and transport.
    """

    rank: int
    shortest: Metre
    longest: Metre
    wanted: Metre
    fits: bool


@dataclass(frozen=True)
class HingeRun:
    """A header hose over a fold hinge.

    shortest, longest: from clamp to clamp, from hanging to folded.
    length: of the assembly, with the way from each clamp to its tee.
    folds_to: up to which fold it is bent no sharper than such a hose may be; the drill's whole fold if all is
        well.
    """

    shortest: Metre
    longest: Metre
    length: Metre
    radius: Metre
    folds_to: Radian

    def fits(self, fold_angle) -> Radian:
        """Whether it bends no sharper than it may up to a fold."""
        return self.folds_to >= fold_angle


def drop_runs(drill: Drill, bore: Metre) -> tuple[DropRun, ...]:
    """Drops of every rank, from the header to the ports, through all places the opener goes to.

    drill: the drill; the header is taken to run as high as the cylinders' frame pins, in the middle of the
        ranks.
    Result: one for each rank, the front one first.
    """
    opener, mount, runs = drill.opener, drill.cylinder.mount, drill.hydraulics.runs
    size, middle = hose_size(bore), float(np.mean(drill.rank_x))
    travel = np.linspace(  # type: ignore[call-overload]
        *(
            choose(opener.lowest_travel, opener.highest_travel, opener.raised_travel, opener.transport_travel)
            for choose in (min, max)
        ),
        _ANGLES,
    )
    port = mount.frame_pin
    if runs.port_on == "opener":
        port = opener.geometry.point(mount.moving_pin, mount.moves_with, travel)
    found = []
    for rank, x in enumerate(drill.rank_x):
        tee = mount.frame_pin[0] + middle - x, mount.frame_pin[1]
        distance = np.hypot(np.subtract(port[0], tee[0]), np.subtract(port[1], tee[1]))
        shortest, longest = float(np.min(distance)), float(np.max(distance))
        wanted = float(hose_length_wanted(longest, size.outside, runs.tolerance))
        # Tee and elbow may be turned, so its ends may point away from each other.
        ordered = max(wanted, drill.hydraulics.drop.length)
        radius = loop_radius(distance, _bending(ordered, size), ends_turn=True)
        sharp = np.any(radius < FLEXING * size.bend_radius)
        found.append(DropRun(rank, shortest, longest, wanted, not sharp))
    return tuple(found)


def hinge_run(drill: Drill, bore: Metre, piece: Metre) -> HingeRun:
    """The header hose over a hinge.

    piece: between the tees on either side of the hinge, which stands midway.
    """
    runs, size = drill.hydraulics.runs, hose_size(bore)
    angle = np.linspace(-FLOATS, runs.fold_angle, _ANGLES)
    distance = clamp_distance(angle, runs.hinge_clamp, runs.hinge_clamp, runs.hinge_clamp_height)
    between = float(hose_length_wanted(distance.max(), size.outside, runs.tolerance))
    radius = loop_radius(distance, _bending(between, size))
    sharp = angle[radius < size.bend_radius]
    return HingeRun(
        float(distance.min()),
        float(distance.max()),
        between + 2.0 * abs(runs.hinge_clamp - piece / 2.0),
        float(radius.min()),
        float(sharp[0]) if len(sharp) else runs.fold_angle,
    )


def _bending(length, size):
    return length - 2.0 * STRAIGHT_DIAMETERS * size.outside


def circuit_graph(drill: Drill, ordered: Hoses, line_bores: tuple[Metre, Metre]) -> CircuitGraph:
    """A drill's circuit, part by part.

    drill: rows, sections, guards; rows that keep their springs are left out.

    A tee at every drop, in the order of the rows; at both ends of the header an elbow turned up with a bleed
    screw. Each valve feeds through a tee screwed onto that of the drop nearest to it. Behind the first valve
    a tee leads to the dump valve, which lets oil into the return.
    """
    rows = np.flatnonzero(~drill.row_on_springs)
    if not len(rows):
        raise ValueError("Every row keeps its springs, so there is no oil circuit to order.")
    graph = CircuitGraph()
    _header(graph, drill, ordered, rows)
    _valves(graph, drill, ordered, line_bores)
    return graph


def _header(graph, drill, ordered, rows):
    feeds = Counter(int(np.argmin(np.abs(drill.row_y[rows] - y))) for y in ordered.places)
    length = max(drill.hydraulics.drop.length, *(run.wanted for run in drop_runs(drill, ordered.drop_bore)))
    made = _put(graph, BLEED, "left"), _put(graph, ELBOW, "left")
    graph.joints.append(made)
    before, feed = made[1], 0
    for place, row in enumerate(rows):
        tee, cylinder = _put(graph, TEE, f"at row {row + 1}"), _put(graph, CYLINDER, f"of row {row + 1}")
        graph.hoses.append(HoseRun(DROP, (tee, cylinder), ordered.drop_bore, float(length)))
        if place:
            _piece(graph, drill, ordered, rows[place - 1 : place + 1], before, tee)
        else:
            graph.joints.append((before, tee))
        before = tee
        for _ in range(feeds[place]):
            feed += 1
            fed = _put(graph, TEE, f"of feed {feed}")
            graph.joints.append((before, fed))
            before = fed
    made = _put(graph, ELBOW, "right"), _put(graph, BLEED, "right")
    graph.joints += [(before, made[0]), made]


def _piece(graph, drill, ordered, pair, before, tee):
    """Header from one row to the next, over the hinges between them."""
    bore, apart = ordered.header_bore, float(np.diff(drill.row_y[pair])[0])
    hinges = int(abs(np.diff(drill.row_section[pair])[0]))
    if not hinges:
        graph.hoses.append(HoseRun(PIECE, (before, tee), bore, apart))
        return
    # Rows that keep their springs may leave a section without a tee: the header runs on to its end.
    over = hinge_run(drill, bore, apart / hinges)
    length = hinges * over.length
    if drill.hydraulics.guards.section_valves == "fitted":
        valve = _put(graph, SECTION_VALVE, f"before row {pair[1] + 1}")
        graph.hoses.append(HoseRun(STUB, (before, valve), bore, SHORT_LENGTH))
        before = valve
    graph.hoses.append(HoseRun(HINGE, (before, tee), bore, length))


def _valves(graph, drill, ordered, line_bores):
    own, (inlet, back) = drill.hydraulics, line_bores
    tractor, filtered, check = (
        _put(graph, COUPLER, "inlet"),
        _put(graph, FILTER, "inlet"),
        _put(graph, CHECK, "inlet"),
    )
    graph.hoses.append(HoseRun(INLET, (tractor, filtered), inlet, own.inlet_hose.length))
    graph.joints.append((filtered, check))
    returned, source = _put(graph, COUPLER, "return"), check
    graph_return = _put(graph, TEE, "of the dump valve, return")
    graph.hoses.append(HoseRun(RETURN, (graph_return, returned), back, own.return_hose.length))
    sink, valves = graph_return, len(ordered.places)
    for number, y in enumerate(ordered.places, start=1):
        valve = _put(graph, VALVE, f"{number}")
        if number < valves:
            part, joint = (_put(graph, TEE, f"{way} {number}") for way in ("inlet", "return"))
            graph.joints += [(source, part), (sink, joint)]
            source, sink = part, joint
        _line(graph, FURTHER, source, valve, inlet, y, valves)
        _line(graph, BACK, sink, valve, back, y, valves)
        outlet = valve
        if number == 1:
            outlet = _dump(graph, valve, graph_return)
        graph.hoses.append(
            HoseRun(FEED, (outlet, f"{TEE} of feed {number}"), ordered.header_bore, FEED_LENGTH)
        )
        gauge, drain = _put(graph, GAUGE, f"{number}"), _put(graph, COUPLER, f"drain {number}")
        graph.hoses.append(HoseRun(GAUGE_LINE, (valve, gauge), THIN_BORE, GAUGE_LENGTH))
        graph.hoses.append(HoseRun(DRAIN, (valve, drain), THIN_BORE, own.return_hose.length))


def _line(graph, purpose, near, valve, bore, y, valves):
    """One valve stands beside check valve and return tee; of several each has a hose along the frame."""
    if valves == 1:
        graph.joints.append((near, valve))
    else:
        graph.hoses.append(HoseRun(purpose, (near, valve), bore, abs(float(y)) + SHORT_LENGTH))


def _dump(graph, valve, graph_return):
    tee, dump = _put(graph, TEE, "of the dump valve, outlet"), _put(graph, DUMP, "")
    graph.joints += [(valve, tee), (tee, dump)]
    graph.hoses.append(HoseRun(DUMP_LINE, (dump, graph_return), DUMP_BORE, SHORT_LENGTH))
    return tee


def _put(graph, kind, where):
    name = f"{kind} {where}".strip()
    graph.parts[name] = kind
    return name
