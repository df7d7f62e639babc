"""Spring behaviour: spring, cylinder, closed line and gas spring on the same axes."""

import numpy as np
from matplotlib.patches import Polygon

from downforce.study.springs.behaviour import travels_with_corners
from downforce.study.springs.rivals import (
    USUAL_GAS_RATIO,
    closed_line_rival,
    gas_spring_rival,
    least_gas,
    rival_loads,
    usual_gas,
)
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Slider
from downforce.workbook.panel import Panel
from downforce.workbook.springs.words import length_text
from downforce.workbook.unit_slider import unit_slider

POINTS = 61
_LOOKS = {
    "spring": "spring",
    "cylinder": "cylinder",
    "closed line": "accumulator",
    "gas spring": "gas spring",
}
_NAMES = {
    "spring": "coil spring",
    "cylinder": "cylinder, pressure held",
    "closed line": "cylinder, line shut, accumulator",
    "gas spring": "gas spring",
}


class _RivalsDrawing:
    def __init__(self, bench, top):
        self._bench, self._top = bench, top

    def setup(self, figure):
        units, opener = self._bench.units, self._bench.drill.opener
        axes = figure.add_subplot()
        x = tuple(float(units.number("length", z)) for z in (opener.lowest_travel, opener.highest_travel))
        style.dress(
            axes,
            "Four ways to press an opener down",
            f"Travel: hollow − , rise + ({units.unit('length')})",
            f"Down force at the disc ({units.unit('force')})",
            x,
            (0, float(units.number("force", self._top))),
        )
        axes.axvline(0, color=style.MUTED, linewidth=0.8)
        self._band = axes.add_patch(
            Polygon(np.zeros((4, 2)), facecolor="#c9d8ec", alpha=0.8, zorder=1.5, label="seal friction")
        )
        self._lines, self._dots = {}, {}
        for name, look in _LOOKS.items():
            (self._lines[name],) = axes.plot([], [], **style.line(look, label=_NAMES[name]))
            (self._dots[name],) = axes.plot([], [], **style.dot(look))
        axes.legend(loc="upper left", ncols=2, handlelength=3.5, **style.LEGEND)
        return [self._band, *self._lines.values(), *self._dots.values()]

    def update(self, result):
        units, loads = self._bench.units, result["loads"]
        x = units.number("length", loads.travel)
        for name, line in self._lines.items():
            force = units.number("force", loads.down_force[name])
            line.set_data(x[:-2], force[:-2])
            self._dots[name].set_data(x[-2:], force[-2:])
        middle, friction = loads.down_force["cylinder"][:-2], loads.friction[:-2]
        low, high = (units.number("force", middle + sign * friction) for sign in (-1, 1))
        inside = np.isfinite(low)
        outline = [np.concatenate([x[:-2][inside], x[:-2][inside][::-1]])]
        outline.append(np.concatenate([low[inside], high[inside][::-1]]))
        self._band.set_xy(np.transpose(outline))


def rivals_panel(bench: Bench):
    """Down force over the travel for the spring, the cylinder and two rivals."""
    drill, units = bench.drill, bench.units
    opener, spring, cylinder, valve = drill.opener, drill.spring, drill.cylinder, drill.hydraulics.valve
    grid = np.linspace(opener.lowest_travel, opener.highest_travel, POINTS)
    grid = travels_with_corners(opener, spring, grid)
    match = float(cylinder.pressure_for(opener, spring.down_force(opener, 0.0)))
    flat = min(opener.travel_up, opener.travel_down)
    least = least_gas(opener, cylinder)
    controls = [
        unit_slider(
            units,
            "pressure",
            "pressure",
            "Pressure at working height",
            match,
            # At no pressure there is nothing to compare.
            max(valve.min_pressure, units.gauge_step),
            valve.max_pressure,
            (5, 50),
            inside=True,
        ),
        unit_slider(
            units,
            "small volume",
            "gas",
            "Accumulator gas per opener",
            usual_gas(opener, cylinder),
            least,
            max(1000e-6, 4 * least),
            (10, 1),
            inside=True,
        ),
        Slider("ratio", "Gas spring: gas / swept by rod", USUAL_GAS_RATIO, 1.5, 8.0, 0.5),
        unit_slider(
            units,
            "length",
            "height",
            "Hollow and rise of",
            min(0.1, flat),
            0.01,
            flat,
            (10, 0.5),
            inside=True,
        ),
    ]

    def compute(pressure, gas, ratio, height):
        held = float(units.si("pressure", pressure))
        line = closed_line_rival(opener, cylinder, held, float(units.si("small volume", gas)))
        strut = gas_spring_rival(opener, spring, float(cylinder.down_force(opener, 0.0, held)), ratio)
        ends = float(units.si("length", height)) * np.array([-1.0, 1.0])
        loads = rival_loads(opener, spring, cylinder, held, line, strut, np.concatenate([grid, ends]))
        return {"loads": loads, "height": ends[1]}

    strongest = max(
        float(np.nanmax(spring.down_force(opener, grid[grid <= spring.travel_stops(opener)[1]]))),
        1.15 * float(cylinder.down_force(opener, 0.0, valve.max_pressure)),
    )
    return Panel(
        controls=controls,
        compute=compute,
        drawing=_RivalsDrawing(bench, 1.35 * strongest),
        sentence=lambda result: _words(units, result),
        alt=(
            "Line chart",
            "down force at the disc against travel for a coil spring, a cylinder at held pressure, "
            "the same cylinder with its line shut and an accumulator, and a gas spring",
        ),
        title="Spring, cylinder, closed line and gas spring",
        size=(8.0, 4.6),
    )


def _words(units, result):
    loads, height = result["loads"], result["height"]
    said = []
    for name in _LOOKS:
        low, high = loads.share(name)[-2:]
        both = f"{_share(low)} and {_share(high)}" if loads.at_work[name] else "nothing to have a share of"
        said.append(f"{_NAMES[name]} {both}")
    friction = loads.friction[-2:].max()
    return (
        f"Share of the working load left {length_text(units, height)} lower and higher: "
        f"{'; '.join(said)}. Seal friction: ±{units.show('force', friction)} on the cylinder's "
        f"{units.show('force', loads.at_work['cylinder'])}."
    )


def _share(value):
    return style.percent(value) if np.isfinite(value) else "(cannot go there, it is at its end)"
