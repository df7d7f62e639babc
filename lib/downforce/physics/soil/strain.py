"""What load does to life: bearings and welds, as ratios only."""

import numpy as np

from downforce.physics.checks import not_negative, positive


def bearing_life_ratio(load_ratio, exponent=3.0):
    """Life of a ball bearing under a changed load, as a share of its life before.

    Parameters
    ----------
    load_ratio : float or array [-]
        New load divided by old load.
    exponent : float or array [-]
        3 for ball bearings, 10/3 for roller bearings; 3 also for steel welds under changing stress.

    Returns
    -------
    float or array [-]
        Life ratio; 0.5 means half the life.

    Raises
    ------
    ValueError
        If either value is not positive.

    Notes
    -----
    L2 / L1 = (1 / load ratio)^p.

    Range: same bearing, lubrication and dirt. In dust the seal often fails first.

    Source: [ISO281], as in [LAZ]; the slope of 3 for
    welds from memory.

    Examples
    --------
    >>> float(bearing_life_ratio(2.0))
    0.125
    """
    return positive("load_ratio", load_ratio) ** -positive("exponent", exponent)


def equivalent_load(loads, shares, exponent=3.0):
    """Steady load that wears a bearing as fast as a mix of loads.

    Parameters
    ----------
    loads : array [N]
        Loads of the mix.
    shares : array [-]
        Share of the distance run at each load; they are scaled to sum to one.
    exponent : float [-]
        3 for ball bearings, 10/3 for roller bearings.

    Returns
    -------
    float [N]
        Equivalent load.

    Raises
    ------
    ValueError
        If a load or a share is negative, the shapes differ or all shares are zero.

    Notes
    -----
    (sum of share x load^p)^(1/p): damage adds up linearly (Miner).

    Range: as :func:`bearing_life_ratio`.

    Source: [ISO281] and Miner's rule, from memory.

    Examples
    --------
    >>> round(float(equivalent_load([500.0, 500.0], [1.0, 3.0])), 6)
    500.0
    """
    loads = not_negative("loads", loads)
    shares = not_negative("shares", shares)
    exponent = positive("exponent", exponent)
    if loads.shape != shares.shape:
        raise ValueError(f"loads and shares must have one shape; got {loads.shape} and {shares.shape}.")
    total = positive("sum of shares", np.sum(shares))
    return (np.sum(shares * loads**exponent) / total) ** (1.0 / exponent)
