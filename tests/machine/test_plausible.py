"""Slips that a file may hold without being refused are told; what is usual is not; no number is changed."""

from dataclasses import is_dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from downforce.machine import read_drill, read_field
from downforce.machine.drill import Coulter
from downforce.machine.field import Straw
from downforce.machine.plausible import _rows, unusual, unusual_line
from downforce.machine.reading.toml_lines import path_text
from downforce.machine.shipped import example_drill, example_field, shipped_drills, shipped_fields
from downforce.machine.units import METRIC, US, parse_quantity
from downforce.study.opener_loads import down_force_wanted

TESTS = Path(__file__).parents[1]
FILES = {**dict(shipped_drills()), **dict(shipped_fields())}
DRILLS = [read_drill(path) for _, path in shipped_drills()]
FIELDS = [read_field(path) for _, path in shipped_fields()]


def changed(tmp_path, key, *changes):
    """A shipped file with words in it exchanged, read as its owner would."""
    text = FILES[key].read_text(encoding="utf-8")
    for old, new in changes:
        # What a value rests on may stand behind it, before the quotes end.
        old, new = (old[:-1], new[:-1]) if old.endswith('"') else (old, new)
        assert old in text
        text = text.replace(old, new, 1)
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return (read_field if 'describes = "field"' in text else read_drill)(path)


BOX, AIR, DISCS, FIRM = "box_drill_15ft", "air_drill_12m", "double_disc_9m", "firm"
WING = '"2072.75 kg"'


@pytest.mark.parametrize(
    ("key", "old", "new", "path", "read", "usual", "meant"),
    [
        (BOX, '"202.33 lb"', '"16.5 lb"', "opener.mass", "16.5 lb (7 kg)", "133 lb to 286 lb", "165 lb"),
        (AIR, '"91.774 kg"', '"7.5 kg"', "opener.mass", "7.5 kg (17 lb)", "60 kg to 130 kg", "75 kg"),
        # 300 and 1300 kg for each metre of a section of 21 rows, 4.0005 m: 1200 and 5200 kg.
        (AIR, WING, '"145 kg"', "sections[1].frame_mass", "145 kg (320 lb)", "1210 kg to 5200 kg", "1450 kg"),
        (AIR, WING, '"14500 kg"', "sections[1].frame_mass", "14500 kg", "1210 kg to 5200 kg", "1450 kg"),
        # The frame of the box drill is 4.572 m wide: 1371.6 and 5943.6 kg, 3024 and 13103 lb.
        (
            BOX,
            '"3576.8 lb"',
            '"357.7 lb"',
            "sections[1].frame_mass",
            "357.7 lb",
            "3030 lb to 13100 lb",
            "3577 lb",
        ),
        (AIR, '"250 N"', '"56.2 N"', "opener.closing_load", "56.2 N", "80 N to 650 N", None),
        (BOX, '"3000 lbf/in"', '"3000 N/mm"', "wheels[1].stiffness", "17130 lbf/in", "lbf/in (", None),
        (BOX, '"3307 lb"', '"33070 lb"', "hoppers[1].mass", "33070 lb", "605 lb to 4530 lb", "3307 lb"),
        (FIRM, '"900 N"', '"4003 N"', "soil.reaction", "4003 N (900 lbf)", "250 N to 2500 N", None),
        (FIRM, '"9 km/h"', '"9 mph"', "speed", "14.48 km/h", "5 km/h to 13 km/h", None),
        (FIRM, "draft_ratio = 0.6", "draft_ratio = 1.6", "soil.draft_ratio", "1.6", "0.5 to 0.8", None),
    ],
)
def test_a_value_far_from_the_usual_is_told_with_what_was_read_and_what_is_usual(
    tmp_path, key, old, new, path, read, usual, meant
):
    model = changed(tmp_path, key, (old, new))
    drill, field = (model, None) if model.describes == "drill" else (example_drill(AIR), model)
    found = {each.path: each for each in unusual(drill, field)}
    assert set(found) == {path} | ({"wheels[2].stiffness"} & set(found))
    said = found[path].said
    assert said.startswith(f"{path} is {read}") and usual in found[path].usual and found[path].usual in said
    assert ("Did you mean" in said) == (meant is not None) and (meant is None or f'"{meant}"' in said)


def test_a_pivot_far_too_low_is_told(tmp_path):
    """With less travel up: with the usual travel the reader finds the cylinder over centre and refuses."""
    box = changed(
        tmp_path,
        BOX,
        ('"17.717 in"', '"5 in"'),
        ('travel_up = "5 in"', 'travel_up = "4 in"'),
        ('raised_travel = "5 in"', 'raised_travel = "4 in"'),
        ('transport_travel = "5 in"', 'transport_travel = "4 in"'),
    )
    (found,) = unusual(box)
    assert found.said == "opener.pivot[2] is 5 in (127 mm); usual is 13.8 in to 21.6 in (350 mm to 550 mm)."
    air = changed(tmp_path, AIR, ('"450 mm"', '"127 mm"'), ('"130 mm"', '"100 mm"'))
    (found,) = unusual(air)
    assert found.said == "opener.pivot[2] is 127 mm (5.0 in); usual is 350 mm to 550 mm (13.8 in to 21.6 in)."


def test_a_wing_written_in_pounds_is_told_in_pounds(tmp_path):
    """The slips of the issue: 320 and 32,000 lb where a wing of 3200 lb was meant, on a page in US units."""
    for slip in ("320 lb", "32000 lb"):
        drill = changed(tmp_path, AIR, ('units = "metric"', 'units = "US"'), (WING, f'"{slip}"'))
        (found,) = unusual(drill, example_field(FIRM))
        assert found.said.startswith(f"sections[1].frame_mass is {slip} (")
        assert 'Did you mean "3200 lb"?' in found.said and "2650 lb to 11400 lb (1210 kg" in found.said


def test_a_plunger_where_a_piston_fits_is_told_with_both_pressures(tmp_path):
    """Four times the pressure, as 1 1/2 in over 3/4 in squared, from the balance that the setting uses."""
    drill, field = changed(tmp_path, BOX, ('"piston"', '"plunger"')), example_field(FIRM)
    (found,) = unusual(drill, field)
    push = down_force_wanted(drill.opener, field.opener_soil, field.aim.gauge_wheel_load)
    thin = float(drill.cylinder.pressure_for(drill.opener, push))
    assert found.path == "cylinder.kind" and 'Did you mean "piston"?' in found.said
    assert (
        f"it takes {US.both('pressure', thin)} where a piston takes {US.both('pressure', thin / 4)}"
        in found.said
    )
    assert "presses on 0.75 in" in found.said and "bore of 1.5 in" in found.said
    assert thin > drill.hydraulics.valve.max_pressure > thin / 4
    (alone,) = unusual(drill)
    assert alone.path == "cylinder.kind" and alone.usual == "a plunger of 70 % of its bore or more"
    for share, told in ((0.699, 1), (0.701, 0)):
        assert len(unusual(drill.with_cylinder(rod=share * drill.cylinder.bore))) == told


def test_without_a_field_a_disc_may_run_as_deep_as_any_seed():
    air = example_drill(AIR)
    for height, told in (
        (0.2285 - 0.0901, 1),
        (0.2285 - 0.0899, 0),
        (0.2285 - 0.0101, 0),
        (0.2285 - 0.0099, 1),
    ):
        assert len(unusual(replace(air, opener=replace(air.opener, disc=(0.6, height))))) == told


@pytest.mark.parametrize(
    ("key", "changes", "path", "read", "usual"),
    [
        (AIR, [('disc = ["600 mm"', 'disc = ["500 mm"')], "opener.disc", "by 100 mm", "-80 mm to 80 mm"),
        (BOX, [('["23.622 in", "7', '["27 in", "7')], "opener.disc", "by -3.378 in", "-3.14 in to 3.14 in"),
        (AIR, [('"188 mm"]', '"118 mm"]')], "opener.disc", "110.5 mm (4.4 in)", "10 mm to 70 mm"),
        (AIR, [('"200 mm"]', '"240 mm"]')], "opener.gauge_wheel", "40 mm (1.6 in)", "-25 mm to 25 mm"),
        (AIR, [('["1050 mm"', '["580 mm"')], "opener.closing_wheel", "by -20 mm", "150 mm to 900 mm"),
        (AIR, [('["550 mm"', '["-55 mm"')], "opener.mass_centre", "by -55 mm", "0 mm to 1050 mm"),
        (AIR, [('["550 mm", "250', '["550 mm", "650')], "opener.mass_centre", "650 mm", "0 mm to 450 mm"),
        # 6.7 N/mm instead of 30: a rate in lbf/in written as if it were in N/mm, divided by 4.45.
        (AIR, [('"30 N/mm"', '"6.7 N/mm"')], "spring.coils", "234", "350 N to 2500 N"),
        (AIR, [('"160 bar"', '"400 bar"')], "hydraulics.gauge.full_scale", "400 bar", "132 bar to 300 bar"),
        (AIR, [(WING, '"2900 kg"')], "sections[1].frame_mass", "2900 kg", "1660 kg to 2590 kg"),
        (AIR, [('y = "-4.9 m"', 'y = "-6.8 m"')], "wheels[1].y", "-6.8 m", "-6.6 m to -1.41 m"),
        (AIR, [('"-4.0005 m"', '"-1.9 m"')], "sections[1].frame_centre", "-1.9 m", "-6 m to -2.01 m"),
        (AIR, [('"3.9 m", "5.1 m"', '"3.9 m", "4.1 m"')], "rank_x[2]", "0.2 m", "0.4 m to 1.8 m"),
        (AIR, [('["100 mm", "793', '["550 mm", "793'), ('["100 mm", "403', '["550 mm", "403')],
         "cylinder.mount", "0.917", "0.08 to 0.75"),
        # The root of 800 and 262 mm squared.
        (AIR, [('disc = ["600', 'disc = ["800'), ('wheel = ["600', 'wheel = ["800')],
         "opener.disc", "841.8 mm", "450 mm to 750 mm"),
        (DISCS, [('["348.7 mm", "389.5 mm"]', '["480 mm", "378 mm"]')],
         "opener.lower_opener_pin", "481.8 mm", "250 mm to 450 mm"),
    ],
)  # fmt: skip
def test_places_and_masses_that_do_not_go_together_are_told(tmp_path, key, changes, path, read, usual):
    found = unusual(changed(tmp_path, key, *changes), example_field(FIRM))
    assert [each.path for each in found] == [path]
    assert found[0].said.startswith(f"{path}: ") and read in found[0].said
    assert found[0].usual.split(" (")[0] == usual and found[0].said.endswith(f"usual is {found[0].usual}.")


def test_what_ships_and_what_tests_stand_on_is_usual():
    drills = [*FILES.values(), *(TESTS / "fixtures").glob("*.toml"), *(TESTS / "machine").glob("good_*.toml")]
    drills += (TESTS / "odd").glob("*_*.toml")
    drills = [read_drill(path) for path in drills if 'describes = "drill"' in path.read_text("utf-8")]
    assert len(drills) == 10
    for drill in drills:
        for field in (None, *FIELDS, read_field(TESTS / "machine" / "good_field.toml")):
            assert unusual(drill, field) == () and unusual_line(drill, field) == ""


def test_the_odd_fields_are_told_to_be_odd():
    """Brick is cold, hard and steep in depth; peat asks for a seventh of firm soil."""
    for name, paths in (
        ("brick", ["oil_temperature", "soil.reaction", "soil.spread", "soil.exponent"]),
        ("peat", ["soil.reaction"]),
    ):
        found = unusual(example_drill(AIR), read_field(TESTS / "odd" / f"{name}.toml"))
        assert [each.path for each in found] == paths


def test_the_line_tells_two_and_counts_the_rest():
    field = read_field(TESTS / "odd" / "brick.toml")
    line = unusual_line(example_drill(AIR), field, METRIC)
    assert "soil.reaction is 5000 N" in line and "soil.exponent" not in line and "And 2 more" in line
    whole = unusual_line(example_drill(AIR), field, METRIC, most=None)
    assert "soil.exponent is 1.8; usual is 0.5 to 1.5." in whole and "more, told" not in whole


def put(model, keys, value):
    """The same model with one value changed at a key path."""
    head, *rest = keys
    if not rest:
        return replace(model, **{head: value}) if is_dataclass(model) else _at(model, head, value)
    inner = getattr(model, head) if is_dataclass(model) else model[int(head)]
    changed = put(inner, rest, value)
    return replace(model, **{head: changed}) if is_dataclass(model) else _at(model, head, changed)


def _at(items, place, value):
    return tuple(value if each == int(place) else item for each, item in enumerate(items))


def applies(row, model, drill):
    """Whether a model holds what a row is about."""
    value = model
    for key in row["key"].split("."):
        value = value and (
            value[0] if key == "*" else value[int(key)] if key.isdigit() else getattr(value, key)
        )
    openers = "one disc" if drill.opener.discs == 1 else "two discs"
    return value not in (None, ()) and row["for"] in ("", openers)


def ends(row, drill):
    """The usual range of a row; a mass per width is that of the first section, or of the whole drill."""
    if row["kind"] == "number":
        return float(row["low"]), float(row["high"])
    rows = drill.sections[0].openers if row["key"].startswith("sections") else drill.row_count
    width = rows * drill.row_spacing if row["kind"] == "line mass" else 1.0
    return tuple(width * parse_quantity(row[end], row["kind"]) for end in ("low", "high"))


def drawn(rng, low, high):
    return float(rng.uniform(low, high))


def usual_drill(rng, base):
    """A drill with every value drawn inside its usual range and places that go together."""
    drill = base
    for row in _rows("drill"):
        keys = row["key"].split(".")
        if row["kind"] == "line mass" or keys[0] == "rank_x" or not applies(row, drill, drill):
            continue
        for place in range(len(getattr(drill, keys[0]))) if "*" in keys else (0,):
            path = [str(place) if key == "*" else key for key in keys]
            drill = put(drill, path, drawn(rng, *ends(row, drill)))
    spacing = drill.row_spacing
    drill = replace(drill, rank_x=tuple(2.0 + 1.2 * rank for rank in range(len(drill.rank_x))))
    edges = np.cumsum([0, *(section.openers for section in drill.sections)]) * spacing - drill.width / 2
    per_metre, sections, wheels = drawn(rng, 360.0, 1080.0), [], []
    for place, section in enumerate(drill.sections):
        mass = per_metre * drawn(rng, 0.91, 1.09) * section.openers * spacing
        x, _, z = section.frame_centre
        sections.append(
            replace(section, frame_mass=mass, frame_centre=(x, drawn(rng, *edges[place : place + 2]), z))
        )
    for wheel in drill.wheels:
        at = drill.section_index(wheel.section)
        wheels.append(replace(wheel, y=drawn(rng, *edges[at : at + 2])))
    hoppers = tuple(replace(each, mass=drawn(rng, 61.0, 449.0) * drill.width) for each in drill.hoppers)
    opener = usual_places(rng, drill.opener)
    # Pins keep their share of the arm or link, so the leverage of the shipped drill.
    longer = reach(opener) / reach(base.opener)
    mounts = {name: moved(getattr(drill, name).mount, longer) for name in ("spring", "cylinder")}
    hydraulics = drill.hydraulics
    full_scale = drawn(rng, 1.1, 2.5) * hydraulics.valve.max_pressure
    bore = drill.cylinder.bore
    drill = replace(
        drill,
        sections=tuple(sections),
        wheels=tuple(wheels),
        hoppers=hoppers,
        opener=opener,
        hydraulics=replace(hydraulics, gauge=replace(hydraulics.gauge, full_scale=full_scale)),
        cylinder=replace(
            drill.cylinder,
            mount=mounts["cylinder"],
            rod=max(0.012, bore * (drawn(rng, 0.71, 0.88) if drill.cylinder.kind == "plunger" else 0.5)),
        ),
        spring=replace(drill.spring, mount=mounts["spring"]),
    )
    # The spring is made to press with a usual force at working height, whatever its pins are.
    length = float(drill.spring.length(drill.opener, 0.0)) - drill.spring.fittings
    coils = tuple(replace(coil, free_length=length + 0.05, solid_length=0.05) for coil in drill.spring.coils)
    spring = replace(drill.spring, coils=coils, setting=0.0)
    share = drawn(rng, 351.0, 2499.0) / float(spring.down_force(drill.opener, 0.0))
    coils = tuple(replace(coil, rate=coil.rate * share) for coil in coils)
    return replace(drill, spring=replace(spring, coils=coils))


def usual_places(rng, opener):
    height, radius = drawn(rng, 0.020, 0.060), opener.disc_diameter / 2
    z = radius - height
    if opener.linkage == "trailing arm":
        least = abs(opener.pivot[1] - z)
        x = float(np.sqrt(drawn(rng, max(0.451, least + 0.3), 0.749) ** 2 - least**2))
        front = opener.pivot[1]
    else:
        x, front = 0.7, opener.upper_frame_pin[1]
        low = opener.lower_frame_pin
        slope, length = np.radians(drawn(rng, -2.0, 10.0)), drawn(rng, 0.251, 0.449)
        opener = replace(
            opener,
            lower_opener_pin=(float(length * np.cos(slope)), float(low[1] - length * np.sin(slope))),
            upper_frame_pin=(0.0, max(low[1] + 0.06, front)),
        )
        front = opener.upper_frame_pin[1]
    closing = x + drawn(rng, 0.15, 0.90)
    return replace(
        opener,
        disc=(x, z),
        gauge_wheel=(
            x + drawn(rng, -0.079, 0.079),
            opener.gauge_wheel_diameter / 2 + drawn(rng, -0.024, 0.024),
        ),
        closing_wheel=(closing, 0.16),
        mass_centre=(drawn(rng, 0.0, closing), drawn(rng, 0.0, max(front, z + radius))),
    )


def reach(opener):
    return opener.disc[0] if opener.linkage == "trailing arm" else opener.lower_opener_pin[0]


def moved(mount, longer):
    (fx, fz), (mx, mz) = mount.frame_pin, mount.moving_pin
    return replace(mount, frame_pin=(fx * longer, fz), moving_pin=(mx * longer, mz))


def usual_field(rng, base, drill):
    field = base
    for row in _rows("field"):
        keys = row["key"].split(".")
        if applies(row, field, drill):
            field = put(field, keys, drawn(rng, *ends(row, drill)))
    deep = drill.opener.disc_diameter / 2 - drill.opener.disc[1]
    return replace(field, target_depth=max(0.010, deep + drawn(rng, -0.029, 0.029)))


def test_no_drill_and_field_drawn_inside_the_usual_is_told_to_be_unusual():
    rng = np.random.default_rng(8)
    for case in range(210):
        drill = usual_drill(rng, DRILLS[case % len(DRILLS)])
        field = usual_field(rng, FIELDS[case % 7 % len(FIELDS)], drill)
        assert unusual(drill, field) == (), f"case {case}"


def key_of(row):
    """Keys to the first value of a row, and its path as a sentence names it."""
    keys = ["0" if key == "*" else key for key in row["key"].split(".")]
    return keys, path_text(tuple(int(key) if key.isdigit() else key for key in keys))


@pytest.mark.parametrize("row", _rows("drill") + _rows("field"), ids=lambda row: f"{row['key']} {row['for']}")
def test_every_usual_range_bites_one_hundredth_of_its_width_outside(row):
    """Every row is found in a shipped file or here; its ends are usual, and a little beyond them is told."""
    keys, path = key_of(row)
    seen = row["key"].startswith("ballast")
    opener = replace(DRILLS[0].opener, front_coulter=Coulter("opener", (0.2, 0.19)))
    fields = [replace(FIELDS[0], straw=Straw("dry"))] if row["key"].startswith("straw") else FIELDS
    hitch = replace(DRILLS[0].hitch, kind="three-point")
    for drill in (*DRILLS, replace(DRILLS[0], opener=opener, hitch=hitch)):
        for base in [drill] if row["file"] == "drill" else fields:
            if not applies(row, base, drill):
                continue
            seen, (low, high) = True, ends(row, drill)
            for end, out in ((low, low - high), (high, high - low)):
                for value, told in ((end, False), (end + 0.01 * out, True)):
                    odd = put(base, keys, value)
                    found = unusual(odd) if row["file"] == "drill" else unusual(drill, odd)
                    said = [each.said for each in found if each.said.startswith(f"{path} is ")]
                    assert len(said) == told, (value, said)
    assert seen
