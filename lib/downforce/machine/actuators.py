"""What can press an opener down: coil springs, a cylinder at held pressure, and their rivals."""

from downforce.machine.cylinders import ClosedLineCylinder, Cylinder, GasSpring
from downforce.machine.mount import Mount
from downforce.machine.springs import Coil, SpringSet

__all__ = ["ClosedLineCylinder", "Coil", "Cylinder", "GasSpring", "Mount", "SpringSet"]
