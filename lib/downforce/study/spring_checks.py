"""A coil worked out from its wire, and a measured spring fitted.

The coil: rate, lengths, and whether the wire stands the upper stop and closing. The measured spring: rate,
free length and preload, with their uncertainty. Readings of a slack spring, and of one that touches coil on
coil, do not lie on its line; they are told apart by the fit itself, not by hand.
"""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.actuators import Coil, SpringSet
from downforce.physics import kinds as si
from downforce.physics import spring, spring_kinds
from downforce.physics.checks import between, finite, not_negative, positive

ENDS = "squared ground"
"""Ends assumed for an opener's spring [-]."""


@dataclass(frozen=True)
class CoilCheck:
    """One round-wire compression coil.

    compression: from free to closed.
    stop_comes_first: whether the opener meets its upper stop before the coils close.
    allowed_stress: static torsional strength of this wire before set removal.
    shape_in_range, wire_in_range: whether index and coils, and the wire's diameter, are those the formulas
        were published for.
    """

    rate: si.NewtonPerMetre
    index: si.Ratio
    solid_length: si.Metre
    compression: si.Metres
    stress: si.Pascals
    stress_at_work: si.Pascal
    stress_at_stop: si.Pascal
    stress_closed: si.Pascal
    stop_comes_first: bool
    allowed_stress: si.Pascal
    shape_in_range: bool
    wire_in_range: bool


@dataclass(frozen=True)
class CoilBuild:
    """How a coil of known rate and solid length may have been wound.

    holds: whether it can be wound and is not overstressed at the upper stop. If False, no wire tried does
        that.
    """

    wire_diameter: si.Metre
    mean_diameter: si.Metre
    active_coils: si.Ratio
    holds: bool


def coil_check(
    wire_diameter: si.Metre,
    mean_diameter: si.Metre,
    active_coils: si.Ratio,
    free_length: si.Metre,
    wire,
    shear_modulus: si.Pascal,
    working_compression: si.Metre,
    stop_compression: si.Metre,
) -> CoilCheck:
    """Rate and stress of a coil from free to closed.

    mean_diameter: outside diameter of the coil less one wire diameter.
    wire: name of the wire, a key of `downforce.physics.spring_kinds.WIRES`.
    working_compression, stop_compression: at working height and at the upper stop of the opener; beyond
        closed counts as closed.
    """
    solid = float(spring.solid_length(wire_diameter, active_coils, ENDS))
    way = float(positive("free_length minus solid_length", free_length - solid))
    rate = float(spring.coil_rate(wire_diameter, mean_diameter, active_coils, shear_modulus))
    index = float(spring.spring_index(wire_diameter, mean_diameter))
    factor = spring_kinds.bergstraesser_factor(index)

    def stress(compression):
        return spring_kinds.coil_shear_stress(rate * compression, wire_diameter, mean_diameter, factor)

    used = min(float(not_negative("working_compression", working_compression)), way)
    stop = float(not_negative("stop_compression", stop_compression))
    kind = spring_kinds.WIRES[wire]
    compression = np.linspace(0.0, way, 2)
    return CoilCheck(
        rate,
        index,
        solid,
        compression,
        stress(compression),
        float(stress(used)),
        float(stress(min(stop, way))),
        float(stress(way)),
        stop < way,
        float(allowed_stress(wire, wire_diameter)),
        bool(spring.shape_in_range(wire_diameter, mean_diameter, active_coils)),
        bool(spring_kinds.wire_in_range(wire_diameter, kind)),
    )


def allowed_stress(wire, wire_diameter: si.Metre) -> si.Pascal:
    """Shear stress a wire stands before it takes a set.

    wire: name of the wire, a key of `downforce.physics.spring_kinds.WIRES`.
    Result: static torsional strength before set removal.
    """
    return spring_kinds.ALLOWED_TORSION_SHARE[wire] * spring_kinds.wire_strength(
        wire_diameter, spring_kinds.WIRES[wire]
    )


def shear_modulus_of(wire, wire_diameter: si.Metre) -> si.Pascal:
    """Shear modulus of a wire from the shipped table.

    wire_diameter: diameter; for some wires the modulus changes with it.
    """
    from downforce.machine.shipped import read_table

    table = read_table("spring_moduli")
    rows = table[table["wire"] == wire]
    if rows.empty:
        raise ValueError(
            f"There is no wire {wire!r} in the table; there are: {', '.join(table['wire'].unique())}."
        )
    millimetres = wire_diameter * 1e3
    upper = rows["up_to_mm"].fillna(np.inf).to_numpy()
    return float(rows["shear_modulus_GPa"].to_numpy()[np.argmax(millimetres <= upper)]) * 1e9


def coil_of(
    coil: Coil, wire, shear_modulus: si.Pascal, wire_diameters: si.Metres, stop_compression: si.Metre
) -> CoilBuild:
    """A wire, a mean diameter and a number of coils that make a given coil: its likely build.

    coil: rate, free and solid length.
    wire: name of the wire, a key of `downforce.physics.spring_kinds.WIRES`.
    stop_compression: compression at the upper stop of the opener; beyond closed counts as closed.
    Result: of the builds that are not overstressed at the upper stop and can be wound, the one whose spring
        index lies nearest to 7. If there is none: of those that can be wound, the least stressed; and if no
        wire can be wound into this coil, the one whose index lies nearest to 7.

    Squared and ground ends: Na = Ls / d - 2; then D = (G d^4 / (8 k Na))^(1/3) by the rate formula. Can be
    wound: spring index in the advised range, and no fewer active coils than advised. A maker winds a spring
    that lasts; so a guess that sets at the stop is a bad guess.
    """
    diameter = np.asarray(wire_diameters, dtype=float)
    active = np.maximum(coil.solid_length / diameter - 2, 0.5)
    mean = np.cbrt(shear_modulus * diameter**4 / (8 * coil.rate * active))
    index = mean / diameter
    least, most = spring.SPRING_INDEX_RANGE
    wound = (index >= least) & (index <= most) & (active >= spring.ACTIVE_COILS_RANGE[0])
    way = min(float(not_negative("stop_compression", stop_compression)), coil.free_length - coil.solid_length)
    # The factor is for coils that can be wound; the others are left out below.
    factor = spring_kinds.bergstraesser_factor(np.where(wound, index, most))
    stress = spring_kinds.coil_shear_stress(coil.rate * way, diameter, mean, factor)
    used = np.where(wound, stress / allowed_stress(wire, diameter), np.inf)
    holds = used <= 1
    off = np.abs(index - 7)
    if np.any(holds):
        best = int(np.argmin(np.where(holds, off, np.inf)))
    else:
        best = int(np.argmin(used if np.any(wound) else off))
    return CoilBuild(float(diameter[best]), float(mean[best]), float(active[best]), bool(holds[best]))


FEWEST_WORKING = 4
"""Readings on the line below which a scatter cannot be judged [-]."""
_DOUBT = 0.01
_MOST_BOUND = 0.25


@dataclass(frozen=True)
class SpringFit:
    """The straight part of a measured spring.

    rate_half_width: half of its confidence interval.
    free_length: length where the push begins.
    free_length_half_width: half of its confidence interval.
    scatter: standard deviation of the working readings about the line.
    regime: "slack", "working" or "coil-bind", one for each reading.
    residual: reading less fit.
    """

    length: si.Metres
    spring_force: si.Newtons
    rate: si.NewtonPerMetre
    rate_half_width: si.NewtonPerMetre
    free_length: si.Metre
    free_length_half_width: si.Metre
    scatter: si.Newton
    regime: si.Texts
    residual: si.Newtons
    confidence: si.Ratio

    @property
    def working(self) -> bool:
        """Whether each reading lies on the line."""
        return self.regime == "working"

    def force_at(self, length: si.Metre) -> si.Newton:
        """Force the fit gives at a length: the preload, at an installed length.

        Result: zero when slack.
        """
        return self.rate * np.maximum(self.free_length - finite("length", length), 0.0)

    def half_width_at(self, length: si.Metre) -> si.Newton:
        """Half of the confidence interval of that force.

        Result: narrowest in the middle of the readings; zero when slack.

        t s sqrt(1/n + (L - Lm)^2 / Sxx), for the mean force at L.
        """
        at = finite("length", length)
        used = self.length[self.working]
        spread = np.sum((used - used.mean()) ** 2)
        width = _quantile(self.confidence, used.size - 2) * self.scatter
        width = width * np.sqrt(1 / used.size + (at - used.mean()) ** 2 / spread)
        return np.where(at < self.free_length, width, 0.0)[()]


def fit_spring(length: si.Metres, spring_force: si.Newtons, confidence: si.Ratio = 0.95) -> SpringFit:
    """Rate and free length of a measured spring, slack and closed readings told apart.

    Least squares of F = k max(L0 - L, 0) with k and L0 unknown. For any choice of which readings work the
    best line is an ordinary regression, so the best of all choices is found exactly. Then the shortest
    reading is judged by the line of the others: one that lies above it by more than 99 % of readings would is
    in coil-bind, and the next shortest is judged in its turn. Intervals are those of a straight line through
    the working readings (Student's t). Lengths are taken as exact.
    """
    at, force = finite("length", length), finite("spring_force", spring_force)
    confidence = float(between("confidence", confidence, 0.5, 0.999))
    if at.ndim != 1 or at.shape != force.shape:
        raise ValueError(
            f"length and spring_force must be lists of one size; got shapes {at.shape} and {force.shape}."
        )
    positive("length", at)
    order = np.argsort(at, kind="stable")
    bound = _coil_bound(at[order], force[order])
    kept = order[bound:]
    rate, free = _hinge(at[kept], force[kept])
    regime = np.where(at < free, "working", "slack").astype("<U9")
    regime[order[:bound]] = "coil-bind"
    works = regime == "working"
    residual = force - rate * np.maximum(free - at, 0.0)
    scatter = float(np.sqrt(np.sum(residual[works] ** 2) / (works.sum() - 2)))
    middle = at[works].mean()
    spread = float(np.sum((at[works] - middle) ** 2))
    factor = _quantile(confidence, works.sum() - 2) * scatter
    away = float(np.sqrt(1 / works.sum() + (free - middle) ** 2 / spread))
    return SpringFit(
        at,
        force,
        rate,
        factor / np.sqrt(spread),
        free,
        factor * away / rate,
        scatter,
        regime,
        residual,
        confidence,
    )


def straight_line(length: si.Metres, spring_force: si.Newtons) -> tuple[si.NewtonPerMetre, si.Metre]:
    """Rate and free length if a straight line is drawn through every reading, slack ones and all.

    Result: the wrong rate and the wrong free length, to show what telling apart is worth.
    """
    slope, start = _line(finite("length", length), finite("spring_force", spring_force))
    return -slope, -start / slope


def measured_set(spring: SpringSet, fit: SpringFit) -> SpringSet:
    """The drill's spring set with the measured coil in the place of its own.

    spring: the drill's springs: pins, fittings and adjuster stay.
    fit: the measured coil; its shortest reading is taken as closed.
    Result: one coil with the measured rate and free length.
    """
    coil = Coil(float(fit.rate), float(fit.free_length), float(fit.length.min()))
    return replace(spring, coils=(coil,))


def _coil_bound(at, force):
    """How many of the shortest readings lie too high for the line of the longer ones."""
    for count in range(int(_MOST_BOUND * at.size) + 1):
        rest = slice(count + 1, None)
        if not _enough(at[rest], force[rest]):
            return count
        rate, free = _hinge(at[rest], force[rest])
        used = at[rest][at[rest] < free]
        left = force[rest][: used.size] - rate * (free - used)
        scatter = np.sqrt(np.sum(left**2) / (used.size - 2))
        spread = np.sum((used - used.mean()) ** 2)
        width = scatter * np.sqrt(1 + 1 / used.size + (at[count] - used.mean()) ** 2 / spread)
        above = force[count] - rate * (free - at[count])
        if above <= _quantile(1 - 2 * _DOUBT, used.size - 2) * width + 1e-9 * abs(force[count]):
            return count
    return count


def _enough(at, force):
    try:
        _, free = _hinge(at, force)
    except ValueError:
        return False
    return np.sum(at < free) >= FEWEST_WORKING


def _hinge(at, force):
    """Best rate and free length; lengths ascending."""
    best = None
    for count in range(FEWEST_WORKING, at.size + 1):
        used, push = at[:count], force[:count]
        if np.unique(used).size < 3:
            continue
        slope, start = _line(used, push)
        if slope >= 0:
            continue
        free = -start / slope
        # A line whose free length lies on the wrong side of its own readings is no spring.
        if free <= used[-1] or (count < at.size and free > at[count]):
            free = float(np.clip(free, np.nextafter(used[-1], 1e9), at[min(count, at.size - 1)]))
            way = np.maximum(free - used, 0.0)
            slope = -float(way @ push) / float(way @ way)
        miss = float(np.sum((force + slope * np.maximum(free - at, 0.0)) ** 2))
        if best is None or miss < best[0]:
            best = (miss, -slope, free)
    if best is None or best[1] <= 0:
        raise ValueError(
            f"These {at.size} readings hold no straight part of {FEWEST_WORKING} or more that falls with "
            "length. Read the spring at more lengths between free and closed."
        )
    return best[1], best[2]


def _line(at, force):
    middle, mean = at.mean(), force.mean()
    slope = float(np.sum((at - middle) * (force - mean)) / np.sum((at - middle) ** 2))
    return slope, float(mean - slope * middle)


def _quantile(confidence, freedom):
    from scipy.special import stdtrit

    return float(stdtrit(freedom, 0.5 + confidence / 2))
