"""What the cylinder workbook's panels show, and the sentences that say it."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.actuators import Cylinder
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Amount, Flags, Metre, Newton, NewtonPerPascal, Pascal, Ratios
from downforce.study.cylinders.choice import Candidate, Judge
from downforce.study.cylinders.force_needs import Need, StrokeCheck
from downforce.study.cylinders.loads import Flatness
from downforce.study.setting.reasons import floor_text, limit_text


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
        f"{result.label} at {units.show('pressure', result.pressure)}: "
        f"{units.show('force', load.at_work)} at working height, {_evenness(result, units)}; "
        f"seal friction ±\N{NO-BREAK SPACE}{friction}. "
        f"Here, at {signed(units, 'length', result.travel)}: {units.show('force', result.down_force)}."
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
        f"Stroke {result.label}: {least_margins(result, units)}; "
        f"{units.show('length', check.end_margin)} is to be kept: {verdict}. "
        f"The travel uses {units.show('length', check.stroke_used)} of the stroke."
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
