"""Reference tables: sizes, wires, oils, soils. Each row says where it comes from and how sure it is."""

import csv

from downforce.machine.shipped import table_path

NEEDED = ("source", "sure")
"""Every row says something in a column whose name ends in each of these words [-]."""


def read_table(name):
    """One reference table.

    Parameters
    ----------
    name : str [-]
        Name of its file without the ending, such as "cylinder_sizes".

    Returns
    -------
    DataFrame [units in the column names]
        The table, with a source and a sureness in every row.

    Raises
    ------
    ValueError
        If there is no such table, or a row lacks its source or its sureness.
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

    Parameters
    ----------
    name : str [-]
        As `read_table`, which also says what a table lacks.

    Returns
    -------
    list of dict of str [units in the column names]
        Cells by column, as the file has them.
    """
    lines = table_path(name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
