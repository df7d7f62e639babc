"""Small parts of the form: names of files, buttons, warnings."""

from ipywidgets import Button, Layout

from downforce.machine.reading.toml_lines import path_text
from downforce.workbook.markup import element, join
from downforce.workbook.style import WARNING

LABEL = "140px"
"""Room for the words beside a control, as CSS writes a length [-]."""


def marked(question):
    """Key path whose mark says whether the answer is assumed."""
    return {"rows": ("sections", 0, "openers"), "gap": ("rank_x", 1)}.get(question.along, question.path)


def short(question):
    """What a question is called in the list."""
    return path_text(question.path) if question.page == "all" else question.ask


def button(words, tip):
    """A button as wide as its words."""
    return Button(description=words, tooltip=tip, layout=Layout(width="auto", margin="2px"))


def warning(sentences):
    """Sentences in the colour of warnings, as HTML; nothing for none."""
    if not sentences:
        return join()
    items = (element("p", each, style="margin:2px 0") for each in sentences)
    return element("div", *items, role="status", style=f"color:{WARNING};line-height:1.5")
