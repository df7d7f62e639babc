"""Workbook 06: the intervals of a setting by drawing every input anew, for whoever has a minute."""

import numpy as np
from ipywidgets import Dropdown, Layout, VBox

from downforce.study.pressure_setting import recommend
from downforce.study.setting.sureness import interval, standard_draws
from downforce.study.setting.verdict import range_words
from downforce.workbook.long_work import LongWork
from downforce.workbook.table import table_page

TIMES = {"not yet": 0, "200 times": 200, "1000 times": 1000, "4000 times": 4000}
"""How often one may draw."""
_AT_ONCE = 25  # draws between two looks at the Stop button


class Redraw:
    """Intervals to first order and, when asked, from drawing every input anew."""

    def __init__(self, bench):
        self._bench = bench
        self._shown = self._table()
        self.work = LongWork(self._shown.html)
        self.times = Dropdown(
            options=list(TIMES),
            description="Draw every input anew",
            tooltip="Draw every input anew",
            layout=Layout(width="340px"),
            style={"description_width": "180px"},
        )
        self.times.observe(lambda change: self._draw(TIMES[change["new"]]), names="value")
        self.widget = VBox([self.times, self.work.widget])

    @property
    def html(self):
        """The table as HTML."""
        return self._shown.html

    @property
    def plain(self):
        """The table as plain text."""
        return self._shown.plain

    def _draw(self, count):
        def task(progress, stop):
            intervals = recommend(self._bench.drill, self._bench.field).intervals
            draws = standard_draws(len(intervals.chance.slopes.inputs))[0][:count]
            parts = []
            for start in range(0, count, _AT_ONCE):
                if stop.is_set():
                    return "<p>Stopped. Choose a number to draw again.</p>"
                parts.append(intervals.monte_carlo(draws[start : start + _AT_ONCE]))
                progress(min((start + _AT_ONCE) / count, 1.0))
            self._shown = self._table(*np.concatenate(parts, axis=1)) if parts else self._table()
            return self._shown.html

        self.work.start(task)

    def _table(self, settings=None, lifts=None):
        units = self._bench.units
        found = recommend(self._bench.drill, self._bench.field)
        rows = [["by slopes", *(range_words(ends, units) for ends in (found.interval, found.lift_interval))]]
        if settings is not None:
            drawn = (range_words(interval(draws), units) for draws in (settings, lifts))
            rows.append([f"every input drawn anew, {settings.size} times", *drawn])
        return table_page(
            f"The same intervals twice: {self._bench.drill.name}, {self._bench.field.name}",
            ["90 % interval", "of the setting", "of the lift"],
            rows,
            "Slopes take a fraction of a second. Drawing anew takes seconds and is right where slopes bend.",
        )

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self._shown._repr_mimebundle_()
