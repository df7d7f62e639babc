"""Panels of Rough ground: how much is height, soil, motion or speed; and cranked up until enough are in."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from downforce.machine.field import Aim
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Ratio
from downforce.study.ground.compare_actuators import Compared, Sweep, chosen, setting_range, sweep_settings
from downforce.study.ground.crossing import cross_field, with_soil_spread
from downforce.study.ground.pass_report import (
    PUBLISHED,
    SpeedRuns,
    VariationParts,
    speed_runs,
    variation_parts,
)
from downforce.study.setting.row_needs import sampled_crossing
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Check, Choice, Slider, inner_slider
from downforce.workbook.ground.words import pressure_slider, setting_words
from downforce.workbook.panel import Panel
from downforce.workbook.style import percent

SEED = 1
STATIONS, SPACING = 120, 1.1
PARTS = ("height", "soil", "motion", "together")
PLACES, APART = 40, 3.1
"""Places on which rows are counted at every speed, and the distance between them [m]."""
SPEEDS_KMH = np.arange(4.0, 15.0, 1.0)


@dataclass(frozen=True)
class Causes:
    """Where the variation comes from, for spring and cylinder.

    spring, cylinder: standard deviations of the gauge-wheel load.
    """

    spring: VariationParts
    cylinder: VariationParts


class _CausesDrawing:
    def __init__(self, units, top):
        self._units, self._top = units, top

    def setup(self, figure):
        units = self._units
        axes = figure.add_subplot()
        top = float(units.number("force", self._top))
        words = f"Standard deviation of the load ({units.unit('force')})"
        style.dress(axes, "What makes the load vary", (words, 0, top), ("", 3.6, -0.6))
        axes.set_yticks(range(4), ["height of the ground", "soil", "motion at speed", "all together"])
        axes.grid(False, axis="y")
        self._bars = {}
        for name, shift, hatch in (("spring", -0.2, "//"), ("cylinder", 0.2, "")):
            bars = axes.barh(
                np.arange(4) + shift,
                np.zeros(4),
                height=0.36,
                color=style.mark(name).colour,
                edgecolor="white",
                hatch=hatch,
                label=name,
            )
            self._bars[name] = list(bars)
        axes.legend(loc="lower right", **style.LEGEND)
        return [bar for bars in self._bars.values() for bar in bars]

    def update(self, result):
        for name, bars in self._bars.items():
            for bar, part in zip(bars, PARTS, strict=True):
                bar.set_width(float(self._units.number("force", getattr(getattr(result, name), part))))


def causes_panel(bench: Bench):
    """Height, soil and motion, one at a time and together."""
    drill, field, units = bench.drill, bench.field, bench.units
    pressure = sum(setting_range(drill, "cylinder")) / 2

    @lru_cache(maxsize=64)
    def crossing(soil):
        return cross_field(drill, with_soil_spread(field, soil / 100), SEED, STATIONS, SPACING)

    def compute(roughness, soil, speed):
        met = crossing(soil).scaled(roughness / 100).at_speed(float(units.si("speed", speed)))
        return Causes(
            variation_parts(drill, field, met, drill.spring),
            variation_parts(drill, field, met, drill.cylinder, pressure),
        )

    spread = round(100 * field.soil.spread / field.soil.reaction)
    worst = compute(150, 40, float(units.number("speed", 12 / 3.6)))
    return Panel(
        controls=[
            Slider("roughness", "Height against the field's own", 100, 0, 150, 10, "%"),
            Slider("soil", "Soil varies by (1 SD)", min(40, spread), 0, 40, 1, "%"),
            inner_slider(units, "speed", "speed", "Speed", field.speed, 4 / 3.6, 12 / 3.6, (1, 0.5)),
        ],
        compute=compute,
        drawing=_CausesDrawing(units, 1.05 * worst.spring.together),
        sentence=lambda result: causes_words(units, result),
        alt=(
            "Bar chart",
            "standard deviation of the load from height, soil and motion, for spring and cylinder",
        ),
        title="Height, soil and motion",
        size=(8.0, 3.8),
    )


def causes_words(units: UnitSystem, result: Causes):
    """Which cause makes how much."""
    sentences = []
    for name, parts in (("Springs", result.spring), ("Cylinders at held pressure", result.cylinder)):
        show = {part: units.show("force", getattr(parts, part)) for part in PARTS}
        sentences.append(
            f"{name}: {show['height']} from height, {show['soil']} from soil, {show['motion']} from motion, "
            f"together {show['together']}; height makes {percent(parts.height_share)} of the variance, "
            f"soil {percent(parts.soil_share)}, motion {percent(parts.motion_share)}."
        )
    return " ".join(sentences)


@dataclass(frozen=True)
class SpeedResult:
    """Runs of both actuators at all speeds, and the speed chosen.

    published: whether the planter's measured loads are shown.
    """

    spring: SpeedRuns
    cylinder: SpeedRuns
    at: SpeedRuns
    spring_at: SpeedRuns
    published: bool


class _SpeedDrawing:
    def __init__(self, units, top):
        self._units, self._top = units, top

    def setup(self, figure):
        units = self._units
        left, right = figure.subplots(1, 2)
        ends = tuple(float(units.number("speed", kmh / 3.6)) for kmh in (3, 15))
        top = float(units.number("force", self._top))
        speed = f"Speed ({units.unit('speed')})"
        style.dress(left, "Mean gauge-wheel load", (speed, *ends), (f"Load ({units.unit('force')})", 0, top))
        style.dress(
            right, "Standard deviation of the load", (speed, *ends), (f"Load ({units.unit('force')})", 0, top)
        )
        self._lines, self._dots = {}, {}
        for name in ("spring", "cylinder"):
            self._lines[name] = [
                axes.plot([], [], **style.line(name, label=name))[0] for axes in (left, right)
            ]
            self._dots[name] = [axes.plot([], [], **style.dot(name))[0] for axes in (left, right)]
        x = [float(units.number("speed", speed)) for speed, _, _ in PUBLISHED]
        mean = [float(units.number("force", mean)) for _, mean, _ in PUBLISHED]
        spread = [float(units.number("force", mean * share)) for _, mean, share in PUBLISHED]
        look = style.dot("measured", markerfacecolor="white", label="measured, a no-till planter")
        self._published = [*left.plot(x, mean, **look), *right.plot(x, spread, **look)]
        # Right, because the means of high pressures cross the upper left picture.
        handles = [self._lines["spring"][1], self._lines["cylinder"][1], self._published[1]]
        right.legend(handles=handles, loc="upper right", **style.LEGEND)
        lines = [artist for table in (self._lines, self._dots) for pair in table.values() for artist in pair]
        return [*self._published, *lines]

    def update(self, result):
        units = self._units
        for artist in self._published:
            artist.set_alpha(1.0 if result.published else 0.0)
        for name, runs, here in (
            ("spring", result.spring, result.spring_at),
            ("cylinder", result.cylinder, result.at),
        ):
            for artists, values in ((self._lines[name], runs), (self._dots[name], here)):
                x = units.number("speed", values.speed)
                artists[0].set_data(x, units.number("force", values.mean))
                artists[1].set_data(x, units.number("force", values.spread))


def speed_panel(bench: Bench):
    """What speed does to mean and spread of the gauge-wheel load.

    Result: speed, gauge pressure, and a planter's measured loads [RAD] to compare the trend with.
    """
    drill, field, units = bench.drill, bench.field, bench.units

    crossing = cross_field(drill, field, SEED, PLACES, APART)

    @lru_cache(maxsize=32)
    def runs(name, pressure, speeds):
        actuator = drill.spring if name == "spring" else drill.cylinder
        return speed_runs(drill, field, crossing, actuator, pressure, speeds)

    every = tuple(SPEEDS_KMH / 3.6)

    def compute(speed, pressure, published):
        here = (float(units.si("speed", speed)),)
        held = float(units.si("pressure", pressure))
        return SpeedResult(
            runs("spring", None, every),
            runs("cylinder", held, every),
            runs("cylinder", held, here),
            runs("spring", None, here),
            published,
        )

    high = setting_range(drill, "cylinder")[1]
    top = 1.1 * max(float(runs("cylinder", high, every).mean.max()), PUBLISHED[0][1])
    return Panel(
        controls=[
            inner_slider(units, "speed", "speed", "Speed", field.speed, 4 / 3.6, 14 / 3.6, (1, 0.5)),
            pressure_slider(bench),
            Check("published", "Show what was measured on a planter", True),
        ],
        compute=compute,
        drawing=_SpeedDrawing(units, top),
        sentence=lambda result: speed_words(units, result),
        alt=("Two line charts", "mean and standard deviation of the gauge-wheel load against speed"),
        title="What speed takes off",
        size=style.WIDE,
    )


def speed_words(units: UnitSystem, result: SpeedResult):
    """Mean, spread and short share at the speed chosen."""
    sentences = []
    for name, one in (("Springs", result.spring_at), ("Cylinders", result.at)):
        sentences.append(
            f"{name} at {units.show('speed', one.speed[0])}: mean load {units.show('force', one.mean[0])}, "
            f"standard deviation of the load {units.show('force', one.spread[0])}, {percent(one.short[0])} "
            "short."
        )
    length = units.show("large length", PLACES * APART, 0)
    return f"{' '.join(sentences)} Counted on {PLACES} places over {length}, the pressure held."


CRITERIA = (
    ("that share of all openers in", "share in"),
    ("that share in, in the worst quarter of the rows", "worst quarter"),
    ("as many with enough as can be", "best"),
)


@dataclass(frozen=True)
class Cranked:
    """Spring and cylinder, each set by the same criterion."""

    share_in: Ratio
    compared: tuple[Compared, Compared]
    sweeps: tuple[Sweep, Sweep]


class _CrankDrawing:
    def __init__(self, bench, sweeps):
        self._bench, self._sweeps = bench, sweeps

    def setup(self, figure):
        units, aim = self._bench.units, self._bench.field.aim
        left, right = figure.subplots(1, 2, width_ratios=(1, 1.15))
        style.dress(
            left,
            "The price of getting rows in",
            (f"Openers with {units.show('force', aim.least_load)} or more (%)", 40, 100),
            (f"Openers above {units.show('force', aim.heavy_load)} (%)", 0, 100),
        )
        top = float(units.number("force", 2.2 * aim.heavy_load))
        style.dress(
            right,
            "What the gauge wheels carry",
            (f"Gauge-wheel load ({units.unit('force')})", 0, top),
            ("Openers that carry less (%)", 0, 100),
        )
        for load in (aim.least_load, aim.heavy_load):
            at = float(units.number("force", load))
            right.axvline(at, color=style.mark("limit").colour, linewidth=1, label="least and heavy load")
        self._moving = []
        for sweep in self._sweeps:
            left.plot(100 * sweep.share_in, 100 * sweep.packing, **style.line(sweep.name, label=sweep.name))
            (dot,) = left.plot([], [], **style.dot(sweep.name))
            (curve,) = right.plot([], [], **style.line(sweep.name, label=sweep.name))
            self._moving += [(dot, curve)]
        asked = {"color": style.MUTED, "linewidth": 1.2, "linestyle": (0, (4, 2))}
        self._asked = left.axvline(95, ymax=0.75, label="openers that must be in", **asked)
        left.legend(loc="upper left", **style.LEGEND)
        # Two lines of one look need one name.
        handles, names = right.get_legend_handles_labels()
        right.legend(handles[1:], names[1:], loc="lower right", **style.LEGEND)
        return [self._asked, *(artist for pair in self._moving for artist in pair)]

    def update(self, result):
        shares = np.linspace(0, 100, 201)
        self._asked.set_xdata([100 * result.share_in] * 2)
        for (dot, curve), compared in zip(self._moving, result.compared, strict=True):
            load = compared.field_pass.gauge_wheel_load
            dot.set_data([100 * (1 - compared.shares.short)], [100 * compared.shares.packing])
            curve.set_data(self._bench.units.number("force", np.percentile(load, shares)), shares)


def crank_panel(bench: Bench):
    """Both actuators set until the asked share of openers is in."""
    drill, field, units = bench.drill, bench.field, bench.units
    crossing = sampled_crossing(drill, field)
    sweeps = tuple(
        sweep_settings(drill, field, crossing, name, _steps(bench, name)) for name in ("spring", "cylinder")
    )

    def compute(share_in, criterion):
        compared = tuple(chosen(sweep, criterion, share_in / 100, as_tried=True) for sweep in sweeps)
        return Cranked(share_in / 100, compared, sweeps)

    start = min(99, max(60, round(100 * field.aim.share_in)))
    return Panel(
        controls=[
            Slider("share_in", "Openers that must be in", start, 60, 99, 1, "%"),
            Choice("criterion", "Turn up until there is", CRITERIA),
        ],
        compute=compute,
        drawing=_CrankDrawing(bench, sweeps),
        sentence=lambda result: crank_words(units, field.aim, result),
        alt=(
            "Two line charts",
            "share of packing openers against share of openers in, and how the loads are spread",
        ),
        title="Crank it up until enough rows are in",
        size=style.WIDE,
    )


def crank_words(units: UnitSystem, aim: Aim, result: Cranked):
    """What it takes to get the openers in, and what the rest carry.

    Result: one sentence for each actuator, and on how much ground the openers were counted.
    """
    sentences = []
    for one in result.compared:
        at = ("Springs " if one.name == "spring" else "Cylinders at ") + setting_words(units, one)
        inside = 1 - one.shares.short
        # A share that just fails must not be rounded to the one asked for.
        have = percent(inside) if one.met else percent(inside, 1)
        heavy = f"{percent(one.shares.packing)} above {units.show('force', aim.heavy_load)}"
        sentences.append(
            f"{at}{'' if one.met else ', the nearest they come'}: {have} of the openers in "
            f"({percent(one.worst_quarter_in)} in the worst quarter of the rows), {heavy}, "
            f"mean load {units.show('force', one.shares.mean)}."
        )
    places = result.sweeps[0].crossing.station.size
    return f"{' '.join(sentences)} Counted on a pass of {places} places, the pressure held."


def _steps(bench, name):
    """Settings a person would choose among, in the reader's units."""
    units = bench.units
    kind, step = ("length", 2) if name == "spring" else ("pressure", 2)
    if units.name == "US":
        step = 0.1 if name == "spring" else 30
    low, high = (float(units.number(kind, end)) / step for end in setting_range(bench.drill, name))
    return units.si(kind, step * np.arange(np.ceil(low - 1e-6), np.floor(high + 1e-6) + 1))
