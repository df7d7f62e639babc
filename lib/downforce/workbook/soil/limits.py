"""Soil load, second half: speed and draft, spread of emergence, and the evidence of a dig."""

from functools import cache

import numpy as np

from downforce.machine.readings import DigSheet
from downforce.study.pressure_setting import usual_sample
from downforce.study.rows import sample_loads
from downforce.study.soil_limits import (
    DEFENSIBLE_SHARE,
    arm_of,
    draft_lift,
    draft_loads,
    emerged_share,
    emerged_share_of,
    emergence,
    emergence_of,
    equal_dragged_share,
)
from downforce.study.soil_load import sheet_dug, sinkage_soils, soil_classes, what_the_soil_asks
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Choice, Slider, inner_slider, unit_slider, within
from downforce.workbook.panel import Panel
from downforce.workbook.soil.drawing import DraftResult, EmergenceResult, EvidenceResult
from downforce.workbook.soil.drawing_limits import DraftDrawing, EmergenceDrawing, EvidenceDrawing
from downforce.workbook.soil.tables import (
    CONE_START,
    SOIL_START,
    draft_words,
    emergence_words,
    evidence_words,
)

_TYPED = "typed"
_BIN = 0.0025  # width of a bar of counted depths [m]
_BASIS_SHORT = {"pressure-sinkage table": "sinkage table"}


def draft_panel(bench):
    """Gauge-wheel load against speed for a trailing arm and a parallel linkage, by where the draft acts."""
    units, field, opener = bench.units, bench.field, bench.drill.opener
    slowest = max(4 / 3.6, field.speed - 20 / 3.6)
    speeds = np.linspace(slowest, max(14 / 3.6, field.speed + 2 / 3.6), 41)
    own = round(100 * within(equal_dragged_share(opener), 0.0, 1.0))
    usual = draft_loads(opener, field, own / 100, 0.0, field.speed)

    def compute(dragged, slope, speed, deeper, closing):
        at, share = float(units.si("speed", speed)), dragged / 100
        rest = float(units.si("length", deeper)), float(units.si("force", closing))
        angle = float(units.si("angle", slope))
        now = draft_loads(opener, field, share, angle, at, *rest)
        band = (
            draft_loads(opener, field, end, angle, speeds, *rest).trailing_arm for end in DEFENSIBLE_SHARE
        )
        return DraftResult(
            at,
            rest[1],
            float(now.draft / usual.draft) - 1.0,
            share,
            opener.dragged_share,
            opener.draft_height,
            tuple(float(draft_lift(now.draft, *arm_of(opener, line))) for line in (0.0, None, 1.0)),
            now,
            draft_loads(opener, field, share, angle, speeds, *rest),
            tuple(band),
        )

    return Panel(
        controls=[
            Slider("dragged", "Share of the draft dragged at the soil surface", own, 0, 100, 1, "%"),
            Slider("slope", "Links sloping down rearward", 5, -5, 15, 1, units.unit("angle")),
            unit_slider(units, "force", "closing", "More on the closing wheel", 0.0, 0.0, 200.0, (25, 5)),
            inner_slider(
                units, "speed", "speed", "Ground speed", field.speed, speeds[0], speeds[-1], (0.5, 0.5)
            ),
            unit_slider(units, "length", "deeper", "Deeper than set", 0.0, 0.0, 0.02, (5, 0.25)),
        ],
        compute=compute,
        drawing=DraftDrawing(units, speeds, 1.3 * (usual.push - float(usual.soil_reaction)), usual.push),
        sentence=lambda result: draft_words(result, units),
        alt=lambda result: style.alt_text(
            "Line chart and bar chart",
            "gauge-wheel load against speed for two linkages, and what asks for the push",
            f"now {units.show('force', float(result.now.trailing_arm))} on the trailing arm, "
            f"{units.show('force', float(result.now.parallel_linkage))} on the parallel linkage",
        ),
        title="Speed and draft",
    )


def emergence_panel(bench: Bench):
    """Days and shares at emergence that follow from a spread of depth."""
    units, field, drill = bench.units, bench.field, bench.drill
    days = np.linspace(0.0, 35.0, 141)
    bell_depths = np.linspace(0.0, 0.125, 126)
    bars = np.arange(-0.5 * _BIN, 0.125 + _BIN, _BIN)

    @cache
    def depths_at(pressure):
        sample = usual_sample(drill, field)
        return np.ravel(sample_loads(drill.opener, drill.cylinder, field, sample, pressure).depth)

    def compute(depths, mean, spread, shallowest, deepest, temperature):
        middle, sigma, top, bottom = (
            float(units.si("length", v)) for v in (mean, spread, shallowest, deepest)
        )
        warmth = float(units.si("temperature", temperature))
        if depths == _TYPED:
            source = "A normal curve, from the mean and the spread that you typed"
            found = emergence(middle, sigma, warmth, top, bottom)
            curve = bell_depths, np.exp(-0.5 * ((bell_depths - middle) / sigma) ** 2)
            up = emerged_share(days, middle, sigma, warmth)
        else:
            counted = depths_at(depths)
            gauge = units.show("pressure", depths)
            source = (
                f"Counted from the discs of {counted.size} openers on this field at {gauge}, "
                f"{style.percent(np.mean(counted < field.target_depth))} of them not at depth; "
                "seeds bounce in the slot and lie wider"
            )
            found = emergence_of(counted, warmth, top, bottom)
            count, _ = np.histogram(counted, bars)
            curve = np.repeat(bars, 2)[1:-1], np.repeat(count / count.max(), 2)
            up = emerged_share_of(days, counted, warmth)
        return EmergenceResult(source, top, bottom, warmth, found, *curve, up)

    lowest = drill.hydraulics.valve.min_pressure
    counted_at = sorted({max(bench.dialled - steps * units.gauge_step, lowest) for steps in (0, 4, 8)})
    celsius = units.si("temperature", 12.0) if units.name == "metric" else units.si("temperature", 54.0)
    return Panel(
        controls=[
            Choice(
                "depths",
                "Depths",
                [
                    ("by mean and spread", _TYPED),
                    *((f"counted at {units.show('pressure', each)}", each) for each in counted_at),
                ],
            ),
            unit_slider(
                units, "length", "mean", "Mean seed depth", field.target_depth, 0.02, 0.08, (5, 0.25)
            ),
            unit_slider(units, "length", "spread", "Spread of depth (1 SD)", 0.008, 0.002, 0.02, (1, 0.05)),
            unit_slider(units, "length", "shallowest", "Window from", 0.025, 0.01, 0.03, (5, 0.25)),
            unit_slider(
                units,
                "length",
                "deepest",
                "Window to",
                max(0.045, field.target_depth + 0.01),
                0.035,
                0.09,
                (5, 0.25),
            ),
            unit_slider(
                units, "temperature", "temperature", "Soil temperature", celsius, 279.15, 298.15, (1, 1)
            ),
        ],
        compute=compute,
        drawing=EmergenceDrawing(units, days),
        sentence=lambda result: emergence_words(result, units),
        alt=lambda result: style.alt_text(
            "Two line charts",
            "seeds by depth with the wanted window, and the share that can be up over the days",
            f"first to last {result.emergence.days_apart:.1f} days apart, "
            f"{style.percent(result.emergence.shares.in_window)} inside the window",
        ),
        title="Spread of emergence",
    )


def evidence_panel(bench: Bench, sheet: DigSheet | None):
    """Seeds found, and what every source says the soil asks.

    sheet: the digs; left out, and said so, if they were dug behind another drill.
    """
    units, field, drill = bench.units, bench.field, bench.drill
    dug, left_out = None, ""
    try:
        dug = sheet_dug(drill, field, sheet)  # type: ignore[arg-type]
        left_out = dug.outside.why_none
    except ValueError as problem:
        left_out = str(problem)
    found = dug.outside.estimate if dug else None

    def compute(cone, soil):
        reading = float(units.si("stress", cone))
        return EvidenceResult(what_the_soil_asks(drill, field, dug, reading, soil), found, left_out)

    first = what_the_soil_asks(drill, field, dug, CONE_START, SOIL_START)
    classes = iter(soil_classes())
    names = [
        next(classes) if one.basis == "class" else _BASIS_SHORT.get(one.basis, one.basis) for one in first
    ]
    most = 1.05 * max(*(one.high for one in first), what_the_soil_asks(drill, field, None, 3e6)[1].high)
    return Panel(
        controls=[
            unit_slider(
                units, "stress", "cone", "Cone index down to depth", CONE_START, 300e3, 3e6, (100, 10)
            ),
            Choice("soil", "Soil of the sinkage table", list(sinkage_soils()), SOIL_START),
        ],
        compute=compute,
        drawing=EvidenceDrawing(units, dug.settings if dug else (), sheet, field.target_depth, names, most),
        sentence=lambda result: evidence_words(result, units),
        alt=lambda result: style.alt_text(
            "Dot chart and bar chart",
            "seed depths by row, and the soil reaction from each source",
            f"{result.asked[0].basis} {units.show('force', result.asked[0].middle)}",
        ),
        title="What is known about the soil",
    )
