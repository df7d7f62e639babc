"""Words and sliders that the panels over rough ground share, and springs and cylinders with the same push."""

from downforce.machine.field import Aim
from downforce.machine.unit_table import UnitSystem
from downforce.study.ground.compare_actuators import Compared, setting_range
from downforce.study.oil.band import SPACING, STATIONS
from downforce.study.rows import LoadShares
from downforce.study.setting.reasons import limit_text
from downforce.study.setting.same_target import same_push, same_push_pressure
from downforce.workbook.bench import Bench
from downforce.workbook.controls import gauge_slider, inner_slider
from downforce.workbook.springs.words import length_text
from downforce.workbook.style import percent
from downforce.workbook.table import table_page


def share_words(shares: LoadShares):
    """What a pass gave, in one clause."""
    return (
        f"{percent(shares.short)} of the openers short ({percent(shares.not_at_depth)} not at depth), "
        f"{percent(shares.enough)} with enough, {percent(shares.packing)} packing"
    )


def band_words(units: UnitSystem, aim: Aim):
    """What short and packing mean."""
    least, heavy = units.show("force", aim.least_load), units.show("force", aim.heavy_load)
    return f"Short is under {least}, packing over {heavy}."


def spring_slider(bench: Bench):
    """Slider for the turn of the springs' adjuster.

    Result: from slack to nearly coil-bound, in steps of 1 mm or 0.05 in.
    """
    low, high = setting_range(bench.drill, "spring")
    return inner_slider(
        bench.units,
        "length",
        "setting",
        "Springs turned in by",
        bench.drill.spring.setting,
        low,
        high,
        (1, 0.05),
    )


def pressure_slider(bench: Bench):
    """Slider for the gauge pressure.

    Result: over the valve's range; it starts where the cylinders press as the springs do as they are set.
    """
    low, high = setting_range(bench.drill, "cylinder")
    return gauge_slider(bench.units, same_push_pressure(bench.drill), low, high)


def setting_words(units: UnitSystem, compared: Compared):
    """How an actuator is set.

    Result: such as "turned in by 20 mm" or "60 bar".
    """
    value = compared.setting.value
    if compared.name == "cylinder":
        return units.show("pressure", value)
    return f"turned {'in' if value >= 0 else 'out'} by {length_text(units, abs(value))}"


NEARLY = 0.05
"""Standard deviations this close count as alike [-]; a choice of this project."""

_EVEN = ("more even", "about as even", "less even")


def same_push_table(bench, *oil_temperatures):
    """The same stretch with springs as they are set and with cylinders alike on level ground, row by row."""
    drill, field, units, aim = bench.drill, bench.field, bench.units, bench.field.aim
    found = same_push(drill, field, *oil_temperatures)
    first = found.oil[0]
    setting = units.show("pressure", first.setting)
    rows = [
        ["springs as they are set", "none", "none", *_load_cells(units, found.springs)],
        ["cylinders, pressure held", setting, "0 %", *_load_cells(units, first.held)],
    ]
    for band in found.oil:
        ends = (band.reached(end, units.show("pressure", end)) for end in (band.low, band.high))
        name = f"cylinders, oil at {units.show('temperature', band.oil_temperature)}"
        rows.append([name, " to ".join(ends), percent(band.starved), *_load_cells(units, band.with_oil)])
    asked, supply = (units.show("flow", flow) for flow in (first.asked_flow, first.supply_flow))
    note = (
        f"{push_words(units, found.spring_push, found.cylinder_push)} {even_words(units, found)} "
        f"{stretch(units).capitalize()} of the field's own ground at {units.show('speed', field.speed)}. "
        f"Short: under {units.show('force', aim.least_load)}; packing: above "
        f"{units.show('force', aim.heavy_load)}. One place in twenty is below the lower pressure, one above "
        f"the higher. The ground asks for up to {asked}; the tractor gives {supply}."
        f"{_beyond(units, found.oil)}"
    )
    header = [
        "what presses",
        "at the cylinders",
        "no oil presses",
        "short",
        "not at depth",
        "enough",
        "packing",
    ]
    return table_page(
        f"With the same push on level ground: {drill.name}, {field.name}",
        [*header, "mean load", "standard deviation"],
        rows,
        note,
    )


def _beyond(units, bands):
    """What the drill does not bear; the loads are reckoned with the frame held down."""
    worst = max(bands, key=lambda band: band.beyond)
    said = worst.beyond_words(lambda limit: limit_text(units, limit))
    if not said:
        return ""
    oil = units.show("temperature", worst.oil_temperature)
    return f" With oil at {oil} {said}; the loads there are left in."


def stretch(units):
    """Length of the way on which the oil is followed, in the reader's units."""
    return units.show("large length", STATIONS * SPACING, 0)


def push_words(units, spring_push, cylinder_push):
    """What both give at the disc at working height."""
    spring, cylinder = (units.show("force", push) for push in (spring_push, cylinder_push))
    if spring == cylinder:
        return f"At working height springs and cylinders both press with {spring}."
    return f"At working height springs press with {spring}, cylinders with {cylinder}."


def even_words(units, found):
    """How even the cylinders load the wheels against the springs, held and with the oil in it."""
    springs = found.springs
    cases = [("pressure held", found.oil[0].held)]
    cases += [
        (f"oil at {units.show('temperature', band.oil_temperature)}", band.with_oil) for band in found.oil
    ]
    told = "; ".join(
        f"{name}, {evenness(shares, springs)} ({units.show('force', shares.spread)}) and "
        f"{fewer(shares.short, springs.short)} rows short ({percent(shares.short)})"
        for name, shares in cases
    )
    gains = [gains_on(band.with_oil, springs) for band in found.oil]
    so = "they are more even here and leave no more rows short" if all(gains) else "they gain nothing here"
    if any(gains) and not all(gains):
        so = "they gain here only where the oil is at the right temperature"
    return (
        f"Cylinders against springs (standard deviation {units.show('force', springs.spread)}, "
        f"{percent(springs.short)} short): {told}. With the oil in it {so}."
    )


def gains_on(shares, springs):
    """Whether the loads are more even with no more rows short: discs that hang shallow are even, too."""
    return evenness(shares, springs) == _EVEN[0] and fewer(shares.short, springs.short) != "more"


def evenness(shares, springs):
    """Whether the loads spread less than with springs, in words."""
    if abs(shares.spread - springs.spread) <= NEARLY * springs.spread:
        return _EVEN[1]
    return _EVEN[0] if shares.spread < springs.spread else _EVEN[2]


def fewer(share, than):
    """Which of two shares is more, as they are printed."""
    if percent(share) == percent(than):
        return "as many"
    return "fewer" if share < than else "more"


def _load_cells(units, shares):
    parts = (shares.short, shares.not_at_depth, shares.enough, shares.packing)
    loads = (units.show("force", load) for load in (shares.mean, shares.spread))
    return [*(percent(part) for part in parts), *loads]
