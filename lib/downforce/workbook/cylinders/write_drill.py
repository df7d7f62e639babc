"""Writing the cylinder that was chosen, and its pins, into a copy of the drill file: comments stay."""

import tempfile
from dataclasses import replace
from pathlib import Path

from downforce.machine.cylinders import Cylinder
from downforce.machine.files import write_beside
from downforce.machine.reader import FileProblem, read_drill
from downforce.machine.reading.writer import Draft
from downforce.machine.shipped import named_file, shipped_drills
from downforce.workbook.bench import Bench

_KEYS = ("bore", "rod", "stroke", "closed_length")
_PINS = ("frame_pin", "moving_pin")
_CLOSE = 1e-4


def drill_text(text, cylinder: Cylinder):
    """A drill file with another cylinder in it.

    Result: the same file with other values of bore, rod, stroke, closed length and pins, in the units that
        stand there; comments and the rest as they were.
    """
    draft = Draft(text, "drill")
    for key in _KEYS:
        draft.put_si(("cylinder", key), getattr(cylinder, key))
    for pin in _PINS:
        for place, value in enumerate(getattr(cylinder.mount, pin)):
            draft.put_si(("cylinder", "mount", pin, place), value)
    return draft.text


def write_my_drill(bench: Bench, cylinder: Cylinder, folder: str | Path = "."):
    """Write a copy of the bench's drill with another cylinder beside the workbook, never over another file.

    bench: its drill must come from a file: a shipped one, or one that `open_bench` was given.
    """
    path = _file_of(bench)
    written = drill_text(path.read_text(encoding="utf-8"), cylinder)
    back = _read_back(written)
    wanted = replace(bench.drill, cylinder=cylinder, doubts=back.doubts)
    if not _alike(back.cylinder, cylinder) or replace(back, cylinder=cylinder) != wanted:
        raise ValueError(f"The cylinder in {path.name} cannot be changed here. Change it by hand.")
    stem = path.stem if path.stem.startswith("my_") else f"my_{path.stem}"
    made = write_beside(Path(folder, f"{stem}.toml"), written, again=False)
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
