"""What to mark on the drill's gauge: a band for each soil of the season, the floor and today's red line."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, inf, log10

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.unit_display import UnitSystem
from downforce.physics.kinds import Amounts, Pascal, Ratio
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.pressure_setting import PressureSetting, gauge_error, recommend
from downforce.study.setting.reasons import inside
from downforce.study.setting.verdict import rows_in_ten

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
