"""Reading and showing quantities: the whole table against pint, and every refusal by its sentence."""

import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from downforce.face import DIMENSIONS
from downforce.machine.unit_table import KINDS, from_si, to_si
from downforce.machine.units import (
    METRIC,
    US,
    allowed_range,
    parse_quantity,
    read_number,
    read_quantity,
    unit_system,
)

PINT = pint.UnitRegistry()
PINT.define("statute_acre = 43560 * foot**2")
PINT_NAMES = {
    "inches": "inch",
    "in": "inch", "in2": "inch**2", "in3": "inch**3", "mm2": "mm**2", "cm2": "cm**2",
    "m2": "m**2", "cm3": "cm**3", "m3": "m**3", "gal": "gallon", "kgf": "kilogram_force",
    "lbf": "pound_force",
    "lb": "pound", "kg/m": "kg/m", "lb/ft": "pound/foot", "N/mm": "N/mm", "kgf/mm": "kilogram_force/mm",
    "lbf/in": "pound_force/inch", "lb/in": "pound_force/inch", "N m": "N*m", "Nm": "N*m", "kN m": "kN*m",
    "kNm": "kN*m", "ft lbf": "foot*pound_force", "lbf ft": "foot*pound_force", "m3/s": "m**3/s",
    "gpm": "gallon/minute", "mm2/s": "mm**2/s", "m2/s": "m**2/s", "kg/m3": "kg/m**3", "kg/L": "kg/L",
    "lb/ft3": "pound/foot**3", "%": "percent", "°": "degree", "deg": "degree", "km/h": "km/hour",
    "mph": "mile/hour", "t": "metric_ton", "daN": "dekanewton", "feet": "foot", "ft": "foot", "°C": "degC",
    "°F": "degF", "bu": "bushel", "ft3": "foot**3", "kg/ha": "kg/hectare",
    "lb/ac": "pound/statute_acre", "ac": "statute_acre", "ha": "hectare",
    "L/min": "L/minute", "l/min": "L/minute", "K": "kelvin",
    "m/s2": "m/s**2", "ft/s2": "foot/s**2", "h": "hour",
}  # fmt: skip
SI = {
    "length": "m", "small length": "m", "large length": "m", "area": "m**2", "volume": "m**3",
    "small volume": "m**3", "mass": "kg", "line mass": "kg/m", "force": "N", "pressure": "Pa", "stress": "Pa",
    "spring rate": "N/m", "moment": "N*m", "flow": "m**3/s", "viscosity": "m**2/s", "density": "kg/m**3",
    "temperature": "kelvin", "speed": "m/s", "oil velocity": "m/s", "angle": "radian",
    "seed volume": "m**3", "seed rate": "kg/m**2", "land": "m**2", "share": "dimensionless",
    "displacement density": "m**3", "time": "s", "acceleration": "m/s**2",
}  # fmt: skip
ALL_UNITS = [(kind, unit) for kind, entry in KINDS.items() for unit in entry.units]


@pytest.mark.parametrize(("kind", "unit"), ALL_UNITS)
def test_every_unit_is_worth_what_pint_says(kind, unit):
    for number in (1.0, 37.5):
        outside = PINT.Quantity(number, PINT_NAMES.get(unit, unit)).to(SI[kind]).magnitude
        assert to_si(number, unit, kind) == pytest.approx(outside, rel=1e-12)
        assert parse_quantity(f"{number} {unit}", kind) == pytest.approx(outside, rel=1e-12)


@pytest.mark.parametrize("kind", DIMENSIONS)
def test_every_kind_has_the_dimensions_pint_says(kind):
    powers = PINT.Quantity(1.0, SI[kind]).dimensionality
    said = tuple(powers.get(f"[{base}]", 0) for base in ("length", "mass", "time"))
    assert said == DIMENSIONS[kind] and len(powers) == sum(power != 0 for power in said)


@pytest.mark.parametrize(
    ("text", "kind", "known"),
    [
        ("1 in", "length", "0.0254"),
        ("1 lb", "mass", "0.45359237"),
        ("1 lbf", "force", "4.4482216152605"),
        ("1 mph", "speed", "0.44704"),
        ("1 gal", "volume", "0.003785411784"),
        ("1 cSt", "viscosity", "0.000001"),
    ],
)
@pytest.mark.outside("NIST", "app. B", "library's documents", "exact factors to SI")
def test_exact_factors(printed, text, kind, known):
    printed(parse_quantity(text, kind), known)
    assert parse_quantity(text, kind) == pytest.approx(float(known), rel=1e-15)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("7 1/2 in", 7.5),
        ("1-1/2 in", 1.5),
        ("-1 1/2 in", -1.5),
        ("1/2 in", 0.5),
        (".5 in", 0.5),
        ("3/16in", 0.1875),
    ],
)
def test_fractions_of_an_inch(text, inches):
    assert parse_quantity(text, "length") == pytest.approx(inches * 0.0254, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("−5 mm", "length", -0.005),
        ("2 N·m", "moment", 2.0),
        ("60\u00a0bar", "pressure", 6e6),
        ("5 m³", "volume", 5.0),
        ("-40 degF", "temperature", 233.15),
        ("1e-6 m3", "displacement density", 1e-6),
    ],
)
def test_typographic_signs_that_mean_one_thing_are_read(text, kind, value):
    assert parse_quantity(text, kind) == pytest.approx(value, rel=1e-12)


REFUSED = [
    ("9,5 mm", "length", '"9,5 mm" has a decimal comma. Use a point: did you mean "9.5 mm"?'),
    ("0,008 mm", "length", '"0,008 mm" has a decimal comma. Use a point: did you mean "0.008 mm"?'),
    ("1,200 lbf", "force", '"1,200 lbf" has a comma in the number, which can mean two things. '
     'Write it without: "1200 lbf", or with a point for a decimal.'),
    ("1 200 N", "force", '"1 200 N" has its thousands set apart. Write the number in one piece: "1200 N".'),
    ("1_200 N", "force", '"1_200 N" has its thousands set apart. Write the number in one piece: "1200 N".'),
    ("5 ft 3 in", "length", '"5 ft 3 in" has two units. Write one: "63 in".'),
    ("7½ in", "length", '"7½ in" has a fraction in one character. Write it out: "7 1/2 in".'),
    ("nan mm", "length", '"nan mm" cannot be read as a number and a unit. A length is written like "50 mm".'),
    ("", "force", '"" cannot be read as a number and a unit. A force is written like "50 N".'),
    ("1e999 mm", "length", '"1e999 mm" is larger than any machine.'),
    ("5 3/2 in", "length", '"5 3/2 in": 3/2 is not a fraction below one. Write it like "7 1/2 in".'),
    ("1/0 in", "length", '"1/0 in": 1/0 is not a fraction below one. Write it like "7 1/2 in".'),
    ("“5 mm”", "length", '"“5 mm”" holds curly quotes. Use the straight quote " of a plain-text editor.'),
    ("5", "length", '"5" has no unit. A length is in mm, cm, m, in or ft. Write it like "5 mm".'),
    ("90 kg", "force", '"90 kg" is a mass, and a force is wanted, in N, kN, daN, kgf or lbf. '
     'Did you mean "90 kgf"?'),
    ("90 lb", "force", '"90 lb" is a mass, and a force is wanted, in N, kN, daN, kgf or lbf. '
     'Did you mean "90 lbf"?'),
    ("90 lbf", "mass", '"90 lbf" is a force, and a mass is wanted, in kg, t or lb. Did you mean "90 lb"?'),
    ("60 psi", "force", '"60 psi" is a pressure, and a force is wanted, in N, kN, daN, kgf or lbf.'),
    ("60 Bar", "pressure", '"60 Bar" has a unit that is not known here, "Bar". '
     'A pressure is in bar, kPa, MPa or psi. Did you mean "60 bar"?'),
    ("30 ft-lb", "moment", '"30 ft-lb" has a unit that is not known here, "ft-lb". '
     'A moment is in N m, kN m or ft lbf. Did you mean "30 ft lbf"?'),
]  # fmt: skip


@pytest.mark.parametrize(("text", "kind", "sentence"), REFUSED)
def test_refusal_says_what_to_write(text, kind, sentence):
    with pytest.raises(ValueError) as refusal:
        parse_quantity(text, kind)
    assert str(refusal.value) == sentence


@pytest.mark.parametrize(
    ("text", "kind", "low", "high", "meant"),
    [
        ("381 mm", "length", 0.012, 0.12, "38.1 mm"),
        ("38.1 in", "length", 0.012, 0.12, "38.1 mm"),
        ("1.5 mm", "length", 0.012, 0.12, "1.5 in"),
        ("60 psi", "pressure", 20e5, 350e5, "60 bar"),
        ("870 bar", "pressure", 20e5, 350e5, "870 psi"),
        ("104 degC", "temperature", 233.15, 373.15, "104 degF"),
    ],
)
def test_out_of_range_names_the_likely_typo(text, kind, low, high, meant):
    with pytest.raises(ValueError, match="outside what such a machine can be") as refusal:
        read_quantity(text, kind, low, high)
    assert str(refusal.value).endswith(f'Did you mean "{meant}"?')


@pytest.mark.parametrize("value", [60, 60.5, True, [1], {"a": 1}, None, float("nan"), float("inf")])
def test_anything_but_text_is_refused_with_the_range(value):
    with pytest.raises(ValueError, match=r"Allowed: 20 bar to 350 bar \(291 psi to 5070 psi\)"):
        read_quantity(value, "pressure", 20e5, 350e5)


def test_whole_numbers_arrive_as_int_and_others_as_float():
    assert type(read_number(4, 1, 9, whole=True)) is int
    assert type(read_number(4.0, 1, 9, whole=True)) is int
    assert type(read_number(4, 1, 9)) is float


@pytest.mark.parametrize("value", ["4", True, 4.5, 0, 10, float("nan"), float("inf"), [4]])
def test_numbers_that_are_none_are_refused(value):
    with pytest.raises(
        ValueError, match="Allowed: a whole number from 1 to 9, without quotes and without unit"
    ):
        read_number(value, 1, 9, whole=True)


finite = st.floats(min_value=1e-3, max_value=1e6)


@settings(deadline=None, max_examples=200)
@given(st.sampled_from(ALL_UNITS), finite)
def test_text_to_si_and_back(kind_unit, number):
    kind, unit = kind_unit
    assert from_si(parse_quantity(f"{number!r} {unit}", kind), unit, kind) == pytest.approx(
        number, rel=1e-9, abs=1e-9
    )


@settings(deadline=None, max_examples=300)
@given(st.sampled_from(sorted(KINDS)), st.sampled_from([METRIC, US]), finite)
def test_shown_text_reads_back_within_half_a_step(kind, system, value):
    text = system.show(kind, value)
    half_step = system.si(kind, system.step(kind)) - system.si(kind, 0.0)
    assert abs(parse_quantity(text, kind) - value) <= 0.5 * half_step * (1 + 1e-6) + 1e-9 * value


@settings(deadline=None, max_examples=300)
@given(st.sampled_from(ALL_UNITS), finite, st.floats(1.1, 1e3))
def test_limits_we_print_are_themselves_allowed(kind_unit, low, factor):
    kind, unit = kind_unit
    assume(kind != "temperature" or low > 100)  # three digits cannot tell apart 1 and 2 kelvin in degC
    text = allowed_range(kind, low, low * factor, unit)
    for limit in text.split(" (")[0].split(" to "):
        read_quantity(limit, kind, low, low * factor)


@settings(deadline=None, max_examples=400)
@given(st.text(max_size=25), st.sampled_from(sorted(KINDS)))
def test_no_text_raises_anything_but_a_sentence(text, kind):
    try:
        parse_quantity(text, kind)
    except ValueError as refusal:
        assert str(refusal).endswith((".", "?"))


def test_display_in_both_systems():
    assert METRIC.both("pressure", 60e5) == "60 bar (870 psi)"
    assert US.both("force", 222.6) == "50 lbf (223 N)"
    assert METRIC.both("viscosity", 46e-6) == "46 cSt"
    assert METRIC.show("length", 0.0381, digits=1) == "38.1 mm"
    assert METRIC.show("force", -0.2) == "0 N"
    assert METRIC.show("force", float("nan")) == "no value"
    assert US.unit("pressure") == "psi"
    assert US.number("pressure", 60e5) == pytest.approx(870.226, abs=5e-4)
    assert unit_system("US") is US
    assert METRIC.other is US


def test_unknown_unit_system_is_refused():
    with pytest.raises(ValueError, match='Units are "metric" or "US"; got \'imperial\''):
        unit_system("imperial")
