"""Roughness of ground as a density: what waves of a power law hold."""

import numpy as np

from downforce.physics.checks import not_negative, positive
from downforce.physics.kinds import CubicMetre, CyclePerMetre, Ratio, SquareMetres

REFERENCE_WAVENUMBER = 0.1
"""Wavenumber at which a roughness class is named [cycle/m] [ISO8608]."""

BAND = (0.011, 2.83)
"""Band of wavenumbers the classes are stated for [cycle/m], [ISO8608]."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)


def surface_variance_beyond(
    wavenumber: CyclePerMetre,
    reference_density: CubicMetre,
    exponent: Ratio = 2.0,
    highest: CyclePerMetre = BAND[1],
) -> SquareMetres:
    """Variance of the isotropic surface held by waves shorter than a given one.

    wavenumber: radial wavenumber from which to count, up to ``highest``.
    reference_density: profile density at 0.1 cycle/m, one-sided.
    exponent: fall of the profile density with wavenumber.
    highest: wavenumber above which there is nothing.
    Result: variance held between ``wavenumber`` and ``highest``.
    Raises ValueError if an input is not above zero, or a wavenumber is above ``highest``.

    F(k) = integral of Gd(n) n / sqrt(n^2 - k^2) dn from k to n2 (Abel again, integrated once), which is
    Gd(n0) n0^w k^(1-w) times the integral of cosh^(1-w) t from 0 to arcosh(n2/k). For w = 2 this is Gd(n0)
    n0^2 arccos(k/n2) / k.
    Range: exponent above 0.
    Source: derivation above.

    >>> round(float(surface_variance_beyond(0.5, 1024e-6, 2.0, 1.0)) * 1e6, 3)
    21.447
    """
    wavenumber = positive("wavenumber", wavenumber)
    reference_density = float(not_negative("reference_density", reference_density))
    exponent = float(positive("exponent", exponent))
    highest = float(positive("highest", highest))
    if np.any(wavenumber > highest * (1 + 1e-12)):
        raise ValueError(f"wavenumber must not be above highest, {highest:g} cycle/m.")
    end = np.arccosh(np.maximum(highest / wavenumber, 1.0))
    shape = _integral(lambda t: np.cosh(t) ** (1 - exponent), end)
    return reference_density * REFERENCE_WAVENUMBER**exponent * wavenumber ** (1 - exponent) * shape


def _integral(function, end, start=0.0):
    """Gauss-Legendre integral of a smooth function from start to each end."""
    half = (np.asarray(end, dtype=float) - start) / 2
    places = half[..., None] * (_NODES + 1) + np.asarray(start)[..., None]
    return half * np.sum(function(places) * _WEIGHTS, axis=-1)
