"""Money without promise: what springs and cylinders cost on each hectare, and which gain would pay."""

from dataclasses import dataclass

from downforce.physics.checks import between, not_negative, positive
from downforce.physics.cost import (
    area_that_pays,
    capital_recovery,
    field_capacity,
    fuel_for_hydraulics,
)
from downforce.study.oil.figures import heat_of_supply
from downforce.study.pressure_setting import recommend

LUBRICANT = 1.15
"""Fuel with lubricant over fuel [-]: 15 % (an equations sheet)."""


@dataclass(frozen=True)
class Way:
    """One way to press the openers, as its owner counts it.

    Attributes
    ----------
    purchase : float [money]
        Still to be paid, fitting included; 0 for springs that need not be renewed.
    rest_value : float [money]
        Got back at the end.
    years : float [years]
        How long it is kept.
    repair : float [money a year]
        Parts and repair.
    hours : float [h a year]
        Of adjusting and servicing.
    """

    purchase: float
    rest_value: float
    years: float
    repair: float
    hours: float

    def __post_init__(self):
        for name in ("purchase", "rest_value", "repair", "hours"):
            not_negative(name, getattr(self, name))
        positive("years", self.years)


@dataclass(frozen=True)
class Farm:
    """What does not hang on the way: area, interest, wage, fuel.

    Attributes
    ----------
    area : float [m2 a year]
        Drilled in a year.
    interest : float [-]
        In a year.
    insurance : float [-]
        Tax, housing and insurance of a year over the mean value.
    wage : float [money/h]
        Of who adjusts and services.
    fuel_price : float [money/m3]
        Of diesel.
    field_efficiency : float [-]
        Share of the time that is drilled at full width.
    pump_efficiency : float [-]
        Of pump and drive together; 0.6 to 0.85 is usual.
    gain : float [money/m2]
        What a more even stand brings, by his own evidence; 0 where he has none. This project has none.
    """

    area: float
    interest: float
    insurance: float
    wage: float
    fuel_price: float
    field_efficiency: float
    pump_efficiency: float
    gain: float = 0.0

    def __post_init__(self):
        positive("area", self.area)
        for name in ("interest", "insurance", "field_efficiency", "pump_efficiency"):
            between(name, getattr(self, name), 0.0, 1.0)
        for name in ("wage", "fuel_price"):
            not_negative(name, getattr(self, name))


@dataclass(frozen=True)
class Cost:
    """What one way costs.

    Attributes
    ----------
    capital, insurance, repair, labour : float [money a year]
        Whatever the area.
    fuel : float [money/m2]
        For the oil, on each area.
    area : float [m2 a year]
        The area.
    """

    capital: float
    insurance: float
    repair: float
    labour: float
    fuel: float
    area: float

    @property
    def fixed(self):
        """Whatever the area [money a year]."""
        return self.capital + self.insurance + self.repair + self.labour

    @property
    def each(self):
        """On each area [money/m2]."""
        return self.fixed / self.area + self.fuel


@dataclass(frozen=True)
class Money:
    """Both ways, and what would pay.

    Attributes
    ----------
    now, then : Cost [money]
        Springs and cylinders.
    gain_that_pays : float [money/m2]
        What the cylinders must bring on this area to cost no more; below 0 they cost less anyway.
    area_that_pays : float [m2 a year]
        From which they pay with the gain he counts on; infinite where never.
    fuel : float [m3/s]
        Diesel for the oil.
    capacity : float [m2/s]
        Area drilled in a time.
    """

    now: Cost
    then: Cost
    gain_that_pays: float
    area_that_pays: float
    fuel: float
    capacity: float


def money(drill, field, farm, springs, cylinders):
    """Cost of springs and of cylinders on each area, and the gain or the area that would pay.

    Parameters
    ----------
    drill : Drill [-]
        Its width, and what its supply burns.
    field : Field [-]
        Speed, and the setting that the pump works at.
    farm : Farm [-]
        Area, interest, wage, fuel.
    springs, cylinders : Way [-]
        What each costs its owner.

    Returns
    -------
    Money [-]
        In his own money; no price and no yield is this project's.

    Raises
    ------
    ValueError
        If the setting is impossible.

    Notes
    -----
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
        now,
        then,
        then.each - now.each,
        float(area_that_pays(then.fixed - now.fixed, saved)),
        fuel,
        capacity,
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
