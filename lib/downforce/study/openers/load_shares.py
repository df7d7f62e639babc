"""Which share of openers is short, has enough or packs, and how much of the spread comes from what."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Opener
from downforce.machine.field import Field
from downforce.physics.balance import REGIMES, UPPER_STOP, soil_push
from downforce.physics.kinds import Metre, Newton, Pascal, Ratio
from downforce.study.openers.row_sample import RowSample, asked_soil, sample_loads


@dataclass(frozen=True)
class LoadShares:
    """How evenly the gauge wheels are loaded.

    mean, spread: mean and standard deviation of the gauge-wheel load.
    low, high: 5th and 95th percentile.
    not_at_depth: share of openers that are not at depth, for whatever reason.
    short: share with less than the least load, those not at depth among them.
    packing: share above the heavy load; those that the frame stands on are among them, whatever the pressure.
    mean_depth, depth_spread: mean and standard deviation of the depth.
    """

    mean: Newton
    spread: Newton
    low: Newton
    high: Newton
    not_at_depth: Ratio
    short: Ratio
    enough: Ratio
    packing: Ratio
    mean_depth: Metre
    depth_spread: Metre


@dataclass(frozen=True)
class SpreadParts:
    """Standard deviation of the push that is left over at the gauge wheel, and where it comes from.

    height: with the soil the same everywhere; where openers are thrown at speed, their inertia is in it.
    """

    height: Newton
    soil: Newton
    together: Newton


def load_shares(loads, aim, target_depth, where=np.s_[...]):
    """Shares of openers that are short, have enough and pack, of all or of those picked by `where`.

    Loads are OpenerLoads, a pass or any object with gauge_wheel_load, depth and regime.
    """
    load, depth = np.ravel(loads.gauge_wheel_load[where]), np.ravel(loads.depth[where])
    under = under_frame(loads.regime[where], loads.depth[where], target_depth).ravel()
    short = float(np.mean((load < aim.least_load) & ~under))
    packing = float(np.mean((load > aim.heavy_load) | under))
    low, high = np.percentile(load, [5, 95])
    return LoadShares(
        mean=float(load.mean()),
        spread=float(load.std()),
        low=float(low),
        high=float(high),
        not_at_depth=float(np.mean(depth < target_depth)),
        short=short,
        enough=1.0 - short - packing,
        packing=packing,
        mean_depth=float(depth.mean()),
        depth_spread=float(depth.std()),
    )


def under_frame(regime, depth, target_depth):
    """Which gauge wheels the frame itself stands on: at depth, with the arm on its upper stop."""
    stopped = regime == (REGIMES[UPPER_STOP] if regime.dtype.kind == "U" else UPPER_STOP)
    return stopped & (depth >= target_depth)


def spread_parts(
    opener: Opener, actuator, field: Field, sample: RowSample, gauge_pressure: Pascal | None = None
) -> SpreadParts:
    """How much of the spread comes from height and how much from soil.

    actuator: what presses it down.
    field: depths, exponent and draft ratio.
    Result: standard deviations; for independent causes their squares add up.

    The spread is that of the loads: the gauge-wheel load, or where the opener is not at depth the load it
    lacks there, so that the cut at zero does not hide the spread of the rows that fail.
    """

    # The three cases in one call: half the time of a panel that is moved by hand.
    cases = (sample.on_even_soil(), sample.on_level_ground(), sample)
    joined = RowSample(  # type: ignore[call-arg]
        *(  # type: ignore[arg-type]
            np.concatenate([getattr(case, name) for case in cases])
            for name in ("travel", "reaction", "in_track", "row", "acceleration")
        ),
        sample.basis,
        np.concatenate([case.rubbing for case in cases]),
    )
    loads = _load_at_depth(opener, actuator, field, joined, gauge_pressure).reshape(len(cases), -1)
    return SpreadParts(*(float(spread) for spread in loads.std(axis=1)))


def _load_at_depth(opener, actuator, field, sample, gauge_pressure):
    loads = sample_loads(opener, actuator, field, sample, gauge_pressure)
    soil = field.soil
    target = asked_soil(field, sample).target_reaction
    _, _, gauge_share, draft_share = opener.shares(loads.travel, loads.ground_travel)
    lacking = soil_push(target - loads.soil_reaction, soil.draft_ratio, draft_share) / gauge_share
    return loads.gauge_wheel_load - lacking
