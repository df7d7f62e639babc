"""Invented drills for the tests of frames: any number of sections, wheels anywhere, loads at random."""

import numpy as np

from downforce.physics.frame import FrameLoad, FrameModel


def random_drill(rng, least_wheels=1):
    """A frame, its weights with fold moments, and opener loads for a newton an opener."""
    sections = int(rng.integers(1, 6))
    hitched = int(rng.integers(0, sections))
    edges = np.concatenate([[0.0], np.cumsum(rng.uniform(2.0, 5.0, sections))])
    edges -= 0.5 * (edges[hitched] + edges[hitched + 1])
    count = [int(rng.integers(max(least_wheels, 2 if k == hitched else 0), 4)) for k in range(sections)]
    wheel_section = np.repeat(np.arange(sections), count)
    wheels = len(wheel_section)
    left, right = edges[wheel_section], edges[wheel_section + 1]
    model = FrameModel(
        sections,
        hitched,
        edges[1:-1],
        wheel_section,
        rng.uniform(3.8, 5.0, wheels),
        left + (right - left) * rng.uniform(0.05, 0.95, wheels),
        10 ** rng.uniform(5.0, 6.0, wheels),
        hitch_y=rng.uniform(-0.1, 0.1),
        hitch_stiffness=10 ** rng.uniform(6.0, 9.0),
    )
    width = np.diff(edges)
    weight = FrameLoad(
        np.arange(sections),
        rng.uniform(3.9, 4.6, sections),
        edges[:-1] + width * rng.uniform(0.35, 0.65, sections),
        rng.uniform(5e3, 12e3, sections) * width,
        pitch_moment=rng.uniform(-2e4, 1e4),
        roll_moment=rng.uniform(-1e3, 1e3, sections),
        fold_moment=rng.uniform(0.0, 1e4, sections - 1),
    )
    rows = np.maximum((width / 0.19).astype(int), 1)
    section = np.repeat(np.arange(sections), rows)
    y = np.concatenate([edges[k] + width[k] * (np.arange(n) + 0.5) / n for k, n in enumerate(rows)])
    x = np.where(np.arange(len(y)) % 2 == 0, 4.1, 5.0)
    return model, weight, FrameLoad(section, x, y, np.full(len(y), -1.0))


def together(weight, opener, scale):
    """Weights and openers in one load; scale is a number, or (..., openers)."""
    force = scale * opener.force
    return FrameLoad(
        np.concatenate([weight.section, opener.section]),
        np.concatenate([weight.x, opener.x]),
        np.concatenate([weight.y, opener.y]),
        np.concatenate(
            [np.broadcast_to(weight.force, (*force.shape[:-1], weight.force.size)), force], axis=-1
        ),
        weight.pitch_moment,
        weight.roll_moment,
        weight.fold_moment,
    )
