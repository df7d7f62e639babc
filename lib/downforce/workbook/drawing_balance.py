"""Pictures about balance: bars of ballast, and wheel and hitch loads beside the side view."""

from downforce.workbook import style
from downforce.workbook.drawing_frame import SideView


class BallastBars:
    """Ballast at each place as bars.

    Parameters
    ----------
    names : sequence of str [-]
        Names of the places.
    units : UnitSystem [-]
        For the axis.
    most : float [kg]
        End of the axis.
    """

    def __init__(self, names, units, most):
        self._names, self._units = list(names), units
        self._most = float(units.number("mass", most))

    def setup(self, figure):
        """Make every artist.

        Parameters
        ----------
        figure : matplotlib Figure [-]
            An empty figure.

        Returns
        -------
        list of artists [-]
            Those that move.
        """
        axes = style.dress(
            figure.add_subplot(),
            "Least ballast, and where",
            f"Ballast ({self._units.unit('mass')})",
            "",
            (0, self._most),
            (len(self._names) - 0.4, -0.6),
        )
        axes.set_yticks(range(len(self._names)), self._names)
        self._bars = [
            axes.plot([], [], lw=14, color=style.mark("frame").colour, solid_capstyle="butt")[0]
            for _ in self._names
        ]
        self._texts = [
            axes.text(0, i, "", fontsize=style.SMALL, va="center") for i in range(len(self._names))
        ]
        self._no = axes.text(
            0.5, 0.5, "", transform=axes.transAxes, ha="center", va="center", fontsize=13, color=style.WARNING
        )
        return [*self._bars, *self._texts, self._no]

    def update(self, result):
        """Draw one plan.

        Parameters
        ----------
        result : BallastPlan [-]
            The plan.
        """
        for i, mass in enumerate(result.mass):
            number = float(self._units.number("mass", mass))
            self._bars[i].set_data([0, min(number, self._most)], [i, i])
            self._texts[i].set_position((min(number, self._most) + 0.01 * self._most, i))
            self._texts[i].set_text(self._units.show("mass", mass) if mass >= 0.5 else "")
        self._no.set_text("" if result.feasible else "No ballast at these places is within the limits")


class ForeAftPicture:
    """The side view beside wheel and hitch loads over pressure.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    units : UnitSystem [-]
        For the axes.
    reach : float [m]
        How far sliders move parts to the rear.
    pressures : array [Pa]
        Along the axis.
    loads : pair of float [N]
        Ends of the load axis.
    """

    def __init__(self, drill, units, reach, pressures, loads):
        self._side = SideView(drill, units, reach)
        self._units = units
        self._ends = tuple(float(units.number("pressure", p)) for p in (pressures[0], pressures[-1]))
        self._unit, self._size = (
            ("kN", 1e3) if units.name == "metric" else ("1000 lbf", units.si("force", 1e3))
        )
        self._loads = tuple(load / self._size for load in loads)

    def setup(self, figure):
        """Make every artist.

        Parameters
        ----------
        figure : matplotlib Figure [-]
            An empty figure.

        Returns
        -------
        list of artists [-]
            Those that move.
        """
        side, axes = figure.subplots(2, 1, height_ratios=[1.15, 1.0])
        moving = self._side.setup(side)
        pressure = f"Gauge pressure ({self._units.unit('pressure')})"
        style.dress(axes, "", pressure, f"Load ({self._unit})", self._ends, self._loads)
        axes.axhline(0, color=style.INK, lw=0.8)
        (self._wheels,) = axes.plot([], [], **style.line("cylinder", label="all frame wheels"))
        (self._hitch,) = axes.plot([], [], **style.line("spring", label="hitch: down on the drawbar is plus"))
        (self._limit,) = axes.plot([], [], **style.line("limit", label="first section lifts"))
        (self._now,) = axes.plot([], [], color=style.MUTED, lw=1.0, ls="dotted", label="now")
        axes.legend(loc="upper right", fontsize=style.SMALL, framealpha=0.9)
        return [*moving, self._wheels, self._hitch, self._limit, self._now]

    def update(self, result):
        """Draw one case.

        Parameters
        ----------
        result : object [-]
            Has drill, stand (FrameStand) and loads (ForeAft).
        """
        self._side.move(result.stand, result.drill)
        units, found = self._units, result.loads
        x = units.number("pressure", found.gauge_pressure)
        self._wheels.set_data(x, found.wheel_load / self._size)
        self._hitch.set_data(x, found.hitch_load / self._size)
        ends = list(self._loads)
        self._limit.set_data([float(units.number("pressure", min(found.lift_pressure, 1e9)))] * 2, ends)
        self._now.set_data([float(units.number("pressure", result.stand.gauge_pressure))] * 2, ends)
