"""What a machine costs in a year, in an hour and on an area. Money is in whatever the user counts it in."""

import numpy as np

from downforce.physics.checks import between, not_negative, positive
from downforce.physics.kinds import (
    CubicMetrePerSecond,
    Metre,
    MetrePerSecond,
    Money,
    MoneyPerSquareMetre,
    MoneyPerYear,
    Pascal,
    Ratio,
    SquareMetre,
    SquareMetrePerSecond,
    Year,
)

FUEL_SLOPE = 0.22
"""Diesel for one more kilowatt at the power take-off [L/(kW h)], D497.7, from memory."""
HECTARE = 1e4
"""One hectare [m2]."""


def capital_recovery(purchase: Money, rest_value: Money, years: Year, interest: Ratio) -> MoneyPerYear:
    """What a purchase costs in each year of its life, interest and all.

    purchase: paid at the start, fitting included.
    rest_value: got back at the end.
    years: how long it is kept.
    Raises ValueError if the years are not positive, or another value is negative.

    (P - S) i (1 + i)^n / ((1 + i)^n - 1) + S i; without interest (P - S) / n.
    Range: interest below 1; taxes and insurance come on top.
    Source: ASAE EP496.3 (see [D497]), from memory; derivation: the present value of n equal payments and of
    the rest value is the purchase.

    >>> round(float(capital_recovery(1000.0, 0.0, 10.0, 0.05)), 2)
    129.5
    """
    p, s = not_negative("purchase", purchase), not_negative("rest_value", rest_value)
    n, i = positive("years", years), between("interest", interest, 0.0, 1.0)
    grown = np.expm1(n * np.log1p(i))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(i > 0.0, i * (1.0 + grown) / grown, 1.0 / n)
    return (p - s) * share + s * i


def field_capacity(speed: MetrePerSecond, width: Metre, efficiency: Ratio) -> SquareMetrePerSecond:
    """Area worked in a time.

    efficiency: share of the time that is worked at full width.
    Result: area a second; 1 m2/s is 0.36 ha/h.
    Raises ValueError if speed or width is not positive, or the efficiency is outside 0 to 1.

    speed x width x efficiency.
    Range: any.
    Source: [D497], EP496; derivation: the strip passed in a second.

    >>> round(float(field_capacity(2.5, 12.0, 0.7)) * 0.36, 2)
    7.56
    """
    share = between("efficiency", efficiency, 0.0, 1.0)
    return positive("speed", speed) * positive("width", width) * share


def fuel_for_hydraulics(
    gauge_pressure: Pascal, flow: CubicMetrePerSecond, efficiency: Ratio
) -> CubicMetrePerSecond:
    """Diesel that a flow of oil at a pressure costs.

    flow: mean, all day.
    efficiency: of pump and drive together.
    Result: diesel; 1 m3/s is 3.6e6 L/h.
    Raises ValueError if pressure or flow is negative, or the efficiency is not in 0 to 1, or 0.

    0.22 L/(kW h) x p Q / efficiency: the slope of fuel over power of a tractor at part load.
    Range: a tractor that works anyway; the engine's own idling is not counted to the oil.
    Source: [D497] as told in a paper on part loads, from memory.

    >>> round(float(fuel_for_hydraulics(190e5, 40.0 / 60e3, 1.0)) * 3.6e6, 2)
    2.79
    """
    between("efficiency", efficiency, 0.0, 1.0)
    power = not_negative("gauge_pressure", gauge_pressure) * not_negative("flow", flow)
    return FUEL_SLOPE * power / 1e3 / positive("efficiency", efficiency) / 3.6e6


def area_that_pays(fixed_more: MoneyPerYear, saved: MoneyPerSquareMetre) -> SquareMetre:
    """Area a year from which a purchase costs no more than it saves and brings.

    fixed_more: what the new way costs more in a year, whatever the area.
    saved: what it saves and brings on each area; may be negative.
    Result: infinite where it never pays; 0 where it costs no more anyway.
    Raises ValueError if a value is not a number.

    fixed_more / saved.
    Range: costs that go with the area, or not at all.
    Source: derivation: both costs set equal.

    >>> round(float(area_that_pays(1000.0, 2.0 / 1e4)) / 1e4)
    500
    """
    more, less = np.broadcast_arrays(np.asarray(fixed_more, float), np.asarray(saved, float))
    if not (np.isfinite(more).all() and np.isfinite(less).all()):
        raise ValueError("fixed_more and saved must be finite numbers.")
    with np.errstate(divide="ignore", invalid="ignore"):
        found = np.where(less > 0.0, more / less, np.inf)
    return np.where(more <= 0.0, 0.0, found)
