"""The invented drills, fields and reference tables that come with the project."""

from functools import cache
from pathlib import Path

from downforce.machine.reader import read_drill, read_field

DATA = Path(__file__).resolve().parents[3] / "data"
"""Folder of everything shipped [-]."""


def shipped_drills():
    """Drill files that come with the project.

    Returns
    -------
    list of (str, Path) [-]
        Key and file, in the order of their names.
    """
    return _files("drills")


def shipped_fields():
    """Field files that come with the project.

    Returns
    -------
    list of (str, Path) [-]
        Key and file, in the order of their names.
    """
    return _files("fields")


def example_drill(key):
    """One of the shipped drills.

    Parameters
    ----------
    key : str [-]
        Name of its file without the ending, such as "air_drill_12m".

    Returns
    -------
    Drill [-]
        The model.

    Raises
    ------
    ValueError
        If there is no such drill; the sentence lists those there are.
    """
    return read_drill(_chosen(key, shipped_drills(), "drill"))


def example_field(key):
    """One of the shipped fields.

    Parameters
    ----------
    key : str [-]
        Name of its file without the ending, such as "firm".

    Returns
    -------
    Field [-]
        The model.

    Raises
    ------
    ValueError
        If there is no such field; the sentence lists those there are.
    """
    return read_field(_chosen(key, shipped_fields(), "field"))


def table_path(name):
    """File of a reference table.

    Parameters
    ----------
    name : str [-]
        Name of its file without the ending, such as "cylinder_sizes".

    Returns
    -------
    Path [-]
        The CSV file.

    Raises
    ------
    ValueError
        If there is no such table; the sentence lists those there are.
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
