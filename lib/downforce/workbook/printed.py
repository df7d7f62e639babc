"""A table on paper, on as many pages as it needs, with room to write; laid out like the card's desk side."""

from io import BytesIO

from matplotlib.backends.backend_pdf import PdfPages

from downforce.physics.kinds import TypePoint
from downforce.study.setup_card import PAPERS
from downforce.workbook.canvas import DRAWING, PlainFigure
from downforce.workbook.card.desk_page import MARGIN
from downforce.workbook.card.page import INCH, PageWords, draw_rules
from downforce.workbook.card.sheet import Pages

TITLE = 13.0
"""Type size of a title [pt]."""


def printed_table(title, lead, header, shares, rows, foot=(), paper="A4", size: TypePoint = 8.0):
    """A table as a PDF.

    rows: the cells; an empty one is room to write.
    paper: "A4" or "Letter".
    """
    if paper not in PAPERS:
        raise ValueError(f"paper must be one of {', '.join(PAPERS)}; got {paper!r}.")
    pages = Pages(*(side * 1000.0 for side in PAPERS[paper]), MARGIN)  # type: ignore[call-arg]
    pages.paragraph(title, TITLE, bold=True)
    for words in lead:
        pages.paragraph(words, size)
    pages.gap(1.0)
    pages.table([share / sum(shares) * pages.inner for share in shares], rows, size, header)
    pages.gap(1.5)
    pages.items(foot, size)
    file = BytesIO()
    # Without a date, so that the same list is the same file.
    about = {"Title": title, "Creator": "downforce", "CreationDate": None}
    with DRAWING, PdfPages(file, metadata=about) as book:
        for layout in pages.layouts:
            figure = PlainFigure(figsize=tuple(length / INCH for length in layout.size), facecolor="white")
            figure.add_artist(PageWords(layout.words))
            draw_rules(figure, layout.rules)
            book.savefig(figure)
    return file.getvalue(), len(pages.layouts)
