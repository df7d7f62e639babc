"""Pages for who orders and who welds, and the chosen cylinder written into a copy of the drill file.

What fits the old place, brackets, pins, the specification sheet. In the copy comments stay.
"""

import tempfile
from dataclasses import replace
from math import isfinite
from pathlib import Path

from downforce.machine.actuators import Cylinder
from downforce.machine.files import write_beside
from downforce.machine.reader import FileProblem, read_drill
from downforce.machine.reading.writer import Draft
from downforce.machine.readings import read_offered
from downforce.machine.shipped import named_file, shipped_drills
from downforce.study.cylinders import loads
from downforce.study.cylinders.choice import cylinder_choice
from downforce.study.cylinders.force_needs import MOUNTINGS
from downforce.study.cylinders.order import (
    WELD_LEG,
    WELD_STRESS,
    bracket_loads,
    clearance,
    cylinder_order,
    moved_pins,
    old_place,
)
from downforce.workbook import style
from downforce.workbook.bench import Bench, PlainProblem
from downforce.workbook.card.page import printed_table
from downforce.workbook.cylinders.tables import season, shared_pins
from downforce.workbook.table import WriteButtons, table_page, write_list

_KEYS = ("bore", "rod", "stroke", "closed_length")
_PINS = ("frame_pin", "moving_pin")
_CLOSE = 1e-4


def drill_text(text, cylinder: Cylinder):
    """A drill file with another cylinder in it.

    Result: the same file with other values of bore, rod, stroke, closed length and pins, in the units that
        stand there; comments and the rest as they were.
    """
    draft = Draft(text, "drill")
    for key in _KEYS:
        draft.put_si(("cylinder", key), getattr(cylinder, key))
    for pin in _PINS:
        for place, value in enumerate(getattr(cylinder.mount, pin)):
            draft.put_si(("cylinder", "mount", pin, place), value)
    return draft.text


def write_my_drill(bench: Bench, cylinder: Cylinder, folder: str | Path = "."):
    """Write a copy of the bench's drill with another cylinder beside the workbook, never over another file.

    bench: its drill must come from a file: a shipped one, or one that `open_bench` was given.
    """
    path = _file_of(bench)
    written = drill_text(path.read_text(encoding="utf-8"), cylinder)
    back = _read_back(written)
    wanted = replace(bench.drill, cylinder=cylinder, doubts=back.doubts)
    if not _alike(back.cylinder, cylinder) or replace(back, cylinder=cylinder) != wanted:
        raise ValueError(f"The cylinder in {path.name} cannot be changed here. Change it by hand.")
    stem = path.stem if path.stem.startswith("my_") else f"my_{path.stem}"
    made = write_beside(Path(folder, f"{stem}.toml"), written, again=False)
    return (
        f'Written: {made.name}; {path.name} is as it was. Open it with open_bench("{made.name}"). '
        "Spring, masses and the rest are those of before."
    )


def _file_of(bench):
    known = [named_file(bench.names["drill"], shipped_drills())] if bench.names else []
    for path in (*known, *(path for _, path in shipped_drills())):
        if Path(path).is_file() and read_drill(path) == bench.drill:
            return Path(path)
    raise ValueError(
        'This drill comes from no file that is known here. Open it by name: open_bench("my_drill.toml").'
    )


def _read_back(text):
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder, "drill.toml")
        copy.write_text(text, encoding="utf-8")
        try:
            return read_drill(copy)
        except FileProblem as problem:
            raise ValueError(f"With this cylinder the file would not be read: {problem}") from None


def _alike(one, other):
    pairs = [(getattr(one, key), getattr(other, key)) for key in _KEYS]
    for pin in _PINS:
        pairs += zip(getattr(one.mount, pin), getattr(other.mount, pin), strict=True)
    return all(abs(a - b) < _CLOSE for a, b in pairs)


_STRESS = {"metric": ("MPa", 1e6), "US": ("ksi", 6894757.293168361)}

IN_FILE = 0
"""Place in the ranked table that stands for the drill file's own cylinder [-]."""


def chosen_drill(bench: Bench, place=IN_FILE, supplier: str | Path | None = None):
    """The drill on the bench with one cylinder of the ranked table, on the pins as they are moved.

    place: 0 for the drill file's own, else as in the ranked table.
    """
    drill = shared_pins(bench).drill_on
    if place == IN_FILE:
        return drill
    offered = None if supplier is None else read_offered(supplier)
    ranked = cylinder_choice(drill, season(bench), offered=offered).ranked
    if not ranked:
        raise PlainProblem(
            "No size of the tables fits this drill, so there is none to order; the table of sizes that are "
            "out says why. Write 0 in place of the number for the cylinder of the drill file."
        )
    if not 0 < place <= len(ranked):
        raise PlainProblem(f"The ranked table has {len(ranked)} places; there is no place {place}.")
    return replace(drill, cylinder=ranked[place - 1].cylinder)


def old_place_table(bench: Bench):
    """What fits between the old spring's pins, and what a new bracket must carry and leave free."""
    drill, show = chosen_drill(bench), bench.units.show
    place, moved, free = old_place(drill), moved_pins(drill), clearance(drill)

    def long(value):
        return show("length", value)

    fits = "nothing"
    if place.fits:
        fits = ", ".join(f"{name}, closed {long(closed)}" for name, _, closed in place.fits)
    rows = {
        "Between the old spring's pins": f"{long(place.shortest)} to {long(place.longest)}",
        "A cylinder there needs": f"{long(place.stroke_wanted)} of stroke, {long(place.closed_wanted)} "
        "closed or less",
        "Standard cylinders that fit there": fits,
    }
    if not place.fits:
        closed = f"{long(place.closed)} closed: {long(place.missing)} too long"
        rows["The shortest with enough stroke"] = f"{long(place.stroke)} of stroke, {closed}"
    for end, one in moved.items():
        words = f"{long(abs(one.rearward))} {'to the rear' if one.rearward > 0 else 'to the front'}"
        up = f"{long(abs(one.up))} {'up' if one.up >= 0 else 'down'}"
        rows[f"New pin on the {end}, from the old"] = f"{words}, {up}"
    for load in bracket_loads(drill):
        about = f"; {show('moment', load.about_pivot)} about the arm's pivot" if load.end == "frame" else ""
        weld = f"two fillets of {long(load.weld)}" if isfinite(load.weld) else "no weld below 2 m"
        held = f"{show('force', load.force)}; {show('moment', load.moment)} about the old pin{about}; {weld}"
        rows[f"Bracket on the {load.end}, at the {load.standing}"] = held
    rows["What the tube sweeps, raised and folded too"] = (
        f"{long(free.front)} to {long(free.rear)} behind the pivot, {long(free.low)} to {long(free.high)} "
        "over the soil: no tube, hopper, hose or bolt in there"
    )
    for name, (gap, travel) in free.nearest.items():
        at = f"{long(gap)} at a travel of {long(travel)}"
        words = at if gap >= 0 else "it passes beside it: look from above"
        rows[f"From the {name}, seen from the side"] = words
    hose = long(free.hose) if isfinite(free.hose) else "no table says, for its bore"
    rows |= {
        "To the cylinder beside it in the same rank": long(free.same_rank),
        "From its middle to the next row": f"{long(free.next_row)} beside the tube",
        "For the hose beside its port": hose,
    }
    note = (
        f"Fillets with a leg of {show('small length', WELD_LEG)} at "
        f"{_stress(bench.units, WELD_STRESS, True)} (guessed), each with the whole moment about the old pin: "
        "a bracket fixed nearer to the line of force needs less. These are figures for whoever answers for "
        "the frame, no release: blows and fatigue come on top, and where the frame's steel is heat-treated "
        "or under warranty nobody welds. Where tube and hopper stand the file does not know."
    )
    return table_page(f"The old spring's place, {drill.name}", ["What", "How much"], rows.items(), note)


def pins_table(bench: Bench, joint: loads.Joint | None = None, place=IN_FILE):
    """Every pin of both series in its fork, with rod and tube, at the relief valve and at the tractor's most.

    joint: fork and eye; usual ones if left out.
    """
    drill, show, joint = chosen_drill(bench, place), bench.units.show, joint or loads.Joint()
    pressures, held = loads.standing_pressures(drill), loads.strength(drill)
    unit, rows = _STRESS[bench.units.name][0], []
    for trial in loads.pin_trials(drill, joint):
        rows.append([trial.label])
        for name in (loads.RELIEF, loads.MOST):
            stresses = " / ".join(_stress(bench.units, stress) for stress in trial.stresses[name])
            rows[-1] += [stresses, ", ".join(trial.over[name]) + " too high" if trial.over[name] else "holds"]
    relief, most = (
        f"At {show('pressure', pressures[name])}, the {words} ({unit})"
        for name, words in ((loads.RELIEF, "relief valve"), (loads.MOST, "tractor's most"))
    )
    header = ["Pin", relief, "There", most, "There"]
    safe = "; ".join(
        f"at the {name} a rod of {one.column_safety:.1f} times its push and a wall of {one.wall_safety:.1f} "
        "times its stress"
        for name, one in held.items()
    )
    eye, fork, gap = (show("small length", one) for one in (joint.eye, joint.fork, joint.gap))
    note = (
        f"Shear / bearing in the eye / bearing in the fork / bending. Eye {eye}, plates {fork}, {gap} clear "
        "on each side: guessed, measure yours. Allowed, from memory: bending "
        f"{style.percent(loads.BENDING_SHARE)} and shear {style.percent(loads.SHEAR_SHARE)} of "
        f"{_stress(bench.units, joint.strength, True)}, bearing "
        f"{_stress(bench.units, loads.BEARING[joint.bushing], True)} ({joint.bushing}). Beside a single "
        f"plate a pin bears twice the shear and bends far more. Rod and tube: {safe}. No blows, no fatigue: "
        "a person who knows strength decides."
    )
    return table_page(f"Pins of the cylinder, {drill.name}", header, rows, note)


def order_table(bench: Bench, place=IN_FILE, mounting=MOUNTINGS[0], joint: loads.Joint | None = None):
    """Specification sheet of a cylinder, with what to check when it is delivered.

    mounting: "cross tubes", "tang or clevis" or "tie rods".
    """
    order = _order(bench, place, mounting, joint)
    rows = [[row.what, row.order, row.check] for row in order.rows]
    header = ["Field", "Order", "Check when it is delivered"]
    return table_page(f"To order: {_many(order)}, {bench.drill.name}", header, rows, _order_note(order))


def write_order(
    bench: Bench,
    place=IN_FILE,
    mounting=MOUNTINGS[0],
    joint: loads.Joint | None = None,
    folder: str | Path = ".",
    paper="A4",
):
    """Write the specification sheet beside the notebook: one page, and a spreadsheet.

    mounting: "cross tubes", "tang or clevis" or "tie rods".
    paper: "A4" or "Letter".
    """
    order = _order(bench, place, mounting, joint)
    printed = printed_table(
        f"Cylinder to order: {bench.drill.name}",
        [f"{_many(order)}. Ordered by: ____________ Date: ____________ Supplier: ____________"],
        ["Field", "Order", "Check when it is delivered", "Found"],
        (34, 88, 54, 24),
        [[row.what, row.order, row.check, ""] for row in order.rows],
        [_order_note(order)],
        paper,
    )
    return write_list("sheet", "my_cylinder", order.to_frame(), printed, paper, folder)


def write_drill(bench: Bench, place=IN_FILE, folder: str | Path = "."):
    """Write this cylinder, on the pins as they are moved, into a copy of the drill file.

    Result: where the copy is; the file itself is never changed.
    """
    if place == IN_FILE and not shared_pins(bench).moved:
        return "Nothing is moved and no other cylinder is chosen, so there is nothing to write."
    return write_my_drill(bench, chosen_drill(bench, place).cylinder, folder)


def order_buttons(bench: Bench, place=IN_FILE, folder: str | Path = "."):
    """Buttons that write the specification sheet, and this cylinder into a copy of the drill file.

    bench: drill, field and units, as they are when one is pressed; pins as they are moved then.
    Result: shows itself as the last line of a cell.
    """

    def sheet(paper):
        words = f"Order sheet (CSV, and PDF on {paper})"
        return words, lambda _progress, _stop: write_order(bench, place, folder=folder, paper=paper)

    def copy(_progress, _stop):
        return write_drill(bench, place, folder)

    return WriteButtons([sheet("A4"), sheet("Letter"), ("Write this into a copy of my drill", copy)])


def _order(bench, place, mounting, joint):
    return cylinder_order(chosen_drill(bench, place), mounting, joint, units=bench.units.name)


def _many(order):
    return f"{order.count} cylinders, and 2 % spare, at least 2"


def _order_note(order):
    problems = " ".join(order.problems) or "Nothing in it is known to be impossible."
    return (
        f"{problems} Lengths, tolerances, friction, surfaces: common practice, no source. Standards are "
        "named from memory; the supplier's drawing goes before this sheet."
    )


def _stress(units, stress, named=False):
    """In what steel is reckoned with, not in what soil is."""
    unit, size = _STRESS[units.name]
    return f"{stress / size:.0f}" + (f" {unit}" if named else "")
