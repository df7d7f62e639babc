"""Oil supply: is the pressure kept where the openers move?"""

from functools import lru_cache

import numpy as np

from downforce.machine.units import parse_quantity
from downforce.study.oil.cases import DUTY_ANGLE, SHARE, crossing_case, usual_pressure, way_trials
from downforce.study.oil.circuit import bearable, drill_with_hoses
from downforce.study.oil.figures import section_exchange
from downforce.study.oil.sizing import circuit_to_order
from downforce.study.parts import ORDERED_AT
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Choice, Slider
from downforce.workbook.oil.circuit import (
    WAYS,
    Ways,
    circuit_panel,
    hoses_panel,
    relieving_panel,
    speed_slider,
    temperature_slider,
)
from downforce.workbook.oil.drawing import CrossingDrawing, TraceDrawing, picture_top
from downforce.workbook.oil.parts import money_table, parts_buttons, parts_table, write_parts
from downforce.workbook.oil.tables import (
    drills_table,
    figures_table,
    habit_table,
    hoses_table,
    states_table,
    tracks_table,
    valves_table,
)
from downforce.workbook.oil.words import CrossingResult, TraceResult, crossing_words, span_words, trace_words
from downforce.workbook.panel import Panel


def crossing_panel(bench: Bench):
    """Pressure across the drill while it crosses a terrace."""
    drill, field, units = bench.drill, bench.field, bench.units
    ways, setting, borne = Ways(bench), usual_pressure(drill, field), bearable(drill, field)
    circuits = hose_pairs(bench)
    widest = [ways.at(degrees) for _, degrees in WAYS]
    reach = _reach(drill, widest)
    heights = (min(w.ground_height.min() for w in widest), max(w.ground_height.max() for w in widest))

    @lru_cache(1)
    def case_of(way, hoses, speed, temperature):
        return crossing_case(
            drill_with_hoses(drill, **circuits[hoses]),
            field,
            float(units.si("temperature", temperature)),
            ways.at(way),
            float(units.si("speed", speed)),
            setting,
        )

    def compute(way, hoses, speed, temperature, place):
        case = case_of(way, hoses, speed, temperature)
        crossing = case.crossing
        at = crossing.station[0] + place / 100 * np.ptp(crossing.station)
        index = int(np.argmin(np.abs(crossing.station - at)))
        aside = drill.row_y / np.tan(crossing.crossing_angle)
        along = crossing.station[index] - drill.row_x + aside
        middle = drill.row_count // 2
        own_place = crossing.station - drill.row_x[middle] + aside[middle]
        profile = own_place, crossing.ground_height[:, middle]
        pressure = case.state.gauge_pressure
        gives = borne.first_to_give(pressure[index]), borne.first_to_give(pressure)
        return CrossingResult(case, index, along, crossing.ground_height[index], profile, *gives)

    return Panel(
        controls=[
            Choice("way", "Way over the terrace", list(WAYS), DUTY_ANGLE),
            Choice("hoses", "Hoses and valves", list(circuits)),
            speed_slider(units, field.speed),
            temperature_slider(units, "temperature", "Oil temperature", 283.15),
            Slider("place", "Drill along its way", 45, 0, 100, 1, "%"),
        ],
        compute=compute,
        drawing=CrossingDrawing(drill, units, setting, SHARE, borne, reach, heights),
        sentence=lambda result: crossing_words(result, units),
        alt=lambda result: style.alt_text(
            "Chart and profile",
            "pressure at each cylinder across the drill, and the rows on a terrace",
            "at this place "
            + span_words(result.state.gauge_pressure[result.index], units, result.gives_here),
            f"the band is ±{style.percent(SHARE)} of {units.show('pressure', setting)}",
        ),
        title="Pressure across the drill on a terrace",
    )


def oil_panel(bench: Bench):
    """A cold morning against a warm afternoon: pressure of the outermost row along its way."""
    drill, field, units = bench.drill, bench.field, bench.units
    ways, setting, borne = Ways(bench), usual_pressure(drill, field), bearable(drill, field)
    widest = [ways.at(degrees) for _, degrees in WAYS]
    ends = min(w.station[0] for w in widest), max(w.station[-1] for w in widest)
    limits = tuple(float(units.number("large length", end)) for end in ends)
    lowest, highest = drill.opener.lowest_travel, drill.opener.highest_travel

    def compute(way, speed, cold, warm):
        pace, crossing = float(units.si("speed", speed)), ways.at(way)
        cases = tuple(
            crossing_case(drill, field, float(units.si("temperature", t)), crossing, pace, setting)
            for t in (cold, warm)
        )
        unit = units.unit("temperature")
        words = tuple(f"With oil of {style.number(t, decimals=0)} {unit}" for t in (cold, warm))
        return TraceResult(
            units.number("large length", crossing.station),
            tuple(case.state.gauge_pressure[:, 0] for case in cases),
            units.number("length", crossing.travel[:, 0]),
            cases,
            words,
            tuple(borne.beyond(case.state.gauge_pressure)[:, 0] for case in cases),
            tuple(borne.first_to_give(case.state.gauge_pressure) for case in cases),
        )

    travel = f"Travel ({units.unit('length')})"
    span = tuple(float(units.number("length", t)) for t in (1.15 * lowest, 1.15 * highest))
    return Panel(
        controls=[
            Choice("way", "Way over the terrace", list(WAYS), DUTY_ANGLE),
            speed_slider(units, field.speed),
            temperature_slider(units, "cold", "Cold morning", 273.15, 253.15, 293.15),
            temperature_slider(units, "warm", "Warm afternoon", 323.15, 293.15, 343.15),
        ],
        compute=compute,
        drawing=TraceDrawing(
            units,
            setting,
            SHARE,
            f"Hitch pin along the way ({units.unit('large length')}), 0 is the top",
            limits,  # type: ignore[arg-type]
            ("cold", "warm"),
            (travel, *span),
            picture_top(setting, borne),
        ),
        sentence=lambda result: trace_words(result, units),
        alt=lambda result: style.alt_text(
            "Line chart",
            "pressure at the leftmost cylinder along its way, cold and warm, over its travel",
            *(
                f"{name} {span_words(pressure, units, gives if np.any(beyond) else None)}"
                for name, pressure, beyond, gives in zip(
                    ("cold", "warm"), result.pressures, result.beyond, result.gives, strict=True
                )
            ),
        ),
        title="Cold morning, warm afternoon",
        size=style.TALL,
    )


def by_hand(bench: Bench, temperature="0 degC"):
    """The steps of a calculator: oil that a section exchanges, its flow, the loss in the header."""
    drill, both = bench.drill, bench.units.both
    found = section_exchange(
        drill, parse_quantity(temperature, "temperature"), openers=min(20, drill.row_count)
    )
    lines = [
        f"{found.openers} openers move 100 mm (3.94 in): {both('volume', found.volume, 2)}",
        f"In 2 s: {both('flow', found.flow)}",
        f"Viscosity at {temperature.replace('degC', '°C')}: {bench.units.show('viscosity', found.viscosity)}",
        f"Lost in 10 m (33 ft) of header, {both('small length', drill.hydraulics.header.bore)}: "
        f"{both('pressure', found.loss)}",
    ]
    return "\n".join(lines)


def hose_pairs(bench: Bench):
    """Hoses and valves that the crossing panel offers, by their words.

    Result: what `drill_with_hoses` takes; the drill file's own first, then what the parts list orders
        instead.
    """
    good = circuit_to_order(way_trials(bench.drill, bench.field, ORDERED_AT))
    ordered = {
        "header_bore": good.header_bore,
        "drop_bore": good.drop_bore,
        "feeds_y": good.places,
        "rated_flow": good.rated_flow,
    }
    # A drill built with what would be ordered stands in the list once.
    same = drill_with_hoses(bench.drill, **ordered) == bench.drill
    return {
        "as in the drill file": {},
        **({} if same else {"as the parts list orders": ordered}),
        "3/8 in header, 1/4 in drops": {"header_bore": 0.01, "drop_bore": 0.0063},
        "5/8 in header, 3/8 in drops": {"header_bore": 0.016, "drop_bore": 0.01},
        "3/4 in header, 1/2 in drops": {"header_bore": 0.019, "drop_bore": 0.0125},
    }


def _reach(drill, crossings):
    """Places along the way that every row of every crossing passes."""
    ends = []
    for crossing in crossings:
        aside = np.abs(drill.row_y / np.tan(crossing.crossing_angle)).max()
        ends += [
            crossing.station[0] - drill.row_x.max() - aside,
            crossing.station[-1] - drill.row_x.min() + aside,
        ]
    return max(min(ends), -25.0), min(max(ends), 25.0)
