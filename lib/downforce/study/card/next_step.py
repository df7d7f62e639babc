"""The decision after a dig as a setting: no higher than the card allows, no lower than the valve holds."""

from dataclasses import dataclass
from math import isfinite, nan

from downforce.physics.checks import not_negative
from downforce.study.dig_decision import dig_decision
from downforce.study.setting.reasons import in_both, inside

_WORDS = {
    "raise": "Raise to",
    "lower": "Lower to",
    "leave": "Leave it at",
    "weight": "Do not raise; stay at",
    "look": "Do not touch the gauge; stay at",
}


@dataclass(frozen=True)
class NextStep:
    """The action of a decision, the gauge pressure [Pa] to set, NaN for none, and both in a sentence."""

    action: str
    gauge_pressure: float
    text: str


def next_step(card, wheels, seeds, wall, gauge_pressure):
    """What to set next after a dig: a step up, down or none, never above today's ceiling; or no setting."""
    found = dig_decision(wheels, seeds, wall)
    action, why = found.action, found.reason
    now = float(not_negative("gauge_pressure", gauge_pressure))
    today = next(line for line in card.starts if line.today)
    if not isfinite(today.gauge_pressure):
        return NextStep("stop", nan, f"Do not sow, there is {today.reason}.")
    low, top, step = card.face.floor, today.ceiling, card.step
    pressure = min(max(now + found.step * step, low), top) if found.step else now
    if now > top + 1.0:
        action, pressure, why = "lower", top, "the gauge stands above what the weight or a part allows"
    elif found.step > 0 and now > top - 0.2 * step:
        action, pressure = "weight", now
        why = "the gauge may go no higher and the wheels carry too little: weight, speed or discs"
    elif found.step < 0 and now < low + 0.2 * step:
        action, pressure, why = "look", now, f"this is the lowest setting, and {why}"
    text = f"{_WORDS[action]} {gauge_text(card, pressure)}: {why}."
    return NextStep(action, pressure, text)


def on_gauge(card, units, gauge_pressure):
    """A pressure as a person reads it off the gauge [Pa], on the side of today's limits where it lies."""
    today = next(line for line in card.starts if line.today)
    low, top = min(card.face.floor, gauge_pressure), max(today.ceiling, gauge_pressure)
    return inside(units, gauge_pressure, (low, top), top)


def gauge_text(card, gauge_pressure):
    """The same in both unit systems, the card's first, such as "60 bar (870 psi)"."""
    return in_both(card.units, lambda units: on_gauge(card, units, gauge_pressure))
