"""Text, rules and tables placed on a page in millimetres, wrapped to their column so that nothing is cut."""

from dataclasses import dataclass
from functools import cache, lru_cache

from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.ft2font import LoadFlags

FONT = "DejaVu Sans"
"""Comes with matplotlib, so a card looks the same on every computer [-]."""
POINT = 25.4 / 72.0
"""One point of type [mm]."""
LEADING = 1.22
"""Line height over type size [-]."""
SPARE = 0.985
"""Share of a column that is filled: letters on a screen's grid run a little wider than on paper [-]."""
GAP = 1.0
"""Space between a cell's text and its edges [mm]."""


@dataclass(frozen=True)
class Words:
    """One line of text.

    Attributes
    ----------
    x, y : float [mm]
        Left end and baseline, from the page's upper left corner.
    text : str [-]
        What it says.
    size : float [pt]
        Type size.
    bold : bool [-]
        Whether it is bold.
    right : float [mm]
        Where its column ends.
    live : bool [-]
        Whether it depends on the drill or the field; else it is the same on every card.
    """

    x: float
    y: float
    text: str
    size: float
    bold: bool
    right: float
    live: bool


@dataclass(frozen=True)
class Rule:
    """A straight line.

    Attributes
    ----------
    x1, y1, x2, y2 : float [mm]
        Its ends.
    width : float [pt]
        How thick.
    """

    x1: float
    y1: float
    x2: float
    y2: float
    width: float


@cache
def _advances(bold):
    """Width of each character met so far, as a share of the type size."""
    font = FontProperties(family=FONT, weight="bold" if bold else "normal")
    return get_font(findfont(font)), {}


def _advance(letter, bold):
    font, known = _advances(bold)
    if letter not in known:
        font.set_size(1000.0, 72)
        known[letter] = font.load_char(ord(letter), flags=LoadFlags.NO_HINTING).linearHoriAdvance / 65536e3
    return known[letter]


def text_width(text, size, bold=False):
    """How wide a text is.

    Parameters
    ----------
    text : str [-]
        The text.
    size : float [pt]
        Type size.
    bold : bool [-]
        Whether it is bold.

    Returns
    -------
    float [mm]
        Its width on paper; kerning, which only draws letters together, is left out.
    """
    return sum(_advance(letter, bold) for letter in text) * size * POINT


@lru_cache(maxsize=8192)
def wrapped(text, width, size, bold=False):
    """Lines of a text that fit a width; a word longer than the width is parted.

    Parameters
    ----------
    text : str [-]
        The text.
    width : float [mm]
        Of the column.
    size : float [pt]
        Type size.
    bold : bool [-]
        Whether it is bold.

    Returns
    -------
    tuple of str [-]
        At least one line.
    """
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


class Sheet:
    """A page that is filled from the top.

    Parameters
    ----------
    scale : float [-]
        Every type size is multiplied by it.

    Setting `live` says whether the words that follow depend on the drill or the field.
    """

    def __init__(self, scale=1.0):
        self.scale, self.live = scale, True
        self.words, self.rules = [], []

    def paragraph(self, x, y, width, text, size, bold=False):
        """Put a text into a column.

        Parameters
        ----------
        x, y : float [mm]
            Upper left corner.
        width : float [mm]
            Of the column.
        text : str [-]
            The text.
        size : float [pt]
            Type size before scaling.
        bold : bool [-]
            Whether it is bold.

        Returns
        -------
        float [mm]
            Where the column goes on.
        """
        size = size * self.scale
        step = size * POINT * LEADING
        for line in wrapped(text, width, size, bold):
            y += step
            # A quarter of the size is below the baseline.
            self.words.append(Words(x, y - 0.28 * size * POINT, line, size, bold, x + width, self.live))
        return y

    def heading(self, x, y, width, text, size=8.0):
        """Put a bold heading over a rule.

        Parameters
        ----------
        x, y : float [mm]
            Upper left corner.
        width : float [mm]
            Of the column.
        text : str [-]
            The text.
        size : float [pt]
            Type size before scaling.

        Returns
        -------
        float [mm]
            Where the column goes on.
        """
        y = self.paragraph(x, y, width, text, size, bold=True) + 0.3
        self.rule(x, y, x + width, y, 0.9)
        return y + 0.5

    def items(self, x, y, width, texts, size):
        """Put texts below each other, each with a dash.

        Parameters
        ----------
        x, y : float [mm]
            Upper left corner.
        width : float [mm]
            Of the column.
        texts : sequence of str [-]
            The texts.
        size : float [pt]
            Type size before scaling.

        Returns
        -------
        float [mm]
            Where the column goes on.
        """
        for text in texts:
            self.paragraph(x, y, 3.0, "–", size)
            y = self.paragraph(x + 2.6, y, width - 2.6, text, size) + 0.25
        return y

    def table(self, x, y, widths, rows, size, header=(), bold_rows=()):
        """Put a table with fine rules.

        Parameters
        ----------
        x, y : float [mm]
            Upper left corner.
        widths : sequence of float [mm]
            Of the columns.
        rows : sequence of sequences of str [-]
            The cells; a cell may be wrapped.
        size : float [pt]
            Type size before scaling.
        header : sequence of str [-]
            Bold cells on top.
        bold_rows : sequence of int [-]
            Rows that are bold.

        Returns
        -------
        float [mm]
            Where the column goes on.
        """
        ends = x + sum(widths)
        for place, row in enumerate([*([header] if header else []), *rows]):
            bold = (bool(header) and place == 0) or place - bool(header) in bold_rows
            left, low = x, y
            for width, cell in zip(widths, row, strict=True):
                low = max(low, self.paragraph(left + GAP / 2, y, width - GAP, cell, size, bold))
                left += width
            y = low + 0.45
            self.rule(x, y, ends, y, 0.9 if header and place == 0 else 0.35)
            y += 0.15
        return y

    def rule(self, x1, y1, x2, y2, width):
        """Draw a straight line.

        Parameters
        ----------
        x1, y1, x2, y2 : float [mm]
            Its ends.
        width : float [pt]
            How thick.
        """
        self.rules.append(Rule(x1, y1, x2, y2, width))
