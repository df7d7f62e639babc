"""Files that a workbook writes beside itself: when a button is pressed, and never over an older one."""

from html import escape
from pathlib import Path

from ipywidgets import Button, HBox, Layout, VBox

from downforce.workbook.long_work import LongWork


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


def own_models(kind):
    """The reader's own files that describe a drill or a field.

    Parameters
    ----------
    kind : str [-]
        "drill" or "field".

    Returns
    -------
    list of Path [-]
        Files of the workbook's folder that begin with `my_` and say so, in the order of their names.
    """
    return sorted(path for path in Path().glob("my_*.toml") if _describes(path, kind))


def _describes(path, kind):
    try:
        return f'describes = "{kind}"' in path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return False


class WriteButtons:
    """Buttons that write files when they are pressed, and not before.

    Parameters
    ----------
    files : sequence of (str, callable) [-]
        Words of each button, and what writes and returns a sentence.
    """

    plain = (
        "Nothing is written until you press a button. Files stand in this workbook's folder, and none takes "
        "the place of another."
    )

    def __init__(self, files):
        self.work = LongWork(f"<p>{self.plain}</p>")
        self.buttons = {}
        for words, write in files:
            button = Button(description=words, tooltip=f"Write: {words}", layout=Layout(width="auto"))
            button.on_click(lambda _button, write=write: self._write(write))
            self.buttons[words] = button
        row = HBox([*self.buttons.values()], layout=Layout(flex_flow="row wrap"))
        self.widget = VBox([row, self.work.widget])

    def _write(self, write):
        self.work.start(lambda _progress, _stop: f"<p>{escape(write())}</p>")

    def _repr_mimebundle_(self, include=None, exclude=None):
        still = {"text/html": f"<p>{escape(self.plain)}</p>", "text/plain": self.plain}
        return {**self.widget._repr_mimebundle_(), **still}
