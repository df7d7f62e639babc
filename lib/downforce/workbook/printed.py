"""A table on paper: as many pages as it needs, in black and white, with room to write."""

from io import BytesIO

from matplotlib.backends.backend_pdf import FigureCanvasPdf, PdfPages
from matplotlib.figure import Figure

from downforce.study.setup_card import PAPERS
from downforce.workbook.card.page import INCH, MARGIN, SCALES, draw_rule, draw_words
from downforce.workbook.card.sheet import Sheet

TYPE, TITLE = 6.8, 12.0
"""Type size of a table and of its title [pt]."""


def printed_table(title, lead, header, shares, rows, foot=(), paper="A4", one_page=False):
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
    one_page : bool [-]
        Whether all must stand on one page, in smaller type if need be.

    Returns
    -------
    bytes [-]
        Vector text with its fonts inside.

    Raises
    ------
    ValueError
        If there is no such paper, or one page does not hold it.
    """
    if paper not in PAPERS:
        raise ValueError(f"paper must be one of {', '.join(PAPERS)}; got {paper!r}.")
    size = tuple(side * 1000.0 for side in PAPERS[paper])
    for scale in SCALES if one_page else (1.0,):
        sheets = _sheets(size, scale, title, lead, header, shares, rows, foot)
        if len(sheets) == 1 or not one_page:
            return _file(title, size, sheets)
    raise ValueError("This does not fit on one page: shorten the name of the drill.")


def _sheets(size, scale, title, lead, header, shares, rows, foot):
    inner, bottom = size[0] - 2 * MARGIN, size[1] - MARGIN
    widths = [share / sum(shares) * inner for share in shares]
    sheet = Sheet(scale)
    sheets = [sheet]
    y = sheet.paragraph(MARGIN, MARGIN, inner, title, TITLE, bold=True) + 0.6
    for words in lead:
        y = sheet.paragraph(MARGIN, y, inner, words, TYPE) + 0.4
    y = sheet.table(MARGIN, y + 1.0, widths, [header], TYPE, bold_rows=(0,))
    for row in rows:
        if Sheet(scale).table(MARGIN, y, widths, [row], TYPE) > bottom:
            sheet = Sheet(scale)
            sheets.append(sheet)
            y = sheet.table(MARGIN, MARGIN, widths, [header], TYPE, bold_rows=(0,))
        y = sheet.table(MARGIN, y, widths, [row], TYPE)
    for words in foot:
        if Sheet(scale).paragraph(MARGIN, y + 0.8, inner, words, TYPE) > bottom:
            sheet, y = Sheet(scale), MARGIN
            sheets.append(sheet)
        y = sheet.paragraph(MARGIN, y + 0.8, inner, words, TYPE)
    return sheets


def _file(title, size, sheets):
    file = BytesIO()
    # Without a date, so that the same list is the same file.
    with PdfPages(file, metadata={"Title": title, "Creator": "downforce", "CreationDate": None}) as pages:
        for sheet in sheets:
            figure = Figure(figsize=tuple(side / INCH for side in size), facecolor="white")
            FigureCanvasPdf(figure)
            for words in sheet.words:
                draw_words(figure, words, 1.0)
            for rule in sheet.rules:
                draw_rule(figure, rule, 1.0)
            pages.savefig(figure)
    return file.getvalue()
