"""A TOML file taken apart line by line, so that every mistake in it is found at once with its line.

The standard reader stops at the first mistake and forgets the lines. Here each statement is read
by itself (still by the standard reader) and put into one tree that knows where everything stands.
Whether the whole is TOML, and what stands in it then, is for the standard reader to say. A line that is no
TOML is mended only to go on checking the rest; the mended value is never used.
"""

import re
import tomllib
from dataclasses import dataclass, field

from downforce.machine.files import lines_of, shown

_CURLY = str.maketrans("“”„‟«»″‘’‚", '"""""""\'\'\'')
_KEY = r"(?P<key>[A-Za-z_][\w.-]*)"
_NUMBER = r"[+-]?\d[\d.,/ ]*"
_UNIT = r"[A-Za-z°%][\w°/%·²³]*(?: [A-Za-z]+)?"
_ASSIGNMENT = re.compile(rf"\s*{_KEY}\s*=\s*(?P<value>.*)", re.DOTALL)
_COLON = re.compile(rf"\s*{_KEY}\s*:\s*(?P<value>.*)", re.DOTALL)
_SPACED_KEY = re.compile(r"\s*(?P<key>[A-Za-z_]\w*(?:[ ]+\w+)+)\s*=\s*(?P<value>.*)", re.DOTALL)
_NO_SIGN = re.compile(rf"\s*{_KEY}\s+(?P<value>[\"'\[\d].*)", re.DOTALL)


def mend_heading(statement):
    """A heading that cannot be read, as it was likely meant.

    Result: whether it has double brackets, its words joined by dots ("" if none), and the sentence.
    """
    plain = statement.split("#")[0].strip()
    words = ".".join(re.findall(r"[A-Za-z_][\w-]*", plain))
    double = plain.startswith("[[") or plain.endswith("]]")
    if not words:
        return double, "", f"{shown(plain)} cannot be read. A heading looks like [opener] or [[sections]]."
    meant = f"[[{shown(words)}]]" if double else f"[{shown(words)}]"
    return double, words, f"{shown(plain)} cannot be read as a heading. Did you mean {meant}?"


def mend_statement(statement, longest):
    """A statement that cannot be read, as it was likely meant.

    statement: one line, or several when a bracket is open.
    Result: the mended statement or None, its key or "", and the sentence.
    """
    if len(statement) > longest:
        said = f"{_short(statement)} runs over {len(statement)} characters. Is a bracket or quote open?"
        return None, "", said
    if statement != statement.translate(_CURLY):
        return _curly(statement)
    tried = (_ASSIGNMENT, _value), (_COLON, _colon), (_SPACED_KEY, _spaced), (_NO_SIGN, _no_sign)
    for pattern, explain in tried:
        found = pattern.fullmatch(statement)
        if found:
            return explain(found["key"], found["value"].strip())
    likely = 'A line looks like bore = "38.1 mm"; a remark starts with #.'
    said = f"this line cannot be read: {_short(statement)}. {likely}"
    return None, "", said


def _curly(statement):
    straight = statement.translate(_CURLY)
    found = _ASSIGNMENT.fullmatch(straight)
    key = found["key"] if found else ""
    said = f'curly quotes in {_short(statement)}. Use the straight quote " of a plain-text editor.'
    return straight, key, said


def _colon(key, value):
    said = f"a colon stands where an equals sign is wanted. Write {_line(key, _short(value))}."
    return f"{key} = {value}", key, said


def _spaced(key, value):
    joined = "_".join(key.split())
    said = f'"{shown(key)}" is written in one word, with underscores: {_line(joined, _short(value))}.'
    return f"{joined} = {value}", joined, said


def _no_sign(key, value):
    return f"{key} = {value}", key, f"the equals sign is missing. Write {_line(key, _short(value))}."


def _value(key, value):
    bare = value.split("#")[0].strip() if '"' not in value else value
    if not bare:
        said = (
            f'nothing stands after the equals sign. Write {shown(key)} = "..." with the value and its unit.'
        )
        return None, key, said
    if bare.startswith("["):
        return _list(key, bare)
    if bare.startswith('"'):
        return _quoted(key, bare)
    if re.fullmatch(rf"{_NUMBER}({_UNIT})?", bare):
        return _bare_number(key, bare)
    if re.fullmatch(r"[A-Za-z][\w ,-]*", bare):
        mended = f'{key} = "{bare}"'
        return mended, key, f"words go in quotes: {shown(mended)}."
    said = f'{_short(bare)} cannot be read. A value stands in quotes with its unit, such as "38.1 mm".'
    return None, key, said


def _bare_number(key, bare):
    number, unit = re.fullmatch(rf"({_NUMBER}?)\s*({_UNIT})?", bare).groups()
    comma = bool(re.fullmatch(r"[+-]?\d+,\d+", number))
    point = number.replace(",", ".") if comma else number
    meant = f"{point} {unit}" if unit else point
    also = ", with a point and not a comma" if comma else ""
    if unit:
        mended = f'{key} = "{meant}"'
        return mended, key, f"{shown(bare)} is not in quotes. Write {shown(mended)}{also}."
    if comma:
        said = f"{shown(bare)} has a decimal comma. Write {shown(point)} with a point."
        return f"{key} = {point}", key, said
    said = f'{shown(bare)} cannot be read as a number. Write it in quotes with its unit, such as "38.1 mm".'
    return None, key, said


def _quoted(key, bare):
    closing = bare.find('"', 1)
    if closing < 0:
        whole = bare[1:].split("#")[0].strip()
        mended = f'{key} = "{whole}"'
        return mended, key, f"the quote is opened and not closed. Write {shown(mended)}."
    inside, after = bare[1:closing], bare[closing + 1 :].split("#")[0].strip()
    if after in ('"', "''", "'"):
        unit = "ft" if after == "'" else "in"
        mended = f'{key} = "{inside} {unit}"'
        said = f"the inch or foot mark ends the text. Write the unit in letters: {shown(mended)}."
        return mended, key, said
    if after and '"' not in after:
        whole = f"{inside} {after}"
        mended = f'{key} = "{whole}"'
        return mended, key, f'"{shown(after)}" stands outside the quotes. Write {shown(mended)}.'
    said = f'{_short(bare)} cannot be read. One value stands in one pair of quotes, such as "38.1 mm".'
    return None, key, said


def _list(key, bare):
    flat = " ".join(bare.split())
    if flat.count("[") > flat.count("]"):
        mended = f"{key} = {bare}" + "]" * (flat.count("[") - flat.count("]"))
        return mended, key, f"the list {_short(flat)} is opened with [ and not closed with ]."
    if re.search(r'"\s+"', flat):
        mended = f"{key} = " + re.sub(r'"\s+"', '", "', flat)
        return mended, key, f"a comma is missing between two values. Write {shown(mended)}."
    if '"' not in flat:
        items = [item.strip() for item in flat.strip("[] ,").split(",")]
        quoted = ", ".join(f'"{item}"' for item in items)
        mended = f"{key} = [{quoted}]"
        return mended, key, f"each value of a list stands in its own quotes. Write {shown(mended)}."
    return None, key, f'the list {_short(flat)} cannot be read. It is written like ["0.60 m", "-40 mm"].'


def _short(text):
    return shown(text, 60)


def _line(key, value):
    return shown(f"{key} = {value}")


LONGEST_LINE = 1000
"""Characters of the longest line or broken statement that is looked at [-]. Our own limit."""
DEEPEST = 20
"""Tables within tables [-]; a drill needs four. Our own limit."""
_TOO_DEEP = f"tables or lists stand within each other more than {DEEPEST} deep. No key needs that."
_STOPPED = re.compile(r"(?P<why>.*) \(at (?:line (?P<line>\d+), column \d+|end of document)\)", re.DOTALL)
_NOWHERE = None
_HEADING = re.compile(r"\s*\[")
_KEY_START = re.compile(r"\s*[A-Za-z_][\w.-]*\s*=")
_PROPER_HEADING = re.compile(
    r"\s*(\[\[?)\s*([A-Za-z_][\w-]*(?:\s*\.\s*[A-Za-z_][\w-]*)*)\s*(\]\]?)\s*(?:#.*)?$"
)


@dataclass(frozen=True)
class Problem:
    """One thing to put right.

    line: line number, 0 when it concerns the whole file.
    path: key path, "" when there is none.
    text: the sentence.
    """

    line: int
    path: str
    text: str

    @property
    def sentence(self):
        """The sentence with its place."""
        if not self.line:
            return f"The whole file: {self.text}"
        place = f", {shown(self.path)}" if self.path else ""
        return f"Line {self.line}{place}: {self.text}"


@dataclass
class Reading:
    """A TOML file as far as it can be read.

    tree: what was read.
    lines: line of each key path; numbers in a path count from 0.
    problems: what stands wrong in the text itself.
    lost: key paths that are written but cannot be read.
    headed: tables that have had their heading.
    """

    tree: dict = field(default_factory=dict)
    lines: dict = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    lost: set = field(default_factory=set)
    headed: set = field(default_factory=set)

    def line(self, path: tuple) -> int:
        """Line of a key path, or of the nearest table around it.

        Result: line number, 0 for the whole file.
        """
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 0)

    def note(self, line: int, path: tuple, text: str):
        """Add a problem."""
        self.problems.append(Problem(line, path_text(path), text))


def path_text(path):
    """Key path as a person writes it; blocks and list places count from 1.

    Result: such as "sections[2].openers".
    """
    text = "".join(f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in path)
    return text.removeprefix(".")


def read_lines(text) -> Reading:
    """Everything that can be read in a TOML text, and everything that cannot."""
    reading = Reading()
    rows = _short_rows(reading, lines_of(text))
    too_long = bool(reading.problems)
    table = ()
    for line, statement in _statements(rows):
        if _HEADING.match(statement):
            table = _open_table(reading, line, statement)
        else:
            _add_statement(reading, table, line, statement)
    if not too_long:
        _ask_standard_reader(reading, text)
    return reading


def _short_rows(reading, rows):
    """The lines with those that are too long left empty, and said to be."""
    for place, row in enumerate(rows):
        if len(row) > LONGEST_LINE:
            reading.note(
                place + 1,
                (),
                f"the line has {len(row)} characters, and the longest may have {LONGEST_LINE}: {shown(row)}",
            )
            rows[place] = ""
    return rows


def _ask_standard_reader(reading, text):
    """Take its tree; where it finds none and the lines gave no reason, say its own."""
    try:
        reading.tree = tomllib.loads(text)
    except RecursionError:
        if not reading.problems:
            reading.note(0, (), _TOO_DEEP)
    except ValueError as refusal:
        if not reading.problems:
            found = _STOPPED.fullmatch(str(refusal))
            why = shown(found["why"] if found else str(refusal))
            line = int(found["line"] or 0) if found else 0
            reading.note(line, (), f"this is no TOML: {why}. Look at the lines around it too.")
    else:
        reading.problems.clear()
        reading.lost.clear()


def _statements(rows):
    """Line number and text of each heading and each `key = value`, which may run over several lines."""
    at = 0
    while at < len(rows):
        row = rows[at]
        if not row.strip() or row.lstrip().startswith("#"):
            at += 1
            continue
        end = at + 1
        if not _HEADING.match(row):
            end = _statement_end(rows, at)
        yield at + 1, "\n".join(rows[at:end])
        at = end


def _statement_end(rows, start):
    for mark in ('"""', "'''"):
        if rows[start].count(mark) == 1:
            closing = (i for i in range(start + 1, len(rows)) if mark in rows[i])
            return next(closing, start) + 1
    end = start + 1
    depth = _open_brackets(rows[start])
    while depth > 0 and end < len(rows):
        if _KEY_START.match(rows[end]) or _PROPER_HEADING.match(rows[end]):
            return end
        depth += _open_brackets(rows[end])
        end += 1
    return end


def _open_brackets(row):
    outside = re.sub(r'"(?:\\.|[^"\\])*"|\'[^\']*\'', "", row).split("#")[0]
    return outside.count("[") - outside.count("]")


def _open_table(reading, line, statement):
    """Path of the table a heading opens, or _NOWHERE when what follows cannot be placed."""
    found = _PROPER_HEADING.match(statement)
    if found and len(found[1]) == len(found[3]):
        double, words = len(found[1]) == 2, found[2]
    else:
        double, words, complaint = mend_heading(statement)
        reading.note(line, (), complaint)
        if not words:
            return _NOWHERE
    keys = [part.strip() for part in words.split(".")]
    if len(keys) > DEEPEST:
        reading.note(line, (), _TOO_DEEP)
        return _NOWHERE
    node, path = _descend(reading, line, keys[:-1])
    if node is None:
        reading.note(
            line, path, f"{shown(statement)} opens a table, but {shown(path_text(path))} is a single value."
        )
        return _NOWHERE
    place = _append_block if double else _open_single
    return place(reading, line, node, (*path, keys[-1]), shown(statement.split("#")[0]))


def _descend(reading, line, keys):
    """Table that the leading keys of a heading lead to; a list of tables is entered at its last block."""
    node, path = reading.tree, ()
    for key in keys:
        node, path = node.setdefault(key, {}), (*path, key)
        reading.lines.setdefault(path, line)
        if isinstance(node, list) and node and isinstance(node[-1], dict):
            path = (*path, len(node) - 1)
            node = node[-1]
        if not isinstance(node, dict):
            return None, path
    return node, path


def _open_single(reading, line, node, path, heading):
    present = node.setdefault(path[-1], {})
    if path in reading.headed or not isinstance(present, dict):
        earlier = reading.line(path)
        if isinstance(present, list):
            advice = f"Write [[{shown(path_text(path))}]] with double brackets over each block."
        else:
            advice = "Put what belongs together under one heading and remove the other."
        reading.note(line, path, f"{heading} stands here again; it is already on line {earlier}. {advice}")
        return _NOWHERE
    reading.headed.add(path)
    reading.lines[path] = line
    return path


def _append_block(reading, line, node, path, heading):
    blocks = node.setdefault(path[-1], [])
    reading.lines.setdefault(path, line)
    if not isinstance(blocks, list) or any(not isinstance(block, dict) for block in blocks):
        earlier = reading.line(path)
        reading.note(
            line,
            path,
            f"{heading} opens one block of a list, but line {earlier} gives the same name in another way. "
            "Write all blocks alike.",
        )
        return _NOWHERE
    blocks.append({})
    path = (*path, len(blocks) - 1)
    reading.lines[path] = line
    return path


def _add_statement(reading, table, line, statement):
    values = _parsed(statement)
    if values is not None and _too_deep(values):
        reading.note(line, (), _TOO_DEEP)
        reading.lines |= {(*(table or ()), key): line for key in values}
        return
    if values is None:
        mended, key, complaint = mend_statement(statement, LONGEST_LINE)
        path = (*(table or ()), *key.split(".")) if key else ()
        reading.note(line, path, complaint)
        values = _parsed(mended) if mended else None
        if values is None:
            reading.lost.add(path)
            reading.lines.setdefault(path, line)
            return
    if table is _NOWHERE:
        return
    node = reading.tree
    for part in table:
        node = node[part]
    _merge(reading, line, node, table, values)


def _parsed(statement):
    try:
        return tomllib.loads(statement)
    except (ValueError, RecursionError):
        return None


def _too_deep(values):
    """Whether tables stand deeper in each other than any walk through them should go."""
    tables = [values]
    for _ in range(DEEPEST):
        tables = [inner for table in tables for inner in table.values() if isinstance(inner, dict)]
    return bool(tables)


def _merge(reading, line, node, path, values):
    for key, value in values.items():
        here = (*path, key)
        if isinstance(value, dict) and isinstance(node.get(key), dict):
            _merge(reading, line, node[key], here, value)
        elif key in node or here in reading.lost:
            reading.note(
                line,
                here,
                f"{shown(key)} is given twice; it is already on line {reading.line(here)}. "
                "Keep one of the two.",
            )
        else:
            node[key] = value
            _number_lines(reading, line, here, value)


def _number_lines(reading, line, path, value):
    reading.lines[path] = line
    if isinstance(value, dict):
        for key, inner in value.items():
            _number_lines(reading, line, (*path, key), inner)
