"""Opener from the side and drill from above, to scale, with the tape where a question wants it held."""

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.reading.tape import Question
from downforce.machine.unit_display import UnitSystem
from downforce.physics.kinds import Metre, Ratio
from downforce.workbook import style
from downforce.workbook.drawing_opener import OpenerDrawing
from downforce.workbook.drawing_plan import plan

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
        for number, question in enumerate(self._questions, self._first):
            view, ends = tape_ends(self.drill, question, 0.0)
            if ends:
                _Tape((side, above)[view]).hold(self._seen(view, ends), str(number))
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

    def hold(self, ends, words):
        (x1, z1), (x2, z2) = ends
        self._line.set_data([x1, x2], [z1, z2])
        # The stops stand across the tape.
        self._line.set_marker("|" if abs(x2 - x1) >= abs(z2 - z1) else "_")
        # A number would hide a short tape, so it stands beside it.
        (left, right), (low, high) = self._axes.get_xlim(), self._axes.get_ylim()
        short = np.hypot((x2 - x1) / (right - left), (z2 - z1) / (high - low)) < _SHORT
        self._text.set_position(((x1 + x2) / 2 + (_SHORT * (right - left) if short else 0), (z1 + z2) / 2))
        self._text.set_text(words)
        for artist in self.artists:
            artist.set_visible(True)

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
        part = drill
        for key in place:
            part = part[key] if isinstance(key, int) else getattr(part, key)
        member = opener.body
        if place[-1] == "moving_pin":
            member = getattr(drill, place[0]).mount.moves_with
        elif place[-1] in ("frame_pin", "pivot", "lower_frame_pin", "upper_frame_pin"):
            return part
        return tuple(float(each) for each in opener.geometry.point(part, member, travel))

    along = question.along
    if along == "across":
        radius = _value(drill, question.path) / 2
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


def _value(model, path):
    for part in path:
        model = model[part] if isinstance(part, int) else getattr(model, part)
    return model


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
        last = drill.rank_x[-1] if along == "ranks" else drill.rank_x[min(1, len(drill.rank_x) - 1)]
        return [(y[-1] + 0.3, drill.rank_x[0]), (y[-1] + 0.3, last)]
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
