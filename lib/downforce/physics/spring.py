"""Compression coil springs, and gas under a piston or bladder: the closed line, and the gas spring.

Shape is index, coils and lengths, and the length at which a spring bows out; over the travel it is slack,
working or coil-bound. Gas laws need absolute pressure: names that end in ``absolute_pressure`` are absolute,
``gauge_pressure`` is what the gauge reads, one atmosphere less.
"""

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import (
    CubicMetre,
    Flags,
    Metre,
    Metres,
    Newton,
    NewtonPerMetre,
    Newtons,
    NewtonsPerMetre,
    Pascal,
    Ratio,
    SquareMetre,
    Wholes,
)

SPRING_INDEX_RANGE = (4.0, 12.0)
"""Preferred mean diameter over wire diameter [-]; [SHI] eq. 10-18."""

ACTIVE_COILS_RANGE = (3.0, 15.0)
"""Preferred number of active coils [-]; [SHI] eq. 10-19."""

COIL_ENDS = {
    "plain": (0.0, 1.0),
    "plain ground": (1.0, 0.0),
    "squared": (2.0, 1.0),
    "squared ground": (2.0, 0.0),
}
"""For each kind of end: dead coils, and wire diameters to add to total coils for the solid length [-].

[SHI] table 10-1 (from memory; [MET] has the same numbers)."""


def spring_index(wire_diameter: Metre, mean_diameter: Metre) -> Ratio:
    """Spring index: mean coil diameter over wire diameter.

    mean_diameter: outside diameter of the coil less one wire diameter.
    Raises ValueError if a diameter is not positive, or the mean diameter is not larger than the wire.

    C = D / d.
    Range: any C above 1; springs that wind and set well have C from 4 to 12 (``SPRING_INDEX_RANGE``).
    Source: [SHI] eq. 10-1 (from memory).

    >>> float(spring_index(0.005, 0.030))
    6.0
    """
    wire = positive("wire_diameter", wire_diameter)
    mean = positive("mean_diameter", mean_diameter)
    positive("mean_diameter minus wire_diameter", mean - wire)
    return mean / wire


def shape_in_range(wire_diameter: Metre, mean_diameter: Metre, active_coils: Ratio) -> bool | Flags:
    """Whether index and number of active coils lie in the ranges the spring formulas are recommended for.

    mean_diameter: outside diameter of the coil less one wire diameter.
    Result: True where both lie in their range, ends included.
    Raises ValueError if a value is not positive, or the mean diameter is not larger than the wire.

    C from 4 to 12 and N from 3 to 15.
    Range: the answer is about the range; any positive input is allowed.
    Source: [SHI] eqs. 10-18 and 10-19 (seen).

    >>> bool(shape_in_range(0.005, 0.030, 8))
    True
    """
    index = spring_index(wire_diameter, mean_diameter)
    coils = positive("active_coils", active_coils)
    index_fits = (index >= SPRING_INDEX_RANGE[0]) & (index <= SPRING_INDEX_RANGE[1])
    return index_fits & (coils >= ACTIVE_COILS_RANGE[0]) & (coils <= ACTIVE_COILS_RANGE[1])


def total_coils(active_coils: Ratio, ends: str) -> Ratio:
    """Coils in all, dead end coils included.

    ends: kind of end: "plain", "plain ground", "squared" or "squared ground".
    Result: number of coils counted along the wire.
    Raises ValueError if the number of coils is not positive or the kind of end is not known.

    Nt = N + Ne, with Ne 0, 1, 2, 2 for the four kinds of end.
    Range: both ends of the spring alike.
    Source: [SHI] table 10-1 (from memory).

    >>> float(total_coils(8, "squared ground"))
    10.0
    """
    return positive("active_coils", active_coils) + _end(ends)[0]


def solid_length(wire_diameter: Metre, active_coils: Ratio, ends: str) -> Metre:
    """Length of the spring when every coil touches the next.

    ends: kind of end: "plain", "plain ground", "squared" or "squared ground".
    Raises ValueError if a value is not positive or the kind of end is not known.

    Ls = (Nt + 1) d for ends as wound, Nt d for ground ends.
    Range: both ends of the spring alike; bare wire, without paint or dirt between the coils.
    Source: [SHI] table 10-1 (from memory).

    >>> round(float(solid_length(0.007, 8, "squared ground")), 3)
    0.07
    """
    wire = positive("wire_diameter", wire_diameter)
    return (total_coils(active_coils, ends) + _end(ends)[1]) * wire


def coil_pitch(free_length: Metre, wire_diameter: Metre, active_coils: Ratio, ends: str) -> Metre:
    """Distance from one active coil to the next when the spring is free.

    ends: kind of end: "plain", "plain ground", "squared" or "squared ground".
    Raises ValueError if a value is not positive, the kind of end is not known, or the free length is below
        the solid one.

    p = d + (L0 - Ls) / N: the whole free compression is shared by the active coils. The same as (L0 - 2 d) /
    N for squared and ground ends and (L0 - 3 d) / N for squared ends.
    Range: even pitch over the active coils.
    Source: derivation above; agrees with [SHI] table 10-1 for squared ends (from memory).

    >>> round(float(coil_pitch(0.0525, 0.0009398, 10.5, "squared")) * 1000, 2)
    4.73
    """
    wire = positive("wire_diameter", wire_diameter)
    coils = positive("active_coils", active_coils)
    gap = positive("free_length", free_length) - solid_length(wire, coils, ends)
    return wire + not_negative("free_length minus solid length", gap) / coils


def stable_free_length(
    mean_diameter: Metre, end_factor: Ratio, elastic_modulus: Pascal, shear_modulus: Pascal
) -> Metre:
    """Longest free length at which a compression spring cannot bow out sideways at any compression.

    mean_diameter: outside diameter of the coil less one wire diameter.
    end_factor: 0.5 both ends on flat fixed seats, 0.707 one seat fixed and one pivoted, 1 both pivoted, 2 one
        end fixed and the other free to move sideways.
    elastic_modulus: Young's modulus of the wire.
    Result: free length below which no guide is needed.
    Raises ValueError if a value is not positive, or Young's modulus is not larger than the shear modulus.

    L0 < pi (D / alpha) sqrt(2 (E - G) / (2 G + E)), about 2.63 D / alpha for steel (2.51 to 2.64 for the
    moduli of spring wires). A rod or tube that guides the spring lifts the limit.
    Range: end factor 0.5 to 2.
    Source: [SHI] eqs. 10-12 and 10-13, table 10-2 (the 2.63 and the table seen).

    >>> round(float(stable_free_length(1.0, 1.0, 207e9, 79.3e9)), 2)
    2.63
    """
    mean = positive("mean_diameter", mean_diameter)
    end = positive("end_factor", end_factor)
    young = positive("elastic_modulus", elastic_modulus)
    shear = positive("shear_modulus", shear_modulus)
    positive("elastic_modulus minus shear_modulus", young - shear)
    return np.pi * mean / end * np.sqrt(2 * (young - shear) / (2 * shear + young))


def _end(ends):
    if ends not in COIL_ENDS:
        allowed = ", ".join(f'"{name}"' for name in COIL_ENDS)
        raise ValueError(f"ends must be one of {allowed}; got {ends!r}.")
    return COIL_ENDS[ends]


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


def coil_force(length: Metre, rate: NewtonPerMetre, free_length: Metre, solid_length: Metre) -> Newton:
    """Force along the axis of one compression coil at its present length.

    length: present distance between the two seats.
    solid_length: length when every coil touches the next.
    Result: push of the coil: zero when slack, and held at its solid value in coil-bind.
    Raises ValueError if a length or the rate is negative or not finite, or the solid length is above the free
        length.

    F = k (L0 - max(L, Ls)), and 0 where L > L0. In coil-bind the coil is a solid block: what the seat really
    carries beyond this force is not the spring's to say.
    Range: any length; steady rate, so no variable pitch and no set.
    Source: Hooke's law with stops, derivation above.

    >>> [round(float(coil_force(x, 30e3, 0.30, 0.15)), 6) for x in (0.35, 0.225, 0.10)]
    [0.0, 2250.0, 4500.0]
    """
    present = not_negative("length", length)
    stiffness = positive("rate", rate)
    free, solid = _lengths(free_length, solid_length)
    return stiffness * np.maximum(free - np.maximum(present, solid), 0.0)


def nested_coil_forces(
    length: Metre, rates: NewtonsPerMetre, free_lengths: Metres, solid_lengths: Metres
) -> Newtons:
    """Force of each coil of a nest that works between the same two seats.

    length: present distance between the two seats.
    rates: one rate for each coil.
    free_lengths: one free length for each coil; a shorter one engages later.
    solid_lengths: one solid length for each coil.
    Result: push of each coil; the coils run along a new last axis.
    Raises ValueError if the three lists are not of one length, or a value is refused as in ``coil_force``.

    Each coil follows ``coil_force`` at the length max(L, largest Ls): the first coil to go solid stops them
    all.
    Range: as ``coil_force``.
    Source: springs in parallel, derivation above; checked with [BHA] ex. 10.19.

    >>> nested_coil_forces(0.08, [20e3, 30e3], [0.10, 0.085], [0.05, 0.04]).round(6).tolist()
    [400.0, 150.0]
    """
    stiffness, free, solid = _nest(rates, free_lengths, solid_lengths)
    stopped = np.maximum(not_negative("length", length), solid.max())
    return coil_force(stopped[..., np.newaxis], stiffness, free, solid)


def nested_force(
    length: Metre, rates: NewtonsPerMetre, free_lengths: Metres, solid_lengths: Metres
) -> Newton:
    """Force of a whole nest of coils that works between the same two seats.

    length: present distance between the two seats.
    rates: one rate for each coil.
    free_lengths: one free length for each coil; a shorter one engages later.
    solid_lengths: one solid length for each coil.
    Raises ValueError as ``nested_coil_forces`` does.

    F = sum of F_i; the rate steps up where each shorter coil engages.
    Range: as ``coil_force``.
    Source: springs in parallel; checked with [BHA] ex. 10.19.

    >>> round(float(nested_force(0.08, [20e3, 30e3], [0.10, 0.085], [0.05, 0.04])), 6)
    550.0
    """
    return nested_coil_forces(length, rates, free_lengths, solid_lengths).sum(axis=-1)


def _lengths(free_length, solid_length):
    free = positive("free_length", free_length)
    solid = not_negative("solid_length", solid_length)
    not_negative("free_length minus solid_length", free - solid)
    return free, solid


def _nest(rates, free_lengths, solid_lengths):
    lists = [
        np.atleast_1d(finite(name, value))
        for name, value in (
            ("rates", rates),
            ("free_lengths", free_lengths),
            ("solid_lengths", solid_lengths),
        )
    ]
    if any(each.ndim != 1 or each.size != lists[0].size or each.size == 0 for each in lists):
        sizes = ", ".join(str(each.shape) for each in lists)
        raise ValueError(
            "rates, free_lengths and solid_lengths must be plain lists with one entry for each coil; "
            f"got shapes {sizes}."
        )
    _lengths(lists[1], lists[2])
    return lists


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
