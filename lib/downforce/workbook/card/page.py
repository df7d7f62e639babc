"""The set-up card as a page: laid out in millimetres, drawn in black and white, written as PDF or PNG."""

import datetime
import threading
from dataclasses import dataclass
from io import BytesIO

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import FigureCanvasPdf
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from downforce.study.setup_card import PAPERS
from downforce.workbook.card.sheet import FONT, Sheet
from downforce.workbook.drawing_gauge import draw_gauge, gauge_words
from downforce.workbook.style import INK

MARGIN = 8.5
"""Around the page [mm]; office printers leave about 5."""
SCALES = (1.15, 1.06, 0.97, 0.92, 0.87, 0.82)
"""Type sizes tried until the page holds everything; few, so that a preview rarely jumps [-]."""
DOTS_PER_INCH = 200
"""Of a PNG [1/in]."""
INCH = 25.4
"""One inch [mm]."""
RECORD_STEP = 6.2
"""Between two lines to write on [mm]."""
FEWEST_RECORDS = 4
"""Lines to write on that a card must have [-]."""
DIAL_SHARE = 0.75
"""Size of the dial's type and strokes on the card over that in a panel [-]."""
CHECKS_SHARE = 0.395
"""Width of the checks over that of checks and cautions [-]; so neither leaves many lines empty."""
PATTERNS = {"floor": "Grey", "soft": "Slanted", "usual": "Plain", "hard": "Dots", "red": "Crossed"}
"""How the bands of the gauge look in black and white, by their kind [-]."""

_DRAWING = threading.RLock()


@dataclass(frozen=True)
class Layout:
    """A card laid out on its paper.

    Attributes
    ----------
    size : tuple of two floats [mm]
        Width and height of the paper.
    words : tuple of Words [-]
        Every line of text.
    rules : tuple of Rule [-]
        Every line drawn.
    gauge : tuple of four floats [mm]
        Left, top, width and height of the gauge face.
    scale : float [-]
        Type size over the usual one.
    """

    size: tuple[float, float]
    words: tuple
    rules: tuple
    gauge: tuple[float, float, float, float]
    scale: float


def card_layout(card):
    """Lay a card out on its paper.

    Parameters
    ----------
    card : CardData [-]
        The card.

    Returns
    -------
    Layout [mm]
        Where everything stands.

    Raises
    ------
    ValueError
        If names are so long that no page holds the card.
    """
    width, height = (side * 1000.0 for side in PAPERS[card.paper])
    for scale in SCALES:
        sheet = Sheet(scale)
        bottom, gauge = _fill(sheet, card, width, height)
        if bottom <= height - MARGIN:
            return Layout((width, height), tuple(sheet.words), tuple(sheet.rules), gauge, scale)
    raise ValueError(
        "The card does not fit on one page: the names of the drill and the fields are too long. Shorten them."
    )


def card_file(card, suffix):
    """The card as a file.

    Parameters
    ----------
    card : CardData [-]
        The card.
    suffix : str [-]
        ".pdf" or ".png".

    Returns
    -------
    bytes [-]
        One page: vector text with its fonts inside, or an image of 200 dots an inch.
    """
    layout = card_layout(card)
    figure = Figure(figsize=tuple(side / INCH for side in layout.size), facecolor="white")
    canvas = FigureCanvasPdf(figure) if suffix == ".pdf" else FigureCanvasAgg(figure)
    file = BytesIO()
    with _DRAWING:
        draw_layout(figure, card, layout)
        if suffix == ".pdf":
            made = datetime.datetime.combine(card.date, datetime.time(), tzinfo=datetime.UTC)
            title = f"Set-up card: {card.drill}, {card.field}"
            canvas.print_pdf(file, metadata={"Title": title, "Creator": "downforce", "CreationDate": made})
        else:
            figure.dpi = DOTS_PER_INCH
            canvas.print_png(file, metadata={"Software": "downforce"})
    return file.getvalue()


def draw_layout(figure, card, layout, share=1.0):
    """Draw a card on a figure; its upper left corner is the page's.

    Parameters
    ----------
    figure : matplotlib Figure [-]
        A figure at least as large as the drawing.
    card : CardData [-]
        The card.
    layout : Layout [mm]
        Where everything stands.
    share : float [-]
        Size of the drawing over that of the paper.
    """
    for words in layout.words:
        draw_words(figure, words, share)
    for rule in layout.rules:
        draw_rule(figure, rule, share)
    draw_dial(figure, card, layout, share)


def draw_dial(figure, card, layout, share):
    """Draw the gauge face of a card on axes of its own.

    Parameters
    ----------
    figure : matplotlib Figure [-]
        The figure.
    card : CardData [-]
        The card.
    layout : Layout [mm]
        Where it stands.
    share : float [-]
        Size of the drawing over that of the paper.

    Returns
    -------
    matplotlib Axes [-]
        The axes it stands on.
    """
    left, top, width, height = layout.gauge
    x, y = _place(figure, share, left, top + height)
    right, upper = _place(figure, share, left + width, top)
    axes = figure.add_axes((x, y, right - x, upper - y))
    draw_gauge(axes, card.face, card.units, legend=False)
    # The dial is made for a larger picture; its type and strokes go with its size.
    for text in axes.texts:
        text.set(fontsize=text.get_fontsize() * share * DIAL_SHARE, family=FONT)
    for line in axes.lines:
        line.set(linewidth=line.get_linewidth() * share * DIAL_SHARE)
        line.set(markersize=line.get_markersize() * share * DIAL_SHARE)
    return axes


def draw_words(figure, words, share):
    """Draw one line of text.

    Parameters
    ----------
    figure : matplotlib Figure [-]
        The figure.
    words : Words [mm]
        The line.
    share : float [-]
        Size of the drawing over that of the paper.

    Returns
    -------
    matplotlib Text [-]
        What was drawn.
    """
    return figure.text(
        *_place(figure, share, words.x, words.y),
        words.text,
        fontsize=words.size * share,
        weight="bold" if words.bold else "normal",
        family=FONT,
        color=INK,
        va="baseline",
        parse_math=False,
    )


def draw_rule(figure, rule, share):
    """Draw one straight line.

    Parameters
    ----------
    figure : matplotlib Figure [-]
        The figure.
    rule : Rule [mm]
        The line.
    share : float [-]
        Size of the drawing over that of the paper.

    Returns
    -------
    matplotlib Line2D [-]
        What was drawn.
    """
    ends = (_place(figure, share, rule.x1, rule.y1), _place(figure, share, rule.x2, rule.y2))
    return figure.add_artist(Line2D(*zip(*ends, strict=True), color=INK, linewidth=rule.width * share))


def _place(figure, share, x, y):
    """Millimetres on the page as shares of the figure."""
    across, down = (side * INCH / share for side in figure.get_size_inches())
    return x / across, 1.0 - y / down


def _fill(sheet, card, width, height):
    left, inner = MARGIN, width - 2 * MARGIN
    y = _header(sheet, card, left, MARGIN, inner)
    dial = 60.0
    gauge = (left, y + 1.0, dial, dial * 2.16 / 2.6)
    under = _dial_words(sheet, card, left, y + 1.5 + gauge[3], dial)
    beside = _starts(sheet, card, left + dial + 3.0, y, inner - dial - 3.0)
    y = _loads(sheet, card, left, max(under, beside) + 1.6, inner)
    half = (inner - 4.0) / 2
    right = left + half + 4.0
    one = _lifts(sheet, card, left, y + 1.6, half)
    sheet.live = False
    two = _decisions(sheet, card, right, y + 1.6, half)
    y = max(one, two) + 1.6
    half = CHECKS_SHARE * (inner - 4.0)
    right, rest = left + half + 4.0, inner - half - 4.0
    one = sheet.items(left, sheet.heading(left, y, half, "Check"), half, card.checks, 6.8)
    two = sheet.items(right, sheet.heading(right, y, rest, "Cautions"), rest, card.cautions, 6.8)
    y = max(one, two) + 1.4
    rests = Sheet(sheet.scale)
    needed = _rests_on(rests, card, left, 0.0, inner)
    y = _record(sheet, card, left, y, inner, height - MARGIN - needed - 1.6)
    sheet.live = True
    return _rests_on(sheet, card, left, y + 1.6, inner), gauge


def _header(sheet, card, left, y, inner):
    # Wide enough that the usual name of a field takes one line.
    aside = 74.0
    first = sheet.paragraph(left, y, inner - aside - 2.0, f"Set-up card: {card.drill}", 13.0, bold=True)
    second = sheet.paragraph(left + inner - aside, y + 0.8, aside, _day(card), 9.0)
    second = sheet.paragraph(left + inner - aside, second, aside, f"Today: {card.field}", 9.0, bold=True)
    y = max(first, second) + 0.6
    sheet.rule(left, y, left + inner, y, 1.6)
    if card.warning:
        y = sheet.paragraph(left, y + 0.4, inner, card.warning, 6.8, bold=True)
    return y + 0.8


def _day(card):
    return f"Date {card.date.isoformat()}" if card.date else "Date: the day it is written"


def _dial_words(sheet, card, left, y, width):
    for kind, words in gauge_words(card.face, card.units):
        # What sets the red line stands among the limits.
        words = words.partition(":")[0] if kind == "red" else words
        y = sheet.paragraph(left, y, width, f"{PATTERNS[kind]}: {words}", 6.4) + 0.3
    return sheet.paragraph(left, y, width, "Thick strokes: where to start.", 6.4)


def _starts(sheet, card, left, y, width):
    y = sheet.heading(left, y, width, "Start here", 9.5)
    columns = (width - 70.0, 31.0, 39.0)
    rows = []
    for line in card.starts:
        today = "Today: " if line.today else ""
        rows.append((f"{today}{line.soil}", line.pressure_text, line.load_text))
    bold = [place for place, line in enumerate(card.starts) if line.today]
    header = ("Soil", "Set the gauge to", "Gauge wheel keeps")
    for place, row in enumerate(rows):
        y = sheet.table(
            left, y, columns, [row], 8.2, header if place == 0 else (), (0,) if place in bold else ()
        )
        for said in card.starts[place].details:
            y = sheet.paragraph(left + 3.0, y - 0.3, width - 3.0, said, 6.8) + 0.4
    y = sheet.heading(left, y + 0.8, width, "Limits and settings")
    rows = [*card.limits, *card.oil, *card.facts]
    return sheet.table(left, y, (25.0, width - 25.0), rows, 7.0)


def _loads(sheet, card, left, y, width):
    y = sheet.heading(
        left, y, width, "What the gauge gives: at the disc, and what each soil leaves on the gauge wheel"
    )
    first = (41.0, 27.0)
    rest = (width - sum(first)) / len(card.soils)
    rows = []
    for line in card.loads:
        mark = " red line" if line.red_line else ""
        rows.append((line.pressure_text + mark, line.down_force_text, *line.cells))
    header = ("Gauge", "At the disc", *card.soils)
    last = [len(rows) - 1]
    y = sheet.table(left, y, (*first, *[rest] * len(card.soils)), rows, 7.2, header, last)
    words = (
        "Shallow: how deep the disc runs. * above what may be set in that soil. Frame lifts: that soil lifts "
        "it below the red line of today."
    )
    return sheet.paragraph(left, y, width, words, 6.4)


def _lifts(sheet, card, left, y, width):
    y = sheet.heading(left, y, width, f"Where the weight ends: {card.field}")
    rows = [(line.hopper, line.lift_text, line.ceiling_text) for line in card.lifts]
    columns = (0.23 * width, 0.47 * width, 0.30 * width)
    y = sheet.table(left, y, columns, rows, 7.0, ("Hopper", "Lifts at; 90 %", "Set no more than"))
    y = sheet.heading(left, y + 1.2, width, "Change rule")
    return sheet.items(left, y, width, card.change_rule, 7.0)


def _decisions(sheet, card, left, y, width):
    y = sheet.heading(left, y, width, "Stop, turn, dig, decide")
    columns = (width * 0.26, width * 0.13, width * 0.15, width * 0.46)
    return sheet.table(left, y, columns, card.decisions, 6.8, ("Gauge wheels", "Seeds", "Slot wall", "Do"))


def _record(sheet, card, left, y, width, end):
    y = sheet.heading(left, y, width, "Record, by hand")
    step = width / len(card.record)
    for place, name in enumerate(card.record):
        sheet.paragraph(left + place * step, y, step - 0.5, name, 6.8)
    top, y = y, sheet.paragraph(left, y, step, card.record[0], 6.8) + 0.3
    sheet.words.pop()
    count = max(FEWEST_RECORDS, int((end - y) / RECORD_STEP))
    for _ in range(count):
        sheet.rule(left, y, left + width, y, 0.35)
        y += RECORD_STEP
    sheet.rule(left, y, left + width, y, 0.35)
    for place in range(1, len(card.record)):
        sheet.rule(left + place * step - 0.8, top + 0.3, left + place * step - 0.8, y, 0.35)
    return y


def _rests_on(sheet, card, left, y, width):
    y = sheet.heading(left, y, width, "What it rests on")
    for label, text in card.rests_on:
        y = sheet.paragraph(left, y, width, f"{label}: {text}.".replace("..", "."), 6.4)
    return y
