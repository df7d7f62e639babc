"""A towed frame on wheels that push only: its model, its support loads, and how it goes light."""

from downforce.physics.frame.lift_path import LiftPath, first_lift
from downforce.physics.frame.model import FrameLoad, FrameModel
from downforce.physics.frame.slope_loads import STEEPEST, SlopeLoads, draft_moment, slope_loads
from downforce.physics.frame.supports import (
    REGIMES,
    FrameSupport,
    hinge_loads,
    support_shares,
    wheel_loads,
)

__all__ = [
    "REGIMES",
    "STEEPEST",
    "FrameLoad",
    "FrameModel",
    "FrameSupport",
    "LiftPath",
    "SlopeLoads",
    "draft_moment",
    "first_lift",
    "hinge_loads",
    "slope_loads",
    "support_shares",
    "wheel_loads",
]
