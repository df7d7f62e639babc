"""What a field is: soil under the openers, wheel tracks, relief, terraces, speed and oil. Frozen, in SI."""

from dataclasses import dataclass, field, replace
from typing import Annotated, Literal

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.quantity import Doubt, Number, Place, Quantity
from downforce.physics.checks import positive
from downforce.physics.kinds import Flags, Metre, Newton, Ratio
from downforce.physics.soil_reaction import reaction_share


@dataclass(frozen=True)
class Soil:
    """What the soil asks of one opener.

    reaction: vertical soil load on the disc at the reference depth.
    reference_depth: depth the reaction was found at.
    target_depth: depth the gauge wheel is set to.
    exponent: power of depth in the reaction.
    draft_ratio: draft over soil reaction at working speed.
    tracks: where a whole drill stands in it, the rows in these tracks meet a harder soil and lie lower.
    """

    reaction: Newton
    reference_depth: Metre = 0.04
    target_depth: Metre = 0.04
    exponent: Ratio = 1.0
    draft_ratio: Ratio = 0.6
    tracks: "Tracks | None" = None

    @property
    def target_reaction(self) -> Newton:
        """Soil reaction at the target depth."""
        share = positive("target_depth", self.target_depth) / positive(
            "reference_depth", self.reference_depth
        )
        return np.asarray(self.reaction, dtype=float) * reaction_share(share, self.exponent)


USUAL_STRAW_DRAFT = 1.3
"""Draft in straw over that without: 600 g/m2 chopped, disc at 5 degrees [GER08]."""
SOFT_REACTION = 700.0
"""Soil reaction [N] at the reference depth below which a soil is soft; class from memory, no source."""


@dataclass(frozen=True)
class Straw:
    """Straw on the ground, beyond what the soil's own draft ratio was found in.

    state: "dry", which a disc cuts, or "damp", which it bends.
    draft_factor: draft over that without straw; 1.3 was published for 600 g/m2 of chopped straw.
    """

    state: Literal["dry", "damp"]
    draft_factor: Annotated[float, Number(1.0, 3.0)] = USUAL_STRAW_DRAFT


@dataclass(frozen=True)
class FieldSoil:
    """The soil as it stands in a field file.

    reaction: mean vertical soil load on a disc at the reference depth, outside tracks.
    reference_depth: depth the reaction was found at.
    exponent: power of depth in the reaction.
    spread: standard deviation of the reaction from place to place.
    draft_ratio: draft over soil reaction; in a field with straw what the file says times the straw's factor.
    moisture: "wet", "moist" or "dry", at seed depth.
    length_along, length_across: distances over which the soil stays alike.
    basis: where the reaction comes from: "dig", "reading" or "estimate".
    target_depth: that of the field it belongs to, which sets it; NaN outside a field.
    straw_factor: what the draft ratio has been multiplied by for straw; set by the field.
    """

    reaction: Annotated[float, Quantity("force", 50.0, 6000.0)]
    reference_depth: Annotated[float, Quantity("length", 0.005, 0.2)]
    spread: Annotated[float, Quantity("force", 0.0, 3000.0)]
    draft_ratio: Annotated[float, Number(0.0, 3.0)]
    moisture: Literal["wet", "moist", "dry"]
    basis: Literal["dig", "reading", "estimate"]
    exponent: Annotated[float, Number(0.2, 3.0)] = 1.0
    length_along: Annotated[float, Quantity("length", 0.1, 500.0)] = 5.0
    length_across: Annotated[float, Quantity("length", 0.05, 500.0)] = 1.5
    target_depth: Metre = field(default=np.nan, init=False)
    straw_factor: Ratio = field(default=1.0, metadata={"in_file": False})

    # So that a field's soil can be given wherever the soil of one opener is asked for.
    target_reaction = Soil.target_reaction


@dataclass(frozen=True)
class Tracks:
    """Wheel tracks: soil stronger and lower. Give positions and width, or row numbers.

    factor: soil reaction in the track over that outside.
    depth: how much lower the track lies.
    positions: middle of each track, right of the drill's middle.
    width: of each track.
    rows: row numbers from the left, first is 1; used instead of positions.
    """

    factor: Annotated[float, Number(0.5, 5.0)]
    depth: Annotated[float, Quantity("length", 0.0, 0.3)]
    positions: tuple[Place, ...] = ()
    width: Annotated[float, Quantity("length", 0.05, 2.0)] = 0.5
    rows: tuple[Annotated[int, Number(1, 200)], ...] = ()

    def hold(self, drill) -> Flags:
        """Which rows of a drill run in them, shape (rows,)."""
        held = np.zeros(drill.row_count, dtype=bool)
        if self.rows:
            numbers = np.asarray(self.rows)
            held[numbers[numbers <= drill.row_count] - 1] = True
            return held
        for middle in self.positions:
            held |= np.abs(drill.row_y - middle) <= self.width / 2
        return held


@dataclass(frozen=True)
class Relief:
    """Random unevenness of the ground by [ISO8608].

    roughness_class: "A" to "H".
    density: measured displacement density at 0.1 cycle per metre; used instead of a class.
    exponent: fall of the density with spatial frequency.
    """

    roughness_class: Literal["A", "B", "C", "D", "E", "F", "G", "H"] | None = None
    density: Annotated[float, Quantity("displacement density", 1e-7, 1.0)] | None = None
    exponent: Annotated[float, Number(1.1, 4.0)] = 2.0


@dataclass(frozen=True)
class Terrace:
    """Terraces across the way of the drill.

    kind: "broad-base", "grassed back slope" or "narrow base".
    ridge_height: from channel to crest.
    front_slope, back_slope: run for one metre of rise; farmed faces are no steeper than 5 [SWCD].
    crossing_angle: between the way of the drill and the terrace; a right angle is straight over.
    spacing: from ridge to ridge.
    crest_radius: rounding of the crest.
    land_slope: fall of the land for one metre; usual for the kind when left out, 4 % under a broad base, 8 %
        under a grassed back slope, 6 % under a narrow base, and at most half of the flattest face.
    channel_depth: channel below the old ground; 0 is no channel, as where a grassed back slope was built from
        below. Left out, the cut is as large as the fill: balanced earthwork for the slope of the land.
    channel_width: level bottom of the channel.
    cut_slope: run for one metre of fall from the land above into the channel; as the front when left out, but
        no steeper than 5.
    toe_radius: rounding of channel and toes, less where there is no room.
    """

    kind: Literal["broad-base", "grassed back slope", "narrow base"]
    ridge_height: Annotated[float, Quantity("length", 0.05, 1.5)]
    front_slope: Annotated[float, Number(1.0, 30.0)]
    back_slope: Annotated[float, Number(1.0, 30.0)]
    crossing_angle: Annotated[float, Quantity("angle", 0.0, np.pi / 2)]
    spacing: Annotated[float, Quantity("length", 5.0, 500.0)]
    crest_radius: Annotated[float, Quantity("length", 0.5, 200.0)] = 15.0
    land_slope: Annotated[float, Quantity("share", 0.0, 0.3)] | None = None
    channel_depth: Annotated[float, Quantity("length", 0.0, 1.5)] | None = None
    channel_width: Annotated[float, Quantity("length", 0.0, 20.0)] = 0.0
    cut_slope: Annotated[float, Number(1.0, 30.0)] | None = None
    toe_radius: Annotated[float, Quantity("length", 0.0, 50.0)] = 2.0


@dataclass(frozen=True)
class Gully:
    """A washed channel across the way of the drill.

    position: along the way from where the pass begins to the channel's middle, on the drill's middle line.
    width: from edge to edge, square to the channel.
    depth: in the middle.
    crossing_angle: between the way of the drill and the channel; a right angle is straight over.
    """

    position: Annotated[float, Quantity("length", 0.0, 5000.0)]
    width: Annotated[float, Quantity("length", 0.05, 20.0)]
    depth: Annotated[float, Quantity("length", 0.005, 1.0)]
    crossing_angle: Annotated[float, Quantity("angle", 0.05, np.pi / 2)] = np.pi / 2


@dataclass(frozen=True)
class Aim:
    """What the grower wants and will not have.

    gauge_wheel_load: wanted on the mean row.
    least_load: a row with less is short.
    heavy_load: a row with more packs the slot.
    share_in: share of rows that should have the least load.
    headroom: share of the weight that the openers may borrow, kept in hand; not a share of the lift pressure.
    packing_counts: how often a row that packs is counted against one that has enough: 1, or 2 in wet soil.
    """

    gauge_wheel_load: Annotated[float, Quantity("force", 0.0, 2000.0)] = 300.0
    least_load: Annotated[float, Quantity("force", 0.0, 2000.0)] = 150.0
    heavy_load: Annotated[float, Quantity("force", 100.0, 5000.0)] = 890.0
    share_in: Annotated[float, Quantity("share", 0.5, 0.999)] = 0.95
    headroom: Annotated[float, Quantity("share", 0.0, 0.5)] = 0.15
    packing_counts: Annotated[int, Number(1, 2)] = 1


@dataclass(frozen=True)
class Field:
    """A field on one day.

    describes: "field".
    name: shown on every page.
    target_depth: depth the gauge wheels are set to.
    speed: of work.
    soil: what the soil asks.
    oil_temperature: in the lines on the drill.
    height_spread: standard deviation of opener travel, a guess for use before the ground itself is described.
    tracks: wheel tracks.
    relief: random unevenness.
    terrace: terraces.
    gullies: washed channels, each at its own place.
    straw: straw on the ground.
    aim: what the grower wants.
    seed_rate: seed sown per area, for the area that a full hopper or cart sows.
    seed_density: of the seed in bulk, where the drill says a volume.
    note: free words.
    doubts: how sure its values are, where the file says so.
    """

    describes: Literal["field"]
    name: str
    target_depth: Annotated[float, Quantity("length", 0.005, 0.15)]
    speed: Annotated[float, Quantity("speed", 0.3, 8.0)]
    soil: FieldSoil
    oil_temperature: Annotated[float, Quantity("temperature", 233.15, 373.15)]
    height_spread: Annotated[float, Quantity("length", 0.0, 0.3)]
    tracks: Tracks | None = None
    relief: Relief | None = None
    terrace: Terrace | None = None
    gullies: tuple[Gully, ...] = ()
    straw: Straw | None = None
    aim: Aim = field(default_factory=Aim)
    seed_rate: Annotated[float, Quantity("seed rate", 1e-5, 0.1)] | None = None
    seed_density: Annotated[float, Quantity("density", 200.0, 1200.0)] | None = None
    note: str = ""
    doubts: tuple[Doubt, ...] = field(default=(), metadata={"in_file": False})

    def __post_init__(self):
        # A soil from another field of the same straw has its factor in it already.
        factor = self.straw.draft_factor if self.straw else 1.0
        ratio = self.soil.draft_ratio
        if factor != self.soil.straw_factor:
            ratio = ratio * factor / self.soil.straw_factor
        soil = replace(self.soil, draft_ratio=ratio, straw_factor=factor)
        object.__setattr__(soil, "target_depth", self.target_depth)
        object.__setattr__(self, "soil", soil)

    @property
    def hairpins(self) -> bool:
        """Whether discs fold the straw into the slot at any force: damp, and soft under it."""
        damp = self.straw is not None and self.straw.state == "damp"
        return damp and self.soil.moisture != "dry" and self.soil.reaction < SOFT_REACTION

    @property
    def opener_soil(self) -> Soil:
        """The mean soil as one opener meets it outside tracks, and a drill with its tracks."""
        soil = self.soil
        return Soil(
            soil.reaction,
            soil.reference_depth,
            self.target_depth,
            soil.exponent,
            soil.draft_ratio,
            self.tracks,
        )

    @property
    def track_soil(self) -> Soil:
        """The mean soil in a wheel track, or the ordinary soil where there is none."""
        factor = self.tracks.factor if self.tracks else 1.0
        soil = self.soil
        return Soil(
            soil.reaction * factor, soil.reference_depth, self.target_depth, soil.exponent, soil.draft_ratio
        )

    def rows_in_tracks(self, drill: Drill) -> Flags:
        """Which rows of a drill run in wheel tracks.

        Result (rows,): True in a track.
        """
        return np.zeros(drill.row_count, dtype=bool) if self.tracks is None else self.tracks.hold(drill)
