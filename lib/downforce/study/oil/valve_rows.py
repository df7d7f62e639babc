"""Lines of the bill of materials for what stands between tractor and header: valves, guards, gauge."""

from downforce.study.oil import circuit_graph as graphs
from downforce.study.oil.part import NO_LENGTH, Figure, Part

RELIEF_OVER_SETTING = 1.15
"""Relief setting over the highest setting [-]: 10 to 20 % above (common practice, no source)."""

RELIEF_FLOOR = 1.1
"""Least relief setting over the highest setting [-] (common practice, no source)."""

FILTER_FINENESS = "10 to 25 micrometres"
"""Particles the inlet filter stops [-] (from memory)."""


def inlet_rows(drill, graph, returned):
    """Couplers, filter, check valve, test points."""
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


def pressure_valve_rows(drill, made, ordered):
    """What holds the pressure."""
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


def guard_rows(drill, graph, pushed_back):
    """Relief and dump valves, gauge, snubber, section valves."""
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
