"""What an opener must be pressed with, from soft soil to the hardest track, and between which pressures."""

from collections.abc import Sequence
from dataclasses import dataclass

from downforce.machine.drill import Drill
from downforce.machine.field import Field, Soil
from downforce.physics.kinds import Metre, Newton, Pascal
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
