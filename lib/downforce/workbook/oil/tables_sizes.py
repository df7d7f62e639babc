"""Tables of the oil workbook that size: valves, hoses, the habit."""

from downforce.machine.shipped import example_drill, shipped_drills
from downforce.physics.kinds import Ratio
from downforce.study.oil.cases import COMPARED, DUTY_ANGLE, SHARE, way_trials
from downforce.study.oil.sizing import MOST_VALVES, habit_gain
from downforce.study.setting.reasons import limit_text
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.oil.tables import shipped_notes
from downforce.workbook.oil.words import GIVES, LIMITS, bare, valve_words
from downforce.workbook.table import table_page

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
            asked = f"{bare(units, 'flow', tried[0].given)} / {bare(units, 'flow', tried[0].taken)}"
            short = f"{bare(units, 'flow', gives)}{', too little' if tried[0].given > gives else ''}"
            cells = (_tried_words(units, hoses) for hoses in tried)
            rows.append([drill.name, bare(units, "temperature", kelvin), asked, short, *cells])
    header = [
        "Drill",
        f"Oil ({units.unit('temperature')})",
        f"Rows draw / give back ({units.unit('flow')})",
        f"Tractor gives ({units.unit('flow')})",
        *(f"Valve of {units.show('flow', flow)}" for flow in _SHOWN_FLOWS),
    ]
    note = (
        f"One valve in the middle, over the terrace at {DUTY_ANGLE} degrees at "
        f"{units.show('speed', field.speed)}. Where a valve does, the smallest header / drop with it and how "
        f"much is kept within ±{style.percent(SHARE)}, the supply aside; where none does, what the widest "
        f"hoses keep, and what limits. Valve: {LIMITS['valve']}. Droop: {LIMITS['droop']}. "
        f"Line: {LIMITS['line']}. "
        "Where the tractor gives too little, the supply limits as well: drive slower or at a sharper angle. "
        f"{shipped_notes()}"
    )
    return table_page("Which valve serves which drill?", header, rows, note)


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
                    style.percent(hoses.kept, 1),
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
        for name, hoses in named:
            limits = ", ".join(hoses.limits) or "nothing: enough"
            gives = _gives_words(units, hoses.gives)
            rows.append(
                [units.show("temperature", kelvin), name, style.percent(hoses.kept, 1), limits, gives]
            )
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


def _tried_words(units, hoses):
    if not hoses.enough:
        return f"{style.percent(hoses.kept, 1)}: {', '.join(hoses.limits)}"
    header, drop = (
        bare(units, "small length", hoses.header_bore),
        units.show("small length", hoses.drop_bore),
    )
    return f"{header} / {drop}, {style.percent(hoses.kept, 1)}"


def _gives_words(units, gives):
    return f"{GIVES[gives.words]} {limit_text(units, gives.gauge_pressure)}" if gives else "nothing"
