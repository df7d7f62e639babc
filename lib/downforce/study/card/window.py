"""The window side of the card: one number, and what a driver must know at arm's length, in his units."""

import datetime
from dataclasses import dataclass, replace
from datetime import date
from math import isfinite

import numpy as np

from downforce.machine.doubts import uncertain_inputs
from downforce.machine.drill import Drill
from downforce.machine.plausible import unusual_line
from downforce.machine.shipped import is_shipped
from downforce.machine.units import UnitSystem
from downforce.physics.kinds import Ratio
from downforce.study.card import words as card_words
from downforce.study.card.refill import area_to_refill
from downforce.study.cautions import WINDOW_CAUTION
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.frame_lift import lift_pressure
from downforce.study.pressure_setting import PressureSetting, gauge_error
from downforce.study.setting.gauge_face import GaugeFace, gauge_face
from downforce.study.setting.intervals import LiftChance
from downforce.study.setting.reasons import inside, limit_text
from downforce.study.setting.sureness import interval, lift_slopes
from downforce.study.setting.turned import Turn, turn
from downforce.study.setting.verdict import verdict_words

FILLS = (("empty", 0.0), ("half", 0.5), ("full", 1.0))
"""Hopper fills that have a red line of their own on the window side [-]."""
WAITS = "…"
"""In place of what is worked out when a slider has come to rest [-]."""
STEPS_FOR = ("drier", "wetter", "harder")
"""Turns of the soil that the window side answers [-]."""


@dataclass(frozen=True)
class WindowSide:
    """What stands on the window side, every pressure in the driver's own unit.

    date: day of the card; None on a preview.
    units: the driver's; no other stands here.
    paper: "A4" or "Letter".
    number, unit: what to set; both empty where there is no setting.
    verdict: what the rows do there, of ten; why there is no setting, where there is none.
    red_line: what the gauge never passes, with the hopper as empty as it is worked with.
    hopper: the red line for each fill; empty where no seed rides on the frame.
    refill: land sown until then; empty where it is not known, for a pen to fill in.
    rests_on: what is measured or assumed, in five words.
    remarks: which rows the gauge moves, where not all; where to read of values unlike such a machine.
    """

    drill: str
    field: str
    date: datetime.date | None
    units: UnitSystem
    paper: str
    number: str
    unit: str
    verdict: str
    step: str
    turns: tuple[tuple[str, str], ...]
    red_line: str
    lifts_first: str
    hopper: tuple[tuple[str, str], ...]
    refill: str
    land_unit: str
    checks: tuple[str, ...]
    caution: str
    rests_on: str
    remarks: tuple[str, ...]
    face: GaugeFace


def window_side(
    drill: Drill,
    setting: PressureSetting,
    hopper_fill: Ratio,
    units: UnitSystem,
    paper,
    date: date | None = None,
    turns: dict[str, Turn] | None = None,
    moving=False,
) -> WindowSide:
    """The window side for one drill, one field and one setting.

    setting: today's, at the emptiest hopper that is worked with.
    paper: "A4" or "Letter".
    turns: answers to `STEPS_FOR`, if they have been worked out already.
    moving: whether a slider still moves: then what asks for settings of its own waits, and dots stand there.
    """
    field = setting.case.field
    number, unit = units.show("pressure", setting.to_set(units)).split(" ") if setting.exists else ("", "")
    area = area_to_refill(drill, field, hopper_fill)
    if moving:
        steps = tuple((how, WAITS) for how in STEPS_FOR)
    else:
        found = turns or {how: turn(setting, how, units) for how in STEPS_FOR}
        steps = tuple((how, _turn_words(found[how], setting, units)) for how in STEPS_FOR)
    return WindowSide(
        drill=drill.name,
        field=field.name,
        date=date,
        units=units,
        paper=paper,
        number=number,
        unit=unit,
        verdict=verdict_words(setting.shares) if setting.exists else _no_setting(setting),
        step=f"Step: {units.gauge_step_text}.",
        turns=steps,
        red_line=limit_text(units, setting.red_line),
        lifts_first=_first(drill, setting),
        hopper=_hopper(drill, setting, hopper_fill, units, moving),
        refill=units.show("land", area) if isfinite(area) and area > 0 else "",
        land_unit=units.unit("land"),
        checks=card_words.window_checks(units),
        caution=WINDOW_CAUTION,
        rests_on=in_five_words(drill, field),
        remarks=_remarks(drill, field, units),
        face=gauge_face(drill, [field], hopper_fill, [setting]),
    )


def red_lines(drill, field, fills):
    """Red line of one field at several hopper fills [Pa], each as its own setting has it."""
    highest, error = pressure_limits(drill).highest, gauge_error(drill)
    lifts = lift_pressure(drill, field.opener_soil, np.asarray(fills)).pressure
    chances = (
        LiftChance(lift, lift_slopes(drill, field, fill), error)
        for lift, fill in zip(lifts, fills, strict=True)
    )
    return tuple(min(interval(chance.lifts)[0], highest) for chance in chances)


def in_five_words(drill, field):
    """What is measured or assumed, in five words: the soil's reaction, then the drill's own values."""
    if is_shipped(drill) and is_shipped(field):
        return "Invented drill, invented soil: teaching."
    soil = "invented" if is_shipped(field) else card_words.FOUND[field.soil.basis]
    if is_shipped(drill):
        return f"Soil {soil}, drill invented: teaching."
    bases = [one.basis in ("measured", "weighed") for one in card_inputs(drill)]
    share = sum(bases) / len(bases) if bases else 0.0
    how = "mostly" if share >= 0.5 else "partly" if share > 0 else "not"
    return f"Soil {soil}, drill {how} measured."


def _remarks(drill, field, units):
    remarks = []
    if drill.half_refitted:
        moved = drill.row_count - int(drill.row_on_springs.sum())
        remarks.append(f"Gauge moves {moved} of {drill.row_count} rows.")
    if unusual_line(drill, field, units):
        remarks.append("Unusual values: desk side.")
    return tuple(remarks)


def card_inputs(*models):
    """Uncertain inputs of drill and field that have a say on a card: the springs have none."""
    return [one for model in models for one in uncertain_inputs(model) if one.path[0] != "spring"]


def _hopper(drill, setting, hopper_fill, units, moving):
    if not drill.seed_on_frame:
        return ()
    others = tuple(fill for _, fill in FILLS if fill != hopper_fill)
    found = () if moving else red_lines(drill, setting.case.field, others)
    texts = dict(zip(others, (limit_text(units, line) for line in found), strict=not moving))
    texts[hopper_fill] = limit_text(units, setting.red_line)
    return tuple((name, texts.get(fill, WAITS)) for name, fill in FILLS)


def _first(drill, setting):
    limits = pressure_limits(drill)
    if setting.red_line < limits.highest:
        return f"{setting.lift.first_section} lifts first: {setting.lift.first_support}"
    return limits.top.words


def _no_setting(setting):
    what = "the weight ends" if setting.limit.by_weight else f"{setting.limit.words} is"
    return f"No setting: {what} below {setting.floor.words}"


def _turn_words(answer, setting, units):
    """What to do after a turn; never past today's red line, which is the only one on the dial.

    Harder soil may let the frame bear more, but whether it is harder a driver only feels.
    """
    now, step = setting.to_set(units), units.gauge_step
    if answer.steps > 0:
        room = max(int(np.floor((setting.red_line - now) / step + 1e-6)), 0)
        if room == 0:
            return f"{replace(answer, steps=0).words}: red line"
        answer = replace(answer, steps=min(answer.steps, room))
    if answer.steps == 0:
        ends = answer.held and answer.setting.limit.by_weight
        return f"{answer.words}: weight ends" if ends else answer.words
    highest = min(answer.setting.ceiling, setting.red_line)
    lowest = answer.setting.floor.gauge_pressure
    there = inside(units, now + answer.steps * step, (lowest, highest), highest)
    return f"{answer.words}, to {units.show('pressure', there)}"
