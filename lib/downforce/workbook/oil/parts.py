"""The parts list on a page, as a spreadsheet and on paper, and the page on money.

The user's prices go in; cost on each hectare and acre comes out, and the gain that would pay.
"""

from math import isfinite, isinf
from pathlib import Path

from downforce.machine.unit_table import UnitSystem, from_si, to_si
from downforce.machine.units import parse_number, parse_quantity
from downforce.physics.kinds import Kelvin
from downforce.study.money import Farm, Way, money
from downforce.study.oil.cases import DUTY_ANGLE, SHARE, way_trials
from downforce.study.oil.figures import heat_of_supply
from downforce.study.parts import ORDERED_AT, GaugeReads, parts_list
from downforce.study.pressure_setting import recommend
from downforce.study.setting.reasons import limit_text
from downforce.workbook import style
from downforce.workbook.bench import Bench, PlainProblem
from downforce.workbook.card.page import printed_table
from downforce.workbook.oil.words import limited_words, valve_words
from downforce.workbook.table import WriteButtons, table_page, write_list

BLANK = "to be filled in"
"""What stands under a torque: two tables in print differ by two to one [-]."""

_LONG = 2.0
_HEADER = ["Part", "How many", "Size", "Length", "Ratings", "Why"]
_SHARES = (38, 13, 36, 17, 40, 54, 17)


def parts_table(bench: Bench, temperature: Kelvin = ORDERED_AT):
    """The parts list that a shop can order from."""
    listed = parts_list(bench.drill, bench.field, temperature, bench.units.name)
    note = " ".join(_notes(bench, listed, temperature))
    return table_page(f"Parts of the circuit, {bench.drill.name}", _HEADER, _rows(bench.units, listed), note)


def write_parts(bench: Bench, folder: str | Path = ".", paper="A4"):
    """Write the list beside the notebook, as a spreadsheet and on paper, never over an older one.

    paper: "A4" or "Letter".
    """
    listed = parts_list(bench.drill, bench.field, ORDERED_AT, bench.units.name)
    rows = [
        [*cells, BLANK if part.fitting else ""]
        for cells, part in zip(_rows(bench.units, listed), listed, strict=True)
    ]
    printed = printed_table(
        f"Parts of the circuit: {bench.drill.name}",
        [f"Field: {bench.field.name}. Ordered by: ____________ Date: ____________"],
        [*_HEADER, "Torque"],
        _SHARES,
        rows,
        [*_notes(bench, listed, ORDERED_AT), _TORQUE],
        paper,
    )
    return write_list("list", "my_parts", listed.to_frame(), printed, paper, folder)


def parts_buttons(bench: Bench, folder: str | Path = "."):
    """A button that writes the list, as a spreadsheet and on paper.

    Result: shows itself as the last line of a cell.
    """

    def on(paper):
        words = f"Parts list (CSV, and PDF on {paper})"
        return words, lambda _progress, _stop: write_parts(bench, folder, paper)

    return WriteButtons([on("A4"), on("Letter")])


_TORQUE = (
    "No torque is printed: tables in print differ by two to one. Finger-tight, mark nut and body, then turn "
    "as many flats as the fitting's own sheet says, with two spanners; write its torque into the last column."
)


def _rows(units, listed):
    rows = []
    for part in listed:
        ratings = "; ".join(f"{one.words} {units.show(one.kind, one.value)}" for one in part.figures)
        length = "–"
        if isfinite(part.length):
            length = units.show("length" if part.length < _LONG else "large length", part.length)
        words = f"{part.why} Mind: {part.warning}" if part.warning else part.why
        rows.append([part.what, str(part.count or "none"), part.size or "–", length, ratings or "–", words])
    return rows


def _notes(bench, listed, temperature):
    units, show = bench.units, bench.units.show
    ordered, own = listed.ordered, way_trials(bench.drill, bench.field, temperature).judged()
    size = show("small length", ordered.header_bore), show("small length", ordered.drop_bore)
    kept = f"keeps {style.percent(ordered.kept, 1)} within ±{style.percent(SHARE)}"
    judged = "the circuit that was judged good" if ordered.enough else "the best circuit tried, not enough"
    yield (
        f"Ordered is {judged}: {valve_words(ordered, units)}, header {size[0]}, drops {size[1]}, which "
        f"{kept} over the terrace at {DUTY_ANGLE} degrees with oil of {show('temperature', temperature)}."
    )
    if ordered == own:
        yield "It is the drill file's own."
    else:
        yield f"As the drill file has it, {style.percent(own.kept, 1)} is kept{limited_words(own.limits)}."
    given = bench.drill.hydraulics.supply.flow
    if ordered.given > given:
        yield (
            f"The tractor limits as well: {show('flow', ordered.given)} are asked of its "
            f"{show('flow', given)} at {show('speed', bench.field.speed)}."
        )
    yield gauge_words(listed.gauge, units)
    yield (
        f"Counts: {listed.total('hose')} hoses and {listed.total('hose end')} ends; every opening of every "
        "part is joined. Where a port or thread is named, check it against the part: threads of flare and "
        "boss look alike and do not seal on each other."
    )
    yield (
        "An estimate to order and ask by, not a pressure-equipment check. Hoses and fittings are rated for "
        "what the tractor can press, not for the setting. Local codes and a person who knows "
        "hydraulics decide."
    )


def gauge_words(reads: GaugeReads, units: UnitSystem):
    """What the gauge tells of the rows, and what it does not."""
    places = " and ".join(f"{units.number('large length', y):+z.1f}".replace("-", "−") for y in reads.places)
    show = units.show
    high, off = show("pressure", reads.highest), f"up to {show('pressure', reads.worst)}"
    if reads.ended_by:
        high = f"more than {limit_text(units, reads.highest)} ({reads.ended_by})"
        off = f"at least {show('pressure', reads.worst)}"
    return (
        f"The gauge reads the header at its own place ({places} {units.unit('large length')} right of the "
        f"middle), within {show('pressure', reads.error)}: with the drill standing still that is every "
        f"row's. While oil moves over this terrace the worst rows see {show('pressure', reads.lowest)} and "
        f"{high} when it is set to {show('pressure', reads.setting)}: {off} off what it reads."
    )


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
        none = "No price stands in this project: prices differ by place and year."
        note = f"{none} Fill in the cell, run it again."
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
    gain, lands = prices.get("gain"), {unit: to_si(1.0, unit, "land") for unit in ("ha", "ac")}
    farm = Farm(
        area=_named("area", parse_quantity, str(prices["area"]), "land"),
        interest=_share("interest", prices),
        insurance=_share("insurance", prices),
        wage=_number("wage", prices["wage"]),
        fuel_price=_per(prices["fuel_price"], "fuel_price", LITRES),
        field_efficiency=_share("efficiency", prices),
        pump_efficiency=_share("pump", prices),
        gain=_per(gain, "gain", lands) if _said(gain) else 0.0,
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


def _named(name, read, *given):
    """What a reader makes of something that was given; its refusal says for which name."""
    try:
        return read(*given)
    except ValueError as problem:
        raise ValueError(f"{name}: {problem}") from None


def _number(name, given):
    return float(given) if isinstance(given, int | float) else _named(name, parse_number, str(given))


def _share(name, prices):
    return _named(name, parse_quantity, str(prices[name]), "share")


def _per(given, name, units):
    """A price for one of some units, in the SI unit."""
    number, _, unit = (part.strip() for part in str(given).partition("per "))
    if unit not in units:
        raise ValueError(
            f'{name}: write for what it is, such as "1.20 per {next(iter(units))}"; got {given!r}.'
        )
    return _number(name, number) / units[unit]


def _page(bench, found, prices):
    ways = (found.now, found.then)
    rows = [
        [words, *(f"{getattr(way, part):.0f}" for way in ways)]
        for words, part in (
            ("Purchase, with interest, a year", "capital"),
            ("Tax, housing, insurance, a year", "insurance"),
            ("Parts and repair, a year", "repair"),
            ("Labour, a year", "labour"),
        )
    ]
    lands = ("ha", "ac") if bench.units.name == "metric" else ("ac", "ha")
    for words, part in (("Fuel for the oil", "fuel"), ("All of it", "each")):
        for land in lands:
            size = to_si(1.0, land, "land")
            rows.append([f"{words}, on 1 {land}", *(f"{getattr(way, part) * size:.2f}" for way in ways)])
    gains = " or ".join(
        f"{found.gain_that_pays * to_si(1.0, land, 'land'):.2f} on 1 {land}" for land in lands
    )
    land = lands[0]
    if found.gain_that_pays <= 0:
        gains = "none: they cost no more anyway"
    pays = "never"
    if not isinf(found.area_that_pays):
        pays = f"{from_si(found.area_that_pays, land, 'land'):.0f} {land} a year"
    gained = "without any gain"
    if _said(prices.get("gain")):
        gained = f"with a gain of {prices['gain']}, by your own evidence"
    litres = found.fuel * 3.6e6
    burnt = heat_of_supply(bench.drill, recommend(bench.drill, bench.field).pressed).reason
    note = (
        f"In your money. The gain that would pay on your area: {gains}. Area from which it pays {gained}: "
        f"{pays}. The oil takes {litres:.2f} L of diesel an hour, for {burnt}, at "
        f"{bench.units.show('speed', bench.field.speed)} and {style.percent(_share('efficiency', prices))} "
        f"of the time {from_si(found.capacity, land, 'land') * 3600:.1f} {land} an hour. Formulas: ASABE "
        "EP496 and D497, from memory. Whether a more even load brings you anything, judge by your own "
        "strips: no yield is promised."
    )
    return table_page(f"What it costs, {bench.drill.name}", ["What", "Springs", "Cylinders"], rows, note)
