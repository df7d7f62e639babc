"""It turned dry, wet, harder or softer since the gauge was set: soil and slot wall, answered in steps."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.field import Field
from downforce.study.pressure_setting import PressureSetting
from downforce.study.setting.todays_field import HEAVY_LOAD

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
    from downforce.study.pressure_setting import recommend

    case = setting.case
    field = turned(case.field, how)
    moved = case.moved(case.drill, field)
    there = recommend(case.drill, field, moved.sample, case.hopper_fill, units, setting)
    if not (setting.exists and there.exists):
        return Turn(how, field, there, 0, False)
    now, step = setting.to_set(units), units.gauge_step
    wanted = there.up_to()
    room = int(np.floor((there.ceiling - now) / step + 1e-6))
    steps = min(round((there.setting - now) / step), room)
    return Turn(how, field, there, steps, round((wanted - now) / step) > steps)
