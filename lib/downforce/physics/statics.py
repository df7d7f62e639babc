"""Loads of the supports under a plane rigid body, when a support can push and not pull."""

from dataclasses import dataclass

import numpy as np

from downforce.physics import checks
from downforce.physics.contact import ContactSolver
from downforce.physics.kinds import (
    Flags,
    Metre,
    Metres,
    NewtonMetre,
    Newtons,
    NewtonsPerMetre,
    Radians,
    Ratios,
)


@dataclass(frozen=True)
class SupportLoads:
    """How a plane body stands on its supports.

    load (..., supports): load of each support, positive when the support pushes the body up.
    off (..., supports): supports that have left the body and carry nothing.
    settlement: how far the body sinks at position zero, down positive.
    pitch: how far it turns, positive when the end at larger positions sinks.
    residual: largest force or moment left over, as a share of the load.
    """

    load: Newtons
    off: Flags
    settlement: Metres
    pitch: Radians
    residual: Ratios


def support_loads(
    stiffness: NewtonsPerMetre,
    position: Metres,
    weight: Newtons,
    weight_position: Metres,
    moment: NewtonMetre = 0.0,
    two_way: bool | Flags = False,
    rise: Metre = 0.0,
) -> SupportLoads:
    """Load of each support under a plane rigid body, with the supports that come off.

    stiffness (supports,): stiffness of each support.
    position (supports,): place of each support along the body.
    weight (..., weights): forces on the body, down positive; a force that lifts, such as the openers' frame
        load, is negative.
    weight_position (..., weights): place of each force along the body.
    moment: extra moment, positive when it presses the end at larger positions down.
    two_way (supports,): True for a support that can also pull, such as a hitch.
    rise (..., supports): height of the ground under each support.
    Raises ValueError if a stiffness is not above zero, shapes do not agree, or nothing can hold the body.

    Support i is pressed in by u + pitch x_i + rise_i. The loads R_i minimise the spring energy subject to sum
    R = sum W, sum R x = sum W x + M and R_i >= 0 on every support that only pushes.
    Range: small angles; the body is rigid and its supports are linear springs.
    Source: balance of forces and moments of a rigid body, textbook statics; derivation above.

    A frame of 50 kN at 4.3 m from the hitch, wheels at 4.5 m, openers that take 20 kN at 5.2 m.

    >>> stand = support_loads([1e7, 1e6], [0.0, 4.5], [50e3, -20e3], [4.3, 5.2], two_way=[True, False])
    >>> [round(float(load) / 1e3, 1) for load in stand.load]
    [5.3, 24.7]
    """
    stiffness, position = (
        _row("stiffness", checks.positive("stiffness", stiffness)),
        _row("position", position),
    )
    supports = position.size
    if stiffness.size != supports:
        raise ValueError(
            f"stiffness has {stiffness.size} value(s) and position has {supports}; give one of each."
        )
    weight, place = (
        np.atleast_1d(checks.finite("weight", weight)),
        checks.finite("weight_position", weight_position),
    )
    moment, rise = checks.finite("moment", moment), checks.finite("rise", rise)
    try:
        weight, place = np.broadcast_arrays(weight, place)
        cases = np.broadcast_shapes(weight.shape[:-1], moment.shape, rise.shape[:-1])
        rise = np.broadcast_to(rise, (*cases, supports)).reshape(-1, supports)
        pulls = np.broadcast_to(np.asarray(two_way, dtype=bool), (supports,))
    except ValueError as problem:
        raise ValueError(
            "weight, weight_position, moment, two_way and rise must have shapes that go together: "
            f"one weight_position per weight and one two_way and rise per support ({problem})."
        ) from None

    span = max(float(np.max(np.abs(position))), 1e-12)
    load = np.stack(
        [
            np.broadcast_to(np.sum(weight, axis=-1), cases),
            np.broadcast_to(np.sum(weight * place, axis=-1) + moment, cases),
        ],
        axis=-1,
    ).reshape(-1, 2)
    size = np.broadcast_to(
        np.sum(np.abs(weight), axis=-1) + (np.sum(np.abs(weight * place), axis=-1) + np.abs(moment)) / span,
        cases,
    ).ravel()
    reach = np.stack([np.ones(supports), position], axis=-1)
    pulls = np.broadcast_to(pulls, rise.shape)
    state = ContactSolver(stiffness, reach).balance(load, rise, pulls, ~pulls, size)
    _refuse_unheld(state, load, cases)
    left = np.abs(load - state.contact_load @ reach) / np.array([1.0, span])
    residual = np.max(left, axis=1) / np.where(size > 0, size, 1.0)
    return SupportLoads(
        load=state.contact_load.reshape(*cases, supports),
        off=~state.active.reshape(*cases, supports),
        settlement=state.motion[:, 0].reshape(cases),
        pitch=state.motion[:, 1].reshape(cases),
        residual=residual.reshape(cases),
    )


def _row(name, value):
    row = checks.finite(name, value)
    if row.ndim != 1 or row.size == 0:
        raise ValueError(f"{name} must be a list with one value for each support; got shape {row.shape}.")
    return row


def _refuse_unheld(state, load, cases):
    if np.all(state.held):
        return
    first = int(np.argmin(state.held))
    total, turning = load[first]
    where = "" if cases == () else f" (case {tuple(int(i) for i in np.unravel_index(first, cases))})"
    how = "lifts off" if total < 0 else "tips over"
    raise ValueError(
        f"nothing can hold the body{where}: it {how} under a total load of {total:.6g} N with a moment of "
        f"{turning:.6g} N m about position zero. Supports that only push need the load to act between them; "
        "move the weight or a support, or mark one support as two_way."
    )
