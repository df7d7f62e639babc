"""The parts list of an oil circuit: what to order, in which size and rating, and why. No brands."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.tables import read_table
from downforce.physics.checks import positive
from downforce.physics.oil import VELOCITY_LIMITS, bore_for_velocity, next_nominal_bore
from downforce.study.oil.circuit import FEED_LENGTH, drill_with_hoses, header_pieces, row_groups
from downforce.study.oil.fastest import fastest_oil
from downforce.study.oil.figures import accumulator_for
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


def parts_list(drill, duty, ordered, borne):
    """Everything between the tractor and the cylinders, with the valves and hoses that were judged good.

    Parameters
    ----------
    drill : Drill [-]
        The drill as its file has it: cylinder, supply, guards.
    duty : Duty [-]
        What the circuit must cope with.
    ordered : Hoses [-]
        Valves and hoses to order, as `circuit_to_order` finds them.
    borne : Bearable [Pa]
        What the drill bears; oil that would need more is not told.

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
    made = _ordered_drill(drill, ordered)
    state = oil_state(
        made,
        duty.travel,
        duty.station_spacing,
        duty.speed,
        duty.gauge_pressure,
        duty.oil_temperature,
    )
    parts, own = made.hydraulics, drill.hydraulics
    most = parts.supply.max_pressure
    header, drop = fastest_oil(made, state, duty.oil_temperature, borne)
    return (
        *_inlet(drill, ordered.valves * ordered.taken),
        Part(
            "pressure reducing and relieving valve, three-way",
            ordered.valves,
            (
                Figure("rated flow", "flow", ordered.rated_flow),
                Figure("gives up to", "flow", ordered.given),
                Figure("takes back up to", "flow", ordered.taken),
                Figure("lowest setting", "pressure", parts.valve.min_pressure),
                Figure("highest setting", "pressure", parts.valve.max_pressure),
                Figure("step from give to take, at most", "pressure", parts.valve.band),
                Figure("fall at the rated flow, at most", "pressure", parts.valve.droop),
                Figure("inlet rating, at least", "pressure", most),
            ),
            "Holds the pressure whether the rows draw oil or give it back.",
            _valve_warning(own, ordered),
        ),
        *_guards(made, ordered.taken),
        _hose_part("header hose", 1, parts.header, float(_header_length(made)), most, header),
        _hose_part("drop hose", drill.row_count, parts.drop, parts.drop.length, most, drop),
        _cylinder(drill),
        _bleeds(drill),
        _accumulator(float(state.void.max()), duty.gauge_pressure),
    )


def _ordered_drill(drill, ordered):
    made = drill_with_hoses(
        drill, ordered.header_bore, ordered.drop_bore, feeds_y=ordered.places, rated_flow=ordered.rated_flow
    )
    own, parts = drill.hydraulics, made.hydraulics
    # A hose that is not the file's is ordered for the most that the tractor can press.
    header, drop = (
        new if new.bore == old.bore else replace(new, rated_pressure=parts.supply.max_pressure)
        for new, old in ((parts.header, own.header), (parts.drop, own.drop))
    )
    return replace(made, hydraulics=replace(parts, header=header, drop=drop))


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


def _inlet(drill, pushed_back):
    supply = drill.hydraulics.supply
    returned = max(supply.flow, pushed_back)
    line, back = _line_bore(supply.flow, "pressure"), _line_bore(returned, "return")
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
                Figure("flow, at most", "flow", returned),
                Figure("back-pressure, at most", "pressure", 5e5),
            ),
            "Carries what rising rows push back. Back-pressure in it acts on every cylinder and is the "
            "lowest force that can be set.",
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


def _hose_part(name, count, hose, length, most, oil):
    made, usual = hose_rating(hose.bore), VELOCITY_LIMITS["pressure"][1]
    warning = ""
    if made < most:
        warning = "Two-wire hose of this bore is rated for less than that: order four-wire hose."
    elif made < hose.rated_pressure:
        warning = "Two-wire hose of this bore is rated lower than the drill file says."
    elif hose.rated_pressure < most:
        warning = "The drill file's rating is below what the tractor can press."
    elif oil.velocity > usual:
        warning = (
            "On this ground its oil runs faster than is usual. That rule keeps heat, noise and loss low in "
            "steady flow; for the seconds of a crossing the load that is kept decides."
        )
    figures = [
        Figure("bore", "small length", hose.bore),
        Figure("rating, at least", "pressure", most),
        Figure("oil at its fastest" + (", at least" if oil.more else ""), "oil velocity", oil.velocity),
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


def _accumulator(missing, gauge_pressure):
    if missing == 0.0:
        return Part(
            "accumulator (optional)",
            0,
            (),
            "Not needed for flow: the supply is enough on this ground at this speed.",
        )
    gas = accumulator_for(missing, positive("gauge_pressure", gauge_pressure), ACCUMULATOR_SHARE)
    return Part(
        "accumulator (optional), nitrogen only",
        1,
        (Figure("oil to give", "volume", missing), Figure("gas volume, at least", "volume", gas)),
        "Gives the oil that the tractor cannot give in time. One precharge does not suit all settings, and "
        "it keeps energy after work. Driving slower, or across at an angle, costs nothing.",
    )


def _valve_warning(own, ordered):
    if own.valve.kind != "reducing-relieving":
        return "The drill file has a plain reducing valve, which cannot take oil back."
    if ordered.rated_flow > own.valve.rated_flow:
        return "The drill file's valve is rated for less flow than this ground asks at this speed."
    if ordered.valves != len(own.header.feeds_y):
        return "The drill file has another number of valves."
    return ""
