"""What somebody wrote down, from CSV files: digs, load pads, springs on a bench, cylinders that are offered.

Digs are seed depths found behind the drill, pads stand under its wheels and hitch, a spring is lengths and
forces, an offer is bore, rod, stroke and closed length. The unit stands in the column's name.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from pathlib import Path

import numpy as np

from downforce.machine.columns import BY_LINE, BY_ROW, Column, Table
from downforce.machine.shipped import DATA
from downforce.machine.unit_table import KINDS
from downforce.machine.units import METRIC, US
from downforce.physics.checks import GRAVITY
from downforce.physics.kinds import Flags, Metre, Metres, Newtons, Pascal, Pascals, Ratios, Wholes

DIG_EXAMPLE = DATA / "measured" / "dig_sheet.csv"
"""The invented digs that come with the project [-]."""
WHEELS = ("free", "loaded")
"""What turning a gauge wheel by hand finds: no load on it, or some [-]."""
PLACES = ("open", "track")
"""Where a row runs [-]."""

LEAST_PRESSURE, SHALLOWEST = 1e5, 0.008
"""Pressure above nothing [Pa] and middle depth [m] below which a unit is likely wrong; our own limits."""

_DIG_COLUMNS = (
    Column("row", "row"),
    Column("depth", "depth_mm or depth_in", True, KINDS["length"].units, (0.001, 0.15)),
    Column("pressure", "pressure_bar or pressure_psi", True, KINDS["pressure"].units, (0.0, 250e5)),
    Column("wheel", "wheel"),
    Column("place", "place", needed=False),
    Column("notch", "notch", needed=False),
)
_DIG_WORDS = BY_LINE | {
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


def read_dig_sheet(path: str | Path = DIG_EXAMPLE) -> DigSheet:
    """Digs from a CSV file.

    path: file with the columns ``row``, ``depth_mm``, ``pressure_bar`` and ``wheel`` (free or loaded), and if
        wanted ``place`` (open or track) and ``notch``. Other units: ``depth_in``, ``pressure_psi``, ... Lines
        that begin with # are notes. The shipped digs if left out.
    """
    table = Table(path, _DIG_COLUMNS, _DIG_WORDS)
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


LOAD_UNITS = {
    **{unit: KINDS["mass"].units[unit] * GRAVITY for unit in ("kg", "t", "lb")},
    **{unit: KINDS["force"].units[unit] for unit in ("N", "daN", "kN", "lbf", "kgf")},
}
"""Units the load column's name may end with, in newtons [N]."""

OPENERS = ("raised", "on the ground")
"""How the openers may stand; on the ground: without oil pressure or spring, by their own weight [-]."""

HEAVIEST = 50e3 * GRAVITY
"""More than any wheel of a drill carries [N]. Our own limit."""
MOST_READINGS, MOST_PADS, MOST_STATES = 2000, 50, 20
"""Readings, pads and hopper fills of one weighing [-]. Our own limits."""

_PAD_COLUMNS = (
    Column("openers", "openers"),
    Column(
        "hopper", "hopper_percent", True, {"percent": 0.01}, (0.0, 1.0), "{cell!r} must be from 0 to 100."
    ),
    Column("support", "support"),
    Column("load", "load_kg", True, LOAD_UNITS, (0.0, HEAVIEST), "{cell!r} must be {low} to {high}."),
    Column("pad", "pad", needed=False),
    Column("note", "note", needed=False),
)
_PAD_WORDS = BY_ROW | {
    "known": "openers, hopper_percent, support, pad, note, and load with a unit",
    "absent": "there is no column {example!r}. Needed: openers, hopper_percent, support and load with a "
    "unit, such as load_kg.",
    "twice": "there must be one {kind} column, such as {example}; there are {count}.",
    "bad unit": "column {name!r} has the unit {unit!r}, which is unknown. Write for example {example}; "
    "allowed: {allowed}.",
}


class PadProblems(ValueError):
    """Everything wrong with a pad file.

    problems: one sentence each.
    """

    def __init__(self, problems: list[str]):
        self.problems = list(problems)
        super().__init__("\n".join(self.problems))


@dataclass(frozen=True)
class PadReadings:
    """Readings of load pads, one element each.

    support: "hitch", or the name of a wheel.
    openers: "raised" or "on the ground".
    hopper_fill (readings,): share of a full hopper.
    load (readings,): what the pad read.
    row (readings,): row of the file.
    pad: the pad that read it; the support's name where the file names none, for then it has a pad of its own.
    unit: what the file calls the unit of its loads.
    """

    support: tuple[str, ...]
    openers: tuple[str, ...]
    hopper_fill: Ratios
    load: Newtons
    row: Wholes
    pad: tuple[str, ...]
    unit: str = "N"


def read_pads(path: str | Path, supports: Sequence[str] | None = None) -> PadReadings:
    """Pad readings from a CSV file.

    path: file with the columns ``openers``, ``hopper_percent``, ``support`` and a load with its unit in the
        name, such as ``load_kg``. Lines that begin with # are notes. Several readings of one support in one
        state are repeats. A column ``pad`` may name the pad where pads are moved about.
    """
    words = _PAD_WORDS | {"supports": ", ".join(supports or ())}
    table = Table(path, _PAD_COLUMNS, words, _refusal)
    load, hopper_fill = table.numbers("load"), table.numbers("hopper")
    table.check(
        "openers", OPENERS.__contains__, f"{{cell!r}} is not known. Write {OPENERS[0]!r} or {OPENERS[1]!r}."
    )
    if supports is not None:
        table.check("support", supports.__contains__, "the drill has no {cell!r}. It has: {supports}.")
    # A share in place of a percentage: nobody weighs a hopper of one part in a hundred.
    table.flag(
        "hopper",
        (hopper_fill > 0) & (hopper_fill <= 0.01),
        "{cell!r} is next to an empty hopper, for the column is in percent. Write 50 for a half full one, "
        "100 for a full one.",
    )
    table.note(*_too_many(table))
    table.refuse()
    openers, support = tuple(table.texts("openers")), tuple(table.texts("support"))
    pad = tuple(own or name for own, name in zip(table.texts("pad"), support, strict=True))
    unit = table.unit("load")
    return PadReadings(support, openers, hopper_fill, load, np.array(table.lines), pad, unit)


def _too_many(table):
    """More than a weighing has: then another file is read, or a column holds something else."""
    for kind, most in (("pad", MOST_PADS), ("hopper", MOST_STATES)):
        count = len(set(table.texts(kind)))
        if count > most:
            yield f"column {kind} holds {count} different cells, and at most {most} are read."
    if len(table.lines) > MOST_READINGS:
        yield f"there are {len(table.lines)} readings, and at most {MOST_READINGS} are read."


def _refusal(name, problems):
    return PadProblems([f"{name}: {problem}" for problem in problems])


SPRING_EXAMPLE = DATA / "measured" / "spring_bench.csv"
"""The invented readings that come with the project [-]."""
FEWEST_READINGS = 5
"""A line with a kink cannot be told from fewer [-]."""
SHORTEST = 0.06
"""Length that every opener's spring has somewhere [m]. Our own limit."""
MOST_SPRINGS = 100
"""Springs in one file [-]. Our own limit."""
_SCALE_ERROR = 0.05
_MASS = "Column {name!r}: {unit} is a mass. If the scale showed a push, name it "
_SLIPS = {"lb": _MASS + "force_lbf.", "lbs": _MASS + "force_lbf.", "kg": _MASS + "force_kgf."}
_SPRING_COLUMNS = (
    Column("length", "length_mm or length_in", True, KINDS["length"].units, (0.01, 2.0)),
    Column("force", "force_N or force_lbf", True, KINDS["force"].units, (-2e3, 100e3), slips=_SLIPS),
    Column("spring", "spring", needed=False),
)
_SPRING_WORDS = BY_LINE | {
    "things": "readings",
    "known": "length, force, each with its unit, and spring",
    "example": "length_mm,force_N",
    "span": "what an opener's spring can be",
    "bad unit": "Column {name!r} has a unit that is not known here, {unit!r}. Allowed: {allowed}.",
}


@dataclass(frozen=True)
class MeasuredSpring:
    """Readings of one spring, in the order of the file.

    name: what the file calls it.
    length: of the coils, seat to seat.
    spring_force: what the scale showed.
    """

    name: str
    length: Metres
    spring_force: Newtons


def read_measured_springs(path: str | Path = SPRING_EXAMPLE):
    """Springs that were measured, from a CSV file.

    path: file with the columns ``length_mm`` and ``force_N`` (other units: ``length_in``, ``force_lbf``, ...)
        and, for more than one spring, ``spring``. Lines that begin with # are notes. The shipped readings if
        left out.
    Result: by name, in the order of the file.
    """
    table = Table(path, _SPRING_COLUMNS, _SPRING_WORDS)
    length, force = table.numbers("length"), table.numbers("force")
    names = table.texts("spring", "spring")
    table.note(
        *(
            f"Line {line}: the spring has no name. Write one in the column spring."
            for line, name in zip(table.lines, names, strict=True)
            if not name
        )
    )
    places = {}
    for index, name in enumerate(names):
        places.setdefault(name, []).append(index)
    if len(places) > MOST_SPRINGS:
        table.note(f"There are {len(places)} springs, and at most {MOST_SPRINGS} are read from one file.")
    table.refuse()
    springs = {name: MeasuredSpring(name, length[own], force[own]) for name, own in places.items()}
    table.note(*(doubt for spring in springs.values() for doubt in _doubts(spring)))
    table.refuse()
    return springs


def _doubts(spring):
    """What is wrong with the readings of one spring taken together."""
    length, force, problems = spring.length, spring.spring_force, []
    if length.size < FEWEST_READINGS:
        problems.append(
            f"Spring {spring.name!r} has {length.size} readings; at least {FEWEST_READINGS} are needed."
        )
    if (
        np.unique(length).size < min(length.size, FEWEST_READINGS)
        and np.unique(length).size < FEWEST_READINGS
    ):
        problems.append(
            f"Spring {spring.name!r} was read at {np.unique(length).size} lengths only; "
            f"read it at {FEWEST_READINGS} or more."
        )
    if force.min() < -_SCALE_ERROR * max(force.max(), 0.0) - 1e-9:
        problems.append(
            f"Spring {spring.name!r} has a force of {force.min():.0f} N: a compression spring does not pull. "
            "Set the scale to zero with the seat off it and read again."
        )
    if length.max() < SHORTEST:
        problems.append(
            f"Spring {spring.name!r} is never longer than {1e3 * length.max():.3g} mm. Are the lengths "
            "inches or centimetres? Correct the unit in the column's name."
        )
    if force.max() > 0 and force[length.argmin()] <= force[length.argmax()]:
        problems.append(
            f"Spring {spring.name!r} pushes no harder when short than when long. "
            "Give the length of the spring, not how far it was compressed."
        )
    elif force.max() <= 0:
        problems.append(f"Spring {spring.name!r} never pushes: every force is zero.")
    return problems


_LENGTHS = {unit: KINDS["length"].units[unit] for unit in ("mm", "cm", "in")}
_PRESSURES = {unit: KINDS["pressure"].units[unit] for unit in ("bar", "psi", "MPa")}
MOST_OFFERED = 1000
"""Cylinders of one file [-]. Our own limit."""
_OFFER_WORDS = BY_LINE | {
    "known": "part, and with a unit bore, rod, stroke, closed and rated",
    "things": "cylinders",
    "example": "part, bore_mm, rod_mm, stroke_mm, closed_mm",
    "span": "what such a cylinder can be",
}
_OFFER_COLUMNS = (
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
    table = Table(path, _OFFER_COLUMNS, _OFFER_WORDS)
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
