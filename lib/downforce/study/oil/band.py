"""A pass with the oil in it: how far the pressure at the cylinders is from the gauge, and what it costs.

The ground moves the openers, the oil answers, and the loads follow the oil. Whether a second circuit for the
rows in tracks is worth its parts is told by short and packing rows with and without.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import Event

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.unit_table import percent
from downforce.physics.kinds import CubicMetrePerSecond, Kelvin, Metre, MetrePerSecond, Pascal, Ratio
from downforce.study.field_pass import FieldPass, press
from downforce.study.ground.crossing import Crossing, cross_field
from downforce.study.oil import circuit
from downforce.study.oil_supply import STARVED, OilState, oil_state
from downforce.study.pressure_setting import recommend
from downforce.study.rows import LoadShares, load_shares
from downforce.study.setting.remedies import track_pressures


@dataclass(frozen=True)
class OilPass:
    """A pass at the pressures that the plumbing really keeps, beside the same pass at held pressure.

    held: with the setting everywhere, the same ground and soil; None if it was not asked for.
    """

    loads: FieldPass
    held: FieldPass | None
    oil: OilState

    def shares(self) -> LoadShares:
        """How evenly all gauge wheels are loaded, with the oil in it.

        Result: as `FieldPass.shares`.
        """
        return self.loads.shares()

    def borne(self) -> circuit.Bearable:
        """What the drill bears, against which `oil.gauge_pressure` is held before it is told as a fact.

        Result: `borne().beyond(oil.gauge_pressure)` marks pressures that are reckoned but not reached.
        """
        return circuit.bearable(self.loads.drill, self.loads.field)


def pass_with_oil(
    drill: Drill,
    field: Field,
    gauge_pressure: Pascal | Sequence[Pascal],
    oil_temperature: Kelvin | None = None,
    divide="one header",
    seed=1,
    stations=2000,
    spacing: Metre = 0.1,
    speed: MetrePerSecond | None = None,
    compare=False,
    crossing: Crossing | None = None,
    progress: Callable | None = None,
    stop: Callable | Event | None = None,
    motion=True,
) -> OilPass:
    """One pass of a drill over a field with the oil network in it.

    gauge_pressure: setting, one for all circuits or one for each.
    oil_temperature: in the lines; the field's if left out.
    divide: how the rows are divided into circuits, see `oil_circuit.DIVISIONS`.
    speed: ground speed; the field's own if left out.
    compare: whether to press the same ground at held pressure as well.
    crossing: ground already met, from `cross_field`; takes the place of seed, stations, spacing and speed.
    progress: called with the share of the ground done, 0 to 1.

    The openers follow the ground between their stops, which makes the flow; where oil is short they take what
    there is, see `oil_state`. A disc that runs shallow with oil enough moves a little less than the ground,
    which is left out. Ground bumps shorter than about two stations are not seen.
    """
    if crossing is None:
        crossing = cross_field(drill, field, seed, stations, spacing, speed, None, progress, stop)
    temperature = field.oil_temperature if oil_temperature is None else oil_temperature
    oil = oil_state(
        drill,
        crossing.ground_travel,
        crossing.spacing,
        crossing.speed,
        gauge_pressure,
        temperature,
        divide,
        field,
        crossing=crossing,
    )
    actuator = None if drill.half_refitted else drill.cylinder
    loads = press(drill, field, crossing, actuator, oil.gauge_pressure, motion=motion)
    held = press(drill, field, crossing, actuator, oil.setting, motion=motion) if compare else None
    return OilPass(loads, held, oil)


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
    first: circuit.FirstLimit | None
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
        return (
            text if self.first is None or pressure <= self.first.gauge_pressure else circuit.MORE_THAN_BORNE
        )

    def beyond_words(self, limit: Callable) -> str:
        """On how much of the way more is reckoned than the drill bears, and what gives first there."""
        if self.first is None:
            return ""
        return (
            f"on {percent(self.beyond)} of the way {circuit.MORE_THAN_BORNE} is reckoned: "
            f"{self.first.words}, at {limit(self.first.gauge_pressure)}"
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
    # An accumulator lends everywhere; without one the stations that are fed have oil enough.
    lent = drill.hydraulics.accumulator is not None
    wide = oil_state(
        circuit.drill_with_hoses(drill, WIDE_BORE, WIDE_BORE),
        crossing.ground_travel,
        crossing.spacing,
        crossing.speed,
        setting,
        temperature,
        follow_short=lent,
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


TRACK_STATIONS, TRACK_SPACING = 1000, 0.1
"""Stations of the pass, and the distance between them [m]."""


@dataclass(frozen=True)
class TrackSetting:
    """What the rows carry with one way to set them.

    shares_outside, shares_in_tracks: on their gauge wheels, over the field's own ground, with the oil in it.
    """

    outside: Pascal
    in_tracks: Pascal
    shares_outside: LoadShares
    shares_in_tracks: LoadShares


@dataclass(frozen=True)
class TrackCircuit:
    """Three ways to set a drill with rows in tracks, and what a second circuit costs.

    needed: for the wanted load on the mean row in tracks, limits aside.
    turned_up: one circuit, turned up for the tracks as far as they need or the ceiling allows.
    """

    rows: int
    needed: Pascal
    usual: TrackSetting
    turned_up: TrackSetting
    two: TrackSetting
    header: Metre


def track_circuit(drill: Drill, field: Field, stations=TRACK_STATIONS) -> TrackCircuit | None:
    """Shares of short and packing rows with one setting for all and with a second one for the rows in tracks.

    Result: None where none of the rows on oil runs in a track, or all do. Rows that keep their springs are
        not counted.

    What a circuit of their own gives the rows in tracks is told by `track_pressures`, as among the remedies.
    """
    moved = ~drill.row_on_springs
    outside_tracks, in_track = (moved & (field.rows_in_tracks(drill) == held) for held in (False, True))
    if not (outside_tracks.any() and in_track.any()):
        return None
    found = recommend(drill, field)
    setting, needed, pressures = found.pressed, found.needed_in_tracks, track_pressures(found)
    crossing = cross_field(drill, field, 1, stations, TRACK_SPACING)

    def set_to(outside, in_tracks, circuits):
        divide, pressures = ("one header", outside) if circuits == 1 else ("tracks", (outside, in_tracks))
        loads = pass_with_oil(drill, field, pressures, divide=divide, crossing=crossing).loads
        parted = [_shares_of(loads, rows, field) for rows in (outside_tracks, in_track)]
        return TrackSetting(outside, in_tracks, *parted)

    usual = set_to(setting, setting, 1)
    turned_up = max(min(needed, found.ceiling), setting)
    _, all_rows = circuit.row_groups(drill)[0]
    divided = sum(
        circuit.header_pieces(drill, rows).sum() for _, rows in circuit.row_groups(drill, "tracks", field)
    )
    return TrackCircuit(
        int(np.count_nonzero(in_track)),
        needed,
        usual,
        set_to(turned_up, turned_up, 1) if turned_up > setting else usual,
        set_to(*pressures, 2),  # type: ignore[call-arg]
        float(divided - circuit.header_pieces(drill, all_rows).sum() + circuit.FEED_LENGTH),
    )


def _shares_of(loads, rows, field):
    return load_shares(loads, field.aim, field.target_depth, np.s_[:, rows])
