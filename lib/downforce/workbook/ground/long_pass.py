"""Workbook 03: four ways to press over the same pass, as far as the reader likes."""

from ipywidgets import Dropdown, Layout, VBox

from downforce.study.ground.compare_actuators import level_pressure
from downforce.study.ground.crossing import PassStopped
from downforce.study.ground.four_ways import four_ways, shares_of
from downforce.workbook.long_work import LongWork
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


class LongPass:
    """A table of four ways to press, and a list of distances; long ones show a bar and can be stopped.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.
    """

    def __init__(self, bench):
        self._bench = bench
        choices = DISTANCES[bench.units.name]
        self._shown = self._table(next(iter(choices)))
        self.work = LongWork(self._shown.html)
        self.distance = Dropdown(
            options=list(choices),
            description="Distance driven",
            tooltip="Distance driven",
            layout=Layout(width="300px"),
            style={"description_width": "140px"},
        )
        self.distance.observe(lambda change: self._drive(change["new"]), names="value")
        self.widget = VBox([self.distance, self.work.widget])

    @property
    def html(self):
        """The table as HTML [-]."""
        return self._shown.html

    @property
    def plain(self):
        """The table as plain text [-]."""
        return self._shown.plain

    def _drive(self, distance):
        def task(progress, stop):
            try:
                self._shown = self._table(distance, progress, stop)
            except PassStopped as stopped:
                return f"<p>{stopped} Choose a distance to drive again.</p>"
            return self._shown.html

        self.work.start(task)

    def _table(self, distance, progress=None, stop=None):
        drill, field, units = self._bench.drill, self._bench.field, self._bench.units
        pressure = level_pressure(drill, field, field.aim.gauge_wheel_load)
        stations = round(DISTANCES[units.name][distance] / SPACING)
        cases = four_ways(drill, field, pressure, stations=stations, spacing=SPACING)
        setting = cases[0].actuator.setting
        turned = f"springs turned {'in' if setting >= 0 else 'out'} by {length_text(units, abs(setting))}"
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
        push = units.show("force", drill.cylinder.down_force(drill.opener, 0.0, pressure))
        return table_page(
            f"Four ways to press, each with {push} at working height, over {distance} of {field.name}",
            ["what presses", "short", "enough", "packing", "mean load", "standard deviation"],
            rows,
        )

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self._shown._repr_mimebundle_()
