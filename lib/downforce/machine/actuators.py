"""What can press an opener down, and what is asked of it: springs, cylinders at held pressure, rivals."""

from typing import Protocol, runtime_checkable

from downforce.machine.cylinders import ClosedLineCylinder, Cylinder, GasSpring
from downforce.machine.mount import Mount
from downforce.machine.springs import Coil, SpringSet

__all__ = [
    "Actuator",
    "ClosedLineCylinder",
    "Coil",
    "Cylinder",
    "GasSpring",
    "HeldPressure",
    "Mount",
    "SpringSet",
]


@runtime_checkable
class Actuator(Protocol):
    """What a pass, a frame or a drawing asks of anything that presses an opener down.

    `machine.mount.Mounted` answers all that follows from the pins; a new kind gives force, state and stops.
    """

    mount: Mount

    def axial_force(self, length, gauge_pressure=None):
        """Mean force along the axis at a pin-to-pin length [N]."""

    def down_force(self, opener, travel, gauge_pressure=None):
        """What it gives at the disc [N]."""

    def friction_force(self, gauge_pressure=None, length=None):
        """Friction along the axis, whichever way it works [N]."""

    def travel_stops(self, opener):
        """Lowest and highest travel that opener and actuator allow together [m]."""

    def regime(self, length):
        """Name of its state at a pin-to-pin length."""


@runtime_checkable
class HeldPressure(Actuator, Protocol):
    """What setting, oil and order ask besides of what oil at a held pressure works."""

    acting_diameter: float
    area: float

    def push(self, gauge_pressure, rubbing=0):
        """Force along the axis between the ends of the stroke [N]."""

    def pressure_for_push(self, push):
        """Gauge pressure that gives a mean force along the axis [Pa]."""

    def pressure_for(self, opener, down_force, travel=0.0, rubbing=0.0):
        """Gauge pressure that gives a down force at the disc [Pa]."""

    def swept_volume(self, out):
        """Oil taken in while the rod goes out [m3]."""
