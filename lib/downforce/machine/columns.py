"""The kit of the readers of measured files: CSV, the unit in the column's name, each problem with its line.

A reader states its columns and what it calls things, asks for numbers and texts, adds its own checks, and
refuses the file with all its problems at once.
"""

import csv
import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from heapq import nsmallest
from pathlib import Path

import numpy as np

from downforce.machine import files
from downforce.machine.reader import FileProblem
from downforce.physics.kinds import Amount, Amounts, Flags

MOST_BYTES = 20_000_000
"""Size of the largest file that is read [byte]. Our own limit."""
MOST_LINES = 300_000
"""Lines of the longest, a long day's log with ten points a second [-]. Our own limit."""
LONGEST_LINE = 1000
"""Characters of the longest line [-]. Our own limit."""
_NOTE = ("#", " ", "\t", '"')

BY_LINE = {
    "missing": "There is no file at {path}. Check the name and the folder.",
    "folder": "This is a folder. Give the name of the CSV file in it.",
    "unnamed": "No file can have this name. Check it.",
    "large": "The file has {why}, and at most {most} are read. Thin it out, or cut it in parts.",
    "many": "There are more than {most} lines. Thin them out, or cut the file in parts.",
    "long": "Line {line} has {found} characters, and at most {most} are read.",
    "no text": "This cannot be read as text: {why}. Save the table as CSV (UTF-8) and close it.",
    "empty": "The file is empty. Its first line names the columns, such as {example}.",
    "bare": "There are no {things} below the column names.",
    "parted": "Cells are parted by {marks}. Save with commas and decimal points.",
    "ragged": "Line {line} has {found} cells and the line of names has {width}. "
    "Write decimals with a point, not a comma.",
    "quote": "Line {line}: quotation marks do not stand around whole cells. Take them out, "
    "or the line break in a cell.",
    "cell": "Line {line}, {kind}: {what}",
    "outside": "{cell} is outside {span} ({low} to {high}). Is the unit in the column's name right?",
    "span": "what can be",
    "no number": "{cell!r} is not a number. Write a number with a decimal point, without its unit.",
    "long cell": "{cell!r} has {found} characters, and at most {most} are read.",
    "no value": "the cell is empty. Write a number with a decimal point, without its unit.",
    "unknown": "Column {name!r} is not known. Known: {known}.",
    "twice": "There are two columns of {kind}. Keep one.",
    "needless": "Column {name!r} needs no unit. Name it {kind}.",
    "no unit": "Column {name!r} has no unit. Name it {example}.",
    "bad unit": "Column {name!r} has a unit that is not known here, {unit!r}. Name it {example}.",
    "absent": "There is no column of {kind}. Name it {example}.",
}
"""Sentences of a file whose lines are called lines; what stands in braces is filled in [-]."""

BY_ROW = BY_LINE | {
    "missing": "there is no such file at {path}. Check the name and folder.",
    "no text": "this is not a text file in UTF-8: {why}. Save the table as CSV (UTF-8).",
    "empty": "the file has no rows below its column names.",
    "bare": "the file has no rows below its column names.",
    "parted": "cells are parted by {marks}. Save with commas and decimal points.",
    "ragged": "row {line} does not have {width} cells like the row of names. "
    "Write decimals with a point, not a comma.",
    "cell": "row {line}, column {name}: {what}",
    "no number": "{cell!r} is not a number.",
    "no value": "{cell!r} is not a number.",
    "outside": "{cell!r} is not a finite number.",
    "unknown": "column {name!r} is unknown. Allowed: {known}.",
    "no unit": "column {name!r} has no unit. Write for example {example}; allowed: {allowed}.",
}
"""Sentences of a file whose lines are called rows, to stand behind the file's name [-]."""


@dataclass(frozen=True)
class Column:
    """A column that a file may have.

    kind: its name without the unit.
    example: its name with a unit, for the sentence that asks for it.
    needed: whether a file without it is refused.
    units [SI per unit]: units its name may end with, the one for sentences first; none for a column of words.
    limits [SI]: lowest and highest number.
    outside: what is said of a number beyond them, if not what the reader says of every column.
    slips: units that are written by mistake, and what is said of each.
    """

    kind: str
    example: str
    needed: bool = True
    units: dict[str, Amount] = field(default_factory=dict)
    limits: tuple[Amount, Amount] = (-math.inf, math.inf)
    outside: str = ""
    slips: dict[str, str] = field(default_factory=dict)


class Table:
    """Cells of a CSV file, and all that was found wrong with it so far.

    Lines that begin with #, rows and columns without words, and a first line "sep=," are passed over.

    path: the file.
    columns: columns it may have.
    words: `BY_LINE` or `BY_ROW` with what this reader calls things.
    refusal: makes the exception from the file's name and its problems.
    name: name of the file.
    kinds: the columns it has, by their names without the unit.
    lines: number of each row's line in the file.
    """

    def __init__(
        self,
        path: str | Path,
        columns: Sequence[Column],
        words: dict[str, str],
        refusal: Callable = FileProblem,
    ):
        self.name, self._words, self._refusal = files.shown(Path(path).name), words, refusal
        self._problems, self._untold = [], 0
        (line, *lines), (header, *rows) = self._parsed(self._text(Path(path)))
        width = max(place for place, name in enumerate(header, 1) if name)
        self._header, self.kinds = header[:width], {}
        self._name_columns(columns, line)
        if not rows and not self._problems:
            self._note(line, "bare")
        self.lines, whole = [], []
        for line, cells in zip(lines, rows, strict=True):
            if len(header) > width and not any(cells[width : len(header)]):
                # columns without a name, as spreadsheets leave them
                cells = cells[:width] + cells[len(header) :]
            if len(cells) == width:
                self.lines.append(line)
                whole.append(cells)
            else:
                self._note(line, "ragged", found=len(cells), width=width)
        self._columns = list(zip(*whole, strict=True)) or [()] * width
        for kind, (place, *_) in self.kinds.items():
            if kind != "note" and max(map(len, self._columns[place]), default=0) > files.MOST_SHOWN:
                self._cut_cells(kind, place)

    def texts(self, kind: str, absent: str = "") -> list[str]:
        """Cells of a column.

        kind: name of the column without its unit.
        absent: what stands in each row if the file has no such column.
        Result: one for each row.
        """
        if kind not in self.kinds:
            return [absent] * len(self.lines)
        return list(self._columns[self.kinds[kind][0]])

    def unit(self, kind):
        """Unit that a column's name ends with, as it is written."""
        return self._header[self.kinds[kind][0]].partition("_")[2]

    def numbers(self, kind: str) -> Amounts:
        """Numbers of a column; a cell that holds none, or one beyond the limits, is noted.

        kind: name of the column without its unit.
        Result [SI]: one for each row, NaN where there is none.
        """
        place, column, factor = self.kinds.get(kind, (None, None, None))
        if factor is None:
            return np.full(len(self.lines), np.nan)
        cells = self._columns[place]
        found = list(map(_number, cells))
        none = np.array([number is None for number in found], dtype=bool)
        empty = np.array([not cell for cell in cells], dtype=bool)
        self.flag(kind, none & ~empty, self._words["no number"])
        self.flag(kind, empty, self._words["no value"])
        with np.errstate(over="ignore"):
            values = np.array(found, dtype=float) * factor
        unit, size = next(iter(column.units.items()))
        low, high = (f"{limit / size:g} {unit}" for limit in column.limits)
        within = np.isfinite(values) & (values >= column.limits[0]) & (values <= column.limits[1])
        self.flag(kind, ~within & ~none, column.outside or self._words["outside"], low=low, high=high)
        return np.where(within, values, np.nan)

    def check(self, kind: str, right: Callable, sentence: str):
        """Note each cell of a column that is not right.

        kind: name of the column; nothing is noted if the file has none.
        sentence: what is said of one that is not; ``{cell!r}`` is filled in.
        """
        if kind in self.kinds:
            cells = self.texts(kind)
            wrong = {cell for cell in set(cells) if not right(cell)}
            if wrong:
                self.flag(kind, [cell in wrong for cell in cells], sentence)

    def flag(self, kind: str, wrong: Flags, sentence: str, **filled):
        """Note some cells of a column.

        sentence: what is said of each; ``{cell!r}`` and what stands in `filled` are filled in.
        """
        flagged = np.flatnonzero(wrong)
        for index in flagged[: files.MOST_TOLD]:
            self._note_cell(index, kind, sentence, **filled)
        self._untold += flagged[files.MOST_TOLD :].size

    def note(self, *sentences):
        """Note what is wrong with the file as a whole."""
        self._problems += [(math.inf, sentence, None) for sentence in sentences]

    def refuse(self):
        """Refuse the file if anything was noted."""
        if self._problems:
            raise self._refused()

    def _refused(self, key=None, **filled):
        if key:
            self._note(0, key, **filled)
        # Sentences are made of the first problems, and of no others: there may be as many as cells.
        first = nsmallest(3 * files.MOST_TOLD, self._problems, key=lambda problem: problem[0])
        told = list(dict.fromkeys(self._said(*problem) for problem in first))
        count = len(told) + len(self._problems) - len(first) + self._untold
        return self._refusal(self.name, files.first_told(told, count))

    def _said(self, line, sentence, filled):
        if filled is None:
            return sentence
        words = self._words | {name: _cut(value) for name, value in filled.items()} | {"line": line}
        if "what" in filled:
            words["what"] = filled["what"].format_map(words)
        return sentence.format_map(words)

    def _note(self, line, key, **filled):
        self._problems.append((line, self._words.get(key, key), filled))

    def _note_cell(self, index, kind, sentence, **filled):
        place = self.kinds[kind][0]
        about = {"kind": kind, "name": self._header[place], "cell": self._columns[place][index]}
        self._problems.append((self.lines[index], self._words["cell"], about | filled | {"what": sentence}))

    def _cut_cells(self, kind, place):
        cells = self._columns[place]
        for index, cell in enumerate(cells):
            if len(cell) > files.MOST_SHOWN:
                self._note_cell(index, kind, self._words["long cell"], found=len(cell), most=files.MOST_SHOWN)
        self._columns[place] = [cell[: files.MOST_SHOWN] for cell in cells]

    def _text(self, path):
        try:
            return files.file_text(path, MOST_BYTES)
        except files.NoText as problem:
            key, why = problem.key, problem.why
        if key == "closed":
            key, why = "no text", f"it cannot be opened ({why})"
        elif key == "encoding":
            key, why = "no text", f"line {why} has a character that is not saved as UTF-8"
        elif key == "binary":
            key = "no text"
        raise self._refused(key, why=why, path=path, most=files.size_words(MOST_BYTES))

    def _parsed(self, text):
        """Numbers of the lines that say something, and their cells; the names of the columns first."""
        if max(text.count("\n"), text.count("\r")) >= MOST_LINES:
            raise self._refused("many", most=MOST_LINES)
        every = files.lines_of(text)
        lines = [  # a spreadsheet puts quotation marks around a note that has a comma
            (number, line)
            for number, line in enumerate(every, 1)
            if line and not line.isspace() and not (line[:1] in _NOTE and line.lstrip(' \t"')[:1] == "#")
        ]
        if lines and lines[0][1].startswith("sep="):
            del lines[0]
        names = lines[0][1] if lines else ""
        marks = ("semicolons", ";") if ";" in names else ("tabs", "\t")
        if "," not in names and marks[1] in names:
            raise self._refused("parted", marks=marks[0])
        numbers, parsed = [], []
        for number, line in lines:
            if len(line) > LONGEST_LINE:
                self._note(number, "long", found=len(line), most=LONGEST_LINE)
                if not parsed:
                    raise self._refused()
                continue
            try:
                cells = line.split(",") if '"' not in line else next(_reader([line]))
                if " " in line or not line.isprintable():
                    cells = map(str.strip, cells)
                cells = tuple(cells)
            except csv.Error:
                self._note(number, "quote")
                if not parsed:
                    raise self._refused() from None
                continue
            if any(cells):
                numbers.append(number)
                parsed.append(cells)
        if not parsed:
            raise self._refused("empty")
        return numbers, parsed

    def _name_columns(self, columns, line):
        """Place, column and factor of each kind; the factor is None where the unit is not clear."""
        known = {column.kind: column for column in columns}
        parts = [(kind.lower(), unit) for kind, _, unit in (name.partition("_") for name in self._header)]
        count = Counter(kind for kind, _ in parts)
        for place, (name, (kind, unit)) in enumerate(zip(self._header, parts, strict=True)):
            if kind not in known:
                self._note(line, "unknown", name=name)
                continue
            column = known[kind]
            said = {"name": name, "kind": kind, "unit": unit, "example": column.example}
            if kind in self.kinds:
                first = self._header[self.kinds[kind][0]]
                self._note(line, "twice", first=first, count=count[kind], **said)
                continue
            self.kinds[kind] = (place, column, column.units.get(unit))
            if not column.units and unit:
                self._note(line, "needless", **said)
            elif column.units and unit not in column.units:
                key = column.slips.get(unit, "bad unit" if unit else "no unit")
                self._note(line, key, allowed=", ".join(column.units), **said)
        for column in columns:
            if column.needed and column.kind not in self.kinds:
                self._note(line, "absent", kind=column.kind, example=column.example)


def _number(cell):
    """Number in a cell, None for none; Python would also read digits of other scripts, and 1_000."""
    if not cell.isascii() or "_" in cell:
        return None
    try:
        return float(cell)
    except ValueError:
        return None


def _reader(lines):
    return csv.reader(lines, strict=True, skipinitialspace=True)


def _cut(value):
    return files.shown(value) if isinstance(value, str) else value
