"""What the cylinder workbook's panels show, the sentences that say it, and the pictures."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.actuators import Cylinder
from downforce.machine.drill import Opener
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Amount, Flags, Metre, Newton, NewtonPerPascal, Pascal, Ratios
from downforce.study.cylinders.choice import Candidate, Judge
from downforce.study.cylinders.force_needs import PLACES, Need, PressureLimits, StrokeCheck
from downforce.study.cylinders.loads import Flatness
from downforce.study.setting.reasons import floor_text, limit_text
from downforce.workbook import style
from downforce.workbook.drawing_opener import OpenerDrawing


@dataclass(frozen=True)
class MechanismResult:
    """What the mechanism panel shows."""

    cylinder: Cylinder
    label: str
    pressure: Pascal
    flatness: Flatness
    working: Flags
    check: StrokeCheck
    travel: Metre
    down_force: Newton


@dataclass(frozen=True)
class StrokeResult:
    """What the stroke panel shows."""

    cylinder: Cylinder
    label: str
    check: StrokeCheck


@dataclass(frozen=True)
class ForceResult:
    """What the force panel shows.

    needs: from the softest to the hardest soil.
    forces [N, N/Pa]: down force without pressure, and for each pascal, one row for each size.
    friction [N, N/Pa]: its seal friction at the disc without pressure, and for each pascal.
    """

    needs: tuple[Need, ...]
    forces: np.ndarray
    chosen: int
    label: str
    friction: tuple[Newton, NewtonPerPascal]
    show_friction: bool
    judged: Candidate


def signed(units: UnitSystem, kind, value: Amount):
    """A quantity that may be negative, with a minus sign and not a hyphen."""
    return units.show(kind, value).replace("-", "−")


def share_range(units: UnitSystem, share: Ratios):
    """The least and the greatest of some shares."""
    return f"{units.show('share', np.min(share))} to {units.show('share', np.max(share))}"


def reason_words(reason, units: UnitSystem):
    """One reason as a sentence with its numbers."""
    show = units.show
    if reason.kind == "too little force":
        return (
            f"too little force: {show('force', reason.value)} at the highest pressure, "
            f"{show('force', reason.limit)} needed for {reason.where}"
        )
    if reason.kind == "too coarse":
        return (
            f"too coarse: {show('force', reason.value)} already at the lowest pressure, "
            f"only {show('force', reason.limit)} needed for {reason.where}"
        )
    if reason.kind == "wall":
        return (
            f"wall: {show('pressure', reason.value)} of hoop stress, {show('pressure', reason.limit)} allowed"
        )
    if reason.kind == "rod":
        rod, bore = show("small length", reason.value), show("small length", reason.limit)
        return f"rod: {rod} is not less than the bore, {bore}"
    if reason.kind == "column":
        return f"column: the rod bows out at {reason.value:.1f} times its push, {reason.limit:.0f} are asked"
    if reason.kind == "does not fit":
        return (
            f"does not fit: {show('length', reason.value)} long when {reason.where}, "
            f"but the pins are {show('length', reason.limit)} apart at work"
        )
    if reason.kind == "cannot be built":
        return (
            f"cannot be built: {show('length', reason.value)} closed, and with {reason.where} "
            f"{show('length', reason.limit)} is the least"
        )
    return (
        f"stroke margin: {signed(units, 'length', reason.value)} left at the {reason.where}; "
        f"{show('length', reason.limit)} is asked"
    )


def mechanism_words(result: MechanismResult, units: UnitSystem):
    """What the mechanism panel says."""
    load = result.flatness
    friction = units.show("force", float(np.interp(0.0, load.travel, load.friction)))
    words = (
        f"{result.label} at {units.show('pressure', result.pressure)}: {units.show('force', load.at_work)} "
        f"at working height, {_evenness(result, units)}; seal friction ±\N{NO-BREAK SPACE}{friction}. Here, "
        f"at {signed(units, 'length', result.travel)}: {units.show('force', result.down_force)}."
    )
    check = result.check
    if result.working.all() and check.enough:
        return words
    short = "closed" if check.least_closed_margin < check.least_open_margin else "open"
    left = signed(units, "length", min(check.least_closed_margin, check.least_open_margin))
    return f"{words} Mind the stroke: {left} left at the {short} end."


def _evenness(result, units):
    """How even the load is where the stroke allows any."""
    if result.working.all():
        load = result.flatness
        return f"{share_range(units, load.share)} of it from stop to stop"
    if not result.working.any():
        return "but the stroke is at its end over the whole travel"
    return f"{share_range(units, result.flatness.share[result.working])} of it where the stroke allows"


def least_margins(result: StrokeResult, units: UnitSystem):
    """The least margins at both ends, and where they are."""
    check = result.check
    return (
        f"least left {signed(units, 'length', check.least_closed_margin)} at the closed end "
        f"({check.shortest_at}) and {signed(units, 'length', check.least_open_margin)} at the open end "
        f"({check.longest_at})"
    )


def stroke_words(result: StrokeResult, units: UnitSystem):
    """What the stroke panel says."""
    check = result.check
    least = min(check.least_closed_margin, check.least_open_margin)
    verdict = "it runs out of stroke" if least < 0 else "it reaches, with too little to spare"
    if check.enough:
        verdict = "it fits"
    return (
        f"Stroke {result.label}: {least_margins(result, units)}; {units.show('length', check.end_margin)} is "
        f"to be kept: {verdict}. The travel uses {units.show('length', check.stroke_used)} of the stroke."
    )


def force_words(result: ForceResult, judge: Judge, units: UnitSystem):
    """What the force panel says."""
    judged, show = result.judged, units.show
    usual = f"For {judge.usual.name} it is {show('pressure', judged.usual_pressure)}, and"
    if judged.usual_pressure == 0:
        usual = f"For {judge.usual.name} the opener's weight alone is enough;"
    step = (
        f"{usual} one step of {units.gauge_step_text} changes the down force by "
        f"{show('force', judged.effective_area * units.gauge_step)}."
    )
    if result.show_friction:
        still, by_pressure = result.friction
        blur = still + by_pressure * judged.usual_pressure
        step += f" There seal friction blurs the down force by ± {show('force', blur)}."
    against = [r for r in judged.reasons if r.kind in ("too little force", "too coarse")]
    if against:
        return f"{result.label} is out, {reason_words(against[0], units)}. {step}"
    return (
        f"{result.label} serves all these soils, from {show('pressure', min(judged.pressures))} to "
        f"{show('pressure', max(judged.pressures))}; {floor_text(units, judge.limits.lowest)} to "
        f"{limit_text(units, judge.limits.highest)} can be set. {step}"
    )


_MARGIN = "#b88590"
"""Of the ends of a bar [-]: opaque, so that its key looks like it."""
_LETTERS = 40
"""Of a soil's name [-]."""
_NAME = 0.035
"""Height of a soil's name, as a share of the axis [-]."""


class MechanismDrawing:
    """The opener to scale, and the down force of its cylinder from stop to stop.

    force_top: top of the load axis; doubled as often as a load needs it.
    """

    def __init__(self, opener: Opener, reach, units: UnitSystem, force_top: Newton):
        self._opener, self._units, self._top = opener, units, force_top
        self._side = OpenerDrawing(opener, reach, units)

    def setup(self, figure):
        """Make all artists."""
        left, right = figure.subplots(1, 2, width_ratios=[1.15, 1.0])
        moving = self._side.setup(left)
        number, unit = self._units.number, self._units.unit
        ends = (number("length", self._opener.lowest_travel), number("length", self._opener.highest_travel))
        self._axes = style.dress(
            right,
            "Down force over the travel",
            (f"Travel of the disc ({unit('length')}), up is positive", *ends),
            (f"Down force at the disc ({unit('force')})", 0, number("force", self._top)),
        )
        (self._curve,) = right.plot([], [], **style.line("cylinder", linewidth=2.6, label="cylinder"))
        thin = style.line("cylinder", linestyle=":", linewidth=1.1, label="with friction")
        self._band = [right.plot([], [], **thin)[0] for _ in "lh"]
        level = {"color": style.MUTED, "linewidth": 1.2, "linestyle": (0, (5, 4))}
        (self._level,) = right.plot([], [], label="at working height", **level)
        (self._lost,) = right.plot([], [], **style.line("limit", linewidth=3.0, label="stroke at its end"))
        (self._dot,) = right.plot([], [], clip_on=False, zorder=5, **style.dot("cylinder"))
        handles = [self._curve, self._band[0], self._level, self._lost]
        right.legend(handles=handles, loc="upper left", ncols=2, columnspacing=1.0, **style.LEGEND)
        return [*moving, self._curve, *self._band, self._lost, self._level, self._dot]

    def update(self, result: MechanismResult):
        """Set the artists from a result."""
        self._side.move(result.travel, result.cylinder)
        load = result.flatness
        x, force = self._units.number("length", load.travel), self._units.number("force", load.down_force)
        friction = self._units.number("force", load.friction)
        for line, sign in zip(self._band, (-1, 1), strict=True):
            line.set_data(x, np.where(result.working, force + sign * friction, np.nan))
        self._curve.set_data(x, np.where(result.working, force, np.nan))
        self._lost.set_data(x, np.where(result.working, np.nan, 0.0))
        at_work = self._units.number("force", load.at_work)
        self._level.set_data([x[0], x[-1]], [at_work, at_work])
        self._dot.set_data(
            [self._units.number("length", result.travel)], [self._units.number("force", result.down_force)]
        )
        # A fifth more than the curves need: the legend stands above them.
        self._axes.set_ylim(0, 1.2 * self._units.number("force", self._ceiling(result)))

    def fixed(self, result: MechanismResult) -> Newton:
        """What the still part of the picture depends on: the top of the load axis."""
        return self._ceiling(result)

    def _ceiling(self, result):
        highest = float((result.flatness.down_force + result.flatness.friction).max())
        return self._top * 2.0 ** max(0, int(np.ceil(np.log2(max(highest, 1.0) / self._top))))


class StrokeBars:
    """One bar a place: the cylinder from closed to open, the margin to be kept, and where the pins are.

    limits: ends of the length axis.
    """

    def __init__(self, units: UnitSystem, limits: tuple[Metre, Metre]):
        self._units, self._limits = units, limits

    def setup(self, figure):
        """Make all artists."""
        number, unit = self._units.number, self._units.unit("length")
        low, high = (number("length", limit) for limit in self._limits)
        # Room on the right for the two margins of every place.
        right = high + 0.42 * (high - low)
        axes = style.dress(
            figure.add_subplot(),
            "Pin-to-pin length against the stroke",
            (f"Pin-to-pin length ({unit})", low, right),
            ("", -0.6, len(PLACES) + 0.1),
        )
        rows = np.arange(len(PLACES))[::-1]
        self._rows = rows
        axes.set_yticks(rows, PLACES)
        axes.grid(False, axis="y")
        axes.set_xticks([tick for tick in axes.get_xticks() if low <= tick <= high])
        bar = {"solid_capstyle": "butt", "linewidth": 16}
        self._bars = [axes.plot([], [], color="#bcd2ee", zorder=2, **bar)[0] for _ in rows]
        self._ends = [axes.plot([], [], color=_MARGIN, zorder=3, **bar)[0] for _ in rows for _ in "co"]
        self._dots = axes.plot(
            [], [], zorder=5, clip_on=False, **style.dot("cylinder", markersize=10, label="pins")
        )
        axes.legend(
            [self._dots[0], self._ends[0]],
            ["distance of the pins", "margin to be kept"],
            loc="upper left",
            ncols=2,
            fontsize=style.SMALL,
            frameon=False,
            handlelength=1.2,
        )
        self._extremes = [
            axes.axvline(low, ymax=0.9, color=style.INK, linewidth=1.0, linestyle=":") for _ in "sl"
        ]
        place = {"fontsize": style.FONT_SIZE, "va": "center", "color": style.INK}
        self._texts = [axes.text(high + 0.03 * (high - low), row, "", **place) for row in rows]
        axes.text(
            high + 0.03 * (high - low),
            len(PLACES) - 0.35,
            f"left to closed / to open ({unit})",
            fontsize=style.SMALL,
            color=style.INK,
            va="center",
        )
        return [*self._bars, *self._ends, *self._dots, *self._extremes, *self._texts]

    def update(self, result: StrokeResult):
        """Set the artists from a result."""
        check, number = result.check, self._units.number
        closed = result.cylinder.closed_length
        opened = result.cylinder.open_length
        keep = check.end_margin
        for place, row in enumerate(self._rows):
            for line, (first, last) in (
                (self._bars[place], (closed, opened)),
                (self._ends[2 * place], (closed, closed + keep)),
                (self._ends[2 * place + 1], (opened - keep, opened)),
            ):
                line.set_data([number("length", first), number("length", last)], [row, row])
            left = (check.closed_margin[place], check.open_margin[place])
            words = " / ".join(signed(self._units, "length", margin).split(" ")[0] for margin in left)
            self._texts[place].set_text(words + ("  runs out" if min(left) < 0 else ""))
            self._texts[place].set_color(style.WARNING if min(left) < keep else style.INK)
        self._dots[0].set_data(number("length", check.length), self._rows)
        for line, length in zip(self._extremes, (check.shortest, check.longest), strict=True):
            line.set_xdata([number("length", length)] * 2)


class ForceLines:
    """Down force against gauge pressure for several sizes, with what the soils ask for as a band."""

    def __init__(
        self,
        units: UnitSystem,
        limits: PressureLimits,
        best_pressure: Pascal,
        labels,
        need_count,
        force_top: Newton,
    ):
        self._units, self._limits, self._best = units, limits, best_pressure
        # The names of sizes hang above the highest soil.
        self._labels, self._count, self._top = labels, need_count, 1.15 * force_top

    def setup(self, figure):
        """Make all artists."""
        number, unit = self._units.number, self._units.unit
        self._right = number("pressure", 1.12 * self._limits.highest)
        top = number("force", self._top)
        axes = style.dress(
            figure.add_subplot(),
            "What each size gives, and what the soils ask for",
            (f"Gauge pressure ({unit('pressure')})", 0, self._right),
            (f"Down force at the disc ({unit('force')})", 0, top),
        )
        for pressure, name, look in (
            (self._limits.lowest, "lowest", "limit"),
            (self._best, "middle", "target"),
            (self._limits.highest, "highest", "limit"),
        ):
            at = number("pressure", pressure)
            axes.axvline(at, zorder=1.5, **style.line(look, linewidth=1.4))
            axes.text(
                at, top, name, fontsize=style.SMALL, ha="center", va="bottom", color=style.INK, clip_on=False
            )
        axes.set_title(axes.get_title(loc="left"), loc="left", fontsize=style.TITLE_SIZE, pad=16)
        (self._fill,) = axes.fill([0, 0, 0, 0], [0, 0, 0, 0], color=style.SOIL_FILL, alpha=0.7, zorder=1)
        self._needs = [axes.plot([], [], zorder=2, **style.line("soil"))[0] for _ in range(self._count)]
        self._words = [
            axes.text(
                0,
                0,
                "",
                fontsize=style.SMALL,
                color=style.INK,
                ha="left",
                va="bottom",
                zorder=6,
                bbox={"facecolor": style.SOIL_FILL, "edgecolor": "none", "alpha": 0.8, "pad": 0.8},
            )
            for _ in range(self._count)
        ]
        self._others = [
            axes.plot([], [], color=style.MUTED, linewidth=0.9, label=label)[0] for label in self._labels
        ]
        look = {"fontsize": style.SMALL, "color": style.MUTED, "zorder": 6, "clip_on": False}
        look["bbox"] = {"facecolor": style.PAPER, "edgecolor": "none", "pad": 0.6}
        self._tags = [axes.text(0, 0, label, **look) for label in self._labels]
        (self._chosen,) = axes.plot([], [], zorder=4, **style.line("cylinder", linewidth=3.0, label="chosen"))
        thin = style.line("cylinder", linestyle=":", linewidth=1.2)
        self._band = [axes.plot([], [], zorder=4, label="with friction", **thin)[0] for _ in "lh"]
        (self._dots,) = axes.plot([], [], zorder=5, **style.dot("cylinder", label="where the soils are met"))
        moving = [self._fill, *self._needs, *self._words, *self._others, *self._tags, self._chosen]
        return [*moving, *self._band, self._dots]

    def update(self, result: ForceResult):
        """Set the artists from a result."""
        number = self._units.number
        asked = [number("force", need.down_force) for need in result.needs]
        right, top = self._right, number("force", self._top)
        self._fill.set_xy([(0, asked[0]), (right, asked[0]), (right, asked[-1]), (0, asked[-1])])
        named = -top
        for line, text, need, force in zip(self._needs, self._words, result.needs, asked, strict=True):
            line.set_data([0, right], [force, force])
            text.set_text(style.short(need.name, _LETTERS))
            text.set_position((0.012 * right, force))
            # Needs run from soft to hard; a name that would lie on the last one is left out.
            text.set_visible(force < 0.86 * top and force - named > _NAME * top)
            named = force if text.get_visible() else named
        ends = np.array([0.0, self._units.si("pressure", right)])
        for line, tag, own in zip(self._others, self._tags, result.forces, strict=True):
            start, force = number("force", own[0] + own[1] * ends)
            line.set_data([0, right], [start, force])
            if force <= top:
                tag.set(x=right, y=force, ha="left", va="center")
            else:
                # At the top edge the lines stand close: the names beside the chosen one stand lower.
                level = 0.95 if line is self._others[result.chosen] else 0.90
                across = (0.99 * level * top - start) / (force - start)
                tag.set(x=across * right, y=level * top, ha="right", va="bottom")
        self._show_tags(result)
        self._show_chosen(result, right)

    def _show_tags(self, result):
        """Only the sizes beside the chosen one are drawn, so that each line has a name and no names touch."""
        for place, (line, tag) in enumerate(zip(self._others, self._tags, strict=True)):
            near, chosen = abs(place - result.chosen) <= 1, place == result.chosen
            line.set_visible(near and not chosen)
            tag.set_visible(near)
            tag.set(fontweight="bold" if chosen else "normal", color=style.INK if chosen else style.MUTED)

    def _show_chosen(self, result, right):
        number = self._units.number
        ends = np.array([0.0, self._units.si("pressure", right)])
        still, slope = result.forces[result.chosen]
        force = still + slope * ends
        self._chosen.set_data([0, right], number("force", force))
        for line, sign in zip(self._band, (-1, 1), strict=True):
            line.set_visible(result.show_friction)
            friction = result.friction[0] + result.friction[1] * ends
            line.set_data([0, right], number("force", force + sign * friction))
        pressures = np.asarray(result.judged.pressures)
        forces = np.array([need.down_force for need in result.needs])
        self._dots.set_data(number("pressure", pressures), number("force", forces))
