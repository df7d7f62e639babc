"""The one bibliography: every source by a key, printed from `data/bibliography.csv` and from nowhere else."""

import csv
import re
from dataclasses import dataclass
from functools import cache

from downforce.machine.shipped import DATA

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
