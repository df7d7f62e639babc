"""Text, rules and tables on a page in millimetres, and the dial of the window side.

Text is wrapped to its column so that nothing is cut. The dial has three bands that differ without colour, and
a needle on the number to set.
"""

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from matplotlib import ft2font
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.patches import Circle, Wedge

from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Millimetre, Pascal, Ratio, TypePoint
from downforce.study.setting.gauge_face import scale_ticks
from downforce.workbook.drawing_gauge import dial_angle, dial_point, dial_stroke

FONT = "DejaVu Sans"
"""Comes with matplotlib, so a card looks the same on every computer [-]."""
POINT = 25.4 / 72.0
"""One point of type [mm]."""
LEADING = 1.22
"""Line height over type size [-]."""
SPARE = 0.985
"""Share of a column that is filled: letters on a screen's grid run a little wider than on paper [-]."""
GAP = 2.0
"""Space between a cell's text and its edges [mm]."""
# matplotlib 3.9 has its flags as plain numbers.
_UNHINTED = ft2font.LoadFlags.NO_HINTING if hasattr(ft2font, "LoadFlags") else ft2font.LOAD_NO_HINTING  # type: ignore[attr-defined]


@dataclass(frozen=True)
class Words:
    """One line of text.

    x, y: left end and baseline, from the page's upper left corner.
    """

    x: Millimetre
    y: Millimetre
    text: str
    size: TypePoint
    bold: bool
    right: Millimetre


@dataclass(frozen=True)
class Rule:
    """A straight line."""

    x1: Millimetre
    y1: Millimetre
    x2: Millimetre
    y2: Millimetre
    width: TypePoint


@cache
def _advances(bold):
    """Width of each character met so far, as a share of the type size."""
    font = FontProperties(family=FONT, weight="bold" if bold else "normal")
    return get_font(findfont(font)), {}


def _advance(letter, bold):
    font, known = _advances(bold)
    if letter not in known:
        font.set_size(1000.0, 72)
        known[letter] = font.load_char(ord(letter), flags=_UNHINTED).linearHoriAdvance / 65536e3
    return known[letter]


def text_width(text, size: TypePoint, bold=False) -> Millimetre:
    """How wide a text is.

    Result: its width on paper; kerning, which only draws letters together, is left out.
    """
    return sum(_advance(letter, bold) for letter in text) * size * POINT


@lru_cache(maxsize=8192)
def wrapped(text, width: Millimetre, size: TypePoint, bold=False):
    """Lines of a text that fit a width; a word longer than the width is parted."""
    lines, line = [], ""
    width = width * SPARE
    for word in text.split():
        longer = f"{line} {word}".strip()
        if text_width(longer, size, bold) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        while text_width(word, size, bold) > width:
            cut = next(
                n for n in range(len(word) - 1, 0, -1) if n == 1 or text_width(word[:n], size, bold) <= width
            )
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    return (*lines, line)


def fitted(text, width, size, lines=1, bold=False):
    """The first lines of a text, with dots where it goes on."""
    found = wrapped(text, width, size, bold)
    if len(found) <= lines:
        return found
    last = found[lines - 1]
    while text_width(f"{last}…", size, bold) > width * SPARE:
        last = last[:-1]
    return (*found[: lines - 1], f"{last.rstrip()}…")


@dataclass(frozen=True)
class Layout:
    """A page laid out on its paper.

    dial: left, top and side of the gauge face, if there is one.
    """

    size: tuple[Millimetre, Millimetre]
    words: tuple[Words, ...]
    rules: tuple[Rule, ...]
    dial: tuple[Millimetre, Millimetre, Millimetre] | None = None


def text_line(x, y, text, size, bold=False, width=0.0):
    """One line of text whose top stands at y; it ends where its column does, or its own last letter."""
    wide = width or text_width(text, size, bold)
    # A quarter of the size is below the baseline.
    return Words(x, y + (LEADING - 0.28) * size * POINT, text, size, bold, x + wide)


class Pages:
    """Pages that are filled one after the other: what finds no room goes on, no smaller, on the next."""

    def __init__(self, width: Millimetre, height: Millimetre, margin: Millimetre):
        self._size, self._margin = (width, height), margin
        self._pages = []
        self._turn()

    @property
    def layouts(self):
        """The pages so far."""
        return tuple(Layout(self._size, tuple(words), tuple(rules)) for words, rules in self._pages)

    @property
    def inner(self) -> Millimetre:
        """Width between the margins."""
        return self._size[0] - 2 * self._margin

    @property
    def left(self) -> Millimetre:
        """How much of this page is still empty."""
        return self._size[1] - self._margin - self._y

    def room(self, height):
        """Go on with a new page where this one has less room [mm] than that, unless it is empty."""
        if self.left < height and self._y > self._margin:
            self._turn()

    def gap(self, height) -> Millimetre:
        """Leave some space."""
        self._y += height

    def paragraph(self, text, size, bold=False):
        """Put a text over the whole width [mm], type in points."""
        for line in wrapped(text, self.inner, size, bold):
            self._lines([(self._margin, self.inner, line)], size, bold)

    def heading(self, text, size=11.0, follows=12.0):
        """Put a bold heading over a rule, on the page on which something that high [mm] can follow it."""
        step = size * POINT * LEADING
        self.gap(2.4)
        self.room(step * len(wrapped(text, self.inner, size, True)) + follows)
        self.paragraph(text, size, bold=True)
        self.gap(0.4)
        self._rule(0.9)
        self.gap(0.6)

    def items(self, texts, size):
        """Put texts below each other, each with a dash."""
        for text in texts:
            for place, line in enumerate(wrapped(text, self.inner - 3.2, size)):
                dash = [(self._margin, 3.0, "–")] if place == 0 else []
                self._lines([*dash, (self._margin + 3.2, self.inner - 3.2, line)], size, False)
            self.gap(0.3)

    def table(self, widths, rows, size, header=(), bold_rows=()):
        """Put a table with fine rules; widths [mm]. A new page begins with its header again.

        A row stays on one page unless it is higher than a page.
        """
        lefts = [self._margin + sum(widths[:place]) for place in range(len(widths))]
        step, fresh = size * POINT * LEADING, True
        for place, row in enumerate(rows):
            bold = place in bold_rows
            cells = self._cells(lefts, widths, row, size, bold)
            head = self._cells(lefts, widths, header, size, True) if header else []
            before = len(self._pages)
            self.room(step * (len(cells) + (len(head) if fresh else 0)) + 1.0)
            if head and (fresh or len(self._pages) > before):
                for line in head:
                    self._lines(line, size, True)
                self.gap(0.4)
                self._rule(0.9)
            fresh = False
            for line in cells:
                self._lines(line, size, bold)
            self.gap(0.5)
            self._rule(0.35)

    def blanks(self, headings, size, step, most):
        """Put empty lines with headings, to write on; as many as the page holds, at most so many."""
        share = self.inner / len(headings)
        head = size * POINT * LEADING
        self.room(head + 4 * step)
        lefts = [self._margin + place * share for place in range(len(headings))]
        for line in self._cells(lefts, [share] * len(headings), headings, size, False):
            self._lines(line, size, False)
        self._rule(0.35)
        count = max(min(most, int(self.left / step)), 0)
        top = self._y
        for _ in range(count):
            self.gap(step)
            self._rule(0.35)
        for x in lefts[1:]:
            self._pages[-1][1].append(Rule(x - 0.8, top, x - 0.8, self._y, 0.35))

    def _cells(self, lefts, widths, row, size, bold):
        """Lines of a row, each with what stands on it: left, width, text."""
        columns = [
            [(left, width - GAP, line) for line in wrapped(cell, width - GAP, size, bold)]
            for left, width, cell in zip(lefts, widths, row, strict=True)
        ]
        return [
            [column[place] for column in columns if place < len(column)]
            for place in range(max(len(column) for column in columns))
        ]

    def _lines(self, parts, size, bold):
        step = size * POINT * LEADING
        self.room(step)
        for x, width, text in parts:
            self._pages[-1][0].append(text_line(x, self._y, text, size, bold, width))
        self._y += step

    def _rule(self, width):
        self._pages[-1][1].append(Rule(self._margin, self._y, self._size[0] - self._margin, self._y, width))

    def _turn(self):
        self._pages.append(([], []))
        self._y = self._margin


NUMBERS = 12.0
"""Type of the dial on paper [pt]."""
HATCHES = {"floor": "....", "today": "", "never": "xxxx"}
"""How the three bands look: dots, all black, crossed."""
_RING = (0.80, 0.98)
_INK = "black"


class CardDial:
    """A gauge in one unit whose bands and needle can be moved."""

    def __init__(self, axes, full_scale: Pascal, units: UnitSystem, share: Ratio = 1.0):
        self._axes, self._full, self._units = axes, full_scale, units
        axes.set(xlim=(-1.06, 1.06), ylim=(-1.06, 1.06), aspect="equal")
        axes.set_axis_off()
        axes.add_patch(Circle((0, 0), 1.04, facecolor="white", edgecolor=_INK, linewidth=1.6 * share))
        major, minor = scale_ticks(full_scale, units)
        for ticks, length, wide in ((minor, 0.05, 0.7), (major, 0.09, 1.4)):
            ends = [
                dial_stroke(float(units.si("pressure", tick)), full_scale, 0.79 - length, 0.79)
                for tick in ticks
            ]
            x, y = (np.array([(*end[axis], np.nan) for end in ends]).ravel() for axis in (0, 1))
            axes.plot(x, y, color=_INK, linewidth=wide * share)
        look = {"ha": "center", "va": "center", "fontsize": NUMBERS * share, "family": FONT, "color": _INK}
        for tick in major:
            axes.text(*dial_point(float(units.si("pressure", tick)), full_scale, 0.55), f"{tick:g}", **look)
        axes.text(0, -0.78, units.unit("pressure"), **look)
        self._bands = {kind: self._wedge(hatch, share) for kind, hatch in HATCHES.items()}
        (self._red,) = axes.plot([], [], color=_INK, linewidth=4.0 * share, solid_capstyle="butt", zorder=6)
        (self._needle,) = axes.plot([], [], color=_INK, linewidth=3.0 * share, zorder=8)
        axes.add_patch(Circle((0, 0), 0.06, facecolor=_INK, zorder=9))

    @property
    def moving(self) -> list:
        """The artists that `update` moves."""
        return [*self._bands.values(), self._red, self._needle]

    def update(self, face):
        """Move bands and needle to those of a face with one band."""
        (band,) = face.bands
        there = (band.low, band.high) if band.exists else (0.0, 0.0)
        spans = {"floor": (0.0, face.floor), "today": there, "never": (face.red_line, self._full)}
        for kind, (low, high) in spans.items():
            self._bands[kind].set_theta1(dial_angle(high, self._full))
            self._bands[kind].set_theta2(dial_angle(low, self._full))
        self._red.set_data(*dial_stroke(face.red_line, self._full, 0.74, 1.04))
        # The needle stands on the number that is printed, not beside it.
        start = min(band.to_set(self._units), self._full) if band.exists else 0.0
        self._needle.set_data(*(dial_stroke(start, self._full, -0.14, 0.74) if band.exists else ([], [])))

    def _wedge(self, hatch, share):
        wedge = Wedge((0, 0), _RING[1], 0, 1, width=_RING[1] - _RING[0])
        wedge.set(facecolor="white" if hatch else _INK, hatch=hatch, edgecolor=_INK, linewidth=0.8 * share)
        wedge.set_zorder(3)
        return self._axes.add_patch(wedge)
