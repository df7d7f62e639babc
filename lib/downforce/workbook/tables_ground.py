"""Tables of workbook 03: three fields, and where on the drill and the field the light rows are."""

from downforce.machine.shipped import example_field, shipped_fields
from downforce.study.compare_actuators import chosen, compare_actuators, sweep_settings
from downforce.study.crossing import cross_field
from downforce.study.field_pass import press
from downforce.workbook.ground_words import percent, setting_words
from downforce.workbook.table import table_page

SEED = 1
STATIONS, SPACING = 160, 1.1
_CRITERIA = {
    "best": "most in band",
    "share in": "share in",
    "worst quarter": "worst quarter in",
}


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
        crossing = cross_field(bench.drill, field, SEED, STATIONS, SPACING)
        for name in ("spring", "cylinder"):
            sweep = sweep_settings(bench.drill, field, crossing, name)
            rows.append([f"{field.name}: {name}", *_cells(bench.units, chosen(sweep, "share in"), field.aim)])
    return table_page(
        f"Turned up until the wanted share is in: {bench.drill.name}",
        ["field and actuator", *_HEADER],
        rows,
        f"The fields are invented. In: the field's least load or more. {_STAR}",
    )


def criteria_table(bench):
    """Spring and cylinder on the field on the bench, by three criteria.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Page [-]
        One row for each criterion and actuator.
    """
    field = bench.field
    crossing = cross_field(bench.drill, field, SEED, STATIONS, SPACING)
    rows = [
        [f"{_CRITERIA[one.criterion]}: {one.name}", *_cells(bench.units, one, field.aim)]
        for one in compare_actuators(bench.drill, field, crossing)
    ]
    return table_page(
        f"Each at the setting a criterion asks for: {field.name}",
        ["criterion and actuator", *_HEADER],
        rows,
        _STAR,
    )


def places_table(bench, gauge_pressure):
    """Where the light openers are: by rank, by section and by kind of ground.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.
    gauge_pressure : float [bar or psi]
        In the reader's units.

    Returns
    -------
    Page [-]
        One row for each group.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    held = units.si("pressure", gauge_pressure)
    crossing = cross_field(drill, field, SEED, STATIONS, SPACING)
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
                for text in (percent(shares.light), units.show("force", shares.mean))
            ]
            rows.append([f"{what} {group}" if what == "rank" else str(group), *cells])
    return table_page(
        f"Where the light openers are: springs as set, cylinders at {units.show('pressure', held)}",
        ["where", "spring: light", "spring: mean load", "cylinder: light", "cylinder: mean load"],
        rows,
    )


_STAR = "A star: no setting in reach meets the criterion; the nearest is shown."
_HEADER = (
    "setting",
    "in",
    "in, worst quarter of rows",
    "not at depth",
    "heavy",
    "mean load",
    "standard deviation",
)


def _cells(units, compared, aim):
    shares = compared.shares
    return [
        setting_words(units, compared),
        percent(1 - shares.light) if compared.met else f"{100 * (1 - shares.light):.1f} % *",
        percent(compared.worst_quarter_in),
        percent(shares.shallow),
        f"{percent(shares.heavy)} above {units.show('force', aim.heavy_load)}",
        units.show("force", shares.mean),
        units.show("force", shares.spread),
    ]
