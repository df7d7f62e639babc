"""How sure each value of a drill or a field is, and what moves along with another.

The doubt is the file's own, else that of the table of usual doubts. What belongs together on a drill moves
together: where one place is changed, the others go with it.
"""

from collections.abc import Callable
from dataclasses import dataclass, is_dataclass, replace
from functools import cache
from math import dist
from typing import Annotated, get_args, get_origin

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.quantity import Doubt, uncertainty_of
from downforce.machine.reading.model_reader import file_fields, type_hints, without_none
from downforce.physics.kinds import Amount, Metre

__all__ = ["Doubt", "Input", "changed", "uncertain_inputs"]

_BASIS_OF_SOIL = {"dig": "measured", "reading": "usual", "estimate": "guessed"}
_COORDINATES = {2: ("rearward", "height"), 3: ("behind the hitch pin", "sideways", "height")}


@dataclass(frozen=True)
class Input:
    """One value of a drill or a field that has an uncertainty.

    path: its key path in the file; numbers count from 0.
    value [SI unit of the value]: as it stands.
    uncertainty [SI unit of the value]: one standard uncertainty, above zero.
    basis: how it was come by; "" where the file gives an uncertainty and no basis.
    source: where the uncertainty comes from: "file" or "table".
    words: its name on a page, such as "arm pivot, height".
    how: how to know it better.
    group: inputs that one act of measuring settles together have the same.
    """

    path: tuple[str | int, ...]
    value: Amount
    uncertainty: Amount
    basis: str
    source: str
    words: str
    how: str
    group: str


def uncertain_inputs(model):
    """Every input of a drill or a field that has an uncertainty, in the order of the model.

    What the file says goes first, then the table by the basis in the file, then the table's "usual". What
    neither knows is taken as exact.
    """
    doubts = {doubt.path: doubt for doubt in model.doubts}
    found = (_input(model, doubts, *leaf) for leaf in _leaves(type(model), model, ()))
    return tuple(one for one in found if one is not None)


def changed(model, values):
    """The same drill or field with other values at some key paths, each kept within what may stand there.

    A value that the model does not have, such as a share where a height is given, is left out.
    """
    tree = {}
    for path, value in values.items():
        branch = tree
        for part in path[:-1]:
            branch = branch.setdefault(part, {})
        branch[path[-1]] = value
    return _put(type(model), model, tree)


def _input(model, doubts, path, limits, value):
    doubt = doubts.get(path, Doubt(path, None, ""))
    row = _row(path)
    basis = doubt.basis
    if doubt.uncertainty is None:
        if row is None:
            return None
        basis = basis or (_BASIS_OF_SOIL[model.soil.basis] if path == ("soil", "reaction") else "usual")
        basis = basis if row[basis] else "usual"
    uncertainty = doubt.uncertainty or _width(row[basis], limits, value)
    if not uncertainty > 0:
        return None
    source = "file" if doubt.uncertainty else "table"
    words, how, group = _named(model, path, row)
    return Input(path, value, uncertainty, basis, source, words, how, group)


def _width(cell, limits, value):
    """Of a cell such as "5 mm", "5 %" or "10 %, at least 1 kN m"."""
    return max(uncertainty_of(part, limits, value) for part in cell.split(", at least "))


def _named(model, path, row):
    if row is None:
        words = " ".join(str(part + 1) if isinstance(part, int) else part.replace("_", " ") for part in path)
        return words, "", words
    words, parent = row["words"], model
    for part, pattern in zip(path, row["path"].split("."), strict=True):
        if pattern != "*":
            parent = parent[int(part)] if isinstance(part, int) else getattr(parent, part)
        elif is_dataclass(parent[part]):
            words = words.format(getattr(parent[part], "name", part + 1))
            parent = parent[part]
        else:
            words = f"{words}, {_COORDINATES[len(parent)][part]}"
    return words, row["how"], row["group"]


@cache
def _rows():
    from downforce.machine.shipped import table_rows

    return {row["path"]: row for row in table_rows("bases")}


def _row(path):
    """Row of the table for a key path; the last number of a pattern may be the path's own."""
    blocks = ["*" if isinstance(part, int) else part for part in path]
    return _rows().get(".".join(blocks)) or _rows().get(".".join([*blocks[:-1], str(path[-1])]))


def _leaves(hint, value, path):
    """Key path, limits and value of every number with limits that is no count."""
    hint = without_none(hint)
    if get_origin(hint) is Annotated:
        base, limits = get_args(hint)
        if base is float and value is not None:
            yield path, limits, value
    elif is_dataclass(value):
        for entry in file_fields(type(value)):
            inner = type_hints(type(value))[entry.name]
            yield from _leaves(inner, getattr(value, entry.name), (*path, entry.name))
    elif isinstance(value, tuple):
        for place, (inner, item) in enumerate(zip(_of_items(hint, value), value, strict=True)):
            yield from _leaves(inner, item, (*path, place))


def _of_items(hint, value):
    hints = get_args(hint)
    return hints[:1] * len(value) if hints[-1] is Ellipsis else hints


def _put(hint, value, tree):
    if value is None:
        return None
    if not isinstance(tree, dict):
        limits = get_args(without_none(hint))[1]
        return float(min(max(tree, min(limits.low, value)), max(limits.high, value)))
    if isinstance(value, tuple):
        pairs = enumerate(zip(_of_items(without_none(hint), value), value, strict=True))
        return tuple(
            _put(inner, item, tree[place]) if place in tree else item for place, (inner, item) in pairs
        )
    hints = type_hints(type(value))
    return replace(
        value, **{name: _put(hints[name], getattr(value, name), part) for name, part in tree.items()}
    )


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
        new = {path: value for path, value in new.items() if abs(value - value_at(before, path)) > 1e-9}
        found |= new
        after = changed(after, {path: value for path, value in new.items() if free(path)})
    return found


def value_at(model, path):
    """What stands in a model at a key path."""
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
