"""A drill as its file describes it: opener, springs and cylinders, frame, hydraulics. Frozen, in SI."""

import math
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Annotated, Literal

import numpy as np

from downforce.machine.actuators import Cylinder, SpringSet
from downforce.machine.hydraulics import Hydraulics
from downforce.machine.quantity import Doubt, Number, Pin, Place, Quantity, QuantityOr
from downforce.physics.checks import GRAVITY
from downforce.physics.kinds import Flags, Kilogram, Metre, Metres, Newton, Ratio, Ratios
from downforce.physics.linkage import ParallelLinkage, TrailingArm

_SWINGS = 0.999
"""Share of its length up to which an arm's end swings over or under its pivot; own choice [-]."""
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


USUAL_DRAGGED_SHARE = 0.35
"""Dragged share of the draft where nobody said it: none was found published, 0 to 0.5 can be defended."""

USUAL_WHEEL_STIFFNESS = 120e3
"""Give of a gauge wheel where nobody measured it [N/m]: a guess, 60 to 250 N/mm can be defended."""

USUAL_WHEEL_DAMPING = 0.2
"""Damping of an opener on its gauge wheel where nobody measured it: a guess [-]."""


SPRINGS_AS_SET, EACH_SETTING = "springs as set", "each setting"
"""What may stand for a pressure at which the working height was taken [-]: pressed by the springs as the file
has them, or levelled again after every change of pressure or springs."""

USUAL_COULTER_DRAFT = 0.5
"""Draft of a coulter over that of the opener behind it where nobody said it: a guess, no source."""
USUAL_COULTER_REACTION = 1.6
"""Vertical soil load of a coulter over its draft: 1.3 to 1.9 [GER08]."""


@dataclass(frozen=True)
class Coulter:
    """A rolling coulter that cuts ahead of the opener; its soil load goes with the soil of the opener.

    on: "opener", where it takes push and frame load, or "frame", where it takes frame load only.
    axle: its axle, (x, z) as the places of the opener; all its draft acts there, because it rolls.
    draft_share: its draft over that of the opener.
    reaction_ratio: its vertical soil load over its draft.
    """

    on: Literal["opener", "frame"]
    axle: Pin
    draft_share: Annotated[float, Quantity("share", 0.02, 3.0)] = USUAL_COULTER_DRAFT
    reaction_ratio: Annotated[float, Number(0.3, 4.0)] = USUAL_COULTER_REACTION


@dataclass(frozen=True)
class Opener:
    """One row's tools on one arm; places are (x rearward, z above the soil surface) at working height.

    linkage: "trailing arm" or "parallel linkage".
    disc: disc axle.
    disc_diameter: new disc.
    mass: complete opener.
    mass_centre: its centre of mass.
    gauge_wheel: gauge-wheel axle.
    gauge_wheel_diameter, gauge_wheel_width: size of the gauge wheel.
    closing_wheel: closing-wheel axle.
    closing_load: what the closing wheel's own spring puts on the ground.
    travel_up, travel_down: from working height to the stops, both positive.
    raised_travel: travel with the drill raised at the headland.
    transport_travel: travel when folded or locked for the road.
    pivot: arm pivot of a trailing arm.
    lower_frame_pin, lower_opener_pin, upper_frame_pin: pins of a parallel linkage.
    draft_height: height of the line of draft above the soil surface, whatever the depth, where somebody
        measured it; negative below it.
    dragged_share: share of the draft that boot, scraper and firmer drag through the soil at the height of its
        surface; the rest rolls, and what rolls holds no torque, so its line passes through the axle. Exactly
        one of this and `draft_height` is given; with neither, `USUAL_DRAGGED_SHARE` is assumed.
    discs: discs per opener.
    gauge_wheel_stiffness: load on the gauge wheel for each metre that wheel and soil under it give.
    gauge_wheel_damping: damping of the opener on its wheel, over what would just keep it from swinging.
    front_coulter: what cuts ahead of it.
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
    gauge_wheel_stiffness: Annotated[float, Quantity("spring rate", 10e3, 2e6)] = USUAL_WHEEL_STIFFNESS
    gauge_wheel_damping: Annotated[float, Quantity("share", 0.03, 0.9)] = USUAL_WHEEL_DAMPING
    front_coulter: Coulter | None = None

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
        """TrailingArm or ParallelLinkage made of the pins."""
        if self.linkage == "trailing arm":
            return TrailingArm(self.pivot, self.disc)
        return ParallelLinkage(self.lower_frame_pin, self.lower_opener_pin, self.upper_frame_pin)

    @property
    def body(self):
        """The moving part that carries disc and wheels: "arm" or "opener"."""
        return "arm" if self.linkage == "trailing arm" else "opener"

    @property
    def weight(self) -> Newton:
        """Weight of the opener."""
        return self.mass * GRAVITY

    @property
    def lowest_travel(self) -> Metre:
        """Travel on the lower stop, or just before the arm hangs straight down."""
        length, height = self._arm()
        return max(-self.travel_down, -_SWINGS * length - height)

    @property
    def highest_travel(self) -> Metre:
        """Travel on the upper stop, or just before the arm stands straight up."""
        length, height = self._arm()
        return min(self.travel_up, _SWINGS * length - height)

    def _arm(self):
        """Length of the arm or lower link, and how high its end stands over its pivot at working height."""
        arm = self.linkage == "trailing arm"
        start, end = (self.pivot, self.disc) if arm else (self.lower_frame_pin, self.lower_opener_pin)
        return math.dist(start, end), end[1] - start[1]

    def shares(self, travel: Metres, ground_travel: Metres) -> tuple[Ratios, Ratios, Ratios, Ratios]:
        """Newtons at the disc for one newton of weight, closing wheel, gauge wheel and draft.

        Result: weight, closing, gauge and draft share; the draft share holds what goes with the draft on a
            coulter that the opener carries.
        """
        geometry, line = self.geometry, self.draft_line(travel, ground_travel)
        places = self.mass_centre, self.closing_wheel, self.gauge_wheel
        draft = geometry.draft_share(travel, line - travel)
        if self.carries_coulter:
            back, up = geometry.motion(self.front_coulter.axle, self.body, travel)
            draft = draft + self.front_coulter.draft_share * (back + self.front_coulter.reaction_ratio * up)
        return *geometry.rises(places, self.body, travel), draft

    @property
    def carries_coulter(self) -> bool:
        """Whether a coulter is fixed to the opener, so that push must hold it in the soil."""
        return self.front_coulter is not None and self.front_coulter.on == "opener"

    def coulter_load(self, draft):
        """Vertical soil load on a coulter that the opener carries [N], at the opener's draft [N]."""
        if not self.carries_coulter:
            return 0.0 * draft
        return self.front_coulter.reaction_ratio * self.front_coulter.draft_share * draft

    def draft_line(self, travel: Metre = 0.0, ground_travel: Metre = 0.0) -> Metre:
        """Height of the line of draft over the frame's working level.

        travel: travel of the disc; what rolls goes with its axle.
        ground_travel: travel the disc would have at its target depth; what is dragged stays at the soil
            surface.
        Result: zero at the soil surface at working height.
        """
        if self.dragged_share is None:
            return self.draft_height + ground_travel
        return (1.0 - self.dragged_share) * (self.disc[1] + travel) + self.dragged_share * ground_travel


@dataclass(frozen=True)
class KeptSprings:
    """Rows of a half-refitted drill that keep their springs: whole sections, whole ranks, or both.

    sections: names of sections whose rows keep them.
    ranks: numbers of ranks whose rows keep them, the front one is 1.
    """

    sections: tuple[str, ...] = ()
    ranks: tuple[Annotated[int, Number(1, 8)], ...] = ()


@dataclass(frozen=True)
class Drill:
    """A whole drill: rows, frame, openers, the springs it has and the cylinders proposed.

    describes: "drill".
    name: shown on every page.
    seed_mass, seed_volume [kg, m3]: what a full hopper or cart holds; needed with a separate cart, else the
        hoppers' own mass is taken.
    note: free words.
    units: units its owner reads: "metric" or "US".
    row_spacing: between neighbouring rows.
    rank_x: each rank's discs behind the hitch pin, front rank first; rows take the ranks in turn.
    opener: all openers are alike.
    spring: what presses them down now.
    cylinder: what is proposed instead.
    sections: from left to right.
    hitch: where it is pulled.
    wheels: what carries the frame in work.
    hydraulics: tractor supply, valve, hoses, gauge.
    hinges: between the sections, from left to right.
    hoppers: seed on the frame, mass when full. None with a separate cart.
    ballast: added weight.
    frame_cylinders: what folds and lifts the frame, for the oil that it takes.
    springs_kept: rows that keep their springs; none where every row gets a cylinder.
    height_taken_at: gauge pressure at which the frame stands at its working height; or "springs as set",
        which is how pins and heights of a drill on springs are measured, in the ground; or "each setting",
        levelled again after every change, which is taken if nothing is said.
    doubts: how sure its values are, where the file says so.
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
    springs_kept: KeptSprings = field(default_factory=KeptSprings)
    height_taken_at: Annotated[
        float | str, QuantityOr("pressure", 0.0, 400e5, (SPRINGS_AS_SET, EACH_SETTING))
    ] = EACH_SETTING
    note: str = ""
    doubts: tuple[Doubt, ...] = field(default=(), metadata={"in_file": False})

    @cached_property
    def row_count(self) -> int:
        """Number of openers."""
        return sum(section.openers for section in self.sections)

    @property
    def width(self) -> Metre:
        """Working width."""
        return self.row_count * self.row_spacing

    @cached_property
    def row_y(self) -> Metres:
        """Place of each row right of the middle, from left to right, shape (rows,)."""
        return (np.arange(self.row_count) - (self.row_count - 1) / 2) * self.row_spacing

    @cached_property
    def row_rank(self):
        """Rank of each row, 0 at the front, shape (rows,)."""
        return np.arange(self.row_count) % len(self.rank_x)

    @cached_property
    def row_x(self) -> Metres:
        """Place of each row's disc behind the hitch pin, shape (rows,)."""
        return np.asarray(self.rank_x)[self.row_rank]

    @cached_property
    def row_section(self):
        """Index of each row's section, shape (rows,)."""
        return np.repeat(np.arange(len(self.sections)), [s.openers for s in self.sections])

    @cached_property
    def row_on_springs(self) -> Flags:
        """Which rows keep their springs, so that the gauge does not move them, shape (rows,) of bool."""
        kept = [self.section_index(name) for name in self.springs_kept.sections]
        return np.isin(self.row_section, kept) | np.isin(self.row_rank + 1, self.springs_kept.ranks)

    @cached_property
    def cylinder_count(self) -> int:
        """Number of openers that a cylinder presses."""
        return self.row_count - int(self.row_on_springs.sum())

    @property
    def half_refitted(self) -> bool:
        """Whether some rows keep their springs."""
        return bool(self.row_on_springs.any())

    @property
    def seed_on_frame(self) -> bool:
        """Whether the seed rides on the frame."""
        return bool(self.hoppers)

    def section_index(self, name: str) -> int:
        """Place of a section in the row from left to right.

        Result: 0 for the leftmost.
        """
        return [section.name for section in self.sections].index(name)

    def total_mass(self, hopper_fill: Ratio = 0.0) -> Kilogram:
        """Mass of the drill with its openers.

        hopper_fill: share of a full hopper, 0 to 1.
        Result: frame, openers, ballast and seed.
        """
        frame = sum(s.frame_mass for s in self.sections) + sum(b.mass for b in self.ballast)
        seed = hopper_fill * sum(h.mass for h in self.hoppers)
        return frame + seed + self.row_count * self.opener.mass

    def with_cylinder(self, **changes) -> "Drill":
        """The same drill with another cylinder."""
        return replace(self, cylinder=replace(self.cylinder, **changes))
