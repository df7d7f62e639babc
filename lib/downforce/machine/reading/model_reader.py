"""From a tree of text to a frozen model: every key, kind and range checked, every problem kept.

The models' own annotations say what is allowed, so a field added there is read without a word here. A check
between values says what it needs, and is left out when that could not be read.
"""

import types
from collections.abc import Callable, Sequence
from dataclasses import MISSING, fields, is_dataclass
from difflib import get_close_matches
from functools import cache, wraps
from typing import Annotated, Literal, Union, get_args, get_origin, get_type_hints

from downforce.machine.files import MOST_TOLD, shown
from downforce.machine.quantity import Doubt, Number, Quantity, doubt_apart, read_uncertainty
from downforce.machine.reading.toml_lines import Reading, path_text
from downforce.machine.unit_table import KINDS
from downforce.machine.units import allowed_range, as_written

UNREAD = object()
"""Stands where a value could not be read [-]."""


class ModelReader:
    """Reads one file's tree into a model and keeps what was read at every key path.

    reading: the tree with its lines; problems are added to it.
    model: dataclass of the whole file.
    """

    def __init__(self, reading: Reading, model: type):
        self.reading = reading
        self.model = model
        self.values = {}
        self.doubts = []
        self._absent = []
        self._excused = set()

    def read(self):
        """The whole model.

        Result: an instance of the model, or UNREAD when anything in it could not be read.
        """
        whole = self._table(self.model, self.reading.tree, ())
        for path, text in self._absent:
            if path not in self._excused and path not in self.reading.lost:
                self._note(path, text)
        return whole

    def _note(self, path, text):
        self.reading.note(self.reading.line(path), path, text)
        return UNREAD

    def _value(self, hint, value, path):
        read = self._by_hint(hint, value, path)
        self.values[path] = read
        return read

    def _by_hint(self, hint, value, path):
        origin = get_origin(hint)
        if origin is Annotated:
            return self._limited(hint, value, path)
        if origin is Literal:
            return self._choice(get_args(hint), value, path)
        if origin in (Union, types.UnionType):
            return self._value(without_none(hint), value, path)
        if origin is tuple:
            return self._list(get_args(hint), value, path)
        if is_dataclass(hint):
            return self._table(hint, value, path)
        return self._words(value, path)

    def _limited(self, hint, value, path):
        base, limits = get_args(hint)
        try:
            if base is int:
                return limits.read(value, whole=True)
            plain, spread, basis = doubt_apart(value, limits)
            read = limits.read(plain)
            if spread or basis:
                uncertainty = read_uncertainty(spread, limits, read) if spread else None
                self.doubts.append(Doubt(path, uncertainty, basis))
            return read
        except ValueError as refusal:
            return self._note(path, str(refusal))

    def _choice(self, choices, value, path):
        if value in choices and isinstance(value, str):
            return value
        allowed = ", ".join(f'"{choice}"' for choice in choices)
        meant = self._guess(value, choices) if isinstance(value, str) else None
        guess = f' Did you mean "{meant}"?' if meant else ""
        return self._note(path, f"{as_written(value)} is not known here. Allowed: {allowed}.{guess}")

    def _words(self, value, path):
        if not isinstance(value, str):
            return self._note(path, f"{as_written(value)} stands where words in quotes are wanted.")
        if not value.strip() and path[-1] != "note":
            what = path[-1] if isinstance(path[-1], str) else "name"
            return self._note(path, f"nothing stands between the quotes. Give the {what} in words.")
        most = _LONGEST_NOTE if path[-1] == "note" else _LONGEST_NAME
        if len(value) > most:
            return self._note(path, f"{as_written(value)} has {len(value)} characters. Allowed: {most}.")
        return value

    def _guess(self, word, choices):
        """The choice that was likely meant; of a file with very many problems nobody reads them all."""
        return close_word(word, choices) if len(self.reading.problems) < MOST_TOLD else None

    def _list(self, hints, value, path):
        free = hints[-1] is Ellipsis
        wanted = _list_wanted(hints, path)
        if isinstance(value, dict) and is_dataclass(hints[0]):
            return self._single_brackets(path)
        if not isinstance(value, list):
            return self._note(path, f"{as_written(value)}: {wanted}.")
        if not value and not (free and path[-1] not in _NEVER_EMPTY):
            return self._note(path, f"the list is empty: {wanted}.")
        if len(value) > _LONGEST_LIST:
            return self._note(path, f"{counted(len(value), 'value')} in the list. Allowed: {_LONGEST_LIST}.")
        if not free and len(value) != len(hints):
            return self._note(path, f"{counted(len(value), 'value')} in the list: {wanted}.")
        hints = [hints[0]] * len(value) if free else hints
        pairs = enumerate(zip(hints, value, strict=True))
        items = [self._value(hint, item, (*path, place)) for place, (hint, item) in pairs]
        return UNREAD if any(item is UNREAD for item in items) else tuple(items)

    def _single_brackets(self, path):
        """One complaint for a list of blocks under single brackets, in place of one for each repetition."""
        problems = self.reading.problems
        problems[:] = [problem for problem in problems if problem.path != path_text(path)]
        name = path_text(path)
        return self._note(path, f"[{name}] stands in single brackets. Write [[{name}]] over each block.")

    def _table(self, model, value, path):
        if not isinstance(value, dict):
            return self._note(path, f"{as_written(value)} stands where {_table_wanted(path)} is wanted.")
        given = self._given_keys(model, value, path)
        read = {}
        for entry in file_fields(model):
            here = (*path, entry.name)
            hint = type_hints(model)[entry.name]
            if entry.name in given:
                written = given[entry.name]
                read[entry.name] = self._value(hint, value[written], (*path, written))
            elif _has_default(entry) and here not in self.reading.lost:
                read[entry.name] = _default(entry)
            else:
                self._absent.append((here, f"{_missing(entry.name, hint, path)}"))
                read[entry.name] = UNREAD
            self.values[here] = read[entry.name]
        if any(part is UNREAD for part in read.values()):
            return UNREAD
        try:
            return model(**read)
        except ValueError as refusal:
            # What a model says of values that do not go together.
            return self._note(path, str(refusal))

    def _given_keys(self, model, value, path):
        """Key written for each field; a near miss counts as the field it was meant for."""
        known = [entry.name for entry in file_fields(model)]
        given = {key: key for key in value if key in known}
        for key in value:
            if key in known:
                continue
            home = self._home_of(key, path)
            meant = self._guess(key, [name for name in known if name not in given])
            if home is not None:
                self._excused.add((*home, key))
                self._note((*path, key), f"{shown(key)} does not belong here. {_belongs(home)}")
            elif meant:
                given[meant] = key
                self._note(
                    (*path, key), f"{shown(key)} is not a key of {_table_name(path)}. Did you mean {meant}?"
                )
            else:
                rest = ", ".join(name for name in known if name not in given) or "none is left"
                refusal = f"{shown(key)} is not a key of {_table_name(path)}."
                self._note((*path, key), f"{refusal} Still free there: {rest}. Rename or remove it.")
        return given

    def _home_of(self, key, path):
        """Table of the file that knows this key and lacks it, or None."""
        for home in homes(self.model).get(key, ()):
            table = self.reading.tree
            for part in home:
                table = table.get(part) if isinstance(table, dict) else None
            if home != path and isinstance(table, dict) and key not in table:
                return home
        return None


def close_word(word, choices: Sequence[str]) -> str | None:
    """The choice a word was likely meant for."""
    plain = {_plain(choice): choice for choice in choices}
    close = get_close_matches(_plain(word), plain, 1, 0.7)
    return plain[close[0]] if close else None


@cache
def type_hints(model: type):
    """Annotations of a model with their limits.

    Result: field name to annotation.
    """
    return get_type_hints(model, include_extras=True)


@cache
def file_fields(model: type):
    """What of a model stands in a file; the rest is set by the model itself."""
    return tuple(entry for entry in fields(model) if entry.init and entry.metadata.get("in_file", True))


@cache
def homes(model: type) -> dict[str, list[tuple]]:
    """Tables in which each key of a file can stand, lists of blocks left out.

    Result: key to the paths of its tables.
    """
    found = {}

    def visit(part, path):
        for entry in file_fields(part):
            found.setdefault(entry.name, []).append(path)
            hint = without_none(type_hints(part)[entry.name])
            if is_dataclass(hint):
                visit(hint, (*path, entry.name))

    visit(model, ())
    return found


_LONGEST_NAME, _LONGEST_NOTE, _LONGEST_LIST = 80, 1000, 500
_NEVER_EMPTY = ("rank_x", "coils", "sections", "wheels", "feeds_y")
_LIST_MEANING = {2: "x rearward and z upward", 3: "x rearward, y to the right and z upward"}


def _plain(word):
    return word.lower().replace("_", " ").replace("-", " ")


def without_none(hint):
    """What a value is where it is given, of an annotation that allows None."""
    if get_origin(hint) in (Union, types.UnionType):
        return next(part for part in get_args(hint) if part is not type(None))
    return hint


def _has_default(entry):
    return entry.default is not MISSING or entry.default_factory is not MISSING


def _default(entry):
    return entry.default if entry.default is not MISSING else entry.default_factory()


def counted(count, noun):
    """A number of things, such as "1 hinge" or "2 hinges"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _table_name(path):
    return f"[{path_text(path)}]" if path else "the top of the file"


def _table_wanted(path):
    return f"the table [{path_text(path)}]" if path else "a table"


def _belongs(home):
    if home:
        return f"It belongs under the heading [{path_text(home)}]."
    return "It belongs at the top of the file, above the first heading in square brackets."


def _list_wanted(hints, path):
    if is_dataclass(hints[0]):
        return f"wanted are blocks, each under its own heading [[{path_text(path)}]]"
    example = _example(hints[0])
    if hints[-1] is Ellipsis:
        return f"wanted is a list in square brackets, such as [{example}, {example}]"
    count = len(hints)
    such_as = ", ".join([example] * count)
    return f"wanted are {count} values in square brackets, {_LIST_MEANING[count]}, such as [{such_as}]"


def _example(hint):
    if hint is str:
        return '"..."'
    limits = get_args(hint)[1]
    if isinstance(limits, Number):
        return f"{limits.low:g}"
    return {"length": '"600 mm"'}[limits.kind]


def _missing(name, hint, path):
    hint = without_none(hint)
    if get_origin(hint) is tuple and is_dataclass(get_args(hint)[0]):
        keys = _keys_of(get_args(hint)[0])
        return f"there is no block [[{name}]], and at least one is needed. It holds {keys}."
    if is_dataclass(hint):
        return f"the table [{path_text((*path, name))}] is missing. It holds {_keys_of(hint)}."
    return f"{name} is missing. Wanted: {_wanted(hint, (*path, name))}."


def _keys_of(model):
    return ", ".join(entry.name for entry in file_fields(model))


def _wanted(hint, path):
    if get_origin(hint) is Literal:
        return " or ".join(f'"{choice}"' for choice in get_args(hint))
    if get_origin(hint) is tuple:
        return _list_wanted(get_args(hint), path).removeprefix("wanted is ").removeprefix("wanted are ")
    if get_origin(hint) is Annotated:
        limits = get_args(hint)[1]
        if isinstance(limits, Quantity):
            return f"{KINDS[limits.kind].noun}, {allowed_range(limits.kind, limits.low, limits.high)}"
        return f"a number from {limits.low:g} to {limits.high:g}"
    return "words in quotes"


def needs(*paths) -> Callable:
    """Decorator of a check: its arguments are the values at these key paths.

    paths: such as "cylinder.bore", or "sections.*.name" for one value of every block.
    Result: decorator; the check then takes all values read and returns its complaints, (key path, sentence).
    """

    def decorate(check):
        @wraps(check)
        def run(values):
            wanted = [_look_up(values, tuple(path.split("."))) for path in paths]
            if any(value is UNREAD for value in wanted):
                return []
            return [(as_path(place), text) for place, text in check(*wanted)]

        run.is_file_check = True
        return run

    return decorate


def checks_in(names) -> tuple:
    """The checks among the names of a module, in their order."""
    return tuple(each for each in names.values() if getattr(each, "is_file_check", False))


def _look_up(values, path):
    if "*" not in path:
        return values.get(path, UNREAD)
    star = path.index("*")
    head, tail = path[:star], path[star + 1 :]
    # A list that was not given is there with its default; one that failed as a whole has no blocks.
    if values.get(head, UNREAD) is UNREAD and (*head, 0) not in values:
        return UNREAD
    found, place = [], 0
    while (*head, place) in values:
        found.append(values.get((*head, place, *tail), UNREAD))
        place += 1
    return UNREAD if any(value is UNREAD for value in found) else found


def as_path(place):
    """Key path of a place, "sections.0.name" as ("sections", 0, "name")."""
    return tuple(part if not part.isdigit() else int(part) for part in place.split("."))
