"""Money: nothing is reckoned before the user's prices stand there; then the sum by hand."""

import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study.money import Farm, Way, money
from downforce.study.oil.figures import heat_of_supply
from downforce.study.pressure_setting import recommend
from downforce.workbook.bench import Bench, PlainProblem
from downforce.workbook.oil.parts import ASKED, money_table

D12, BOX = example_drill("air_drill_12m"), example_drill("box_drill_15ft")
FIRM = example_field("firm")
# Invented, for these sums only.
GIVEN = {
    "area": "800 ha",
    "interest": "5 %",
    "insurance": "1 %",
    "wage": "25",
    "fuel_price": "1.2 per L",
    "efficiency": "70 %",
    "pump": "75 %",
    "springs": {"price": "0", "years": "1", "repair": "400", "hours": "30"},
    "cylinders": {"price": "30000", "rest": "3000", "years": "12", "repair": "300", "hours": "8"},
}


def table(drill=D12, **changes):
    page = money_table(Bench(drill, FIRM), {**GIVEN, **changes})
    return page.plain.replace("\N{NO-BREAK SPACE}", " ")


def test_without_prices_it_asks_and_reckons_nothing():
    for prices in ({}, dict.fromkeys(ASKED, ""), dict.fromkeys(ASKED)):
        plain = money_table(Bench(D12, FIRM), prices).plain
        assert "Still to be said" in plain and all(f"{name}; " in plain for name in ASKED)
        assert "No price stands in this project" in plain
    only = money_table(Bench(D12, FIRM), {**GIVEN, "wage": ""}).plain.split("\n")
    assert len(only) == 4 and only[2].startswith("wage; ")


def test_the_sum_by_hand():
    """27000 x 0.05 x 1.05^12 / (1.05^12 - 1) + 150 = 3196; 1 % of 16500; 8 h at 25."""
    grown = 1.05**12
    capital = 27000 * 0.05 * grown / (grown - 1) + 3000 * 0.05
    plain = table()
    assert f"Purchase, with interest, a year; 0; {capital:.0f}" in plain
    assert "Tax, housing, insurance, a year; 0; 165" in plain and "Labour, a year; 750; 200" in plain
    fixed, old = capital + 165 + 300 + 200, 1150
    supply = heat_of_supply(BOX, recommend(BOX, FIRM).pressed)
    litres = 1.15 * 0.22 * supply.pressure * supply.flow / 1e3 / 0.75
    hectares = FIRM.speed * 3.6 * BOX.width / 10 * 0.7
    fuel = litres * 1.2 / hectares
    box = table(BOX)
    assert f"Fuel for the oil, on 1 ha; 0.00; {fuel:.2f}" in box
    assert f"All of it, on 1 ha; {old / 800:.2f}; {fixed / 800 + fuel:.2f}" in box
    assert f"or {(fixed - old) / 800 + fuel:.2f} on 1 ha" in box
    assert f"takes {litres:.2f} L of diesel an hour" in box and "relief valve all day" in box
    assert "pays without any gain: never" in box
    gained = table(BOX, gain="5 per ha")
    assert f"by your own evidence: {(fixed - old) / (5 - fuel) / 0.40468564:.0f} ac a year" in gained


def test_springs_that_are_due_count_with_springs():
    due = table(
        springs={"price": "30000", "years": "12", "repair": "400", "hours": "30"},
        cylinders=GIVEN["cylinders"],
    )
    assert "none: they cost no more anyway" in due and ": 0 ha a year" in due


def test_at_the_gain_that_pays_both_cost_the_same():
    farm = Farm(8e6, 0.05, 0.01, 25.0, 1200.0, 0.7, 0.75)
    ways = Way(0.0, 0.0, 1.0, 400.0, 30.0), Way(30e3, 3e3, 12.0, 300.0, 8.0)
    found = money(D12, FIRM, farm, *ways)
    assert found.then.each - found.gain_that_pays == pytest.approx(found.now.each)
    again = money(D12, FIRM, Farm(8e6, 0.05, 0.01, 25.0, 1200.0, 0.7, 0.75, found.gain_that_pays), *ways)
    assert again.area_that_pays == pytest.approx(8e6)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"rent": "5"}, "'rent' is not known. Known: area"),
        ({"area": "800"}, "area: "),
        ({"wage": "25 EUR"}, "wage: "),
        ({"fuel_price": "1.2"}, 'write for what it is, such as "1.20 per L"'),
        ({"springs": "0"}, "springs needs its figures"),
        ({"cylinders": {**GIVEN["cylinders"], "years": "0"}}, "years must be greater than zero"),
        ({"efficiency": "700 %"}, "field_efficiency"),
    ],
)
def test_what_cannot_be_read_is_said(changes, said):
    with pytest.raises(PlainProblem, match=said):
        table(**changes)


def test_no_yield_is_promised():
    assert "no yield is promised" in table() and "own strips" in table()
