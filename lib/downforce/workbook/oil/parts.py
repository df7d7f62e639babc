"""The parts list on a page of the workbook, as a spreadsheet and on paper."""

from math import isfinite
from pathlib import Path

from downforce.machine.files import write_beside
from downforce.machine.unit_display import UnitSystem
from downforce.physics.kinds import Kelvin
from downforce.study.oil.cases import DUTY_ANGLE, SHARE, way_trials
from downforce.study.parts import ORDERED_AT, GaugeReads, parts_list
from downforce.study.setting.reasons import limit_text
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.oil.words import limited_words, valve_words
from downforce.workbook.own_files import WriteButtons
from downforce.workbook.printed import printed_table
from downforce.workbook.table import table_page

BLANK = "to be filled in"
"""What stands under a torque: two tables in print differ by two to one [-]."""

_LONG = 2.0
_HEADER = ["Part", "How many", "Size", "Length", "Ratings", "Why"]
_SHARES = (38, 13, 36, 17, 40, 54, 17)


def parts_table(bench: Bench, temperature: Kelvin = ORDERED_AT):
    """The parts list that a shop can order from."""
    listed = parts_list(bench.drill, bench.field, temperature, bench.units.name)
    note = " ".join(_notes(bench, listed, temperature))
    return table_page(f"Parts of the circuit, {bench.drill.name}", _HEADER, _rows(bench.units, listed), note)


def write_parts(bench: Bench, temperature: Kelvin = ORDERED_AT, folder: str | Path = ".", paper="A4"):
    """Write the list beside the notebook, as a spreadsheet and on paper, never over an older one.

    paper: "A4" or "Letter".
    """
    listed = parts_list(bench.drill, bench.field, temperature, bench.units.name)
    rows = [
        [*cells, BLANK if part.fitting else ""]
        for cells, part in zip(_rows(bench.units, listed), listed, strict=True)
    ]
    page, pages = printed_table(
        f"Parts of the circuit: {bench.drill.name}",
        [f"Field: {bench.field.name}. Ordered by: ____________ Date: ____________"],
        [*_HEADER, "Torque"],
        _SHARES,
        rows,
        [*_notes(bench, listed, temperature), _TORQUE],
        paper,
    )
    sheet = listed.to_frame().to_csv(index=False, lineterminator="\n").encode("utf-8-sig")
    files = [
        write_beside(Path(folder, f"my_parts{end}"), what, again=False)
        for end, what in ((".csv", sheet), (".pdf", page))
    ]
    older = " Older lists were left as they are." if any(path.stem != "my_parts" for path in files) else ""
    return (
        f"Your list is {files[0].name} (for a spreadsheet) and {files[1].name} ({paper}, {pages} "
        f"pages).{older}"
    )


def parts_buttons(bench: Bench, folder: str | Path = "."):
    """A button that writes the list, as a spreadsheet and on paper.

    Result: shows itself as the last line of a cell.
    """
    papers = ("A4", "Letter")
    return WriteButtons(
        [
            (
                f"Parts list (CSV, and PDF on {paper})",
                lambda paper=paper: write_parts(bench, folder=folder, paper=paper),
            )
            for paper in papers
        ]
    )


_TORQUE = (
    "No torque is printed: tables in print differ by two to one. Finger-tight, mark nut and body, then "
    "turn as "
    "many flats as the fitting's own sheet says, with two spanners; write its torque into the last column."
)


def _rows(units, listed):
    rows = []
    for part in listed:
        ratings = "; ".join(f"{one.words} {units.show(one.kind, one.value)}" for one in part.figures)
        length = "–"
        if isfinite(part.length):
            length = units.show("length" if part.length < _LONG else "large length", part.length)
        words = f"{part.why} Mind: {part.warning}" if part.warning else part.why
        rows.append([part.what, str(part.count or "none"), part.size or "–", length, ratings or "–", words])
    return rows


def _notes(bench, listed, temperature):
    units, show = bench.units, bench.units.show
    ordered, own = listed.ordered, way_trials(bench.drill, bench.field, temperature).judged()
    size = show("small length", ordered.header_bore), show("small length", ordered.drop_bore)
    kept = f"keeps {style.percent(ordered.kept, 1)} within ±{style.percent(SHARE)}"
    judged = "the circuit that was judged good" if ordered.enough else "the best circuit tried, not enough"
    yield (
        f"Ordered is {judged}: {valve_words(ordered, units)}, header {size[0]}, drops {size[1]}, which "
        f"{kept} over the terrace at {DUTY_ANGLE} degrees with oil of {show('temperature', temperature)}."
    )
    if ordered == own:
        yield "It is the drill file's own."
    else:
        yield f"As the drill file has it, {style.percent(own.kept, 1)} is kept{limited_words(own.limits)}."
    given = bench.drill.hydraulics.supply.flow
    if ordered.given > given:
        yield (
            f"The tractor limits as well: {show('flow', ordered.given)} are asked of its "
            f"{show('flow', given)} at {show('speed', bench.field.speed)}."
        )
    yield gauge_words(listed.gauge, units)
    yield (
        f"Counts: {listed.total('hose')} hoses and {listed.total('hose end')} ends; every opening of every "
        "part is joined. Where a port or thread is named, check it against the part: threads of flare and "
        "boss "
        "look alike and do not seal on each other."
    )
    yield (
        "An estimate to order and ask by, not a pressure-equipment check. Hoses and fittings are rated for "
        "what the tractor can press, not for the setting. Local codes and a person who knows "
        "hydraulics decide."
    )


def gauge_words(reads: GaugeReads, units: UnitSystem):
    """What the gauge tells of the rows, and what it does not."""
    places = " and ".join(f"{units.number('large length', y):+.1f}".replace("-", "−") for y in reads.places)
    show = units.show
    high, off = show("pressure", reads.highest), f"up to {show('pressure', reads.worst)}"
    if reads.ended_by:
        high = f"more than {limit_text(units, reads.highest)} ({reads.ended_by})"
        off = f"at least {show('pressure', reads.worst)}"
    return (
        f"The gauge reads the header at its own place ({places} {units.unit('large length')} right of the "
        f"middle), within {show('pressure', reads.error)}: with the drill standing still that is every "
        "row's. "
        f"While oil moves over this terrace the worst rows see {show('pressure', reads.lowest)} and {high} "
        f"when it is set to {show('pressure', reads.setting)}: {off} off what it reads."
    )
