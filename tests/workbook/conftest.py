"""What tests of the lessons share."""

import pytest
from matplotlib.figure import Figure


class Unrendered:
    """Stands in for the canvas where only words matter: makes and moves the artists, renders nothing."""

    screen_size = (768, 403)

    def __init__(self, drawing, size):
        self._drawing, self._size = drawing, size
        self.renew()

    def renew(self):
        self._moving = self._drawing.setup(Figure(figsize=self._size))

    def show(self, result):
        self._drawing.update(result)

    def png(self):
        return b""


@pytest.fixture
def unrendered(monkeypatch):
    """Panels made in this test render nothing; a panel that other tests share must not be made in it."""
    monkeypatch.setattr("downforce.workbook.panel.Canvas", Unrendered)


@pytest.fixture(scope="module")
def all_unrendered():
    """As `unrendered`, for a whole module that asks for words only."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("downforce.workbook.panel.Canvas", Unrendered)
        yield
