"""Rate of round-wire coil springs."""

from downforce.physics.checks import positive
from downforce.physics.kinds import Metre, NewtonPerMetre, Pascal, Ratio
from downforce.physics.spring.size import spring_index


def coil_rate(
    wire_diameter: Metre, mean_diameter: Metre, active_coils: Ratio, shear_modulus: Pascal
) -> NewtonPerMetre:
    """Rate of a coil spring: newtons for one metre of compression.

    mean_diameter: outside diameter of the coil less one wire diameter.
    active_coils: coils that bend, without the dead coils at the ends.
    Raises ValueError if a value is not positive, or the mean diameter is not larger than the wire.

    k = G d^4 / (8 D^3 N). Torsion of the wire only; direct shear takes 1.4 % off at an index of 6.
    Range: spring index 4 to 12, active coils 3 to 15, small pitch angle.
    Source: [SHI] eq. 10-9.

    >>> round(float(coil_rate(0.005, 0.030, 15, 84e9)))
    16204
    """
    spring_index(wire_diameter, mean_diameter)
    wire = positive("wire_diameter", wire_diameter)
    mean = positive("mean_diameter", mean_diameter)
    coils = positive("active_coils", active_coils)
    return positive("shear_modulus", shear_modulus) * wire**4 / (8 * mean**3 * coils)
