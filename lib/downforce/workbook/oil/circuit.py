"""Panels of the oil circuit: why the valve must take oil back, what stays live, and what hoses keep.

With them the ways over the terrace, and sliders of speed and temperature, that the workbook shares.
"""

from functools import lru_cache

import numpy as np

from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Degree, Kelvin, MetrePerSecond
from downforce.physics.oil import NOMINAL_BORES
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.oil.cases import CASE_SPACING, DUTY_ANGLE, SHARE, terrace_crossing, usual_pressure
from downforce.study.oil.circuit import INCH_OVER_NOMINAL, bearable
from downforce.study.oil.figures import LEVERS, standing, warming_to_relief
from downforce.study.oil.sizing import HEADER_LENGTH, Duty, Trials, fastest_in_line
from downforce.study.oil_supply import oil_state
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Choice, Slider, gauge_slider, unit_slider
from downforce.workbook.oil import circuit_picture, words
from downforce.workbook.oil.drawing import EnvelopeDrawing, TraceDrawing
from downforce.workbook.panel import Panel

WAYS = (("straight over", 90), ("at 60 degrees", 60), ("at 45 degrees", 45), ("at 30 degrees", 30))
"""Ways over a terrace, by their angle to it [deg]."""


class Ways:
    """The crossings of one bench, each made when it is first asked for."""

    def __init__(self, bench: Bench):
        self._bench, self._made = bench, {}

    def at(self, degrees: Degree):
        """One crossing."""
        if degrees not in self._made:
            drill, field = self._bench.drill, self._bench.field
            self._made[degrees] = terrace_crossing(drill, field, np.radians(degrees), CASE_SPACING)
        return self._made[degrees]


def speed_slider(units: UnitSystem, own: MetrePerSecond):
    """Slider of the speed of work."""
    low, high = units.si("speed", np.array([2.0, 15.0] if units.name == "metric" else [1.0, 9.5]))
    return unit_slider(units, "speed", "speed", "Speed", own, low, high, (0.5, 0.5))


def temperature_slider(
    units: UnitSystem, name, label, start: Kelvin, low: Kelvin = 253.15, high: Kelvin = 343.15
):
    """Slider of an oil temperature."""
    return unit_slider(units, "temperature", name, label, start, low, high, (5.0, 5.0))


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
        return words.TraceResult(
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
        sentence=lambda result: words.relieving_words(result, units),
        alt=lambda result: style.alt_text(
            "Line chart",
            "pressure at a middle row while all rows rise, stay and fall, with two kinds of valve",
            *(
                f"a {name} valve {words.span_words(pressure, units, gives)}"
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
        at_work, running = float(units.si("pressure", setting)), step in circuit_picture.STEPS[:2]
        found = standing(drill, at_work, lever, running, step == circuit_picture.DEAD)
        dumped = standing(
            drill, at_work, lever, running, step in (circuit_picture.OPENED, circuit_picture.DEAD)
        )
        travel = drill.opener.raised_travel if place == "raised" else 0.0
        at = float(np.clip(travel, *drill.cylinder.travel_stops(drill.opener)))
        force = float(drill.cylinder.down_force(drill.opener, at, found.gauge_pressure))
        stays = dumped.gauge_pressure > 0
        return circuit_picture.CircuitResult(
            step, lever, found, stays, place, force, warming_to_relief(drill, at_work), drill
        )

    return Panel(
        controls=[
            Choice("step", "Done so far", list(circuit_picture.STEPS)),
            Choice("lever", "Tractor's lever", list(LEVERS)),
            Choice("place", "Drill", ["lowered", "raised"]),
            gauge_slider(units, bench.dialled, lowest, limits.highest, "setting", "Gauge pressure at work"),
        ],
        compute=compute,
        drawing=circuit_picture.CircuitDrawing(
            lambda pressure: units.show("pressure", pressure),
            drill.hydraulics.gauge.full_scale,
            drill.hydraulics.guards,
            hanging,
        ),
        sentence=lambda result: circuit_picture.circuit_words(result, units),
        alt=lambda result: circuit_picture.circuit_alt(result, units),
        title="The circuit and what stays live",
    )


VALVES = ((1, 40), (1, 60), (1, 90), (1, 120), (2, 40), (2, 60), (3, 40))
"""Valves offered: how many, and their rated flow [L/min]."""

_INCHES = {
    0.005: "3/16",
    0.0063: "1/4",
    0.008: "5/16",
    0.01: "3/8",
    0.0125: "1/2",
    0.016: "5/8",
    0.019: "3/4",
    0.025: "1",
}
"""Names of nominal bores in inches [-]."""


def hoses_panel(bench: Bench):
    """Valves, bores, temperature and speed against how well the load is kept.

    Result: the panel; the supply is set aside, so that only valves and hoses are judged.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    borne, setting = bearable(drill, field), usual_pressure(drill, field)
    crossing = Ways(bench).at(DUTY_ANGLE)
    headers = _bores(units, drill.hydraulics.header.bore, 0.0095, 0.026)
    drops = _bores(units, drill.hydraulics.drop.bore, 0.0045, 0.0165)
    sizes = _valves(drill, units)

    @lru_cache(1)
    def trials(pace, kelvin):
        duty = Duty(crossing.travel, crossing.station_spacing, pace, setting, kelvin, SHARE)
        return Trials(drill, duty, borne)

    def compute(valves, header, drop, temperature, speed):
        kelvin, pace = float(units.si("temperature", temperature)), float(units.si("speed", speed))
        tried = trials(pace, kelvin)
        number, rated = sizes[valves]
        hoses, own = tried.judged(rated, number, headers[header], drops[drop]), tried.judged()
        pressures = tried.pressure(hoses), tried.pressure(own)
        reached = ~np.any(borne.beyond(pressures[0]), axis=1)
        fullest = fastest_in_line(
            tried.header_flow(hoses),
            reached,
            hoses.header_bore,
            HEADER_LENGTH,
            drill.hydraulics.oil.at(kelvin),
        )
        names = words.valve_words(hoses, units), header, drop
        return words.HosesResult(hoses, names, own, pressures, setting, SHARE, fullest)

    return Panel(
        controls=[
            Choice("valves", "Valves along the header", list(sizes)),
            Choice("header", "Header bore", list(headers), _nearest(headers, drill.hydraulics.header.bore)),
            Choice("drop", "Drop bore", list(drops), _nearest(drops, drill.hydraulics.drop.bore)),
            temperature_slider(units, "temperature", "Oil temperature", 273.15),
            speed_slider(units, field.speed),
        ],
        compute=compute,
        drawing=EnvelopeDrawing(drill, units, setting, SHARE, borne),
        sentence=lambda result: words.hoses_words(result, units),
        alt=lambda result: style.alt_text(
            "Two charts",
            "lowest and highest pressure of each row, and how much of the ground is kept",
            f"{style.percent(result.hoses.kept)} is within ±{style.percent(SHARE)}",
        ),
        title="Hoses and valves",
    )


def _valves(drill, units):
    """Number and rated flow of the valves, by their words; those of the drill file first."""
    found = {"as in the drill file": (None, None)}
    for number, litres in VALVES:
        found[f"{number} of {units.show('flow', litres / 60e3)}"] = number, litres / 60e3
    return found


def _bores(units, own, low, high):
    """Hoses near a bore, by the name they are bought under; the drill's own stands for its nominal size."""
    found = {}
    for bore in NOMINAL_BORES:
        if low <= bore <= high:
            near = abs(own / bore - 1) < INCH_OVER_NOMINAL - 1
            found[f"{1e3 * bore:g} mm ({_INCHES[bore]} in)"] = own if near else bore
    if own not in found.values():
        found[f"{units.show('small length', own)}, as in the drill file"] = own
    return dict(sorted(found.items(), key=lambda pair: pair[1]))


def _nearest(sizes, own):
    return min(sizes, key=lambda name: abs(sizes[name] - own))
