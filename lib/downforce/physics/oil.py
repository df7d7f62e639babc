"""What oil does, and what it flows through: viscosity, density, compression, heat, fittings, sizes.

Loss coefficients of fittings and orifices hold the part that matters in thick oil. Sizes are those a shop
orders by: bores, dash sizes, filling times.
"""

import numpy as np

from downforce.physics import kinds as si
from downforce.physics.checks import finite, not_negative, positive

COLDEST, HOTTEST = 173.15, 573.15
"""Temperatures [K] between which `viscosity_at` answers; outside them the number is surely not kelvin."""


THINNEST = 0.3e-6
"""Kinematic viscosity [m2/s] below which the law has no meaning: its inner logarithm turns negative."""

SAYBOLT_BREAK = 100.0
"""Saybolt seconds [s] at which the two conversion formulas meet."""

REFERENCE_TEMPERATURE = 288.15
"""Temperature [K] at which oil data sheets give density (15 degrees Celsius)."""


def viscosity_at(
    temperature: si.Kelvin, viscosity_40: si.SquareMetrePerSecond, viscosity_100: si.SquareMetrePerSecond
) -> si.SquareMetrePerSecond:
    """Kinematic viscosity of an oil at a temperature, from the two values on its data sheet.

    temperature: oil temperature in kelvin (degrees Celsius + 273.15).
    viscosity_40: kinematic viscosity at 40 degrees Celsius; 46 mm2/s (cSt) is 46e-6.
    viscosity_100: kinematic viscosity at 100 degrees Celsius, lower than the one at 40.
    Raises ValueError if a temperature cannot be kelvin, a viscosity is too low for the law, or the oil does
        not thin as it warms.

    log10 log10(v + 0.7) = A - B log10 T, with v in mm2/s and T in kelvin; A and B from the two given points.
    Range: v from 2 mm2/s to 20 000 mm2/s. Oil near its pour point is thicker than this.
    Source: [D341].

    >>> round(1e6 * float(viscosity_at(273.15, 32e-6, 5.4e-6)))
    336
    """
    temperature = finite("temperature", temperature)
    if np.any((temperature < COLDEST) | (temperature > HOTTEST)):
        wrong = temperature[(temperature < COLDEST) | (temperature > HOTTEST)].flat[0]
        raise ValueError(
            f"temperature must be in kelvin, between {COLDEST:g} and {HOTTEST:g}; got {wrong:g}. "
            "Add 273.15 to degrees Celsius."
        )
    viscosity_40 = positive("viscosity_40", viscosity_40)
    viscosity_100 = positive("viscosity_100", viscosity_100)
    if np.any(viscosity_100 <= THINNEST):
        raise ValueError(
            f"viscosity_100 must be above {THINNEST:g} m2/s; got {viscosity_100.min():g}. "
            "An oil of 6.8 mm2/s (cSt) is 6.8e-6."
        )
    if np.any(viscosity_100 >= viscosity_40):
        raise ValueError("viscosity_100 must be below viscosity_40: oil thins as it warms.")
    high = np.log10(np.log10(1e6 * viscosity_40 + 0.7))
    low = np.log10(np.log10(1e6 * viscosity_100 + 0.7))
    slope = (high - low) / np.log10(373.15 / 313.15)
    return 1e-6 * (10**10 ** (high - slope * np.log10(temperature / 313.15)) - 0.7)


def viscosity_from_saybolt(seconds: si.Second) -> si.SquareMetrePerSecond:
    """Kinematic viscosity from Saybolt Universal seconds, the unit of old American data sheets.

    seconds: Saybolt Universal seconds (SUS), above 32.
    Raises ValueError if seconds is 32 or less, where the formula has no meaning.

    v = 0.226 t - 195/t below 100 s and 0.220 t - 135/t from there on, in mm2/s.
    Range: 32 s and more; within about 2 % of the ASTM D2161 table.
    Source: [ESP] example 2-12.

    >>> round(1e6 * float(viscosity_from_saybolt(230.0)), 1)
    50.0
    """
    seconds = positive("seconds", seconds)
    if np.any(seconds <= 32):
        raise ValueError("seconds must be above 32: thinner liquids have no Saybolt Universal reading.")
    thin = 0.226 * seconds - 195.0 / seconds
    thick = 0.220 * seconds - 135.0 / seconds
    return 1e-6 * np.where(seconds < SAYBOLT_BREAK, thin, thick)


def density_at(
    temperature: si.Kelvin, density_15: si.KilogramPerCubicMetre, expansion: si.PerKelvin = 7e-4
) -> si.KilogramPerCubicMetre:
    """Density of oil at a temperature.

    density_15: density at 15 degrees Celsius, 860 to 880 for usual mineral oil.
    expansion: growth of volume for each kelvin, about 0.0007 for mineral oil.
    Raises ValueError if an input is not positive, or the oil would shrink to nothing.

    rho = rho15 / (1 + a (T - 288.15)).
    Range: -40 to +120 degrees Celsius.
    Source: definition of volume expansion; the usual figures are from memory.

    >>> round(float(density_at(313.15, 870.0)), 1)
    855.0
    """
    temperature = positive("temperature", temperature)
    density_15 = positive("density_15", density_15)
    growth = 1.0 + not_negative("expansion", expansion) * (temperature - REFERENCE_TEMPERATURE)
    return density_15 / positive("volume of the oil (from expansion and temperature)", growth)


def compressed_volume(
    volume: si.CubicMetre, pressure_change: si.Pascal, bulk_modulus: si.Pascal = 1.5e9
) -> si.CubicMetre:
    """Volume by which trapped oil shrinks when its pressure rises.

    volume: oil volume before.
    pressure_change: rise of pressure; a fall gives a negative answer.
    bulk_modulus: stiffness of the oil, 1.4e9 to 1.8e9 without air; free air and soft hoses lower it a lot.
    Result: volume lost, which the supply has to make up.
    Raises ValueError if volume is negative or bulk_modulus not positive.

    dV = V dp / K.
    Range: changes of a few per cent of the volume.
    Source: definition of the bulk modulus; the usual figures are from memory.

    >>> round(float(compressed_volume(10.0, 1900.0, 250000.0)), 3)
    0.076
    """
    volume = not_negative("volume", volume)
    return volume * finite("pressure_change", pressure_change) / positive("bulk_modulus", bulk_modulus)


def trapped_oil_pressure_rise(
    temperature_rise: si.Kelvin,
    expansion: si.PerKelvin = 7e-4,
    bulk_modulus: si.Pascal = 1.5e9,
    vessel_expansion: si.PerKelvin = 0.0,
) -> si.Pascal:
    """Pressure rise of oil that is shut in without any gas and warms up.

    temperature_rise: warming; a negative value is cooling.
    expansion: growth of the oil's volume for each kelvin.
    bulk_modulus: stiffness of the oil and of what holds it.
    vessel_expansion: growth of the volume that holds it; steel about 3.5e-5.
    Result: rise of pressure. Cooling gives a negative answer, which ends at a void.
    Raises ValueError if expansion is negative or bulk_modulus not positive.

    dp = K (a - a_vessel) dT. About 10 bar for each degree: every volume that can be shut needs a relief.
    Range: a rigid, full volume; hoses and air make it less.
    Source: derivation from the definitions of expansion and bulk modulus; the usual figures are from memory.

    >>> round(float(trapped_oil_pressure_rise(1.0)) / 1e5, 1)
    10.5
    """
    growth = not_negative("expansion", expansion) - not_negative("vessel_expansion", vessel_expansion)
    return positive("bulk_modulus", bulk_modulus) * growth * finite("temperature_rise", temperature_rise)


def temperature_rise_of_oil(
    pressure_drop: si.Pascal,
    density: si.KilogramPerCubicMetre,
    specific_heat: si.JoulePerKilogramKelvin = 1900.0,
) -> si.Kelvin:
    """Warming of oil that passes a restriction and does no work.

    specific_heat: heat for one kilogram and kelvin, about 1900 for mineral oil.
    Raises ValueError if pressure_drop is negative or another input not positive.

    dT = dp / (rho c).
    Range: no heat given off on the way.
    Source: energy balance; the usual specific heat is from memory.

    >>> round(float(temperature_rise_of_oil(120e5, 870.0)), 1)
    7.3
    """
    heat = positive("density", density) * positive("specific_heat", specific_heat)
    return not_negative("pressure_drop", pressure_drop) / heat


INCH = 0.0254
"""One inch [m], exact."""

ORIFICE_COEFFICIENT = 0.62
"""Usual discharge coefficient [-] of a sharp-edged orifice, 0.6 to 0.7 (common practice)."""


def fitting_turbulent_coefficient(bore: si.Metre, turbulent_constant: si.Ratio) -> si.Ratio:
    """The part of a fitting's loss coefficient that does not depend on the flow.

    bore: actual inside diameter.
    turbulent_constant: K-infinity of the fitting for a large bore.
    Result: loss coefficient for a line; the laminar constant K1 goes beside it as `laminar_coefficient`.
    Raises ValueError if bore is not positive or the constant is negative.

    K = K1/Re + Kinf (1 + 1 inch/D), by the two-constant method, which holds in laminar flow too.
    Range: pipes of 1/2 to 24 inch; hose fittings of 1/4 inch are outside it, and a crimped hose end is
    narrower than its hose, so allow more.
    Source: [HOO], constants as in [FLU].

    >>> round(float(fitting_turbulent_coefficient(0.0127, 0.4)), 2)
    1.2
    """
    return not_negative("turbulent_constant", turbulent_constant) * (1.0 + INCH / positive("bore", bore))


def orifice_flow(
    pressure_drop: si.Pascal,
    diameter: si.Metre,
    density: si.KilogramPerCubicMetre,
    discharge_coefficient: si.Ratio = ORIFICE_COEFFICIENT,
) -> si.CubicMetrePerSecond:
    """Flow through a sharp-edged orifice, signed with the pressure drop.

    pressure_drop: pressure before less pressure behind the orifice.
    discharge_coefficient: 0.6 to 0.7 for a sharp edge.
    Raises ValueError if diameter, density or discharge_coefficient is not positive.

    Q = Cd A sqrt(2 dp / rho).
    Range: turbulent flow in the hole, Reynolds above about 1000; thick cold oil gives less.
    Source: [SUL] example 5.4.

    >>> round(60e3 * float(orifice_flow(50e5, 1e-3, 870.0, 0.6)), 2)
    3.03
    """
    drop = finite("pressure_drop", pressure_drop)
    speed = np.sqrt(2.0 * np.abs(drop) / positive("density", density))
    area = np.pi * positive("diameter", diameter) ** 2 / 4.0
    return positive("discharge_coefficient", discharge_coefficient) * area * np.sign(drop) * speed


NOMINAL_BORES = (
    0.0032, 0.004, 0.005, 0.0063, 0.008, 0.010, 0.0125, 0.016, 0.019, 0.025, 0.0315, 0.038, 0.051,
)  # fmt: skip
"""Nominal hose bores [m], [ISO4397]."""

VELOCITY_LIMITS = {"pressure": (2.0, 6.1), "return": (1.5, 4.6), "suction": (0.6, 1.2)}
"""Usual oil velocities [m/s], low and high: rules of thumb; 6.1 from [ESP], the others from memory."""


def bore_for_velocity(flow: si.CubicMetrePerSecond, velocity: si.MetrePerSecond) -> si.Metre:
    """Bore in which a flow has a chosen velocity, not yet rounded to a hose that is made.

    flow: volume flow, either sign.
    velocity: velocity wanted; see `VELOCITY_LIMITS`.
    Result: inside diameter.
    Raises ValueError if velocity is not positive.

    D = sqrt(4 Q / (pi v)). In cold thick oil the pressure loss, not the velocity, sets the size.
    Range: any.
    Source: [ESP] ex. 10-1 and 10-2.

    >>> round(1e3 * float(bore_for_velocity(0.002, 6.1)), 1)
    20.4
    """
    return np.sqrt(4.0 * np.abs(finite("flow", flow)) / (np.pi * positive("velocity", velocity)))


def next_nominal_bore(bore: si.Metre) -> si.Metre:
    """The smallest hose bore that is made and not below a wanted bore.

    Raises ValueError if a bore is not positive or larger than the largest hose.

    First of `NOMINAL_BORES` that is large enough. Real bores lie within the tolerance, about -0.2 to +1 mm.
    Range: up to 51 mm.
    Source: [ISO4397].

    >>> round(1e3 * float(next_nominal_bore(0.011)), 1)
    12.5
    """
    bore = positive("bore", bore)
    bores = np.array(NOMINAL_BORES)
    # A bore of 12.5 mm worked out by division may sit one digit above 0.0125.
    place = np.searchsorted(bores, bore * (1.0 - 1e-9))
    if np.any(place >= len(bores)):
        raise ValueError(f"bore must not exceed {bores[-1]:g} m, the largest hose; got {bore.max():g}.")
    return bores[place]


def line_volume(bore: si.Metre, length: si.Metre) -> si.CubicMetre:
    """Oil that fills a line.

    bore: inside diameter.
    Raises ValueError if bore is not positive or length is negative.

    V = pi D^2 L / 4; a hose swells a little under pressure.
    Range: any.
    Source: definition.

    >>> round(1e3 * float(line_volume(0.019, 12.0)), 1)
    3.4
    """
    return np.pi * positive("bore", bore) ** 2 / 4.0 * not_negative("length", length)


def fill_time(volume: si.CubicMetre, flow: si.CubicMetrePerSecond) -> si.Second:
    """Time a flow takes to fill a volume.

    Raises ValueError if volume is negative or flow not positive.

    t = V / Q.
    Range: the flow does not fall as pressure builds up.
    Source: definition.

    >>> round(float(fill_time(10.8e-3, 40e-3 / 60)), 1)
    16.2
    """
    return not_negative("volume", volume) / positive("flow", flow)


def power_lost(pressure_drop: si.Pascal, flow: si.CubicMetrePerSecond) -> si.Watt:
    """Power that turns into heat where a flow loses pressure.

    pressure_drop: pressure lost, with the sign of the flow.
    Raises ValueError if an input is not finite.

    P = dp Q.
    Range: any.
    Source: definition.

    >>> round(float(power_lost(120e5, 20e-3 / 60)))
    4000
    """
    return finite("pressure_drop", pressure_drop) * finite("flow", flow)
