"""Densities of a profile, in closed form and from its heights: what a relief is held against."""

import math

import numpy as np

from downforce.physics.ground_relief import BAND, REFERENCE_WAVENUMBER, _integral


def power_law_density(wavenumber, reference_density, exponent=2.0):
    """Density of a straight profile at a wavenumber."""
    return reference_density * (np.asarray(wavenumber) / REFERENCE_WAVENUMBER) ** -exponent


def power_law_rms(reference_density, exponent=2.0, lowest=BAND[0], highest=BAND[1]):
    """RMS height of a profile whose density is a power law over a band."""
    scale = reference_density * REFERENCE_WAVENUMBER**exponent
    if exponent == 1.0:
        return np.sqrt(scale * math.log(highest / lowest))
    return np.sqrt(scale * (lowest ** (1 - exponent) - highest ** (1 - exponent)) / (exponent - 1))


def surface_density(wavenumber, reference_density, exponent=2.0, highest=math.inf):
    """Density of an isotropic surface, such that every straight profile on it has the power law (Abel)."""
    scale = reference_density * REFERENCE_WAVENUMBER**exponent / 2
    if math.isinf(highest):
        share = math.gamma((exponent + 1) / 2) / (math.sqrt(math.pi) * math.gamma(exponent / 2))
        return scale * share * wavenumber ** -(exponent + 1)
    angle = np.arccos(wavenumber / highest)
    body = exponent * wavenumber ** -(exponent + 1) * _integral(lambda t: np.cos(t) ** exponent, angle)
    edge = highest**-exponent / np.sqrt(highest**2 - wavenumber**2)
    return scale * (body + edge) / math.pi


def profile_density(height, spacing, segment_points):
    """Wavenumbers and one-sided density of a profile, or the mean of several, by Welch's method."""
    height = np.atleast_1d(height)
    window = np.hanning(segment_points + 1)[:-1]
    starts = range(0, height.shape[-1] - segment_points + 1, segment_points // 2)
    wavenumber = np.fft.rfftfreq(segment_points, spacing)
    density = np.zeros(wavenumber.size)
    for start in starts:
        piece = height[..., start : start + segment_points]
        piece = (piece - piece.mean(axis=-1, keepdims=True)) * window
        power = np.abs(np.fft.rfft(piece, axis=-1)) ** 2
        density += power.reshape(-1, wavenumber.size).mean(axis=0)
    density *= 2 * spacing / (np.sum(window**2) * len(starts))
    density[-1] /= 2
    return wavenumber[1:], density[1:]


def band_rms(wavenumber, density, lowest, highest):
    """RMS height that a density holds between two wavenumbers: straight lines between its points."""
    within = wavenumber[(wavenumber > lowest) & (wavenumber < highest)]
    places = np.concatenate(([lowest], within, [highest]))
    return float(np.sqrt(np.trapezoid(np.interp(places, wavenumber, density), places)))
