"""Values that may stand in a file and are unlike such a machine or field: told with the result, not refused.

What the reader refuses is impossible. Here a slip is looked for that could be: a digit or a unit lost, a
place moved alone, the oil's area mistaken. Nothing here changes a number.
"""

import csv
import re
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from math import hypot

import numpy as np

from downforce.machine.field import Aim, Soil
from downforce.machine.reading.toml_lines import path_text
from downforce.machine.shipped import table_path
from downforce.machine.unit_table import percent
from downforce.machine.units import allowed_range, likely_meant, parse_quantity, unit_system
from downforce.physics.balance import push_wanted

MOST_SAID = 2
"""Unusual values that are told under each result; the line of the bench tells all [-]."""

FIRM = Soil(900.0)
"""Soil asked for where no field is given; firm no-till, from memory, no source."""

_DEPTH_OFF, _WHEEL_OFF, _ASIDE = 0.030, 0.025, 0.080
_OVER_SECTION, _WINGS_ALIKE, _THIN_PLUNGER, _FAR = 0.6, 1.25, 0.7, 2.0


@dataclass(frozen=True)
class Unusual:
    """One value that is unlike such a machine or field.

    path: where it stands in the file, such as "sections[1].frame_mass".
    said: what was read and what is usual, in a sentence.
    usual: what is usual, in both unit systems.
    """

    path: str
    said: str
    usual: str


def unusual(drill, field=None, units=None):
    """What in a drill and a field is unlike such machines and fields, told in the drill's own units first."""
    units = units or unit_system(drill.units)
    found = []
    for model, row in ((m, row) for m in (drill, field) if m for row in _rows(m.describes)):
        if row["for"] not in ("", "one disc" if drill.opener.discs == 1 else "two discs"):
            continue
        for path, value in _values(model, row["key"].split(".")):
            kind, low, high = _limits(row, drill, path)
            if path == ("soil", "draft_ratio"):
                value = value / model.soil.straw_factor
            if not _inside(value, low, high):
                found.append(_plainly(path_text(path), kind, value, low, high, units))
    told = {_bare(each.path) for each in found}
    for part in (_opener, _pressing, _frame):
        for path, what, kind, value, low, high in part(drill, field):
            if _bare(path) not in told and not _inside(value, low, high):
                found.append(_derived(path, what, kind, value, low, high, units))
    # An area taken for another is the costliest slip, so it is told first.
    return (*_plunger_for_piston(drill, field, units), *found)


def unusual_line(drill, field=None, units=None, most=MOST_SAID):
    """The first of them in a line for beside a result, or all with `most` None; empty where all is usual."""
    found = unusual(drill, field, units)
    said = " ".join(each.said for each in found[:most])
    rest = len(found[most:]) if most else 0
    more = f" And {rest} more, told where drill and field are chosen." if rest else ""
    return f"Unusual, and used as it stands: {said}{more}" if found else ""


def usual_words(model, path, drill, units=None):
    """What is usual for the value at a key path of a drill or field, in words; "" where no table says."""
    blocks = ["*" if isinstance(part, int) else part for part in path]
    keys = (".".join(blocks), ".".join([*blocks[:-1], str(path[-1])]))
    for row in _rows(model.describes):
        fits = row["for"] in ("", "one disc" if drill.opener.discs == 1 else "two discs")
        if row["key"] in keys and fits:
            return _usual(*_limits(row, drill, path), units or unit_system(drill.units))
    return ""


@cache
def _rows(describes):
    with table_path("usual_ranges").open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["file"] == describes]


def _values(part, keys, path=()):
    """Every value at a key path, a star standing for each block; none where it was left out."""
    if part is None:
        return
    if not keys:
        yield path, part
        return
    head, *rest = keys
    if head == "*":
        for place, each in enumerate(part):
            yield from _values(each, rest, (*path, place))
    elif head.isdigit():
        yield from _values(part[int(head)], rest, (*path, int(head)))
    else:
        yield from _values(getattr(part, head), rest, (*path, head))


def _limits(row, drill, path):
    """Kind and usual limits of a value; a mass per width is that of the section's rows, or of all rows."""
    kind = row["kind"]
    if kind == "number":
        return kind, float(row["low"]), float(row["high"])
    low, high = (parse_quantity(row[end], kind) for end in ("low", "high"))
    if kind != "line mass":
        return kind, low, high
    rows = drill.row_count
    if path[0] == "sections":
        # A section that a form offers and nobody has filled in yet is taken to be like the last.
        rows = drill.sections[min(path[1], len(drill.sections) - 1)].openers
    width = rows * drill.row_spacing
    return "mass", low * width, high * width


def _bare(path):
    return re.sub(r"\[\d+\]", "", path)


def _inside(value, low, high):
    slack = 1e-9 * max(abs(low), abs(high))
    return low - slack <= value <= high + slack


def _read(kind, value, units):
    """A value as it was written, as far as four digits go, with the other unit system in brackets."""
    if kind == "number":
        return f"{value:.3g}"
    unit, other = units.unit(kind), units.other
    first = f"{_number(kind, value, units):.10g} {unit}"
    return first if other.unit(kind) == unit else f"{first} ({other.show(kind, value)})"


def _number(kind, value, units):
    return float(f"{float(units.number(kind, value)):.4g}")


def _usual(kind, low, high, units):
    if kind == "number":
        return f"{low:.3g} to {high:.3g}"
    return allowed_range(kind, low, high, units.unit(kind))


def _plainly(path, kind, value, low, high, units):
    usual, meant = _usual(kind, low, high, units), ""
    if kind not in ("number", "temperature") and not low / _FAR <= value <= high * _FAR:
        meant = likely_meant(_number(kind, value, units), units.unit(kind), kind, low, high)
    return Unusual(path, f"{path} is {_read(kind, value, units)}; usual is {usual}.{meant}", usual)


def _derived(path, what, kind, value, low, high, units):
    usual = _usual(kind, low, high, units)
    return Unusual(path, f"{path}: {what} {_read(kind, value, units)}; usual is {usual}.", usual)


def _opener(drill, field):
    """Path, words, kind, value and usual limits of what follows from places that go together."""
    opener = drill.opener
    (x, z), wheel, closing = opener.disc, opener.gauge_wheel, opener.closing_wheel
    length, radius = "length", opener.disc_diameter / 2
    reach = (0.010, 0.090)
    if field:
        reach = (max(field.target_depth - _DEPTH_OFF, 0.0), field.target_depth + _DEPTH_OFF)
    yield "opener.disc", "at working height its edge is in the soil by", length, radius - z, *reach
    yield (
        "opener.gauge_wheel",
        "at working height its lower edge is over the soil surface by",
        *(length, wheel[1] - opener.gauge_wheel_diameter / 2, -_WHEEL_OFF, _WHEEL_OFF),
    )
    aside = "the gauge wheel beside it has its axle further back by"
    yield "opener.disc", aside, length, wheel[0] - x, -_ASIDE, _ASIDE
    yield "opener.closing_wheel", "it runs behind the disc by", length, closing[0] - x, 0.15, 0.9
    if opener.linkage == "trailing arm":
        front, rear, usual = opener.pivot, opener.disc, (0.45, 0.75)
    else:
        front, rear, usual = opener.lower_frame_pin, opener.lower_opener_pin, (0.25, 0.45)
    arm = hypot(rear[0] - front[0], rear[1] - front[1])
    owner = "opener.disc" if rear is opener.disc else "opener.lower_opener_pin"
    yield owner, "the arm or link from the frame to it measures", length, arm, *usual
    top = max(front[1], (opener.upper_frame_pin or front)[1], z + radius)
    centre = opener.mass_centre
    yield "opener.mass_centre", "it stands behind the pivot by", length, centre[0], front[0], closing[0]
    yield "opener.mass_centre", "it stands over the soil surface by", length, centre[1], 0.0, top


def _pressing(drill, _field):
    opener, hydraulics = drill.opener, drill.hydraulics
    for name in ("spring", "cylinder"):
        lever = float(getattr(drill, name).leverage(opener, 0.0))
        yield f"{name}.mount", "newtons at the disc for one newton along it:", "number", lever, 0.08, 0.75
    force = float(drill.spring.down_force(opener, 0.0))
    # Common practice: 700 to 2200 N at the disc; light double discs and soft springs go lower.
    yield "spring.coils", "at working height they press the disc with", "force", force, 350.0, 2500.0
    scale, most = hydraulics.gauge.full_scale, hydraulics.valve.max_pressure
    yield "hydraulics.gauge.full_scale", "the dial ends at", "pressure", scale, 1.1 * most, 2.5 * most


def _frame(drill, _field):
    wide, openers = "large length", [section.openers for section in drill.sections]
    edges = np.concatenate([[0.0], np.cumsum(openers)]) * drill.row_spacing - drill.width / 2
    for place, (ahead, behind) in enumerate(pairwise(drill.rank_x), start=1):
        yield f"rank_x[{place + 1}]", "it runs behind the rank before it by", wide, behind - ahead, 0.4, 1.8
    for place, section in enumerate(drill.sections):
        words = f'the middle of the mass of "{section.name}" is right of the drill\'s middle by'
        within = float(edges[place]), float(edges[place + 1])
        yield f"sections[{place + 1}].frame_centre", words, wide, section.frame_centre[1], *within
    for place, wheel in enumerate(drill.wheels):
        at = drill.section_index(wheel.section)
        within = float(edges[at]) - _OVER_SECTION, float(edges[at + 1]) + _OVER_SECTION
        words = f'this wheel of "{wheel.section}" is right of the drill\'s middle by'
        yield f"wheels[{place + 1}].y", words, wide, wheel.y, *within
    for place in range(len(drill.sections) // 2):
        left, right = drill.sections[place], drill.sections[-1 - place]
        like = right.frame_mass / right.openers * left.openers
        words = f'beside "{right.name}" the frame of "{left.name}" weighs'
        usual = like / _WINGS_ALIKE, like * _WINGS_ALIKE
        yield f"sections[{place + 1}].frame_mass", words, "mass", left.frame_mass, *usual


def _plunger_for_piston(drill, field, units):
    """A plunger all but fills its bore; the rod of a piston is about half as thick."""
    cylinder, opener = drill.cylinder, drill.opener
    if cylinder.works.acting == "bore" or cylinder.rod >= _THIN_PLUNGER * cylinder.bore:
        return
    soil, aim = (field.opener_soil, field.aim) if field else (FIRM, Aim())
    push = push_wanted(
        *(opener.shares(0.0, 0.0), opener.weight, opener.closing_load, soil.target_reaction),
        *(soil.draft_ratio, aim.gauge_wheel_load),
    )
    rod, bore = (_read("small length", each, units) for each in (cylinder.rod, cylinder.bore))
    thin, full = (
        units.both("pressure", float(replace(cylinder, kind=kind).pressure_for(opener, push)))
        for kind in ("plunger", "piston")
    )
    usual = f"a plunger of {percent(_THIN_PLUNGER)} of its bore or more"
    yield Unusual(
        "cylinder.kind",
        f'cylinder.kind is "plunger", so the oil presses on {rod}, not on the bore of {bore}: it takes '
        f'{thin} where a piston takes {full}. Usual is {usual}. Did you mean "piston"?',
        usual,
    )
