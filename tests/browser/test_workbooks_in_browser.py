"""Each workbook in a real JupyterLab under a real Chromium: opened, run, every slider moved by keyboard.

A picture of each panel is saved in the folder that the variable DOWNFORCE_SHOTS names, if it is set.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import lab
import nbformat
import pytest
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

REPOSITORY = lab.REPOSITORY
WORKBOOKS = sorted((REPOSITORY / "notebooks").glob("[0-9]*.ipynb"))
# Workbooks that have no panel would be opened and run, and then nothing would be tried.
BALL, LOST = "90_ball.ipynb", "91_lost.ipynb"


def _missing() -> str:
    if lab.chromium_path() is None:
        return "no Chromium on this machine; on Debian: apt-get install chromium"
    try:
        import playwright  # noqa: F401
    except ImportError:
        return "playwright is not installed; pip install -r tests/requirements.txt"
    return ""


@pytest.fixture(scope="module")
def notebook_page(tmp_path_factory):
    """A function that opens a notebook in one page of one browser on one server, for all tests."""
    missing = _missing()
    if missing and os.environ.get("CI"):
        pytest.fail(f"the browser tests must run here, but there is {missing}")
    if missing:
        pytest.skip(missing)
    folder = tmp_path_factory.mktemp("lab")
    notebooks = lab.copy_workbooks(folder)
    _write_ball(notebooks)
    with lab.jupyter_server(folder) as address, lab.browser() as chromium:
        opened = []

        def open_page(name):
            path = f"notebooks/{name}"
            if opened:
                opened[0].turn_to(path)
            else:
                opened.append(lab.OpenNotebook(chromium, address, path))
            return opened[0]

        yield open_page


def _write_ball(folder: Path) -> None:
    shutil.copy(REPOSITORY / "tests" / "workbook" / "thrown_ball.py", folder)
    cells = [
        new_markdown_cell("# A thrown ball"),
        new_code_cell("from thrown_ball import ball_panel, endless_work, slow_panel"),
        new_code_cell("ball_panel()"),
        new_code_cell("slow_panel()"),
        new_code_cell("endless_work()"),
    ]
    for name, some in ((BALL, cells), (LOST, cells[:3])):
        nbformat.write(new_notebook(cells=some, metadata={"kernelspec": lab.KERNEL}), folder / name)


def _shoot(panel, name: str) -> None:
    folder = os.environ.get("DOWNFORCE_SHOTS")
    if folder:
        Path(folder).mkdir(parents=True, exist_ok=True)
        panel.root.screenshot(path=Path(folder) / f"{name}.png")


@pytest.mark.parametrize("name", [path.name for path in WORKBOOKS])
def test_workbook_runs_and_every_slider_answers_the_keyboard(notebook_page, name):
    page = notebook_page(name)
    page.run_all()
    assert page.cell_errors() == []
    panels = page.panels()
    stored = (REPOSITORY / "notebooks" / name).read_text(encoding="utf-8").count("downforce-panel-still")
    assert len(panels) == stored, "every panel stored in the workbook must come to life"
    _look_at_boxes(page, panels, name)
    for part in (panel.root for panel in panels):
        assert lab.nameless(part) == [] and lab.faint(part) == []
    for place, panel in enumerate(panels, start=1):
        _shoot(panel, f"{Path(name).stem}-panel-{place}")
        for slider in panel.sliders():
            where = f"{name}, panel {place}, {slider.get_attribute('aria-label')}"
            assert slider.get_attribute("aria-label"), f"{where}: the handle has no name"
            _move(panel, slider, where)
        _choose(panel, f"{name}, panel {place}")
        _shoot(panel, f"{Path(name).stem}-panel-{place}-moved")
    assert page.cell_errors() == []
    assert page.complaints == []


def _look_at_boxes(page, panels, name: str) -> None:
    """All panels of a workbook, as they stand in the windows of a laptop and of a telephone."""
    for width, height in ((390, 844), (1024, 768), (1366, 768)):
        page.resize(width, height)
        for place, boxes in enumerate((panel.boxes() for panel in panels), start=1):
            where = f"{name}, panel {place}, at {width} x {height}: {boxes}"
            assert min(boxes["tracks"], default=100) >= 100, f"{where}: a slider has no track"
            if width > 1000:
                assert boxes["height"] <= boxes["window"], f"{where}: slider, picture and sentence scroll"
            # The forms of "your drill" are narrower than the page.
            assert boxes["above"] or (width > 1000 and boxes["beside"]), where
            assert width < 1366 or boxes["beside"] or "your_drill" in name, where
            for said, read, label in zip(boxes["said"], boxes["read"], boxes["labels"], strict=True):
                unit = label.rpartition(" (")[2].removesuffix(")") if label.endswith(")") else ""
                assert said == f"{read.strip()} {unit}".strip(), where


def _move(panel, slider, where: str) -> None:
    """One step by the arrow key, inward from an end, must change the picture or the sentence."""
    at_end = slider.get_attribute("aria-valuenow") == slider.get_attribute("aria-valuemax")
    try:
        panel.press(slider, "ArrowLeft" if at_end else "ArrowRight")
    except lab.timeout_error() as problem:
        raise AssertionError(f"{where}: neither picture nor sentence changed") from problem
    assert panel.state() == "ready", f"{where}: {panel.sentence()}"


def _choose(panel, where: str) -> None:
    """Another option of each list, and each tick box turned over, must change picture or sentence."""
    for control in panel.root.locator(".widget-dropdown, .widget-checkbox").all():
        before = panel.shown()
        label = " ".join(control.locator("label").all_text_contents()).strip()
        if control.locator("select").count():
            options = control.locator("option").all_text_contents()
            chosen = control.locator("select").evaluate("(list) => list.selectedIndex")
            control.locator("select").select_option(index=(chosen + 1) % len(options))
        else:
            control.locator("input").click()
        try:
            panel.wait_for_change(before)
        except lab.timeout_error() as problem:
            raise AssertionError(f"{where}, {label}: neither picture nor sentence changed") from problem
        assert panel.state() == "ready", f"{where}, {label}: {panel.sentence()}"


@pytest.fixture(scope="module")
def ball(notebook_page):
    """The thrown ball, run, with its plain and its slow panel."""
    page = notebook_page(BALL)
    page.run_all()
    yield page
    assert page.cell_errors() == []
    assert page.complaints == []


def test_every_key_moves_a_slider(ball):
    panel = ball.panels()[0]
    speed = panel.sliders()[0]
    seen = []
    for key in ("ArrowRight", "ArrowUp", "PageDown", "End"):
        panel.press(speed, key)
        seen.append(float(speed.get_attribute("aria-valuenow")))
    assert seen == [15.5, 16, 13.5, 20]
    assert "40.8 m" in panel.sentence().replace("\N{NO-BREAK SPACE}", " ")


def test_the_shown_picture_has_the_sentence_in_its_alternative_text_and_is_announced(ball):
    panel = ball.panels()[0]
    panel.press(panel.sliders()[0], "ArrowLeft")
    reach = panel.sentence().replace("\N{NO-BREAK SPACE}", " ").split()[3]
    picture = panel.root.locator("img.downforce-picture")
    assert f"{float(reach):.1f} m" in picture.get_attribute("alt")
    assert picture.evaluate("(image) => image.complete && image.naturalWidth") == 1152
    assert panel.root.locator("[aria-live=polite]").text_content() == panel.sentence()


def test_a_panel_is_not_at_rest_while_its_sentence_belongs_to_another_picture(ball):
    panel = ball.panels()[0]
    sentence = panel.root.locator(".downforce-sentence")
    turn = sentence.get_attribute("data-turn")
    sentence.evaluate("(words) => { words.dataset.turn = 'of an earlier picture'; }")
    assert not panel.at_rest()
    sentence.evaluate("(words, turn) => { words.dataset.turn = turn; }", turn)
    assert panel.at_rest()


def test_an_error_is_seen_and_reset_brings_the_picture_back(ball):
    panel = ball.panels()[0]
    panel.press(panel.sliders()[0], "Home")
    assert panel.state() == "error"
    assert "the ball is not thrown" in panel.sentence()
    assert panel.root.locator("img").count() == 0
    before = panel.shown()
    panel.root.get_by_role("button", name="Reset").click()
    panel.wait_for_change(before)
    assert panel.state() == "ready"
    assert [slider.get_attribute("aria-valuenow") for slider in panel.sliders()] == ["15.0", "45.0"]


def test_a_number_may_be_typed(ball):
    panel = ball.panels()[0]
    before = panel.shown()
    readout = panel.root.get_by_role("textbox", name="Speed (m/s), type a number")
    readout.fill("12")
    readout.press("Enter")
    panel.wait_for_change(before)
    assert panel.sliders()[0].get_attribute("aria-valuenow") == "12.0"


def test_letters_typed_on_a_slider_do_not_reach_the_notebook(ball):
    panel = ball.panels()[0]
    cells = ball.page.locator(".jp-Cell").count()
    panel.sliders()[0].focus()
    for letter in "ddx":
        ball.page.keyboard.press(letter)
    # The next move is answered after the letters, so by then they have done what they do.
    panel.press(panel.sliders()[0], "ArrowRight")
    assert ball.page.locator(".jp-Cell").count() == cells


def test_a_slow_panel_says_so_and_ends_with_the_last_value(ball):
    panel = ball.panels()[1]
    angle = panel.sliders()[1]
    before = panel.shown()
    angle.focus()
    for _ in range(4):
        angle.press("ArrowRight")
    panel.root.locator(".downforce-sentence[data-state=busy]").wait_for()
    panel.wait_for_change(before)
    ball.wait_idle()
    # 15 m/s at 65 degrees: 15^2 sin(130 deg) / 9.81 = 17.57 m, by hand.
    ball.page.wait_for_function(
        "(panel) => panel.querySelector('.downforce-sentence').textContent.includes('17.6')",
        arg=panel.root.element_handle(),
    )


def test_long_work_shows_how_far_it_is_and_stops_when_asked(ball):
    assert ball.page.locator("progress").get_attribute("value") == "25"
    ball.page.get_by_role("button", name="Stop").click()
    ball.page.get_by_text("The ball is caught.").wait_for()
    ball.page.locator("progress").wait_for(state="hidden")


def test_a_slider_moved_after_its_kernel_has_ended_says_so(notebook_page):
    page = notebook_page(LOST)
    page.run_all()
    (panel,) = page.panels()
    late = panel.root.get_by_role("status")
    assert late.text_content() == ""
    page.page.evaluate("() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()")
    panel.root.locator(".jupyter-widgets-disconnected").first.wait_for()
    sentence = panel.sentence()
    panel.sliders()[0].press("ArrowRight")
    late.filter(has_text="The kernel that moved this picture has ended.").wait_for()
    assert "run this workbook again from the top" in late.text_content()
    assert panel.sentence() == sentence


def test_a_panel_that_gets_no_answer_says_so_until_it_has_one(notebook_page):
    page = notebook_page(LOST)
    page.run_all()
    (panel,) = page.panels()
    late = panel.root.get_by_role("status")
    # The page keeps what it would send, as it does while the way to the kernel is cut.
    page.page.evaluate(
        """() => {
            window.kept = [];
            window.send = WebSocket.prototype.send;
            WebSocket.prototype.send = function (data) { window.kept.push([this, data]); };
        }"""
    )
    panel.sliders()[0].press("ArrowRight")
    late.filter(has_text="No answer yet").wait_for(timeout=15_000)
    page.page.evaluate(
        """() => {
            WebSocket.prototype.send = window.send;
            window.kept.forEach(([socket, data]) => socket.send(data));
        }"""
    )
    late.filter(has_not_text="No answer yet").wait_for(state="attached")
    assert panel.root.locator(".downforce-sentence").get_attribute("data-state") == "ready"
