"""Pressure set-point: which gauge pressure leaves the wanted load on the gauge wheels in today's soil.

Also a setting's intervals by drawing every input anew, for whoever has a minute.
"""

from dataclasses import replace
from functools import partial

import numpy as np

from downforce.study.cylinders.force_needs import force_needs, pressure_limits
from downforce.study.frame_lift import lift_pressure
from downforce.study.ground.crossing import cross_field
from downforce.study.oil.band import SPACING, STATIONS, oil_band
from downforce.study.oil.cases import COMPARED
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import SAMPLE_COUNT, recommend, usual_sample
from downforce.study.rows import assumed_sample
from downforce.study.setting.gauge_face import (
    GAUGE_CLASSES,
    TURNS,
    gauge_face,
    load_steps,
    reading_width,
    todays_field,
    turn,
    with_spread,
)
from downforce.study.setting.reasons import lift_range_words, range_words
from downforce.study.setting.row_needs import pressure_for_load
from downforce.study.setting.same_target import (
    pressed,
    springs_that_give,
    turned_up_cylinders,
    turned_up_springs,
)
from downforce.study.setting.sureness import FEWER, interval, standard_draws
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.canvas import still_page
from downforce.workbook.controls import Check, Choice, Slider, exactly, gauge_slider, inner_slider
from downforce.workbook.cylinders.tables import season
from downforce.workbook.drawing_gauge import gauge_words
from downforce.workbook.long_work import LongTable
from downforce.workbook.panel import Panel
from downforce.workbook.setting.drawing import LadderDrawing, TodayDrawing
from downforce.workbook.setting.drawing_spread import (
    ForcesPicture,
    SpreadDrawing,
    TurnUpDrawing,
    WidthDrawing,
)
from downforce.workbook.setting.tables import (
    by_hand,
    closing_by_hand,
    dig_report,
    gauge_page,
    next_step_table,
    reasons_table,
    remedies_table,
    sampling_plan,
    settings_table,
    soils_by_hand,
    sureness_table,
    wheel_test_table,
)
from downforce.workbook.setting.words import (
    LadderResult,
    SpreadResult,
    TodayResult,
    TurnUpResult,
    WidthResult,
    ladder_words,
    spread_words,
    today_facts,
    today_words,
    turn_up_words,
    width_words,
)
from downforce.workbook.table import table_page

TIMES = {"not yet": 0, "200 times": 200, "1000 times": 1000, "4000 times": 4000}
"""How often one may draw."""
_AT_ONCE = 25  # draws between two looks at the Stop button


class Redraw(LongTable):
    """Intervals to first order and, when asked, from drawing every input anew."""

    asked = "Draw every input anew"
    choices = tuple(TIMES)

    def worked(self, choice, progress=None, stop=None):
        """The table for so many draws."""
        count = TIMES[choice]
        if not count:
            return self._table()
        intervals = recommend(self.bench.drill, self.bench.field).intervals
        draws = standard_draws(len(intervals.chance.slopes.inputs))[0][:count]
        parts = []
        for start in range(0, count, _AT_ONCE):
            if stop.is_set():
                return "Stopped. Choose a number to draw again."
            parts.append(intervals.monte_carlo(draws[start : start + _AT_ONCE]))
            progress(min((start + _AT_ONCE) / count, 1.0))
        return self._table(*np.concatenate(parts, axis=1))

    def _table(self, settings=None, lifts=None):
        units = self.bench.units
        found = recommend(self.bench.drill, self.bench.field)
        ends = {"by slopes": (found.interval, found.lift_interval)}
        if settings is not None:
            ends[f"every input drawn anew, {settings.size} times"] = interval(settings), interval(lifts)
        rows = [
            [how, range_words(setting, units), lift_range_words(lift, units)]
            for how, (setting, lift) in ends.items()
        ]
        return table_page(
            f"The same intervals twice: {self.bench.drill.name}, {self.bench.field.name}",
            ["90 % interval", "of the setting", "of the lift"],
            rows,
            "Slopes take a fraction of a second. Drawing anew takes seconds and is right where slopes bend.",
        )


_FORCE_STEPS = 10.0, 2.0
"""Steps of the sliders, in metric and in US units."""
_TURNED = [("stayed as it was", ""), *((f"turned {how}", how) for how in TURNS)]
_COUNT = 504
"""Openers behind the panel that keeps height and soil apart: stretched to spreads, no setting."""


def machine_picture(bench: Bench):
    """The opener with every force that has a say, named by word and symbol."""
    drawing = ForcesPicture(bench.drill, bench.units)
    caption = (
        f"One opener of the {bench.drill.name} at work. The gauge wheel carries what is left over when soil, "
        "draft and closing wheel have taken their part of down force and weight."
    )
    subject = "one opener with its forces as arrows"
    return still_page(drawing.draw, "Side view drawing", subject, caption, (7.6, 4.9))


def ladder_panel(bench: Bench):
    """From the gauge to cylinder force, down force and gauge-wheel load, and back."""
    drill, units = bench.drill, bench.units
    limits = pressure_limits(drill)
    needs = force_needs(drill, season(bench))
    pressures = np.linspace(0.0, limits.highest, 61)
    lines = np.array(
        [
            opener_loads(drill.opener, drill.cylinder, need.soil, need.travel, pressures).gauge_wheel_load
            for need in needs
        ]
    )
    names = [need.name for need in needs]
    lifts = {one.name: float(lift_pressure(drill, one.opener_soil).lowest) for one in season(bench)}
    today = names.index(bench.field.name)

    def compute(pressure, wanted, soil):
        need, load = needs[soil], float(units.si("force", wanted))
        steps = load_steps(drill, need.soil, float(units.si("pressure", pressure)), need.travel)
        needed = float(pressure_for_load(drill, need.soil, load, need.travel))
        # Rows in tracks are few: the frame lifts where the field's other rows lift it.
        lift = lifts[need.field]
        return LadderResult(soil, need.name, steps, load, needed, limits.highest, lift)

    step_top = 1.12 * (
        float(drill.cylinder.down_force(drill.opener, 0.0, limits.highest)) + 1.1 * drill.opener.weight
    )
    return Panel(
        controls=[
            _pressure_slider(units, limits, bench.dialled),
            _force_slider(
                units, "wanted", "Wanted on the gauge wheel", bench.field.aim.gauge_wheel_load, 0.0, 1000.0
            ),
            Choice("soil", "Soil", [(name, place) for place, name in enumerate(names)], today),
        ],
        compute=compute,
        drawing=LadderDrawing(units, names, pressures, lines, step_top),
        sentence=lambda result: ladder_words(result, units),
        alt=(
            "Three boxes, a bar chart and a line chart",
            "cylinder force, down force and gauge-wheel load at one gauge pressure",
        ),
        title="From gauge to load and back",
        size=style.TALL,
    )


def today_panel(bench):
    """The setting for today's soil, on the gauge, with every pressure that has a say and its verdict."""
    drill, field, units = bench.drill, bench.field, bench.units
    base = recommend(drill, field)
    soil = float(field.opener_soil.target_reaction)
    fill = _fill_slider(drill, field.opener_soil)
    sliders = (
        _force_slider(units, "reaction", "Soil reaction on the disc", soil, 0.3 * soil, 2.2 * soil),
        _force_slider(units, "wanted", "Wanted on the gauge wheel", field.aim.gauge_wheel_load, 50.0, 700.0),
    )
    reactions = exactly(units, "force", sliders[0], soil)
    loads = exactly(units, "force", sliders[1], field.aim.gauge_wheel_load)

    def found(like, reaction, wanted, turned, twice, fill=0.0):
        today = todays_field(field, reactions(reaction), loads(wanted), twice)
        if today == field and not fill:
            setting = base
        else:
            sample = base.case.moved(drill, today).sample
            setting = recommend(drill, today, sample, fill / 100.0, like)
        made = turn(setting, turned, units) if turned else None
        shown = made.setting if made else setting
        return TodayResult(shown, gauge_face(drill, [shown.case.field], fill / 100.0, [shown]), made)

    start = gauge_face(drill, [field], settings=[base])
    return Panel(
        controls=[
            *fill,
            *sliders,
            Choice("turned", "Since you set it the soil", _TURNED, ""),
            Check("twice", "A packing row counts twice", field.aim.packing_counts == 2),
        ],
        compute=partial(found, base),
        settled=partial(found, None),
        drawing=TodayDrawing(units, start),
        sentence=lambda result: today_words(result, units),
        alt=lambda result: style.alt_text(
            "Gauge face and scale",
            "the setting with its band, the red line and every pressure that has a say",
            *(words for _, words in gauge_words(result.face, units)),
            *today_facts(result, units),
        ),
        title="Today's setting",
        size=style.TALL,
    )


def spread_panel(bench: Bench):
    """Gauge-wheel loads with springs and with cylinders; spread of height and of soil apart."""
    drill, field, units = bench.drill, bench.field, bench.units
    limits = pressure_limits(drill)
    # Tracks are no chance: they are left to the panel that turns the setting up.
    wide = replace(field, tracks=None, height_spread=0.04, soil=replace(field.soil, spread=100.0))
    sample = assumed_sample(drill, wide, _COUNT)
    most = 0.35 * float(field.opener_soil.target_reaction)

    def compute(pressure, height_spread, soil_spread):
        gauge = float(units.si("pressure", pressure))
        spreads = float(units.si("length", height_spread)), float(units.si("force", soil_spread))
        rows = with_spread(sample, *spreads)
        springs = springs_that_give(drill, float(drill.cylinder.down_force(drill.opener, 0.0, gauge)))
        return SpreadResult(
            pressed(drill, springs, field, rows),
            pressed(drill, drill.cylinder, field, rows, gauge),
            field.aim.heavy_load,
        )

    step, top = (5.0, 60.0) if units.name == "metric" else (0.25, 2.5)
    height = _near(float(units.number("length", field.height_spread)), step, 0.0, top)
    load_top = 0.65 * float(drill.cylinder.down_force(drill.opener, 0.0, limits.highest))
    widest = compute(float(units.number("pressure", limits.highest)), top, float(units.number("force", most)))
    return Panel(
        controls=[
            Slider("height_spread", "Spread of height", height, 0.0, top, step, units.unit("length")),
            _pressure_slider(units, limits, bench.dialled),
            _force_slider(units, "soil_spread", "Spread of soil reaction", field.soil.spread, 0.0, most),
        ],
        compute=compute,
        drawing=SpreadDrawing(units, load_top, 1.02 * widest.springs.parts.together**2),
        sentence=lambda result: spread_words(result, units),
        alt=("Histogram and bars", "gauge-wheel loads with springs and with cylinders"),
        title="Height and soil apart",
        size=style.TALL,
    )


def turn_up_panel(bench: Bench):
    """The same share of rows in the ground with springs and with cylinders."""
    drill, field, units = bench.drill, bench.field, bench.units
    samples = [usual_sample(drill, field), assumed_sample(drill, field, SAMPLE_COUNT)]
    fewer = [sample.where(FEWER) for sample in samples]
    wanted = _near(100 * field.aim.share_in, 1.0, 60.0, 99.0)
    highest = pressure_limits(drill).highest
    slider = _force_slider(units, "least", "Least load on the gauge wheel", field.aim.least_load, 50.0, 500.0)
    loads = exactly(units, "force", slider, field.aim.least_load)

    def found(samples, ground, share, least):
        load = loads(least)
        aim = replace(
            field.aim, share_in=share / 100.0, least_load=load, heavy_load=max(field.aim.heavy_load, load)
        )
        wish = replace(field, aim=aim)
        return TurnUpResult(
            turned_up_springs(drill, wish, samples[ground]),
            turned_up_cylinders(drill, wish, samples[ground], highest),
            aim.share_in,
            load,
            aim.heavy_load,
            drill.seed_on_frame,
        )

    return Panel(
        controls=[
            Choice(
                "ground",
                "Heights of the rows",
                [("ground of the field, crossed", 0), ("spread in the file, no bumps", 1)],
            ),
            Slider("share", "Rows that must have it", wanted, 60.0, 99.0, 1.0, "%"),
            slider,
        ],
        compute=partial(found, fewer),
        settled=partial(found, samples),
        drawing=TurnUpDrawing(units, 2.6 * max(field.aim.heavy_load, 600.0)),
        sentence=lambda result: turn_up_words(result, units),
        alt=("Bar chart", "what the rows carry with springs and with cylinders turned up to the same target"),
        title="The same target twice",
    )


def width_panel(bench: Bench):
    """What one reading of the gauge means at the gauge wheel, at work and after stopping."""
    drill, field, units = bench.drill, bench.field, bench.units
    limits = pressure_limits(drill)
    own = drill.hydraulics.gauge.accuracy
    classes = sorted({*GAUGE_CLASSES, own})
    oil = _oil_bands(drill, field, max(bench.dialled, 1e5))
    coldest = max(oil.values(), key=lambda band: band.line_loss)
    widest = reading_width(drill, field.opener_soil, limits.highest, max(classes), oil=coldest)
    most = max(widest.standing_free, field.aim.heavy_load)

    def compute(pressure, accuracy, draft_ratio, draft_left, temperature):
        soil, band = replace(field.opener_soil, draft_ratio=draft_ratio), oil[temperature]
        reading = float(units.si("pressure", pressure))
        return WidthResult(reading_width(drill, soil, reading, accuracy, draft_left / 100.0, band), band)

    return Panel(
        controls=[
            Choice(
                "accuracy",
                "Gauge class",
                [(f"{100 * each:g} % of full scale", each) for each in classes],
                own,
            ),
            _pressure_slider(units, limits, bench.dialled),
            Slider(
                "draft_ratio",
                "Draft over soil reaction",
                _near(field.soil.draft_ratio, 0.05, 0.3, 0.9),
                0.3,
                0.9,
                0.05,
            ),
            Slider("draft_left", "Draft left in the soil after stopping", 0.0, 0.0, 100.0, 10.0, "%"),
            Choice(
                "temperature",
                "Oil while working",
                [(units.show("temperature", each), each) for each in oil],
                field.oil_temperature,
            ),
        ],
        compute=compute,
        drawing=WidthDrawing(units, 1.25 * widest.worst, 1.1 * most),
        sentence=lambda result: width_words(result, units),
        alt=(
            "Bar chart and points",
            "half-width of a reading, and the gauge-wheel load at work and after stopping",
        ),
        title="The width of a reading",
    )


def _oil_bands(drill, field, gauge_pressure):
    """Bands of the oil by its temperature; their parts hold at every setting, as no part depends on it."""
    crossing = cross_field(drill, field, 1, STATIONS, SPACING)
    return {
        kelvin: oil_band(drill, field, gauge_pressure, kelvin, crossing=crossing)
        for kelvin in sorted({*COMPARED, field.oil_temperature})
    }


def _near(value, step, low, high):
    return min(max(round(round(value / step) * step, 6), low), high)


def _fill_slider(drill, soil):
    empty, full = (float(lift_pressure(drill, soil, fill).lowest) for fill in (0.0, 1.0))
    if abs(full - empty) < 1e5:
        # No hopper, or seed that does not stand on the section that lifts first.
        return []
    return [Slider("fill", "Seed in the hopper", 0.0, 0.0, 100.0, 10.0, "%")]


def _pressure_slider(units, limits, start):
    return gauge_slider(units, start, limits.lowest, limits.highest)


def _force_slider(units, name, label, start, low, high):
    return inner_slider(units, "force", name, label, start, low, high, _FORCE_STEPS)
