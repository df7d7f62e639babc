"""Whether the parts of a drill fit together: sections, hinges, wheels, and the oil that feeds them."""

from dataclasses import replace
from difflib import get_close_matches
from functools import partial
from itertools import pairwise

import numpy as np

from downforce.machine.reading.checks import OPENER_CHECKS
from downforce.machine.reading.model_reader import checks_in, counted, needs
from downforce.machine.units import METRIC
from downforce.physics.frame import FrameModel

_length = partial(METRIC.both, "length")
_wide = partial(METRIC.both, "large length")
_pressure = partial(METRIC.both, "pressure")
_mass = partial(METRIC.both, "mass")
_mass_per_width = partial(METRIC.both, "line mass")

_MASS_PER_WIDTH = (250.0, 3000.0)
_WIDEST = 30.0
_HINGE_FROM_SEAM = 1.0
_BESIDE_DRILL = 1.5
_BEHIND_DRILL = 2.0


@needs("sections.*.name")
def section_names_differ(names):
    """Two sections of one name could not be told apart."""
    for place, name in enumerate(names):
        if name in names[:place]:
            yield f"sections.{place}.name", f'a second section is called "{name}". Give each its own name.'


@needs("sections.*.name", "hitch.section")
def hitch_on_a_section(names, section):
    """The drawbar is on a section that exists."""
    yield from _known("hitch.section", section, names)


@needs("sections.*.name", "wheels.*.section")
def wheels_on_sections(names, sections):
    """Each wheel is on a section that exists."""
    for place, section in enumerate(sections):
        yield from _known(f"wheels.{place}.section", section, names)


@needs("sections.*.name", "hoppers.*.section", "ballast.*.section")
def loads_on_sections(names, hoppers, ballast):
    """Each hopper and each ballast is on a section that exists."""
    for owner, sections in (("hoppers", hoppers), ("ballast", ballast)):
        for place, section in enumerate(sections):
            yield from _known(f"{owner}.{place}.section", section, names)


@needs("sections.*.name", "frame_cylinders.*.section", "frame_cylinders.*.moves")
def frame_cylinders_on_sections(names, sections, moves):
    """Each is on a section that exists; a frame in one piece does not fold."""
    for place, (section, move) in enumerate(zip(sections, moves, strict=True)):
        yield from _known(f"frame_cylinders.{place}.section", section, names)
        if move == "fold" and len(names) == 1:
            yield (
                f"frame_cylinders.{place}.moves",
                'a frame of one section does not fold. Write "lift", or remove the block.',
            )


@needs("sections.*.name", "sections.*.openers", "rank_x", "springs_kept.sections", "springs_kept.ranks")
def springs_kept_on_rows(names, openers, rank_x, sections, ranks):
    """Springs are kept on sections and ranks that exist, and some rows are left for the gauge to move."""
    for place, section in enumerate(sections):
        yield from _known(f"springs_kept.sections.{place}", section, names)
    for place, rank in enumerate(ranks):
        if rank > len(rank_x):
            yield (
                f"springs_kept.ranks.{place}",
                f"there is no rank {rank}: rank_x lists {counted(len(rank_x), 'rank')}, the front one is 1.",
            )
    on = np.isin(np.repeat(names, openers), sections)
    if np.all(on | np.isin(np.arange(sum(openers)) % len(rank_x) + 1, ranks)):
        yield (
            "springs_kept",
            "every row keeps its springs, so there is none left for the gauge to move. Take out the sections "
            "or ranks that get cylinders.",
        )


@needs(
    "sections.*.name",
    "hitch.section",
    "hitch.kind",
    "hinges.*.y",
    "wheels.*.section",
    "wheels.*.x",
    "wheels.*.y",
)
def sections_that_stand(names, hitched, kind, hinges, sections, x, y):
    """A section that hangs on one free hinge needs a wheel of its own; a rigid frame needs two."""
    if not {hitched, *sections} <= set(names) or min(x) <= 0:
        return
    outer = [place for place in (0, len(names) - 1) if names[place] not in sections]
    if len(names) == 1 and len(set(y)) < 2:
        yield (
            "wheels",
            "a frame in one piece needs wheels at two places across its width, or it falls over.",
        )
    elif outer and len(names) > 1:
        for place in outer:
            yield (
                f"sections.{place}",
                f'section "{names[place]}" has no wheel, and its hinge is free. '
                "Add a [[wheels]] block for it.",
            )
    elif len(hinges) == len(names) - 1 and all(left < right for left, right in pairwise(hinges)):
        on = [names.index(section) for section in sections]
        frame = FrameModel(len(names), names.index(hitched), hinges, on, x, y, 1.0)
        found = list(_held(names, frame))
        yield from found
        floating = replace(frame, hitch_holds=False)
        if kind == "floating" and not found and any(_held(names, floating)):
            yield (
                "hitch.kind",
                "a floating hitch carries nothing, and by themselves the wheels listed do not hold the frame "
                "level. Add [[wheels]] in front, such as castors or lift-assist wheels, or write "
                'kind = "rigid".',
            )


def _held(names, frame):
    """Inner sections may hang on their neighbours; but no section may move while hitch and wheels stay."""
    wheels = np.bincount(frame.wheel_section, minlength=len(names))
    loose = [place for place in range(len(names)) if frame.moves_freely(place)]
    middle = frame.hitched_section
    left, right = ([p for p in loose if p < middle], [p for p in loose if p > middle])
    for parts in [loose] if middle in loose else [left, right]:
        fewest = [place for place in parts if wheels[place] == wheels[parts].min()]
        for place in fewest[:1]:
            yield (
                f"sections.{place}",
                "with hitch and wheels as listed nothing holds the frame level: it "
                f"{'folds at its hinges' if len(names) > 1 else 'tips over'}. Add "
                f"a [[wheels]] block for {_listed(names, fewest)}, beside the wheels that are there.",
            )


@needs("sections.*.frame_centre")
def sections_from_left_to_right(centres):
    """Sections are listed from left to right."""
    for place in range(1, len(centres)):
        if centres[place][1] <= centres[place - 1][1]:
            yield (
                f"sections.{place}.frame_centre",
                "sections are listed from left to right, so y must grow from one to the next. "
                "Left of the middle is negative.",
            )


@needs("sections.*.openers", "sections.*.frame_centre", "row_spacing", "rank_x", "wheels.*.x")
def masses_on_their_sections(openers, centres, row_spacing, ranks, wheels):
    """The middle of a frame's mass lies on that frame."""
    last = max([*ranks, *wheels])
    left = -sum(openers) * row_spacing / 2
    for place, (count, (x, y, _)) in enumerate(zip(openers, centres, strict=True)):
        right = left + count * row_spacing
        if not 0 <= x <= last + _BEHIND_DRILL:
            yield (
                f"sections.{place}.frame_centre",
                f"the mass stands {_wide(x)} behind the hitch pin; the last rank or wheel stands at "
                f"{_wide(last)}.",
            )
        if not left - _BESIDE_DRILL <= y <= right + _BESIDE_DRILL:
            yield (
                f"sections.{place}.frame_centre",
                f"the mass stands {_wide(y)} right of the middle; the rows of this section reach from "
                f"{_wide(left)} to {_wide(right)}.",
            )
        left = right


@needs("sections.*.openers", "hinges.*.y", "row_spacing")
def hinges_between_sections(openers, hinges, row_spacing):
    """One hinge between each two neighbouring sections, from left to right, near the seam of their rows."""
    if len(hinges) != len(openers) - 1:
        yield (
            "hinges",
            f"{counted(len(openers), 'section')} and {counted(len(hinges), 'hinge')}. "
            f"There must be {len(openers) - 1}: one [[hinges]] block between each two neighbours.",
        )
        return
    edge = -sum(openers) * row_spacing / 2
    for place, y in enumerate(hinges):
        edge += openers[place] * row_spacing
        if abs(y - edge) > _HINGE_FROM_SEAM:
            yield (
                f"hinges.{place}.y",
                f"the hinge stands at {_wide(y)}, but the rows of its two sections meet at "
                f"{_wide(edge)}. Hinges are listed from left to right; left is negative.",
            )


@needs("sections.*.openers", "row_spacing", "wheels.*.y", "hydraulics.header.feeds_y")
def things_within_the_width(openers, row_spacing, wheels, feeds):
    """The drill is no wider than such drills, and its wheels and feeds are on it."""
    width = sum(openers) * row_spacing
    if width > _WIDEST + 1e-6:
        yield (
            "row_spacing",
            f"{sum(openers)} rows at {_length(row_spacing)} make a drill "
            f"{_wide(width)} wide. Allowed: up to {_wide(_WIDEST)}.",
        )
        return
    half = _wide(width / 2)
    for place, y in enumerate(wheels):
        if abs(y) > width / 2 + _BESIDE_DRILL:
            yield (
                f"wheels.{place}.y",
                f"the wheel stands {_wide(abs(y))} from the middle; the drill reaches {half} to each side.",
            )
    for place, y in enumerate(feeds):
        if abs(y) > width / 2:
            yield (
                f"hydraulics.header.feeds_y.{place}",
                f"the feed is {_wide(abs(y))} from the middle; the drill reaches {half} to each side.",
            )


@needs("rank_x", "wheels.*.x")
def places_behind_the_hitch(ranks, wheels):
    """Ranks and wheels are behind the hitch pin, ranks from front to rear."""
    for place, x in enumerate(ranks):
        if x <= 0:
            yield (
                f"rank_x.{place}",
                "the rank stands in front of the hitch pin. x counts rearward from the pin.",
            )
        elif place and x <= ranks[place - 1]:
            yield (
                f"rank_x.{place}",
                "ranks are listed from front to rear, so each number is larger than the last.",
            )
    for place, x in enumerate(wheels):
        if x <= 0:
            yield (
                f"wheels.{place}.x",
                "the wheel stands in front of the hitch pin. x counts rearward from the pin.",
            )


@needs("sections.*.openers", "sections.*.frame_mass", "opener.mass", "row_spacing")
def mass_for_its_width(openers, frame_masses, opener_mass, row_spacing):
    """The whole drill weighs what such drills weigh for their width."""
    rows = sum(openers)
    mass = sum(frame_masses) + rows * opener_mass
    share = mass / (rows * row_spacing)
    if not _MASS_PER_WIDTH[0] <= share <= _MASS_PER_WIDTH[1]:
        least, most = (_mass_per_width(limit) for limit in _MASS_PER_WIDTH)
        yield (
            "sections.0.frame_mass",
            f"frames and openers together weigh {_mass(mass)}, which is "
            f"{_mass_per_width(share)} of width. Allowed: {least} to {most}. "
            "Check frame_mass (without openers), the opener's mass and the number of openers.",
        )


@needs("hydraulics.valve.min_pressure", "hydraulics.valve.max_pressure", "hydraulics.supply.max_pressure")
def valve_range(least, most, supply):
    """The valve has a range and the tractor reaches into it."""
    if most <= least:
        yield (
            "hydraulics.valve.max_pressure",
            f"{_pressure(most)} is not above the lowest setting, {_pressure(least)}.",
        )
    if supply <= least:
        yield (
            "hydraulics.supply.max_pressure",
            f"the tractor gives {_pressure(supply)} at most, and the valve begins at {_pressure(least)}.",
        )


@needs(
    "hydraulics.valve.relief_pressure",
    "cylinder.rated_pressure",
    "hydraulics.header.rated_pressure",
    "hydraulics.drop.rated_pressure",
    "hydraulics.gauge.full_scale",
)
def relief_that_protects(relief, cylinder, header, drop, full_scale):
    """The relief valve opens before anything bursts, and the gauge can show it."""
    rated = (("cylinder", "cylinders", cylinder), ("hydraulics.header", "header", header))
    for place, noun, limit in (*rated, ("hydraulics.drop", "drop hoses", drop)):
        if relief > limit:
            yield (
                "hydraulics.valve.relief_pressure",
                f"the relief valve opens at {_pressure(relief)}, above what the {noun} may carry, "
                f"{_pressure(limit)} ({place}.rated_pressure). Set it lower or fit stronger parts.",
            )
    if full_scale < relief:
        yield (
            "hydraulics.gauge.full_scale",
            f"the dial ends at {_pressure(full_scale)}, below the relief valve's "
            f"{_pressure(relief)}: the gauge would be overrun. Fit one with a larger scale.",
        )


@needs("hydraulics.oil.viscosity_40", "hydraulics.oil.viscosity_100")
def oil_that_thins(viscosity_40, viscosity_100):
    """Oil is thinner hot than warm."""
    if viscosity_100 >= viscosity_40:
        yield (
            "hydraulics.oil.viscosity_100",
            "oil is thinner at 100 degC than at 40 degC. Were the two exchanged?",
        )


def _known(path, section, names):
    if section in names:
        return
    listed = ", ".join(f'"{name}"' for name in names)
    close = get_close_matches(section.lower(), [name.lower() for name in names], 1, 0.6)
    meant = next((name for name in names if close and name.lower() == close[0]), None)
    guess = f' Did you mean "{meant}"?' if meant else ""
    yield path, f'there is no section "{section}". Sections here: {listed}.{guess}'


def _listed(names, places):
    *most, last = (f'"{names[place]}"' for place in places)
    return f"{', '.join(most)} or {last}" if most else last


DRILL_CHECKS = (*OPENER_CHECKS, *checks_in(globals()))
"""Checks of a whole drill, run on a file's values [-]."""
