"""Spring behaviour: a coil worked out from its wire, and a measured spring fitted, with intervals."""

from itertools import product
from pathlib import Path

import numpy as np

from downforce.machine.readings import SPRING_EXAMPLE, read_measured_springs
from downforce.machine.unit_table import from_si
from downforce.physics.spring import SPRING_INDEX_RANGE
from downforce.physics.spring_kinds import WIRES
from downforce.study import spring_checks
from downforce.study.opener_loads import opener_loads
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Check, Choice, Slider, inner_slider
from downforce.workbook.panel import Panel
from downforce.workbook.springs.words import length_text, opener_text
from downforce.workbook.table import headed, table_page

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
            (f"Compression of the coil ({units.unit('length')})", 0, self._x),
            (f"Stress ({unit})", 0, self._stress(self._ends[1])),
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
    build = spring_checks.coil_of(
        coil, LIKELY_WIRE, spring_checks.shear_modulus_of(LIKELY_WIRE, 0.010), tried, stop
    )
    wire, mean, active = build.wire_diameter, build.mean_diameter, build.active_coils
    most_coils = min(1.3 * active, 0.9 * coil.free_length / (wire + 0.002) - 2)
    controls = [
        inner_slider(
            units,
            "small length",
            "wire",
            "Wire diameter",
            wire,
            wire - 0.002,
            wire + 0.002,
            (_WIRE_STEP["metric"], _WIRE_STEP["US"]),
        ),
        inner_slider(
            units, "small length", "mean", "Mean coil diameter", mean, 0.75 * mean, 1.25 * mean, (1, 0.02)
        ),
        _coils_slider(active, 0.6 * active, most_coils),
        Choice("kind", "Kind of wire", list(WIRES), LIKELY_WIRE),
    ]

    def compute(wire, mean, coils, kind):
        diameter = float(units.si("small length", wire))
        check = spring_checks.coil_check(
            diameter,
            float(units.si("small length", mean)),
            coils,
            coil.free_length,
            kind,
            spring_checks.shear_modulus_of(kind, diameter),
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
        f"Rate {units.show('spring rate', check.rate)}. The wire stands about "
        f"{_stress_text(units, check.allowed_stress)}: it carries "
        f"{_stress_text(units, check.stress_at_work)} at work, {_stress_text(units, check.stress_at_stop)} "
        f"at the upper stop{at_stop}{closed}. It is {_verdict(check)}."
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


def _work_length(drill):
    """Length of the coils at working height."""
    return float(drill.spring.spring_length(drill.spring.length(drill.opener, 0.0)))


# --- readings ---------------------------------------------------------------------------------------------


class _FitDrawing:
    def __init__(self, bench, springs):
        self._units, self._springs = bench.units, springs

    def setup(self, figure):
        units = self._units
        length = np.concatenate([s.length for s in self._springs.values()])
        force = np.concatenate([s.spring_force for s in self._springs.values()])
        x = units.number("length", np.array([0.97 * length.min(), 1.02 * length.max()]))
        self._x = tuple(float(v) for v in x)
        top = float(units.number("force", 1.08 * force.max()))
        upper, lower = figure.subplots(2, 1, height_ratios=(2.2, 1.0), sharex=True)
        style.dress(
            upper, "Readings and fit", ("", *self._x), (f"Force ({units.unit('force')})", -0.04 * top, top)
        )
        away = 0.035 * top
        style.dress(
            lower,
            "Reading less fit",
            (f"Length of the coils ({units.unit('length')})", *self._x),
            (f"Off by ({units.unit('force')})", -away, away),
        )
        lower.axhline(0, color=style.MUTED, linewidth=0.8)
        (self._fit,) = upper.plot([], [], **style.line("spring", label="fit"))
        (self._wrong,) = upper.plot(
            [],
            [],
            color=style.mark("limit").colour,
            linewidth=1.2,
            linestyle=(0, (2, 1)),
            label="line through all",
        )
        looks = {
            "working": {"markerfacecolor": style.INK},
            "slack": {"markerfacecolor": "white"},
            "coil-bind": {"marker": "X", "markerfacecolor": style.mark("limit").colour, "markersize": 9},
        }
        self._marks = {
            name: upper.plot([], [], **style.dot("measured", markersize=5.5, label=name) | look)[0]
            for name, look in looks.items()
        }
        (self._off,) = lower.plot([], [], **style.dot("measured", markersize=5.5, label="working"))
        self._band = [
            lower.plot([], [], color=style.MUTED, linewidth=1.0, linestyle=(0, (4, 2)))[0] for _ in "+-"
        ]
        (self._installed,) = upper.plot([], [], **style.dot("target", markersize=13, label="installed"))
        upper.legend(loc="upper right", ncols=2, **style.LEGEND)
        return [self._fit, self._wrong, *self._marks.values(), self._off, *self._band, self._installed]

    def update(self, result):
        units, fit = self._units, result["fit"]
        along = np.array([self._x[0], float(units.number("length", fit.free_length)), self._x[1]])
        self._fit.set_data(along, units.number("force", fit.force_at(units.si("length", along))))
        rate, free = result["wrong"]
        shown = np.array(self._x) if result["show_wrong"] else np.array([])
        self._wrong.set_data(shown, units.number("force", rate * (free - units.si("length", shown))))
        for name, marks in self._marks.items():
            pick = fit.regime == name
            marks.set_data(
                units.number("length", fit.length[pick]), units.number("force", fit.spring_force[pick])
            )
        pick = fit.working
        self._off.set_data(
            units.number("length", fit.length[pick]), units.number("force", fit.residual[pick])
        )
        for sign, line in zip((1, -1), self._band, strict=True):
            line.set_data(self._x, [float(units.number("force", sign * fit.scatter))] * 2)
        at = result["installed"]
        self._installed.set_data(
            [float(units.number("length", at))], [float(units.number("force", fit.force_at(at)))]
        )


def measured_panel(bench: Bench, path: str | Path = SPRING_EXAMPLE):
    """Readings of a spring, the fit and what is left over.

    path: CSV file of readings; the shipped, invented ones if left out.
    """
    units, springs = bench.units, read_measured_springs(path)
    longest = min(float(s.length.max()) for s in springs.values())
    shortest = max(float(s.length.min()) for s in springs.values())
    controls = [
        inner_slider(
            units,
            "length",
            "installed",
            "Installed length at work",
            _work_length(bench.drill),
            shortest,
            longest,
            (5, 0.25),
        ),
        Choice("readings", "Readings used", [("all", 1), ("every second", 2), ("every third", 3)]),
        Check("line", "Draw a line through all readings"),
    ]
    if len(springs) > 1:
        controls.insert(0, Choice("spring", "Spring", list(springs)))
    first = next(iter(springs))

    def compute(installed, readings, line, spring=first):
        part = slice(None, None, readings)
        length, force = springs[spring].length[part], springs[spring].spring_force[part]
        return {
            "name": spring,
            "fit": spring_checks.fit_spring(length, force),
            "wrong": spring_checks.straight_line(length, force),
            "show_wrong": line,
            "installed": float(units.si("length", installed)),
        }

    return Panel(
        controls=controls,
        compute=compute,
        drawing=_FitDrawing(bench, springs),
        sentence=lambda result: _fit_words(units, result),
        alt=(
            "Scatter chart with a fitted line, and a chart of what the fit leaves over",
            "force of a measured spring against its length, slack and coil-bound readings marked",
        ),
        title="A measured spring",
        size=style.TALL,
    )


def _fit_words(units, result):
    fit, at = result["fit"], result["installed"]
    count = {name: int(np.sum(fit.regime == name)) for name in ("working", "slack", "coil-bind")}
    rate = _rate_text(units, fit)
    force = f"{units.show('force', fit.force_at(at))} ± {units.show('force', fit.half_width_at(at))}"
    if at >= fit.free_length:
        force = "none, for it is slack there"
    words = (
        f"{result['name']}: rate {rate}, free length {_fine(units, fit.free_length)} ± "
        f"{_fine(units, fit.free_length_half_width)}, preload at {length_text(units, at)} {force} "
        f"({style.percent(fit.confidence)} intervals). {count['working']} readings lie on the line "
        f"with a scatter of {units.show('force', fit.scatter)}; told apart: {count['slack']} slack, "
        f"{count['coil-bind']} in coil-bind."
    )
    if result["show_wrong"]:
        words += f" A line through all readings would say {units.show('spring rate', result['wrong'][0])}."
    return words


def _rate_text(units, fit):
    return f"{units.show('spring rate', fit.rate)} ± {units.show('spring rate', fit.rate_half_width, 1)}"


def _fine(units, value):
    return units.show("small length", value)


def measured_page(bench: Bench, path: str | Path = SPRING_EXAMPLE):
    """Every spring of a file side by side, at the length it has on this drill.

    Result: rate, free length, preload and down force with intervals; what is left on the gauge wheel.
    """
    units, springs, opener = bench.units, read_measured_springs(path), bench.drill.opener
    soil = bench.field.opener_soil
    at = _work_length(bench.drill)
    leverage = float(bench.drill.spring.leverage(opener, 0.0))
    fits = {
        name: spring_checks.fit_spring(spring.length, spring.spring_force) for name, spring in springs.items()
    }
    mean = float(np.mean([fit.force_at(at) for fit in fits.values()]))
    rows = []
    for name, fit in fits.items():
        force, width = float(fit.force_at(at)), float(fit.half_width_at(at))
        preload, at_disc = (
            f"{units.show('force', lever * force)} ± {units.show('force', lever * width)}"
            for lever in (1.0, leverage)
        )
        free = f"{_fine(units, fit.free_length)} ± {_fine(units, fit.free_length_half_width)}"
        off = f"{100 * (force / mean - 1):+.1f} %".replace("-", "−") if mean else "slack, as all"
        loads = opener_loads(opener, spring_checks.measured_set(bench.drill.spring, fit), soil, [0.0])
        rows.append(
            {
                "Spring": name,
                "Rate": _rate_text(units, fit),
                "Free length": free,
                f"Preload at {_fine(units, at)}": preload,
                "Down force at the disc": at_disc,
                "Off the mean": off,
                "On the gauge wheel": opener_text(units, loads, 0),
            }
        )
    return table_page(
        "Measured springs at the length they have on this opener",
        *headed(rows),
        "± is half of a 95 % interval. Where two intervals do not meet, the springs differ. "
        "Gauge wheel: at working height, in this field's soil.",
    )
