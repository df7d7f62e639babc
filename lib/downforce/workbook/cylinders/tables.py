"""Tables of the cylinder workbook, and the proposed pins, moved in one panel and thereby in all.

Sizes that fit, sizes that are out and why, what comes with a cylinder.
"""

import weakref
from contextlib import suppress
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.readings import read_offered
from downforce.machine.shipped import example_field, shipped_fields
from downforce.machine.unit_table import UnitSystem, percent
from downforce.study.cylinders.choice import COLUMN_SAFETY, READABLE, cylinder_choice, judged_cylinder
from downforce.study.cylinders.force_needs import MOUNTINGS, pressure_limits, stroke_check
from downforce.study.cylinders.loads import (
    cylinder_on_moved_pins,
    lift_torque,
    load_flatness,
    oil_need,
    pin_loads,
)
from downforce.study.pressure_setting import recommend
from downforce.study.setting.reasons import floor_text, limit_text
from downforce.workbook.bench import Bench
from downforce.workbook.cylinders.drawing import reason_words, share_range
from downforce.workbook.panel import Panel
from downforce.workbook.series import workbook
from downforce.workbook.table import headed, table_page

SHIFTS = ("along", "tilt", "apart")
"""Sliders for pins [-]: both along the bar; the frame pin rearward; the frame pin away from the other."""

_OF_BENCH = weakref.WeakKeyDictionary()


class SharedPins:
    """How far the pins of one drill's cylinder are moved, the same in every panel."""

    def __init__(self, drill: Drill, units: UnitSystem):
        self.drill, self.units = drill, units
        self.shifts = dict.fromkeys(SHIFTS, 0.0)
        self._panels, self._busy = [], False

    @property
    def moved(self) -> bool:
        """Whether any pin is moved."""
        return any(self.shifts.values())

    @property
    def cylinder(self):
        """The proposed cylinder on the pins as they are now."""
        return self.on(**self.shifts)

    @property
    def drill_on(self):
        """The drill with its cylinder on the pins as they are now."""
        return replace(self.drill, cylinder=self.cylinder) if self.moved else self.drill

    def on(self, **shifts):
        """The proposed cylinder on its pins, moved as some sliders say; the others are as they are."""
        si = {name: self.units.si("length", value) for name, value in (self.shifts | shifts).items()}
        return cylinder_on_moved_pins(self.drill.opener, self.drill.cylinder, **si)

    def join(self, panel: Panel):
        """Keep a panel in step with the others.

        panel: one whose sliders for pins bear names of `SHIFTS`.
        """
        own = [name for name in SHIFTS if name in panel.controls]
        self._panels = [other for other in self._panels if other() is not None]
        if self.moved:
            panel.set(**{name: self.shifts[name] for name in own})
        self._panels.append(weakref.ref(panel))
        panel.on_values(
            lambda values: self._follow(panel, {name: values[name] for name in own}), self.put_back
        )
        return panel

    def put_back(self):
        """Put every pin back to where the drill file has it, in all panels."""
        self._follow(None, dict.fromkeys(SHIFTS, 0.0))

    def _follow(self, moved, shifts):
        if self._busy or all(self.shifts[name] == value for name, value in shifts.items()):
            return
        self.shifts |= shifts
        self._busy = True
        try:
            for reference in self._panels:
                panel = reference()
                if panel is None or panel is moved:
                    continue
                # A place that one panel cannot show is told in that panel.
                with suppress(ValueError):
                    panel.set(**{name: self.shifts[name] for name in SHIFTS if name in panel.controls})
        finally:
            self._busy = False


def shared_pins(bench: Bench):
    """The pins of the drill on a bench; they start as in its file when another drill comes."""
    known = _OF_BENCH.get(bench)
    if known is None or (known.drill, known.units.name) != (bench.drill, bench.units.name):
        known = _OF_BENCH[bench] = SharedPins(bench.drill, bench.units)
    return known


SHOWN = 8
"""Sizes that fit and are shown in the ranked table [-]."""


def season(bench: Bench):
    """The fields a cylinder must serve: the one on the bench first, then the shipped ones."""
    return [bench.field, *(field for field in _shipped() if field.name != bench.field.name)]


def choice_table(
    bench: Bench, fields: list[Field] | None = None, mounting=MOUNTINGS[0], supplier: str | Path | None = None
):
    """Standard sizes that fit, the best first, with the cylinder of the drill file above them.

    fields: fields to serve, the usual one first; `season` if left out.
    mounting: "cross tubes", "tang or clevis" or "tie rods".
    supplier: CSV file of a supplier's cylinders, judged in place of the standard sizes: bore_mm, rod_mm,
        stroke_mm, closed_mm, and if known part and rated_bar.
    """
    fields, units = fields or season(bench), bench.units
    offered = None if supplier is None else read_offered(supplier)
    choice = cylinder_choice(shared_pins(bench).drill_on, fields, mounting=mounting, offered=offered)
    own = judged_cylinder(shared_pins(bench).drill_on, fields)
    cylinder = bench.drill.cylinder
    sizes = (units.show("small length", size) for size in (cylinder.bore, cylinder.rod, cylinder.stroke))
    rows = [_figures("in the drill file", sizes, own, units)]
    for place, one in enumerate(choice.ranked[:SHOWN], start=1):
        rows.append(_figures(str(place), (one.bore_label, one.rod_label, one.stroke_label), one, units))
    caption = f"Cylinders that fit {bench.drill.name}"
    return table_page(caption, *headed(rows), _ranking_words(choice, units))


def out_table(bench: Bench, fields: list[Field] | None = None):
    """Standard sizes that fit in no combination, and why.

    fields: fields to serve, the usual one first; `season` if left out.
    Result: the table; neighbours that are out for the same kind of reason share a row.
    """
    choice = cylinder_choice(shared_pins(bench).drill_on, fields or season(bench))
    rows = []
    for part in ("bore", "rod", "stroke"):
        for labels, reasons in _runs(choice, part):
            sizes = labels[0] if len(labels) == 1 else f"{labels[0]} to {labels[-1]}"
            words = "; ".join(reason_words(reason, bench.units) for reason in reasons)
            rows.append([f"{part} {sizes}", words])
    note = "Where several sizes share a row, the numbers are those of the size that comes closest to fitting."
    return table_page("Standard sizes that are out, and why", ["Size", "Why it is out"], rows, note)


def facts_table(bench: Bench):
    """What comes with the cylinder of the drill file: flatness, friction, column, wall, oil, lift."""
    drill, units, show = shared_pins(bench).drill_on, bench.units, bench.units.show
    fields = season(bench)
    own, cylinder = judged_cylinder(drill, fields), drill.cylinder
    setting, pressure = recommend(drill, bench.field), bench.dialled
    told = setting.words(units)
    if not setting.exists:
        told += f"; the figures below are at {show('pressure', pressure)}, the lowest there is"
    load = load_flatness(drill.opener, cylinder, pressure)
    oil, check = oil_need(drill), own.stroke
    swing = np.degrees(load.swing)
    rows = {
        "Pressure for the usual soil, mean row": show("pressure", own.usual_pressure),
        "Recommended setting there, every row counted": told,
        "Down force at working height, at that setting": show("force", load.at_work),
        "From stop to stop": f"{share_range(units, load.share)} of that",
        "Seal friction, felt at the disc": f"± {show('force', float(load.friction.max()))} at most",
        "Swing about the frame pin": f"{swing.min():.1f}° to {swing.max():.1f}°".replace("-", "−"),
        "Stroke used, of the whole": " of ".join(
            show("length", each) for each in (check.stroke_used, cylinder.stroke)
        ),
        "Rod as a column, pinned at both ends": f"{own.column_safety:.1f} times its push at the relief valve",
        "Hoop stress in the tube at the relief valve": show("pressure", own.hoop_stress),
        "Oil, whole stroke, one opener": show("small volume", oil.opener_full),
        "Oil, whole stroke, the drill": show("volume", oil.drill_full),
        "Time to fill it with the supply's flow": f"{oil.fill_time:.0f} s",
        "Oil that the travel moves, the drill": show("volume", oil.drill_used),
        "The same, of what the tractor may lend": show("share", oil.share_of_tractor_oil),
        **_other_kind(drill, units),
        **_lift_rows(drill, pressure, units),
    }
    caption = f"What comes with the cylinder of {drill.name}"
    return table_page(caption, ["What", "How much"], rows.items())


def pin_table(bench: Bench):
    """Loads on the cylinder's pins for who makes the brackets."""
    drill, units = shared_pins(bench).drill_on, bench.units
    limits = pressure_limits(drill)
    loads = pin_loads(drill.opener, drill.cylinder, limits.standing)
    length = stroke_check(drill.opener, drill.cylinder).length
    rows = [
        {
            "Place": place,
            f"Pin to pin ({units.unit('length')})": units.bare("length", at),
            f"Force on each pin ({units.unit('force')})": units.bare("force", loads.force),
            "Push on the opener's pin": _direction(angle),
        }
        for place, at, angle in zip(loads.places, length, loads.angle, strict=True)
    ]
    note = (
        f"With {units.show('pressure', limits.standing)}, the relief valve, and seal friction added. "
        "The pin on the frame carries the same force the other way. A bracket that stands "
        f"{np.degrees(loads.misalignment):.0f}° out of line adds {units.show('force', loads.side)} "
        "across the rod. Blows from stones come on top: this is no strength check."
    )
    return table_page(f"Loads on the cylinder's pins, {drill.name}", *headed(rows), note)


@cache
def _shipped():
    """The shipped fields, read once: a panel asks for them at every rebuild."""
    return tuple(example_field(key) for key, _ in shipped_fields())


def _figures(place, sizes, candidate, units):
    pressure, force, length = (units.unit(kind) for kind in ("pressure", "force", "length"))
    margins = (candidate.stroke.least_closed_margin, candidate.stroke.least_open_margin)
    ends = candidate.cylinder.closed_length, candidate.cylinder.open_length
    softest, hardest = (units.bare("pressure", end(candidate.pressures)) for end in (min, max))
    step = units.bare("force", candidate.effective_area * units.gauge_step)
    return {
        "Place": place,
        **dict(zip(("Bore", "Rod", "Stroke"), sizes, strict=True)),
        f"Closed / open ({length})": " / ".join(units.bare("length", end) for end in ends),
        f"Pressure, usual soil ({pressure})": units.bare("pressure", candidate.usual_pressure),
        f"Softest to hardest ({pressure})": f"{softest} to {hardest}",
        f"One step of {units.gauge_step_text} ({force})": step,
        "Rod as a column (times its push)": f"{candidate.column_safety:.1f}",
        f"Left at closed / open end ({length})": " / ".join(units.bare("length", one) for one in margins),
        f"Oil of the drill, stroke used ({units.unit('volume')})": units.bare("volume", candidate.drill_oil),
        "Sum": _verdict(candidate, units),
    }


def _verdict(candidate, units):
    if not candidate.fits:
        return "out: " + reason_words(candidate.reasons[0], units)
    return "; ".join([f"{candidate.score:.2f}", *candidate.marks])


def _ranking_words(choice, units):
    limits = choice.limits
    words = (
        "Pressures are for the wanted load on the mean row; rows on uneven ground need more "
        f"({workbook('pressure_setpoint').called}). First come sizes whose one step is no more than the "
        f"wanted load and whose usual pressure is in the gauge's readable middle, {percent(READABLE[0])} to "
        f"{percent(READABLE[1])} of the dial. Then the order is by the sum of three numbers, the lowest "
        f"first. How far the pressure for the usual soil ({choice.usual.name}) lies from "
        f"{units.show('pressure', choice.best_pressure)}, the middle of what valve and gauge cover, over "
        "half that range. What one step changes at the disc over the wanted gauge-wheel load of "
        f"{units.show('force', choice.usual.gauge_wheel_load)}. Oil for the stroke used over what the "
        f"tractor may lend. Allowed: {floor_text(units, limits.lowest)} ({limits.floor.words}) to "
        f"{limit_text(units, limits.highest)} ({limits.top.words}). A column needs {COLUMN_SAFETY:.0f} times "
        "its push. Closed lengths are as short as is commonly built for the bore, or as in the drill file if "
        "that is longer (no source): a supplier's list goes before them. Of several rods that fit, the "
        "thinnest is shown."
    )
    if choice.ranked:
        return words
    return f"No standard size fits: move the pins, or change valve or gauge. {words}"


def _runs(choice, part):
    """Neighbouring sizes that are out for the same kinds of reason, with the reasons of the nearest miss."""
    runs = []
    for (system, label), reasons in choice.out(part).items():
        signature = (system, tuple(r.kind for r in reasons), tuple(r.where for r in reasons))
        if not runs or runs[-1][0] != signature:
            runs.append((signature, [], []))
        runs[-1][1].append(label)
        runs[-1][2].append(reasons)
    return [
        (labels, min(all_reasons, key=lambda one: sum(r.shortfall for r in one)))
        for _, labels, all_reasons in runs
    ]


def _other_kind(drill, units):
    """What the same cylinder would give if the oil acted on the other diameter."""
    cylinder = drill.cylinder
    other = "plunger" if cylinder.works.acting == "bore" else "piston"
    swapped = drill.with_cylinder(kind=other).cylinder
    return {
        f"Area if the oil acts on the {one.works.acting} ({kind})": units.show("area", one.area)
        + (", as in the drill file" if one is cylinder else "")
        for kind, one in ((cylinder.kind, cylinder), (other, swapped))
    }


def _lift_rows(drill, pressure, units):
    torque = lift_torque(drill, pressure)
    if not torque.by_shaft:
        return {
            "Raising": "the frame goes up and the openers hang: no lift shaft works against the cylinders"
        }
    alone, pressed = (float(one.max()) for one in (torque.weight_only, torque.with_cylinders))
    held = f"The same with {units.show('pressure', pressure)} left in the cylinders"
    return {
        "Lift shaft: torque of the openers' weight": units.show("moment", alone),
        held: units.show("moment", pressed),
    }


def _direction(angle):
    degrees = abs(float(np.degrees(angle)))
    if round(degrees, 1) == 0:
        return "straight down"
    return f"down, {degrees:.1f}° to the {'rear' if angle > 0 else 'front'}"
