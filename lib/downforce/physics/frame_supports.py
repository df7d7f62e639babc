"""What each support of a towed frame carries, wheels, hitch and hinges, also where it leaves the ground.

Signs are those of `downforce.physics.frame`: forces positive downward, moments positive when they press the
rear, the right side or the outer section down. Supports of one plane rigid body can push and not pull.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics import checks
from downforce.physics import kinds as si
from downforce.physics.contact import ContactSolver
from downforce.physics.frame import FrameLoad, FrameModel

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
        `downforce.physics.frame`.
    residual: largest force or moment left over, as a share of the loads; NaN without balance.
    """

    wheel_load: si.Newtons
    hitch_load: si.Newtons
    hinge_load: si.Newtons
    off: si.Flags
    regime: si.Wholes
    loose_section: si.Flags
    motion: np.ndarray
    residual: si.Ratios

    def height(self, model: FrameModel, section: si.Wholes, x: si.Metres, y: si.Metres) -> si.Metres:
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


def wheel_loads(model: FrameModel, load: FrameLoad, ground_rise: si.Metre = 0.0) -> FrameSupport:
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
    _, sinking = model.supports()
    parts = load.parts(model)
    shape, rise = with_ground(model, parts.shape[:-2], ground_rise)
    total = np.broadcast_to(parts.sum(axis=-2), (*shape, 2 + model.section_count)).reshape(len(rise), -1)
    size = np.broadcast_to(load_size(model, load), shape).ravel()
    state = _balance(model, total, rise, size)

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


def frame_motion(model: FrameModel, work: si.Amounts, size: si.Newtons) -> si.Amounts:
    """Motion of a frame on level ground, for whoever asks for no support's load: a quarter of the time.

    work (..., 2 + sections) [N, N m]: load on each motion, the sum of `FrameLoad.parts`.
    size (...): of the load, as `load_size` has it.
    Result (..., 2 + sections) [m, rad]: as in `FrameSupport.motion`; NaN without balance.

    Range: as `wheel_loads`.
    Source: as `wheel_loads`.
    """
    total, wheels = np.atleast_2d(work), model.wheel_section.size
    total = total.reshape(-1, total.shape[-1])
    state = _balance(model, total, np.zeros((len(total), 1 + wheels)), np.ravel(size))
    return np.where(state.held[:, None], state.motion, np.nan).reshape(np.shape(work))


def _balance(model, total, rise, size):
    two_way = np.broadcast_to(np.arange(rise.shape[1]) == 0, rise.shape)
    return model.solver.balance(total, rise, two_way, ~two_way, size)


def with_ground(model: FrameModel, shape: tuple[int, ...], ground_rise: si.Metre) -> tuple:
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


def load_size(model: FrameModel, load: FrameLoad) -> si.Newtons:
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


def moving_parts(model: FrameModel, escape: si.Amounts) -> si.Flags:
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


def hinge_loads(model: FrameModel, load: FrameLoad, wheel_load: si.Newtons) -> si.Newtons:
    """Vertical force through each hinge when the loads of the wheels are known.

    wheel_load (..., wheels): load of each wheel on the ground.
    Result (..., hinges): force the outer section puts on the inner one, down positive.

    What acts beyond the hinge, less what the wheels there carry.
    Range: any.
    Source: balance of vertical forces, textbook statics.
    """
    return _hinge_load(model, load, load.force, np.asarray(wheel_load, dtype=float))


def support_shares(model: FrameModel) -> si.Amounts:
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


@dataclass(frozen=True)
class SupportLoads:
    """How a plane body stands on its supports.

    load (..., supports): load of each support, positive when the support pushes the body up.
    off (..., supports): supports that have left the body and carry nothing.
    settlement: how far the body sinks at position zero, down positive.
    pitch: how far it turns, positive when the end at larger positions sinks.
    residual: largest force or moment left over, as a share of the load.
    """

    load: si.Newtons
    off: si.Flags
    settlement: si.Metres
    pitch: si.Radians
    residual: si.Ratios


def support_loads(
    stiffness: si.NewtonsPerMetre,
    position: si.Metres,
    weight: si.Newtons,
    weight_position: si.Metres,
    moment: si.NewtonMetre = 0.0,
    two_way: bool | si.Flags = False,
    rise: si.Metre = 0.0,
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
