"""What the soil asks of an opener, and how well that is known: dig, reading, cone, table, memory."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.tables import read_table
from downforce.machine.unit_display import percent
from downforce.physics.checks import positive
from downforce.physics.soil import reaction_from_cone, reaction_from_pressure_sinkage, soil_reaction
from downforce.study.field_check import SoilEstimate, soil_from_dig

FEWEST_ROWS = 3
"""Rows with a free wheel below which a setting gives no interval [-]."""


@dataclass(frozen=True)
class Asked:
    """What one source says the soil asks at the target depth.

    Attributes
    ----------
    basis : str [-]
        "dig sheet", "field file", "cone index", "pressure-sinkage table" or "class".
    words : str [-]
        What it rests on and what low and high mean.
    low, middle, high : float [N]
        Soil reaction at the depth.
    depth : float [m]
        Target depth.
    is_estimate : bool [-]
        Whether it was worked out or remembered, not measured.
    """

    basis: str
    words: str
    low: float
    middle: float
    high: float
    depth: float
    is_estimate: bool


@dataclass(frozen=True)
class SettingDug:
    """What the digs at one pressure say.

    Attributes
    ----------
    gauge_pressure : float [Pa]
        The setting.
    row : array of int [-]
        Rows that were dug.
    depth : array [m]
        Mean depth of each row.
    free : array of bool [-]
        Whether its gauge wheel turned freely.
    in_track : array of bool [-]
        Whether it ran in a wheel track.
    estimate : SoilEstimate or None [N]
        From the rows outside tracks with a free wheel; None if there are fewer than three.
    all_free : bool [-]
        Whether every wheel outside tracks was free. If not, only the hard places are left in the estimate,
        and it comes out too high.
    """

    gauge_pressure: float
    row: np.ndarray
    depth: np.ndarray
    free: np.ndarray
    in_track: np.ndarray
    estimate: SoilEstimate | None
    all_free: bool


def soil_classes():
    """Classes of soil with the reaction remembered for each.

    Returns
    -------
    dict of tuple of three floats [N, N, m]
        Low, high and the depth they are for, by class. From memory: no published figure was found.
    """
    table = read_table("soil_reaction_classes")
    columns = ("soil_reaction_low [N]", "soil_reaction_high [N]", "reference_depth [mm]")
    return {
        row["soil_class"]: (*(float(row[c]) for c in columns[:2]), row[columns[2]] / 1e3)
        for _, row in table.iterrows()
    }


def sinkage_soils():
    """Soils with published pressure-sinkage figures.

    Returns
    -------
    dict of tuple of three floats [-, N/m^(n+1), N/m^(n+2)]
        Exponent, cohesive and frictional modulus, by soil, laboratory and moisture.
    """
    found = {}
    for _, row in read_table("soils").iterrows():
        moisture = f", {row['moisture [%]']:g} % water" if np.isfinite(row["moisture [%]"]) else ""
        where = "" if row["laboratory"] == "not given" else f" ({row['laboratory']})"
        moduli = float(row["k_c [kN/m^(n+1)]"]) * 1e3, float(row["k_phi [kN/m^(n+2)]"]) * 1e3
        found[f"{row['soil']}{where}{moisture}"] = (float(row["n [-]"]), *moduli)
    return found


def asked_by_field(field):
    """What the field file says.

    Parameters
    ----------
    field : Field [-]
        The field.

    Returns
    -------
    Asked [N]
        Mean, and one standard deviation of places either way.
    """
    soil = field.soil
    at = [
        float(soil_reaction(field.target_depth, value, soil.reference_depth, soil.exponent))
        for value in (max(soil.reaction - soil.spread, 0.0), soil.reaction, soil.reaction + soil.spread)
    ]
    words = f"the field file, by {soil.basis}; low and high: two places out of three lie between"
    return Asked("field file", words, *at, field.target_depth, soil.basis == "estimate")


def asked_by_class(field, soil_class):
    """What is remembered for a class of soil, brought to the target depth.

    Parameters
    ----------
    field : Field [-]
        Gives target depth and exponent.
    soil_class : str [-]
        A key of :func:`soil_classes`.

    Returns
    -------
    Asked [N]
        Low and high as remembered, the middle between them.

    Raises
    ------
    ValueError
        If there is no such class.
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
    return Asked("class", words, *ends, field.target_depth, True)


def asked_by_cone(opener, field, cone_index):
    """What a penetrometer reading suggests.

    Parameters
    ----------
    opener : Opener [-]
        Gives the disc.
    field : Field [-]
        Gives the target depth.
    cone_index : float [Pa]
        Mean reading from the surface to the target depth.

    Returns
    -------
    Asked [N]
        An order of magnitude. Every disc of the opener is counted.
    """
    guess = reaction_from_cone(cone_index, opener.disc_diameter, field.target_depth)
    return _from_estimate("cone index", guess, opener, field)


def asked_by_table(opener, field, soil):
    """What a published pressure-sinkage soil suggests.

    Parameters
    ----------
    opener : Opener [-]
        Gives the disc.
    field : Field [-]
        Gives the target depth.
    soil : str [-]
        A key of :func:`sinkage_soils`.

    Returns
    -------
    Asked [N]
        An order of magnitude, more often too low than too high. Every disc of the opener is counted.

    Raises
    ------
    ValueError
        If there is no such soil.
    """
    soils = sinkage_soils()
    if soil not in soils:
        raise ValueError(f"soil = {soil!r} is not in the table; there are: {', '.join(soils)}.")
    guess = reaction_from_pressure_sinkage(field.target_depth, opener.disc_diameter, *soils[soil])
    return _from_estimate("pressure-sinkage table", guess, opener, field)


def settings_dug(drill, field, sheet):
    """What a dig sheet says, pressure by pressure.

    Parameters
    ----------
    drill : Drill [-]
        The drill that was dug behind.
    field : Field [-]
        Target depth, exponent and draft ratio.
    sheet : DigSheet [-]
        The digs.

    Returns
    -------
    tuple of SettingDug [N, m]
        From the lowest pressure up.

    Raises
    ------
    ValueError
        If a row is not on the drill.

    Notes
    -----
    Seeds of one row are averaged first: they share one opener and one strip of soil, so they are no
    independent holes. Intervals are by Student's t over rows.
    """
    if sheet.row.max() > drill.row_count:
        raise ValueError(
            f"{sheet.name} has a dig in row {sheet.row.max()}, but this drill has {drill.row_count} rows. "
            "Was it dug behind another drill?"
        )
    return tuple(_setting(drill, field, sheet, pressure) for pressure in sheet.settings)


def best_setting(settings):
    """The setting whose answer to trust most.

    Parameters
    ----------
    settings : sequence of SettingDug [-]
        From :func:`settings_dug`.

    Returns
    -------
    SettingDug or None [-]
        The highest pressure at which every wheel outside tracks was still free: its depths are nearest to
        the target, so the exponent matters least. None if there is no such setting.
    """
    sound = [setting for setting in settings if setting.estimate is not None and setting.all_free]
    return sound[-1] if sound else None


def asked_by_dig(field, setting):
    """What the dig at one setting says.

    Parameters
    ----------
    field : Field [-]
        Gives the target depth.
    setting : SettingDug [-]
        With an estimate.

    Returns
    -------
    Asked [N]
        Mean of the field and the interval of that mean.
    """
    found = setting.estimate
    rows = int(np.sum(setting.free & ~setting.in_track))
    words = (
        f"{rows} rows, wheels free; low to high holds the mean in {percent(found.confidence)} of such digs"
    )
    return Asked("dig sheet", words, found.low, found.reaction, found.high, field.target_depth, False)


def what_the_soil_asks(drill, field, sheet=None, cone_index=None, table_soil=None):
    """Everything that is known about the soil, the most trustworthy first. Use the first.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    sheet : DigSheet, optional [-]
        A dig; it overrides everything else.
    cone_index : float, optional [Pa]
        A penetrometer reading.
    table_soil : str, optional [-]
        A soil of the pressure-sinkage table.

    Returns
    -------
    tuple of Asked [N]
        Dig sheet, field file, cone, table, classes from memory, as far as given.
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
