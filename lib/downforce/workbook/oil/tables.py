"""Tables of the oil workbook: drills cold and warm, hoses, the habit, volumes and heat, the parts list."""

import numpy as np

from downforce.machine.shipped import example_drill, shipped_drills
from downforce.study.oil.cases import COMPARED, SHARE, drills_at_temperatures, usual_pressure
from downforce.study.oil.figures import heat_of_supply, lowest_down_force, oil_figures, warming_to_relief
from downforce.study.oil.limits import bearable
from downforce.study.oil.parts import parts_list
from downforce.study.oil.sizing import Duty, habit_gain, smallest_hoses
from downforce.study.oil.terrace import terrace_crossing
from downforce.workbook import style
from downforce.workbook.oil.words import fine_percent
from downforce.workbook.table import table_page

_SPACING = 0.2
_ANGLE = 45
_MOST_VALVES = 3


def drills_table(bench, degrees=90):
    """The three shipped drills on the bench's terrace, with cold, mild and warm oil.

    Parameters
    ----------
    bench : Bench [-]
        Field and units.
    degrees : float [deg]
        Way over the terrace; 90 is straight over.

    Returns
    -------
    Page [-]
        The table.
    """
    units, field = bench.units, bench.field
    header = [
        "Drill",
        f"Oil ({units.unit('temperature')})",
        f"Set ({units.unit('pressure')})",
        f"Lowest / highest ({units.unit('pressure')})",
        f"Kept within ±{style.percent(SHARE)}",
        "Starved",
        f"Asked of / given by the tractor ({units.unit('flow')})",
        f"Section to section ({units.unit('flow')})",
        f"Oil behind ({units.unit('volume')})",
        f"Off for up to, within ±{style.percent(SHARE)} (s)",
        f"Load at the disc, least / most ({units.unit('force')})",
    ]
    rows = []
    for key, _ in shipped_drills():
        drill = example_drill(key)
        crossing, borne = (
            terrace_crossing(drill, field, np.radians(degrees), _SPACING),
            bearable(drill, field),
        )
        for _, kelvin, case in drills_at_temperatures([drill], field, crossing=crossing):
            least, most = (_signed(units, change) for change in _ends(case.load_change))
            # A figure that the drill cannot reach would be believed: what gives way first stands there.
            gives = borne.first_to_give(case.state.gauge_pressure)
            highest = _bare(units, "pressure", case.highest)
            if gives:
                highest, most = (
                    f"{gives.words} ({_bare(units, 'pressure', gives.gauge_pressure)})",
                    gives.words,
                )
            state = case.state
            rows.append(
                [
                    drill.name,
                    _bare(units, "temperature", kelvin),
                    _bare(units, "pressure", case.setting),
                    f"{_bare(units, 'pressure', case.lowest)} / {highest}",
                    style.percent(case.kept),
                    style.percent(case.starved),
                    f"{_bare(units, 'flow', state.given.max())} / {_bare(units, 'flow', state.supply_flow)}",
                    _bare(units, "flow", case.exchanged.max()),
                    _bare(units, "volume", case.missing),
                    f"{state.longest_out(SHARE):.1f}",
                    f"{least} / {most}",
                ]
            )
    way = "straight over" if degrees == 90 else f"at {degrees:g} degrees"
    note = (
        f"Each drill set for its own usual load, at {units.show('speed', field.speed)}, with the hoses and "
        "valves of its file, every opener following the ground. Kept and starved are shares of "
        "the openers' way while oil moves. Rows that are pushed up give their oil back through hoses and "
        "valve. Where that takes more pressure than the drill bears, no figure is given but what gives way "
        "first, and where. The frame rises when the mean over one section is above that section's lift "
        "pressure, hopper empty (workbook 07): then its rows need no longer give way. A relief valve opens "
        "for the valve beside it, not for what the hoses lose beyond."
    )
    return table_page(f"Three drills, one terrace, {way}", header, rows, note)


def hoses_table(bench, share=SHARE):
    """For each number of valves the smallest hoses that keep the load, in cold, mild and warm oil.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.
    share : float [-]
        How far the load may be off.

    Returns
    -------
    Page [-]
        The table.
    """
    units = bench.units
    rows = []
    for kelvin in COMPARED:
        for hoses in smallest_hoses(bench.drill, _duty(bench, kelvin, share), _MOST_VALVES):
            sizes = [units.show("small length", bore) for bore in (hoses.header_bore, hoses.drop_bore)]
            places = ", ".join(
                f"{units.number('large length', y):+.1f}".replace("-", "−") for y in hoses.places
            )
            rows.append(
                [
                    units.show("temperature", kelvin),
                    str(hoses.valves),
                    places,
                    *(sizes if hoses.enough else ["none is enough", "none is enough"]),
                    fine_percent(hoses.kept),
                ]
            )
    header = [
        "Oil",
        "Valves",
        f"Their places, right is + ({units.unit('large length')})",
        "Smallest header",
        "Smallest drop with it",
        f"Kept within ±{style.percent(share)}",
    ]
    note = (
        f"Over the terrace at {_ANGLE} degrees at {units.show('speed', bench.field.speed)}, kept at 99 % of "
        "the openers' places, the supply aside. Where none is enough the share is that "
        "of the largest hoses tried."
    )
    return table_page(f"Fewest valves and smallest hoses, {bench.drill.name}", header, rows, note)


def habit_table(bench):
    """What half-inch drops and three-quarter-inch headers gain, in cold, mild and warm oil.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Page [-]
        The table.
    """
    units = bench.units
    names = ("hoses of the drill file", "1/2 in drops, own header", "1/2 in drops, 3/4 in header")
    rows = []
    for kelvin in COMPARED:
        for name, hoses in zip(names, habit_gain(bench.drill, _duty(bench, kelvin)), strict=True):
            verdict = "enough" if hoses.enough else "not enough"
            worst = style.percent(hoses.largest_error)
            rows.append([units.show("temperature", kelvin), name, fine_percent(hoses.kept), worst, verdict])
    header = [
        "Oil",
        "Hoses",
        f"Kept within ±{style.percent(SHARE)}",
        "Worst, with the frame held down",
        "For 99 %",
    ]
    note = (
        "The habit of half-inch drops and three-quarter-inch headers on wide drills is common practice, no "
        f"source. Here with the drill's own valves, over the terrace at {_ANGLE} degrees, the supply aside."
    )
    return table_page(f"Is the habit needed? {bench.drill.name}", header, rows, note)


def figures_table(bench):
    """Oil, times, heat and pressure at rest.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Page [-]
        The table.
    """
    drill, show = bench.drill, bench.units.show
    figures, setting = oil_figures(drill), usual_pressure(drill, bench.field)
    heat, supply = heat_of_supply(drill, setting), drill.hydraulics.supply
    rows = [
        ["Oil in all cylinders, whole stroke", show("volume", figures.cylinders)],
        ["Oil in header and drops", show("volume", figures.header + figures.drops + figures.feeds)],
        [
            "To fill everything the first time",
            f"{show('volume', figures.total)}, {figures.fill_time:.0f} s with the supply's flow, "
            f"{style.percent(figures.share_of_lent)} of what the tractor may lend",
        ],
        *([f"To {move.name}, the openers' own oil", _move_words(move, show)] for move in figures.moves),
        [
            "Heat while nothing moves",
            f"{style.quantity(heat.power / 1e3, 'kW', decimals=1)}: {heat.reason}, {show('flow', heat.flow)} "
            f"across {show('pressure', heat.pressure)}",
        ],
        [
            "Lowest down force at the disc",
            f"{show('force', lowest_down_force(drill))} from {show('pressure', supply.return_pressure)} "
            "in the return",
        ],
        [
            "Sun on shut-in oil",
            f"{style.quantity(warming_to_relief(drill, setting), 'K', decimals=0)} warmer takes it from "
            f"{show('pressure', setting)} to the relief valve's "
            f"{show('pressure', drill.hydraulics.valve.relief_pressure)}",
        ],
    ]
    return table_page(f"Oil, time and heat, {drill.name}", ["What", "How much"], rows)


def parts_table(bench, temperature=273.15):
    """The parts list that a shop can order from.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.
    temperature : float [K]
        Of the oil that the flows are reckoned with.

    Returns
    -------
    Page [-]
        The list, with a reason for each part and what is wrong in the drill file.
    """
    show = bench.units.show
    rows = []
    for part in parts_list(bench.drill, _duty(bench, temperature)):
        sizes = "; ".join(f"{figure.words} {show(figure.kind, figure.value)}" for figure in part.figures)
        words = f"{part.reason} LOOK: {part.warning}" if part.warning else part.reason
        rows.append([part.name, str(part.count) if part.count else "none", sizes or "none", words])
    note = (
        "An estimate to order and ask by, not a pressure-equipment check. Hoses and fittings are rated for "
        "what the tractor can press, not for the setting. Local codes and a person who knows "
        "hydraulics decide."
    )
    return table_page(
        f"Parts of the circuit, {bench.drill.name}",
        ["Part", "How many", "Sizes and ratings", "Why"],
        rows,
        note,
    )


def _duty(bench, kelvin, share=SHARE):
    drill, field = bench.drill, bench.field
    crossing = terrace_crossing(drill, field, np.radians(_ANGLE), _SPACING)
    return Duty(crossing.travel, _SPACING, field.speed, usual_pressure(drill, field), kelvin, share)


def _move_words(move, show):
    if move.volume == 0:
        return "none: the openers stay on their stops"
    way = "into" if move.volume > 0 else "out of"
    return (
        f"{show('volume', abs(move.volume))} {way} the cylinders, {move.time:.1f} s at the rated flow; "
        f"in {move.asked_time:.0f} s it asks for {show('flow', move.asked_flow)}"
    )


def _signed(units, newtons):
    return f"{units.number('force', newtons):+.0f}".replace("-", "−")


def _ends(change):
    return float(change.min()), float(change.max())


def _bare(units, kind, value):
    return units.show(kind, value).rpartition(" ")[0]
