"""The set-up card on the screen as it will be printed, for the soil, the load and the hopper of today."""

from dataclasses import dataclass, replace
from functools import partial
from math import isfinite

from matplotlib.artist import Artist
from matplotlib.patches import Rectangle

from downforce.study.card.oil_lines import start_band
from downforce.study.pressure_setting import recommend
from downforce.study.setting.todays_field import todays_field
from downforce.study.setting.turned import TURNS, turned
from downforce.study.setup_card import PAPERS, CardData, card_data, card_soils
from downforce.workbook.canvas import DOTS_PER_INCH
from downforce.workbook.card.page import INCH, card_layout, draw_dial, draw_rule, draw_words
from downforce.workbook.controls import Choice, Slider
from downforce.workbook.panel import Panel
from downforce.workbook.style import MUTED, alt_text
from downforce.workbook.unit_slider import exactly

PREVIEW = 0.85
"""Size of the preview over that of the paper [-]."""
PIXEL = INCH / PREVIEW / DOTS_PER_INCH
"""What one pixel of the preview shows [mm]."""
FILLS = (("empty", 0.0), ("a quarter full", 0.25), ("half full", 0.5), ("full", 1.0))
"""How far the hopper may run down before it is filled again [-]."""


@dataclass(frozen=True)
class Preview:
    """A card on its way to paper.

    Attributes
    ----------
    card : CardData [-]
        The card, without a date.
    layout : Layout [-]
        Where everything stands.
    """

    card: CardData
    layout: object


class _LiveParts(Artist):
    """Everything on the page that changes, drawn as one."""

    def __init__(self):
        super().__init__()
        self.parts = []

    def draw(self, renderer):
        for part in self.parts:
            part.draw(renderer)


class _PageDrawing:
    """The page on a kept figure: what every card says is drawn once, the rest on each move."""

    def setup(self, figure):
        figure.set_layout_engine("none")
        self._figure, self._live, self._still, self._key = figure, _LiveParts(), [], None
        self._words, self._dials = {}, {}
        return [self._live]

    def fixed(self, preview):
        layout = preview.layout
        return layout.size, layout.rules, tuple(words for words in layout.words if not words.live)

    def update(self, preview):
        figure, layout = self._figure, preview.layout
        key = self.fixed(preview)
        if key != self._key:
            for part in self._still:
                part.remove()
            self._still = [
                self._edge(*layout.size),
                *(draw_rule(figure, rule, PREVIEW) for rule in layout.rules),
                *(draw_words(figure, words, PREVIEW) for words in layout.words if not words.live),
            ]
            self._key = key
        live = (_on_grid(words) for words in layout.words if words.live)
        self._words = self._kept(self._words, live, lambda words: draw_words(figure, words, PREVIEW))
        face = preview.card.face, preview.card.units.name, layout.gauge
        self._dials = self._kept(
            self._dials, [face], lambda _: draw_dial(figure, preview.card, layout, PREVIEW)
        )
        self._live.parts = [*self._words.values(), *self._dials.values()]

    def _kept(self, drawn, wanted, draw):
        """Artists by what they show: those of the last page where they show it still, else new ones."""
        parts = {what: drawn.pop(what, None) or draw(what) for what in dict.fromkeys(wanted)}
        for part in drawn.values():
            part.remove()
        for part in parts.values():
            part.set_animated(True)
        return parts

    def _edge(self, width, height):
        across, down = (side * INCH / PREVIEW for side in self._figure.get_size_inches())
        edge = Rectangle((0.001, 1.001 - height / down), width / across - 0.002, height / down - 0.002)
        edge.set(fill=False, edgecolor=MUTED, linewidth=0.8, transform=self._figure.transFigure)
        return self._figure.add_artist(edge)


def _on_grid(words):
    """The words with their base line on whole pixels: a line lower they look the same and cost nothing."""
    return replace(words, y=round(words.y / PIXEL) * PIXEL)


def card_preview(bench, reaction, wanted, paper, system, fill=0.0, turn="", known=None, moving=False):
    """The card for today's soil and wanted load, laid out on its paper.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.
    reaction : float [N]
        Soil reaction today, at the target depth.
    wanted : float [N]
        Wanted on the gauge wheel.
    paper : str [-]
        "A4" or "Letter".
    system : str [-]
        "metric" or "US", which comes first on the card.
    fill : float [-]
        Share of a full hopper at which it is filled again.
    turn : str [-]
        How the soil has turned since, a key of `TURNS`; empty where it has not.
    known : dict, optional [-]
        Keeps settings and bands that have been worked out, for the next call.
    moving : bool [-]
        Whether a slider still moves: then today's lift keeps the slopes of the bench's own field.

    Returns
    -------
    Preview [-]
        The card without a date.
    """
    known = {} if known is None else known
    drill, field = bench.drill, bench.field
    base = recommend(drill, field, hopper_fill=fill)
    today = todays_field(field, reaction, wanted)
    today = turned(today, turn) if turn else today
    settings = []
    for soil in card_soils(today):
        own = soil == today and soil != field
        key = soil, fill, own and moving
        if key not in known:
            # Today's soil moves with the sliders, on the ground that was crossed.
            moved = base.case.moved(drill, soil).sample if own else None
            known[key] = recommend(drill, soil, moved, fill, None, base if key[-1] else None)
        settings.append(known[key])

    def band(drill, field, pressure):
        if (field, pressure) not in known:
            known[field, pressure] = start_band(drill, field, pressure)
        return known[field, pressure]

    card = card_data(drill, today, hopper_fill=fill, paper=paper, units=system, settings=settings, band=band)
    # The day is put on when the card is written; a stored preview stays the same from day to day.
    card = replace(card, date=None)
    return Preview(card, card_layout(card))


def card_panel(bench):
    """The card as it will be printed, for today's soil, wanted load, hopper level, paper and units.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Panel [-]
        Its result is a Preview.
    """
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
        size=tuple(side * 1000.0 / INCH * PREVIEW for side in (width, height)),
        slow=True,
    )


def card_controls(bench):
    """Controls of the preview: soil, load, hopper if the seed rides on the frame, paper, units.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    list of Slider and Choice [-]
        Five or six.
    """
    units, field = bench.units, bench.field
    today = float(field.opener_soil.target_reaction)
    wide, fine = (50.0, 20.0) if units.name == "metric" else (10.0, 5.0)

    def slider(name, label, value, low, high, step):
        number = step * round(float(units.number("force", value)) / step)
        low, high = min(low, number), max(high, number)
        return Slider(name, label, number, low, high, step, units.unit("force"))

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
        Choice("system", "Units that come first", (units.name, other)),
    ]


def card_sentence(preview):
    """What the card says for today, in a sentence.

    Parameters
    ----------
    preview : Preview [-]
        The card.

    Returns
    -------
    str [-]
        Start, load and red line with units.
    """
    card = preview.card
    today = next(row for row in card.starts if row.today)
    line, limit = card.limits[0]
    if not isfinite(today.gauge_pressure):
        return f"Do not sow today, there is {today.reason}. {line} at {limit}."
    why = f" ({today.reason})" if today.reason else ""
    notes = "".join(f" {note[:1].upper()}{note[1:]}." for note in (today.verdict, *today.notes))
    return f"Today set {today.pressure_text}{why}.{notes} {line} at {limit}."


def card_alt(preview):
    """Alternative text of the page.

    Parameters
    ----------
    preview : Preview [-]
        The card.

    Returns
    -------
    str [-]
        Its start lines, with what stands below them.
    """
    card = preview.card
    rows = [
        f"{row.soil}: set {row.pressure_text}, keeps {row.load_text}; {'. '.join(row.details)}"
        for row in card.starts
    ]
    return alt_text("Page", f"set-up card for {card.drill} on {card.paper} paper", *rows)
