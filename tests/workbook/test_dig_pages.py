"""Whoever asks what to do after a dig hears the same: setting table, card panel, card, printed page."""

import io
from functools import cache
from itertools import product

import pypdf
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study.field_check import SEEDS, WALLS, WHEELS, dig_decision
from downforce.study.setup_card import card_data
from downforce.workbook.bench import Bench
from downforce.workbook.card.lesson import decision_panel
from downforce.workbook.card.page import card_file
from downforce.workbook.setting.lesson import next_step_table

DRILL, FIELD = example_drill("air_drill_12m"), example_field("firm")
SYSTEMS = {"metric": (5, "bar", 5e5), "US": (75, "psi", 75 * 6894.757)}
"""One step of the gauge: as shown, and in pascals."""


@cache
def bench_of(units):
    return Bench(DRILL, FIELD, units)


@cache
def card_of(units):
    return card_data(DRILL, FIELD, fields=(), units=units)


@cache
def panel_of(units):
    return decision_panel(bench_of(units))


@cache
def table_of(units):
    plain = next_step_table(bench_of(units)).plain.replace("\N{NO-BREAK SPACE}", " ")
    return [line.split("; ", 4) for line in plain.split("\n")[2:-1]]


@cache
def page_of(units):
    pages = pypdf.PdfReader(io.BytesIO(card_file(card_of(units), ".pdf"))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def only(rows, finding):
    """The one row that holds a finding: its first three cells are the words shown, or "any"."""
    words = [known[key] for known, key in zip((WHEELS, SEEDS, WALLS), finding, strict=True)]
    held = [row for row in rows if all(cell in (word, "any") for cell, word in zip(row, words, strict=False))]
    assert len(held) == 1, (finding, held)
    return held[0]


@pytest.mark.parametrize("units", SYSTEMS)
@pytest.mark.parametrize("finding", list(product(WHEELS, SEEDS, WALLS)))
def test_table_panel_and_card_give_the_decision(unrendered, finding, units):
    decision, (shown, unit, step) = dig_decision(*finding), SYSTEMS[units]
    *_, gauge, advice = only(table_of(units), finding)
    assert advice == decision.why
    assert gauge == {0: "leave", 1: f"up {shown} {unit}", -1: f"down {shown} {unit}"}[decision.step]
    row = only(card_of(units).decisions, finding)
    assert row[3] == decision.short
    assert decision.short in page_of(units)
    panel = panel_of(units)
    # Well between the lowest setting and the ceiling, where no limit changes the answer.
    wheels, seeds, wall = finding
    panel.set(now=40 if units == "metric" else 600, wheels=wheels, seeds=seeds, wall=wall)
    now, found = panel.result["now"], panel.result["step"]
    assert found.gauge_pressure - now == pytest.approx(decision.step * step, abs=10.0)
    assert found.action == decision.action and decision.reason in panel.sentence


@pytest.mark.parametrize("units", SYSTEMS)
def test_the_card_prints_the_table_whole(units):
    card, page = card_of(units), page_of(units)
    assert [row[:3] for row in card.decisions] == [tuple(row[:3]) for row in table_of(units)]
    for row in card.decisions:
        assert " ".join(row) in page
