"""Lines of the bill of materials for hoses: purpose, size, length, and whether they reach and bend."""

from collections import Counter
from math import isfinite

import numpy as np

from downforce.physics.oil import VELOCITY_LIMITS
from downforce.study.oil import circuit_graph as graphs
from downforce.study.oil.catalogue import INCH_OVER_NOMINAL, hose_size
from downforce.study.oil.circuit_graph import drop_runs, hinge_run
from downforce.study.oil.part import Figure, Part

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
