"""What the frame of a drill is made of: sections, hinges, wheels, hitch, masses, cylinders."""

from dataclasses import dataclass
from typing import Annotated, Literal

from downforce.machine.quantity import Number, Place, Quantity


@dataclass(frozen=True)
class Section:
    """A rigid part of the frame.

    Attributes
    ----------
    name : str [-]
        Its name, used in every answer about it.
    openers : int [-]
        Rows on it, counted from left to right across the drill.
    frame_mass : float [kg]
        Without openers and without seed.
    frame_centre : tuple of three floats [m]
        Centre of that mass: behind the hitch pin, right of the middle, above the ground.
    """

    name: str
    openers: Annotated[int, Number(1, 100)]
    frame_mass: Annotated[float, Quantity("mass", 50.0, 40e3)]
    frame_centre: tuple[Place, Place, Place]


@dataclass(frozen=True)
class Hinge:
    """Fore-aft hinge between two neighbouring sections.

    Attributes
    ----------
    y : float [m]
        Right of the middle.
    fold_moment : float [N m]
        Constant moment of the fold cylinders in work, pressing the outer section down.
    """

    y: Place
    fold_moment: Annotated[float, Quantity("moment", -100e3, 200e3)] = 0.0


@dataclass(frozen=True)
class FrameCylinders:
    """Cylinders that fold or lift one section of the frame; not those that press the openers.

    Attributes
    ----------
    section : str [-]
        Name of the section they move.
    moves : str [-]
        "fold" or "lift".
    count : int [-]
        How many.
    bore : float [m]
        Inside diameter; the oil that folds or lifts fills it.
    stroke : float [m]
        From closed to open.
    """

    section: str
    moves: Literal["fold", "lift"]
    count: Annotated[int, Number(1, 20)]
    bore: Annotated[float, Quantity("length", 0.02, 0.3)]
    stroke: Annotated[float, Quantity("length", 0.05, 3.0)]


@dataclass(frozen=True)
class Wheel:
    """A wheel that carries the frame in work; it can push and not pull.

    Attributes
    ----------
    section : str [-]
        Name of the section it carries.
    x, y : float [m]
        Behind the hitch pin and right of the middle.
    stiffness : float [N/m]
        Of the tyre.
    load_limit : float [N]
        What tyre and hub may carry.
    """

    section: str
    x: Place
    y: Place
    stiffness: Annotated[float, Quantity("spring rate", 20e3, 5e6)] = 400e3
    load_limit: Annotated[float, Quantity("force", 1e3, 300e3)] = 40e3


@dataclass(frozen=True)
class Load:
    """A mass on the frame that is not frame: a full hopper, or ballast.

    Attributes
    ----------
    section : str [-]
        Name of the section it sits on.
    mass : float [kg]
        For a hopper: when full.
    centre : tuple of three floats [m]
        Behind the hitch pin, right of the middle, above the ground.
    """

    section: str
    mass: Annotated[float, Quantity("mass", 0.0, 20e3)]
    centre: tuple[Place, Place, Place]


@dataclass(frozen=True)
class Hitch:
    """The drawbar pin that pulls the drill; x and y are 0 there by definition.

    Attributes
    ----------
    section : str [-]
        Name of the section that carries the drawbar.
    height : float [m]
        Of the pin above the ground.
    load_limit : float [N]
        What the tractor's drawbar may carry downward.
    lift_limit : float [N]
        What it may be pulled upward.
    """

    section: str
    height: Annotated[float, Quantity("length", 0.0, 1.5)]
    load_limit: Annotated[float, Quantity("force", 1e3, 100e3)] = 30e3
    lift_limit: Annotated[float, Quantity("force", 0.0, 100e3)] = 10e3
