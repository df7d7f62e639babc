"""The README keeps its promises: the job first, the commands, the map, the picture, the links."""

import re
from pathlib import Path

import nbformat
import pytest
from PIL import Image

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
WORKBOOKS = sorted((ROOT / "notebooks").glob("[0-9]*.ipynb"))


def test_nothing_else_stands_at_the_top():
    visible = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert visible == {"README.md", "DEVELOPERS.md", "requirements.txt", "notebooks", "lib", "data", "tests"}


def test_it_opens_with_the_job_in_one_paragraph():
    first = README.split("\n\n")[1]
    assert first.startswith("A shop refits no-till grain drills") and first.rstrip().endswith("for the cab.")


LINUX, WINDOWS = ("python3", ".venv/bin/", "/"), ("py", ".venv\\Scripts\\", "\\")


@pytest.mark.parametrize(("python", "tools", "slash"), [LINUX, WINDOWS], ids=["linux", "windows"])
def test_the_commands_stand_there(python, tools, slash):
    start = f"    {python} -m venv .venv && {tools}pip install -r "
    opens = f"requirements.txt && {tools}jupyter lab notebooks{slash}00_start_here.ipynb\n"
    tests = f"tests{slash}requirements.txt && {tools}python -m pytest\n"
    assert start + opens in README
    assert start + tests in README


def test_ci_runs_the_command_of_the_readme():
    text = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    for part in ("python3 -m venv .venv", ".venv/bin/pip install", "-r tests/requirements.txt", "-m pytest"):
        assert part in text


def test_every_workbook_is_on_the_map_with_the_minutes_it_says_itself():
    wrong = []
    for path in WORKBOOKS:
        row = next((line for line in README.splitlines() if f"(notebooks/{path.name})" in line), "")
        if not row:
            wrong.append(f"{path.name} is not on the map")
            continue
        minutes = row.split("|")[2].strip()
        words = {"10": "Ten minutes"}.get(minutes, f"{minutes} minutes")
        if not re.search(words, nbformat.read(path, as_version=4).cells[0].source, re.I):
            wrong.append(f"{path.name} does not say {words}")
    assert not wrong, "\n".join(wrong)


def test_every_link_leads_somewhere():
    targets = re.findall(r"\]\(([^)\s]+)\)", README)
    assert not [target for target in targets if not (ROOT / target).exists()]


def test_the_picture_is_one():
    assert Image.open(ROOT / "data" / "pictures" / "first_look.png").size == (1152, 604)


def test_requirements_are_pinned_and_end_in_the_library():
    lines = (ROOT / "requirements.txt").read_text(encoding="utf-8").split()
    pins = [line for line in lines if "==" in line]
    assert lines[-2:] == ["-e", "./lib"]
    for package in ("jupyterlab", "numpy", "pandas", "matplotlib", "ipywidgets", "nbval", "scipy"):
        assert any(pin.startswith(f"{package}==") for pin in pins), package
