"""What a drill is: opener, springs and cylinders, frame, hydraulics. Frozen, in SI."""

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Annotated, Literal

import numpy as np

from downforce.machine.actuators import Cylinder, SpringSet
from downforce.machine.hydraulics import Hydraulics
from downforce.machine.quantity import Number, Pin, Place, Quantity
from downforce.machine.reading.doubt_text import Doubt
from downforce.physics.checks import GRAVITY
from downforce.physics.linkage import ParallelLinkage, TrailingArm

USUAL_DRAGGED_SHARE = 0.35
"""Dragged share of the draft where nobody said it: none was found published, 0 to 0.5 can be defended."""


@dataclass(frozen=True)
class Opener:
    """One row's tools on one arm; places are (x rearward, z above the soil surface) at working height.

    Attributes
    ----------
    linkage : str [-]
        "trailing arm" or "parallel linkage".
    disc : tuple of two floats [m]
        Disc axle.
    disc_diameter : float [m]
        New disc.
    mass : float [kg]
        Complete opener.
    mass_centre : tuple of two floats [m]
        Its centre of mass.
    gauge_wheel : tuple of two floats [m]
        Gauge-wheel axle.
    gauge_wheel_diameter, gauge_wheel_width : float [m]
        Size of the gauge wheel.
    closing_wheel : tuple of two floats [m]
        Closing-wheel axle.
    closing_load : float [N]
        What the closing wheel's own spring puts on the ground.
    travel_up, travel_down : float [m]
        From working height to the stops, both positive.
    raised_travel : float [m]
        Travel with the drill raised at the headland.
    transport_travel : float [m]
        Travel when folded or locked for the road.
    pivot : tuple of two floats, optional [m]
        Arm pivot of a trailing arm.
    lower_frame_pin, lower_opener_pin, upper_frame_pin : tuple of two floats, optional [m]
        Pins of a parallel linkage.
    draft_height : float or None [m]
        Height of the line of draft above the soil surface, whatever the depth, where somebody measured it;
        negative below it.
    dragged_share : float or None [-]
        Share of the draft that boot, scraper and firmer drag through the soil at the height of its surface;
        the rest rolls, and what rolls holds no torque, so its line passes through the axle. Exactly one of
        this and `draft_height` is given; with neither, `USUAL_DRAGGED_SHARE` is assumed.
    discs : int [-]
        Discs per opener.
    """

    linkage: Literal["trailing arm", "parallel linkage"]
    disc: Pin
    disc_diameter: Annotated[float, Quantity("length", 0.2, 0.8)]
    mass: Annotated[float, Quantity("mass", 5.0, 300.0)]
    mass_centre: Pin
    gauge_wheel: Pin
    gauge_wheel_diameter: Annotated[float, Quantity("length", 0.1, 0.8)]
    gauge_wheel_width: Annotated[float, Quantity("length", 0.02, 0.3)]
    closing_wheel: Pin
    closing_load: Annotated[float, Quantity("force", 0.0, 2000.0)]
    travel_up: Annotated[float, Quantity("length", 0.02, 0.5)]
    travel_down: Annotated[float, Quantity("length", 0.02, 0.5)]
    raised_travel: Annotated[float, Quantity("length", -0.5, 0.5)]
    transport_travel: Annotated[float, Quantity("length", -0.5, 0.5)]
    pivot: Pin | None = None
    lower_frame_pin: Pin | None = None
    lower_opener_pin: Pin | None = None
    upper_frame_pin: Pin | None = None
    draft_height: Annotated[float, Quantity("length", -0.1, 0.8)] | None = None
    dragged_share: Annotated[float, Quantity("share", 0.0, 1.0)] | None = None
    discs: Annotated[int, Number(1, 2)] = 1

    def __post_init__(self):
        if self.draft_height is None and self.dragged_share is None:
            object.__setattr__(self, "dragged_share", USUAL_DRAGGED_SHARE)
        if self.draft_height is not None and self.dragged_share is not None:
            raise ValueError(
                "draft_height and dragged_share both say where the draft acts. Keep draft_height if the line "
                "was measured, dragged_share if not, and remove the other."
            )

    @cached_property
    def geometry(self):
        """TrailingArm or ParallelLinkage made of the pins [-]."""
        if self.linkage == "trailing arm":
            return TrailingArm(self.pivot, self.disc)
        return ParallelLinkage(self.lower_frame_pin, self.lower_opener_pin, self.upper_frame_pin)

    @property
    def body(self):
        """The moving part that carries disc and wheels: "arm" or "opener" [-]."""
        return "arm" if self.linkage == "trailing arm" else "opener"

    @property
    def weight(self):
        """Weight of the opener [N]."""
        return self.mass * GRAVITY

    @property
    def lowest_travel(self):
        """Travel on the lower stop [m]."""
        return -self.travel_down

    @property
    def highest_travel(self):
        """Travel on the upper stop [m]."""
        return self.travel_up

    def shares(self, travel, ground_travel):
        """Newtons at the disc for one newton of weight, closing wheel, gauge wheel and draft.

        Parameters
        ----------
        travel : array [m]
            Travel of the disc.
        ground_travel : array [m]
            Travel the disc would have at its target depth.

        Returns
        -------
        tuple of four arrays [-]
            Weight, closing, gauge and draft share.
        """

        def lift(place):
            return self.geometry.motion(place, self.body, travel)[1]

        line = self.draft_line(travel, ground_travel)
        return (
            lift(self.mass_centre),
            lift(self.closing_wheel),
            lift(self.gauge_wheel),
            self.geometry.draft_share(travel, line - travel),
        )

    def draft_line(self, travel=0.0, ground_travel=0.0):
        """Height of the line of draft over the frame's working level.

        Parameters
        ----------
        travel : float or array [m]
            Travel of the disc; what rolls goes with its axle.
        ground_travel : float or array [m]
            Travel the disc would have at its target depth; what is dragged stays at the soil surface.

        Returns
        -------
        float or array [m]
            Zero at the soil surface at working height.
        """
        if self.dragged_share is None:
            return self.draft_height + ground_travel
        return (1.0 - self.dragged_share) * (self.disc[1] + travel) + self.dragged_share * ground_travel


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


@dataclass(frozen=True)
class Drill:
    """A whole drill: rows, frame, openers, the springs it has and the cylinders proposed.

    Attributes
    ----------
    describes : str [-]
        "drill".
    name : str [-]
        Shown on every page.
    seed_mass, seed_volume : float or None [kg, m3]
        What a full hopper or cart holds; needed with a separate cart, else the hoppers' own mass is taken.
    note : str [-]
        Free words.
    units : str [-]
        Units its owner reads: "metric" or "US".
    row_spacing : float [m]
        Between neighbouring rows.
    rank_x : tuple of floats [m]
        Each rank's discs behind the hitch pin, front rank first; rows take the ranks in turn.
    opener : Opener [-]
        All openers are alike.
    spring : SpringSet [-]
        What presses them down now.
    cylinder : Cylinder [-]
        What is proposed instead.
    sections : tuple of Section [-]
        From left to right.
    hitch : Hitch [-]
        Where it is pulled.
    wheels : tuple of Wheel [-]
        What carries the frame in work.
    hydraulics : Hydraulics [-]
        Tractor supply, valve, hoses, gauge.
    hinges : tuple of Hinge [-]
        Between the sections, from left to right.
    hoppers : tuple of Load [-]
        Seed on the frame, mass when full. None with a separate cart.
    ballast : tuple of Load [-]
        Added weight.
    frame_cylinders : tuple of FrameCylinders [-]
        What folds and lifts the frame, for the oil that it takes.
    doubts : tuple of Doubt [-]
        How sure its values are, where the file says so.
    """

    describes: Literal["drill"]
    name: str
    units: Literal["metric", "US"]
    row_spacing: Annotated[float, Quantity("length", 0.08, 1.2)]
    rank_x: tuple[Place, ...]
    opener: Opener
    spring: SpringSet
    cylinder: Cylinder
    sections: tuple[Section, ...]
    hitch: Hitch
    wheels: tuple[Wheel, ...]
    hydraulics: Hydraulics
    hinges: tuple[Hinge, ...] = ()
    hoppers: tuple[Load, ...] = ()
    ballast: tuple[Load, ...] = ()
    frame_cylinders: tuple[FrameCylinders, ...] = ()
    seed_mass: Annotated[float, Quantity("mass", 10.0, 50e3)] | None = None
    seed_volume: Annotated[float, Quantity("seed volume", 0.02, 60.0)] | None = None
    note: str = ""
    doubts: tuple[Doubt, ...] = field(default=(), metadata={"in_file": False})

    @cached_property
    def row_count(self):
        """Number of openers [-]."""
        return sum(section.openers for section in self.sections)

    @property
    def width(self):
        """Working width [m]."""
        return self.row_count * self.row_spacing

    @cached_property
    def row_y(self):
        """Place of each row right of the middle, from left to right, shape (rows,) [m]."""
        return (np.arange(self.row_count) - (self.row_count - 1) / 2) * self.row_spacing

    @cached_property
    def row_rank(self):
        """Rank of each row, 0 at the front, shape (rows,) [-]."""
        return np.arange(self.row_count) % len(self.rank_x)

    @cached_property
    def row_x(self):
        """Place of each row's disc behind the hitch pin, shape (rows,) [m]."""
        return np.asarray(self.rank_x)[self.row_rank]

    @cached_property
    def row_section(self):
        """Index of each row's section, shape (rows,) [-]."""
        return np.repeat(np.arange(len(self.sections)), [s.openers for s in self.sections])

    @property
    def seed_on_frame(self):
        """Whether the seed rides on the frame [-]."""
        return bool(self.hoppers)

    def section_index(self, name):
        """Place of a section in the row from left to right.

        Parameters
        ----------
        name : str [-]
            Name of the section.

        Returns
        -------
        int [-]
            0 for the leftmost.
        """
        return [section.name for section in self.sections].index(name)

    def total_mass(self, hopper_fill=0.0):
        """Mass of the drill with its openers.

        Parameters
        ----------
        hopper_fill : float [-]
            Share of a full hopper, 0 to 1.

        Returns
        -------
        float [kg]
            Frame, openers, ballast and seed.
        """
        frame = sum(s.frame_mass for s in self.sections) + sum(b.mass for b in self.ballast)
        seed = hopper_fill * sum(h.mass for h in self.hoppers)
        return frame + seed + self.row_count * self.opener.mass

    def with_cylinder(self, **changes):
        """The same drill with another cylinder.

        Parameters
        ----------
        **changes : any [-]
            Fields of Cylinder to change.

        Returns
        -------
        Drill [-]
            A changed copy.
        """
        return replace(self, cylinder=replace(self.cylinder, **changes))
