"""Oil supply: why the valve must take oil back, and what stays live in the circuit."""

import numpy as np

from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.oil.cases import SHARE, usual_pressure
from downforce.study.oil.figures import warming_to_relief
from downforce.study.oil.limits import bearable
from downforce.study.oil.states import LEVERS, standing
from downforce.study.oil_supply import oil_state
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Choice, Slider
from downforce.workbook.oil.controls import temperature_slider
from downforce.workbook.oil.drawing import TraceDrawing
from downforce.workbook.oil.drawing_circuit import DEAD, OPENED, STEPS, CircuitDrawing
from downforce.workbook.oil.words import TraceResult, relieving_words, span_words
from downforce.workbook.oil.words_circuit import CircuitResult, circuit_alt, circuit_words
from downforce.workbook.panel import Panel
from downforce.workbook.unit_slider import gauge_slider

_RISE_STEPS = {"metric": (10.0, 1.0, 0.1), "US": (0.5, 0.05, 0.005)}
"""Steps of the rise, the largest that leaves a choice [mm or in]."""
_STILL = 0.5
"""Time before the rows rise [s]; they stay up for twice as long."""


def relieving_panel(bench: Bench):
    """Why the valve must relieve as well as reduce: all rows rise, stay, and fall."""
    drill, units = bench.drill, bench.units
    setting, borne = usual_pressure(drill, bench.field), bearable(drill, bench.field)
    highest = drill.cylinder.travel_stops(drill.opener)[1]
    most = float(units.number("length", 0.9 * highest))
    # Openers that end close over their working height rise by small steps.
    step = next((size for size in _RISE_STEPS[units.name] if most >= 2 * size), _RISE_STEPS[units.name][-1])
    most = max(np.floor(most / step), 2.0) * step
    longest, count = 3.0, 150
    top = 1.15 * drill.hydraulics.valve.relief_pressure

    def compute(rise, time, temperature):
        at = np.linspace(0.0, _STILL * 4 + 2 * longest, count)
        up, stay = _STILL + time, 2 * _STILL
        height = np.interp(at, [_STILL, up, up + stay, up + stay + time], [0.0, 1.0, 1.0, 0.0])
        travel = float(units.si("length", rise)) * height[:, None] * np.ones(drill.row_count)
        kelvin = float(units.si("temperature", temperature))
        states = tuple(
            oil_state(drill, travel, float(at[1]), 1.0, setting, kelvin, relieving=relieving)
            for relieving in (True, False)
        )
        middle = drill.row_count // 2
        return TraceResult(
            at,
            tuple(state.gauge_pressure[:, middle] for state in states),
            units.number("length", travel[:, 0]),
            states,
            ("relieving", "plain"),
            tuple(borne.beyond(state.gauge_pressure)[:, middle] for state in states),
            tuple(borne.first_to_give(state.gauge_pressure) for state in states),
        )

    return Panel(
        controls=[
            Slider(
                "rise",
                "All rows rise by",
                step * round(0.5 * most / step),
                step,
                most,
                step,
                units.unit("length"),
            ),
            Slider("time", "Time for it", 2.0, 0.5, longest, 0.5, "s"),
            temperature_slider(units, "temperature", "Oil temperature", 293.15),
        ],
        compute=compute,
        drawing=TraceDrawing(
            units,
            setting,
            SHARE,
            "Time (s)",
            (0.0, 4 * _STILL + 2 * longest),
            ("reducing and relieving valve", "plain reducing valve"),
            (f"Travel ({units.unit('length')})", 0.0, 1.2 * float(most)),
            top,
            3,
        ),
        sentence=lambda result: relieving_words(result, units),
        alt=lambda result: style.alt_text(
            "Line chart",
            "pressure at a middle row while all rows rise, stay and fall, with two kinds of valve",
            *(
                f"a {name} valve {span_words(pressure, units, gives)}"
                for name, pressure, gives in zip(result.words, result.pressures, result.gives, strict=True)
            ),
        ),
        title="Why the valve must take oil back",
        size=style.TALL,
    )


def circuit_panel(bench: Bench):
    """The circuit drawn with symbols, and what stays live in it."""
    drill, units = bench.drill, bench.units
    limits = pressure_limits(drill)
    lowest = max(limits.lowest, units.gauge_step)
    hanging = 0.85 if drill.opener.raised_travel < 0 else 0.15

    def compute(step, lever, place, setting):
        at_work, running = float(units.si("pressure", setting)), step in STEPS[:2]
        found = standing(drill, at_work, lever, running, step == DEAD)
        dumped = standing(drill, at_work, lever, running, step in (OPENED, DEAD))
        travel = drill.opener.raised_travel if place == "raised" else 0.0
        at = float(np.clip(travel, *drill.cylinder.travel_stops(drill.opener)))
        force = float(drill.cylinder.down_force(drill.opener, at, found.gauge_pressure))
        stays = dumped.gauge_pressure > 0
        return CircuitResult(
            step, lever, found, stays, place, force, warming_to_relief(drill, at_work), drill
        )

    return Panel(
        controls=[
            Choice("step", "Done so far", list(STEPS)),
            Choice("lever", "Tractor's lever", list(LEVERS)),
            Choice("place", "Drill", ["lowered", "raised"]),
            gauge_slider(units, bench.dialled, lowest, limits.highest, "setting", "Gauge pressure at work"),
        ],
        compute=compute,
        drawing=CircuitDrawing(
            lambda pressure: units.show("pressure", pressure),
            drill.hydraulics.gauge.full_scale,
            drill.hydraulics.guards,
            hanging,
        ),
        sentence=lambda result: circuit_words(result, units),
        alt=lambda result: circuit_alt(result, units),
        title="The circuit and what stays live",
    )
