"""What a cylinder has to do: force from soft soil to the hardest track, stroke, and closed length.

Its stroke is held against every place the opener goes: work, stops, raised, transport. What is not stroke in
a closed cylinder hangs on bore, kind and mounting: nobody can build it shorter.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from downforce.machine.actuators import CYLINDER_KINDS, Cylinder
from downforce.machine.drill import Drill, Opener
from downforce.machine.field import Field, Soil
from downforce.machine.shipped import read_table
from downforce.physics.cylinder import stroke_margins
from downforce.physics.kinds import Metre, Metres, Newton, Pascal
from downforce.study.opener_loads import down_force_wanted


@dataclass(frozen=True)
class Need:
    """Down force that one soil asks for.

    travel: travel of the disc there: a track lies lower.
    down_force: what the cylinder must give at the disc for it; 0 where the opener's weight alone is enough.
    """

    field: str
    in_tracks: bool
    soil: Soil
    travel: Metre
    gauge_wheel_load: Newton
    down_force: Newton

    @property
    def name(self):
        """How lists call it."""
        return f"tracks in {self.field}" if self.in_tracks else self.field


@dataclass(frozen=True)
class Limit:
    """A pressure that ends what can be set, with what ends it.

    kind: "valve", "relief", "outlet", "rating", "gauge end", "return", "lift", "headroom" or "chance of
        lift".
    """

    kind: str
    gauge_pressure: Pascal
    words: str

    @property
    def by_weight(self):
        """Whether the weight of the frame ends it, and not a part."""
        return self.kind in ("lift", "headroom", "chance of lift")


@dataclass(frozen=True)
class PressureLimits:
    """The pressures between which a drill's cylinders can be set.

    floor: what keeps the gauge from going lower.
    top: what ends it upwards among the parts.
    standing: highest gauge pressure that can stand in a cylinder: the relief valve's.
    """

    floor: Limit
    top: Limit
    standing: Pascal

    @property
    def lowest(self) -> Pascal:
        """Lowest gauge pressure."""
        return self.floor.gauge_pressure

    @property
    def highest(self) -> Pascal:
        """Highest gauge pressure of the parts."""
        return self.top.gauge_pressure


def force_needs(drill: Drill, fields: Sequence[Field]) -> tuple[Need, ...]:
    """What each field, and each field's wheel tracks, ask of one opener.

    Result: from the softest to the hardest.
    Raises ValueError if there is no field.
    """
    if not fields:
        raise ValueError("fields is empty; give at least one field for the cylinder to serve.")
    needs = []
    for field in fields:
        load = field.aim.gauge_wheel_load
        needs.append(_need(drill.opener, field.name, False, field.opener_soil, 0.0, load))
        if field.tracks is not None:
            travel = max(-field.tracks.depth, drill.opener.lowest_travel)
            needs.append(_need(drill.opener, field.name, True, field.track_soil, travel, load))
    return tuple(sorted(needs, key=lambda need: need.down_force))


def pressure_limits(drill: Drill) -> PressureLimits:
    """Lowest and highest gauge pressure at which a drill's cylinders can work, and what sets them."""
    parts = drill.hydraulics
    floors = (
        Limit("valve", parts.valve.min_pressure, "the lowest setting of the valve"),
        Limit("return", parts.supply.return_pressure, "the back-pressure of the return"),
    )
    tops = (
        Limit("valve", parts.valve.max_pressure, "the highest setting of the valve"),
        Limit("relief", parts.valve.relief_pressure, "the relief valve"),
        Limit("outlet", parts.supply.max_pressure, "the tractor's outlet"),
        Limit("rating", parts.header.rated_pressure, "the rating of the header"),
        Limit("rating", parts.drop.rated_pressure, "the rating of the drops"),
        Limit("rating", drill.cylinder.rated_pressure, "the rating of the cylinder"),
        Limit("gauge end", parts.gauge.full_scale, "the end of the gauge"),
    )
    return PressureLimits(
        max(floors, key=lambda limit: limit.gauge_pressure),
        min(tops, key=lambda limit: limit.gauge_pressure),
        parts.valve.relief_pressure,
    )


def _need(opener, field, in_tracks, soil, travel, load):
    down_force = max(0.0, float(down_force_wanted(opener, soil, load, travel)))
    return Need(field, in_tracks, soil, travel, load, down_force)


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


MOUNTINGS = ("cross tubes", "tang or clevis", "tie rods")
"""How a cylinder's ends are made [-]; the first is the shortest."""

WITHOUT_PISTON = (0.030, 0.020)
"""How much shorter a plunger type may be, of its shortest and longest [m] (common practice, no source)."""


@cache
def dead_lengths(bore: Metre, kind, mounting) -> tuple[Metre, Metre]:
    """Shortest and longest dead length of cylinders as they are commonly built.

    kind: "piston" or "plunger".
    mounting: one of `MOUNTINGS`.
    Result: closed length less stroke; 0 and infinite where the table has no such bore.

    Common practice, no source: base pin to bottom of the bore, piston, gland, neck of the rod's eye. A
    supplier's drawing goes before it.
    """
    if mounting not in MOUNTINGS:
        raise ValueError(f"mounting must be one of {', '.join(MOUNTINGS)}; got {mounting!r}.")
    for row in read_table("dead_lengths").itertuples():
        if row.mounting == mounting and row.bore_from_mm <= 1e3 * bore < row.bore_to_mm:
            less = WITHOUT_PISTON if CYLINDER_KINDS[kind].acting == "rod" else (0.0, 0.0)
            return row.shortest_mm / 1e3 - less[0], row.longest_mm / 1e3 - less[1]
    return 0.0, float("inf")
