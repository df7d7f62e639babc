"""Springs against cylinders over a logged field: which rows are short where, and the spots worth a dig."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from downforce.physics.kinds import Metre, Newton, Pascal, Ratio
from downforce.physics.soil_reaction import soil_factor
from downforce.study.field_pass import press
from downforce.study.ground.crossing import ACCELERATION_REACH, Crossing, opener_acceleration
from downforce.study.ground.field_ground import field_ground
from downforce.study.pressure_setting import recommend
from downforce.study.rows import under_frame

SPACING = 1.0
"""Distance between stations [m], more on a long log: up to a place's length."""

STATIONS = 4000
"""Stations from which on they stand further apart [-]."""

CELL = 5.0
"""Length of a place on the map along the pass [m]; across it is as wide as a section."""

SOILS = 4
"""Soils tried on every row [-], one of each of as many even parts of the field's spread; nobody knows where
the hard spots lie, so places differ by their ground alone."""

_GOLDEN = (5**0.5 - 1) / 2

SPOTS = 10
"""Spots worth a dig, at most [-]."""

SPOTS_APART = 2.0
"""Least distance between two spots, in widths of the drill [-]."""

HEADLAND = 1.0
"""Ends of a pass at which no spot is taken, in widths of the drill [-]."""

POINTS_OF_A_BUMP = 4
"""Points that a wave needs to be a bump [-]: straight lines between them keep 81 % of its height."""

TERRACE_BASE = 3 * 4.3
"""Three faces of a handbook's broad-base terrace [m]; two points must fall on them."""

PRESSES = ("springs", "cylinders")
"""What is compared, as the columns are called [-]."""


@dataclass(frozen=True)
class LogAnswers:
    """What a log can answer; slopes it always can.

    bump_step: distance from which on down bumps can be told.
    terrace_step: distance from which on down terraces can be told.
    """

    step: Metre
    bump_step: Metre
    terrace_step: Metre

    @property
    def bumps(self):
        """Whether the log is close enough for bumps."""
        return self.step <= self.bump_step

    @property
    def terraces(self):
        """Whether the log is close enough for terraces."""
        return self.step <= self.terrace_step


@dataclass(frozen=True)
class LogShares:
    """How the rows fare over a whole log.

    short, enough, packing, not_at_depth: shares of the rows, those not at depth among the short ones.
    """

    short: Ratio
    enough: Ratio
    packing: Ratio
    not_at_depth: Ratio
    mean_load: Newton


@dataclass(frozen=True)
class LoggedField:
    """A drill over a logged field, with its springs as they are set and with cylinders.

    places: one line for each section every `CELL` along a pass: pass, section, along, east, north,
        coordinates as in the log, headland, and of springs and cylinders the rows outside wheel tracks that
        are short, have enough and pack, and their mean load. Units stand in the names.
    spots: places worth a dig, the first the most: as `places`, counted from 1.
    """

    log: Any
    gauge_pressure: Pascal
    answers: LogAnswers
    shares: dict[str, LogShares]
    places: Any
    spots: Any


def log_answers(drill, field, log):
    """What a log can answer for a drill at the field's speed.

    Bumps are told apart by springs and cylinders where their height weighs more than the inertia of an opener
    that follows them: on waves longer than 2 pi v sqrt(m / k), k the springs' rate at the disc. That is the
    shortest wave the comparison needs. On shorter ones both lose alike.
    """
    opener, reach = drill.opener, 5e-3
    rate = np.diff([float(drill.spring.down_force(opener, height)) for height in (-reach, reach)])[0]
    stiffness = max(abs(float(rate)) / (2 * reach), 1.0)
    wave = 2 * np.pi * field.speed * np.sqrt(opener.mass / stiffness)
    return LogAnswers(log.step, float(wave) / POINTS_OF_A_BUMP, TERRACE_BASE / 2)


def logged_field(drill, field, log, gauge_pressure=None):
    """Every pass of a log with the springs as they are set and with cylinders, at the field's speed.

    The ground is the log's and the soil the field's: at each place all of the soil's spread is tried, so that
    a spot is a matter of the ground and not of invented soil. Each pass is level across. Without a pressure
    the recommended setting is held. Inertia is what the log's own points ask, one step before and behind.
    """
    if gauge_pressure is None:
        gauge_pressure = recommend(drill, field).pressed
    answers = log_answers(drill, field, log)
    spacing = float(np.clip(sum(each.length for each in log.passes) / STATIONS, SPACING, CELL))
    counted = [
        _one_pass(drill, field, log, number, spacing, gauge_pressure)
        for number in range(1, len(log.passes) + 1)
    ]
    return _put_together(drill, log, gauge_pressure, answers, counted)


def _one_pass(drill, field, log, number, spacing, gauge_pressure):
    """Places of one pass as columns, and what is summed up over all rows."""
    one = log.passes[number - 1]
    station = np.arange(0.0, one.length + max(drill.row_x), spacing)
    crossing = _crossing(drill, field, one, station, max(log.step, ACCELERATION_REACH))
    along = crossing.station[:, None] - drill.row_x
    on_log = (along >= 0) & (along <= one.length)
    rows = {
        name: _expected(drill, field, crossing, actuator, pressure)
        for name, actuator, pressure in zip(
            PRESSES, (drill.spring, drill.cylinder), (None, gauge_pressure), strict=True
        )
    }
    totals = {name: {key: part[on_log].sum() for key, part in found.items()} for name, found in rows.items()}
    kept = on_log & ~field.rows_in_tracks(drill)
    cells = max(1, round(one.length / CELL))
    cell = np.minimum((along * (cells / one.length)).astype(int), cells - 1)
    section = np.broadcast_to(drill.row_section, along.shape)
    key = (cell * len(drill.sections) + section)[kept]
    size = cells * len(drill.sections)
    count = np.bincount(key, minlength=size)
    told = np.flatnonzero(count)
    middle = (told // len(drill.sections) + 0.5) * (one.length / cells)
    edges = section_edges(drill)[told % len(drill.sections)]
    east, north = one.place(middle, edges.mean(axis=1))
    columns = {
        "pass": np.full(told.size, number),
        "section": [drill.sections[i].name for i in told % len(drill.sections)],
        "along_m": middle,
        "east_m": east,
        "north_m": north,
        "headland": np.minimum(middle, one.length - middle) < HEADLAND * drill.width,
    }
    for name, found in rows.items():
        mean = {
            part: np.bincount(key, array[kept], size)[told] / count[told] for part, array in found.items()
        }
        columns |= {f"{name}_{part}_percent": 100 * mean[part] for part in ("short", "packing")}
        columns[f"{name}_enough_percent"] = 100 * (1 - mean["short"] - mean["packing"])
        columns[f"{name}_load_N"] = mean["load"]
    return columns, totals, int(on_log.sum())


def _crossing(drill, field, one, station, reach):
    """What a pass asks; inertia over one step of the log, for straight lines make corners at its points."""
    ground = field_ground(drill, field, 1, one.track)
    around = np.stack([ground.height(station + shift) for shift in (-reach, 0.0, reach)])
    return Crossing(
        station,
        around[1] - ground.frame_plane(station),
        np.full(around[1].shape, field.soil.reaction),
        opener_acceleration(around, reach, field.speed)[0],
        ground.place(station),
        field.speed,
        ground.words,
    )


def section_edges(drill):
    """Left and right edge of each section's rows [m], shape (sections, 2)."""
    half = drill.row_spacing / 2
    of = [drill.row_y[drill.row_section == i] for i in range(len(drill.sections))]
    return np.array([(rows.min() - half, rows.max() + half) for rows in of])


def _expected(drill, field, crossing, actuator, gauge_pressure):
    """Shares of the soils in which each row is short, packs or is shallow, and its mean load."""
    from scipy.special import ndtri

    soil = field.soil
    in_track = np.where(field.rows_in_tracks(drill), field.tracks.factor if field.tracks else 1.0, 1.0)
    sums = {name: np.zeros(crossing.reaction.shape) for name in ("short", "packing", "shallow", "load")}
    # A sequence that fills its range evenly puts a soil from another part of each fourth on each row.
    within = (np.arange(crossing.reaction.size).reshape(crossing.reaction.shape) * _GOLDEN) % 1.0
    for part in range(SOILS):
        factor = soil_factor(ndtri((part + within * 0.998 + 0.001) / SOILS), soil.spread / soil.reaction)
        reaction = soil.reaction * factor * in_track
        loads = press(drill, field, replace(crossing, reaction=reaction), actuator, gauge_pressure)
        under = under_frame(loads.regime, loads.depth, field.target_depth)
        sums["short"] += (loads.gauge_wheel_load < field.aim.least_load) & ~under
        sums["packing"] += (loads.gauge_wheel_load > field.aim.heavy_load) | under
        sums["shallow"] += loads.depth < field.target_depth
        sums["load"] += loads.gauge_wheel_load
    return {name: array / SOILS for name, array in sums.items()}


def _put_together(drill, log, gauge_pressure, answers, counted):
    import pandas as pd

    places = pd.concat([pd.DataFrame(columns) for columns, _, _ in counted], ignore_index=True)
    coordinates = log.coordinates(places["east_m"], places["north_m"])
    for name, values in zip(log.coordinate_names, coordinates, strict=True):
        places[name] = np.asarray(values)
    rows = sum(count for _, _, count in counted)
    shares = {}
    for name in PRESSES:
        total = {
            key: float(sum(totals[name][key] for _, totals, _ in counted)) / rows
            for key in ("short", "packing", "shallow", "load")
        }
        enough = 1.0 - total["short"] - total["packing"]
        shares[name] = LogShares(total["short"], enough, total["packing"], total["shallow"], total["load"])
    return LoggedField(log, float(gauge_pressure), answers, shares, places, _spots(drill, places))


def _spots(drill, places):
    """The places at which most rows are short, springs and cylinders together, apart from each other."""
    short = sum(places[f"{name}_short_percent"] for name in PRESSES)
    load = sum(places[f"{name}_load_N"] for name in PRESSES)
    asked = places[~places["headland"] & (short > 0)].index
    chosen = []
    for index in sorted(asked, key=lambda i: (-short[i], load[i])):
        here = places.loc[index]
        if all(
            np.hypot(here["east_m"] - other["east_m"], here["north_m"] - other["north_m"])
            >= SPOTS_APART * drill.width
            for other in chosen
        ):
            chosen.append(here)
        if len(chosen) == SPOTS:
            break
    spots = places.loc[[each.name for each in chosen]].reset_index(drop=True)
    spots.index += 1
    return spots
