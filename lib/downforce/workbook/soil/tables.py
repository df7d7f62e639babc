"""Tables and sums by hand of the soil workbook."""

from pathlib import Path

import numpy as np

from downforce.machine.bibliography import spelled
from downforce.machine.field import Soil
from downforce.machine.measured.digs import EXAMPLE, DigSheet, read_dig_sheet
from downforce.machine.reader import FileProblem
from downforce.machine.tables import read_table
from downforce.machine.units import parse_quantity
from downforce.physics.emergence import emergence_delay, thermal_time_to_emergence
from downforce.physics.kinds import Ratio
from downforce.physics.soil import bearing_life_ratio
from downforce.study.opener_loads import opener_loads
from downforce.study.soil.draft_margin import draft_lift
from downforce.study.soil.soil_load import settings_dug, what_the_soil_asks
from downforce.study.soil.too_much import gauge_wheel_sinkage
from downforce.workbook.bench import Bench, PlainProblem
from downforce.workbook.table import table_page

CONE_START = 1e6
"""Penetrometer reading that the tables and the panel start with [Pa]; invented."""
SOIL_START = "sandy loam (LLL), 15 % water"
"""Soil of the pressure-sinkage table they start with [-]."""


def open_digs(path: str | Path = EXAMPLE):
    """Digs of the reader, or the invented ones.

    path: A CSV file; the shipped one if left out.
    """
    try:
        sheet = read_dig_sheet(path)
    except FileProblem as problem:
        raise PlainProblem(str(problem)) from None
    rows = np.unique(sheet.row).size
    print(f"{sheet.name}: {sheet.depth.size} seeds in {rows} rows at {len(sheet.settings)} pressures.")
    return sheet


def dig_table(bench: Bench, sheet: DigSheet):
    """What the digs at each pressure say about the soil."""
    show = bench.units.show
    rows = []
    try:
        settings = settings_dug(bench.drill, bench.field, sheet)
    except ValueError as problem:
        return table_page("Digs, pressure by pressure", ["Pressure", "Said"], [["all", str(problem)]])
    for setting in settings:
        rows_open = ~setting.in_track
        free = f"{int((setting.free & rows_open).sum())} of {int(rows_open.sum())}"
        depth = show("length", float(setting.depth[rows_open].mean()))
        found = setting.estimate
        if found is None:
            said = ["not found", "not found", "too few free wheels: the soil asks for less than the push"]
        else:
            said = [
                show("force", found.reaction),
                f"{show('force', found.low)} to {show('force', found.high)}",
                "sound" if setting.all_free else "too high: only the hard places are left in it",
            ]
        rows.append([show("pressure", setting.gauge_pressure), free, depth, *said])
    header = [
        "Pressure",
        "Wheels free outside tracks",
        "Mean depth",
        "Soil reaction",
        "Interval (95 %)",
        "How good",
    ]
    note = (
        "Seeds of one row are averaged first. Rows in wheel tracks are left out. The interval is that of the "
        "mean over the field; single rows differ more. Gauge error, draft ratio and its line are left out."
    )
    return table_page("Digs, pressure by pressure", header, rows, note)


def evidence_table(bench: Bench, sheet: DigSheet | None = None):
    """Every source of a soil reaction for this drill and field, the one to use first.

    sheet: the digs; left out where they belong to another drill.
    """
    show = bench.units.show
    if sheet is not None and sheet.row.max() > bench.drill.row_count:
        sheet = None
    asked = what_the_soil_asks(bench.drill, bench.field, sheet, CONE_START, SOIL_START)
    rows = [
        [
            one.basis,
            show("force", one.low),
            show("force", one.middle),
            show("force", one.high),
            "estimate" if one.is_estimate else "measured",
            one.words,
        ]
        for one in asked
    ]
    caption = f"What the soil asks at {show('length', bench.field.target_depth)}; use the first line"
    note = (
        f"Cone reading of {show('stress', CONE_START)} and the soil {SOIL_START} are invented choices. "
        "A dig overrides everything below it."
    )
    return table_page(caption, ["Source", "Low", "Middle", "High", "Kind", "Rests on"], rows, note)


def sinkage_table(bench: Bench):
    """How deep the gauge wheel sinks into the soils of the table under three loads."""
    units, aim = bench.units, bench.field.aim
    loads = (max(aim.gauge_wheel_load, 50.0), aim.heavy_load, 1.5 * aim.heavy_load)
    columns = [gauge_wheel_sinkage(bench.drill.opener, load) for load in loads]
    rows = [
        [
            cells[0].soil,
            *(units.show("length", c.sinkage) if c.carried else "to the axle: not carried" for c in cells),
        ]
        for cells in zip(*columns, strict=True)
    ]
    note = (
        "Estimates. These soils were measured with plates (Wong 2008, table 2.3); firm no-till soil is not "
        "in the table, and no-till ground is likely firmer. "
    )
    if not all(c.in_range for c in columns[0]):
        note += "This gauge wheel is smaller, or the soil's exponent larger, than the formula is meant for."
    header = ["Soil", *(f"Sinkage under {units.show('force', load)}" for load in loads)]
    return table_page("Sinkage of the gauge wheel", header, rows, note)


def emergence_table(bench: Bench):
    """Published figures about depth and emergence, as ranges with their sources."""
    rows = []
    for row in read_table("emergence_sources").itertuples():
        rows.append(
            [
                f"{row.crop}: {row.condition}",
                _figure(bench.units, row),
                f"{spelled(row.source)} ({row.how_sure})",
            ]
        )
    note = (
        "Abstracts, excerpts and library notes, no whole papers. Other soil, seed and weather: other numbers."
        " The stress at a seedling's surface is no cone reading and no stress under a wheel."
    )
    return table_page(
        "Depth and emergence, as published", ["What was compared", "Figure", "Source"], rows, note
    )


def depth_when_short(bench: Bench, soil_reaction, gauge_pressure):
    """Depth that the bench's opener reaches in a soil at a pressure.

    gauge_pressure: such as "60 bar".
    """
    field, both = bench.field, bench.units.both
    asked = parse_quantity(soil_reaction, "force")
    soil = Soil(asked, field.target_depth, field.target_depth, field.soil.exponent, field.soil.draft_ratio)
    found = opener_loads(
        bench.drill.opener, bench.drill.cylinder, soil, 0.0, bench.gauge_pressure(gauge_pressure)
    )
    return (
        f"Depth: {both('length', float(found.depth))} of {both('length', field.target_depth)}, "
        f"{found.regime}\n"
        f"Gauge-wheel load: {both('force', float(found.gauge_wheel_load))}"
    )


def lift_by_draft(bench: Bench, draft, pivot_height, arm_length):
    """Load that draft takes off the gauge wheel of a trailing arm, from three readings.

    draft, pivot_height, arm_length: such as "540 N", "450 mm", "600 mm".
    """
    lost = draft_lift(
        parse_quantity(draft, "force"),
        parse_quantity(pivot_height, "length"),
        parse_quantity(arm_length, "length"),
    )
    return f"Off the gauge wheel: {bench.units.both('force', float(lost))}"


def delay(shallow, deep, temperature):
    """Days that deeper wheat comes up later."""
    depths = [parse_quantity(text, "length") for text in (shallow, deep)]
    sums = [float(thermal_time_to_emergence(depth)) for depth in depths]
    late = float(emergence_delay(*depths, parse_quantity(temperature, "temperature")))
    return f"Degree-days: {sums[0]:.1f} and {sums[1]:.1f}\nDelay: {late:.1f} days"


def bearing_life(load_ratio: Ratio):
    """Life of a wheel bearing under a changed load."""
    return f"Load x {load_ratio:g}: {100 * bearing_life_ratio(load_ratio):.1f} % of the life"


def _figure(units, row):
    if row.low != row.low:
        return row.unit
    if row.unit == "m":
        low, high = units.show("length", row.low), units.show("length", row.high)
    elif row.unit == "Pa":
        low, high = units.show("stress", row.low), units.show("stress", row.high)
    elif row.unit.startswith("share"):
        low, high = (
            f"{100 * value:.3g} % {row.unit.removeprefix('share').strip()}".strip()
            for value in (row.low, row.high)
        )
    else:
        low, high = f"{row.low:g} {row.unit}", f"{row.high:g} {row.unit}"
    return low if row.low == row.high else f"{low} to {high}"
