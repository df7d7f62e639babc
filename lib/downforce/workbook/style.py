"""How pictures and numbers look: colours, lines, sizes, and numbers with their unit.

Nothing here changes matplotlib's global settings. Each picture dresses its own
axes, so two panels never disturb each other, nor a reader's own plots.

Every thing a chart compares (spring, cylinder, soil ...) has one colour, one
dash and one marker. The colours differ in lightness as well as in hue, so a
black and white print and a colour-blind reader lose nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from downforce.machine.unit_table import percent as percent

INK = "#1c1c22"
PAPER = "#ffffff"
GRID = "#d8d8dc"
MUTED = "#6a6a72"
SOIL_FILL = "#e6d6b8"
WARNING = "#b3261e"
GOOD_FILL = "#dcebdd"

FONT_SIZE = 10.0
SMALL = 9.0
TITLE_SIZE = 11.0
LINE_WIDTH = 2.0

LEGEND = {"fontsize": SMALL, "facecolor": PAPER, "edgecolor": "none", "framealpha": 1.0}
"""Look of a legend [-]: on white, so that no grid line strikes its words out."""

WIDE = (8.0, 4.2)
TALL = (8.0, 5.6)
SQUARE = (5.6, 5.2)
"""Picture sizes [in] that fit one screen together with three or four sliders."""


@dataclass(frozen=True)
class Mark:
    """The look of one thing wherever it is drawn."""

    colour: str
    dash: Any
    marker: str


MARKS = {
    "cylinder": Mark("#12467f", "solid", "o"),
    "spring": Mark("#c8641b", (0, (6, 2)), "s"),
    "soil": Mark("#7a5c2e", (0, (1, 1.2)), "^"),
    "gauge wheel": Mark("#1f8a70", (0, (6, 2, 1, 2)), "D"),
    "accumulator": Mark("#6f9ad3", (0, (3, 1.5)), "v"),
    "gas spring": Mark("#8d3b72", (0, (4, 1.5, 1, 1.5, 1, 1.5)), "P"),
    "frame": Mark("#4a4a52", (0, (8, 2, 2, 2)), "X"),
    "limit": Mark("#b3261e", (0, (2, 1)), "x"),
    "target": Mark("#e0a92e", (0, (10, 3)), "*"),
    "frame wheel": Mark("#6a3d9a", (0, (5, 1, 1, 1)), "h"),
    "hitch": Mark("#00707f", (0, (7, 1.5, 1, 1.5, 1, 1.5)), "p"),
    "measured": Mark("#1c1c22", "none", "o"),
}
"""Look of each thing, by its name."""

APART = (
    {"color": INK, "linestyle": "solid", "linewidth": LINE_WIDTH},
    {"color": "#77777f", "linestyle": (0, (6, 2)), "linewidth": LINE_WIDTH},
    {"color": INK, "linestyle": (0, (1, 1.2)), "linewidth": LINE_WIDTH},
)
"""Looks of lines of one kind that only need telling apart, such as rows [-]: in no other thing's colour."""


def mark(name: str) -> Mark:
    """Look of a thing, by its name.

    name: a key of `MARKS`, such as ``"spring"``.
    """
    if name not in MARKS:
        raise ValueError(f"no look is kept for {name!r}; there is one for: {', '.join(MARKS)}")
    return MARKS[name]


def line(name: str, **changes: Any) -> dict[str, Any]:
    """Keyword arguments for ``axes.plot`` that draw a thing as a line.

    name: a key of `MARKS`.
    """
    look = mark(name)
    return {"color": look.colour, "linestyle": look.dash, "linewidth": LINE_WIDTH, **changes}


def dot(name: str, **changes: Any) -> dict[str, Any]:
    """Keyword arguments for ``axes.plot`` that draw a thing as markers without a line.

    name: a key of `MARKS`.
    """
    look = mark(name)
    plain = {
        "color": look.colour,
        "linestyle": "none",
        "marker": look.marker,
        "markersize": 8,
        "markeredgecolor": INK,
        "markeredgewidth": 0.8,
    }
    return {**plain, **changes}


def dress(axes: Any, title: str = "", x: Any = "", y: Any = "", grid: bool = True) -> Any:
    """Give axes our fonts, labels, limits and grid, and return the same axes.

    x, y: words of an axis with their unit, such as ``"Travel (mm)"``; or the words and its two ends.
    """
    axes.set_facecolor(PAPER)
    axes.set_title(title, fontsize=TITLE_SIZE, color=INK, loc="left")
    for axis, reach, given in ((axes.xaxis, axes.set_xlim, x), (axes.yaxis, axes.set_ylim, y)):
        words, *ends = (given,) if isinstance(given, str) else given
        axis.set_label_text(words, fontsize=FONT_SIZE, color=INK)
        if ends:
            reach(*ends)
    axes.tick_params(labelsize=SMALL, colors=INK, width=0.8)
    for side, spine in axes.spines.items():
        spine.set_visible(side in ("left", "bottom"))
        spine.set_color(MUTED)
    axes.grid(grid, color=GRID, linewidth=0.7)
    axes.set_axisbelow(True)
    return axes


def dress_drawing(axes: Any, x_limits: tuple[float, float], y_limits: tuple[float, float]) -> Any:
    """Make axes fit for a drawing to scale: equal scales and no frame. Return the same axes."""
    axes.set_aspect("equal", adjustable="box")
    axes.set_xlim(*x_limits)
    axes.set_ylim(*y_limits)
    axes.set_axis_off()
    return axes


def number(value: float, digits: int = 3, decimals: int | None = None) -> str:
    """Write a number as a person would: rounded, without an exponent or a negative zero.

    digits: significant digits to keep, unless `decimals` is given.
    decimals: digits after the point, for a column of numbers that must line up.

    >>> number(1234.5), number(0.04567, digits=2), number(-0.0001, decimals=1)
    ('1230', '0.046', '0.0')
    """
    value = float(value)
    if not math.isfinite(value):
        return "no value"
    if decimals is None:
        size = math.floor(math.log10(abs(value))) if value else 0
        value = round(value, digits - 1 - size)
        # Rounding may add a digit (9.996 to 10.0), so the size is read again.
        size = math.floor(math.log10(abs(value))) if value else 0
        decimals = max(0, digits - 1 - size)
    text = f"{abs(value):.{max(decimals, 0)}f}"
    negative = value < 0 and float(text) != 0
    return ("−" if negative else "") + text


def quantity(value: float, unit: str, digits: int = 3, decimals: int | None = None) -> str:
    """Write a number with its unit, joined so that a line break cannot part them.

    >>> quantity(59.94, "bar").replace("\\N{NO-BREAK SPACE}", " ")
    '59.9 bar'
    """
    joint = "" if unit in ("°", "%") else "\N{NO-BREAK SPACE}"
    return f"{number(value, digits, decimals)}{joint}{unit}"


def short(name: str, most: int | None) -> str:
    """A name for a picture, with dots where it goes on; the words beside the picture have all of it.

    most: letters there is room for; None for all.

    >>> short("Home field", 12), short("Home field beside the road", 12)
    ('Home field', 'Home field…')
    """
    return name if most is None or len(name) <= most else f"{name[: most - 1].rstrip()}…"


def alt_text(kind: str, subject: str, *facts: str) -> str:
    """Alternative text for a picture: what kind, of what, and the facts it shows now.

    kind: such as ``"Line chart"`` or ``"Side view drawing"``.
    subject: what is shown, without a full stop.
    facts: present values or findings, each a short clause, with or without a full stop.

    >>> alt_text("Line chart", "down force against travel", "the spring gives 900 N at 0 mm")
    'Line chart: down force against travel. The spring gives 900 N at 0 mm.'
    """
    sentences = [f"{kind}: {subject}."]
    sentences += [f"{fact[:1].upper()}{fact[1:].rstrip('.')}." for fact in facts if fact]
    return " ".join(sentences)
