"""Which standard cylinder fits an opener and its soils: every size judged, those that fit put in order."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.measured.offered_cylinders import OfferedCylinder
from downforce.machine.tables import read_table
from downforce.physics.kinds import Pascal
from downforce.study.cylinders.dead_length import MOUNTINGS
from downforce.study.cylinders.force_needs import Need, PressureLimits
from downforce.study.cylinders.judge import Candidate, Judge


@dataclass(frozen=True)
class CylinderChoice:
    """Every standard size, judged for one drill and its fields.

    needs: from the softest to the hardest.
    candidates: all sizes, in the order of the table of sizes.
    """

    needs: tuple[Need, ...]
    usual: Need
    limits: PressureLimits
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
    mounting: str = MOUNTINGS[0],
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


def judged_cylinder(drill: Drill, fields: Sequence[Field], usual=0, mounting=MOUNTINGS[0]) -> Candidate:
    """The cylinder that a drill's file proposes, judged by the same rules as the standard sizes.

    fields: the fields it must serve, tracks included.
    Result: its figures and the reasons against it, if any.
    """
    return Judge(drill, fields, usual, mounting).one(("proposed",) * 3, drill.cylinder)


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
