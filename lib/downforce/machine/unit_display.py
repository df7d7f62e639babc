"""Metric and US pages: SI values as text a person reads, rounded no finer than anyone can set or read."""

from dataclasses import dataclass
from math import isfinite, log10

from downforce.machine.unit_table import KINDS, from_si, to_si
from downforce.physics.kinds import Amount, Pascal, Ratio

NO_VALUE = "no value"
"""Shown in place of a value that does not exist [-]."""

GAUGE_STEP = {"metric": 5.0, "US": 75.0}
"""One step of the gauge, in bar and in psi, the same on every page; common practice, no source."""

_RAISED = {"cm2": "cm²", "in2": "in²"}


@dataclass(frozen=True)
class UnitSystem:
    """The units one reader is used to.

    name: "metric" or "US".
    """

    name: str

    def unit(self, kind: str) -> str:
        """Unit a kind is shown in.

        kind: kind of quantity, such as "pressure".
        """
        return self._shown(kind).unit

    def step(self, kind: str) -> Amount:
        """Rounding of a kind; also a fair step for a slider."""
        return self._shown(kind).step

    @property
    def gauge_step(self) -> Pascal:
        """One step of the gauge, by which a setting is changed between two digs."""
        return float(self.si("pressure", GAUGE_STEP[self.name]))

    @property
    def gauge_step_text(self):
        """The same with its unit, such as "75 psi"."""
        return f"{GAUGE_STEP[self.name]:.0f} {self.unit('pressure')}"

    def number(self, kind: str, value: Amount) -> Amount:
        """SI value in the unit shown, not rounded."""
        return from_si(value, self.unit(kind), kind)

    def si(self, kind: str, number: Amount) -> Amount:
        """SI value of a number in the unit shown."""
        return to_si(number, self.unit(kind), kind)

    def show(self, kind: str, value: Amount, digits: int | None = None) -> str:
        """Text of an SI value with its unit.

        digits: decimals to show instead of the usual rounding.
        Result: such as "60 bar", or "no value" for NaN and infinity.
        """
        number = float(self.number(kind, value))
        if not isfinite(number):
            return NO_VALUE
        step = self.step(kind) if digits is None else 10.0**-digits
        unit = self.unit(kind)
        text = f"{_rounded(number, step)} {_RAISED.get(unit, unit)}"
        return text.replace("-", "\N{MINUS SIGN}")

    def both(self, kind: str, value: Amount, digits: int | None = None) -> str:
        """Text in this system with the other system in brackets.

        digits: decimals to show in both instead of the usual rounding.
        Result: such as "60 bar (870 psi)"; no bracket where both systems use one unit.
        """
        first = self.show(kind, value, digits)
        if first == NO_VALUE or self.other.unit(kind) == self.unit(kind):
            return first
        return f"{first} ({self.other.show(kind, value, digits)})"

    @property
    def other(self):
        """The other unit system."""
        return US if self.name == "metric" else METRIC

    def _shown(self, kind):
        entry = KINDS[kind]
        return entry.metric if self.name == "metric" else entry.us


METRIC = UnitSystem("metric")
"""Millimetres, newtons, bar [-]."""
US = UnitSystem("US")
"""Inches, pounds force, psi [-]."""


def unit_system(name) -> UnitSystem:
    """Unit system by its name in a drill file.

    name: "metric" or "US".
    """
    if name not in ("metric", "US"):
        raise ValueError(f'Units are "metric" or "US"; got {name!r}.')
    return METRIC if name == "metric" else US


def percent(share: Ratio, decimals=0):
    """A share in per cent, on every page and card.

    decimals: for what is judged against a limit: more than none.
    Result: such as "83 %"; "under 1 %" and "over 99 %" where rounding would claim nothing or all; "none at
        all" for what has no end.

    >>> percent(0.834), percent(0.001), percent(1.0), percent(0.9999, 1), percent(-0.031)
    ('83 %', 'under 1 %', '100 %', 'over 99.9 %', '−3 %')
    """
    if not isfinite(share):
        return NO_VALUE if share != share else "none at all"
    least = 10.0**-decimals
    # A hair of nothing or of all is the sum's, not the soil's.
    if 1e-9 < share <= 0.005 * least:
        return f"under {least:g} %"
    if 1 - 0.005 * least <= share < 1 - 1e-9:
        return f"over {100 - least:g} %"
    return f"{_rounded(100.0 * float(share), least)} %".replace("-", "\N{MINUS SIGN}")


def _rounded(number, step):
    decimals = max(0, -int(log10(step) // 1))
    text = f"{round(number / step) * step:.{decimals}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text
