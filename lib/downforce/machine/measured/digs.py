"""A dig sheet: seed depths found behind the drill, a CSV file with the unit in every column's name."""

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from downforce.machine.measured.columns import BY_LINE, Column, Table
from downforce.machine.shipped import DATA
from downforce.machine.unit_table import KINDS
from downforce.physics.kinds import Flags, Metres, Pascal, Pascals, Wholes

EXAMPLE = DATA / "measured" / "dig_sheet.csv"
"""The invented digs that come with the project [-]."""
WHEELS = ("free", "loaded")
"""What turning a gauge wheel by hand finds: no load on it, or some [-]."""
PLACES = ("open", "track")
"""Where a row runs [-]."""

LEAST_PRESSURE, SHALLOWEST = 1e5, 0.008
"""Pressure above nothing [Pa] and middle depth [m] below which a unit is likely wrong; our own limits."""

_COLUMNS = (
    Column("row", "row"),
    Column("depth", "depth_mm or depth_in", True, KINDS["length"].units, (0.001, 0.15)),
    Column("pressure", "pressure_bar or pressure_psi", True, KINDS["pressure"].units, (0.0, 250e5)),
    Column("wheel", "wheel"),
    Column("place", "place", needed=False),
    Column("notch", "notch", needed=False),
)
_WORDS = BY_LINE | {
    "things": "digs",
    "known": "row, depth and pressure with their unit, wheel, place, notch",
    "example": "row,depth_mm,pressure_bar,wheel",
}


@dataclass(frozen=True)
class DigSheet:
    """Digs, one element for each seed, in the order of the file.

    name: name of the file.
    row: row number from the left, first is 1.
    depth: from the soil surface, straw brushed aside, to the seed.
    gauge_pressure: setting while the seed went in.
    free: whether the gauge wheel of that row turned freely, the drill stopped and not lifted.
    in_track: whether the row ran in a wheel track.
    notch: setting of the depth stop as it was written down; empty where it was not.
    """

    name: str
    row: Wholes
    depth: Metres
    gauge_pressure: Pascals
    free: Flags
    in_track: Flags
    notch: tuple[str, ...]

    @property
    def settings(self) -> Pascal:
        """Pressures that were dug at, from the lowest up."""
        return np.unique(self.gauge_pressure)


def read_dig_sheet(path: str | Path = EXAMPLE) -> DigSheet:
    """Digs from a CSV file.

    path: file with the columns ``row``, ``depth_mm``, ``pressure_bar`` and ``wheel`` (free or loaded), and if
        wanted ``place`` (open or track) and ``notch``. Other units: ``depth_in``, ``pressure_psi``, ... Lines
        that begin with # are notes. The shipped digs if left out.
    """
    table = Table(path, _COLUMNS, _WORDS)
    depth, pressure = table.numbers("depth"), table.numbers("pressure")
    table.check(
        "row",
        re.compile("0*[1-9][0-9]{0,3}").fullmatch,
        "{cell!r} is no row number. Count rows from the left; the first is 1.",
    )
    for kind, words in (("wheel", WHEELS), ("place", PLACES)):
        table.check(
            kind, lambda cell, of=words: cell.lower() in of, f"{{cell!r}} is not {' or '.join(words)}."
        )
    table.flag(
        "pressure",
        (pressure > 0) & (pressure < LEAST_PRESSURE),
        "{cell!r} is next to no pressure. Is the unit in the column's name right? Write 0 for none.",
    )
    table.refuse()
    if np.median(depth) < SHALLOWEST:
        table.note(
            f"Half of the seeds lie less than {1e3 * SHALLOWEST:g} mm deep. Are the depths inches or "
            "centimetres? Correct the unit in the column's name."
        )
    table.refuse()
    row = [int(cell) for cell in table.texts("row")]
    wheel = [cell.lower() for cell in table.texts("wheel")]
    place = [cell.lower() for cell in table.texts("place", PLACES[0])]
    table.note(*_contradictions(zip(table.lines, row, pressure, wheel, place, strict=True)))
    table.refuse()
    return DigSheet(
        table.name,
        np.array(row),
        depth,
        pressure,
        np.array(wheel) == "free",
        np.array(place) == "track",
        tuple(table.texts("notch")),
    )


def _contradictions(digs):
    """Seeds of one row at one setting that disagree about the wheel or the place."""
    first, problems = {}, []
    for line, row, pressure, wheel, place in digs:
        known = first.setdefault((row, pressure), (line, wheel, place))
        if known[1:] != (wheel, place):
            problems.append(
                f"Line {line}: row {row} is {wheel}, {place} here, but {known[1]}, {known[2]} in line "
                f"{known[0]} at the same pressure. A row has one wheel and one place."
            )
    return problems
