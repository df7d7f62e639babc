"""The ground of a field under a drill: relief, terraces, tracks or a survey, as its wheels feel it."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.plausible import terrace_section
from downforce.machine.shipped import table_rows
from downforce.physics.ground_frame import FrameOnWheels, drawbar_height
from downforce.physics.ground_parts import ContactAverage, Ground
from downforce.physics.ground_relief import Relief, WheelTracks, wheel_heights
from downforce.physics.ground_survey import SurveyedTrack
from downforce.physics.ground_terraces import Gully, Terraces
from downforce.physics.kinds import CubicMetre, Flags, Metres, Wholes

TYRE_CONTACT = (0.35, 0.30)
"""Length and width of a frame tyre's contact [m], a usual size (from memory)."""

GAUGE_CONTACT_SHARE = 0.3
"""Length of a gauge wheel's contact over its diameter: 120 mm on a 400 mm wheel [-] (from memory)."""

TRACTOR = {"overhang": 1.0, "wheelbase": 2.9, "half_track": 0.95}
"""A middling tractor, invented: pin behind the rear axle, axle to axle, half its track width [m]."""

PLAIN, IN_TRACK, ON_TERRACE = 0, 1, 2
PLACES = ("plain ground", "wheel track", "terrace")
"""Names of the place codes 0 to 2; a track on a terrace counts as a track [-]."""


@dataclass(frozen=True)
class FieldGround:
    """Ground under one drill on one field.

    under_tyres: as the wheels of frame and tractor feel it.
    """

    under_openers: Ground
    under_tyres: Ground
    frame: FrameOnWheels
    row_x: Metres
    row_y: Metres
    in_track: Flags
    terraces: Any
    words: str

    def height(self, station: Metres) -> Metres:
        """Ground under every opener.

        station: distance of the hitch pin along the pass.
        Result (stations, openers): height as the gauge wheels feel it.
        """
        return wheel_heights(self.under_openers, station, self.row_x, self.row_y)

    def frame_plane(self, station: Metres) -> Metres:
        """Height of the frame over every opener, against level ground.

        station: distance of the hitch pin along the pass.
        Result (stations, openers): rise of each section's plane at its openers.
        """
        frame, half = self.frame, TRACTOR["half_track"]
        rear = -TRACTOR["overhang"]
        front = rear - TRACTOR["wheelbase"]
        x = np.concatenate((frame.wheel_x, [rear, rear, front, front]))
        y = np.concatenate((frame.wheel_y, [-half, half, -half, half]))
        below = wheel_heights(self.under_tyres, station, x, y)
        axles = below[:, -4:].reshape(-1, 2, 2).mean(axis=2)
        # Where the links of a three-point hitch meet lies ahead of the pin and moves with the tractor.
        reach = TRACTOR["overhang"] + frame.hitch_x
        pin = drawbar_height(axles[:, 0], axles[:, 1], reach, TRACTOR["wheelbase"])
        return frame.plane(pin, below[:, :-4], self.row_x, self.row_y)

    def place(self, station: Metres) -> Wholes:
        """Which kind of ground every opener runs on.

        station: distance of the hitch pin along the pass.
        Result (stations, openers): index into PLACES.
        """
        place = np.zeros((len(station), self.row_y.size), dtype=np.uint8)
        if self.terraces is not None:
            covered = self.terraces.covers(station[:, None] - self.row_x, self.row_y)
            np.multiply(covered, ON_TERRACE, out=place, casting="unsafe")
        place[:, self.in_track] = IN_TRACK
        return place


def field_ground(drill: Drill, field: Field, seed, survey: SurveyedTrack | None = None) -> FieldGround:
    """Ground of a field under a drill.

    field: relief, terraces, gullies and tracks.
    survey: surveyed ground. It takes the place of relief, terraces and gullies, which it holds already.

    Left out: the slope of the land (a plane gives no travel), sinking of tyres, give of the frame.
    """
    relief = density_of(field) if survey is None else 0.0
    terraces = field_terraces(field) if survey is None else None
    tracks = _tracks(drill, field)
    gullies = _gullies(field) if survey is None else ()
    others = tuple(part for part in (terraces, tracks, survey, *gullies) if part is not None)
    gauge_contact = (GAUGE_CONTACT_SHARE * drill.opener.gauge_wheel_diameter, drill.opener.gauge_wheel_width)

    def felt_over(contact):
        smooth = Ground(others).smoothed(*contact).parts
        if relief:
            smooth = (_relief(relief, seed, field.relief.exponent, *contact), *smooth)
        return Ground(smooth)

    return FieldGround(
        felt_over(gauge_contact),
        felt_over(TYRE_CONTACT),
        frame_on_wheels(drill),
        drill.row_x,
        drill.row_y,
        field.rows_in_tracks(drill),
        terraces,
        _words(field, relief, terraces, tracks, survey, gullies),
    )


def frame_on_wheels(drill: Drill) -> FrameOnWheels:
    """The drill's frame as rigid sections on hinges, carried by wheels and hitch."""
    wheels = drill.wheels
    return FrameOnWheels(
        tuple(hinge.y for hinge in drill.hinges),
        tuple(wheel.x for wheel in wheels),
        tuple(wheel.y for wheel in wheels),
        tuple(wheel.stiffness for wheel in wheels),
        drill.hitch.x,
        hitch_holds=not drill.hitch.floats,
    )


def density_of(field: Field) -> CubicMetre:
    """Displacement density of a field's relief at 0.1 cycle per metre.

    field: with a roughness class or a measured density, or neither.
    Result: the measured value, else the mean of the class, else zero.
    """
    relief = field.relief
    if relief is None:
        return 0.0
    return relief.density if relief.density is not None else class_density(relief.roughness_class)


@lru_cache
def class_density(roughness_class) -> CubicMetre:
    """Mean displacement density of a roughness class at 0.1 cycle per metre.

    roughness_class: "A" to "H".
    Result: from the table of classes.
    """
    rows = {row["class"]: row for row in table_rows("roughness_classes")}
    return float(rows[roughness_class]["density_at_0.1_cycle_per_m_m3"])


def field_terraces(field: Field) -> Terraces | None:
    """Terraces of a field, the first ridge half a spacing from the start."""
    if field.terrace is None:
        return None
    terrace = field.terrace
    return Terraces(
        terrace_section(terrace), terrace.spacing, terrace.spacing / 2, crossing_angle=terrace.crossing_angle
    )


@lru_cache(maxsize=8)
def _relief(density, seed, exponent, length, width):
    """Relief is slow to make and never changes, so the last few are kept."""
    return Relief(density, seed, exponent, contact_length=length, contact_width=width)


@dataclass(frozen=True)
class _AlongPass:
    """A part that is the same all along the pass, asked once for each place across."""

    part: Any

    def heights(self, x, y):
        shape = np.broadcast_shapes(np.shape(x), np.shape(y))
        return np.broadcast_to(self.part.heights(0.0, y), shape)

    def smoothed(self, length, width):
        return _AlongPass(ContactAverage(self.part, 0.0, width))


def _tracks(drill, field):
    tracks = field.tracks
    if tracks is None or tracks.depth == 0:
        return None
    if not tracks.rows:
        edge = min(0.05, tracks.width)
        return _AlongPass(WheelTracks(tracks.positions, tracks.width, tracks.depth, edge))
    lateral = drill.row_y[field.rows_in_tracks(drill)]
    width = drill.row_spacing
    return _AlongPass(WheelTracks(lateral, width, tracks.depth, width / 4)) if lateral.size else None


def _gullies(field):
    return tuple(
        Gully(gully.position, gully.width, gully.depth, gully.crossing_angle) for gully in field.gullies
    )


def _words(field, density, terraces, tracks, survey, gullies):
    parts = []
    if survey is not None:
        parts.append("a surveyed track")
    if density and field.relief.density is None:
        parts.append(f"random relief of class {field.relief.roughness_class}")
    elif density:
        parts.append("random relief of the measured roughness")
    if terraces is not None:
        parts.append("terraces")
    if gullies:
        parts.append("a gully" if len(gullies) == 1 else "gullies")
    if tracks is not None:
        parts.append("wheel tracks")
    return " and ".join(parts) if parts else "level ground"
