"""The window side of the card on its paper: the number fills what the rest, at arm's-length type, leaves."""

from itertools import pairwise

from downforce.physics.kinds import Millimetre
from downforce.study.card.window import WindowSide
from downforce.study.setup_card import PAPERS
from downforce.workbook.card.sheet import LEADING, POINT, Layout, Rule, fitted, text_line, text_width

MARGIN = 9.0
"""Around the page [mm]; office printers leave about 5."""
SMALLEST = 11.0
"""No type on this side is smaller [pt]."""
DIAL = 80.0
"""Side of the gauge face [mm]."""
ROW = 98.0
"""Height of the part with dial, steps and red line [mm]."""
CAP = 0.73
"""Height of a digit over its type size [-]."""
MOST_WORDS = 6
"""Words of a name that stand on this side [-]; the desk side has all of it."""
LEAST_CAP = 20.0
"""Digits are no lower than this, whatever the words beside them [mm]."""
TOO_LATE = "Do not sow"
"""In place of the number where there is no setting [-]."""


def window_layout(side: WindowSide):
    """Lay the window side out on its paper.

    Result: where everything stands; nothing moves when a number changes, so that a preview redraws words
        only.
    """
    width, height = (length * 1000.0 for length in PAPERS[side.paper])
    page = _Window(width - 2 * MARGIN)
    y = page.header(side, MARGIN)
    foot = page.foot(side, height - MARGIN)
    row = foot - ROW
    verdict = row - 2 * _step(15.0) - 1.0
    page.text(MARGIN, verdict, side.verdict, 15.0, bold=True, lines=2)
    page.number(side, y, verdict - 1.0)
    page.rule(row)
    page.under_dial(row + 2.0 + DIAL)
    page.beside(side, row + 2.0)
    return Layout((width, height), tuple(page.words), tuple(page.rules), (MARGIN, row + 2.0, DIAL))


def _short(name, most=MOST_WORDS):
    """A name in so many words, with dots where it goes on."""
    words = name.split()
    return " ".join(words) if len(words) <= most else f"{' '.join(words[:most])}…"


def _step(size):
    return size * POINT * LEADING


class _Window:
    """Words and rules of the window side as they are put down."""

    def __init__(self, inner):
        self.inner, self.words, self.rules = inner, [], []

    def text(self, x, y, text, size, bold=False, lines=1, width=None) -> Millimetre:
        """Lines of a text from y down; gives where it goes on."""
        width = width or self.inner + MARGIN - x
        for line in fitted(text, width, size, lines, bold):
            self.words.append(text_line(x, y, line, size, bold, width))
            y += _step(size)
        return y

    def rule(self, y, x=MARGIN, end=None, width=1.0):
        self.rules.append(Rule(x, y, end or self.inner + MARGIN, y, width))

    def header(self, side, y):
        day = side.date.isoformat() if side.date else "the day it is written"
        aside = text_width(day, 12.0) * 1.03
        self.text(MARGIN, y, _short(side.drill), 14.0, bold=True, width=self.inner - aside - 3.0)
        self.text(MARGIN + self.inner - aside, y + 0.5, day, 12.0)
        y = self.text(MARGIN, y + _step(14.0), _short(side.field), 13.0) + 1.0
        self.rule(y, width=1.6)
        return y + 2.0

    def number(self, side, y, end):
        size = 20.0
        if side.number:
            self.text(MARGIN, y, "Set the gauge to", size)
            wide = text_width(side.unit, size, bold=True) * 1.03
            self.text(MARGIN + self.inner - wide, y, side.unit, size, bold=True)
            y += _step(size)
        text = side.number or TOO_LATE
        high = max(end - y - 2.0, LEAST_CAP) / CAP
        size = min(high, 0.98 * self.inner / text_width(text, 1.0 / POINT, bold=True)) / POINT
        wide = text_width(text, size, bold=True)
        base = y + (end - y + CAP * size * POINT) / 2.0
        line = text_line(MARGIN + (self.inner - wide) / 2.0, 0.0, text, size, True)
        self.words.append(_at(line, base))

    def under_dial(self, y):
        y = self.text(MARGIN, y, "Black: today. Crossed: never.", SMALLEST, width=DIAL)

    def beside(self, side, y):
        left = MARGIN + DIAL + 4.0
        y = self.text(left, y, "Soil turns", 13.0, bold=True)
        for how, what in side.turns:
            self.text(left, y, how, 14.0, bold=True)
            y = self.text(left + 21.0, y, what, 14.0, lines=2)
        y = self.text(left, y + 0.5, side.step, 12.0) + 1.5
        self.rule(y, left)
        y = self.text(left, y + 1.0, f"Red line {side.red_line}", 20.0, bold=True)
        y = self.text(left, y, _short(side.lifts_first, MOST_WORDS + 2), 12.0, lines=2) + 1.0
        if side.hopper:
            y = self.text(left, y, f"By hopper, {side.units.unit('pressure')}", 12.0, bold=True)
            for place, (fill, line) in enumerate(side.hopper):
                x = left + place * 36.0
                self.text(x, y, fill, 12.0, width=35.0)
                self.text(x, y + _step(12.0), line.split(" ")[0], 13.0, bold=True, width=35.0)
            y += _step(12.0) + _step(13.0) + 1.0
        if side.refill:
            self.text(left, y, f"Refill after {side.refill}", 13.0, bold=True)
        else:
            self.text(left, y, "Refill after", 13.0)
            end = left + 62.0
            self.rule(y + _step(13.0), left + 30.0, end, 0.8)
            self.text(end + 2.0, y, side.land_unit, 13.0)

    def foot(self, side, end) -> Millimetre:
        """From the lower margin up; gives where it begins."""
        y = top = end - _step(SMALLEST) * 2 - 3 * _step(13.0) - 5.0
        self.rule(y)
        for check in side.checks:
            self.rules += _box(MARGIN + 0.5, y + 1.9, 3.4)
            y = self.text(MARGIN + 6.0, y + 0.6, check, 13.0)
        self.rule(y + 1.0)
        y = self.text(MARGIN, y + 1.6, side.caution, SMALLEST)
        self.text(MARGIN, y, " ".join((side.rests_on, *side.remarks)), SMALLEST)
        return top - 1.5


def _at(words, base):
    return type(words)(words.x, base, words.text, words.size, words.bold, words.right)


def _box(x, y, side):
    """An empty box to tick."""
    right, low = x + side, y + side
    corners = [(x, y), (right, y), (right, low), (x, low), (x, y)]
    return [Rule(*one, *two, 0.8) for one, two in pairwise(corners)]
