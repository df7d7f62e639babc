"""Installed as a wheel, far from the checkout: tables, drills, fields and workbooks are there."""

import importlib.util
import os
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

import downforce
from downforce import __main__ as command
from downforce.workbook.series import shipped_series, workbook

ROOT = Path(__file__).parents[2]
LIB = ROOT / "lib"


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """A folder that holds what a wheel unpacks to."""
    pytest.importorskip("hatchling", reason="hatchling builds the wheel; tests/requirements.txt brings it")
    folder = tmp_path_factory.mktemp("wheel")
    before = sorted(path.name for path in LIB.iterdir())
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(build, cwd=LIB, capture_output=True, check=True)
    left = {path.name for path in LIB.iterdir()} - {*before, "__pycache__"}
    assert not left, f"building leaves {left} behind"
    with zipfile.ZipFile(next(folder.glob("*.whl"))) as wheel:
        wheel.extractall(folder / "site")
    return folder / "site"


def run(folder, site, *given):
    path = os.pathsep.join([str(site), os.environ.get("PYTHONPATH", "")])
    done = subprocess.run(
        [sys.executable, *given],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": path},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout


def test_the_wheel_works_in_an_empty_folder(installed, tmp_path):
    said = run(
        tmp_path,
        installed,
        "-c",
        "import downforce as dn\n"
        "drill, field = dn.read_drill('air_drill_12m'), dn.read_field('firm')\n"
        "print(dn.__file__, len(dn.shipped_drills()))\n"
        "from downforce.machine.readings import read_measured_springs\n"
        "read_measured_springs(), dn.write_card(drill, field, 'card.png')",
    )
    assert said.startswith(str(installed)) and said.split()[-1] == "3"
    assert (tmp_path / "card.png").stat().st_size > 10_000


def test_the_wheel_brings_the_workbooks(installed, tmp_path):
    assert "files written" in run(tmp_path, installed, "-m", "downforce", "mine", "--no-open")
    there = {path.name: path.read_bytes() for path in (tmp_path / "mine" / "notebooks").iterdir()}
    assert there == {book.file: book.path.read_bytes() for book in shipped_series()}
    assert [path for path in installed.rglob("*") if path.name.startswith(("my_", "."))] == []
    wanted = {found for text in there.values() for found in re.findall(rb'"\.\./(data/[^"\\]+)', text)}
    assert wanted and all((tmp_path / "mine" / found.decode()).exists() for found in wanted)


def test_nobodys_own_files_go_into_a_wheel(tmp_path):
    pytest.importorskip("hatchling", reason="hatchling builds the wheel; tests/requirements.txt brings it")
    spec = importlib.util.spec_from_file_location("shipped_files", LIB / "shipped_files.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    for name in ("data/drills/a.toml", "data/my_field.toml", "data/pictures/p.png", "notebooks/my_own.ipynb"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    (tmp_path / "notebooks" / ".ipynb_checkpoints").mkdir()
    (tmp_path / "notebooks" / ".ipynb_checkpoints" / "b.ipynb").touch()
    assert [path.as_posix() for path in module.shipped_files(tmp_path)] == ["data/drills/a.toml"]


def test_a_changed_workbook_is_never_written_over(tmp_path, capsys):
    assert command.main([str(tmp_path / "w"), "--no-open"]) == 0
    changed = tmp_path / "w" / "notebooks" / workbook("soil_load").file
    changed.write_text("mine", encoding="utf-8")
    lost = tmp_path / "w" / "notebooks" / workbook("setup_card").file
    lost.unlink()
    capsys.readouterr()
    assert command.main([str(tmp_path / "w"), "--no-open"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("1 files written") and f"Left as you have them: {changed.name}." in said
    assert changed.read_text(encoding="utf-8") == "mine" and lost.exists()


def test_a_folder_that_cannot_be_is_said_in_a_sentence(tmp_path, capsys):
    (tmp_path / "file").touch()
    assert command.main([str(tmp_path / "file"), "--no-open"]) == 1
    assert re.match(r"Nothing can be written to .*file: .*\. Name another folder\.", capsys.readouterr().out)


def test_the_first_workbook_is_opened_or_what_is_missing_is_said(tmp_path, capsys, monkeypatch):
    asked = []
    monkeypatch.setattr(command.subprocess, "call", lambda given: asked.append(given) or 0)
    monkeypatch.chdir(tmp_path)
    assert command.main([]) == 0
    opened = Path(asked[0][-1])
    assert asked[0][1:3] == ["-m", "jupyterlab"] and opened.exists()
    assert opened.name == shipped_series()[0].file
    monkeypatch.setattr(command, "find_spec", lambda name: None)
    assert command.main([]) == 1 and len(asked) == 1
    assert 'pip install "downforce[workbook]"' in capsys.readouterr().out


def test_how_to_cite_names_this_version():
    text = (LIB / "CITATION.cff").read_text(encoding="utf-8")
    assert f"version: {downforce.__version__}\n" in text
    assert f'version = "{downforce.__version__}"' in (LIB / "pyproject.toml").read_text(encoding="utf-8")
    assert "(lib/CITATION.cff)" in (ROOT / "README.md").read_text(encoding="utf-8")
