"""Money without promise: what springs and cylinders cost on each hectare, and which gain would pay."""

from dataclasses import dataclass

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.checks import between, not_negative, positive
from downforce.physics.cost import area_that_pays, capital_recovery, field_capacity, fuel_for_hydraulics
from downforce.physics.kinds import (
    CubicMetrePerSecond,
    HourPerYear,
    MoneyPerCubicMetre,
    MoneyPerHour,
    MoneyPerSquareMetre,
    MoneyPerYear,
    Ratio,
    SquareMetrePerSecond,
    SquareMetrePerYear,
    Year,
)
from downforce.study.oil.figures import heat_of_supply
from downforce.study.pressure_setting import recommend

LUBRICANT = 1.15
"""Fuel with lubricant over fuel [-]: 15 % (an equations sheet)."""


@dataclass(frozen=True)
class Way:
    """One way to press the openers, as its owner counts it.

    purchase: still to be paid, fitting included; 0 for springs that need not be renewed.
    """

    purchase: float
    rest_value: float
    years: Year
    repair: MoneyPerYear
    hours: HourPerYear

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

    area: SquareMetrePerYear
    interest: Ratio
    insurance: Ratio
    wage: MoneyPerHour
    fuel_price: MoneyPerCubicMetre
    field_efficiency: Ratio
    pump_efficiency: Ratio
    gain: MoneyPerSquareMetre = 0.0

    def __post_init__(self):
        positive("area", self.area)
        for name in ("interest", "insurance", "field_efficiency", "pump_efficiency"):
            between(name, getattr(self, name), 0.0, 1.0)
        for name in ("wage", "fuel_price"):
            not_negative(name, getattr(self, name))


@dataclass(frozen=True)
class Cost:
    """What one way costs."""

    capital: MoneyPerYear
    insurance: MoneyPerYear
    repair: MoneyPerYear
    labour: MoneyPerYear
    fuel: MoneyPerSquareMetre
    area: SquareMetrePerYear

    @property
    def fixed(self) -> MoneyPerYear:
        """Whatever the area."""
        return self.capital + self.insurance + self.repair + self.labour

    @property
    def each(self) -> MoneyPerSquareMetre:
        """On each area."""
        return self.fixed / self.area + self.fuel


@dataclass(frozen=True)
class Money:
    """Both ways, and what would pay.

    gain_that_pays: what the cylinders must bring on this area to cost no more; below 0 they cost less anyway.
    area_that_pays: from which they pay with the gain he counts on; infinite where never.
    """

    now: Cost
    then: Cost
    gain_that_pays: MoneyPerSquareMetre
    area_that_pays: SquareMetrePerYear
    fuel: CubicMetrePerSecond
    capacity: SquareMetrePerSecond


def money(drill: Drill, field: Field, farm: Farm, springs: Way, cylinders: Way) -> Money:
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
    return Money(
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
