"""Start here: the first answer about a drill on a field, and a check of the installation."""

import numpy as np

from downforce.machine.shipped import spelled
from downforce.study.first_look import first_look, known_answers, whole_drill
from downforce.study.oil.circuit import MORE_THAN_BORNE
from downforce.study.pressure_setting import recommend, usual_sample
from downforce.study.setting.reasons import aim_words, limit_text, sure_words, verdict_words
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Slider
from downforce.workbook.ground.words import fewer, same_push_table, stretch
from downforce.workbook.panel import Panel
from downforce.workbook.setting.words import no_setting_words
from downforce.workbook.style import percent
from downforce.workbook.table import table_page

_METRIC_STEPS = {"force": 50.0, "small force": 20.0, "length": 10.0}
_US_STEPS = {"force": 10.0, "small force": 5.0, "length": 0.5}


class _FirstDrawing:
    """Gauge-wheel load over the travel beside a column of pressures."""

    def __init__(self, bench, highest_load):
        self._units, self._drill = bench.units, bench.drill
        self._highest_load = highest_load

    def setup(self, figure):
        left, right = figure.subplots(1, 2, width_ratios=[3.2, 1])
        units, opener = self._units, self._drill.opener
        travel = [float(units.number("length", u)) for u in (opener.lowest_travel, opener.highest_travel)]
        style.dress(
            left,
            "What is left on the gauge wheel",
            (f"Height of the ground under the opener ({units.unit('length')})", *tuple(travel)),
            (f"Gauge-wheel load ({units.unit('force')})", 0.0, self._highest_load),
        )
        (self._spring,) = left.plot([], [], label="springs as they are set", **style.line("spring"))
        (self._cylinder,) = left.plot([], [], label="cylinders at held pressure", **style.line("cylinder"))
        (self._here,) = left.plot([], [], color=style.MUTED, linewidth=1.0)
        (self._spring_dot,) = left.plot([], [], clip_on=False, **style.dot("spring"))
        (self._cylinder_dot,) = left.plot([], [], clip_on=False, **style.dot("cylinder"))
        left.legend(loc="upper left", **style.LEGEND)
        top = float(units.number("pressure", self._drill.hydraulics.gauge.full_scale))
        style.dress(right, "On the gauge", ("", 0, 1), (f"Gauge pressure ({units.unit('pressure')})", 0, top))
        right.set_xticks([])
        right.spines["bottom"].set_visible(False)
        (self._column,) = right.plot([0.2, 0.2], [0, 0], color=style.mark("cylinder").colour, linewidth=14)
        self._column.set_solid_capstyle("butt")
        (self._lift,) = right.plot([], [], **style.line("limit"))
        # The words of the setting stand at the foot of the column, those of the limit on its line.
        self._words = [
            right.text(0.36, 0.01 * top, "", fontsize=style.SMALL, color=style.INK, va="bottom")
            for _ in range(2)
        ]
        moving = [self._spring, self._cylinder, self._here, self._spring_dot, self._cylinder_dot]
        return [*moving, self._column, self._lift, *self._words]

    def update(self, result):
        units = self._units
        for line, dot, loads, here in (
            (self._spring, self._spring_dot, result.spring, result.spring_here),
            (self._cylinder, self._cylinder_dot, result.cylinder, result.cylinder_here),
        ):
            line.set_data(
                units.number("length", loads.ground_travel), units.number("force", loads.gauge_wheel_load)
            )
            dot.set_data(
                [units.number("length", here.ground_travel)], [units.number("force", here.gauge_wheel_load)]
            )
        place = float(units.number("length", result.spring_here.ground_travel))
        self._here.set_data([place, place], [0, self._highest_load])
        top = float(units.number("pressure", self._drill.hydraulics.gauge.full_scale))
        setting = float(units.number("pressure", result.gauge_pressure))
        lift = float(units.number("pressure", result.lift.lowest))
        self._column.set_data([0.2, 0.2], [0, min(setting, top)])
        self._lift.set_data([0.02, 0.9], [min(lift, top)] * 2)
        foot, limit = self._words
        foot.set_text("set\n" + units.show("pressure", result.gauge_pressure))
        limit.set_position((0.36, np.clip(lift, 0.11 * top, 0.9 * top) + 0.01 * top))
        limit.set_text("lifts at\n" + limit_text(units, float(result.lift.lowest)))


def first_panel(bench: Bench):
    """Springs and cylinders over hollow and rise, the pressure for the wanted load, and the lift limit."""
    units, drill, field = bench.units, bench.drill, bench.field
    steps = _METRIC_STEPS if units.name == "metric" else _US_STEPS

    def stepped(kind, value, step, up=False):
        number = float(units.number(kind, value)) / step
        return (np.ceil(number - 1e-9) if up else np.round(number)) * step

    reaction = stepped("force", field.soil.reaction, steps["force"])
    # Alike at the start: the cylinders leave on level ground what the springs leave there.
    level = first_look(drill, field, 0.0, units.si("force", reaction)).spring_level.gauge_wheel_load
    alike = float(level) or field.aim.gauge_wheel_load
    wanted = stepped("force", alike, 1.0)
    stops = np.array([drill.opener.lowest_travel, drill.opener.highest_travel])
    # Towards working height by whole steps, so that neither stop is passed.
    low, high = np.trunc(units.number("length", stops) / steps["length"] * (1 + 1e-9)) * steps["length"]
    highest = first_look(drill, field, drill.opener.highest_travel, 0.4 * field.soil.reaction)
    # Springs that leave nothing anywhere still need an axis on which loads can be seen.
    most = max(float(np.max(highest.spring.gauge_wheel_load)), field.aim.heavy_load)
    top = float(units.number("force", most)) * 1.05

    def compute(reaction, wanted, height):
        return first_look(
            drill, field, units.si("length", height), units.si("force", reaction), units.si("force", wanted)
        )

    return Panel(
        controls=[
            Slider("height", "Hollow (−) or rise (+)", 0.0, low, high, steps["length"], units.unit("length")),
            Slider(
                "reaction",
                "Soil reaction on the disc",
                reaction,
                stepped("force", 0.4 * field.soil.reaction, steps["force"]),
                stepped("force", 2.0 * field.soil.reaction, steps["force"], up=True),
                steps["force"],
                units.unit("force"),
            ),
            Slider(
                "wanted",
                "Wanted on the gauge wheel",
                wanted,
                0.0,
                stepped("force", max(600.0, alike), steps["small force"], up=True),
                steps["small force"],
                units.unit("force"),
            ),
        ],
        compute=compute,
        drawing=_FirstDrawing(bench, top),
        sentence=lambda result: _first_sentence(units, result),
        alt=(
            "Line chart and column",
            "gauge-wheel load over the height of the ground, springs against cylinders, and the gauge",
        ),
        title="First look",
        size=style.WIDE,
    )


def _first_sentence(units, result):
    lift = result.lift
    limit = limit_text(units, float(lift.lowest))
    setting = units.show("pressure", result.gauge_pressure)
    over = (
        f"That is above {limit}, where the {lift.first_section} lifts: it cannot be reached."
        if result.gauge_pressure > float(lift.lowest)
        else f"The {lift.first_section} lifts at {limit} with no seed on the frame."
    )
    both = (result.spring_level, result.cylinder_level)
    level = [units.show("force", one.gauge_wheel_load) for one in both]
    alike = f"both leave {level[0]}" if level[0] == level[1] else f"it is {level[0]} against {level[1]}"
    return (
        f"Here the springs leave {_carried(units, result.spring_here)}; cylinders at {setting} leave "
        f"{_carried(units, result.cylinder_here)}. On level ground {alike}. {over}"
    )


def _carried(units, loads):
    regime = str(loads.regime)
    if regime == "at depth":
        return f"{units.show('force', loads.gauge_wheel_load)} on the gauge wheel"
    if regime == "not at depth":
        return f"the disc at {units.show('small length', loads.depth)}, not at depth"
    if regime == "on the upper stop":
        return f"at least {units.show('force', loads.gauge_wheel_load)}, the opener being on its upper stop"
    if regime == "on the lower stop":
        return f"the disc at {units.show('small length', loads.depth)}, the opener hanging on its lower stop"
    return "the disc out of the ground"


def setting_table(bench):
    """What to set today, what that does to the rows, whether the aim is met and how sure it is."""
    drill, field, units = bench.drill, bench.field, bench.units
    aim, setting = field.aim, recommend(drill, field, usual_sample(drill, field))
    rows = [["Set", setting.words(units) if setting.exists else no_setting_words(setting, units)]]
    if setting.exists:
        rows += [
            ["Decided by", setting.set_by],
            ["The rows then", verdict_words(setting.shares)],
            ["Your aim", aim_words(setting, units)],
            ["How sure", sure_words(setting, units)],
        ]
    note = (
        f"Short is under {units.show('force', aim.least_load)} on the gauge wheel, packing over "
        f"{units.show('force', aim.heavy_load)}. Rows counted on {setting.case.sample.basis}, the pressure "
        "held."
    )
    note += _remarks(setting)
    return table_page(f"To set today: {drill.name} on {field.name}", ["", "Answer"], rows, note)


def _remarks(setting):
    said = (setting.stop_words, setting.moved_words, setting.straw_words)
    return "".join(f" {words}." for words in said if words)


def alike_table(bench):
    """Springs as they are set and cylinders alike on level ground, held and with the oil in it."""
    return same_push_table(bench)


def result_table(bench):
    """Cylinders as recommended, and springs and cylinders each at its own best, for all rows of the drill."""
    drill, field, units, show = bench.drill, bench.field, bench.units, bench.units.show
    found = whole_drill(drill, field, usual_sample(drill, field))
    own, share = (*found.best, *found.for_share), show("share", field.aim.share_in)
    columns = [found.setting.shares, *(one.shares for one in own)]
    names = [
        "Cylinders as recommended",
        *(f"{_held(one)}, most rows with enough" for one in found.best),
        *(
            f"{_held(one)}, {f'{share} of the rows in' if one.reached else 'as many rows in as can be'}"
            for one in found.for_share
        ),
    ]
    aim, lift = field.aim, found.setting.lift
    left = min(found.setting.headroom, 1.0)
    in_hand = show("share", left) if np.isfinite(left) else "nothing"
    rows = [
        ["Setting", _recommended(found.setting, units), *(_set_words(units, one) for one in own)],
        *_supply_rows(found, units, show("temperature", field.oil_temperature)),
        ["Mean load on the gauge wheels", *(show("force", s.mean) for s in columns)],
        [f"Rows with less than {show('force', aim.least_load)}", *(show("share", s.short) for s in columns)],
        ["Rows not at depth", *(show("share", s.not_at_depth) for s in columns)],
        ["Rows with enough", *(show("share", s.enough) for s in columns)],
        [
            f"Rows with more than {show('force', aim.heavy_load)}",
            *(show("share", s.packing) for s in columns),
        ],
        ["Standard deviation", *(show("force", s.spread) for s in columns)],
        *_oil_rows(found, units),
        ["Frame, no seed on it", *_frame_words(found)],
    ]
    note = (
        f"{_best_words(found, units)} The rows were counted on {found.basis}, the pressure held; those with "
        f"the oil in it on {stretch(units)} of the field's own ground. Frame: the {lift.first_section} lifts "
        f"at {limit_text(units, float(lift.lowest))} with no seed on the frame; at the recommended setting "
        f"{in_hand} of the weight stays in hand.{_remarks(found.setting)}"
    )
    return table_page(f"Each at its own best: {drill.name} on {field.name}", ["", *names], rows, note)


def _frame_words(found):
    """Of every column: down, less in hand than the ceiling of the recommended setting keeps, or lifts."""
    setting, case = found.setting, found.setting.case
    ceiling = min(setting.lift_with_headroom, setting.lift_with_chance)
    allowed = case.frame_load(ceiling) if np.isfinite(ceiling) else np.inf
    available = float(setting.lift.frame_load.min())
    loads = [
        case.frame_load(setting.pressed),
        *(
            case.frame_load(one.setting) if one.name == "cylinders" else one.frame_load
            for one in (*found.best, *found.for_share)
        ),
    ]
    return [
        "lifts" if load > available else "little in hand" if load > allowed + 0.5 else "down"
        for load in loads
    ]


def _recommended(setting, units):
    if setting.exists:
        return units.show("pressure", setting.to_set(units))
    return f"no setting; counted at {units.show('pressure', setting.pressed)}"


def _set_words(units, turned):
    if turned.name == "cylinders":
        return units.show("pressure", turned.setting)
    return f"adjuster {'in' if turned.setting >= 0 else 'out'} by {units.show('length', abs(turned.setting))}"


def _supply_rows(found, units, temperature):
    """What the cylinders really get; springs have no oil."""
    show = units.show
    fed = [
        f"{show('pressure', b.fed_low)} to {b.reached(b.fed_high, show('pressure', b.fed_high))}"
        if b
        else "none"
        for b in found.oil
    ]
    starved = [show("share", b.starved) if b else "none" for b in found.oil]
    beyond = [show("share", b.beyond) if b else "none" for b in found.oil]
    names = (
        f"At the cylinders at work, oil at {temperature}",
        "Way on which no oil presses",
        f"Way on which {MORE_THAN_BORNE} is reckoned",
    )
    return [
        [name, first, "no oil", best, "no oil", share]
        for name, (first, best, share) in zip(names, (fed, starved, beyond), strict=True)
    ]


def _oil_rows(found, units):
    """Every column over the stretch on which the oil is followed."""
    first, best, share = (band and band.with_oil for band in found.oil)
    columns = (first, found.springs_there[0], best, found.springs_there[1], share)
    there = f"With the oil in it, {stretch(units)}:"
    return [
        [f"{there} rows short", *(units.show("share", s.short) if s else "none" for s in columns)],
        [f"{there} rows with enough", *(units.show("share", s.enough) if s else "none" for s in columns)],
        [f"{there} standard deviation", *(units.show("force", s.spread) if s else "none" for s in columns)],
    ]


def _best_words(found, units):
    """Which has more rows with enough at its own best, held and with the oil in it."""
    springs, cylinders = (one.shares.enough for one in found.best)
    held = (
        f"At most {percent(springs)} of the rows have enough with springs, {percent(cylinders)} with "
        "cylinders at held pressure"
    )
    if found.oil[1] is None:
        return f"{held}."
    springs, cylinders = found.springs_there[0].enough, found.oil[1].with_oil.enough
    return (
        f"{held}. With the oil in it cylinders at that setting have {fewer(cylinders, springs)}: "
        f"{percent(cylinders)} against {percent(springs)}."
    )


def _held(turned):
    return "Cylinders, held" if turned.name == "cylinders" else "Springs"


def installation_check():
    """Known answers computed again by this installation."""
    answers = known_answers()
    rows = [
        [a.question, f"{a.known:g}", f"{a.found:.6g}", "yes" if a.agrees else "NO", spelled(a.source)]
        for a in answers
    ]
    right = sum(a.agrees for a in answers)
    note = f"{right} of {len(answers)} known answers come out" + (
        ": the installation is sound."
        if right == len(answers)
        else ". Install again before you trust a number."
    )
    return table_page(
        "Check of the installation", ["Question", "Known", "Found here", "Agrees", "Source"], rows, note
    )
