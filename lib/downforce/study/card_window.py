"""The window side of the card, words that no number stands in, and the table behind the page for the phone.

The window side is one number and what a driver must know at arm's length, in his units, with how much land a
full hopper or cart sows. The table is the rule's answer over soil, hopper and speed, for one drill: every
point is `recommend` for the field as it is there. Between points a page takes straight lines, of the rule's
pressure and of the ceiling each by itself, so that the corner where the weight ends stays a corner.
"""

import datetime
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from math import isfinite, nan

import numpy as np

from downforce.machine.doubts import uncertain_inputs
from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.plausible import unusual_line
from downforce.machine.shipped import is_shipped
from downforce.machine.units import UnitSystem
from downforce.physics.checks import between
from downforce.physics.kinds import Kilogram, MetresPerSecond, Newtons, Pascal, Ratio, Ratios, Texts
from downforce.study.cautions import WINDOW_CAUTION
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.frame_lift import lift_pressure
from downforce.study.pressure_setting import PressureSetting, gauge_error, recommend
from downforce.study.rows import at_speed
from downforce.study.setting.gauge_face import HARDER, HEAVY_LOAD, GaugeFace, Turn, gauge_face, turn
from downforce.study.setting.reasons import inside, limit_text, verdict_words
from downforce.study.setting.sureness import LiftChance, interval, lift_slopes

WHEAT_DENSITY = 770.0
"""Seed in bulk where the field does not say it [kg/m3]: wheat; guessed, seeds range from about 400 to 850."""


def seed_held(drill, field):
    """Seed that a full hopper or cart holds [kg]; NaN where the drill does not say it.

    The drill's own figure goes first, then its volume with the field's seed, then its hoppers' mass.
    """
    if drill.seed_mass is not None:
        return drill.seed_mass
    if drill.seed_volume is not None:
        return drill.seed_volume * (field.seed_density or WHEAT_DENSITY)
    return sum(hopper.mass for hopper in drill.hoppers) if drill.hoppers else nan


def area_to_refill(drill, field, hopper_fill=0.0):
    """Land sown from full down to a share of it [m2]; NaN where seed rate or what it holds is not known."""
    used = 1.0 - float(between("hopper_fill", hopper_fill, 0.0, 1.0))
    return used * seed_held(drill, field) / field.seed_rate if field.seed_rate else nan


RECORD = ("Date, time", "Field, crop", "Gauge", "Notch", "Soil feel", "Seed left", "Depths found", "Wheels")
"""Headings of the lines to fill by hand [-]."""

BASIS = {"dig": "from a dig", "reading": "from a reading", "estimate": "an estimate: dig before you trust it"}
"""Where a soil reaction comes from, in words [-]."""

FOUND = {"dig": "dug", "reading": "read", "estimate": "guessed"}
"""The same in one word, for the window [-]."""

MARKS = {
    "measured": "Measured",
    "weighed": "Weighed",
    "drawing": "From a drawing",
    "said in the file": "Uncertainty from the file",
    "usual": "Not measured, taken as usual",
    "guessed": "Guessed",
}
"""How an input was come by, best known first: key and words [-]."""

GAUGE_TROUBLE = (
    (
        "Stuck: the needle stays where it is",
        "Tap it. Turn the valve two steps up and back, then open the dump: it must follow within 2 s.",
        "It proves nothing, not even zero: loosen nothing until a second gauge shows zero with the dump "
        "open. Clean or change snubber and gauge. Until then set by wheels and digs.",
    ),
    (
        "Zero off: not at zero with the dump open",
        "Drill down, engine off, dump open: note what it shows. If openers still push, oil is trapped, and "
        "the gauge is right.",
        "Take that off every reading, the red line included. At one step or more change the gauge.",
    ),
    (
        "Swings",
        "Look on level ground and over bumps, with cold and with warm oil. Jack one opener up 20 mm "
        "(3/4 in): a needle that hardly moves means air.",
        "Read the middle. Cold oil: wait. Air: bleed the far ends. Else a snubber, opened so far that the "
        "needle still follows a dip.",
    ),
    (
        "Dead after the lever",
        "Look at which lever position it falls to zero, and whether it comes back by itself within half a "
        "minute.",
        "That position dumps the line, or a coupler has not opened. Use the one that holds; set anew after "
        "the headland, and do not sow below the number.",
    ),
)
"""What the gauge does, how to try it, what to do; common practice, no source [-]."""

LEFT_OUT = (
    "Loads are the mean row's, without bumps; shares of rows are counted on the field. Left out: side "
    "forces. Checks, minutes and decisions: common practice, no source. The field decides."
)
"""What the numbers of the card do not hold [-]."""


def window_checks(units):
    """Three checks for the window, in the driver's units [-]; common practice, no source."""
    way = "15 m" if units.name == "metric" else "50 ft"
    return (
        "Oil warm, frame level, stops alike.",
        f"Sow {way}, stop, dig five seeds in six rows.",
        "Frame wheel skids: stop raising.",
    )


def checks(drill: Drill) -> tuple[str, ...]:
    """What to check, and when; common practice, no source.

    Result: one line for each check.
    """
    end = "wing tip" if drill.hinges else "end"
    ranks = ("", "; both ranks", "; all ranks")[min(len(drill.rank_x), 3) - 1]
    hopper = " half hopper," if drill.seed_on_frame else ""
    return (
        "First: oil warm (10 to 20 min), lift cycled, frame level, stops alike.",
        "Sow 15 m (50 ft) at working speed; stop without lifting.",
        "Turn every gauge wheel by hand. A standing wheel feels heavier.",
        f"Dig 5 seeds in each of 6 rows: 2 mid, 2 {end}, 2 track{ranks}.",
        f"Again: mid-morning, mid-afternoon, dew, new field,{hopper} rain.",
        "Stop raising if a frame wheel skids or leaves a faint mark.",
    )


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
        checks=window_checks(units),
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
    soil = "invented" if is_shipped(field) else FOUND[field.soil.basis]
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


TURNS_EACH_WAY = 3
"""How many turns of the soil the table goes to either side of today's [-]."""
SPEEDS = (0.75, 1.0, 1.25)
"""Speeds of the table over the field's own [-]."""
HOPPER_FILLS = (0.0, 0.5, 1.0)
"""Fills of the table where the seed rides on the frame [-]."""
VALUES = (
    *("rule", "ceiling", "low", "high", "red_line", "lift"),
    *("enough", "short", "packing", "not_at_depth"),
)
"""Numbers at each point: pressures [Pa], then shares of the rows [-]."""


@dataclass(frozen=True)
class PhoneTable:
    """What a page for the phone needs to know of a drill on a field.

    reactions (soils,): soil reaction at the target depth; today's in the middle.
    moistures: place in the first axis of the values, for each moisture at seed depth.
    fills (fills,): share of a full hopper; one only where no seed rides on the frame.
    speeds (speeds,): of work.
    values (moistures, speeds, fills, soils): by the names of `VALUES`; NaN where there is no setting.
    first (moistures, speeds, fills, soils): what lifts first there.
    seed: what a full hopper or cart holds; NaN where it is not known.
    """

    reactions: Newtons
    moistures: dict[str, int]
    fills: Ratios
    speeds: MetresPerSecond
    values: dict[str, Ratios]
    first: Texts
    floor: Pascal
    seed: Kilogram


def field_there(field, turns, moisture, speed):
    """The field after so many turns of its soil, at that moisture and speed.

    As one turn of `turned`, for several: a turn makes soil and spread harder by the same factor.
    """
    factor, soil = HARDER**turns, field.soil
    heavy = field.aim.heavy_load if moisture == soil.moisture else HEAVY_LOAD[moisture]
    heavy = max(heavy, field.aim.gauge_wheel_load)
    now = replace(soil, reaction=soil.reaction * factor, spread=soil.spread * factor, moisture=moisture)
    there: Field = replace(field, soil=now, aim=replace(field.aim, heavy_load=heavy))
    return there if speed == field.speed else at_speed(there, speed)


def phone_table(drill: Drill, field: Field, progress: Callable | None = None, stop=None) -> PhoneTable | None:
    """Work the table out.

    field: today's field, in the middle of the table.
    progress: called with the share that is done, 0 to 1.
    stop: once set, no more is worked out and the answer is None.
    """
    turns = np.arange(-TURNS_EACH_WAY, TURNS_EACH_WAY + 1)
    fills = HOPPER_FILLS if drill.seed_on_frame else (0.0,)
    speeds = sorted({min(max(field.speed * share, 0.3), 8.0) for share in SPEEDS})
    moistures, kinds = _moistures(field)
    shape = len(kinds), len(speeds), len(fills), len(turns)
    values = {name: np.full(shape, np.nan) for name in VALUES}
    first = np.empty(shape, dtype=object)
    base = recommend(drill, field)
    for count, (v, f, s) in enumerate(np.ndindex(shape[1:])):
        if stop is not None and stop.is_set():
            return None
        like = None
        for m, moisture in enumerate(kinds):
            there = field_there(field, int(turns[s]), moisture, speeds[v])
            sample = base.case.moved(drill, there).sample
            # What packs has no say in the lift, so a second moisture keeps its slopes.
            found = like = recommend(drill, there, sample, fills[f], like)
            for name, value in _point(found).items():
                values[name][m, v, f, s] = value
            first[m, v, f, s] = f"{found.lift.first_section}, {found.lift.first_support}"
        if progress is not None:
            progress((count + 1) / np.prod(shape[1:]))
    return PhoneTable(
        reactions=float(field.opener_soil.target_reaction) * HARDER ** turns.astype(float),
        moistures=moistures,
        fills=np.array(fills),
        speeds=np.array(speeds),
        values=values,
        first=first,
        floor=base.floor.gauge_pressure,
        seed=seed_held(drill, field),
    )


def _moistures(field):
    """Place of each moisture in the table, and one moisture for each place; those that pack alike share."""
    places, kinds, loads = {}, [], []
    for moisture in (field.soil.moisture, *HEAVY_LOAD):
        heavy = field_there(field, 0, moisture, field.speed).aim.heavy_load
        if heavy not in loads:
            loads.append(heavy)
            kinds.append(moisture)
        places.setdefault(moisture, loads.index(heavy))
    return places, kinds


def _point(found):
    shares = found.shares
    return {
        "rule": found.up_to(),
        "ceiling": found.ceiling,
        "low": found.band[0],
        "high": found.band[1],
        "red_line": found.red_line,
        "lift": float(found.lift.lowest),
        "enough": shares.enough,
        "short": shares.short,
        "packing": shares.packing,
        "not_at_depth": shares.not_at_depth,
    }
