"""A sheet for the yard: every question, the drawing of where to hold the tape, a line for the answer."""

from io import BytesIO
from pathlib import Path

from matplotlib.backends.backend_pdf import PdfPages

from downforce.machine.files import check_place, write_file
from downforce.machine.quantity import Quantity
from downforce.machine.reading.tape import measured, questions
from downforce.machine.reading.writer import Draft
from downforce.machine.shipped import shipped_drills
from downforce.machine.unit_display import UnitSystem
from downforce.machine.units import unit_system
from downforce.physics.kinds import Millimetre
from downforce.workbook.canvas import DRAWING, PlainFigure
from downforce.workbook.card.page import PageWords, draw_rules
from downforce.workbook.card.sheet import LEADING, POINT, Rule, text_line, wrapped
from downforce.workbook.your_drill.drawing import TapeDrawing, tape_words

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height of the paper [mm]."""
_INCH = 25.4
_MARGIN = 12.0
_PICTURE = 78.0
_SIZE = 9.0
_TITLES = {"opener": "The opener and the rows", "frame": "The frame"}
_FIRST = (
    "Drill down and at work on a level floor, tractor in park, engine off, nobody at the levers. Nobody is "
    "under a raised drill without its locks in. Any unit will do: write it behind the number. What you leave "
    "open is assumed."
)


def measuring_sheet(path: str | Path, like="air_drill_12m", units=None, paper="A4", replace=False):
    """Write the measuring sheet as a PDF.

    units: "metric" or "US"; those of that drill if left out.
    paper: "A4" or "Letter".
    """
    if paper not in PAPERS:
        raise ValueError(f"There is no paper {paper!r} here. There are: {', '.join(PAPERS)}.")
    files = dict(shipped_drills())
    if like not in files:
        raise ValueError(f"There is no shipped drill {like!r}. There are: {', '.join(files)}.")
    check_place(path, replace)
    draft = Draft.like(files[like], "drill")
    units = unit_system(units or draft.model.units)
    file = BytesIO()
    about = {"Title": "Measuring sheet", "Creator": "downforce", "CreationDate": None}
    with DRAWING, PdfPages(file, metadata=about) as pages:
        for figure in sheet_pages(draft, units, PAPERS[paper]):
            pages.savefig(figure)
    return write_file(path, file.getvalue(), replace)


def sheet_pages(draft: Draft, units: UnitSystem, size: tuple[Millimetre, Millimetre]):
    """A figure for each page."""
    pages, number = [], 0
    for page, title in _TITLES.items():
        rest = list(enumerate(questions(draft, page), start=1))
        while rest:
            figure, rest = _page(draft, units, size, title, rest, first=number == 0)
            pages.append(figure)
            number += 1
    return pages


def _page(draft, units, size, title, asked, first):
    width, height = size
    words, rules = [], []
    right = width - _MARGIN

    def write(y, text, x=_MARGIN, wide=right - _MARGIN, points=_SIZE, bold=False):
        for line in wrapped(text, wide, points, bold):
            words.append(text_line(x, y, line, points, bold, wide))
            y += LEADING * points * POINT
        return y

    y = write(_MARGIN, f"Measuring sheet: {title}", points=14.0, bold=True)
    y = write(y + 1.0, _FIRST) if first else y
    top = y + 2.0
    y = top + _PICTURE + 3.0
    answer, assumed = width - 78.0, width - 42.0
    write(y, "Your answer", answer, 34.0, bold=True)
    y = write(y, "Else assumed", assumed, 30.0, bold=True) + 1.0
    printed, begin = [], asked[0][0]
    while asked:
        number, question = asked[0]
        wide = answer - _MARGIN - 14.0
        lines = len(wrapped(question.ask, wide, _SIZE, True)) + len(
            wrapped(question.how, wide, _SIZE - 1, False)
        )
        tall = max(lines * LEADING * _SIZE * POINT + 2.0, 9.0)
        if y + tall > height - _MARGIN:
            break
        rules.append(Rule(_MARGIN, y, right, y, 0.4))
        write(y + 1.0, str(number), _MARGIN, 8.0, bold=True)
        below = write(y + 1.0, question.ask, _MARGIN + 8.0, wide, bold=True)
        write(below, question.how, _MARGIN + 8.0, wide, _SIZE - 1)
        write(y + 1.0, _assumed(draft, units, question), assumed, 30.0)
        rules.append(Rule(answer, y + tall - 1.5, assumed - 4.0, y + tall - 1.5, 0.6))
        y += tall
        printed.append(asked.pop(0)[1])
    figure = PlainFigure(figsize=(width / _INCH, height / _INCH), facecolor="white")
    within = (_MARGIN / width, 1 - (top + _PICTURE) / height, 1 - 2 * _MARGIN / width, _PICTURE / height)
    drawing = TapeDrawing(draft.model, units, tuple(printed), within, begin)
    drawing.setup(figure)
    figure.add_artist(PageWords(words))
    draw_rules(figure, rules)
    return figure, asked


def _assumed(draft, units, question):
    value = measured(draft.model, question)
    entry = draft.entry(question.path)
    if question.along == "value" and units.name == draft.model.units:
        return draft.plain(question.path)
    if question.along == "value" and isinstance(entry.limits, Quantity) and entry.limits.kind != "length":
        return units.show(entry.limits.kind, value)
    return tape_words(units, question, value)
