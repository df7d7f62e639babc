"""What the form stands on: small parts, drawings with the tape, load pads as answers, the yard sheet.

What the pads say of masses and centres goes into the file with its uncertainty. The sheet for the yard has
every question, the drawing of where to hold the tape, and a line for the answer.
"""

from pathlib import Path

import numpy as np
from ipywidgets import Button, Layout

from downforce.machine.doubts import value_at
from downforce.machine.drill import Drill
from downforce.machine.files import check_place, write_file
from downforce.machine.quantity import Quantity
from downforce.machine.reading.tape import Question, measured, questions
from downforce.machine.reading.toml_lines import path_text
from downforce.machine.reading.writer import Draft
from downforce.machine.readings import read_pads
from downforce.machine.shipped import shipped_drills
from downforce.machine.unit_table import UnitSystem
from downforce.machine.units import unit_system
from downforce.physics.kinds import Metre, Millimetre, Ratio
from downforce.study.frame.loads import wheel_names
from downforce.study.frame.weighing import likely_unit, weighing
from downforce.study.setup_card import paper_size
from downforce.workbook import style
from downforce.workbook.canvas import PlainFigure
from downforce.workbook.card.page import INCH, PageWords, draw_rules, pdf
from downforce.workbook.card.sheet import LEADING, POINT, Rule, text_line, wrapped
from downforce.workbook.drawing_gauge import plan
from downforce.workbook.drawing_opener import OpenerDrawing
from downforce.workbook.markup import element, join
from downforce.workbook.style import WARNING

LABEL = "140px"
"""Room for the words beside a control, as CSS writes a length [-]."""


def marked(question):
    """Key path whose mark says whether the answer is assumed."""
    return {"rows": ("sections", 0, "openers"), "gap": ("rank_x", 1)}.get(question.along, question.path)


def short(question):
    """What a question is called in the list."""
    return path_text(question.path) if question.page == "all" else question.ask


def button(words, tip):
    """A button as wide as its words."""
    return Button(description=words, tooltip=tip, layout=Layout(width="auto", margin="2px"))


def warning(sentences):
    """Sentences in the colour of warnings, as HTML; nothing for none."""
    if not sentences:
        return join()
    items = (element("p", each, style="margin:2px 0") for each in sentences)
    return element("div", *items, role="status", style=f"color:{WARNING};line-height:1.5")


def take_pads(draft: Draft, path: str | Path, units: UnitSystem):
    """Weigh a drill by a file of pad readings and put the answer into its file."""
    drill = draft.model
    readings = read_pads(path, ("hitch", *wheel_names(drill)))
    found, likely = weighing(drill, readings), likely_unit(drill, readings)
    answers = {}
    for place in range(len(drill.sections)):
        answers["sections", place, "frame_mass"] = found.frame_mass[place], found.frame_mass_spread[place]
        answers["sections", place, "frame_centre", 0] = found.centre_x, found.centre_x_spread  # type: ignore[index]
    hitched = drill.section_index(drill.hitch.section)
    answers["sections", hitched, "frame_centre", 1] = found.centre_y, found.centre_y_spread  # type: ignore[index]
    if found.opener_mass_spread:
        answers["opener", "mass"] = found.opener_mass, found.opener_mass_spread  # type: ignore[index]
    for place, mass in enumerate(found.hopper_mass):
        answers["hoppers", place, "mass"] = mass, found.hopper_mass_spread[place]
    for path_, (value, spread) in answers.items():
        kind = "mass" if path_[-1] in ("frame_mass", "mass") else "large length"
        # A sixth digit of the spread would say nothing; zero would be refused.
        near, wide = (float(f"{float(units.number(kind, each)):.5g}") for each in (value, max(spread, 1e-3)))
        draft.put(path_, f"{near:g} {units.unit(kind)} ± {wide:.2g} {units.unit(kind)}", "weighed")
    draft.read()
    taken = ", ".join(
        f"{name} {units.show('mass', mass)}"
        for name, mass in zip(found.sections, found.frame_mass, strict=True)
    )
    slip = ""
    if likely is not None:
        other = units.show("mass", weighing(drill, likely[1]).total_mass)
        slip = (
            f" Is this in {readings.unit}? The empty drill weighs {units.show('mass', found.total_mass)} by "
            f"these pads and {units.show('mass', drill.total_mass())} by its file before. If they showed "
            f"{likely[0]}, name the column load_{likely[0]}: {other} then."
        )
    return f"Taken from the pads, without openers and seed: {taken}.{slip}"


TAPE = "#b04a00"
_SHORT = 0.15
"""Share of the picture below which a tape is short [-]."""
_ASIDE = 0.10
"""How far beside the opener an upright tape hangs [m]."""


class TapeDrawing:
    """Both views, and one tape that moves with question and travel.

    questions: whose tapes are drawn at once, with their numbers; none in the form, which moves one.
    within: part of the figure it takes: left, bottom, width, height.
    """

    def __init__(
        self,
        drill: Drill,
        units: UnitSystem,
        questions=(),
        within: tuple[Ratio, Ratio, Ratio, Ratio] = (0.0, 0.0, 1.0, 1.0),
        first=1,
    ):
        self.drill, self.units, self._questions = drill, units, questions
        self._within, self._first = within, first

    def setup(self, figure):
        """Make every artist; returned are those that move."""
        # Fixed places: to find a layout costs as much as to draw, and an answer makes a new picture.
        left, bottom, width, height = self._within
        side, above = (
            figure.add_axes([left + x * width, bottom + y * height, w * width, h * height])
            for x, y, w, h in ((0.005, 0.01, 0.56, 0.98), (0.65, 0.14, 0.34, 0.74))
        )
        self._side, self._above = side, above
        self._opener = OpenerDrawing(self.drill.opener, [self.drill.spring, self.drill.cylinder], self.units)
        moving = self._opener.setup(side)
        plan(above, self.drill, self.units, names=False)
        self._tapes = [_Tape(axes) for axes in (side, above)]
        taken = [], []
        for number, question in enumerate(self._questions, self._first):
            view, ends = tape_ends(self.drill, question, 0.0)
            if ends:
                tape = _Tape((side, above)[view])
                taken[view].append(tape.hold(self._seen(view, ends), str(number), taken[view]))
        return [*moving, *(artist for tape in self._tapes for artist in tape.artists)]

    def update(self, result):
        """Show (travel [m], question or None, words of the tape)."""
        travel, question, words = result
        self._opener.move(travel, self.drill.spring)
        view, ends = tape_ends(self.drill, question, travel) if question else (0, None)
        for place, tape in enumerate(self._tapes):
            if ends and place == view:
                tape.hold(self._seen(view, ends), words)
            else:
                tape.away()

    def _seen(self, view, ends):
        if view == 0:
            return ends
        return [tuple(float(self.units.number("large length", part)) for part in end) for end in ends]


_SHARES = (0.5, 0.2, 0.8, 0.35, 0.65)
"""Where on a tape its number may stand, the first that is free [-]."""
_NUMBER = (0.09, 0.08)
"""Room of a number, as shares of width and height of the view [-]."""


class _Tape:
    """A line with a stop at both ends and a number on it."""

    def __init__(self, axes):
        self._axes = axes
        look = {"color": TAPE, "linewidth": 2.2, "solid_capstyle": "butt", "clip_on": False}
        (self._line,) = axes.plot([], [], marker="|", markersize=12, markeredgewidth=2.2, zorder=20, **look)
        box = {"boxstyle": "round,pad=0.2", "facecolor": "white", "edgecolor": TAPE}
        self._text = axes.text(
            0, 0, "", color=TAPE, fontsize=style.SMALL, ha="center", va="center", zorder=21, bbox=box
        )
        self.artists = [self._line, self._text]
        self.away()

    def hold(self, ends, words, taken=()):
        """Lay it from end to end.

        taken: places of numbers on which its own may not lie.
        Result: place of its number.
        """
        (x1, z1), (x2, z2) = ends
        self._line.set_data([x1, x2], [z1, z2])
        # The stops stand across the tape.
        self._line.set_marker("|" if abs(x2 - x1) >= abs(z2 - z1) else "_")
        # A number would hide a short tape, so it stands beside it.
        (left, right), (low, high) = self._axes.get_xlim(), self._axes.get_ylim()
        short = np.hypot((x2 - x1) / (right - left), (z2 - z1) / (high - low)) < _SHORT
        aside = _SHORT * (right - left) if short else 0
        places = [(x1 + share * (x2 - x1) + aside, z1 + share * (z2 - z1)) for share in _SHARES]

        def clear(place):
            apart = np.subtract(place, np.reshape(taken, (-1, 2))) / (right - left, high - low)
            return (np.abs(apart) > _NUMBER).any(axis=1).all()

        place = next(filter(clear, places), places[0])
        self._text.set_position(place)
        self._text.set_text(words)
        for artist in self.artists:
            artist.set_visible(True)
        return place

    def away(self):
        for artist in self.artists:
            artist.set_visible(False)


def tape_ends(drill: Drill, question: Question, travel: Metre = 0.0):
    """Where the tape is held.

    Result: 0 for the view from the side and 1 for that from above, with both ends; None where no tape is
        held.
    """
    if question.path[0] in _ABOVE or question.along in ("rows", "ranks", "gap"):
        return 1, _from_above(drill, question)
    return 0, _from_the_side(drill, question, travel)


_ABOVE = ("row_spacing", "sections", "hinges", "wheels", "hoppers", "ballast", "rank_x", "hitch")


def _from_the_side(drill, question, travel):
    opener = drill.opener

    def at(place):
        part, member = value_at(drill, place), opener.body
        if place[-1] == "moving_pin":
            member = getattr(drill, place[0]).mount.moves_with
        elif place[-1] in ("frame_pin", "pivot", "lower_frame_pin", "upper_frame_pin"):
            return part
        return tuple(float(each) for each in opener.geometry.point(part, member, travel))

    along = question.along
    if along == "across":
        radius = value_at(drill, question.path) / 2
        x, z = at(question.start)
        # The gauge wheel hides the disc's tape, so its own hangs upright.
        if question.path[-1] == "disc_diameter":
            return [(x - radius, z), (x + radius, z)]
        return [(x, z - radius), (x, z + radius)]
    if question.path == ("opener", "travel_down"):
        x, z = opener.disc
        low = opener.geometry.point(opener.disc, opener.body, -opener.travel_down)
        return [(x + _ASIDE, z), (x + _ASIDE, float(low[1]))]
    if question.path == ("target_depth",):
        x, z = at(("opener", "disc"))
        return [(x, travel), (x, z - opener.disc_diameter / 2)]
    if along not in ("upright", "level", "straight", "ray"):
        return None
    end = at(question.end)
    if question.start == "ground":
        return [(end[0] - _ASIDE, travel), (end[0] - _ASIDE, end[1])]
    start = at(question.start)
    if along == "upright":
        return [(start[0] - _ASIDE, start[1]), (start[0] - _ASIDE, end[1])]
    if along == "level":
        low = min(start[1], end[1]) - _ASIDE
        return [(start[0], low), (end[0], low)]
    return [start, end]


_BLOCKS = ("wheels", "hinges", "sections", "hoppers", "ballast")


def _from_above(drill, question):
    """(right of the middle, behind the hitch pin) of both ends."""
    path, along = question.path, question.along
    y, x = drill.row_y, drill.row_x
    if path[0] in _BLOCKS and len(path) > 1 and path[1] >= len(getattr(drill, path[0])):
        return None  # offered by the form, and not there yet
    if path == ("row_spacing",):
        return [(y[0], drill.rank_x[-1] + 0.4), (y[1], drill.rank_x[-1] + 0.4)]
    if along == "rows":
        return [(y[0], min(x) - 0.4), (y[-1], min(x) - 0.4)]
    if along == "ranks" or along == "gap":
        # Of two ranks both tapes would be one, so each has a side of the drill.
        beside, last = (y[0] - 0.3, -1) if along == "ranks" else (y[-1] + 0.3, min(1, len(drill.rank_x) - 1))
        return [(beside, drill.rank_x[0]), (beside, drill.rank_x[last])]
    if path[0] == "sections" and path[-1] == "openers":
        own = y[drill.row_section == path[1]]
        return [(own[0], min(x) - 0.4), (own[-1], min(x) - 0.4)]
    if path == ("rank_x", 0):
        return [(0.0, 0.0), (0.0, drill.rank_x[0])]
    if path[0] in _BLOCKS and len(path) > 2:
        return _to_a_block(drill, path)
    return None


def _to_a_block(drill, path):
    block = getattr(drill, path[0])[path[1]]
    place = getattr(block, "centre", None) or getattr(block, "frame_centre", None)
    if place is None:
        place = getattr(block, "x", min(drill.rank_x) - 0.5), block.y
    if path[-1] in ("y", 1):
        return [(0.0, place[0]), (place[1], place[0])]
    if path[-1] in ("x", 0):
        return [(place[1], 0.0), (place[1], place[0])]
    return None


def tape_words(units, question, value):
    """What the tape shows, as it stands on it."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if isinstance(value, int | np.integer):
        return str(value)
    return units.show("large length" if question.path[0] in _ABOVE[1:] else "length", value)


_MARGIN = 12.0
_PICTURE = 78.0
_SIZE = 9.0
_TITLES = {"opener": "The opener and the rows", "frame": "The frame"}
_FIRST = (
    "Drill down and at work on a level floor, tractor in park, engine off, nobody at the levers. Nobody is "
    "under a raised drill without its locks in. Any unit will do: write it behind the number. What you leave "
    "open is assumed."
)


def measuring_sheet(path: str | Path, like="air_drill_12m", units=None, paper="A4", replace=False):
    """Write the measuring sheet as a PDF.

    units: "metric" or "US"; those of that drill if left out.
    paper: "A4" or "Letter".
    """
    files = dict(shipped_drills())
    if like not in files:
        raise ValueError(f"There is no shipped drill {like!r}. There are: {', '.join(files)}.")
    check_place(path, replace)
    draft = Draft.like(files[like], "drill")
    units = unit_system(units or draft.model.units)
    return write_file(path, pdf("Measuring sheet", sheet_pages(draft, units, paper_size(paper))), replace)


def sheet_pages(draft: Draft, units: UnitSystem, size: tuple[Millimetre, Millimetre]):
    """A figure for each page."""
    first = True
    for page, title in _TITLES.items():
        rest = list(enumerate(questions(draft, page), start=1))
        while rest:
            figure, rest = _page(draft, units, size, title, rest, first)
            first = False
            yield figure


def _page(draft, units, size, title, asked, first):
    width, height = size
    words, rules = [], []
    right = width - _MARGIN

    def write(y, text, x=_MARGIN, wide=right - _MARGIN, points=_SIZE, bold=False):
        for line in wrapped(text, wide, points, bold):
            words.append(text_line(x, y, line, points, bold, wide))
            y += LEADING * points * POINT
        return y

    y = write(_MARGIN, f"Measuring sheet: {title}", points=14.0, bold=True)
    y = write(y + 1.0, _FIRST) if first else y
    top = y + 2.0
    y = top + _PICTURE + 3.0
    answer, assumed = width - 78.0, width - 42.0
    write(y, "Your answer", answer, 34.0, bold=True)
    y = write(y, "Else assumed", assumed, 30.0, bold=True) + 1.0
    printed, begin = [], asked[0][0]
    while asked:
        number, question = asked[0]
        wide = answer - _MARGIN - 14.0
        lines = len(wrapped(question.ask, wide, _SIZE, True)) + len(
            wrapped(question.how, wide, _SIZE - 1, False)
        )
        tall = max(lines * LEADING * _SIZE * POINT + 2.0, 9.0)
        if y + tall > height - _MARGIN:
            break
        rules.append(Rule(_MARGIN, y, right, y, 0.4))
        write(y + 1.0, str(number), _MARGIN, 8.0, bold=True)
        below = write(y + 1.0, question.ask, _MARGIN + 8.0, wide, bold=True)
        write(below, question.how, _MARGIN + 8.0, wide, _SIZE - 1)
        write(y + 1.0, _assumed(draft, units, question), assumed, 30.0)
        rules.append(Rule(answer, y + tall - 1.5, assumed - 4.0, y + tall - 1.5, 0.6))
        y += tall
        printed.append(asked.pop(0)[1])
    figure = PlainFigure(figsize=(width / INCH, height / INCH), facecolor="white")
    within = (_MARGIN / width, 1 - (top + _PICTURE) / height, 1 - 2 * _MARGIN / width, _PICTURE / height)
    drawing = TapeDrawing(draft.model, units, tuple(printed), within, begin)
    drawing.setup(figure)
    figure.add_artist(PageWords(words))
    draw_rules(figure, rules)
    return figure, asked


def _assumed(draft, units, question):
    value = measured(draft.model, question)
    entry = draft.entry(question.path)
    if question.along == "value" and units.name == draft.model.units:
        return draft.plain(question.path)
    if question.along == "value" and isinstance(entry.limits, Quantity) and entry.limits.kind != "length":
        return units.show(entry.limits.kind, value)
    return tape_words(units, question, value)


def asked_bundle(panel, widget, asked):
    """What a notebook stores of a form: its still, and its questions as a list."""
    still = panel._repr_mimebundle_()
    lines = [f"{each.ask} {each.how}".strip() for each in asked]
    return {
        **{kind: shown for kind, shown in still.items() if "widget" not in kind},
        **widget._repr_mimebundle_(),
        "text/html": still["text/html"] + element("ol", *(element("li", line) for line in lines)),
        "text/plain": "\n".join([still["text/plain"], *(f"{n}. {line}" for n, line in enumerate(lines, 1))]),
    }
