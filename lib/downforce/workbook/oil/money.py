"""The page on money: the user's prices in, cost on each hectare and acre out, and the gain that would pay."""

from math import isinf

from downforce.machine.unit_table import from_si, to_si
from downforce.machine.units import parse_number, parse_quantity
from downforce.study.money import Farm, Way, money
from downforce.study.oil.figures import heat_of_supply
from downforce.study.pressure_setting import recommend
from downforce.workbook import style
from downforce.workbook.bench import Bench, PlainProblem
from downforce.workbook.table import table_page

LITRES = {"L": 1e-3, "gal": 3.785411784e-3}
"""Volumes that a price of fuel may be for [m3]."""

ASKED = {
    "area": "area drilled in a year, such as 800 ha or 2000 ac",
    "interest": "interest in a year, such as 5 %",
    "insurance": "tax, housing and insurance of a year, such as 1 % of the mean value",
    "wage": "wage of an hour",
    "fuel_price": "price of diesel, such as 1.20 per L or 4 per gal",
    "efficiency": "share of the time drilled at full width, such as 70 %",
    "pump": "efficiency of pump and drive, 60 to 85 % is usual",
    "springs": "new springs, if they are due: price, years, repair of a year, hours of a year",
    "cylinders": "cylinders, fitted: price, rest value, years, repair of a year, hours of a year",
}
"""What must be said before anything is reckoned, by its name in the cell [-]."""

_SPRINGS = ("price", "years", "repair", "hours")
_CYLINDERS = ("price", "rest", "years", "repair", "hours")


def money_table(bench: Bench, prices):
    """Cost on each hectare and acre with springs and with cylinders, from the user's own prices.

    prices: as `ASKED`; `gain` on each hectare or acre, such as "10 per ha", only by own evidence. What is
        empty is asked for, and nothing is reckoned.
    """
    unknown = [name for name in prices if name not in (*ASKED, "gain")]
    if unknown:
        raise PlainProblem(f"{unknown[0]!r} is not known. Known: {', '.join(ASKED)}, gain.")
    missing = [name for name in ASKED if not _said(prices.get(name))]
    if missing:
        rows = [[name, ASKED[name]] for name in missing]
        note = (
            "No price stands in this project: prices differ by place and year. Fill in the cell, run it "
            "again."
        )
        return table_page("Still to be said, before anything is reckoned", ["Name", "What"], rows, note)
    try:
        found = money(bench.drill, bench.field, *_read(prices))
    except (ValueError, TypeError) as problem:
        raise PlainProblem(str(problem)) from None
    return _page(bench, found, prices)


def _said(entry):
    if isinstance(entry, dict):
        return bool(entry) and all(_said(value) for value in entry.values())
    return entry is not None and str(entry).strip() != ""


def _read(prices):
    springs, cylinders = _way("springs", prices, _SPRINGS), _way("cylinders", prices, _CYLINDERS)
    farm = Farm(
        area=_land(prices["area"]),
        interest=_share("interest", prices),
        insurance=_share("insurance", prices),
        wage=_number("wage", prices["wage"]),
        fuel_price=_per(prices["fuel_price"], "fuel_price", LITRES),
        field_efficiency=_share("efficiency", prices),
        pump_efficiency=_share("pump", prices),
        gain=_gain(prices.get("gain")),
    )
    return (
        farm,
        Way(springs["price"], 0.0, springs["years"], springs["repair"], springs["hours"]),
        Way(cylinders["price"], cylinders["rest"], *(cylinders[name] for name in _CYLINDERS[2:])),
    )


def _way(name, prices, wanted):
    given = prices[name]
    if not isinstance(given, dict) or set(given) != set(wanted):
        example = ", ".join(f'{word}=""' for word in wanted)
        raise ValueError(
            f"{name} needs its figures: {name} = dict({example}). Springs not due: price 0, years 1."
        )
    return {word: _number(f"{name}, {word}", given[word]) for word in wanted}


def _number(name, given):
    try:
        return float(given) if isinstance(given, int | float) else parse_number(str(given))
    except ValueError as problem:
        raise ValueError(f"{name}: {problem}") from None


def _share(name, prices):
    try:
        return parse_quantity(str(prices[name]), "share")
    except ValueError as problem:
        raise ValueError(f"{name}: {problem}") from None


def _land(given):
    try:
        return parse_quantity(str(given), "land")
    except ValueError as problem:
        raise ValueError(f"area: {problem}") from None


def _per(given, name, units):
    """A price for one of some units, in the SI unit."""
    number, _, unit = (part.strip() for part in str(given).partition("per "))
    if unit not in units:
        raise ValueError(
            f'{name}: write for what it is, such as "1.20 per {next(iter(units))}"; got {given!r}.'
        )
    return _number(name, number) / units[unit]


def _gain(given):
    return (
        _per(given, "gain", {unit: to_si(1.0, unit, "land") for unit in ("ha", "ac")})
        if _said(given)
        else 0.0
    )


def _page(bench, found, prices):
    rows = []
    for name, now, then in (
        ("Purchase, with interest, a year", found.now.capital, found.then.capital),
        ("Tax, housing, insurance, a year", found.now.insurance, found.then.insurance),
        ("Parts and repair, a year", found.now.repair, found.then.repair),
        ("Labour, a year", found.now.labour, found.then.labour),
    ):
        rows.append([name, f"{now:.0f}", f"{then:.0f}"])
    lands = ("ha", "ac") if bench.units.name == "metric" else ("ac", "ha")
    for land in lands:
        size = to_si(1.0, land, "land")
        rows.append(
            [
                f"Fuel for the oil, on 1 {land}",
                f"{found.now.fuel * size:.2f}",
                f"{found.then.fuel * size:.2f}",
            ]
        )
    for land in lands:
        size = to_si(1.0, land, "land")
        rows.append(
            [f"All of it, on 1 {land}", f"{found.now.each * size:.2f}", f"{found.then.each * size:.2f}"]
        )
    gains = " or ".join(
        f"{found.gain_that_pays * to_si(1.0, land, 'land'):.2f} on 1 {land}" for land in lands
    )
    land = lands[0]
    if found.gain_that_pays <= 0:
        gains = "none: they cost no more anyway"
    pays = "never"
    if not isinf(found.area_that_pays):
        pays = f"{from_si(found.area_that_pays, land, 'land'):.0f} {land} a year"
    gained = (
        f"with a gain of {prices['gain']}, by your own evidence"
        if _said(prices.get("gain"))
        else "without any gain"
    )
    litres = found.fuel * 3.6e6
    burnt = heat_of_supply(bench.drill, recommend(bench.drill, bench.field).pressed).reason
    note = (
        f"In your money. The gain that would pay on your area: {gains}. Area from which it pays {gained}: "
        f"{pays}. "
        f"The oil takes {litres:.2f} L of diesel an hour, for {burnt}, at "
        f"{bench.units.show('speed', bench.field.speed)} and "
        f"{style.percent(_share('efficiency', prices))} of the time "
        f"{from_si(found.capacity, land, 'land') * 3600:.1f} {land} an hour. Formulas: ASABE EP496 and "
        "D497, from "
        "memory. Whether a more even load brings you anything, judge by your own strips: no yield is "
        "promised."
    )
    return table_page(f"What it costs, {bench.drill.name}", ["What", "Springs", "Cylinders"], rows, note)
