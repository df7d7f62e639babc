"""What to order for a drill's oil circuit: every part with its number, size, length and reason. No brands."""

from collections import Counter
from dataclasses import dataclass, replace
from math import ceil, isfinite

import numpy as np

from downforce.machine.units import unit_system
from downforce.physics.checks import positive
from downforce.physics.cylinder import oil_volume
from downforce.physics.oil import VELOCITY_LIMITS, bore_for_velocity, line_volume, next_nominal_bore
from downforce.study.oil import circuit_graph as graphs
from downforce.study.oil.cases import COMPARED, way_trials
from downforce.study.oil.catalogue import INCH_OVER_NOMINAL, cylinder_size, hose_size
from downforce.study.oil.circuit import drill_with_hoses
from downforce.study.oil.circuit_graph import circuit_graph, drop_runs, hinge_run
from downforce.study.oil.fastest import fastest_oil
from downforce.study.oil.figures import accumulator_for
from downforce.study.oil.limits import bearable
from downforce.study.oil.sizing import Hoses, circuit_to_order
from downforce.study.oil_supply import oil_state

ORDERED_AT = COMPARED[0]
"""Oil temperature that the parts are ordered for [K]: a cold start."""

RELIEF_OVER_SETTING = 1.15
"""Relief setting over the highest setting [-]: 10 to 20 % above (common practice, no source)."""

RELIEF_FLOOR = 1.1
"""Least relief setting over the highest setting [-] (common practice, no source)."""

FILTER_FINENESS = "10 to 25 micrometres"
"""Particles the inlet filter stops [-] (from memory)."""

ACCUMULATOR_SHARE = 0.2
"""By how much the pressure may fall while an accumulator gives the oil that is missing [-]."""

SPARE_SHARE, FEWEST_SPARES = 0.02, 2
"""Spares of each part that there are many of, and the fewest [-] (common practice, no source)."""

NO_LENGTH = float("nan")
"""Length of what has none [m]."""


@dataclass(frozen=True)
class Figure:
    """One figure of a part.

    Attributes
    ----------
    words : str [-]
        What it is.
    kind : str [-]
        Kind of quantity, as the units know it.
    value : float [SI]
        The value.
    """

    words: str
    kind: str
    value: float


@dataclass(frozen=True)
class Part:
    """One line of the list.

    Attributes
    ----------
    what : str [-]
        What to order; begins with the kind of part.
    count : int [-]
        How many.
    size : str [-]
        As the trade says it, in both unit systems; empty where nobody can say it yet.
    length : float [m]
        Of each; NaN where it has none.
    why : str [-]
        Why, in one or two sentences without figures.
    figures : tuple of Figure [-]
        Ratings.
    warning : str [-]
        What is wrong with the drill file's own part; empty if nothing.
    fitting : bool [-]
        Whether it is tightened to a torque, which is left blank: tables in print differ by two to one.
    """

    what: str
    count: int
    size: str
    length: float
    why: str
    figures: tuple[Figure, ...] = ()
    warning: str = ""
    fitting: bool = False


@dataclass(frozen=True)
class GaugeReads:
    """What the gauge tells of the rows.

    Attributes
    ----------
    places : tuple of floats [m]
        Where the gauges read the header, right of the middle.
    setting : float [Pa]
        What it is set to.
    lowest, highest : float [Pa]
        At a cylinder while oil moves, on the way the circuit was judged on; no more than the drill bears.
    ended_by : str [-]
        What ends it upwards, if more was reckoned; empty if nothing.
    error : float [Pa]
        Of the gauge itself.
    """

    places: tuple[float, ...]
    setting: float
    lowest: float
    highest: float
    ended_by: str
    error: float

    @property
    def worst(self):
        """What the worst row may differ from the gauge while oil moves [Pa]."""
        return max(self.setting - self.lowest, self.highest - self.setting)


@dataclass(frozen=True)
class PartsList:
    """A bill of materials.

    Attributes
    ----------
    rows : tuple of Part [-]
        From the tractor to the cylinders, then small things and spares.
    ordered : Hoses [-]
        The circuit that is ordered.
    gauge : GaugeReads [Pa]
        What the gauge reads, and what a row may differ.
    oil : float [m3]
        To fill cylinders and hoses.
    units : str [-]
        "metric" or "US": which unit comes first in the sizes.
    """

    rows: tuple[Part, ...]
    ordered: Hoses
    gauge: GaugeReads
    oil: float
    units: str

    def __iter__(self):
        return iter(self.rows)

    def __len__(self):
        return len(self.rows)

    def total(self, kind):
        """How many parts there are whose name begins with a word; spares begin with "spare" [-]."""
        return sum(row.count for row in self.rows if row.what.split(",")[0] == kind)

    def to_frame(self):
        """The list as a table, for a spreadsheet.

        Returns
        -------
        DataFrame [-]
            Length in metres; the last column is left blank, for the torque of the fitting's own sheet.
        """
        import pandas

        shown = unit_system(self.units)
        return pandas.DataFrame(
            {
                "what": [row.what for row in self.rows],
                "count": [row.count for row in self.rows],
                "size": [row.size for row in self.rows],
                "length": [row.length for row in self.rows],
                "ratings": ["; ".join(_both(shown, figure) for figure in row.figures) for row in self.rows],
                "why": [row.why for row in self.rows],
                "mind": [row.warning for row in self.rows],
                "torque, from the fitting's own sheet": ["" for _ in self.rows],
            }
        )


def parts_list(drill, field, oil_temperature=ORDERED_AT, units=None):
    """The bill of materials of the circuit that is judged good for a drill and a field.

    Parameters
    ----------
    drill : Drill [-]
        The drill as its file has it.
    field : Field [-]
        Terrace, speed, soil and aim that the circuit must cope with.
    oil_temperature : float [K]
        Of the oil it is judged in: a cold start if left out.
    units : str, optional [-]
        "metric" or "US", which comes first in sizes; the drill's own if left out.

    Returns
    -------
    PartsList [-]
        Rows with `what`, `count`, `size`, `length` and `why`.

    Raises
    ------
    ValueError
        If the temperature is impossible, or every row keeps its springs.

    Notes
    -----
    Valves and hoses are those of `circuit_to_order`; where none is enough, the best that was tried.
    """
    trials = way_trials(drill, field, oil_temperature)
    return bill(drill, trials, circuit_to_order(trials), bearable(drill, field), units)


def bill(drill, trials, ordered, borne, units=None):
    """The bill of materials with valves and hoses that are given.

    Parameters
    ----------
    drill : Drill [-]
        The drill as its file has it: cylinder, supply, guards, places of hoses.
    trials : Trials [-]
        What the circuit must cope with.
    ordered : Hoses [-]
        Valves and hoses to order.
    borne : Bearable [Pa]
        What the drill bears; oil that would need more is not told.
    units : str, optional [-]
        "metric" or "US", which comes first in sizes; the drill's own if left out.

    Returns
    -------
    PartsList [-]
        Counted from the circuit as a graph.

    Raises
    ------
    ValueError
        If the duty does not fit the drill, or every row keeps its springs.

    Notes
    -----
    Hoses are rated for the most that the tractor can press, not for the setting: a check valve or a valve
    that sticks can put it there.
    """
    duty, shown = trials.duty, unit_system(units or drill.units)
    made = _ordered_drill(drill, ordered)
    state = oil_state(
        made,
        duty.travel,
        duty.station_spacing,
        duty.speed,
        duty.gauge_pressure,
        duty.oil_temperature,
    )
    returned = max(made.hydraulics.supply.flow, ordered.valves * ordered.taken)
    graph = circuit_graph(drill, ordered, _line_bores(made.hydraulics, returned))
    oil = _oil(drill, graph)
    rows = (
        *_inlet(drill, graph, returned),
        *_valves(drill, made, ordered),
        *_guards(made, graph, ordered.taken),
        *_hoses(drill, made, graph, returned, fastest_oil(made, state, duty.oil_temperature, borne)),
        *_fittings(graph),
        *_small(graph),
        *_at_the_rows(drill, graph, shown),
        _accumulator(drill.hydraulics.accumulator, float(state.void.max()), duty.gauge_pressure),
        _filling(drill, oil),
        *_spares(drill, graph),
    )
    return PartsList(
        tuple(replace(row, size=row.size or _size(shown, row)) for row in rows),
        ordered,
        _reads(drill, trials, ordered, borne),
        oil,
        shown.name,
    )


def _ordered_drill(drill, ordered):
    made = drill_with_hoses(
        drill, ordered.header_bore, ordered.drop_bore, feeds_y=ordered.places, rated_flow=ordered.rated_flow
    )
    own, parts = drill.hydraulics, made.hydraulics
    # A hose that is not the file's is ordered for the most that the tractor can press.
    header, drop = (
        new if new.bore == old.bore else replace(new, rated_pressure=parts.supply.max_pressure)
        for new, old in ((parts.header, own.header), (parts.drop, own.drop))
    )
    return replace(made, hydraulics=replace(parts, header=header, drop=drop))


def _both(shown, figure):
    return f"{figure.words} {shown.both(figure.kind, figure.value)}"


def _size(shown, row):
    """Where a part has no size of the trade, its first figure."""
    return shown.both(row.figures[0].kind, row.figures[0].value) if row.figures else ""


def _line_bores(parts, returned):
    """Inlet and return: for the middle of their usual velocities, and none thinner than was judged."""
    asked = (parts.inlet_hose, parts.supply.flow, "pressure"), (parts.return_hose, returned, "return")
    return tuple(
        max(
            float(next_nominal_bore(bore_for_velocity(flow, float(np.mean(VELOCITY_LIMITS[kind]))))), own.bore
        )
        for own, flow, kind in asked
    )


def _inlet(drill, graph, returned):
    supply = drill.hydraulics.supply
    pressure = Figure("rating, at least", "pressure", supply.max_pressure)
    drains = graph.count(graphs.VALVE)
    return (
        Part(
            "coupler, two halves with caps, for inlet and return",
            graph.count(graphs.COUPLER) - drains,
            "of the tractor's own standard, mostly ISO 5675 or ISO 7241-A",
            NO_LENGTH,
            "One each way; the return's opens freely.",
            (pressure,),
        ),
        Part(
            "coupler, low pressure, for the drain",
            drains,
            "of the tractor's case drain",
            NO_LENGTH,
            "Only where the valve's sheet asks for a drain of its own.",
        ),
        Part(
            "filter, with bypass",
            graph.count(graphs.FILTER),
            "",
            NO_LENGTH,
            f"Dirt makes a pressure valve stick: stop {FILTER_FINENESS}. The bypass lets cold oil pass.",
            (Figure("flow", "flow", supply.flow), pressure),
        ),
        Part(
            "check valve",
            graph.count(graphs.CHECK),
            "",
            NO_LENGTH,
            "Keeps the pressure when the tractor's lever goes to neutral. It also keeps it after work: see "
            "the dump valve.",
            (Figure("flow", "flow", supply.flow), pressure),
        ),
        Part(
            "test point, at inlet and outlet of each pressure valve",
            2 * graph.count(graphs.VALVE),
            "for a test gauge with hose",
            NO_LENGTH,
            "A test gauge proves the gauge, and tells the inlet from the header.",
        ),
    )


def _valves(drill, made, ordered):
    valve = made.hydraulics.valve
    return (
        Part(
            "pressure valve, reducing and relieving, three-way",
            ordered.valves,
            "",
            NO_LENGTH,
            "Holds the pressure whether the rows draw oil or give it back.",
            (
                Figure("rated flow", "flow", ordered.rated_flow),
                Figure("gives up to", "flow", ordered.given),
                Figure("takes back up to", "flow", ordered.taken),
                Figure("lowest setting", "pressure", valve.min_pressure),
                Figure("highest setting", "pressure", valve.max_pressure),
                Figure("step from give to take, at most", "pressure", valve.band),
                Figure("fall at the rated flow, at most", "pressure", valve.droop),
                Figure("inlet rating, at least", "pressure", made.hydraulics.supply.max_pressure),
            ),
            _valve_warning(drill.hydraulics, ordered),
        ),
    )


def _valve_warning(own, ordered):
    if own.valve.kind != "reducing-relieving":
        return "The drill file has a plain reducing valve, which cannot take oil back."
    if ordered.rated_flow > own.valve.rated_flow:
        return "The drill file's valve is rated for less flow than this ground asks at this speed."
    if ordered.valves != len(own.header.feeds_y):
        return "The drill file has another number of valves."
    return ""


def _guards(drill, graph, pushed_back):
    parts = drill.hydraulics
    shut = graph.count(graphs.SECTION_VALVE)
    weakest = min(drill.cylinder.rated_pressure, parts.header.rated_pressure, parts.drop.rated_pressure)
    relief = parts.valve.relief_pressure
    warning = ""
    if relief > weakest:
        warning = "The drill file's relief is set above the weakest part."
    elif relief < RELIEF_FLOOR * parts.valve.max_pressure:
        warning = "The drill file's relief is so close to the highest setting that it may do the regulating."
    dial = parts.gauge.full_scale
    most = Figure("rating, at least", "pressure", parts.supply.max_pressure)
    rows = [
        Part(
            "relief valve",
            graph.count(graphs.VALVE) + shut,
            "",
            NO_LENGTH,
            "Last protection, and the only one for oil that is shut in and warms. One beside each valve, and "
            "one behind each valve that can shut a section off. It passes what the tractor gives, or what "
            "rising rows push back through a valve that sticks shut.",
            (
                Figure("setting", "pressure", relief),
                Figure("usual setting", "pressure", RELIEF_OVER_SETTING * parts.valve.max_pressure),
                Figure("never above", "pressure", weakest),
                Figure("flow, at least", "flow", max(parts.supply.flow, pushed_back)),
            ),
            warning,
        ),
        Part(
            "dump valve, by hand, locks open",
            graph.count(graphs.DUMP) + shut,
            "",
            NO_LENGTH,
            "Makes the cylinders dead before anyone works on them. Between check valve and header, and one "
            "for each part that can be shut off.",
            (most,),
        ),
        Part(
            "gauge, filled with glycerine",
            graph.count(graphs.GAUGE),
            "",
            NO_LENGTH,
            "What the operator sets by; seen from the seat. It reads the header at its valve, not the far "
            "rows.",
            (
                Figure("end of the dial", "pressure", dial),
                Figure("largest error", "pressure", parts.gauge.accuracy * dial),
            ),
            "The dial ends below the relief's setting." if dial < relief else "",
        ),
        Part(
            "snubber, with shut-off, for the gauge",
            graph.count(graphs.GAUGE),
            "to the gauge's thread",
            NO_LENGTH,
            "Calms the needle. A plugged one shows yesterday's pressure: open the dump valve, it must fall.",
        ),
    ]
    if shut:
        rows.append(
            Part(
                "section valve",
                shut,
                "",
                NO_LENGTH,
                "Shuts a section off. What it shuts in needs a relief and a dump valve of its own.",
                (most,),
            )
        )
    return rows


_WHY_HOSE = {
    graphs.FEED: "From the valve to the tee that feeds the header.",
    graphs.INLET: "Carries the supply's flow at a fair velocity. Its length is the drill file's.",
    graphs.RETURN: "Carries what rising rows push back. Back-pressure in it acts on every cylinder and is "
    "the lowest force that can be set. Its length is the drill file's.",
    graphs.FURTHER: "On along the frame to the other valves.",
    graphs.BACK: "Along the frame from each valve; full size, for all of the return may come from one.",
    graphs.GAUGE_LINE: "To a gauge that is seen from the seat. Length assumed: measure it.",
    graphs.DRAIN: "Only where the valve's sheet asks for a drain. Length assumed: measure it.",
    graphs.DUMP_LINE: "Lets the header into the return by hand.",
    graphs.STUB: "From the last tee of a section to the valve that shuts it off.",
}


_OF_TRACTOR = {graphs.INLET: "inlet_hose", graphs.RETURN: "return_hose"}


def _hoses(drill, made, graph, returned, fastest):
    parts, most = made.hydraulics, made.hydraulics.supply.max_pressure
    rows = []
    for (purpose, bore, length), count in _grouped(graph).items():
        size = hose_size(bore)
        figures, warning, why = [Figure("rating, at least", "pressure", most)], "", _WHY_HOSE.get(purpose)
        if isfinite(size.bend_radius):
            figures.append(Figure("bend radius, at least", "length", size.bend_radius))
        if purpose == graphs.RETURN:
            figures += [
                Figure("flow, at most", "flow", returned),
                Figure("back-pressure, at most", "pressure", 5e5),
            ]
        if purpose == graphs.DROP:
            oil, own = fastest[1], parts.drop
            why = _drop_words(drill, bore)
        elif purpose in (graphs.PIECE, graphs.HINGE):
            oil, own = fastest[0], parts.header
            why = (
                "From tee to tee, centre to centre; the load kept in cold oil and the rows beyond each valve "
                "set its bore. A tube or a bar with ports may stand for a section's tees and pieces."
            )
            if purpose == graphs.HINGE:
                why = _hinge_words(drill, bore)
        else:
            oil = None
            if purpose == graphs.RETURN and parts.supply.return_pressure > 5e5:
                warning = (
                    "The tractor's return has more back-pressure than it should: look for a free return."
                )
            elif (own := _OF_TRACTOR.get(purpose)) and bore > INCH_OVER_NOMINAL * getattr(parts, own).bore:
                warning = "The drill file's hose is thinner than the usual velocity of its oil asks for."
        if oil is not None:
            rated, warning = _hose_warning(size, own, most, oil)
            figures += rated
            warning = _reach_warning(drill, purpose, bore, graph) or warning
        elif size.rating < most and purpose not in (graphs.RETURN, graphs.DRAIN, graphs.BACK):
            warning = "Two-wire hose of this bore is rated for less than that: order four-wire hose."
        rows.append(Part(f"hose, {purpose}", count, size.name, length, why, tuple(figures), warning))
    return rows


def _grouped(graph):
    """Hoses that are alike, in the order in which they are met first."""
    order = (
        graphs.INLET,
        graphs.FURTHER,
        graphs.FEED,
        graphs.PIECE,
        graphs.STUB,
        graphs.HINGE,
        graphs.DROP,
        graphs.RETURN,
        graphs.BACK,
        graphs.DUMP_LINE,
        graphs.GAUGE_LINE,
        graphs.DRAIN,
    )
    alike = Counter((hose.purpose, hose.bore, round(hose.length, 4)) for hose in graph.hoses)
    return dict(sorted(alike.items(), key=lambda one: (order.index(one[0][0]), one[0][2])))


def _hose_warning(size, hose, most, oil):
    usual, made = VELOCITY_LIMITS["pressure"][1], size.rating
    warning = ""
    if made < most:
        warning = "Two-wire hose of this bore is rated for less than that: order four-wire hose."
    elif made < hose.rated_pressure:
        warning = "Two-wire hose of this bore is rated lower than the drill file says."
    elif hose.rated_pressure < most:
        warning = "The drill file's rating is below what the tractor can press."
    elif oil.velocity > usual:
        warning = (
            "On this ground its oil runs faster than is usual. That rule keeps heat, noise and loss low in "
            "steady flow; for the seconds of a crossing the load that is kept decides."
        )
    figures = [
        Figure("oil at its fastest" + (", at least" if oil.more else ""), "oil velocity", oil.velocity),
        Figure("usual in steady flow, at most", "oil velocity", usual),
    ]
    if np.isfinite(made):
        figures.append(Figure("two-wire hose is rated", "pressure", made))
    return figures, warning


def _drop_words(drill, bore):
    moves = "moves with the opener" if drill.hydraulics.runs.port_on == "opener" else "stays on the frame"
    return (
        "One to each cylinder; the load kept in cold oil sets its bore. Long enough through travel, raised "
        "and "
        f"transport, for a port that {moves}, a header in the middle of the ranks as high as the frame pins "
        "(assumed), a hose that shortens, straight ends and tolerance."
    )


def _hinge_words(drill, bore):
    return (
        "Longest way from clamp to clamp between a wing that hangs and one that is folded, for a hose that "
        "shortens, straight ends, tolerance and the way to the tees. Clamps and fold as the drill file says, "
        "else assumed. Check it level, half, folded and hanging."
    )


def _reach_warning(drill, purpose, bore, graph):
    if purpose == graphs.DROP:
        runs = drop_runs(drill, bore)
        if max(run.wanted for run in runs) > drill.hydraulics.drop.length:
            return "The drill file's drop is too short for the travel: this is the length that reaches."
        if not all(run.fits for run in runs):
            return (
                "Where its ends are nearest it is bent too sharply: take compact hose, or move the tee away."
            )
    if purpose == graphs.HINGE:
        run = hinge_run(drill, bore, 0.0)
        if not run.fits(drill.hydraulics.runs.fold_angle):
            return (
                f"Folded beyond {np.degrees(run.folds_to):.0f} degrees its loop is too tight: set the clamps "
                "further from the hinge, or run it lower."
            )
    return ""


def _fittings(graph):
    bores = Counter(bore for hose in graph.hoses for bore in [hose.bore] * 2)
    angled = Counter(hose.bore for hose in graph.hoses if hose.purpose == graphs.DROP)
    rows = []
    for bore, count in sorted(bores.items()):
        why = "Two to each hose. Flare of 37 degrees: one of 45 screws on and leaks."
        rows.append(_fitting("hose end, straight swivel, flare", count - angled[bore], bore, why))
        if angled[bore]:
            why = "At the cylinder, so that the hose hangs without a kink."
            rows.append(_fitting("hose end, 90 degrees swivel, flare", angled[bore], bore, why))
    rows += _tees(graph)
    header = next(hose.bore for hose in graph.hoses if hose.purpose == graphs.FEED)
    why = "At both ends of the header, turned up, with the bleed screw."
    rows.append(
        _fitting("elbow, 90 degrees, swivel onto the end tee", graph.count(graphs.ELBOW), header, why)
    )
    for (kind, bore), count in sorted(graph.adapters().items()):
        if bore:
            what = f"adapter, flare to the port of the {kind}"
            why = (
                "Port with O-ring: taper threads are not for this. Ask for the port's thread, inch or metric."
            )
            port = hose_size(bore)
            size = port.flare + (f"; O-ring boss {port.thread} or {port.metric_boss}" if port.thread else "")
        else:
            what = f"adapter, nipple, {kind} to the part beside it"
            why, size = "Two parts are screwed onto each other.", "to the ports of both"
        rows.append(Part(what, count, size, NO_LENGTH, why, fitting=True))
    return [row for row in rows if row.count]


def _fitting(what, count, bore, why):
    return Part(what, count, hose_size(bore).flare, NO_LENGTH, why, fitting=True)


def _tees(graph):
    """Tees by the bores that meet in them; a joint is as wide as the widest hose of its tee."""
    at = {}
    for hose in graph.hoses:
        for end in hose.ends:
            at.setdefault(end, []).append(hose.bore)
    made = Counter()
    for name, kind in graph.parts.items():
        if kind == graphs.TEE:
            bores = sorted(at.get(name, [graphs.DUMP_BORE]), reverse=True)
            swivels = graphs.OPENINGS[kind] - len(at.get(name, []))
            bores = [bores[0]] * swivels + bores if swivels else bores
            where = next(
                (where for where in ("at row", "of feed", "of the dump valve") if where in name), "to a valve"
            )
            made[where, tuple(bores), bool(swivels)] += 1
    whys = {
        "at row": "One at each drop; those at the ends of the header carry the bleed screws.",
        "of feed": "Lets a valve's oil into the header, screwed onto the tee of the nearest drop.",
        "of the dump valve": "Lead to the dump valve, one before and one behind it.",
        "to a valve": "Part the lines to the valves.",
    }
    names = {"at row": "at a drop", "of feed": "at a feed", "of the dump valve": "at the dump valve"}
    return [
        Part(
            f"tee, {names.get(where, where)}" + (", with a swivel nut" if swivels else ""),
            count,
            " x ".join(f"-{hose_size(bore).dash}" for bore in bores) + " flare",
            NO_LENGTH,
            whys[where],
            fitting=True,
        )
        for (where, bores, swivels), count in made.items()
    ]


def _small(graph):
    clamps, tags = Counter(), 2 * len(graph.hoses)
    for hose in graph.hoses:
        clamps[hose.bore] += hose.clamps
    header = [hose for hose in graph.hoses if hose.purpose == graphs.PIECE]
    if header:
        # Pieces are too short for a clamp each; their line is held as one.
        clamps[header[0].bore] += ceil(sum(hose.length for hose in header) / graphs.CLAMP_SPACING)
    hinges = sum(hose.purpose == graphs.HINGE for hose in graph.hoses)
    rows = [
        Part(
            "hose clamp",
            count,
            hose_size(bore).name,
            NO_LENGTH,
            "About two to the metre, none in a bend; one on each side of a hinge.",
        )
        for bore, count in sorted(clamps.items())
        if count
    ]
    rows.append(
        Part(
            "tag, row and circuit",
            tags,
            "",
            NO_LENGTH,
            "One at each end of each hose: swapped hoses look alike.",
        )
    )
    if hinges:
        rows.append(
            Part(
                "sleeve, against rubbing",
                hinges,
                "",
                NO_LENGTH,
                "Over each hinge, and wherever hose meets steel.",
            )
        )
    rows.append(
        Part(
            "cap, for the couplers",
            graph.count(graphs.COUPLER),
            "to the coupler",
            NO_LENGTH,
            "Dirt gets in where couplers hang open.",
        )
    )
    rows.append(
        Part(
            "cap, for a tee or hose whose row is taken off",
            _spare(graph.count(graphs.CYLINDER)),
            hose_size(_bore_of(graph, graphs.DROP)).flare,
            NO_LENGTH,
            "Keeps the drill at work while one cylinder is in the shop.",
            fitting=True,
        )
    )
    rows.append(
        Part(
            "bleed screw",
            graph.count(graphs.BLEED),
            hose_size(_bore_of(graph, graphs.FEED)).flare,
            NO_LENGTH,
            "At both ends of the header, the highest point, the cylinders' ports up: air makes the answer "
            "slow "
            "and spongy. It lets air out into a hose that ends in a pail; no fitting is ever loosened for "
            "that.",
            fitting=True,
        )
    )
    return rows


def _bore_of(graph, purpose):
    return next(hose.bore for hose in graph.hoses if hose.purpose == purpose)


def _at_the_rows(drill, graph, shown):
    cylinder, rows = drill.cylinder, graph.count(graphs.CYLINDER)
    acting = cylinder.bore if cylinder.kind == "piston" else cylinder.rod
    return (
        Part(
            f"cylinder, single-acting, {cylinder.kind} type",
            rows,
            f"{cylinder_size('bore' if cylinder.kind == 'piston' else 'rod', acting, shown)} "
            f"{'bore' if cylinder.kind == 'piston' else 'plunger'}, "
            f"{cylinder_size('stroke', cylinder.stroke, shown)} stroke",
            cylinder.closed_length,
            "Presses one opener down; the length is closed, pin to pin. Filter or shroud the vent of a "
            "piston "
            "type. Order it by its specification sheet.",
            (Figure("rating", "pressure", cylinder.rated_pressure),),
        ),
        Part(
            "pin, with washers and split pins",
            2 * rows,
            "by the specification sheet",
            NO_LENGTH,
            "Two to a cylinder, each in two plates.",
        ),
        Part(
            "bracket, two plates, on the frame",
            rows,
            "by the specification sheet",
            NO_LENGTH,
            "Moves the pin to where a cylinder fits.",
        ),
        Part(
            "bracket, two plates, on the opener",
            rows,
            "by the specification sheet",
            NO_LENGTH,
            "The other pin.",
        ),
    )


def _accumulator(own, missing, gauge_pressure):
    if own is not None:
        return Part(
            "accumulator, nitrogen only",
            1,
            "",
            NO_LENGTH,
            "The drill file has it, and the circuit was judged with it. It keeps energy after work.",
            (
                Figure("gas volume", "volume", own.volume),
                Figure("precharge", "pressure", own.precharge),
                Figure("oil that is missing without", "volume", missing),
            ),
        )
    if missing == 0.0:
        return Part(
            "accumulator (optional)",
            0,
            "",
            NO_LENGTH,
            "Not needed for flow: the supply is enough on this ground at this speed.",
        )
    gas = accumulator_for(missing, positive("gauge_pressure", gauge_pressure), ACCUMULATOR_SHARE)
    return Part(
        "accumulator (optional), nitrogen only",
        1,
        "",
        NO_LENGTH,
        "Gives the oil that the tractor cannot give in time. One precharge does not suit all settings, and "
        "it keeps energy after work. Driving slower, or across at an angle, costs nothing.",
        (Figure("gas volume, at least", "volume", gas), Figure("oil to give", "volume", missing)),
    )


def _oil(drill, graph):
    """Oil that fills cylinders, rods out, and hoses; air comes out for it."""
    stroke = float(oil_volume(drill.cylinder.area, drill.cylinder.stroke)) * graph.count(graphs.CYLINDER)
    return stroke + sum(float(line_volume(hose.bore, hose.length)) for hose in graph.hoses)


def _filling(drill, oil):
    lent = drill.hydraulics.supply.oil_available
    return Part(
        "oil, to fill cylinders and hoses",
        1,
        "",
        NO_LENGTH,
        "The tractor's own grade, through a filter; all rods out, the tank still at its lower mark.",
        (Figure("to fill", "volume", oil), Figure("the tractor may lend", "volume", lent)),
        "It is more than the tractor may lend: top its tank up while filling." if oil > lent else "",
    )


def _spare(count):
    return max(FEWEST_SPARES, ceil(SPARE_SHARE * count))


def _spares(drill, graph):
    rows = graph.count(graphs.CYLINDER)
    drop = hose_size(_bore_of(graph, graphs.DROP))
    many = (
        ("cylinder", _spare(rows), "as above"),
        ("drop hose", _spare(rows), drop.name),
        ("adapter for a cylinder", _spare(rows), drop.flare),
        ("tee at a drop", _spare(rows), "as above"),
        ("pin", _spare(2 * rows), "as above"),
        ("seal kit for a cylinder", 2 * _spare(rows), "by the cylinder's part number"),
        ("O-ring of each port", 2 * _spare(rows), "by the port"),
        ("header hose, tee to tee", 1, hose_size(_bore_of(graph, graphs.FEED)).name),
        ("gauge with snubber", 1, "as above"),
        ("cartridge of the pressure valve", 1, "by the valve's part number"),
    )
    why = "A row that stands costs a day in the season (common practice, no source)."
    return [Part(f"spare {what}", count, size, NO_LENGTH, why) for what, count, size in many]


def _reads(drill, trials, ordered, borne):
    pressure = trials.pressure(ordered)
    gauge = drill.hydraulics.gauge
    highest, gives = float(pressure.max()), ordered.gives
    if gives is not None:
        highest = min(highest, max(gives.gauge_pressure, trials.duty.gauge_pressure))
    return GaugeReads(
        ordered.places,
        float(trials.duty.gauge_pressure),
        float(pressure.min()),
        highest,
        "" if gives is None else gives.words,
        gauge.accuracy * gauge.full_scale,
    )
