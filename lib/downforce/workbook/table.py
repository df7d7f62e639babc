"""Tables a screen reader can walk through, and buttons for files that a workbook writes beside itself.

A table has a caption, column headers with units, and one header in each row; it and a picture give their
numbers as a DataFrame. Files are written when a button is pressed, and never over an older one.
"""

import re
from hashlib import sha256
from math import floor, log10
from pathlib import Path

import numpy as np
from ipywidgets import HTML, Button, HBox, Layout, VBox
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.collections import Collection
from matplotlib.colors import to_rgba_array
from matplotlib.container import BarContainer
from matplotlib.image import AxesImage
from matplotlib.legend import Legend
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.spines import Spine
from matplotlib.text import Text
from matplotlib.ticker import FuncFormatter

from downforce.machine.files import NotWritten, write_beside
from downforce.workbook.long_work import LongWork, telling
from downforce.workbook.markup import Markup, element, page
from downforce.workbook.style import GRID, INK

_SHORT = 14


class Page:
    """A table or a list made of HTML, with the same text for readers that show none.

    plain: the same as plain text; the words, if left out.
    """

    def __init__(self, shown: Markup | str, plain=None, tables=()):
        self.html, self.plain, self.tables = page(shown), shown if plain is None else plain, tables

    @property
    def title(self):
        """Caption of its first table."""
        return self.tables[0][0] if self.tables else ""

    def numbers(self):
        """Its tables as one DataFrame with units in the column names; empty where there is none."""
        return table_numbers(self.tables)

    @property
    def widget(self):
        """The live view."""
        return HTML(self.html)

    @property
    def still(self):
        """What readers see that run nothing, by its type."""
        return {"text/html": self.html, "text/plain": self.plain}

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self.still


def table_page(caption, header, rows, note=""):
    """A table as HTML, with the same numbers as plain text.

    rows: the first cell of each row is its header.
    """
    for row in rows:
        if len(row) != len(header):
            raise ValueError(f"The row that begins {row[0]!r} has {len(row)} cells, not {len(header)}.")
    head = element("tr", *(element("th", cell, scope="col", style=_look(cell)) for cell in header))
    body = (
        element(
            "tr",
            element("th", row[0], scope="row", style=_look(row[0])),
            *(element("td", cell, style=_look(cell)) for cell in row[1:]),
        )
        for row in rows
    )
    title = element("caption", caption, style="text-align:left;font-weight:bold;padding:4px 8px")
    inside = title, element("thead", head), element("tbody", *body)
    html = element("table", *inside, style="border-collapse:collapse;line-height:1.4")
    if note:
        html += element("p", note, style="line-height:1.5;max-width:768px")
    lines = [caption, "; ".join(header), *("; ".join(row) for row in rows), *([note] if note else [])]
    return Page(html, "\n".join(lines), ((caption, header, rows),))


def headed(rows) -> tuple[list, list]:
    """Header and rows of a table whose rows say each cell's heading, for `table_page`."""
    return [*rows[0]], [[*row.values()] for row in rows]


def _look(cell):
    """A number and its unit stay on one line; a sentence may break."""
    wrap = ";white-space:nowrap" if len(cell) <= _SHORT else ""
    return f"border-bottom:1px solid {GRID};padding:4px 8px;text-align:left;color:{INK}{wrap}"


def write_list(what, stem, frame, printed, paper, folder):
    """Write a list as a spreadsheet and on paper, never over an older one.

    what: "list" or "sheet".
    printed: what `printed_table` gives.
    Result: names of the files, in a sentence.
    """
    page, pages = printed
    sheet = frame.to_csv(index=False, lineterminator="\n").encode("utf-8-sig")
    made = ((".csv", sheet), (".pdf", page))
    files = [write_beside(Path(folder, stem + end), content, again=False) for end, content in made]
    long = "one page" if pages == 1 else f"{pages} pages"
    older = f" Older {what}s were left as they are." if any(path.stem != stem for path in files) else ""
    return f"Your {what} is {files[0].name} (for a spreadsheet) and {files[1].name} ({paper}, {long}).{older}"


NOTHING_YET = (
    "Nothing is written until you press a button. Files stand in this workbook's folder, and none takes "
    "the place of another."
)
"""What stands under buttons before one is pressed [-]."""


class WriteButtons:
    """Buttons that write files when they are pressed, and not before.

    files: words of each button, and its work: takes `progress` and `stop`, gives the words of the outcome.
    """

    def __init__(self, files, plain=NOTHING_YET):
        self.plain, self.work = plain, LongWork(plain)
        self.buttons = {}
        for words, write in files:
            button = Button(description=words, tooltip=f"Write: {words}", layout=Layout(width="auto"))
            button.on_click(lambda _button, write=write: self.work.start(write))
            self.buttons[words] = button
        row = HBox([*self.buttons.values()], layout=Layout(flex_flow="row wrap"))
        self.widget = VBox([row, self.work.widget])

    def _repr_mimebundle_(self, include=None, exclude=None):
        return {**self.widget._repr_mimebundle_(), **Page(self.plain).still}


_NUMBER = re.compile(
    r"(?P<number>[+\N{MINUS SIGN}-]?(?:\d+(?:\.\d+)?|\.\d+))(?:\s?(?P<unit>[^\d\s(][^\d(,;]*))?"
)
"""A number with or without a unit behind it, and nothing else."""
_NOTHING = 1e-6
"""What no axis shows, whatever its unit: smaller numbers are what rounding leaves of 0 [-]."""
_OFF = 0.13713
"""Keeps limits of steps off round numbers, whose last digit would decide on which side they fall [-]."""


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


def fingerprint(figure):
    """Twelve letters that stand for the words, numbers and colours of a picture, without axes or with them.

    1 % more in a curve, a bar, a mark, an area or an image gives other letters, and so does another colour, a
    dashed line, another name on an axis; what another computer works out otherwise in its last digits gives
    the same.
    """
    drawn = sha256()
    for part in (part for artist in figure.get_children() for part in _parts(artist)):
        drawn.update("\n".join([*_words(part), *_colours(part)]).encode())
        for points in _places(part):
            for column in np.ma.filled(np.ma.asarray(points, dtype=float), np.nan).T:
                drawn.update(_steps(column).tobytes())
    return drawn.hexdigest()[:12]


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


def _parts(artist):
    """Everything visible in a picture; ticks and frames follow from the limits of their axes."""
    if isinstance(artist, Axis):
        yield from (artist, artist.label)
    elif isinstance(artist, Legend):
        yield from artist.get_texts()
    elif artist.get_visible() and not isinstance(artist, Spine):
        yield artist
        for part in artist.get_children() if isinstance(artist, Axes) else ():
            yield from _parts(part)


def _words(artist):
    """What an artist says; of an axis the names it was given, not the numbers that it finds by itself."""
    if isinstance(artist, Axis):
        named = artist.get_major_formatter()
        return named.format_ticks(artist.get_majorticklocs()) if isinstance(named, FuncFormatter) else []
    return [artist.get_text()] if hasattr(artist, "get_text") else []


def _colours(artist):
    """Colours that an artist was given, or the scale they follow; of a line its dashes too."""
    if isinstance(artist, AxesImage | Collection) and artist.get_array() is not None:
        return [artist.get_cmap().name]
    if isinstance(artist, Line2D):
        return artist.get_linestyle(), _hex(artist.get_color()), _hex(artist.get_markerfacecolor())
    if isinstance(artist, Text):
        return [_hex(artist.get_color())]
    if isinstance(artist, Patch | Collection):
        return _hex(artist.get_facecolor()), _hex(artist.get_edgecolor())
    return []


def _hex(colours):
    return np.rint(255 * to_rgba_array(colours)).astype(np.uint8).tobytes().hex()


def _places(artist):
    """Arrays of the numbers an artist is told, a column for each direction."""
    if isinstance(artist, Axes):
        yield np.array([artist.get_xlim(), artist.get_ylim()]).T
    elif isinstance(artist, Line2D):
        yield artist.get_xydata()
    elif isinstance(artist, Patch):
        yield artist.get_patch_transform().transform(artist.get_path().vertices)
    elif isinstance(artist, Collection):
        yield artist.get_offsets()
        yield from (path.vertices for path in artist.get_paths())
    if isinstance(artist, AxesImage):
        yield np.reshape(artist.get_extent(), (2, 2)).T
    if isinstance(artist, AxesImage | Collection) and artist.get_array() is not None:
        yield np.reshape(artist.get_array(), (-1, 1))


def _steps(column):
    """Numbers in whole steps, of which the largest has about 700 to 7000."""
    largest = np.abs(column[np.isfinite(column)]).max(initial=_NOTHING)
    steps = column / 10.0 ** (floor(log10(largest) + _OFF) - 3) + _OFF
    return np.nan_to_num(np.round(steps), nan=-1e5, posinf=2e5, neginf=-2e5).astype("<i4")


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
