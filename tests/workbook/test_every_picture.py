"""Every picture of every workbook: keys that tell the truth, curves with names, words that can be read."""

from contextlib import suppress
from itertools import combinations

import numpy as np
import pytest
from matplotlib.collections import LineCollection
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.legend import Legend
from matplotlib.lines import Line2D
from matplotlib.text import Annotation, Text
from matplotlib.transforms import Bbox
from panels_of import BOOKS, panels_of

from downforce.workbook import style

ARROWS = "^v<>"
"""Heads of arrows, which turn with the load; their key shows one of them."""


def look(artist):
    """What tells an artist from another one: colour, dash and mark, or fill and hatching."""
    if isinstance(artist, Line2D):
        mark = artist.get_marker()
        dash = artist._unscaled_dash_pattern if artist.get_linestyle() != "None" else None
        fill = to_hex(artist.get_markerfacecolor()) if mark not in ("None", "", None) else ""
        return to_hex(artist.get_color()), dash, ARROWS if mark in ARROWS else mark, fill
    if isinstance(artist, LineCollection):
        (dash,) = artist.get_linestyle()
        return to_hex(artist.get_color()[0]), tuple(dash), "None", ""
    fills = np.atleast_2d(artist.get_facecolor())
    return "", to_hex(fills[0], keep_alpha=True) if len(fills) else "", artist.get_hatch()


def artists_of(figure):
    return [one for axes in figure.axes for one in (*axes.lines, *axes.collections, *axes.patches)]


def wrong_keys(figure):
    """Entries of legends that look like nothing they name."""
    drawn = artists_of(figure)
    for legend in figure.findobj(Legend):
        for handle, text in zip(legend.legend_handles, legend.get_texts(), strict=True):
            named = [one for one in drawn if one.get_label() == text.get_text()]
            if look(handle) not in [look(one) for one in named or drawn]:
                yield f"the key {text.get_text()!r} looks like nothing in the picture"


def nameless_curves(figure):
    """Lines of more than three points on axes with numbers; fewer only point at something, as leads do.

    A drawing to scale has parts, and no curves.
    """
    for axes in figure.axes:
        if axes.axison and axes.get_aspect() == "auto":
            for line in axes.lines:
                if line.get_visible() and len(line.get_xdata()) > 3 and line.get_label().startswith("_"):
                    yield f"a line in {axes.get_title(loc='left')!r} has no name"


def words_of(figure):
    """Texts that are drawn, with their boxes; ticks out of sight and labels of hidden axes are not."""
    hidden = set()
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            seen = axis._update_ticks() if axes.axison else []
            for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
                hidden |= set() if tick in seen else {tick.label1, tick.label2}
            hidden |= set() if axes.axison else {axis.label, axis.offsetText}
    renderer = figure.canvas.get_renderer()
    for text in figure.findobj(Text):
        if text.get_text().strip() and text.get_visible() and text not in hidden:
            # The arrow of an annotation is no part of its words.
            box = Text.get_window_extent(text, renderer) if isinstance(text, Annotation) else None
            yield text, box or text.get_window_extent(renderer)


def meet(one, other):
    """Whether two boxes lie on each other by more than a hair."""
    wide = min(one.x1, other.x1) - max(one.x0, other.x0)
    return wide > 2 and min(one.y1, other.y1) - max(one.y0, other.y0) > 3


def hidden_words(figure):
    """Words that lie on others, in a legend that is not theirs, or out of the picture."""
    found, renderer = list(words_of(figure)), figure.canvas.get_renderer()
    for (text, box), (other, other_box) in combinations(found, 2):
        if meet(box, other_box):
            yield f"{text.get_text()!r} lies on {other.get_text()!r}"
    for legend in figure.findobj(Legend):
        own, frame = legend.findobj(Text), legend.get_window_extent(renderer)
        for text, box in found:
            if text not in own and meet(box, frame):
                yield f"{text.get_text()!r} lies on the legend"
    for text, box in found:
        if box.x0 < -1 or box.y0 < -1 or box.x1 > figure.bbox.x1 + 1 or box.y1 > figure.bbox.y1 + 1:
            yield f"{text.get_text()!r} runs out of the picture"


def struck_legends(figure):
    """Legends with something drawn over them; what stands still is drawn before the legend."""
    renderer = figure.canvas.get_renderer()
    for legend in figure.findobj(Legend):
        frame = legend.get_window_extent(renderer)
        for line in (one for axes in figure.axes for one in axes.lines):
            points = _points(line)
            inside = (points > (frame.x0, frame.y0)) & (points < (frame.x1, frame.y1))
            if line.get_animated() and line.get_visible() and inside.all(axis=1).any():
                yield f"{line.get_label()!r} runs through a legend"


def _points(line):
    """Places along a line in pixels, as far as its axes show them."""
    ends = line.get_transform().transform(np.column_stack(line.get_data()).astype(float).reshape(-1, 2))
    share = np.linspace(0.0, 1.0, 30)[:, None, None]
    if line.get_linestyle() != "None" and len(ends) > 1:
        ends = (ends[:-1] + share * np.diff(ends, axis=0)).reshape(-1, 2)
    box = line.axes.bbox
    shown = (ends >= (box.x0, box.y0)) & (ends <= (box.x1, box.y1))
    return ends[shown.all(axis=1)] if line.get_clip_on() else ends


def struck_words(figure):
    """Words with a curve through them; paper behind words hides what is drawn before them.

    In a drawing to scale, and on a dial, parts pass behind names and numbers.
    """
    keys = {text for legend in figure.findobj(Legend) for text in legend.findobj(Text)}
    for text, box in words_of(figure):
        if text in keys:
            continue
        # A hair of the box is air above and below the letters.
        inner = Bbox.from_extents(
            box.x0 + 1, box.y0 + 0.2 * box.height, box.x1 - 1, box.y1 - 0.2 * box.height
        )
        charts = [axes for axes in figure.axes if axes.axison and axes.get_aspect() == "auto"]
        for line in (one for axes in charts for one in axes.lines if one.get_visible()):
            later = (text.get_animated(), text.zorder) > (line.get_animated(), line.zorder)
            hidden = text.get_bbox_patch() is not None and later
            shown = Bbox.intersection(inner, line.axes.bbox) if line.get_clip_on() else inner
            if not hidden and shown is not None and _crosses(line, shown):
                yield f"a line of {line.axes.get_title(loc='left')!r} runs through {text.get_text()!r}"


def _crosses(line, box):
    way = line.get_path().transformed(line.get_transform()).cleaned(remove_nans=True)
    if line.get_linestyle() == "None":
        return box.count_contains(way.vertices[:-1]) > 0
    return way.intersects_bbox(box, filled=False)


CHECKS = (wrong_keys, nameless_curves, hidden_words, struck_legends, struck_words)


def places_of(panel):
    """Where the controls start, all at their first ends, all at their last."""
    yield panel.values
    yield {name: control.ends[0] for name, control in panel.controls.items()}
    yield {name: control.ends[-1] for name, control in panel.controls.items()}


@pytest.mark.parametrize("book", BOOKS, ids=lambda book: book.name)
def test_every_picture_of_a_workbook_can_be_read(book):
    wrong = []
    for number, panel in panels_of(book):
        for values in list(places_of(panel)):
            # What cannot be is told in a sentence, and there is no picture of it.
            with suppress(ValueError):
                panel.set(**values)
                figure = panel._canvas._figure
                wrong += [f"panel {number} at {values}: {said}" for check in CHECKS for said in check(figure)]
    assert wrong == []


# --- each check finds what it is there for --------------------------------------------------


def drawn():
    figure = Figure(figsize=(6, 4))
    axes = style.dress(figure.add_subplot(), "Load", ("Travel (mm)", 0, 10), ("Load (N)", 0, 10))
    (line,) = axes.plot([0, 5, 10], [1, 2, 1], **style.line("spring", label="spring"))
    axes.legend(loc="upper right", **style.LEGEND)
    return figure, axes, line


def found(figure):
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    FigureCanvasAgg(figure).draw()
    return [said for check in CHECKS for said in check(figure)]


def test_a_good_picture_passes():
    assert found(drawn()[0]) == []


@pytest.mark.parametrize("change", [{"color": "blue"}, {"linestyle": "solid"}, {"marker": "o"}])
def test_a_key_that_looks_otherwise_is_found(change):
    figure, _, line = drawn()
    line.set(**change)
    assert found(figure) == ["the key 'spring' looks like nothing in the picture"]


def test_a_nameless_curve_is_found_and_a_line_that_points_is_none():
    figure, axes, _ = drawn()
    axes.axhline(3)
    axes.plot([0, 1, 2, 3], [3, 3, 3, 3])
    assert found(figure) == ["a line in 'Load' has no name"]


def test_words_on_words_and_words_outside_are_found():
    figure, axes, _ = drawn()
    axes.text(5, 5, "one")
    axes.text(5.1, 5.05, "two")
    assert found(figure) == ["'one' lies on 'two'"]
    axes.texts[1].set_position((9.9, 7))
    axes.texts[1].set_text("a very long word indeed")
    assert found(figure) == ["'a very long word indeed' runs out of the picture"]


def test_a_moving_line_through_a_legend_is_found_and_one_that_stands_still_is_behind_it():
    figure, _, line = drawn()
    line.set_ydata([1, 18, 1])
    assert found(figure) == []
    line.set_data([0, 5, 10], [1, 9.5, 9.5])
    line.set_animated(True)
    assert found(figure) == ["'spring' runs through a legend"]


def test_a_line_through_words_is_found_and_paper_hides_one_that_stands_still():
    figure, axes, line = drawn()
    words = axes.text(5, 1.8, "at work")
    struck = ["a line of 'Load' runs through 'at work'"]
    assert found(figure) == struck
    words.set_bbox({"facecolor": "white"})
    assert found(figure) == []
    line.set_animated(True)
    line.axes.draw_artist(line)
    assert found(figure) == struck
