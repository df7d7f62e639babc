"""The load law of compression coils over their whole travel: slack, working and coil-bind."""

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import Metre, Metres, Newton, NewtonPerMetre, Newtons, NewtonsPerMetre


def coil_force(length: Metre, rate: NewtonPerMetre, free_length: Metre, solid_length: Metre) -> Newton:
    """Force along the axis of one compression coil at its present length.

    length: present distance between the two seats.
    solid_length: length when every coil touches the next.
    Result: push of the coil: zero when slack, and held at its solid value in coil-bind.
    Raises ValueError if a length or the rate is negative or not finite, or the solid length is above the free
        length.

    F = k (L0 - max(L, Ls)), and 0 where L > L0. In coil-bind the coil is a solid block: what the seat really
    carries beyond this force is not the spring's to say.
    Range: any length; steady rate, so no variable pitch and no set.
    Source: Hooke's law with stops, derivation above.

    >>> [round(float(coil_force(x, 30e3, 0.30, 0.15)), 6) for x in (0.35, 0.225, 0.10)]
    [0.0, 2250.0, 4500.0]
    """
    present = not_negative("length", length)
    stiffness = positive("rate", rate)
    free, solid = _lengths(free_length, solid_length)
    return stiffness * np.maximum(free - np.maximum(present, solid), 0.0)


def nested_coil_forces(
    length: Metre, rates: NewtonsPerMetre, free_lengths: Metres, solid_lengths: Metres
) -> Newtons:
    """Force of each coil of a nest that works between the same two seats.

    length: present distance between the two seats.
    rates: one rate for each coil.
    free_lengths: one free length for each coil; a shorter one engages later.
    solid_lengths: one solid length for each coil.
    Result: push of each coil; the coils run along a new last axis.
    Raises ValueError if the three lists are not of one length, or a value is refused as in ``coil_force``.

    Each coil follows ``coil_force`` at the length max(L, largest Ls): the first coil to go solid stops them
    all.
    Range: as ``coil_force``.
    Source: springs in parallel, derivation above; checked with [BHA] ex. 10.19.

    >>> nested_coil_forces(0.08, [20e3, 30e3], [0.10, 0.085], [0.05, 0.04]).round(6).tolist()
    [400.0, 150.0]
    """
    stiffness, free, solid = _nest(rates, free_lengths, solid_lengths)
    stopped = np.maximum(not_negative("length", length), solid.max())
    return coil_force(stopped[..., np.newaxis], stiffness, free, solid)


def nested_force(
    length: Metre, rates: NewtonsPerMetre, free_lengths: Metres, solid_lengths: Metres
) -> Newton:
    """Force of a whole nest of coils that works between the same two seats.

    length: present distance between the two seats.
    rates: one rate for each coil.
    free_lengths: one free length for each coil; a shorter one engages later.
    solid_lengths: one solid length for each coil.
    Raises ValueError as ``nested_coil_forces`` does.

    F = sum of F_i; the rate steps up where each shorter coil engages.
    Range: as ``coil_force``.
    Source: springs in parallel; checked with [BHA] ex. 10.19.

    >>> round(float(nested_force(0.08, [20e3, 30e3], [0.10, 0.085], [0.05, 0.04])), 6)
    550.0
    """
    return nested_coil_forces(length, rates, free_lengths, solid_lengths).sum(axis=-1)


def _lengths(free_length, solid_length):
    free = positive("free_length", free_length)
    solid = not_negative("solid_length", solid_length)
    not_negative("free_length minus solid_length", free - solid)
    return free, solid


def _nest(rates, free_lengths, solid_lengths):
    lists = [
        np.atleast_1d(finite(name, value))
        for name, value in (
            ("rates", rates),
            ("free_lengths", free_lengths),
            ("solid_lengths", solid_lengths),
        )
    ]
    if any(each.ndim != 1 or each.size != lists[0].size or each.size == 0 for each in lists):
        sizes = ", ".join(str(each.shape) for each in lists)
        raise ValueError(
            "rates, free_lengths and solid_lengths must be plain lists with one entry for each coil; "
            f"got shapes {sizes}."
        )
    _lengths(lists[1], lists[2])
    return lists
