"""What a pass shows: causes of the variation, stroke used, way of the rods, and what speed does.

Many passes go at once on any executor, and very long ones in little memory.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import Event
from typing import Any

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics import kinds as si
from downforce.physics.balance import LOWER_STOP, OUT, UPPER_STOP
from downforce.physics.checks import positive
from downforce.physics.soil_reaction import draft_ratio_at_speed
from downforce.study.field_pass import RIDE_OPENERS, FieldPass, press, press_block, run_pass
from downforce.study.frame.tyre_give import working_rise
from downforce.study.ground.crossing import Crossing, Watch, crossing_blocks, soil_at_depth
from downforce.study.ground.motion import edged, ride_edges
from downforce.study.rows import LoadShares, OpenerTable, under_frame

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

    height: si.Newton
    soil: si.Newton
    motion: si.Newton
    together: si.Newton

    @property
    def height_share(self) -> si.Ratio:
        """Share of the three variances that height makes."""
        return self._share(self.height)

    @property
    def soil_share(self) -> si.Ratio:
        """Share of the three variances that soil makes."""
        return self._share(self.soil)

    @property
    def motion_share(self) -> si.Ratio:
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

    allowed_down: si.Metre
    allowed_up: si.Metre
    asked_down: si.Metre
    asked_up: si.Metre
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
    station: si.Metre


def variation_parts(
    drill: Drill, field: Field, crossing: Crossing, actuator, gauge_pressure: si.Pascal | None = None
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
    ground_travel: si.Metres,
    reaction: si.Newtons,
    acceleration: si.MetrePerSecondSquared,
    rubbing: si.Ratio,
    speed: si.MetrePerSecond,
    gauge_pressure: si.Pascal | None = None,
) -> si.Newtons:
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
            RanOut(int(row) + 1, "upper" if up[first, row] else "lower", float(field_pass.station[first]))
        )
    asked = field_pass.ground_travel
    return StrokeUse(
        allowed_down=-lowest,
        allowed_up=highest,
        asked_down=max(0.0, -float(asked.min())),
        asked_up=max(0.0, float(asked.max())),
        ran_out=tuple(ran_out),
    )


def rod_travel_per_hectare(field_pass: FieldPass) -> si.MetrePerHectare:
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


BIN = 1.0
"""Width of the bins from which a long pass reads its percentiles [N]."""

_MOST_BINS = 20_000


@dataclass(frozen=True)
class PassCase:
    """One pass to be run.

    actuator: what presses the openers down.
    speed: ground speed; the field's own if None.
    """

    name: str
    drill: Any
    field: Any
    actuator: Any
    gauge_pressure: si.Pascal | None = None
    seed: int = 1
    stations: int = 2000
    spacing: si.Metre = 0.1
    speed: si.MetrePerSecond | None = None


@dataclass(frozen=True)
class CaseResult:
    """What one pass of many shows.

    shares: how evenly the gauge wheels are loaded.
    """

    name: str
    shares: LoadShares
    parts: VariationParts
    stroke: StrokeUse
    rod_travel: si.MetrePerHectare


def passes(
    cases: Sequence[PassCase],
    executor=None,
    progress: Callable | None = None,
    stop: Callable | Event | None = None,
) -> list[CaseResult]:
    """Run many passes.

    executor: a pool of threads or processes, or a cluster's own executor; one after the other when left out.
    progress: called with the share done, 0 to 1.
    stop: ends the work between two cases when it says so.
    Result: in the order of the cases, whatever the executor.
    """
    cases = list(cases)
    watch = Watch(len(cases), progress, stop)
    if executor is None:
        results = map(run_case, cases)
        return [_counted(result, watch) for result in results]
    waiting = [executor.submit(run_case, case) for case in cases]
    try:
        return [_counted(one.result(), watch) for one in waiting]
    finally:
        for one in waiting:
            one.cancel()


def run_case(case: PassCase) -> CaseResult:
    """Run one pass and keep only what it shows."""
    done = run_pass(
        case.drill,
        case.field,
        case.actuator,
        case.gauge_pressure,
        case.seed,
        case.stations,
        case.spacing,
        case.speed,
    )
    parts = variation_parts(case.drill, case.field, done.crossing, case.actuator, case.gauge_pressure)
    return CaseResult(case.name, done.shares(), parts, stroke_use(done), rod_travel_per_hectare(done))


def long_pass_shares(
    case: PassCase, progress: Callable | None = None, stop: Callable | Event | None = None
) -> LoadShares:
    """Shares of a pass too long to keep: worked in blocks, only counts are kept.

    progress: called with the share done, 0 to 1.
    """
    tally = _Tally(case.field)
    table = OpenerTable(case.drill.opener, case.actuator)
    watch = Watch(case.stations, progress, stop)
    rise = working_rise(case.drill, case.field.opener_soil, case.actuator, case.gauge_pressure)
    opener, size = case.drill.opener, RIDE_OPENERS // case.drill.row_count
    blocks = crossing_blocks(
        case.drill, case.field, case.seed, case.stations, case.spacing, case.speed, block_stations=size
    )
    standing = (block.under(rise) for block in blocks)
    for block, own in edged(standing, lambda one: ride_edges(opener, one)):
        loads = press_block(opener, case.field, block, table, case.gauge_pressure)
        tally.add(loads, own)
        watch.done(own.stop - own.start)
    return tally.shares()


def _counted(result, watch):
    watch.done(1)
    return result


class _Tally:
    """Counts and sums from which shares follow."""

    def __init__(self, field):
        self._aim, self._target = field.aim, field.target_depth
        self._bins = np.zeros(_MOST_BINS + 1, dtype=np.int64)
        self._counts = np.zeros(3)
        self._sums = np.zeros(4)

    def add(self, loads, own):
        load, depth = loads.gauge_wheel_load[own].ravel(), loads.depth[own].ravel()
        binned = np.minimum(load / BIN, _MOST_BINS).astype(np.intp)
        self._bins += np.bincount(binned, minlength=_MOST_BINS + 1)
        aim, under = self._aim, under_frame(loads.regime[own], loads.depth[own], self._target).ravel()
        self._counts += (
            np.count_nonzero(depth < self._target),
            np.count_nonzero((load < aim.least_load) & ~under),
            np.count_nonzero((load > aim.heavy_load) | under),
        )
        off = depth - self._target
        self._sums += (load.sum(), np.square(load).sum(), off.sum(), np.square(off).sum())

    def shares(self):
        count = self._bins.sum()
        not_at_depth, short, packing = (float(value) for value in self._counts / count)
        mean, square, off, off_square = (float(value) for value in self._sums / count)
        return LoadShares(
            mean=mean,
            spread=float(np.sqrt(max(0.0, square - mean**2))),
            low=self._percentile(0.05),
            high=self._percentile(0.95),
            not_at_depth=not_at_depth,
            short=short,
            enough=1.0 - short - packing,
            packing=packing,
            mean_depth=self._target + off,
            depth_spread=float(np.sqrt(max(0.0, off_square - off**2))),
        )

    def _percentile(self, share):
        below = np.cumsum(self._bins) / self._bins.sum()
        first = int(np.searchsorted(below, share))
        # Loads of exactly nothing share the first bin; they are not half a newton.
        return 0.0 if first == 0 else (first + 0.5) * BIN


PUBLISHED = (
    (6 / 3.6, 1148.0, 0.40),
    (8 / 3.6, 1017.0, 0.41),
    (10 / 3.6, 843.0, 0.62),
    (12 / 3.6, 713.0, 0.71),
)
"""Speed [m/s], mean gauge-wheel load [N] and standard deviation over mean [-], measured on
gauge wheels of a no-till planter [RAD]; how many row units is not said."""


@dataclass(frozen=True)
class SpeedRuns:
    """Gauge-wheel load at several speeds, one element for each.

    spread: standard deviation of the margin: the cut at zero is left out.
    """

    speed: si.MetresPerSecond
    mean: si.Newtons
    spread: si.Newtons
    short: si.Ratios


def speed_runs(
    drill: Drill,
    field: Field,
    crossing: Crossing,
    actuator,
    gauge_pressure: si.Pascal | None,
    speeds: Sequence[si.MetrePerSecond],
) -> SpeedRuns:
    """One pass at each of several speeds over the same ground.

    crossing: ground and soil met, at any speed but 0.
    actuator: what presses the openers down.

    Faster, draft grows by 4 percent per km/h and bumps throw the opener harder. Left out: the vertical soil
    load, which [SAR] saw fall a little with speed.
    """
    table = OpenerTable(drill.opener, actuator)
    rows = []
    for speed in speeds:
        met = crossing.at_speed(speed)
        done = press(drill, field, met, actuator, gauge_pressure)
        shares = done.shares()
        loads = load_at_depth(
            drill,
            field,
            table,
            met.ground_travel,
            met.reaction,
            done.acceleration,
            done.rubbing,
            met.speed,
            gauge_pressure,
        )
        rows.append((speed, shares.mean, loads.std(), shares.short))
    return SpeedRuns(*np.array(rows, dtype=float).T)
