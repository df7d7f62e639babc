"""What belongs together on a drill: where the other places go when one of them is changed."""

from collections.abc import Callable
from math import dist

import numpy as np

from downforce.machine.doubts import changed
from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.kinds import Metre


def followers(before: Drill | Field, after: Drill | Field, free: Callable):
    """Places, lengths and masses that go along with a change of a drill.

    What is fixed to the frame goes with its pin; what is fixed to arm or link keeps its share of it; wheels
    keep their way behind the disc and stand on the ground; actuators keep their state at working height;
    what reaches over the width grows with the width.

    free: whether the value at a key path may itself move; what follows from it then starts from where it
        went.
    Result [SI]: key path to its new value; only what changes.
    """
    if before.describes != "drill" or len(before.sections) != len(after.sections):
        return {}
    found = {}
    for part in (_bases, _opener_places, _actuator_pins, _actuator_lengths, _frame):
        new = {path: float(value) for path, value in part(before, after).items()}
        new = {path: value for path, value in new.items() if abs(value - _at(before, path)) > 1e-9}
        found |= new
        after = changed(after, {path: value for path, value in new.items() if free(path)})
    return found


def _at(model, path):
    for part in path:
        model = model[part] if isinstance(part, int) else getattr(model, part)
    return model


def arm_ends(opener) -> Metre:
    """Front and rear pin of an opener's arm, or of its lower link."""
    if opener.linkage == "trailing arm":
        return opener.pivot, opener.disc
    return opener.lower_frame_pin, opener.lower_opener_pin


def _bases(before, after):
    """The axles stand a radius over the ground; a linkage goes up and down as a whole."""
    old, new = before.opener, after.opener
    moved = {
        ("opener", "disc", 1): old.disc[1] + (new.disc_diameter - old.disc_diameter) / 2,
        ("opener", "gauge_wheel", 1): old.gauge_wheel[1]
        + (new.gauge_wheel_diameter - old.gauge_wheel_diameter) / 2,
    }
    if old.linkage == "parallel linkage":
        rise = new.lower_frame_pin[1] - old.lower_frame_pin[1]
        for name in ("lower_opener_pin", "upper_frame_pin"):
            own = getattr(new, name)[1] - getattr(old, name)[1]
            moved["opener", name, 1] = getattr(old, name)[1] + (own or rise)
        aside = new.lower_opener_pin[0] - old.lower_opener_pin[0]
        moved["opener", "disc", 0] = old.disc[0] + ((new.disc[0] - old.disc[0]) or aside)
    for name, travel in (("raised_travel", -1), ("transport_travel", -1)):
        if getattr(old, name) == travel * old.travel_down:
            moved["opener", name] = travel * new.travel_down
    return moved


def _opener_places(before, after):
    old, new = before.opener, after.opener
    way = new.disc[0] - old.disc[0]
    moved = {("opener", name, 0): getattr(old, name)[0] + way for name in ("gauge_wheel", "closing_wheel")}
    if old.linkage == "trailing arm":
        share = (old.mass_centre[0] - old.pivot[0]) / (old.disc[0] - old.pivot[0])
        moved["opener", "mass_centre", 0] = new.pivot[0] + share * (new.disc[0] - new.pivot[0])
    else:
        moved["opener", "mass_centre", 0] = old.mass_centre[0] + way
    return moved


def _actuator_pins(before, after):
    old, new = arm_ends(before.opener), arm_ends(after.opener)
    rise = new[0][1] - old[0][1]
    moved = {}
    for name in ("spring", "cylinder"):
        was, mount = getattr(before, name).mount, getattr(after, name).mount
        if mount.moving_pin != was.moving_pin:
            to = mount.moving_pin
        elif was.moves_with == "opener":
            aside = after.opener.disc[0] - before.opener.disc[0]
            to = was.moving_pin[0] + aside, was.moving_pin[1]
        else:
            to = _on_bar(was.moving_pin, old, new)
        aside = to[0] - was.moving_pin[0]
        moved |= {(name, "mount", "moving_pin", place): to[place] for place in (0, 1)}
        if mount.frame_pin == was.frame_pin:
            moved[name, "mount", "frame_pin", 0] = was.frame_pin[0] + aside
            moved[name, "mount", "frame_pin", 1] = was.frame_pin[1] + rise
    return moved


def _on_bar(point, old, new):
    """The same share of a bar and the same way beside it, on the bar's new place."""
    run, to = np.subtract(old[1], old[0]), np.subtract(new[1], new[0])
    across, length = np.subtract(point, old[0]), np.hypot(*run)
    share = across @ run / length**2
    beside = (across[1] * run[0] - across[0] * run[1]) / length
    return new[0] + share * to + beside * np.array([-to[1], to[0]]) / np.hypot(*to)


def _actuator_lengths(before, after):
    longer = {
        name: dist(*_pins(getattr(after, name))) - dist(*_pins(getattr(before, name)))
        for name in ("spring", "cylinder")
    }
    spring = before.spring
    fittings = max(0.0, spring.fittings + longer["spring"])
    rest = spring.fittings + longer["spring"] - fittings
    return {
        ("spring", "fittings"): fittings,
        ("cylinder", "closed_length"): before.cylinder.closed_length + longer["cylinder"],
        **{
            ("spring", "coils", place, "free_length"): coil.free_length + rest
            for place, coil in enumerate(spring.coils)
        },
    }


def _pins(actuator):
    return actuator.mount.frame_pin, actuator.mount.moving_pin


def _frame(before, after):
    wider = after.width / before.width
    back = after.rank_x[0] - before.rank_x[0]
    moved = {}
    for place, (old, new) in enumerate(zip(before.sections, after.sections, strict=True)):
        own = new.openers * after.row_spacing / (old.openers * before.row_spacing)
        moved["sections", place, "frame_mass"] = old.frame_mass * own
    (old_seams, old_middles), (seams, middles) = _seams(before), _seams(after)

    def aside(section, y):
        at = before.section_index(section)
        return middles[at] + (y - old_middles[at]) * wider

    for name, centre in (("sections", "frame_centre"), ("hoppers", "centre"), ("ballast", "centre")):
        for place, load in enumerate(getattr(before, name)):
            x, y, _ = getattr(load, centre)
            moved[name, place, centre, 0] = x + back
            moved[name, place, centre, 1] = aside(load.name if name == "sections" else load.section, y)
    for place, load in enumerate(before.hoppers):
        moved["hoppers", place, "mass"] = load.mass * wider
    for place, wheel in enumerate(before.wheels):
        moved["wheels", place, "x"] = wheel.x + back
        moved["wheels", place, "y"] = aside(wheel.section, wheel.y)
    for place, hinge in enumerate(before.hinges):
        moved["hinges", place, "y"] = seams[place] + (hinge.y - old_seams[place]) * wider
    for place, y in enumerate(before.hydraulics.header.feeds_y):
        moved["hydraulics", "header", "feeds_y", place] = y * wider
    for rank in range(1, min(len(before.rank_x), len(after.rank_x))):
        if after.rank_x[rank] == before.rank_x[rank]:
            moved["rank_x", rank] = before.rank_x[rank] + back
    for name in ("seed_mass", "seed_volume"):
        if getattr(before, name) is not None:
            moved[name,] = getattr(before, name) * wider
    return moved


def _seams(drill):
    """Where the rows of neighbouring sections meet, and the middle of each section's rows."""
    edges = (np.cumsum([0, *(s.openers for s in drill.sections)]) - drill.row_count / 2) * drill.row_spacing
    return edges[1:-1], (edges[1:] + edges[:-1]) / 2
