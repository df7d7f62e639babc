"""How much land a full hopper or cart sows before it is filled again."""

from math import nan

from downforce.physics.checks import between

WHEAT_DENSITY = 770.0
"""Seed in bulk where the field does not say it [kg/m3]: wheat; guessed, seeds range from about 400 to 850."""


def seed_held(drill, field):
    """Seed that a full hopper or cart holds [kg]; NaN where the drill does not say it.

    The drill's own figure goes first, then its volume with the field's seed, then its hoppers' mass.
    """
    if drill.seed_mass is not None:
        return drill.seed_mass
    if drill.seed_volume is not None:
        return drill.seed_volume * (field.seed_density or WHEAT_DENSITY)
    return sum(hopper.mass for hopper in drill.hoppers) if drill.hoppers else nan


def area_to_refill(drill, field, hopper_fill=0.0):
    """Land sown from full down to a share of it [m2]; NaN where seed rate or what it holds is not known."""
    used = 1.0 - float(between("hopper_fill", hopper_fill, 0.0, 1.0))
    return used * seed_held(drill, field) / field.seed_rate if field.seed_rate else nan
