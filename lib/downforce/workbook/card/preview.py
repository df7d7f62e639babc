"""The window side as it will be printed, for soil, load and hopper of today, and the page for the phone.

That page is one file of HTML with this drill's table in it, and nothing asked of a network.
"""

import datetime
import json
from dataclasses import dataclass, replace
from functools import partial
from math import isfinite
from pathlib import Path

import numpy as np
from matplotlib.artist import Artist
from matplotlib.patches import Rectangle

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.files import check_place, write_file
from downforce.machine.shipped import is_shipped
from downforce.machine.units import METRIC, US, unit_system
from downforce.physics.kinds import Newton, Ratio
from downforce.study.card_lines import StartLine, start_lines
from downforce.study.card_window import PhoneTable, WindowSide, in_five_words, phone_table, window_side
from downforce.study.cautions import WINDOW_CAUTION
from downforce.study.pressure_setting import recommend
from downforce.study.setting.gauge_face import TURNS, todays_field, turned
from downforce.study.setup_card import PAPERS
from downforce.workbook.bench import Bench
from downforce.workbook.canvas import DOTS_PER_INCH
from downforce.workbook.card.page import INCH, PageWords, dial_on, draw_rules, window_layout
from downforce.workbook.card.sheet import Layout
from downforce.workbook.controls import Choice, exactly, unit_slider
from downforce.workbook.markup import filled
from downforce.workbook.panel import Panel
from downforce.workbook.style import MUTED, alt_text

PREVIEW = 0.7
"""Size of the preview over that of the paper [-]."""
PIXEL = INCH / PREVIEW / DOTS_PER_INCH
"""What one pixel of the preview shows [mm]."""
FILLS = (("empty", 0.0), ("a quarter full", 0.25), ("half full", 0.5), ("full", 1.0))
"""How far the hopper may run down before it is filled again [-]."""


@dataclass(frozen=True)
class Preview:
    """A card on its way to paper."""

    field: Field
    fill: Ratio
    start: StartLine
    window: WindowSide
    layout: Layout


class _LiveParts(Artist):
    """Everything on the page that changes, drawn as one."""

    def __init__(self):
        super().__init__()
        self.parts = []

    def draw(self, renderer):
        for part in self.parts:
            part.draw(renderer)


class _PageDrawing:
    """The page on a kept figure: rules and the dial's scale are drawn once, words and bands on each move."""

    def setup(self, figure):
        figure.set_layout_engine("none")
        self._figure, self._live, self._key = figure, _LiveParts(), None
        return [self._live]

    def fixed(self, preview):
        side = preview.window
        return side.paper, side.units.name, side.face.full_scale, preview.layout.rules

    def update(self, preview):
        key = self.fixed(preview)
        if key != self._key:
            self._draw_still(preview)
            self._key = key
        self._dial.update(preview.window.face)
        self._words.words = [_on_grid(words) for words in preview.layout.words]

    def _draw_still(self, preview):
        figure, layout = self._figure, preview.layout
        figure.clear()
        self._edge(*layout.size)
        draw_rules(figure, layout.rules, PREVIEW)
        self._dial = dial_on(figure, preview.window, layout, PREVIEW)
        self._words = PageWords(share=PREVIEW)
        self._live.parts = [figure.add_artist(self._words), *self._dial.moving]
        for part in (*self._live.parts, self._live):
            part.set_animated(True)
        figure.add_artist(self._live)

    def _edge(self, width, height):
        across, down = (side * INCH / PREVIEW for side in self._figure.get_size_inches())
        edge = Rectangle((0.001, 1.001 - height / down), width / across - 0.002, height / down - 0.002)
        edge.set(fill=False, edgecolor=MUTED, linewidth=0.8, transform=self._figure.transFigure)
        return self._figure.add_artist(edge)


def _on_grid(words):
    """The words with their base line on whole pixels: a line lower they look the same and cost nothing."""
    return replace(words, y=round(words.y / PIXEL) * PIXEL)


def card_preview(
    bench: Bench,
    reaction: Newton,
    wanted: Newton,
    paper,
    system,
    fill: Ratio = 0.0,
    turn="",
    known=None,
    moving=False,
):
    """The window side for today's soil and wanted load, laid out on its paper.

    paper: "A4" or "Letter".
    system: "metric" or "US", the driver's.
    turn: how the soil has turned since, a key of `TURNS`; empty where it has not.
    """
    known = {} if known is None else known
    drill, field, units = bench.drill, bench.field, unit_system(system)
    base = recommend(drill, field, hopper_fill=fill)
    today = todays_field(field, reaction, wanted)
    today = turned(today, turn) if turn else today
    own = today != field
    key = today, fill, system, own and moving
    if key not in known:
        setting = base
        if own:
            # Today's soil moves with the sliders, on the ground that was crossed.
            moved = base.case.moved(drill, today).sample
            setting = recommend(drill, today, moved, fill, base if moving else None)
        (start,) = start_lines(drill, [today], today, [setting], units)[:1]
        known[key] = start, window_side(drill, setting, fill, units, paper, moving=own and moving)
    start, side = known[key]
    # The day is put on when the card is written; a stored preview stays the same from day to day.
    side = replace(side, paper=paper)
    return Preview(today, fill, start, side, window_layout(side))


def card_panel(bench: Bench):
    """The window side as it will be printed, for today's soil, wanted load, hopper level, paper and units."""
    known, field, controls = {}, bench.field, card_controls(bench)
    soil = exactly(bench.units, "force", controls[0], float(field.opener_soil.target_reaction))
    load = exactly(bench.units, "force", controls[1], field.aim.gauge_wheel_load)

    def found(moving, reaction, wanted, turn, paper, system, fill=0.0):
        return card_preview(bench, soil(reaction), load(wanted), paper, system, fill, turn, known, moving)

    height = max(tall for _, tall in PAPERS.values())
    width = max(wide for wide, _ in PAPERS.values())
    return Panel(
        controls=controls,
        compute=partial(found, True),
        settled=partial(found, False),
        drawing=_PageDrawing(),
        sentence=card_sentence,
        alt=card_alt,
        title="The set-up card",
        size=(width * 1000.0 / INCH * PREVIEW, height * 1000.0 / INCH * PREVIEW),
        slow=True,
    )


def card_controls(bench: Bench):
    """Controls of the preview: soil, load, hopper if the seed rides on the frame, paper, units."""
    units, field = bench.units, bench.field
    today = float(field.opener_soil.target_reaction)
    wide, fine = (50.0, 20.0) if units.name == "metric" else (10.0, 5.0)

    def slider(name, label, value, low, high, step):
        low, high = (float(units.si("force", end)) for end in (low, high))
        ends = min(low, value), max(high, value)
        return unit_slider(units, "force", name, label, value, *ends, (step, step))

    controls = [
        slider("reaction", "Soil reaction today", today, 6 * wide, 40 * wide, wide),
        slider("wanted", "Wanted on the gauge wheel", field.aim.gauge_wheel_load, 5 * fine, 20 * fine, fine),
    ]
    if bench.drill.seed_on_frame:
        controls.append(Choice("fill", "Refill when the hopper is", FILLS, 0.0))
    turns = [("as it was", ""), *((f"turned {how}", how) for how in TURNS)]
    controls.append(Choice("turn", "Since the gauge was set the soil", turns, ""))
    other = "US" if units.name == "metric" else "metric"
    papers = ("A4", "Letter") if units.name == "metric" else ("Letter", "A4")
    return [
        *controls,
        Choice("paper", "Paper", papers),
        Choice("system", "The driver's units", (units.name, other)),
    ]


def card_sentence(preview: Preview):
    """What the card says for today, in a sentence."""
    side, start = preview.window, preview.start
    line = f"Red line at {side.red_line}: {side.lifts_first}."
    if not side.number:
        return f"Do not sow today. {side.verdict}. {line}"
    why = f" ({start.reason})" if start.reason else ""
    notes = "".join(f" {note[:1].upper()}{note[1:]}." for note in (side.verdict, *start.notes))
    keeps = f" The mean row: {start.load_text}."
    return f"Today set {start.pressure_text}{why}.{notes}{keeps} {line}"


def card_alt(preview: Preview):
    """Alternative text of the page."""
    side = preview.window
    turns = "; ".join(f"{how}: {what}" for how, what in side.turns)
    hopper = "; ".join(f"hopper {fill}: red line {line}" for fill, line in side.hopper)
    return alt_text(
        "Page",
        f"window side of the card for {side.drill} on {side.paper} paper",
        f"set the gauge to {side.number} {side.unit}" if side.number else "do not sow",
        side.verdict,
        turns,
        *([hopper] if hopper else []),
        f"red line {side.red_line}, {side.lifts_first}",
        f"refill after {side.refill or '____ ' + side.land_unit}",
        " ".join(side.checks),
        side.caution,
        " ".join((side.rests_on, *side.remarks)).strip("."),
    )


TEMPLATE = Path(__file__).with_name("phone.html")
"""The page without drill and table [-]."""
KINDS = ("pressure", "force", "speed", "land")
"""Quantities that the page shows [-]."""
DIGITS = {"short": 9, "enough": 9, "packing": 9, "not_at_depth": 9}
"""Decimals kept of shares; pressures keep 3, a thousandth of a pascal [-]."""


def phone_page(
    drill: Drill, field: Field, table: PhoneTable, units=None, date=None, hopper_fill: Ratio = 0.0
):
    """The page as text.

    units: "metric" or "US", which is shown first; the drill's own if left out.
    date: day on the page; today if left out.
    """
    units, date = unit_system(units or drill.units), date or datetime.date.today()
    invented = [one.name for one in (drill, field) if is_shipped(one)]
    words = {
        "title": f"Set-up: {drill.name}",
        "drill": drill.name,
        "field": field.name,
        "date": date.isoformat(),
        "rests": in_five_words(drill, field),
        "caution": WINDOW_CAUTION,
        "warning": f"Invented examples, not for the field: {'; '.join(invented)}." if invented else "",
    }
    # The table goes in last, so that no name can stand in for another part.
    page = TEMPLATE.read_text(encoding="utf-8")
    head, _, tail = page.partition("{{table}}")
    return str(filled(head, **words)) + _table_text(drill, field, table, units, hopper_fill) + tail


def write_phone_page(
    drill: Drill,
    field: Field,
    path: str | Path,
    units=None,
    date=None,
    hopper_fill: Ratio = 0.0,
    replace=False,
    progress=None,
    stop=None,
):
    """Write the page for the phone; it takes some seconds, for its whole table is worked out.

    path: file to write; ".html".
    units: "metric" or "US", which is shown first; the drill's own if left out.
    date: day on the page; today if left out.
    progress: called with the share that is done, 0 to 1.
    Result: the file written; None where it was stopped.
    """
    path = Path(path)
    if path.suffix.lower() != ".html":
        raise ValueError(f"The page for the phone is written as .html; {path.name!r} does not end so.")
    check_place(path, replace)
    table = phone_table(drill, field, progress, stop)
    if table is None:
        return None
    return write_file(path, phone_page(drill, field, table, units, date, hopper_fill), replace)


def _table_text(drill, field, table, units, hopper_fill):
    fill = hopper_fill if drill.seed_on_frame else 1.0
    shown = {
        "first_units": units.name,
        "units": {system.name: {kind: _unit(system, kind) for kind in KINDS} for system in (METRIC, US)},
        "moisture": field.soil.moisture,
        "moistures": table.moistures,
        "reactions": _plain(table.reactions, 6),
        "fills": _plain(table.fills, 6),
        "speeds": _plain(table.speeds, 9),
        "shape": table.first.shape,
        "values": {name: _plain(array.ravel(), DIGITS.get(name, 3)) for name, array in table.values.items()},
        "first": table.first.ravel().tolist(),
        "floor": round(table.floor, 3),
        "seed": table.seed if isfinite(table.seed) else None,
        "seed_rate": field.seed_rate,
        "width": drill.width,
        "today": {
            "soil": len(table.reactions) // 2,
            "fill": fill,
            "speed": int(np.argmin(abs(table.speeds - field.speed))),
        },
    }
    # A name with "</script>" in it must not end the table.
    return json.dumps(shown, allow_nan=False, separators=(",", ":")).replace("<", "\\u003c")


def _unit(system, kind):
    return {"unit": system.unit(kind), "size": float(system.si(kind, 1.0)), "step": system.step(kind)}


def _plain(array, digits):
    return [round(float(value), digits) if isfinite(value) else None for value in array]
