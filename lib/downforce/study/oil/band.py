"""How far the pressure at the cylinders is from the gauge at work: what makes how much, and what it costs."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.unit_display import percent
from downforce.physics.kinds import CubicMetrePerSecond, Kelvin, Metre, MetrePerSecond, Pascal, Ratio
from downforce.study.ground.crossing import Crossing, cross_field
from downforce.study.oil.circuit import drill_with_hoses
from downforce.study.oil.limits import MORE_THAN_BORNE, FirstLimit
from downforce.study.oil.oil_pass import pass_with_oil
from downforce.study.oil_supply import STARVED, oil_state
from downforce.study.openers.load_shares import LoadShares

ENDS = (5.0, 95.0)
"""Percentiles that bound the band [%]: one place in twenty is below it and one above."""

STATIONS, SPACING = 1000, 0.1
"""Stations of the pass, and the distance between them [m]."""

LEAST_PRESSURE = 1e5
"""Below this there is hardly any pressure to follow [Pa]; a choice of this project."""

WIDE_BORE = 0.2
"""Hoses of this bore lose nothing [m]."""


@dataclass(frozen=True)
class OilBand:
    """Pressure at the cylinders while a drill works its field, and what the departures from the gauge cost.

    low, high: 5th and 95th percentile over all rows and stations, as the pass met them.
    fed_low, fed_high: the same over the stations that the supply is enough for; never narrower than from the
        setting to the valve's band above it, for a valve at rest may hold any pressure between. Both 0 if it
        is enough nowhere.
    valve_band: part of the width: the valve's step from giving to taking back.
    droop: part of the width: the valve's fall while it gives and its rise while it takes back.
    line_loss: part of the width: header, drops and fittings.
    starved: share of rows and stations where no oil presses.
    beyond: share of rows and stations whose pressure is reckoned but not reached: frame, ratings or relief
        give first.
    first: what gives first there; None where the drill bears all.
    with_oil, held: what the gauge wheels carry with the oil in it, and at the setting everywhere.
    """

    setting: Pascal
    oil_temperature: Kelvin
    speed: MetrePerSecond
    low: Pascal
    high: Pascal
    fed_low: Pascal
    fed_high: Pascal
    valve_band: Pascal
    droop: Pascal
    line_loss: Pascal
    starved: Ratio
    beyond: Ratio
    first: FirstLimit | None
    asked_flow: CubicMetrePerSecond
    supply_flow: CubicMetrePerSecond
    with_oil: LoadShares
    held: LoadShares

    @property
    def width(self) -> Pascal:
        """Width of the band while the supply is enough: valve band, droop and line loss together."""
        return self.fed_high - self.fed_low

    @property
    def supplied(self) -> bool:
        """Whether the tractor gives all that the ground asks for."""
        return self.asked_flow <= self.supply_flow

    def reached(self, pressure: Pascal, text: str) -> str:
        """A pressure of the band in words: past what gives first it is reckoned and not reached."""
        return text if self.first is None or pressure <= self.first.gauge_pressure else MORE_THAN_BORNE

    def beyond_words(self, limit: Callable) -> str:
        """On how much of the way more is reckoned than the drill bears, and what gives first there."""
        if self.first is None:
            return ""
        return (
            f"on {percent(self.beyond)} of the way {MORE_THAN_BORNE} is reckoned: {self.first.words}, at "
            f"{limit(self.first.gauge_pressure)}"
        )


def oil_band(
    drill: Drill,
    field: Field,
    gauge_pressure: Pascal,
    oil_temperature: Kelvin | None = None,
    seed: int = 1,
    stations: int = STATIONS,
    spacing: Metre = SPACING,
    crossing: Crossing | None = None,
) -> OilBand:
    """Band of the pressure at the cylinders over a field's own ground at its working speed.

    oil_temperature: in the lines; the field's if left out.
    spacing: distance between stations.
    crossing: ground already met, from `cross_field`; takes the place of seed, stations and spacing.
    Result: ends, parts and cost of the band.
    Raises ValueError if the pressure or temperature is impossible, or the field's parts do not fit together.

    The parts are told apart by solving the same motion again with hoses so wide that they lose nothing. What
    that saves is line loss; what is left beyond the valve's band is droop. Percentiles do not add, so the
    parts are steps of one sequence, hoses taken away first. Stations at which the tractor is behind are left
    out of the parts: there it is neither valve nor hose that sets the pressure.
    """
    if crossing is None:
        crossing = cross_field(drill, field, seed, stations, spacing)
    met = pass_with_oil(drill, field, gauge_pressure, oil_temperature, crossing=crossing, compare=True)
    temperature = field.oil_temperature if oil_temperature is None else oil_temperature
    setting, pressure = float(gauge_pressure), met.oil.gauge_pressure
    fed = met.oil.steady
    wide = oil_state(
        drill_with_hoses(drill, WIDE_BORE, WIDE_BORE),
        crossing.ground_travel,
        crossing.spacing,
        crossing.speed,
        setting,
        temperature,
    ).gauge_pressure
    band = drill.hydraulics.valve.band
    fed_low, fed_high = _held_ends(pressure[fed], setting, band)
    ideal_low, ideal_high = _held_ends(wide[fed], setting, band)
    low, high = np.percentile(pressure, ENDS)
    borne = met.borne()
    return OilBand(
        setting=setting,
        oil_temperature=float(temperature),
        speed=float(crossing.speed),
        low=float(low),
        high=float(high),
        fed_low=fed_low,
        fed_high=fed_high,
        valve_band=float(band) if fed.any() else 0.0,
        droop=ideal_high - ideal_low - band if fed.any() else 0.0,
        line_loss=(fed_high - fed_low) - (ideal_high - ideal_low),
        starved=float(np.mean(met.oil.regime == STARVED)),
        beyond=float(np.mean(borne.beyond(pressure))),
        first=borne.first_to_give(pressure),
        asked_flow=float(met.oil.asked.max()),
        supply_flow=float(met.oil.supply_flow),
        with_oil=met.shares(),
        held=met.held.shares(),
    )


def _held_ends(pressure, setting, band):
    """Percentiles, and what a valve at rest may hold."""
    if not pressure.size:
        return 0.0, 0.0
    low, high = np.percentile(pressure, ENDS)
    return float(min(low, setting)), float(max(high, setting + band))
