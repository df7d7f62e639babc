"""Reference tables: sizes, wires, oils, soils. Each row says where it comes from and how sure it is."""

import csv

from downforce.machine.shipped import table_path

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
