"""What can press an opener down, and what is asked of it: springs, cylinders at held pressure, rivals."""

from typing import Protocol, runtime_checkable

from downforce.machine.cylinders import ClosedLineCylinder, Cylinder, GasSpring
from downforce.machine.mount import Mount
from downforce.machine.springs import Coil, SpringSet
from downforce.physics.kinds import CubicMetre, Metre, Newton, Pascal

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

    def axial_force(self, length, gauge_pressure=None) -> Newton:
        """Mean force along the axis at a pin-to-pin length."""

    def down_force(self, opener, travel, gauge_pressure=None) -> Newton:
        """What it gives at the disc."""

    def friction_force(self, gauge_pressure=None, length=None) -> Newton:
        """Friction along the axis, whichever way it works."""

    def travel_stops(self, opener) -> Metre:
        """Lowest and highest travel that opener and actuator allow together."""

    def regime(self, length):
        """Name of its state at a pin-to-pin length."""


@runtime_checkable
class HeldPressure(Actuator, Protocol):
    """What setting, oil and order ask besides of what oil at a held pressure works."""

    acting_diameter: float
    area: float

    def push(self, gauge_pressure, rubbing=0) -> Newton:
        """Force along the axis between the ends of the stroke."""

    def pressure_for_push(self, push) -> Pascal:
        """Gauge pressure that gives a mean force along the axis."""

    def pressure_for(self, opener, down_force, travel=0.0, rubbing=0.0) -> Pascal:
        """Gauge pressure that gives a down force at the disc."""

    def swept_volume(self, out) -> CubicMetre:
        """Oil taken in while the rod goes out."""
