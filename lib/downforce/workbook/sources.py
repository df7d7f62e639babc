"""Sources, the ledger of outside checks, words, cautions, and a number unfolded step by step.

The cautions of this work stand in every workbook: open, on the page and on paper. An unfolded number shows
its arithmetic, each formula with its source, and what makes it doubtful.
"""

import inspect
import re
from dataclasses import dataclass, field

import numpy as np

from downforce.machine.doubts import changed, uncertain_inputs
from downforce.machine.shipped import reference, shipped_rows, spelled
from downforce.physics.kinds import Amount
from downforce.study.cautions import CAUTIONS
from downforce.study.setting.reasons import limit_text
from downforce.workbook.bench import Bench
from downforce.workbook.markup import element
from downforce.workbook.series import workbook
from downforce.workbook.table import Page, table_page

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


def all_cautions():
    """Every caution of the work as a list that is open, for what is folded does not print.

    Result: one item for each.
    """
    items = (element("li", element("b", f"{title}."), f" {words}") for title, words in CAUTIONS)
    return Page(
        element("ul", *items, style=_LOOK), "\n".join(f"{title}. {words}" for title, words in CAUTIONS)
    )


_STEP_LOOK = "line-height:1.5;max-width:768px"
MOST_DOUBTFUL = 5
"""Inputs named as doubtful [-]."""
LIMIT, TIMES = "limit", "times"
"""Kinds of a step beside those with units [-]: a pressure that is a limit; so many times something."""
_LARGE = {"modulus": (1e6, "MPa"), "second moment": (1e-12, "mm⁴")}


@dataclass(frozen=True)
class Step:
    """One line of arithmetic.

    kind: its kind of quantity; "" for a plain number.
    name: where the formula stands in the library.
    """

    what: str
    kind: str
    value: Amount
    words: str
    given: dict = field(default_factory=dict)
    name: str = ""
    source: str = ""


def formula_of(formula):
    """Formula, place in the library and source of a function, all from its docstring.

    Result: first paragraph of its notes, module and name, source with the names of the works in it.
    """
    names = "|".join(inspect.signature(formula).parameters)
    listed = rf"({names}|Result)(, \w+)*( [(\[][^:\n]*)?: |Raises \w|>>> "
    blocks = (inspect.getdoc(formula) or "").split("\n\n")[1:]
    text = re.sub(r"`+([^`]*)`+", r"\1", "\n\n".join(one for one in blocks if not re.match(listed, one)))
    parts = [" ".join(one.split()) for one in re.split(r"\n\n|\n(?=Range: |Source: )", text)]
    source = next((part.removeprefix("Source: ") for part in parts if part.startswith("Source: ")), "")
    if not parts[0] or not source:
        raise ValueError(f"{formula.__name__} tells no formula or no source in its notes.")
    module = formula.__module__.removeprefix("downforce.")
    words = parts[0] if parts[0].endswith(".") else f"{parts[0]} {parts[1]}"
    source = source.replace("derivation above", "derivation in the library's notes")
    return spelled(words), f"{module}.{formula.__name__}", spelled(source)


def step(what, kind, formula, **given):
    """A line whose result the library's own formula gives, so that page and library cannot differ."""
    value = float(formula(**{name: entry for name, (_, entry) in given.items()}))
    words, name, source = formula_of(formula)
    return Step(what, kind, value, words, given, name, source)


def opened(bench: Bench, title, solve, doubts=""):
    """A figure that unfolds to the steps that lead to it, and to the inputs that make it doubtful.

    title: what is opened, in words; the last step's value stands behind it.
    solve: solve(drill, field) -> steps in order; it is asked again for each doubtful input.
    Result: folded, with the figure in its first line.
    """
    units, steps = bench.units, solve(bench.drill, bench.field)
    head = f"{title}: {_shown(units, steps[-1].kind, steps[-1].value)}"
    lines = [*(_line(units, one) for one in steps), doubts or _doubts(bench, steps[-1], solve)]
    items = element("ol", *(element("li", line) for line in lines[:-1]))
    first = element("summary", element("b", "Open the number."), f" {head}")
    html = element("details", first, items, element("p", lines[-1]), style=_STEP_LOOK)
    return Page(html, "\n".join([head, *lines]))


def _line(units, one):
    given = "; ".join(
        f"{name.replace('_', ' ')} {_shown(units, kind, value)}" for name, (kind, value) in one.given.items()
    )
    with_given = f", with {given}" if given else ""
    named = f" Formula: {one.name}." if one.name else ""
    source = f" Source: {one.source.rstrip('.')}." if one.source else ""
    formula = one.words.rstrip(".")
    return f"{one.what} = {_shown(units, one.kind, one.value)}: {formula}{with_given}.{named}{source}"


def _shown(units, kind, value):
    if isinstance(kind, tuple):
        return ", ".join(f"{part:.4g} {name}" for name, part in zip(kind, value, strict=True))
    if kind == LIMIT:
        return limit_text(units, value)
    if kind == TIMES:
        return f"{value:.1f}"
    if kind in _LARGE:
        size, unit = _LARGE[kind]
        return f"{value / size:.4g} {unit}"
    if np.ndim(value):
        return ", ".join(_shown(units, kind, float(part)) for part in np.ravel(value))
    return units.show(kind, value) if kind else f"{float(value):.4g}".replace("-", "\N{MINUS SIGN}")


def _moved_by(units, kind, value):
    if kind == TIMES:
        return f"{value:.2g}"
    return _shown(units, "pressure" if kind == LIMIT else kind, value)


def _doubts(bench, last, solve):
    """The inputs that move the figure most when each is one standard uncertainty higher."""
    moved, refused = [], []
    copies = [
        (one, (changed(bench.drill, _higher(one)), bench.field)) for one in uncertain_inputs(bench.drill)
    ]
    copies += [
        (one, (bench.drill, changed(bench.field, _higher(one)))) for one in uncertain_inputs(bench.field)
    ]
    for one, copy in copies:
        try:
            moved.append((solve(*copy)[-1].value - last.value, one))
        except ValueError:  # such as a frame that only just stands
            refused.append(one.words)
    moved = sorted(
        (pair for pair in moved if abs(pair[0]) > 1e-9 * abs(last.value)), key=lambda p: -abs(p[0])
    )
    gone = f"There is no figure at all with a higher {' or '.join(refused)}." if refused else ""
    if not moved:
        return gone or "Nothing that goes in is marked as uncertain."
    words = [
        f"{one.words}{f' ({one.basis})' if one.basis else ''} {_moved_by(bench.units, last.kind, abs(by))}"
        for by, one in moved[:MOST_DOUBTFUL]
    ]
    more = f"; {len(moved) - MOST_DOUBTFUL} others less" if len(moved) > MOST_DOUBTFUL else ""
    return f"Doubtful by, one standard uncertainty of each: {'; '.join(words)}{more}. {gone}".strip()


def _higher(one):
    return {one.path: one.value + one.uncertainty}
