"""The invented drills, fields and reference tables that come with the project, and the one bibliography.

Each row of a table says where it comes from and how sure it is. Sources are printed by their keys from
`data/bibliography.csv` and from nowhere else.
"""

import csv
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.reader import FileProblem, read_drill, read_field, source_text

_WHEEL = Path(__file__).resolve().parents[1] / "_shipped"
_HOME = _WHEEL if _WHEEL.is_dir() else Path(__file__).resolve().parents[3]
DATA = _HOME / "data"
"""Folder of drills, fields and tables: a wheel has it within the package, a checkout beside `lib` [-]."""
NOTEBOOKS = _HOME / "notebooks"
"""Folder of the workbooks, at the same place [-]."""


def shipped_drills() -> list[tuple[str, Path]]:
    """Drill files that come with the project.

    Result: key and file, in the order of their names.
    """
    return _files("drills")


def shipped_fields() -> list[tuple[str, Path]]:
    """Field files that come with the project.

    Result: key and file, in the order of their names.
    """
    return _files("fields")


def own_models(kind) -> list[Path]:
    """The reader's own files that describe a drill or a field.

    kind: "drill" or "field".
    Result: files of the working folder that begin with `my_` and say so, in the order of their names.
    """
    return sorted(path for path in Path().glob("my_*.toml") if _describes(path, kind))


def _describes(path, kind):
    try:
        return f'describes = "{kind}"' in source_text(path, kind)
    except FileProblem:
        return False


def named_drill(name: str | Path) -> Drill:
    """A drill by the name of a shipped one or by the path of a user's own file.

    name: such as "air_drill_12m" or "my_drill.toml".
    Raises FileProblem if the file has problems; its text lists all of them.
    """
    return read_drill(named_file(name, shipped_drills()))


def named_field(name: str | Path) -> Field:
    """A field by the name of a shipped one or by the path of a user's own file.

    name: such as "firm" or "my_field.toml".
    Raises FileProblem if the file has problems; its text lists all of them.
    """
    return read_field(named_file(name, shipped_fields()))


def named_file(name, shipped):
    """File of a name: shipped under it, or a user's own; each with `.toml` behind it or without."""
    files, own = dict(shipped), Path(name)
    if str(name) in files:
        return files[str(name)]
    if is_there(own):
        return own
    if str(name).removesuffix(".toml") in files:
        return files[str(name).removesuffix(".toml")]
    with_ending = Path(f"{name}.toml")
    return with_ending if is_there(with_ending) else own


def is_there(path):
    """Whether there is something of that name; no computer has a file of a name it refuses."""
    try:
        return path.exists()
    except OSError:
        return False


def example_drill(key) -> Drill:
    """One of the shipped drills.

    key: name of its file without the ending, such as "air_drill_12m".
    """
    return read_drill(_chosen(key, shipped_drills(), "drill"))


def example_field(key) -> Field:
    """One of the shipped fields.

    key: name of its file without the ending, such as "firm".
    """
    return read_field(_chosen(key, shipped_fields(), "field"))


def table_path(name) -> Path:
    """File of a reference table.

    name: name of its file without the ending, such as "cylinder_sizes".
    """
    return _chosen(name, _files("tables", "*.csv"), "table")


def _files(folder, pattern="*.toml"):
    return [(path.stem, path) for path in sorted((DATA / folder).glob(pattern))]


def _chosen(key, files, noun):
    paths = dict(files)
    if key not in paths:
        raise ValueError(f"There is no shipped {noun} {key!r}. There are: {', '.join(paths) or 'none'}.")
    return paths[key]


def is_shipped(model):
    """Whether a drill or a field bears the name of one that comes with the project, and so is invented.

    A changed copy that keeps the name counts as well: nobody's own file says so.
    """
    return model.name in _names(model.describes)


@cache
def _names(kind):
    read, files = (read_drill, shipped_drills) if kind == "drill" else (read_field, shipped_fields)
    return frozenset(read(path).name for _, path in files())


NEEDED = ("source", "sure")
"""Every row says something in a column whose name ends in each of these words [-]."""


def read_table(name):
    """One reference table.

    name: name of its file without the ending, such as "cylinder_sizes".
    """
    import pandas

    path = table_path(name)
    table = pandas.read_csv(path, encoding="utf-8", comment="#")
    for word in NEEDED:
        columns = [column for column in table if column.endswith(word)]
        if not columns:
            raise ValueError(f"{path.name} needs a column whose name ends in {word!r}; it has {list(table)}.")
        silent = table.index[table[columns].isna().all(axis=1)]
        if len(silent):
            raise ValueError(f"{path.name}: row {silent[0] + 1} says nothing under {columns[0]!r}.")
    return table


def table_rows(name):
    """Rows of one reference table, for what every workbook asks: pandas takes a third of a second to import.

    name: as `read_table`, which also says what a table lacks.
    """
    lines = table_path(name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


KEY = re.compile(r"(?<![\w)\]])\[([A-Z][A-Z0-9]{2,})\]")
"""How a text names a source [-]: its key in square brackets, `[SHI]`."""
_BIBTEX = {"standard": "techreport", "report": "techreport", "page": "misc", "software": "misc"}


@dataclass(frozen=True)
class Reference:
    """One source and what was seen of it.

    key: its name in texts, such as "SHI".
    kind: book, article, standard, report, page or software.
    authors: names, parted by semicolons; "authors not seen" where nobody could be found.
    year: empty where it was not seen.
    title, container, edition, pages, doi: as far as known; container is the journal, the publisher or the
        series.
    seen: what of it somebody of this project had before their eyes.
    """

    key: str
    kind: str
    authors: str
    year: str
    title: str
    container: str
    edition: str
    pages: str
    doi: str
    seen: str

    @property
    def short(self):
        """Surnames and year, as a sentence names it: "Hanna and others 2010"."""
        names = [name.split(",")[0].removeprefix("and ") for name in self.authors.split("; ")]
        if self.kind == "standard":
            first = self.title.split(",")[0]
            return first if first.endswith(self.year[2:]) else f"{first}, {self.year}"
        if names[0] == "authors not seen":
            return self.title
        who = " and ".join(names if len(names) < 3 else (names[0], "others"))
        return f"{who} {self.year}".strip()

    @property
    def printed(self):
        """The whole reference in one line, ending in what was seen."""
        edition = self.edition + " ed." if re.fullmatch(r"\d+\w\w", self.edition) else self.edition
        year = self.year or "year not seen"
        parts = (
            f"{self.authors} ({year})",
            self.title,
            self.container,
            edition,
            self.pages,
            self.doi and f"doi {self.doi}",
        )
        return f"{'. '.join(part.rstrip('.') for part in parts if part)}. Seen: {spelled(self.seen)}."

    @property
    def bibtex(self):
        """The entry in BibTeX."""
        kind = _BIBTEX.get(self.kind, self.kind)
        home = {"book": "publisher", "article": "journal", "techreport": "institution"}.get(
            kind, "howpublished"
        )
        known = "" if self.authors == "authors not seen" else " and ".join(self.authors.split("; "))
        values = {
            "author": known.replace("and others", "others").replace("and and", "and"),
            "title": "{" + self.title + "}",
            home: self.container,
            "year": self.year,
            "edition": self.edition,
            "pages": self.pages.replace("-", "--") if kind == "article" else "",
            "doi": self.doi,
            "note": "; ".join(
                part for part in ("" if kind == "article" else self.pages, f"seen: {self.seen}") if part
            ),
        }
        body = "".join(f"  {name} = {{{value}}},\n" for name, value in values.items() if value)
        return f"@{kind}{{{self.key},\n{body}}}"


@cache
def shipped_rows(name) -> tuple[dict, ...]:
    """Rows of a list that comes with the project: the bibliography, the ledger of outside checks, the words.

    name: name of its file in `data` without the ending.
    Result: one for each row, by the names of the columns.
    """
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@cache
def bibliography() -> dict[str, Reference]:
    """Every source by its key.

    Result: in the order of the file, which is that of the keys.
    """
    return {row["key"]: Reference(**row) for row in shipped_rows("bibliography")}


def reference(key) -> Reference:
    """One source."""
    known = bibliography()
    if key not in known:
        raise ValueError(f"No source has the key {key!r}. There are: {', '.join(known)}.")
    return known[key]


def spelled(text):
    """A text with the names of its sources in place of their keys.

    text: such as "[HAN], abstract".
    Result: such as "Hanna and others 2010, abstract".
    """
    return KEY.sub(lambda match: reference(match[1]).short, text)


def cite(*keys: str) -> str:
    """Sources as BibTeX, for a paper that uses a figure of this project.

    keys: keys of sources, such as "SHI", "HAN"; all of the bibliography if there is none.
    Result: BibTeX entries, in the order asked for.
    Raises ValueError if no source has a key; the sentence lists those there are.
    """
    return "\n\n".join(reference(key).bibtex for key in keys or bibliography())
