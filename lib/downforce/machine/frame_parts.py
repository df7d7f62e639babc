"""What the frame of a drill is made of: sections, hinges, wheels, hitch, masses, cylinders."""

from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np

from downforce.machine.quantity import Number, Place, Quantity
from downforce.physics.kinds import Metre, Newton

USUAL_MEETS_AHEAD = 2.0
"""Where the lines of three-point links meet, ahead of the frame, if nobody measured it [m]: a guess."""


@dataclass(frozen=True)
class Section:
    """A rigid part of the frame.

    name: its name, used in every answer about it.
    openers: rows on it, counted from left to right across the drill.
    frame_mass: without openers and without seed.
    frame_centre: centre of that mass: behind the hitch pin, right of the middle, above the ground.
    """

    name: str
    openers: Annotated[int, Number(1, 100)]
    frame_mass: Annotated[float, Quantity("mass", 50.0, 40e3)]
    frame_centre: tuple[Place, Place, Place]


@dataclass(frozen=True)
class Hinge:
    """Fore-aft hinge between two neighbouring sections.

    y: right of the middle.
    fold_moment: constant moment of the fold cylinders in work, pressing the outer section down.
    """

    y: Place
    fold_moment: Annotated[float, Quantity("moment", -100e3, 200e3)] = 0.0


@dataclass(frozen=True)
class FrameCylinders:
    """Cylinders that fold or lift one section of the frame; not those that press the openers.

    section: name of the section they move.
    moves: "fold" or "lift".
    count: how many.
    bore: inside diameter; the oil that folds or lifts fills it.
    stroke: from closed to open.
    """

    section: str
    moves: Literal["fold", "lift"]
    count: Annotated[int, Number(1, 20)]
    bore: Annotated[float, Quantity("length", 0.02, 0.3)]
    stroke: Annotated[float, Quantity("length", 0.05, 3.0)]


@dataclass(frozen=True)
class Wheel:
    """A wheel that carries the frame in work; it can push and not pull.

    section: name of the section it carries.
    x, y: behind the hitch pin and right of the middle.
    stiffness: of the tyre.
    load_limit: what tyre and hub may carry.
    """

    section: str
    x: Place
    y: Place
    stiffness: Annotated[float, Quantity("spring rate", 20e3, 5e6)] = 400e3
    load_limit: Annotated[float, Quantity("force", 1e3, 300e3)] = 40e3


@dataclass(frozen=True)
class Load:
    """A mass on the frame that is not frame: a full hopper, or ballast.

    section: name of the section it sits on.
    mass: for a hopper: when full.
    centre: behind the hitch pin, right of the middle, above the ground.
    """

    section: str
    mass: Annotated[float, Quantity("mass", 0.0, 20e3)]
    centre: tuple[Place, Place, Place]


@dataclass(frozen=True)
class Hitch:
    """Where the drill is pulled; x and y are 0 at the drawbar pin, or where the lower links hold the frame.

    section: name of the section that carries it.
    height: of the pin above the ground; of a floating hitch that of the pin its tongue swings on at the
        frame; of three-point links that of the point in which the lines of lower and top link meet.
    load_limit: what the tractor may carry downward there.
    lift_limit: what it may be pulled upward.
    kind: "rigid": the tongue is part of the frame and its pin holds the height. "floating": the tongue swings
        and carries nothing, so that wheels in front, castors or lift assist, carry the front. "three-point":
        links in float, which hold the frame as a pin would at the point in which their lines meet.
    meets_ahead: how far ahead of the lower links' ends at the frame their line meets that of the top link;
        only of three-point links, and `USUAL_MEETS_AHEAD` if left out.
    """

    section: str
    height: Annotated[float, Quantity("length", 0.0, 1.5)]
    load_limit: Annotated[float, Quantity("force", 1e3, 100e3)] = 30e3
    lift_limit: Annotated[float, Quantity("force", 0.0, 100e3)] = 10e3
    kind: Literal["rigid", "floating", "three-point"] = "rigid"
    meets_ahead: Annotated[float, Quantity("length", 0.3, 20.0)] | None = None

    def __post_init__(self):
        linked = self.kind == "three-point"
        if linked and self.meets_ahead is None:
            object.__setattr__(self, "meets_ahead", USUAL_MEETS_AHEAD)
        if not linked and self.meets_ahead is not None:
            raise ValueError(
                f"meets_ahead is said of a {self.kind} hitch, and only the lines of three-point links meet. "
                'Write kind = "three-point", or remove meets_ahead.'
            )

    @property
    def x(self) -> Metre:
        """Place of the pin, or of the point in which the links' lines meet; negative is ahead."""
        return -self.meets_ahead if self.kind == "three-point" else 0.0  # type: ignore[operator]

    @property
    def floats(self) -> bool:
        """Whether it carries nothing up or down."""
        return self.kind == "floating"

    @property
    def most_pull(self) -> Newton:
        """Pull upward at which it is at its limit; none where it floats."""
        return np.inf if self.floats else self.lift_limit
