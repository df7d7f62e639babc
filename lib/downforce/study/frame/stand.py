"""How a drill's frame stands at one gauge pressure, also after it has begun to lift.

Below the lift pressure the frame stays where its tyres hold it and every opener gives what the pressure says.
Above it a section rides on its openers: it rises until together they give no more than its weight. The
rows farthest from the hinge hang on their stops first, those near it take what these lose, and a section
that is still down gains what the gauge says.
"""

from dataclasses import dataclass, field

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Soil
from downforce.physics import kinds as si
from downforce.physics.checks import not_negative
from downforce.physics.frame import FrameLoad, draft_moment
from downforce.physics.frame_supports import hinge_loads, wheel_loads
from downforce.study.frame.loads import at_work, coulter_load, frame_model, joined, opener_load, standing_load
from downforce.study.frame.tyre_give import VALUES, frame_rise, on_frame, row_kinds, row_values, working_rise
from downforce.study.frame_lift import CANNOT_STAND, LiftLimits, lift_pressure
from downforce.study.opener_loads import OpenerLoads, opener_loads

FINE_STEP = 0.0025
"""Travel between two values of an opener's load curve; the give of a travel stop in the answer [m]."""
RISEN = 0.001
"""A section that has gone up by more than this, with its wheels off, rides on its openers [m]."""
_SOFT_STEPS = (0.04, 0.02, 0.01, 0.005, FINE_STEP)
_LONGEST_STEP = 0.03
_HALVINGS = 12
_STEPS = 150
_SETTLED = 1e-10


@dataclass(frozen=True)
class FrameStand:
    """Loads of frame and rows at one gauge pressure.

    limits: where each section lifts in this soil, at this fill and slope.
    promised: what one opener that the gauge moves, outside tracks, would give if the frame stayed down.
    wheel_load (wheels,): load of each frame wheel.
    hitch_load: load on the drawbar, negative when the drill lifts it.
    hinge_load (hinges,): vertical force the outer section puts on the inner one.
    off (wheels,): wheels that carry nothing.
    floating (sections,): sections that ride on their openers.
    rise (rows,): how far the frame has gone up over each row since lift began.
    gauge_wheel_load, soil_reaction, closing_wheel_load, frame_load (rows,): what each row really carries.
    draft (rows,): horizontal soil load of each row.
    depth (rows,): how deep each disc runs.
    row_section (rows,): section of each row.
    weight_force (sections,): weight of frame, ballast, seed and openers on each section, square to the
        ground.
    residual: largest force left over, as a share of the weight.
    coulter_load: on the coulter of each row while the frame is down; 0 without one.
    tyre_rise: how far the frame, in the mean of its rows, stands higher than with the gauge at nothing,
        because its tyres give; NaN once it has lifted.
    over_height: how far it stands over its working height, in the mean of its rows, before it lifts.
    """

    gauge_pressure: si.Pascal
    limits: LiftLimits
    promised: OpenerLoads
    wheel_load: si.Newtons
    hitch_load: si.Newton
    hinge_load: si.Newtons
    off: si.Flags
    floating: si.Flags
    rise: si.Metres
    gauge_wheel_load: si.Newtons
    soil_reaction: si.Newtons
    closing_wheel_load: si.Newtons
    frame_load: si.Newtons
    draft: si.Newtons
    depth: si.Metres
    row_section: si.Wholes
    weight_force: si.Newtons
    residual: si.Ratio
    coulter_load: si.Newton
    tyre_rise: si.Metre
    over_height: si.Metre
    standing: FrameLoad = field(repr=False)

    @property
    def headroom(self) -> si.Ratios:
        """Share of each section's available weight not used, shape (sections,).

        One less used over available; negative once the section should have lifted.
        """
        return headroom(float(self.promised.frame_load), self.limits.frame_load)

    @property
    def at_lift(self) -> si.Newton:
        """Gauge-wheel load of every row when the first section lifts."""
        return float(self.limits.gauge_wheel_load[np.argmin(self.limits.pressure)])

    @property
    def lifting(self) -> bool:
        """Whether part of the frame has gone up."""
        return bool(self.rise.max() > RISEN)

    def section_mean(self, values: si.Amounts) -> si.Amounts:
        """Mean of a row value over each section.

        values (rows,) [any]: one value for each row.
        Result (sections,) [any]: means.
        """
        count = np.bincount(self.row_section)
        return np.bincount(self.row_section, weights=values) / count

    def section_lowest(self, values):
        """Lowest row value of each section, shape (sections,)."""
        return np.array([values[self.row_section == k].min() for k in range(len(self.limits.sections))])


def headroom(used: si.Newton, available: si.Newton) -> si.Ratio:
    """Share of the available weight that is not used.

    used: what an opener takes from the frame.
    available: what it may take when lift begins; inf where it never does.
    Result: 1 - used / available; 1 where nothing is used, minus infinity where nothing is available.
    """
    used, available = np.broadcast_arrays(np.asarray(used, float), np.asarray(available, float))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(used <= 0, 0.0, np.where(available > 0, used / available, np.inf))
    return 1.0 - share


def frame_stand(
    drill: Drill,
    soil: Soil,
    gauge_pressure: si.Pascal,
    hopper_fill: si.Ratio = 0.0,
    side_slope: si.Radian = 0.0,
    grade: si.Radian = 0.0,
    limits: LiftLimits | None = None,
) -> FrameStand:
    """Loads of wheels, hitch, hinges and rows at one gauge pressure.

    soil: what the soil asks of every opener; rows in its tracks meet a harder one, lower down.
    side_slope: positive when the right side is the lower one.
    grade: positive when the drill is pulled uphill.
    limits: where the sections lift in this case, if it has been worked out already.

    Until a section has nothing left that holds it, all openers stand where the tyres hold the frame, in the
    mean of its rows. From there it moves: each row's load follows its own travel, down to the stop, where the
    disc runs shallow. The balance is followed from lift on, as the frame itself would settle. Left out:
    inertia, give of the frame, side forces. A travel stop takes over within 2.5 mm, in rare cases 40 mm.
    """
    pressure = float(not_negative("gauge_pressure", gauge_pressure))
    model = frame_model(drill)
    standing = standing_load(drill, hopper_fill, side_slope, grade)
    borne = at_work(drill, soil, standing)
    level = float(working_rise(drill, soil, None, pressure, hopper_fill).mean())
    promised = opener_loads(drill.opener, drill.cylinder, soil, -level, pressure)
    limits = lift_pressure(drill, soil, hopper_fill, side_slope, grade) if limits is None else limits
    rows = row_values(drill, soil, pressure, level)
    support = wheel_loads(model, joined(borne, on_frame(drill, rows)))
    rise = np.zeros(drill.row_count)
    wheel_load, hitch_load, residual = support.wheel_load, float(support.hitch_load), float(support.residual)
    floating = np.zeros(len(drill.sections), dtype=bool)
    lifted = bool(support.regime >= 2)
    if lifted:
        start = _last_balance(drill, model, borne, rows)
        ride = _Ride(drill, model, borne, start, level)
        rows, rise, wheel_load, hitch_load, residual = ride.settled(drill, soil, pressure)
        floating = _riding(drill, model, wheel_load, rise)
    load = joined(borne, on_frame(drill, rows))
    weight = np.bincount(standing.section, weights=standing.force, minlength=len(drill.sections))
    return FrameStand(
        gauge_pressure=pressure,
        limits=limits,
        promised=promised,
        wheel_load=wheel_load,
        hitch_load=hitch_load,
        hinge_load=hinge_loads(model, load, wheel_load),
        off=wheel_load <= 1e-9 * weight.sum(),
        floating=floating,
        rise=rise,
        row_section=drill.row_section,
        weight_force=weight,
        residual=residual,
        coulter_load=float(coulter_load(drill, soil, promised.draft)),
        tyre_rise=float("nan") if lifted else float(np.mean(frame_rise(drill, soil, pressure, hopper_fill))),
        over_height=level,
        standing=standing,
        **rows,
    )


def _riding(drill, model, wheel_load, rise):
    """Sections that have risen and have no wheel of their own that still carries."""
    carried = np.bincount(model.wheel_section, weights=wheel_load, minlength=model.section_count)
    risen = np.bincount(drill.row_section, weights=rise) / np.bincount(drill.row_section)
    return (carried <= 0.0) & (risen > RISEN)


def _last_balance(drill, model, standing, rows):
    """Motion of the frame at the last opener load that it still bears without floating."""
    low, high = 0.0, 1.0
    motion = None
    for _ in range(4):
        share = np.linspace(low, high, 33)
        given = {name: share[:, None] * values for name, values in rows.items()}
        load = joined(standing, on_frame(drill, given))
        support = wheel_loads(model, load)
        held = np.flatnonzero(support.regime < 2)
        if held.size == 0:
            raise ValueError(CANNOT_STAND)
        last = int(held[-1])
        motion = support.motion[last]
        low, high = share[last], share[min(last + 1, 32)]
    return motion


class _LoadCurve:
    """Loads of openers over travel at one pressure, as straight lines between fine steps."""

    def __init__(self, drill, soil, pressure, step):
        self.step = step
        kinds, self.kind = row_kinds(drill, soil)
        self.lies = np.array([one.lies for one in kinds])[self.kind]
        lowest, highest = zip(*(one.actuator.travel_stops(drill.opener) for one in kinds), strict=True)
        bottom = max(min(lowest), drill.opener.lowest_travel) - soil.target_depth - 0.05
        top = 0.5 * min(drill.opener.highest_travel, *highest)
        self.travel = np.arange(bottom, top + step, step)
        loads = [one.loads(drill, pressure, self.travel - one.lies) for one in kinds]
        self.table = np.array([[getattr(one, name) for one in loads] for name in VALUES])
        self.slope = np.diff(self.table, axis=-1) / step

    def at(self, travel):
        """Values (values, rows) and their slopes at the travel of each row's working height."""
        place = (travel + self.lies - self.travel[0]) / self.step
        cell = np.clip(place.astype(int), 0, self.travel.size - 2)
        inside = (place >= 0) & (place <= self.travel.size - 1)
        within = np.clip(place - cell, 0.0, 1.0) * self.step
        slope = self.slope[:, self.kind, cell]
        return self.table[:, self.kind, cell] + slope * within, slope * inside


class _Ride:
    """The frame on wheels, hitch and openers together, from the moment it floats."""

    def __init__(self, drill, model, standing, start, level):
        stiffness, sinking = model.supports()
        self.unit = np.maximum(np.max(np.abs(sinking), axis=0), 1e-12)
        self.stiffness, self.supports = stiffness, sinking / self.unit
        self.start = start * self.unit
        self.weight = standing.parts(model).sum(axis=-2) / self.unit
        self.size = np.sum(np.abs(standing.force))
        behind = drill.opener.closing_wheel[0] - drill.opener.disc[0]
        self.disc = model.sinking(drill.row_section, drill.row_x, drill.row_y) / self.unit
        self.lies = -level - self.disc @ self.start
        self.closing = model.sinking(drill.row_section, drill.row_x + behind, drill.row_y) / self.unit
        # The moment of a newton of draft, as a load on pitch.
        self.pull = np.zeros(len(self.unit))
        self.pull[1] = float(draft_moment(1.0, drill.opener.draft_line(), drill.hitch.height)) / self.unit[1]
        # What a coulter on each opener adds for a newton of the opener's draft.
        self.coulter = np.zeros_like(self.disc)
        if drill.opener.carries_coulter:
            one = opener_load(drill, draft=np.eye(drill.row_count)).parts(model).sum(axis=-2) / self.unit
            self.coulter = one - self.pull

    def _unbalanced(self, place):
        press = self.supports @ place
        acting = (press > 0) | (np.arange(press.size) == 0)
        carried = self.stiffness * press * acting
        values, slopes = self.curve.at(self.disc @ place + self.lies)
        disc, disc_slope = values[0] + values[1], slopes[0] + slopes[1]
        force = self.weight - carried @ self.supports - disc @ self.disc - values[2] @ self.closing
        force = force + values[3].sum() * self.pull + values[3] @ self.coulter
        change = -(self.supports.T * (self.stiffness * acting)) @ self.supports
        change = change - (self.disc.T * disc_slope) @ self.disc - (self.closing.T * slopes[2]) @ self.disc
        change = change + np.outer(self.pull, slopes[3] @ self.disc)
        change = change + (self.coulter.T * slopes[3]) @ self.disc
        return force, change, carried, values

    def settled(self, drill, soil, pressure):
        """Rows, rise, wheel loads, hitch load and what is left over, once the frame has come to rest.

        It starts where it lifted. Where it then goes back and forth over stops without end, the stops
        are made soft first and then harder and harder.
        """
        self.curve = _LoadCurve(drill, soil, pressure, FINE_STEP)
        place = self._rest(self.start)
        if self._left(place) > _SETTLED:
            place, kept = self.start, self.curve
            for soft in _SOFT_STEPS:
                self.curve = _LoadCurve(drill, soil, pressure, soft)
                found = self._rest(place)
                if self._left(found) <= _SETTLED:
                    place, kept = found, self.curve
            self.curve = kept
        if self._left(place) > _SETTLED:
            raise ArithmeticError(
                f"The lifted frame did not come to rest: {self._left(place):.1g} of its weight was left over."
            )
        _, _, carried, values = self._unbalanced(place)
        rows = dict(zip(VALUES, values, strict=True))
        rise = -self.disc @ (place - self.start)
        return rows, rise, carried[1:], float(carried[0]), float(self._left(place))

    def _rest(self, place):
        """Where the frame comes to rest from a place, or where the search for it stopped."""
        for _ in range(3):
            place = self._creep(place)
            if self._left(place) <= _SETTLED:
                break
            place = self._finished(place)
            if self._left(place) <= _SETTLED:
                break
        return place

    def _left(self, place):
        return np.max(np.abs(self._unbalanced(place)[0])) / self.size

    def _creep(self, place):
        """Follow the frame to rest: damped Newton steps, each no longer than the force along it lasts."""
        force, change, _, _ = self._unbalanced(place)
        stiff = np.max(np.abs(change))
        for _ in range(_STEPS):
            if np.max(np.abs(force)) <= _SETTLED * self.size:
                break
            matrix = -change
            softest = np.linalg.eigvalsh(0.5 * (matrix + matrix.T))[0]
            # Where a load falls as the frame sinks, or nothing resists, the step stays downhill and short.
            damping = max(1e-9 * stiff, 1e-6 * stiff - softest)
            step = np.linalg.solve(matrix + damping * np.eye(place.size), force)
            step *= min(1.0, _LONGEST_STEP / np.max(np.abs(step)))
            low, high = 0.0, 1.0
            trial = self._unbalanced(place + step)
            if trial[0] @ step < 0:
                for _ in range(_HALVINGS):
                    middle = 0.5 * (low + high)
                    trial = self._unbalanced(place + middle * step)
                    low, high = (middle, high) if trial[0] @ step > 0 else (low, middle)
                step = low * step if low > 0 else high * step
                trial = self._unbalanced(place + step)
            place = place + step
            force, change = trial[:2]
        return place

    def _finished(self, place):
        """Balance near a place where the creeping goes back and forth between stops."""
        from scipy.optimize import least_squares

        found = least_squares(
            lambda place: self._unbalanced(place)[0] / self.size,
            place,
            lambda place: self._unbalanced(place)[1] / self.size,
            xtol=1e-15,
            ftol=1e-15,
            gtol=1e-15,
            max_nfev=200,
        )
        return found.x
