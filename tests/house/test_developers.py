"""DEVELOPERS.md is a map: every path, module and name it sends somebody to is there; README's paths too."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "lib" / "downforce"
FLOORS = ("physics", "machine", "study", "workbook")
TESTS = ROOT / "tests"
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")
SOURCES = {
    path.relative_to(PACKAGE).with_suffix("").as_posix(): path.read_text(encoding="utf-8")
    for path in PACKAGE.rglob("*.py")
}
FILE = r"\.(?:py|csv|toml|html)\b"
NOT_OURS = "metadata.widgets"


def quoted(text):
    """What stands between back quotes, placeholders as in `<topic>` left out."""
    return [word for word in re.findall(r"`([^`]+)`", text) if "<" not in word and word != NOT_OURS]


def is_there(path, *folders):
    places = [folder / (path.rstrip("/") + end) for folder in folders for end in ("", ".py")]
    return any(place.exists() for place in places)


def lost_paths(text):
    """Paths from the top, `lib` or the package that lead nowhere, and names of files that no test has."""
    shown = "\n".join(quoted(text))
    paths = re.findall(r"(?<![\w./-])(?!\d)[\w.]+(?:/[\w.]+)*/[\w.]*(?<!\.)", shown)
    lost = [path for path in paths if not is_there(path, ROOT, ROOT / "lib", PACKAGE)]
    files = re.findall(rf"(?<![\w./<>-])(?!my_)\w+{FILE}", shown)
    return lost + [file for file in files if not any(TESTS.rglob(file))]


def lost_names(text):
    """`module.name` of which there is no such module, or nothing of that name in it."""
    lost = []
    for word in quoted(text):
        found = re.fullmatch(r"((?:[a-z_]\w*\.)+)(\w+)(?:\(.*)?", word)
        if not found or re.search(FILE, word):
            continue
        module = f"/{found[1].rstrip('.').replace('.', '/')}"
        sources = [source for name, source in SOURCES.items() if f"/downforce/{name}".endswith(module)]
        if not any(re.search(rf"\b{found[2]}\b", source) for source in sources):
            lost.append(word)
    return lost


def columns(text):
    """Cells of tables whose heading names a folder: the folder, and what the cell quotes."""
    folders = []
    for line in text.splitlines():
        cells = line.split("|")
        if not line.startswith("|"):
            folders = []
        elif not folders:
            folders = [next(iter(quoted(cell)), "") for cell in cells]
        else:
            for folder, cell in zip(folders, cells, strict=True):
                yield from ((folder, word) for word in quoted(cell) if folder.endswith("/"))


def lost_cells(text):
    return [
        folder + word
        for folder, word in columns(text)
        if not is_there(word, PACKAGE if word.split("/")[0] in FLOORS else PACKAGE / folder)
    ]


def prose(text):
    return "\n".join(line for line in text.splitlines() if not line.startswith("|"))


def test_every_path_named_is_there():
    assert not lost_paths(prose(PAGE)) + lost_cells(PAGE) + lost_paths(prose(README))


def test_every_name_in_a_module_is_there():
    assert not lost_names(PAGE)


@pytest.mark.parametrize(
    ("find", "text"),
    [
        (lost_paths, "See `physics/balances.py` for it."),
        (lost_paths, "Run `python tests/no_such.py 40`."),
        (lost_paths, "It is timed by `bench_no_such.py`."),
        (lost_paths, "Their folder is `machine/measured/`."),
        (lost_names, "Asked by `frame_lift.pressure_with_headrooms` alone."),
        (lost_names, "Asked by `no_such.recommend(drill)` alone."),
        (lost_cells, "| topic | in `study/` |\n|---|---|\n| oil | `oil/no_such` |"),
        (lost_cells, "| topic | in `study/` |\n|---|---|\n| balance | `balance` |"),
        (lost_cells, "| topic | in `study/` |\n|---|---|\n| tape | `machine/no_such` |"),
    ],
)
def test_what_leads_nowhere_is_found(find, text):
    assert find(text)


def test_it_has_three_parts_and_lines_of_a_page():
    assert [line[3:5] for line in PAGE.splitlines() if line.startswith("## ")] == ["1.", "2.", "3."]
    assert not [line for line in PAGE.splitlines() if len(line) > 150]
