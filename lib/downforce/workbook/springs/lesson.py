"""Spring behaviour: what a coil spring gives over the travel of an opener, drawn to scale."""

from dataclasses import dataclass
from itertools import product

import numpy as np
from matplotlib.patches import Rectangle

from downforce.machine.actuators import SpringSet
from downforce.machine.drill import Opener
from downforce.physics.kinds import Metre, Newton, NewtonPerMetre
from downforce.study.spring_behaviour import (
    SpringCurve,
    changed_spring,
    rate_at_disc,
    room_to_turn_in,
    spring_curve,
    spring_rate,
    travels_with_corners,
)
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Choice, Slider, inner_slider
from downforce.workbook.drawing_opener import OpenerDrawing
from downforce.workbook.panel import Panel
from downforce.workbook.springs.coil import coil_panel, measured_page, measured_panel
from downforce.workbook.springs.rivals import rivals_panel, turn_up_panel
from downforce.workbook.springs.words import height_text, length_text, relaxed_page, travel_page

POINTS = 61
_LEVER_STEP = 0.04
_BIND_FILL = "#f3d6d3"
_SLACK_FILL = "#ececef"


# --- the machine with its names ---------------------------------------------------------------------------


class _Named:
    def __init__(self, bench):
        drill = bench.drill
        self._drawing = OpenerDrawing(drill.opener, [drill.spring, drill.cylinder], bench.units, names=True)

    def setup(self, figure):
        return self._drawing.setup(figure.add_subplot())

    def update(self, result):
        self._drawing.move(result["travel"], result["actuator"])


def mechanism_panel(bench: Bench):
    """The opener to scale with the name of each part."""
    opener, units = bench.drill.opener, bench.units

    def compute(travel, actuator):
        at = float(units.si("length", travel))
        return {"travel": at, "actuator": actuator, "length": float(actuator.length(opener, at))}

    def sentence(result):
        part = "spring" if isinstance(result["actuator"], SpringSet) else "cylinder"
        return (
            f"The disc is {height_text(units, result['travel'])}. "
            f"The {part} measures {length_text(units, result['length'])} from pin to pin."
        )

    return Panel(
        controls=[
            _travel_slider(units, opener),
            Choice(
                "actuator",
                "What presses it down",
                [("the spring it has", bench.drill.spring), ("the cylinder proposed", bench.drill.cylinder)],
            ),
        ],
        compute=compute,
        drawing=_Named(bench),
        sentence=sentence,
        alt=(
            "Side view drawing to scale",
            f"one opener of the {bench.drill.name} with frame, pins, disc, gauge wheel and closing wheel",
        ),
        title="The opener from the side",
        size=style.TALL,
    )


# --- the spring over the travel ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Behaviour:
    """A spring over the travel, and where the disc is now.

    at_work: down force at working height.
    slack_travel, stop: below the first the spring is slack (NaN: nowhere); the second is the highest travel
        it allows.
    """

    spring: SpringSet
    curve: SpringCurve
    now: SpringCurve
    at_work: Newton
    rate: NewtonPerMetre
    rate_at_disc: NewtonPerMetre
    slack_travel: Metre
    stop: Metre


def behaviour(opener: Opener, spring: SpringSet, travel: Metre):
    """The spring over the travel and at one place."""
    low, stop = spring.travel_stops(opener)
    free = max(coil.free_length for coil in spring.coils) + spring.fittings + spring.setting
    return Behaviour(
        spring,
        spring_curve(opener, spring, travels_with_corners(opener, spring, np.linspace(low, stop, POINTS))),
        spring_curve(opener, spring, [travel]),
        float(spring.down_force(opener, 0.0)),
        spring_rate(opener, spring),
        rate_at_disc(opener, spring),
        spring.travel_where_length_is(opener, free),
        stop,
    )


class _BehaviourDrawing:
    def __init__(self, bench, springs, highest_force):
        self._bench, self._springs, self._top = bench, springs, highest_force

    def setup(self, figure):
        opener, units = self._bench.drill.opener, self._bench.units
        left, right = figure.subplots(1, 2, width_ratios=(1.3, 1.0))
        self._opener = OpenerDrawing(opener, self._springs, units)
        moving = self._opener.setup(left)
        self._x = [float(units.number("length", z)) for z in (opener.lowest_travel, opener.highest_travel)]
        self._y = float(units.number("force", self._top))
        style.dress(
            right,
            "What the spring gives at the disc",
            (f"Travel: hollow − , rise + ({units.unit('length')})", *tuple(self._x)),
            (f"Down force ({units.unit('force')})", 0, self._y),
        )
        right.axvline(0, color=style.MUTED, linewidth=0.8)
        # The zones end below the legend.
        self._slack = right.add_patch(Rectangle((0, 0), 0, 0.82 * self._y, facecolor=_SLACK_FILL, zorder=1))
        self._bind = right.add_patch(Rectangle((0, 0), 0, 0.82 * self._y, facecolor=_BIND_FILL, zorder=1))
        look = {"fontsize": style.SMALL, "color": style.INK, "rotation": 90, "va": "center", "ha": "center"}
        self._slack_word = right.text(0, 0.5 * self._y, "slack", **look)
        self._bind_word = right.text(0, 0.35 * self._y, "coil-bind: the arm stops", **look)
        (self._hand,) = right.plot(
            [], [], color=style.MUTED, linewidth=1.2, linestyle=(0, (1, 1)), label="by hand"
        )
        (self._curve,) = right.plot([], [], **style.line("spring", label="spring, exact"))
        (self._dot,) = right.plot([], [], **style.dot("spring"))
        right.legend(loc="upper left", handlelength=3, **style.LEGEND)
        words = [self._slack_word, self._bind_word]
        return [*moving, self._slack, self._bind, *words, self._hand, self._curve, self._dot]

    def update(self, result):
        units = self._bench.units
        self._opener.move(float(result.now.travel[0]), result.spring)
        x = units.number("length", result.curve.travel)
        self._curve.set_data(x, units.number("force", result.curve.down_force))
        self._hand.set_data(x, units.number("force", result.curve.hand_force))
        self._dot.set_data(
            units.number("length", result.now.travel), units.number("force", result.now.down_force)
        )
        slack = (
            self._x[0]
            if np.isnan(result.slack_travel)
            else float(units.number("length", result.slack_travel))
        )
        self._zone(self._slack, self._slack_word, self._x[0], slack)
        self._zone(self._bind, self._bind_word, float(units.number("length", result.stop)), self._x[1])

    def _zone(self, box, word, first, last):
        box.set_x(first)
        box.set_width(max(last - first, 0.0))
        word.set_x((first + last) / 2)
        word.set_visible(last - first > 0.035 * (self._x[1] - self._x[0]))


def behaviour_panel(bench: Bench):
    """The mechanism to scale beside the down force over the travel."""
    opener, spring, units = bench.drill.opener, bench.drill.spring, bench.units
    room = room_to_turn_in(opener, spring)
    controls = [
        inner_slider(
            units, "length", "rearward", "Spring moved rearward", 0.0, -_LEVER_STEP, _LEVER_STEP, (5, 0.25)
        ),
        Slider("rate", "Rate: share of this spring's", 100, 70, 130, 5, "%"),
        _setting_slider(units, spring, room),
        _travel_slider(units, opener),
    ]

    def compute(rearward, rate, setting, travel):
        si = {
            name: float(units.si("length", value))
            for name, value in (("rearward", rearward), ("setting", setting), ("travel", travel))
        }
        changed = changed_spring(spring, si["setting"], rate / 100, si["rearward"])
        return behaviour(opener, changed, si["travel"])

    ends = [
        compute(a, b, c, controls[3].high) for a, b, c in product(*(control.ends for control in controls[:3]))
    ]
    highest = 1.06 * max(float(end.curve.down_force.max()) for end in ends)
    return Panel(
        controls=controls,
        compute=compute,
        drawing=_BehaviourDrawing(bench, [spring, *(end.spring for end in ends)], highest),
        sentence=lambda result: _behaviour_words(units, result),
        alt=(
            "Side view drawing beside a line chart",
            "the opener to scale, and the spring's down force at the disc against travel",
        ),
        title="A spring over the travel of its opener",
        size=(8.6, 4.4),
    )


def _behaviour_words(units, result):
    now, regime = result.now, str(result.now.regime[0])
    travel, force = float(now.travel[0]), float(now.down_force[0])
    place = f"The disc is {height_text(units, travel)}"
    if regime == "slack":
        return (
            f"{place}: the spring is slack and gives nothing; only the opener's own weight presses. "
            f"At working height it gives {units.show('force', result.at_work)}."
        )
    words = (
        f"{place}: the spring pushes {units.show('force', now.spring_force[0])}, and with a leverage of "
        f"{now.leverage[0]:.3f} that is {units.show('force', force)} at the disc"
    )
    if not result.at_work:
        words += ", which is slack at working height"
    elif travel:
        at_work = units.show("force", result.at_work)
        words += f", {style.percent(force / result.at_work)} of the {at_work} at working height"
    words += (
        f". Rate: {units.show('spring rate', result.rate)} on the spring, "
        f"{units.show('spring rate', result.rate_at_disc, 1)} felt at the disc."
    )
    if regime == "coil-bind":
        words += (
            f" Coil-bind: the closed coils stop the arm at {length_text(units, travel)}; "
            "a higher rise lifts the frame."
        )
    return words


def _travel_slider(units, opener):
    return inner_slider(
        units,
        "length",
        "travel",
        "Travel: hollow −, rise +",
        0.0,
        opener.lowest_travel,
        opener.highest_travel,
        (5, 0.25),
    )


def _setting_slider(units, spring, room):
    return inner_slider(
        units,
        "length",
        "setting",
        "Adjuster turned in",
        spring.setting,
        spring.setting - 0.04,
        spring.setting + min(0.06, room - 0.01),
        (5, 0.25),
    )
