"""Springs and cylinders at their own best, and with the same push; and the headroom that bumps ask for.

At their best: most rows with enough, or turned up until enough are in. With the same push on level ground
over one pass: springs as they are set, cylinders with the oil held and moving, and the rivals. Headroom is
the frame load of a section, moment by moment, over its mean.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from threading import Event

import numpy as np

from downforce.machine.actuators import SpringSet
from downforce.machine.drill import Drill, KeptSprings
from downforce.machine.field import Field
from downforce.physics.kinds import Amount, Metre, Newton, Newtons, Pascal, Ratio
from downforce.study import rows
from downforce.study.field_pass import press, run_pass
from downforce.study.frame_lift import lift_pressure
from downforce.study.ground.compare_actuators import SETTINGS, finest, setting_range
from downforce.study.ground.crossing import cross_field
from downforce.study.ground.motion import ridden, where_it_holds
from downforce.study.ground.pass_report import PassCase, long_pass_shares
from downforce.study.kept import kept
from downforce.study.oil.band import LEAST_PRESSURE, SPACING, STATIONS, OilBand, oil_band
from downforce.study.opener_loads import down_force_wanted
from downforce.study.setting.sureness import BEST, FOR_SHARE, Case
from downforce.study.spring_behaviour import USUAL_GAS_RATIO, closed_line_rival, gas_spring_rival, usual_gas

_STEP = 2e-3  # adjuster settings that are ridden at to find another, in metres
_HALVINGS = 10


@dataclass(frozen=True)
class Pressed:
    """What the rows carry under one actuator at one setting.

    frame_load: what an opener takes from the frame, mean of the sample.
    """

    loads: Newtons
    shares: rows.LoadShares
    parts: rows.SpreadParts
    frame_load: Newton


@dataclass(frozen=True)
class TurnedUp:
    """An actuator turned to its best or up until the wanted share of rows has the least load.

    name: "springs" or "cylinders".
    setting [m or Pa]: adjuster setting of the springs, or gauge pressure of the cylinders.
    reached: whether the target is reached within the range of the setting; always where it is its best.
    frame_load: what an opener takes from the frame, mean of the sample.
    lifts: whether the frame would lift first, with the hopper empty: then this cannot be had.
    """

    name: str
    setting: Amount
    reached: bool
    down_force: Newton
    shares: rows.LoadShares
    frame_load: Newton
    lifts: bool


def pressed(
    drill: Drill, actuator, field: Field, sample: rows.RowSample, gauge_pressure: Pascal | None = None
) -> Pressed:
    """What the rows of a sample carry under one actuator.

    Result: loads, shares and where the spread comes from.
    """
    sample = ridden(drill, field, sample, actuator, gauge_pressure)
    loads = rows.sample_loads(drill.opener, actuator, field, sample, gauge_pressure)
    return Pressed(
        loads=np.ravel(loads.gauge_wheel_load),
        shares=rows.load_shares(loads, field.aim, field.target_depth),
        parts=rows.spread_parts(drill.opener, actuator, field, sample, gauge_pressure),
        frame_load=float(np.mean(loads.frame_load)),
    )


def lifts_first(drill: Drill, field: Field, frame_load: Newton):
    """Whether the frame lifts before every opener takes a load from it, with the hopper empty.

    Result: True where it is more than at the lift of the section that goes first.

    The same for springs and for cylinders: the frame feels the load, not what makes it.
    """
    return bool(frame_load > lift_pressure(drill, field.opener_soil).frame_load.min())


def turned_up_springs(drill: Drill, field: Field, sample: rows.RowSample) -> TurnedUp:
    """The drill's springs with the adjuster turned in until the wanted share of rows has the least load.

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

    def worth(carried, setting):
        return carried(setting, aim.least_load) - aim.packing_counts * carried(setting, aim.heavy_load)

    def asked(carried):
        tried = [worth(carried, value) for value in values]
        return finest(values, int(np.argmax(tried)), partial(worth, carried)), True

    def worth_itself(setting):
        there = ridden(drill, field, sample, drill.spring.turned_to(setting))
        return worth(_carried_by_springs(drill, field, there), setting)

    found = _springs_as_asked(drill, field, sample, asked, ends)
    best, most = found.setting, worth_itself(found.setting)
    # What is best as openers ride at a setting need not be the setting at which they are best off.
    for way in (_STEP, -_STEP):
        while ends[0] <= best + way <= ends[1] and (there := worth_itself(best + way)) > most:
            best, most = best + way, there
    if best == found.setting:
        return found
    spring = drill.spring.turned_to(best)
    return _as_set("springs", drill, field, ridden(drill, field, sample, spring), best, True, (spring, None))


def adjuster_ends(drill: Drill) -> tuple[Metre, Metre]:
    """Adjuster settings between which the drill's springs work at working height.

    Result: just slack, and one millimetre short of coil-bind.
    """
    spring = drill.spring
    length = float(spring.spring_length(spring.length(drill.opener, 0.0))) + spring.setting
    longest = max(coil.free_length for coil in spring.coils)
    return length - longest, length - max(coil.solid_length for coil in spring.coils) - 1e-3


def springs_that_give(drill: Drill, down_force: Newton) -> SpringSet:
    """The drill's springs with the adjuster where they give a down force at working height."""
    slack, bound = adjuster_ends(drill)
    free = [coil.free_length for coil in drill.spring.coils]
    # Between the settings at which one more coil is reached the push is a straight line.
    reached = sorted(slack + (max(free) - length) for length in free)
    settings = [*(setting for setting in reached if setting < bound), bound]
    pushes = [float(drill.spring.turned_to(at).down_force(drill.opener, 0.0)) for at in settings]
    return drill.spring.turned_to(float(np.interp(down_force, pushes, settings)))


def turned_up_cylinders(
    drill: Drill, field: Field, sample: rows.RowSample, highest: Pascal | None = None
) -> TurnedUp:
    """The proposed cylinders with the pressure raised until the wanted share of rows has the least load.

    highest: how far to look; the cylinder's rated pressure if left out.
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
    opener, soil = drill.opener, rows.asked_soil(field, sample)
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
    loads = rows.sample_loads(drill.opener, actuator, field, sample, pressure)
    frame_load = float(np.mean(loads.frame_load))
    return TurnedUp(
        name,
        float(setting),
        bool(reached),
        float(actuator.down_force(drill.opener, 0.0, pressure)),
        rows.load_shares(loads, field.aim, field.target_depth),
        frame_load,
        lifts_first(drill, field, frame_load),
    )


PART_OF_TIME = 0.99
"""Part of the time in which a section must stay down on its bumps [-]; a choice of this project."""

BUMP_STATIONS = 1000
"""Stations, a tenth of a metre apart, on which the frame load is followed [-]."""


@kept(32)
def bump_headroom(drill: Drill, field: Field, gauge_pressure: Pascal) -> Ratio:
    """Share of the frame load to keep in hand so that a section stays down in spite of bumps.

    Result: 1 - mean / the frame load that is passed in one part of a hundred of the time, of the section that
        swings most.

    The mean of a section's openers at every moment of a pass with motion. Left out: the inertia of the frame,
    which gives way only to a pull that lasts, so that this is on the safe side.
    """
    load = run_pass(drill, field, drill.cylinder, gauge_pressure, stations=BUMP_STATIONS).frame_load
    sections = np.arange(len(drill.sections))[:, None] == drill.row_section
    swinging = load @ (sections / sections.sum(axis=1, keepdims=True)).T
    high = np.quantile(swinging, PART_OF_TIME, axis=0)
    mean = swinging.mean(axis=0)
    return float(np.max(np.where(high > 0, 1.0 - mean / np.maximum(high, 1.0), 0.0)).clip(0.0, 1.0))


@dataclass(frozen=True)
class SamePush:
    """Springs and cylinders over the same stretch of a field, alike at working height.

    spring_push, cylinder_push: down force at the disc at working height; they differ only where the valve
        does not go so far.
    oil: the cylinders at held pressure and with the oil in it, one for each temperature.
    """

    spring_push: Newton
    cylinder_push: Newton
    springs: rows.LoadShares
    oil: tuple[OilBand, ...]


def same_push_pressure(drill):
    """Gauge pressure at which cylinders press as the springs do at working height, or the valve's end."""
    push = drill.spring.down_force(drill.opener, 0.0)
    pressure = drill.cylinder.pressure_for(drill.opener, push, 0.0)
    lowest, highest = setting_range(drill, "cylinder")
    return float(np.clip(pressure, max(lowest, LEAST_PRESSURE), highest))


@kept(16)
def same_push(drill, field, *oil_temperatures):
    """Springs and cylinders alike on level ground over one stretch, with the field's oil or others."""
    pressure, spring = same_push_pressure(drill), drill.spring
    crossing = cross_field(drill, field, 1, STATIONS, SPACING)
    return SamePush(
        float(spring.down_force(drill.opener, 0.0)),
        float(drill.cylinder.down_force(drill.opener, 0.0, pressure)),
        press(drill, field, crossing, spring).shares(),
        tuple(
            oil_band(drill, field, pressure, kelvin, crossing=crossing)
            for kelvin in oil_temperatures or (field.oil_temperature,)
        ),
    )


def four_ways(drill: Drill, field: Field, gauge_pressure: Pascal, **way) -> tuple[PassCase, ...]:
    """The drill's spring, its cylinder at held pressure, that cylinder with its line shut, and a gas spring.

    gauge_pressure: of the cylinders on level ground; the others are set to the same down force there, the
        springs as near as their adjuster goes.
    way: seed, stations, spacing and speed, as in `PassCase`.
    Result: named "spring", "cylinder", "closed line" and "gas spring".
    """
    opener, cylinder = drill.opener, drill.cylinder
    push = float(cylinder.down_force(opener, 0.0, gauge_pressure))
    spring = springs_that_give(drill, push)
    line = closed_line_rival(opener, cylinder, gauge_pressure, usual_gas(opener, cylinder))
    strut = gas_spring_rival(opener, drill.spring, push, USUAL_GAS_RATIO)
    return (
        PassCase("spring", drill, field, spring, **way),
        PassCase("cylinder", drill, field, cylinder, gauge_pressure, **way),
        PassCase("closed line", drill, field, line, **way),
        PassCase("gas spring", drill, field, strut, **way),
    )


def shares_of(
    cases: Sequence[PassCase], progress: Callable | None = None, stop: Callable | Event | None = None
) -> dict[str, rows.LoadShares]:
    """Shares of each case, one long pass after another.

    progress: called with the share of all of them that is done, 0 to 1.
    Result: by name of the case.
    """
    found = {}
    for place, case in enumerate(cases):

        def done(share, place=place):
            if progress is not None:
                progress((place + share) / len(cases))

        found[case.name] = long_pass_shares(case, done, stop)
    return found
