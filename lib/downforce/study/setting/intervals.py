"""The intervals of one setting: what its numbers may be when every input is drawn anew."""

from dataclasses import dataclass
from functools import cache, cached_property
from statistics import NormalDist

import numpy as np

from downforce.physics.kinds import Newton, Pascal, Pascals, Ratio, Ratios
from downforce.study.frame_lift import lift_of_copies, lift_pressure
from downforce.study.setting.sureness import (
    CHANCE_OF_LIFT,
    Case,
    LiftSlopes,
    drawn,
    interval,
    lowest_lift,
    rule_slopes,
    standard_draws,
    the_rule,
)


@cache
def _quantiles(count):
    """Standard normal quantiles at equal steps, of the standard library: scipy is slow to load."""
    normal = NormalDist()
    return np.array([normal.inv_cdf((place + 0.5) / count) for place in range(count)])


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
        change = _quantiles(rank.size)[rank] - drawn_along
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
