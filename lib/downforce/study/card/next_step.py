"""What to do next, from what a person finds behind the drill: gauge wheels, seeds, and the gauge."""

from dataclasses import dataclass

from downforce.physics.checks import not_negative
from downforce.study.card.lines import pressure_text

WHEELS = ("turn freely", "drag and still turn", "cannot be turned")
"""What the gauge wheels do when turned by hand [-]."""
SEEDS = ("at depth", "shallow")
"""Where the seeds lie [-]."""


@dataclass(frozen=True)
class NextStep:
    """What to do, and what to set.

    Attributes
    ----------
    action : str [-]
        "raise", "lower", "leave", "weight" (it is weight that is short) or "look" (at parts).
    gauge_pressure : float [Pa]
        What to set next; never above the ceiling of the card's line for today.
    text : str [-]
        The same in a sentence, with units.
    """

    action: str
    gauge_pressure: float
    text: str


def next_step(card, wheels, seeds, gauge_pressure):
    """The next setting on a field, from what was found behind the drill.

    Parameters
    ----------
    card : CardData [-]
        The card for today.
    wheels : str [-]
        One of `WHEELS`.
    seeds : str [-]
        One of `SEEDS`.
    gauge_pressure : float [Pa]
        What the gauge was set to.

    Returns
    -------
    NextStep [Pa]
        What to do, what to set, and why.

    Raises
    ------
    ValueError
        If the finding is none of those, or the pressure is negative.

    Notes
    -----
    The decision table of the card; common practice, no source. One step up or down at a time, from the lowest
    setting to the ceiling of today's line.
    """
    for name, found, known in (("wheels", wheels, WHEELS), ("seeds", seeds, SEEDS)):
        if found not in known:
            raise ValueError(f"{name} is one of {', '.join(known)}; got {found!r}.")
    now = float(not_negative("gauge_pressure", gauge_pressure))
    today = next(line for line in card.starts if line.today)
    step = card.step
    if now > today.ceiling + 1.0:
        return _said(
            card, today, "lower", today.ceiling, "the gauge stands above what the weight or a part allows"
        )
    if wheels == "turn freely":
        if now > today.ceiling - 0.2 * step:
            why = "the gauge may go no higher and the wheels carry too little: weight, speed or discs"
            return _said(card, today, "weight", now, why)
        return _said(
            card, today, "raise", min(now + step, today.ceiling), "too little is left on the gauge wheels"
        )
    if seeds == "shallow":
        why = "the wheels carry load, so look at depth stops, discs, seed boots and residue"
        return _said(card, today, "look", now, why)
    if wheels == "cannot be turned":
        if now < card.face.floor + 0.2 * step:
            return _said(card, today, "look", now, "this is the lowest setting; wait for drier soil")
        return _said(card, today, "lower", max(now - step, card.face.floor), "the wheels carry too much")
    return _said(card, today, "leave", now, "seeds are at depth and the wheels carry a fair load")


_WORDS = {
    "raise": "Raise to",
    "lower": "Lower to",
    "leave": "Leave it at",
    "weight": "Do not raise; stay at",
    "look": "Do not touch the gauge; stay at",
}


def _said(card, today, action, pressure, why):
    text = f"{_WORDS[action]} {pressure_text(card.units, pressure, max(pressure, today.ceiling))}: {why}."
    return NextStep(action, pressure, text)
