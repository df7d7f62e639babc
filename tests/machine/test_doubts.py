"""Values with an uncertainty or a basis: read as written, filled up from the table, drawn anew in bounds."""

import re
import tempfile
from dataclasses import is_dataclass, replace
from pathlib import Path
from typing import Annotated, get_args, get_origin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.machine import FileProblem, read_drill, read_field
from downforce.machine.doubts import Doubt, changed, uncertain_inputs
from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.quantity import BASES, Number, Quantity, doubt_apart, read_uncertainty
from downforce.machine.reading.model_reader import file_fields, type_hints, without_none
from downforce.machine.shipped import DATA, read_table
from downforce.machine.unit_table import KINDS

HERE = Path(__file__).parent
GOOD = {
    kind: (HERE / f"good_{kind}.toml").read_text(encoding="utf-8").replace("\r\n", "\n")
    for kind in ("drill", "field")
}
OLD = sorted([*(HERE.parent / "fixtures").glob("*.toml"), *(HERE.parent / "odd").glob("*.toml")])
SHIPPED = sorted([*(DATA / "drills").glob("*.toml"), *(DATA / "fields").glob("*.toml")])
TABLE = read_table("bases").fillna("").set_index("path")
TAKEN = re.compile(r" \((?:measured|weighed|drawing|usual|guessed)\)")


def read(path):
    kind = re.search(r'^describes = "(\w+)"', Path(path).read_text(encoding="utf-8"), re.M)[1]
    return {"drill": read_drill, "field": read_field}[kind](path)


def read_text(text):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "some.toml"
        path.write_text(text, encoding="utf-8", newline="\n")
        return read(path)


def with_line(kind, old, new):
    assert GOOD[kind].count(old) == 1
    return read_text(GOOD[kind].replace(old, new))


def inputs_of(model):
    return {one.path: one for one in uncertain_inputs(model)}


@pytest.mark.parametrize(
    ("kind", "old", "new", "doubts"),
    [  # 33 lbf = 146.791 N and 4 degF = 2.222 K by NIST SP 811
        ("drill", '"250 N"', '"250 N ± 40 N"', [("opener.closing_load", 40.0, "")]),
        ("drill", '"250 N"', '"250N+/-40N"', [("opener.closing_load", 40.0, "")]),
        ("drill", '"250 N"', '"250 ± 40 N"', [("opener.closing_load", 40.0, "")]),
        ("drill", '"250 N"', '"250 N ± 33 lbf (guessed)"', [("opener.closing_load", 146.7913, "guessed")]),
        ("drill", '"250 N"', '"250 N ± 16 %"', [("opener.closing_load", 40.0, "")]),
        ("drill", '"90 kg"', '"90 kg (weighed)"', [("opener.mass", None, "weighed")]),
        (
            "drill",
            '["0 mm", "450 mm"]',
            '["0 mm", "450 mm ± 1/8 in (measured)"]',
            [("opener.pivot.1", 0.003175, "measured")],
        ),
        (
            "drill",
            '["100 mm", "793 mm"]',
            '["100 mm ± 1 mm", "793 mm (drawing)"]',
            [("cylinder.mount.frame_pin.0", 1e-3, ""), ("cylinder.mount.frame_pin.1", None, "drawing")],
        ),
        ("field", "draft_ratio = 0.6", 'draft_ratio = "0.6 +/- 0.1"', [("soil.draft_ratio", 0.1, "")]),
        ("field", "draft_ratio = 0.6", 'draft_ratio = "0.6 ± 10 %"', [("soil.draft_ratio", 0.06, "")]),
        ("field", "factor = 1.4", 'factor = "1.4 (guessed)"', [("tracks.factor", None, "guessed")]),
        ("field", '"40 degC"', '"40 degC ± 4 degF"', [("oil_temperature", 2.2222, "")]),
        ("field", '"40 degC"', '"40 ± 4 degC"', [("oil_temperature", 4.0, "")]),
    ],
)
def test_what_stands_behind_a_value_is_read_and_the_value_stays(kind, old, new, doubts):
    model, plain = with_line(kind, old, new), read(HERE / f"good_{kind}.toml")
    found = [(".".join(map(str, doubt.path)), doubt.uncertainty, doubt.basis) for doubt in model.doubts]
    assert found == [(key, u if u is None else pytest.approx(u, rel=1e-4), said) for key, u, said in doubts]
    assert replace(model, doubts=()) == plain


def test_the_uncertainty_of_a_share_is_in_points():
    drill = with_line("drill", '"250 N"', '"250 N"\ndragged_share = "35 % ± 15 %"')
    assert drill.opener.dragged_share == pytest.approx(0.35)
    assert drill.doubts == (Doubt(("opener", "dragged_share"), 0.15, ""),)


def test_a_bare_number_in_quotes_stays_refused():
    with pytest.raises(FileProblem, match=r"Write 0\.6 without the quotes"):
        with_line("field", "draft_ratio = 0.6", 'draft_ratio = "0.6"')


def test_doubts_is_no_key_of_a_file():
    with pytest.raises(FileProblem, match="doubts is not a key of the top of the file"):
        read_text('doubts = "none"\n' + GOOD["field"])


@pytest.mark.parametrize("path", OLD, ids=lambda path: path.stem)
def test_files_that_say_nothing_of_it_have_no_doubts(path):
    assert read(path).doubts == ()


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_basis_changes_no_value_of_a_shipped_file(path):
    text = path.read_text(encoding="utf-8")
    model, plain = read(path), read_text(TAKEN.sub("", text))
    assert len(model.doubts) == len(TAKEN.findall(text))
    assert plain.doubts == ()
    assert replace(model, doubts=()) == plain


def test_what_is_known_of_the_air_drill():
    drill = read(DATA / "drills" / "air_drill_12m.toml")
    assert drill.doubts == (
        Doubt(("opener", "mass"), None, "weighed"),
        Doubt(("opener", "dragged_share"), None, "usual"),
    )
    found = inputs_of(drill)
    assert found["opener", "mass"].uncertainty == pytest.approx(0.91774)  # 1 % of 91.774 kg
    assert found["opener", "dragged_share"].uncertainty == pytest.approx(0.15)


ALL_UNITS = [(kind, unit) for kind, entry in KINDS.items() for unit in entry.units]


@settings(max_examples=200)
@given(
    st.sampled_from(ALL_UNITS),
    st.floats(1e-3, 1e5),
    st.floats(1e-3, 1e5),
    st.sampled_from(["±", " ± ", "+/-", " +/- "]),
    st.sampled_from(["", *BASES]),
)
def test_any_number_with_any_uncertainty_reads_back(kind_unit, number, spread, sign, basis):
    kind, unit = kind_unit
    limits = Quantity(kind, -1e16, 1e16)
    alone = f"{number!r} {unit}"
    text = f"{alone}{sign}{spread!r} {unit}{f' ({basis})' if basis else ''}"
    plain, behind, said = doubt_apart(text, limits)
    value = limits.read(plain)
    assert value == limits.read(alone)
    assert read_uncertainty(behind, limits, value) == pytest.approx(
        spread * KINDS[kind].units[unit], rel=1e-12
    )
    assert said == basis


@settings(max_examples=400)
@given(
    st.lists(st.sampled_from([*"0159.,+-/±() %½", "+/-", "N", "mm", "(measured)", "nan", "e", "900 N"])),
    st.sampled_from([Quantity("force", 0.0, 2e3), Quantity("share", 0.0, 1.0), Number(0.0, 3.0)]),
)
def test_no_text_raises_anything_but_a_sentence(parts, limits):
    try:
        plain, behind, _ = doubt_apart("".join(parts), limits)
        value = limits.read(plain)
        assert not behind or 0 < read_uncertainty(behind, limits, value) <= limits.high - limits.low
    except ValueError as refusal:
        assert str(refusal).endswith((".", "?"))


def test_what_the_file_says_goes_before_the_table_and_the_table_before_usual():
    path = ("opener", "closing_load")
    written = inputs_of(with_line("drill", '"250 N"', '"250 N ± 9 N (guessed)"'))[path]
    assert (written.uncertainty, written.basis, written.source) == (9.0, "guessed", "file")
    by_basis = inputs_of(with_line("drill", '"250 N"', '"250 N (guessed)"'))[path]
    assert (by_basis.uncertainty, by_basis.basis, by_basis.source) == (
        pytest.approx(75.0),
        "guessed",
        "table",
    )
    usual = inputs_of(read(HERE / "good_drill.toml"))[path]
    assert (usual.uncertainty, usual.basis, usual.source) == (pytest.approx(37.5), "usual", "table")
    no_such_cell = inputs_of(with_line("drill", '["0 mm", "450 mm"]', '["0 mm", "450 mm (weighed)"]'))
    assert no_such_cell["opener", "pivot", 1].basis == "usual"


def test_an_uncertainty_is_kept_where_the_table_has_no_row():
    found = inputs_of(with_line("drill", '"7 1/2 in"', '"7 1/2 in ± 1 mm"'))["row_spacing",]
    assert (found.uncertainty, found.words, found.how) == (pytest.approx(1e-3), "row spacing", "")
    assert ("row_spacing",) not in inputs_of(with_line("drill", '"7 1/2 in"', '"7 1/2 in (measured)"'))


def test_uncertainties_by_hand():
    drill = read(DATA / "drills" / "double_disc_9m.toml")
    found = inputs_of(drill)
    assert found["opener", "upper_frame_pin", 1].uncertainty == pytest.approx(0.005)
    assert found["hinges", 0, "fold_moment"].uncertainty == pytest.approx(
        1000.0
    )  # 10 % is 200 N m, the floor 1 kN m
    assert found["sections", 1, "frame_mass"].uncertainty == pytest.approx(137.5)  # 5 % of 2750 kg
    assert found["hoppers", 0, "mass"].uncertainty == pytest.approx(80.0)  # 5 % of 1600 kg
    assert ("opener", "lower_frame_pin", 0) not in found  # x is counted from there
    strong = replace(drill.hinges[0], fold_moment=-30e3)
    found = inputs_of(replace(drill, hinges=(strong, drill.hinges[1])))
    assert found["hinges", 0, "fold_moment"].uncertainty == pytest.approx(3000.0)
    # Rectangular from 0.53 to 0.77: 0.24 / (2 sqrt 3) = 0.0693 (GUM, 4.3.7).
    field = read(DATA / "fields" / "firm.toml")
    assert inputs_of(field)["soil", "draft_ratio"].uncertainty == pytest.approx(0.24 / 12**0.5, abs=0.005)


@pytest.mark.parametrize(("said", "share"), [("dig", 0.08), ("reading", 0.12), ("estimate", 0.30)])
def test_the_soil_s_own_basis_counts_where_its_reaction_has_no_mark(said, share):
    field = with_line("field", 'basis = "dig"', f'basis = "{said}"')
    assert inputs_of(field)["soil", "reaction"].uncertainty == pytest.approx(share * 900)
    text = GOOD["field"].replace('basis = "dig"', f'basis = "{said}"')
    marked = read_text(text.replace('reaction = "900 N"', 'reaction = "900 N (measured)"'))
    assert inputs_of(marked)["soil", "reaction"].uncertainty == pytest.approx(0.08 * 900)


def test_the_line_of_draft_is_one_input():
    drill = with_line("drill", '"250 N"', '"250 N"\ndraft_height = "60 mm (measured)"')
    found = inputs_of(drill)
    assert found["opener", "draft_height"].uncertainty == pytest.approx(0.015)
    assert ("opener", "dragged_share") not in found
    assert changed(drill, {("opener", "dragged_share"): 0.5}) == drill


def test_words_name_the_part_and_its_place():
    found = inputs_of(read(DATA / "drills" / "air_drill_12m.toml"))
    assert found["cylinder", "mount", "frame_pin", 0].words == "cylinder frame pin, rearward"
    assert found["cylinder", "mount", "frame_pin", 0].group == "cylinder pins"
    assert found["sections", 2, "frame_centre", 1].words == "right wing: middle of the frame mass, sideways"
    words = [one.words for one in found.values()]
    assert len(set(words)) == len(words)
    assert not [one for one in words if "{" in one]
    box = inputs_of(read(DATA / "drills" / "box_drill_15ft.toml"))
    assert box["hoppers", 0, "centre", 2].words == "middle of full hopper 1, height"


def keys_of(hint, path=()):
    """Every key path a file of this model can have; places in a list of any length are "*"."""
    hint = without_none(hint)
    if get_origin(hint) is Annotated:
        yield path, hint
    elif is_dataclass(hint):
        for entry in file_fields(hint):
            yield from keys_of(type_hints(hint)[entry.name], (*path, entry.name))
    elif get_origin(hint) is tuple:
        items = get_args(hint)
        places = {"*": items[0]} if items[-1] is Ellipsis else dict(zip("012", items, strict=False))
        for place, item in places.items():
            yield from keys_of(item, (*path, place))


KEYS = dict([*keys_of(Drill), *keys_of(Field)])


@pytest.mark.parametrize("pattern", TABLE.index)
def test_every_row_of_the_table_stands_for_keys_there_are(pattern):
    wanted = pattern.split(".")
    kinds = {
        get_args(hint)[0]
        for path, hint in KEYS.items()
        if len(path) == len(wanted) and all(w in ("*", p) for p, w in zip(path, wanted, strict=True))
    }
    assert kinds == {float}, pattern


def test_the_table_is_whole():
    assert TABLE.index.is_unique
    for column in ("usual", "guessed", "measured", "words", "how", "group"):
        assert not (TABLE[column] == "").any(), column
    assert set(BASES) <= set(TABLE.columns)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_who_measured_is_surer_than_who_guessed(path):
    model = replace(read(path), doubts=())
    paths = list(inputs_of(model))
    widths = {}
    for basis in BASES:
        marked = replace(model, doubts=tuple(Doubt(one, None, basis) for one in paths))
        widths[basis] = {one.path: one.uncertainty for one in uncertain_inputs(marked)}
        assert list(widths[basis]) == paths
    for one in paths:
        least, *between, most = (widths[basis][one] for basis in ("measured", "drawing", "usual", "guessed"))
        assert least <= min(between) <= max(between) <= most, one
        assert least < most, one


@settings(max_examples=40)
@given(st.sampled_from(SHIPPED), st.data())
def test_a_draw_moves_what_it_should_and_nothing_else(path, data):
    model = read(path)
    inputs = uncertain_inputs(model)
    some = data.draw(st.lists(st.sampled_from(inputs), min_size=1, unique_by=lambda one: one.path))
    steps = data.draw(st.lists(st.floats(-4.0, 4.0), min_size=len(some), max_size=len(some)))
    values = {one.path: one.value + z * one.uncertainty for one, z in zip(some, steps, strict=True)}
    drawn = changed(model, values)
    for one in some:
        limits = get_args(KEYS[_as_key(one.path)])[1]
        assert _at(drawn, one.path) == min(max(values[one.path], limits.low), limits.high)
        assert limits.low <= _at(drawn, one.path) <= limits.high
    assert changed(drawn, {one.path: one.value for one in some}) == model


def test_a_draw_stops_at_what_may_stand_there():
    drill, field = (read(DATA / place) for place in ("drills/air_drill_12m.toml", "fields/firm.toml"))
    share, mass = ("opener", "dragged_share"), ("opener", "mass")
    assert changed(drill, {share: 1.2}).opener.dragged_share == 1.0
    assert changed(drill, {share: -0.2, mass: -5.0}).opener.dragged_share == 0.0
    assert changed(drill, {mass: -5.0}).opener.mass == 5.0
    assert changed(field, {("soil", "reaction"): -10.0}).soil.reaction == 50.0
    assert changed(field, {("target_depth",): 0.05}).soil.target_depth == 0.05
    assert changed(field, {("tracks", "factor"): 2.0}) == field  # no tracks there
    # A slider may have gone beyond what a file may say: it stays where it is.
    heavy = replace(drill, opener=replace(drill.opener, mass=400.0))
    assert changed(heavy, {mass: 400.0}) == heavy


def test_models_that_differ_in_doubts_only_are_not_equal():
    drill, field = (read(path) for path in (SHIPPED[0], SHIPPED[-1]))
    for model in (drill, field):
        other = replace(model, doubts=(Doubt(("name",), 1.0, ""),))
        assert other != model
        assert len({other, model, replace(model)}) == 2
    assert drill.with_cylinder(bore=0.04).doubts == drill.doubts
    assert changed(drill, {("opener", "mass"): 90.0}).doubts == drill.doubts


def _as_key(path):
    """Key path in the annotations: blocks of any number are "*", coordinates keep their number."""
    *most, last = path
    return (*("*" if isinstance(part, int) else part for part in most), str(last))


def _at(model, path):
    for part in path:
        model = model[part] if isinstance(part, int) else getattr(model, part)
    return model
