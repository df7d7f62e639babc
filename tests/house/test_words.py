"""One name for one thing: names keep to the nomenclature, and no force is called a pressure."""

import inspect
import json
import re
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import get_args

from downforce.face import KINDS_OF
from downforce.machine.quantity import Quantity
from downforce.physics.kinds import Unit
from house.test_docstrings import MODELS, THINGS, TOLD, types

ROOT = Path(__file__).parents[2]
LIBRARY = ROOT / "lib" / "downforce"
OTHER_MARGINS = (
    *("physics/cylinder", "study/cylinders", "workbook/cylinders", "study/by_hand.py", "cylinder_sizing"),
    *("machine/actuators.py", "reading/checks.py", "machine/hydraulics.py", "oil/figures.py"),
    *("workbook/card", "workbook/your_drill", "workbook/card/page.py"),
)
"""Where a margin is one of a stroke, of a pump or of a page."""
OTHER_WORDS = {
    r"\b(?<!-)margins?\b(?!\s?[=:])": "what is left on the gauge wheel is the gauge-wheel load",
    r"\b(SAFE|THIN|LIFTED|HEAVY|LIGHT)\b": "a frame is down, has little in hand, or lifts",
    r"\b(in band|(light|heavy) rows?|rows? too (light|heavy))\b": "rows are short, have enough, or pack",
}
"""What is not said, and what is said in its place."""
OTHER_NAMES = {
    "down_pressure": "down_force",
    "downforce": "down_force",
    "disc_force": "down_force",
    "oil_pressure": "gauge_pressure",
    "hydraulic_pressure": "gauge_pressure",
    "system_pressure": "gauge_pressure",
    "wheel_margin": "gauge_wheel_load",
    "gauge_load": "gauge_wheel_load",
    "margin_load": "gauge_wheel_load",
    "soil_load": "soil_reaction",
    "soil_force": "soil_reaction",
    "ram_force": "cylinder_force",
    "lever_ratio": "leverage",
    "mechanical_advantage": "leverage",
    "ride_height": "travel",
    "displacement": "travel",
    "seed_depth": "depth",
    "working_depth": "depth",
    "coulter": "opener",
    "row_unit": "opener",
}


def names_of(thing):
    if inspect.isfunction(thing):
        return list(inspect.signature(thing).parameters)
    return [field.name for field in fields(thing)] if is_dataclass(thing) else []


def test_public_names_keep_to_the_nomenclature():
    wrong = [
        f"{name}: {word} is called {OTHER_NAMES[word]} here"
        for name, thing in THINGS
        for word in names_of(thing)
        if word in OTHER_NAMES
    ]
    assert not wrong, "\n".join(wrong)


def units_in(hint):
    """Units that a type tells: of formulas and models, and of what a user's file may hold."""
    for part in getattr(hint, "__metadata__", ()):
        yield from [part.symbol] if isinstance(part, Unit) else []
        yield from [u for u, kind in KINDS_OF.items() if isinstance(part, Quantity) and part.kind == kind]
    for part in get_args(hint):
        yield from units_in(part)


def test_a_pressure_is_in_pascals_and_a_force_in_newtons():
    wrong, tried = [], 0
    for name, thing in TOLD + MODELS:
        for word, hint in types(thing).items():
            units = set(units_in(hint))
            tried += len(units)
            if re.search(r"(^|_)pressures?($|_absolute)", word) and units - {"Pa"}:
                wrong.append(f"{name}: {word} in {units}")
            if re.search(r"_(force|load|reaction)$", word) and units - {"N", "-"}:
                wrong.append(f"{name}: {word} in {units}")
    assert tried > 500 and not wrong, "\n".join(wrong)


def test_the_developers_page_holds_every_word_of_the_nomenclature():
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    words = set(OTHER_NAMES.values()) - {"opener"} | {"spring_force", "frame_load", "lift_pressure"}
    assert not {word for word in words if f"`{word}`" not in page}


def said():
    """Everything the project says: file and words; of workbooks the cells."""
    for path in sorted(LIBRARY.rglob("*.py")):
        yield path.relative_to(LIBRARY).as_posix(), path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "notebooks").glob("*.ipynb")):
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
            yield path.name, "".join(cell["source"])


def test_rows_frames_and_gauge_wheels_have_the_projects_own_words():
    wrong = []
    for name, text in said():
        for pattern, words in OTHER_WORDS.items():
            if "margin" in pattern and any(place in name for place in OTHER_MARGINS):
                continue
            wrong += [f'{name}: "{found[0]}": {words}' for found in re.finditer(pattern, text)]
    assert not wrong, "\n".join(wrong)


def test_other_words_are_found_and_the_projects_own_are_not():
    text = "Speed eats the margin; 3 rows too light, LIFTED. margin: 0; margin=2; heavy load; short, enough."
    assert [found[0] for pattern in OTHER_WORDS for found in re.finditer(pattern, text)] == [
        "margin",
        "LIFTED",
        "rows too light",
    ]
