"""The set-up card: one side for the window, with one number, and one for the desk, with all that it rests on.

`card_data` works out every line of both. `write_card` has it drawn as PDF or PNG. Drawing needs packages
that only the workbook floor may use, and a floor imports no floor after it; so the drawing is found through
the entry point "downforce.card" that the installed package declares, the way a plug-in is.
"""

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from importlib.metadata import entry_points
from math import isfinite
from pathlib import Path

import downforce
from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.files import check_place, write_file
from downforce.machine.plausible import unusual_line
from downforce.machine.shipped import is_shipped
from downforce.machine.unit_table import percent
from downforce.machine.units import UnitSystem, unit_system
from downforce.physics.checks import between
from downforce.physics.kinds import Millimetre, Pascal, Ratio
from downforce.study import card_lines, card_window
from downforce.study.card_window import WindowSide, area_to_refill, card_inputs, seed_held, window_side
from downforce.study.cautions import CAUTIONS
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.field_check import TABLE
from downforce.study.kept import kept
from downforce.study.pressure_setting import PressureSetting, recommend
from downforce.study.setting.gauge_face import TURNS, GaugeFace, gauge_face, turn
from downforce.study.setting.reasons import at_most, pressure_text

PAPERS = {"A4": (0.210, 0.297), "Letter": (0.2159, 0.2794)}
"""Width and height of a page [m]."""
SUFFIXES = (".pdf", ".png")
"""Files a card can be written to [-]."""


def paper_size(paper) -> tuple[Millimetre, Millimetre]:
    """Width and height of a paper; one that nobody prints on here is refused."""
    if paper not in PAPERS:
        raise ValueError(f"Paper is one of {', '.join(PAPERS)}; got {paper!r}.")
    width, height = PAPERS[paper]
    return 1000.0 * width, 1000.0 * height


@dataclass(frozen=True)
class CardData:
    """Every line of a set-up card: the window side, and all others for the desk side.

    date: day of the card; None on a preview.
    units: which system comes first.
    paper: "A4" or "Letter".
    warning: said on top when drill or soils are invented examples, or unlike such machines; else empty.
    soils: names and target depths over the columns of the load lines.
    loads: pressure, down force, gauge-wheel load.
    lifts: where the weight ends.
    limits: today's red line, lowest and highest setting: label and text.
    oil: what the cylinders get at work and where oil runs short: label and text.
    decisions: gauge wheels, seeds, slot wall, what to do.
    cautions: what may hurt: title and sentences, in full.
    marks: how the inputs were come by: the mark, and the groups of inputs that bear it.
    """

    window: WindowSide
    drill: str
    field: str
    date: datetime.date | None
    units: UnitSystem
    paper: str
    warning: str
    facts: tuple[tuple[str, str], ...]
    face: GaugeFace
    starts: tuple[card_lines.StartLine, ...]
    soils: tuple[str, ...]
    loads: tuple[card_lines.LoadLine, ...]
    lifts: tuple[card_lines.LiftLine, ...]
    limits: tuple[tuple[str, str], ...]
    oil: tuple[tuple[str, str], ...]
    change_rule: tuple[str, ...]
    decisions: tuple[tuple[str, ...], ...]
    checks: tuple[str, ...]
    trouble: tuple[tuple[str, ...], ...]
    cautions: tuple[tuple[str, str], ...]
    record: tuple[str, ...]
    rests_on: tuple[tuple[str, str], ...]
    marks: tuple[tuple[str, str], ...]

    @property
    def step(self) -> Pascal:
        """One step of the change rule in the units that come first."""
        return self.units.gauge_step


def write_card(
    drill: Drill,
    field: Field,
    path: str | Path,
    fields: Sequence[Field] = (),
    hopper_fill: Ratio = 0.0,
    paper: str | None = None,
    units: str | None = None,
    date: date | None = None,
    replace: bool = False,
) -> Path:
    """Write the set-up card, by the suffix of the path: PDF holds both sides, PNG the window side.

    path: file to write; ".pdf" or ".png".
    fields: other soils for the desk side, such as those of the season.
    hopper_fill: share of a full hopper at which it is filled again.
    paper: "A4" or "Letter"; if left out, A4 for metric units and Letter for US units.
    units: "metric" or "US", the driver's, which come first on the desk side; the drill's own if left out.
    date: day on the card; today if left out. The same inputs and date give the same bytes.
    replace: whether an older file of that name may be written over.
    Result: the file written.
    Raises ValueError if the suffix, the paper or the units are none of those, the folder is not there or
        holds such a file already, an invented field is to stand on the card of somebody's own drill, or the
        drawing is not installed; the sentence says what to do.
    """
    path = Path(path)
    if path.suffix.lower() not in SUFFIXES:
        raise ValueError(
            f"A card is written as .pdf or .png; {path.name!r} ends in neither. Change its ending."
        )
    check_place(path, replace)
    draw = _drawing()
    card = card_data(drill, field, fields, hopper_fill, paper, units, date)
    return write_file(path, draw(card, path.suffix.lower()), replace)


def card_data(
    drill: Drill,
    field: Field,
    fields: Sequence[Field] = (),
    hopper_fill: Ratio = 0.0,
    paper=None,
    units=None,
    date: date | None = None,
    settings: Sequence[PressureSetting] | None = None,
    band: Callable = card_lines.start_band,
) -> CardData:
    """Work out every line of the set-up card.

    fields: other soils for the desk side. Today's field takes the place of one with its name.
    hopper_fill: share of a full hopper at which it is filled again.
    paper: "A4" or "Letter"; if left out, A4 for metric units and Letter for US units.
    units: "metric" or "US", the driver's, which come first on the desk side; the drill's own if left out.
    date: day on the card; today if left out.
    settings: one for each of `card_soils`, if they have been worked out already.
    band: works out what the cylinders get, as `start_band` does.
    """
    units = unit_system(units or drill.units)
    paper = paper or usual_paper(units)
    paper_size(paper)
    fill = float(between("hopper_fill", hopper_fill, 0.0, 1.0))
    soils = card_soils(drill, field, fields)
    settings = settings or [recommend(drill, soil, hopper_fill=fill) for soil in soils]
    day = date or datetime.date.today()
    return _card(drill, field, soils, fill, paper, units, day, tuple(settings), band)


@kept(8)
def _card(drill, field, soils, fill, paper, units, date, settings, band):
    now = next(one for one, soil in zip(settings, soils, strict=True) if soil == field)
    face = gauge_face(drill, soils, fill, settings, field)
    starts = card_lines.start_lines(drill, soils, field, settings, units)
    start = next(line.gauge_pressure for line in starts if line.today)
    turns = {how: turn(now, how, units) for how in TURNS}
    return CardData(
        window=window_side(drill, now, fill, units, paper, date, turns=turns),
        drill=drill.name,
        field=field.name,
        date=date,
        units=units,
        paper=paper,
        warning=" ".join(filter(None, (_warning(drill, soils), unusual_line(drill, field, units)))),
        facts=_facts(drill, field, fill, units),
        face=face,
        starts=starts,
        soils=tuple(f"{soil.name}, {units.both('length', soil.target_depth)} deep" for soil in soils),
        loads=card_lines.load_lines(drill, soils, face, settings, units),
        lifts=card_lines.lift_lines(drill, field, units, {fill: now}),
        limits=_limits(drill, now, units, face),
        oil=card_lines.oil_lines(band(drill, field, start), units),
        change_rule=_change_rule(drill, turns, units),
        decisions=tuple((*row.found, row.short) for row in TABLE),
        checks=card_window.checks(drill),
        trouble=card_window.GAUGE_TROUBLE,
        cautions=CAUTIONS,
        record=card_window.RECORD,
        rests_on=_rests_on(drill, field, soils, units, now.pressed),
        marks=_marks(drill, field),
    )


def usual_paper(units):
    """Paper of those who read these units: "A4" or "Letter"."""
    return "A4" if units.name == "metric" else "Letter"


def card_soils(drill: Drill, field: Field, fields: Sequence[Field] = ()) -> tuple[Field, ...]:
    """The soils of a card, from the one that asks least to the one that asks most.

    field: today's field; it takes the place of one with its name.
    """
    others = [other for other in fields if other.name != field.name]
    invented = [other.name for other in others if is_shipped(other)]
    if invented and not is_shipped(drill):
        raise ValueError(
            f"{'; '.join(invented)}: an invented example, which has no place on the card of your own drill. "
            "Leave it out, or give a field file of yours."
        )
    return tuple(sorted([*others, field], key=lambda soil: float(soil.opener_soil.target_reaction)))


def _drawing():
    found = list(entry_points(group="downforce.card"))
    cause = "its entry point is missing"
    if found:
        try:
            return found[0].load()
        except ImportError as missing:
            cause = str(missing)
    raise ValueError(
        f"The card is drawn by the workbook part of this package, which is not installed here ({cause}). "
        "In the project's folder run: pip install -r requirements.txt"
    )


def _warning(drill, soils):
    example = [one.name for one in (drill, *soils) if is_shipped(one)]
    return f"Invented examples, not for the field: {'; '.join(example)}." if example else ""


def _facts(drill, field, fill, units):
    depth = ("Depth stop", f"{units.both('length', field.target_depth)} today, notch ____, every stop alike")
    facts, area = [depth], area_to_refill(drill, field, fill)
    if drill.seed_on_frame:
        refill = f"{percent(fill)} full; refill there" if fill else "empty"
        facts.append(("Hopper", f"this card holds down to {refill}"))
    if isfinite(area) and area > 0:
        rate, held = units.both("seed rate", field.seed_rate), units.both("mass", seed_held(drill, field))
        facts.append(("Refill", f"after {units.both('land', area)} at {rate}; full it holds {held}"))
    return tuple(facts)


def _per_step(drill, units):
    force = float(drill.cylinder.down_force(drill.opener, 0.0, units.gauge_step))
    return f"{units.gauge_step_text} give {units.show('force', force)}"


def _limits(drill, now, units, face):
    limits = pressure_limits(drill)
    first = f"the frame may lift: {now.lift.first_section}, {now.lift.first_support} first"
    why = first if now.red_line < limits.highest else limits.top.words
    highest, relief = (at_most(units, end) for end in (limits.highest, limits.standing))
    lowest = pressure_text(units, limits.lowest, face.lowest_ceiling, up=True)
    return (
        ("Red line", f"{at_most(units, now.red_line)}, {why}"),
        ("Lowest setting", f"{lowest}, {limits.floor.words}"),
        ("Highest setting", f"{highest}, {limits.top.words}; relief at {relief}"),
    )


def _change_rule(drill, turns, units):
    return (
        f"One step is {units.gauge_step_text} or {units.other.gauge_step_text}; then sow, stop, turn the "
        "wheels, dig.",
        f"At the disc {_per_step(drill, units)}; {_per_step(drill, units.other)}.",
        f"Soil turned {', '.join(f'{how}: {answer.words}' for how, answer in turns.items())}.",
        "Never past the red line. If a raise adds nothing, it is weight you lack.",
    )


def _rests_on(drill, field, soils, units, pressed):
    lines = []
    for soil in soils:
        where = "an invented example" if is_shipped(soil) else card_window.BASIS[soil.soil.basis]
        found = (
            f"{units.both('force', soil.soil.reaction)} at {units.both('length', soil.soil.reference_depth)}"
        )
        wanted = f"wanted {units.both('force', soil.aim.gauge_wheel_load)} on the gauge wheel"
        lines.append((f"{'Today, ' if soil == field else ''}{soil.name}", f"{found}, {where}; {wanted}"))
    opener, cylinder, gauge = drill.opener, drill.cylinder, drill.hydraulics.gauge
    lever = abs(float(cylinder.leverage(opener, 0.0)))
    friction = cylinder.friction_force(pressed) * lever
    source = "an invented drill" if is_shipped(drill) else "the drill file; weigh to be sure"
    wide, area = units.both("large length", drill.width), units.both("area", cylinder.area)
    empty = ", hopper empty" if drill.seed_on_frame else ""
    lines += [
        (
            "Drill",
            f"{drill.row_count} openers, {wide} wide; cylinders {area}, leverage {lever:.3f}; "
            f"{units.both('mass', drill.total_mass())} with openers{empty}; {source}",
        ),
        (
            "Not known better than",
            f"seal friction {units.both('force', friction)} at the disc either way; "
            f"gauge {units.both('pressure', gauge.accuracy * gauge.full_scale)} either way",
        ),
        ("Made", f"with downforce {downforce.__version__}. {card_window.LEFT_OUT}"),
    ]
    return tuple(lines)


def _marks(drill, field):
    """Groups of inputs by how they were come by, best known first; what has none is taken as usual."""
    groups = {}
    for one in card_inputs(drill, field):
        groups.setdefault(one.group, set()).add(one.basis or "said in the file")
    return tuple(
        (words, ", ".join(f"{group} (in part)" if len(bases) > 1 else group for group, bases in held))
        for basis, words in card_window.MARKS.items()
        if (held := [(group, bases) for group, bases in groups.items() if basis in bases])
    )
