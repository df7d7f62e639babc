"""The table behind the page for the phone: the rule's answer over soil, hopper and speed, for one drill.

Every point is `recommend` for the field as it is there. Between points a page takes straight lines, of the
rule's pressure and of the ceiling each by itself, so that the corner where the weight ends stays a corner.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.kinds import Kilogram, MetresPerSecond, Newtons, Pascal, Ratios, Texts
from downforce.study.card.refill import seed_held
from downforce.study.openers.row_sample import at_speed
from downforce.study.pressure_setting import recommend
from downforce.study.setting.todays_field import HEAVY_LOAD
from downforce.study.setting.turned import HARDER

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
            found = like = recommend(drill, there, sample, fills[f], None, like)
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
