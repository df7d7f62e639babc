"""At what gauge pressure each section of the frame goes light, and which support goes first.

Down force is borrowed from weight. The openers' ground loads grow along one path: first the
soil reaction, until the disc is at depth, then the gauge-wheel load. The frame is followed along
that path, so the regime in which the disc is not yet at depth is part of the answer. Rows in wheel tracks
go their own way along it: harder soil drags more, so at one pressure they press the ground less.
"""

from dataclasses import dataclass, fields
from functools import partial

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Soil
from downforce.physics import kinds as si
from downforce.physics.checks import between, finite, not_negative
from downforce.physics.frame_lift import first_lift
from downforce.physics.frame_supports import wheel_loads
from downforce.physics.soil_reaction import depth_share
from downforce.study.frame.loads import frame_model, joined, side_by_side, standing_load, wheel_names
from downforce.study.frame.tyre_give import SPRINGS_LIFT, gauge_moves, mean_rise, pressed_frame
from downforce.study.kept import kept
from downforce.study.opener_loads import down_force_wanted

_JUST = 1e-3  # of the load at lift, by which the frame is looked at before
_FAR = 1000.0  # beyond the last break, far enough to tell a slope [N]
_ROUNDS = 2  # each leaves a twentieth of the error
NEVER = "does not lift"
CARRIED = "lifted by its neighbour"
HITCH = "hitch at its limit"
CLOSING_LIFTS = "closing wheels"
"""Said as the support that goes first where the springs of the closing wheels alone lift the frame [-]."""
CANNOT_STAND = (
    "The frame cannot stand on its wheels even with its openers raised: its weight stands outside its "
    "wheels. Check the places of wheels, hitch and masses, the fold moments and the slopes."
)
"""Said of a frame that falls over by itself [-]."""


@dataclass(frozen=True)
class LiftLimits:
    """Where each section of a drill lifts, for one case or many.

    pressure (..., sections): lift pressure; inf where the section never lifts.
    frame_load (..., sections): what each opener outside tracks takes from the frame there.
    gauge_wheel_load (..., sections): what is on each gauge wheel outside tracks there; zero when the disc is
        not at depth.
    at_depth (..., sections): whether the disc is at depth when the section lifts.
    support (..., sections): the support that goes first; "lifted by its neighbour" where a section goes with
        another one.
    sections: names of the sections, left to right.
    rise: how far the frame, in the mean of its rows, stands over its working height when the first section
        lifts.
    taken_load: what an opener, in the mean of the rows, took from the frame when the working height was
        taken.
    moves: which rows the gauge moves, in a sentence; empty where it moves them all.
    """

    pressure: si.Pascals
    frame_load: si.Newtons
    gauge_wheel_load: si.Newtons
    at_depth: si.Flags
    support: si.Texts
    sections: tuple[str, ...]
    rise: si.Metre = 0.0
    taken_load: si.Newton = 0.0
    moves: str = ""

    @property
    def lowest(self) -> si.Pascals:
        """Lift pressure of the section that goes first, shape (...)."""
        return self.pressure.min(axis=-1)

    @property
    def first_section(self):
        """Name of the section that goes first, shape (...)."""
        return np.asarray(self.sections)[self._first]

    @property
    def first_support(self):
        """The support that goes first of all, shape (...)."""
        return np.take_along_axis(self.support, self._first[..., None], axis=-1)[..., 0]

    @property
    def _first(self):
        # A section that goes with its neighbour goes at the same pressure, and is not the cause.
        cause = (self.support != CARRIED) & (self.pressure <= self.lowest[..., None] + 1.0)
        return np.where(cause.any(axis=-1), cause.argmax(axis=-1), self.pressure.argmin(axis=-1))


@kept(256)
def lift_pressure(
    drill: Drill,
    soil: Soil,
    hopper_fill: si.Ratio = 0.0,
    side_slope: si.Radian = 0.0,
    grade: si.Radian = 0.0,
    wheel_reserve: si.Newton = 0.0,
    fold_moment: si.NewtonMetre | None = None,
) -> LiftLimits:
    """Gauge pressure at which each section lifts, with the support that goes first.

    soil: what the soil asks of every opener; its reaction may be an array. Rows in its tracks meet a harder
        one.
    hopper_fill: share of a full hopper; broadcast against the soil.
    side_slope: positive when the right side is the lower one.
    grade: positive when the drill is pulled uphill.
    wheel_reserve: load each wheel must keep, for bumps.
    fold_moment: moment of the fold cylinders at every hinge, in place of the drill's own; broadcast against
        the soil and the fill.
    Result: one pressure for each section.
    Raises ValueError if the hopper fill, a slope or the reserve is out of bounds, or the frame cannot stand
        on its wheels and its hitch even with its openers raised.

    All openers are set to the same pressure and stand where the tyres hold the frame at the first lift, in
    the mean of the rows, those in tracks lower by the tracks' depth. Soil and gauge-wheel load act at the
    disc, closing wheel and weight at their own places, draft below the hitch. The hitch is a support too: it
    is at its limit when the drill pulls the drawbar up by what its file allows. Rows that keep their springs
    press with them from the start; the rest is told of the rows that the gauge moves. A frame that these, or
    its closing wheels, lift before any disc is pressed lifts at no pressure. Left out: bumps, other than by
    the reserve; give of the frame.
    """
    folded = 0.0 if fold_moment is None else finite("fold_moment", fold_moment)
    reaction, fill, folded = np.broadcast_arrays(
        np.asarray(soil.target_reaction, dtype=float), np.asarray(hopper_fill, dtype=float), folded
    )
    fold = None if fold_moment is None else np.repeat(folded[..., None], len(drill.hinges), axis=-1)
    model = frame_model(drill)
    standing = standing_load(drill, fill, side_slope, grade, fold_moment=fold)
    if np.any(wheel_loads(model, standing).regime >= 2):
        raise ValueError(CANNOT_STAND)
    reserve = not_negative("wheel_reserve", wheel_reserve)
    growth = _growth(drill, soil, reaction)
    rise = np.zeros(reaction.shape)
    # Kept springs lose as the frame rises, so that it lifts later: a second round finds it to a hundredth.
    for _ in range(2 if drill.half_refitted else 1):
        borne, ground = pressed_frame(drill, soil, standing, rise[..., None])
        found = _first_limits(drill, model, borne, ground, growth, reserve=reserve)
        first = (1.0 - _JUST) * found.disc_load.min(axis=-1, keepdims=True)
        disc, draft = growth.up_to(growth.scale.shape[-1] - 1, np.repeat(first, drill.row_count, axis=-1))
        loads = joined(borne, ground(disc, drill.opener.closing_load, draft))
        rise, taken_load = mean_rise(drill, soil, loads)
    return LiftLimits(
        pressure=_lift_of(drill, soil, reaction[..., None], found, -rise[..., None]),
        rise=rise,
        taken_load=taken_load,
        frame_load=_frame_load(drill, soil, reaction[..., None], found.disc_load),
        gauge_wheel_load=found.gauge,
        at_depth=found.reached,
        support=found.support,
        sections=tuple(section.name for section in drill.sections),
        moves=gauge_moves(drill),
    )


def lift_of_copies(drills, soils, hopper_fill=0.0, rise=0.0):
    """Lift pressure and frame load (copies, sections) of drills that differ a little, each in its own soil.

    As `lift_pressure`, but copies whose hinges and wheels stand alike are followed together, and a copy that
    cannot stand lifts at once. The frame of all stands by `rise` [m] over its working height.
    """
    groups = {}
    for place, drill in enumerate(drills):
        soil = soils[place]
        parted = soil.tracks is not None and soil.tracks.hold(drill).any()
        key = (tuple(h.y for h in drill.hinges), tuple((w.x, w.y) for w in drill.wheels), bool(parted))
        groups.setdefault(key, []).append(place)
    pressure = np.empty((len(drills), len(drills[0].sections)))
    frame_load = np.empty_like(pressure)
    for places in groups.values():
        own, asked = [drills[place] for place in places], [soils[place] for place in places]
        pairs = zip(own, asked, strict=True)
        pressed = [pressed_frame(*pair, standing_load(pair[0], hopper_fill), rise) for pair in pairs]
        standing = side_by_side([standing for standing, _ in pressed])
        closing = np.array([drill.opener.closing_load for drill in own])[:, None]
        # Most copies differ in their frames only.
        alike = {
            (drill.opener, drill.cylinder, drill.row_spacing, soil): drill
            for drill, soil in zip(own, asked, strict=True)
        }
        made = {
            key: _growth(drill, key[-1], np.asarray(key[-1].target_reaction)) for key, drill in alike.items()
        }
        grown = [
            made[drill.opener, drill.cylinder, drill.row_spacing, soil]
            for drill, soil in zip(own, asked, strict=True)
        ]
        growth = _Growth(*(np.stack([getattr(one, f.name) for one in grown]) for f in fields(_Growth)))

        def ground(disc_load=0.0, closing_load=0.0, draft=0.0, own=own, pressed=pressed):
            loads = (
                np.broadcast_to(load, (len(own), own[0].row_count))
                for load in (disc_load, closing_load, draft)
            )
            each = zip((ground for _, ground in pressed), *loads, strict=True)
            return side_by_side([ground(*row_load) for ground, *row_load in each])

        found = _first_limits(own[0], frame_model(own[0]), standing, ground, growth, closing)
        for row, place in enumerate(places):
            drill, each = own[row], found.of(row)
            pressure[place] = _lift_of(drill, asked[row], growth.reaction[row], each, -rise)
            frame_load[place] = _frame_load(drill, asked[row], growth.reaction[row], each.disc_load)
    return pressure, frame_load


@dataclass(frozen=True)
class _Growth:
    """Loads of every row as the pressure grows: straight lines between breaks, the last one without end.

    `scale` (..., breaks) is the disc load of a row outside tracks; `disc` and `draft` (..., breaks, rows) are
    those of each row there. `reaction` (...) is that of a row outside tracks at its depth.
    """

    scale: np.ndarray
    disc: np.ndarray
    draft: np.ndarray
    reaction: np.ndarray

    def rates(self, line):
        """Growth of disc load and draft (..., rows) on one line for a newton of scale."""
        length = np.diff(self.scale)[..., line, None]
        for load in (self.disc, self.draft):
            step = load[..., line + 1, :] - load[..., line, :]
            yield np.divide(step, length, out=np.zeros_like(step), where=length > 0)

    def up_to(self, line, scale):
        """Disc load and draft (..., rows) of rows grown up to a scale (..., rows), over the first lines."""
        disc, draft = np.zeros_like(scale), np.zeros_like(scale)
        for i in range(line):
            end = self.scale[..., i + 1, None] if i + 2 < self.scale.shape[-1] else np.inf
            grown = np.clip(scale, self.scale[..., i, None], end)
            for load, rate in zip((disc, draft), self.rates(i), strict=True):
                load += (grown - self.scale[..., i, None]) * rate
        return disc, draft


def row_loads(drill, soil, disc_load):
    """Disc load and draft of each row, shape (rows,) [N], where a row outside tracks has a disc load [N]."""
    growth = _growth(drill, soil, np.asarray(soil.target_reaction, dtype=float))
    return growth.up_to(growth.scale.size - 1, np.full(drill.row_count, float(disc_load)))


def _growth(drill, soil, reaction):
    """Growth of the loads of a drill's rows; `reaction` as the soil's at its target depth, any shape."""
    reaction = reaction[..., None]
    scale = reaction * np.array([0.0, 1.0])
    held = np.zeros(drill.row_count, dtype=bool) if soil.tracks is None else soil.tracks.hold(drill)
    if held.any():
        harder = reaction * soil.tracks.factor
        lower = max(-soil.tracks.depth, drill.cylinder.travel_stops(drill.opener)[0])
        here = partial(_reading, drill, soil, reaction)
        there = partial(_reading, drill, soil, harder, ground_travel=lower)
        kinks = here(reaction), there(harder)
        at_depth = np.sort(np.concatenate(kinks, axis=-1), axis=-1)
        scale = np.concatenate([scale[..., :1], _load_at(here, reaction, kinks[0], at_depth)], axis=-1)
    scale = np.concatenate([scale, scale[..., -1:] + _FAR], axis=-1)
    disc = np.repeat(scale[..., None], drill.row_count, axis=-1)
    own = np.broadcast_to(reaction[..., None], disc.shape)
    if held.any():
        disc[..., 1:, held] = _load_at(there, harder, kinks[1], here(scale[..., 1:]))[..., None]
        own = np.where(held, harder[..., None], own)
    return _Growth(scale, disc, soil.draft_ratio * np.minimum(disc, own), reaction[..., 0])


def _first_limits(drill, model, standing, ground, growth, closing=None, reserve=0.0):
    """Follow the loads of the openers up to the first limit of each section.

    `ground(disc_load, closing_load, draft)` gives the openers' load on the frame.
    """
    closing = drill.opener.closing_load if closing is None else closing
    reaction = growth.reaction[..., None]
    hitched = np.arange(len(drill.sections)) == drill.section_index(drill.hitch.section)
    names = np.asarray([*wheel_names(drill), NEVER])
    shape = (*growth.reaction.shape, len(drill.sections))
    limit, rides_from = np.full(shape, np.inf), np.full(shape, np.inf)
    support, held = np.full(shape, NEVER, dtype=object), None
    lines = growth.scale.shape[-1] - 1
    for line in range(lines):
        start, end = growth.scale[..., line, None], growth.scale[..., line + 1, None]
        end = end if line + 1 < lines else np.inf
        # A section that already rides on its openers keeps the load it rode up with.
        rides = rides_from[..., drill.row_section]
        disc, draft = growth.up_to(line, rides)
        rate, dragged = (np.where(rides > start, one, 0.0) for one in growth.rates(line))
        path = first_lift(
            model, joined(standing, ground(disc, closing, draft)), ground(rate, draft=dragged), reserve
        )
        if held is None:
            held = path.held
        found, by_hitch = _first_support(path, hitched, drill.hitch.most_pull)
        found = start + found
        here = np.isinf(limit) & (found <= end) & np.isfinite(found)
        named = np.where(path.section_wheel < 0, CARRIED, names[path.section_wheel])
        support = np.where(here, np.where(by_hitch, HITCH, named), support)
        limit = np.where(here, found, limit)
        floats = start + path.float_scale
        rides_from = np.where(np.isinf(rides_from) & (floats <= end), floats, rides_from)
    # A frame that does not even stand has nothing to lend.
    disc_load = np.where(held[..., None], limit, 0.0)
    reached = disc_load > reaction
    gauge = np.where(reached, disc_load - reaction, 0.0)
    lifted = SPRINGS_LIFT if drill.half_refitted else CLOSING_LIFTS
    support = np.where(held[..., None], support.astype(str), lifted)
    return _Limits(disc_load, reached, gauge, support, held[..., None])


@dataclass(frozen=True)
class _Limits:
    """Load of each disc when its section lifts, and how it stands then, shape (..., sections); and whether
    closing wheels and kept springs leave the frame standing at all, shape (..., 1)."""

    disc_load: np.ndarray
    reached: np.ndarray
    gauge: np.ndarray
    support: np.ndarray
    held: np.ndarray

    def of(self, case):
        """The limits of one case."""
        return _Limits(*(getattr(self, entry.name)[case] for entry in fields(self)))


def _lift_of(drill, soil, reaction, found, ground_travel):
    """Lift pressures; nothing where the frame goes up before any disc is pressed."""
    return np.where(found.held, _pressure_for(drill, soil, reaction, found.disc_load, ground_travel), 0.0)


def _first_support(path, hitched, lift_limit):
    """Scale at which each section's first support is at its limit, and whether that is the hitch."""
    hitch_scale = path.hitch_scale_at(-lift_limit)[..., None]
    by_hitch = hitched & (hitch_scale < path.section_scale)
    return np.where(by_hitch, hitch_scale, path.section_scale), by_hitch


def weight_available(drill: Drill, hopper_fill: si.Ratio = 0.0) -> si.Newton:
    """What the weight of the whole drill allows each opener to take from the frame: the sum by hand.

    Compare with the frame load of an opener. It takes all weight to stand right over the openers; the frame's
    own balance gives less wherever it does not.
    """
    standing = standing_load(drill, hopper_fill, with_openers=False)
    return standing.force.sum(-1) / drill.row_count


def pressure_for_frame_load(drill: Drill, soil: Soil, frame_load: si.Newton) -> si.Pascal:
    """Gauge pressure at which every opener takes a given load from the frame.

    Result: zero where the opener's weight alone gives more; inf where the load is inf.

    The inverse of the balance at working height, in both regimes: at depth, and not at depth.
    """
    disc_load = disc_load_for(drill, soil, frame_load)
    return _pressure_for(drill, soil, np.asarray(soil.target_reaction, dtype=float), disc_load)


def disc_load_for(drill, soil, frame_load, reaction=None):
    """Load of a disc and its gauge wheel [N] at which an opener takes a load from the frame [N].

    A coulter on the opener takes its own part of the frame load, which grows until the disc is at depth.
    """
    reaction = np.asarray(soil.target_reaction if reaction is None else reaction, dtype=float)
    ground = np.asarray(frame_load, dtype=float) + drill.opener.weight - drill.opener.closing_load
    more = drill.opener.coulter_load(soil.draft_ratio)
    return np.where(ground >= (1.0 + more) * reaction, ground - more * reaction, ground / (1.0 + more))


def _frame_load(drill, soil, reaction, disc_load) -> si.Newton:
    """The inverse of `disc_load_for`."""
    coulter = drill.opener.coulter_load(soil.draft_ratio * np.minimum(reaction, disc_load))
    return disc_load + drill.opener.closing_load - drill.opener.weight + coulter


def load_with_headroom(frame_load, headroom):
    """Frame load that leaves a share of the available one in hand [N]; what is below zero stays as it is."""
    share = between("headroom", headroom, 0.0, 0.9)
    available = np.asarray(frame_load, dtype=float)
    return np.where(available > 0, available * (1.0 - share), available)


def pressure_with_headroom(drill, soil, lift, headroom) -> si.Pascals:
    """Highest gauge pressure that keeps a share of every section's frame load in hand, shape (...).

    The headroom is taken off the load, not off the pressure: part of the pressure never reaches the frame.
    Never above the first lift; inf where the frame never lifts.
    """
    return sections_with_headroom(drill, soil, lift, headroom).min(axis=-1)


def sections_with_headroom(drill, soil, lift, headroom) -> si.Pascals:
    """The same of each section by itself, shape (..., sections)."""
    reaction = np.asarray(soil.target_reaction, dtype=float)[..., None]
    frame_load = load_with_headroom(lift.frame_load, headroom)
    disc_load = disc_load_for(drill, soil, frame_load, reaction)
    travel = -_rise_at(lift, frame_load)
    return np.minimum(_pressure_for(drill, soil, reaction, disc_load, travel), lift.pressure)


def _rise_at(lift, frame_load):
    """How far the frame stands over its working height (..., sections) [m]: a straight line to the lift."""
    taken, rise = (np.asarray(values, dtype=float)[..., None] for values in (lift.taken_load, lift.rise))
    with np.errstate(divide="ignore", invalid="ignore"):
        part = (frame_load - taken) / (lift.frame_load.min(axis=-1, keepdims=True) - taken)
    return rise * np.where(np.isfinite(part), part, 0.0)


def _pressure_for(drill, soil, reaction, disc_load, ground_travel=0.0):
    return np.maximum(_reading(drill, soil, reaction, disc_load, ground_travel), 0.0)


def _reading(drill, soil, reaction, disc_load, ground_travel=0.0):
    """Gauge pressure of a disc load, carried on below zero where the opener's weight alone gives more."""
    opener, cylinder = drill.opener, drill.cylinder
    reached = disc_load >= reaction
    share = np.clip(np.where(reached, 1.0, disc_load / np.where(reaction > 0, reaction, 1.0)), 0.0, 1.0)
    depth = soil.target_depth * depth_share(share, soil.exponent)
    ground = np.broadcast_to(np.asarray(ground_travel, dtype=float), depth.shape)
    travel = np.clip(ground + soil.target_depth - depth, *cylinder.travel_stops(opener))
    gauge, carried = np.maximum(disc_load - reaction, 0.0), np.where(reached, reaction, disc_load)
    never, gauge = np.isinf(gauge), np.where(np.isinf(gauge), 0.0, gauge)
    push = down_force_wanted(opener, soil, gauge, travel, ground, soil_reaction=carried)
    return np.where(never, np.inf, cylinder.pressure_for_push(push / cylinder.leverage(opener, travel)))


def _load_at(reading, reaction, kink, pressure):
    """Disc load at a pressure: the inverse of a reading, all but straight either side of its kink."""
    beside = np.where(pressure < kink, 0.5 * reaction, reaction + _FAR)
    slope = (reading(beside) - kink) / (beside - reaction)
    load = reaction + (pressure - kink) / slope
    for _ in range(_ROUNDS):
        load = load + (pressure - reading(load)) / slope
    return load
