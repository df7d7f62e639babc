"""Which share of openers is short, has enough or packs, and how much of the spread comes from what."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.balance import REGIMES, UPPER_STOP, soil_push
from downforce.study.openers.row_sample import RowSample, asked_soil, sample_loads


@dataclass(frozen=True)
class LoadShares:
    """How evenly the gauge wheels are loaded.

    Attributes
    ----------
    mean, spread : float [N]
        Mean and standard deviation of the gauge-wheel load.
    low, high : float [N]
        5th and 95th percentile.
    not_at_depth : float [-]
        Share of openers that are not at depth, for whatever reason.
    short : float [-]
        Share with less than the least load, those not at depth among them.
    enough : float [-]
        Share from the least load up to the heavy load.
    packing : float [-]
        Share above the heavy load; those that the frame stands on are among them, whatever the pressure.
    mean_depth, depth_spread : float [m]
        Mean and standard deviation of the depth.
    """

    mean: float
    spread: float
    low: float
    high: float
    not_at_depth: float
    short: float
    enough: float
    packing: float
    mean_depth: float
    depth_spread: float


@dataclass(frozen=True)
class SpreadParts:
    """Standard deviation of the push that is left over at the gauge wheel, and where it comes from.

    Attributes
    ----------
    height : float [N]
        With the soil the same everywhere; where openers are thrown at speed, their inertia is in it.
    soil : float [N]
        With every opener at its working height.
    together : float [N]
        With both.
    """

    height: float
    soil: float
    together: float


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


def spread_parts(opener, actuator, field, sample, gauge_pressure=None):
    """How much of the spread comes from height and how much from soil.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    actuator : SpringSet, Cylinder or a rival [-]
        What presses it down.
    field : Field [-]
        Depths, exponent and draft ratio.
    sample : RowSample [-]
        Heights and soils.
    gauge_pressure : float, optional [Pa]
        For a cylinder at held pressure.

    Returns
    -------
    SpreadParts [N]
        Standard deviations; for independent causes their squares add up.

    Notes
    -----
    The spread is that of the loads: the gauge-wheel load, or where the opener is not at depth the
    load it lacks there, so that the cut at zero does not hide the spread of the rows that fail.
    """

    # The three cases in one call: half the time of a panel that is moved by hand.
    cases = (sample.on_even_soil(), sample.on_level_ground(), sample)
    joined = RowSample(
        *(
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
