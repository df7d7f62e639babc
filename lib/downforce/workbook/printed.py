"""A table on paper, on as many pages as it needs, with room to write; laid out like the card's desk side."""

from io import BytesIO

from matplotlib.backends.backend_pdf import PdfPages

from downforce.study.setup_card import PAPERS
from downforce.workbook.canvas import DRAWING, PlainFigure
from downforce.workbook.card.desk_page import MARGIN
from downforce.workbook.card.page import INCH, PageWords, draw_rules
from downforce.workbook.card.sheet import Pages

TITLE = 13.0
"""Type size of a title [pt]."""


def printed_table(title, lead, header, shares, rows, foot=(), paper="A4", size=8.0):
    """A table as a PDF.

    Parameters
    ----------
    title : str [-]
        What it is.
    lead : sequence of str [-]
        Sentences above it.
    header : sequence of str [-]
        Bold cells on top of each page.
    shares : sequence of float [-]
        Widths of the columns, as shares of the page.
    rows : sequence of sequences of str [-]
        The cells; an empty one is room to write.
    foot : sequence of str [-]
        Sentences below it.
    paper : str [-]
        "A4" or "Letter".
    size : float [pt]
        Of the type.

    Returns
    -------
    tuple of (bytes, int) [-]
        Vector text with its fonts inside, and the number of pages.

    Raises
    ------
    ValueError
        If there is no such paper.
    """
    if paper not in PAPERS:
        raise ValueError(f"paper must be one of {', '.join(PAPERS)}; got {paper!r}.")
    pages = Pages(*(side * 1000.0 for side in PAPERS[paper]), MARGIN)
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
