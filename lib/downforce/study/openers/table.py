"""Kinematics of one opener and its actuator, tabled over the travel, for passes with many openers."""

import math

import numpy as np

from downforce.machine.drill import Opener
from downforce.physics.kinds import Metres, Newton, NewtonPerMetre, Newtons, Pascal, Ratios

STEP = 5e-5
"""Travel between tabled points [m]; working height is one of them, so level ground loses nothing."""

RATE_STEP = 2e-3
"""Step over which the rise of the push is taken [m]."""


class OpenerTable:
    """Lever ratios of an opener and length and leverage of its actuator, joined by straight lines.

    actuator: what presses it down.

    The tabled functions are smooth, so the straight lines miss them by about 1e-9 of their value: well under
    a thousandth of a newton. Force laws with corners (a slack spring, an end of stroke) are not tabled.
    """

    def __init__(self, opener: Opener, actuator):
        self.lowest, self.highest = actuator.travel_stops(opener)
        self._actuator = actuator
        first = math.floor(self.lowest / STEP) - 1
        travel = np.arange(first, math.ceil(self.highest / STEP) + 2) * STEP
        self._first = first
        weight, closing, gauge, draft = opener.shares(travel, np.zeros_like(travel))
        # Draft works at the ground's height, and its share is a straight line in that height.
        further = opener.shares(travel, np.ones_like(travel))[3] - draft
        self._further = _rows(further) if np.any(further) else None
        self._gauge = _rows(gauge) if np.any(gauge != 1.0) else None
        self._weight, self._closing, self._draft = _rows(weight), _rows(closing), _rows(draft)
        self._length = _rows(actuator.length(opener, travel))
        self._leverage = _rows(actuator.leverage(opener, travel))

    def shares(self, travel: Metres, ground_travel: Metres) -> tuple[Ratios, Ratios, Ratios, Ratios]:
        """Newtons at the disc for one newton of weight, closing wheel, gauge wheel and draft.

        Result: as Opener.shares.
        """
        place = self._place(travel)
        draft = _between(self._draft, *place)
        if self._further is not None:
            draft += ground_travel * _between(self._further, *place)
        gauge = np.ones_like(travel) if self._gauge is None else _between(self._gauge, *place)
        return _between(self._weight, *place), _between(self._closing, *place), gauge, draft

    def length(self, travel: Metres) -> Metres:
        """Pin-to-pin length of the actuator."""
        return _between(self._length, *self._place(travel))

    def down_force(self, travel: Metres, gauge_pressure: Pascal | None = None) -> Newtons:
        """What the actuator gives at the disc."""
        place = self._place(travel)
        force = self._actuator.axial_force(_between(self._length, *place), gauge_pressure)
        return force * _between(self._leverage, *place)

    def friction(self, travel: Metres, gauge_pressure: Pascal | None = None) -> Newton:
        """Seal friction felt at the disc, whichever way it works.

        Result: friction along the axis x leverage; 0.0 where there is none at all.
        """
        place = self._place(travel)
        length = _between(self._length, *place)
        force = self._actuator.friction_force(gauge_pressure, length)
        return np.abs(force * _between(self._leverage, *place)) if np.any(force) else 0.0

    def push_rate(self, travel: Metres, gauge_pressure: Pascal | None = None) -> NewtonPerMetre:
        """Rise of the push for each metre of travel.

        Result: by a step of `RATE_STEP` either way, within the stops; 0.0 at held pressure, being next to
            none.
        """
        if gauge_pressure is not None:
            return 0.0
        low, high = (np.clip(travel + way * RATE_STEP, self.lowest, self.highest) for way in (-1.0, 1.0))
        step = np.maximum(high - low, STEP)
        return np.maximum((self.down_force(high) - self.down_force(low)) / step, 0.0)

    def _place(self, travel):
        """Tabled point at or below each travel, and how far on to the next."""
        steps = travel / STEP - self._first
        index = steps.astype(np.intp)
        return index, steps - index


def _rows(values):
    """Each tabled value and the step to the next."""
    return values[:-1].copy(), np.diff(values)


def _between(rows, index, part):
    start, step = rows
    found = step.take(index)
    found *= part
    found += start.take(index)
    return found
