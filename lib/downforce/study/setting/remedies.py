"""What would help where rows stay short: each way tried by the same rule, ranked by the rows it gains.

Among them is a circuit of their own for the rows in wheel tracks, with what they and the others are then set
to.
"""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Load
from downforce.machine.shipped import read_table
from downforce.machine.unit_table import UnitSystem
from downforce.machine.units import unit_system
from downforce.physics.kinds import Pascal, Pascals, Ratio
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.frame.ballast import ballast_plan
from downforce.study.frame_lift import sections_with_headroom
from downforce.study.ground.motion import ridden
from downforce.study.opener_loads import opener_loads
from downforce.study.rows import LoadShares, at_speed, load_shares, sample_loads
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
    case, section = setting.case, setting.case.drill.row_section
    counted = ~case.drill.row_on_springs, _on_oil_in_tracks(case)
    rows, tracked = (np.bincount(section, which) for which in counted)
    held = tracked > 0
    room = outside + (section_ceilings(setting) - outside)[held] * rows[held] / tracked[held]
    return float(room.min())


def _on_oil_in_tracks(case):
    return case.field.rows_in_tracks(case.drill) & ~case.drill.row_on_springs


SEAT, YARD, SHOP = "from the seat", "in the yard", "in the shop"
"""Where a remedy is done, the nearest first."""
STEP_OF_ROWS = 0.05
"""Remedies that gain rows within the same step count as alike; then the nearer one goes first."""
_SLOWER, _SLOWEST = 2 / 3.6, 5 / 3.6
_SHALLOWER = 0.01
_SHALLOWEST = 0.015
_LIGHTER = 0.6
_UNEVEN = 0.003
_PARTS_OF_THE_WAY = (1.0, 0.5, 0.25)


@dataclass(frozen=True)
class Remedy:
    """One thing that could be done, and what the rows would carry then.

    kind: "slower", "shallower", "closing wheel", "level", "weight", "track circuit", "cylinder", "valve" or
        "hose".
    place: where it is done: `SEAT`, `YARD` or `SHOP`.
    meets_aim: whether the wanted share of the rows has the least load then.
    """

    kind: str
    words: str
    place: str
    setting: Pascal
    shares: LoadShares
    gained: Ratio
    meets_aim: bool


def remedies(setting, units: UnitSystem | None = None):
    """Every remedy that could be tried on a setting, the best first; those that lose rows last.

    units: of the words; those of the drill's owner if left out.
    """
    show = (units or unit_system(setting.case.drill.units)).show
    tries = (_slower, _shallower, _closing, _level, _weight, _track_circuit, _cylinder, _parts)
    found = [one for attempt in tries if (one := attempt(setting, show)) is not None]
    order = (SEAT, YARD, SHOP)
    return tuple(
        sorted(
            found, key=lambda one: (-round(one.gained / STEP_OF_ROWS), order.index(one.place), -one.gained)
        )
    )


def _answer(setting, kind, words, place, drill=None, field=None, sample=None):
    """The same rule on something changed, the distances of its limits kept."""
    from downforce.study.pressure_setting import recommend

    case = setting.case
    moved = case.moved(drill or case.drill, field or case.field)
    there = recommend(moved.drill, moved.field, sample or moved.sample, case.hopper_fill, setting)
    gained = there.shares.enough - setting.shares.enough
    return Remedy(kind, words, place, there.setting, there.shares, gained, there.aim_met)


def _slower(setting, show):
    field = setting.case.field
    speed = max(field.speed - _SLOWER, _SLOWEST)
    if speed >= field.speed:
        return None
    words = f"Drive {show('speed', speed)} instead of {show('speed', field.speed)}"
    return _answer(setting, "slower", words, SEAT, field=at_speed(field, speed))


def _shallower(setting, show):
    field = setting.case.field
    depth = field.target_depth - _SHALLOWER
    if depth < _SHALLOWEST:
        return None
    words = (
        f"Set the depth stops to {show('length', depth)} instead of {show('length', field.target_depth)}, "
        "where the crop allows it"
    )
    return _answer(setting, "shallower", words, YARD, field=replace(field, target_depth=depth))


def _closing(setting, show):
    drill = setting.case.drill
    load = _LIGHTER * drill.opener.closing_load
    if load <= 0:
        return None
    words = (
        f"Set the closing wheels to {show('force', load)} instead of "
        f"{show('force', drill.opener.closing_load)}, where the slots still close"
    )
    lighter = replace(drill, opener=replace(drill.opener, closing_load=load))
    return _answer(setting, "closing wheel", words, YARD, drill=lighter)


def _level(setting, show):
    """Ranks and sections that stand higher or lower than the rest on the mean of the field."""
    case = setting.case
    drill, sample = case.drill, case.sample
    group = drill.row_section[sample.row] * len(drill.rank_x) + drill.row_rank[sample.row]
    free = ~sample.in_track
    count = np.bincount(group, free)
    mean = np.bincount(group, (sample.travel + sample.rise) * free) / np.maximum(count, 1)
    uneven = float(np.ptp(mean[count > 0])) if np.any(count > 0) else 0.0
    if uneven < _UNEVEN:
        return None
    levelled = replace(sample, travel=sample.travel - mean[group])
    words = f"Level the frame at work: its ranks and sections stand {show('length', uneven)} apart"
    return _answer(setting, "level", words, YARD, sample=levelled)


def _weight(setting, show):
    """Least ballast that lifts the ceiling to where the rows want it, or the part of it that helps most."""
    case = setting.case
    if not setting.limit.by_weight:
        return None
    wish = setting.up_to(pressure_limits(case.drill).highest)
    found = [_heavier(setting, part * (wish - setting.ceiling), show) for part in _PARTS_OF_THE_WAY]
    return max((one for one in found if one is not None), key=lambda one: one.gained, default=None)


def _heavier(setting, rise, show):
    """What the least ballast brings that raises the lift so far; None where none is needed or allowed."""
    case = setting.case
    if rise <= 0:
        return None
    # The ceiling keeps its distance to the lift: what is kept in hand must not be asked for twice.
    plan = ballast_plan(
        case.drill,
        case.field.opener_soil,
        _load_at(case, float(setting.lift.lowest) + rise, -float(setting.lift.rise)),
        headroom_share=0.0,
        hopper_fill=case.hopper_fill,
    )
    if not plan.feasible or plan.total < 1.0:
        return None
    loads = [(place, float(mass)) for place, mass in zip(plan.places, plan.mass, strict=True) if mass >= 1.0]
    ballast = tuple(Load(place.section, mass, place.centre) for place, mass in loads)
    where = ", ".join(f"{show('mass', mass)} {place.name}" for place, mass in loads)
    if plan.road_before is not None and plan.road_before.broken.any():
        where += "; on the road the drill is over its limits even without it"
    heavier = replace(case.drill, ballast=(*case.drill.ballast, *ballast))
    return _answer(setting, "weight", f"Add weight: {where}", SHOP, drill=heavier)


def _track_circuit(setting, show):
    """Rows in tracks at a pressure of their own."""
    case = setting.case
    drill, field, sample = case.drill, case.field, case.sample
    pressures = track_pressures(setting)
    if pressures is None:
        return None
    out, own = pressures
    pressures = np.where(sample.in_track, own, out)
    sample = ridden(drill, field, sample, drill.cylinder, pressures, hopper_fill=case.hopper_fill)
    loads = sample_loads(drill.opener, drill.cylinder, field, sample, pressures)
    words = (
        f"Give the {_on_oil_in_tracks(case).sum()} rows in wheel tracks a circuit of their own, "
        f"at {show('pressure', own)}; the others at {show('pressure', out)}"
    )
    shares = load_shares(loads, field.aim, field.target_depth)
    gained = shares.enough - setting.shares.enough
    met = 1.0 - shares.short >= field.aim.share_in - 1e-4
    return Remedy("track circuit", words, SHOP, out, shares, gained, met)


def _cylinder(setting, _show):
    """A size up where parts end the pressure, a size down where the lowest setting is too much."""
    drill = setting.case.drill
    up = setting.decided_by == "ceiling" and not setting.limit.by_weight
    down = setting.decided_by == "floor" and setting.shares.packing > setting.shares.short
    if not up and not down:
        return None
    acting = drill.cylinder.works.acting
    sizes = read_table("cylinder_sizes")
    sizes = sizes[sizes["kind"] == acting].sort_values("size_mm")
    own = 1e3 * drill.cylinder.acting_diameter
    near = sizes[sizes["size_mm"] > 1.02 * own] if up else sizes[sizes["size_mm"] < 0.98 * own][::-1]
    if not len(near):
        return None
    size = near.iloc[0]
    words = f"Fit cylinders of {size.label} {acting}"
    return _answer(
        setting,
        "cylinder",
        words,
        SHOP,
        drill=replace(drill, cylinder=drill.cylinder.of_size(1e-3 * size.size_mm)),
    )


def _parts(setting, show):
    """A valve of wider range, or stronger hoses, where they end the pressure."""
    drill = setting.case.drill
    hydraulics, kind = drill.hydraulics, setting.limit.kind
    if setting.decided_by == "floor" and setting.floor.kind == "valve":
        valve = replace(hydraulics.valve, min_pressure=hydraulics.supply.return_pressure)
        words = f"Fit a valve that goes down to {show('pressure', valve.min_pressure)}"
        return _answer(setting, "valve", words, SHOP, drill=_with(drill, valve=valve))
    if setting.decided_by != "ceiling" or kind not in ("valve", "rating"):
        return None
    top = min(hydraulics.valve.relief_pressure, hydraulics.supply.max_pressure, drill.cylinder.rated_pressure)
    if kind == "valve":
        valve = replace(hydraulics.valve, max_pressure=top)
        words = f"Fit a valve that goes up to {show('pressure', top)}"
        return _answer(setting, "valve", words, SHOP, drill=_with(drill, valve=valve))
    most = hydraulics.supply.max_pressure
    header, drop = (
        replace(hose, rated_pressure=max(hose.rated_pressure, most))
        for hose in (hydraulics.header, hydraulics.drop)
    )
    words = f"Fit hoses rated for the tractor's maximum, {show('pressure', most)}"
    return _answer(setting, "hose", words, SHOP, drill=_with(drill, header=header, drop=drop))


def _with(drill, **parts):
    return replace(drill, hydraulics=replace(drill.hydraulics, **parts))


def _load_at(case, gauge_pressure, travel=0.0):
    drill, soil = case.drill, case.field.opener_soil
    return float(opener_loads(drill.opener, drill.cylinder, soil, travel, gauge_pressure).gauge_wheel_load)
