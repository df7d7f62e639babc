"""Spring behaviour: a coil worked out from its wire, and whether the wire stands the upper stop."""

from itertools import product

import numpy as np

from downforce.machine.unit_table import from_si
from downforce.physics.spring import SPRING_INDEX_RANGE, WIRES
from downforce.study.springs.coil_check import coil_check, coil_of, shear_modulus_of
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Choice, Slider
from downforce.workbook.panel import Panel
from downforce.workbook.unit_slider import unit_slider

LIKELY_WIRE = "oil-tempered"
"""Wire an opener's spring is taken to be made of [-] (from memory)."""
_WIRES_TRIED = (0.006, 0.018)
_WIRE_STEP = {"metric": 0.5, "US": 0.02}
_ABOVE = 2.2


class _CoilDrawing:
    def __init__(self, units, compression, stress):
        self._units, self._ends = units, (compression, stress)

    def setup(self, figure):
        units, unit = self._units, _stress_unit(self._units)
        axes = figure.add_subplot()
        self._x = float(units.number("length", self._ends[0]))
        style.dress(
            axes,
            "Greatest shear stress in the wire",
            f"Compression of the coil ({units.unit('length')})",
            f"Stress ({unit})",
            (0, self._x),
            (0, self._stress(self._ends[1])),
        )
        (self._line,) = axes.plot([], [], **style.line("spring", label="stress"))
        (self._limit,) = axes.plot([], [], **style.line("limit", label="what the wire stands before it sets"))
        (self._work,) = axes.plot([], [], **style.dot("spring", label="at working height"))
        (self._stop,) = axes.plot(
            [], [], **style.dot("frame", markersize=10, label="at the opener's upper stop")
        )
        (self._closed,) = axes.plot([], [], **style.dot("target", markersize=13, label="coils closed"))
        axes.legend(loc="upper left", **style.LEGEND)
        return [self._line, self._limit, self._work, self._stop, self._closed]

    def _stress(self, value):
        return from_si(value, _stress_unit(self._units), "stress")

    def update(self, result):
        check, units = result["check"], self._units
        way = units.number("length", check.compression)
        self._line.set_data(way, self._stress(check.stress))
        self._limit.set_data([0, self._x], [self._stress(check.allowed_stress)] * 2)
        for dot, at, stress in (
            (self._work, result["compression"], check.stress_at_work),
            (self._stop, result["stop"], check.stress_at_stop),
        ):
            at = min(at, float(check.compression[-1]))
            dot.set_data([float(units.number("length", at))], [self._stress(stress)])
        self._closed.set_data([float(way[-1])], [self._stress(check.stress_closed)])


def coil_panel(bench: Bench):
    """Rate and wire stress of a coil that could be the one on this drill."""
    drill, units = bench.drill, bench.units
    coil = max(drill.spring.coils, key=lambda each: each.rate)
    step = _WIRE_STEP[units.name]
    thinnest, thickest = (round(float(units.number("small length", d)) / step) for d in _WIRES_TRIED)
    tried = units.si("small length", step * np.arange(thinnest, thickest + 1))
    travel = np.array([0.0, drill.opener.highest_travel])
    lengths = drill.spring.spring_length(drill.spring.length(drill.opener, travel))
    compression, stop = (float(way) for way in np.maximum(coil.free_length - lengths, 0.0))
    build = coil_of(coil, LIKELY_WIRE, shear_modulus_of(LIKELY_WIRE, 0.010), tried, stop)
    wire, mean, active = build.wire_diameter, build.mean_diameter, build.active_coils
    most_coils = min(1.3 * active, 0.9 * coil.free_length / (wire + 0.002) - 2)
    controls = [
        unit_slider(
            units,
            "small length",
            "wire",
            "Wire diameter",
            wire,
            wire - 0.002,
            wire + 0.002,
            (_WIRE_STEP["metric"], _WIRE_STEP["US"]),
            inside=True,
        ),
        unit_slider(
            units,
            "small length",
            "mean",
            "Mean coil diameter",
            mean,
            0.75 * mean,
            1.25 * mean,
            (1, 0.02),
            inside=True,
        ),
        _coils_slider(active, 0.6 * active, most_coils),
        Choice("kind", "Kind of wire", list(WIRES), LIKELY_WIRE),
    ]

    def compute(wire, mean, coils, kind):
        diameter = float(units.si("small length", wire))
        check = coil_check(
            diameter,
            float(units.si("small length", mean)),
            coils,
            coil.free_length,
            kind,
            shear_modulus_of(kind, diameter),
            compression,
            stop,
        )
        return {
            "check": check,
            "kind": kind,
            "compression": compression,
            "stop": stop,
            "tried": None if build.holds else (tried[0], tried[-1]),
        }

    ends = [compute(*values)["check"] for values in product(*(control.ends for control in controls))]
    start = compute(*(control.value for control in controls))["check"]
    longest = 1.03 * max(float(end.compression[-1]) for end in ends)
    return Panel(
        controls=controls,
        compute=compute,
        drawing=_CoilDrawing(units, longest, _ABOVE * start.allowed_stress),
        sentence=lambda result: _words(units, result),
        alt=(
            "Line chart",
            "shear stress in the wire against the compression of the coil, with what the wire stands",
        ),
        title="A coil from its wire",
    )


def _coils_slider(value, low, high):
    step = 0.25
    low, high = np.ceil(max(low, 2.0) / step) * step, np.floor(high / step) * step
    return Slider(
        "coils", "Active coils", float(np.clip(round(value / step) * step, low, high)), low, high, step
    )


def _stress_unit(units):
    return "MPa" if units.name == "metric" else "psi"


def _stress_text(units, stress):
    step = 5 if units.name == "metric" else 1000
    value = from_si(stress, _stress_unit(units), "stress")
    return f"{round(value / step) * step:.0f} {_stress_unit(units)}"


def _words(units, result):
    check, wire = result["check"], WIRES[result["kind"]]
    at_stop = ", where the coils close" if not check.stop_comes_first else ""
    closed = f", {_stress_text(units, check.stress_closed)} closed" if check.stop_comes_first else ""
    words = (
        f"Rate {units.show('spring rate', check.rate)}. "
        f"The wire stands about {_stress_text(units, check.allowed_stress)}: it carries "
        f"{_stress_text(units, check.stress_at_work)} at work, "
        f"{_stress_text(units, check.stress_at_stop)} at the upper stop{at_stop}{closed}. "
        f"It is {_verdict(check)}."
    )
    if result["tried"]:
        thinnest, thickest = (units.show("small length", float(d)) for d in result["tried"])
        words += (
            f" No {LIKELY_WIRE} wire of {thinnest} to {thickest} can be wound into the drill's own coil "
            "without being overstressed at that stop: check rate and lengths in the drill file."
        )
    if not check.wire_in_range:
        words += f" Its strength is a guess: the table ends at {units.show('small length', wire.largest)}."
    if not check.shape_in_range:
        least, most = SPRING_INDEX_RANGE
        words += (
            f" Outside the advised shape: spring index {check.index:.1f}, advised {least:g} to {most:g}, "
            "with 3 to 15 active coils."
        )
    return words


def _verdict(check):
    stop, closed = (s / check.allowed_stress for s in (check.stress_at_stop, check.stress_closed))
    if closed <= 1:
        return f"not overstressed even when the coils close, {style.percent(closed)} of it"
    if not check.stop_comes_first:
        return f"overstressed when the coils close, {_over(closed)}"
    if stop > 1:
        return f"overstressed at the upper stop, {_over(stop)}"
    return (
        f"not overstressed at the upper stop, {style.percent(stop)} of it, but closing the coils would be "
        f"{_over(closed)}"
    )


def _over(used):
    return f"{style.percent(used - 1)} over" if used >= 1.005 else "just over"
