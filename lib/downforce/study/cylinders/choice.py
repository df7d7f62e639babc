"""Which standard cylinder fits an opener and its soils, and why the others do not.

Every size is judged by force, wall, column and stroke; those that fit are put in order.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.actuators import Cylinder
from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.readings import OfferedCylinder
from downforce.machine.shipped import read_table
from downforce.machine.units import METRIC
from downforce.physics.cylinder import pressure_area
from downforce.physics.cylinder_strength import column_limit, lame_stresses, second_moment_round
from downforce.physics.kinds import CubicMetre, Pascal, Ratio, SquareMetre
from downforce.study.cylinders import force_needs

ROD_MODULUS, ROD_YIELD = 206e9, 355e6
"""Steel of a rod [Pa] (common practice, no source)."""
TUBE_YIELD = 355e6
"""Yield strength of a drawn tube [Pa] (common practice, no source)."""
END_FACTOR = 1.0
"""Effective length of the mounted cylinder over its pin-to-pin length: pinned at both ends [-]."""
COLUMN_SAFETY = 3.0
"""Least column load over push [-]; 3 to 5 of Euler's load is common practice (one design page seen)."""
WALL_SAFETY = 2.0
"""Least yield strength over hoop stress at the bore [-] (common practice, no source)."""
COARSE, OFF_DIAL = "one step is more than the wanted load", "not in the gauge's readable middle"
"""What puts a size that fits behind those without it [-]."""
READABLE = (0.25, 0.75)
"""Part of a gauge's scale that is read well [-]: 25 to 75 % (one page seen)."""
GAUGE_SHARE = 0.75
"""Share of a gauge's scale that a steady pressure should stay below [-] (part 2 of [EN837], from memory)."""

_ROUNDING = 5e-4


@dataclass(frozen=True)
class Reason:
    """One reason why a size is out.

    kind: "too little force", "too coarse", "wall", "rod", "column", "does not fit", "stroke margin" or
        "cannot be built".
    where: the soil, the limit or the place it happens at.
    """

    kind: str
    value: float
    limit: float
    where: str = ""

    @property
    def shortfall(self) -> Ratio:
        """How far the value is from the limit, as a share of it."""
        return abs(self.value - self.limit) / max(abs(self.limit), 1e-9)


@dataclass(frozen=True)
class Candidate:
    """One standard size, judged.

    system: "metric" or "inch".
    pressures: for each need, in the order of the choice's needs.
    effective_area: down force at the disc for one pascal on the gauge, at working height.
    column_safety: column load over the push at the standing pressure.
    hoop_stress: in the tube's wall at the bore, at the standing pressure.
    penalties: off the middle, step, oil: each 0 at best, and 1 is bad.
    marks: `COARSE`, `OFF_DIAL`: what puts it behind others that fit.
    reasons: why it is out; empty when it fits.
    """

    system: str
    bore_label: str
    rod_label: str
    stroke_label: str
    cylinder: Cylinder
    pressures: tuple[Pascal, ...]
    usual_pressure: Pascal
    effective_area: SquareMetre
    column_safety: Ratio
    hoop_stress: Pascal
    stroke: force_needs.StrokeCheck
    drill_oil: CubicMetre
    penalties: tuple[Ratio, Ratio, Ratio]
    marks: tuple[str, ...]
    reasons: tuple[Reason, ...]

    @property
    def fits(self) -> bool:
        """Whether nothing speaks against it."""
        return not self.reasons

    @property
    def score(self) -> Ratio:
        """Sum of the three penalties; the lowest comes first."""
        return float(sum(self.penalties))

    @property
    def order(self) -> tuple[Ratio, ...]:
        """What candidates are put in order by, the lowest first."""
        return len(self.marks), self.score, self.cylinder.stroke

    @property
    def acting_label(self):
        """Size of the diameter the oil acts on, as sold."""
        return getattr(self, f"{self.cylinder.works.acting}_label")


class Judge:
    """What all candidates of one drill share: needs, limits, and the pins.

    drill: the drill; pins, kind, wall and fittings of its proposed cylinder are kept.
    fields: the fields it must serve, tracks included.
    mounting: one of `MOUNTINGS`: how its ends are made.
    """

    def __init__(
        self, drill: Drill, fields: Sequence[Field], usual: int, mounting: str = force_needs.MOUNTINGS[0]
    ):
        self.mounting = mounting
        self.drill = drill
        self.needs = needs = force_needs.force_needs(drill, fields)
        self.usual = next(need for need in needs if need.name == fields[usual].name)
        self.limits = limits = force_needs.pressure_limits(drill)
        cylinder, opener = drill.cylinder, drill.opener
        self.fittings = cylinder.closed_length - cylinder.stroke
        self.leverages = [float(cylinder.leverage(opener, need.travel)) for need in needs]
        self.leverage = float(cylinder.leverage(opener, 0.0))
        gauge_top = GAUGE_SHARE * drill.hydraulics.gauge.full_scale
        top = max(min(limits.highest, gauge_top), limits.lowest)
        self.best_pressure = (limits.lowest + top) / 2
        self.half_range = max((top - limits.lowest) / 2, METRIC.gauge_step)

    def all(self, system: str, bores, rods, strokes):
        """Every combination of bores, rods and strokes, judged.

        system: "metric" or "inch".
        """
        checks = {}
        for bore_label, bore in bores:
            wall = self._wall(bore)
            dead = max(self.fittings, self._shortest(bore))
            if dead not in checks:
                checks[dead] = {label: self._stroke(size, dead + size) for label, size in strokes}
            for rod_label, rod in rods:
                shared = self._bore_and_rod(bore, rod, checks[dead][strokes[0][0]][0], wall)
                for stroke_label, size in strokes:
                    cylinder = self._sized(bore, rod, size, dead + size)
                    labels = (bore_label, rod_label, stroke_label)
                    yield self._candidate(system, labels, cylinder, shared, checks[dead][stroke_label])

    def one(self, labels: tuple[str, str, str], cylinder: Cylinder) -> Candidate:
        """A cylinder that is of no system of sizes, judged.

        labels: what to call its bore, rod and stroke.
        """
        margins, reasons = self._stroke(cylinder.stroke, cylinder.closed_length)
        least = cylinder.stroke + self._shortest(cylinder.bore)
        if cylinder.closed_length < least - _ROUNDING:
            reasons = [*reasons, Reason("cannot be built", cylinder.closed_length, least, self.mounting)]
        check = margins, reasons
        wall = self._wall(cylinder.bore)
        shared = self._bore_and_rod(cylinder.bore, cylinder.rod, check[0], wall)
        return self._candidate("", labels, cylinder, shared, check)

    def _shortest(self, bore):
        """Least that is not stroke in a closed cylinder; 0 where no table knows."""
        return force_needs.dead_lengths(bore, self.drill.cylinder.kind, self.mounting)[0]

    def _sized(self, bore, rod, stroke, closed):
        return replace(self.drill.cylinder, bore=bore, rod=rod, stroke=stroke, closed_length=closed)

    def _bore_and_rod(self, bore, rod, check, wall):
        """What a choice of stroke does not change: the pins set the travel's lengths."""
        sized = replace(self.drill.cylinder, bore=bore, rod=rod)
        force, facts = self._force(sized)
        safety, column = self._column(sized, check.longest)
        size = [Reason("rod", rod, bore)] if rod >= bore else []
        oil = float(sized.swept_volume(check.stroke_used)) * self.drill.row_count
        hoop, wall_reasons = wall
        return facts, safety, hoop, oil, (*size, *force, *wall_reasons, *column)

    def _candidate(self, system, labels, cylinder, shared, check):
        facts, safety, hoop, oil, reasons = shared
        margins, stroke_reasons = check
        return Candidate(
            system,
            *labels,
            cylinder,
            facts["pressures"],
            facts["usual"],
            facts["effective"],
            safety,
            hoop,
            margins,
            oil,
            self._penalties(facts, oil),
            self._marks(facts),
            (*reasons, *stroke_reasons),
        )

    def _force(self, cylinder):
        """Reasons and figures that follow from the diameter the oil acts on."""

        def pressure_for(need, leverage):
            return float(cylinder.pressure_for_push(need.down_force / leverage)) if need.down_force else 0.0

        pressures = tuple(map(pressure_for, self.needs, self.leverages))
        hardest = int(np.argmax(pressures))
        # A soil for which the weight alone is enough asks for no cylinder, so none is too coarse for it.
        softest = int(np.argmin([pressure or np.inf for pressure in pressures]))
        facts = {
            "pressures": pressures,
            "usual": pressure_for(self.usual, self.leverage),
            "effective": cylinder.area * self.leverage,
        }
        reasons = []
        if pressures[hardest] > self.limits.highest:
            there = float(cylinder.push(self.limits.highest)) * self.leverages[hardest]
            need = self.needs[hardest]
            reasons.append(Reason("too little force", there, need.down_force, need.name))
        if 0.0 < pressures[softest] < self.limits.lowest:
            there = float(cylinder.push(self.limits.lowest)) * self.leverages[softest]
            need = self.needs[softest]
            reasons.append(Reason("too coarse", there, need.down_force, need.name))
        return reasons, facts

    def _wall(self, bore):
        inner = bore / 2
        _, hoop = lame_stresses(inner, inner, inner + self.drill.cylinder.wall, self.limits.standing)
        allowed = TUBE_YIELD / WALL_SAFETY
        reasons = [Reason("wall", float(hoop), allowed, "at the bore")] if hoop > allowed else []
        return float(hoop), reasons

    def _column(self, cylinder, longest):
        """Safety against bowing at the longest pin-to-pin length."""
        area, second = pressure_area(cylinder.rod), second_moment_round(cylinder.rod)
        load = column_limit(area, second, longest, END_FACTOR, ROD_MODULUS, ROD_YIELD)
        safety = float(load / cylinder.push(self.limits.standing))
        return safety, [Reason("column", safety, COLUMN_SAFETY)] if safety < COLUMN_SAFETY else []

    def _stroke(self, size, closed):
        own = self.drill.cylinder
        check = force_needs.stroke_check(self.drill.opener, self._sized(own.bore, own.rod, size, closed))
        at_work = float(check.length[1])
        if at_work <= closed:
            return check, [Reason("does not fit", closed, at_work, "closed")]
        if at_work >= closed + size:
            return check, [Reason("does not fit", closed + size, at_work, "open")]
        reasons = []
        if check.least_closed_margin < check.end_margin:
            where = f"closed end, {check.shortest_at}"
            reasons.append(Reason("stroke margin", check.least_closed_margin, check.end_margin, where))
        if check.least_open_margin < check.end_margin:
            where = f"open end, {check.longest_at}"
            reasons.append(Reason("stroke margin", check.least_open_margin, check.end_margin, where))
        return check, reasons

    def _marks(self, facts):
        dial = self.drill.hydraulics.gauge.full_scale
        coarse = METRIC.gauge_step * facts["effective"] > self.usual.gauge_wheel_load
        off = not READABLE[0] * dial <= facts["usual"] <= READABLE[1] * dial
        return (*([COARSE] if coarse else []), *([OFF_DIAL] if off else []))

    def _penalties(self, facts, oil):
        off_middle = abs(facts["usual"] - self.best_pressure) / self.half_range
        step = METRIC.gauge_step * facts["effective"] / max(self.usual.gauge_wheel_load, 1.0)
        return off_middle, step, oil / self.drill.hydraulics.supply.oil_available


@dataclass(frozen=True)
class CylinderChoice:
    """Every standard size, judged for one drill and its fields.

    needs: from the softest to the hardest.
    candidates: all sizes, in the order of the table of sizes.
    """

    needs: tuple[force_needs.Need, ...]
    usual: force_needs.Need
    limits: force_needs.PressureLimits
    best_pressure: Pascal
    candidates: tuple[Candidate, ...]

    @property
    def ranked(self):
        """One candidate for each acting diameter and stroke that fits, the best first.

        Of several rods (or tubes of a plunger cylinder) that fit, the thinnest stands for all.
        """
        best = {}
        for candidate in self.candidates:
            key = (candidate.system, candidate.acting_label, candidate.stroke_label)
            if candidate.fits and (key not in best or _bulk(candidate) < _bulk(best[key])):
                best[key] = candidate
        return tuple(sorted(best.values(), key=lambda one: one.order))

    def out(self, part: str):
        """Sizes of one part that fit in no combination, with the reasons that part alone causes.

        part: "bore", "rod" or "stroke".
        Result: in the order of the table of sizes.
        """
        mates = [name for name in ("bore", "rod", "stroke") if name != part]
        fitting = {name: {_key(c, name) for c in self.candidates if c.fits} for name in (part, *mates)}
        nearest = {}
        for candidate in self.candidates:
            key = _key(candidate, part)
            if key in fitting[part]:
                continue
            # Judged beside parts that do fit, or the reasons would be those of its mates.
            strangers = sum(_key(candidate, mate) not in fitting[mate] for mate in mates)
            distance = (strangers, len(candidate.reasons), sum(r.shortfall for r in candidate.reasons))
            if key not in nearest or distance < nearest[key][0]:
                nearest[key] = distance, candidate
        return {key: _own(candidate, part) for key, (_, candidate) in nearest.items()}


def cylinder_choice(
    drill: Drill,
    fields: Sequence[Field],
    usual: int = 0,
    mounting: str = force_needs.MOUNTINGS[0],
    offered: Sequence[OfferedCylinder] | None = None,
) -> CylinderChoice:
    """Judge every standard bore, rod and stroke for a drill and the fields it works in.

    drill: the drill; pins, kind, wall and fittings of its proposed cylinder are kept.
    fields: the fields it must serve, tracks included.
    mounting: "cross tubes", "tang or clevis" or "tie rods": sets how short a closed cylinder can be.
    offered: what a supplier has, as `read_offered` reads it: judged in place of the standard sizes.
    Result: needs, limits, and every candidate with the reasons against it.
    Raises ValueError if there is no field, no such mounting, or the linkage cannot reach one of its places.

    First come sizes whose one step of the setting is no more than the wanted load and whose usual pressure is
    in the readable middle of the gauge. Among these what fits is put in order by the sum of three numbers:
    how far the pressure for the usual soil lies from the middle of the range that valve and gauge both cover,
    over half that range; down force of one step of the setting over the wanted gauge-wheel load; oil for the
    stroke used over what the tractor may lend. Closed length: stroke plus what is not stroke in the proposed
    cylinder, or more where the table of dead lengths says that its bore cannot be built so short. The rod is
    judged as a column of the whole pin-to-pin length, pinned at both ends: cautious for the tube, not for
    play in the rod guide.
    """
    judge = Judge(drill, fields, usual, mounting)
    candidates = [_offered(judge, one) for one in offered or ()]
    if offered is not None:
        return _choice(judge, candidates)
    sizes = read_table("cylinder_sizes")
    for system in ("metric", "inch"):
        mine = sizes[sizes["system"] == system]
        parts = [
            [(row.label, row.size_mm / 1e3) for row in mine[mine["kind"] == kind].itertuples()]
            for kind in ("bore", "rod", "stroke")
        ]
        candidates += judge.all(system, *parts)
    return _choice(judge, candidates)


def _choice(judge, candidates):
    return CylinderChoice(judge.needs, judge.usual, judge.limits, judge.best_pressure, tuple(candidates))


def _offered(judge, one):
    """Its own closed length goes before any table: a supplier who sells it can build it."""
    own = judge.drill.cylinder
    rated = own.rated_pressure if one.rated_pressure is None else one.rated_pressure
    sizes = {"bore": one.bore, "rod": one.rod, "stroke": one.stroke, "closed_length": one.closed_length}
    found = judge.one(one.labels, replace(own, rated_pressure=rated, **sizes))
    reasons = tuple(reason for reason in found.reasons if reason.kind != "cannot be built")
    return replace(found, system=one.system, reasons=reasons)


def judged_cylinder(drill: Drill, fields: Sequence[Field], usual=0) -> Candidate:
    """The cylinder that a drill's file proposes, judged by the same rules as the standard sizes.

    fields: the fields it must serve, tracks included.
    Result: its figures and the reasons against it, if any.
    """
    return Judge(drill, fields, usual).one(("proposed",) * 3, drill.cylinder)


def _bulk(candidate):
    return getattr(candidate.cylinder, candidate.cylinder.works.other)


def _key(candidate, part):
    return candidate.system, getattr(candidate, f"{part}_label")


def _own(candidate, part):
    """Reasons that a part causes itself; all of them if none is its own."""
    force = ("too little force", "too coarse")
    by_bore = candidate.cylinder.works.acting == "bore"
    kinds = {
        "bore": (*force, "wall") if by_bore else ("wall", "rod"),
        "rod": ("rod", "column") if by_bore else (*force, "column"),
        "stroke": ("does not fit", "stroke margin", "cannot be built"),
    }[part]
    return tuple(r for r in candidate.reasons if r.kind in kinds) or candidate.reasons
