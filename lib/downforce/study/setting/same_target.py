"""Springs and cylinders at their own best: with most rows with enough, or turned up until enough are in."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import KeptSprings
from downforce.study.frame_lift import lift_pressure
from downforce.study.ground.compare_actuators import SETTINGS, finest, setting_range
from downforce.study.ground.motion import ridden, where_it_holds
from downforce.study.opener_loads import down_force_wanted
from downforce.study.openers.load_shares import LoadShares, SpreadParts, load_shares, spread_parts
from downforce.study.openers.row_sample import asked_soil, sample_loads
from downforce.study.setting.sureness import BEST, FOR_SHARE, Case

_STEP = 2e-3  # adjuster settings that are ridden at to find another, in metres
_HALVINGS = 10


@dataclass(frozen=True)
class Pressed:
    """What the rows carry under one actuator at one setting.

    Attributes
    ----------
    loads : array [N]
        Gauge-wheel load of every opener of the sample.
    shares : LoadShares [-]
        Counted on them.
    parts : SpreadParts [N]
        How much of their spread is height and how much soil.
    frame_load : float [N]
        What an opener takes from the frame, mean of the sample.
    """

    loads: np.ndarray
    shares: LoadShares
    parts: SpreadParts
    frame_load: float


@dataclass(frozen=True)
class TurnedUp:
    """An actuator turned to its best or up until the wanted share of rows has the least load.

    Attributes
    ----------
    name : str [-]
        "springs" or "cylinders".
    setting : float [m or Pa]
        Adjuster setting of the springs, or gauge pressure of the cylinders.
    reached : bool [-]
        Whether the target is reached within the range of the setting; always where it is its best.
    down_force : float [N]
        At the disc at working height.
    shares : LoadShares [-]
        What the rows carry.
    frame_load : float [N]
        What an opener takes from the frame, mean of the sample.
    lifts : bool [-]
        Whether the frame would lift first, with the hopper empty: then this cannot be had.
    """

    name: str
    setting: float
    reached: bool
    down_force: float
    shares: LoadShares
    frame_load: float
    lifts: bool


def pressed(drill, actuator, field, sample, gauge_pressure=None):
    """What the rows of a sample carry under one actuator.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    actuator : SpringSet, Cylinder or a rival [-]
        What presses the openers down.
    field : Field [-]
        The field and what the grower wants.
    sample : RowSample [-]
        Where the openers are.
    gauge_pressure : float, optional [Pa]
        For a cylinder at held pressure.

    Returns
    -------
    Pressed [N]
        Loads, shares and where the spread comes from.
    """
    sample = ridden(drill, field, sample, actuator, gauge_pressure)
    loads = sample_loads(drill.opener, actuator, field, sample, gauge_pressure)
    return Pressed(
        loads=np.ravel(loads.gauge_wheel_load),
        shares=load_shares(loads, field.aim, field.target_depth),
        parts=spread_parts(drill.opener, actuator, field, sample, gauge_pressure),
        frame_load=float(np.mean(loads.frame_load)),
    )


def lifts_first(drill, field, frame_load):
    """Whether the frame lifts before every opener takes a load from it, with the hopper empty.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    frame_load : float [N]
        What an opener takes from the frame, mean of the rows.

    Returns
    -------
    bool [-]
        True where it is more than at the lift of the section that goes first.

    Notes
    -----
    The same for springs and for cylinders: the frame feels the load, not what makes it.
    """
    return bool(frame_load > lift_pressure(drill, field.opener_soil).frame_load.min())


def turned_up_springs(drill, field, sample):
    """The drill's springs with the adjuster turned in until the wanted share of rows has the least load.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field and what the grower wants.
    sample : RowSample [-]
        Where the openers are.

    Returns
    -------
    TurnedUp [N]
        Setting in metres of adjuster travel.

    Notes
    -----
    Searched from slack at working height to just short of coil-bind at working height.
    """
    ends = adjuster_ends(drill)

    def asked(carried):
        return _first_enough(
            lambda setting: field.aim.share_in - carried(setting, field.aim.least_load), *ends
        )

    return _springs_as_asked(drill, field, sample, asked, ends)


def turned_to_best(name, drill, field, sample):
    """The drill's "spring" or "cylinder" at the setting with most rows with enough."""
    ends, aim = setting_range(drill, name), field.aim
    if name == "cylinder":
        return _cylinders_as_asked(drill, field, sample, BEST, *ends)
    values = np.linspace(*ends, SETTINGS)

    def asked(carried):
        def worth(setting):
            return carried(setting, aim.least_load) - aim.packing_counts * carried(setting, aim.heavy_load)

        return finest(values, int(np.argmax([worth(value) for value in values])), worth), True

    return _springs_as_asked(drill, field, sample, asked, ends)


def adjuster_ends(drill):
    """Adjuster settings between which the drill's springs work at working height.

    Parameters
    ----------
    drill : Drill [-]
        The drill.

    Returns
    -------
    tuple of two floats [m]
        Just slack, and one millimetre short of coil-bind.
    """
    spring = drill.spring
    length = float(spring.spring_length(spring.length(drill.opener, 0.0))) + spring.setting
    longest = max(coil.free_length for coil in spring.coils)
    return length - longest, length - max(coil.solid_length for coil in spring.coils) - 1e-3


def springs_that_give(drill, down_force):
    """The drill's springs with the adjuster where they give a down force at working height.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    down_force : float [N]
        At the disc at working height.

    Returns
    -------
    SpringSet [-]
        As near as the adjuster goes.
    """
    from scipy.optimize import brentq

    slack, bound = adjuster_ends(drill)

    def missing(setting):
        return float(drill.spring.turned_to(setting).down_force(drill.opener, 0.0)) - down_force

    if missing(slack) >= 0 or missing(bound) <= 0:
        return drill.spring.turned_to(slack if missing(slack) >= 0 else bound)
    return drill.spring.turned_to(brentq(missing, slack, bound, xtol=1e-7))


def turned_up_cylinders(drill, field, sample, highest=None):
    """The proposed cylinders with the pressure raised until the wanted share of rows has the least load.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field and what the grower wants.
    sample : RowSample [-]
        Where the openers are.
    highest : float, optional [Pa]
        How far to look; the cylinder's rated pressure if left out.

    Returns
    -------
    TurnedUp [N]
        Setting in pascals of gauge pressure.
    """
    highest = drill.cylinder.rated_pressure if highest is None else highest
    return _cylinders_as_asked(drill, field, sample, FOR_SHARE, 0.0, highest)


def _cylinders_as_asked(drill, field, sample, place, lowest, highest):
    """Cylinders on all rows at one of the rule's pressures, as far as they may be set."""
    case = Case(replace(drill, springs_kept=KeptSprings()), field, sample)
    wanted, there = case.own(place)
    pressure = float(np.clip(wanted, lowest, highest))
    if pressure != wanted:
        there = case.ridden(pressure).sample
    reached, actuator_and_pressure = wanted <= highest, (drill.cylinder, pressure)
    return _as_set("cylinders", drill, field, there, pressure, reached, actuator_and_pressure)


def _springs_as_asked(drill, field, sample, asked, ends):
    """Springs where what is asked for holds as openers ride on them."""

    def ride(setting):
        there = ridden(drill, field, sample, drill.spring.turned_to(setting))
        wanted, within = asked(_carried_by_springs(drill, field, there))
        reached.append(within)
        return wanted, there

    reached = []
    setting, there = where_it_holds(ride, drill.spring.setting, _STEP, ends)
    actuator_and_pressure = (drill.spring.turned_to(setting), None)
    return _as_set("springs", drill, field, there, setting, reached[-1], actuator_and_pressure)


def _carried_by_springs(drill, field, sample):
    """A function of an adjuster setting and a load: share of the rows whose wheels carry that load or more.

    A row does where the push is at least what that load asks for: no balance to solve. Rows on a stop are
    counted by the stop, so that what the others stand at is found once, as far as any stop met lets them.
    """
    opener, soil = drill.opener, asked_soil(field, sample)
    reach, kept = [0.0, 0.0], {}

    def place(lowest, highest):
        if not kept or lowest < reach[0] or highest > reach[1]:
            reach[:] = min(lowest, reach[0]), max(highest, reach[1])
            travel = np.clip(sample.travel, *reach)
            kept.clear()
            kept["at"] = travel, drill.spring.length(opener, travel), drill.spring.leverage(opener, travel)
        return kept["at"]

    def wanted(travel, load):
        if load not in kept:
            kept[load] = down_force_wanted(opener, soil, load, travel, sample.travel, sample.acceleration)
        return kept[load]

    def carried(setting, load):
        spring = drill.spring.turned_to(setting)
        lowest, highest = spring.travel_stops(opener)
        travel, length, leverage = place(lowest, highest)
        push = spring.axial_force(length) * leverage
        enough = (push >= wanted(travel, load)) & (sample.travel >= lowest)
        return float(np.mean(enough | (sample.travel >= highest)))

    return carried


def _first_enough(missing, low, high):
    tries = np.linspace(low, high, 9)
    values = []
    for place, setting in enumerate(tries):
        values.append(missing(setting))
        if values[-1] > 0:
            continue
        if place == 0:
            return low, True
        below = tries[place - 1]
        for _ in range(_HALVINGS):
            middle = (below + setting) / 2.0
            below, setting = (below, middle) if missing(middle) <= 0 else (middle, setting)
        return setting, True
    # More does not always bring more: stops and coil-bind cost rows again, so the best try is kept.
    return tries[int(np.argmin(values))], False


def _as_set(name, drill, field, sample, setting, reached, actuator_and_pressure):
    """`sample` was ridden at this setting, or so near to it that it is no matter."""
    actuator, pressure = actuator_and_pressure
    loads = sample_loads(drill.opener, actuator, field, sample, pressure)
    frame_load = float(np.mean(loads.frame_load))
    return TurnedUp(
        name,
        float(setting),
        bool(reached),
        float(actuator.down_force(drill.opener, 0.0, pressure)),
        load_shares(loads, field.aim, field.target_depth),
        frame_load,
        lifts_first(drill, field, frame_load),
    )
