"""What is likely wrong with a line that is no TOML, and how it should read.

A line is mended only to go on checking the rest of the file; the mended value is never used.
"""

import re

from downforce.machine.files import shown

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
        return (
            None,
            "",
            f"{_short(statement)} runs over {len(statement)} characters. Is a bracket or quote open?",
        )
    if statement != statement.translate(_CURLY):
        return _curly(statement)
    for pattern, explain in (
        (_ASSIGNMENT, _value),
        (_COLON, _colon),
        (_SPACED_KEY, _spaced),
        (_NO_SIGN, _no_sign),
    ):
        found = pattern.fullmatch(statement)
        if found:
            return explain(found["key"], found["value"].strip())
    shown = _short(statement)
    return (
        None,
        "",
        f'this line cannot be read: {shown}. A line looks like bore = "38.1 mm"; a remark starts with #.',
    )


def _curly(statement):
    straight = statement.translate(_CURLY)
    found = _ASSIGNMENT.fullmatch(straight)
    key = found["key"] if found else ""
    return (
        straight,
        key,
        f'curly quotes in {_short(statement)}. Use the straight quote " of a plain-text editor.',
    )


def _colon(key, value):
    return (
        f"{key} = {value}",
        key,
        f"a colon stands where an equals sign is wanted. Write {_line(key, _short(value))}.",
    )


def _spaced(key, value):
    joined = "_".join(key.split())
    return (
        f"{joined} = {value}",
        joined,
        f'"{shown(key)}" is written in one word, with underscores: {_line(joined, _short(value))}.',
    )


def _no_sign(key, value):
    return f"{key} = {value}", key, f"the equals sign is missing. Write {_line(key, _short(value))}."


def _value(key, value):
    bare = value.split("#")[0].strip() if '"' not in value else value
    if not bare:
        return (
            None,
            key,
            f'nothing stands after the equals sign. Write {shown(key)} = "..." with the value and its unit.',
        )
    if bare.startswith("["):
        return _list(key, bare)
    if bare.startswith('"'):
        return _quoted(key, bare)
    if re.fullmatch(rf"{_NUMBER}({_UNIT})?", bare):
        return _bare_number(key, bare)
    if re.fullmatch(r"[A-Za-z][\w ,-]*", bare):
        mended = f'{key} = "{bare}"'
        return mended, key, f"words go in quotes: {shown(mended)}."
    return (
        None,
        key,
        f'{_short(bare)} cannot be read. A value stands in quotes with its unit, such as "38.1 mm".',
    )


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
        return (
            f"{key} = {point}",
            key,
            f"{shown(bare)} has a decimal comma. Write {shown(point)} with a point.",
        )
    return (
        None,
        key,
        f'{shown(bare)} cannot be read as a number. Write it in quotes with its unit, such as "38.1 mm".',
    )


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
        return (
            mended,
            key,
            f"the inch or foot mark ends the text. Write the unit in letters: {shown(mended)}.",
        )
    if after and '"' not in after:
        whole = f"{inside} {after}"
        mended = f'{key} = "{whole}"'
        return mended, key, f'"{shown(after)}" stands outside the quotes. Write {shown(mended)}.'
    return (
        None,
        key,
        f'{_short(bare)} cannot be read. One value stands in one pair of quotes, such as "38.1 mm".',
    )


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
