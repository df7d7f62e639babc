"""Cost of machines: capital, repair, capacity, fuel, and the area that pays, each worked another way."""

import numpy as np
import pytest

from downforce.physics.oil import power_lost
from downforce.study.money import area_that_pays, capital_recovery, field_capacity, fuel_for_hydraulics


@pytest.mark.parametrize(("years", "interest"), [(1, 0.05), (10, 0.05), (12, 0.001), (25, 0.2)])
def test_equal_payments_and_the_rest_are_worth_the_purchase(years, interest):
    """Each payment brought back to the start, one by one."""
    payment = capital_recovery(30e3, 3e3, years, interest)
    worth = sum(payment / (1 + interest) ** year for year in range(1, years + 1))
    assert worth + 3e3 / (1 + interest) ** years == pytest.approx(30e3, rel=1e-9)


def test_without_interest_the_loss_of_value_is_spread():
    assert capital_recovery(30e3, 3e3, 12, 0.0) == pytest.approx(27e3 / 12)
    assert capital_recovery(30e3, 3e3, 12, 1e-9) == pytest.approx(27e3 / 12, rel=1e-6)
    with pytest.raises(ValueError, match="years"):
        capital_recovery(1.0, 0.0, 0.0, 0.05)
    with pytest.raises(ValueError, match="interest"):
        capital_recovery(1.0, 0.0, 5.0, 5.0)


def test_capacity_in_the_trades_units():
    """9 km/h, 12 m, 70 %: 9 x 12 / 10 x 0.7 = 7.56 ha/h."""
    assert field_capacity(2.5, 12.0, 0.7) * 3600 / 1e4 == pytest.approx(7.56)


def test_fuel_of_oil_in_the_trades_units():
    """190 bar: 10 L/min are 3.2 kW and 40 L/min 12.7 kW; 0.22 L/(kW h) over 0.75: 0.93 and 3.72 L/h."""
    for litres, kilowatts, diesel in ((10, 3.2, 0.929), (40, 12.7, 3.716)):
        assert power_lost(190e5, litres / 6e4) / 1e3 == pytest.approx(kilowatts, abs=0.05)
        assert fuel_for_hydraulics(190e5, litres / 6e4, 0.75) * 3.6e6 == pytest.approx(diesel, abs=1e-3)
    with pytest.raises(ValueError, match="efficiency"):
        fuel_for_hydraulics(190e5, 1e-4, 0.0)


def test_at_the_area_that_pays_both_ways_cost_the_same():
    chance = np.random.default_rng(3)
    for more, saved in chance.uniform([1, 1e-5], [5e3, 1e-2], (30, 2)):
        area = area_that_pays(more, saved)
        assert more / area == pytest.approx(saved)
    assert area_that_pays(1.0, 0.0) == area_that_pays(1.0, -1.0) == np.inf
    assert area_that_pays(-1.0, 1.0) == area_that_pays(0.0, -1.0) == 0.0
    with pytest.raises(ValueError, match="finite"):
        area_that_pays(np.nan, 1.0)
