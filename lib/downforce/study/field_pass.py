"""The pass: every opener of a drill over a field, its loads, depth and regime at every station."""

from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any

import numpy as np

from downforce.physics.balance import REGIMES, balance_opener
from downforce.physics.checks import not_negative
from downforce.physics.soil.reaction import draft_ratio_at_speed
from downforce.study.ground.crossing import MET, Crossing, Watch, cross_field, crossing_blocks, soil_at_depth
from downforce.study.ground.field_ground import PLACES
from downforce.study.openers.load_shares import load_shares
from downforce.study.openers.table import OpenerTable

__all__ = ["REGIMES", "FieldPass", "PassLoads", "press", "press_block", "run_pass"]

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

    Attributes
    ----------
    travel : array [m]
        Travel of the disc itself; a shallow disc stands higher than the ground asks.
    depth : array [m]
        How deep the disc runs.
    down_force : array [N]
        What the actuator gives at the disc.
    soil_reaction : array [N]
        Vertical soil load on the disc.
    gauge_wheel_load : array [N]
        What is left on the gauge wheel.
    closing_wheel_load : array [N]
        What the closing wheel carries.
    frame_load : array [N]
        What the opener takes from the frame.
    regime : array of uint8 [-]
        Index into REGIMES.
    """

    travel: np.ndarray
    depth: np.ndarray
    down_force: np.ndarray
    soil_reaction: np.ndarray
    gauge_wheel_load: np.ndarray
    closing_wheel_load: np.ndarray
    frame_load: np.ndarray
    regime: np.ndarray


@dataclass(frozen=True)
class FieldPass(PassLoads):
    """A pass of one drill over one field: PassLoads, and what they came from.

    Attributes
    ----------
    travel, depth : array [m]
        As PassLoads.
    down_force, soil_reaction, gauge_wheel_load, closing_wheel_load, frame_load : array [N]
        As PassLoads.
    regime : array of uint8 [-]
        Index into REGIMES.
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    actuator : SpringSet, Cylinder, a rival or None [-]
        What pressed the openers down; None where each row had what the drill's file gives it.
    gauge_pressure : float, array or None [Pa]
        Oil pressure at the cylinders.
    crossing : Crossing [-]
        Ground and soil met.
    """

    drill: Any
    field: Any
    actuator: Any
    gauge_pressure: Any
    crossing: Crossing

    @property
    def station(self):
        """Distance of the hitch pin along the pass, shape (stations,) [m]."""
        return self.crossing.station

    @property
    def ground_travel(self):
        """Travel asked for: that of a disc at its target depth [m]."""
        return self.crossing.ground_travel

    @cached_property
    def actuator_length(self):
        """Pin-to-pin length of every actuator [m]."""
        length = np.empty_like(self.travel)
        for rows, actuator, _ in self.pressed_by:
            length[:, rows] = OpenerTable(self.drill.opener, actuator).length(self.travel[:, rows])
        return length

    @property
    def actuator_force(self):
        """Force along every actuator's axis [N]."""
        force = np.empty_like(self.travel)
        for rows, actuator, pressure in self.pressed_by:
            force[:, rows] = actuator.axial_force(self.actuator_length[:, rows], pressure)
        return force

    @property
    def pressed_by(self):
        """Rows, actuator and gauge pressure of each kind of rows [-]."""
        if self.actuator is None:
            return own_actuators(self.drill, self.gauge_pressure)
        return ((slice(None), self.actuator, self.gauge_pressure),)

    @property
    def at_depth(self):
        """Which openers run at their target depth [-]."""
        return self.depth >= self.field.target_depth

    def shares(self):
        """How evenly all gauge wheels are loaded over the whole pass.

        Returns
        -------
        LoadShares [N, -]
            Shares short of the least load, enough and packing, mean and spread.
        """
        return load_shares(self, self.field.aim, self.field.target_depth)

    def shares_by(self, what):
        """The same, parted.

        Parameters
        ----------
        what : str [-]
            "row", "rank", "section", "actuator" or "place".

        Returns
        -------
        dict of LoadShares [N, -]
            By row (1 at the left), rank (1 at the front), section name, "oil" and "springs" as the drill's
            file has it, or kind of ground. Kinds of rows and of ground that were not met are left out.

        Raises
        ------
        ValueError
            If it is parted by anything else.
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
    drill,
    field,
    actuator,
    gauge_pressure=None,
    seed=1,
    stations=2000,
    spacing=0.1,
    speed=None,
    survey=None,
    progress=None,
    stop=None,
):
    """One pass of a drill over a field, every opener at every station.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    actuator : SpringSet, Cylinder, ClosedLineCylinder, GasSpring or None [-]
        What presses the openers down; None where each row has what the drill's file gives it.
    gauge_pressure : float or array, optional [Pa]
        For a cylinder at held pressure: one value, one for each opener, or (stations, openers).
    seed : int [-]
        The same seed gives the same ground and soil.
    stations : int [-]
        Number of stations.
    spacing : float [m]
        Distance between stations.
    speed : float, optional [m/s]
        Ground speed; the field's own when left out. At another speed draft grows by 4 percent per km/h.
    survey : SurveyedTrack, optional [-]
        Surveyed ground in the place of relief and terraces.
    progress : callable, optional [-]
        Called with the share done, 0 to 1.
    stop : callable or threading.Event, optional [-]
        Ends the work when it says so.

    Returns
    -------
    FieldPass [N, m]
        Loads, depth and regime, and their shares.

    Raises
    ------
    ValueError
        If a cylinder has no pressure, or the field's parts do not fit together.
    PassStopped
        If it was stopped.

    Notes
    -----
    Each station stands in balance by itself, with the inertia of an opener that follows the ground; an
    opener thrown off the ground is taken as running as shallow as the soil then balances. Left out: give of
    tyres and frame, motion of the frame, swing of the oil pressure unless it is given.
    """
    if actuator is None:
        crossing = cross_field(drill, field, seed, stations, spacing, speed, survey, progress, stop)
        return press(drill, field, crossing, None, gauge_pressure)
    pressure = _over_stations(gauge_pressure, stations, drill.row_count)
    table = OpenerTable(drill.opener, actuator)
    watch = Watch(stations, progress, stop)
    made = None
    start = 0
    for block in crossing_blocks(drill, field, seed, stations, spacing, speed, survey):
        end = start + block.station.size
        loads = press_block(drill.opener, field, block, table, _cut(pressure, start, end))
        if made is None:
            made = _Growing(stations, block, loads)
        made.put(start, block, loads)
        start = end
        watch.done(block.station.size)
    return FieldPass(**made.loads, **_told(drill, field, actuator, gauge_pressure), crossing=made.crossing())


def press(drill, field, crossing, actuator, gauge_pressure=None):
    """The same pass once the ground is known, to press it again with something else.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    crossing : Crossing [-]
        From cross_field.
    actuator : SpringSet, Cylinder, a rival or None [-]
        What presses the openers down; None where each row has what the drill's file gives it.
    gauge_pressure : float or array, optional [Pa]
        For a cylinder at held pressure.

    Returns
    -------
    FieldPass [N, m]
        Equal to what run_pass gives for the same ground.

    Raises
    ------
    ValueError
        If a cylinder has no pressure.
    """
    if actuator is None:
        return _each_by_its_own(drill, field, crossing, gauge_pressure)
    stations, rows = crossing.ground_travel.shape
    pressure = _over_stations(gauge_pressure, stations, rows)
    table = OpenerTable(drill.opener, actuator)
    made, start = None, 0
    for block in crossing.blocks():
        end = start + block.station.size
        loads = vars(press_block(drill.opener, field, block, table, _cut(pressure, start, end)))
        made = made or {name: _room(stations, array) for name, array in loads.items()}
        for name, room in made.items():
            room[start:end] = loads[name]
        start = end
    return FieldPass(**made, **_told(drill, field, actuator, gauge_pressure), crossing=crossing)


def _each_by_its_own(drill, field, crossing, gauge_pressure):
    """A pass on which each row is pressed by what the drill's file gives it."""
    found = {}
    for rows, actuator, pressure in own_actuators(drill, gauge_pressure):
        part = press(drill, field, crossing.of_rows(rows), actuator, pressure)
        for each in fields(PassLoads):
            values = getattr(part, each.name)
            room = found.setdefault(each.name, np.empty(crossing.ground_travel.shape, values.dtype))
            room[:, rows] = values
    return FieldPass(**found, **_told(drill, field, None, gauge_pressure), crossing=crossing)


def own_actuators(drill, gauge_pressure):
    """Rows, actuator and gauge pressure of each kind of rows of a drill, as its file has it."""
    kept = drill.row_on_springs
    shared = gauge_pressure is None or np.ndim(gauge_pressure) == 0
    oil = gauge_pressure if shared else np.asarray(gauge_pressure)[..., ~kept]
    kinds = ((~kept, drill.cylinder, oil), (kept, drill.spring, None))
    return tuple(kind for kind in kinds if kind[0].any())


def press_block(opener, field, crossing, table, gauge_pressure=None):
    """Loads of every opener on a crossing.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    field : Field [-]
        Depths, exponent and draft ratio.
    crossing : Crossing [-]
        Ground and soil met; any block of stations.
    table : OpenerTable [-]
        Of opener and actuator.
    gauge_pressure : float or array, optional [Pa]
        One value, or one for every station and opener.

    Returns
    -------
    PassLoads [N, m]
        Loads, depth and regime.
    """
    ratio = draft_ratio_at_speed(field.soil.draft_ratio, crossing.speed, field.speed)
    soil = soil_at_depth(field, crossing.reaction)
    flat = None if gauge_pressure is None or np.ndim(gauge_pressure) == 0 else np.ravel(gauge_pressure)

    def push(travel, pick):
        return table.down_force(travel, gauge_pressure if flat is None else flat[pick])

    balance = balance_opener(
        crossing.ground_travel,
        push,
        table.shares,
        opener.weight + opener.mass * crossing.acceleration,
        opener.closing_load,
        soil.target_reaction,
        soil.exponent,
        soil.target_depth,
        ratio,
        table.lowest,
        table.highest,
    )
    loads = {name: getattr(balance, name) for name in _PLAIN}
    if opener.carries_coulter:
        loads["frame_load"] = loads["frame_load"] + opener.coulter_load(balance.draft)
    return PassLoads(**loads, regime=balance.regime.astype(np.uint8))


def _told(drill, field, actuator, gauge_pressure):
    return {"drill": drill, "field": field, "actuator": actuator, "gauge_pressure": gauge_pressure}


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


class _Growing:
    """Room for the whole pass, filled block by block."""

    def __init__(self, stations, block, loads):
        self._first = block
        self._met = {name: _room(stations, getattr(block, name)) for name in MET}
        self.loads = {name: _room(stations, array) for name, array in vars(loads).items()}

    def put(self, start, block, loads):
        rows = slice(start, start + block.station.size)
        for name, room in self._met.items():
            room[rows] = getattr(block, name)
        for name, room in self.loads.items():
            room[rows] = getattr(loads, name)

    def crossing(self):
        return Crossing(**self._met, speed=self._first.speed, words=self._first.words)


def _room(stations, like):
    return np.empty((stations, *like.shape[1:]), dtype=like.dtype)
