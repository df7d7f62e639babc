"""Pictures of the oil workbook: pressure across the drill on a terrace, envelopes, traces along the pass."""

import numpy as np
from matplotlib.collections import LineCollection

from downforce.machine.drill import Drill
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Amount, Metre, Pascal, Ratio
from downforce.study.oil.circuit import Bearable
from downforce.workbook import style
from downforce.workbook.oil.words import CrossingResult, HosesResult, TraceResult

NOT_BORNE = "more than the drill bears"
"""What is said of pressures that are reckoned but not reached [-]."""


def picture_top(setting: Pascal, borne: Bearable) -> Pascal:
    """Top of a pressure axis: well above the setting and the first lift, not above what the parts bear."""
    return min(max(2.5 * setting, 1.2 * borne.lift.min()), 1.05 * min(borne.relief, borne.rating))


def _pressure_axes(axes, units, title, x_words, x_limits, setting, share, top):
    """Axes with the setting as a line and the band around it shaded."""
    words = f"Pressure at the cylinders ({units.unit('pressure')})"
    limits = (0.0, float(units.number("pressure", top)))
    style.dress(axes, title, (x_words, *x_limits), (words, *limits))
    low, high = (float(units.number("pressure", setting * (1 + side * share))) for side in (-1, 1))
    axes.axhspan(low, high, color=style.GOOD_FILL, zorder=0.5, label=f"within ±{style.percent(share)}")
    level = float(units.number("pressure", setting))
    axes.axhline(level, label="setting", zorder=1.5, **style.line("target", linewidth=1.6))
    return axes


def _lift_lines(axes, units, drill, borne):
    """Lift pressure of every section, over its own rows; nothing where the picture ends below it."""
    top, name = axes.get_ylim()[1], "a section's mean that lifts it"
    for index, lift in enumerate(borne.lift):
        level = float(units.number("pressure", lift))
        if level < top:
            rows = units.number("large length", drill.row_y[borne.row_section == index])
            axes.plot(rows[[0, -1]], [level] * 2, label=name, **style.line("limit", linewidth=1.2))
            name = None


def _legend_above(figure, axes, columns):
    """Legend above all pictures, so that nothing that moves can run through it."""
    handles = axes.get_legend_handles_labels()
    spaces = {"columnspacing": 1.2, "labelspacing": 0.3, "handlelength": 1.8}
    figure.legend(*handles, loc="outside upper left", ncols=columns, **spaces, **style.LEGEND)


def _across(drill, units):
    places = units.number("large length", drill.row_y)
    room = 0.6 * float(units.number("large length", drill.row_spacing))
    return places, (float(places[0]) - room, float(places[-1]) + room)


def _mark_hinges(axes, drill, units):
    for hinge in drill.hinges:
        axes.axvline(
            float(units.number("large length", hinge.y)), color=style.MUTED, linewidth=0.8, dashes=(2, 3)
        )


class CrossingDrawing:
    """Pressure at every cylinder across the drill, and where its rows stand on the terrace."""

    def __init__(
        self,
        drill: Drill,
        units: UnitSystem,
        setting: Pascal,
        share: Ratio,
        borne: Bearable,
        reach: tuple[Metre, Metre],
        heights: tuple[Metre, Metre],
    ):
        self._drill, self._units, self._setting = drill, units, setting
        self._share, self._borne, self._reach, self._heights = share, borne, reach, heights
        self._top = picture_top(setting, borne)

    def setup(self, figure):
        """Make all artists."""
        units, drill = self._units, self._drill
        left, right = figure.subplots(1, 2, width_ratios=[1.55, 1.0])
        self._y, limits = _across(drill, units)
        words = f"Across the drill ({units.unit('large length')}), right is positive"
        where = limits, self._setting, self._share, self._top
        _pressure_axes(left, units, "Pressure, row by row", words, *where)
        _mark_hinges(left, drill, units)
        _lift_lines(left, units, drill, self._borne)
        (self._header,) = left.plot([], [], label="in the header", **style.line("frame", linewidth=1.4))
        small = {"markersize": 5, "markeredgewidth": 0.5}
        (self._rows,) = left.plot([], [], label="at the cylinders", **style.dot("cylinder", **small))
        (self._starved,) = left.plot(
            [],
            [],
            label="starved",
            clip_on=False,
            zorder=5,
            **style.dot("limit", markersize=6, markeredgewidth=1.6, markeredgecolor=style.WARNING),
        )
        (self._over,) = left.plot(
            [], [], label=NOT_BORNE, clip_on=False, zorder=5, **style.dot("soil", markersize=6)
        )
        places = [float(units.number("large length", y)) for y in drill.hydraulics.header.feeds_y]
        left.plot(
            places,
            [0.0] * len(places),
            label="valve",
            clip_on=False,
            zorder=4,
            **style.dot("measured", marker="s"),
        )
        _legend_above(figure, left, 4)
        self._dress_ground(right)
        return [self._header, self._rows, self._starved, self._over, self._profile, self._valves, *self._dots]

    def _dress_ground(self, axes):
        units = self._units
        low, high = (float(units.number("length", h)) for h in self._heights)
        room = 0.25 * (high - low)
        x = tuple(float(units.number("large length", place)) for place in self._reach)
        words = f"Along the way ({units.unit('large length')}), 0 is the top"
        style.dress(
            axes,
            "The rows on the terrace",
            (words, *x),
            (f"Ground ({units.unit('length')})", low - room, high + 2.2 * room),
        )
        (self._profile,) = axes.plot([], [], label="ground", **style.line("soil", linestyle="solid"))
        rear = "rear ranks" if len(self._drill.rank_x) > 2 else "rear rank"
        names = ["front rank", rear] if len(self._drill.rank_x) > 1 else ["openers"]
        small = style.dot("measured", markersize=4.5)
        self._dots = [
            axes.plot([], [], **small | {"label": name, "markerfacecolor": fill})[0]
            for name, fill in zip(names, (style.INK, style.PAPER), strict=False)
        ]
        axes.legend(handles=self._dots, loc="upper right", **style.LEGEND)
        corner = {"transform": axes.transAxes, "fontsize": style.SMALL, "va": "top", "linespacing": 1.4}
        corner["bbox"] = {"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.0}
        self._valves = axes.text(0.03, 0.97, "", color=style.INK, **corner)

    def update(self, result: CrossingResult):
        """Set the artists from a result."""
        units, here = self._units, result.index
        top = self._top
        pressure = result.state.gauge_pressure[here]
        starved = result.state.regime_names[here] == "starved"
        over = self._borne.beyond(pressure)
        shown = np.where(starved | over, np.nan, units.number("pressure", pressure.clip(max=top)))
        self._rows.set_data(self._y, shown)
        header = units.number("pressure", result.state.header_pressure[here].clip(max=top))
        self._header.set_data(self._y, header)
        self._starved.set_data(self._y[starved], units.number("pressure", pressure[starved]))
        self._over.set_data(self._y[over], units.number("pressure", pressure[over].clip(max=top)))
        given, taken = (units.show("flow", flow[here]) for flow in (result.state.given, result.state.taken))
        self._valves.set_text(f"valves give\n{given},\ntake back\n{taken}")
        place, height = result.profile
        self._profile.set_data(units.number("large length", place), units.number("length", height))
        for rank, dots in enumerate(self._dots):
            rows = np.minimum(self._drill.row_rank, 1) == rank
            dots.set_data(
                units.number("large length", result.row_place[rows]),
                units.number("length", result.row_height[rows]),
            )


class EnvelopeDrawing:
    """Lowest and highest pressure of each row over a crossing, and how many places are kept how well."""

    def __init__(self, drill: Drill, units: UnitSystem, setting: Pascal, share: Ratio, borne: Bearable):
        self._drill, self._units, self._setting = drill, units, setting
        self._share, self._borne = share, borne

    def setup(self, figure):
        """Make all artists."""
        units, drill = self._units, self._drill
        left, right = figure.subplots(1, 2, width_ratios=[1.5, 1.0])
        self._y, limits = _across(drill, units)
        words = f"Across the drill ({units.unit('large length')}), right is positive"
        where = limits, self._setting, self._share, picture_top(self._setting, self._borne)
        _pressure_axes(left, units, "Lowest to highest, row by row", words, *where)
        _mark_hinges(left, drill, units)
        _lift_lines(left, units, drill, self._borne)
        looks = (style.MUTED, 0.9, NOT_BORNE), (style.mark("cylinder").colour, 2.4, "lowest to highest")
        self._bars = [
            left.add_collection(LineCollection([], colors=colour, linewidths=width, label=name))
            for colour, width, name in looks
        ]
        square = style.dot("measured", marker="s")
        (self._valves,) = left.plot([], [], clip_on=False, zorder=4, label="valve", **square)
        _legend_above(figure, left, 3)
        self._cuts = np.linspace(0.0, 100.0, 101)
        style.dress(
            right,
            "How much of the ground is kept",
            ("Load off by no more than (%)", 0, 100),
            ("Openers and places (%)", 0, 104),
        )
        right.axvspan(0, 100 * self._share, color=style.GOOD_FILL, zorder=0.5)
        (self._own,) = right.plot([], [], label="as in the drill file", **style.line("frame", linewidth=1.4))
        (self._kept,) = right.plot([], [], label="as chosen", **style.line("cylinder"))
        (self._dot,) = right.plot([], [], clip_on=False, zorder=5, **style.dot("cylinder"))
        right.legend(loc="lower right", **style.LEGEND)
        return [*self._bars, self._valves, self._own, self._kept, self._dot]

    def update(self, result: HosesResult):
        """Set the artists from a result."""
        number, pressure = self._units.number, result.pressures[0]
        low, high = pressure.min(axis=0), pressure.max(axis=0)
        # As far as the drill bears it: the highest over the places where nothing gives way.
        reached = np.where(self._borne.beyond(pressure), low, pressure).max(axis=0)
        for bars, top in zip(self._bars, (high, reached), strict=True):
            ends = (np.column_stack([self._y, number("pressure", end)]) for end in (low, top))
            bars.set_segments(np.stack(list(ends), axis=1))
        places = number("large length", np.asarray(result.hoses.places))
        self._valves.set_data(places, np.zeros(len(places)))
        for line, pressure in zip((self._kept, self._own), result.pressures, strict=True):
            off = np.sort(np.abs(pressure / result.setting - 1.0), axis=None) * 100
            line.set_data(self._cuts, 100 * np.searchsorted(off, self._cuts, side="right") / off.size)
        self._dot.set_data([100 * self._share], [100 * result.hoses.kept])


class TraceDrawing:
    """Pressure of one row along its way, for two cases side by side."""

    def __init__(
        self,
        units: UnitSystem,
        setting: Pascal,
        share: Ratio,
        x_words,
        x_limits: tuple[Amount, Amount],
        names: tuple[str, str],
        lower,
        top: Pascal,
        columns=5,
    ):
        self._units, self._setting, self._share = units, setting, share
        self._x_words, self._x_limits, self._names, self._lower = x_words, x_limits, names, lower
        self._columns, self._top = columns, top

    def setup(self, figure):
        """Make all artists."""
        upper, lower = figure.subplots(2, 1, height_ratios=[2.4, 1.0], sharex=True)
        where = self._x_limits, self._setting, self._share, self._top
        _pressure_axes(upper, self._units, "Pressure of one row", "", *where)
        looks = (style.line("cylinder"), style.APART[1])
        self._lines = [
            upper.plot([], [], label=name, **look)[0] for name, look in zip(self._names, looks, strict=True)
        ]
        self._beyond = [
            upper.plot([], [], **{**look, "linestyle": (0, (1, 2)), "linewidth": 1.2})[0] for look in looks
        ]
        self._beyond[0].set_label(NOT_BORNE)
        _legend_above(figure, upper, self._columns)
        # One entry stands for both; in a saved table each has its own name.
        for line, name in zip(self._beyond, self._names, strict=True):
            line.set_label(f"{name}, {NOT_BORNE}")
        words, low, high = self._lower
        style.dress(lower, "", (self._x_words, *self._x_limits), (words, low, high))
        (self._below,) = lower.plot([], [], label="ground", **style.line("soil", linestyle="solid"))
        return [*self._lines, *self._beyond, self._below]

    def update(self, result: TraceResult):
        """Set the artists from a result."""
        for line, dots, pressure, beyond in zip(
            self._lines, self._beyond, result.pressures, result.beyond, strict=True
        ):
            shown = self._units.number("pressure", pressure)
            line.set_data(result.along, np.where(beyond, np.nan, shown))
            # The dots begin and end where the line does.
            wide = beyond | np.roll(beyond, 1) | np.roll(beyond, -1)
            dots.set_data(result.along, np.where(wide, shown, np.nan))
        self._below.set_data(result.along, result.below)
