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
        Highest that is reached, for a moment.
    more : bool [-]
        Whether it would be more where the ground asks for what the drill does not bear.
    reynolds : float [-]
        At that velocity.
    length : float [m]
        Length of line whose loss is told.
    uncertain : float [-]
        Share of the crossing that is borne, with a Reynolds number in `UNCERTAIN_REYNOLDS`.
    low, high : float [Pa]
        Ends of the loss in that length where they are farthest apart; NaN where it never runs there.
    """

    velocity: float
    more: bool
    reynolds: float
    length: float
    uncertain: float
    low: float
    high: float


def reached_stations(state, borne):
    """Where a crossing runs as it is reckoned: nothing of the drill gives way.

    Parameters
    ----------
    state : OilState [-]
        The crossing.
    borne : Bearable [Pa]
        What the drill bears.

    Returns
    -------
    array of bool [-]
        One for each station.
    """
    return ~np.any(borne.beyond(state.gauge_pressure), axis=1)


def fastest_oil(drill, state, oil_temperature, borne):
    """Velocity, Reynolds number and doubtful loss of header and drops over a crossing.

    Parameters
    ----------
    drill : Drill [-]
        The drill, for its oil and the length of its drops.
    state : OilState [-]
        Flow in header and drops.
    oil_temperature : float [K]
        In the lines.
    borne : Bearable [Pa]
        What the drill bears.

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
    fluid, reached = drill.hydraulics.oil.at(oil_temperature), reached_stations(state, borne)
    return (
        fastest_in_line(state.header_flow, reached, state.header_bore, HEADER_LENGTH, fluid),
        fastest_in_line(
            np.abs(state.flow).max(axis=1), reached, state.drop_bore, drill.hydraulics.drop.length, fluid
        ),
    )


def fastest_in_line(flow, reached, bore, length, fluid):
    """Velocity, Reynolds number and doubtful loss in one line.

    Parameters
    ----------
    flow : array [m3/s]
        Station by station.
    reached : array of bool [-]
        Where that flow is reached.
    bore, length : float [m]
        Of the line.
    fluid : tuple of two floats [kg/m3, m2/s]
        Density and kinematic viscosity.

    Returns
    -------
    FastestOil [-]
        Of the stations where it is reached.
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
