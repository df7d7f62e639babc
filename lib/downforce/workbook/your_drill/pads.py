"""Load pads as answers: what they say of masses and centres goes into the file, with its uncertainty."""

from pathlib import Path

from downforce.machine.measured.pads import read_pads
from downforce.machine.reading.writer import Draft
from downforce.machine.unit_display import UnitSystem
from downforce.study.frame.loads import wheel_names
from downforce.study.frame.weighing import likely_unit, weighing


def take_pads(draft: Draft, path: str | Path, units: UnitSystem):
    """Weigh a drill by a file of pad readings and put the answer into its file."""
    drill = draft.model
    readings = read_pads(path, ("hitch", *wheel_names(drill)))
    found, likely = weighing(drill, readings), likely_unit(drill, readings)
    answers = {}
    for place in range(len(drill.sections)):
        answers["sections", place, "frame_mass"] = found.frame_mass[place], found.frame_mass_spread[place]
        answers["sections", place, "frame_centre", 0] = found.centre_x, found.centre_x_spread  # type: ignore[index]
    hitched = drill.section_index(drill.hitch.section)
    answers["sections", hitched, "frame_centre", 1] = found.centre_y, found.centre_y_spread  # type: ignore[index]
    if found.opener_mass_spread:
        answers["opener", "mass"] = found.opener_mass, found.opener_mass_spread  # type: ignore[index]
    for place, mass in enumerate(found.hopper_mass):
        answers["hoppers", place, "mass"] = mass, found.hopper_mass_spread[place]
    for path_, (value, spread) in answers.items():
        kind = "mass" if path_[-1] in ("frame_mass", "mass") else "large length"
        # A sixth digit of the spread would say nothing; zero would be refused.
        near, wide = (float(f"{float(units.number(kind, each)):.5g}") for each in (value, max(spread, 1e-3)))
        draft.put(path_, f"{near:g} {units.unit(kind)} ± {wide:.2g} {units.unit(kind)}", "weighed")
    draft.read()
    taken = ", ".join(
        f"{name} {units.show('mass', mass)}"
        for name, mass in zip(found.sections, found.frame_mass, strict=True)
    )
    slip = ""
    if likely is not None:
        other = units.show("mass", weighing(drill, likely[1]).total_mass)
        slip = (
            f" Is this in {readings.unit}? The empty drill weighs {units.show('mass', found.total_mass)} by "
            f"these pads and {units.show('mass', drill.total_mass())} by its file before. If they showed "
            f"{likely[0]}, name the column load_{likely[0]}: {other} then."
        )
    return f"Taken from the pads, without openers and seed: {taken}.{slip}"
