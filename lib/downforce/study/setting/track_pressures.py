"""What the rows in wheel tracks and the others are set to where each have a circuit of their own."""

import numpy as np

from downforce.physics.kinds import Pascals
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.frame_lift import sections_with_headroom
from downforce.study.setting.row_needs import row_needs
from downforce.study.setting.sureness import the_rule


def track_pressures(setting):
    """Gauge pressures of the rows outside tracks and in them [Pa]; None where no row or every row is in one.

    The others follow the rule by themselves. Those in tracks get what they need, within the parts and what
    the weight of their sections still holds.
    """
    case = setting.case
    drill, field, sample = case.drill, case.field, case.sample
    if not sample.in_track.any() or sample.in_track.all():
        return None
    aim, limits = field.aim, pressure_limits(drill)
    outside, inside = (
        row_needs(drill, field, sample.where(where)) for where in (~sample.in_track, sample.in_track)
    )
    rows = outside.best, outside.for_share(aim.share_in), outside.packing_at
    out = float(the_rule(limits.lowest, setting.ceiling, setting.needed, *rows))
    wish = max(setting.needed_in_tracks, min(inside.best, inside.for_share(aim.share_in), inside.packing_at))
    return out, max(min(wish, limits.highest, _room(setting, out)), out)


def section_ceilings(setting) -> Pascals:
    """Highest mean pressure over the rows of each section that its weight allows.

    The section that goes first has the ceiling of the setting; another as much more as its own headroom and
    its own chance of lift lie higher. Hinges hand on what lifts a wing towards the hitch, never outwards, so
    no section has more than those between it and the hitch.
    """
    case = setting.case
    drill, field = case.drill, case.field
    headroom = sections_with_headroom(drill, field.opener_soil, setting.lift, field.aim.headroom)
    own = np.minimum(headroom, setting.chance.highest_of_sections)
    if not np.isfinite(own.min()):
        return own
    hitched = drill.section_index(drill.hitch.section)
    left, right = own[: hitched + 1], own[hitched:]
    carried = [np.minimum.accumulate(left[::-1])[::-1][:-1], np.minimum.accumulate(right)]
    return setting.ceiling + np.concatenate(carried) - own.min()


def _room(setting, outside):
    drill, field = setting.case.drill, setting.case.field
    section = drill.row_section
    rows, tracked = np.bincount(section), np.bincount(section, weights=field.rows_in_tracks(drill))
    held = tracked > 0
    room = outside + (section_ceilings(setting) - outside)[held] * rows[held] / tracked[held]
    return float(room.min())
