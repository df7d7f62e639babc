"""Tables of the oil workbook: drills cold and warm, tracks, volumes and heat, pressure, sizes, the habit."""

from downforce.machine.shipped import example_drill, example_field, shipped_drills
from downforce.physics.kinds import Ratio
from downforce.physics.oil import VELOCITY_LIMITS
from downforce.study.oil import figures
from downforce.study.oil.band import track_circuit
from downforce.study.oil.cases import COMPARED, DUTY_ANGLE, SHARE, usual_pressure, way_case, way_trials
from downforce.study.oil.circuit import bearable
from downforce.study.oil.sizing import MOST_VALVES, fastest_oil, habit_gain
from downforce.study.setting.reasons import limit_text
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.oil.circuit_picture import stretch_words
from downforce.workbook.oil.words import GIVES, LIMITS, doubt_words, seconds, valve_words
from downforce.workbook.series import workbook
from downforce.workbook.table import Page, headed, table_page

_MILD = COMPARED[1]
_NO_HIGHER = 1.005


def drills_table(bench: Bench):
    """The three shipped drills on the bench's terrace: straight over, and at an angle with three oils."""
    units, field = bench.units, bench.field
    rows, after = [], 0.0
    for way, temperatures in ((90, (_MILD,)), (DUTY_ANGLE, COMPARED)):
        for key, _ in shipped_drills():
            drill = example_drill(key)
            borne = bearable(drill, field)
            for kelvin in temperatures:
                case = way_case(drill, field, kelvin, way)
                place = {"Drill": drill.name, "Over the terrace": _way_words(way)}
                rows.append(place | _case_cells(units, drill, borne, kelvin, case))
                after = max(after, case.felt_after)
    note = (
        f"Each drill at its recommended setting, at {units.show('speed', field.speed)}, with the hoses and "
        "valves of its file, every opener following the ground. Kept and starved are shares of the openers' "
        "way while oil moves. Rows that are pushed up give their oil back through hoses and valve. Where "
        "that takes more pressure than the drill bears, what gives way first is named, with its pressure, "
        "and the down force at working height there. The frame lifts when the mean over one section is above "
        f"that section's lift pressure, hopper empty ({workbook('frame_lift_limits').called}): then its rows "
        "need no longer give way. A relief valve opens for the valve beside it, not for what the hoses lose "
        "beyond. Back after is the longest that one row is off its load. Once no row moves any more, the "
        f"last is back after {seconds(after)}. {shipped_notes()}"
    )
    return table_page("Three drills, one terrace", *headed(rows), note)


def shipped_notes():
    """What the files of the three shipped drills say of them: one is there as a warning."""
    drills = (example_drill(key) for key, _ in shipped_drills())
    return " ".join(f"{drill.name}: {drill.note}" for drill in drills)


def states_table(bench: Bench):
    """What stands in each stretch of the circuit, lever by lever, and how it is let down."""
    drill, units = bench.drill, bench.units
    setting = usual_pressure(drill, bench.field)
    cases = (
        (f"{figures.DETENT}, engine runs", figures.DETENT, True, False),
        (f"{figures.NEUTRAL}, engine runs", figures.NEUTRAL, True, False),
        (f"{figures.FLOAT}, engine runs", figures.FLOAT, True, False),
        ("engine off, lever left in detent", figures.DETENT, False, False),
        (figures.APART, figures.APART, False, False),
        ("engine off, float, dump valve open", figures.FLOAT, False, True),
        (f"{figures.APART}, dump valve open", figures.APART, False, True),
    )
    found = ((name, figures.standing(drill, setting, *case)) for name, *case in cases)
    rows = [
        {
            "Lever": name,
            **{words.capitalize(): stretch_words(one, units) for words, one in stands.stretches.items()},
            "To let it down, in this order": ", ".join(stands.let_down) or "nothing stands",
        }
        for name, stands in found
    ]
    note = (
        f"At {units.show('pressure', setting)} set. Shut in means: up to that pressure, as long as nothing "
        "leaks; the sun adds to it. A gauge on the header tells nothing of the hose to the tractor. No "
        "fitting is ever loosened for that."
    )
    return table_page(f"What stands under pressure, {drill.name}", *headed(rows), note)


def tracks_table(bench: Bench):
    """Short and packing rows in wheel tracks and outside, with one circuit and with a second for the tracks.

    bench: drill, field and units; a field without tracks under the drill is lent the dry one.
    """
    drill, units = bench.drill, bench.units
    field, aim = bench.field, bench.field.aim
    found = track_circuit(drill, field)
    if found is None:
        field = example_field("dry_hard_tracks")
        found, aim = track_circuit(drill, field), field.aim
    if found is None:
        return Page(
            f"A second circuit is for rows in tracks beside rows outside them, and under {drill.name} no "
            f"tracks of {bench.field.name} or {field.name} leave both. One circuit sets all rows."
        )
    ways = [("one circuit, recommended setting", found.usual), ("two circuits", found.two)]
    ceiling = "One circuit cannot be turned up for them: its setting is at the ceiling. "
    if found.turned_up.outside > found.usual.outside:
        ways.insert(1, ("one circuit, turned up", found.turned_up))
        ceiling = ""
    rows = []
    for name, one in ways:
        parted = (one.shares_outside, one.shares_in_tracks)
        set_to = f"{units.bare('pressure', one.outside)} / {units.bare('pressure', one.in_tracks)}"
        shares = (f"{style.percent(each.short)} / {style.percent(each.packing)}" for each in parted)
        rows.append([name, set_to, *shares])
    pressures = f"Set outside / in tracks ({units.unit('pressure')})"
    header = ["Way to set", pressures, "Outside, short / packing", "In tracks, short / packing"]
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
        f"still holds. {cost}"
    )
    return table_page(f"A second circuit for the rows in tracks? {drill.name}", header, rows, note)


def figures_table(bench: Bench):
    """Oil, times, heat and pressure at rest."""
    drill, show = bench.drill, bench.units.show
    oil, setting = figures.oil_figures(drill), usual_pressure(drill, bench.field)
    heat, supply = figures.heat_of_supply(drill, setting), drill.hydraulics.supply
    rows = {
        "Oil in all cylinders, whole stroke": show("volume", oil.cylinders),
        "Oil in header and drops": show("volume", oil.header + oil.drops + oil.feeds),
        "To fill everything the first time": f"{show('volume', oil.total)}, {oil.fill_time:.0f} s "
        f"with the supply's flow, {style.percent(oil.share_of_lent)} of what the tractor may lend",
        **{f"To {move.name}, the openers' own oil": _move_words(move, show) for move in oil.moves},
        "To raise, the lift cylinders' oil": _frame_words(drill, "lift", show),
        "To fold, the fold cylinders' oil": _frame_words(drill, "fold", show),
        **_velocity_rows(bench),
        "Heat while nothing moves": f"{style.quantity(heat.power / 1e3, 'kW', decimals=1)}: {heat.reason}, "
        f"{show('flow', heat.flow)} across {show('pressure', heat.pressure)}",
        "Lowest down force at the disc": f"{show('force', figures.lowest_down_force(drill))} from "
        f"{show('pressure', supply.return_pressure)} in the return",
        "Sun on shut-in oil": f"{style.quantity(figures.warming_to_relief(drill, setting), 'K', decimals=0)} "
        f"warmer takes it from {show('pressure', setting)} to the relief valve's "
        f"{show('pressure', drill.hydraulics.valve.relief_pressure)}",
    }
    note = (
        "The usual velocities keep heat, noise and loss low in oil that runs all day. A crossing lasts "
        "seconds: there the load that is kept decides, as in the tables above. At least: where the ground "
        "asks for more, the frame lifts or the tractor runs short first."
    )
    return table_page(f"Oil, time and heat, {drill.name}", ["What", "How much"], rows.items(), note)


def _move_words(move, show):
    if move.volume == 0:
        return "none: the openers stay on their stops"
    way = "into" if move.volume > 0 else "out of"
    return (
        f"{show('volume', abs(move.volume))} {way} the cylinders, {move.time:.1f} s at the rated flow; "
        f"in {move.asked_time:.0f} s it asks for {show('flow', move.asked_flow)}"
    )


def _frame_words(drill, moves, show):
    volume, time = figures.frame_oil(drill, moves)
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
    rows = {}
    for place, name in enumerate(("header", "drops")):
        over, across = (
            f"{'at least ' if way[place].more else ''}{units.show('oil velocity', way[place].velocity)}"
            for way in (straight, angled[-1])
        )
        words = f"{over} straight over, {across} at {DUTY_ANGLE} degrees; usual in steady flow {usual}"
        rows[f"Fastest oil in the {name}"] = words
    doubt = (
        f"{units.show('temperature', kelvin)}: {doubt_words(header, units) or 'never'}"
        for kelvin, (header, _) in zip(COMPARED, angled, strict=True)
    )
    return rows | {f"Header where friction is not known, at {DUTY_ANGLE} degrees": "; ".join(doubt)}


def _way_words(degrees):
    return "straight" if degrees == 90 else f"{degrees:g} degrees"


def _case_cells(units, drill, borne, kelvin, case):
    # A figure that the drill cannot reach would be believed: what it bears stands there.
    gives = borne.first_to_give(case.state.gauge_pressure)
    highest, most = units.bare("pressure", case.highest), units.bare("force", case.down_force.max())
    if gives:
        highest = f"{GIVES[gives.words]} {limit_text(units, gives.gauge_pressure).rpartition(' ')[0]}"
        borne = drill.cylinder.down_force(drill.opener, 0.0, gives.gauge_pressure)
        most = f"under {units.bare('force', float(borne))}"
    state, within = case.state, f"within ±{style.percent(SHARE)}"
    degrees, pressure, force = (units.unit(kind) for kind in ("temperature", "pressure", "force"))
    flow, volume = units.unit("flow"), units.unit("volume")
    tractor = f"{units.bare('flow', state.asked.max())} / {units.bare('flow', state.supply_flow)}"
    return {
        f"Oil ({degrees})": units.bare("temperature", kelvin),
        f"Set ({pressure})": units.bare("pressure", case.setting),
        f"Lowest / highest ({pressure})": f"{units.bare('pressure', case.lowest)} / {highest}",
        f"Kept {within} / starved": f"{style.percent(case.kept)} / {style.percent(case.starved)}",
        f"Asked of / given by the tractor ({flow})": tractor,
        f"Section to section ({flow})": units.bare("flow", case.exchanged.max()),
        f"Oil that is behind ({volume})": units.bare("volume", case.missing),
        f"Back {within} after up to": seconds(state.recovery_time(SHARE)),
        f"Down force at the disc, least / most ({force})": (
            f"{units.bare('force', case.down_force.min())} / {most}"
        ),
    }


_SHOWN_FLOWS = tuple(litres / 60e3 for litres in (40, 60, 90))
_ALWAYS_TRIED = 2


def valves_table(bench: Bench):
    """One valve of 40, 60 and 90 L/min on the three shipped drills, in cold, mild and warm oil."""
    units, field = bench.units, bench.field
    rows = []
    for key, _ in shipped_drills():
        drill = example_drill(key)
        gives = drill.hydraulics.supply.flow
        for kelvin in COMPARED:
            trials = way_trials(drill, field, kelvin)
            tried = [trials.smallest(1, flow) for flow in _SHOWN_FLOWS]
            asked = f"{units.bare('flow', tried[0].given)} / {units.bare('flow', tried[0].taken)}"
            short = f"{units.bare('flow', gives)}{', too little' if tried[0].given > gives else ''}"
            cells = {
                "Drill": drill.name,
                f"Oil ({units.unit('temperature')})": units.bare("temperature", kelvin),
                f"Rows draw / give back ({units.unit('flow')})": asked,
                f"Tractor gives ({units.unit('flow')})": short,
            }
            for flow, hoses in zip(_SHOWN_FLOWS, tried, strict=True):
                cells[f"Valve of {units.show('flow', flow)}"] = _tried_words(units, hoses)
            rows.append(cells)
    note = (
        f"One valve in the middle, over the terrace at {DUTY_ANGLE} degrees at "
        f"{units.show('speed', field.speed)}. Where a valve does, the smallest header / drop with it and how "
        f"much is kept within ±{style.percent(SHARE)}, the supply aside; where none does, what the widest "
        f"hoses keep, and what limits. Valve: {LIMITS['valve']}. Droop: {LIMITS['droop']}. Line: "
        f"{LIMITS['line']}. Where the tractor gives too little, the supply limits as well: drive slower or "
        f"at a sharper angle. {shipped_notes()}"
    )
    return table_page("Which valve serves which drill?", *headed(rows), note)


def hoses_table(bench: Bench, share: Ratio = SHARE):
    """For each number of valves the smallest valve and hoses that keep the load in cold, mild, warm oil."""
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
                f"{units.number('large length', y):+z.1f}".replace("-", "−") for y in hoses.places
            )
            header, drop = (
                units.show("small length", bore) if hoses.enough else "none is enough"
                for bore in (hoses.header_bore, hoses.drop_bore)
            )
            rows.append(
                {
                    "Oil": units.show("temperature", kelvin),
                    "Valves": marked,
                    f"Their places, right is + ({units.unit('large length')})": places,
                    "Smallest valve": units.show("flow", hoses.rated_flow),
                    "Smallest header with it": header,
                    "Smallest drop with both": drop,
                    f"Kept within ±{style.percent(share)}": style.percent(hoses.kept, 1),
                    "What limits": ", ".join(hoses.limits) or "nothing",
                    "Gives way first": _gives_words(units, hoses.gives),
                }
            )
    note = (
        f"Over the terrace at {DUTY_ANGLE} degrees at {units.show('speed', field.speed)}, kept at 99 % of "
        "the openers' places, the supply aside. No valve is asked for over a tenth more than its rated flow: "
        "beyond, its curve is not known. Where none is enough the share is that of the largest tried. What "
        "gives way first does so where rows are pushed up hardest: there the load is the drill's weight."
    )
    return table_page(f"Fewest valves and smallest hoses, {drill.name}", *headed(rows), note)


def habit_table(bench: Bench):
    """What half-inch drops and three-quarter-inch headers gain, in cold, mild and warm oil."""
    units = bench.units
    names = ("own hoses", "1/2 in drops, own header", "1/2 in drops, 3/4 in header")
    rows = []
    for kelvin in COMPARED:
        own, *larger = habit_gain(way_trials(bench.drill, bench.field, kelvin))
        named = [(f"all of the drill file, {valve_words(own, units)}", own)]
        named += [
            (f"{valve_words(each, units)}, {name}", each) for name, each in zip(names, larger, strict=True)
        ]
        rows += [
            {
                "Oil": units.show("temperature", kelvin),
                "Valves and hoses": name,
                f"Kept within ±{style.percent(SHARE)}": style.percent(hoses.kept, 1),
                "What limits, for 99 %": ", ".join(hoses.limits) or "nothing: enough",
                "Gives way first": _gives_words(units, hoses.gives),
            }
            for name, hoses in named
        ]
    note = (
        "The habit of half-inch drops and three-quarter-inch headers on wide drills is common practice, no "
        "source. Valves stand where the drill file has them, and are large enough from the second line on. "
        f"Over the terrace at {DUTY_ANGLE} degrees, the supply aside."
    )
    return table_page(f"Is the habit needed? {bench.drill.name}", *headed(rows), note)


def _tried_words(units, hoses):
    if not hoses.enough:
        return f"{style.percent(hoses.kept, 1)}: {', '.join(hoses.limits)}"
    drop = units.show("small length", hoses.drop_bore)
    return f"{units.bare('small length', hoses.header_bore)} / {drop}, {style.percent(hoses.kept, 1)}"


def _gives_words(units, gives):
    return f"{GIVES[gives.words]} {limit_text(units, gives.gauge_pressure)}" if gives else "nothing"
