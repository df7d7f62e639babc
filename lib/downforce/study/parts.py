"""What to order for a drill's oil circuit: every part with its number, size, length and reason. No brands."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.units import unit_system
from downforce.physics.checks import positive
from downforce.physics.kinds import CubicMetre, Kelvin, Metre, Pascal
from downforce.physics.oil import (
    NOMINAL_BORES,
    VELOCITY_LIMITS,
    bore_for_velocity,
    line_volume,
    next_nominal_bore,
)
from downforce.study.oil import circuit_graph as graphs
from downforce.study.oil.cases import COMPARED, way_trials
from downforce.study.oil.circuit import Bearable, bearable, drill_with_hoses
from downforce.study.oil.circuit_graph import Figure, Part, circuit_graph
from downforce.study.oil.figures import accumulator_for
from downforce.study.oil.part_rows import fitting_rows, hose_rows, opener_rows, small_rows, spare_rows
from downforce.study.oil.sizing import Hoses, Trials, circuit_to_order, fastest_oil
from downforce.study.oil_supply import oil_state

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
            "One each way; the return's opens freely.",
            (pressure,),
        ),
        Part(
            "coupler, low pressure, for the drain",
            drains,
            "of the tractor's case drain",
            "Only where the valve's sheet asks for a drain of its own.",
        ),
        Part(
            "filter, with bypass",
            graph.count(graphs.FILTER),
            "",
            f"Dirt makes a pressure valve stick: stop {FILTER_FINENESS}. The bypass lets cold oil pass.",
            (Figure("flow", "flow", supply.flow), pressure),
        ),
        Part(
            "check valve",
            graph.count(graphs.CHECK),
            "",
            "Keeps the pressure when the tractor's lever goes to neutral. It also keeps it after work: see "
            "the dump valve.",
            (Figure("flow", "flow", supply.flow), pressure),
        ),
        Part(
            "test point, at inlet and outlet of each pressure valve",
            2 * graph.count(graphs.VALVE),
            "for a test gauge with hose",
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
            "Makes the cylinders dead before anyone works on them. Between check valve and header, and one "
            "for each part that can be shut off.",
            (most,),
        ),
        Part(
            "gauge, filled with glycerine",
            graph.count(graphs.GAUGE),
            "",
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
            "Calms the needle. A plugged one shows yesterday's pressure: open the dump valve, it must fall.",
        ),
    ]
    if shut:
        why = "Shuts a section off. What it shuts in needs a relief and a dump valve of its own."
        rows.append(Part("section valve", shut, "", why, (most,)))
    return rows


ORDERED_AT = COMPARED[0]
"""Oil temperature that the parts are ordered for [K]: a cold start."""


ACCUMULATOR_SHARE = 0.2
"""By how much the pressure may fall while an accumulator gives the oil that is missing [-]."""


@dataclass(frozen=True)
class GaugeReads:
    """What the gauge tells of the rows.

    places: where the gauges read the header, right of the middle.
    lowest, highest: at a cylinder while oil moves, on the way the circuit was judged on; no more than the
        drill bears.
    ended_by: what ends it upwards, if more was reckoned; empty if nothing.
    """

    places: tuple[Metre, ...]
    setting: Pascal
    lowest: Pascal
    highest: Pascal
    ended_by: str
    error: Pascal

    @property
    def worst(self) -> Pascal:
        """What the worst row may differ from the gauge while oil moves."""
        return max(self.setting - self.lowest, self.highest - self.setting)


@dataclass(frozen=True)
class PartsList:
    """A bill of materials.

    rows: from the tractor to the cylinders, then small things and spares.
    units: "metric" or "US": which unit comes first in the sizes.
    """

    rows: tuple[Part, ...]
    ordered: Hoses
    gauge: GaugeReads
    oil: CubicMetre
    units: str

    def __iter__(self):
        return iter(self.rows)

    def __len__(self):
        return len(self.rows)

    def total(self, kind):
        """How many parts there are whose name begins with a word; spares begin with "spare"."""
        return sum(row.count for row in self.rows if row.what.split(",")[0] == kind)

    def to_frame(self):
        """The list as a table, for a spreadsheet.

        Result: length in metres; the last column is left blank, for the torque of the fitting's own sheet.
        """
        import pandas

        shown = unit_system(self.units)
        heads = ["what", "count", "size", "length", "why", "warning"]
        told = pandas.DataFrame([[getattr(row, head) for head in heads] for row in self.rows], columns=heads)
        rated = ["; ".join(_both(shown, figure) for figure in row.figures) for row in self.rows]
        told.insert(4, "ratings", rated)
        told["torque, from the fitting's own sheet"] = ""
        return told.rename(columns={"warning": "mind"})


def parts_list(
    drill: Drill, field: Field, oil_temperature: Kelvin = ORDERED_AT, units: str | None = None
) -> PartsList:
    """The bill of materials of the circuit that is judged good for a drill and a field.

    field: terrace, speed, soil and aim that the circuit must cope with.
    oil_temperature: of the oil it is judged in: a cold start if left out.
    units: "metric" or "US", which comes first in sizes; the drill's own if left out.
    Result: rows with `what`, `count`, `size`, `length` and `why`.
    Raises ValueError if the temperature is impossible, or every row keeps its springs.

    Valves and hoses are those of `circuit_to_order`; where none is enough, the best that was tried.
    """
    trials = way_trials(drill, field, oil_temperature)
    return bill(drill, trials, circuit_to_order(trials), bearable(drill, field), units)


def bill(drill: Drill, trials: Trials, ordered: Hoses, borne: Bearable, units=None) -> PartsList:
    """The bill of materials with valves and hoses that are given.

    drill: the drill as its file has it: cylinder, supply, guards, places of hoses.
    ordered: valves and hoses to order.
    borne: what the drill bears; oil that would need more is not told.
    units: "metric" or "US", which comes first in sizes; the drill's own if left out.
    Result: counted from the circuit as a graph.

    Hoses are rated for the most that the tractor can press, not for the setting: a check valve or a valve
    that sticks can put it there.
    """
    duty, shown = trials.duty, unit_system(units or drill.units)
    made = _ordered_drill(drill, ordered)
    state = oil_state(
        made, duty.travel, duty.station_spacing, duty.speed, duty.gauge_pressure, duty.oil_temperature
    )
    returned = max(made.hydraulics.supply.flow, ordered.valves * ordered.taken)
    graph = circuit_graph(drill, ordered, _line_bores(made.hydraulics, returned, shown))
    oil = _oil(drill, graph)
    rows = (
        *inlet_rows(drill, graph, returned),
        *pressure_valve_rows(drill, made, ordered),
        *guard_rows(made, graph, ordered.taken),
        *hose_rows(drill, made, graph, returned, fastest_oil(made, state, duty.oil_temperature, borne)),
        *fitting_rows(graph),
        *small_rows(graph),
        *opener_rows(drill, graph, shown),
        _accumulator(drill.hydraulics.accumulator, float(state.void.max()), duty.gauge_pressure),
        _filling(drill, oil),
        *spare_rows(drill, graph),
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


def _line_bores(parts, returned, shown):
    """Inlet and return: for the middle of their usual velocities, and none thinner than was judged."""
    bores = []
    for own, flow, kind in (
        (parts.inlet_hose, parts.supply.flow, "pressure"),
        (parts.return_hose, returned, "return"),
    ):
        wanted = float(bore_for_velocity(flow, float(np.mean(VELOCITY_LIMITS[kind]))))
        if wanted > NOMINAL_BORES[-1]:
            raise ValueError(
                f"The {kind} line would carry {shown.both('flow', flow)}. At a usual velocity that takes a "
                f"hose of {shown.both('length', wanted)}, and none is made over "
                f"{shown.both('length', NOMINAL_BORES[-1])}. Check bore, stroke and number of the cylinders, "
                "or divide them into circuits."
            )
        bores.append(max(float(next_nominal_bore(wanted)), own.bore))
    return tuple(bores)


def _accumulator(own, missing, gauge_pressure):
    if own is not None:
        return Part(
            "accumulator, nitrogen only",
            1,
            "",
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
            "Not needed for flow: the supply is enough on this ground at this speed.",
        )
    gas = accumulator_for(missing, positive("gauge_pressure", gauge_pressure), ACCUMULATOR_SHARE)
    return Part(
        "accumulator (optional), nitrogen only",
        1,
        "",
        "Gives the oil that the tractor cannot give in time. One precharge does not suit all settings, and "
        "it keeps energy after work. Driving slower, or across at an angle, costs nothing.",
        (Figure("gas volume, at least", "volume", gas), Figure("oil to give", "volume", missing)),
    )


def _oil(drill, graph):
    """Oil that fills cylinders, rods out, and hoses; air comes out for it."""
    stroke = float(drill.cylinder.swept_volume(drill.cylinder.stroke)) * graph.count(graphs.CYLINDER)
    return stroke + sum(float(line_volume(hose.bore, hose.length)) for hose in graph.hoses)


def _filling(drill, oil):
    lent = drill.hydraulics.supply.oil_available
    return Part(
        "oil, to fill cylinders and hoses",
        1,
        "",
        "The tractor's own grade, through a filter; all rods out, the tank still at its lower mark.",
        (Figure("to fill", "volume", oil), Figure("the tractor may lend", "volume", lent)),
        "It is more than the tractor may lend: top its tank up while filling." if oil > lent else "",
    )


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
