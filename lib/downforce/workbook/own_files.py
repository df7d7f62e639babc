"""Files that a workbook writes beside itself: never over an older one."""

from pathlib import Path


def written_beside(name, content, folder="."):
    """Write a file under its name, or with a number behind it where another file has that name.

    Parameters
    ----------
    name : str [-]
        Such as "my_card.pdf".
    content : bytes [-]
        What it holds.
    folder : str or path [-]
        Where to write.

    Returns
    -------
    Path [-]
        The file; this very file may be there from an earlier run, then there is nothing to write.

    Raises
    ------
    ValueError
        If the folder is not there.
    """
    folder, wanted = Path(folder), Path(name)
    if not folder.is_dir():
        raise ValueError(f"There is no folder {str(folder)!r} to write {name} in. Make it first.")
    number, path = 1, folder / name
    while path.exists() and path.read_bytes() != content:
        number += 1
        path = folder / f"{wanted.stem}_{number}{wanted.suffix}"
    if not path.exists():
        with path.open("xb") as file:
            file.write(content)
    return path
