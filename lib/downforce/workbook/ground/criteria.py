"""Rough ground: crank it up until enough openers are in, and see what the rest carry."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.field import Aim
from downforce.machine.unit_display import UnitSystem
from downforce.physics.kinds import Ratio
from downforce.study.ground.compare_actuators import Compared, Sweep, chosen, setting_range, sweep_settings
from downforce.study.ground.pass_sample import sampled_crossing
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Choice, Slider
from downforce.workbook.ground.words import setting_words
from downforce.workbook.panel import Panel
from downforce.workbook.style import percent

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
            f"Openers with {units.show('force', aim.least_load)} or more (%)",
            f"Openers above {units.show('force', aim.heavy_load)} (%)",
            (40, 100),
            (0, 100),
        )
        top = float(units.number("force", 2.2 * aim.heavy_load))
        style.dress(
            right,
            "What the gauge wheels carry",
            f"Gauge-wheel load ({units.unit('force')})",
            "Openers that carry less (%)",
            (0, top),
            (0, 100),
        )
        for load in (aim.least_load, aim.heavy_load):
            right.axvline(float(units.number("force", load)), color=style.mark("limit").colour, linewidth=1)
        self._moving = []
        for sweep in self._sweeps:
            left.plot(100 * sweep.share_in, 100 * sweep.packing, **style.line(sweep.name, label=sweep.name))
            (dot,) = left.plot([], [], **style.dot(sweep.name))
            (curve,) = right.plot([], [], **style.line(sweep.name, label=sweep.name))
            self._moving += [(dot, curve)]
        self._asked = left.axvline(95, color=style.MUTED, linewidth=1.2, linestyle=(0, (4, 2)))
        left.legend(loc="upper left", **style.LEGEND)
        right.legend(loc="lower right", **style.LEGEND)
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
