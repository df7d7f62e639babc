"""Spring behaviour: spring, cylinder, closed line and gas spring on the same axes; the adjuster turned."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from matplotlib.patches import Polygon

from downforce.machine.unit_table import percent
from downforce.physics.kinds import Metre
from downforce.study.frame.tyre_give import SpringsTurned, springs_turned_in
from downforce.study.opener_loads import OpenerLoads, opener_loads
from downforce.study.spring_behaviour import (
    USUAL_GAS_RATIO,
    closed_line_rival,
    gas_spring_rival,
    least_gas,
    rival_loads,
    room_to_turn_in,
    travels_with_corners,
    usual_gas,
)
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Slider, inner_slider
from downforce.workbook.panel import Panel
from downforce.workbook.springs.words import length_text, opener_text

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
            (f"Travel: hollow − , rise + ({units.unit('length')})", *x),
            (f"Down force at the disc ({units.unit('force')})", 0, float(units.number("force", self._top))),
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
        inner_slider(
            units,
            "pressure",
            "pressure",
            "Pressure at working height",
            match,
            # At no pressure there is nothing to compare.
            max(valve.min_pressure, units.gauge_step),
            valve.max_pressure,
            (5, 50),
        ),
        inner_slider(
            units,
            "small volume",
            "gas",
            "Accumulator gas per opener",
            usual_gas(opener, cylinder),
            least,
            max(1000e-6, 4 * least),
            (10, 1),
        ),
        Slider("ratio", "Gas spring: gas / swept by rod", USUAL_GAS_RATIO, 1.5, 8.0, 0.5),
        inner_slider(
            units,
            "length",
            "height",
            "Hollow as deep, rise as high as",
            min(0.1, flat),
            0.01,
            flat,
            (10, 0.5),
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


TURN_POINTS = 61


@dataclass(frozen=True)
class TurnUp:
    """An opener before and after its adjuster is turned; the last three elements are hollow, level and rise.

    give: what the tyres of the drill take back of it; None where the springs lift the frame.
    """

    turned: Metre
    height: Metre
    before: OpenerLoads
    after: OpenerLoads
    give: SpringsTurned | None


class _TurnUpDrawing:
    def __init__(self, bench, top, target_depth):
        self._bench, self._top, self._target = bench, top, target_depth

    def setup(self, figure):
        units, opener, aim = self._bench.units, self._bench.drill.opener, self._bench.field.aim
        upper, lower = figure.subplots(2, 1, height_ratios=(2.1, 1.0), sharex=True)
        x = tuple(float(units.number("length", z)) for z in (opener.lowest_travel, opener.highest_travel))
        y = float(units.number("force", self._top))
        style.dress(
            upper,
            "What is left on the gauge wheel",
            ("", *x),
            (f"Load ({units.unit('force')})", -0.03 * y, y),
        )
        deepest = 1.15 * float(units.number("length", self._target))
        style.dress(
            lower,
            "How deep the disc runs",
            (f"Height of the ground: hollow − , rise + ({units.unit('length')})", *x),
            (f"Depth ({units.unit('length')})", deepest, 0),
        )
        for load, words in ((aim.heavy_load, "heavy"), (aim.least_load, "least load wanted")):
            at = float(units.number("force", load))
            if at < y:
                upper.axhline(at, color=style.mark("limit").colour, linewidth=1.0, linestyle=(0, (2, 1)))
                upper.text(x[0], at, f" {words}", va="bottom", fontsize=style.SMALL, color=style.INK)
        lower.axhline(float(units.number("length", self._target)), color=style.MUTED, linewidth=0.8)
        artists = []
        for axes in (upper, lower):
            axes.axvline(0, color=style.MUTED, linewidth=0.8)
            before = axes.plot(
                [], [], color=style.MUTED, linewidth=1.4, linestyle=(0, (2, 2)), label="as it is"
            )
            after = axes.plot([], [], **style.line("spring", label="turned"))
            old = axes.plot([], [], **style.dot("spring", markerfacecolor="white", markersize=7))
            new = axes.plot([], [], **style.dot("spring"))
            artists.append([*before, *after, *old, *new])
        upper.legend(loc="upper left", ncols=2, **style.LEGEND)
        self._artists = artists
        return [artist for group in artists for artist in group]

    def update(self, result):
        units = self._bench.units
        for (before, after, old, new), (name, kind) in zip(
            self._artists, (("gauge_wheel_load", "force"), ("depth", "length")), strict=True
        ):
            for line, spots, loads in ((before, old, result.before), (after, new, result.after)):
                x = units.number("length", loads.ground_travel)
                y = units.number(kind, getattr(loads, name))
                line.set_data(x[:-3], y[:-3])
                spots.set_data(x[-3:], y[-3:])


def turn_up_panel(bench: Bench):
    """What turning the adjuster in gains in a hollow and costs on a rise."""
    opener, spring, units = bench.drill.opener, bench.drill.spring, bench.units
    soil = bench.field.opener_soil
    most = min(0.06, room_to_turn_in(opener, spring) - 0.01)
    flat = min(opener.travel_up, opener.travel_down, 0.10)
    grid = np.linspace(opener.lowest_travel, opener.highest_travel, TURN_POINTS)
    controls = [
        inner_slider(units, "length", "turned", "Adjuster turned in by", 0.02, -0.02, most, (5, 0.25)),
        inner_slider(
            units,
            "length",
            "height",
            "Hollow as deep, rise as high as",
            bench.field.height_spread,
            0.01,
            flat,
            (10, 0.5),
        ),
        inner_slider(
            units,
            "force",
            "reaction",
            "Soil pushes back with",
            soil.reaction,
            0.5 * soil.reaction,
            2.0 * soil.reaction,
            (50, 10),
        ),
    ]

    @lru_cache(maxsize=64)
    def loads(turned, height, reaction):
        places = np.concatenate([grid, [-height, 0.0, height]])
        part = spring.turned_to(spring.setting + turned)
        return opener_loads(opener, part, replace(soil, reaction=reaction), places)

    @lru_cache(maxsize=64)
    def given(turned, reaction):
        try:
            return springs_turned_in(bench.drill, replace(soil, reaction=reaction), turned)
        except ValueError:
            return None

    def compute(turned, height, reaction):
        turned, height = float(units.si("length", turned)), float(units.si("length", height))
        reaction = float(units.si("force", reaction))
        before, after = (loads(part, height, reaction) for part in (0.0, turned))
        return TurnUp(turned, height, before, after, given(turned, reaction))

    stiffest = compute(controls[0].high, controls[1].high, controls[2].low)
    top = 1.08 * max(float(stiffest.after.gauge_wheel_load.max()), 1.02 * bench.field.aim.heavy_load)
    return Panel(
        controls=controls,
        compute=compute,
        drawing=_TurnUpDrawing(bench, top, soil.target_depth),
        sentence=lambda result: _turn_up_words(bench, result),
        alt=(
            "Two line charts",
            "gauge-wheel load and depth against the height of the ground, "
            "before and after turning the adjuster",
        ),
        title="Turn it up: what the hollow gains and the rise pays",
        size=style.TALL,
    )


def _turn_up_words(bench, result):
    units, heavy = bench.units, bench.field.aim.heavy_load
    way = "in" if result.turned >= 0 else "out"
    words = f"Turned {way} by {length_text(units, abs(result.turned))}. On the gauge wheel: "
    parts = []
    for at, name in ((-3, "hollow"), (-2, "level"), (-1, "rise")):
        before, after = (opener_text(units, loads, at) for loads in (result.before, result.after))
        parts.append(f"{name} {before} → {after}" if before != after else f"{name} {after} as before")
    words += "; ".join(parts) + "."
    if float(result.after.gauge_wheel_load[-1]) > heavy:
        words += f" The rise is packing, over {units.show('force', heavy)}."
    return words + _give_words(units, result)


def _give_words(units, result):
    """What the tyres take back of springs turned in on the whole drill, as a sentence to end with."""
    if result.turned <= 0:
        return ""
    if result.give is None:
        return " So far in, springs on all rows lift the frame."
    if result.give.on_paper < 1.0:
        return ""
    lost = percent(result.give.overstated)
    up = length_text(units, float(result.give.rise.mean()))
    return f" Turned on all rows, the frame goes up by {up} on its tyres: {lost} of the gain is lost."
