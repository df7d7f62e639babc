"""The pins of the proposed cylinder, moved in one panel and thereby in all."""

import weakref
from contextlib import suppress
from dataclasses import replace

from downforce.machine.drill import Drill
from downforce.machine.unit_display import UnitSystem
from downforce.study.cylinders.pin_trial import cylinder_on_moved_pins
from downforce.workbook.bench import Bench
from downforce.workbook.panel import Panel

SHIFTS = ("along", "tilt", "apart")
"""Sliders for pins [-]: both along the bar; the frame pin rearward; the frame pin away from the other."""

_OF_BENCH = weakref.WeakKeyDictionary()


class SharedPins:
    """How far the pins of one drill's cylinder are moved, the same in every panel."""

    def __init__(self, drill: Drill, units: UnitSystem):
        self.drill, self.units = drill, units
        self.shifts = dict.fromkeys(SHIFTS, 0.0)
        self._panels, self._busy = [], False

    @property
    def moved(self) -> bool:
        """Whether any pin is moved."""
        return any(self.shifts.values())

    @property
    def cylinder(self):
        """The proposed cylinder on the pins as they are now."""
        return self.on(**self.shifts)

    @property
    def drill_on(self):
        """The drill with its cylinder on the pins as they are now."""
        return replace(self.drill, cylinder=self.cylinder) if self.moved else self.drill

    def on(self, **shifts):
        """The proposed cylinder on its pins, moved as some sliders say; the others are as they are."""
        si = {name: self.units.si("length", value) for name, value in (self.shifts | shifts).items()}
        return cylinder_on_moved_pins(self.drill.opener, self.drill.cylinder, **si)

    def join(self, panel: Panel):
        """Keep a panel in step with the others.

        panel: one whose sliders for pins bear names of `SHIFTS`.
        """
        own = [name for name in SHIFTS if name in panel.controls]
        self._panels = [other for other in self._panels if other() is not None]
        if self.moved:
            panel.set(**{name: self.shifts[name] for name in own})
        self._panels.append(weakref.ref(panel))
        panel.on_values(
            lambda values: self._follow(panel, {name: values[name] for name in own}), self.put_back
        )
        return panel

    def put_back(self):
        """Put every pin back to where the drill file has it, in all panels."""
        self._follow(None, dict.fromkeys(SHIFTS, 0.0))

    def _follow(self, moved, shifts):
        if self._busy or all(self.shifts[name] == value for name, value in shifts.items()):
            return
        self.shifts |= shifts
        self._busy = True
        try:
            for reference in self._panels:
                panel = reference()
                if panel is None or panel is moved:
                    continue
                # A place that one panel cannot show is told in that panel.
                with suppress(ValueError):
                    panel.set(**{name: self.shifts[name] for name in SHIFTS if name in panel.controls})
        finally:
            self._busy = False


def shared_pins(bench: Bench):
    """The pins of the drill on a bench; they start as in its file when another drill comes."""
    known = _OF_BENCH.get(bench)
    if known is None or (known.drill, known.units.name) != (bench.drill, bench.units.name):
        known = _OF_BENCH[bench] = SharedPins(bench.drill, bench.units)
    return known
