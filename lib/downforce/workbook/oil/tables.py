"""Tables of the oil workbook: drills cold and warm, hoses, the habit, volumes and heat, the parts list."""

import numpy as np

from downforce.machine.shipped import example_drill, example_field, shipped_drills
from downforce.physics.oil import VELOCITY_LIMITS
from downforce.study.oil.cases import COMPARED, SHARE, crossing_case, drills_at_temperatures, usual_pressure
from downforce.study.oil.fastest import fastest_oil
from downforce.study.oil.figures import (
    frame_oil,
    heat_of_supply,
    lowest_down_force,
    oil_figures,
    warming_to_relief,
)
from downforce.study.oil.limits import FRAME, RATING, RELIEF, bearable
from downforce.study.oil.parts import parts_list
from downforce.study.oil.sizing import Duty, habit_gain, smallest_hoses, valve_share
from downforce.study.oil.terrace import terrace_crossing
from downforce.study.oil.track_circuit import track_circuit
from downforce.study.setting.reasons import limit_text
from downforce.workbook import style
from downforce.workbook.oil.words import doubt_words, fine_percent, seconds
from downforce.workbook.table import table_page

_SPACING = 0.2
_ANGLE = 45
_MOST_VALVES = 3
_NO_HIGHER = 1.005
_GIVES = {FRAME: "frame lifts at", RATING: "past a rating of", RELIEF: "relief opens at"}


def drills_table(bench, ways=(90, 45)):
    """The three shipped drills on the bench's terrace, with cold, mild and warm oil.

    Parameters
    ----------
    bench : Bench [-]
        Field and units.
    ways : sequence of floats [deg]
        Ways over the terrace; 90 is straight over.

    Returns
    -------
    Page [-]
        The table.
    """
    units, field = bench.units, bench.field
    header = [
        "Drill",
        "Over the terrace",
        f"Oil ({units.unit('temperature')})",
        f"Set ({units.unit('pressure')})",
        f"Lowest / highest ({units.unit('pressure')})",
        f"Kept within ±{style.percent(SHARE)} / starved",
        f"Asked of / given by the tractor ({units.unit('flow')})",
        f"Section to section ({units.unit('flow')})",
        f"Oil that is behind ({units.unit('volume')})",
        f"Back within ±{style.percent(SHARE)} after up to",
        f"Down force at the disc, least / most ({units.unit('force')})",
    ]
    rows, after = [], 0.0
    for way in ways:
        for key, _ in shipped_drills():
            drill = example_drill(key)
            crossing = terrace_crossing(drill, field, np.radians(way), _SPACING)
            borne = bearable(drill, field)
            for _, kelvin, case in drills_at_temperatures([drill], field, crossing=crossing):
                rows.append([drill.name, _way_words(way), *_case_cells(units, drill, borne, kelvin, case)])
                after = max(after, case.felt_after)
    note = (
        f"Each drill at its recommended setting, at {units.show('speed', field.speed)}, with the hoses and "
        "valves of its file, every opener following the ground. Kept and starved are shares of "
        "the openers' way while oil moves. Rows that are pushed up give their oil back through hoses and "
        "valve. Where that takes more pressure than the drill bears, what gives way first is named, with its "
        "pressure, and the down force at working height there. The frame lifts when the mean over one "
        "section is above that section's lift pressure, hopper empty (workbook 07): then its rows need no "
        "longer give way. A relief valve opens for the valve beside it, not for what the hoses lose beyond. "
        "Back after is the "
        "longest that one row is off its load. Once no row moves any more, the last is back after "
        f"{seconds(after)}."
    )
    return table_page("Three drills, one terrace", header, rows, note)


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
    units, drill = bench.units, bench.drill
    rows = []
    for kelvin in COMPARED:
        duty = _duty(bench, kelvin, share)
        found = smallest_hoses(drill, duty, _MOST_VALVES)
        fewest = next((hoses.valves for hoses in found if hoses.enough), None)
        for hoses in found:
            sizes = [units.show("small length", bore) for bore in (hoses.header_bore, hoses.drop_bore)]
            places = ", ".join(
                f"{units.number('large length', y):+.1f}".replace("-", "−") for y in hoses.places
            )
            rows.append(
                [
                    units.show("temperature", kelvin),
                    f"{hoses.valves}, the fewest" if hoses.valves == fewest else str(hoses.valves),
                    places,
                    *(sizes if hoses.enough else ["none is enough", "none is enough"]),
                    fine_percent(hoses.kept),
                    style.percent(valve_share(drill, duty, hoses.valves)),
                ]
            )
    header = [
        "Oil",
        "Valves",
        f"Their places, right is + ({units.unit('large length')})",
        "Smallest header",
        "Smallest drop with it",
        f"Kept within ±{style.percent(share)}",
        "Worst by the valves alone",
    ]
    note = (
        f"Over the terrace at {_ANGLE} degrees at {units.show('speed', bench.field.speed)}, kept at 99 % of "
        "the openers' places, the supply aside. Where none is enough the share is that "
        "of the largest hoses tried. What the valves cost by their band, droop and rise no hose takes away."
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


def tracks_table(bench):
    """Short and packing rows in wheel tracks and outside, with one circuit and with a second for the tracks.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units; a field without tracks under the drill is lent the dry one.

    Returns
    -------
    Page [-]
        The table.
    """
    drill, units = bench.drill, bench.units
    field, aim = bench.field, bench.field.aim
    found = track_circuit(drill, field)
    if found is None:
        field = example_field("dry_hard_tracks")
        found, aim = track_circuit(drill, field), field.aim
    ways = [("one circuit, recommended setting", found.usual), ("two circuits", found.two)]
    ceiling = "One circuit cannot be turned up for them: its setting is at the ceiling. "
    if found.turned_up.outside > found.usual.outside:
        ways.insert(1, ("one circuit, turned up", found.turned_up))
        ceiling = ""
    rows = []
    for name, one in ways:
        parted = (one.shares_outside, one.shares_in_tracks)
        rows.append(
            [
                name,
                f"{_bare(units, 'pressure', one.outside)} / {_bare(units, 'pressure', one.in_tracks)}",
                *(f"{style.percent(each.short)} / {style.percent(each.packing)}" for each in parted),
            ]
        )
    header = [
        "Way to set",
        f"Set outside / in tracks ({units.unit('pressure')})",
        "Outside, short / packing",
        "In tracks, short / packing",
    ]
    cost = (
        "It costs one more valve with its relief valve and gauge, "
        f"{units.both('large length', found.header)} of header and hose, and a second pressure to set."
    )
    if found.two.in_tracks <= found.two.outside * _NO_HIGHER:
        cost = "Here weight or valve allow it no more pressure: a second circuit gains nothing."
    note = (
        f"{field.name}: {found.rows} of {drill.row_count} rows run in tracks, and need "
        f"{units.show('pressure', found.needed)} for the wanted load on their mean. {ceiling}Short is below "
        f"{units.show('force', aim.least_load)}, packing above {units.show('force', aim.heavy_load)}. The "
        "second valve gives what the tracks need, within its own range and what the weight of their section "
        "still holds. "
        f"{cost}"
    )
    return table_page(f"A second circuit for the rows in tracks? {drill.name}", header, rows, note)


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
        ["To raise, the lift cylinders' oil", _frame_words(drill, "lift", show)],
        ["To fold, the fold cylinders' oil", _frame_words(drill, "fold", show)],
        *_velocity_rows(bench),
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
    note = (
        "The usual velocities keep heat, noise and loss low in oil that runs all day. A crossing lasts "
        "seconds: there the load that is kept decides, as in the tables above."
    )
    return table_page(f"Oil, time and heat, {drill.name}", ["What", "How much"], rows, note)


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
        words = f"{part.reason} Mind: {part.warning}" if part.warning else part.reason
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


def _frame_words(drill, moves, show):
    volume, time = frame_oil(drill, moves)
    if volume > 0:
        return f"{show('volume', volume)}, {time:.0f} s with the supply's flow"
    if moves == "fold" and len(drill.sections) == 1:
        return "none: the frame is in one piece"
    return f"not known: the drill file names no {moves} cylinders"


def _velocity_rows(bench):
    drill, units = bench.drill, bench.units
    usual = " to ".join(units.show("oil velocity", limit) for limit in VELOCITY_LIMITS["pressure"])

    def lines(degrees, kelvin):
        crossing = terrace_crossing(drill, bench.field, np.radians(degrees), _SPACING)
        return fastest_oil(drill, crossing_case(drill, bench.field, kelvin, crossing).state, kelvin)

    # The ground makes the flow: the velocity is that of any oil, the friction is not.
    straight, *angled = lines(90, COMPARED[0]), *(lines(_ANGLE, kelvin) for kelvin in COMPARED)
    rows = []
    for place, name in enumerate(("header", "drops")):
        over, across = (units.show("oil velocity", way[place].velocity) for way in (straight, angled[0]))
        rows.append(
            [
                f"Fastest oil in the {name}",
                f"{over} straight over, {across} at {_ANGLE} degrees; usual in steady flow {usual}",
            ]
        )
    doubt = (
        f"{units.show('temperature', kelvin)}: {doubt_words(header, units) or 'never'}"
        for kelvin, (header, _) in zip(COMPARED, angled, strict=True)
    )
    return [*rows, [f"Header where friction is not known, at {_ANGLE} degrees", "; ".join(doubt)]]


def _way_words(degrees):
    return "straight" if degrees == 90 else f"{degrees:g} degrees"


def _case_cells(units, drill, borne, kelvin, case):
    # A figure that the drill cannot reach would be believed: what it bears stands there.
    gives = borne.first_to_give(case.state.gauge_pressure)
    highest, most = _bare(units, "pressure", case.highest), _bare(units, "force", case.down_force.max())
    if gives:
        highest = f"{_GIVES[gives.words]} {limit_text(units, gives.gauge_pressure).rpartition(' ')[0]}"
        borne = drill.cylinder.down_force(drill.opener, 0.0, gives.gauge_pressure)
        most = f"under {_bare(units, 'force', float(borne))}"
    state = case.state
    return [
        _bare(units, "temperature", kelvin),
        _bare(units, "pressure", case.setting),
        f"{_bare(units, 'pressure', case.lowest)} / {highest}",
        f"{style.percent(case.kept)} / {style.percent(case.starved)}",
        f"{_bare(units, 'flow', state.asked.max())} / {_bare(units, 'flow', state.supply_flow)}",
        _bare(units, "flow", case.exchanged.max()),
        _bare(units, "volume", case.missing),
        seconds(state.recovery_time(SHARE)),
        f"{_bare(units, 'force', case.down_force.min())} / {most}",
    ]


def _bare(units, kind, value):
    return units.show(kind, value).rpartition(" ")[0]
