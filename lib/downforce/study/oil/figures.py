"""Oil, time, heat and pressure at rest: what filling, raising, lowering, folding and waiting cost.

At each position of the tractor's lever it is told what stands under pressure, and what lets it down.
"""

from dataclasses import dataclass

from downforce.machine.drill import Drill
from downforce.physics import kinds as si
from downforce.physics.checks import not_negative, positive
from downforce.physics.oil import fill_time, line_volume, power_lost, trapped_oil_pressure_rise
from downforce.physics.oil_loss import line_loss
from downforce.physics.spring import STANDARD_ATMOSPHERE, accumulator_size
from downforce.study.oil.circuit import FEED_LENGTH, header_pieces, row_groups

LEAK_FLOW = 1e-3 / 60
"""Oil that a reducing valve passes to the return while nothing moves [m3/s]: 1 L/min (common practice)."""

PRECHARGE_SHARE = 0.85
"""Gas precharge over the lowest working pressure [-]: 80 to 90 % (common practice, no source)."""

ASKED_TIME = 3.0
"""Time an operator takes to raise, lower or fold [s]."""

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
    volume: si.CubicMetre
    time: si.Second
    asked_time: si.Second
    asked_flow: si.CubicMetrePerSecond


@dataclass(frozen=True)
class OilFigures:
    """Oil of a drill's circuit.

    total: all of it: what the tractor lends when the lines are filled for the first time.
    """

    cylinders: si.CubicMetre
    header: si.CubicMetre
    drops: si.CubicMetre
    feeds: si.CubicMetre
    total: si.CubicMetre
    fill_time: si.Second
    share_of_lent: si.Ratio
    moves: tuple[Move, ...]


@dataclass(frozen=True)
class HeatOfSupply:
    """What the supply burns while nothing moves."""

    flow: si.CubicMetrePerSecond
    pressure: si.Pascal
    power: si.Watt
    reason: str


def oil_figures(drill: Drill) -> OilFigures:
    """Oil to fill the circuit and to move all openers, with times.

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
        _move(drill, "raise", 0.0, opener.raised_travel),
        _move(drill, "lower", opener.raised_travel, 0.0),
        _move(drill, "fold", opener.raised_travel, opener.transport_travel),
    )
    return OilFigures(
        **volumes,
        total=total,
        fill_time=float(fill_time(total, parts.supply.flow)),
        share_of_lent=total / parts.supply.oil_available,
        moves=moves,
    )


def oil_of_move(drill: Drill, start: si.Metre, end: si.Metre) -> si.CubicMetre:
    """Oil into all cylinders while every opener goes from one travel to another.

    start, end: travel before and after; beyond a stop the opener stands on it.
    Result: negative where they give oil back.
    """
    lowest, highest = drill.cylinder.travel_stops(drill.opener)
    before, after = (min(max(travel, lowest), highest) for travel in (start, end))
    length = drill.cylinder.length(drill.opener, [before, after])
    return float(drill.cylinder_count * drill.cylinder.swept_volume(length[1] - length[0]))


def frame_oil(drill: Drill, moves) -> tuple[si.CubicMetre, si.Second]:
    """Oil that the frame's own cylinders take to fold or to lift it, and the time at the supply's flow.

    moves: "fold" or "lift".
    Result: volume and time; both 0 where the drill file names no such cylinders.

    Full stroke of the bore side. They work one after the other or together: the oil is the same.
    """
    made = [each for each in drill.frame_cylinders if each.moves == moves]
    volume = sum(each.count * float(line_volume(each.bore, each.stroke)) for each in made)
    return volume, float(fill_time(volume, drill.hydraulics.supply.flow))


def heat_of_supply(drill: Drill, gauge_pressure: si.Pascal) -> HeatOfSupply:
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
    volume: si.CubicMetre
    flow: si.CubicMetrePerSecond
    viscosity: si.SquareMetrePerSecond
    loss: si.Pascal


def section_exchange(
    drill: Drill, oil_temperature: si.Kelvin, openers=20, bore: si.Metre | None = None
) -> Exchange:
    """Oil that openers of one section exchange with another, and its loss in the header: the sum by hand.

    They rise 100 mm in 2 s, evenly, through working height, and the oil goes through 10 m of header.
    bore: of the header; the drill file's if left out.
    """
    leverage = float(drill.cylinder.leverage(drill.opener, 0.0))
    volume = float(openers * drill.cylinder.swept_volume(leverage * 0.1))
    flow = volume / 2.0
    density, viscosity = drill.hydraulics.oil.at(oil_temperature)
    bore = drill.hydraulics.header.bore if bore is None else bore
    loss = line_loss(flow, bore, 10.0, density, viscosity)
    return Exchange(openers, volume, flow, viscosity, float(loss))


def lowest_down_force(drill: Drill, back_pressure: si.Pascal | None = None) -> si.Newton:
    """Down force that back-pressure alone leaves on an opener at working height.

    back_pressure: pressure in the return; the drill file's if left out.
    """
    supply = drill.hydraulics.supply
    pressure = not_negative(
        "back_pressure", supply.return_pressure if back_pressure is None else back_pressure
    )
    return float(drill.cylinder.down_force(drill.opener, 0.0, pressure))


def warming_to_relief(drill: Drill, gauge_pressure: si.Pascal) -> si.Kelvin:
    """How many degrees of sun take shut-in oil from the setting to the relief valve's pressure.

    Result: for a rigid, full volume without hoses; hoses and air make it more.
    """
    room = drill.hydraulics.valve.relief_pressure - gauge_pressure
    return max(room, 0.0) / float(trapped_oil_pressure_rise(1.0))


def accumulator_for(
    oil_volume: si.CubicMetre,
    gauge_pressure: si.Pascal,
    share: si.Ratio,
    lowest_pressure: si.Pascal | None = None,
) -> si.CubicMetre:
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


def _move(drill, name, start, end):
    volume = oil_of_move(drill, start, end)
    valve = drill.hydraulics.valve.rated_flow * len(drill.hydraulics.header.feeds_y)
    flow = min(drill.hydraulics.supply.flow, valve) if volume > 0 else valve
    return Move(name, volume, float(fill_time(abs(volume), flow)), ASKED_TIME, abs(volume) / ASKED_TIME)


LEVERS = ("constant flow (detent)", "neutral (hold)", "float", "couplers apart")
"""Positions of the tractor's lever, and the couplers pulled [-]."""
DETENT, NEUTRAL, FLOAT, APART = LEVERS

TRACTOR, INLET, HEADER, RETURN, SECTION = (
    "tractor to check valve",
    "check valve to reducing valve",
    "reducing valve to cylinders",
    "return",
    "section that is shut off",
)
"""Stretches of the circuit [-]; the last only where the drill has section valves."""

JOIN, FIT_DUMP = "join the couplers again, the return first", "have a dump valve fitted"
"""What comes before the dump valve where the couplers are apart, and where there is no dump valve [-]."""

_TO_FLOAT = "lever to float for the hose to the tractor"

PUMP, SHUT_IN, OPEN = "pump", "shut in", "open"
"""What holds a stretch [-]: the pump presses, nothing lets it out, or the tank takes it."""


@dataclass(frozen=True)
class Stretch:
    """One stretch of the circuit.

    state: `PUMP`, `SHUT_IN` or `OPEN`.
    gauge_pressure: that stands there; where it is shut in the most: a leak may take it down, and nobody
        counts on that.
    """

    state: str
    gauge_pressure: si.Pascal

    @property
    def live(self) -> bool:
        """Whether anything may stand there."""
        return self.state != OPEN


@dataclass(frozen=True)
class Standing:
    """What stands in every stretch, and how it is let down.

    let_down: what to do, in this order, each a few words; no fitting is opened for it.
    """

    stretches: dict[str, Stretch]
    let_down: tuple[str, ...]

    @property
    def gauge_pressure(self) -> si.Pascal:
        """What the drill's gauge reads."""
        return self.stretches[HEADER].gauge_pressure


def standing(drill: Drill, gauge_pressure: si.Pascal, lever, running=True, dump_open=False) -> Standing:
    """What stands under pressure in every stretch of a drill's circuit.

    drill: the drill: its supply, its valve, and what its file says of check, dump and section valves.
    lever: one of `LEVERS`.
    dump_open: whether the dump valve was opened; without one, whether the reducing valve was backed off.
    Result: stretch by stretch, and how it is let down.

    Common practice, no source. While less stands before the reducing valve than it is set to, it stands wide
    open: header and inlet are one volume, and only the check valve keeps it. The return runs to the tank past
    the lever. With the couplers apart it is shut: relief and dump valve then have nowhere to let oil go.
    """
    if lever not in LEVERS:
        raise ValueError(f"lever must be one of {', '.join(LEVERS)}; got {lever!r}.")
    setting = float(positive("gauge_pressure", gauge_pressure))
    parts = drill.hydraulics
    check, dump = (part == "fitted" for part in (parts.guards.check_valve, parts.guards.dump_valve))
    pump, apart = heat_of_supply(drill, setting).pressure, lever == APART
    empty = Stretch(OPEN, 0.0)
    if running and lever == DETENT:
        made = {
            TRACTOR: Stretch(PUMP, pump),
            INLET: Stretch(PUMP, pump),
            HEADER: Stretch(PUMP, setting),
            RETURN: Stretch(OPEN, parts.supply.return_pressure),
        }
    else:
        header = inlet = empty
        dumped = dump_open and dump and not apart
        if not dumped and (check or lever != FLOAT):
            backed_off = dump_open and not dump and not apart
            stays = min(setting, parts.valve.min_pressure) if backed_off else setting
            header, inlet = Stretch(SHUT_IN, stays), Stretch(SHUT_IN, stays if backed_off else pump)
        made = {
            TRACTOR: empty if lever == FLOAT else Stretch(SHUT_IN, pump),
            INLET: inlet,
            HEADER: header,
            RETURN: Stretch(SHUT_IN, setting) if apart else empty,
        }
        # Without a check valve the tractor's hose and the inlet are one.
        if not check:
            made[TRACTOR] = inlet
    if parts.guards.section_valves == "fitted":
        made[SECTION] = Stretch(SHUT_IN, setting)
    return Standing(made, _let_down(parts, check, dump, apart, made))


def _let_down(parts, check, dump, apart, made):
    steps = []
    if made[HEADER].live or SECTION in made:
        steps += ["lower or lock the drill", "engine off"]
        if apart:
            steps += [_TO_FLOAT, JOIN]
        if SECTION in made:
            steps.append("open every section valve")
        if dump:
            steps.append("open the dump valve")
        elif check:
            steps.append(f"back the reducing valve off, which leaves its lowest setting: {FIT_DUMP}")
        else:
            steps.append("lever to float")
        if dump or not check:
            steps.append("watch the gauge to zero")
    if made[TRACTOR].live and (check or dump) and not apart:
        steps.append(_TO_FLOAT)
    return tuple(steps)
