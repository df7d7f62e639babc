"""Stored workbooks: executed, stripped, the same bytes each time, and really compared."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import nbformat
import pytest
import thrown_ball
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

import refresh

HERE = Path(__file__).parent
CONFIGURATION = HERE.parents[1] / "tests" / "nbval_sanitize.cfg"


def _write(folder, *sources):
    shutil.copy(HERE / "thrown_ball.py", folder)
    cells = [new_markdown_cell("# A ball"), *(new_code_cell(source) for source in sources)]
    path = folder / "90_ball.ipynb"
    nbformat.write(new_notebook(cells=cells, metadata={"widgets": {"state": 1}}), path)
    return path


@pytest.fixture(scope="module")
def stored(tmp_path_factory):
    """A refreshed notebook with text in two pieces and a panel."""
    path = _write(
        tmp_path_factory.mktemp("notebooks"),
        "from thrown_ball import ball_panel\nprint('Rea', flush=True)\nprint('dy.')",
        "ball_panel()",
    )
    assert refresh.refresh(path, check=False) is True
    return path


def test_a_second_run_changes_no_byte(stored):
    before = stored.read_bytes()
    assert refresh.refresh(stored, check=False) is False
    assert stored.read_bytes() == before


def test_check_tells_a_change_and_writes_nothing(stored, tmp_path, capsys):
    path = tmp_path / stored.name
    shutil.copy(HERE / "thrown_ball.py", tmp_path)
    path.write_text(stored.read_text(encoding="utf-8").replace("22.9", "32.9"), encoding="utf-8")
    before = path.read_bytes()
    assert refresh.main(["--check", str(path)]) == 1
    assert "would change" in capsys.readouterr().out
    assert path.read_bytes() == before
    assert refresh.main(["--check", str(stored)]) == 0


def test_what_is_stored_is_the_still_and_no_live_view(stored):
    text = stored.read_text(encoding="utf-8")
    assert "widget" not in text and "model_id" not in text
    notebook = json.loads(text)
    assert set(notebook["metadata"]) == {"kernelspec", "language_info"}
    assert notebook["metadata"]["language_info"] == {"name": "python"}
    first, second = notebook["cells"][1:]
    assert "".join(first["outputs"][0]["text"]) == "Rea\ndy.\n" and len(first["outputs"]) == 1
    assert set(second["outputs"][0]["data"]) == {"image/png", "text/html", "text/plain"}
    assert [cell["execution_count"] for cell in (first, second)] == [1, 2]
    assert len(text) < 60_000


def test_names_of_cells_are_kept_and_come_from_words_not_from_chance():
    def names(*sources):
        notebook = new_notebook(cells=[new_code_cell(source) for source in sources])
        return [cell.id for cell in refresh.stripped(notebook).cells]

    assert names("a", "b") == names("a", "b")
    assert len(set(names("a", "a", "a"))) == 3
    kept = new_notebook(cells=[new_code_cell("a", id="cell-panel")])
    assert refresh.stripped(kept).cells[0].id == "cell-panel"


def test_tags_and_folding_are_kept_and_editor_settings_are_not():
    metadata = {
        "tags": ["setup"],
        "jupyter": {"source_hidden": True},
        "execution": {"x": "time"},
        "collapsed": True,
    }
    cell = refresh.stripped(new_notebook(cells=[new_code_cell("a", metadata=metadata)])).cells[0]
    assert cell.metadata == {"tags": ["setup"], "jupyter": {"source_hidden": True}}


def test_workbooks_are_chosen_by_the_start_of_their_name(tmp_path):
    for name in ("00_start.ipynb", "01_spring.ipynb", "my_own.ipynb"):
        (tmp_path / name).write_text("", encoding="utf-8")
    assert [path.name for path in refresh.chosen([], tmp_path)] == ["00_start.ipynb", "01_spring.ipynb"]
    for name in ("01", "spring"):
        assert [path.name for path in refresh.chosen([name], tmp_path)] == ["01_spring.ipynb"]
    with pytest.raises(SystemExit, match=r"No workbook is called 07. There are: 00_start, 01_spring"):
        refresh.chosen(["07"], tmp_path)


class HigherPath(thrown_ball.Path):
    """A path 1 % too high; its end is right, and so are the words about it."""

    def update(self, result):
        super().update(result)
        self.line.set_ydata(1.01 * self.line.get_ydata())


def _picture(**changes):
    return thrown_ball.ball_panel(**changes)._repr_mimebundle_()["image/png"]


WRONG = {
    "sentence": lambda: ("22.9\N{NO-BREAK SPACE}m away, on", "23.1\N{NO-BREAK SPACE}m away, on"),
    "alternative": lambda: ("lands at 22.9 m", "lands at 23.1 m"),
    "curve": lambda: (_picture(), _picture(drawing=HigherPath())),
    "exchanged": lambda: (_picture(), _picture(drawing=thrown_ball.PathAndReach())),
}
"""What is right and what stands in its place, by the name of the copy."""


@pytest.fixture(scope="module")
def judged(stored, tmp_path_factory):
    """What nbval says, in one run, of the stored notebook and of copies with one wrong each."""
    folder = tmp_path_factory.mktemp("judged")
    shutil.copy(HERE / "thrown_ball.py", folder)
    text = stored.read_text(encoding="utf-8")
    (folder / "right.ipynb").write_text(text, encoding="utf-8")
    for name, wrong in WRONG.items():
        right, instead = wrong()
        assert right != instead and right in text
        (folder / f"{name}.ipynb").write_text(text.replace(right, instead), encoding="utf-8")
    (folder / "pytest.ini").write_text("[pytest]\n", encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-rA", "-c", str(folder / "pytest.ini"), "--nbval"]
    command += ["--nbval-current-env", f"--nbval-sanitize-with={CONFIGURATION}", str(folder)]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", cwd=folder).stdout


def _verdicts(said, name):
    return re.findall(rf"^(PASSED|FAILED) {name}\.ipynb::", said, re.MULTILINE)


def test_nbval_passes_the_stored_run(judged):
    assert _verdicts(judged, "right") == ["PASSED", "PASSED"], judged


@pytest.mark.parametrize("name", WRONG)
def test_nbval_sees_a_wrong_number_in_words_a_curve_1_percent_off_and_another_picture(judged, name):
    assert _verdicts(judged, name) == ["PASSED", "FAILED"], judged
