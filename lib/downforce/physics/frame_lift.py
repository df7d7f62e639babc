"""How the wheels of a frame go light, one after another, while a load grows.

The load is ``base + scale * growing``. Wheel loads are straight lines in
``scale`` between the events at which a wheel leaves the ground or comes back, so
the path is followed from event to event, exactly and for many cases at once.
What ``scale`` means is the caller's: the frame load of each opener, or any
growing function of gauge pressure.

**A section that lifts.** When nothing can hold a section any more it rides up on its
openers: it rises until their reach takes the load back to what the weight gives.
So from that scale on, what grows on that section stays as it was, and the path goes
on for the others. Raising the scale further then brings that section nothing.
A section also counts as lifting when its hinge goes up with a neighbour: a centre
whose wheels are off takes wings with one wheel each along.

Signs are those of `downforce.physics.frame`.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics import checks
from downforce.physics.frame import FrameLoad, FrameModel
from downforce.physics.frame_supports import load_size, moving_parts, with_ground
from downforce.physics.kinds import Flags, Metre, Newton, Newtons, Ratios, Wholes

_ZERO = 1e-10  # share of the load below which a wheel counts as just touching


@dataclass(frozen=True, eq=False)
class LiftPath:
    """Scales at which wheels and sections go light.

    wheel_scale (..., wheels): smallest scale at which each wheel's load is down to its limit; inf when it
        never is.
    section_scale (..., sections): smallest scale at which a wheel of the section is at its limit, or the
        section floats.
    section_wheel (..., sections): the wheel that goes first in each section; -1 where none does.
    float_scale (..., sections): scale from which nothing holds the section and its openers carry it; inf when
        never.
    hitch_scale: smallest scale at which the hitch load changes its sign; inf when it never does.
    held: False where the frame has no balance even at scale zero; the scales are then NaN.
    scale (..., events): scales of the events, from 0; NaN after the last one.
    wheel_load (..., events, wheels): load of each wheel at each event.
    hitch_load (..., events): load of the hitch at each event.
    last_rate (..., 1 + wheels): growth of hitch and wheel loads for a unit of scale after the last event.
    """

    wheel_scale: Ratios
    section_scale: Ratios
    section_wheel: Wholes
    float_scale: Ratios
    hitch_scale: Ratios
    held: Flags
    scale: Ratios
    wheel_load: Newtons
    hitch_load: Newtons
    last_rate: Newtons

    def hitch_scale_at(self, limit_load: Newton) -> Ratios:
        """Smallest scale at which the hitch load is down to a limit.

        limit_load: load of the drill on the drawbar, down positive; negative for a limit on the pull upward.
        Result: zero where the load is at or below the limit from the start, inf where it never gets there.

        Straight lines between events.
        Range: any.
        Source: derivation above.
        """
        cases = self.held.size
        value = self.hitch_load.reshape(cases, -1, 1) - limit_load
        rate = self.last_rate.reshape(cases, -1)[:, :1]
        found = _first_at_or_below(self.scale.reshape(cases, -1), value, rate, 0.0)
        return found[:, 0].reshape(self.held.shape)


def first_lift(
    model: FrameModel, base: FrameLoad, growing: FrameLoad, limit_load: Newton = 0.0, ground_rise: Metre = 0.0
) -> LiftPath:
    """Scale of a growing load at which each wheel and section of a frame goes light.

    base: loads that stay: weights, fold moments, draft, slopes.
    growing: loads for a scale of one: for a newton an opener, -1 at every opener.
    limit_load (wheels,): load each wheel must keep.
    ground_rise (..., wheels): height of the ground under each wheel.
    Result: first scales, the wheels that go first, and the whole path.
    Raises ValueError if shapes do not agree, a value is not finite or a limit load is negative.

    At each event the rates of the loads solve a contact problem of their own: wheels on the ground act both
    ways, wheels just touching only push, wheels in the air are left out. Where that has no answer, the motion
    that proves it names the sections that float, and what grows on them stops growing.
    Range: as `downforce.physics.frame_supports.wheel_loads`. The openers of a floating section are taken to
    keep their shares of its load.
    Source: derivation above.

    A wing 4 m wide with a net weight of 20 287 N at half its width lifts at 966 N at each of 21 openers.

    >>> from downforce.physics.frame import FrameLoad, FrameModel
    >>> frame = FrameModel(2, 0, [2.0], [0, 0, 1], [4.5, 4.5, 4.5], [-1.5, 1.5, 4.5], 4e5)
    >>> weight = FrameLoad([0, 1], [4.4, 4.4], [0.0, 4.0], [20287.1, 20287.1])
    >>> opener = FrameLoad([1] * 21, [4.4] * 21, 2 + 4 * (np.arange(21) + 0.5) / 21, [-1.0] * 21)
    >>> round(float(first_lift(frame, weight, opener).float_scale[1]))
    966
    """

    base_parts, growing_parts = base.parts(model), growing.parts(model)
    shape = np.broadcast_shapes(base_parts.shape[:-2], growing_parts.shape[:-2])
    shape, rise = with_ground(model, shape, ground_rise)
    wheels = model.wheel_section.size
    limit = np.broadcast_to(checks.not_negative("limit_load", limit_load), (wheels,))

    def flat(values, tail):
        return np.broadcast_to(values, (*shape, *tail)).reshape(len(rise), *tail)

    path = _Path(
        model.solver,
        lambda escape: moving_parts(model, escape),
        flat(growing_parts, growing_parts.shape[-2:]),
        flat(load_size(model, growing), ()),
    )
    path.start(flat(base_parts.sum(axis=-2), base_parts.shape[-1:]), rise, flat(load_size(model, base), ()))
    path.follow()
    return _collect(model, path, limit, shape)


class _Path:
    """State of the walk along ``scale``: one row for each case."""

    def __init__(self, solver, moving, growing, growing_size):
        self.solver, self.moving, self.growing, self.growing_size = solver, moving, growing, growing_size
        cases, self.parts, _ = growing.shape
        self.float_scale = np.full((cases, self.parts), np.inf)
        self.scale = np.zeros(cases)
        self.pull = np.arange(len(solver.stiffness)) == 0

    def start(self, load, rise, size):
        """Stand the frame on the ground under its base load."""
        pulls = np.broadcast_to(self.pull, rise.shape)
        state = self.solver.balance(load, rise, pulls, ~pulls, size)
        self.held = state.held
        press = state.motion @ (self.solver.reach * self.solver.unit).T + rise
        # One number for each support: its load on the ground, stiffness times press (negative) in the air.
        self.contact = np.where(state.active, state.contact_load, self.solver.stiffness * press)
        self.contact[~self.held] = 0.0
        self.zero = _ZERO * np.where(size > 0, size, 1.0)[:, None]
        self.seen = [(self.scale.copy(), self.contact.copy())]

    def follow(self):
        """Go from event to event until nothing more happens."""
        cases, supports = self.contact.shape
        self.rate = np.zeros((cases, supports))
        todo = np.flatnonzero(self.held)
        for _ in range(20 * supports):
            if todo.size == 0:
                return
            self.rate[todo] = self._rates(todo)
            step = self._next_event(todo)
            going = np.isfinite(step)
            todo, step = todo[going], step[going]
            self.scale[todo] += step
            self.contact[todo] += step[:, None] * self.rate[todo]
            here = self.contact[todo]
            here[np.abs(here) <= self.zero[todo]] = 0.0
            self.contact[todo] = np.where(self.pull, self.contact[todo], here)
            seen = np.full(cases, np.nan)
            seen[todo] = self.scale[todo]
            self.seen.append((seen, self.contact.copy()))
        raise ArithmeticError(
            f"{todo.size} case(s) still had wheels lifting after {20 * supports} events; "
            "look for supports that nearly coincide, or stiffnesses more than a millionfold apart."
        )

    def _rates(self, todo):
        """Growth of every contact for a unit of scale; sections that nothing holds are set floating."""
        rate = np.zeros((todo.size, self.contact.shape[1]))
        contact, zero = self.contact[todo], self.zero[todo]
        two_way = self.pull | (contact > zero)
        one_way = ~self.pull & (np.abs(contact) <= zero)
        open_cases = np.arange(todo.size)
        for _ in range(self.parts + 1):
            rows = todo[open_cases]
            live = np.isinf(self.float_scale[rows])
            load = np.einsum("cp,cpd->cd", live, self.growing[rows])
            none = np.zeros((rows.size, rate.shape[1]))
            size = self.growing_size[rows]
            state = self.solver.balance(load, none, two_way[open_cases], one_way[open_cases], size)
            speed = state.motion @ (self.solver.reach * self.solver.unit).T
            found = np.where(state.active, state.contact_load, self.solver.stiffness * speed)
            found[np.abs(found) <= 1e-13 * size[:, None]] = 0.0
            rate[open_cases[state.held]] = found[state.held]
            lost = ~state.held
            if not np.any(lost):
                return rate
            loose = self.moving(state.escape[lost]) & live[lost]
            at = self.float_scale[rows[lost]]
            self.float_scale[rows[lost]] = np.where(loose, self.scale[rows[lost], None], at)
            open_cases = open_cases[lost]
        return rate

    def _next_event(self, todo):
        contact, rate, zero = self.contact[todo], self.rate[todo], self.zero[todo]
        leaving = (contact > zero) & (rate < 0)
        coming = (contact < -zero) & (rate > 0)
        with np.errstate(divide="ignore", invalid="ignore"):
            wait = np.where((leaving | coming) & ~self.pull, -contact / rate, np.inf)
        return np.min(wait, axis=1)


def _collect(model, path, limit, shape):
    scale = np.stack([seen for seen, _ in path.seen], axis=1)
    contact = np.stack([contact for _, contact in path.seen], axis=1)
    wheel_load = np.maximum(contact[:, :, 1:], 0.0)
    wheel_load[~path.held] = np.nan
    wheel_scale = _first_at_or_below(scale, contact[:, :, 1:] - limit, path.rate[:, 1:], 1e-2 * path.zero)
    hitch = contact[:, :, :1] * np.where(contact[:, :1, :1] >= 0, 1.0, -1.0)
    hitch_rate = path.rate[:, :1] * np.where(contact[:, 0, :1] >= 0, 1.0, -1.0)
    hitch_scale = _first_at_or_below(scale, hitch, hitch_rate, 0.0 * path.zero)[:, 0]
    sections = model.section_count
    float_scale = path.float_scale[:, :sections]
    section_scale, first = float_scale.copy(), np.full((len(scale), sections), -1)
    for k in range(sections):
        own = np.flatnonzero(model.wheel_section == k)
        if own.size:
            best = own[np.argmin(wheel_scale[:, own], axis=1)]
            when = np.take_along_axis(wheel_scale, best[:, None], axis=1)[:, 0]
            first[:, k] = np.where(np.isfinite(when), best, -1)
            section_scale[:, k] = np.minimum(when, float_scale[:, k])
    for values in (wheel_scale, section_scale, float_scale, hitch_scale):
        values[~path.held] = np.nan
    first[~path.held] = -1
    hitch_load = np.where(path.held[:, None], contact[:, :, 0], np.nan)
    on_ground = np.where(np.arange(contact.shape[2]) == 0, True, path.contact > 0)
    last_rate = np.where(on_ground, path.rate, 0.0)
    scales = (wheel_scale, section_scale, first, float_scale, hitch_scale, path.held)
    results = (*scales, scale, wheel_load, hitch_load, last_rate)
    return LiftPath(*(result.reshape((*shape, *result.shape[1:])) for result in results))


def _first_at_or_below(scale, value, rate, slack):
    """First scale at which each piecewise straight line is at or below zero; inf when it never is."""
    cases, events, lines = value.shape
    found = np.full((cases, lines), np.inf)
    for i in range(events):
        valid = np.isfinite(scale[:, i])[:, None]
        here = valid & np.isinf(found) & (value[:, i] <= slack)
        if i:
            # Between two events, where the line crosses.
            with np.errstate(divide="ignore", invalid="ignore"):
                share = value[:, i - 1] / (value[:, i - 1] - value[:, i])
            share = np.where(value[:, i] >= 0, 1.0, share)
            crossing = scale[:, i - 1, None] + share * (scale[:, i] - scale[:, i - 1])[:, None]
            found = np.where(here, crossing, found)
        else:
            found = np.where(here, 0.0, found)
    last = np.max(np.where(np.isnan(scale), 0, np.arange(events)), axis=1)[:, None]
    start = np.take_along_axis(scale, last, axis=1)
    value = np.take_along_axis(value, last[:, :, None], axis=1)[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        later = np.where((rate < 0) & (value > 0), start - value / rate, np.inf)
    return np.where(np.isinf(found), later, found)
