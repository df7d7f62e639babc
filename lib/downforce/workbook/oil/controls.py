"""What the panels of the oil workbook share: ways over the terrace, and sliders of speed and temperature."""

import numpy as np

from downforce.machine.unit_display import UnitSystem
from downforce.physics.kinds import Degree, Kelvin, MetrePerSecond
from downforce.study.oil.cases import SPACING
from downforce.study.oil.terrace import terrace_crossing
from downforce.workbook.bench import Bench
from downforce.workbook.unit_slider import unit_slider

WAYS = (("straight over", 90), ("at 60 degrees", 60), ("at 45 degrees", 45), ("at 30 degrees", 30))
"""Ways over a terrace, by their angle to it [deg]."""


class Ways:
    """The crossings of one bench, each made when it is first asked for."""

    def __init__(self, bench: Bench):
        self._bench, self._made = bench, {}

    def at(self, degrees: Degree):
        """One crossing."""
        if degrees not in self._made:
            drill, field = self._bench.drill, self._bench.field
            self._made[degrees] = terrace_crossing(drill, field, np.radians(degrees), SPACING)
        return self._made[degrees]


def speed_slider(units: UnitSystem, own: MetrePerSecond):
    """Slider of the speed of work."""
    low, high = units.si("speed", np.array([2.0, 15.0] if units.name == "metric" else [1.0, 9.5]))
    return unit_slider(units, "speed", "speed", "Speed", own, low, high, (0.5, 0.5))


def temperature_slider(
    units: UnitSystem, name, label, start: Kelvin, low: Kelvin = 253.15, high: Kelvin = 343.15
):
    """Slider of an oil temperature."""
    return unit_slider(units, "temperature", name, label, start, low, high, (5.0, 5.0))
