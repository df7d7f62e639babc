"""One name for one thing: names keep to the nomenclature, and no force is called a pressure."""

import inspect
import re
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest

from house.test_docstrings import FUNCTIONS, THINGS, ids

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


@pytest.mark.parametrize(("name", "thing"), THINGS, ids=ids(THINGS))
def test_public_names_keep_to_the_nomenclature(name, thing):
    for word in names_of(thing):
        assert word not in OTHER_NAMES, f"{name}: {word} is called {OTHER_NAMES[word]} here"


@pytest.mark.parametrize(("name", "thing"), FUNCTIONS, ids=ids(FUNCTIONS))
def test_a_pressure_is_in_pascals_and_a_force_in_newtons(name, thing):
    text = inspect.getdoc(thing) or ""
    for line in text.splitlines():
        match = re.match(r"^([\w, ]+) : .*\[([^\]]+)\]", line)
        if not match or not name.startswith(("downforce.physics", "downforce.study")):
            continue
        for word in (w.strip() for w in match.group(1).split(",")):
            if re.search(r"(^|_)pressures?($|_absolute)", word) and "fixed_pressures" not in word:
                assert "Pa" in match.group(2), f"{name}: {word} is given in {match.group(2)}"
            if re.search(r"_(force|load|reaction)$", word):
                assert re.search(r"\bN\b|model|-", match.group(2)), (
                    f"{name}: {word} is given in {match.group(2)}"
                )


def test_the_developers_page_holds_every_word_of_the_nomenclature():
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for word in set(OTHER_NAMES.values()) - {"opener"} | {"spring_force", "frame_load", "lift_pressure"}:
        assert f"`{word}`" in page, f"DEVELOPERS.md does not explain {word}"
