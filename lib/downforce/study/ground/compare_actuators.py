"""Spring against cylinder on the same ground, each set by the same criterion."""

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from downforce.study.field_pass import FieldPass, press
from downforce.study.ground.pass_report import margin
from downforce.study.openers.load_shares import LoadShares
from downforce.study.openers.table import OpenerTable

CRITERIA = ("best", "share in", "worst quarter")
"""Most openers with enough; the aim's share of all in; that share of the worst quarter of rows in [-]."""

SETTINGS = 41
"""Settings tried at equal steps before the answer is narrowed down [-]."""

_HALVINGS = 12


@dataclass(frozen=True)
class Setting:
    """An actuator at one setting.

    Attributes
    ----------
    actuator : SpringSet, Cylinder or a rival [-]
        The actuator, set.
    value : float [m or Pa]
        Turn of the spring's adjuster or gauge pressure.
    gauge_pressure : float or None [Pa]
        For a cylinder.
    """

    actuator: Any
    value: float
    gauge_pressure: float | None = None


@dataclass(frozen=True)
class Compared:
    """One actuator, set by one criterion.

    Attributes
    ----------
    criterion : str [-]
        One of CRITERIA.
    name : str [-]
        "spring" or "cylinder".
    setting : Setting [-]
        How it is set.
    met : bool [-]
        False if no setting in reach meets the criterion; the setting is then the one that comes nearest.
    shares : LoadShares [-]
        How evenly the gauge wheels are loaded.
    worst_quarter_in : float [-]
        Share of the openers in, in the quarter of rows that fares worst.
    field_pass : FieldPass [-]
        The pass at that setting.
    """

    criterion: str
    name: str
    setting: Setting
    met: bool
    shares: LoadShares
    worst_quarter_in: float
    field_pass: FieldPass


@dataclass(frozen=True)
class Sweep:
    """An actuator over all its settings.

    Attributes
    ----------
    name : str [-]
        "spring" or "cylinder".
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    crossing : Crossing [-]
        Ground and soil met.
    values : array [m or Pa]
        Settings tried, rising.
    share_in, packing, enough, worst_quarter_in : array [-]
        Shares at each setting.
    mean : array [N]
        Mean gauge-wheel load at each setting.
    """

    name: str
    drill: Any
    field: Any
    crossing: Any
    values: np.ndarray
    share_in: np.ndarray
    packing: np.ndarray
    enough: np.ndarray
    worst_quarter_in: np.ndarray
    mean: np.ndarray


def sweep_settings(drill, field, crossing, name, values=None):
    """Shares of short, enough and packing openers over all settings of one actuator.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    crossing : Crossing [-]
        Ground and soil met.
    name : str [-]
        "spring" or "cylinder".
    values : array, optional [m or Pa]
        Settings to try, rising; equal steps over all that can be reached when left out.

    Returns
    -------
    Sweep [-]
        One element for each setting.
    """
    values = np.linspace(*setting_range(drill, name), SETTINGS) if values is None else np.asarray(values)
    rows = [_counted(drill, field, crossing, name, value) for value in values]
    return Sweep(name, drill, field, crossing, values, *np.array(rows).T)


def setting_range(drill, name):
    """Settings that a spring's adjuster or the valve can reach.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    name : str [-]
        "spring" or "cylinder".

    Returns
    -------
    tuple of two floats [m or Pa]
        For a spring from just slack to just coil-bound at working height; for a cylinder up to the valve's
        highest pressure.
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


def level_pressure(drill, field, gauge_wheel_load):
    """Gauge pressure that leaves a load on the gauge wheel on level ground in the field's mean soil.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        Soil and depth.
    gauge_wheel_load : float [N]
        Load wanted.

    Returns
    -------
    float [Pa]
        Within the valve's range; at its end where the load wanted lies beyond.
    """
    table = OpenerTable(drill.opener, drill.cylinder)
    zero = np.zeros(1)
    reaction = np.array([field.soil.reaction])

    def left(pressure):
        return margin(drill, field, table, zero, reaction, 0.0, 0.0, field.speed, pressure).item()

    per_pascal = (left(1e5) - left(0.0)) / 1e5
    return float(np.clip((gauge_wheel_load - left(0.0)) / per_pascal, *setting_range(drill, "cylinder")))


def set_to(drill, name, value):
    """Spring or cylinder of a drill at a setting.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    name : str [-]
        "spring" or "cylinder".
    value : float [m or Pa]
        Turn of the adjuster or gauge pressure.

    Returns
    -------
    Setting [-]
        The actuator and its pressure.
    """
    if name == "spring":
        return Setting(drill.spring.turned_to(value), float(value))
    return Setting(drill.cylinder, float(value), float(value))


def worst_quarter_in(field_pass):
    """Share of the openers with the least load or more, in the quarter of rows that fares worst.

    Parameters
    ----------
    field_pass : FieldPass [-]
        The pass.

    Returns
    -------
    float [-]
        Mean over those rows.
    """
    return _worst_quarter(field_pass.gauge_wheel_load >= field_pass.field.aim.least_load)


def chosen(sweep, criterion, share_in=None, as_tried=False):
    """The setting a criterion asks for, and what it gives.

    Parameters
    ----------
    sweep : Sweep [-]
        The actuator over its settings.
    criterion : str [-]
        One of CRITERIA.
    share_in : float, optional [-]
        Share that must be in; the field's own aim when left out.
    as_tried : bool [-]
        Take one of the settings tried, as a machine with notches would.

    Returns
    -------
    Compared [-]
        The lowest setting that meets the criterion, narrowed down between two settings tried.

    Raises
    ------
    ValueError
        If there is no such criterion.
    """
    if criterion not in CRITERIA:
        raise ValueError(f"A criterion is one of {', '.join(CRITERIA)}; got {criterion!r}.")
    share_in = sweep.field.aim.share_in if share_in is None else share_in
    if criterion == "best":
        tried = float(sweep.values[int(np.argmax(sweep.enough))])
        best = (
            tried
            if as_tried
            else finest(sweep.values, sweep.enough, lambda value: _counted_of(sweep, value).enough)
        )
        return _judged(sweep, criterion, best, True)
    reached = sweep.share_in if criterion == "share in" else sweep.worst_quarter_in
    enough = np.flatnonzero(reached >= share_in)
    if not enough.size:
        return _judged(sweep, criterion, sweep.values[int(np.argmax(reached))], False)
    first = int(enough[0])
    if first == 0 or as_tried:
        return _judged(sweep, criterion, float(sweep.values[first]), True)
    low, high = sweep.values[first - 1], sweep.values[first]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        counted = _counted_of(sweep, middle)
        got = counted.share_in if criterion == "share in" else counted.worst_quarter_in
        low, high = (low, middle) if got >= share_in else (middle, high)
    return _judged(sweep, criterion, high, True)


def finest(values, enough, enough_at):
    """Setting with most openers with enough, looked for again around the best one tried."""
    best = int(np.argmax(enough))
    tried = np.linspace(values[max(0, best - 1)], values[min(len(values) - 1, best + 1)], 9)
    return float(tried[int(np.argmax([enough_at(value) for value in tried]))])


def _judged(sweep, criterion, value, met):
    setting = set_to(sweep.drill, sweep.name, value)
    done = press(sweep.drill, sweep.field, sweep.crossing, setting.actuator, setting.gauge_pressure)
    return Compared(criterion, sweep.name, setting, met, done.shares(), worst_quarter_in(done), done)


class _Counted(NamedTuple):
    """What a sweep keeps of one setting."""

    share_in: float
    packing: float
    enough: float
    worst_quarter_in: float
    mean: float


def _counted_of(sweep, value):
    return _counted(sweep.drill, sweep.field, sweep.crossing, sweep.name, value)


def _counted(drill, field, crossing, name, value):
    """What a pass at one setting counts: how openers bounce depends on what presses them."""
    setting = set_to(drill, name, value)
    done = press(drill, field, crossing, setting.actuator, setting.gauge_pressure)
    shares = done.shares()
    return _Counted(1 - shares.short, shares.packing, shares.enough, worst_quarter_in(done), shares.mean)


def _worst_quarter(has):
    by_row = np.sort(has.mean(axis=0))
    return float(by_row[: max(1, round(by_row.size / 4))].mean())
