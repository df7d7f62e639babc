"""A towed frame of rigid sections on fore-aft hinges, the loads on it, and what slopes and draft add.

Sections stand in a row from left to right. A hinge between two of them lets the outer one roll and passes
vertical force and pitching moment, so the whole row heaves and pitches together and each section has a roll
of its own. One section carries the hitch, which pushes and pulls; wheels push only.

Signs in this folder: x rearward, y to the right, z up. A **force is positive downward**: weights are
positive, what the openers take from the frame is negative. A pitch moment is positive when it presses the
**rear** down, a roll moment when it presses the **right** side down, a fold moment when it presses the
**outer** section down. Motions follow the loads: heave down, pitch with the rear down, roll with the right
side down.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from downforce.physics import checks
from downforce.physics import kinds as si
from downforce.physics.contact import ContactSolver


@dataclass(frozen=True, eq=False)
class FrameModel:
    """A towed frame: sections, hinges, wheels and hitch.

    section_count: number of rigid sections, left to right.
    hitched_section: index of the section that carries the hitch.
    hinge_y (sections - 1,): place of each hinge, left to right.
    wheel_section (wheels,): section each wheel is on.
    wheel_x, wheel_y (wheels,): place of each wheel.
    wheel_stiffness (wheels,): vertical stiffness of each tyre.
    hitch_stiffness: vertical stiffness of the tractor's drawbar.
    hitch_holds: whether the hitch holds its height; a floating one carries nothing up or down.
    """

    section_count: int
    hitched_section: int
    hinge_y: si.Metres
    wheel_section: si.Wholes
    wheel_x: si.Metres
    wheel_y: si.Metres
    wheel_stiffness: si.NewtonsPerMetre
    hitch_x: si.Metre = 0.0
    hitch_y: si.Metre = 0.0
    hitch_stiffness: si.NewtonPerMetre = 1e7
    hitch_holds: bool = True

    def __post_init__(self):
        hold = object.__setattr__
        sections = self.section_count
        if sections < 1 or not 0 <= self.hitched_section < sections:
            raise ValueError(
                f"hitched_section must be one of the sections 0 to {sections - 1}; "
                f"got {self.hitched_section}."
            )
        hold(self, "hinge_y", np.atleast_1d(checks.finite("hinge_y", self.hinge_y)))
        if self.hinge_y.size != sections - 1 or np.any(np.diff(self.hinge_y) <= 0):
            raise ValueError(
                f"hinge_y must hold {sections - 1} place(s), rising from left to right, for {sections} "
                f"section(s); got {self.hinge_y.tolist()}."
            )
        for name in ("wheel_x", "wheel_y"):
            hold(self, name, np.atleast_1d(checks.finite(name, getattr(self, name))))
        stiffness = np.atleast_1d(checks.positive("wheel_stiffness", self.wheel_stiffness))
        hold(self, "wheel_section", section_index("wheel_section", self.wheel_section, sections))
        wheels = self.wheel_section.size
        hold(self, "wheel_stiffness", np.full(wheels, stiffness[0]) if stiffness.size == 1 else stiffness)
        for name in ("wheel_x", "wheel_y", "wheel_stiffness"):
            if getattr(self, name).shape != (wheels,):
                raise ValueError(
                    f"{name} must hold one value for each of the {wheels} wheel(s) named in wheel_section; "
                    f"got {getattr(self, name).size}."
                )
        for name in ("hitch_x", "hitch_y"):
            hold(self, name, float(checks.finite(name, getattr(self, name))))
        hold(self, "hitch_stiffness", float(checks.positive("hitch_stiffness", self.hitch_stiffness)))

    def sinking(self, section: si.Wholes, x: si.Metres, y: si.Metres) -> si.Amounts:
        """How far points of the frame sink for a unit of each motion.

        section (points,): section of each point.
        x, y (..., points): place of each point.
        Result (..., points, 2 + sections): columns: heave, pitch, then the roll of each section from left to
            right.

        Outward from the hitched section, a point turns with its own section about the nearest hinge, and each
        hinge on the way is carried by the section inside it.
        Range: small angles.
        Source: derivation above.
        """
        x, y = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
        section = np.broadcast_to(section, x.shape[-1:])
        arm = np.zeros((*x.shape, self.section_count))
        edges = np.concatenate([[-np.inf], self.hinge_y, [np.inf]])
        for k in range(self.section_count):
            mine, outer_edge, inner_edge = section == k, edges[k + 1], edges[k]
            beyond = section > k
            if k < self.hitched_section:
                outer_edge, inner_edge, beyond = edges[k], edges[k + 1], section < k
            if k == self.hitched_section:
                arm[..., k] = np.where(mine, y, np.where(section > k, edges[k + 1], edges[k]))
            else:
                arm[..., k] = np.where(mine, y - inner_edge, np.where(beyond, outer_edge - inner_edge, 0.0))
        arm = np.where(np.isfinite(arm), arm, 0.0)
        return np.concatenate([np.ones((*x.shape, 1)), x[..., None], arm], axis=-1)

    def supports(self) -> tuple[si.Amounts, ...]:
        """Stiffness of every support and its sinking for each motion, the hitch first, then the wheels.

        Result: stiffness (1 + wheels,) and sinking (1 + wheels, 2 + sections).

        Rows of `sinking` at the hitch and the wheels; zeros for a hitch that floats.
        Range: any.
        Source: derivation above.
        """
        return self._supports

    @cached_property
    def _supports(self):
        section = np.concatenate([[self.hitched_section], self.wheel_section])
        x = np.concatenate([[self.hitch_x], self.wheel_x])
        y = np.concatenate([[self.hitch_y], self.wheel_y])
        sinking = self.sinking(section, x, y)
        # A hitch that no motion presses in carries nothing.
        sinking[0] *= self.hitch_holds
        sinking.flags.writeable = False
        return np.concatenate([[self.hitch_stiffness], self.wheel_stiffness]), sinking

    @cached_property
    def solver(self):
        """Of hitch and wheels; it remembers which of them it has seen on the ground together."""
        return ContactSolver(*self._supports)

    def moves_freely(self, section: int) -> bool:
        """Whether a section can move while the hitch and every wheel stay where they are.

        Result: True if no support holds it; such a frame folds at its hinges.

        Motions in which no support sinks are the null space of `supports`; the section moves if such a motion
        makes one of three points on it sink.
        Range: any.
        Source: derivation above.

        >>> from downforce.physics.frame import FrameModel
        >>> [FrameModel(1, 0, [], [0, 0], [4.5, 4.5], y, 1.0).moves_freely(0) for y in ([-2, 2], [2, 2])]
        [False, True]
        """
        _, sinking = self.supports()
        _, size, motion = np.linalg.svd(sinking)
        free = motion[np.count_nonzero(size > 1e-9 * size[0]) :]
        points = self.sinking(np.full(3, section), [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])
        return bool(np.any(np.abs(free @ points.T) > 1e-6))


@dataclass(frozen=True, eq=False)
class FrameLoad:
    """Loads on a frame, for one case or many.

    section (forces,): section each force acts on.
    x, y (forces,): place of each force; it may differ from case to case.
    force (..., forces): vertical forces, down positive: weights positive, what openers take from the frame
        negative.
    pitch_moment: moment on the whole row, positive when it presses the rear down.
    roll_moment (..., sections): moment on each section, positive when it presses the right side down.
    fold_moment (..., hinges): moment of the fold cylinders at each hinge, positive when it presses the outer
        section down; the inner section takes the reaction.
    """

    section: si.Wholes
    x: si.Metres
    y: si.Metres
    force: si.Newtons
    pitch_moment: si.NewtonMetres = 0.0
    roll_moment: si.NewtonMetres = 0.0
    fold_moment: si.NewtonMetres = 0.0

    def __post_init__(self):
        for name in ("x", "y", "force", "pitch_moment", "roll_moment", "fold_moment"):
            object.__setattr__(self, name, checks.finite(name, getattr(self, name)))
        object.__setattr__(self, "section", np.atleast_1d(np.asarray(self.section)))
        count = self.section.shape
        for name in ("x", "y", "force"):
            value = np.atleast_1d(getattr(self, name))
            object.__setattr__(self, name, value)
            if value.shape[-1:] != count:
                raise ValueError(
                    f"{name} must hold one value for each of the {count[0]} force(s) named in section; "
                    f"got shape {value.shape}."
                )

    def parts(self, model: FrameModel) -> si.Amounts:
        """The load on each motion of the frame, part by part.

        Result (..., sections + 1 + hinges, 2 + sections): first what acts on each section (its forces and
            roll moment), then the pitch moment, then each fold moment.
        Raises ValueError if a section does not exist or shapes do not agree.

        Work of each load in a unit of each motion.
        Range: any.
        Source: derivation above.
        """
        sections = model.section_count
        section = section_index("section", self.section, sections)
        try:
            roll = np.broadcast_to(self.roll_moment, (*self.roll_moment.shape[:-1], sections))
            fold = np.broadcast_to(self.fold_moment, (*self.fold_moment.shape[:-1], sections - 1))
            cases = (array.shape[:-1] for array in (self.force, self.x, self.y, roll, fold))
            shape = np.broadcast_shapes(*cases, self.pitch_moment.shape)
        except ValueError:
            raise ValueError(
                f"force, pitch_moment, roll_moment and fold_moment must agree in their cases, with "
                f"{sections} roll_moment(s) and {sections - 1} fold_moment(s) in each; got shapes "
                f"{self.force.shape}, {self.pitch_moment.shape}, {self.roll_moment.shape} and "
                f"{self.fold_moment.shape}."
            ) from None
        sinking = model.sinking(section, self.x, self.y)
        parts = np.zeros((*shape, 2 * sections, 2 + sections))
        for k in range(sections):
            mine = section == k
            parts[..., k, :] = np.einsum("...f,...fd->...d", self.force[..., mine], sinking[..., mine, :])
            parts[..., k, 2 + k] += roll[..., k]
        parts[..., sections, 1] = self.pitch_moment
        for k in range(sections - 1):
            # On either side of the hitch, pressing the outer section down turns the section right of the
            # hinge to the right and the one left of it to the left.
            parts[..., sections + 1 + k, 3 + k] = fold[..., k]
            parts[..., sections + 1 + k, 2 + k] = -fold[..., k]
        return parts


def section_index(name: str, value: si.Wholes, sections: int) -> si.Wholes:
    """Section numbers as an array of int, refused when a section does not exist.

    Raises ValueError if one is not a whole number from 0 to sections - 1.

    A check, no formula.
    Range: any.
    Source: none needed.
    """
    given = np.atleast_1d(checks.finite(name, value))
    wrong = (given < 0) | (given >= sections) | (given != np.floor(given))
    if given.ndim != 1 or np.any(wrong):
        shown = given[wrong][0] if np.any(wrong) else given.shape
        raise ValueError(f"{name} must be a list of whole numbers from 0 to {sections - 1}; got {shown}.")
    return given.astype(int)


STEEPEST = np.radians(30.0)
"""Steepest slope taken as an input [rad]: beyond it no drill works, and the angle is likely in degrees."""


@dataclass(frozen=True, eq=False)
class SlopeLoads:
    """Weights on sloping ground, in the axes of the frame.

    force (..., weights): share of each weight that presses the frame square to the ground, down positive.
    pitch_moment (..., weights): moment of each weight's pull along the drill, positive when it presses the
        rear down.
    roll_moment (..., weights): moment of each weight's pull across the drill, positive when it presses the
        right side down.
    """

    force: si.Newtons
    pitch_moment: si.NewtonMetres
    roll_moment: si.NewtonMetres


def slope_loads(
    weight: si.Newton,
    height: si.Metre,
    side_slope: si.Radian,
    grade: si.Radian,
    hitch_height: si.Metre,
    side_hold_height: si.Metre = 0.0,
) -> SlopeLoads:
    """Loads of weights on ground that falls to one side and rises ahead.

    weight (..., weights): weights.
    height (..., weights): height of each weight's centre above the ground.
    side_slope: slope of the drill's cross axis, positive when the right side is the lower one.
    grade: slope of the drill's long axis, positive when it is pulled uphill.
    hitch_height: height of the hitch, where the pull along the drill is held.
    side_hold_height: height at which the pull across the drill is held; zero when each section's own tyres
        hold it.
    Result: forces and moments of each weight. Sum the pitch moments over the frame and the roll moments over
        each section.
    Raises ValueError if a slope is steeper than 30 degrees, or a weight or height is negative.

    Along the drill W sin(grade), at the weight's height, is held at the hitch: a moment W sin(grade) (height
    - hitch_height). Across it W sin(side) (height - side_hold_height). Square to the ground W sqrt(1 - sin^2
    grade - sin^2 side). Wheels roll freely along and hold across.
    Range: slopes up to 30 degrees.
    Source: derivation above.

    >>> load = slope_loads(50e3, 1.2, side_slope=0.1, grade=0.0, hitch_height=0.5)
    >>> round(float(load.force)), round(float(load.roll_moment))
    (49750, 5990)
    """
    weight, height = checks.not_negative("weight", weight), checks.not_negative("height", height)
    hold = checks.not_negative("side_hold_height", side_hold_height)
    hitch = checks.not_negative("hitch_height", hitch_height)
    across = np.sin(checks.between("side_slope", side_slope, -STEEPEST, STEEPEST))
    along = np.sin(checks.between("grade", grade, -STEEPEST, STEEPEST))
    square, pitch, roll = np.broadcast_arrays(
        weight * np.sqrt(1.0 - across**2 - along**2),
        weight * along * (height - hitch),
        weight * across * (height - hold),
    )
    return SlopeLoads(square, pitch, roll)


def draft_moment(draft: si.Newton, draft_height: si.Metre, hitch_height: si.Metre) -> si.NewtonMetre:
    """Pitch moment of the soil's drag below the hitch.

    draft: drag of the soil on the openers, rearward positive.
    draft_height: height at which it acts: zero at the ground, negative below it.
    Result: negative for drag below the hitch: it lifts the rear off its wheels.
    Raises ValueError if a value is not finite or the hitch height is negative.

    M = H (draft_height - hitch_height): the tractor pulls forward at the hitch with the same force.
    Range: any.
    Source: derivation above; textbook statics.

    34 kN at 0.5 m below the hitch takes 3.8 kN off wheels 4.5 m behind it.

    >>> round(float(draft_moment(34e3, 0.0, 0.5)) / 4.5 / 1e3, 1)
    -3.8
    """
    draft, low = checks.finite("draft", draft), checks.finite("draft_height", draft_height)
    return draft * (low - checks.not_negative("hitch_height", hitch_height))
