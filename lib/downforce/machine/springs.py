"""Coil springs that press an opener down: one coil or several on one seat, with an adjuster."""

from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np

from downforce.machine.mount import END_OF_STROKE, Mounted, tighter
from downforce.machine.quantity import Quantity
from downforce.physics import spring as spring_physics
from downforce.physics.kinds import Metre, Newtons, Texts


@dataclass(frozen=True)
class Coil:
    """One helical compression spring.

    rate: newtons for one metre of compression.
    free_length: length with no load.
    solid_length: length with the coils closed.
    """

    rate: Annotated[float, Quantity("spring rate", 500.0, 500e3)]
    free_length: Annotated[float, Quantity("length", 0.05, 1.5)]
    solid_length: Annotated[float, Quantity("length", 0.02, 1.2)]


@dataclass(frozen=True)
class SpringSet(Mounted):
    """Coil springs that share one seat, with an adjuster.

    mount: the pins.
    coils: one coil, or several nested in each other.
    fittings: part of the pin-to-pin length that is not spring: rod ends, washers, seats.
    setting: how far the adjuster is turned in: it shortens the spring at every travel.
    """

    coils: tuple[Coil, ...]
    fittings: Annotated[float, Quantity("length", 0.0, 1.0)] = 0.0
    setting: Annotated[float, Quantity("length", -0.2, 0.2)] = 0.0

    def spring_length(self, length: Metre) -> Metre:
        """Length of the coils themselves.

        Result: what is left for the coils after fittings and adjuster.
        """
        return np.asarray(length) - self.fittings - self.setting

    def axial_force(self, length: Metre, gauge_pressure: object = None) -> Newtons:
        """Spring force along the axis.

        gauge_pressure: not used; a spring knows no pressure.
        Result: zero when slack, the force at the solid length when coil-bound.
        """
        rates, free, solid = zip(*((c.rate, c.free_length, c.solid_length) for c in self.coils), strict=True)
        return spring_physics.nested_force(self.spring_length(length), rates, free, solid)

    def regime(self, length: Metre) -> Texts:
        """Name of the spring's state.

        Result: "slack", "working" or "coil-bind".
        """
        present = self.spring_length(length)
        return np.select(
            [present >= max(c.free_length for c in self.coils), present <= self._solid + END_OF_STROKE],
            ["slack", "coil-bind"],
            "working",
        )

    def travel_stops(self, opener) -> tuple[Metre, Metre]:
        """Lowest and highest travel that opener and spring allow together.

        Result: coil-bind stops the arm on its way up; a slack spring does not hold it on its way down.
        """
        bound = self.travel_where_length_is(opener, self._solid + self.fittings + self.setting)
        return opener.lowest_travel, tighter(opener.highest_travel, bound, min)

    def turned_to(self, setting: Metre) -> "SpringSet":
        """The same springs with the adjuster elsewhere."""
        return replace(self, setting=float(setting))

    @property
    def _solid(self):
        return max(c.solid_length for c in self.coils)
