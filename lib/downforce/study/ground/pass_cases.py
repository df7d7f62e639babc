"""Many passes in one go, on any executor, and very long ones in little memory."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import Event
from typing import Any

import numpy as np

from downforce.physics.kinds import Metre, MetrePerHectare, MetrePerSecond, Pascal
from downforce.study.field_pass import RIDE_OPENERS, press_block, run_pass
from downforce.study.frame.tyre_give import working_rise
from downforce.study.ground.crossing import Watch, crossing_blocks
from downforce.study.ground.motion import edged, ride_edges
from downforce.study.ground.pass_report import (
    StrokeUse,
    VariationParts,
    rod_travel_per_hectare,
    stroke_use,
    variation_parts,
)
from downforce.study.openers.load_shares import LoadShares, under_frame
from downforce.study.openers.table import OpenerTable

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
    gauge_pressure: Pascal | None = None
    seed: int = 1
    stations: int = 2000
    spacing: Metre = 0.1
    speed: MetrePerSecond | None = None


@dataclass(frozen=True)
class CaseResult:
    """What one pass of many shows.

    shares: how evenly the gauge wheels are loaded.
    """

    name: str
    shares: LoadShares
    parts: VariationParts
    stroke: StrokeUse
    rod_travel: MetrePerHectare


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
