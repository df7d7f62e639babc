"""Values that may stand in a file and are unlike such a machine or field: told with the result, not refused.

What the reader refuses is impossible. Here a slip is looked for that could be: a digit or a unit lost, a
place moved alone, the oil's area mistaken. Nothing here changes a number.

Then whether a drill stands with its openers off the ground, and whether a field's terraces have room: a drill
becomes the frame and the weights of `downforce.physics.frame`, with its signs: forces positive downward.
"""

import csv
import math
import re
from dataclasses import dataclass, replace
from functools import cache, lru_cache, partial
from itertools import pairwise
from math import hypot

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Aim, Soil
from downforce.machine.reading.toml_lines import path_text
from downforce.machine.shipped import table_path
from downforce.machine.unit_table import percent
from downforce.machine.units import METRIC, allowed_range, likely_meant, parse_quantity, unit_system
from downforce.physics.balance import push_wanted
from downforce.physics.checks import GRAVITY, between
from downforce.physics.frame import FrameLoad, FrameModel, slope_loads
from downforce.physics.frame_supports import wheel_loads
from downforce.physics.ground_section import (
    TerraceSection,
    balanced_channel_depth,
    broad_base,
    grassed_back_slope,
    narrow_base,
)
from downforce.physics.kinds import NewtonMetre, Radian, Ratio

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


@cache
def _limit(text, kind):
    """Kept, because every rebuild of a page asks for every row."""
    return float(text) if kind == "number" else parse_quantity(text, kind)


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
    low, high = (_limit(row[end], kind) for end in ("low", "high"))
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


@lru_cache(64)
def frame_model(drill: Drill) -> FrameModel:
    """The drill's sections, hinges, wheels and hitch.

    Result: for the frame physics; the hitch pin is at x = 0, y = 0.
    """
    wheels = drill.wheels
    return FrameModel(
        section_count=len(drill.sections),
        hitched_section=drill.section_index(drill.hitch.section),
        hinge_y=np.array([hinge.y for hinge in drill.hinges]),
        wheel_section=np.array([drill.section_index(wheel.section) for wheel in wheels]),
        wheel_x=np.array([wheel.x for wheel in wheels]),
        wheel_y=np.array([wheel.y for wheel in wheels]),
        wheel_stiffness=np.array([wheel.stiffness for wheel in wheels]),
        hitch_x=drill.hitch.x,
        hitch_holds=not drill.hitch.floats,
    )


def standing_load(
    drill: Drill,
    hopper_fill: Ratio = 0.0,
    side_slope: Radian = 0.0,
    grade: Radian = 0.0,
    with_openers=True,
    fold_moment: NewtonMetre | None = None,
) -> FrameLoad:
    """Weights and fold moments that act on the frame whatever the openers do.

    hopper_fill: share of a full hopper.
    side_slope: positive when the right side is the lower one.
    grade: positive when the drill is pulled uphill.
    fold_moment (..., hinges): moment of the fold cylinders in place of the drill's own.
    Result: one force for each section, hopper, ballast and opener.
    """
    fill = between("hopper_fill", hopper_fill, 0.0, 1.0)
    masses = [(section.name, section.frame_mass, section.frame_centre) for section in drill.sections]
    masses += [(load.section, load.mass, load.centre) for load in drill.ballast]
    fixed = np.array([mass for _, mass, _ in masses])
    seed = np.array([load.mass for load in drill.hoppers])
    masses += [(load.section, load.mass, load.centre) for load in drill.hoppers]
    section = np.array([drill.section_index(name) for name, _, _ in masses])
    x, y, z = np.array([centre for _, _, centre in masses]).T
    mass = np.concatenate(
        [np.broadcast_to(fixed, (*fill.shape, fixed.size)), fill[..., None] * seed], axis=-1
    )
    if with_openers:
        opener = drill.opener
        section = np.concatenate([section, drill.row_section])
        x = np.concatenate([x, drill.row_x + opener.mass_centre[0] - opener.disc[0]])
        y = np.concatenate([y, drill.row_y])
        z = np.concatenate([z, np.full(drill.row_count, opener.mass_centre[1])])
        own = np.full((*fill.shape, drill.row_count), opener.mass)
        mass = np.concatenate([mass, own], axis=-1)
    slope = slope_loads(mass * GRAVITY, z, side_slope, grade, drill.hitch.height)
    roll = np.stack([slope.roll_moment[..., section == k].sum(-1) for k in range(len(drill.sections))], -1)
    return FrameLoad(
        section,
        x,
        y,
        slope.force,
        pitch_moment=slope.pitch_moment.sum(-1),
        roll_moment=roll,
        fold_moment=np.array([h.fold_moment for h in drill.hinges]) if fold_moment is None else fold_moment,
    )


def falls(drill):
    """Why a drill cannot stand by itself, level, its openers raised: (key path, sentence), or nothing.

    Looked at empty and, with hoppers, full; between these it stands where it stands at both.
    """
    for fill, words in ((0.0, "empty"), (1.0, "with full hoppers"))[: 1 + bool(drill.hoppers)]:
        standing = standing_load(drill, fill)
        found = wheel_loads(frame_model(drill), standing)
        if found.regime >= 2:
            loose = [place for place, moves in enumerate(found.loose_section) if moves]
            place, why = _why_it_falls(drill, standing, loose, words)
            yield f"sections.{place}", why
            return


def _why_it_falls(drill, standing, loose, words):
    wide = partial(METRIC.both, "large length")
    hitched = drill.section_index(drill.hitch.section)
    place = next((one for one in loose if _overhangs(drill, standing, one, hitched)), loose[0])
    section = drill.sections[place]
    x, y = (wide(_middle(standing, place, along)) for along in (standing.x, standing.y))
    wheels = [(wheel.x, wheel.y) for wheel in drill.wheels if wheel.section == section.name]
    stand = "are none"
    if wheels:
        back, right = (" and ".join(dict.fromkeys(map(wide, along))) for along in zip(*wheels, strict=True))
        stand = f"stand {back} behind the pin and {right} right of the middle"
    return place, (
        f'{words} and with its openers raised the drill cannot stand: what weighs on "{section.name}" stands '
        f"{x} behind the hitch pin and {y} right of the middle; its own wheels {stand}. Check the places of "
        f"wheels and masses{', and the fold moments' if drill.hinges else ''}. Left is negative."
    )


def _middle(standing, place, along):
    here = standing.section == place
    return float(standing.force[here] @ along[here] / standing.force[here].sum())


def _overhangs(drill, standing, place, hitched):
    """Whether a section's weight stands beside its wheels and the hinge toward the hitch."""
    held = [wheel.y for wheel in drill.wheels if wheel.section == drill.sections[place].name]
    if place != hitched:
        held.append(drill.hinges[place if place < hitched else place - 1].y)
    return not held or not min(held) <= _middle(standing, place, standing.y) <= max(held)


_SECTIONS = {"broad-base": broad_base, "grassed back slope": grassed_back_slope, "narrow base": narrow_base}


def terrace_section(terrace):
    """Cross-section of a field file's terrace, usual or balanced where the file leaves a measure out.

    The crest arc rises to the ridge height; where the radii would round away the faces they are as large as
    there is room for. Without a channel depth cut and fill are the same.
    """
    usual = _SECTIONS[terrace.kind]()
    front, back = 1 / terrace.front_slope, 1 / terrace.back_slope
    cut = 1 / terrace.cut_slope if terrace.cut_slope else min(usual.cut_slope, front)
    land = terrace.land_slope
    if land is None:
        land = min(usual.land_slope, min(front, back, cut) / 2)
    front_angle, turn = math.atan(front), math.atan(front) + math.atan(back)
    tangent = math.tan(turn / 2)
    # What a crest of radius 1 m takes off the corner it rounds.
    cut_off = tangent * math.sin(front_angle) - (1 - math.cos(front_angle))
    # The steeper side is the shorter one; its half of the crest arc must leave room for the toe.
    steeper = math.sin(math.atan(max(front, back)))
    radius = min(terrace.crest_radius, 0.85 * terrace.ridge_height / (steeper * tangent - 0.85 * cut_off))
    toe = terrace.toe_radius
    while True:
        measures = {
            "land_slope": land,
            "front_slope": front,
            "back_slope": back,
            "cut_slope": cut,
            "ridge_height": terrace.ridge_height + radius * cut_off,
            "channel_width": terrace.channel_width,
            "top_width": 0.0,
            "crest_radius": radius,
            "toe_radius": toe,
        }
        depth = terrace.channel_depth
        try:
            if depth is None:
                depth = balanced_channel_depth(**measures)
            return TerraceSection(**measures, channel_depth=depth)
        except ValueError:
            if toe < 1e-3:
                raise
            toe, radius = toe / 2, radius * 0.95


def crowded(field):
    """Why a field's terraces cannot be built as they are described: (key path, sentence), or nothing."""
    if field.terrace is None:
        return
    try:
        start, end = terrace_section(field.terrace).extent
    except ValueError as problem:
        yield "terrace", str(problem)
        return
    if end - start > field.terrace.spacing:
        built, apart = (METRIC.both("large length", each) for each in (end - start, field.terrace.spacing))
        yield (
            "terrace.spacing",
            f"with its channel and its round corners one terrace is {built} wide, and the next begins after "
            f"{apart}. Space them wider, or give a lower ridge, steeper slopes or a smaller crest_radius.",
        )
