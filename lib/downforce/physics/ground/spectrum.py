"""Roughness of ground as a density: closed forms for a power law, and the density of a measured profile."""

import math

import numpy as np

from downforce.physics.checks import finite, not_negative, positive

REFERENCE_WAVENUMBER = 0.1
"""Wavenumber at which a roughness class is named [cycle/m] [ISO8608]."""

BAND = (0.011, 2.83)
"""Band of wavenumbers the classes are stated for [cycle/m], [ISO8608]."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)


def power_law_density(wavenumber, reference_density, exponent=2.0):
    """Density of a straight profile at a wavenumber.

    Parameters
    ----------
    wavenumber : float or array [cycle/m]
        Waves in one metre.
    reference_density : float or array [m3]
        Density at 0.1 cycle/m, one-sided.
    exponent : float or array [-]
        Fall of the density with wavenumber, 2 for the classes.

    Returns
    -------
    float or array [m3]
        One-sided density of height, Gd(n).

    Raises
    ------
    ValueError
        If an input is not above zero (the density may be zero).

    Notes
    -----
    Gd(n) = Gd(n0) (n/n0)^-w, n0 = 0.1 cycle/m.

    Range: 0.011 to 2.83 cycle/m; off-road ground is often stated from 0.05 cycle/m.

    Source: [ISO8608].

    Examples
    --------
    >>> round(float(power_law_density(0.2, 1024e-6)) * 1e6, 6)
    256.0
    """
    wavenumber = positive("wavenumber", wavenumber)
    reference_density = not_negative("reference_density", reference_density)
    exponent = positive("exponent", exponent)
    return reference_density * (wavenumber / REFERENCE_WAVENUMBER) ** -exponent


def power_law_rms(reference_density, exponent=2.0, lowest=BAND[0], highest=BAND[1]):
    """RMS height of a profile whose density is a power law over a band.

    Parameters
    ----------
    reference_density : float or array [m3]
        Density at 0.1 cycle/m, one-sided.
    exponent : float [-]
        Fall of the density with wavenumber.
    lowest, highest : float [cycle/m]
        Ends of the band.

    Returns
    -------
    float or array [m]
        RMS of the waves within the band.

    Raises
    ------
    ValueError
        If an input is not above zero, or the band is empty.

    Notes
    -----
    sigma^2 = Gd(n0) n0^w (n1^(1-w) - n2^(1-w)) / (w - 1); for w = 1, Gd(n0) n0 ln(n2/n1).

    Range: as the density.

    Source: derivation, the integral of the density over the band.

    Examples
    --------
    >>> round(float(power_law_rms(1024e-6)) * 1000, 2)
    30.45
    """
    reference_density = not_negative("reference_density", reference_density)
    lowest, highest = _band(lowest, highest)
    exponent = float(positive("exponent", exponent))
    scale = reference_density * REFERENCE_WAVENUMBER**exponent
    if math.isclose(exponent, 1.0, abs_tol=1e-9):
        return np.sqrt(scale * math.log(highest / lowest))
    return np.sqrt(scale * (lowest ** (1 - exponent) - highest ** (1 - exponent)) / (exponent - 1))


def surface_density(wavenumber, reference_density, exponent=2.0, highest=math.inf):
    """Density of an isotropic surface, such that every straight profile on it has the power law.

    Parameters
    ----------
    wavenumber : array [cycle/m]
        Radial wavenumber, below ``highest``.
    reference_density : float [m3]
        Profile density at 0.1 cycle/m, one-sided.
    exponent : float [-]
        Fall of the profile density with wavenumber.
    highest : float [cycle/m]
        Wavenumber above which the profile density is zero; infinite for an endless power law.

    Returns
    -------
    array [m4]
        Two-sided density over the plane of wavenumbers.

    Raises
    ------
    ValueError
        If an input is not above zero, or a wavenumber is not below ``highest``.

    Notes
    -----
    With S1 = Gd/2 the two-sided profile density, S1(n) is the integral of S2 over all cross wavenumbers,
    and Abel's inversion gives S2(k) = -(1/pi) integral from k of S1'(n) / sqrt(n^2 - k^2) dn.
    Endless power law: S2(k) = Gd(n0) n0^w k^-(w+1) Gamma((w+1)/2) / (2 sqrt(pi) Gamma(w/2)).
    A profile cut off sharply at n2 adds the step's own term S1(n2) / (pi sqrt(n2^2 - k^2)), which is
    positive, so a sharp upper edge is possible on an isotropic surface. A sharp lower edge is not: see
    :func:`made_density`.

    Range: exponent above 0.

    Source: derivation in Notes (Abel's inversion).

    Examples
    --------
    >>> round(float(surface_density(0.1, 1024e-6)), 8)
    0.00256
    """
    wavenumber = positive("wavenumber", wavenumber)
    reference_density = float(not_negative("reference_density", reference_density))
    exponent = float(positive("exponent", exponent))
    scale = reference_density * REFERENCE_WAVENUMBER**exponent / 2
    if math.isinf(highest):
        share = math.gamma((exponent + 1) / 2) / (math.sqrt(math.pi) * math.gamma(exponent / 2))
        return scale * share * wavenumber ** -(exponent + 1)
    if np.any(wavenumber >= highest):
        raise ValueError(f"wavenumber must be below highest, {highest:g} cycle/m.")
    angle = np.arccos(wavenumber / highest)
    body = exponent * wavenumber ** -(exponent + 1) * _integral(lambda t: np.cos(t) ** exponent, angle)
    edge = highest**-exponent / np.sqrt(highest**2 - wavenumber**2)
    return scale * (body + edge) / math.pi


def surface_variance_beyond(wavenumber, reference_density, exponent=2.0, highest=BAND[1]):
    """Variance of the isotropic surface held by waves shorter than a given one.

    Parameters
    ----------
    wavenumber : float or array [cycle/m]
        Radial wavenumber from which to count, up to ``highest``.
    reference_density : float [m3]
        Profile density at 0.1 cycle/m, one-sided.
    exponent : float [-]
        Fall of the profile density with wavenumber.
    highest : float [cycle/m]
        Wavenumber above which there is nothing.

    Returns
    -------
    array [m2]
        Variance held between ``wavenumber`` and ``highest``.

    Raises
    ------
    ValueError
        If an input is not above zero, or a wavenumber is above ``highest``.

    Notes
    -----
    F(k) = integral of Gd(n) n / sqrt(n^2 - k^2) dn from k to n2 (Abel again, integrated once), which is
    Gd(n0) n0^w k^(1-w) times the integral of cosh^(1-w) t from 0 to arcosh(n2/k).
    For w = 2 this is Gd(n0) n0^2 arccos(k/n2) / k.

    Range: exponent above 0.

    Source: derivation in Notes.

    Examples
    --------
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


def made_density(wavenumber, reference_density, exponent=2.0, lowest=BAND[0], highest=BAND[1]):
    """Profile density of the surface that is really made, inside and outside the band.

    Parameters
    ----------
    wavenumber : float or array [cycle/m]
        Waves in one metre along the profile, zero allowed.
    reference_density : float [m3]
        Profile density at 0.1 cycle/m, one-sided.
    exponent : float [-]
        Fall of the profile density with wavenumber.
    lowest, highest : float [cycle/m]
        Ends of the band of waves on the surface.

    Returns
    -------
    array [m3]
        One-sided profile density.

    Raises
    ------
    ValueError
        If a wavenumber is negative, the band is empty, or another input is not above zero.

    Notes
    -----
    Inside the band: the power law, exactly. Above n2: zero. Below n1 the density cannot be zero: a
    profile that meets a wave at a slant sees it stretched. It levels off, and for w = 2 and n2 far away
    it is Gd(n0) n0^2 (1 - sqrt(1 - n^2/n1^2)) / n^2, half of Gd(n1) at n = 0. A profile's whole variance
    is therefore larger than the band's, about pi/2 times for w = 2, the extra all in waves
    longer than 1/n1.

    Range: exponent above 0.

    Source: derivation in Notes.

    Examples
    --------
    >>> round(float(made_density(0.1, 1024e-6)) * 1e6, 6)
    1024.0
    """
    wavenumber = np.asarray(not_negative("wavenumber", wavenumber))
    lowest, highest = _band(lowest, highest)
    inside = power_law_density(np.maximum(wavenumber, lowest), reference_density, exponent)
    below = _density_below(
        np.minimum(wavenumber, lowest), float(reference_density), float(exponent), lowest, highest
    )
    made = np.where(wavenumber < lowest, below, inside)
    return np.where(wavenumber > highest, 0.0, made)


def profile_density(height, spacing, segment_points=None):
    """Wavenumbers and one-sided density of a measured or computed profile (Welch's method).

    Parameters
    ----------
    height : array [m]
        Heights at equal spacing along the last axis; other axes are averaged as repeats.
    spacing : float [m]
        Distance between points.
    segment_points : int [-]
        Points in one segment; the whole profile when left out.

    Returns
    -------
    tuple of two arrays [cycle/m, m3]
        Wavenumbers without zero, and the density at each.

    Raises
    ------
    ValueError
        If the spacing is not above zero, or a segment is shorter than 8 points or longer than the profile.

    Notes
    -----
    Each segment has its mean removed and a Hann window laid on; segments overlap by half;
    G = 2 |X|^2 spacing / sum(window^2).

    Range: wavenumbers from 1 / (segment length) to 1 / (2 spacing); the first two bins are blurred.

    Source: averaged modified periodograms [WEL].

    Examples
    --------
    >>> n, g = profile_density(np.sin(2 * np.pi * 0.25 * np.arange(4000) * 0.1), 0.1, 400)
    >>> round(float(np.sum(g) * (n[1] - n[0])), 4)
    0.5
    """
    height = np.atleast_1d(finite("height", height))
    spacing = float(positive("spacing", spacing))
    total = height.shape[-1]
    points = total if segment_points is None else int(segment_points)
    if not 8 <= points <= total:
        raise ValueError(f"segment_points must lie between 8 and the profile's {total} points; got {points}.")
    window = np.hanning(points + 1)[:-1]
    starts = range(0, total - points + 1, max(points // 2, 1))
    wavenumber = np.fft.rfftfreq(points, spacing)
    density = np.zeros(wavenumber.size)
    for start in starts:
        piece = height[..., start : start + points]
        piece = (piece - piece.mean(axis=-1, keepdims=True)) * window
        power = np.abs(np.fft.rfft(piece, axis=-1)) ** 2
        density += power.reshape(-1, wavenumber.size).mean(axis=0)
    density *= 2 * spacing / (np.sum(window**2) * len(starts))
    if points % 2 == 0:
        density[-1] /= 2
    return wavenumber[1:], density[1:]


def band_rms(wavenumber, density, lowest, highest):
    """RMS height that a density holds between two wavenumbers.

    Parameters
    ----------
    wavenumber : array [cycle/m]
        Rising wavenumbers.
    density : array [m3]
        One-sided density at each.
    lowest, highest : float [cycle/m]
        Ends of the band, within the wavenumbers given.

    Returns
    -------
    float [m]
        RMS of the waves in the band.

    Raises
    ------
    ValueError
        If the band is empty or reaches beyond the wavenumbers given.

    Notes
    -----
    Integral of straight lines between the points, cut at the two ends.

    Range: none.

    Source: definition of a density.

    Examples
    --------
    >>> n = np.linspace(0.1, 1.0, 10)
    >>> round(float(band_rms(n, np.full(10, 4.0), 0.25, 0.5)), 6)
    1.0
    """
    wavenumber = finite("wavenumber", wavenumber)
    density = not_negative("density", density)
    lowest, highest = _band(lowest, highest)
    if lowest < wavenumber[0] or highest > wavenumber[-1]:
        raise ValueError(
            f"The band {lowest:g} to {highest:g} cycle/m reaches beyond the wavenumbers given, "
            f"{wavenumber[0]:g} to {wavenumber[-1]:g}. Take a longer profile or a narrower band."
        )
    within = wavenumber[(wavenumber > lowest) & (wavenumber < highest)]
    places = np.concatenate(([lowest], within, [highest]))
    return float(np.sqrt(np.trapezoid(np.interp(places, wavenumber, density), places)))


def _band(lowest, highest):
    lowest = float(positive("lowest", lowest))
    highest = float(positive("highest", highest))
    if not lowest < highest:
        raise ValueError(f"lowest must be below highest; got {lowest:g} and {highest:g} cycle/m.")
    return lowest, highest


def _integral(function, end, start=0.0):
    """Gauss-Legendre integral of a smooth function from start to each end."""
    half = (np.asarray(end, dtype=float) - start) / 2
    places = half[..., None] * (_NODES + 1) + np.asarray(start)[..., None]
    return half * np.sum(function(places) * _WEIGHTS, axis=-1)


def _density_below(wavenumber, reference_density, exponent, lowest, highest):
    """Profile density at or below the lowest wave: S2 integrated over the cross wavenumbers that exist."""
    scale = reference_density * REFERENCE_WAVENUMBER**exponent
    start = np.sqrt(lowest**2 - wavenumber**2)
    end = np.sqrt(highest**2 - wavenumber**2)

    def body(t):
        radial = np.sqrt(np.asarray(wavenumber)[..., None] ** 2 + (lowest * np.sinh(t)) ** 2)
        angle = np.arccos(np.clip(radial / highest, 0.0, 1.0))
        inner = _integral(lambda a: np.cos(a) ** exponent, angle)
        return radial ** -(exponent + 1) * inner * lowest * np.cosh(t)

    smooth = exponent * _integral(body, np.arcsinh(end / lowest), np.arcsinh(start / lowest))
    edge = highest**-exponent * (math.pi / 2 - np.arcsin(start / end))
    return 2 * scale * (smooth + edge) / math.pi
