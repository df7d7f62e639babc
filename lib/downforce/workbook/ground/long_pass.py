"""Rough ground: four ways to press over the same pass, as far as the reader likes."""

from downforce.study.ground.compare_actuators import level_pressure
from downforce.study.ground.crossing import PassStopped
from downforce.study.ground.four_ways import four_ways, shares_of
from downforce.workbook.bench import Page
from downforce.workbook.long_work import LongTable
from downforce.workbook.springs.words import length_text
from downforce.workbook.style import percent
from downforce.workbook.table import table_page

SPACING = 0.25
"""Distance between stations [m]."""

DISTANCES = {
    "metric": {"200 m": 200.0, "2 km": 2e3, "10 km": 10e3, "50 km": 50e3},
    "US": {"650 ft": 198.12, "1 mile": 1609.344, "6 miles": 9656.064, "30 miles": 48280.32},
}
"""How far one may drive [m], in words of each unit system."""


class LongPass(LongTable):
    """A table of four ways to press over a distance of the reader's choice."""

    asked = "Distance driven"

    @property
    def choices(self):
        """Distances in words."""
        return tuple(DISTANCES[self.bench.units.name])

    def worked(self, choice, progress=None, stop=None):
        """The table for one distance."""
        try:
            return self._table(choice, progress, stop)
        except PassStopped as stopped:
            return f"{stopped} Choose a distance to drive again."

    def _table(self, distance, progress, stop):
        drill, field, units = self.bench.drill, self.bench.field, self.bench.units
        pressure = level_pressure(drill, field, field.aim.gauge_wheel_load)
        if not pressure:
            return Page(
                f"On {field.name} the weight of the openers alone leaves the wanted load on level ground, so "
                "there is no push to give in four ways."
            )
        stations = round(DISTANCES[units.name][distance] / SPACING)
        cases = four_ways(drill, field, pressure, stations=stations, spacing=SPACING)
        setting = cases[0].actuator.setting
        turned = f"springs turned {'in' if setting >= 0 else 'out'} by {length_text(units, abs(setting))}"
        level = float(cases[0].actuator.down_force(drill.opener, 0.0))
        push = float(drill.cylinder.down_force(drill.opener, 0.0, pressure))
        if abs(level - push) > 0.005 * push:
            turned += f", as far as they go: {units.show('force', level)}"
        names = {
            "spring": turned,
            "cylinder": f"cylinders held at {units.show('pressure', pressure)}",
            "closed line": "cylinders, line shut, accumulator",
            "gas spring": "gas springs",
        }
        rows = [
            [
                names[name],
                *(percent(share) for share in (shares.short, shares.enough, shares.packing)),
                *(units.show("force", load) for load in (shares.mean, shares.spread)),
            ]
            for name, shares in shares_of(cases, progress, stop).items()
        ]
        return table_page(
            f"Four ways to press, each with {units.show('force', push)} at working height, "
            f"over {distance} of {field.name}",
            ["what presses", "short", "enough", "packing", "mean load", "standard deviation"],
            rows,
        )
