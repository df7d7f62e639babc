"""Pressure set-point: the intervals of a setting by drawing every input anew, for whoever has a minute."""

import numpy as np

from downforce.study.pressure_setting import recommend
from downforce.study.setting.sureness import interval, standard_draws
from downforce.study.setting.verdict import range_words
from downforce.workbook.long_work import LongTable
from downforce.workbook.table import table_page

TIMES = {"not yet": 0, "200 times": 200, "1000 times": 1000, "4000 times": 4000}
"""How often one may draw."""
_AT_ONCE = 25  # draws between two looks at the Stop button


class Redraw(LongTable):
    """Intervals to first order and, when asked, from drawing every input anew."""

    asked = "Draw every input anew"
    choices = tuple(TIMES)

    def worked(self, choice, progress=None, stop=None):
        """The table for so many draws."""
        count = TIMES[choice]
        if not count:
            return self._table()
        intervals = recommend(self.bench.drill, self.bench.field).intervals
        draws = standard_draws(len(intervals.chance.slopes.inputs))[0][:count]
        parts = []
        for start in range(0, count, _AT_ONCE):
            if stop.is_set():
                return "Stopped. Choose a number to draw again."
            parts.append(intervals.monte_carlo(draws[start : start + _AT_ONCE]))
            progress(min((start + _AT_ONCE) / count, 1.0))
        return self._table(*np.concatenate(parts, axis=1))

    def _table(self, settings=None, lifts=None):
        units = self.bench.units
        found = recommend(self.bench.drill, self.bench.field)
        rows = [["by slopes", *(range_words(ends, units) for ends in (found.interval, found.lift_interval))]]
        if settings is not None:
            drawn = (range_words(interval(draws), units) for draws in (settings, lifts))
            rows.append([f"every input drawn anew, {settings.size} times", *drawn])
        return table_page(
            f"The same intervals twice: {self.bench.drill.name}, {self.bench.field.name}",
            ["90 % interval", "of the setting", "of the lift"],
            rows,
            "Slopes take a fraction of a second. Drawing anew takes seconds and is right where slopes bend.",
        )
