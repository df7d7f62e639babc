"""Lines of the bill of materials for fittings, small things, what stands at the rows, and spares."""

from collections import Counter
from math import ceil

from downforce.study.oil import circuit_graph as graphs
from downforce.study.oil.catalogue import cylinder_size, hose_size
from downforce.study.oil.part import NO_LENGTH, Figure, Part

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


def opener_rows(drill, graph, shown):
    """What stands at each row: cylinder, pins, brackets."""
    cylinder, rows = drill.cylinder, graph.count(graphs.CYLINDER)
    works = cylinder.works
    return (
        Part(
            f"cylinder, {works.action.split(',')[0]}, {cylinder.kind} type",
            rows,
            f"{cylinder_size(works.acting, cylinder.acting_diameter, shown)} {works.acting_name}, "
            f"{cylinder_size('stroke', cylinder.stroke, shown)} stroke",
            cylinder.closed_length,
            f"Presses one opener down; the length is closed, pin to pin. {works.beside}Order it by its "
            "specification sheet.",
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
    return [Part(f"spare {what}", count, size, NO_LENGTH, why) for what, count, size in many]
