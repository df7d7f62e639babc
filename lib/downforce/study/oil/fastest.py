"""How fast the oil runs at its fastest, and how long a line runs where its friction is not known."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.oil import UNCERTAIN_REYNOLDS, flow_velocity, line_loss_band, reynolds_number

HEADER_LENGTH = 10.0
"""Length of header whose loss is told [m], as in the sum by hand."""


@dataclass(frozen=True)
class FastestOil:
    """Oil in one kind of line over a crossing.

    Attributes
    ----------
    velocity : float [m/s]
        Highest, for a moment.
    reynolds : float [-]
        There.
    length : float [m]
        Length of line whose loss is told.
    uncertain : float [-]
        Share of the crossing with a Reynolds number in `UNCERTAIN_REYNOLDS`.
    low, high : float [Pa]
        Ends of the loss in that length where they are farthest apart; NaN where it never runs there.
    """

    velocity: float
    reynolds: float
    length: float
    uncertain: float
    low: float
    high: float


def fastest_oil(drill, state, oil_temperature):
    """Velocity, Reynolds number and doubtful loss of header and drops over a crossing.

    Parameters
    ----------
    drill : Drill [-]
        The drill, for its oil and the length of its drops.
    state : OilState [-]
        Flow in header and drops.
    oil_temperature : float [K]
        In the lines.

    Returns
    -------
    tuple of two FastestOil [-]
        Fullest piece of the header, all drops.

    Raises
    ------
    ValueError
        If the temperature is impossible.

    Notes
    -----
    The loss is that of the hose alone, without fittings.
    """
    fluid = drill.hydraulics.oil.at(oil_temperature)
    return (
        _fastest(state.header_flow, state.header_bore, HEADER_LENGTH, *fluid),
        _fastest(np.abs(state.flow), state.drop_bore, drill.hydraulics.drop.length, *fluid),
    )


def _fastest(flow, bore, length, density, viscosity):
    reynolds = reynolds_number(flow, bore, viscosity)
    there = (reynolds > UNCERTAIN_REYNOLDS[0]) & (reynolds < UNCERTAIN_REYNOLDS[1])
    ends = float("nan"), float("nan")
    if np.any(there):
        low, high = line_loss_band(flow[there], bore, length, density, viscosity)
        widest = np.argmax(high - low)
        ends = float(low[widest]), float(high[widest])
    velocity = float(flow_velocity(flow.max(), bore))
    return FastestOil(velocity, float(reynolds.max()), float(length), float(np.mean(there)), *ends)
