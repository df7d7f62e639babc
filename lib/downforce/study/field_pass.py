"""The pass: every opener of a drill over a field, its loads, depth and regime at every station."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from threading import Event
from typing import Any

import numpy as np

from downforce.machine.actuators import ClosedLineCylinder, Cylinder, GasSpring, SpringSet
from downforce.machine.drill import Drill, Opener
from downforce.machine.field import Field
from downforce.physics import kinds as si
from downforce.physics.balance import REGIMES, balance_opener
from downforce.physics.checks import not_negative
from downforce.physics.ground_survey import SurveyedTrack
from downforce.physics.soil_reaction import draft_ratio_at_speed
from downforce.study.frame.tyre_give import working_rise
from downforce.study.ground.crossing import BLOCK_OPENERS, Crossing, cross_field, rooms, soil_at_depth
from downforce.study.ground.field_ground import PLACES
from downforce.study.ground.motion import Statics, ride_crossing, ride_edges
from downforce.study.rows import LoadShares, OpenerTable, load_shares

__all__ = ["REGIMES", "FieldPass", "PassLoads", "press", "press_block", "run_pass"]

RIDE_OPENERS = 131_072
"""Openers x stations that are followed at a time [-]: fewer calls for each, and still little memory."""

_PLAIN = (
    "travel",
    "depth",
    "down_force",
    "soil_reaction",
    "gauge_wheel_load",
    "closing_wheel_load",
    "frame_load",
)


@dataclass(frozen=True)
class PassLoads:
    """Loads of every opener at every station, arrays of shape (stations, openers).

    travel: travel of the disc itself; a shallow disc stands higher than the ground asks.
    regime: index into REGIMES.
    rubbing: 1 where the disc rises against its seals, -1 where it falls, between where they stick.
    """

    travel: si.Metres
    depth: si.Metres
    down_force: si.Newtons
    soil_reaction: si.Newtons
    gauge_wheel_load: si.Newtons
    closing_wheel_load: si.Newtons
    frame_load: si.Newtons
    regime: si.Wholes
    acceleration: si.MetresPerSecondSquared
    rubbing: si.Ratios


@dataclass(frozen=True)
class FieldPass(PassLoads):
    """A pass of one drill over one field: PassLoads, and what they came from.

    regime: index into REGIMES.
    actuator: what pressed the openers down; None where each row had what the drill's file gives it.
    """

    drill: Any
    field: Any
    actuator: Any
    gauge_pressure: Any
    crossing: Crossing

    @property
    def station(self) -> si.Metres:
        """Distance of the hitch pin along the pass, shape (stations,)."""
        return self.crossing.station

    @property
    def ground_travel(self) -> si.Metre:
        """Travel asked for: that of a disc at its target depth."""
        return self.crossing.ground_travel

    @cached_property
    def actuator_length(self) -> si.Metre:
        """Pin-to-pin length of every actuator."""
        length = np.empty_like(self.travel)
        for rows, actuator, _ in self.pressed_by:
            length[:, rows] = OpenerTable(self.drill.opener, actuator).length(self.travel[:, rows])
        return length

    @property
    def actuator_force(self) -> si.Newton:
        """Force along every actuator's axis."""
        force = np.empty_like(self.travel)
        for rows, actuator, pressure in self.pressed_by:
            force[:, rows] = actuator.axial_force(self.actuator_length[:, rows], pressure)
        return force

    @property
    def pressed_by(self):
        """Rows, actuator and gauge pressure of each kind of rows."""
        if self.actuator is None:
            return own_actuators(self.drill, self.gauge_pressure)
        return ((slice(None), self.actuator, self.gauge_pressure),)

    @property
    def at_depth(self) -> si.Flags:
        """Which openers run at their target depth."""
        return self.depth >= self.field.target_depth

    def shares(self) -> LoadShares:
        """How evenly all gauge wheels are loaded over the whole pass."""
        return load_shares(self, self.field.aim, self.field.target_depth)

    def shares_by(self, what: str):
        """The same, parted.

        what: "row", "rank", "section", "actuator" or "place".
        Result: by row (1 at the left), rank (1 at the front), section name, "oil" and "springs" as the
            drill's file has it, or kind of ground. Kinds of rows and of ground that were not met are left
            out.
        """
        return {
            name: load_shares(self, self.field.aim, self.field.target_depth, where)
            for name, where in self._groups(what)
        }

    def _groups(self, what):
        drill = self.drill
        if what == "row":
            return [(row + 1, np.s_[:, row]) for row in range(drill.row_count)]
        if what == "rank":
            return [(rank + 1, np.s_[:, drill.row_rank == rank]) for rank in range(len(drill.rank_x))]
        if what == "section":
            return [(s.name, np.s_[:, drill.row_section == i]) for i, s in enumerate(drill.sections)]
        if what == "actuator":
            kept = drill.row_on_springs
            return [(n, np.s_[:, w]) for n, w in (("oil", ~kept), ("springs", kept)) if w.any()]
        if what == "place":
            place = self.crossing.place
            return [(PLACES[code], place == code) for code in np.unique(place)]
        raise ValueError(
            f'Shares are parted by "row", "rank", "section", "actuator" or "place"; got {what!r}.'
        )


def run_pass(
    drill: Drill,
    field: Field,
    actuator: SpringSet | Cylinder | ClosedLineCylinder | GasSpring | None,
    gauge_pressure: si.Pascal | None = None,
    seed: int = 1,
    stations: int = 2000,
    spacing: si.Metre = 0.1,
    speed: si.MetrePerSecond | None = None,
    survey: SurveyedTrack | None = None,
    progress: Callable | None = None,
    stop: Callable | Event | None = None,
    motion: bool = True,
) -> FieldPass:
    """One pass of a drill over a field, every opener at every station.

    actuator: what presses the openers down; None where each row has what the drill's file gives it.
    gauge_pressure: for a cylinder at held pressure: one value, one for each opener, or (stations, openers).
    speed: ground speed; the field's own when left out. At another speed draft grows by 4 percent per km/h.
    survey: surveyed ground in the place of relief and terraces.
    progress: called with the share done, 0 to 1.
    stop: ends the work when it says so.
    motion: whether openers bounce on gauge wheels that give, and their seals rub. Without it each station
        stands in balance by itself, with the inertia of an opener that never leaves the ground.
    Result: loads, depth and regime, and their shares.
    Raises ValueError if a cylinder has no pressure, or the field's parts do not fit together.
    Raises PassStopped if it was stopped.

    The frame stands where its tyres hold it under these openers in the field's mean soil, the hopper empty
    (`working_rise`), all the way. Left out: give of the frame, its motion, damping by the soil itself, swing
    of the oil pressure unless it is given.
    """
    own = own_actuators(drill, gauge_pressure) if actuator is None else ((None, actuator, gauge_pressure),)
    for rows, part, pressure in own:
        _over_stations(pressure, stations, drill.row_count if rows is None else int(rows.sum()))
        OpenerTable(drill.opener, part).down_force(np.zeros(1), None if pressure is None else 0.0)
    crossing = cross_field(drill, field, seed, stations, spacing, speed, survey, progress, stop)
    return press(drill, field, crossing, actuator, gauge_pressure, motion)


def press(
    drill: Drill,
    field: Field,
    crossing: Crossing,
    actuator,
    gauge_pressure: si.Pascal | None = None,
    motion=True,
) -> FieldPass:
    """The same pass once the ground is known, to press it again with something else.

    crossing: from cross_field.
    actuator: what presses the openers down; None where each row has what the drill's file gives it.
    """
    pressure = _over_stations(gauge_pressure, *crossing.ground_travel.shape)
    crossing = crossing.under(working_rise(drill, field.opener_soil, actuator, pressure))
    if actuator is None:
        return _each_by_its_own(drill, field, crossing, gauge_pressure, motion)
    made = _pressed(drill, field, crossing, actuator, pressure, motion)
    told = {"drill": drill, "field": field, "actuator": actuator, "gauge_pressure": gauge_pressure}
    return FieldPass(**made, **told, crossing=crossing)


def _pressed(drill, field, crossing, actuator, pressure, motion):
    """Loads by name of the openers of a crossing that one actuator presses, under a frame that stays."""
    stations, rows = crossing.ground_travel.shape
    table = OpenerTable(drill.opener, actuator)
    edges = ride_edges(drill.opener, crossing) if motion else (0, 0)
    size = max(4 * sum(edges), (RIDE_OPENERS if motion else BLOCK_OPENERS) // rows)
    # Openers that follow the ground do what it does, and their seals rub neither way.
    rides = motion and crossing.can_be_ridden
    known = {} if rides else {"acceleration": crossing.acceleration, "rubbing": np.zeros((stations, rows))}
    made = None
    for start in range(0, stations, size):
        end = min(start + size, stations)
        first, last = max(0, start - edges[0]), min(end + edges[1], stations)
        block, held = crossing.cut(first, last), _cut(pressure, first, last)
        loads = vars(press_block(drill.opener, field, block, table, held, motion))
        made = made or rooms(stations, {name: loads[name] for name in loads.keys() - known.keys()})
        for name, room in made.items():
            room[start:end] = loads[name][start - first : end - first]
    return made | known


def _each_by_its_own(drill, field, crossing, gauge_pressure, motion):
    """A pass on which each row is pressed by what the drill's file gives it."""
    found = {}
    for rows, actuator, pressure in own_actuators(drill, gauge_pressure):
        there = crossing.of_rows(rows)
        pressure = _over_stations(pressure, *there.ground_travel.shape)
        for name, values in _pressed(drill, field, there, actuator, pressure, motion).items():
            room = found.setdefault(name, np.empty(crossing.ground_travel.shape, values.dtype))
            room[:, rows] = values
    told = {"drill": drill, "field": field, "actuator": None, "gauge_pressure": gauge_pressure}
    return FieldPass(**found, **told, crossing=crossing)


def own_actuators(drill, gauge_pressure):
    """Rows, actuator and gauge pressure of each kind of rows of a drill, as its file has it."""
    kept = drill.row_on_springs
    shared = gauge_pressure is None or np.ndim(gauge_pressure) == 0
    oil = gauge_pressure if shared else np.asarray(gauge_pressure)[..., ~kept]
    kinds = ((~kept, drill.cylinder, oil), (kept, drill.spring, None))
    return tuple(kind for kind in kinds if kind[0].any())


def press_block(
    opener: Opener,
    field: Field,
    crossing: Crossing,
    table: OpenerTable,
    gauge_pressure: si.Pascal | None = None,
    motion=True,
) -> PassLoads:
    """Loads of every opener on a crossing.

    field: depths, exponent and draft ratio.
    crossing: ground and soil met; any block of stations.
    """
    ratio = draft_ratio_at_speed(field.soil.draft_ratio, crossing.speed, field.speed)
    soil = soil_at_depth(field, crossing.reaction)
    flat = None if gauge_pressure is None or np.ndim(gauge_pressure) == 0 else np.ravel(gauge_pressure)

    def push(travel, pick):
        return table.down_force(travel, gauge_pressure if flat is None else flat[pick])

    mass, ground = opener.mass, crossing.ground_travel
    told = {"acceleration": crossing.acceleration, "rubbing": np.zeros_like(ground)}

    def moving(surplus, soil_push):
        travel = np.clip(ground, table.lowest, table.highest)
        friction = table.friction(travel, gauge_pressure)
        still = Statics(
            surplus.reshape(ground.shape),
            soil_push.reshape(ground.shape),
            table.push_rate(travel, gauge_pressure),
            friction,
            np.maximum(table.highest - ground, 0.0),
        )
        riding = ride_crossing(opener, field, crossing, still)
        told.update(vars(riding))
        # On a stop the frame holds the opener: it neither bounces nor rubs.
        held = (ground >= table.highest) | (ground < table.lowest)
        riding.acceleration[held] = riding.rubbing[held] = 0.0
        return (mass * riding.acceleration).ravel(), (friction * riding.rubbing).ravel()

    rides = motion and crossing.can_be_ridden
    balance = balance_opener(
        ground,
        push,
        table.shares,
        opener.weight + (0.0 if rides else mass * crossing.acceleration),
        opener.closing_load,
        soil.target_reaction,
        soil.exponent,
        soil.target_depth,
        ratio,
        table.lowest,
        table.highest,
        moving if rides else None,
    )
    loads = {name: getattr(balance, name) for name in _PLAIN}
    if opener.carries_coulter:
        loads["frame_load"] = loads["frame_load"] + opener.coulter_load(balance.draft)
    return PassLoads(**loads, regime=balance.regime, **told)


def _over_stations(gauge_pressure, stations, rows):
    """None and one number stay as they are; anything else is spread over stations and openers."""
    if gauge_pressure is None:
        return None
    pressure = not_negative("gauge_pressure", gauge_pressure)
    if pressure.ndim == 0:
        return float(pressure)
    try:
        return np.broadcast_to(pressure, (stations, rows))
    except ValueError:
        raise ValueError(
            f"gauge_pressure must be one value, one for each of the {rows} openers, or an array of "
            f"{stations} stations x {rows} openers; got shape {pressure.shape}."
        ) from None


def _cut(pressure, start, end):
    return pressure[start:end] if np.ndim(pressure) else pressure
