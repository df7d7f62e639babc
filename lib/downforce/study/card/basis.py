"""What the numbers of the card rest on: how far start and lift move when one input is wrong."""

from dataclasses import dataclass, replace

from downforce.physics.checks import between
from downforce.study.frame_lift import lift_pressure
from downforce.study.setting.row_needs import pressure_for_load


@dataclass(frozen=True)
class Reliance:
    """How the card leans on one input.

    Attributes
    ----------
    name : str [-]
        The input.
    source : str [-]
        How to know it better.
    start_change : float [Pa]
        How far the pressure for the wanted load moves when the input is larger by the share.
    lift_change : float [Pa]
        How far the lowest lift pressure moves.
    """

    name: str
    source: str
    start_change: float
    lift_change: float


def reliances(drill, field, share=0.1, hopper_fill=0.0):
    """How far start and lift move when each input in turn is larger by a share.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        Today's field.
    share : float [-]
        How much larger, 0 to 0.5.
    hopper_fill : float [-]
        Share of a full hopper.

    Returns
    -------
    tuple of Reliance [Pa]
        The input that moves the start most comes first.

    Notes
    -----
    Start is the pressure for the wanted load before any limit, so that a limit does not hide what moves.
    """
    more = 1.0 + float(between("share", share, 0.0, 0.5))
    soil, opener, cylinder = field.soil, drill.opener, drill.cylinder
    heavier = tuple(replace(part, frame_mass=part.frame_mass * more) for part in drill.sections)
    changed = {
        ("Soil reaction", "dig and set: notebook 06"): (
            drill,
            replace(field, soil=replace(soil, reaction=soil.reaction * more)),
        ),
        ("Draft over soil reaction", "from published ranges; compare standing and moving"): (
            drill,
            replace(field, soil=replace(soil, draft_ratio=soil.draft_ratio * more)),
        ),
        ("Opener mass", "weigh one, complete"): (
            replace(drill, opener=replace(opener, mass=opener.mass * more)),
            field,
        ),
        ("Closing-wheel load", "pull it up with a luggage scale"): (
            replace(drill, opener=replace(opener, closing_load=opener.closing_load * more)),
            field,
        ),
        ("Bore, so the area by twice as much", "caliper: piston or plunger?"): (
            drill.with_cylinder(bore=cylinder.bore * more, rod=cylinder.rod * more),
            field,
        ),
        ("Frame weight", "load pads under each wheel and the hitch"): (
            replace(drill, sections=heavier),
            field,
        ),
    }
    start, lift = _both(drill, field, hopper_fill)
    found = []
    for (name, source), case in changed.items():
        there = _both(*case, hopper_fill)
        found.append(Reliance(name, source, there[0] - start, there[1] - lift))
    return tuple(sorted(found, key=lambda reliance: -abs(reliance.start_change)))


def _both(drill, field, fill):
    soil = field.opener_soil
    start = float(pressure_for_load(drill, soil, field.aim.gauge_wheel_load))
    return start, float(lift_pressure(drill, soil, fill).lowest)
