"""Rough ground: the whole drill over rough ground and real soil, row by row, and its tables.

Three fields, where the short rows are, and what the oil makes of held pressure.
"""

from dataclasses import replace

from downforce.machine.shipped import example_field, shipped_fields
from downforce.physics.ground_terraces import crest_gap
from downforce.physics.kinds import Kilogram, KilometrePerHour, Metre
from downforce.study.field_pass import press
from downforce.study.frame.tyre_give import gauge_moves
from downforce.study.ground.compare_actuators import Compared, set_to, worst_quarter_in
from downforce.study.ground.crossing import bump_inertia, cross_field
from downforce.study.oil.band import LEAST_PRESSURE, SPACING, STATIONS, pass_with_oil
from downforce.study.oil.cases import COMPARED
from downforce.study.setting.row_needs import pass_sample, sampled_crossing
from downforce.study.setting.same_target import same_push_pressure, turned_up_cylinders, turned_up_springs
from downforce.workbook.bench import Bench
from downforce.workbook.canvas import still_page
from downforce.workbook.drawing_gauge import draw_plan
from downforce.workbook.ground.causes import causes_panel, crank_panel, speed_panel
from downforce.workbook.ground.load_map import map_page, map_panel
from downforce.workbook.ground.terrace import LongPass, survey_panel, terrace_panel
from downforce.workbook.ground.words import evenness, fewer, same_push_table, setting_words, stretch
from downforce.workbook.style import percent
from downforce.workbook.table import table_page

SEED = 1


def fields_table(bench: Bench):
    """Spring and cylinder on the three invented fields, each turned up until the aim's share is in.

    Result: one row for each field and actuator.
    """
    drill, units = bench.drill, bench.units
    rows, told = [], []
    for key, _path in shipped_fields():
        field = example_field(key)
        found = [
            _turned_up(drill, field, name, turn)
            for name, turn in (("spring", turned_up_springs), ("cylinder", turned_up_cylinders))
        ]
        there = cross_field(drill, field, SEED, STATIONS, SPACING)
        spring = press(drill, field, there, found[0].setting.actuator).shares()
        pressure = max(found[1].setting.value, LEAST_PRESSURE)
        met = pass_with_oil(drill, field, pressure, crossing=there).shares()
        for one, moving in zip(found, (spring, met), strict=True):
            moved = percent(moving.short), units.show("force", moving.spread)
            rows.append([f"{field.name}: {one.name}", *_cells(units, one, field.aim), *moved])
        rows_short = f"{fewer(met.short, spring.short)} rows short"
        told.append(f"{evenness(met, spring)} with {rows_short} on {field.name}")
    oiled = f"with the oil in it, {stretch(units)}"
    return table_page(
        f"Turned up until the wanted share is in, the pressure held: {drill.name}",
        ["field and actuator", *_HEADER, f"{oiled}: short", f"{oiled}: standard deviation"],
        rows,
        f"With the oil in it cylinders are {'; '.join(told)}. The other columns are for held pressure, "
        f"counted on a pass of {found[0].field_pass.station.size} places. The fields are invented. In: the "
        f"field's least load or more. {_STAR}",
    )


def places_table(bench: Bench, setting=None):
    """Where the short openers are: by rank, by section and by kind of ground.

    setting: gauge pressure of the cylinders with its unit, such as "80 bar"; the springs' push if left out.
    Result: one row for each group.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    held = bench.gauge_pressure(setting) if setting else same_push_pressure(drill)
    crossing = sampled_crossing(drill, field)
    passes = [
        press(drill, field, crossing, drill.spring),
        press(drill, field, crossing, drill.cylinder, held),
    ]
    names, parts, note = ["spring", "cylinder"], ["rank", "section", "place"], ""
    if drill.half_refitted:
        passes.append(press(drill, field, crossing, None, held))
        names, parts, note = [*names, "as refitted"], [*parts, "actuator"], f" {gauge_moves(drill)}."
    rows = []
    for what in parts:
        groups = [done.shares_by(what) for done in passes]
        for group in groups[0]:
            cells = [
                text
                for shares in (each[group] for each in groups)
                for text in (percent(shares.short), units.show("force", shares.mean))
            ]
            head = {"rank": f"rank {group}", "actuator": f"rows on {group}"}
            rows.append([head.get(what, str(group)), *cells])
    return table_page(
        f"Where the short openers are: springs as set, cylinders at {units.show('pressure', held)}",
        ["where", *(f"{name}: {what}" for name in names for what in ("short", "mean load"))],
        rows,
        f"Counted on {pass_sample(drill, field).basis}, the pressure held.{note}",
    )


def bounce_table(bench: Bench):
    """How the give of the gauge wheel and the speed change the spread of the load and the short rows.

    Result: one row for each stiffness.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    held = same_push_pressure(drill)
    crossing = cross_field(drill, field, SEED, BOUNCED)
    crossings = [crossing.at_speed(speed / 3.6) for speed in BOUNCE_SPEEDS]
    rows = []
    for stiffness in BOUNCE_STIFFNESSES:
        softer = replace(drill, opener=replace(drill.opener, gauge_wheel_stiffness=stiffness))
        passes = [press(softer, field, there, drill.cylinder, held).shares() for there in crossings]
        cells = [f"{units.show('force', shares.spread)}, {percent(shares.short)} short" for shares in passes]
        rows.append([units.show("spring rate", stiffness), *cells])
    own = units.show("spring rate", drill.opener.gauge_wheel_stiffness)
    return table_page(
        f"Openers that bounce: cylinders at {units.show('pressure', held)}",
        ["give of the gauge wheel", *(units.show("speed", speed / 3.6) for speed in BOUNCE_SPEEDS)],
        rows,
        f"Standard deviation of the gauge-wheel load, and short rows, on {BOUNCED} places a tenth of a metre "
        f"apart. This drill's file has {own}; no published figure was found.",
    )


def oil_table(bench):
    """Springs, cylinders with the same push at held pressure, and with the oil in it, cold, mild and warm."""
    return same_push_table(bench, *COMPARED)


BOUNCED = 300
"""Places, a tenth of a metre apart, that openers bounce over [-]."""

BOUNCE_SPEEDS = (6.0, 9.0, 12.0)
"""Speeds of the table [km/h]."""

BOUNCE_STIFFNESSES = (60e3, 120e3, 250e3)
"""Stiffnesses of the gauge wheel that can be defended [N/m]."""

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


def _turned_up(drill, field, name, turn):
    one = turn(drill, field, pass_sample(drill, field))
    setting = set_to(drill, name, one.setting)
    crossing = sampled_crossing(drill, field)
    done = press(drill, field, crossing, setting.actuator, setting.gauge_pressure)
    return Compared("share in", name, setting, one.reached, done.shares(), worst_quarter_in(done), done)


def _cells(units, compared, aim):
    shares = compared.shares
    return [
        setting_words(units, compared),
        percent(1 - shares.short) if compared.met else f"{percent(1 - shares.short, 1)} *",
        percent(compared.worst_quarter_in),
        percent(shares.not_at_depth),
        f"{percent(shares.packing)} above {units.show('force', aim.heavy_load)}",
        units.show("force", shares.mean),
        units.show("force", shares.spread),
    ]


SURVEYED = "../data/measured/surveyed_track.csv"
"""The invented survey, as a notebook finds it [-]."""

FIELD_LOG = "../data/measured/field_log.csv"
"""The invented log of a whole field, as a notebook finds it [-]."""


def machine_picture(bench: Bench):
    """The drill from above, with the names of what decides a row's height."""
    drill = bench.drill
    parts = f"ranks: {len(drill.rank_x)}; sections: {len(drill.sections)}; wheels: {len(drill.wheels)}"
    caption = (
        f"{drill.name}. Rows: {drill.row_count}; {parts}. Travel of a row is the height of the ground "
        "under its gauge wheel less the height of its section's plane there, 0 on level ground."
    )
    subject = "hitch pin, ranks of discs, hinges and wheels of the drill"
    return still_page(lambda figure: draw_plan(figure, drill, bench.units), "Plan drawing", subject, caption)


def crest_by_hand(section_width: Metre, crest_radius: Metre):
    """How high a crest lifts the middle of a rigid section against its ends, as text."""
    return f"{1000 * float(crest_gap(section_width, crest_radius)):.0f} mm"


def bump_by_hand(mass: Kilogram, speed_kmh: KilometrePerHour, wave_length: Metre, amplitude: Metre):
    """Inertia of an opener over a wave of the ground, as text."""
    return f"± {bump_inertia(mass, speed_kmh / 3.6, wave_length, amplitude):.0f} N"
