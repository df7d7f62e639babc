"""The set-up card as a file, drawn in black and white, and tables on paper laid out like it.

On the window side the number fills what the rest, at arm's-length type, leaves. The desk side takes as many
pages as it needs, in type that can be read without a glass.
"""

import datetime
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import pairwise

from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.collections import LineCollection
from matplotlib.font_manager import FontProperties

from downforce.physics.kinds import Millimetre, Ratio
from downforce.study.card_window import WindowSide
from downforce.study.setup_card import CardData, paper_size
from downforce.workbook.canvas import DRAWING, PlainFigure
from downforce.workbook.card.sheet import (
    FONT,
    LEADING,
    POINT,
    CardDial,
    Layout,
    Pages,
    Rule,
    fitted,
    text_line,
    text_width,
)

DESK_MARGIN = 10.0
"""Around the page [mm]."""
SIZE = 8.5
"""Usual type [pt]; nothing on this side is below 8."""
SOILS_ABREAST = 3
"""Soils in one table of loads [-]; more make a second table."""
RECORD_STEP = 6.5
"""Between two lines to write on [mm]."""
FEWEST_RECORDS, MOST_RECORDS = 4, 14
"""Lines to write on [-]."""


def desk_layouts(card: CardData):
    """Lay the desk side out on its paper.

    Result: one for each page.
    """
    pages = Pages(*paper_size(card.paper), DESK_MARGIN)
    _header(pages, card)
    _starts(pages, card)
    _loads(pages, card)
    _lifts(pages, card)
    pages.heading("Stop, turn, dig, decide")
    columns = [share * pages.inner for share in (0.26, 0.14, 0.16, 0.44)]
    pages.table(columns, card.decisions, SIZE, ("Gauge wheels", "Seeds", "Slot wall", "Do"))
    pages.heading("Check")
    pages.items(card.checks, SIZE)
    pages.heading("Gauge trouble")
    columns = [share * pages.inner for share in (0.18, 0.39, 0.43)]
    pages.table(columns, card.trouble, SIZE, ("The gauge", "Try", "Do"))
    pages.heading("Cautions")
    for title, words in card.cautions:
        pages.paragraph(f"{title}. {words}", SIZE)
        pages.gap(0.5)
    pages.heading("What it rests on")
    pages.table((46.0, pages.inner - 46.0), (*card.rests_on, *card.marks), SIZE)
    pages.heading("Record, by hand", follows=FEWEST_RECORDS * RECORD_STEP + 5.0)
    pages.blanks(card.record, 8.0, RECORD_STEP, MOST_RECORDS)
    return pages.layouts


def _header(pages, card):
    pages.paragraph(f"Desk side: {card.drill}", 13.0, bold=True)
    pages.paragraph(f"{card.field}. {card.date.isoformat()}", 10.0)
    if card.warning:
        pages.paragraph(card.warning, SIZE, bold=True)


def _starts(pages, card):
    pages.heading("Where to start")
    rows = [
        (
            f"Today: {line.soil}" if line.today else line.soil,
            line.pressure_text,
            line.load_text,
            ". ".join(line.details),
        )
        for line in card.starts
    ]
    header = ("Soil", "Set the gauge to", "Gauge wheel keeps", "What the rows do there, and why")
    first = (32.0, 30.0, 32.0)
    pages.table((*first, pages.inner - sum(first)), rows, SIZE, header)
    pages.heading("Limits and settings")
    rows = [*card.limits, *card.oil, *card.facts]
    pages.table((32.0, pages.inner - 32.0), rows, SIZE)


def _loads(pages, card):
    first = (48.0, 30.0)
    for start in range(0, len(card.soils), SOILS_ABREAST):
        soils = card.soils[start : start + SOILS_ABREAST]
        pages.heading("What the gauge gives: at the disc, and what each soil leaves on the gauge wheel")
        rows = [
            (
                line.pressure_text + (" red line" if line.red_line else ""),
                line.down_force_text,
                *line.cells[start : start + SOILS_ABREAST],
            )
            for line in card.loads
        ]
        rest = [(pages.inner - sum(first)) / len(soils)] * len(soils)
        pages.table((*first, *rest), rows, SIZE, ("Gauge", "At the disc", *soils), [len(rows) - 1])
    pages.paragraph(
        "Shallow: how deep the disc runs. * above what may be set in that soil. Frame lifts: that soil lifts "
        "it below the red line of today.",
        8.0,
    )


def _lifts(pages, card):
    pages.heading(f"Where the weight ends: {card.field}")
    rows = [(line.hopper, line.lift_text, line.ceiling_text) for line in card.lifts]
    columns = [share * pages.inner for share in (0.26, 0.44, 0.30)]
    pages.table(columns, rows, SIZE, ("Hopper", "Lifts at; 90 %", "Set no more than"))
    pages.heading("Change rule")
    pages.items(card.change_rule, SIZE)


WINDOW_MARGIN = 9.0
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
    width, height = paper_size(side.paper)
    page = _Window(width - 2 * WINDOW_MARGIN)
    y = page.header(side, WINDOW_MARGIN)
    foot = page.foot(side, height - WINDOW_MARGIN)
    row = foot - ROW
    verdict = row - 2 * _step(15.0) - 1.0
    page.text(WINDOW_MARGIN, verdict, side.verdict, 15.0, bold=True, lines=2)
    page.number(side, y, verdict - 1.0)
    page.rule(row)
    page.under_dial(row + 2.0 + DIAL)
    page.beside(side, row + 2.0)
    return Layout((width, height), tuple(page.words), tuple(page.rules), (WINDOW_MARGIN, row + 2.0, DIAL))


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
        width = width or self.inner + WINDOW_MARGIN - x
        for line in fitted(text, width, size, lines, bold):
            self.words.append(text_line(x, y, line, size, bold, width))
            y += _step(size)
        return y

    def rule(self, y, x=WINDOW_MARGIN, end=None, width=1.0):
        self.rules.append(Rule(x, y, end or self.inner + WINDOW_MARGIN, y, width))

    def header(self, side, y):
        day = side.date.isoformat() if side.date else "the day it is written"
        aside = text_width(day, 12.0) * 1.03
        self.text(WINDOW_MARGIN, y, _short(side.drill), 14.0, bold=True, width=self.inner - aside - 3.0)
        self.text(WINDOW_MARGIN + self.inner - aside, y + 0.5, day, 12.0)
        y = self.text(WINDOW_MARGIN, y + _step(14.0), _short(side.field), 13.0) + 1.0
        self.rule(y, width=1.6)
        return y + 2.0

    def number(self, side, y, end):
        size = 20.0
        if side.number:
            self.text(WINDOW_MARGIN, y, "Set the gauge to", size)
            wide = text_width(side.unit, size, bold=True) * 1.03
            self.text(WINDOW_MARGIN + self.inner - wide, y, side.unit, size, bold=True)
            y += _step(size)
        text = side.number or TOO_LATE
        high = max(end - y - 2.0, LEAST_CAP) / CAP
        size = min(high, 0.98 * self.inner / text_width(text, 1.0 / POINT, bold=True)) / POINT
        wide = text_width(text, size, bold=True)
        base = y + (end - y + CAP * size * POINT) / 2.0
        line = text_line(WINDOW_MARGIN + (self.inner - wide) / 2.0, 0.0, text, size, True)
        self.words.append(replace(line, y=base))

    def under_dial(self, y):
        y = self.text(WINDOW_MARGIN, y, "Black: today. Crossed: never.", SMALLEST, width=DIAL)

    def beside(self, side, y):
        left = WINDOW_MARGIN + DIAL + 4.0
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
            self.rules += _box(WINDOW_MARGIN + 0.5, y + 1.9, 3.4)
            y = self.text(WINDOW_MARGIN + 6.0, y + 0.6, check, 13.0)
        self.rule(y + 1.0)
        y = self.text(WINDOW_MARGIN, y + 1.6, side.caution, SMALLEST)
        self.text(WINDOW_MARGIN, y, " ".join((side.rests_on, *side.remarks)), SMALLEST)
        return top - 1.5


def _box(x, y, side):
    """An empty box to tick."""
    right, low = x + side, y + side
    corners = [(x, y), (right, y), (right, low), (x, low), (x, y)]
    return [Rule(*one, *two, 0.8) for one, two in pairwise(corners)]


DOTS_PER_INCH = 200
"""Of a PNG [1/in]."""
INCH = 25.4
"""One inch [mm]."""
INK = "black"
"""Everything on paper: a grey turns to dots in a fax or an old printer."""


def card_file(card: CardData, suffix):
    """The card as a file.

    suffix: ".pdf" or ".png".
    Result: PDF: both sides, vector text with its fonts inside. PNG: the window side, 200 dots an inch.
    """
    window, file = window_layout(card.window), BytesIO()
    if suffix == ".pdf":
        made = datetime.datetime.combine(card.date, datetime.time(), tzinfo=datetime.UTC)  # type: ignore[arg-type]
        drawn = (_drawn(layout, card.window) for layout in (window, *desk_layouts(card)))
        return pdf(f"Set-up card: {card.drill}, {card.field}", drawn, made)
    with DRAWING:
        figure = _drawn(window, card.window)
        figure.dpi = DOTS_PER_INCH
        FigureCanvasAgg(figure).print_png(file, metadata={"Software": "downforce"})
    return file.getvalue()


def pdf(title, figures, made=None):
    """Figures as the pages of a file; they may be drawn while it is written.

    made: its date; without one the same pages are the same file.
    """
    file = BytesIO()
    about = {"Title": title, "Creator": "downforce", "CreationDate": made}
    with DRAWING, PdfPages(file, metadata=about) as pages:
        for figure in figures:
            pages.savefig(figure)
    return file.getvalue()


def _drawn(layout, side=None):
    figure = PlainFigure(figsize=tuple(length / INCH for length in layout.size), facecolor="white")
    figure.add_artist(PageWords(layout.words))
    draw_rules(figure, layout.rules)
    if layout.dial:
        dial_on(figure, side, layout).update(side.face)
    return figure


class PageWords(Artist):
    """All lines of text of a page as one artist: they stand where they are told; nothing is laid out.

    words: the lines; may be changed later.
    """

    def __init__(self, words=(), share: Ratio = 1.0):
        super().__init__()
        self.words, self._share = words, share

    def get_text(self):
        """Every line."""
        return "\n".join(words.text for words in self.words)

    def draw(self, renderer):
        """Draw every line."""
        height, pixel = self.figure.bbox.height, self.figure.dpi * self._share / INCH
        gc = renderer.new_gc()
        gc.set_foreground(INK)
        for words in self.words:
            down = words.y * pixel
            y = down if renderer.flipy() else height - down
            renderer.draw_text(
                gc, words.x * pixel, y, words.text, _font(words.size * self._share, words.bold), 0.0, False
            )
        gc.restore()


@cache
def _font(size, bold):
    return FontProperties(family=FONT, size=size, weight="bold" if bold else "normal")


def dial_on(figure, side: WindowSide, layout: Layout, share: Ratio = 1.0):
    """The dial of the window side on axes of its own."""
    left, top, long = layout.dial  # type: ignore[misc]
    x, y = _place(figure, share, left, top + long)
    right, upper = _place(figure, share, left + long, top)
    axes = figure.add_axes((x, y, right - x, upper - y))
    return CardDial(axes, side.face.full_scale, side.units, share)


def draw_rules(figure, rules, share: Ratio = 1.0):
    """Draw straight lines."""
    ends = [
        (_place(figure, share, rule.x1, rule.y1), _place(figure, share, rule.x2, rule.y2)) for rule in rules
    ]
    widths = [rule.width * share for rule in rules]
    figure.add_artist(LineCollection(ends, linewidths=widths, colors=INK, transform=figure.transFigure))


def _place(figure, share, x, y):
    """Millimetres on the page as shares of the figure."""
    across, down = (side * INCH / share for side in figure.get_size_inches())
    return x / across, 1.0 - y / down


TITLE, PRINTED = 13.0, 8.0
"""Type sizes of a printed table: its title and its cells [pt]."""


def printed_table(title, lead, header, shares, rows, foot=(), paper="A4"):
    """A table as a PDF.

    rows: the cells; an empty one is room to write.
    paper: "A4" or "Letter".
    """
    pages = Pages(*paper_size(paper), DESK_MARGIN)
    pages.paragraph(title, TITLE, bold=True)
    for words in lead:
        pages.paragraph(words, PRINTED)
    pages.gap(1.0)
    pages.table([share / sum(shares) * pages.inner for share in shares], rows, PRINTED, header)
    pages.gap(1.5)
    pages.items(foot, PRINTED)
    return pdf(title, map(_drawn, pages.layouts)), len(pages.layouts)
