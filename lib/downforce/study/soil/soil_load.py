"""What the soil asks of an opener, and how well that is known: dig, reading, cone, table, memory."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill, Opener
from downforce.machine.field import Field
from downforce.machine.measured.digs import DigSheet
from downforce.machine.tables import read_table
from downforce.machine.unit_display import percent
from downforce.physics.checks import positive
from downforce.physics.kinds import Flags, Metre, Metres, Newton, Pascal, Wholes
from downforce.physics.soil import reaction_from_cone, reaction_from_pressure_sinkage, soil_reaction
from downforce.study.field_check import SoilEstimate, soil_from_dig

FEWEST_ROWS = 3
"""Rows with a free wheel below which a setting gives no interval [-]."""


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
class SettingDug:
    """What the digs at one pressure say.

    free: whether its gauge wheel turned freely.
    estimate: from the rows outside tracks with a free wheel; None if there are fewer than three.
    all_free: whether every wheel outside tracks was free. If not, only the hard places are left in the
        estimate, and it comes out too high.
    """

    gauge_pressure: Pascal
    row: Wholes
    depth: Metres
    free: Flags
    in_track: Flags
    estimate: SoilEstimate | None
    all_free: bool


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


def settings_dug(drill: Drill, field: Field, sheet: DigSheet) -> tuple[SettingDug, ...]:
    """What a dig sheet says, pressure by pressure.

    field: target depth, exponent and draft ratio.
    Result: from the lowest pressure up.

    Seeds of one row are averaged first: they share one opener and one strip of soil, so they are no
    independent holes. Intervals are by Student's t over rows.
    """
    if sheet.row.max() > drill.row_count:
        raise ValueError(
            f"{sheet.name} has a dig in row {sheet.row.max()}, but this drill has {drill.row_count} rows. "
            "Was it dug behind another drill?"
        )
    return tuple(_setting(drill, field, sheet, pressure) for pressure in sheet.settings)


def best_setting(settings: Sequence[SettingDug]) -> SettingDug | None:
    """The setting whose answer to trust most.

    Result: the highest pressure at which every wheel outside tracks was still free: its depths are nearest to
        the target, so the exponent matters least. None if there is no such setting.
    """
    sound = [setting for setting in settings if setting.estimate is not None and setting.all_free]
    return sound[-1] if sound else None


def asked_by_dig(field: Field, setting: SettingDug) -> Asked:
    """What the dig at one setting says."""
    found = setting.estimate
    rows = int(np.sum(setting.free & ~setting.in_track))
    words = (
        f"{rows} rows, wheels free; low to high holds the mean in {percent(found.confidence)} of such digs"
    )
    return Asked("dig sheet", words, found.low, found.reaction, found.high, field.target_depth, False)


def what_the_soil_asks(
    drill: Drill,
    field: Field,
    sheet: DigSheet | None = None,
    cone_index: Pascal | None = None,
    table_soil=None,
) -> tuple[Asked, ...]:
    """Everything that is known about the soil, the most trustworthy first. Use the first.

    sheet: a dig; it overrides everything else.
    Result: dig sheet, field file, cone, table, classes from memory, as far as given.
    """
    dug = best_setting(settings_dug(drill, field, sheet)) if sheet is not None else None
    asked = [asked_by_dig(field, dug)] if dug else []
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


def _setting(drill, field, sheet, pressure):
    here = sheet.gauge_pressure == pressure
    rows, first, index = np.unique(sheet.row[here], return_index=True, return_inverse=True)
    depth = np.bincount(index, sheet.depth[here]) / np.bincount(index)
    free, track = sheet.free[here][first], sheet.in_track[here][first]
    used = free & ~track
    estimate = None
    if used.sum() >= FEWEST_ROWS:
        estimate = soil_from_dig(drill, field, depth[used], float(pressure))
    return SettingDug(float(pressure), rows, depth, free, track, estimate, bool(free[~track].all()))
