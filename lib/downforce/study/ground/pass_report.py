"""What a pass shows: where the variation comes from, how much stroke it used, how far the rods ran."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.balance import LOWER_STOP, OUT, UPPER_STOP
from downforce.physics.checks import positive
from downforce.physics.kinds import (
    Metre,
    MetrePerHectare,
    MetrePerSecond,
    MetrePerSecondSquared,
    Metres,
    Newton,
    Newtons,
    Pascal,
    Ratio,
)
from downforce.physics.soil.reaction import draft_ratio_at_speed
from downforce.study.field_pass import FieldPass, press
from downforce.study.ground.crossing import Crossing, soil_at_depth
from downforce.study.openers.table import OpenerTable

_NOTHING = 1e-12  # variance [N2] below which all loads are alike but for rounding

HECTARE = 1e4
"""Square metres [m2]."""


@dataclass(frozen=True)
class VariationParts:
    """Standard deviation of the gauge-wheel load at depth, one cause at a time.

    height: from the height of the ground relative to the frame: soil even, opener not accelerated.
    soil: from the soil: every opener at working height, not accelerated.
    motion: from openers that bounce and seals that rub: working height, soil even.
    """

    height: Newton
    soil: Newton
    motion: Newton
    together: Newton

    @property
    def height_share(self) -> Ratio:
        """Share of the three variances that height makes."""
        return self._share(self.height)

    @property
    def soil_share(self) -> Ratio:
        """Share of the three variances that soil makes."""
        return self._share(self.soil)

    @property
    def motion_share(self) -> Ratio:
        """Share of the three variances that motion makes."""
        return self._share(self.motion)

    def _share(self, part):
        whole = self.height**2 + self.soil**2 + self.motion**2
        return part**2 / whole if whole > _NOTHING else 0.0


@dataclass(frozen=True)
class StrokeUse:
    """How far the openers moved, against what opener and actuator allow.

    allowed_down, allowed_up: travel from working height to the stops, both positive.
    asked_down, asked_up: farthest that the ground went below and above working height.
    ran_out: where it ran out, one entry for each opener that met a stop, from left to right.
    """

    allowed_down: Metre
    allowed_up: Metre
    asked_down: Metre
    asked_up: Metre
    ran_out: "tuple[RanOut, ...]"


@dataclass(frozen=True)
class RanOut:
    """An opener that met a stop.

    row: row number, 1 at the left.
    stop: "upper" or "lower", whichever it met first.
    station: distance along the pass at which it first did.
    """

    row: int
    stop: str
    station: Metre


def variation_parts(
    drill: Drill, field: Field, crossing: Crossing, actuator, gauge_pressure: Pascal | None = None
) -> VariationParts:
    """How much of the variation comes from height, from soil and from motion.

    actuator: what presses the openers down.
    Result: for independent causes the squares add up.

    The load is that of a disc at its target depth, negative where it would have to pull, so that the cut at
    zero does not hide the spread of the rows that fail. Travel is held within the stops. A wheel in the air
    bears nothing, and its load is what the soil lacks there.
    """
    table = OpenerTable(drill.opener, actuator)
    level = np.zeros_like(crossing.ground_travel)
    even = np.full_like(crossing.reaction, crossing.reaction.mean())
    done = press(drill, field, crossing, actuator, gauge_pressure)
    crossing = done.crossing
    moving, still = (done.acceleration, done.rubbing), (0.0, 0.0)

    def spread(travel, reaction, motion):
        loads = load_at_depth(drill, field, table, travel, reaction, *motion, crossing.speed, gauge_pressure)
        return float(loads.std())

    return VariationParts(
        height=spread(crossing.ground_travel, even, still),
        soil=spread(level, crossing.reaction, still),
        motion=spread(level, even, moving),
        together=spread(crossing.ground_travel, crossing.reaction, moving),
    )


def load_at_depth(
    drill: Drill,
    field: Field,
    table: OpenerTable,
    ground_travel: Metres,
    reaction: Newtons,
    acceleration: MetrePerSecondSquared,
    rubbing: Ratio,
    speed: MetrePerSecond,
    gauge_pressure: Pascal | None = None,
) -> Newtons:
    """Gauge-wheel load of discs held at their target depth, negative where the wheel would have to pull.

    ground_travel: height of the ground relative to the frame.
    rubbing: 1 where the disc rises against its seals, -1 where it falls, 0 where it rests.
    """
    opener = drill.opener
    travel = np.clip(ground_travel, table.lowest, table.highest)
    weight_share, closing_share, gauge_share, draft_share = table.shares(travel, ground_travel)
    ratio = draft_ratio_at_speed(field.soil.draft_ratio, speed, field.speed)
    push = table.down_force(travel, gauge_pressure)
    push = push + weight_share * (opener.weight + opener.mass * acceleration)
    push = push + rubbing * table.friction(travel, gauge_pressure)
    taken = soil_at_depth(field, reaction).target_reaction * (1.0 + ratio * draft_share)
    return (push - taken - closing_share * opener.closing_load) / gauge_share


def stroke_use(field_pass: FieldPass) -> StrokeUse:
    """How much stroke a pass used, against what there is, and where it ran out."""
    # Of rows on oil and rows on springs the tighter stops are told.
    stops = [actuator.travel_stops(field_pass.drill.opener) for _, actuator, _ in field_pass.pressed_by]
    lowest, highest = max(low for low, _ in stops), min(high for _, high in stops)
    up, down = _on_stops(field_pass, lowest)
    ran_out = []
    for row in np.flatnonzero((up | down).any(axis=0)):
        first = int(np.argmax(up[:, row] | down[:, row]))
        ran_out.append(
            RanOut(
                int(row) + 1,
                "upper" if up[first, row] else "lower",
                float(field_pass.station[first]),
            )
        )
    asked = field_pass.ground_travel
    return StrokeUse(
        allowed_down=-lowest,
        allowed_up=highest,
        asked_down=max(0.0, -float(asked.min())),
        asked_up=max(0.0, float(asked.max())),
        ran_out=tuple(ran_out),
    )


def rod_travel_per_hectare(field_pass: FieldPass) -> MetrePerHectare:
    """How far the rod of one actuator runs through its seal for each hectare the drill sows.

    Sum of the changes of length from station to station; jitter between stations is not seen. A seal's life
    is counted in metres run.
    """
    if len(field_pass.station) < 2:
        raise ValueError("Rod travel needs a pass of two stations or more.")
    run = np.abs(np.diff(field_pass.actuator_length, axis=0)).sum(axis=0).mean()
    distance = float(np.ptp(field_pass.station))
    return float(run * HECTARE / positive("area sown", distance * field_pass.drill.width))


def _on_stops(field_pass, lowest):
    """Which openers are on the upper and on the lower stop; one out of the ground may hang on it."""
    up = field_pass.regime == UPPER_STOP
    hanging = (field_pass.regime == OUT) & (field_pass.travel <= lowest)
    return up, (field_pass.regime == LOWER_STOP) | hanging
