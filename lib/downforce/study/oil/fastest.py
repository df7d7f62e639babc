"""How fast the oil runs at its fastest, and how long a line runs where its friction is not known."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill
from downforce.physics.kinds import (
    CubicMetresPerSecond,
    Flags,
    Kelvin,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    Pascal,
    Ratio,
    SquareMetrePerSecond,
)
from downforce.physics.oil import UNCERTAIN_REYNOLDS, flow_velocity, line_loss_band, reynolds_number
from downforce.study.oil.limits import Bearable
from downforce.study.oil_supply import OilState

HEADER_LENGTH = 10.0
"""Length of header whose loss is told [m], as in the sum by hand."""


@dataclass(frozen=True)
class FastestOil:
    """Oil in one kind of line over a crossing.

    more: whether it would be more where the ground asks for what the drill does not bear.
    uncertain: share of the crossing that is borne, with a Reynolds number in `UNCERTAIN_REYNOLDS`.
    low, high: ends of the loss in that length where they are farthest apart; NaN where it never runs there.
    """

    velocity: MetrePerSecond
    more: bool
    reynolds: Ratio
    length: Metre
    uncertain: Ratio
    low: Pascal
    high: Pascal


def reached_stations(state: OilState, borne: Bearable) -> Flags:
    """Where a crossing runs as it is reckoned: nothing of the drill gives way.

    Result: one for each station.
    """
    return ~np.any(borne.beyond(state.gauge_pressure), axis=1)


def fastest_oil(
    drill: Drill, state: OilState, oil_temperature: Kelvin, borne: Bearable
) -> tuple[FastestOil, FastestOil]:
    """Velocity, Reynolds number and doubtful loss of header and drops over a crossing.

    Result: fullest piece of the header, all drops.

    The loss is that of the hose alone, without fittings.
    """
    fluid, reached = drill.hydraulics.oil.at(oil_temperature), reached_stations(state, borne)
    return (
        fastest_in_line(state.header_flow, reached, state.header_bore, HEADER_LENGTH, fluid),
        fastest_in_line(
            np.abs(state.flow).max(axis=1), reached, state.drop_bore, drill.hydraulics.drop.length, fluid
        ),
    )


def fastest_in_line(
    flow: CubicMetresPerSecond,
    reached: Flags,
    bore: Metre,
    length: Metre,
    fluid: tuple[KilogramPerCubicMetre, SquareMetrePerSecond],
) -> FastestOil:
    """Velocity, Reynolds number and doubtful loss in one line.

    Result: of the stations where it is reached.
    """
    most, flow = flow.max(), flow[reached]
    reynolds = reynolds_number(flow, bore, fluid[1])
    there = (reynolds > UNCERTAIN_REYNOLDS[0]) & (reynolds < UNCERTAIN_REYNOLDS[1])
    ends = float("nan"), float("nan")
    if np.any(there):
        low, high = line_loss_band(flow[there], bore, length, *fluid)
        widest = np.argmax(high - low)
        ends = float(low[widest]), float(high[widest])
    highest = flow.max(initial=0.0)
    return FastestOil(
        float(flow_velocity(highest, bore)),
        bool(most > highest),
        float(reynolds.max(initial=0.0)),
        float(length),
        float(np.mean(there)) if len(there) else 0.0,
        *ends,
    )
