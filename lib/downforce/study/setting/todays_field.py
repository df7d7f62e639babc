"""A field as it is today: the same ground with another soil reaction, moisture and wish."""

from dataclasses import replace

import numpy as np

from downforce.physics.kinds import Metre, Newton
from downforce.study.openers.row_sample import RowSample

HEAVY_LOAD = {"wet": 490.0, "moist": 890.0, "dry": 890.0}
"""Gauge-wheel load above which a row counts as packing [N].

Lower bounds of the medium (490 N) and of the heavy class (890 N) of a trial with a maize planter [HAN]. That
the lower one is taken for wet soil is common practice, no source.
"""


def todays_field(field, reaction, gauge_wheel_load, packing_twice=False):
    """The field with today's soil reaction at the target depth, outside tracks, and today's wish.

    The spread of the soil grows with its mean; the least load is never above the wanted one.
    """
    ratio = reaction / float(field.opener_soil.target_reaction)
    soil = replace(field.soil, reaction=field.soil.reaction * ratio, spread=field.soil.spread * ratio)
    aim = replace(
        field.aim,
        gauge_wheel_load=gauge_wheel_load,
        least_load=min(field.aim.least_load, gauge_wheel_load),
        packing_counts=2 if packing_twice else 1,
    )
    return replace(field, soil=soil, aim=aim)


def with_spread(sample: RowSample, height_spread: Metre, soil_spread: Newton) -> RowSample:
    """A sample stretched to other spreads of height and of soil.

    height_spread: wanted standard deviation of travel.
    soil_spread: wanted standard deviation of the reaction.
    Result: the same means and the same order of the openers, none accelerated; no reaction below zero.
    """
    travel = _stretched(sample.travel + sample.rise, height_spread)
    reaction = _stretched(sample.reaction, soil_spread).clip(min=0.0)
    level = np.zeros_like(travel)
    return replace(sample.at_rest(), travel=travel, rise=level, reaction=reaction, basis="the spreads chosen")


def _stretched(values, spread):
    present, mean = values.std(), values.mean()
    if spread == 0:
        return np.full_like(values, mean)
    # A sample of equal values has a spread of the last digit, not of zero.
    if present <= 1e-12 * (1.0 + abs(mean)):
        raise ValueError("The sample has no spread to stretch; draw one with some.")
    return mean + (values - mean) * (spread / present)
