"""What a student guesses: `import downforce as dn` takes text with units and gives quantities."""

import inspect
import json
import pydoc
import re
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from types import SimpleNamespace

import numpy as np
import pytest

import downforce as dn
from downforce import face
from downforce.face import Value
from downforce.machine.drill import Drill
from downforce.machine.field import Field, Soil
from downforce.machine.shipped import named_drill, named_field
from downforce.machine.unit_table import KINDS
from downforce.physics.kinds import Ratio
from downforce.study import pressure_setting
from downforce.workbook.series import shipped_series

DRILL, FIELD = named_drill("air_drill_12m"), named_field("firm")
LISTED = dict(re.findall(r"^    (dn\.(\w+)\(.*?)(?:  |$)", dn.__doc__, re.M))
EXAMPLES = {name: call for call, name in LISTED.items() if name in dir(dn)}
BY_HAND = {
    "start_here": "left on the gauge wheel: 332.6 N",
    "spring_behaviour": "at the disc: 396.6 N",
    "soil_load": "the disc runs at 30.67 mm",
    "rough_ground": "the crest: 133.3 mm",
    "cylinder_sizing": "at the disc: 1179 N (265.1 lbf)",
    "oil_supply": "380 mL (23.19 in3) or 11.4 L/min",
    "pressure_setpoint": "left: 332.6 N",
    "frame_lift_limits": "968.6 N (217.7 lbf) taken: 470 N in hand: 51%",
    "setup_card": "at the disc: 95.01 N",
}
"""What a workbook's own By hand says, worked out in its cell; of the drill at the start [-]."""
MIXED = {"Reason.value", "Reason.limit"}
"""Say in their docstring that their unit goes with a word beside them [-]."""


@pytest.fixture(scope="module")
def results(tmp_path_factory):
    """What the line of each name gives, and what it gives before a part of that is asked for."""
    card = tmp_path_factory.mktemp("card") / "my_card.png"
    found = {}
    for name, line in EXAMPLES.items():
        call = line.split(", dn.")[0].replace("my_card.pdf", str(card))
        known = {"dn": dn, "drill": DRILL, "field": FIELD}
        found[name] = eval(call, known)
        if re.search(r"\)\.\w+$", call):
            found[f"{name}, whole"] = eval(call.rpartition(".")[0], known)
    return found


def test_every_name_has_its_line_and_every_line_runs(results):
    assert {*EXAMPLES, "read_drill", "read_field", "shipped_fields"} == set(dir(dn))
    assert 25 <= len(dir(dn)) <= 45
    assert all(value is not None for value in results.values())


def test_help_is_one_screen():
    text = pydoc.render_doc(dn, renderer=pydoc.plaintext)
    assert text.count("\n") <= 72 and max(map(len, text.splitlines())) <= 120
    assert "dn.recommend(drill, field).setting" in inspect.getdoc(dn.recommend)
    assert "a pressure (bar, psi, ...)" in inspect.getdoc(dn.cylinder_force)


def test_answers_are_those_of_the_study():
    mine, studied = dn.recommend("air_drill_12m", FIELD), pressure_setting.recommend(DRILL, FIELD)
    assert float(mine.setting.to("Pa")) == studied.setting
    assert float(mine.setting.to("psi")) == pytest.approx(studied.setting / 6894.757293168361, rel=1e-12)
    assert [end.si for end in mine.interval] == list(studied.interval)
    assert mine.shares.short == studied.shares.short
    assert mine.shares.mean.si == studied.shares.mean and mine.shares.mean.kind == "force"
    assert mine.lift.lowest.si == studied.lift.lowest
    assert mine.remedies[0].setting.si == studied.remedies[0].setting
    assert mine.ceiling_set_by == studied.ceiling_set_by


def walked(result, place, seen):
    """Every number in a result without a unit of the table, by the name of its class and itself."""
    if isinstance(result, face.Answer):
        kind = type(result._result)
        if kind in seen or not is_dataclass(kind):
            return
        seen.add(kind)
        units = face._units_of(kind)
        names = {field.name for field in fields(kind)} | set(units)
        for name in sorted(name for name in names if not name.startswith("_")):
            value = getattr(result, name)
            parts = value if isinstance(value, tuple) and value else (value,)
            floats = [
                np.asarray(one).dtype.kind == "f" for one in parts if isinstance(one, float | np.ndarray)
            ]
            if any(floats) and units.get(name) != "-":
                yield f"{kind.__name__}.{name} [{units.get(name)}]"
            yield from walked(value, name, seen)
    elif isinstance(result, tuple | list):
        for each in result:
            yield from walked(each, place, seen)


def test_no_number_in_an_answer_is_silently_in_si(results):
    seen = set()
    bare = [one for name, result in results.items() for one in walked(result, name, seen)]
    told = {one.partition(" ")[0] for one in bare}
    assert told <= MIXED, "no unit in the types of their class:\n" + "\n".join(bare)
    assert len(seen) > 20


def sample(kind):
    if face.unit_of(kind) in face.KINDS_OF:
        return f"1 {KINDS[face.KINDS_OF[face.unit_of(kind)]].metric.unit}"
    known = {Field: FIELD, Soil: FIELD, Drill: DRILL, Ratio: 1.0, Sequence[Field]: FIELD}
    return next((given for one, given in known.items() if kind == one), "1")


def test_a_bare_number_is_refused_wherever_a_unit_is_wanted():
    tried = 0
    for name in dir(dn):
        function = getattr(dn, name)
        takes = face.type_hints(function.__wrapped__)
        needed = [p.name for p in inspect.signature(function).parameters.values() if p.default is p.empty]
        for parameter in takes.keys() - {"return"}:
            unit = face.unit_of(takes[parameter])
            if unit in face.KINDS_OF:
                given = {n: sample(takes[n]) for n in needed} | {parameter: 60}
                offered = KINDS[face._kind(unit, parameter)].metric.unit
                with pytest.raises(ValueError, match=re.escape(f'write "60 {offered}"')):
                    function(**given)
                tried += 1
    assert tried > 40


def test_a_drill_stands_for_its_bore_and_nothing_else():
    by_drill, by_bore = dn.cylinder_force("60 bar", bore=DRILL), dn.cylinder_force("60 bar", bore="38.1 mm")
    assert by_drill == by_bore and by_drill.to("N").number == pytest.approx(6840.6, abs=0.1)
    plunger = named_drill("double_disc_9m")
    assert plunger.cylinder.kind == "plunger"
    assert dn.cylinder_area(plunger).si == pytest.approx(np.pi * plunger.cylinder.rod**2 / 4)
    with pytest.raises(ValueError, match="bore is a length"):
        dn.wall_thickness(DRILL, "210 bar", "100 MPa")


def test_short_questions_agree_with_the_balance():
    held, sprung = (
        dn.opener_loads(DRILL, FIELD, "60 bar", "-20 mm"),
        dn.opener_loads(DRILL, FIELD, travel="-20 mm"),
    )
    assert dn.down_force(DRILL, "60 bar", "-20 mm").si == pytest.approx(held.down_force.si, rel=1e-12)
    assert dn.down_force(DRILL, travel="-20 mm").si == pytest.approx(sprung.down_force.si, rel=1e-12)
    assert dn.spring_force(DRILL, "-20 mm").si == pytest.approx(sprung.spring_force.si, rel=1e-12)
    assert dn.leverage(DRILL, "-20 mm") == pytest.approx(held.leverage, rel=1e-12)
    assert dn.leverage(DRILL, "-20 mm", of="spring") == pytest.approx(sprung.leverage, rel=1e-12)
    assert dn.cylinder_force("60 bar", DRILL, "400 N", direction=1) == held.actuator_force - "400 N"
    assert dn.oil_volume("38.1 mm", "100 mm").si == pytest.approx(np.pi * 0.0381**2 / 4 * 0.1, rel=1e-12)
    assert dn.field_pass(DRILL, FIELD, stations=50).gauge_wheel_load.si.shape == (50, DRILL.row_count)
    with pytest.raises(ValueError, match="A leverage is of the"):
        dn.leverage(DRILL, of="disc")


def test_shares_sequences_and_answers_are_taken_back():
    assert dn.frame_headroom(DRILL, FIELD, dn.recommend(DRILL, FIELD).setting, hopper_fill="50 %") > 0.2
    forces = dn.cylinder_force(["40 bar", "870.2 psi"], bore="38.1 mm")
    assert forces.si == pytest.approx([4560.4, 6840.4], abs=0.2)
    assert dn.recommend(DRILL, FIELD, like=dn.recommend(DRILL, FIELD)).setting > "10 bar"


def test_a_wrong_name_is_told_the_nearest_ones():
    with pytest.raises(AttributeError, match=r"no 'recomend'\. Did you mean recommend"):
        dn.recomend  # noqa: B018
    with pytest.raises(AttributeError, match="no 'xyz'"):
        dn.xyz  # noqa: B018


def test_a_function_that_does_not_say_its_units_is_not_offered():
    def silent(pressure):
        """Nothing."""

    with pytest.raises(RuntimeError, match=r"does not say the units of \{'pressure'\}"):
        face.with_units(silent)


def test_the_import_is_light_and_names_are_loaded_when_used():
    code = (
        "import numpy, sys, time\nbefore = time.process_time()\nimport downforce as dn\n"
        "print(time.process_time() - before, [m for m in sys.modules if m.startswith('downforce.')])\n"
        "dn.cylinder_force('60 bar', bore='38.1 mm'), dn.recommend\n"
        "print([m for m in ('matplotlib', 'ipywidgets', 'pandas') if m in sys.modules])"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    first, second = said.splitlines()
    assert float(first.split()[0]) < 0.15 and first.endswith("[]") and second == "[]"


def test_values_reckon_in_units():
    p, area = dn.quantity("60 bar"), dn.quantity("11.4 cm2")
    assert str(p * area) == "6840 N (1538 lbf)" and (p * area / area) == p
    assert p + "10 bar" == dn.quantity(70, "bar") and p - p == "0 psi" and -p == "-60 bar"
    assert 2 * p == p * 2 == "120 bar" and p / dn.quantity("30 bar") == 2.0
    assert "70 bar" - p == "10 bar" == p - "50 bar" and "5 bar" + p == "65 bar" and "120 bar" / p == 2.0
    assert p * "2 cm2" == "1200 N" == "2 cm2" * p and dn.quantity("6 L") / "2 s" == "180 L/min"
    assert dn.quantity("2 kg") * "9.81 m/s2" == "19.62 N"
    assert p > "59 bar" and p <= "60 bar" and p < dn.quantity("1000 psi") and p >= "870 psi"
    assert abs(dn.quantity("-5 N")) == "5 N" and np.float64(2.0) * p == "120 bar"
    assert (np.array([1.0, 2.0]) * p)[1] == "120 bar" and len(dn.quantity([1, 2, 3], "mm")) == 3
    assert f"{p.to('psi'):.0f}" == "870 psi" and f"{Value(6e6, 'pressure'):.1f}" == "60.0 bar (870.2 psi)"
    assert np.asarray(dn.quantity([1, 2], "in").to("mm")) == pytest.approx([25.4, 50.8])
    assert str(Value(float("nan"), "pressure")) == "no value"
    assert str(dn.quantity("12 m")) == "12 m" and str(Value(12.0, "length")) == "12 m (39.37 ft)"


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (
            lambda p: float(p + p - p) and float(Value(6e6, "pressure")),
            r'In which unit\? Ask for it: \.to\("bar"\)',
        ),
        (lambda p: p.to("pounds"), 'A pressure is given in bar, kPa, MPa, Pa, psi, not in "pounds"'),
        (lambda p: p + 5, 'is a pressure and needs its unit: write "5 bar" or "5 psi" instead of 5'),
        (lambda p: p + dn.quantity("5 mm"), "is a pressure; 5 mm is a length"),
        (lambda p: p < "5 mm", "a pressure is wanted"),
        (lambda p: 5 / p, "5 over a pressure is no kind of quantity"),
        (lambda p: p * p, "A pressure times a pressure is no kind of quantity"),
        (lambda p: dn.quantity("5 degC") * 2, "Temperatures are not reckoned with"),
        (lambda p: p * dn.quantity("5 deg"), "An angle is not multiplied"),
        (lambda p: dn.quantity(5), r'5 has no unit\. Write text such as "60 bar"'),
        (lambda p: dn.quantity("5 stone"), r'"5 stone" has no unit of the table\. There are: '),
        (lambda p: dn.quantity(5, "stone"), 'There is no unit "stone"'),
    ],
)
def test_what_cannot_be_is_said_in_a_sentence(wrong, said):
    with pytest.raises(ValueError, match=said):
        wrong(dn.quantity("60 bar"))


def test_none_is_no_quantity():
    assert (dn.quantity("60 bar") == None) is False  # noqa: E711


@pytest.mark.parametrize("book", shipped_series(), ids=lambda book: book.name)
def test_every_workbook_has_a_cell_to_use_it_yourself_that_runs_on_every_drill(book, capsys):
    cells = json.loads(book.path.read_text(encoding="utf-8"))["cells"]
    code = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]
    mine = [text for text in code if "import downforce as dn" in text]
    assert len(mine) == 1 and mine[0].startswith("# Use it yourself")
    for name, ground in (
        ("air_drill_12m", "firm"),
        ("box_drill_15ft", "moist_soft"),
        ("double_disc_9m", "firm"),
    ):
        exec(mine[0], {"bench": SimpleNamespace(drill=named_drill(name), field=named_field(ground))})
        said = capsys.readouterr().out
        assert BY_HAND.get(book.name, "") in said or name != "air_drill_12m"
        assert re.search(r"\d (bar|N|kN|mm|mL|cm2|L) \(", said) and "no value" not in said
