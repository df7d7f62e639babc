"""Quoted values with their units: read into SI, or refused in a sentence that says what to write.

Reading is strict on purpose. What could be read in two ways is refused, with the likely meaning.
"""

import re
from difflib import get_close_matches
from math import floor, isfinite, log10

from downforce.machine.files import shown
from downforce.machine.unit_table import KINDS, METRIC, US, UnitSystem, from_si, to_si, unit_system
from downforce.physics.kinds import Amount, Ratio

__all__ = [
    "METRIC",
    "US",
    "UnitSystem",
    "parse_difference",
    "parse_number",
    "parse_quantity",
    "read_number",
    "read_quantity",
    "unit_system",
    "unit_written",
]

LEAST_PRESSURE = 1e4
"""Pressure above nothing that oil on a drill has anywhere [Pa]. Our own limit."""
_LONGEST = 80
"""Characters of the longest number with its unit [-]."""
_DECIMAL = r"(?:\d+(?:\.\d+)?|\.\d+)(?:[eE][+-]?\d+)?"
_FRACTION = r"(?:(?P<whole>\d+)[ -])?(?P<top>\d+)/(?P<bottom>\d+)"
# Digits are 0 to 9 (re.ASCII): Python reads those of other scripts as numbers too, and a reader may not.
_QUANTITY = re.compile(
    rf"(?P<sign>[+-]?)(?:{_FRACTION}|(?P<decimal>{_DECIMAL}))(?![\d.,])\s*(?P<unit>.*)", re.ASCII
)
_COMMA = re.compile(r"([+-]?\d{1,3}(?:,\d+)+)(.*)", re.ASCII)
_THOUSANDS = re.compile(r"[+-]?\d{1,3}(?:[ '’_]\d{3})+(?![\d/])", re.ASCII)
_FEET_INCHES = re.compile(r"(\d+(?:\.\d+)?) ?ft ?(\d+(?:\.\d+)?) ?in", re.ASCII)
_TYPOGRAPHIC_FRACTION = re.compile(r"(\d*)\s*([¼½¾⅛⅜⅝⅞⅓⅔])\s*(.*)", re.ASCII)
_WRITTEN_OUT = "1/4", "1/2", "3/4", "1/8", "3/8", "5/8", "7/8", "1/3", "2/3"
_FRACTIONS = dict(zip("¼½¾⅛⅜⅝⅞⅓⅔", _WRITTEN_OUT, strict=True))

_HUGE = 1e30
"""A whole number beyond it may be too large for a decimal one [any]."""
_MEANT = {
    written: meant
    for meant, slips in (
        (("kgf",), ("kg",)),
        (("kg", "kgf"), ("kilo",)),
        (("kN",), ("t",)),
        (("lbf",), ("lb",)),
        (("lbf", "lb"), ("lbs", "lbs.", "pounds", "#")),
        (("lb",), ("lbf",)),
        (("kg",), ("kgf",)),
        (("t",), ("ton", "tons", "tonnes")),
        (("ft",), ("'", "foot")),
        (("in",), ("''", "”", "″")),
        (("degC",), ("C", "deg C", "deg")),
        (("degF",), ("F", "deg F")),
        (("km/h",), ("kmh", "kph")),
        (("gpm",), ("gal/min",)),
        (("L/min",), ("lpm",)),
        (("ft lbf",), ("ft lb", "ft-lb", "ft lbs")),
        (("lbf ft",), ("lb ft",)),
        (("%",), ("percent",)),
        (("lbf/in",), ("lb/inch", "lbs/in")),
        (("mm",), ("m",)),
    )
    for written in slips
}
"""What was likely meant by a unit that is not of the kind, best first."""


def parse_quantity(text, kind) -> Amount:
    """SI value of a number with a unit.

    text: such as "38.1 mm", "7 1/2 in", "1-1/2 in", "-5 degC".
    """
    number, unit = _split(text, kind)
    return float(to_si(number, unit, kind))


def parse_difference(text, kind):
    """SI size of a step in a kind of quantity; on the temperature scales it has no zero of its own."""
    number, unit = _split(text, kind)
    return number * KINDS[kind].units[unit]


def parse_number(text):
    """A plain number that stands in quotes because something stands behind it, read as strictly as others."""
    clean = _tidy(text)
    _refuse_ambiguous(text, clean)
    found = _QUANTITY.fullmatch(clean)
    if not found or found["unit"]:
        raise ValueError(f'"{text}" is not a plain number. It is written without unit, like "0.6".')
    return _number(found, text)


def unit_written(text):
    """Unit behind the number of a text, "" when there is none; None when no number stands there."""
    found = _QUANTITY.fullmatch(_tidy(text)) if len(text) <= _LONGEST else None
    return found["unit"] if found else None


def read_quantity(value, kind, low: Amount, high: Amount, outside="what such a machine can be") -> Amount:
    """SI value of what stands in a file, within limits."""
    if not isinstance(value, str):
        raise ValueError(_not_text(value, kind, low, high))
    number, unit = _split(value, kind)
    si = float(to_si(number, unit, kind))
    # A limit as it is printed, in any unit, may differ from the stored one in the last place.
    slack = 1e-9 * max(abs(low), abs(high))
    if kind == "pressure" and low == 0.0 < si < LEAST_PRESSURE:
        meant = next((u for u in ("bar", "psi") if low <= to_si(number, u, kind) <= high), None)
        guess = f' Did you mean "{number:.10g} {meant}"?' if meant else ""
        raise ValueError(f'"{value}" is next to no pressure.{guess} For none write "0 bar".')
    if low - slack <= si <= high + slack:
        return min(max(si, low), high)
    guess = likely_meant(number, unit, kind, low, high)
    allowed = allowed_range(kind, low, high, unit)
    raise ValueError(f'"{value}" is outside {outside}. Allowed: {allowed}.{guess}')


def read_number(value, low: Ratio, high: Ratio, whole=False) -> int | Ratio:
    """A number without unit, within limits.

    whole: whether only whole numbers are allowed.
    Result: the number; an int where only whole numbers are allowed.
    """
    noun = "a whole number" if whole else "a number"
    allowed = f"Allowed: {noun} from {low:g} to {high:g}, without quotes and without unit"
    if isinstance(value, bool) or not isinstance(value, int | float):
        bare = isinstance(value, str) and re.fullmatch(
            rf"[+-]?{_DECIMAL}", value.strip()[:_LONGEST], re.ASCII
        )
        hint = f" Write {shown(value)} without the quotes." if bare else ""
        raise ValueError(f"{as_written(value)} is not a plain number. {allowed}.{hint}")
    if not low <= value <= high:
        raise ValueError(f"{as_written(value)} is outside what is possible. {allowed}.")
    if whole and value != int(value):
        raise ValueError(f"{value:g} is not a whole number. {allowed}.")
    return int(value) if whole else float(value)


def allowed_range(kind, low: Amount, high: Amount, unit=None):
    """Text of a range, in the reader's unit with the other unit system in brackets.

    unit: unit the reader used; the metric one if none.
    Result: such as "12 mm to 120 mm (0.473 in to 4.72 in)"; limits are rounded inward.
    """
    entry = KINDS[kind]
    unit = unit or entry.metric.unit
    imperial = unit in ("in", "inch", "inches", "ft", "feet", "lb", "°F", "degF", "gal", "gpm", "mph", "psi")
    imperial = imperial or "lb" in unit
    other = entry.metric.unit if imperial else entry.us.unit
    text = _range(kind, low, high, unit)
    same = entry.units[other] == entry.units[unit]
    return text if same else f"{text} ({_range(kind, low, high, other)})"


def as_written(value):
    """A value as its writer would recognise it."""
    if isinstance(value, str):
        return f'"{shown(value)}"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int):
        return shown(str(value))
    if isinstance(value, float):
        return f"{value:.12g}"
    if isinstance(value, dict):
        return "a table with keys of its own"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    return str(value)


def _split(text, kind):
    clean = _tidy(text)
    _refuse_ambiguous(text, clean)
    found = _QUANTITY.fullmatch(clean)
    if not found:
        example = f'{_noun(kind)} is written like "{_example(kind)}"'
        raise ValueError(f'"{text}" cannot be read as a number and a unit. {example}.')
    number = _number(found, text)
    unit = found["unit"]
    if unit in KINDS[kind].units:
        return number, unit
    written = clean[: found.start("unit")].strip()
    if kind == "share" and not unit and number <= 1:
        written = f"{100 * number:g}"
    raise ValueError(_wrong_unit(text, written, unit, kind))


def _refuse_ambiguous(text, clean):
    """Separators before anything else: "1 200 N" and "1,200 N" would be read as 1 and a strange unit."""
    for refuse in (
        _refuse_quotes,
        _refuse_comma,
        _refuse_thousands,
        _refuse_feet_inches,
        _refuse_typographic,
    ):
        refuse(text, clean)


def _tidy(text):
    for written, plain in (
        ("\u2212", "-"),
        ("·", " "),
        ("²", "2"),
        ("³", "3"),
        ("\u00a0", " "),
        ("\u202f", " "),
    ):
        text = text.replace(written, plain)
    clean = " ".join(text.split())
    if len(clean) > _LONGEST:
        raise ValueError(f"{as_written(clean)} is too long for a number with its unit.")
    return clean


def _number(found, text):
    sign = -1.0 if found["sign"] == "-" else 1.0
    if found["decimal"]:
        number = float(found["decimal"])
        if not isfinite(number):
            raise ValueError(f'"{text}" is larger than any machine.')
        return sign * number
    whole, top, bottom = int(found["whole"] or 0), int(found["top"]), int(found["bottom"])
    if bottom == 0 or (found["whole"] and top >= bottom):
        raise ValueError(f'"{text}": {top}/{bottom} is not a fraction below one. Write it like "7 1/2 in".')
    return sign * (whole + top / bottom)


def _refuse_quotes(text, clean):
    if re.search("[“”„‘’«»]", text) and re.match("[“”„‘’«»]", clean):
        raise ValueError(f'"{text}" holds curly quotes. Use the straight quote " of a plain-text editor.')


def _refuse_comma(text, clean):
    found = _COMMA.match(clean)
    if not found:
        return
    number, rest = found.groups()
    parts = number.split(",")
    if len(parts) == 2 and not rest.startswith(".") and not (len(parts[1]) == 3 and parts[0].strip("+-0")):
        raise ValueError(
            f'"{text}" has a decimal comma. Use a point: did you mean "{number.replace(",", ".")}{rest}"?'
        )
    raise ValueError(
        f'"{text}" has a comma in the number, which can mean two things. '
        f'Write it without: "{number.replace(",", "")}{rest}", or with a point for a decimal.'
    )


def _refuse_thousands(text, clean):
    found = _THOUSANDS.match(clean)
    if found:
        joined = re.sub("[ '’_]", "", found[0])
        meant = f"{joined}{clean[found.end() :]}"
        raise ValueError(f'"{text}" has its thousands set apart. Write the number in one piece: "{meant}".')


def _refuse_feet_inches(text, clean):
    found = _FEET_INCHES.fullmatch(clean)
    if found:
        inches = 12 * float(found[1]) + float(found[2])
        raise ValueError(f'"{text}" has two units. Write one: "{inches:g} in".')


def _refuse_typographic(text, clean):
    found = _TYPOGRAPHIC_FRACTION.fullmatch(clean)
    if found:
        plain = " ".join(filter(None, (found[1], _FRACTIONS[found[2]], found[3])))
        raise ValueError(f'"{text}" has a fraction in one character. Write it out: "{plain}".')


def _wrong_unit(text, number, unit, kind):
    noun, offered = KINDS[kind].noun, _listed(KINDS[kind].offered)
    wanted = f"{_noun(kind)} is in {offered}"
    meant = _meant_unit(unit, kind)
    guess = f' Did you mean "{number} {meant}"?' if meant else ""
    if not unit:
        return f'"{text}" has no unit. {wanted}. Write it like "{number} {KINDS[kind].offered[0]}".'
    owner = next((entry.noun for entry in KINDS.values() if unit in entry.units), None)
    if owner:
        return f'"{text}" is {owner}, and {noun} is wanted, in {offered}.{guess}'
    return f'"{text}" has a unit that is not known here, "{unit}". {wanted}.{guess}'


def _meant_unit(unit, kind):
    known = KINDS[kind].units
    for candidate in _MEANT.get(unit, ()):
        if candidate in known:
            return candidate
    for candidate in known:
        if candidate.lower() == unit.lower():
            return candidate
    close = get_close_matches(unit, known, 1, 0.6) if len(unit) > 1 else []
    return close[0] if close else None


def _not_text(value, kind, low, high):
    entry = KINDS[kind]
    allowed = f"Allowed: {allowed_range(kind, low, high)}"
    if isinstance(value, bool) or not isinstance(value, int | float):
        wanted = f'{entry.noun} is wanted, written like "{_example(kind)}"'
        return f"{as_written(value)} stands where {wanted}. {allowed}."
    if not abs(value) < _HUGE:
        return f"{as_written(value)} is not a number a machine can have. {allowed}."
    written = as_written(value)
    if kind == "share":
        return f'{written} is a bare number. Write it in quotes with the percent sign: "{100 * value:g} %".'
    units = dict.fromkeys((entry.metric.unit, entry.us.unit))
    examples = " or ".join(f'"{written} {_plain(u)}"' for u in units)
    return f"{written} is a bare number. Write it in quotes with its unit, such as {examples}. {allowed}."


def likely_meant(number, unit, kind, low, high):
    """The likely typo: the same number in another unit, or the decimal point elsewhere."""
    entry = KINDS[kind]
    # The two units most used come first: whoever drops a unit's meaning takes the other page's number.
    units = (_plain(entry.us.unit), _plain(entry.metric.unit), *entry.offered)
    candidates = [(number, other) for other in units]
    candidates += [(number * factor, unit) for factor in (0.1, 10.0, 0.01, 100.0, 0.001, 1000.0)]
    candidates += [(-number, unit)]
    for value, name in candidates:
        if value and low <= to_si(value, name, kind) <= high:
            return f' Did you mean "{value:.10g} {name}"?'
    return ""


def _range(kind, low, high, unit):
    least, most = (from_si(limit, unit, kind) for limit in (low, high))
    return f"{_inward(least, +1)} {_plain(unit)} to {_inward(most, -1)} {_plain(unit)}"


def _inward(number, direction):
    """Three digits, rounded into the allowed range, so that the limit we print is itself allowed."""
    if abs(number) < 1e-12:
        return "0"
    decimals = 2 - floor(log10(abs(number)))
    nearest = round(number, decimals)
    if (nearest - number) * direction < -1e-9 * abs(number):
        nearest = round(nearest + direction * 10.0**-decimals, decimals)
    return f"{nearest:.10g}"


def _noun(kind):
    noun = KINDS[kind].noun
    return noun[0].upper() + noun[1:]


def _example(kind):
    shown = KINDS[kind].metric
    number = {"temperature": 40, "share": 95, "angle": 60}.get(kind, 50)
    return f"{number} {_plain(shown.unit)}"


def _plain(unit):
    return unit.replace("°C", "degC").replace("°F", "degF")


def _listed(words):
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
