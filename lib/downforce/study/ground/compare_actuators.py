"""Spring against cylinder on the same ground, each set by the same criterion."""

from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.kinds import Amount, Amounts, Newton, Newtons, Pascal, Ratio, Ratios
from downforce.study.field_pass import FieldPass, press
from downforce.study.ground.crossing import Crossing
from downforce.study.ground.pass_report import load_at_depth
from downforce.study.rows import LoadShares, OpenerTable

CRITERIA = ("best", "share in", "worst quarter")
"""Most openers with enough; the aim's share of all in; that share of the worst quarter of rows in [-]."""

SETTINGS = 41
"""Settings tried at equal steps before the answer is narrowed down [-]."""

PASSED = 17
"""Settings of a sweep at which all openers are ridden and counted [-]."""

_HALVINGS = 12


@dataclass(frozen=True)
class Setting:
    """An actuator at one setting.

    value [m or Pa]: turn of the spring's adjuster or gauge pressure.
    """

    actuator: Any
    value: Amount
    gauge_pressure: Pascal | None = None


@dataclass(frozen=True)
class Compared:
    """One actuator, set by one criterion.

    name: "spring" or "cylinder".
    met: False if no setting in reach meets the criterion; the setting is then the one that comes nearest.
    shares: how evenly the gauge wheels are loaded.
    worst_quarter_in: share of the openers in, in the quarter of rows that fares worst.
    """

    criterion: str
    name: str
    setting: Setting
    met: bool
    shares: LoadShares
    worst_quarter_in: Ratio
    field_pass: FieldPass


@dataclass(frozen=True)
class Sweep:
    """An actuator over all its settings.

    `PASSED` of the settings get a pass of their own; between these the shares follow a smooth curve without
    humps of its own, on shipped drills and fields within 0.015 of a pass.

    name: "spring" or "cylinder".
    values [m or Pa]: settings tried, rising.
    """

    name: str
    drill: Any
    field: Any
    crossing: Any
    values: Amounts
    share_in: Ratios
    packing: Ratios
    enough: Ratios
    worst_quarter_in: Ratios
    mean: Newtons


def sweep_settings(
    drill: Drill, field: Field, crossing: Crossing, name, values: Amounts | None = None
) -> Sweep:
    """Shares of short, enough and packing openers over all settings of one actuator.

    name: "spring" or "cylinder".
    values [m or Pa]: settings to try, rising; equal steps over all that can be reached when left out.
    Result: one element for each setting.
    """
    values = np.linspace(*setting_range(drill, name), SETTINGS) if values is None else np.asarray(values)
    places = np.unique(np.linspace(0, len(values) - 1, min(PASSED, len(values))).round().astype(int))
    found = np.array([_counted(drill, field, crossing, name, values[place]) for place in places])
    if len(places) < len(values):
        found = _smooth(values[places], found, values)
    share_in, packing, worst_quarter, mean = found.T
    return Sweep(
        name, drill, field, crossing, values, share_in, packing, share_in - packing, worst_quarter, mean
    )


def setting_range(drill: Drill, name) -> tuple[Amount, Amount]:
    """Settings that a spring's adjuster or the valve can reach.

    name: "spring" or "cylinder".
    Result [m or Pa]: for a spring from just slack to just coil-bound at working height; for a cylinder up to
        the valve's highest pressure.
    """
    if name == "cylinder":
        valve = drill.hydraulics.valve
        return valve.min_pressure, min(valve.max_pressure, drill.cylinder.rated_pressure)
    spring = drill.spring
    at_work = float(spring.turned_to(0.0).spring_length(spring.length(drill.opener, 0.0)))
    slack = max(coil.free_length for coil in spring.coils)
    solid = max(coil.solid_length for coil in spring.coils)
    # Coil-bound a little above working height, or the disc could not rise at all.
    return at_work - slack, at_work - solid - 0.1 * (slack - solid)


def level_pressure(drill: Drill, field: Field, gauge_wheel_load: Newton) -> Pascal:
    """Gauge pressure that leaves a load on the gauge wheel on level ground in the field's mean soil.

    Result: within the valve's range; at its end where the load wanted lies beyond.
    """
    table = OpenerTable(drill.opener, drill.cylinder)
    zero = np.zeros(1)
    reaction = np.array([field.soil.reaction])

    def left(pressure):
        return load_at_depth(drill, field, table, zero, reaction, 0.0, 0.0, field.speed, pressure).item()

    per_pascal = (left(1e5) - left(0.0)) / 1e5
    return float(np.clip((gauge_wheel_load - left(0.0)) / per_pascal, *setting_range(drill, "cylinder")))


def set_to(drill: Drill, name, value: Amount) -> Setting:
    """Spring or cylinder of a drill at a setting.

    name: "spring" or "cylinder".
    value [m or Pa]: turn of the adjuster or gauge pressure.
    """
    if name == "spring":
        return Setting(drill.spring.turned_to(value), float(value))
    return Setting(drill.cylinder, float(value), float(value))


def worst_quarter_in(field_pass: FieldPass) -> Ratio:
    """Share of the openers with the least load or more, in the quarter of rows that fares worst."""
    by_row = np.sort((field_pass.gauge_wheel_load >= field_pass.field.aim.least_load).mean(axis=0))
    return float(by_row[: max(1, round(by_row.size / 4))].mean())


def chosen(sweep: Sweep, criterion, share_in: Ratio | None = None, as_tried=False) -> Compared:
    """The setting a criterion asks for, and what it gives.

    share_in: share that must be in; the field's own aim when left out.
    Result: the lowest setting that meets the criterion, narrowed down between two settings tried.
    """
    if criterion not in CRITERIA:
        raise ValueError(f"A criterion is one of {', '.join(CRITERIA)}; got {criterion!r}.")
    share_in = sweep.field.aim.share_in if share_in is None else share_in
    last = len(sweep.values) - 1

    def judged(value):
        return _judged(sweep, criterion, float(value))

    def worth(compared):
        if criterion == "worst quarter":
            return compared.worst_quarter_in
        return compared.shares.enough if criterion == "best" else 1 - compared.shares.short

    @cache
    def tried(place):
        return judged(sweep.values[place])

    def got(place):
        return worth(tried(place))

    def top(place):
        """The best of the settings around one, by their own passes."""
        while True:
            around = range(max(0, place - 1), min(last, place + 1) + 1)
            best = max(around, key=lambda one: (got(one), one == place))
            if best == place:
                return place
            place = best

    if criterion == "best":
        place = top(int(np.argmax(sweep.enough)))
        if as_tried:
            return tried(place)
        return judged(finest(sweep.values, place, lambda value: worth(judged(value))))
    reached = sweep.share_in if criterion == "share in" else sweep.worst_quarter_in
    enough = np.flatnonzero(reached >= share_in)
    # The sweep says where to look; whether a setting meets the criterion its own pass says.
    place = int(enough[0]) if enough.size else last
    while place < last and got(place) < share_in:
        place += 1
    if got(place) < share_in:
        place = top(int(np.argmax(reached)))
        if got(place) < share_in:
            return replace(tried(place), met=False)
    while place > 0 and got(place - 1) >= share_in:
        place -= 1
    if place == 0 or as_tried:
        return tried(place)
    low, high = sweep.values[place - 1], sweep.values[place]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if worth(judged(middle)) >= share_in else (middle, high)
    return judged(high)


def finest(values, best, enough_at):
    """Setting with most openers with enough, looked for again around the best one tried."""
    tried = np.linspace(values[max(0, best - 1)], values[min(len(values) - 1, best + 1)], 9)
    return float(tried[int(np.argmax([enough_at(value) for value in tried]))])


def _judged(sweep, criterion, value):
    setting = set_to(sweep.drill, sweep.name, value)
    done = press(sweep.drill, sweep.field, sweep.crossing, setting.actuator, setting.gauge_pressure)
    return Compared(criterion, sweep.name, setting, True, done.shares(), worst_quarter_in(done), done)


def _counted(drill, field, crossing, name, value):
    """Shares in, packing and in of the worst quarter, and mean load, of a pass at one setting."""
    setting = set_to(drill, name, value)
    done = press(drill, field, crossing, setting.actuator, setting.gauge_pressure)
    shares = done.shares()
    return 1 - shares.short, shares.packing, worst_quarter_in(done), shares.mean


def _smooth(known, found, values):
    """A curve through columns of values that rises and falls only where they do, by harmonic means of slopes.

    Fritsch and Butland's way (from memory); scipy's takes a third of a second to import.
    """
    width = np.diff(known)[:, None]
    rise = np.diff(found, axis=0) / width
    before, after = rise[:-1], rise[1:]
    same = before * after > 0
    middle = np.where(same, 2 * before * after / np.where(same, before + after, 1.0), 0.0)
    slope = np.concatenate((rise[:1], middle, rise[-1:]))
    at = np.clip(np.searchsorted(known, values, side="right") - 1, 0, len(known) - 2)
    wide = width[at]
    part = (values - known[at])[:, None] / wide
    start, end = found[at], found[at + 1]
    bend = part**2 * (3 - 2 * part)
    turn = slope[at] * (1 - part) - slope[at + 1] * part
    return start + bend * (end - start) + wide * part * (1 - part) * turn
