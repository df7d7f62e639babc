"""The numbers of a picture or a table as a DataFrame, and files of them that never replace another one."""

import re
from pathlib import Path

import numpy as np
from ipywidgets import HTML, Button, HBox, Layout
from matplotlib.container import BarContainer
from matplotlib.lines import Line2D

from downforce.machine.files import NotWritten, write_beside
from downforce.workbook.long_work import telling
from downforce.workbook.markup import element

_NUMBER = re.compile(
    r"(?P<number>[+\N{MINUS SIGN}-]?(?:\d+(?:\.\d+)?|\.\d+))(?:\s?(?P<unit>[^\d\s(][^\d(,;]*))?"
)
"""A number with or without a unit behind it, and nothing else."""


def picture_numbers(figure):
    """What the curves, marks and bars of a picture stand at; drawings without axes have no numbers.

    Result: a row for each point; the columns are the labels of the axes.
    """
    import pandas

    frames = []
    for axes in figure.axes:
        title = axes.get_title() or axes.get_title(loc="left")
        columns = _axis_name(axes, "x", title), _axis_name(axes, "y", title)
        for curve, points in _curves(axes) if axes.axison else ():
            known = {"picture": title, "curve": curve} | dict(zip(columns, points, strict=True))
            frames.append(pandas.DataFrame(known))
        for image in axes.images:
            # What has a scale of colours holds numbers; other images hold colours themselves.
            if image.colorbar:
                known = {"picture": title, image.colorbar.ax.get_ylabel(): image.get_array().ravel()}
                frames.append(pandas.DataFrame(known | dict(zip(columns, _pixels(image), strict=True))))
    return pandas.concat(frames, ignore_index=True) if frames else pandas.DataFrame()


def table_numbers(tables):
    """Tables of texts as numbers, where all cells of a column are numbers in one unit.

    Result: columns that are no numbers stay texts; the first one names the table where there are several.
    """
    import pandas

    frames = []
    for caption, header, rows in tables:
        columns = {"table": caption} if len(tables) > 1 else {}
        for place, name in enumerate(header):
            name, cells = _as_numbers(name, [row[place] for row in rows])
            columns[f"{name}, {place + 1}" if name in columns else name] = cells
        frames.append(pandas.DataFrame(columns))
    return pandas.concat(frames, ignore_index=True) if frames else pandas.DataFrame()


def save_new(title, suffix, content, folder=None):
    """Write a file named by a title; a name that is taken gets -2, -3 behind it. Returns the file.

    Its name begins with `my_`, like all that belongs to the reader.
    """
    folder = Path.cwd() if folder is None else folder
    stem = "my_" + re.sub(r"[^a-z0-9]+", "_", title.lower()).strip("_")[:100]
    return write_beside(folder / f"{stem}.{suffix}", content)


class SaveRow:
    """Buttons that save what a panel or a table shows now.

    part: has `title`, `numbers()` and, if it is a picture, `picture_png()` and `picture_svg()`.
    """

    def __init__(self, part):
        self._part = part
        kinds = {"csv": "Save these numbers (CSV)"}
        if hasattr(part, "picture_svg"):
            kinds |= {"png": "Save this picture (PNG)", "svg": "Save this picture (SVG)"}
        self.buttons = {}
        for suffix, words in kinds.items():
            self.buttons[suffix] = Button(description=words, layout=Layout(width="auto"))
            saved = telling(self._say, lambda _button, suffix=suffix: self.save(suffix))
            self.buttons[suffix].on_click(saved)
        flow = Layout(flex_flow="row wrap", align_items="center")
        self.widget = HBox([*self.buttons.values()], layout=flow)

    def save(self, suffix):
        """Write a new file beside the workbook, and say its name."""
        try:
            said = f"Saved as {save_new(self._part.title, suffix, self._content(suffix)).name}."
        except NotWritten as problem:
            said = str(problem)
        self._say(said)

    def _say(self, words):
        said = HTML(element("span", words, role="status"))
        self.widget.children = (*self.buttons.values(), said)

    def _content(self, suffix):
        if suffix == "png":
            return self._part.picture_png()
        if suffix == "svg":
            return self._part.picture_svg()
        # With its mark, so that a spreadsheet reads the signs as they are.
        return self._part.numbers().to_csv(index=False).encode("utf-8-sig")


def _as_numbers(name, cells):
    """Name and cells of a column: numbers, and their unit in the name, if that is all there is."""
    found = [_NUMBER.fullmatch(cell) for cell in cells]
    units = {one["unit"] or "" for one in found if one}
    if not all(found) or len(units) != 1:
        return name, cells
    unit = units.pop()
    numbers = [float(one["number"].replace("\N{MINUS SIGN}", "-")) for one in found]
    return (f"{name} ({unit})" if unit and f"({unit})" not in name else name), numbers


def _axis_name(axes, which, title):
    """Label of an axis with its unit, or that of the axes that share its scale."""
    siblings = [axes, *getattr(axes, f"get_shared_{which}_axes")().get_siblings(axes)]
    labels = [getattr(one, f"get_{which}label")() for one in siblings]
    return next(filter(None, labels), f"{title or 'picture'}: {'across' if which == 'x' else 'up'}")


def _curves(axes):
    """Name and points of everything on axes that stands for numbers."""
    for place, artist in enumerate(axes.lines, start=1):
        points = np.array(artist.get_data(), dtype=float)
        if artist.get_visible() and points.size:
            # A line right across has its place in one direction only; in the other it counts the picture.
            for way, counts in enumerate(artist.get_transform().contains_branch_seperately(axes.transData)):
                points[way] = points[way] if counts else np.nan
            yield _name(artist, place), points
    for place, bars in enumerate(axes.containers, start=1):
        if isinstance(bars, BarContainer):
            middle, size = (np.array(each).T for each in zip(*map(_middle_and_size, bars), strict=True))
            points = (middle[0], size[1]) if bars.orientation == "vertical" else (size[0], middle[1])
            yield _name(bars, place), points
    for place, marks in enumerate(axes.collections, start=1):
        points = np.ma.getdata(marks.get_offsets()).T
        if marks.get_visible() and points.shape[1] > 1:
            yield _name(marks, place), points


def _pixels(image):
    """Middles of an image's pixels across and up, in the order of its numbers."""
    left, right, bottom, top = image.get_extent()
    rows, columns = image.get_array().shape
    up = np.linspace(bottom, top, 2 * rows + 1)[1::2]
    across = np.linspace(left, right, 2 * columns + 1)[1::2]
    return np.tile(across, rows), np.repeat(up if image.origin == "lower" else up[::-1], columns)


def _middle_and_size(bar):
    width, height = bar.get_width(), bar.get_height()
    return (bar.get_x() + width / 2, bar.get_y() + height / 2), (width, height)


def _name(artist, place):
    label = str(artist.get_label())
    kind = "curve" if isinstance(artist, Line2D) else "bars" if isinstance(artist, BarContainer) else "marks"
    return label if label and not label.startswith("_") else f"{kind} {place}"
