"""Wheel, hitch and hinge loads of a towed frame that may leave the ground.

Signs are those of `downforce.physics.frame.model`: forces positive downward, moments positive
when they press the rear, the right side or the outer section down.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics import checks
from downforce.physics.frame.model import FrameLoad, FrameModel
from downforce.physics.kinds import Amounts, Flags, Metre, Metres, Newtons, Ratios, Wholes

REGIMES = ("carried on all wheels", "some wheels off", "lifts or tips", "drops")
"""Names of the regime codes. The last two have no balance.

In "lifts or tips" a motion that nothing resists takes part of the frame off the ground and on upward: the
openers ask for more than the weight gives, or the weight stands outside the wheels. In "drops" no wheel
stands where the weight of a section comes down.
"""


@dataclass(frozen=True, eq=False)
class FrameSupport:
    """How a frame stands on its wheels and its hitch, case by case.

    wheel_load (..., wheels): load of each wheel on the ground; NaN without balance.
    hitch_load: load of the drill on the drawbar, negative when the drill lifts it; NaN without balance.
    hinge_load (..., hinges): vertical force the outer section puts on the inner one, down positive; NaN
        without balance.
    off (..., wheels): wheels that have left the ground; without balance, as they were when the search
        stopped.
    regime: index into ``REGIMES``.
    loose_section (..., sections): sections that nothing holds; all False in a case with balance.
    motion (..., 2 + sections) [m, rad]: heave, pitch and the roll of each section, down positive as in
        `downforce.physics.frame.model`.
    residual: largest force or moment left over, as a share of the loads; NaN without balance.
    """

    wheel_load: Newtons
    hitch_load: Newtons
    hinge_load: Newtons
    off: Flags
    regime: Wholes
    loose_section: Flags
    motion: np.ndarray
    residual: Ratios

    def height(self, model: FrameModel, section: Wholes, x: Metres, y: Metres) -> Metres:
        """How far points of the frame stand above their place in the unloaded frame.

        section (points,): section of each point.
        x, y (points,): place of each point.
        Result (..., points): height, up positive: negative where tyres are pressed in. Meaningless without
            balance.

        Minus the sinking of each point times the motion.
        Range: any.
        Source: derivation above.
        """
        return -self.motion @ model.sinking(section, x, y).T


def wheel_loads(model: FrameModel, load: FrameLoad, ground_rise: Metre = 0.0) -> FrameSupport:
    """Loads of wheels, hitch and hinges under a frame, for many cases at once.

    load: forces and moments on it.
    ground_rise (..., wheels): height of the ground under each wheel, against the plane the frame was levelled
        on.
    Result: loads, wheels that are off, regime and motion.
    Raises ValueError if shapes do not agree or a value is not finite. A frame that lifts is a regime, not an
        error.

    Least of 1/2 k max(0, press)^2 over the wheels plus 1/2 k press^2 at the hitch less the work of the loads.
    The problem is convex, so there is one set of loads.
    Range: small angles; linear tyres; hinges without friction or end stops.
    Source: derivation above; textbook statics of rigid bodies.

    >>> from downforce.physics.frame import FrameLoad, FrameModel
    >>> frame = FrameModel(1, 0, [], [0, 0], [4.5, 4.5], [-2.0, 2.0], 4e5)
    >>> stand = wheel_loads(frame, FrameLoad([0, 0], [4.3, 5.2], [0.0, 0.0], [50e3, -20e3]))
    >>> [round(float(wheel)) for wheel in stand.wheel_load], round(float(stand.hitch_load))
    ([12333, 12333], 5333)
    """
    stiffness, sinking = model.supports()
    parts = load.parts(model)
    shape, rise = with_ground(model, parts.shape[:-2], ground_rise)
    total = np.broadcast_to(parts.sum(axis=-2), (*shape, 2 + model.section_count)).reshape(len(rise), -1)
    size = np.broadcast_to(load_size(model, load), shape).ravel()
    two_way = np.broadcast_to(np.arange(len(stiffness)) == 0, rise.shape)
    state = model.solver.balance(total, rise, two_way, ~two_way, size)

    force = np.broadcast_to(load.force, (*shape, load.section.size)).reshape(len(rise), -1)
    reach = np.maximum(np.max(np.abs(sinking), axis=0), 1e-12)
    left = np.max(np.abs(total - state.contact_load @ sinking) / np.where(reach > 1e-12, reach, 1.0), axis=1)
    results = (
        state.contact_load[:, 1:],
        state.contact_load[:, 0],
        _hinge_load(model, load, force, state.contact_load[:, 1:]),
        ~state.active[:, 1:],
        _regime(model, load, force, state, sinking),
        moving_parts(model, state.escape)[:, : model.section_count],
        state.motion,
        left / np.where(size > 0, size, 1.0),
    )
    return FrameSupport(*(result.reshape((*shape, *result.shape[1:])) for result in results))


def with_ground(model: FrameModel, shape: tuple[int, ...], ground_rise: Metre) -> tuple:
    """Cases of a load and of the ground together, with the rise under the hitch and each wheel.

    shape: shape of the cases of the load.
    ground_rise (..., wheels): height of the ground under each wheel.
    Result: shape of all cases, and the rise as an array (cases, 1 + wheels), zero at the hitch.
    Raises ValueError if the shapes do not agree.

    Shapes only, no formula.
    Range: any.
    Source: none needed.
    """
    rise = checks.finite("ground_rise", ground_rise)
    wheels = model.wheel_section.size
    try:
        shape = np.broadcast_shapes(shape, rise.shape[:-1])
        rise = np.broadcast_to(rise, (*shape, wheels)).reshape(-1, wheels)
    except ValueError:
        raise ValueError(
            f"ground_rise must be one number or hold one value for each of the {wheels} wheel(s), with the "
            f"cases of the load; got shape {rise.shape} for cases {shape}."
        ) from None
    return shape, np.concatenate([np.zeros((len(rise), 1)), rise], axis=1)


def load_size(model: FrameModel, load: FrameLoad) -> Newtons:
    """Size of a load, against which what is left over is judged.

    load: forces and moments on it.
    Result: sum of the forces without regard to sign, and of the moments over the reach of the supports.

    A yardstick only: no load depends on it.
    Range: any.
    Source: none needed.
    """
    _, sinking = model.supports()
    unit = np.max(np.abs(sinking), axis=0)
    unit = np.where(unit > 0, unit, 1.0)
    roll = np.broadcast_to(load.roll_moment, (*load.roll_moment.shape[:-1], model.section_count))
    fold = np.broadcast_to(load.fold_moment, (*load.fold_moment.shape[:-1], model.section_count - 1))
    return (
        np.sum(np.abs(load.force), axis=-1)
        + np.abs(load.pitch_moment) / unit[1]
        + np.sum(np.abs(roll) / unit[2:], axis=-1)
        + np.sum(np.abs(fold) / unit[2:-1], axis=-1)
    )


def moving_parts(model: FrameModel, escape: Amounts) -> Flags:
    """Which parts of a load do work, and so which sections move, in a motion of the frame.

    escape (cases, 2 + sections) [m, rad]: motion in each case.
    Result (cases, sections + 1 + hinges): each section, the pitch, and each hinge, in the order of
        `FrameLoad.parts`.

    A section moves if its hinge or its hitch rises or sinks, or if it pitches or rolls.
    Range: any.
    Source: derivation above.
    """
    sections = model.section_count
    inner_hinge = np.insert(model.hinge_y, model.hitched_section, 0.0)
    place = model.sinking(np.arange(sections), np.zeros(sections), inner_hinge)
    heave, pitch, roll = escape @ place.T, escape[:, 1:2], escape[:, 2:]
    section = np.maximum(np.maximum(np.abs(heave), np.abs(pitch)), np.abs(roll))
    size = np.concatenate([section, np.abs(pitch), np.abs(np.diff(roll))], axis=1)
    return size > 1e-7 * np.max(np.abs(escape), axis=1, keepdims=True)


def hinge_loads(model: FrameModel, load: FrameLoad, wheel_load: Newtons) -> Newtons:
    """Vertical force through each hinge when the loads of the wheels are known.

    wheel_load (..., wheels): load of each wheel on the ground.
    Result (..., hinges): force the outer section puts on the inner one, down positive.

    What acts beyond the hinge, less what the wheels there carry.
    Range: any.
    Source: balance of vertical forces, textbook statics.
    """
    return _hinge_load(model, load, load.force, np.asarray(wheel_load, dtype=float))


def support_shares(model: FrameModel) -> Amounts:
    """What hitch and wheels carry of a load on each motion, while every wheel is on the ground.

    Result (1 + wheels, 2 + sections): times the sum of `FrameLoad.parts`: loads of the hitch and of each
        wheel.
    Raises ValueError if the wheels and the hitch cannot hold the frame in every motion.

    K A (A^T K A)^-1, with A the sinking of the supports and K their stiffness. A wheel that would come out
    negative is off, and the shares no longer hold.
    Range: all wheels on the ground; linear tyres.
    Source: derivation above.

    >>> from downforce.physics.frame import FrameLoad, FrameModel
    >>> frame = FrameModel(1, 0, [], [0, 0], [4.5, 4.5], [-2.0, 2.0], 4e5)
    >>> load = FrameLoad([0, 0], [4.3, 5.2], [0.0, 0.0], [50e3, -20e3]).parts(frame).sum(axis=-2)
    >>> [round(float(part)) for part in support_shares(frame) @ load]
    [5333, 12333, 12333]
    """
    stiffness, sinking = model.supports()
    unit = np.maximum(np.max(np.abs(sinking), axis=0), 1e-12)
    reach = sinking / unit
    stiff = reach.T @ (stiffness[:, None] * reach)
    if np.linalg.matrix_rank(np.sqrt(stiffness)[:, None] * reach, tol=1e-9 * np.sqrt(stiffness.max())) < len(
        unit
    ):
        raise ValueError(
            "wheels and hitch cannot hold the frame in every motion: each outer section needs a wheel, and "
            "the hitched section two wheels side by side."
        )
    return stiffness[:, None] * (reach @ np.linalg.inv(stiff)) / unit


def _hinge_load(model, load, force, wheel_load):
    """Vertical force through each hinge: what acts beyond it, less what the wheels there carry."""
    hinge = np.arange(model.section_count - 1)
    right = hinge >= model.hitched_section

    def beyond(section):
        return np.where(right[:, None], section > hinge[:, None], section <= hinge[:, None])

    return force @ beyond(load.section).T - wheel_load @ beyond(model.wheel_section).T


def _regime(model, load, force, state, sinking):
    least = 1e-9 * np.max(np.abs(state.escape), axis=1, keepdims=True)
    wheel_rises = np.any(state.escape @ sinking[1:].T < -least, axis=1)
    sinks = state.escape @ model.sinking(load.section, load.x, load.y).T
    most = np.argmax(np.abs(force * sinks), axis=1)
    load_rises = np.take_along_axis(sinks, most[:, None], axis=1)[:, 0] < 0
    held = np.where(np.all(state.active, axis=1), 0, 1)
    return np.where(state.held, held, np.where(wheel_rises | load_rises, 2, 3))
