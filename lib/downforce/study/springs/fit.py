"""Rate, free length and preload of a measured spring, with their uncertainty.

Readings of a slack spring, and of one that touches coil on coil, do not lie on its line. They are told
apart by the fit itself, not by hand.
"""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.springs import Coil, SpringSet
from downforce.physics.checks import between, finite, positive
from downforce.physics.kinds import Metre, Metres, Newton, NewtonPerMetre, Newtons, Ratio, Texts

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

    length: Metres
    spring_force: Newtons
    rate: NewtonPerMetre
    rate_half_width: NewtonPerMetre
    free_length: Metre
    free_length_half_width: Metre
    scatter: Newton
    regime: Texts
    residual: Newtons
    confidence: Ratio

    @property
    def working(self) -> bool:
        """Whether each reading lies on the line."""
        return self.regime == "working"

    def force_at(self, length: Metre) -> Newton:
        """Force the fit gives at a length: the preload, at an installed length.

        Result: zero when slack.
        """
        return self.rate * np.maximum(self.free_length - finite("length", length), 0.0)

    def half_width_at(self, length: Metre) -> Newton:
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


def fit_spring(length: Metres, spring_force: Newtons, confidence: Ratio = 0.95) -> SpringFit:
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


def straight_line(length: Metres, spring_force: Newtons) -> tuple[NewtonPerMetre, Metre]:
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
            f"These {at.size} readings hold no straight part of {FEWEST_WORKING} or more "
            "that falls with length. "
            "Read the spring at more lengths between free and closed."
        )
    return best[1], best[2]


def _line(at, force):
    middle, mean = at.mean(), force.mean()
    slope = float(np.sum((at - middle) * (force - mean)) / np.sum((at - middle) ** 2))
    return slope, float(mean - slope * middle)


def _quantile(confidence, freedom):
    from scipy.special import stdtrit

    return float(stdtrit(freedom, 0.5 + confidence / 2))
