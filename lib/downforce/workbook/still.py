"""A picture that does not move: drawn once, with alternative text and a caption.

>>> from downforce.workbook import style
>>> def draw(figure):
...     axes = style.dress(figure.add_subplot(), "Load", "Travel (mm)", "Load (N)", (0, 100), (0, 2000))
...     axes.plot([0, 100], [0, 2000], **style.line("spring"))
>>> picture = Still(draw, alt="Line chart: load against travel, rising.", caption="The load rises.")
>>> sorted(picture._repr_mimebundle_())
['image/png', 'text/html', 'text/plain']
"""

from __future__ import annotations

import base64
from collections.abc import Callable
from typing import Any

from downforce.workbook.canvas import Canvas
from downforce.workbook.markup import element
from downforce.workbook.style import WIDE

PANEL_CLASS = "downforce-panel-still"
STILL_CLASS = "downforce-still"


def data_uri(png: bytes) -> str:
    """PNG bytes as an address that an ``img`` can hold."""
    return "data:image/png;base64," + base64.b64encode(png).decode("ascii")


def still_bundle(
    png: bytes, alt: str, caption: str, screen_size: tuple[int, int], css_class: str, note: str = ""
) -> dict[str, str]:
    """Rich display of a picture for readers that run nothing.

    The HTML carries the picture too, because a viewer that shows HTML shows nothing else.

    css_class: tells a panel's still from a plain one.
    """
    width, height = screen_size
    look = f"max-width:100%;height:auto;aspect-ratio:{width}/{height}"
    picture = element("img", alt=alt, src=data_uri(png), width=width, style=look)
    words = [caption, element("br"), element("small", note)] if note else [caption]
    page = element("figure", picture, element("figcaption", *words), class_=css_class, style="margin:0")
    return {
        "image/png": base64.b64encode(png).decode("ascii"),
        "text/html": page,
        "text/plain": caption,
    }


class _Once:
    """A drawing whose every artist stands still."""

    def __init__(self, draw: Callable[[Any], None]) -> None:
        self._draw = draw

    def setup(self, figure: Any) -> list[Any]:
        self._draw(figure)
        # A canvas wants something that moves; an empty text at the edge costs nothing.
        return [figure.text(0, 0, "")]

    def update(self, result: Any) -> None:
        """Nothing moves."""


class Still:
    """A picture with alternative text and a caption. Make it the last line of a cell to show it.

    draw: takes an empty matplotlib figure and draws on it.
    size: width and height, such as `style.WIDE`.
    """

    def __init__(
        self, draw: Callable[[Any], None], alt: str, caption: str, size: tuple[float, float] = WIDE
    ) -> None:
        self.alt, self.caption = alt, caption
        self._canvas = Canvas(_Once(draw), size)
        self._canvas.show(None)

    def picture_png(self) -> bytes:
        """The picture."""
        return self._canvas.png()

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, str]:
        canvas = self._canvas
        return still_bundle(canvas.still_png(), self.alt, self.caption, canvas.screen_size, STILL_CLASS)
