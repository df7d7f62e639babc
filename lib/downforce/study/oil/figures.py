"""Oil, time, heat and pressure at rest: what filling, raising, lowering, folding and waiting cost."""

from dataclasses import dataclass

from downforce.physics.checks import not_negative, positive
from downforce.physics.gas import STANDARD_ATMOSPHERE, accumulator_size
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

    Attributes
    ----------
    name : str [-]
        "raise", "lower" or "fold".
    volume : float [m3]
        Oil into the cylinders, negative where they give it back.
    time : float [s]
        With the supply's flow into them, or the valves' rated flow out of them.
    asked_time : float [s]
        Time the operator takes for it.
    asked_flow : float [m3/s]
        Flow that this time asks for.
    """

    name: str
    volume: float
    time: float
    asked_time: float
    asked_flow: float


@dataclass(frozen=True)
class OilFigures:
    """Oil of a drill's circuit.

    Attributes
    ----------
    cylinders, header, drops, feeds : float [m3]
        Oil that fills each: cylinders for their whole stroke.
    total : float [m3]
        All of it: what the tractor lends when the lines are filled for the first time.
    fill_time : float [s]
        With the supply's flow.
    share_of_lent : float [-]
        Total over what the tractor may lend.
    moves : tuple of Move [-]
        Raise, lower, fold.
    """

    cylinders: float
    header: float
    drops: float
    feeds: float
    total: float
    fill_time: float
    share_of_lent: float
    moves: tuple[Move, ...]


@dataclass(frozen=True)
class HeatOfSupply:
    """What the supply burns while nothing moves.

    Attributes
    ----------
    flow : float [m3/s]
        Flow that runs all the time.
    pressure : float [Pa]
        Pressure it loses.
    power : float [W]
        Heat.
    reason : str [-]
        Why it runs.
    """

    flow: float
    pressure: float
    power: float
    reason: str


def oil_figures(drill, asked_time=3.0):
    """Oil to fill the circuit and to move all openers, with times.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    asked_time : float [s]
        Time the operator takes to raise, lower or fold.

    Returns
    -------
    OilFigures [m3, s]
        Volumes and times.

    Raises
    ------
    ValueError
        If the time is not positive.

    Notes
    -----
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


def oil_of_move(drill, start, end):
    """Oil into all cylinders while every opener goes from one travel to another.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    start, end : float [m]
        Travel before and after; beyond a stop the opener stands on it.

    Returns
    -------
    float [m3]
        Negative where they give oil back.
    """
    lowest, highest = drill.cylinder.travel_stops(drill.opener)
    before, after = (min(max(travel, lowest), highest) for travel in (start, end))
    length = drill.cylinder.length(drill.opener, [before, after])
    return float(drill.cylinder_count * drill.cylinder.swept_volume(length[1] - length[0]))


def frame_oil(drill, moves):
    """Oil that the frame's own cylinders take to fold or to lift it, and the time at the supply's flow.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    moves : str [-]
        "fold" or "lift".

    Returns
    -------
    tuple of two floats [m3, s]
        Volume and time; both 0 where the drill file names no such cylinders.

    Notes
    -----
    Full stroke of the bore side. They work one after the other or together: the oil is the same.
    """
    made = [each for each in drill.frame_cylinders if each.moves == moves]
    volume = sum(each.count * float(line_volume(each.bore, each.stroke)) for each in made)
    return volume, float(fill_time(volume, drill.hydraulics.supply.flow))


def heat_of_supply(drill, gauge_pressure):
    """Heat that the drill's kind of supply makes while nothing moves.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    gauge_pressure : float [Pa]
        Setting.

    Returns
    -------
    HeatOfSupply [W]
        Flow, pressure lost, heat and why.

    Raises
    ------
    ValueError
        If the pressure is not positive.

    Notes
    -----
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

    Attributes
    ----------
    openers : int [-]
        Openers that move.
    volume : float [m3]
        Oil they exchange.
    flow : float [m3/s]
        While they do.
    viscosity : float [m2/s]
        Kinematic, of the oil at its temperature.
    loss : float [Pa]
        In the length of header it runs through.
    """

    openers: int
    volume: float
    flow: float
    viscosity: float
    loss: float


def section_exchange(drill, oil_temperature, travel=0.1, time=2.0, length=10.0, openers=20, bore=None):
    """Oil that openers of one section exchange with another, and its loss in the header: the sum by hand.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    oil_temperature : float [K]
        In the header.
    travel : float [m]
        How far they rise, evenly, through working height.
    time : float [s]
        In how long.
    length : float [m]
        Of header between the sections.
    openers : int [-]
        How many.
    bore : float, optional [m]
        Of the header; the drill file's if left out.

    Returns
    -------
    Exchange [-]
        Volume, flow and loss.

    Raises
    ------
    ValueError
        If a length or the time is not positive.
    """
    leverage = float(drill.cylinder.leverage(drill.opener, 0.0))
    volume = float(openers * drill.cylinder.swept_volume(leverage * travel))
    flow = volume / float(positive("time", time))
    density, viscosity = drill.hydraulics.oil.at(oil_temperature)
    bore = drill.hydraulics.header.bore if bore is None else bore
    loss = line_loss(flow, bore, length, density, viscosity)
    return Exchange(openers, volume, flow, viscosity, float(loss))


def lowest_down_force(drill, back_pressure=None):
    """Down force that back-pressure alone leaves on an opener at working height.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    back_pressure : float, optional [Pa]
        Pressure in the return; the drill file's if left out.

    Returns
    -------
    float [N]
        At the disc: no valve can set less.

    Raises
    ------
    ValueError
        If the pressure is negative.
    """
    supply = drill.hydraulics.supply
    pressure = not_negative(
        "back_pressure", supply.return_pressure if back_pressure is None else back_pressure
    )
    return float(drill.cylinder.down_force(drill.opener, 0.0, pressure))


def warming_to_relief(drill, gauge_pressure):
    """How many degrees of sun take shut-in oil from the setting to the relief valve's pressure.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    gauge_pressure : float [Pa]
        Pressure at which it was shut in.

    Returns
    -------
    float [K]
        For a rigid, full volume without hoses; hoses and air make it more.
    """
    room = drill.hydraulics.valve.relief_pressure - gauge_pressure
    return max(room, 0.0) / float(trapped_oil_pressure_rise(1.0))


def accumulator_for(oil_volume, gauge_pressure, share, lowest_pressure=None):
    """Gas volume of an accumulator that gives a volume of oil while the pressure falls by a share.

    Parameters
    ----------
    oil_volume : float [m3]
        Oil it must give.
    gauge_pressure : float [Pa]
        Pressure before.
    share : float [-]
        By how much the gauge pressure may fall, over what it was.
    lowest_pressure : float, optional [Pa]
        Lowest gauge pressure ever set, which the precharge must stay below; the fallen one if left out.

    Returns
    -------
    float [m3]
        Gas volume, fast exchange.

    Raises
    ------
    ValueError
        If the share is not between 0 and 1 or a pressure is not positive.
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
