"""What an order for a cylinder must say, and what to check when it is delivered: one page.

And the old spring's place: does a cylinder fit between its pins, and if not, what a new bracket must carry.
"""

from dataclasses import dataclass

import numpy as np

from downforce.machine.actuators import Cylinder
from downforce.machine.drill import Drill
from downforce.machine.shipped import read_table
from downforce.machine.units import METRIC, US, unit_system
from downforce.physics.cylinder_strength import fillet_stress
from downforce.physics.kinds import Metre, Newton, NewtonMetre
from downforce.study.cylinders import loads
from downforce.study.cylinders.force_needs import MOUNTINGS, StrokeCheck, dead_lengths, stroke_check
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

        rows = [(row.what, row.order, row.check, "") for row in self.rows]
        return pandas.DataFrame(rows, columns=["what", "order", "check", "found"])


def cylinder_order(
    drill: Drill, mounting=MOUNTINGS[0], joint: loads.Joint | None = None, units=None
) -> CylinderOrder:
    """Specification sheet of the cylinder that a drill's file proposes.

    mounting: "cross tubes", "tang or clevis" or "tie rods".
    joint: fork and eye; usual ones if left out.
    units: "metric" or "US", which comes first; the drill's own if left out.
    Result: the sheet; what cannot be built or is mixed stands in its problems.
    """
    cylinder, shown, joint = drill.cylinder, unit_system(units or drill.units), joint or loads.Joint()
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
    pin = loads.smallest_pin(loads.pin_trials(drill, joint), system)
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
    kind = "" if works.action == cylinder.kind else f"{cylinder.kind} type: "
    sizes = {works.acting_name: works.acting, works.other_name: works.other}
    yield OrderRow(
        "Action and kind",
        f"{works.action}; {kind}the oil acts on the {works.acting_name}",
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
        usual = f"; usual is {shown.both('length', dead[0])} to {shown.both('length', dead[1])} (no source)"
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
    cylinder, held = drill.cylinder, loads.strength(drill)
    pressures = loads.standing_pressures(drill)
    rated = max(cylinder.rated_pressure, pressures[loads.MOST])
    yield OrderRow(
        "Rated pressure",
        f"{shown.both('pressure', rated)} or more: the tractor's most is "
        f"{shown.show('pressure', pressures[loads.MOST])}",
        "stamped on the barrel",
    )
    yield OrderRow(
        "Proof", f"{shown.both('pressure', PROOF * rated)} with certificate; drift in 5 min", "paper"
    )
    for name in (loads.RELIEF, loads.MOST):
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


WELD_LEG = 0.005
"""Leg of a bracket's fillets [m] (assumed; the plate decides)."""
WELD_STRESS = 100e6
"""Throat stress to reckon a weld's length with [Pa]: 60 to 140 MPa for swelling load (guessed)."""
_LONGEST_WELD = 2.0
_STEPS = 91


@dataclass(frozen=True)
class OldPlace:
    """What is between the old spring's pins, and the cylinder that comes nearest to fitting there.

    closed_wanted: closed length that leaves the margin at the shortest.
    fits: what fits: mounting and stroke as sold with their closed length; empty if nothing does.
    stroke, closed: of the standard stroke that comes nearest, as short as anybody builds it.
    missing: by how much that is too long; 0 or less where it fits.
    """

    shortest: Metre
    longest: Metre
    stroke_wanted: Metre
    closed_wanted: Metre
    fits: tuple
    stroke: Metre
    closed: Metre
    missing: Metre


@dataclass(frozen=True)
class BracketLoad:
    """What one end of the proposed cylinder does to its bracket, at one pressure.

    end: "frame" or "opener".
    standing: `RELIEF` or `MOST` of the pin check.
    force: along the cylinder, seal friction added.
    moment: of the new pin about the old one, the most over all places.
    about_pivot: about the arm's pivot, or the lower link's frame pin; 0 at the opener's end.
    weld: length of each of two fillets that carry force and moment at `WELD_STRESS`; NaN where none below two
        metres does.
    """

    end: str
    standing: str
    force: Newton
    moment: NewtonMetre
    about_pivot: NewtonMetre
    weld: Metre


@dataclass(frozen=True)
class Moved:
    """Where a new pin is, seen from the old one.

    rearward, up: from the old spring's pin to the cylinder's.
    """

    rearward: Metre
    up: Metre


@dataclass(frozen=True)
class Clearance:
    """What the proposed cylinder needs and leaves, seen from the side, over the whole travel.

    front, rear, low, high: ends of what its tube sweeps, as the places of the opener: nothing may be in
        there.
    nearest: least distance of the tube from disc, gauge wheel and closing wheel's axle, and the travel where
        it is. Below 0 it passes beside that part: look from above.
    same_rank: room to the tube of the next row in the same rank.
    next_row: from its middle to the next row, in whatever rank.
    hose: room that the drop hose wants beside its port: half its bend and itself.
    """

    thickness: Metre
    front: Metre
    rear: Metre
    low: Metre
    high: Metre
    nearest: dict
    same_rank: Metre
    next_row: Metre
    hose: Metre


def old_place(drill: Drill) -> OldPlace:
    """Does any standard cylinder fit between the pins of the old spring?

    drill: the drill with its spring and the cylinder proposed, whose kind and margin are kept.
    """
    between = _between_old_pins(drill)
    margin = drill.cylinder.end_margin
    stroke_wanted = between.longest - between.shortest + 2.0 * margin
    room, reach = between.shortest - margin, between.longest + margin
    tried = [
        (dead, mounting, label, size)
        for mounting in MOUNTINGS
        for dead in _deads(drill.cylinder.kind, mounting)
        for label, size in _strokes()
    ]
    fits = {
        (f"{mounting}, {label}", size, dead + size)
        for dead, mounting, label, size in tried
        if dead + size <= room and dead + 2.0 * size >= reach
    }
    least = min(tried)[0]
    enough = [size for _, size in _strokes() if size >= stroke_wanted]
    nearest = min(enough) if enough else max(size for _, size in _strokes())
    return OldPlace(
        between.shortest,
        between.longest,
        stroke_wanted,
        room,
        tuple(sorted(fits, key=lambda one: one[2])),
        nearest,
        least + nearest,
        least + nearest - room,
    )


def moved_pins(drill: Drill):
    """Where the cylinder's pins are, seen from the old spring's.

    Result: by "frame" and "opener".
    """
    old, new = drill.spring.mount, drill.cylinder.mount
    return {
        "frame": Moved(*_apart(old.frame_pin, new.frame_pin)),
        "opener": Moved(*_apart(old.moving_pin, new.moving_pin)),
    }


def bracket_loads(drill: Drill) -> tuple[BracketLoad, ...]:
    """Force and moment of the proposed cylinder on its new brackets, for whoever answers for the frame.

    Moments stand about the old pin: a bracket that is fixed where the old one was bears them. One that is
    fixed nearer bears less. Without blows, fatigue, and what a bracket out of line adds: no release.
    """
    opener, cylinder, old = drill.opener, drill.cylinder, drill.spring.mount
    travel = _travel(opener)
    frame, moving, axis = _axis(opener, cylinder, travel)
    old_moving = opener.geometry.point(old.moving_pin, old.moves_with, travel)
    pivot = opener.pivot if opener.linkage == "trailing arm" else opener.lower_frame_pin
    levers = {
        "frame": (_lever(frame, old.frame_pin, axis), _lever(frame, pivot, axis)),
        "opener": (_lever(moving, old_moving, axis), 0.0),
    }
    found = []
    for end, (own, about) in levers.items():
        for name, pressure in loads.standing_pressures(drill).items():
            force = float(cylinder.push(pressure) + cylinder.friction_force(pressure))
            moment = force * own
            found.append(BracketLoad(end, name, force, moment, force * about, _weld(force, moment)))
    return tuple(found)


def clearance(drill: Drill) -> Clearance:
    """Room that the proposed cylinder takes and leaves over the whole travel, raised and in transport too.

    Result: seen from the side; the file knows neither tube nor hopper, so what must be free is told instead.
    """
    opener, cylinder = drill.opener, drill.cylinder
    travel, half = _travel(opener), cylinder.bore / 2 + cylinder.wall
    frame, moving, _ = _axis(opener, cylinder, travel)
    ends = np.stack([np.broadcast_arrays(frame[i], moving[i]) for i in (0, 1)])
    nearest = {}
    parts = {
        "disc": (opener.disc, opener.disc_diameter / 2),
        "gauge wheel": (opener.gauge_wheel, opener.gauge_wheel_diameter / 2),
        "closing wheel's axle": (opener.closing_wheel, 0.0),
    }
    for name, (place, radius) in parts.items():
        gap = _to_segment(opener.geometry.point(place, opener.body, travel), frame, moving) - radius - half
        nearest[name] = float(np.min(gap)), float(travel[np.argmin(gap)])
    size = hose_size(drill.hydraulics.drop.bore)
    return Clearance(
        2.0 * half,
        float(ends[0].min() - half),
        float(ends[0].max() + half),
        float(ends[1].min() - half),
        float(ends[1].max() + half),
        nearest,
        len(drill.rank_x) * drill.row_spacing - 2.0 * half,
        drill.row_spacing - half,
        size.bend_radius + size.outside,
    )


def _between_old_pins(drill) -> StrokeCheck:
    spring = drill.spring
    # Any cylinder on these pins has the same lengths.
    probe = Cylinder(spring.mount, "piston", 0.04, 0.02, 0.1, 0.2)
    return stroke_check(drill.opener, probe)


def _strokes():
    table = read_table("cylinder_sizes")
    return [(row.label, row.size_mm / 1e3) for row in table[table["kind"] == "stroke"].itertuples()]


def _deads(kind, mounting):
    table = read_table("dead_lengths")
    bores = table["bore_from_mm"].unique() / 1e3
    return sorted({dead_lengths(float(bore), kind, mounting)[0] for bore in bores})


def _travel(opener):
    places = opener.lowest_travel, opener.highest_travel, opener.raised_travel, opener.transport_travel
    return np.linspace(min(places), max(places), _STEPS)


def _axis(opener, cylinder, travel):
    """Frame pin, moving pin, and the direction from one to the other."""
    frame = np.array(cylinder.mount.frame_pin, dtype=float)[:, None] + 0.0 * travel
    moving = np.array(opener.geometry.point(cylinder.mount.moving_pin, cylinder.mount.moves_with, travel))
    along = frame - moving
    return frame, moving, along / np.hypot(*along)


def _lever(pin, old, axis):
    """Greatest distance of the cylinder's line from a place."""
    away = pin - (np.array(old)[:, None] if np.ndim(old[0]) == 0 else np.array(old))
    return float(np.max(np.abs(away[0] * axis[1] - away[1] * axis[0])))


def _weld(force, moment):
    lengths = np.linspace(0.01, _LONGEST_WELD, 400)
    enough = fillet_stress(force, WELD_LEG, lengths, moment) <= WELD_STRESS
    return float(lengths[np.argmax(enough)]) if enough.any() else float("nan")


def _to_segment(point, one, other):
    along = other - one
    share = np.sum((np.array(point) - one) * along, axis=0) / np.sum(along**2, axis=0)
    nearest = one + np.clip(share, 0.0, 1.0) * along
    return np.hypot(*(np.array(point) - nearest))


def _apart(old, new):
    return float(new[0] - old[0]), float(new[1] - old[1])
