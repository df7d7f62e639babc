"""One name for one thing: names keep to the nomenclature, and no force is called a pressure."""

import inspect
import re
from dataclasses import fields, is_dataclass
from pathlib import Path

from house.test_docstrings import MODELS, THINGS, TOLD

ROOT = Path(__file__).parents[2]
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


def test_a_pressure_is_in_pascals_and_a_force_in_newtons():
    wrong = []
    for name, thing in TOLD + MODELS:
        for line in (inspect.getdoc(thing) or "").splitlines():
            match = re.match(r"^([\w, ]+) : .*\[([^\]]+)\]", line)
            for word in (w.strip() for w in match.group(1).split(",")) if match else ():
                if re.search(r"(^|_)pressures?($|_absolute)", word) and "fixed_pressures" not in word:
                    wrong += [f"{name}: {word}"] if "Pa" not in match.group(2) else []
                if re.search(r"_(force|load|reaction)$", word):
                    wrong += [f"{name}: {word}"] if not re.search(r"\bN\b|model|-", match.group(2)) else []
    assert not wrong, "\n".join(wrong)


def test_the_developers_page_holds_every_word_of_the_nomenclature():
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for word in set(OTHER_NAMES.values()) - {"opener"} | {"spring_force", "frame_load", "lift_pressure"}:
        assert f"`{word}`" in page, f"DEVELOPERS.md does not explain {word}"
