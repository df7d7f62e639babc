"""Tables of the oil workbook: drills cold and warm, hoses, the habit, volumes and heat, the parts list."""

from downforce.machine.shipped import example_drill, example_field, shipped_drills
from downforce.physics.oil import VELOCITY_LIMITS
from downforce.study.oil.cases import COMPARED, DUTY_ANGLE, SHARE, usual_pressure, way_case, way_trials
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
from downforce.study.oil.sizing import MOST_VALVES, circuit_to_order, habit_gain
from downforce.study.oil.states import APART, DETENT, FLOAT, NEUTRAL, standing
from downforce.study.oil.track_circuit import track_circuit
from downforce.study.setting.reasons import limit_text
from downforce.workbook import style
from downforce.workbook.oil.words import (
    LIMITS,
    doubt_words,
    fine_percent,
    limited_words,
    seconds,
    stretch_words,
    valve_words,
)
from downforce.workbook.table import table_page

ORDERED_AT = COMPARED[0]
"""Oil temperature that the parts are ordered for [K]."""

_MILD = COMPARED[1]
_SHOWN_FLOWS = tuple(litres / 60e3 for litres in (40, 60, 90))
_ALWAYS_TRIED = 2
_NO_HIGHER = 1.005
_GIVES = {FRAME: "frame lifts at", RATING: "past a rating of", RELIEF: "relief opens at"}


def drills_table(bench):
    """The three shipped drills on the bench's terrace: straight over, and at an angle with three oils.

    Parameters
    ----------
    bench : Bench [-]
        Field and units.

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
    for way, temperatures in ((90, (_MILD,)), (DUTY_ANGLE, COMPARED)):
        for key, _ in shipped_drills():
            drill = example_drill(key)
            borne = bearable(drill, field)
            for kelvin in temperatures:
                case = way_case(drill, field, kelvin, way)
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


def valves_table(bench):
    """One valve of 40, 60 and 90 L/min on the three shipped drills, in cold, mild and warm oil.

    Parameters
    ----------
    bench : Bench [-]
        Field and units.

    Returns
    -------
    Page [-]
        The table.
    """
    units, field = bench.units, bench.field
    rows = []
    for key, _ in shipped_drills():
        drill = example_drill(key)
        gives = drill.hydraulics.supply.flow
        for kelvin in COMPARED:
            trials = way_trials(drill, field, kelvin)
            tried = [trials.smallest(1, flow) for flow in _SHOWN_FLOWS]
            asked = f"{_bare(units, 'flow', tried[0].given)} / {_bare(units, 'flow', tried[0].taken)}"
            short = f"{_bare(units, 'flow', gives)}{', too little' if tried[0].given > gives else ''}"
            cells = (_tried_words(units, hoses) for hoses in tried)
            rows.append([drill.name, _bare(units, "temperature", kelvin), asked, short, *cells])
    header = [
        "Drill",
        f"Oil ({units.unit('temperature')})",
        f"Rows draw / give back ({units.unit('flow')})",
        f"Tractor gives ({units.unit('flow')})",
        *(f"Valve of {units.show('flow', flow)}" for flow in _SHOWN_FLOWS),
    ]
    note = (
        f"One valve in the middle, over the terrace at {DUTY_ANGLE} degrees at "
        f"{units.show('speed', field.speed)}. Where a valve does, the smallest header / drop with it and "
        f"how much is kept within ±{style.percent(SHARE)}, the supply aside; where none does, what the widest "
        f"hoses keep, and what limits. Valve: {LIMITS['valve']}. Droop: {LIMITS['droop']}. Line: {LIMITS['line']}. "
        "Where the tractor gives too little, the supply limits as well: drive slower or at a sharper angle."
    )
    return table_page("Which valve serves which drill?", header, rows, note)


def hoses_table(bench, share=SHARE):
    """For each number of valves the smallest valve and hoses that keep the load, in cold, mild and warm oil.

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
    units, drill, field = bench.units, bench.drill, bench.field
    rows = []
    for kelvin in COMPARED:
        trials, fewest = way_trials(drill, field, kelvin, share), None
        for valves in range(1, MOST_VALVES + 1):
            if valves > _ALWAYS_TRIED and fewest:
                break
            hoses = trials.smallest(valves)
            marked = f"{valves}, the fewest" if hoses.enough and not fewest else str(valves)
            fewest = fewest or (valves if hoses.enough else None)
            places = ", ".join(
                f"{units.number('large length', y):+.1f}".replace("-", "−") for y in hoses.places
            )
            sizes = [units.show("small length", bore) for bore in (hoses.header_bore, hoses.drop_bore)]
            rows.append(
                [
                    units.show("temperature", kelvin),
                    marked,
                    places,
                    units.show("flow", hoses.rated_flow),
                    *(sizes if hoses.enough else ["none is enough", "none is enough"]),
                    fine_percent(hoses.kept),
                    ", ".join(hoses.limits) or "nothing",
                    _gives_words(units, hoses.gives),
                ]
            )
    header = [
        "Oil",
        "Valves",
        f"Their places, right is + ({units.unit('large length')})",
        "Smallest valve",
        "Smallest header with it",
        "Smallest drop with both",
        f"Kept within ±{style.percent(share)}",
        "What limits",
        "Gives way first",
    ]
    note = (
        f"Over the terrace at {DUTY_ANGLE} degrees at {units.show('speed', field.speed)}, kept at 99 % of "
        "the openers' places, the supply aside. No valve is asked for over a tenth more than its rated flow: "
        "beyond, its curve is not known. Where none is enough the share is that of the largest tried. What "
        "gives way first does so where rows are pushed up hardest: there the load is the drill's weight."
    )
    return table_page(f"Fewest valves and smallest hoses, {drill.name}", header, rows, note)


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
    names = ("own hoses", "1/2 in drops, own header", "1/2 in drops, 3/4 in header")
    rows = []
    for kelvin in COMPARED:
        own, *larger = habit_gain(way_trials(bench.drill, bench.field, kelvin))
        named = [(f"all of the drill file, {valve_words(own, units)}", own)]
        named += [
            (f"{valve_words(each, units)}, {name}", each) for name, each in zip(names, larger, strict=True)
        ]
        for name, hoses in named:
            limits = ", ".join(hoses.limits) or "nothing: enough"
            gives = _gives_words(units, hoses.gives)
            rows.append([units.show("temperature", kelvin), name, fine_percent(hoses.kept), limits, gives])
    header = [
        "Oil",
        "Valves and hoses",
        f"Kept within ±{style.percent(SHARE)}",
        "What limits, for 99 %",
        "Gives way first",
    ]
    note = (
        "The habit of half-inch drops and three-quarter-inch headers on wide drills is common practice, no "
        "source. Valves stand where the drill file has them, and are large enough from the second line on. "
        f"Over the terrace at {DUTY_ANGLE} degrees, the supply aside."
    )
    return table_page(f"Is the habit needed? {bench.drill.name}", header, rows, note)


def states_table(bench):
    """What stands in each stretch of the circuit, lever by lever, and how it is let down.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Page [-]
        The table.
    """
    drill, units = bench.drill, bench.units
    setting = usual_pressure(drill, bench.field)
    cases = (
        (f"{DETENT}, engine runs", DETENT, True, False),
        (f"{NEUTRAL}, engine runs", NEUTRAL, True, False),
        (f"{FLOAT}, engine runs", FLOAT, True, False),
        ("engine off, lever left in detent", DETENT, False, False),
        (APART, APART, False, False),
        ("engine off, float, dump valve open", FLOAT, False, True),
        (f"{APART}, dump valve open", APART, False, True),
    )
    found = [(name, standing(drill, setting, *case)) for name, *case in cases]
    rows = [
        [
            name,
            *(stretch_words(stretch, units) for stretch in one.stretches.values()),
            ", ".join(one.let_down) or "nothing stands",
        ]
        for name, one in found
    ]
    header = [
        "Lever",
        *(words.capitalize() for words in found[0][1].stretches),
        "To let it down, in this order",
    ]
    note = (
        f"At {units.show('pressure', setting)} set. Shut in means: up to that pressure, as long as nothing "
        "leaks; the sun adds to it. A gauge on the header tells nothing of the hose to the tractor. Nothing "
        "is ever loosened to let pressure go."
    )
    return table_page(f"What stands under pressure, {drill.name}", header, rows, note)


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
        "seconds: there the load that is kept decides, as in the tables above. At least: where the ground asks "
        "for more, the frame lifts or the tractor runs short first."
    )
    return table_page(f"Oil, time and heat, {drill.name}", ["What", "How much"], rows, note)


def parts_table(bench, temperature=ORDERED_AT):
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
    trials = way_trials(bench.drill, bench.field, temperature)
    ordered, own = circuit_to_order(trials), trials.judged()
    borne = bearable(bench.drill, bench.field)
    for part in parts_list(bench.drill, trials.duty, ordered, borne):
        sizes = "; ".join(f"{figure.words} {show(figure.kind, figure.value)}" for figure in part.figures)
        words = f"{part.reason} Mind: {part.warning}" if part.warning else part.reason
        rows.append([part.name, str(part.count) if part.count else "none", sizes or "none", words])
    size = show("small length", ordered.header_bore), show("small length", ordered.drop_bore)
    kept = f"keeps {fine_percent(ordered.kept)} within ±{style.percent(SHARE)}"
    judged = "the circuit that was judged good" if ordered.enough else "the best circuit tried, not enough"
    beside = "It is the drill file's own."
    if ordered != own:
        beside = f"As the drill file has it, {fine_percent(own.kept)} is kept{limited_words(own.limits)}."
    given = bench.drill.hydraulics.supply.flow
    supply = ""
    if ordered.given > given:
        supply = (
            f" The tractor limits as well: {show('flow', ordered.given)} are asked of its "
            f"{show('flow', given)} at {show('speed', bench.field.speed)}."
        )
    note = (
        f"Ordered is {judged}: {valve_words(ordered, bench.units)}, header {size[0]}, drops {size[1]}, which "
        f"{kept} over the terrace at {DUTY_ANGLE} degrees with oil of {show('temperature', temperature)}. "
        f"{beside}{supply} "
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


def _tried_words(units, hoses):
    if not hoses.enough:
        return f"{fine_percent(hoses.kept)}: {', '.join(hoses.limits)}"
    header, drop = (
        _bare(units, "small length", hoses.header_bore),
        units.show("small length", hoses.drop_bore),
    )
    return f"{header} / {drop}, {fine_percent(hoses.kept)}"


def _gives_words(units, gives):
    return f"{_GIVES[gives.words]} {limit_text(units, gives.gauge_pressure)}" if gives else "nothing"


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
    borne = bearable(drill, bench.field)

    def lines(degrees, kelvin):
        return fastest_oil(drill, way_case(drill, bench.field, kelvin, degrees).state, kelvin, borne)

    # Warm oil is borne over most of the way: its fastest is what is reached.
    straight, angled = lines(90, _MILD), [lines(DUTY_ANGLE, kelvin) for kelvin in COMPARED]
    rows = []
    for place, name in enumerate(("header", "drops")):
        over, across = (
            f"{'at least ' if way[place].more else ''}{units.show('oil velocity', way[place].velocity)}"
            for way in (straight, angled[-1])
        )
        rows.append(
            [
                f"Fastest oil in the {name}",
                f"{over} straight over, {across} at {DUTY_ANGLE} degrees; usual in steady flow {usual}",
            ]
        )
    doubt = (
        f"{units.show('temperature', kelvin)}: {doubt_words(header, units) or 'never'}"
        for kelvin, (header, _) in zip(COMPARED, angled, strict=True)
    )
    return [*rows, [f"Header where friction is not known, at {DUTY_ANGLE} degrees", "; ".join(doubt)]]


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
        f"{_bare(units, 'flow', state.given.max())} / {_bare(units, 'flow', state.supply_flow)}",
        _bare(units, "flow", case.exchanged.max()),
        _bare(units, "volume", case.missing),
        seconds(state.recovery_time(SHARE)),
        f"{_bare(units, 'force', case.down_force.min())} / {most}",
    ]


def _bare(units, kind, value):
    return units.show(kind, value).rpartition(" ")[0]
