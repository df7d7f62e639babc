"""How sure a setting and a lift are: slopes of every pressure of the rule, drawn together.

To first order in every pressure: each input is moved by one standard uncertainty either way, the pressures
that the rule works with are noted, and the rule itself is applied to joint draws of them [JCGM101]. The
intervals say what a setting's numbers may be when every input is drawn anew; `monte_carlo` does draw the
inputs themselves and is for tests and for whoever has a minute.
"""

from dataclasses import dataclass, replace
from functools import cache, cached_property

import numpy as np

from downforce.machine.doubts import Input, changed, uncertain_inputs
from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.balance import load_left
from downforce.physics.kinds import Metre, Newton, Newtons, Pascal, Pascals, Ratio, Ratios
from downforce.study.frame.tyre_give import working_rise
from downforce.study.frame_lift import lift_of_copies, lift_pressure
from downforce.study.ground.motion import leaning, ridden, where_it_holds
from downforce.study.kept import kept
from downforce.study.opener_loads import opener_loads
from downforce.study.rows import RowSample, normal_quantiles, sample_for
from downforce.study.setting.row_needs import pressure_for_load, row_needs

DRAWS = 4000
"""Joint draws behind an interval, in pairs of opposite sign so that the middle stays in the middle."""
LEVEL = 0.90
"""Probability that an interval holds what it is given for."""
CHANCE_OF_LIFT = 0.05
"""Probability of lifting the frame that a setting may have, the gauge's error in it."""
SETTLED = 0.05e5
"""Change of the setting after which openers need not be ridden again [Pa]."""
NEEDED, BEST, FOR_SHARE, PACKING_AT = range(4)
"""Places of the rule's pressures [-]."""
_STEP = 2e5  # pressures that are ridden at to find one of the rule's, in pascals
_FAR = 1e5  # pressures that lie further apart tell how one leans on the other, in pascals
FEWER = np.s_[::4]
"""Which of the rows tell slopes as well as all do, and move a picture while a slider moves."""
_ROWS = ("opener", "cylinder")  # what of a drill the needs of its rows depend on
_FRAME_SHAPE = ("wheels", "hinges")
_NO_SAY = ("spring",)  # what no cylinder's setting depends on


@dataclass(frozen=True, eq=False)
class Case:
    """What a setting is worked out for.

    ridden_at: gauge pressure at which frame and openers of the sample stand and ride.
    lies: travel of the mean row on level ground: the frame may stand off its working height.
    leans: what more each of the rule's pressures is for each pascal more that openers ride at.
    """

    drill: Drill
    field: Field
    sample: RowSample
    hopper_fill: Ratio = 0.0
    ridden_at: Pascal = 0.0
    lies: Metre = 0.0
    leans: tuple[Ratio, Ratio, Ratio, Ratio] = (0.0,) * 4

    def moved(self, drill, field):
        """The same places with another drill or another description of the field."""
        moved = replace(self, drill=drill, field=field, sample=sample_for(self.sample, self.field, field))
        return moved.ridden(self.ridden_at) if self._rides_otherwise(drill, field) else moved

    def _rides_otherwise(self, drill, field):
        names = ("gauge_wheel_stiffness", "gauge_wheel_damping", "mass")
        same = all(getattr(drill.opener, name) == getattr(self.drill.opener, name) for name in names)
        return not same or field.speed != self.field.speed

    def ridden(self, gauge_pressure):
        """The same with a frame that stands and openers that ride as they do at a gauge pressure."""
        given = self.drill, self.field, self.sample, self.drill.cylinder, gauge_pressure
        sample = ridden(*given, others_too=False, hopper_fill=self.hopper_fill)
        return replace(self._stood(gauge_pressure), sample=sample)

    def _stood(self, gauge_pressure):
        rise = working_rise(self.drill, self.field.opener_soil, None, gauge_pressure, self.hopper_fill)
        lies = max(-float(rise.mean()), self.drill.cylinder.travel_stops(self.drill.opener)[0])
        return replace(self, ridden_at=gauge_pressure, lies=lies)

    @cached_property
    def needs(self):
        """The needs of the rows."""
        return row_needs(self.drill, self.field, self.sample)

    def asked(self, place) -> Pascal:
        """One of the pressures the rule works with, by openers that ride as they do at `ridden_at`."""
        if place == NEEDED:
            soil, load = self.field.opener_soil, self.field.aim.gauge_wheel_load
            return float(pressure_for_load(self.drill, soil, load, self.lies))
        if place == FOR_SHARE:
            return self.needs.for_share(self.field.aim.share_in)
        return self.needs.best if place == BEST else self.needs.packing_at

    @cached_property
    def rule_pressures(self):
        """The pressures the rule works with: needed, best, for the wanted share, at packing [Pa].

        Each as openers ride at that pressure itself, as far as `leans` tell.
        """
        at = self.ridden_at
        return tuple(at + (self.asked(place) - at) / (1.0 - lean) for place, lean in enumerate(self.leans))

    @cached_property
    def _rides(self):
        return {}

    def own(self, place):
        """One of the rule's pressures as openers ride at that pressure itself [Pa], and the sample there."""

        def asked(pressure):
            if place == NEEDED:
                return self._stood(pressure).asked(NEEDED), self.sample
            if pressure not in self._rides:
                self._rides[pressure] = self.ridden(pressure)
            there = self._rides[pressure]
            return there.asked(place), there.sample

        # Every search starts at the same, whatever the sample was ridden at before.
        return where_it_holds(asked, replace(self, lies=0.0).asked(NEEDED), _STEP)

    def settled(self, rule) -> Pascal:
        """Ridden at what the rule makes of its pressures, each at its own; and these pressures."""
        pressures = tuple(self.own(place)[0] for place in range(4))
        there = self.ridden(rule(pressures))
        known = (there, *self._rides.values())
        leans = (_lean(place, own, known) for place, own in enumerate(pressures))
        return replace(there, leans=tuple(leans)), pressures

    def frame_load(self, gauge_pressure) -> Newton:
        """What an opener takes from the frame on the mean soil and level ground."""
        return mean_frame_load(self.drill, self.field.opener_soil, gauge_pressure, self.lies)

    def thinned(self):
        """The same with fewer rows."""
        return replace(self, sample=self.sample.where(FEWER))


def _lean(place, own, cases):
    """What more one of the rule's pressures is for each pascal more that openers ride at."""
    for one in cases:
        asked = one.asked(place)
        if np.isfinite(asked) and _FAR < abs(own - one.ridden_at) < np.inf:
            return leaning((one.ridden_at, asked), (own, own))
    return 0.0


def mean_frame_load(drill, soil, gauge_pressure, travel=0.0) -> Newton:
    """What an opener takes from the frame at a travel of its disc at target depth."""
    opener, cylinder = drill.opener, drill.cylinder
    travel = max(travel, cylinder.travel_stops(opener)[0])
    push = cylinder.down_force(opener, travel, gauge_pressure)
    loads = opener.weight, opener.closing_load, soil.target_reaction
    left = load_left(push, opener.shares(travel, travel), *loads, soil.draft_ratio)
    if left < 0.0:  # not at depth: then the depth must be solved for, which takes ten times as long
        return float(opener_loads(opener, cylinder, soil, travel, gauge_pressure).frame_load)
    coulter = opener.coulter_load(soil.draft_ratio * soil.target_reaction)
    return float(soil.target_reaction + left + opener.closing_load - opener.weight + coulter)


@dataclass(frozen=True, eq=False)
class LiftSlopes:
    """What each uncertain input does to the lift of each section, for one standard uncertainty.

    lift (inputs, sections): change of the lift pressure.
    available (inputs, sections): change of what an opener may take from the frame.
    """

    inputs: tuple[Input, ...]
    own: int
    lift: Pascals
    available: Newtons


@kept(32)
def lift_slopes(drill, field, hopper_fill=0.0):
    """Slopes of the lift, kept for each drill, field and fill."""
    inputs, own = _inputs(drill, field)
    pairs = []
    # A wheel or a hinge that moves makes another frame, which must be followed by itself: one way will do.
    one_way = np.array([[one.path[0] in _FRAME_SHAPE] for one in inputs])
    for place, alone in enumerate(one_way.ravel()):
        lower, higher = _neighbours(drill, field, inputs, own, place)
        pairs += [(drill, field) if alone else lower, higher]
    drills, fields = zip(*pairs, strict=True)
    rise = lift_pressure(drill, field.opener_soil, hopper_fill).rise
    lift, available = lift_of_copies(drills, [each.opener_soil for each in fields], hopper_fill, rise)
    steps = (np.where(one_way, 2.0, 1.0) * _half_steps(found) for found in (lift, available))
    return LiftSlopes(inputs, own, *steps)


def rule_slopes(case, slopes, gauge_pressure):
    """Change of the rule's four pressures, of the short and packing shares and the frame load at a pressure.

    For one standard uncertainty of each input, shape (inputs, 7).
    """
    few = case.thinned()
    found = np.zeros((len(slopes.inputs), 7))
    for place, one in enumerate(slopes.inputs):
        if place < slopes.own and one.path[0] not in _ROWS:
            continue
        pair = []
        for drill, field in _neighbours(few.drill, few.field, slopes.inputs, slopes.own, place):
            there = few.moved(drill, field)
            shares = there.needs.short(gauge_pressure), there.needs.packing(gauge_pressure)
            pair.append((*there.rule_pressures, *shares, there.frame_load(gauge_pressure)))
        found[place] = _half_steps(np.array(pair))[0]
    return found


@cache
def standard_draws(count):
    """Joint standard normal draws of inputs, (DRAWS, count), and even ones from -1 to 1 for the gauge."""
    random = np.random.default_rng(20)
    half = random.standard_normal((DRAWS // 2, count))
    even = random.uniform(-1.0, 1.0, DRAWS // 2)
    draws = np.concatenate([half, -half]), np.concatenate([even, -even])
    for one in draws:
        one.flags.writeable = False
    return draws


def lowest_lift(lift, slopes, draws):
    """Draws of the lift of the section that goes first [Pa]; inf where none lifts."""
    known = np.isfinite(lift)
    if not known.any():
        return np.full(len(draws), np.inf)
    return np.maximum(lift[known] + draws @ slopes[:, known], 0.0).min(axis=1)


def interval(draws, level=LEVEL):
    """Ends of the interval that holds a share of the draws, as many below it as above."""
    return tuple(float(end) for end in np.quantile(draws, ((1 - level) / 2, (1 + level) / 2)))


def the_rule(lowest, ceiling, needed, best, for_share, packing_at):
    """The setting: as much as the wanted share of rows needs, unless more turn packing.

    Never less than was asked for the mean row, never above the ceiling, never below what the valve holds.
    """
    rows = np.minimum(np.minimum(best, for_share), packing_at)
    return np.maximum(lowest, np.minimum(ceiling, np.maximum(needed, rows)))


def drawn(drill, field, draws):
    """Copies of drill and field with all inputs drawn anew, a pair for each row of standard draws."""
    inputs, own = _inputs(drill, field)
    for row in draws:
        values = [(one.path, one.value + one.uncertainty * z) for one, z in zip(inputs, row, strict=True)]
        yield changed(drill, dict(values[:own])), changed(field, dict(values[own:]))


def _inputs(drill, field):
    own = tuple(one for one in uncertain_inputs(drill) if one.path[0] not in _NO_SAY)
    return (*own, *uncertain_inputs(field)), len(own)


def _neighbours(drill, field, inputs, own, place):
    """Drill and field with one input a standard uncertainty lower, and higher."""
    one = inputs[place]
    for way in (-1.0, 1.0):
        values = {one.path: one.value + way * one.uncertainty}
        yield (changed(drill, values), field) if place < own else (drill, changed(field, values))


def _half_steps(found):
    """Half of the way from the first of each pair to its second; nothing where either does not exist."""
    with np.errstate(invalid="ignore"):
        step = (found[1::2] - found[::2]) / 2.0
    return np.where(np.isfinite(step), step, 0.0)


@dataclass(frozen=True)
class Blame:
    """What one act of measuring would bring.

    setting_left, lift_left: the intervals if these inputs were known.
    """

    words: str
    how: str
    setting_share: Ratio
    lift_share: Ratio
    setting_left: tuple[Pascal, Pascal]
    lift_left: tuple[Pascal, Pascal]


@dataclass(frozen=True, eq=False)
class LiftChance:
    """Draws of the lift of the section that goes first, and what they say of a pressure on the gauge."""

    lift: Pascals
    slopes: LiftSlopes
    gauge_error: Pascal

    @cached_property
    def draws(self) -> tuple[Ratios, Ratios]:
        """Standard draws of the inputs, and even ones of the gauge's error.

        Along the slope of the section that goes first they are normal quantiles at equal steps, so that the
        ends of the lift do not hang on which draws happened to be drawn.
        """
        normal, even = standard_draws(len(self.slopes.inputs))
        along = self.slopes.lift[:, int(np.argmin(self.lift))]
        size = float(np.linalg.norm(along))
        if size == 0.0:
            return normal, even
        drawn_along = normal @ (along / size)
        rank = np.argsort(np.argsort(drawn_along))
        change = normal_quantiles(rank.size)[rank] - drawn_along
        return normal + np.outer(change, along / size), even

    @cached_property
    def lifts(self) -> Pascal:
        """Drawn lift pressures."""
        return lowest_lift(self.lift, self.slopes.lift, self.draws[0])

    @property
    def highest(self) -> Pascal:
        """Highest reading at which the frame lifts with no more than `CHANCE_OF_LIFT`."""
        within = self.lifts - self.gauge_error * self.draws[1]
        # An error of the gauge never helps: by chance alone the two could change places.
        ends = (np.percentile(draws, 100 * CHANCE_OF_LIFT) for draws in (within, self.lifts))
        return float(max(min(ends), 0.0))

    @property
    def highest_of_sections(self) -> Pascal:
        """The same of each section by itself; inf where it never lifts."""
        draws, even = self.draws
        known, highest = np.isfinite(self.lift), np.full(len(self.lift), np.inf)
        lifts = self.lift[known] + draws @ self.slopes.lift[:, known] - self.gauge_error * even[:, None]
        highest[known] = np.percentile(lifts, 100 * CHANCE_OF_LIFT, axis=0)
        return np.maximum(highest, 0.0)

    def sure(self, gauge_pressure):
        """Probability that a reading is below the lift."""
        return float(np.mean(gauge_pressure + self.gauge_error * self.draws[1] < self.lifts))


@dataclass(frozen=True, eq=False)
class Intervals:
    """Intervals of 90 % round a setting, to first order, and what makes them wide.

    setting, lowest, parts, by_weight: the rule's answer, the lowest the valve holds, the limit of the parts,
        and that of the weight.
    like: an earlier answer's, whose slopes are kept while a slider moves.
    """

    case: Case
    chance: LiftChance
    setting: Pascal
    pressures: tuple[Pascal, Pascal, Pascal, Pascal]
    lowest: Pascal
    parts: Pascal
    by_weight: Pascal
    like: "Intervals | None" = None

    @cached_property
    def rule(self):
        """Slopes of the rule's pressures, shares and frame load; an earlier answer's while a slider moves."""
        if self.like is not None:
            return self.like.rule
        return rule_slopes(self.case, self.chance.slopes, self.setting)

    @property
    def setting_interval(self) -> Pascal:
        """Where the rule's answer lies."""
        return interval(self._settings(self.chance.draws[0]))

    @property
    def ceiling_interval(self) -> Pascal:
        """Where the ceiling lies."""
        return interval(self._ceilings(self.chance.lifts))

    @property
    def lift_interval(self) -> Pascal:
        """Where the frame lifts."""
        return interval(self.chance.lifts)

    @property
    def short_interval(self) -> Ratio:
        """Share of rows short at the setting."""
        return self._share(self.case.needs.short(self.setting), 4)

    @property
    def packing_interval(self) -> Ratio:
        """Share of rows packing at the setting."""
        return self._share(self.case.needs.packing(self.setting), 5)

    def headroom_interval(self, used, available) -> Newton:
        """Share of the weight not used at the setting, from what is used and available to an opener."""
        place = int(np.argmin(available))
        draws = self.chance.draws[0]
        there = available[place] + draws @ self.chance.slopes.available[:, place]
        return interval(1.0 - (used + draws @ self.rule[:, 6]) / np.maximum(there, 1.0))

    def blame(self):
        """What makes the intervals wide, the widest first; nothing where an input has no say."""
        slopes, draws = self.chance.slopes, self.chance.draws[0]
        whole = np.var(self._settings(draws)), np.var(self.chance.lifts)
        groups = {}
        for place, one in enumerate(slopes.inputs):
            groups.setdefault(one.group, []).append(place)
        found = []
        for places in groups.values():
            known = draws.copy()
            known[:, places] = 0.0
            settings, lifts = self._settings(known), lowest_lift(self.chance.lift, slopes.lift, known)
            shares = [
                max(1.0 - float(np.var(left) / all_of), 0.0) if np.isfinite(all_of) and all_of > 0 else 0.0
                for left, all_of in zip((settings, lifts), whole, strict=True)
            ]
            first = slopes.inputs[places[0]]
            found.append(Blame(first.group, first.how, *shares, interval(settings), interval(lifts)))
        worst = sorted(found, key=lambda one: -max(one.setting_share, one.lift_share))
        return tuple(one for one in worst if max(one.setting_share, one.lift_share) >= 0.005)

    def _settings(self, draws):
        base = np.array(self.pressures)
        pressures = np.maximum(base + draws @ self.rule[:, :4], 0.0).T
        lifts = lowest_lift(self.chance.lift, self.chance.slopes.lift, draws)
        return the_rule(self.lowest, self._ceilings(lifts), *pressures)

    def _ceilings(self, lifts):
        """The ceiling keeps the distance to its lift that it has at the best estimate."""
        lift = float(self.chance.lift.min())
        if not np.isfinite(lift):
            return np.full(len(lifts), self.parts)
        return np.minimum(self.parts, np.maximum(lifts - (lift - self.by_weight), 0.0))

    def _share(self, share, column):
        return interval(np.clip(share + self.chance.draws[0] @ self.rule[:, column], 0.0, 1.0))

    def first_order(self, draws):
        """Settings and lifts [Pa] by the slopes, for rows of standard draws."""
        return self._settings(draws), lowest_lift(self.chance.lift, self.chance.slopes.lift, draws)

    def monte_carlo(self, draws):
        """Settings and lifts [Pa] with every input drawn anew, for rows of standard draws; takes seconds."""
        case = self.case
        pairs = list(drawn(case.drill, case.field, draws))
        drills, fields = zip(*pairs, strict=True)
        rise = lift_pressure(case.drill, case.field.opener_soil, case.hopper_fill).rise
        soils = [field.opener_soil for field in fields]
        lifts = lift_of_copies(drills, soils, case.hopper_fill, rise)[0].min(axis=1)
        few = case.thinned()
        pressures = np.array([few.moved(*pair).rule_pressures for pair in pairs]).T
        return the_rule(self.lowest, self._ceilings(lifts), *pressures), lifts
