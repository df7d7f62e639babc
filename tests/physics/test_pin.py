"""Pins in double shear and bracket welds, against beams and sections worked another way."""

import numpy as np
import pytest

from downforce.physics.cylinder import cylinder_force, pressure_area
from downforce.physics.cylinder_strength import fillet_stress, pin_stresses

FORCE = 15.96e3
"""Of a 38.1 mm bore at 140 bar [N]."""


@pytest.mark.parametrize(
    ("millimetres", "shear", "eye", "fork", "bending"),
    [(16.0, 39.7, 49.9, 62.3, 189), (19.05, 28.0, 41.9, 52.4, 112), (25.4, 15.8, 31.4, 39.3, 47)],
)
def test_three_pins_worked_with_a_calculator(millimetres, shear, eye, fork, bending):
    """Eye 20 mm, plates 8 mm, 0.5 mm clear on each side."""
    assert cylinder_force(140e5, pressure_area(0.0381)) == pytest.approx(FORCE, rel=1e-3)
    found = np.array(pin_stresses(FORCE, millimetres / 1e3, 0.020, 0.008, 0.0005)) / 1e6
    assert found[:3] == pytest.approx([shear, eye, fork], abs=0.06)
    assert found[3] == pytest.approx(bending, abs=0.6)


def test_bending_is_that_of_a_beam_on_two_plates():
    """The eye's load spread over its width, the plates' over their thickness, summed over slices."""
    eye, fork, gap, d = 0.022, 0.010, 0.001, 0.018
    x = (np.arange(20000) + 0.5) / 20000 * eye / 2
    # Moment at the middle: reactions of one plate, less the half of the eye's load that lies on that side.
    moment = FORCE / 2 * (eye / 2 + gap + fork / 2) - np.mean(x) * FORCE / 2
    stress = moment * (d / 2) / (np.pi * d**4 / 64)
    assert pin_stresses(FORCE, d, eye, fork, gap)[3] == pytest.approx(stress, rel=1e-9)


def test_shear_and_bearing_carry_the_force():
    shear, eye, fork, _ = pin_stresses(FORCE, 0.02, 0.03, 0.01, 0.0)
    assert 2 * shear * np.pi * 0.01**2 == pytest.approx(FORCE)
    assert eye * 0.02 * 0.03 == pytest.approx(FORCE) == pytest.approx(2 * fork * 0.02 * 0.01)


def test_two_fillets_of_40_mm_worked_with_a_calculator():
    """5 mm legs: 57 MPa; the section of both throats bent along their length, summed over slices."""
    assert fillet_stress(FORCE, 0.005, 0.040) / 1e6 == pytest.approx(57.0, abs=0.05)
    y = (np.arange(20000) + 0.5) / 20000 * 0.040 - 0.020
    second = np.mean(y**2) * 2 * 0.7 * 0.005 * 0.040
    extra = fillet_stress(FORCE, 0.005, 0.040, 300.0) - fillet_stress(FORCE, 0.005, 0.040)
    assert extra == pytest.approx(300.0 * 0.020 / second, rel=1e-6)


def test_the_impossible_is_refused():
    with pytest.raises(ValueError, match="diameter"):
        pin_stresses(FORCE, 0.0, 0.02, 0.01, 0.0)
    with pytest.raises(ValueError, match="gap"):
        pin_stresses(FORCE, 0.02, 0.02, 0.01, -0.001)
    with pytest.raises(ValueError, match="moment"):
        fillet_stress(FORCE, 0.005, 0.04, -1.0)
