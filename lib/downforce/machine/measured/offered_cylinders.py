"""Cylinders a supplier offers, from a CSV file: bore, rod, stroke and closed length, one a line."""

from dataclasses import dataclass
from math import isfinite
from pathlib import Path

from downforce.machine.measured.columns import BY_LINE, Column, Table
from downforce.machine.unit_table import KINDS
from downforce.machine.units import METRIC, US
from downforce.physics.kinds import Metre, Pascal

_LENGTHS = {unit: KINDS["length"].units[unit] for unit in ("mm", "cm", "in")}
_PRESSURES = {unit: KINDS["pressure"].units[unit] for unit in ("bar", "psi", "MPa")}
MOST_OFFERED = 1000
"""Cylinders of one file [-]. Our own limit."""
_WORDS = BY_LINE | {
    "known": "part, and with a unit bore, rod, stroke, closed and rated",
    "things": "cylinders",
    "example": "part, bore_mm, rod_mm, stroke_mm, closed_mm",
    "span": "what such a cylinder can be",
}
_COLUMNS = (
    Column("part", "part", needed=False),
    Column("bore", "bore_mm", True, _LENGTHS, (0.012, 0.12)),
    Column("rod", "rod_mm", True, _LENGTHS, (0.006, 0.11)),
    Column("stroke", "stroke_mm", True, _LENGTHS, (0.02, 0.6)),
    Column("closed", "closed_mm", True, _LENGTHS, (0.08, 1.2)),
    Column("rated", "rated_bar", False, _PRESSURES, (50e5, 500e5)),
)


@dataclass(frozen=True)
class OfferedCylinder:
    """One cylinder that can be bought.

    part: the supplier's number for it.
    bore, rod, stroke: its sizes.
    closed_length: pin to pin, rod in.
    system: "metric" or "inch", as the file names its bores.
    rated_pressure: where the file says it.
    """

    part: str
    bore: Metre
    rod: Metre
    stroke: Metre
    closed_length: Metre
    system: str
    rated_pressure: Pascal | None = None

    @property
    def labels(self):
        """What to call bore, rod and stroke in a table; the supplier's number stands with the bore."""
        units = US if self.system == "inch" else METRIC
        bore, rod, stroke = (units.show("small length", size) for size in (self.bore, self.rod, self.stroke))
        return (f"{bore} ({self.part})" if self.part else bore), rod, stroke


def read_offered(path: str | Path) -> tuple[OfferedCylinder, ...]:
    """A supplier's cylinders from a CSV file.

    path: file with the columns ``bore``, ``rod``, ``stroke`` and ``closed`` (pin to pin, rod in), each with
        its unit in the name, such as ``bore_mm`` or ``bore_in``; ``part`` and ``rated_bar`` if known. Lines
        that begin with # are notes.
    """
    table = Table(path, _COLUMNS, _WORDS)
    sizes = [table.numbers(kind) for kind in ("bore", "rod", "stroke", "closed", "rated")]
    for line, bore, rod, stroke, closed in zip(table.lines, *sizes[:4], strict=True):
        if rod >= bore:
            table.note(f"Line {line}: the rod is not thinner than the bore.")
        if closed <= stroke:
            table.note(f"Line {line}: closed, it is no longer than its stroke. Closed is pin to pin, rod in.")
    if len(table.lines) > MOST_OFFERED:
        table.note(f"There are {len(table.lines)} cylinders, and at most {MOST_OFFERED} are read.")
    table.refuse()
    inch = table.kinds["bore"][2] == _LENGTHS["in"]
    rows = zip(table.texts("part"), *(each.tolist() for each in sizes), strict=True)
    return tuple(
        OfferedCylinder(*row[:5], "inch" if inch else "metric", row[5] if isfinite(row[5]) else None)  # type: ignore[call-arg]
        for row in rows
    )
