"""The same field with other ground: rougher or smoother, with or without terraces and tracks."""

from dataclasses import replace

import numpy as np

from downforce.machine.field import Field, Relief, Terrace, Tracks
from downforce.physics.kinds import Kilogram, Metre, MetrePerSecond, Newton, Ratio
from downforce.study.ground.crossing import opener_acceleration

TERRACE = Terrace(
    "broad-base",
    ridge_height=0.45,
    front_slope=6.0,
    back_slope=6.0,
    crossing_angle=np.pi / 2,
    spacing=60.0,
    land_slope=0.04,
    channel_depth=0.18,
    cut_slope=5.0,
)
"""Broad-base terrace, straight over, for a field without one of its own; invented, channel and all."""

CHANNELS = ("own", "none", "balanced")
"""Channels a terrace can be tried with: as the field has it, none, or cut and fill alike [-]."""

TRACKS = Tracks(1.4, 0.03, (-1.1, 1.1), 0.6)
"""Wheel tracks for a field without tracks of its own; invented."""


def with_ground(
    field: Field, roughness_class="own", terraces: bool | None = None, tracks: bool | None = None
) -> Field:
    """A field with other ground and the same soil.

    roughness_class: "A" to "H", "level" for no relief, or "own" for the field's own.
    terraces: with the field's own terraces (TERRACE if it has none), without, or as the field is.
    tracks: with the field's own tracks (TRACKS if it has none), without, or as the field is.
    """
    relief = field.relief
    if roughness_class == "level":
        relief = None
    elif roughness_class != "own":
        exponent = relief.exponent if relief else 2.0
        relief = Relief(roughness_class=roughness_class, exponent=exponent)
    return replace(
        field,
        relief=relief,
        terrace=_kept(field.terrace, terraces, TERRACE),
        tracks=_kept(field.tracks, tracks, TRACKS),
    )


def terrace_alone(field, crossing_angle, crest_radius, ridge_height, channel="own"):
    """A field that is level but for one kind of terrace, its own or TERRACE, and 60 m apart.

    The channel is one of CHANNELS; the field's own is as much deeper or shallower as the ridge is higher or
    lower than its own.
    """
    own = field.terrace or TERRACE
    depth = {"none": 0.0, "balanced": None, "own": own.channel_depth}[channel]
    terrace = replace(
        own,
        crossing_angle=crossing_angle,
        crest_radius=crest_radius,
        ridge_height=ridge_height,
        spacing=60.0,
        channel_depth=depth and depth * ridge_height / own.ridge_height,
        channel_width=own.channel_width if channel == "own" else 0.0,
    )
    return replace(field, relief=None, tracks=None, terrace=terrace, soil=replace(field.soil, spread=0.0))


def with_soil_spread(field: Field, share: Ratio) -> Field:
    """A field with soil that varies more or less.

    share: standard deviation of the soil reaction over its mean.
    """
    return replace(field, soil=replace(field.soil, spread=share * field.soil.reaction))


def bump_inertia(mass: Kilogram, speed: MetrePerSecond, wave_length: Metre, amplitude: Metre) -> Newton:
    """Greatest inertia force of an opener that follows a wave of the ground.

    mass: mass that moves up and down.
    amplitude: half of the height from hollow to crest.
    Result: felt upward in the hollow and downward on the crest.

    From a profile of 1000 points a wave; by hand mass x (2 pi speed / wave_length)^2 x amplitude.
    """
    place = np.arange(1001) / 1000
    profile = amplitude * np.cos(2 * np.pi * place)
    return float(mass * np.max(np.abs(opener_acceleration(profile, wave_length / 1000, speed))))


def _kept(own, wanted, spare):
    if wanted is None:
        return own
    return (own or spare) if wanted else None
