"""What the same target costs with springs and with cylinders: both turned up until enough rows are in."""

from dataclasses import dataclass

import numpy as np

from downforce.study.load_shares import LoadShares, SpreadParts, load_shares, spread_parts
from downforce.study.row_sample import sample_loads


@dataclass(frozen=True)
class TurnedUp:
    """An actuator turned up until the wanted share of rows has the least load, or as far as it goes.

    Attributes
    ----------
    name : str [-]
        "springs" or "cylinders".
    setting : float [m or Pa]
        Adjuster setting of the springs, or gauge pressure of the cylinders.
    reached : bool [-]
        Whether the share is reached within the range of the setting.
    down_force : float [N]
        At the disc at working height.
    shares : LoadShares [-]
        What the rows carry.
    parts : SpreadParts [-]
        How much of the spread is height and how much soil.
    """

    name: str
    setting: float
    reached: bool
    down_force: float
    shares: LoadShares
    parts: SpreadParts


def turned_up_springs(drill, field, sample):
    """The drill's springs with the adjuster turned in until the wanted share of rows has the least load.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field and what the grower wants.
    sample : RowSample [-]
        Where the openers are.

    Returns
    -------
    TurnedUp [N]
        Setting in metres of adjuster travel.

    Notes
    -----
    Searched from slack at working height to just short of coil-bind at working height.
    """
    spring, opener = drill.spring, drill.opener
    length = float(spring.spring_length(spring.length(opener, 0.0))) + spring.setting
    slack = length - max(coil.free_length for coil in spring.coils)
    bound = length - max(coil.solid_length for coil in spring.coils) - 1e-3

    def at(setting):
        return spring.turned_to(setting), None

    return _turned_up("springs", drill, field, sample, at, slack, bound)


def turned_up_cylinders(drill, field, sample, highest=None):
    """The proposed cylinders with the pressure raised until the wanted share of rows has the least load.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field and what the grower wants.
    sample : RowSample [-]
        Where the openers are.
    highest : float, optional [Pa]
        How far to look; the cylinder's rated pressure if left out.

    Returns
    -------
    TurnedUp [N]
        Setting in pascals of gauge pressure.
    """
    highest = drill.cylinder.rated_pressure if highest is None else highest
    return _turned_up(
        "cylinders", drill, field, sample, lambda pressure: (drill.cylinder, pressure), 0.0, highest
    )


def _turned_up(name, drill, field, sample, at, low, high):
    from scipy.optimize import brentq

    def shares(setting):
        actuator, pressure = at(setting)
        loads = sample_loads(drill.opener, actuator, field, sample, pressure)
        return load_shares(loads, field.aim, field.target_depth)

    def missing(setting):
        return shares(setting).light - (1.0 - field.aim.share_in)

    tries = np.linspace(low, high, 9)
    enough = next((t for t in tries if missing(t) <= 0), None)
    if enough is None:
        # More does not always bring more: stops and coil-bind cost rows again, so the best try is kept.
        setting, reached = min(tries, key=missing), False
    elif enough == low:
        setting, reached = low, True
    else:
        before = tries[np.searchsorted(tries, enough) - 1]
        setting, reached = brentq(missing, before, enough, xtol=(high - low) * 1e-4), True
    actuator, pressure = at(setting)
    return TurnedUp(
        name,
        float(setting),
        reached,
        float(actuator.down_force(drill.opener, 0.0, pressure)),
        shares(setting),
        spread_parts(drill.opener, actuator, field, sample, pressure),
    )
