"""A kept figure that redraws only what moves and gives its picture as PNG bytes; and a still picture.

Making a figure anew for each slider step costs several times what this costs, and
pyplot keeps a global "current figure" that a slider callback, which runs in a thread
of its own, can take from another cell. So the figure is made once, on the Agg canvas,
with no pyplot.

A picture that does not move is drawn once, with alternative text and a caption:

>>> from downforce.workbook import style
>>> def draw(figure):
...     axes = style.dress(figure.add_subplot(), "Load", ("Travel (mm)", 0, 100), ("Load (N)", 0, 2000))
...     axes.plot([0, 100], [0, 2000], **style.line("spring"))
>>> picture = Still(draw, alt="Line chart: load against travel, rising.", caption="The load rises.")
>>> sorted(picture._repr_mimebundle_())
['image/png', 'text/html', 'text/plain']
"""

from __future__ import annotations

import base64
import struct
import threading
import warnings
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from io import BytesIO
from math import ceil, floor
from typing import Any, Protocol

import numpy as np
from matplotlib import rc_context
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text
from PIL import Image

from downforce.workbook.markup import element
from downforce.workbook.style import WIDE, alt_text
from downforce.workbook.table import Page, fingerprint, picture_numbers

DOTS_PER_INCH = 144
SCREEN_PER_INCH = 96
_EXACT = 128
"""Colours a stored picture keeps exactly; half of its palette."""
_HEAD = 33
"""Bytes of a PNG before its first chunk that may be anything: its mark and its size."""
ROOM = 3
"""Pixels around words for letters that lean out of their box."""

DRAWING = threading.RLock()
"""Held while anything is drawn: matplotlib shares font caches, and panels may be moved from two threads."""

# A letter that the font has not, such as an emoji in a name, is drawn as a box; that is no news for a reader.
warnings.filterwarnings("ignore", "Glyph .* missing from font")


class Drawing(Protocol):
    """What a lesson gives to a panel to draw with.

    `setup` makes everything once, with fixed axis limits, and returns the list of
    artists that will move. `update` sets the data of those artists from a result and
    returns nothing. A drawing whose fixed part depends on a choice (say the unit on an
    axis) also has ``fixed(result)``, which returns a value that changes when the fixed
    part must be drawn again; `update` then sets those labels or limits.
    """

    def setup(self, figure: Any) -> list[Any]:
        """Make all artists and return those that move.

        figure: an empty figure of the panel's size.
        """
        ...

    def update(self, result: Any) -> None:
        """Set the moving artists from a result."""
        ...


def _fast_png(pixels: Any) -> bytes:
    """PNG of RGBA pixels, without alpha and without row filters.

    As small as from the general writer, in a third of its time; each colour is copied apart, which costs a
    quarter of copying three bytes a pixel.
    """
    height, width = pixels.shape[:2]
    rows = np.zeros((height, 1 + 3 * width), np.uint8)
    for colour in range(3):
        rows[:, 1 + colour :: 3] = pixels[:, :, colour]
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(rows, 1)), (b"IEND", b""))  # type: ignore[arg-type]
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(kind, data) for kind, data in chunks)


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def _signed(png: bytes, letters: str) -> bytes:
    """PNG with letters right behind its head, where `tests/nbval_sanitize.cfg` finds them by their place."""
    return png[:_HEAD] + _chunk(b"tEXt", b"drawn\0" + letters.encode()) + png[_HEAD:]


def _small_png(pixels: Any) -> bytes:
    """PNG of RGBA pixels in 256 colours: those most often met, and for the others what comes near them.

    A drawing has one or two thousand colours, nearly all on the edges of letters and lines. So each is looked
    at once instead of each pixel, areas keep their colour exactly, and the file takes a quarter of the time.
    """
    codes = np.ascontiguousarray(pixels).view("<u4").ravel() & 0xFFFFFF
    # Most pixels are as their neighbour: stretches of one colour are counted, and each is looked up once.
    starts = np.concatenate([[0], np.flatnonzero(np.diff(codes)) + 1])
    lengths = np.diff(starts, append=codes.size)
    met, which = np.unique(codes[starts], return_inverse=True)
    colours = np.stack([met & 255, met >> 8 & 255, met >> 16], axis=1).astype(np.uint8)
    often = np.argsort(-np.bincount(which, lengths), kind="stable")
    palette, seldom = colours[often[:_EXACT]], colours[often[_EXACT:]]
    if len(seldom):
        near = Image.fromarray(seldom[None]).quantize(256 - _EXACT, method=Image.Quantize.MEDIANCUT)
        # Older pillows fill a palette up to 256 colours, whatever was asked for.
        others = np.reshape(near.getpalette(), (-1, 3))[: 256 - _EXACT]  # type: ignore[arg-type]
        palette = np.concatenate([palette, others.astype(np.uint8)])
    # |a - b|^2 without |a|^2, which is the same for every colour of the palette.
    chosen = palette.astype(np.float32)
    place = np.argmin((chosen**2).sum(axis=1) - 2.0 * colours.astype(np.float32) @ chosen.T, axis=1)
    places = np.repeat(place.astype(np.uint8)[which], lengths).reshape(pixels.shape[:2])
    small = Image.fromarray(places)
    small.putpalette(palette.tobytes())
    file = BytesIO()
    small.save(file, "PNG", compress_level=6)
    return file.getvalue()


class PlainFigure(Figure):
    """A figure whose words are drawn as they are written: none is a formula, whatever stands in a name."""

    def as_written(self) -> None:
        """Take every word as it is written."""
        for words in self.findobj(Text):
            words.set_parse_math(False)

    def draw(self, renderer: Any) -> None:
        """Draw it, with every word as it is written."""
        self.as_written()
        super().draw(renderer)


@lru_cache(4096)
def _measured(s: str, prop: Any, ismath: Any) -> tuple[float, float, float]:
    """Width, height and descent of words in pixels, the same on every canvas."""
    return RendererAgg(1, 1, DOTS_PER_INCH).get_text_width_height_descent(s, prop, False)


@contextmanager
def _ticks_found_once(figure: Figure) -> Iterator[None]:
    """While only places on the page change, an axis finds its ticks once a place and not ten times.

    Layout and drawing ask each axis for its ticks for its own label, for the title, for every axis beside it.
    """
    axes = [axis for each in figure.axes for axis in (each.xaxis, each.yaxis)]
    for axis in axes:
        axis._update_ticks = _found_once(axis, axis._update_ticks)
    try:
        yield
    finally:
        for axis in axes:
            del axis._update_ticks


def _found_once(axis: Any, find: Callable[[], Any]) -> Callable[[], Any]:
    last: list[Any] = [None, None]

    def ticks() -> Any:
        place = (*axis.axes.bbox.bounds, *axis.get_view_interval())
        if place != last[0]:
            last[:] = place, find()
        return last[1]

    return ticks


class _Words:
    """Draws words for a renderer and keeps them as pixels for its next picture.

    Words are most of what a picture costs (a line of them 1 to 2 ms, from its pixels 0.1 ms), and
    half of them stand in the next picture as they are.
    """

    def __init__(self, renderer: Any) -> None:
        self._renderer = renderer
        self._draw = renderer.draw_text
        self._drawn: dict[Any, Any] = {}
        self._last: dict[Any, Any] = {}
        renderer.draw_text = self.draw_text

    def turn(self) -> None:
        """Begin a new picture: keep what the last one showed, and no more."""
        self._last, self._drawn = self._drawn, {}

    def draw_text(
        self, gc: Any, x: float, y: float, s: str, prop: Any, angle: float, ismath: Any, mtext: Any = None
    ) -> None:
        # Words are never a formula, whatever dollar signs stand in a name.
        if angle or gc.get_alpha() != 1.0 or gc.get_clip_rectangle():
            self._draw(gc, x, y, s, prop, angle, False, mtext)
            return
        # Letters stand on 64ths of a pixel; words that have moved by whole pixels look the same.
        x, y = (round(64 * at) / 64 for at in (x, y))
        left, top = floor(x), floor(y)
        key = (s, x - left, y - top, hash(prop), gc.get_rgb())
        if key not in self._last:
            self._last[key] = self._pixels(gc, x - left, y - top, s, prop, mtext)
        above, pixels = self._drawn[key] = self._last[key]
        bottom = int(self._renderer.height) - (top - above) - len(pixels)
        self._renderer.draw_image(gc, left - ROOM, bottom, pixels[::-1])

    def _pixels(self, gc: Any, x: float, y: float, s: str, prop: Any, mtext: Any) -> Any:
        """Rows of pixels above the base line, and the pixels."""
        width, height, descent = self._renderer.get_text_width_height_descent(s, prop, False)
        above, below = ceil(height - descent) + ROOM, ceil(descent) + ROOM
        small = RendererAgg(ceil(width) + 2 * ROOM, above + below, self._renderer.dpi)
        small.draw_text(gc, ROOM + x, above + y, s, prop, 0.0, False, mtext)
        return above, np.asarray(small.buffer_rgba())


class Canvas:
    """The kept figure of one drawing.

    drawing: object with `setup` and `update`.
    size: width and height on the screen, in inches of 96 pixels.
    """

    def __init__(self, drawing: Drawing, size: tuple[float, float]) -> None:
        self.size = size
        self._drawing = drawing
        self._figure = PlainFigure(figsize=size, dpi=DOTS_PER_INCH, layout="constrained", facecolor="white")
        self._agg = FigureCanvasAgg(self._figure)
        renderer = self._agg.get_renderer()
        # matplotlib measures each word again for each figure; tick labels and units are the same on most.
        renderer.get_text_width_height_descent = _measured
        self._words = _Words(renderer)
        self._fixed: Any = None
        self.renew()

    def renew(self) -> None:
        """Make every artist anew, of a drawing whose subject has changed."""
        with DRAWING:
            self._figure.clear()
            moving = list(self._drawing.setup(self._figure) or [])
        if not moving:
            raise ValueError("setup() must return the list of artists that move; it returned none")
        self._moving = sorted(moving, key=lambda artist: artist.get_zorder())
        self._background: Any = None

    @property
    def screen_size(self) -> tuple[int, int]:
        """Width and height on the screen, in pixels of 1/96 inch."""
        return tuple(round(side * SCREEN_PER_INCH) for side in self.size)  # type: ignore[return-value]

    def show(self, result: Any) -> None:
        """Draw a result."""
        fixed_part = getattr(self._drawing, "fixed", None)
        with DRAWING:
            self._drawing.update(result)
            fixed = fixed_part(result) if fixed_part else None
            if self._background is None or fixed != self._fixed:
                self._draw_background()
                self._fixed = fixed
            self._words.turn()
            self._agg.restore_region(self._background)
            renderer = self._agg.get_renderer()
            for artist in self._moving:
                artist.draw(renderer)

    def _draw_background(self) -> None:
        with _ticks_found_once(self._figure):
            self._draw_fixed()

    def _draw_fixed(self) -> None:
        # The layout is found once, with the moving artists in place, so that nothing shifts later.
        if self._background is None:
            self._figure.as_written()
            for artist in self._moving:
                # A line without points claims the picture's corner, and all axes would make room for it.
                artist.set_in_layout(not isinstance(artist, Line2D) or len(artist.get_xdata()) > 0)  # type: ignore[arg-type]
            if any(axes.get_subplotspec() is not None for axes in self._figure.axes):
                self._figure.get_layout_engine().execute(self._figure)
            self._figure.set_layout_engine("none")
        for artist in self._moving:
            artist.set_animated(True)
        # `_Words` draws all words as they are written, so `PlainFigure.draw` need not look for them again.
        renderer = self._agg.get_renderer()
        renderer.clear()
        Figure.draw(self._figure, renderer)
        self._background = self._agg.copy_from_bbox(self._figure.bbox)

    def png(self) -> bytes:
        """Picture as it is now, packed fast for the live view."""
        with DRAWING:
            return _fast_png(np.asarray(self._agg.buffer_rgba()))

    def svg(self) -> bytes:
        """Picture as it is now, in lines that can be enlarged."""
        file = BytesIO()
        with DRAWING, rc_context({"svg.hashsalt": "downforce"}):
            self._figure.savefig(file, format="svg", metadata={"Date": None})
        return file.getvalue()

    def numbers(self) -> Any:
        """What the curves, marks and bars stand at, a DataFrame with the axis labels as columns."""
        with DRAWING:
            return picture_numbers(self._figure)

    def still_png(self) -> bytes:
        """Picture as it is now in 256 colours, packed small for a stored notebook.

        Its file carries what stands for the numbers drawn: pixels differ between computers, these do not.
        """
        with DRAWING:
            return _signed(_small_png(np.asarray(self._agg.buffer_rgba())), fingerprint(self._figure))


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
    return {"image/png": base64.b64encode(png).decode("ascii"), "text/html": page, "text/plain": caption}


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


def still_page(
    draw: Callable[[Any], None], kind: str, subject: str, caption: str, size: tuple[float, float] = WIDE
) -> Page:
    """A picture that does not move as a page; its alternative text is its kind, its subject and its caption.

    kind, subject: as `style.alt_text` takes them.
    """
    bundle = Still(draw, alt_text(kind, subject, caption), caption, size)._repr_mimebundle_()
    return Page(bundle["text/html"], bundle["text/plain"])
