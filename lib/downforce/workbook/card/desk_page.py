"""The desk side of the card: as many pages as it takes, in type that can be read without a glass."""

from downforce.study.setup_card import PAPERS, CardData
from downforce.workbook.card.sheet import Pages

MARGIN = 10.0
"""Around the page [mm]."""
SIZE = 8.5
"""Usual type [pt]; nothing on this side is below 8."""
SOILS_ABREAST = 3
"""Soils in one table of loads [-]; more make a second table."""
RECORD_STEP = 6.5
"""Between two lines to write on [mm]."""
FEWEST_RECORDS, MOST_RECORDS = 4, 14
"""Lines to write on [-]."""


def desk_layouts(card: CardData):
    """Lay the desk side out on its paper.

    Result: one for each page.
    """
    width, height = (side * 1000.0 for side in PAPERS[card.paper])
    pages = Pages(width, height, MARGIN)
    _header(pages, card)
    _starts(pages, card)
    _loads(pages, card)
    _lifts(pages, card)
    _decisions(pages, card)
    _trouble(pages, card)
    _cautions(pages, card)
    _rests_on(pages, card)
    _record(pages, card)
    return pages.layouts


def _header(pages, card):
    pages.paragraph(f"Desk side: {card.drill}", 13.0, bold=True)
    pages.paragraph(f"{card.field}. {card.date.isoformat()}", 10.0)
    if card.warning:
        pages.paragraph(card.warning, SIZE, bold=True)


def _starts(pages, card):
    pages.heading("Where to start")
    rows = [
        (
            f"Today: {line.soil}" if line.today else line.soil,
            line.pressure_text,
            line.load_text,
            ". ".join(line.details),
        )
        for line in card.starts
    ]
    header = ("Soil", "Set the gauge to", "Gauge wheel keeps", "What the rows do there, and why")
    first = (32.0, 30.0, 32.0)
    pages.table((*first, pages.inner - sum(first)), rows, SIZE, header)
    pages.heading("Limits and settings")
    rows = [*card.limits, *card.oil, *card.facts]
    pages.table((32.0, pages.inner - 32.0), rows, SIZE)


def _loads(pages, card):
    first = (48.0, 30.0)
    for start in range(0, len(card.soils), SOILS_ABREAST):
        soils = card.soils[start : start + SOILS_ABREAST]
        pages.heading("What the gauge gives: at the disc, and what each soil leaves on the gauge wheel")
        rows = [
            (
                line.pressure_text + (" red line" if line.red_line else ""),
                line.down_force_text,
                *line.cells[start : start + SOILS_ABREAST],
            )
            for line in card.loads
        ]
        rest = [(pages.inner - sum(first)) / len(soils)] * len(soils)
        pages.table((*first, *rest), rows, SIZE, ("Gauge", "At the disc", *soils), [len(rows) - 1])
    pages.paragraph(
        "Shallow: how deep the disc runs. * above what may be set in that soil. Frame lifts: that soil lifts "
        "it below the red line of today.",
        8.0,
    )


def _lifts(pages, card):
    pages.heading(f"Where the weight ends: {card.field}")
    rows = [(line.hopper, line.lift_text, line.ceiling_text) for line in card.lifts]
    columns = [share * pages.inner for share in (0.26, 0.44, 0.30)]
    pages.table(columns, rows, SIZE, ("Hopper", "Lifts at; 90 %", "Set no more than"))
    pages.heading("Change rule")
    pages.items(card.change_rule, SIZE)


def _decisions(pages, card):
    pages.heading("Stop, turn, dig, decide")
    columns = [share * pages.inner for share in (0.26, 0.14, 0.16, 0.44)]
    pages.table(columns, card.decisions, SIZE, ("Gauge wheels", "Seeds", "Slot wall", "Do"))
    pages.heading("Check")
    pages.items(card.checks, SIZE)


def _trouble(pages, card):
    pages.heading("Gauge trouble")
    columns = [share * pages.inner for share in (0.18, 0.39, 0.43)]
    pages.table(columns, card.trouble, SIZE, ("The gauge", "Try", "Do"))


def _cautions(pages, card):
    pages.heading("Cautions")
    for title, words in card.cautions:
        pages.paragraph(f"{title}. {words}", SIZE)
        pages.gap(0.5)


def _rests_on(pages, card):
    pages.heading("What it rests on")
    pages.table((46.0, pages.inner - 46.0), (*card.rests_on, *card.marks), SIZE)


def _record(pages, card):
    pages.heading("Record, by hand", follows=FEWEST_RECORDS * RECORD_STEP + 5.0)
    pages.blanks(card.record, 8.0, RECORD_STEP, MOST_RECORDS)
