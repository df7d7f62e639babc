"""Tables a screen reader can walk through, and buttons for files that a workbook writes beside itself.

A table has a caption, column headers with units, and one header in each row. Files are written when a button
is pressed, and never over an older one.
"""

from pathlib import Path

from ipywidgets import Button, HBox, Layout, VBox

from downforce.machine.files import write_beside
from downforce.workbook.bench import Page
from downforce.workbook.long_work import LongWork
from downforce.workbook.markup import element
from downforce.workbook.style import GRID, INK

_SHORT = 14


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
