"""The set-up card as a file: the window side and the desk side, drawn in black and white."""

import datetime
from functools import cache
from io import BytesIO

from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.collections import LineCollection
from matplotlib.font_manager import FontProperties

from downforce.physics.kinds import Ratio
from downforce.study.card.window import WindowSide
from downforce.study.setup_card import CardData
from downforce.workbook.canvas import DRAWING, PlainFigure
from downforce.workbook.card.desk_page import desk_layouts
from downforce.workbook.card.dial import CardDial
from downforce.workbook.card.sheet import FONT, Layout
from downforce.workbook.card.window_page import window_layout

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
    with DRAWING:
        if suffix == ".png":
            figure = _drawn(window, card.window)
            figure.dpi = DOTS_PER_INCH
            FigureCanvasAgg(figure).print_png(file, metadata={"Software": "downforce"})
            return file.getvalue()
        made = datetime.datetime.combine(card.date, datetime.time(), tzinfo=datetime.UTC)  # type: ignore[arg-type]
        title = f"Set-up card: {card.drill}, {card.field}"
        about = {"Title": title, "Creator": "downforce", "CreationDate": made}
        with PdfPages(file, metadata=about) as pages:
            for layout in (window, *desk_layouts(card)):
                pages.savefig(_drawn(layout, card.window))
    return file.getvalue()


def _drawn(layout, side):
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
