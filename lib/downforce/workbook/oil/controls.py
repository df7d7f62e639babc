"""What the panels of the oil workbook share: ways over the terrace, and sliders of speed and temperature."""

import numpy as np

from downforce.study.oil.cases import SPACING
from downforce.study.oil.terrace import terrace_crossing
from downforce.workbook.controls import Slider

WAYS = (("straight over", 90), ("at 60 degrees", 60), ("at 45 degrees", 45), ("at 30 degrees", 30))
"""Ways over a terrace, by their angle to it [deg]."""


class Ways:
    """The crossings of one bench, each made when it is first asked for.

    Parameters
    ----------
    bench : Bench [-]
        Drill and field.
    """

    def __init__(self, bench):
        self._bench, self._made = bench, {}

    def at(self, degrees):
        """One crossing.

        Parameters
        ----------
        degrees : float [deg]
            Way over the terrace.

        Returns
        -------
        TerraceCrossing [m]
            Travel of every opener.
        """
        if degrees not in self._made:
            drill, field = self._bench.drill, self._bench.field
            self._made[degrees] = terrace_crossing(drill, field, np.radians(degrees), SPACING)
        return self._made[degrees]


def speed_slider(units, own):
    """Slider of the speed of work.

    Parameters
    ----------
    units : UnitSystem [-]
        Its unit.
    own : float [m/s]
        Start value.

    Returns
    -------
    Slider [-]
        In steps that an operator can hold.
    """
    step, low, high = (0.5, 2.0, 15.0) if units.name == "metric" else (0.5, 1.0, 9.5)
    start = round(float(units.number("speed", own)) / step) * step
    return Slider("speed", "Speed", float(min(max(start, low), high)), low, high, step, units.unit("speed"))


def temperature_slider(units, name, label, start, low=253.15, high=343.15):
    """Slider of an oil temperature.

    Parameters
    ----------
    units : UnitSystem [-]
        Its unit.
    name, label : str [-]
        Of the control.
    start, low, high : float [K]
        Start value and ends.

    Returns
    -------
    Slider [-]
        In steps of 5 degrees.
    """
    step = 5.0
    ends = [round(float(units.number("temperature", t)) / step) * step for t in (start, low, high)]
    return Slider(name, label, *ends, step, units.unit("temperature"))
