"""How sure the values of a drill or a field are: as its file says, else from the table of usual doubts."""

from dataclasses import dataclass, is_dataclass, replace
from functools import cache
from typing import Annotated, get_args, get_origin

from downforce.machine.reading.doubt_text import Doubt, uncertainty_of
from downforce.machine.reading.model_reader import file_fields, type_hints, without_none
from downforce.physics.kinds import Amount

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
    from downforce.machine.tables import table_rows

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
