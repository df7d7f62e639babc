"""Buttons for files that a workbook writes beside itself: when pressed, and never over an older one."""

from ipywidgets import Button, HBox, Layout, VBox

from downforce.workbook.bench import Page
from downforce.workbook.long_work import LongWork


class WriteButtons:
    """Buttons that write files when they are pressed, and not before."""

    plain = (
        "Nothing is written until you press a button. Files stand in this workbook's folder, and none takes "
        "the place of another."
    )

    def __init__(self, files):
        self.work = LongWork(self.plain)
        self.buttons = {}
        for words, write in files:
            button = Button(description=words, tooltip=f"Write: {words}", layout=Layout(width="auto"))
            button.on_click(lambda _button, write=write: self._write(write))
            self.buttons[words] = button
        row = HBox([*self.buttons.values()], layout=Layout(flex_flow="row wrap"))
        self.widget = VBox([row, self.work.widget])

    def _write(self, write):
        self.work.start(lambda _progress, _stop: write())

    def _repr_mimebundle_(self, include=None, exclude=None):
        return {**self.widget._repr_mimebundle_(), **Page(self.plain).still}
