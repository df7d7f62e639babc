"""A number unfolded: arithmetic step by step, each formula with its source, and what makes it doubtful."""

import inspect
import re
from dataclasses import dataclass, field

import numpy as np

from downforce.machine.bibliography import spelled
from downforce.machine.doubts import changed, uncertain_inputs
from downforce.physics.kinds import Amount
from downforce.workbook.bench import Bench, Page
from downforce.workbook.markup import element

_LOOK = "line-height:1.5;max-width:768px"
MOST_DOUBTFUL = 5
"""Inputs named as doubtful [-]."""
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
    html = element("details", first, items, element("p", lines[-1]), style=_LOOK)
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
    if kind in _LARGE:
        size, unit = _LARGE[kind]
        return f"{value / size:.4g} {unit}"
    if np.ndim(value):
        return ", ".join(_shown(units, kind, float(part)) for part in np.ravel(value))
    return units.show(kind, value) if kind else f"{float(value):.4g}".replace("-", "\N{MINUS SIGN}")


def _doubts(bench, last, solve):
    """The inputs that move the figure most when each is one standard uncertainty higher."""
    moved = []
    for one in uncertain_inputs(bench.drill):
        drill = changed(bench.drill, {one.path: one.value + one.uncertainty})
        moved.append((solve(drill, bench.field)[-1].value - last.value, one))
    for one in uncertain_inputs(bench.field):
        field = changed(bench.field, {one.path: one.value + one.uncertainty})
        moved.append((solve(bench.drill, field)[-1].value - last.value, one))
    moved = sorted(
        (pair for pair in moved if abs(pair[0]) > 1e-9 * abs(last.value)), key=lambda p: -abs(p[0])
    )
    if not moved:
        return "Nothing that goes in is marked as uncertain."
    words = [
        f"{one.words}{f' ({one.basis})' if one.basis else ''} {_shown(bench.units, last.kind, abs(by))}"
        for by, one in moved[:MOST_DOUBTFUL]
    ]
    more = f"; {len(moved) - MOST_DOUBTFUL} others less" if len(moved) > MOST_DOUBTFUL else ""
    return f"Doubtful by, one standard uncertainty of each: {'; '.join(words)}{more}."
