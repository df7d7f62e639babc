"""Does the cylinder reach? Its stroke against every place the opener goes: work, stops, raised, transport."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.cylinders import Cylinder
from downforce.machine.drill import Opener
from downforce.physics.cylinder import stroke_margins
from downforce.physics.kinds import Metre, Metres

PLACES = ("upper stop", "at work", "lower stop", "raised", "transport")
"""Places an opener goes to, in the order of every array here [-]."""


@dataclass(frozen=True)
class StrokeCheck:
    """Margins of a cylinder's stroke; arrays are in the order of PLACES.

    closed_margin, open_margin: stroke left towards the closed and towards the open end at each place;
        negative where it runs out.
    shortest, longest: extremes of the pin-to-pin length over all travel, raised and transport included.
    shortest_at, longest_at: where they are; "between the stops" where the length turns back on its way.
    end_margin: margin to be kept at either end.
    stroke_used: longest less shortest.
    """

    travel: Metres
    length: Metres
    closed_margin: Metres
    open_margin: Metres
    shortest: Metre
    longest: Metre
    shortest_at: str
    longest_at: str
    least_closed_margin: Metre
    least_open_margin: Metre
    end_margin: Metre

    @property
    def stroke_used(self) -> Metre:
        """Stroke between the extremes."""
        return self.longest - self.shortest

    @property
    def enough(self) -> bool:
        """Whether the margin is kept at both ends."""
        return min(self.least_closed_margin, self.least_open_margin) >= self.end_margin


def stroke_check(opener: Opener, cylinder: Cylinder, points=201) -> StrokeCheck:
    """Stroke margins of a cylinder over the whole travel of its opener.

    points: places between the stops at which the length is looked at.
    Result: margins at each place and the least at either end.
    """
    travel = np.array(
        [opener.highest_travel, 0.0, opener.lowest_travel, opener.raised_travel, opener.transport_travel]
    )
    length = cylinder.length(opener, travel)
    between = cylinder.length(opener, np.linspace(travel.min(), travel.max(), points))
    shortest, shortest_at = _extreme(length, between, np.argmin, np.min)
    longest, longest_at = _extreme(length, between, np.argmax, np.max)
    closed, opened = stroke_margins(cylinder.closed_length, cylinder.stroke, length, length)
    least = stroke_margins(cylinder.closed_length, cylinder.stroke, shortest, longest)
    return StrokeCheck(
        travel=travel,
        length=length,
        closed_margin=closed,
        open_margin=opened,
        shortest=shortest,
        longest=longest,
        shortest_at=shortest_at,
        longest_at=longest_at,
        least_closed_margin=float(least[0]),
        least_open_margin=float(least[1]),
        end_margin=cylinder.end_margin,
    )


def _extreme(length, between, where, value):
    at_place, on_the_way = float(value(length)), float(value(between))
    # The places themselves are among the points looked at, but for rounding.
    if abs(at_place - on_the_way) < 1e-6:
        return at_place, PLACES[int(where(length))]
    return on_the_way, "between the stops"
