"""Tables and calculator lines of the pressure workbook."""

from dataclasses import replace
from math import isfinite

from downforce.machine.units import parse_quantity
from downforce.study.field_check import TABLE, pull_for_load, seeds_to_dig, soil_from_dig, standing_load
from downforce.study.pressure_setting import recommend
from downforce.study.setting.gauge_face import change_for_closing, gauge_face, load_steps, todays_field
from downforce.study.setting.reasons import aim_words, lift_range_words, range_words, verdict_words
from downforce.study.setting.remedies import remedies
from downforce.study.setting.row_needs import pressure_for_load
from downforce.study.setting.same_target import bump_headroom
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.canvas import Still
from downforce.workbook.cylinders.tables import season
from downforce.workbook.drawing_gauge import draw_gauge, gauge_words
from downforce.workbook.setting.words import band_words, said_of_rows
from downforce.workbook.table import Page, table_page


def reasons_table(bench: Bench):
    """Every pressure that has a say in today's setting, with its sentence."""
    units = bench.units
    setting = recommend(bench.drill, bench.field)
    bumps = bump_headroom(bench.drill, bench.field, setting.pressed)
    rows = [[reason.name, reason.shown(units), reason.text] for reason in setting.reasons_in(units)]
    return table_page(
        f"Every pressure that has a say, {bench.field.name}",
        ["What", "Gauge pressure", "In words"],
        rows,
        " ".join(
            f"{said}."
            for said in (
                f"Set {setting.words(units)}; decided by: {setting.set_by}",
                said_of_rows(setting.shares),
                aim_words(setting, units),
                setting.stop_words,
                f"Bumps ask for {style.percent(bumps)} of the weight in hand there, to stay down 99 % of the "
                f"time; the habit is 15 %, and {style.percent(bench.field.aim.headroom)} is kept",
                setting.moved_words,
                setting.straw_words,
            )
            if said
        ),
    )


def remedies_table(bench):
    """What would help on today's field, each way worked out by the same rule, the best first."""
    units = bench.units
    setting = recommend(bench.drill, bench.field)
    own = units.name == bench.drill.units
    rows = [
        [
            remedy.words,
            remedy.place,
            units.show("pressure", remedy.setting) if isfinite(remedy.setting) else "no setting",
            verdict_words(remedy.shares),
            _points(remedy.gained),
            "yes" if remedy.meets_aim else "no",
        ]
        for remedy in (setting.remedies if own else remedies(setting, units))
    ]
    return table_page(
        f"What would help: {bench.drill.name}, {bench.field.name}",
        ["What to do", "Where", "Set then", "The rows then", "Rows with enough", "Aim met"],
        rows,
        f"Now: {verdict_words(setting.shares)}. {aim_words(setting, units)}. Ranked by rows gained in steps "
        "of 5 points, then by what is nearer at hand. Each is tried alone.",
    )


def sureness_table(bench):
    """How sure setting, lift and verdict are, which input makes them wide, and what measuring it leaves."""
    units = bench.units
    setting = recommend(bench.drill, bench.field)
    intervals = setting.intervals
    rows = [
        [
            one.words,
            style.percent(one.setting_share),
            range_words(one.setting_left, units),
            style.percent(one.lift_share),
            lift_range_words(one.lift_left, units),
            one.how,
        ]
        for one in intervals.blame()
    ]
    short, packing, headroom = (
        " to ".join(style.percent(max(end, 0.0)) for end in ends)
        for ends in (intervals.short_interval, intervals.packing_interval, setting.headroom_interval)
    )
    ceiling = range_words(setting.ceiling_interval, units)
    lift = lift_range_words(setting.lift_interval, units)
    return table_page(
        f"How sure: {bench.drill.name}, {bench.field.name}",
        [
            "Input",
            "Its part in the setting",
            "Setting, if it were known",
            "Its part in the lift",
            "Lift, if it were known",
            "How to measure it",
        ],
        rows,
        f"Now, in 90 cases of 100: setting {range_words(setting.interval, units)}, ceiling {ceiling}, lift "
        f"{lift}; at {units.show('pressure', setting.pressed)} short "
        f"{short} of the rows, packing {packing}, headroom {headroom}. Parts are shares of the variance. A "
        "value without its own uncertainty in the file has the usual one.",
    )


def settings_table(bench: Bench):
    """Settings for the soils of the season."""
    drill, units = bench.drill, bench.units
    show = units.show
    pairs = sorted(
        ((field, recommend(drill, field)) for field in season(bench)), key=lambda pair: pair[1].needed
    )
    rows = [
        [
            field.name,
            show("force", float(field.opener_soil.target_reaction)),
            show("force", field.aim.gauge_wheel_load),
            show("pressure", setting.to_set(units)) if setting.exists else "none",
            band_words(setting, units),
            range_words(setting.interval, units),
            verdict_words(setting.shares),
            *_parted(setting),
            setting.set_by,
        ]
        for field, setting in pairs
    ]
    header = [
        "Soil",
        "Soil reaction",
        "Wanted load",
        "Set",
        "Band",
        "90 %",
        "The rows there",
        "Short outside tracks / in them",
        "Decided by",
    ]
    return table_page(
        f"Settings by soil, {drill.name}, hopper empty"
        if drill.seed_on_frame
        else f"Settings by soil, {drill.name}",
        header,
        rows,
        "Band: at most 5 points less rows with enough than at the setting, and not above the ceiling. 90 %: "
        "where the setting lies in 90 cases of 100.",
    )


def gauge_page(bench: Bench):
    """The gauge with a band for each soil of the season."""
    face = gauge_face(bench.drill, season(bench), today=bench.field)
    words = [line for _, line in gauge_words(face, bench.units)]
    error = bench.units.both("pressure", face.error)
    caption = (
        f"Marks for the gauge of the {bench.drill.name}. The gauge itself is right to within {error} "
        "anywhere on its scale, and reads best between the two dots."
    )
    alt = style.alt_text("Gauge face", caption.rstrip("."), *words)
    still = Still(
        lambda figure: draw_gauge(figure.add_subplot(), face, bench.units), alt, caption, style.SQUARE
    )
    bundle = still._repr_mimebundle_()
    return Page(bundle["text/html"], "\n".join([caption, *words]))


def next_step_table(bench: Bench):
    """What to do after walking and digging, for every finding."""
    rows = [[*row.found, _change(row.step, bench.units), row.why] for row in TABLE]
    return table_page(
        "After the dig",
        ["Gauge wheels", "Seeds", "Slot wall", "Gauge", "What to do"],
        rows,
        f"Common practice. One step is {bench.units.gauge_step_text}; after it drive on, stop and dig again.",
    )


def wheel_test_table(bench: Bench):
    """What a luggage scale on the tread should read, and what a standing test makes of the same setting."""
    show = bench.units.show
    rows = [
        [show("force", load), show("force", float(pull_for_load(load)))]
        for load in (100.0, 220.0, 400.0, 890.0)
    ]
    return table_page(
        "Pull that just turns a gauge wheel",
        ["Gauge-wheel load", "Pull along the tread"],
        rows,
        "Pull over load is taken as 0.6, from memory. Check it once in the yard with a pad under the wheel.",
    )


def by_hand(bench: Bench, gauge_pressure):
    """The steps from a gauge reading to the gauge wheel, moving and standing.

    gauge_pressure: such as "60 bar".
    """
    drill, soil, pressure = bench.drill, bench.field.opener_soil, bench.gauge_pressure(gauge_pressure)
    steps = load_steps(drill, soil, pressure)
    standing = float(standing_load(drill.opener, drill.cylinder, soil, pressure))
    lines = (
        ("Cylinder force", steps.cylinder_force),
        ("Down force at the disc", steps.down_force),
        ("Own weight adds", steps.weight),
        ("Closing wheel takes", steps.closing),
        ("Soil takes", steps.soil_reaction),
        ("Draft takes", steps.draft_lift),
        ("Left on the gauge wheel, moving", steps.gauge_wheel_load),
        ("The same, standing, all draft gone", standing),
    )
    return "\n".join(f"{name}: {_fine(bench.units, force)}" for name, force in lines)


def soils_by_hand(bench: Bench, gauge_wheel_load):
    """Pressure for a load in the field's soil, in one a third harder, and in one two thirds harder.

    gauge_wheel_load: such as "220 N".
    """
    drill, field, units = bench.drill, bench.field, bench.units
    load, usual = parse_quantity(gauge_wheel_load, "force"), field.opener_soil
    lines = []
    for times in (1.0, 4 / 3, 5 / 3):
        soil = replace(usual, reaction=usual.reaction * times)
        pressure = float(pressure_for_load(drill, soil, load))
        reaction = units.show("force", float(soil.target_reaction))
        lines.append(f"Soil reaction {reaction}: {units.both('pressure', pressure, 1)}")
    carried = load_steps(drill, usual, pressure).gauge_wheel_load
    lines.append(f"Set for the hardest, the usual rows carry {units.both('force', carried)}")
    return "\n".join(lines)


def closing_by_hand(bench: Bench, gauge_pressure, closing_change):
    """What the gauge wheel loses to a closing spring that is set harder.

    gauge_pressure: such as "70 bar".
    closing_change: such as "100 N".
    """
    change = change_for_closing(
        bench.drill,
        bench.field.opener_soil,
        bench.gauge_pressure(gauge_pressure),
        parse_quantity(closing_change, "force"),
    )
    return f"Change on the gauge wheel: {bench.units.both('force', change)}"


def dig_report(bench: Bench, depths, gauge_pressure, loaded=0):
    """From depths that were dug to soil reaction and setting.

    depths: depths with one unit at the end, such as "28 31 27 mm"; gauge wheels turned freely there.
    loaded: how many rows were looked at besides whose gauge wheels carried.
    """
    drill, field, both = bench.drill, bench.field, bench.units.both
    *numbers, unit = depths.split()
    dug = [parse_quantity(f"{number} {unit}", "length") for number in numbers]
    found = soil_from_dig(drill, field, dug, bench.gauge_pressure(gauge_pressure), loaded=loaded)
    wanted = field.aim.gauge_wheel_load
    today = todays_field(field, max(found.reaction, 1.0), wanted)
    setting = recommend(drill, today)
    depth, reaction = both("length", field.target_depth), both("force", found.reaction)
    low, high = both("force", found.low), both("force", found.high)
    lines = [
        f"{found.counted_words(bench.units)}.",
        f"Soil reaction at {depth}: {reaction}",
        f"{style.percent(found.confidence)} interval of the mean: {low} to {high}",
        f"Spread from hole to hole: {both('force', found.spread)}",
        f"Pressure for {both('force', wanted)}: {both('pressure', found.needed)}, over the interval "
        f"{both('pressure', found.needed_low)} to {both('pressure', found.needed_high)}",
        f"Set {setting.words(bench.units)}; decided by: {setting.set_by}",
        f"{said_of_rows(setting.shares)}. {aim_words(setting, bench.units)}",
    ]
    return "\n".join(lines)


def sampling_plan(spread, error):
    """How many seeds to dig.

    spread, error: such as "8 mm" and "3 mm".
    """
    count = seeds_to_dig(parse_quantity(spread, "length"), parse_quantity(error, "length"))
    return f"{count} seeds, for the mean within {error} at a spread of {spread}, 95 % of the time"


def _parted(setting):
    parts = (setting.shares_outside, setting.shares_in_tracks)
    return [" / ".join(style.percent(part.short) for part in parts) if all(parts) else "no tracks"]


def _points(share):
    points = round(100 * share)
    return f"{points:+d} points".replace("-", "\N{MINUS SIGN}") if points else "as now"


def _change(step, units):
    return ("leave", f"up {units.gauge_step_text}", f"down {units.gauge_step_text}")[step]


def _fine(units, force):
    return units.both("force", force, 1)
