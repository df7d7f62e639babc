"""Money without promise: what springs and cylinders cost on each hectare, and which gain would pay.

First the formulas: what a machine costs in a year, in an hour and on an area, in any money.
"""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics import kinds as si
from downforce.physics.checks import between, not_negative, positive
from downforce.study.oil.figures import heat_of_supply
from downforce.study.pressure_setting import recommend

FUEL_SLOPE = 0.22
"""Diesel for one more kilowatt at the power take-off [L/(kW h)], D497.7, from memory."""
HECTARE = 1e4
"""One hectare [m2]."""


def capital_recovery(
    purchase: si.Money, rest_value: si.Money, years: si.Year, interest: si.Ratio
) -> si.MoneyPerYear:
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


def field_capacity(
    speed: si.MetrePerSecond, width: si.Metre, efficiency: si.Ratio
) -> si.SquareMetrePerSecond:
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
    gauge_pressure: si.Pascal, flow: si.CubicMetrePerSecond, efficiency: si.Ratio
) -> si.CubicMetrePerSecond:
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


def area_that_pays(fixed_more: si.MoneyPerYear, saved: si.MoneyPerSquareMetre) -> si.SquareMetre:
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


LUBRICANT = 1.15
"""Fuel with lubricant over fuel [-]: 15 % (an equations sheet)."""


@dataclass(frozen=True)
class Way:
    """One way to press the openers, as its owner counts it.

    purchase: still to be paid, fitting included; 0 for springs that need not be renewed.
    """

    purchase: float
    rest_value: float
    years: si.Year
    repair: si.MoneyPerYear
    hours: si.HourPerYear

    def __post_init__(self):
        for name in ("purchase", "rest_value", "repair", "hours"):
            not_negative(name, getattr(self, name))
        positive("years", self.years)


@dataclass(frozen=True)
class Farm:
    """What does not hang on the way: area, interest, wage, fuel.

    insurance: tax, housing and insurance of a year over the mean value.
    field_efficiency: share of the time that is drilled at full width.
    pump_efficiency: of pump and drive together; 0.6 to 0.85 is usual.
    gain: what a more even stand brings, by his own evidence; 0 where he has none. This project has none.
    """

    area: si.SquareMetrePerYear
    interest: si.Ratio
    insurance: si.Ratio
    wage: si.MoneyPerHour
    fuel_price: si.MoneyPerCubicMetre
    field_efficiency: si.Ratio
    pump_efficiency: si.Ratio
    gain: si.MoneyPerSquareMetre = 0.0

    def __post_init__(self):
        positive("area", self.area)
        for name in ("interest", "insurance", "field_efficiency", "pump_efficiency"):
            between(name, getattr(self, name), 0.0, 1.0)
        for name in ("wage", "fuel_price"):
            not_negative(name, getattr(self, name))


@dataclass(frozen=True)
class Cost:
    """What one way costs."""

    capital: si.MoneyPerYear
    insurance: si.MoneyPerYear
    repair: si.MoneyPerYear
    labour: si.MoneyPerYear
    fuel: si.MoneyPerSquareMetre
    area: si.SquareMetrePerYear

    @property
    def fixed(self) -> si.MoneyPerYear:
        """Whatever the area."""
        return self.capital + self.insurance + self.repair + self.labour

    @property
    def each(self) -> si.MoneyPerSquareMetre:
        """On each area."""
        return self.fixed / self.area + self.fuel


@dataclass(frozen=True)
class BothWays:
    """Both ways, and what would pay.

    gain_that_pays: what the cylinders must bring on this area to cost no more; below 0 they cost less anyway.
    area_that_pays: from which they pay with the gain he counts on; infinite where never.
    """

    now: Cost
    then: Cost
    gain_that_pays: si.MoneyPerSquareMetre
    area_that_pays: si.SquareMetrePerYear
    fuel: si.CubicMetrePerSecond
    capacity: si.SquareMetrePerSecond


def money(drill: Drill, field: Field, farm: Farm, springs: Way, cylinders: Way) -> BothWays:
    """Cost of springs and of cylinders on each area, and the gain or the area that would pay.

    field: speed, and the setting that the pump works at.

    fixed = capital recovery + K (P + S) / 2 + repair + hours x wage; on each area fixed / area, and of the
    cylinders the fuel that the oil takes while drilling. gain that pays = difference of both; area that pays
    = difference of the fixed parts over (gain - fuel). Formulas of [D497] and EP496, from memory.
    """
    setting = recommend(drill, field)
    supply = heat_of_supply(drill, setting.pressed)
    fuel = LUBRICANT * float(fuel_for_hydraulics(supply.pressure, supply.flow, farm.pump_efficiency))
    capacity = float(field_capacity(field.speed, drill.width, farm.field_efficiency))
    now = _cost(springs, farm, 0.0)
    then = _cost(cylinders, farm, fuel * farm.fuel_price / capacity)
    saved = now.fuel - then.fuel + farm.gain
    return BothWays(
        now, then, then.each - now.each, float(area_that_pays(then.fixed - now.fixed, saved)), fuel, capacity
    )


def _cost(way, farm, fuel):
    return Cost(
        float(capital_recovery(way.purchase, way.rest_value, way.years, farm.interest)),
        farm.insurance * (way.purchase + way.rest_value) / 2.0,
        way.repair,
        way.hours * farm.wage,
        fuel,
        farm.area,
    )
