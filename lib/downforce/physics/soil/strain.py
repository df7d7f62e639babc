"""What load does to life: bearings and welds, as ratios only."""

from downforce.physics.checks import positive


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
