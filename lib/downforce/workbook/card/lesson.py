"""Set-up card: the card for the cab, what it rests on, the first days, and the next turn of the valve."""

import datetime
from dataclasses import replace
from math import isfinite
from pathlib import Path

from downforce.study.card.lines import pressure_text
from downforce.study.card.next_step import next_step
from downforce.study.dig_decision import SEEDS, WALLS, WHEELS
from downforce.study.pressure_setting import recommend
from downforce.study.setup_card import card_data
from downforce.workbook.bench import Page
from downforce.workbook.card.page import card_file
from downforce.workbook.card.preview import card_panel as card_panel
from downforce.workbook.controls import Choice
from downforce.workbook.drawing_gauge import draw_gauge
from downforce.workbook.panel import Panel
from downforce.workbook.setting.tables import remedies_table as remedies_table
from downforce.workbook.setting.tables import sureness_table as sureness_table
from downforce.workbook.style import FONT_SIZE, INK, WIDE, alt_text, line
from downforce.workbook.table import table_page
from downforce.workbook.unit_slider import exactly, gauge_slider

_HALF_HOPPER = "Half a hopper"

FIRST_DAYS = (
    ("Before the first run", "Weigh a section and one opener; compare with the files", "Weights found"),
    (
        "In the yard",
        "Raise the gauge a step, engine off, try the frame wheels by hand; standing, without draft, they go "
        "light earlier than the card's lift",
        "Pressure",
    ),
    (
        "First field, warm oil",
        "Start at the card; sow 15 m (50 ft), stop, turn, dig 5 seeds in 6 rows",
        "Depths",
    ),
    (
        "First cold morning",
        "Look at the gauge while rows move: it swings until the oil is warm",
        "Swing, oil",
    ),
    (_HALF_HOPPER, "Compare the frame wheels' marks with those of a full hopper", "Seed left"),
    ("First tracks, first outer rows", "Dig there as well; they fail first", "Depths"),
    (
        "Evening",
        "Fill in the record lines; put better numbers into the files; print a new card",
        "Card number",
    ),
)
"""When, what to do, what to write down; common practice, no source [-]."""


def card_tables(bench):
    """The start and load lines of the card as tables that a screen reader can walk through.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Page [-]
        Two tables, and one of the oil where there is a start.
    """
    card = card_data(bench.drill, bench.field, units=bench.units.name)
    starts = table_page(
        "Where to start",
        ("Soil", "Set the gauge to", "Gauge wheel keeps", "What the rows do there, and why"),
        [(row.soil, row.pressure_text, row.load_text, ". ".join(row.details)) for row in card.starts],
    )
    rows = [(row.pressure_text, row.down_force_text, *row.cells) for row in card.loads]
    loads = table_page(
        "What the gauge gives; the last line is the red line",
        ("Gauge", "At the disc", *card.soils),
        rows,
        "Shallow: the disc does not reach its depth. A star: above what may be set in that soil. Frame "
        "lifts: that soil lifts it below today's red line.",
    )
    if not card.oil:
        both = starts.tables + loads.tables
        return Page(starts.html + loads.html, f"{starts.plain}\n\n{loads.plain}", both)
    oil = table_page(
        f"What the oil makes of today's start, {card.field}",
        ("What", "How much"),
        card.oil,
        "Between these pressures lie eighteen places in twenty while the tractor gives enough.",
    )
    plain = f"{starts.plain}\n\n{loads.plain}\n\n{oil.plain}"
    return Page(starts.html + loads.html + oil.html, plain, starts.tables + loads.tables + oil.tables)


def first_days_table(bench):
    """A check list for the first days with the card.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Page [-]
        When, what to do, what to write down.
    """
    card = card_data(bench.drill, bench.field, units=bench.units.name)
    start = next(row for row in card.starts if row.today)
    return table_page(
        f"First days with {bench.drill.name}",
        ("When", "Do", "Write down"),
        [row for row in FIRST_DAYS if row[0] != _HALF_HOPPER or bench.drill.seed_on_frame],
        f"Start on {start.soil}: {start.pressure_text}. {card.limits[0][0]}: {card.limits[0][1]}.",
    )


class _DialDrawing:
    """The gauge with its pointer where it stands now, and where it goes next."""

    def __init__(self, card):
        self._card = card

    def setup(self, figure):
        left, right = figure.subplots(1, 2, width_ratios=(1.0, 1.1))
        self._dial = draw_gauge(left, self._card.face, self._card.units, legend=False)
        right.set_axis_off()
        right.set(xlim=(0, 1), ylim=(0, 1))
        self._lines = [
            right.text(0.0, y, "", fontsize=size, color=INK, weight=weight)
            for y, size, weight in (
                (0.84, FONT_SIZE + 1, "normal"),
                (0.72, FONT_SIZE + 1, "normal"),
                (0.60, FONT_SIZE + 1, "normal"),
                (0.42, FONT_SIZE + 4, "bold"),
                (0.28, FONT_SIZE + 4, "bold"),
            )
        ]
        right.plot([0.0, 0.9], [0.53, 0.53], **line("frame", linewidth=1.0))
        return [*self._dial.moving, *self._lines]

    def update(self, result):
        card, step, now = result["card"], result["step"], result["now"]
        following = "no setting"
        if isfinite(step.gauge_pressure):
            limit = max(step.gauge_pressure, result["ceiling"])
            following = pressure_text(card.units, step.gauge_pressure, limit)
        self._dial.update(card.face, step.gauge_pressure)
        words = (
            f"Gauge now: {pressure_text(card.units, now, max(now, result['ceiling']))}",
            f"Wheels: {WHEELS[result['wheels']]}",
            f"Seeds: {SEEDS[result['seeds']]}; slot wall: {WALLS[result['wall']]}",
            f"Next: {_ACTIONS[step.action]}",
            f"Gauge: {following}",
        )
        for text, said in zip(self._lines, words, strict=True):
            text.set_text(said)


_ACTIONS = {
    "raise": "raise",
    "lower": "lower",
    "leave": "leave it",
    "weight": "stop raising",
    "look": "look, do not turn",
    "stop": "do not sow",
}


def decision_panel(bench):
    """From what you find behind the drill to the next setting of the gauge.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Panel [-]
        Its result holds the NextStep.
    """
    units = bench.units
    card = card_data(bench.drill, bench.field, units=units.name)
    today = next(row for row in card.starts if row.today)
    low, top = card.face.floor, bench.drill.hydraulics.valve.max_pressure
    slider = gauge_slider(units, bench.dialled, low, top, "now", "Gauge now")
    own = today.gauge_pressure if isfinite(today.gauge_pressure) else bench.dialled
    opened = exactly(units, "pressure", slider, own)

    def compute(now, wheels, seeds, wall):
        pressure = opened(now)
        found = next_step(card, wheels, seeds, wall, pressure)
        return {
            "card": card,
            "step": found,
            "now": pressure,
            "wheels": wheels,
            "seeds": seeds,
            "wall": wall,
            "ceiling": today.ceiling,
        }

    return Panel(
        controls=[
            slider,
            _asked("wheels", "Gauge wheels", WHEELS, "firm"),
            _asked("seeds", "Seeds", SEEDS, "right"),
            _asked("wall", "Slot wall", WALLS, "crumbly"),
        ],
        compute=compute,
        drawing=_DialDrawing(card),
        sentence=lambda result: result["step"].text,
        alt=lambda result: alt_text(
            "Gauge face",
            "where the pointer goes next",
            f"now {pressure_text(units, result['now'], max(result['now'], today.ceiling))}",
            result["step"].text,
        ),
        title="The next turn of the valve",
        size=WIDE,
    )


def _asked(name, label, known, start):
    return Choice(name, label, [(words, key) for key, words in known.items()], start)


def write_my_card(bench, preview=None, folder=".", suffix=".pdf", date=None):
    """Write the card beside the notebook as my_card, never over an older one.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.
    preview : Live, Panel or None [-]
        A shown `card_panel`: its soil, load, hopper, paper and units are used.
    folder : str or path [-]
        Where to write.
    suffix : str [-]
        ".pdf" or ".png".
    date : date, optional [-]
        Day on the card; today if left out.

    Returns
    -------
    str [-]
        Where the card is now.

    Raises
    ------
    ValueError
        If the suffix is neither, or the folder is not there.
    """
    folder, date = Path(folder), date or datetime.date.today()
    if suffix not in (".pdf", ".png"):
        raise ValueError(f'A card is written as ".pdf" or ".png"; got {suffix!r}.')
    if not folder.is_dir():
        raise ValueError(f"There is no folder {str(folder)!r} to write the card in. Make it first.")
    if preview is None:
        card = card_data(bench.drill, bench.field, units=bench.units.name, date=date)
    else:
        card = replace(getattr(preview, "part", preview).result.card, date=date)
    content = card_file(card, suffix)
    number, path = 1, folder / f"my_card{suffix}"
    # This very card may be there from an earlier run; then there is nothing to write.
    while path.exists() and path.read_bytes() != content:
        number += 1
        path = folder / f"my_card_{number}{suffix}"
    if not path.exists():
        with path.open("xb") as file:
            file.write(content)
    older = "" if number == 1 else " Older cards were left as they are."
    return f"Your card is {path.name} ({card.paper}, one page).{older}"


def step_by_hand(bench):
    """What one step of the gauge brings at the disc, by the sum a calculator does.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    str [-]
        The sum with its units.
    """
    units, cylinder = bench.units, bench.drill.cylinder
    step = units.gauge_step
    lever = float(cylinder.leverage(bench.drill.opener, 0.0))
    force = float(cylinder.down_force(bench.drill.opener, 0.0, step))
    first = f"{units.gauge_step_text} x {units.show('area', cylinder.area, 2)}"
    return f"{first} x {lever:.4f} = {units.show('force', force)}"


def soil_spread_by_dig(bench):
    """What the spread of the soil does to the start pressure.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    str [-]
        Start pressure for the mean soil and for one standard deviation to either side, limits kept.
    """
    units, field = bench.units, bench.field
    soil = field.soil
    texts = []
    for reaction in (soil.reaction - soil.spread, soil.reaction, soil.reaction + soil.spread):
        today = replace(field, soil=replace(soil, reaction=reaction))
        texts.append(f"{units.show('force', reaction)}: {recommend(bench.drill, today).words(units)}")
    return "\n".join(texts)
