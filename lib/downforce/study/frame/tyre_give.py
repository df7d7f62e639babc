"""Rows of a drill at work, kind by kind, and how far the frame rises off its tyres as they press.

Rows stand outside wheel tracks or in them, pressed by oil or by kept springs. What `drill.row_on_springs`
marks keeps its springs on a half-refitted drill: their load knows no gauge, it stands on the frame before the
gauge is turned up, and only the other rows' loads grow with it. What openers take from the wheels the tyres
give back in height: the openers then hang lower under the frame, and a spring that was turned in stretches
again. A cylinder keeps its force.
"""

from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from downforce.machine.drill import EACH_SETTING, SPRINGS_AS_SET, Drill
from downforce.machine.field import Soil
from downforce.physics.frame_supports import frame_motion, load_size
from downforce.physics.kinds import Metre, Metres, Newton, Pascal, Ratio
from downforce.study.frame.loads import at_work, frame_model, joined, opener_load, standing_load
from downforce.study.kept import kept
from downforce.study.opener_loads import opener_loads

SPRINGS_LIFT = "springs that were kept"
"""Said as the support that goes first where they lift the frame before the gauge is turned up [-]."""
VALUES = ("soil_reaction", "gauge_wheel_load", "closing_wheel_load", "draft", "depth", "frame_load")
"""Loads of a row that the frame is asked about, as OpenerLoads names them."""


@dataclass(frozen=True)
class RowKind:
    """One kind of rows: the soil they stand in, how high the ground lies there, and what presses them."""

    soil: Any
    lies: float
    actuator: Any

    def loads(self, drill, gauge_pressure, rise=0.0):
        """OpenerLoads of such a row, the ground by `rise` higher than where it lies."""
        return opener_loads(drill.opener, self.actuator, self.soil, self.lies + rise, gauge_pressure)


def row_kinds(drill, soil, pressed_by=None):
    """Every kind of rows of a drill, first that outside tracks on oil, and the kind of each row (rows,).

    With `pressed_by` that actuator presses all of them, whatever the file says.
    """
    in_track = np.zeros(drill.row_count, dtype=bool) if soil.tracks is None else soil.tracks.hold(drill)
    code = in_track + 2 * (drill.row_on_springs if pressed_by is None else 0)
    kinds, kind = [], np.zeros(drill.row_count, dtype=int)
    for one in sorted({0, *code.tolist()}):
        kind[code == one] = len(kinds)
        actuator = pressed_by or (drill.spring if one & 2 else drill.cylinder)
        kinds.append(RowKind(soil, 0.0, actuator))
        if one & 1:
            lies = max(-soil.tracks.depth, actuator.travel_stops(drill.opener)[0])
            kinds[-1] = RowKind(replace(soil, reaction=soil.reaction * soil.tracks.factor), lies, actuator)
    return kinds, kind


def row_values(drill, soil, gauge_pressure, rise=0.0):
    """Loads of every row (..., rows) by name, with the frame down at a gauge pressure (...).

    `rise`, one for all or (rows,), is how far the frame stands over its working height.
    """
    return values_at(drill, soil, np.asarray(gauge_pressure, dtype=float)[..., None], rise)


def values_at(drill, soil, row_pressure, rise=0.0, pressed_by=None):
    """The same with a pressure for each row (..., rows), and any actuator on all of them."""
    wide = replace(soil, reaction=np.asarray(soil.reaction, dtype=float)[..., None])
    kinds, kind = row_kinds(drill, wide, pressed_by)
    first, *others = (one.loads(drill, row_pressure, -np.asarray(rise)) for one in kinds)
    found = {}
    for name in VALUES:
        values = getattr(first, name)
        for place, other in enumerate(others, 1):
            values = np.where(kind == place, getattr(other, name), values)
        found[name] = np.broadcast_to(values, np.broadcast_shapes(values.shape, kind.shape))
    return found


def gauge_moves(drill):
    """Which rows the gauge moves, in a sentence; empty where it moves them all."""
    if not drill.half_refitted:
        return ""
    moved, kept = int(np.count_nonzero(~drill.row_on_springs)), drill.springs_kept
    ranks = [f"rank {rank}" for rank in kept.ranks]
    *most, last = [*kept.sections, *ranks]  # type: ignore[misc]
    names = f"{', '.join(most)} and {last}" if most else last
    keep = "keep their" if most else "keeps its"
    return f"The gauge moves {moved} of the {drill.row_count} rows: {names} {keep} springs"


def pressed_frame(drill, soil, standing, rise=0.0):
    """What stands on the frame at work with the gauge at nothing, and what its rows add as it is turned up.

    Kept springs press as they do where the frame stands by `rise` (..., rows) over its working height.
    Returns the load and a function like `opener_load` without its drill, which loads only the rows that the
    gauge moves.
    """
    standing, ground = at_work(drill, soil, standing), partial(opener_load, drill)
    if not drill.half_refitted:
        return standing, ground
    kept = drill.row_on_springs
    rows = {name: values * kept for name, values in row_values(drill, soil, 0.0, rise).items()}

    def moved(disc_load=0.0, closing_load=0.0, draft=0.0):
        return ground(*(np.asarray(load) * ~kept for load in (disc_load, closing_load, draft)))

    return joined(standing, on_frame(drill, rows)), moved


_ROUNDS = 30
_STILL = 1e-6  # metres
_SHARES = 33, 17  # of loads that lift the frame, tried in two rounds to find the last that it bears


@dataclass(frozen=True)
class SpringsTurned:
    """Springs turned in from how they are set, by tyres that give.

    rise (rows,): how far the frame goes up over each row.
    on_paper, real: what that adds to the mean gauge-wheel load with the frame where it was, and with the
        tyres' give.
    """

    turned: Metre
    rise: Metres
    on_paper: Newton
    real: Newton

    @property
    def overstated(self) -> Ratio:
        """Share of the gain on paper that the tyres take back; 0 without a gain."""
        return 1.0 - self.real / self.on_paper if self.on_paper else 0.0


def working_rise(
    drill: Drill, soil: Soil, actuator=None, gauge_pressure: Pascal | None = None, hopper_fill: Ratio = 0.0
) -> Metres:
    """How far the frame stands over its working height, above each row, shape (rows,).

    drill: the drill; `height_taken_at` says what pressed its openers when its working height was taken.
    soil: what the soil asks of every opener; rows in its tracks meet a harder one.
    actuator: what presses the openers down; None where each row has what the drill's file gives it.
    gauge_pressure: for a cylinder at held pressure: one value, one for each row, or (stations, rows), of
        which the mean counts.
    hopper_fill: share of a full hopper; it was empty when the height was taken.
    Result (rows,): zero at the pressure or the springs at which the height was taken, and everywhere on a
        drill that is levelled again at each setting.

    What more the openers take from the wheels lets the tyres up, and what the tyres give a spring loses: both
    are solved together. Seed in a hopper presses them down. A frame that lifts is taken to stay where it
    lifted. Linear tyres; left out: the give of frame and soil.
    """
    if drill.height_taken_at == EACH_SETTING:
        return np.zeros(drill.row_count)
    if actuator == drill.spring and drill.height_taken_at == SPRINGS_AS_SET:
        return np.zeros(drill.row_count)
    pressure = gauge_pressure
    if pressure is not None:
        pressure = np.asarray(pressure, dtype=float)
        pressure = pressure.mean(axis=tuple(range(pressure.ndim - 1))) if pressure.ndim else pressure[None]
        pressure = tuple(pressure.tolist())
    return _kept_rise(drill, soil, actuator, pressure, hopper_fill)


@kept(256)
def _kept_rise(drill, soil, actuator, pressure, hopper_fill):
    """Height at which frame and openers agree; kept, because pass, setting and stand ask for the same."""
    pressure = None if pressure is None else np.array(pressure)
    frame = _Frame(drill, soil, hopper_fill)

    def height(rise):
        return frame.borne(values_at(drill, soil, pressure, rise, actuator))

    stood = _stood(drill, soil)
    rise = before = height(0.0) - stood
    part = 1.0
    for _ in range(_ROUNDS):
        step = height(rise) - stood - rise
        if np.max(np.abs(step)) < _STILL:
            break
        # What a step leaves over tells how much the actuator gives way: a cylinder hardly, a spring a tenth.
        left = float(step @ before / (before @ before))
        part = min(part / max(1.0 - left, 0.1), 1.0)
        rise, before = rise + part * step, step
    return rise


def rises_over(drill, soil, gauge_pressures, hopper_fill=0.0):
    """`working_rise` at many gauge pressures at once, (pressures, rows) [m]; no answer where it lifts."""
    pressure = np.asarray(gauge_pressures, dtype=float)[:, None]
    rise = np.zeros((len(pressure), drill.row_count))
    if drill.height_taken_at == EACH_SETTING:
        return rise
    frame, stood = _Frame(drill, soil, hopper_fill), _stood(drill, soil)
    for _ in range(_ROUNDS):
        height = frame.heights(values_at(drill, soil, pressure, rise))
        step = np.where(np.isfinite(height), height - stood - rise, 0.0)
        if np.max(np.abs(step)) < _STILL:
            break
        rise = rise + step
    return rise


@kept(64)
def _stood(drill, soil):
    """Height of the frame over each disc when the working height was taken, the hopper empty."""
    return _Frame(drill, soil, 0.0).borne(_rows_when_taken(drill, soil))


def taken_words(drill, units):
    """What pressed the openers when the working height was taken, such as "with its springs as set"."""
    if drill.height_taken_at == SPRINGS_AS_SET:
        return "with its springs as set"
    if drill.height_taken_at == EACH_SETTING:
        return "anew at each setting"
    return f"at {units.show('pressure', drill.height_taken_at)}"


def _rows_when_taken(drill, soil):
    """Loads of the rows by name when the working height was taken."""
    if drill.height_taken_at == SPRINGS_AS_SET:
        return values_at(drill, soil, None, 0.0, drill.spring)
    return values_at(drill, soil, np.full(1, drill.height_taken_at))


def frame_rise(drill, soil, gauge_pressure, hopper_fill=0.0) -> Metres:
    """How far the frame stands higher over each row than with the gauge at nothing, shape (rows,)."""
    return working_rise(replace(drill, height_taken_at=0.0), soil, None, gauge_pressure, hopper_fill)


def mean_rise(drill, soil, loads):
    """How far the frame, in the mean of its rows, stands over its working height under any loads (...).

    Returns it [m], zero where the loads lift the frame, and the mean frame load of a row [N] when the height
    was taken, the hopper empty.
    """
    if drill.height_taken_at == EACH_SETTING:
        return (np.zeros(loads.force.shape[:-1]),) * 2
    rows = _rows_when_taken(drill, soil)
    then = joined(at_work(drill, soil, standing_load(drill)), on_frame(drill, rows))
    rise = (_height(drill, loads) - _height(drill, then)).mean(axis=-1)
    taken = np.broadcast_to(rows["frame_load"].mean(axis=-1), rise.shape)
    return np.where(np.isfinite(rise), rise, 0.0), taken


def springs_turned_in(drill, soil, turned, hopper_fill=0.0):
    """What turning the springs of all rows further in does, with the give of the tyres: SpringsTurned.

    Left out: wheel tracks.
    """
    opener, spring = drill.opener, drill.spring
    further = spring.turned_to(spring.setting + turned)
    stands = [working_rise(drill, soil, each, None, hopper_fill) for each in (spring, further)]
    states = (spring, stands[0]), (further, stands[0]), (further, stands[1])
    before, paper, real = (opener_loads(opener, each, soil, -rise) for each, rise in states)
    if not np.all(np.isfinite(_Frame(drill, soil, hopper_fill).heights(vars(real)))):
        raise ValueError("Turned in so far the springs lift the frame off its wheels.")
    gained = (float(np.mean(one.gauge_wheel_load - before.gauge_wheel_load)) for one in (paper, real))
    return SpringsTurned(float(turned), stands[1] - stands[0], *gained)


class _Frame:
    """A drill's frame with what stands on it at work, to be asked under many loads of its openers."""

    def __init__(self, drill, soil, hopper_fill):
        self.drill = drill
        self.standing = _at_rest(drill, soil, hopper_fill)

    def heights(self, rows):
        """Height of the frame over each disc under the loads of its rows; NaN where part of it has lifted."""
        work, size = self.standing
        loads = rows["soil_reaction"] + rows["gauge_wheel_load"], rows["closing_wheel_load"], rows["draft"]
        for load, (by_row, size_by_row) in zip(loads, _row_work(self.drill), strict=True):
            work, size = work + load @ by_row, size + np.abs(load) @ size_by_row
        return _over_discs(self.drill, frame_motion(frame_model(self.drill), work, size))

    def borne(self, rows):
        """The same; of loads that lift it, where it stands under the greatest share of them it bears."""
        height = self.heights(rows)
        if np.all(np.isfinite(height)):
            return height
        low, high = 0.0, 1.0
        for count in _SHARES:
            shares = np.linspace(low, high, count)
            heights = self.heights({name: shares[:, None] * values for name, values in rows.items()})
            borne = np.flatnonzero(np.isfinite(heights[:, 0]))
            if not borne.size:
                return np.zeros(self.drill.row_count)
            height, low, high = heights[borne[-1]], shares[borne[-1]], shares[min(borne[-1] + 1, count - 1)]
        return height


def on_frame(drill, rows):
    """What rows with their loads by name give the frame."""
    disc = rows["soil_reaction"] + rows["gauge_wheel_load"]
    return opener_load(drill, disc, rows["closing_wheel_load"], rows["draft"])


@kept(64)
def _at_rest(drill, soil, hopper_fill):
    """Work on each motion of the frame, and size, of what stands on it at work."""
    return _work(drill, at_work(drill, soil, standing_load(drill, hopper_fill)))


@kept(16)
def _row_work(drill):
    """The same of one newton of disc load, of closing-wheel load and of draft on each row."""
    one = np.eye(drill.row_count)
    kinds = {"disc_load": one}, {"closing_load": one}, {"draft": one}
    return tuple(_work(drill, opener_load(drill, **kind)) for kind in kinds)


def _work(drill, load):
    model = frame_model(drill)
    return load.parts(model).sum(axis=-2), load_size(model, load)


def _height(drill, loads):
    """Height of the frame over each disc (..., rows) under loads (...)."""
    return _over_discs(drill, frame_motion(frame_model(drill), *_work(drill, loads)))


def _over_discs(drill, motion):
    return -motion @ _discs(drill)


@kept(16)
def _discs(drill):
    return frame_model(drill).sinking(drill.row_section, drill.row_x, drill.row_y).T
