"""Drill and field files: read whole into a frozen model, or refused with every problem at once."""

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.files import MOST_TOLD, NoText, file_text, first_told, shown, size_words
from downforce.machine.reading.model_reader import UNREAD, ModelReader, as_path, close_word
from downforce.machine.reading.toml_lines import read_lines

MOST_BYTES = 64_000
"""Size of the largest drill or field file; shipped ones have 5 000 [byte]. Our own limit."""
MOST_NAMED = 10
"""Files of a folder that are named where one is missed [-]."""


class FileProblem(Exception):
    """A file that cannot be used, with everything there is to put right.

    name: name of the file.
    problems: one sentence for each problem; behind the first MOST_TOLD, how many more there are.
    places: sentence to the key path it is about, so far as there is one.
    """

    def __init__(self, name: str, problems: Iterable[str], places: dict[str, str] | None = None):
        self.name = shown(name)
        self.problems = list(problems)
        self.places = places or {}
        super().__init__(_whole_text(self.name, self.problems))

    def _render_traceback_(self):
        """Notebooks ask for this in place of a traceback; a grower gets the sentences and no more."""
        return str(self).splitlines()


def read_drill(path: str | Path) -> Drill:
    """The drill a file describes.

    Result: frozen model in SI.
    Raises FileProblem with every problem of the file at once; nothing is half loaded.
    """
    path = Path(path)
    return read_text(path.name, source_text(path, "drill"), "drill")


def read_field(path: str | Path) -> Field:
    """The field a file describes.

    Result: frozen model in SI.
    Raises FileProblem with every problem of the file at once; nothing is half loaded.
    """
    path = Path(path)
    return read_text(path.name, source_text(path, "field"), "field")


def model_of(wanted):
    """Model of a "drill" or "field" file, the checks of its values, and what is asked of one that passes."""
    if wanted == "drill":
        from downforce.machine.drill import Drill
        from downforce.machine.plausible import falls
        from downforce.machine.reading.drill_checks import DRILL_CHECKS

        return Drill, DRILL_CHECKS, (falls,)
    from downforce.machine.field import Field
    from downforce.machine.plausible import crowded
    from downforce.machine.reading.checks import FIELD_CHECKS

    return Field, FIELD_CHECKS, (crowded,)


def read_text(name, text, wanted):
    """The model that the text of a file describes.

    wanted: "drill" or "field".
    """
    model, checks, last = model_of(wanted)
    reading = read_lines(text)
    _refuse_other_file(name, text, reading, wanted)
    reader = ModelReader(reading, model)
    whole = reader.read()
    for check in checks:
        for place, sentence in check(reader.values):
            reading.note(reading.line(place), place, sentence)
    for check in () if reading.problems else last:
        for place, sentence in check(whole):
            place = as_path(place)
            reading.note(reading.line(place), place, sentence)
    if reading.problems:
        ordered = sorted(reading.problems, key=lambda problem: problem.line)
        places = {problem.sentence: problem.path for problem in ordered}
        raise FileProblem(name, first_told(list(places), len(places)), places)
    if whole is UNREAD:  # pragma: no cover - every UNREAD comes with its sentence
        raise AssertionError(f"{name} could not be read and no reason was noted.")
    return replace(whole, doubts=tuple(reader.doubts))


def _whole_text(name, problems):
    if len(problems) == 1:
        return f"{name} cannot be used. {problems[0]}\nNothing has been loaded."
    listed = [f"{number:>3}. {sentence}" for number, sentence in enumerate(problems[:MOST_TOLD], 1)]
    rest = problems[MOST_TOLD:]
    first = f"These are the first {MOST_TOLD}" if rest else f"There are {len(problems)}"
    start = f"{name} cannot be used. {first} things to put right:"
    return "\n".join([start, *listed, *rest, "Nothing has been loaded."])


def source_text(path, wanted):
    """Text of a drill or field file, whatever it says; raises FileProblem where it is no text at all."""
    try:
        text = file_text(path, MOST_BYTES)
    except NoText as problem:
        raise FileProblem(path.name, [_no_text(problem, path, wanted)]) from None
    if not text.strip():
        raise FileProblem(path.name, [f"The file is empty. Copy a shipped {wanted} file and change it."])
    return text


def _no_text(problem, path, wanted):
    if problem.key == "missing":
        return _not_found(path)
    if "UTF-16" in problem.why:
        return 'The file is saved as "Unicode" (UTF-16). Save it again as UTF-8.'
    return {
        "folder": f"This is a folder. Give the {wanted} file in it, such as {path / 'my.toml'}.",
        "unnamed": "No file can have this name. Give the name of a file that ends in .toml.",
        "closed": f"The file cannot be opened ({problem.why}). Close it elsewhere, or copy it.",
        "large": f"The file has {problem.why}; a {wanted} file has no more than {size_words(MOST_BYTES)}. "
        "Is it another file?",
        "binary": f"This is not a text file. A {wanted} file is plain text that ends in .toml.",
        "encoding": f"Line {problem.why}: a character is not saved as UTF-8. "
        "Save the file again with encoding UTF-8.",
    }[problem.key]


def _not_found(path):
    folder = path.parent
    if not folder.is_dir():
        return f"There is no folder {folder}."
    names = sorted(found.name for found in folder.glob("*.toml"))
    meant = close_word(path.name, names)
    guess = f" Did you mean {meant}?" if meant else ""
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    there = (
        f" TOML files there: {', '.join(names[:MOST_NAMED])}{more}."
        if names
        else " There is no TOML file in it."
    )
    return f"There is no such file in the folder {folder.resolve()}.{there}{guess}"


def _refuse_other_file(name, text, reading, wanted):
    """One sentence for a file of another kind, instead of a complaint about each of its lines."""
    described = reading.tree.get("describes")
    other = {"drill": "field", "field": "drill"}[wanted]
    if described == other:
        raise FileProblem(name, [f"This file describes a {other}, and a {wanted} file is wanted here."])
    if described is not None or ("describes",) in reading.lost:
        return
    if text.lstrip()[0] in "{<":
        raise FileProblem(name, [f"This is not a {wanted} file; it looks like a notebook or a web page."])
    if len(reading.tree) == 0:
        raise FileProblem(
            name, [f'This is not a {wanted} file: no line says describes = "{wanted}". Is it a table (CSV)?']
        )
