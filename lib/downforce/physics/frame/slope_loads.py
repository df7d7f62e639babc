"""What slopes and draft add to the loads of a frame: shares of the weight and moments.

Signs are those of `downforce.physics.frame.model`: forces positive downward, a pitch moment
positive when it presses the rear down, a roll moment when it presses the right side down.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics import checks
from downforce.physics.kinds import Metre, Newton, NewtonMetre, NewtonMetres, Newtons, Radian

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

    force: Newtons
    pitch_moment: NewtonMetres
    roll_moment: NewtonMetres


def slope_loads(
    weight: Newton,
    height: Metre,
    side_slope: Radian,
    grade: Radian,
    hitch_height: Metre,
    side_hold_height: Metre = 0.0,
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


def draft_moment(draft: Newton, draft_height: Metre, hitch_height: Metre) -> NewtonMetre:
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
