"""Set-up card: the card for the cab, what it rests on, the first days, and the next turn of the valve."""

import datetime
import re
from dataclasses import replace
from functools import partial
from math import isfinite
from pathlib import Path

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.files import free_path
from downforce.machine.shipped import is_shipped, named_field
from downforce.study.card_lines import gauge_text, next_step, on_gauge
from downforce.study.field_check import SEEDS, WALLS, WHEELS
from downforce.study.pressure_setting import recommend
from downforce.study.setup_card import card_data, write_card
from downforce.workbook.bench import Bench, Live
from downforce.workbook.card.preview import card_panel, write_phone_page
from downforce.workbook.controls import Choice, exactly, gauge_slider
from downforce.workbook.drawing_gauge import draw_gauge
from downforce.workbook.markup import join
from downforce.workbook.panel import Panel
from downforce.workbook.setting.tables import remedies_table, sureness_table
from downforce.workbook.style import FONT_SIZE, INK, WIDE, alt_text, line
from downforce.workbook.table import Page, WriteButtons, table_page

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


def other_soils(bench: Bench, names):
    """Other soils of the season, for tables and desk side.

    names: shipped names, such as "moist_soft", or paths of field files.
    Result: without the invented ones where the drill is somebody's own.
    """
    fields = [name if isinstance(name, Field) else named_field(name) for name in names]
    return [field for field in fields if is_shipped(bench.drill) or not is_shipped(field)]


def card_tables(bench: Bench, *names):
    """The start and load lines of the desk side as tables that a screen reader can walk through."""
    card = card_data(bench.drill, bench.field, other_soils(bench, names), units=bench.units.name)
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
    pages = [starts, loads]
    if card.oil:
        caption = f"What the oil makes of today's start, {card.field}"
        note = "Between these pressures lie eighteen places in twenty while the tractor gives enough."
        pages.append(table_page(caption, ("What", "How much"), card.oil, note))
    plain = "\n\n".join(page.plain for page in pages)
    return Page(join(*(page.html for page in pages)), plain, sum((page.tables for page in pages), ()))


def first_days_table(bench: Bench):
    """A check list for the first days with the card."""
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
        following, pointer = "no setting", None
        if isfinite(step.gauge_pressure):
            following = gauge_text(card, step.gauge_pressure)
            pointer = on_gauge(card, card.units, step.gauge_pressure)
        self._dial.update(card.face, pointer)
        words = (
            f"Gauge now: {gauge_text(card, now)}",
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


def decision_panel(bench: Bench):
    """From what you find behind the drill to the next setting of the gauge."""
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
        return {"card": card, "step": found, "now": pressure, "wheels": wheels, "seeds": seeds, "wall": wall}

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
            f"now {gauge_text(card, result['now'])}",
            result["step"].text,
        ),
        title="The next turn of the valve",
        size=WIDE,
    )


def _asked(name, label, known, start):
    return Choice(name, label, [(words, key) for key, words in known.items()], start)


def card_path(folder: str | Path, drill: Drill, date, suffix, what="card"):
    """A file name of drill and date that is not taken yet."""
    # Letters of any language stay; what a file system may refuse becomes a dash.
    name = re.sub(r"[\W_]+", "-", drill.name.lower()).strip("-")[:60].strip("-") or "drill"
    return free_path(Path(folder, f"{what}_{name}_{date.isoformat()}{suffix}"))


def write_my_card(
    bench: Bench,
    preview: Live | Panel | None = None,
    names=(),
    folder: str | Path = ".",
    suffix=".pdf",
    date=None,
    progress=None,
    stop=None,
):
    """Write the card, or the page for the phone, named after drill and date, never over another file.

    preview: a shown `card_panel`: its soil, load, hopper, paper and units are used.
    folder: where to write; the workbook's own folder if left out.
    suffix: ".pdf" for both sides, ".png" for the window side, ".html" for the phone.
    date: day on the card; today if left out.
    """
    date, drill = date or datetime.date.today(), bench.drill
    field, fill, units, paper = bench.field, 0.0, bench.units.name, None
    if preview is not None:
        shown = getattr(preview, "part", preview).result
        if shown is None:
            raise ValueError("The panel above shows no card; put its sliders so that it does.")
        field, fill, units, paper = shown.field, shown.fill, shown.window.units.name, shown.window.paper
    path = card_path(folder, drill, date, suffix, "phone" if suffix == ".html" else "card")
    if suffix == ".html":
        if write_phone_page(drill, field, path, units, date, fill, progress=progress, stop=stop) is None:
            return "Stopped: no page was written."
        return f"Written: {path.name}. Send it to the phone and open it there; it needs no network."
    write_card(drill, field, path, other_soils(bench, names), fill, paper, units, date)
    sides = "both sides" if suffix == ".pdf" else "the window side"
    return f"Written: {path.name}, {sides}."


FILES = (("Card, both sides (PDF)", ".pdf"), ("Window side (PNG)", ".png"), ("Page for the phone", ".html"))
"""What can be written: words of the button, ending of the file [-]."""


def card_buttons(bench: Bench, preview: Live, names=(), folder: str | Path = "."):
    """Buttons that write the card when they are pressed, and not before."""
    return WriteButtons(
        [(words, partial(write_my_card, bench, preview, names, folder, end, None)) for words, end in FILES],
        "Nothing is written until you press a button. Each file bears the drill's name and the date, stands "
        "in this workbook's folder, and never takes the place of another.",
    )


def step_by_hand(bench: Bench):
    """What one step of the gauge brings at the disc, by the sum a calculator does."""
    units, cylinder = bench.units, bench.drill.cylinder
    step = units.gauge_step
    lever = float(cylinder.leverage(bench.drill.opener, 0.0))
    force = float(cylinder.down_force(bench.drill.opener, 0.0, step))
    first = f"{units.gauge_step_text} x {units.show('area', cylinder.area, 2)}"
    return f"{first} x {lever:.4f} = {units.show('force', force)}"


def soil_spread_by_dig(bench: Bench):
    """What the spread of the soil does to the start pressure.

    Result: start pressure for the mean soil and for one standard deviation to either side, limits kept.
    """
    units, field = bench.units, bench.field
    soil = field.soil
    texts = []
    for reaction in (soil.reaction - soil.spread, soil.reaction, soil.reaction + soil.spread):
        today = replace(field, soil=replace(soil, reaction=reaction))
        texts.append(f"{units.show('force', reaction)}: {recommend(bench.drill, today).words(units)}")
    return "\n".join(texts)
