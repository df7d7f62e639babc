"""A table a screen reader can walk through: caption, column headers with units, one header in each row."""

from html import escape

from downforce.workbook.bench import Page
from downforce.workbook.style import GRID, INK

_SHORT = 14


def sentence_page(text):
    """A page of one text, where there is nothing to put in a table."""
    return Page(f"<p>{escape(text)}</p>", text)


def table_page(caption, header, rows, note=""):
    """A table as HTML, with the same numbers as plain text.

    Parameters
    ----------
    caption : str [-]
        What the table shows.
    header : sequence of str [-]
        Column headers in words, with units.
    rows : sequence of sequences of str [-]
        The first cell of each row is its header.
    note : str [-]
        A sentence or two under the table.

    Returns
    -------
    Page [-]
        For a cell, or for `bench.show`.

    Raises
    ------
    ValueError
        If a row has more or fewer cells than the header.
    """
    for row in rows:
        if len(row) != len(header):
            raise ValueError(f"The row that begins {row[0]!r} has {len(row)} cells, not {len(header)}.")
    head = "".join(f'<th scope="col" {_look(cell)}>{escape(cell)}</th>' for cell in header)
    body = "".join(
        f'<tr><th scope="row" {_look(row[0])}>{escape(row[0])}</th>'
        + "".join(f"<td {_look(cell)}>{escape(cell)}</td>" for cell in row[1:])
        + "</tr>"
        for row in rows
    )
    title = f'<caption style="text-align:left;font-weight:bold;padding:4px 8px">{escape(caption)}</caption>'
    under = f'<p style="line-height:1.5;max-width:768px">{escape(note)}</p>' if note else ""
    inside = f"{title}<thead><tr>{head}</tr></thead><tbody>{body}</tbody>"
    html = f'<table style="border-collapse:collapse">{inside}</table>{under}'
    lines = [caption, "; ".join(header), *("; ".join(row) for row in rows), *([note] if note else [])]
    return Page(html, "\n".join(lines), ((caption, header, rows),))


def _look(cell):
    """A number and its unit stay on one line; a sentence may break."""
    wrap = ";white-space:nowrap" if len(cell) <= _SHORT else ""
    return f'style="border-bottom:1px solid {GRID};padding:4px 8px;text-align:left;color:{INK}{wrap}"'
