"""What the gauge shows, how wide a reading is, and what to mark on its face.

The face has a band for each soil of the season, the floor and today's red line. From gauge to gauge wheel:
cylinder force, down force, what soil and draft leave of it; gauge, valve, seals and oil, moving or standing,
make the width. A field of today is the same ground with another soil; that it turned dry, wet, harder or
softer is answered in steps.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import floor, hypot, inf, log10

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field, Soil
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Amounts, Metre, Newton, Pascal, Ratio
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.field_check import standing_load
from downforce.study.kept import kept
from downforce.study.oil.band import OilBand
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import PressureSetting, gauge_error, recommend
from downforce.study.rows import RowSample
from downforce.study.setting.reasons import inside, rows_in_ten

MIDDLE = (0.25, 0.75)
"""A dial gauge is read best in this share of its scale [-]; common practice (one maker's page seen)."""


@dataclass(frozen=True)
class GaugeBand:
    """Pressures that will do in one soil.

    kind: "soft", "usual" or "hard": its place among the soils of the season.
    low, high: ends of the band; never above the ceiling of this soil; NaN where there is no setting.
    start: what to set first: the setting recommended for this soil; NaN where there is none.
    beyond: whether the start lies above today's red line: today's soil lifts the frame first.
    in_reach: whether one row in ten or more has enough at the start.
    """

    kind: str
    name: str
    low: Pascal
    high: Pascal
    start: Pascal
    ceiling: Pascal
    beyond: bool
    in_reach: bool

    @property
    def exists(self):
        """Whether there is a setting in this soil."""
        return bool(np.isfinite(self.start))

    def to_set(self, units):
        """The start as a person can set it [Pa], as `PressureSetting.to_set` has it."""
        return inside(units, self.start, (self.low, self.high), self.ceiling)


@dataclass(frozen=True)
class GaugeFace:
    """A gauge with its marks.

    error: largest error of the gauge, the same all over the dial.
    floor_set_by: what keeps it from going lower.
    bands: from the softest soil to the hardest; they may overlap.
    red_line: never above this today: the low end of the lift in today's soil, or a part has its limit.
    """

    full_scale: Pascal
    error: Pascal
    floor: Pascal
    floor_set_by: str
    bands: tuple[GaugeBand, ...]
    red_line: Pascal
    red_line_set_by: str

    @property
    def lowest_ceiling(self):
        """Lowest ceiling of the soils that have a setting [Pa]; infinite where none has."""
        return min((band.ceiling for band in self.bands if band.exists), default=inf)

    @property
    def middle(self) -> Pascal:
        """The part of the dial that reads best, lowest and highest pressure."""
        return MIDDLE[0] * self.full_scale, MIDDLE[1] * self.full_scale


def gauge_face(
    drill: Drill,
    fields: Sequence[Field],
    hopper_fill: Ratio = 0.0,
    settings: Sequence[PressureSetting] | None = None,
    today: Field | None = None,
) -> GaugeFace:
    """Marks for the gauge of a drill, for the soils of a season.

    fields: one field for each soil; a single one gives the face for today.
    hopper_fill: share of a full hopper; the emptiest the operator allows.
    settings: one for each field, if they have been worked out already.
    today: the one of the fields that is sown today; the first if left out.

    Band and start are those recommended for each field, with its own lift. A dial has one red line: the low
    end of the lift in today's soil at this hopper fill, or the highest setting of the parts if that is lower.
    """
    if not fields:
        raise ValueError("fields is empty; give at least one field for the gauge to be marked for.")
    if settings is None:
        settings = [recommend(drill, field, hopper_fill=hopper_fill) for field in fields]
    if len(settings) != len(fields):
        raise ValueError(
            f"settings has {len(settings)} entries; give one for each of the {len(fields)} fields."
        )
    today = fields[0] if today is None else today
    if today not in fields:
        raise ValueError(f"today, {today.name!r}, is none of the fields; give one of them.")
    now = settings[list(fields).index(today)]
    pairs = sorted(zip(fields, settings, strict=True), key=lambda pair: pair[1].needed)
    limits = pressure_limits(drill)
    red_line, set_by = _red_line(today.name if len(pairs) > 1 else "", now, limits)
    return GaugeFace(
        full_scale=drill.hydraulics.gauge.full_scale,
        error=gauge_error(drill),
        floor=limits.lowest,
        floor_set_by=limits.floor.words,
        bands=_bands(pairs, red_line),
        red_line=red_line,
        red_line_set_by=set_by,
    )


def scale_ticks(full_scale: Pascal, units: UnitSystem) -> tuple[Amounts, Amounts]:
    """Numbers and strokes of a dial in one unit.

    Result [unit shown]: where numbers stand, and where the fine strokes stand; both begin at zero.

    Numbers every 1, 2 or 5 times a power of ten, at least four steps to the dial.
    """
    top = float(units.number("pressure", full_scale)) * (1.0 + 1e-9)
    power = 10.0 ** floor(log10(top / 4.0))
    lead = max(digit for digit in (1, 2, 5) if digit * power <= top / 4.0)
    major = lead * power
    minor = major / (4 if lead == 2 else 5)
    return np.arange(int(top / major) + 1) * major, np.arange(int(top / minor) + 1) * minor


def _red_line(name, setting, limits):
    if setting.red_line < limits.highest:
        where = f" in {name}" if name else ""
        return (
            setting.red_line,
            f"the frame may lift{where}: {setting.lift.first_section}, {setting.lift.first_support}",
        )
    return limits.highest, limits.top.words


def _bands(pairs, red_line):
    return tuple(
        GaugeBand(
            _kind(place, len(pairs)),
            field.name,
            *setting.band,
            setting.setting,
            setting.ceiling,
            bool(setting.setting > red_line),
            rows_in_ten(setting.shares).enough > 0,
        )
        for place, (field, setting) in enumerate(pairs)
    )


def _kind(place, count):
    if count > 1 and place == 0:
        return "soft"
    return "hard" if count > 2 and place == count - 1 else "usual"


@dataclass(frozen=True)
class LoadSteps:
    """The steps of one opener, each as felt at its gauge wheel's place.

    leverage: down force for one newton of it.
    draft_lift: what draft takes by lifting the arm; negative where it pulls the opener down.
    regime: "at depth" or what else.
    """

    gauge_pressure: Pascal
    cylinder_force: Newton
    leverage: Ratio
    down_force: Newton
    weight: Newton
    closing: Newton
    soil_reaction: Newton
    draft_lift: Newton
    gauge_wheel_load: Newton
    depth: Metre
    regime: str


def load_steps(drill: Drill, soil: Soil, gauge_pressure: Pascal, travel: Metre = 0.0) -> LoadSteps:
    """What a pressure becomes on the way to the gauge wheel of one opener.

    Result: down_force + weight - closing - soil_reaction - draft_lift is the gauge-wheel load wherever the
        gauge wheel stands as far from the pivot as the disc.
    """
    opener = drill.opener
    loads = opener_loads(opener, drill.cylinder, soil, travel, gauge_pressure)
    weight, closing, _, draft = (float(share) for share in opener.shares(loads.travel, loads.ground_travel))
    return LoadSteps(
        gauge_pressure=float(gauge_pressure),
        cylinder_force=float(loads.cylinder_force),
        leverage=float(loads.leverage),
        down_force=float(loads.down_force),
        weight=weight * opener.weight,
        closing=closing * float(loads.closing_wheel_load),
        soil_reaction=float(loads.soil_reaction),
        draft_lift=draft * float(loads.draft),
        gauge_wheel_load=float(loads.gauge_wheel_load),
        depth=float(loads.depth),
        regime=str(loads.regime),
    )


def change_for_closing(drill: Drill, soil: Soil, gauge_pressure: Pascal, closing_change: Newton) -> Newton:
    """Change of the gauge-wheel load when the closing-wheel spring is set otherwise.

    Result: more than the change itself where the closing wheel stands far behind the disc; less where the
        gauge wheel has nothing left to lose.
    """
    heavier = replace(drill.opener, closing_load=drill.opener.closing_load + closing_change)
    before, after = (
        load_steps(each, soil, gauge_pressure).gauge_wheel_load
        for each in (drill, replace(drill, opener=heavier))
    )
    return after - before


GAUGE_CLASSES = (0.006, 0.01, 0.016, 0.025, 0.04)
"""Largest error over full scale [-] of the classes a farm gauge is sold in: [EN837] table 11."""


@dataclass(frozen=True)
class ReadingWidth:
    """One reading and how far the gauge-wheel load may be from what it says.

    load_from_gauge, load_from_valve, load_from_friction, load_from_droop, load_from_lines: half-widths on the
        gauge wheel: gauge class, valve between giving and taking back, seal friction, and while oil moves the
        valve's droop and the loss in the hoses; the last two are 0 where the oil was left out.
    standing: after stopping, with the given share of the draft left in the soil.
    standing_free: after stopping, with all of the draft gone.
    """

    gauge_pressure: Pascal
    load_from_gauge: Newton
    load_from_valve: Newton
    load_from_friction: Newton
    load_from_droop: Newton
    load_from_lines: Newton
    moving: Newton
    standing: Newton
    standing_free: Newton

    @property
    def loads(self) -> Newton:
        """Half-widths on the gauge wheel, in the order of the attributes."""
        return (
            self.load_from_gauge,
            self.load_from_valve,
            self.load_from_friction,
            self.load_from_droop,
            self.load_from_lines,
        )

    @property
    def worst(self) -> Newton:
        """All at their end together."""
        return sum(self.loads)

    @property
    def likely(self) -> Newton:
        """Independent of each other: root of the sum of squares."""
        return hypot(*self.loads)


def reading_width(
    drill: Drill,
    soil: Soil,
    gauge_pressure: Pascal,
    accuracy: Ratio | None = None,
    draft_left: Ratio = 0.0,
    oil: OilBand | None = None,
) -> ReadingWidth:
    """What one reading of the gauge may mean at the gauge wheel.

    soil: what the soil asks while the drill moves.
    accuracy: largest error of the gauge over its full scale; the drill's own gauge if left out.
    draft_left: share of the draft that stays locked in the soil when the drill stops.
    oil: what moving oil does to the pressure, from `oil_band`; left out if not given.

    A half-width in pressure times area and leverage, over the gauge wheel's share. Droop and line loss are
    half of their parts of the oil's band, so one place in ten is outside of them. Where the tractor runs
    short of oil none of this holds: see `OilBand.starved`.
    """
    opener, cylinder, parts = drill.opener, drill.cylinder, drill.hydraulics
    accuracy = parts.gauge.accuracy if accuracy is None else accuracy
    errors = (
        accuracy * parts.gauge.full_scale,
        parts.valve.band / 2.0,
        cylinder.friction_force(gauge_pressure) / cylinder.area,
        oil.droop / 2.0 if oil else 0.0,
        oil.line_loss / 2.0 if oil else 0.0,
    )
    share = float(opener.shares(0.0, 0.0)[2])
    slope = cylinder.area * float(cylinder.leverage(opener, 0.0)) / share
    held = Soil(
        soil.reaction, soil.reference_depth, soil.target_depth, soil.exponent, soil.draft_ratio * draft_left
    )
    moving, standing = (
        float(opener_loads(opener, cylinder, each, 0.0, gauge_pressure).gauge_wheel_load)
        for each in (soil, held)
    )
    free = float(standing_load(opener, cylinder, soil, gauge_pressure))
    return ReadingWidth(gauge_pressure, *(error * slope for error in errors), moving, standing, free)  # type: ignore[call-arg]


HEAVY_LOAD = {"wet": 490.0, "moist": 890.0, "dry": 890.0}
"""Gauge-wheel load above which a row counts as packing [N].

Lower bounds of the medium (490 N) and of the heavy class (890 N) of a trial with a maize planter [HAN]. That
the lower one is taken for wet soil is common practice, no source.
"""


def todays_field(field, reaction, gauge_wheel_load, packing_twice=False):
    """The field with today's soil reaction at the target depth, outside tracks, and today's wish.

    The spread of the soil grows with its mean; the least load is never above the wanted one.
    """
    ratio = reaction / float(field.opener_soil.target_reaction)
    soil = replace(field.soil, reaction=field.soil.reaction * ratio, spread=field.soil.spread * ratio)
    aim = replace(
        field.aim,
        gauge_wheel_load=gauge_wheel_load,
        least_load=min(field.aim.least_load, gauge_wheel_load),
        packing_counts=2 if packing_twice else 1,
    )
    return replace(field, soil=soil, aim=aim)


def with_spread(sample: RowSample, height_spread: Metre, soil_spread: Newton) -> RowSample:
    """A sample stretched to other spreads of height and of soil.

    height_spread: wanted standard deviation of travel.
    soil_spread: wanted standard deviation of the reaction.
    Result: the same means and the same order of the openers, none accelerated; no reaction below zero.
    """
    travel = _stretched(sample.travel + sample.rise, height_spread)
    reaction = _stretched(sample.reaction, soil_spread).clip(min=0.0)
    level = np.zeros_like(travel)
    return replace(sample.at_rest(), travel=travel, rise=level, reaction=reaction, basis="the spreads chosen")


def _stretched(values, spread):
    present, mean = values.std(), values.mean()
    if spread == 0:
        return np.full_like(values, mean)
    # A sample of equal values has a spread of the last digit, not of zero.
    if present <= 1e-12 * (1.0 + abs(mean)):
        raise ValueError("The sample has no spread to stretch; draw one with some.")
    return mean + (values - mean) * (spread / present)


HARDER = 1.25
"""Soil reaction over what it was after one turn; 20 to 40 percent a day is common practice, no source."""
TURNS = {
    "drier": (HARDER, "dry"),
    "wetter": (1.0 / HARDER, "wet"),
    "harder": (HARDER, None),
    "softer": (1.0 / HARDER, None),
}
"""Factor on the soil reaction, and the moisture at seed depth where it changes; common practice."""


@dataclass(frozen=True)
class Turn:
    """What to do after the soil has turned.

    how: a key of `TURNS`.
    steps: whole steps of the gauge from today's setting, never past the ceiling there; none where there is no
        setting.
    held: whether the ceiling there keeps a step back that the rows ask for.
    """

    how: str
    field: Field
    setting: PressureSetting
    steps: int
    held: bool

    @property
    def words(self):
        """What to do, short, such as "2 steps up"."""
        if not self.setting.exists:
            return "stop, no setting"
        if self.steps == 0:
            return "leave it"
        return (
            f"{abs(self.steps)} step{'s' if abs(self.steps) > 1 else ''} {'up' if self.steps > 0 else 'down'}"
        )


def turned(field, how):
    """The field after its soil has turned: reaction, spread, moisture and what counts as packing together."""
    if how not in TURNS:
        raise ValueError(f"how = {how!r} is not known; there are: {', '.join(TURNS)}.")
    factor, moisture = TURNS[how]
    moisture = moisture or field.soil.moisture
    soil = replace(
        field.soil,
        reaction=field.soil.reaction * factor,
        spread=field.soil.spread * factor,
        moisture=moisture,
    )
    own = moisture == field.soil.moisture
    heavy = field.aim.heavy_load if own else HEAVY_LOAD[moisture]
    aim = replace(field.aim, heavy_load=max(heavy, field.aim.gauge_wheel_load))
    return replace(field, soil=soil, aim=aim)


def turn(setting, how, units):
    """What to do, from today's setting, when the soil has turned."""
    there = _turned_to(setting, how)
    field = there.case.field
    if not (setting.exists and there.exists):
        return Turn(how, field, there, 0, False)
    now, step = setting.to_set(units), units.gauge_step
    wanted = there.up_to()
    room = int(np.floor((there.ceiling - now) / step + 1e-6))
    steps = min(round((there.setting - now) / step), room)
    return Turn(how, field, there, steps, round((wanted - now) / step) > steps)


@kept(16)
def _turned_to(setting, how):
    case = setting.case
    field = turned(case.field, how)
    sample = case.moved(case.drill, field).sample
    return recommend(case.drill, field, sample, case.hopper_fill, setting)
