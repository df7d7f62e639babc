"""What the panels of the oil workbook share: ways over the terrace, and sliders of speed and temperature."""

import numpy as np

from downforce.study.oil.cases import SPACING
from downforce.study.oil.terrace import terrace_crossing
from downforce.workbook.unit_slider import unit_slider

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
    ends = units.si("speed", np.array([2.0, 15.0] if units.name == "metric" else [1.0, 9.5]))
    return unit_slider(units, "speed", "speed", "Speed", own, *ends, (0.5, 0.5))


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
    return unit_slider(units, "temperature", name, label, start, low, high, (5.0, 5.0))
