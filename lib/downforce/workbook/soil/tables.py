"""The sentences, tables and sums by hand of the soil workbook."""

from pathlib import Path

import numpy as np

from downforce.machine.field import Soil
from downforce.machine.reader import FileProblem
from downforce.machine.readings import DIG_EXAMPLE, DigSheet, read_dig_sheet
from downforce.machine.shipped import read_table, spelled
from downforce.machine.unit_table import UnitSystem
from downforce.machine.units import parse_quantity
from downforce.physics.emergence import NO_YIELD_PROMISE, emergence_delay, thermal_time_to_emergence
from downforce.physics.kinds import Ratio
from downforce.physics.soil_stress import bearing_life_ratio
from downforce.study.opener_loads import opener_loads
from downforce.study.soil_limits import DEFENSIBLE_SHARE, MIDDLE_SHARE, draft_lift
from downforce.study.soil_load import (
    NO_WALL_FIGURE,
    SoilDug,
    gauge_wheel_sinkage,
    sheet_dug,
    what_the_soil_asks,
)
from downforce.workbook import style
from downforce.workbook.bench import Bench, PlainProblem
from downforce.workbook.soil.drawing import AskedResult, EmergenceResult, EvidenceResult, ReachedResult
from downforce.workbook.table import table_page


def asked_words(result: AskedResult, units: UnitSystem):
    """What the first panel says."""
    show = units.show
    return (
        f"{result.soil}: at {show('length', result.depth)} the soil asks for {show('force', result.middle)} "
        f"({show('force', result.low)} to {show('force', result.high)}; {result.basis}), and the draft is "
        f"{show('force', result.draft)}. With an exponent of {result.exponent:.1f}, {show('length', 0.01)} "
        f"more depth asks for {style.percent(result.growth)} more."
    )


def reached_words(result: ReachedResult, units: UnitSystem):
    """What the second panel says."""
    show = units.show
    start = f"{result.actuator} gives {show('force', result.down_force)} at the disc: {result.regime}."
    reach = f"{show('length', result.depth)} of {show('length', result.target_depth)}"
    if result.regime == "at depth":
        return (
            f"{start} The disc runs at the {show('length', result.depth)} it is set to, and "
            f"{show('force', result.gauge_wheel_load)} are left on the gauge wheel. More push adds no depth, "
            "only load on the wheel."
        )
    if result.regime == "on the upper stop":
        return f"{start} The ground holds it against its stop and the frame carries it: no pressure helps."
    if result.regime == "on the lower stop":
        return f"{start} It hangs on its stop and reaches {reach}: travel has run out, and no pressure helps."
    if result.regime == "out of the ground":
        return f"{start} The disc does not touch the soil."
    load, needed = show("force", result.wanted), show("pressure", result.needed)
    needed = f"For {load} on the wheel, the cylinder needs {needed}"
    if result.needed > result.highest:
        needed += f", more than the {show('pressure', result.highest)} that its valve can hold"
    return f"{start} The disc reaches {reach} and the gauge wheel carries nothing. {needed}."


def as_long(ratio: Ratio):
    """A ratio of lives in words that suit its size."""
    if abs(ratio - 1) < 0.05:
        return "about as long"
    if ratio > 1:
        return f"{style.number(ratio, 2)} times as long"
    return f"{style.number(100 * ratio, 2)} % as long"


def wall_stress(mark, units):
    """The stress at the slot's wall at seed depth, with one digit more than usual: it is small."""
    return units.show("stress", mark.seed_depth_stress, 1 if units.step("stress") >= 1 else 2)


def stress_words(result, units):
    """What the third panel says."""
    mark, show = result.mark, units.show
    at = f"{show('length', result.target_depth)}; {result.state}, factor {mark.concentration}"
    return (
        f"{show('force', mark.gauge_wheel_load)} on the gauge wheel press on the ground with "
        f"{show('stress', mark.contact_pressure)}; {wall_stress(mark, units)} arrive at the "
        f"slot wall at seed depth ({at}). The wheel's bearing lives {as_long(mark.life)} as under the "
        f"wanted {show('force', result.wanted)}. {NO_WALL_FIGURE}"
    )


def draft_words(result, units):
    """What the fourth panel says: draft, what it takes off both gauge wheels, and what its line decides."""
    now, show = result.now, units.show
    left = [
        f"{show('force', load)} are left" if load > 0 else "nothing is left: not at depth"
        for load in (now.trailing_arm, now.parallel_linkage)
    ]
    takes = [
        f"{'takes' if lost >= 0 else 'adds'} {show('force', abs(lost))} {'off' if lost >= 0 else 'to'}"
        for lost in (now.lost_on_arm, now.lost_on_links)
    ]
    more = "more" if result.draft_growth >= 0 else "less"
    change = style.percent(abs(result.draft_growth))
    growth = "as in" if change == "0 %" else f"{change} {more} than in"
    none, own, all_of_it = (show("force", taken) for taken in result.taken)
    if result.own_line is None:
        low, high = (style.percent(share) for share in DEFENSIBLE_SHARE)
        line = f"this drill's {style.percent(result.own_share)}"
        known = f"We found no published share; {low} to {high} can be defended."
    else:
        line = f"this drill's own line, {show('length', result.own_line)} over the surface"
        known = "That line was measured."
    words = (
        f"At {show('speed', result.speed)} the draft is {show('force', now.draft)}, "
        f"{growth} the field as set. With {style.percent(result.dragged_share)} of it dragged it {takes[0]} "
        f"the trailing arm's gauge wheel, and {left[0]}. It {takes[1]} that of the parallel linkage, "
        f"wherever it acts, and {left[1]}. What it takes off the arm: {none} with nothing "
        f"dragged, {own} with {line}, {all_of_it} with all of it. {known}"
    )
    if result.added_closing > 0:
        words += (
            f" {show('force', result.added_closing)} more on the closing wheel take away "
            f"{show('force', now.closing_on_arm)} and {show('force', now.closing_on_links)}."
        )
    return words


def emergence_words(result: EmergenceResult, units: UnitSystem):
    """What the fifth panel says.

    Result: several sentences; the last promises no yield.
    """
    found, shares, show = result.emergence, result.emergence.shares, units.show
    return (
        f"{result.source}. Wheat in moist soil at {show('temperature', result.temperature)}: the middle "
        f"{style.percent(MIDDLE_SHARE)} come up between day {found.first:.1f} and day {found.last:.1f}, "
        f"{found.days_apart:.1f} days apart. {style.percent(shares.in_window)} of the seeds lie inside "
        f"{show('length', result.shallowest)} to {show('length', result.deepest)}, "
        f"{style.percent(shares.shallow)} too shallow, {style.percent(shares.deep)} too deep; beyond the "
        f"coleoptile's reach {style.percent(found.beyond_long)} (longest) to "
        f"{style.percent(found.beyond_short)} (shortest). {NO_YIELD_PROMISE}"
    )


def evidence_words(result: EvidenceResult, units: UnitSystem):
    """What the panel of the real thing says."""
    used, show = result.asked[0], units.show
    by_basis = {asked.basis: asked for asked in result.asked}
    cone, table = by_basis["cone index"], by_basis["pressure-sinkage table"]
    words = (
        f"Use the {used.basis}: {show('force', used.middle)} ({show('force', used.low)} to "
        f"{show('force', used.high)}). "
    )
    if result.dug is not None:
        found = result.dug
        words += (
            f'For a field file: reaction "{show("force", found.reaction)} ± '
            f'{show("force", found.uncertainty)}", reference depth {show("length", used.depth)}. '
            f"{found.counted_words(units)}. The wanted load on a row in mean soil needs "
            f"{show('pressure', found.needed)}, {show('pressure', found.needed_low)} to "
            f"{show('pressure', found.needed_high)}; rows differ, so that is the least to ask for. "
        )
    else:
        words += f"{result.left_out} "
    return words + (
        f"Estimates, not measurements: the cone says {show('force', cone.low)} to "
        f"{show('force', cone.high)}, the table {show('force', table.low)} to {show('force', table.high)}."
    )


CONE_START = 1e6
"""Penetrometer reading that the tables and the panel start with [Pa]; invented."""
SOIL_START = "sandy loam (LLL), 15 % water"
"""Soil of the pressure-sinkage table they start with [-]."""


def open_digs(path: str | Path = DIG_EXAMPLE):
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
    units, caption = bench.units, "What the digs say of the soil"
    try:
        found = sheet_dug(bench.drill, bench.field, sheet)
    except ValueError as problem:
        return table_page(caption, ["Rows", "Said"], [["all", str(problem)]])
    rows = [
        [
            f"outside tracks, {units.show('pressure', setting.gauge_pressure)}",
            units.show("length", float(setting.depth[~setting.in_track].mean())),
            *_dug(setting.outside, units),
        ]
        for setting in found.settings
        if not setting.in_track.all()
    ]
    rows += [
        [f"{place}, all pressures", "each its own", *_dug(dug, units)]
        for place, dug in (("outside tracks", found.outside), ("in tracks", found.in_tracks))
        if dug.rows
    ]
    header = ["Rows", "Mean depth", "Soil reaction", "Interval (95 %)", "How it is counted"]
    note = (
        "Seeds of one row are averaged first. A loaded wheel gives a bound: the soil asks for no more than "
        "the push. The interval is that of the mean over the field; single rows differ more. Gauge error, "
        "draft ratio and its line are left out."
    )
    return table_page(caption, header, rows, note)


def _dug(dug: SoilDug, units: UnitSystem):
    if dug.estimate is None:
        return ["not found", "not found", dug.why_none]
    found, show = dug.estimate, units.show
    interval = f"{show('force', found.low)} to {show('force', found.high)}"
    return [show("force", found.reaction), interval, found.counted_words(units)]


def evidence_table(bench: Bench, sheet: DigSheet | None = None):
    """Every source of a soil reaction for this drill and field, the one to use first.

    sheet: the digs; left out where they belong to another drill.
    """
    show, drill, field = bench.units.show, bench.drill, bench.field
    dug = None
    if sheet is not None and sheet.row.max() <= drill.row_count:
        dug = sheet_dug(drill, field, sheet)
    asked = what_the_soil_asks(drill, field, dug, CONE_START, SOIL_START)
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
    caption = f"What the soil asks at {show('length', field.target_depth)}; use the first line"
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
        f"{found.regime}\nGauge-wheel load: {both('force', float(found.gauge_wheel_load))}"
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
