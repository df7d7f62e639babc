"""What an order for a cylinder must say, and what to check when it is delivered: one page."""

from dataclasses import dataclass

from downforce.machine.drill import Drill
from downforce.machine.units import METRIC, US, unit_system
from downforce.study.cylinders.force_needs import MOUNTINGS, dead_lengths, stroke_check
from downforce.study.cylinders.loads import (
    MOST,
    RELIEF,
    Joint,
    pin_trials,
    smallest_pin,
    standing_pressures,
    strength,
)
from downforce.study.oil.circuit import cylinder_size, hose_size

PROOF = 1.5
"""Proof pressure over the rated one [-] (common practice, no source)."""
COLDEST = 253.15
"""Lowest oil temperature where nobody says it [K]: a cold start in the north (common practice, no source)."""
LENGTH_TOLERANCE = 0.002
"""Of closed and open length [m]: 1.5 to 3 mm is usual (common practice, no source)."""
LARGEST_FRICTION = 4e5
"""Breakaway pressure asked for at most [Pa]: 2 to 4 bar (common practice, no source)."""
_HALF_A_MILLIMETRE = 5e-4


@dataclass(frozen=True)
class OrderRow:
    """One line of a specification sheet."""

    what: str
    order: str
    check: str


@dataclass(frozen=True)
class CylinderOrder:
    """A specification sheet.

    system: "metric" or "inch": bore, rod, stroke, pins and port are all of it.
    count: how many cylinders, without spares.
    problems: what nobody can build, or what is mixed; empty if all is well.
    """

    rows: tuple[OrderRow, ...]
    system: str
    count: int
    problems: tuple[str, ...]

    def to_frame(self):
        """The sheet as a table, with an empty column for what was measured.

        Result: columns `what`, `order`, `check`, `found`.
        """
        import pandas

        return pandas.DataFrame(
            {
                "what": [row.what for row in self.rows],
                "order": [row.order for row in self.rows],
                "check": [row.check for row in self.rows],
                "found": ["" for _ in self.rows],
            }
        )


def cylinder_order(
    drill: Drill, mounting=MOUNTINGS[0], joint: Joint | None = None, units=None
) -> CylinderOrder:
    """Specification sheet of the cylinder that a drill's file proposes.

    mounting: "cross tubes", "tang or clevis" or "tie rods".
    joint: fork and eye; usual ones if left out.
    units: "metric" or "US", which comes first; the drill's own if left out.
    Result: the sheet; what cannot be built or is mixed stands in its problems.
    """
    cylinder, shown, joint = drill.cylinder, unit_system(units or drill.units), joint or Joint()
    system, mixed = _system(cylinder)
    check = stroke_check(drill.opener, cylinder)
    shortest, longest = dead_lengths(cylinder.bore, cylinder.kind, mounting)
    dead = cylinder.closed_length - cylinder.stroke
    problems = [mixed] if mixed else []
    if dead < shortest - _HALF_A_MILLIMETRE:
        problems.append(
            f"Closed, it would be {shown.both('length', cylinder.closed_length)}; with {mounting} nobody "
            f"builds it below {shown.both('length', cylinder.stroke + shortest)}."
        )
    if not check.enough:
        problems.append("Its stroke leaves too little at one end: see the table of the stroke.")
    pin = smallest_pin(pin_trials(drill, joint), system)
    if pin is None:
        problems.append("No pin of the series holds here: wider eye, thicker plates, or greased bushings.")
    rows = (
        *_body(cylinder, system, shown),
        *_lengths(cylinder, mounting, (shortest, longest), check, shown),
        *_ends(drill, pin, joint, mounting, shown),
        *_inside(drill, system, shown),
        *_tests(drill, shown),
    )
    kept = int(drill.row_on_springs.sum())
    return CylinderOrder(rows, system, drill.row_count - kept, tuple(problems))


def _system(cylinder):
    """The system its acting diameter is sold in, and what is of the other."""
    sizes = {"bore": cylinder.bore, "rod": cylinder.rod, "stroke": cylinder.stroke}
    found = {}
    for kind, size in sizes.items():
        text = cylinder_size(kind, size, METRIC)
        if " in (" in text:
            found[kind] = "inch"
        elif " mm (" in text and not text.startswith(METRIC.show("small length", size)):
            found[kind] = "metric"
    acting = cylinder.works.acting
    system = found.get(acting) or next(iter(found.values()), "metric")
    odd = [kind for kind in sizes if found.get(kind) != system]
    if not odd:
        return system, ""
    return system, (
        f"Its {acting} is of the {system} series and its {' and '.join(odd)} not: order all of one system, "
        "or ask whether it is made."
    )


def _body(cylinder, system, shown):
    works = cylinder.works
    sizes = {works.acting_name: works.acting, works.other_name: works.other}
    yield OrderRow(
        "Action and kind",
        f"{works.action}; {cylinder.kind} type: the oil acts on the {works.acting_name}",
        "stamp or drawing: the two kinds differ by the square of bore over rod",
    )
    for name, part in sizes.items():
        yield OrderRow(name.capitalize(), cylinder_size(part, getattr(cylinder, part), shown), "calliper")
    yield OrderRow("Stroke", cylinder_size("stroke", cylinder.stroke, shown), "open less closed length")
    yield OrderRow("System of sizes", f"{system} throughout", "pins, port and thread of one system")


def _lengths(cylinder, mounting, dead, check, shown):
    span = shown.both("length", LENGTH_TOLERANCE)
    for name, length in (("Closed", cylinder.closed_length), ("Open", cylinder.open_length)):
        yield OrderRow(f"{name}, pin to pin", f"{shown.both('length', length)} ± {span}", "tape, pin to pin")
    usual = ""
    if dead[0]:
        usual = f"; usual is {shown.show('length', dead[0])} to {shown.both('length', dead[1])} (no source)"
    yield OrderRow(
        "What is not stroke",
        f"{shown.both('length', cylinder.closed_length - cylinder.stroke)}, {mounting}{usual}",
        "closed length less stroke; ask for the drawing",
    )
    yield OrderRow(
        "Left at the ends, on the opener",
        f"closed {shown.both('length', check.least_closed_margin)}, open "
        f"{shown.both('length', check.least_open_margin)}",
        "on the drill, at both stops, raised and in transport",
    )


def _ends(drill, pin, joint, mounting, shown):
    size = "none of the series holds" if pin is None else pin.label
    if pin is not None:
        other = METRIC if pin.system == "inch" else US
        size += f" ({other.show('small length', pin.diameter)})"
    yield OrderRow(
        "Pins, both ends",
        f"{size}, in double shear, pins parallel; eye {shown.both('small length', joint.eye)}, plates "
        f"{shown.both('small length', joint.fork)} (guessed)",
        "pin goes in by hand; eye in a fork, never beside one plate",
    )
    yield OrderRow(
        "Clearance and bushing",
        f"bore over pin {shown.show('small length', 0.0002)} to {shown.show('small length', 0.0005)} for "
        f"bolted brackets, side gap {shown.both('small length', joint.gap)}; bushing {joint.bushing}",
        f"retire at about {shown.both('small length', 0.001)} of play",
    )
    yield OrderRow("Ends", f"{mounting}; order the mating half with it", "fits the bracket")


def _inside(drill, system, shown):
    drop = hose_size(drill.hydraulics.drop.bore)
    thread = drop.metric_boss if system == "metric" else drop.thread
    kind = "metric boss with O-ring" if system == "metric" else "straight thread with O-ring boss"
    yield OrderRow(
        "Port",
        f"{thread or 'ask'}, {kind} (for {drop.name} hose), upward as mounted; say the clock position",
        "no taper thread; port capped",
    )
    yield OrderRow("Bleed", "screw or second port at the highest point as mounted", "there, and closed")
    if drill.cylinder.works.rod_side:
        yield OrderRow(*drill.cylinder.works.rod_side)
    yield OrderRow("Wiper", "double lip or scraper; a boot only if it drains", "sits whole, not painted")
    yield OrderRow(
        "Rod surface",
        "hard chrome 20 to 25 µm, or nitrided or stainless; Ra 0.3 µm or finer (common practice)",
        "no dent, no scratch over its whole length",
    )
    oil = drill.hydraulics.oil
    yield OrderRow(
        "Seals and oil",
        f"for mineral oil of {oil.viscosity_40 * 1e6:.0f} mm²/s at 40 °C, from "
        f"{shown.both('temperature', COLDEST)} up; seals that do not stiffen there",
        "named on the certificate",
    )
    yield OrderRow(
        "Friction",
        f"breakaway at most {shown.both('pressure', LARGEST_FRICTION)}, empty, both ways, after 10 strokes; "
        "a matched set",
        "hand pump with a gauge, on one in ten",
    )


def _tests(drill, shown):
    cylinder, held = drill.cylinder, strength(drill)
    pressures = standing_pressures(drill)
    rated = max(cylinder.rated_pressure, pressures[MOST])
    yield OrderRow(
        "Rated pressure",
        f"{shown.both('pressure', rated)} or more: the tractor's most is "
        f"{shown.show('pressure', pressures[MOST])}",
        "stamped on the barrel",
    )
    yield OrderRow(
        "Proof", f"{shown.both('pressure', PROOF * rated)} with certificate; drift in 5 min", "paper"
    )
    for name in (RELIEF, MOST):
        one = held[name]
        yield OrderRow(
            f"Load at the {name}",
            f"{shown.both('force', one.force)} at {shown.show('pressure', one.gauge_pressure)}; rod as a "
            f"column {one.column_safety:.1f} times that, wall to yield {one.wall_safety:.1f} times"
            + ("" if one.enough else ": less than is asked for"),
            "the maker confirms",
        )
    yield OrderRow(
        "Paint, marks, packing",
        "primer and top coat, rod and wiper masked; part number, date, rated pressure, bore and rod stamped; "
        "ports capped, rod in, oil film",
        "look",
    )
