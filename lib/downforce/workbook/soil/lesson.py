"""Soil load: what the soil asks, what too little and too much load do, and what draft takes off."""

import numpy as np

from downforce.machine.field import Soil
from downforce.physics.soil_reaction import draft, growth_per_centimetre, soil_reaction
from downforce.study.opener_loads import opener_loads
from downforce.study.setting.row_needs import pressure_for_load
from downforce.study.soil_load import (
    STATES,
    soil_classes,
    stress_map,
    usual_contact_length,
    wall_distance,
    wheel_mark,
)
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.canvas import still_page
from downforce.workbook.controls import Choice, Slider, gauge_slider, inner_slider, unit_slider, within
from downforce.workbook.panel import Panel
from downforce.workbook.setting.drawing_spread import ForcesPicture
from downforce.workbook.soil.drawing import (
    DEEPEST,
    AskedDrawing,
    AskedResult,
    ReachedDrawing,
    ReachedResult,
    StressResult,
)
from downforce.workbook.soil.drawing_limits import StressDrawing
from downforce.workbook.soil.limits import draft_panel, emergence_panel, evidence_panel
from downforce.workbook.soil.tables import (
    asked_words,
    bearing_life,
    delay,
    depth_when_short,
    dig_table,
    emergence_table,
    evidence_table,
    lift_by_draft,
    open_digs,
    reached_words,
    sinkage_table,
    stress_words,
    wall_stress,
)

_FULL_SCALE = 1000.0  # load whose contact pressure ends the stress scale [N]
_STATE_WORDS = {"hard": "hard, dry", "normal": "normal, moist", "soft wet": "soft, wet"}


def forces_picture(bench: Bench):
    """The opener with every load on it, named."""
    drill, opener = bench.drill, bench.drill.opener
    line = "as measured"
    if opener.dragged_share is not None:
        line = f"{style.percent(opener.dragged_share)} of it dragged there, the rest rolling through the axle"
    caption = (
        f"Loads on one opener of the {drill.name}. Push and weight go down; soil reaction, closing wheel and "
        f"gauge wheel carry them. Draft pulls back {bench.units.show('length', opener.draft_line())} over "
        f"the soil surface ({line}), and lifts an arm that hangs from a higher pivot."
    )
    subject, picture = f"one opener on a {opener.linkage} with its loads", ForcesPicture(drill, bench.units)
    return still_page(picture.draw, "Side view drawing", subject, caption, style.TALL)


def asked_panel(bench: Bench):
    """Soil reaction against depth for several soils, with the disc in the ground."""
    units, field, opener = bench.units, bench.field, bench.drill.opener
    soils = _soils(field)
    depths = np.linspace(0.0, DEEPEST, 61)

    def compute(depth, exponent, reference, soil):
        at, known = units.si("length", depth), units.si("length", reference)
        low, found, high, basis = soils[soil]
        now = [float(soil_reaction(at, value, known, exponent)) for value in (low, found, high)]
        curves = [soil_reaction(depths, value, known, exponent) for value in (low, found, high)]
        growth = float(growth_per_centimetre(at, exponent))
        pull = float(draft(now[1], field.soil.draft_ratio))
        return AskedResult(soil, basis, at, known, exponent, found, *now, growth, pull, depths, *curves)

    return Panel(
        controls=[
            unit_slider(
                units, "length", "depth", "Depth of the disc", field.target_depth, 0.015, 0.075, (5, 0.25)
            ),
            Slider(
                "exponent",
                "Exponent of depth",
                within(round(field.soil.exponent, 1), 0.5, 1.5),
                0.5,
                1.5,
                0.1,
            ),
            unit_slider(
                units,
                "length",
                "reference",
                "Depth it was found at",
                field.soil.reference_depth,
                0.025,
                0.065,
                (5, 0.25),
            ),
            Choice("soil", "Soil", list(soils)),
        ],
        compute=compute,
        drawing=AskedDrawing(opener, field.target_depth, units, 3000.0),
        sentence=lambda result: asked_words(result, units),
        alt=lambda result: style.alt_text(
            "Side view drawing and line chart",
            "a disc in the ground, and soil reaction against depth with its low and high",
            f"now {units.show('force', result.middle)} at {units.show('length', result.depth)}",
        ),
        title="What the soil asks",
    )


def reached_panel(bench: Bench):
    """Depth reached and load left for a chosen push, soil and height of the row."""
    units, field, drill = bench.units, bench.field, bench.drill
    opener, valve = drill.opener, drill.hydraulics.valve
    asked = float(field.opener_soil.target_reaction)
    reactions = np.linspace(0.0, 2.6 * asked, 53)
    pressers = {"cylinder": drill.cylinder, "spring": drill.spring}

    def loads(kind, reaction, travel, pressure):
        soil = Soil(
            reaction, field.target_depth, field.target_depth, field.soil.exponent, field.soil.draft_ratio
        )
        return soil, opener_loads(
            opener, pressers[kind], soil, travel, pressure if kind == "cylinder" else None
        )

    def compute(travel, kind, pressure, soil):
        at, gauge = float(units.si("length", travel)), float(units.si("pressure", pressure))
        reaction = float(units.si("force", soil))
        one, now = loads(kind, reaction, at, gauge)
        words = (
            f"The cylinder at {units.show('pressure', gauge)}"
            if kind == "cylinder"
            else "The spring as it is set"
        )
        return ReachedResult(
            words,
            reaction,
            float(now.gauge_wheel_load),
            float(now.down_force),
            float(now.depth),
            field.target_depth,
            at,
            str(now.regime),
            float(pressure_for_load(drill, one, field.aim.gauge_wheel_load, at)),
            field.aim.gauge_wheel_load,
            valve.max_pressure,
            loads(kind, reactions, at, gauge)[1],
        )

    lowest = max(part.travel_stops(opener)[0] for part in pressers.values())  # type: ignore[attr-defined]
    highest = min(part.travel_stops(opener)[1] for part in pressers.values())  # type: ignore[attr-defined]
    most = max(
        float(loads(kind, 0.0, top, valve.max_pressure)[1].gauge_wheel_load)
        for kind, top in (("cylinder", 0.0), ("spring", 0.8 * highest))
    )
    return Panel(
        controls=[
            inner_slider(units, "length", "travel", "Row higher than level", 0.0, lowest, highest, (10, 0.5)),
            Choice(
                "kind",
                "Pressed down by",
                [("cylinder at held pressure", "cylinder"), ("spring as it is set", "spring")],
            ),
            gauge_slider(units, bench.dialled, valve.min_pressure, valve.max_pressure),
            unit_slider(
                units,
                "force",
                "soil",
                "Soil asks at the set depth",
                asked,
                0.3 * asked,
                2.5 * asked,
                (50, 10),
            ),
        ],
        compute=compute,
        drawing=ReachedDrawing(opener, field.target_depth, units, reactions, 1.05 * most),
        sentence=lambda result: reached_words(result, units),
        alt=lambda result: style.alt_text(
            "Side view drawing and two line charts",
            "a disc in the ground; gauge-wheel load and depth against what the soil asks",
            f"now {result.regime}, {units.show('length', result.depth)} deep, "
            f"{units.show('force', result.gauge_wheel_load)} on the gauge wheel",
        ),
        title="Too little load",
        size=style.TALL,
    )


def stress_panel(bench: Bench):
    """Stress beside the slot for a gauge-wheel load and a state of the soil."""
    units, field, opener = bench.units, bench.field, bench.drill.opener
    wanted = field.aim.gauge_wheel_load or field.aim.heavy_load
    distances, depths = np.linspace(-0.12, 0.12, 49), np.linspace(0.02, 0.16, 43)
    usual = usual_contact_length(opener)
    most = _FULL_SCALE / (usual * opener.gauge_wheel_width)

    def compute(load, contact, state):
        force, length = float(units.si("force", load)), float(units.si("length", contact))
        mark = wheel_mark(opener, force, length, state, wanted, field.target_depth, depths)
        return StressResult(
            _STATE_WORDS[state],
            wanted,
            field.target_depth,
            mark,
            stress_map(opener, force, length, state, distances, depths),
        )

    return Panel(
        controls=[
            unit_slider(
                units, "length", "contact", "Length of the wheel's contact", usual, 0.075, 0.2, (5, 0.25)
            ),
            unit_slider(units, "force", "load", "Gauge-wheel load", wanted, 50.0, 1300.0, (10, 5)),
            Choice(
                "state",
                "Soil",
                [(words, state) for state, words in _STATE_WORDS.items()],
                STATES[field.soil.moisture],
            ),
        ],
        compute=compute,
        drawing=StressDrawing(
            opener, units, distances, depths, wall_distance(opener), field.target_depth, most
        ),
        sentence=lambda result: stress_words(result, units),
        alt=lambda result: style.alt_text(
            "Coloured cross-section and line chart",
            "vertical stress in the ground under the gauge wheel and at the slot wall",
            f"now {units.show('stress', result.mark.contact_pressure)} on the ground, "
            f"{wall_stress(result.mark, units)} at the wall at seed depth",
        ),
        title="Too much load",
    )


def _soils(field):
    """Low, middle, high and basis of each soil that can be chosen, by its name."""
    soil = field.soil
    ends = max(soil.reaction - soil.spread, 0.0), soil.reaction, soil.reaction + soil.spread
    soils = {"this field": (*ends, f"field file, by {soil.basis}, one spread either way")}
    if field.tracks:
        in_track = (field.tracks.factor * value for value in ends)
        soils["this field, wheel track"] = (*in_track, "field file, with its track factor")
    for name, (low, high, _) in soil_classes().items():
        soils[name] = (low, (low + high) / 2, high, "from memory, no published figure")
    return {name[:1].upper() + name[1:]: figures for name, figures in soils.items()}
