"""Tables of workbook 03: three fields, where the short rows are, and what the oil makes of held pressure."""

from downforce.machine.shipped import example_field, shipped_fields
from downforce.study.field_pass import press
from downforce.study.ground.compare_actuators import chosen, sweep_settings
from downforce.study.ground.crossing import cross_field
from downforce.study.ground.pass_sample import sampled_crossing
from downforce.study.oil.band import SPACING as OIL_SPACING
from downforce.study.oil.band import STATIONS as OIL_STATIONS
from downforce.study.oil.band import oil_band
from downforce.study.oil.cases import COMPARED, usual_pressure
from downforce.workbook.ground.words import setting_words
from downforce.workbook.style import percent
from downforce.workbook.table import table_page

SEED = 1


def fields_table(bench):
    """Spring and cylinder on the three invented fields, each turned up until the aim's share is in.

    Parameters
    ----------
    bench : Bench [-]
        Drill and units.

    Returns
    -------
    Page [-]
        One row for each field and actuator.
    """
    rows = []
    for key, _path in shipped_fields():
        field = example_field(key)
        crossing = sampled_crossing(bench.drill, field)
        for name in ("spring", "cylinder"):
            sweep = sweep_settings(bench.drill, field, crossing, name)
            rows.append([f"{field.name}: {name}", *_cells(bench.units, chosen(sweep, "share in"), field.aim)])
    return table_page(
        f"Turned up until the wanted share is in: {bench.drill.name}",
        ["field and actuator", *_HEADER],
        rows,
        f"The fields are invented. In: the field's least load or more. {_STAR}",
    )


def places_table(bench, setting):
    """Where the short openers are: by rank, by section and by kind of ground.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.
    setting : str [-]
        Gauge pressure of the cylinders with its unit, such as "80 bar".

    Returns
    -------
    Page [-]
        One row for each group.

    Raises
    ------
    ValueError
        If the setting has no unit or cannot be read.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    held = bench.gauge_pressure(setting)
    crossing = sampled_crossing(drill, field)
    passes = [
        press(drill, field, crossing, drill.spring),
        press(drill, field, crossing, drill.cylinder, held),
    ]
    rows = []
    for what in ("rank", "section", "place"):
        groups = [done.shares_by(what) for done in passes]
        for group in groups[0]:
            cells = [
                text
                for shares in (groups[0][group], groups[1][group])
                for text in (percent(shares.short), units.show("force", shares.mean))
            ]
            rows.append([f"{what} {group}" if what == "rank" else str(group), *cells])
    return table_page(
        f"Where the short openers are: springs as set, cylinders at {units.show('pressure', held)}",
        ["where", "spring: short", "spring: mean load", "cylinder: short", "cylinder: mean load"],
        rows,
    )


def oil_table(bench):
    """Spring, cylinder at held pressure, and the same cylinder with the oil in it, cold, mild and warm.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Page [-]
        One row for each way to press.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    held = usual_pressure(drill, field)
    crossing = cross_field(drill, field, SEED, OIL_STATIONS, OIL_SPACING)
    spring = press(drill, field, crossing, drill.spring).shares()
    bands = [oil_band(drill, field, held, kelvin, crossing=crossing) for kelvin in COMPARED]
    setting = units.show("pressure", held)
    rows = [
        ["springs as set", "none", "none", *_load_cells(units, spring)],
        ["cylinders, pressure held", setting, "0 %", *_load_cells(units, bands[0].held)],
    ]
    for band in bands:
        ends = (units.show("pressure", end) for end in (band.low, band.high))
        rows.append(
            [
                f"cylinders, oil at {units.show('temperature', band.oil_temperature)}",
                " to ".join(ends),
                percent(band.starved),
                *_load_cells(units, band.with_oil),
            ]
        )
    asked, supply = (units.show("flow", flow) for flow in (bands[0].asked_flow, bands[0].supply_flow))
    note = (
        f"{units.show('large length', OIL_STATIONS * OIL_SPACING, 0)} of the field's own ground at "
        f"{units.show('speed', field.speed)}, cylinders set to {setting} for the "
        "load the field wants. One place in twenty is below the lower pressure, one above the higher. The "
        f"ground asks for up to {asked}; the tractor gives {supply}. A frame that is lifted is left out."
    )
    return table_page(
        f"The same pass with the oil in it: {drill.name}, {field.name}",
        [
            "what presses",
            "at the cylinders",
            "no oil presses",
            f"under {units.show('force', field.aim.least_load)}",
            f"above {units.show('force', field.aim.heavy_load)}",
            "mean load",
            "standard deviation",
        ],
        rows,
        note,
    )


_STAR = "A star: no setting in reach meets the criterion; the nearest is shown."
_HEADER = (
    "setting",
    "in",
    "in, worst quarter of rows",
    "not at depth",
    "packing",
    "mean load",
    "standard deviation",
)


def _load_cells(units, shares):
    loads = (units.show("force", load) for load in (shares.mean, shares.spread))
    return [percent(shares.short), percent(shares.packing), *loads]


def _cells(units, compared, aim):
    shares = compared.shares
    return [
        setting_words(units, compared),
        percent(1 - shares.short) if compared.met else f"{100 * (1 - shares.short):.1f} % *",
        percent(compared.worst_quarter_in),
        percent(shares.not_at_depth),
        f"{percent(shares.packing)} above {units.show('force', aim.heavy_load)}",
        units.show("force", shares.mean),
        units.show("force", shares.spread),
    ]
