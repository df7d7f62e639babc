"""The invented drills, fields and reference tables that come with the project."""

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
