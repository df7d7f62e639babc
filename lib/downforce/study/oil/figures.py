"""Oil, time, heat and pressure at rest: what filling, raising, lowering, folding and waiting cost."""

from dataclasses import dataclass

from downforce.machine.drill import Drill
from downforce.physics.checks import not_negative, positive
from downforce.physics.gas import STANDARD_ATMOSPHERE, accumulator_size
from downforce.physics.kinds import (
    CubicMetre,
    CubicMetrePerSecond,
    Kelvin,
    Metre,
    Newton,
    Pascal,
    Ratio,
    Second,
    SquareMetrePerSecond,
    Watt,
)
from downforce.physics.oil import fill_time, line_loss, line_volume, power_lost, trapped_oil_pressure_rise
from downforce.study.oil.circuit import FEED_LENGTH, header_pieces, row_groups

LEAK_FLOW = 1e-3 / 60
"""Oil that a reducing valve passes to the return while nothing moves [m3/s]: 1 L/min (common practice)."""

PRECHARGE_SHARE = 0.85
"""Gas precharge over the lowest working pressure [-]: 80 to 90 % (common practice, no source)."""

FAST_EXPONENT = 1.4
"""Gas that is squeezed fast [-]."""


@dataclass(frozen=True)
class Move:
    """Oil and time of one move of all openers.

    name: "raise", "lower" or "fold".
    volume: oil into the cylinders, negative where they give it back.
    time: with the supply's flow into them, or the valves' rated flow out of them.
    """

    name: str
    volume: CubicMetre
    time: Second
    asked_time: Second
    asked_flow: CubicMetrePerSecond


@dataclass(frozen=True)
class OilFigures:
    """Oil of a drill's circuit.

    total: all of it: what the tractor lends when the lines are filled for the first time.
    """

    cylinders: CubicMetre
    header: CubicMetre
    drops: CubicMetre
    feeds: CubicMetre
    total: CubicMetre
    fill_time: Second
    share_of_lent: Ratio
    moves: tuple[Move, ...]


@dataclass(frozen=True)
class HeatOfSupply:
    """What the supply burns while nothing moves."""

    flow: CubicMetrePerSecond
    pressure: Pascal
    power: Watt
    reason: str


def oil_figures(drill: Drill, asked_time: Second = 3.0) -> OilFigures:
    """Oil to fill the circuit and to move all openers, with times.

    asked_time: time the operator takes to raise, lower or fold.

    Moves are those of the openers' own cylinders; for those of the frame see `frame_oil`. Raising goes from
    work to the raised travel, lowering back, folding from raised to transport.
    """
    parts, cylinder = drill.hydraulics, drill.cylinder
    rows = row_groups(drill)[0][1]
    volumes = {
        "cylinders": float(drill.cylinder_count * cylinder.swept_volume(cylinder.stroke)),
        "header": float(line_volume(parts.header.bore, header_pieces(drill, rows).sum())),
        "drops": drill.cylinder_count * float(line_volume(parts.drop.bore, parts.drop.length)),
        "feeds": len(parts.header.feeds_y) * float(line_volume(parts.header.bore, FEED_LENGTH)),
    }
    total = sum(volumes.values())
    opener = drill.opener
    moves = (
        _move(drill, "raise", 0.0, opener.raised_travel, asked_time),
        _move(drill, "lower", opener.raised_travel, 0.0, asked_time),
        _move(drill, "fold", opener.raised_travel, opener.transport_travel, asked_time),
    )
    return OilFigures(
        **volumes,
        total=total,
        fill_time=float(fill_time(total, parts.supply.flow)),
        share_of_lent=total / parts.supply.oil_available,
        moves=moves,
    )


def oil_of_move(drill: Drill, start: Metre, end: Metre) -> CubicMetre:
    """Oil into all cylinders while every opener goes from one travel to another.

    start, end: travel before and after; beyond a stop the opener stands on it.
    Result: negative where they give oil back.
    """
    lowest, highest = drill.cylinder.travel_stops(drill.opener)
    before, after = (min(max(travel, lowest), highest) for travel in (start, end))
    length = drill.cylinder.length(drill.opener, [before, after])
    return float(drill.cylinder_count * drill.cylinder.swept_volume(length[1] - length[0]))


def frame_oil(drill: Drill, moves) -> tuple[CubicMetre, Second]:
    """Oil that the frame's own cylinders take to fold or to lift it, and the time at the supply's flow.

    moves: "fold" or "lift".
    Result: volume and time; both 0 where the drill file names no such cylinders.

    Full stroke of the bore side. They work one after the other or together: the oil is the same.
    """
    made = [each for each in drill.frame_cylinders if each.moves == moves]
    volume = sum(each.count * float(line_volume(each.bore, each.stroke)) for each in made)
    return volume, float(fill_time(volume, drill.hydraulics.supply.flow))


def heat_of_supply(drill: Drill, gauge_pressure: Pascal) -> HeatOfSupply:
    """Heat that the drill's kind of supply makes while nothing moves.

    No work is done, so all that the pump gives becomes heat. A constant flow is pressed over the tractor's
    relief; a load-sensing pump gives only the valve's leak, at the setting and its margin.
    """
    supply = drill.hydraulics.supply
    setting = float(positive("gauge_pressure", gauge_pressure))
    if supply.kind == "remote, constant flow":
        flow, pressure = supply.flow, supply.max_pressure
        reason = "the whole flow is pressed over the tractor's relief valve all day"
    elif supply.kind == "fan line":
        flow, pressure = LEAK_FLOW, supply.max_pressure
        reason = "only the valve's leak runs, from the pressure of the fan line"
    else:
        flow, pressure = LEAK_FLOW, min(setting + supply.standby_margin, supply.max_pressure)
        reason = "the pump gives only the valve's leak"
    return HeatOfSupply(flow, pressure, float(power_lost(pressure, flow)), reason)


@dataclass(frozen=True)
class Exchange:
    """What one section gives to another, by hand.

    loss: in the length of header it runs through.
    """

    openers: int
    volume: CubicMetre
    flow: CubicMetrePerSecond
    viscosity: SquareMetrePerSecond
    loss: Pascal


def section_exchange(
    drill: Drill,
    oil_temperature: Kelvin,
    travel: Metre = 0.1,
    time: Second = 2.0,
    length: Metre = 10.0,
    openers=20,
    bore: Metre | None = None,
) -> Exchange:
    """Oil that openers of one section exchange with another, and its loss in the header: the sum by hand.

    travel: how far they rise, evenly, through working height.
    bore: of the header; the drill file's if left out.
    """
    leverage = float(drill.cylinder.leverage(drill.opener, 0.0))
    volume = float(openers * drill.cylinder.swept_volume(leverage * travel))
    flow = volume / float(positive("time", time))
    density, viscosity = drill.hydraulics.oil.at(oil_temperature)
    bore = drill.hydraulics.header.bore if bore is None else bore
    loss = line_loss(flow, bore, length, density, viscosity)
    return Exchange(openers, volume, flow, viscosity, float(loss))


def lowest_down_force(drill: Drill, back_pressure: Pascal | None = None) -> Newton:
    """Down force that back-pressure alone leaves on an opener at working height.

    back_pressure: pressure in the return; the drill file's if left out.
    """
    supply = drill.hydraulics.supply
    pressure = not_negative(
        "back_pressure", supply.return_pressure if back_pressure is None else back_pressure
    )
    return float(drill.cylinder.down_force(drill.opener, 0.0, pressure))


def warming_to_relief(drill: Drill, gauge_pressure: Pascal) -> Kelvin:
    """How many degrees of sun take shut-in oil from the setting to the relief valve's pressure.

    Result: for a rigid, full volume without hoses; hoses and air make it more.
    """
    room = drill.hydraulics.valve.relief_pressure - gauge_pressure
    return max(room, 0.0) / float(trapped_oil_pressure_rise(1.0))


def accumulator_for(
    oil_volume: CubicMetre, gauge_pressure: Pascal, share: Ratio, lowest_pressure: Pascal | None = None
) -> CubicMetre:
    """Gas volume of an accumulator that gives a volume of oil while the pressure falls by a share.

    lowest_pressure: lowest gauge pressure ever set, which the precharge must stay below; the fallen one if
        left out.
    """
    low = positive("gauge_pressure", gauge_pressure) * (1.0 - positive("share", share))
    lowest = low if lowest_pressure is None else min(lowest_pressure, low)
    return float(
        accumulator_size(
            oil_volume,
            PRECHARGE_SHARE * positive("lowest_pressure", lowest) + STANDARD_ATMOSPHERE,
            low + STANDARD_ATMOSPHERE,
            gauge_pressure + STANDARD_ATMOSPHERE,
            FAST_EXPONENT,
        )
    )


def _move(drill, name, start, end, asked_time):
    volume = oil_of_move(drill, start, end)
    valve = drill.hydraulics.valve.rated_flow * len(drill.hydraulics.header.feeds_y)
    flow = min(drill.hydraulics.supply.flow, valve) if volume > 0 else valve
    asked = abs(volume) / float(positive("asked_time", asked_time))
    return Move(name, volume, float(fill_time(abs(volume), flow)), float(asked_time), asked)
