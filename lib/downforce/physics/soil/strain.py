"""What load does to life: bearings and welds, as ratios only."""

from downforce.physics.checks import positive
from downforce.physics.kinds import Ratio


def bearing_life_ratio(load_ratio: Ratio, exponent: Ratio = 3.0) -> Ratio:
    """Life of a ball bearing under a changed load, as a share of its life before.

    load_ratio: new load divided by old load.
    exponent: 3 for ball bearings, 10/3 for roller bearings; 3 also for steel welds under changing stress.
    Result: life ratio; 0.5 means half the life.
    Raises ValueError if either value is not positive.

    L2 / L1 = (1 / load ratio)^p.
    Range: same bearing, lubrication and dirt. In dust the seal often fails first.
    Source: [ISO281], as in [LAZ]; the slope of 3 for welds from memory.

    >>> float(bearing_life_ratio(2.0))
    0.125
    """
    return positive("load_ratio", load_ratio) ** -positive("exponent", exponent)
