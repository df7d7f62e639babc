"""Spring behaviour: a measured spring, fitted: rate, free length and preload with their intervals."""

from pathlib import Path

import numpy as np

from downforce.machine.measured.springs import EXAMPLE, read_measured_springs
from downforce.study.opener_loads import opener_loads
from downforce.study.springs.fit import fit_spring, measured_set, straight_line
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Check, Choice
from downforce.workbook.panel import Panel
from downforce.workbook.springs.words import length_text, opener_text
from downforce.workbook.table import table_page
from downforce.workbook.unit_slider import unit_slider


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
            upper, "Readings and fit", "", f"Force ({units.unit('force')})", self._x, (-0.04 * top, top)
        )
        away = 0.035 * top
        style.dress(
            lower,
            "Reading less fit",
            f"Length of the coils ({units.unit('length')})",
            f"Off by ({units.unit('force')})",
            self._x,
            (-away, away),
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


def measured_panel(bench: Bench, path: str | Path = EXAMPLE):
    """Readings of a spring, the fit and what is left over.

    path: CSV file of readings; the shipped, invented ones if left out.
    """
    units, springs = bench.units, read_measured_springs(path)
    longest = min(float(s.length.max()) for s in springs.values())
    shortest = max(float(s.length.min()) for s in springs.values())
    controls = [
        unit_slider(
            units,
            "length",
            "installed",
            "Installed length at work",
            _work_length(bench.drill),
            shortest,
            longest,
            (5, 0.25),
            inside=True,
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
            "fit": fit_spring(length, force),
            "wrong": straight_line(length, force),
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


def measured_page(bench: Bench, path: str | Path = EXAMPLE):
    """Every spring of a file side by side, at the length it has on this drill.

    Result: rate, free length, preload and down force with intervals; what is left on the gauge wheel.
    """
    units, springs, opener = bench.units, read_measured_springs(path), bench.drill.opener
    soil = bench.field.opener_soil
    at = _work_length(bench.drill)
    leverage = float(bench.drill.spring.leverage(opener, 0.0))
    fits = {name: fit_spring(spring.length, spring.spring_force) for name, spring in springs.items()}
    mean = float(np.mean([fit.force_at(at) for fit in fits.values()]))
    rows = []
    for name, fit in fits.items():
        force, width = float(fit.force_at(at)), float(fit.half_width_at(at))
        loads = opener_loads(opener, measured_set(bench.drill.spring, fit), soil, [0.0])
        rows.append(
            (
                name,
                _rate_text(units, fit),
                f"{_fine(units, fit.free_length)} ± {_fine(units, fit.free_length_half_width)}",
                f"{units.show('force', force)} ± {units.show('force', width)}",
                f"{units.show('force', leverage * force)} ± {units.show('force', leverage * width)}",
                f"{100 * (force / mean - 1):+.1f} %".replace("-", "−") if mean else "slack, as all",
                opener_text(units, loads, 0),
            )
        )
    header = (
        "Spring",
        "Rate",
        "Free length",
        f"Preload at {_fine(units, at)}",
        "Down force at the disc",
        "Off the mean",
        "On the gauge wheel",
    )
    return table_page(
        "Measured springs at the length they have on this opener",
        header,
        rows,
        "± is half of a 95 % interval. Where two intervals do not meet, the springs differ. "
        "Gauge wheel: at working height, in this field's soil.",
    )
