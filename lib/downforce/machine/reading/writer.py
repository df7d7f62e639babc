"""A drill or field file while it is being described: answers put in, assumed values marked, comments kept.

The text is the only state. What a value may be is said by the models' own annotations, what it is called by
their docstrings; a key added to a model is asked for without a word here.
"""

import re
from dataclasses import dataclass, is_dataclass
from pathlib import Path
from typing import Annotated, Any, Literal, get_args, get_origin

import tomlkit
from tomlkit.items import AoT, Array, InlineTable, Item

from downforce.machine.files import write_file
from downforce.machine.quantity import BASES, Number, Quantity, QuantityOr, doubt_apart
from downforce.machine.reader import FileProblem, model_of, read_text, source_text
from downforce.machine.reading.model_reader import file_fields, type_hints, without_none
from downforce.machine.reading.toml_lines import path_text
from downforce.machine.unit_table import from_si
from downforce.machine.units import allowed_range, unit_written
from downforce.physics.kinds import described

ASSUMED = "guessed"
"""Basis that stands behind a value taken over from another drill or field, until somebody measured it."""
_MARK = "# assumed"
_OWN_BASIS = re.compile(r"weigh|measur|assum|guess|\busual", re.IGNORECASE)
_HEAD = (
    "# My own {}. Behind each value stands how it was come by; (guessed) and # assumed mark what was taken\n"
    "# over from an invented example and nobody has measured yet.\n"
)
_ORIGINS = (("opener", "pivot", 0), ("opener", "lower_frame_pin", 0))
"""From these places x is counted, so that nobody measures them."""
_BY_HAND = ("describes", "name", "note", "units")


@dataclass(frozen=True)
class Entry:
    """One value that a file may hold.

    path: its key path; numbers count from 0.
    hint: its annotation.
    words: what the model's docstring says of it.
    """

    path: tuple[str | int, ...]
    hint: type
    words: str

    @property
    def limits(self):
        """Quantity or Number that limits it, None for words and choices."""
        return get_args(self.hint)[1] if get_origin(self.hint) is Annotated else None

    @property
    def allowed(self):
        """What may stand there, in words."""
        limits = self.limits
        if isinstance(limits, Quantity):
            numbers = allowed_range(limits.kind, limits.low, limits.high)
            return f"{numbers}, or {limits.listed}" if isinstance(limits, QuantityOr) else numbers
        if isinstance(limits, Number):
            return f"{limits.low:g} to {limits.high:g}"
        if get_origin(self.hint) is Literal:
            return ", ".join(get_args(self.hint))
        return "words"

    @property
    def doubtful(self) -> bool:
        """Whether a basis may stand behind it: all numbers that are no counts."""
        return self.limits is not None and get_args(self.hint)[0] is float


class Draft:
    """A file that is being written.

    text: TOML to begin with.
    kind: "drill" or "field".
    """

    def __init__(self, text: str, kind: str):
        self.kind = kind
        try:
            self._document = tomlkit.parse(text)
        except (tomlkit.exceptions.TOMLKitError, ValueError, RecursionError) as problem:
            # The reader of files says it line by line; tomlkit knows the first only.
            read_text(f"this {kind} file", text, kind)
            raise FileProblem(f"this {kind} file", [str(problem)]) from None
        self._model_type = model_of(kind)[0]
        self.model: Any = None
        self.problems: dict = {}
        self.read()

    @classmethod
    def like(cls, path, kind):
        """A new file that begins as the one at `path`, every value in it marked as assumed."""
        _, _, body = source_text(Path(path), kind).partition("\n")
        draft = cls(_HEAD.format(kind) + body, kind)
        draft.put(("note",), f"Begun from: {draft.model.name}.")
        draft.put(("name",), f"My {kind}")
        draft._assume_all()
        draft.read()
        return draft

    @property
    def text(self) -> str:
        """The file as it would be written."""
        return tomlkit.dumps(self._document)

    def read(self):
        """Read the text again; `model` stays the last that could be read, `problems` says why not."""
        try:
            self.model, self.problems = read_text(f"this {self.kind}", self.text, self.kind), {}
        except FileProblem as problem:
            self.problems = {sentence: problem.places.get(sentence, "") for sentence in problem.problems}

    def problems_at(self, path):
        """Sentences of the reader about a value, or about what it is a part of."""
        here = path_text(path)
        return [
            sentence
            for sentence, place in self.problems.items()
            if place and (here == place or here.startswith((f"{place}.", f"{place}[")))
        ]

    # --- what stands in it ----------------------------------------------------------------

    def entries(self):
        """Every value the file holds or may hold, in the order of the model."""
        return tuple(self._entries(self._model_type, ()))

    def entry(self, path):
        """The one at a key path; raises ValueError if nothing can stand there."""
        hint, words = self._model_type, ""
        for part in path:
            hint = without_none(hint)
            if isinstance(part, int):
                hints = get_args(hint)
                hint = hints[0] if hints[-1] is Ellipsis else hints[part]
            elif is_dataclass(hint) and part in type_hints(hint):
                hint, words = type_hints(hint)[part], _said_of(hint, part)
            else:
                raise ValueError(f"Nothing can stand at {path_text(path)} in a {self.kind} file.")
        return Entry(tuple(path), without_none(hint), words)

    def written(self, path):
        """Text at a key path without quotes, "" where nothing stands."""
        node = self._node(path)
        return "" if node is None else str(getattr(node, "unwrap", lambda: node)())

    def plain(self, path):
        """The same without ± and basis."""
        text = self.written(path)
        try:
            return str(doubt_apart(text, self.entry(path).limits)[0]) if self.entry(path).doubtful else text
        except ValueError:
            return text

    def basis(self, path):
        """Basis behind a value, "" where none is written."""
        node = self._node(path)
        if isinstance(node, str):
            found = re.search(r"\(([a-z]+)\)\s*$", str(node))
            return found[1] if found and found[1] in BASES else ""
        return ASSUMED if isinstance(node, Item) and _MARK in node.trivia.comment else ""

    def assumed(self, path):
        """Whether a value was taken over and nobody has measured it."""
        return self.basis(path) == ASSUMED

    @property
    def assumed_count(self):
        """How many values are assumed, of how many that stand in the file."""
        given = [entry.path for entry in self.entries() if self.written(entry.path)]
        return sum(map(self.assumed, given)), len(given)

    # --- putting something in -------------------------------------------------------------

    def put(self, path, text: str, basis: str = "measured"):
        """Write an answer as its giver wrote it, with its basis; an empty one takes the value out.

        text: such as "7 1/2 in", with a ± or a basis behind it if the giver knows better.
        basis: stands behind the number unless the text brings its own; "" for none.
        """
        entry, text = self.entry(path), text.strip()
        if not text:
            self.take_out(path)
            return
        if basis and entry.doubtful and _without_basis(text, entry):
            text = f"{text} ({basis})"
        value = _bare(text) if isinstance(entry.limits, Number) else text
        mark = _MARK if basis == ASSUMED and not entry.doubtful else ""
        self._set(path, value, mark)

    def put_si(self, path, value, basis="", unit=None):
        """Write an SI value in the unit that stands there already, or in `unit`."""
        limits = self.entry(path).limits
        if isinstance(limits, Number):
            self.put(path, f"{value:.6g}", basis)
            return
        unit = unit or unit_written(self.plain(path)) or _usual_unit(limits.kind, self.written(("units",)))
        self.put(path, f"{_short(float(from_si(value, unit, limits.kind)))} {unit}", basis)

    def put_blocks(self, name, blocks):
        """Make the blocks under a heading these and no more, every number in SI and marked as assumed."""
        units = {
            entry.path[2:]: unit_written(self.plain(entry.path))
            for entry in self.entries()
            if entry.path[:2] == (name, 0) and isinstance(entry.limits, Quantity) and self.written(entry.path)
        }
        for place in range(len(self._node((name,)) or ()) - 1, len(blocks) - 1, -1):
            self.take_out((name, place))
        for place, block in enumerate(blocks):
            for key, value in block.items():
                inner = {(key,): value}
                if isinstance(value, tuple):
                    inner = {(key, coordinate): part for coordinate, part in enumerate(value)}
                for end, part in inner.items():
                    path = (name, place, *end)
                    if self.entry(path).limits is None or isinstance(part, int):
                        self.put(path, str(part), ASSUMED)
                    else:
                        self.put_si(path, part, ASSUMED, units.get(end))

    def write(self, path: str | Path, replace: bool = False) -> Path:
        """Write the file."""
        read_text(Path(path).name, self.text, self.kind)
        return write_file(path, self.text, replace)

    # --- how it works ---------------------------------------------------------------------

    def _entries(self, hint, path, words=""):
        hint = without_none(hint)
        if is_dataclass(hint):
            for field in file_fields(hint):
                said = _said_of(hint, field.name)
                yield from self._entries(type_hints(hint)[field.name], (*path, field.name), said)
        elif get_origin(hint) is tuple:
            hints = get_args(hint)
            # One more than there are, so that a block or a number can be added.
            count = len(self._node(path) or ()) + 1 if hints[-1] is Ellipsis else len(hints)
            for place in range(count):
                inner = hints[0] if hints[-1] is Ellipsis else hints[place]
                yield from self._entries(inner, (*path, place), words)
        elif path not in (("describes",),):
            yield Entry(path, hint, words)

    def _node(self, path):
        node = self._document
        for part in path:
            try:
                node = node[part]
            except (KeyError, IndexError, TypeError):
                return None
        return node

    def _assume_all(self):
        for entry in self.entries():
            named = entry.hint is str or entry.path in _ORIGINS or entry.path[0] in _BY_HAND
            if named or not self.written(entry.path) or self.basis(entry.path) == "usual":
                continue
            self.put(entry.path, self.plain(entry.path), ASSUMED)

    def _set(self, path, value, mark):
        parent = self._made(path)
        key = path[-1]
        if isinstance(parent, Array):
            if key < len(parent):
                parent[key] = value
            else:
                parent.append(value)
            return
        old = self._node(path)
        item = tomlkit.item(value)
        parent[key] = item
        if isinstance(old, Item) and not isinstance(parent, InlineTable):
            _keep_comment(parent[key], old, mark)

    def _made(self, path):
        """The table or list that a value goes into; missing ones are made."""
        node = self._document
        for place, part in enumerate(path[:-1]):
            following = path[place + 1]
            there = part < len(node) if isinstance(part, int) else part in node
            if not there:
                hint = self._hint(path[: place + 1])
                if isinstance(node, AoT):
                    node.append(_new_table())
                elif isinstance(following, int) and get_origin(hint) is tuple:
                    blocks = is_dataclass(get_args(hint)[0])
                    node[part] = tomlkit.aot() if blocks else tomlkit.array()
                else:
                    node[part] = _new_table()
            node = node[part]
        return node

    def _hint(self, path):
        return self.entry(path).hint

    def take_out(self, path):
        """Take a value or a table out of the file, and what is empty then."""
        if self._node(path) is None:
            return
        parent = self._node(path[:-1]) if path[:-1] else self._document
        del parent[path[-1]]
        if path[:-1] and len(parent) == 0:
            self.take_out(path[:-1])


def _new_table():
    """A table that keeps an empty line over its heading."""
    table = tomlkit.table()
    table.trivia.indent = "\n"
    return table


def _said_of(model, name):
    """What a model's docstring says of one of its fields, as a sentence."""
    words = described(model.__doc__ or "", name)
    return words[:1].upper() + words[1:]


def _without_basis(text, entry):
    try:
        return not doubt_apart(text, entry.limits)[2]
    except ValueError:
        return False


def _bare(text):
    """A whole or broken number as TOML has it, or the text, which the reader then refuses."""
    for convert in (int, float):
        try:
            return convert(text) if text.isascii() and "_" not in text else text
        except ValueError:
            continue
    return text


def _short(number):
    """A number with as many digits as a tape gives, without an exponent or zeros behind."""
    text = f"{number:.5g}"
    return text if "e" not in text else f"{number:.9f}".rstrip("0").rstrip(".")


def _usual_unit(kind, system):
    from downforce.machine.unit_table import KINDS

    return (KINDS[kind].us if system == "US" else KINDS[kind].metric).unit


def _keep_comment(item, old, mark):
    """The comment behind the old value, at its column, unless it said how the old one was come by."""
    comment, gap = old.trivia.comment, old.trivia.comment_ws
    if mark and _MARK not in comment:
        comment, gap = mark if not comment else f"{mark}: {comment.lstrip('# ')}", gap or "  "
    elif not mark and _OWN_BASIS.search(comment):
        comment, gap = "", ""
    shift = len(item.as_string()) - len(old.as_string())
    item.trivia.comment = comment
    item.trivia.comment_ws = " " * max(len(gap) - shift, 1) if comment else ""
    item.trivia.trail = old.trivia.trail
