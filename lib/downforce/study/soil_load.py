"""What the soil asks of an opener and how well that is known, and what too much gauge-wheel load does.

Known from a dig, a reading, a cone, a table or memory. Too much load: contact pressure, sinkage, stress
beside the slot, bearing life.
"""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill, Opener
from downforce.machine.field import Field
from downforce.machine.readings import DigSheet
from downforce.machine.shipped import read_table
from downforce.machine.unit_table import percent
from downforce.physics.checks import not_negative, positive
from downforce.physics.kinds import Flags, Metre, Metres, Newton, Pascal, Wholes
from downforce.physics.soil_estimate import reaction_from_cone, reaction_from_pressure_sinkage
from downforce.physics.soil_reaction import soil_reaction
from downforce.physics.soil_stress import (
    bearing_life_ratio,
    concentration_for,
    contact_pressure,
    stress_below_rectangle,
    wheel_load,
    wheel_sinkage_exact,
    wheel_sinkage_in_range,
)
from downforce.study.field_check import SoilEstimate, said_of_soil, soil_estimate
from downforce.study.ground.field_ground import GAUGE_CONTACT_SHARE


@dataclass(frozen=True)
class Asked:
    """What one source says the soil asks at the target depth.

    basis: "dig sheet", "field file", "cone index", "pressure-sinkage table" or "class".
    words: what it rests on and what low and high mean.
    is_estimate: whether it was worked out or remembered, not measured.
    """

    basis: str
    words: str
    low: Newton
    middle: Newton
    high: Newton
    depth: Metre
    is_estimate: bool


@dataclass(frozen=True)
class SoilDug:
    """What rows of one kind say of the soil, each of them once.

    rows: how many there are.
    estimate: what follows; None where too few of them give a reading.
    why_none: the sentence that then says what is known; empty where there is an estimate.
    """

    rows: int
    estimate: SoilEstimate | None
    why_none: str


@dataclass(frozen=True)
class SettingDug:
    """What the digs at one pressure say.

    free: whether its gauge wheel turned freely.
    outside: from the rows outside tracks at this pressure alone.
    """

    gauge_pressure: Pascal
    row: Wholes
    depth: Metres
    free: Flags
    in_track: Flags
    outside: SoilDug


@dataclass(frozen=True)
class SheetDug:
    """What a whole dig sheet says.

    settings: pressure by pressure, from the lowest up.
    outside, in_tracks: from the rows outside tracks and from those in them, at whatever pressure.
    """

    settings: tuple[SettingDug, ...]
    outside: SoilDug
    in_tracks: SoilDug


def soil_classes():
    """Classes of soil with the reaction remembered for each.

    Result: low, high and the depth they are for, by class. From memory: no published figure was found.
    """
    table = read_table("soil_reaction_classes")
    columns = ("soil_reaction_low [N]", "soil_reaction_high [N]", "reference_depth [mm]")
    return {
        row["soil_class"]: (*(float(row[c]) for c in columns[:2]), row[columns[2]] / 1e3)
        for _, row in table.iterrows()
    }


def sinkage_soils():
    """Soils with published pressure-sinkage figures.

    Result: exponent, cohesive and frictional modulus, by soil, laboratory and moisture.
    """
    found = {}
    for _, row in read_table("soils").iterrows():
        moisture = f", {row['moisture [%]']:g} % water" if np.isfinite(row["moisture [%]"]) else ""
        where = "" if row["laboratory"] == "not given" else f" ({row['laboratory']})"
        moduli = float(row["k_c [kN/m^(n+1)]"]) * 1e3, float(row["k_phi [kN/m^(n+2)]"]) * 1e3
        found[f"{row['soil']}{where}{moisture}"] = (float(row["n [-]"]), *moduli)
    return found


def asked_by_field(field: Field) -> Asked:
    """What the field file says.

    Result: mean, and one standard deviation of places either way.
    """
    soil = field.soil
    at = [
        float(soil_reaction(field.target_depth, value, soil.reference_depth, soil.exponent))
        for value in (max(soil.reaction - soil.spread, 0.0), soil.reaction, soil.reaction + soil.spread)
    ]
    words = f"the field file, by {soil.basis}; low and high: two places out of three lie between"
    return Asked("field file", words, *at, field.target_depth, soil.basis == "estimate")  # type: ignore[arg-type, call-arg]


def asked_by_class(field: Field, soil_class) -> Asked:
    """What is remembered for a class of soil, brought to the target depth.

    soil_class: a key of `soil_classes`.
    """
    classes = soil_classes()
    if soil_class not in classes:
        raise ValueError(f"soil_class = {soil_class!r} is not known; there are: {', '.join(classes)}.")
    low, high, at_depth = classes[soil_class]
    ends = [
        float(soil_reaction(field.target_depth, value, at_depth, field.soil.exponent))
        for value in (low, (low + high) / 2, high)
    ]
    words = f"{soil_class}, one disc, from memory: no published figure was found"
    return Asked("class", words, *ends, field.target_depth, True)  # type: ignore[arg-type, call-arg]


def asked_by_cone(opener: Opener, field: Field, cone_index: Pascal) -> Asked:
    """What a penetrometer reading suggests.

    cone_index: mean reading from the surface to the target depth.
    Result: an order of magnitude. Every disc of the opener is counted.
    """
    guess = reaction_from_cone(cone_index, opener.disc_diameter, field.target_depth)
    return _from_estimate("cone index", guess, opener, field)


def asked_by_table(opener: Opener, field: Field, soil) -> Asked:
    """What a published pressure-sinkage soil suggests.

    soil: a key of `sinkage_soils`.
    Result: an order of magnitude, more often too low than too high. Every disc of the opener is counted.
    """
    soils = sinkage_soils()
    if soil not in soils:
        raise ValueError(f"soil = {soil!r} is not in the table; there are: {', '.join(soils)}.")
    guess = reaction_from_pressure_sinkage(field.target_depth, opener.disc_diameter, *soils[soil])
    return _from_estimate("pressure-sinkage table", guess, opener, field)


def sheet_dug(drill: Drill, field: Field, sheet: DigSheet) -> SheetDug:
    """What a dig sheet says, pressure by pressure and as a whole.

    field: target depth, exponent and draft ratio.
    Raises ValueError if the sheet has a row that the drill has not.

    Seeds of one row at one pressure are averaged first: they share one opener and one strip of soil, so they
    are no independent holes. Over all pressures a row counts by the mean of its readings, each weighed by its
    depth squared: a depth is as sure at any pressure, so a reaction is the surer the deeper, and near the
    target the exponent matters least. A row without a reading counts by the tightest of its bounds.
    """
    if sheet.row.max() > drill.row_count:
        raise ValueError(
            f"{sheet.name} has a dig in row {sheet.row.max()}, but this drill has {drill.row_count} rows. "
            "Was it dug behind another drill?"
        )
    place = np.searchsorted(sheet.settings, sheet.gauge_pressure)
    _, first, index = np.unique(
        place * (sheet.row.max() + 1) + sheet.row, return_index=True, return_inverse=True
    )
    pressure, row = sheet.gauge_pressure[first], sheet.row[first]
    depth = np.bincount(index, sheet.depth) / np.bincount(index)
    free, track = sheet.free[first], sheet.in_track[first]
    low, high = said_of_soil(drill, field, depth, pressure, free)

    def dug(chosen):
        rows = np.unique(row[chosen])
        try:
            holes = [chosen & (row == one) for one in rows]
            said = [_of_row(row[at][0], depth[at], low[at], high[at]) for at in holes]
            return SoilDug(rows.size, soil_estimate(drill, field, *np.reshape(said, (-1, 2)).T), "")
        except ValueError as refusal:
            return SoilDug(rows.size, None, str(refusal))

    settings = []
    for one in sheet.settings:
        here = pressure == one
        outside = dug(here & ~track)
        settings.append(SettingDug(float(one), row[here], depth[here], free[here], track[here], outside))
    return SheetDug(tuple(settings), dug(~track), dug(track))


def asked_by_dig(field: Field, found: SoilEstimate) -> Asked:
    """What a dig says."""
    words = f"{found.counted}; low to high holds the mean in {percent(found.confidence)} of such digs"
    return Asked("dig sheet", words, found.low, found.reaction, found.high, field.target_depth, False)


def what_the_soil_asks(
    drill: Drill, field: Field, dug: SheetDug | None = None, cone_index: Pascal | None = None, table_soil=None
) -> tuple[Asked, ...]:
    """Everything that is known about the soil, the most trustworthy first. Use the first.

    dug: what a dig sheet says; its rows outside tracks override everything else.
    Result: dig sheet, field file, cone, table, classes from memory, as far as given.
    """
    asked = [asked_by_dig(field, dug.outside.estimate)] if dug and dug.outside.estimate else []
    asked.append(asked_by_field(field))
    if cone_index is not None:
        asked.append(asked_by_cone(drill.opener, field, positive("cone_index", cone_index)))
    if table_soil is not None:
        asked.append(asked_by_table(drill.opener, field, table_soil))
    return tuple(asked + [asked_by_class(field, soil_class) for soil_class in soil_classes()])


def _from_estimate(basis, guess, opener, field):
    discs = opener.discs
    ends = [discs * float(value) for value in (guess.low, guess.middle, guess.high)]
    words = guess.basis if discs == 1 else f"{guess.basis}; both discs counted"
    return Asked(basis, words, *ends, field.target_depth, True)


def _of_row(row, depth, low, high):
    """Ends of what the holes of one row say together."""
    known = low == high
    if known.any():
        return (np.average(low[known], weights=depth[known] ** 2),) * 2
    if low.max() > high.min():
        raise ValueError(
            f"Row {row} has a loaded wheel at one pressure and runs much too shallow at a higher one. "
            "No one soil does both: dig that row again, or leave it out."
        )
    return low.max(), high.min()


SLOT_GAP = 0.010
"""From the edge of the gauge wheel to the wall of the slot [m]; assumed, no source."""
STATES = {"dry": "hard", "moist": "normal", "wet": "soft wet"}
"""State of the soil for the concentration factor, by the moisture of a field file [-]."""
NO_WALL_FIGURE = (
    "We found no published stress at which a slot wall smears or shuts: compare settings, look at the wall."
)
"""Words that go wherever a stress beside the slot is shown [-]."""


@dataclass(frozen=True)
class WheelMark:
    """What a gauge wheel does to the soil under it and at the slot's wall (SI); no limit was found."""

    gauge_wheel_load: float
    contact_pressure: float
    concentration: int
    depth: np.ndarray
    below_wheel: np.ndarray
    at_wall: np.ndarray
    seed_depth_stress: float
    life: float


@dataclass(frozen=True)
class Sinkage:
    """How deep a gauge wheel sinks into one soil [m], NaN where it is not carried.

    `in_range`: whether wheel and soil are of the size the formula is meant for.
    """

    soil: str
    sinkage: float
    carried: bool
    in_range: bool


def usual_contact_length(opener):
    """Length of the gauge wheel's contact to start from [m]: an assumed share of its diameter, no source."""
    return GAUGE_CONTACT_SHARE * opener.gauge_wheel_diameter


def wall_distance(opener):
    """From the middle of the gauge wheel to the wall of the slot [m]: half the wheel and an assumed gap."""
    return opener.gauge_wheel_width / 2 + SLOT_GAP


def stress_in_ground(opener, gauge_wheel_load, contact_length, state, distance, depth):
    """Vertical stress [Pa] at a distance across from the middle of the gauge wheel's contact, and a depth.

    Uniform pressure on the rectangle of the contact. The open slot is left out: its wall is a free face,
    where real stress is higher and the soil can move sideways.
    """
    width = opener.gauge_wheel_width
    pressure = contact_pressure(gauge_wheel_load, width, contact_length)
    return stress_below_rectangle(
        depth, distance, 0.0, width, contact_length, pressure, concentration_for(state)
    )


def wheel_mark(opener, gauge_wheel_load, contact_length, state, wanted_load, target_depth, depths):
    """Contact pressure, stress under the wheel and at the slot's wall, and bearing life: a WheelMark."""
    wall = wall_distance(opener)

    def stress(depth, distance):
        return stress_in_ground(opener, gauge_wheel_load, contact_length, state, distance, depth)

    return WheelMark(
        float(gauge_wheel_load),
        float(contact_pressure(gauge_wheel_load, opener.gauge_wheel_width, contact_length)),
        concentration_for(state),
        np.asarray(depths, dtype=float),
        stress(depths, 0.0),
        stress(depths, wall),
        float(stress(target_depth, wall)),
        float(bearing_life_ratio(gauge_wheel_load / wanted_load)),
    )


def stress_map(opener, gauge_wheel_load, contact_length, state, distances, depths):
    """Vertical stress [Pa] over a cross-section of the ground, shape (depths, distances)."""
    depths = np.asarray(depths, dtype=float)[:, None]
    # Both sides are alike, so each distance is worked once.
    once, back = np.unique(np.abs(distances), return_inverse=True)
    return stress_in_ground(opener, gauge_wheel_load, contact_length, state, once, depths)[:, back]


def gauge_wheel_sinkage(opener, gauge_wheel_load):
    """Sinkage of the gauge wheel in every soil of the pressure-sinkage table, in its order.

    What the wheel sinks, the seed lies deeper below the untouched surface than the depth stop says.
    """
    load = float(not_negative("gauge_wheel_load", gauge_wheel_load))
    width, diameter = opener.gauge_wheel_width, opener.gauge_wheel_diameter
    found = []
    for name, soil in sinkage_soils().items():
        carried = bool(wheel_load(diameter / 2, width, diameter, *soil) >= load)
        sinkage = float(wheel_sinkage_exact(load, width, diameter, *soil)) if carried else np.nan
        found.append(Sinkage(name, sinkage, carried, bool(wheel_sinkage_in_range(diameter, soil[0]))))
    return tuple(found)
