"""The list of workbooks, `data/workbooks.csv`: the order of its lines numbers them, from 00."""

import csv
import re
from dataclasses import dataclass
from functools import cache

from downforce.machine.shipped import DATA, NOTEBOOKS

LIST = "workbooks.csv"
"""Name of the list in the folder of data [-]."""
HEAD = "| workbook | minutes | for whom | it answers |\n|---|---|---|---|"
"""First two lines of a table of contents."""


@dataclass(frozen=True)
class Workbook:
    """One workbook of the series, as its line in the list says.

    name: its name in the list and, behind the number, that of its file: "soil_load".
    title: what prose calls it: "Soil load".
    """

    number: int
    name: str
    title: str
    minutes: int
    audience: str
    question: str

    @property
    def file(self):
        """Name of its file, such as "02_soil_load.ipynb"."""
        return f"{self.number:02}_{self.name}.ipynb"

    @property
    def path(self):
        """Its file among those that come with the project."""
        return NOTEBOOKS / self.file

    @property
    def called(self):
        """Number and title, such as "02 Soil load"."""
        return f"{self.number:02} {self.title}"

    def link(self, words="", folder=""):
        """Markdown link to it that shows its number and title, behind `words`."""
        return f"[{words}{self.called}]({folder}{self.file})"


def read_series(path):
    """Workbooks of a list, in its order; raises ValueError that says which line cannot stay so."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    series = []
    for number, row in enumerate(rows):
        where = f"{path.name}, line {number + 2}"
        if None in row or not all(row.values()):
            raise ValueError(f"{where}: a line is {', '.join(rows[0])}; a text with a comma is quoted.")
        if not re.fullmatch(r"[a-z]+(_[a-z]+)*", row["name"]):
            raise ValueError(f"{where}: {row['name']!r} is not a name of small letters and underlines.")
        if not row["minutes"].isdigit():
            raise ValueError(f"{where}: {row['minutes']!r} is not a whole number of minutes.")
        if any(row[key] == getattr(other, key) for other in series for key in ("name", "title")):
            raise ValueError(f"{where}: {row['name']} stands there twice, as a name or as a title.")
        series.append(Workbook(number, **row | {"minutes": int(row["minutes"])}))
    return tuple(series)


@cache
def shipped_series():
    """The workbooks that come with the project, in their order."""
    return read_series(DATA / LIST)


def workbook(name):
    """One workbook by its name in the list; raises ValueError that lists those there are."""
    named = {book.name: book for book in shipped_series()}
    if name not in named:
        raise ValueError(f"There is no workbook {name!r}. There are: {', '.join(named)}.")
    return named[name]


def contents(series, folder=""):
    """Table of contents in Markdown, its links into `folder`."""
    rows = (f"| {b.link(folder=folder)} | {b.minutes} | {b.audience} | {b.question} |" for b in series)
    return "\n".join((HEAD, *rows))


def ways(series, number):
    """Line of links at both ends of a workbook: to the one before, the contents and the next."""
    parts = []
    if number == 1:
        parts.append(series[0].link("Contents and previous: "))
    elif number > 1:
        parts += [series[number - 1].link("Previous: "), f"[Contents]({series[0].file})"]
    if number + 1 < len(series):
        parts.append(series[number + 1].link("Next: "))
    return " · ".join(parts)
