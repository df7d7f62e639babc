"""The computed lines of the set-up card: start pressures, loads, lift limits, the oil, the next step.

No line holds a pressure above what the weight and the parts allow. Where a wish is above that, the limit
stands in its place, with a word why; the step after a dig goes no lower than the valve holds. Printed
pressures are never rounded up past a limit.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, isfinite, nan

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.unit_table import UnitSystem, percent
from downforce.physics.checks import not_negative
from downforce.physics.kinds import Metre, Newton, Pascal
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.field_check import dig_decision
from downforce.study.oil.band import OilBand, oil_band
from downforce.study.oil.circuit import MORE_THAN_BORNE
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import PressureSetting, recommend
from downforce.study.setting.gauge_face import GaugeFace
from downforce.study.setting.reasons import (
    aim_words,
    at_most,
    in_both,
    inside,
    lift_range_words,
    pressure_text,
    sure_short,
    verdict_short,
)

STEPS = {
    "metric": (1, 2, 5, 10, 15, 20, 25, 30, 40, 50),
    "US": (10, 20, 50, 100, 150, 200, 300, 400, 500, 700),
}
"""Steps between the pressures of the load lines, in bar and in psi [-]."""
MOST_LINES = 8
"""Load lines that fit on the card [-]."""
BARE = 1.0
"""Pressures closer than this count as one [Pa]."""


@dataclass(frozen=True)
class StartLine:
    """Where to start in one soil.

    gauge_pressure: what to set; never above `ceiling`; NaN where there is no setting.
    ceiling: highest pressure to set in this soil: headroom kept, and the gauge's own error.
    verdict: what the rows do there, of ten; empty where there is no setting.
    reason: why it is not what the wanted load asks for; empty where it is.
    notes: what else to know: today the aim and how sure it is, on other days their red line; rows on a stop.
    """

    soil: str
    today: bool
    gauge_pressure: Pascal
    ceiling: Pascal
    gauge_wheel_load: Newton
    depth: Metre
    pressure_text: str
    load_text: str
    verdict: str
    reason: str
    notes: tuple[str, ...]

    @property
    def details(self):
        """All that stands below it, line by line: what the rows do and why there, then what else to know."""
        said = [part for part in (self.verdict, self.reason) if part]
        return ("; ".join(said), *self.notes) if self.today else ("; ".join((*said, *self.notes)),)


@dataclass(frozen=True)
class LoadLine:
    """What one pressure gives.

    red_line: whether it is the red line, above which there is no line.
    gauge_wheel_loads: for each soil, if the frame stays down.
    cells: for each soil: the load, or the depth of a disc that is not at depth; a star where less than the
        wanted headroom is left; "frame lifts" above the lift pressure of that soil.
    """

    gauge_pressure: Pascal
    red_line: bool
    down_force: Newton
    gauge_wheel_loads: tuple[Newton, ...]
    pressure_text: str
    down_force_text: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class LiftLine:
    """Where the weight ends at one hopper fill, in today's soil.

    gauge_pressure: where the first support goes light, or the parts' limit if that comes first.
    ceiling: highest to set: the wanted headroom and the gauge's error kept, or the parts' limit.
    lift_text, ceiling_text: with units; the lift with its 90 % interval.
    """

    hopper: str
    gauge_pressure: Pascal
    ceiling: Pascal
    lift_text: str
    ceiling_text: str


def start_lines(
    drill: Drill,
    fields: Sequence[Field],
    today: Field,
    settings: Sequence[PressureSetting],
    units: UnitSystem,
) -> tuple[StartLine, ...]:
    """Start pressure for each soil and for its wheel tracks.

    fields: the soils, in the order of the card.
    settings: one for each field.
    units: which system comes first.
    Result: one for each field, and one for its rows in tracks at the same pressure.

    A row in a track is taken to work its whole depth lower. Where the frame's own wheels run in the same
    tracks it works less low: the line is on the cautious side.
    """
    lines = []
    for field, setting in zip(fields, settings, strict=True):
        lines.append(_start_line(drill, field, field == today, setting, units))
        if isfinite(setting.needed_in_tracks):
            lines.append(_start_line(drill, field, field == today, setting, units, tracks=True))
    return tuple(lines)


def load_lines(
    drill: Drill,
    fields: Sequence[Field],
    face: GaugeFace,
    settings: Sequence[PressureSetting],
    units: UnitSystem,
) -> tuple[LoadLine, ...]:
    """What each pressure gives at the disc, and on the gauge wheel in each soil.

    fields: the soils, in the order of the card.
    settings: one for each field.
    units: which system comes first.
    Result: from the lowest setting up to the red line, which ends the table.
    """
    pressures = _pressures(units, min(face.floor, face.red_line), face.red_line)
    forces = drill.cylinder.down_force(drill.opener, 0.0, pressures)
    columns = [
        _column(drill, field, setting, pressures, units)
        for field, setting in zip(fields, settings, strict=True)
    ]
    # The lowest setting is printed as among the limits: below it nothing can be set.
    tops = min(face.lowest_ceiling, face.red_line), face.red_line
    return tuple(
        LoadLine(
            gauge_pressure=float(pressure),
            red_line=place == len(pressures) - 1,
            down_force=float(forces[place]),
            gauge_wheel_loads=tuple(column[place][0] for column in columns),
            pressure_text=pressure_text(units, pressure, tops[place > 0], up=place == 0),
            down_force_text=units.both("force", forces[place]),
            cells=tuple(column[place][1] for column in columns),
        )
        for place, pressure in enumerate(pressures)
    )


def lift_lines(drill: Drill, field: Field, units: UnitSystem, settings=None) -> tuple[LiftLine, ...]:
    """Where the weight ends, hopper full, half and empty, in one field.

    units: which system comes first.
    settings: those worked out already, by hopper fill.
    Result: three lines; one for a drill with its seed in a separate cart.
    """
    known = settings or {}
    fills = [("Hopper full", 1.0), ("Hopper half", 0.5), ("Hopper empty", 0.0)]
    if not drill.seed_on_frame:
        fills = [("No seed on the frame", 0.0)]
    return tuple(_lift_line(drill, field, units, name, fill, known.get(fill)) for name, fill in fills)


def _start_line(drill, field, today, setting, units, tracks=False):
    soil = field.track_soil if tracks else field.opener_soil
    travel = max(-field.tracks.depth, drill.cylinder.travel_stops(drill.opener)[0]) if tracks else 0.0
    loads = opener_loads(drill.opener, drill.cylinder, soil, travel, setting.dialled(units))
    shares = setting.shares_in_tracks or setting.shares if tracks else setting.shares
    needed = f"{units.both('pressure', setting.needed_in_tracks)} for the wanted load" if tracks else ""
    keeps = _load_text(loads.regime, loads.gauge_wheel_load, loads.depth, field.target_depth, units)
    return StartLine(
        soil=f"{field.name}: rows in tracks" if tracks else field.name,
        today=today,
        gauge_pressure=setting.setting,
        ceiling=setting.ceiling,
        gauge_wheel_load=float(loads.gauge_wheel_load),
        depth=float(loads.depth),
        pressure_text=setting.words(units),
        load_text=keeps if setting.exists else "do not sow",
        verdict=verdict_short(shares) if setting.exists else "",
        reason=needed or _start_reason(setting),
        notes=() if tracks else _notes(setting, today, units),
    )


def _notes(setting, today, units):
    stops = tuple(filter(None, (setting.moved_words, setting.straw_words, setting.stop_words)))
    if not today:
        return (f"its red line {at_most(units, setting.red_line)}", *stops)
    return (aim_words(setting, units), sure_short(setting, units), *stops) if setting.exists else ()


def _start_reason(setting):
    if not setting.exists:
        what = "the weight ends" if setting.limit.by_weight else f"{setting.limit.words} is"
        return f"no setting: {what} below {setting.floor.words}"
    if setting.decided_by == "ceiling":
        if setting.limit.kind == "headroom":
            return f"the weight ends here, {percent(setting.case.field.aim.headroom)} in hand"
        if setting.limit.by_weight:
            return "more may lift the frame"
        return f"{setting.limit.words} is here"
    return {
        "floor": setting.floor.words,
        "wanted load": "",
        "share": "set for the wanted share of rows",
        "best": "set where most rows have enough",
        "packing": "more makes too many rows pack",
    }[setting.decided_by]


def _pressures(units, lowest, top):
    low, high = (float(units.number("pressure", p)) for p in (lowest, top))
    for step in STEPS[units.name]:
        first = (floor(low / step) + 1) * step
        between = np.arange(first, high, step)
        # A line right beside an end says nothing new.
        between = between[(between - low > 0.5 * step) & (high - between > 0.5 * step)]
        if len(between) + 2 <= MOST_LINES:
            break
    inside = units.si("pressure", between)
    return np.array([top]) if top - lowest < BARE else np.concatenate([[lowest], inside, [top]])


def _column(drill, field, setting, pressures, units):
    loads = opener_loads(drill.opener, drill.cylinder, field.opener_soil, 0.0, pressures)
    lift = float(setting.lift.lowest)
    texts = (
        "frame lifts"
        if pressure > lift + BARE
        else _load_text(*found, field.target_depth, units)
        + (" *" if pressure > setting.ceiling + BARE else "")
        for pressure, *found in zip(pressures, loads.regime, loads.gauge_wheel_load, loads.depth, strict=True)
    )
    return list(zip(map(float, loads.gauge_wheel_load), texts, strict=True))


def _load_text(regime, load, depth, target_depth, units):
    if regime == "at depth":
        return units.both("force", load)
    if regime == "not at depth":
        short = units.both("length", depth)
        return f"shallow: {'just under ' if short == units.both('length', target_depth) else ''}{short}"
    return str(regime)


def _lift_line(drill, field, units, hopper, fill, setting):
    limits = pressure_limits(drill)
    setting = setting or recommend(drill, field, hopper_fill=fill)
    lift, highest = float(setting.lift.lowest), limits.highest
    parts = f"{limits.top.words} ends at {at_most(units, highest)}"
    by_lift = f"{at_most(units, lift)}, {lift_range_words(setting.lift_interval, units)}"
    return LiftLine(
        hopper=hopper,
        gauge_pressure=min(lift, highest),
        ceiling=setting.ceiling,
        lift_text=by_lift if lift < highest else parts,
        ceiling_text=at_most(units, setting.ceiling),
    )


LEAST = 1e5
"""Below this no band is worked out: the card says not to sow there [Pa]."""

LABELS = ("At the cylinders", "Short of oil", "Not reached")
"""How the lines begin: what cylinders get, what the tractor cannot give, what the drill does not bear [-]."""


def start_band(drill: Drill, field: Field, gauge_pressure: Pascal) -> OilBand | None:
    """Band of the pressure at the cylinders at a start pressure."""
    return oil_band(drill, field, gauge_pressure) if gauge_pressure >= LEAST else None


def oil_lines(band: OilBand | None, units: UnitSystem) -> tuple[tuple[str, str], ...]:
    """Labels and texts of the card's lines about the oil.

    units: which system comes first.
    Result: what the cylinders get, in both systems, with the parts of its width; another line where the
        tractor cannot give what the ground asks for, and one where more is reckoned than the drill bears.
        None at all without a band.
    """
    if band is None:
        return ()
    lines = []
    if band.width > 0:
        low, high = band.fed_low, band.fed_high
        ends = " ".join(
            form.format(f"{_number(system, low)} to {system.show('pressure', high)}")
            for form, system in (("{}", units), ("({})", units.other))
        )
        ends = band.reached(high, ends)
        if ends == MORE_THAN_BORNE:
            ends = f"{units.both('pressure', low)} to {ends}"
        step, droop, hoses = (_number(units, p) for p in (band.valve_band, band.droop, band.line_loss))
        lines.append(
            (
                LABELS[0],
                f"{ends} at work, oil {units.both('temperature', band.oil_temperature)}: valve {step}, "
                f"droop {droop}, hoses {hoses} {units.unit('pressure')}",
            )
        )
    if not band.supplied:
        asked, given = (units.both("flow", flow) for flow in (band.asked_flow, band.supply_flow))
        lines.append((LABELS[1], f"on {percent(band.starved)} of the way: asked {asked}, given {given}"))
    if band.first is not None:
        lines.append((LABELS[2], band.beyond_words(lambda limit: at_most(units, limit))))
    return tuple(lines)


def _number(units, pressure):
    return units.show("pressure", pressure).replace(units.unit("pressure"), "").strip()


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
