"""Writing the cylinder that was chosen, and its pins, into a copy of the drill file: comments stay."""

import re
import tempfile
from dataclasses import replace
from pathlib import Path

from downforce.machine.reader import FileProblem, read_drill
from downforce.machine.shipped import named_file, shipped_drills
from downforce.workbook.own_files import written_beside

_SECTION = re.compile(r"^\s*\[")
_KEYS = ("bore", "rod", "stroke", "closed_length")
_PINS = ("frame_pin", "moving_pin")
_CLOSE = 1e-5


def drill_text(text, cylinder, units):
    """A drill file with another cylinder in it.

    Parameters
    ----------
    text : str [-]
        The file as it is.
    cylinder : Cylinder [-]
        The cylinder to write.
    units : UnitSystem [-]
        In which its lengths are written.

    Returns
    -------
    str [-]
        The same file with other values of bore, rod, stroke, closed length and pins; the rest as it was.

    Raises
    ------
    ValueError
        If the file writes its cylinder in another way than one value a line.
    """
    lines = text.splitlines(keepends=True)
    start = next((i for i, line in enumerate(lines) if re.match(r"^\s*\[cylinder\]", line)), None)
    if start is None:
        raise ValueError("The file has no line [cylinder] to write below.")
    end = start + 1
    while end < len(lines) and (
        not _SECTION.match(lines[end]) or lines[end].strip().startswith("[cylinder.")
    ):
        end += 1
    part = "".join(lines[start:end])
    for key in _KEYS:
        part = _put(part, key, r'"[^"\n]*"', _quoted(units, getattr(cylinder, key)))
    for pin in _PINS:
        place = ", ".join(_quoted(units, value) for value in getattr(cylinder.mount, pin))
        part = _put(part, pin, r"\[[^\]\n]*\]", f"[{place}]")
    return "".join(lines[:start]) + part + "".join(lines[end:])


def write_my_drill(bench, cylinder, folder="."):
    """Write a copy of the bench's drill with another cylinder beside the workbook, never over another file.

    Parameters
    ----------
    bench : Bench [-]
        Its drill must come from a file: a shipped one, or one that `open_bench` was given.
    cylinder : Cylinder [-]
        The cylinder with its pins.
    folder : str or path [-]
        Where to write.

    Returns
    -------
    str [-]
        Where it is, and how to open it.

    Raises
    ------
    ValueError
        If the file is not known, is written so that it cannot be changed here, or cannot be read back.
    """
    path = _file_of(bench)
    written = drill_text(path.read_text(encoding="utf-8"), cylinder, bench.units)
    back = _read_back(written)
    wanted = replace(bench.drill, cylinder=cylinder, doubts=back.doubts)
    if not _alike(back.cylinder, cylinder) or replace(back, cylinder=cylinder) != wanted:
        raise ValueError(f"The cylinder in {path.name} cannot be changed here. Change it by hand.")
    stem = path.stem if path.stem.startswith("my_") else f"my_{path.stem}"
    made = written_beside(f"{stem}.toml", written.encode("utf-8"), folder)
    return (
        f'Written: {made.name}; {path.name} is as it was. Open it with open_bench("{made.name}"). '
        "Spring, masses and the rest are those of before."
    )


def _file_of(bench):
    known = [named_file(bench.names["drill"], shipped_drills())] if bench.names else []
    for path in (*known, *(path for _, path in shipped_drills())):
        if Path(path).is_file() and read_drill(path) == bench.drill:
            return Path(path)
    raise ValueError(
        'This drill comes from no file that is known here. Open it by name: open_bench("my_drill.toml").'
    )


def _read_back(text):
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder, "drill.toml")
        copy.write_text(text, encoding="utf-8")
        try:
            return read_drill(copy)
        except FileProblem as problem:
            raise ValueError(f"With this cylinder the file would not be read: {problem}") from None


def _alike(one, other):
    pairs = [(getattr(one, key), getattr(other, key)) for key in _KEYS]
    for pin in _PINS:
        pairs += zip(getattr(one.mount, pin), getattr(other.mount, pin), strict=True)
    return all(abs(a - b) < _CLOSE for a, b in pairs)


def _put(part, key, value, new):
    found, count = re.subn(rf"(\b{key}\s*=\s*){value}", lambda match: match[1] + new, part, count=1)
    if not count:
        raise ValueError(
            f"The file has no {key} of its cylinder in one line. Write it by hand: {key} = {new}"
        )
    return found


def _quoted(units, value):
    digits = 1 if units.name == "metric" else 3
    number = f"{units.number('length', value):.{digits + 1}f}".rstrip("0").rstrip(".")
    return f'"{number} {units.unit("length")}"'
