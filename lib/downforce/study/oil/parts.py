"""The parts list of an oil circuit: what to order, in which size and rating, and why. No brands."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.tables import read_table
from downforce.physics.checks import positive
from downforce.physics.oil import VELOCITY_LIMITS, bore_for_velocity, next_nominal_bore
from downforce.study.oil.circuit import FEED_LENGTH, header_pieces, row_groups
from downforce.study.oil.fastest import fastest_oil
from downforce.study.oil.figures import accumulator_for
from downforce.study.oil.sizing import with_endless_supply
from downforce.study.oil_supply import oil_state

RELIEF_OVER_SETTING = 1.15
"""Relief setting over the highest setting [-]: 10 to 20 % above (common practice, no source)."""

RELIEF_FLOOR = 1.1
"""Least relief setting over the highest setting [-] (common practice, no source)."""

FILTER_FINENESS = "10 to 25 micrometres"
"""Particles the inlet filter stops [-] (from memory)."""

INCH_OVER_NOMINAL = 1.02
"""How far a bore in inches may be over its nominal bore in millimetres [-]."""

ACCUMULATOR_SHARE = 0.2
"""By how much the pressure may fall while an accumulator gives the oil that is missing [-]."""


@dataclass(frozen=True)
class Figure:
    """One figure of a part.

    Attributes
    ----------
    words : str [-]
        What it is.
    kind : str [-]
        Kind of quantity, as the units know it.
    value : float [SI]
        The value.
    """

    words: str
    kind: str
    value: float


@dataclass(frozen=True)
class Part:
    """One line of the list.

    Attributes
    ----------
    name : str [-]
        What to order.
    count : int [-]
        How many.
    figures : tuple of Figure [-]
        Sizes and ratings.
    reason : str [-]
        Why, in one or two sentences without figures.
    warning : str [-]
        What is wrong with the drill file's own part; empty if nothing.
    """

    name: str
    count: int
    figures: tuple[Figure, ...]
    reason: str
    warning: str = ""


def parts_list(drill, duty):
    """Everything between the tractor and the cylinders for a drill as it stands in its file.

    Parameters
    ----------
    drill : Drill [-]
        The drill: places of the valves, hoses, cylinder, supply.
    duty : Duty [-]
        What the circuit must cope with; its travel gives the flows.

    Returns
    -------
    tuple of Part [-]
        In the order in which the oil meets them.

    Raises
    ------
    ValueError
        If the duty does not fit the drill.

    Notes
    -----
    Hoses are rated for the most that the tractor can press, not for the setting: a check valve or a valve
    that sticks can put it there.
    """
    state = oil_state(
        with_endless_supply(drill),
        duty.travel,
        duty.station_spacing,
        duty.speed,
        duty.gauge_pressure,
        duty.oil_temperature,
    )
    parts = drill.hydraulics
    most = parts.supply.max_pressure
    valves = len(parts.header.feeds_y)
    each = float(np.abs(state.valve_flow).max())
    header, drop = (line.velocity for line in fastest_oil(drill, state, duty.oil_temperature))
    return (
        *_inlet(drill),
        Part(
            "pressure reducing and relieving valve, three-way",
            valves,
            (
                Figure("lowest setting", "pressure", parts.valve.min_pressure),
                Figure("highest setting", "pressure", parts.valve.max_pressure),
                Figure("flow both ways, at least", "flow", max(each, parts.valve.rated_flow)),
                Figure("step from give to take, at most", "pressure", parts.valve.band),
                Figure("inlet rating, at least", "pressure", most),
            ),
            "Holds the pressure whether the rows draw oil or give it back.",
            _valve_warning(parts.valve, each),
        ),
        *_guards(drill, float(np.max(-state.valve_flow))),
        _hose_part("header hose", 1, parts.header, float(_header_length(drill)), most, header),
        _hose_part("drop hose", drill.row_count, parts.drop, parts.drop.length, most, drop),
        _cylinder(drill),
        _bleeds(drill),
        _accumulator(drill, duty),
    )


def hose_rating(bore):
    """Working pressure of a two-wire hose of a nominal bore.

    Parameters
    ----------
    bore : float [m]
        Inside diameter.

    Returns
    -------
    float [Pa]
        From the table of hoses, for the next bore that is made; NaN where the table has no figure.
    """
    table = read_table("hoses").set_index("bore_mm")["two_wire_working_pressure_bar"]
    # An inch size is a little over its nominal bore in millimetres: half an inch is 12.5 mm hose.
    nominal = next_nominal_bore(bore / INCH_OVER_NOMINAL)
    return float(table[round(1e3 * float(nominal), 1)]) * 1e5


def missing_oil(drill, duty):
    """Oil that the supply is behind at the worst moment of a duty.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    duty : Duty [-]
        The motion.

    Returns
    -------
    float [m3]
        0 if the supply is always enough.
    """
    state = oil_state(
        drill,
        duty.travel,
        duty.station_spacing,
        duty.speed,
        duty.gauge_pressure,
        duty.oil_temperature,
    )
    return float(state.void.max())


def _inlet(drill):
    supply = drill.hydraulics.supply
    line, back = (_line_bore(supply.flow, kind) for kind in ("pressure", "return"))
    pressure = Figure("rating, at least", "pressure", supply.max_pressure)
    return (
        Part(
            "inlet hose with couplers",
            1,
            (Figure("bore, at least", "small length", line), pressure),
            "Carries the supply's flow at a fair velocity.",
        ),
        Part(
            "return hose with a free return coupler",
            1,
            (
                Figure("bore, at least", "small length", back),
                Figure("back-pressure, at most", "pressure", 5e5),
            ),
            "Back-pressure in the return acts on every cylinder and is the lowest force that can be set.",
            "The drill file's return has more back-pressure than that: look for a free return."
            if supply.return_pressure > 5e5
            else "",
        ),
        Part(
            "filter with bypass",
            1,
            (
                Figure("flow", "flow", supply.flow),
                pressure,
            ),
            f"Dirt makes a pressure valve stick: stop {FILTER_FINENESS}. The bypass lets cold oil pass.",
        ),
        Part(
            "check valve",
            1,
            (Figure("flow", "flow", supply.flow), pressure),
            "Keeps the pressure when the tractor's lever goes to neutral. It also keeps it after work: see "
            "the dump valve.",
        ),
    )


def _line_bore(flow, kind):
    """Bore for the middle of the usual velocities of a kind of line."""
    return float(next_nominal_bore(bore_for_velocity(flow, float(np.mean(VELOCITY_LIMITS[kind])))))


def _guards(drill, pushed_back):
    parts = drill.hydraulics
    valves = len(parts.header.feeds_y)
    weakest = min(drill.cylinder.rated_pressure, parts.header.rated_pressure, parts.drop.rated_pressure)
    relief = parts.valve.relief_pressure
    warning = ""
    if relief > weakest:
        warning = "The drill file's relief is set above the weakest part."
    elif relief < RELIEF_FLOOR * parts.valve.max_pressure:
        warning = "The drill file's relief is so close to the highest setting that it may do the regulating."
    dial = parts.gauge.full_scale
    return (
        Part(
            "relief valve",
            valves,
            (
                Figure("setting", "pressure", relief),
                Figure("usual setting", "pressure", RELIEF_OVER_SETTING * parts.valve.max_pressure),
                Figure("never above", "pressure", weakest),
                Figure("flow, at least", "flow", max(parts.supply.flow, pushed_back)),
            ),
            "Last protection, and the only one for oil that is shut in and warms. One beside each valve, and "
            "one behind each valve that can shut a section off. It passes what the tractor gives, or what "
            "rising rows push back through a valve that sticks shut.",
            warning,
        ),
        Part(
            "gauge, filled with glycerine, with a snubber",
            valves,
            (
                Figure("end of the dial", "pressure", dial),
                Figure("largest error", "pressure", parts.gauge.accuracy * dial),
            ),
            "What the operator sets by; seen from the seat, joined where the header begins.",
            "The dial ends below the relief's setting." if dial < relief else "",
        ),
        Part(
            "manual dump valve with a test port",
            1,
            (Figure("rating, at least", "pressure", parts.supply.max_pressure),),
            "Makes the cylinders dead before anyone works on them. Between check valve and header, and one "
            "for each part that can be shut off.",
        ),
    )


def _hose_part(name, count, hose, length, most, velocity):
    made, usual = hose_rating(hose.bore), VELOCITY_LIMITS["pressure"][1]
    warning = ""
    if hose.rated_pressure < most:
        warning = "The drill file's rating is below what the tractor can press."
    elif np.isfinite(made) and made < hose.rated_pressure:
        warning = "Two-wire hose of this bore is rated lower than the drill file says."
    elif velocity > usual:
        warning = (
            "On this ground its oil runs faster than is usual. That rule keeps heat, noise and loss low in "
            "steady flow; for the seconds of a crossing the load that is kept decides."
        )
    figures = [
        Figure("bore", "small length", hose.bore),
        Figure("rating, at least", "pressure", most),
        Figure("oil at its fastest", "oil velocity", velocity),
        Figure("usual in steady flow, at most", "oil velocity", usual),
    ]
    if np.isfinite(made):
        figures.append(Figure("two-wire hose is rated", "pressure", made))
    if name == "drop hose":
        figures.insert(1, Figure("length", "length", length))
        reason = "One to each cylinder; the load kept in cold oil sets its bore."
    else:
        figures.insert(1, Figure("length in all", "large length", length))
        reason = (
            "Along the frame, with loops at the hinges; the load kept in cold oil and the rows beyond each "
            "valve set its bore."
        )
    return Part(name, count, tuple(figures), reason, warning)


def _header_length(drill):
    rows = row_groups(drill)[0][1]
    return header_pieces(drill, rows).sum() + FEED_LENGTH * len(drill.hydraulics.header.feeds_y)


def _cylinder(drill):
    cylinder = drill.cylinder
    acting = cylinder.bore if cylinder.kind == "piston" else cylinder.rod
    return Part(
        f"single-acting cylinder, {cylinder.kind} type",
        drill.row_count,
        (
            Figure("bore" if cylinder.kind == "piston" else "plunger", "small length", acting),
            Figure("stroke", "length", cylinder.stroke),
            Figure("rating", "pressure", cylinder.rated_pressure),
        ),
        "Presses one opener down. Filter or shroud the vent of a piston type.",
    )


def _bleeds(drill):
    return Part(
        "bleed screw",
        len(drill.sections),
        (),
        "At the highest point of each section, the cylinders' ports up: air makes the answer slow and "
        "spongy. It lets air out into a hose that ends in a pail; no fitting is ever loosened for that.",
    )


def _accumulator(drill, duty):
    missing = missing_oil(drill, duty)
    if missing == 0.0:
        return Part(
            "accumulator (optional)",
            0,
            (),
            "Not needed for flow: the supply is enough on this ground at this speed.",
        )
    gas = accumulator_for(missing, positive("gauge_pressure", duty.gauge_pressure), ACCUMULATOR_SHARE)
    return Part(
        "accumulator (optional), nitrogen only",
        1,
        (Figure("oil to give", "volume", missing), Figure("gas volume, at least", "volume", gas)),
        "Gives the oil that the tractor cannot give in time. One precharge does not suit all settings, and "
        "it keeps energy after work. Driving slower, or across at an angle, costs nothing.",
    )


def _valve_warning(valve, each):
    if valve.kind != "reducing-relieving":
        return "The drill file has a plain reducing valve, which cannot take oil back."
    if each > valve.rated_flow:
        return "The drill file's valve is rated for less flow than this ground asks at this speed."
    return ""
