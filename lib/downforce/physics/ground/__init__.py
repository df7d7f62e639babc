"""Ground under a drill: relief, terraces, gullies, tracks, a survey, and the frame that rides on it."""

from downforce.physics.ground.contact import ContactAverage, contact_transfer, moving_average
from downforce.physics.ground.earthwork import balanced_channel_depth
from downforce.physics.ground.frame_plane import FrameOnWheels, drawbar_height
from downforce.physics.ground.local_map import local_metres, map_angles
from downforce.physics.ground.parts import Ground, Plane, heights_in_blocks
from downforce.physics.ground.passes import cut_passes, standing_groups, usual_step
from downforce.physics.ground.relief import Relief
from downforce.physics.ground.ride import opener_travel, wheel_heights
from downforce.physics.ground.section import TerraceSection, broad_base, grassed_back_slope, narrow_base
from downforce.physics.ground.spectrum import surface_variance_beyond
from downforce.physics.ground.survey import SurveyedTrack, SurveyProblems, survey_problems, track_axes
from downforce.physics.ground.terrace import (
    Gully,
    Terrace,
    crest_gap,
    horizontal_interval,
    vertical_interval,
)
from downforce.physics.ground.tracks import WheelTracks

__all__ = [
    "ContactAverage",
    "FrameOnWheels",
    "Ground",
    "Gully",
    "Plane",
    "Relief",
    "SurveyProblems",
    "SurveyedTrack",
    "Terrace",
    "TerraceSection",
    "WheelTracks",
    "balanced_channel_depth",
    "broad_base",
    "contact_transfer",
    "crest_gap",
    "cut_passes",
    "drawbar_height",
    "grassed_back_slope",
    "heights_in_blocks",
    "horizontal_interval",
    "local_metres",
    "map_angles",
    "moving_average",
    "narrow_base",
    "opener_travel",
    "standing_groups",
    "surface_variance_beyond",
    "survey_problems",
    "track_axes",
    "usual_step",
    "vertical_interval",
    "wheel_heights",
]
