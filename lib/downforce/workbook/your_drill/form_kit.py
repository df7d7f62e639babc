"""Small parts of the form: names of files, buttons, warnings."""

from html import escape
from pathlib import Path

from ipywidgets import Button, Layout

from downforce.machine.reading.toml_lines import path_text
from downforce.workbook.style import WARNING

LABEL = "140px"
"""Room for the words beside a control, as CSS writes a length [-]."""


def marked(question):
    """Key path whose mark says whether the answer is assumed."""
    return {"rows": ("sections", 0, "openers"), "gap": ("rank_x", 1)}.get(question.along, question.path)


def short(question):
    """What a question is called in the list."""
    return path_text(question.path) if question.page == "all" else question.ask


def free_name(path):
    """The name itself, or one beside it that no file has."""
    path, number = Path(path), 1
    free = path
    while free.exists():
        number += 1
        free = path.with_name(f"{path.stem}_{number}{path.suffix}")
    return str(free)


def button(words, tip):
    """A button as wide as its words."""
    return Button(description=words, tooltip=tip, layout=Layout(width="auto", margin="2px"))


def warning(sentences):
    """Sentences in the colour of warnings, as HTML; nothing for none."""
    if not sentences:
        return ""
    items = "".join(f'<p style="margin:2px 0">{escape(each)}</p>' for each in sentences)
    return f'<div role="status" style="color:{WARNING};line-height:1.5">{items}</div>'
