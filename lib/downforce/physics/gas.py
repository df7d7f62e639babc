"""Gas under a piston or bladder: the closed line with an accumulator, and the gas spring.

Gas laws need absolute pressure. Names that end in ``absolute_pressure`` are absolute; ``gauge_pressure`` is
what the gauge reads, one atmosphere less.
"""

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import CubicMetre, Metre, Newton, Pascal, Ratio, SquareMetre, Wholes

STANDARD_ATMOSPHERE = 101325.0
"""Standard atmosphere [Pa], exact by definition."""


def gas_pressure(
    volume: CubicMetre, precharge_absolute_pressure: Pascal, gas_volume: CubicMetre, exponent: Ratio
) -> Pascal:
    """Absolute pressure of a gas that is squeezed from a known state.

    exponent: 1 slow, 1.4 fast.
    Raises ValueError if a value is not positive.

    p = p0 (V0 / V)^n.
    Range: exponent 1 to 1.4; ideal gas, within a few per cent below 200 bar.
    Source: polytropic law of an ideal gas, in any thermodynamics textbook (from memory).

    >>> round(float(gas_pressure(0.5e-3, 50e5, 1e-3, 1.0)) / 1e5, 6)
    100.0
    """
    start = positive("precharge_absolute_pressure", precharge_absolute_pressure)
    squeeze = positive("gas_volume", gas_volume) / positive("volume", volume)
    return start * squeeze ** positive("exponent", exponent)


def closed_line_pressure(
    displaced_volume: CubicMetre,
    charge_gauge_pressure: Pascal,
    gas_volume_at_charge: CubicMetre,
    exponent: Ratio,
    empty_gas_volume: CubicMetre | None = None,
) -> Pascal:
    """Gauge pressure of a closed line with an accumulator, after the rods have pushed oil into it.

    displaced_volume: oil pushed into the accumulator since it was charged; negative when the rods have moved
        out.
    exponent: 1 slow, 1.4 fast.
    empty_gas_volume: volume of the gas with no oil in the accumulator. None: it never runs out of oil.
    Result: gauge pressure in the line; zero once the accumulator is empty, and never below zero.
    Raises ValueError if the oil would fill the whole gas volume, the gas at charge is larger than the empty
        accumulator, a volume or exponent is not positive, or the charge pressure is negative.

    p + patm = (pc + patm) [Vc / (Vc - dV)]^n, patm one standard atmosphere. When the gas would need more room
    than the empty accumulator has, the bladder sits on its valve, the line has no oil to give and its
    pressure drops from the precharge to nothing. ``closed_line_regime`` tells the two apart.
    Range: exponent 1 to 1.4; stiff hoses, no air in the oil.
    Source: polytropic law of an ideal gas; derivation above.

    >>> round(float(closed_line_pressure(0.2e-3, 60e5, 1e-3, 1.0)) / 1e5, 2)
    75.25
    """
    left, start = _gas_left(displaced_volume, gas_volume_at_charge, empty_gas_volume)
    charge = not_negative("charge_gauge_pressure", charge_gauge_pressure) + STANDARD_ATMOSPHERE
    pressure = gas_pressure(left, charge, start, exponent) - STANDARD_ATMOSPHERE
    working = closed_line_regime(displaced_volume, gas_volume_at_charge, empty_gas_volume) == 1
    return np.where(working, np.maximum(pressure, 0.0), 0.0)[()]


def closed_line_regime(
    displaced_volume: CubicMetre, gas_volume_at_charge: CubicMetre, empty_gas_volume: CubicMetre | None = None
) -> int | Wholes:
    """Regime of a closed line with an accumulator.

    displaced_volume: oil pushed into the accumulator since it was charged; negative when the rods have moved
        out.
    empty_gas_volume: volume of the gas with no oil in the accumulator. None: it never runs out of oil.
    Result: 0 empty (the rods have taken all the oil it held), 1 working.
    Raises ValueError if the oil would fill the whole gas volume, the gas at charge is larger than the empty
        accumulator, or a volume is not positive.

    Empty where Vc - dV > V0. At Vc - dV = V0 the last drop is still under the precharge.
    Range: as ``closed_line_pressure``.
    Source: derivation above.

    >>> int(closed_line_regime(-0.3e-3, 1e-3, 1.2e-3))
    0
    """
    left, _ = _gas_left(displaced_volume, gas_volume_at_charge, empty_gas_volume)
    room = np.inf if empty_gas_volume is None else np.asarray(empty_gas_volume, dtype=float)
    return np.where(left <= room, 1, 0).astype(np.int8)[()]


def accumulator_size(
    oil_volume: CubicMetre,
    precharge_absolute_pressure: Pascal,
    low_absolute_pressure: Pascal,
    high_absolute_pressure: Pascal,
    exponent: Ratio,
) -> CubicMetre:
    """Gas volume an accumulator needs to give a volume of oil between two pressures.

    high_absolute_pressure: absolute pressure before.
    exponent: 1 slow, 1.4 fast.
    Result: gas volume of the empty accumulator, not yet rounded up to one that is sold.
    Raises ValueError if a value is not positive, the low pressure is below the precharge, or the high
        pressure is not above the low one.

    V0 = dV / [(p0 / p1)^(1/n) - (p0 / p2)^(1/n)]. Add 101 325 Pa to gauge readings first: 0.4 L between
    readings of 55 and 65 bar on a precharge reading of 50 bar asks for 3.86 L at n = 1.4; the same three
    numbers taken as absolute would say 3.81 L.
    Range: exponent 1 to 1.4; filling and giving at the same speed.
    Source: polytropic law of an ideal gas, derivation: V1 - V2 = V0 [(p0/p1)^(1/n) - (p0/p2)^(1/n)].

    >>> round(float(accumulator_size(0.4e-3, 51.01325e5, 56.01325e5, 66.01325e5, 1.0)) * 1e3, 1)
    2.9
    """
    precharge = positive("precharge_absolute_pressure", precharge_absolute_pressure)
    low = positive("low_absolute_pressure", low_absolute_pressure)
    high = positive("high_absolute_pressure", high_absolute_pressure)
    not_negative("low_absolute_pressure minus precharge_absolute_pressure", low - precharge)
    positive("high_absolute_pressure minus low_absolute_pressure", high - low)
    power = 1 / positive("exponent", exponent)
    share = (precharge / low) ** power - (precharge / high) ** power
    return not_negative("oil_volume", oil_volume) / share


def gas_spring_force(
    stroke_in: Metre, extended_force: Newton, rod_area: SquareMetre, gas_volume: CubicMetre, exponent: Ratio
) -> Newton:
    """Force of a gas spring whose rod has been pushed in.

    stroke_in: how far the rod is pushed in from fully extended.
    extended_force: force at full extension, as stamped on the spring.
    gas_volume: volume of the gas at full extension.
    exponent: 1 slow, 1.4 fast.
    Result: push along the rod, without seal friction.
    Raises ValueError if the stroke or force is negative, the rod would fill the whole gas volume, or another
        value is not positive.

    F = a {(F0 / a + patm) [V0 / (V0 - a s)]^n - patm}. The gas reaches both sides of the piston, so only the
    rod's area counts. Beyond full extension the spring's own stop holds and there is no push to give.
    Range: exponent 1 to 1.4; cold and age lower the force.
    Source: polytropic law of an ideal gas; derivation above.

    >>> round(float(gas_spring_force(0.1, 1000.0, 1e-4, 1e-4, 1.0)), 1)
    1112.2
    """
    area = positive("rod_area", rod_area)
    start = positive("gas_volume", gas_volume)
    left = start - area * not_negative("stroke_in", stroke_in)
    positive("gas_volume minus rod_area x stroke_in", left)
    extended = not_negative("extended_force", extended_force) / area + STANDARD_ATMOSPHERE
    return area * (gas_pressure(left, extended, start, exponent) - STANDARD_ATMOSPHERE)


def _gas_left(displaced_volume, gas_volume_at_charge, empty_gas_volume):
    start = positive("gas_volume_at_charge", gas_volume_at_charge)
    if empty_gas_volume is not None:
        room = positive("empty_gas_volume", empty_gas_volume)
        not_negative("empty_gas_volume minus gas_volume_at_charge", room - start)
    left = start - finite("displaced_volume", displaced_volume)
    positive("gas_volume_at_charge minus displaced_volume", left)
    return left, start
