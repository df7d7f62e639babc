"""Pages about words and sources: what a workbook refers to, the ledger of outside checks, the words."""

from downforce.machine.bibliography import reference, shipped_rows
from downforce.workbook.bench import Page
from downforce.workbook.markup import element
from downforce.workbook.series import workbook
from downforce.workbook.table import table_page

_LOOK = "line-height:1.5;max-width:768px"
_MEMORY, _WEAK, _LIBRARY = "from memory", "secondary page", "library's result"
_FARTHEST = "Largest difference"


def references(**uses):
    """The sources of a workbook, each in full with what was seen of it.

    Result: one item for each, in the order given.
    """
    lines = [(key, f"{use}: {reference(key).printed}") for key, use in uses.items()]
    items = (element("li", element("b", f"[{key}]"), f" {words}") for key, words in lines)
    return Page(element("ul", *items, style=_LOOK), "\n".join(f"[{key}] {words}" for key, words in lines))


def ledger_table():
    """What of the library was checked against figures printed elsewhere, by topic."""
    rows = shipped_rows("ledger")
    topics = list(dict.fromkeys(row["topic"] for row in rows))
    counted = [_by_topic(topic, [row for row in rows if row["topic"] == topic]) for topic in topics]
    together = _by_topic("all", rows)
    note = (
        "An example is seen if somebody of this project had its printed figures before their eyes, mostly as "
        "retyped by others; weak is a page that names no author. What differs by more than half the last "
        "printed digit has its reason in the list. We found nothing printed for balance, linkage, frame "
        "lift, gas, valve, setting and digs, and a direction only for speed: they are checked by hand, by "
        "laws that must hold, and by other solvers."
    )
    header = [
        "Topic",
        "Sources",
        "Examples seen",
        "of them weak",
        "Other libraries",
        "From memory",
        "Values",
        "Largest difference",
    ]
    page = table_page("Checked against figures printed elsewhere", header, [*counted, together], note)
    listed = table_page(
        "Every example", ["Source", "Checked", "Printed", "Ours", "Seen, and why it differs"], _list(rows)
    )
    folded = element("details", element("summary", "Every example"), listed.html)
    return Page(page.html + folded, page.plain, page.tables)


def words_table():
    """One page of words, in both unit systems."""
    rows = [
        [
            row["word"],
            row["meaning"],
            row["metric"] or "none",
            row["us"] or "none",
            workbook(row["workbook"]).called,
        ]
        for row in shipped_rows("words")
    ]
    return table_page("Words", ["Word", "Meaning", "Metric", "US", "Workbook"], rows)


def _examples(rows):
    """Rows of each example, by source and example."""
    found = {}
    for row in rows:
        found.setdefault((row["source"], row["example"]), []).append(row)
    return found


def _by_topic(topic, rows):
    examples = _examples(rows)
    seen = [one[0]["seen"] for one in examples.values()]
    known = len(seen) - seen.count(_MEMORY) - seen.count(_LIBRARY)
    return [
        topic,
        str(len({row["source"] for row in rows})),
        str(known),
        str(seen.count(_WEAK)),
        str(seen.count(_LIBRARY)),
        str(seen.count(_MEMORY)),
        str(len(rows)),
        f"{max(abs(float(row['off_percent'] or 0)) for row in rows):.2g} %",
    ]


def _list(rows):
    lines = []
    for (source, example), one in _examples(rows).items():
        why = "; ".join(dict.fromkeys(row["wider"] for row in one if row["wider"]))
        lines.append(
            [
                f"{reference(source).short}, {example}",
                one[0]["what"],
                "; ".join(row["printed"] for row in one),
                "; ".join(row["ours"] for row in one),
                "; ".join(part for part in (one[0]["seen"], why) if part),
            ]
        )
    return lines
