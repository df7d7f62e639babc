"""Pictures of lift and balance: regions, curves, rows after lift, bars of ballast, wheel and hitch loads."""

import numpy as np
from matplotlib.patches import Polygon

from downforce.machine.drill import Drill
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Kilogram, Metre, Newton, Newtons, Pascal, Pascals
from downforce.study.frame.ballast import BallastPlan
from downforce.study.frame.stand import FrameStand
from downforce.workbook import style
from downforce.workbook.frame.drawing import RearView, SideView, load_text, name_arrows
from downforce.workbook.frame.words import BallastResult, road_load

_LETTERS = 40
"""Of a name in a legend [-]."""
_DOWN, _LITTLE, _LIFTS = "#dcebdd", "#f6e3b4", "#f0c9c5"


class FrameViews:
    """Rear and side view of the frame, one above the other."""

    def __init__(self, drill: Drill, units: UnitSystem):
        self._rear, self._side = RearView(drill, units), SideView(drill, units)

    def setup(self, figure):
        """Make every artist."""
        rear, side = figure.subplots(2, 1, height_ratios=[1.0, 1.0])
        name_arrows(figure)
        return [*self._rear.setup(rear), *self._side.setup(side)]

    def update(self, result: FrameStand):
        """Show how the frame stands."""
        self._rear.move(result)
        self._side.move(result)


class LiftMap:
    """Gauge pressure against soil reaction: down, little in hand, lifts, and the setting that is needed."""

    def __init__(self, units: UnitSystem, reaction: Newtons, top: Pascal, valve_end: Pascal):
        self._units, self._top = units, float(units.number("pressure", top))
        self._x = np.asarray(units.number("force", reaction))
        self._valve = float(units.number("pressure", valve_end))

    def setup(self, figure):
        """Make every artist."""
        units, x = self._units, self._x
        axes = style.dress(
            figure.add_subplot(),
            "Where the frame stays down",
            (f"Soil reaction on each disc at its target depth ({units.unit('force')})", x[0], x[-1]),
            (f"Gauge pressure ({units.unit('pressure')})", 0, self._top),
        )
        blank = np.zeros((2, 2))
        self._areas = [
            axes.add_patch(Polygon(blank, fc=colour, ec=style.MUTED, lw=0, hatch=hatch, zorder=0.5))
            for colour, hatch in ((_DOWN, ""), (_LITTLE, ".."), (_LIFTS, "//"))
        ]
        (self._lift,) = axes.plot([], [], **style.line("limit", label="frame lift, first section"))
        (self._shallow,) = axes.plot(
            [],
            [],
            ls="none",
            marker="v",
            ms=5,
            color=style.mark("limit").colour,
            label="lifts before the disc is at depth",
        )
        (self._keep,) = axes.plot([], [], **style.line("frame", label="lift with the headroom taken off"))
        (self._need,) = axes.plot(
            [], [], **style.line("target", label="setting for the wanted gauge-wheel load")
        )
        (self._dot,) = axes.plot([], [], **style.dot("soil", label="today's soil"))
        still = [axes.axhline(self._valve, color=style.INK, lw=1, ls=":")]
        box = {"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.5}
        small = {"fontsize": style.SMALL, "color": style.INK, "bbox": box}
        words = "highest setting of the valve"
        valve = axes.text(0.995 * x[-1], self._valve, words, ha="right", va="center", **small)
        middle = {"ha": "center", "va": "center", "fontweight": "bold", "zorder": 6}
        names = ("down", "little in hand", "lifts: the weight is used up")
        self._words = [axes.text(0, 0, name, **small, **middle) for name in names]
        # The areas are drawn anew at every move, so what must stay above them moves with them.
        still += [valve, axes.legend(loc="upper left", **style.LEGEND)]
        for artist in still:
            artist.set_zorder(5)
        valve.set_zorder(6)
        lines = [*still, self._lift, self._shallow, self._keep, self._need, self._dot]
        return [*self._areas, *lines, *self._words]

    def update(self, result):
        """Draw one case."""
        units, x, top = self._units, self._x, self._top
        curves = result.curves
        lift = np.minimum(np.asarray(units.number("pressure", curves.limits.lowest[:, 0])), 3 * top)
        keep = np.asarray(units.number("pressure", result.keep))
        need = np.asarray(units.number("pressure", curves.needed))
        ends = ((np.zeros_like(x), keep), (keep, lift), (lift, np.full_like(x, 3 * top)))
        for area, (low, high) in zip(self._areas, ends, strict=True):
            area.set_xy(np.concatenate([np.stack([x, low], 1), np.stack([x, high], 1)[::-1]]))
        self._lift.set_data(x, lift)
        self._keep.set_data(x, keep)
        self._need.set_data(x, need)
        first = curves.limits.pressure[:, 0].argmin(axis=-1)
        shallow = ~curves.limits.at_depth[np.arange(x.size), 0, first] & (lift < top)
        self._shallow.set_data(x[shallow], lift[shallow])
        self._dot.set_data(
            [units.number("force", result.today)], [units.number("pressure", result.needed_today)]
        )
        for words, place, (low, high) in zip(self._words, (0.3, 0.85, 0.74), ends, strict=True):
            i = int(place * (x.size - 1))
            bottom, up = max(low[i], 0.0), min(high[i], top)
            if words is self._words[0]:
                bottom, up = 0.0, min(up, 0.7 * need[i] if need[i] > 0.2 * top else up)
            share = 0.72 if words is self._words[2] else 0.5
            words.set_position((x[i], bottom + share * (up - bottom)))
            words.set_visible(up - bottom > 0.045 * top)


class Curves:
    """A few curves over one quantity, with a horizontal line, a dot and a vertical mark.

    x, y: words of each axis and its two ends.
    level: name of the horizontal line; empty for none.
    """

    def __init__(self, title, x, y, looks, level="", mark=""):
        self._words = title, x, y
        self._looks = [(look, style.short(name, _LETTERS)) for look, name in looks]
        self._level_name, self._mark_name = level, mark

    def setup(self, figure):
        """Make every artist."""
        axes = style.dress(figure.add_subplot(), *self._words)
        self._curves = [axes.plot([], [], label=name, **look)[0] for look, name in self._looks]
        (self._level,) = axes.plot([], [], **style.line("target", label=self._level_name or "_"))
        mark = style.dot("limit", markeredgewidth=2.5, markeredgecolor=style.WARNING)
        (self._dot,) = axes.plot([], [], clip_on=False, zorder=5, label=self._mark_name or "_", **mark)
        axes.legend(loc="upper right", **style.LEGEND)
        self._ends = self._words[1][1:]
        self._note = axes.text(
            0.02, 0.04, "", transform=axes.transAxes, fontsize=style.FONT_SIZE, color=style.INK
        )
        return [*self._curves, self._level, self._dot, self._note]

    def update(self, result):
        """Draw one case.

        result: has ``lines``: list of (x, y) in the units shown; ``level`` and ``dot``, either of them None;
            and ``note``, words in the corner.
        """
        for curve, (x, y) in zip(self._curves, result.lines, strict=True):
            curve.set_data(x, y)
        self._level.set_data(*((self._ends, [result.level] * 2) if result.level is not None else ([], [])))
        # A dot beyond the axis would stand in other pictures; the sentence says where it is.
        seen = result.dot is not None and result.dot[1] <= self._words[2][2]
        self._dot.set_data(*(([result.dot[0]], [result.dot[1]]) if seen else ([], [])))
        self._note.set_text(result.note)


class RowsAfterLift:
    """Row by row: how far the frame has risen, and what each gauge wheel carries against the promise."""

    def __init__(self, drill: Drill, units: UnitSystem, most_load: Newton):
        self._drill, self._units = drill, units
        self._most = float(units.number("force", most_load))

    def setup(self, figure):
        """Make every artist."""
        units, drill = self._units, self._drill
        rows = np.arange(1, drill.row_count + 1)
        top, low = figure.subplots(2, 1, sharex=True, height_ratios=[1.0, 1.6])
        length = units.unit("length")
        most_rise = float(units.number("length", 1.35 * drill.opener.travel_down))
        ends = (0.5, drill.row_count + 0.5)
        style.dress(
            top, "How far the frame has risen over each row", ("", *ends), (f"Rise ({length})", 0, most_rise)
        )
        style.dress(
            low,
            "What each gauge wheel carries",
            ("Row, from the left", *ends),
            (f"Load ({units.unit('force')})", 0, self._most),
        )
        for axes in (top, low):
            for edge in np.flatnonzero(np.diff(drill.row_section)) + 1:
                axes.axvline(edge + 0.5, color=style.MUTED, lw=0.8)
        # Dots: ranks stand at different places, and a line would run to and fro between them.
        (self._rise,) = top.plot([], [], **style.dot("frame", marker="o", markersize=4, label="rise"))
        (self._load,) = low.plot([], [], **style.dot("gauge wheel", markersize=5, label="carries"))
        (self._short,) = low.plot(
            [],
            [],
            ls="none",
            marker="x",
            ms=7,
            mew=2,
            color=style.WARNING,
            label="disc runs shallow",
            clip_on=False,
        )
        (self._promised,) = low.plot([], [], **style.line("frame", label="if the frame stayed down"))
        (self._at_lift,) = low.plot([], [], **style.line("limit", label="when lift began"))
        low.legend(loc="upper right", ncols=2, handlelength=3.2, **style.LEGEND)
        self._rows = rows
        self._wheels = top.text(
            0.5, 0.9, "", transform=top.transAxes, fontsize=style.SMALL, ha="center", va="top"
        )
        return [self._wheels, self._rise, self._load, self._short, self._promised, self._at_lift]

    def update(self, result):
        """Draw one case."""
        units, stand, rows = self._units, result.stand, self._rows
        self._wheels.set_text(f"all frame wheels together: {load_text(units, float(stand.wheel_load.sum()))}")
        self._rise.set_data(rows, units.number("length", stand.rise))
        load = np.asarray(units.number("force", stand.gauge_wheel_load))
        self._load.set_data(rows, load)
        self._short.set_data(rows[result.shallow], load[result.shallow])
        promised = float(units.number("force", stand.promised.gauge_wheel_load))
        self._promised.set_data([rows[0], rows[-1]], [promised] * 2)
        at_lift = float(units.number("force", stand.at_lift))
        self._at_lift.set_data([rows[0], rows[-1]], [at_lift] * 2)


_BALANCE_LETTERS = 28
"""Of a name there is room for [-]."""


def large_load_unit(units: UnitSystem):
    """Unit of loads on a whole frame, for an axis."""
    return ("kN", 1e3) if units.name == "metric" else ("1000 lbf", float(units.si("force", 1e3)))


class BallastBars:
    """Ballast at each place as bars, and the load each wheel keeps at work before and after.

    most: end of the axis of masses.
    """

    def __init__(self, plan: BallastPlan, units: UnitSystem, most: Kilogram, loads: tuple[Newton, Newton]):
        self._names = [style.short(place.name, _BALANCE_LETTERS) for place in plan.places]
        self._wheels = [style.short(name, _BALANCE_LETTERS) for name in plan.supports[1:]]
        self._units = units
        self._most = float(units.number("mass", most))
        self._unit, self._size = large_load_unit(units)
        self._loads = tuple(load / self._size for load in loads)

    def setup(self, figure):
        """Make every artist."""
        count = (len(self._names), len(self._wheels))
        top, low = figure.subplots(2, 1, height_ratios=[count[0] + 1, count[1] + 1])
        mass = f"Ballast ({self._units.unit('mass')})"
        style.dress(top, "Least ballast, and where", (mass, 0, self._most), ("", 1.25 * count[0] - 0.4, -0.6))
        top.set_yticks(range(count[0]), self._names)
        style.dress(
            low,
            "Each wheel at work, the headroom used up",
            (f"Load ({self._unit})", *self._loads),
            ("", count[1] - 0.4, -0.6),
        )
        low.set_yticks(range(count[1]), self._wheels)
        low.axvline(0, color=style.INK, lw=1.0)
        bar = {"lw": 11, "color": style.mark("frame").colour, "solid_capstyle": "butt"}
        self._bars = [top.plot([], [], **bar)[0] for _ in self._names]
        self._texts = [top.text(0, i, "", fontsize=style.SMALL, va="center") for i in range(count[0])]
        behind = {"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.0}
        place = {"transform": top.transAxes, "ha": "right", "va": "center", "bbox": behind}
        self._no = top.text(0.98, 0.5, "", fontsize=12, color=style.WARNING, **place)
        # Below the bars, in the quarter that the axis is longer for it.
        self._road = top.text(0.98, 0.14, "", fontsize=style.SMALL, color=style.INK, **place)
        self._wheel = top.text(0.98, 0.045, "", fontsize=style.SMALL, **place)
        (self._before,) = low.plot([], [], **style.dot("limit", label="without ballast"))
        (self._after,) = low.plot([], [], **style.dot("frame wheel", label="with it"))
        # Beside the title, where no load can lie.
        place = {"loc": "lower right", "bbox_to_anchor": (1.0, 1.0), "borderaxespad": 0.2}
        low.legend(ncols=2, **place, **style.LEGEND)
        return [*self._bars, *self._texts, self._no, self._road, self._wheel, self._before, self._after]

    def update(self, result: BallastResult):
        """Draw one plan."""
        plan, show = result.plan, self._units.show
        for i, mass in enumerate(plan.mass):
            number = float(self._units.number("mass", mass))
            self._bars[i].set_data([0, min(number, self._most)], [i, i])
            self._texts[i].set_position((min(number, self._most) + 0.01 * self._most, i))
            self._texts[i].set_text(show("mass", mass) if mass >= 0.5 else "")
        self._no.set_text("" if plan.feasible else "No ballast at these places is within the limits")
        on_road = show("mass", result.drill_mass + plan.total)
        self._road.set_text(
            f"By the sum of the whole drill: {show('mass', plan.sum_mass)}\n"
            f"On the road {on_road}, of {show('mass', result.road)} allowed"
        )
        if plan.road is not None:
            where = "Folded on the road" if plan.road.folded else "On the road"
            self._wheel.set_text(f"{where} {road_load(plan.road, self._units, _BALANCE_LETTERS)}")
            self._wheel.set_color(style.WARNING if plan.road.broken.any() else style.INK)
        rows = range(len(self._wheels))
        self._before.set_data(plan.working_before[1:] / self._size, rows)
        self._after.set_data(
            plan.working[1:] / self._size if plan.feasible else [], rows if plan.feasible else []
        )


class ForeAftPicture:
    """The side view beside wheel and hitch loads over pressure."""

    def __init__(
        self, drill: Drill, units: UnitSystem, reach: Metre, pressures: Pascals, loads: tuple[Newton, Newton]
    ):
        self._side = SideView(drill, units, reach)
        self._units = units
        self._ends = tuple(float(units.number("pressure", p)) for p in (pressures[0], pressures[-1]))
        self._unit, self._size = large_load_unit(units)
        self._loads = tuple(load / self._size for load in loads)

    def setup(self, figure):
        """Make every artist."""
        side, axes = figure.subplots(2, 1, height_ratios=[1.15, 1.0])
        moving = self._side.setup(side)
        name_arrows(figure)
        pressure = f"Gauge pressure ({self._units.unit('pressure')})"
        style.dress(axes, "", (pressure, *self._ends), (f"Load ({self._unit})", *self._loads))
        axes.axhline(0, color=style.INK, lw=0.8)
        (self._wheels,) = axes.plot([], [], **style.line("frame wheel", label="all frame wheels"))
        (self._hitch,) = axes.plot([], [], **style.line("hitch", label="hitch: down on the drawbar is plus"))
        (self._limit,) = axes.plot([], [], **style.line("limit", label="first section lifts"))
        (self._now,) = axes.plot([], [], color=style.MUTED, lw=1.0, ls="dotted", label="now")
        # Above the picture, so that the lift line cannot run through it.
        place = {"loc": "lower left", "bbox_to_anchor": (0.0, 1.0), "borderaxespad": 0.2}
        axes.legend(ncols=4, **place, **style.LEGEND)
        return [*moving, self._wheels, self._hitch, self._limit, self._now]

    def update(self, result):
        """Draw one case."""
        self._side.move(result.stand, result.drill)
        units, found = self._units, result.loads
        x = units.number("pressure", found.gauge_pressure)
        self._wheels.set_data(x, found.wheel_load / self._size)
        self._hitch.set_data(x, found.hitch_load / self._size)
        ends = list(self._loads)
        self._limit.set_data([float(units.number("pressure", min(found.lift_pressure, 1e9)))] * 2, ends)
        self._now.set_data([float(units.number("pressure", result.stand.gauge_pressure))] * 2, ends)
