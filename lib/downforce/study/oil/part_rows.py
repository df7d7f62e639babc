"""Lines of the bill of materials for hoses and fittings, small things, what stands at the rows, spares.

A hose has purpose, size and length, and whether it reaches and bends.
"""

from collections import Counter
from math import ceil, isfinite

import numpy as np

from downforce.physics.oil import VELOCITY_LIMITS
from downforce.study.oil import circuit_graph as graphs
from downforce.study.oil.circuit import INCH_OVER_NOMINAL, cylinder_size, hose_size
from downforce.study.oil.circuit_graph import Figure, Part, drop_runs, hinge_run

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


def hose_rows(drill, made, graph, returned, fastest):
    """Every kind of hose with its length, and what is wrong with those of the drill file."""
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
        rows.append(Part(f"hose, {purpose}", count, size.name, why, tuple(figures), warning, length=length))
    return rows


def _grouped(graph):
    """Hoses that are alike, from the tractor to the rows and back."""
    alike = Counter((hose.purpose, hose.bore, round(hose.length, 4)) for hose in graph.hoses)
    return dict(sorted(alike.items(), key=lambda one: (graphs.PURPOSES.index(one[0][0]), one[0][2])))


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
        f"and transport, for a port that {moves}, a header in the middle of the ranks as high as the frame "
        "pins (assumed), a hose that shortens, straight ends and tolerance."
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


SPARE_SHARE, FEWEST_SPARES = 0.02, 2
"""Spares of each part that there are many of, and the fewest [-] (common practice, no source)."""


def fitting_rows(graph):
    """Hose ends, tees, elbows and adapters, as the graph has them."""
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
    header = _bore_of(graph, graphs.FEED)
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
        rows.append(Part(what, count, size, why, fitting=True))
    return [row for row in rows if row.count]


def _fitting(what, count, bore, why):
    return Part(what, count, hose_size(bore).flare, why, fitting=True)


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
            whys[where],
            fitting=True,
        )
        for (where, bores, swivels), count in made.items()
    ]


def small_rows(graph):
    """Clamps, tags, sleeves, caps, bleed screws."""
    clamps, tags = Counter(), 2 * len(graph.hoses)
    for hose in graph.hoses:
        clamps[hose.bore] += hose.clamps
    header = [hose for hose in graph.hoses if hose.purpose == graphs.PIECE]
    if header:
        # Pieces are too short for a clamp each; their line is held as one.
        clamps[header[0].bore] += ceil(sum(hose.length for hose in header) / graphs.CLAMP_SPACING)
    hinges = sum(hose.purpose == graphs.HINGE for hose in graph.hoses)
    why = "About two to the metre, none in a bend; one on each side of a hinge."
    rows = [
        *(Part("hose clamp", count, hose_size(bore).name, why) for bore, count in sorted(clamps.items())),
        Part("tag, row and circuit", tags, "", "One at each end of each hose: swapped hoses look alike."),
        Part("sleeve, against rubbing", hinges, "", "Over each hinge, and wherever hose meets steel."),
        Part(
            "cap, for the couplers",
            graph.count(graphs.COUPLER),
            "to the coupler",
            "Dirt gets in where couplers hang open.",
        ),
        _fitting(
            "cap, for a tee or hose whose row is taken off",
            _spare(graph.count(graphs.CYLINDER)),
            _bore_of(graph, graphs.DROP),
            "Keeps the drill at work while one cylinder is in the shop.",
        ),
        _fitting(
            "bleed screw",
            graph.count(graphs.BLEED),
            _bore_of(graph, graphs.FEED),
            "At both ends of the header, the highest point, the cylinders' ports up: air makes the answer "
            "slow and spongy. It lets air out into a hose that ends in a pail; no fitting is ever loosened "
            "for that.",
        ),
    ]
    return [row for row in rows if row.count]


def _bore_of(graph, purpose):
    return next(hose.bore for hose in graph.hoses if hose.purpose == purpose)


def opener_rows(drill, graph, shown):
    """What stands at each row: cylinder, pins, brackets."""
    cylinder, rows = drill.cylinder, graph.count(graphs.CYLINDER)
    works, sheet = cylinder.works, "by the specification sheet"
    return (
        Part(
            f"cylinder, {works.action.split(',')[0]}, {cylinder.kind} type",
            rows,
            f"{cylinder_size(works.acting, cylinder.acting_diameter, shown)} {works.acting_name}, "
            f"{cylinder_size('stroke', cylinder.stroke, shown)} stroke",
            f"Presses one opener down; the length is closed, pin to pin. {works.beside}Order it by its "
            "specification sheet.",
            (Figure("rating", "pressure", cylinder.rated_pressure),),
            length=cylinder.closed_length,
        ),
        Part("pin, with washers and split pins", 2 * rows, sheet, "Two to a cylinder, each in two plates."),
        Part("bracket, two plates, on the frame", rows, sheet, "Moves the pin to where a cylinder fits."),
        Part("bracket, two plates, on the opener", rows, sheet, "The other pin."),
    )


def _spare(count):
    return max(FEWEST_SPARES, ceil(SPARE_SHARE * count))


def spare_rows(drill, graph):
    """What a shop keeps for the season."""
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
    return [Part(f"spare {what}", count, size, why) for what, count, size in many]
