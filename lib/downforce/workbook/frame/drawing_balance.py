"""Pictures about balance: bars of ballast, and wheel and hitch loads beside the side view."""

from downforce.machine.drill import Drill
from downforce.machine.unit_display import UnitSystem
from downforce.physics.kinds import Kilogram, Metre, Newton, Pascals
from downforce.study.frame.ballast import BallastPlan
from downforce.workbook import style
from downforce.workbook.frame.drawing import SideView, name_arrows
from downforce.workbook.frame.words_balance import BallastResult, road_load

_LETTERS = 28
"""Of a name there is room for [-]."""


def large_load_unit(units: UnitSystem):
    """Unit of loads on a whole frame, for an axis."""
    return ("kN", 1e3) if units.name == "metric" else ("1000 lbf", float(units.si("force", 1e3)))


class BallastBars:
    """Ballast at each place as bars, and the load each wheel keeps at work before and after.

    most: end of the axis of masses.
    """

    def __init__(self, plan: BallastPlan, units: UnitSystem, most: Kilogram, loads: tuple[Newton, Newton]):
        self._names = [style.short(place.name, _LETTERS) for place in plan.places]
        self._wheels = [style.short(name, _LETTERS) for name in plan.supports[1:]]
        self._units = units
        self._most = float(units.number("mass", most))
        self._unit, self._size = large_load_unit(units)
        self._loads = tuple(load / self._size for load in loads)

    def setup(self, figure):
        """Make every artist."""
        count = (len(self._names), len(self._wheels))
        top, low = figure.subplots(2, 1, height_ratios=[count[0] + 1, count[1] + 1])
        mass = f"Ballast ({self._units.unit('mass')})"
        style.dress(top, "Least ballast, and where", mass, "", (0, self._most), (1.25 * count[0] - 0.4, -0.6))
        top.set_yticks(range(count[0]), self._names)
        style.dress(
            low,
            "Each wheel at work, the headroom used up",
            f"Load ({self._unit})",
            "",
            self._loads,
            (count[1] - 0.4, -0.6),
        )
        low.set_yticks(range(count[1]), self._wheels)
        low.axvline(0, color=style.INK, lw=1.0)
        bar = {"lw": 11, "color": style.mark("frame").colour, "solid_capstyle": "butt"}
        self._bars = [top.plot([], [], **bar)[0] for _ in self._names]
        self._texts = [top.text(0, i, "", fontsize=style.SMALL, va="center") for i in range(count[0])]
        place = {"transform": top.transAxes, "ha": "right", "va": "center"}
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
            self._wheel.set_text(f"{where} {road_load(plan.road, self._units, _LETTERS)}")
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
        style.dress(axes, "", pressure, f"Load ({self._unit})", self._ends, self._loads)
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
