"""Hoses and threads as a shop names them: nominal sizes in both systems, ratings, bend radii."""

from dataclasses import dataclass
from functools import cache

from downforce.machine.tables import read_table
from downforce.machine.unit_display import UnitSystem
from downforce.machine.units import METRIC, US
from downforce.physics.kinds import Metre, Pascal
from downforce.physics.oil import next_nominal_bore

INCH_OVER_NOMINAL = 1.02
"""How far a bore in inches may be over its nominal bore in millimetres [-]."""

_AS_SOLD = 0.06


@dataclass(frozen=True)
class HoseSize:
    """One nominal size of two-wire hose; what the table does not know is NaN or empty.

    inch, dash: such as "1/4" and "4".
    bend_radius: least radius; a hose that moves is bent to half as much again at least (common practice, no
        source).
    thread: of flare and O-ring boss, as seen on secondary pages.
    metric_boss: thread of the metric port, from memory.
    """

    bore: Metre
    inch: str
    dash: str
    rating: Pascal
    bend_radius: Metre
    outside: Metre
    thread: str
    metric_boss: str

    @property
    def name(self):
        """As the trade says it in both systems, such as "1/4 in (6.3 mm, -4)"."""
        millimetres = f"{1e3 * self.bore:g} mm"
        return f"{self.inch} in ({millimetres}, -{self.dash})" if self.inch else millimetres

    @property
    def flare(self):
        """Dash size and thread of a flare fitting."""
        if not self.dash:
            return f"for {self.name} hose: ask"
        return f"-{self.dash}, {self.thread} flare" if self.thread else f"-{self.dash} flare"


def hose_size(bore: Metre) -> HoseSize:
    """The nominal size that a bore is sold as: the next that is made."""
    # An inch size is a little over its nominal bore in millimetres: half an inch is 12.5 mm hose.
    nominal = next_nominal_bore(bore / INCH_OVER_NOMINAL)
    return _sizes()[round(1e3 * float(nominal), 1)]


@cache
def _sizes():
    table = read_table("hoses").astype({"dash": object})
    found = {}
    for row in table.itertuples():
        known = ["" if text != text else str(text) for text in (row.size_in, row.thread, row.metric_boss)]
        found[round(row.bore_mm, 1)] = HoseSize(
            row.bore_mm / 1e3,
            known[0],
            "" if row.dash != row.dash else f"{row.dash:.0f}",
            row.two_wire_working_pressure_bar * 1e5,
            row.bend_radius_mm / 1e3,
            row.outside_mm / 1e3,
            *known[1:],
        )
    return found


def cylinder_size(kind, size: Metre, units: UnitSystem):
    """A size of a cylinder as the trade says it, the other system in brackets.

    kind: "bore", "rod" or "stroke".
    """
    label, sold = min(_labels(kind), key=lambda one: abs(one[1] - 1e3 * size))
    if abs(sold - 1e3 * size) > _AS_SOLD:
        return units.both("small length", size)
    other = METRIC if label.endswith(" in") else US
    return f"{label} ({other.show('small length', size)})"


@cache
def _labels(kind):
    table = read_table("cylinder_sizes")
    return [(row.label, row.size_mm) for row in table[table["kind"] == kind].itertuples()]
