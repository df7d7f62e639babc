"""Refusals in plain words: each check returns a float array or raises a sentence that names the value."""

import math

import numpy as np

from downforce.physics.kinds import Amount, Amounts

GRAVITY = 9.80665
"""Standard gravity [m/s2], [NIST] B.8."""


def finite(name: str, value: Amount) -> Amounts:
    """Value as a float array, refused when it is not made of finite numbers.

    Raises TypeError if the value carries units of its own or is not a number.
    Raises ValueError if any element is NaN or infinite.
    """
    # Plain numbers and arrays first: every formula asks this, ten thousand times in a Run All.
    if type(value) is float:
        array = np.array(value)
    elif type(value) is np.ndarray and value.dtype == np.float64:
        array = value
    else:
        if hasattr(value, "magnitude") or hasattr(value, "units"):
            raise TypeError(f"{name} carries units of its own; pass plain SI numbers instead.")
        try:
            array = np.asarray(value, dtype=float)
        except (TypeError, ValueError) as problem:
            raise TypeError(f"{name} must be a number or an array of numbers; got {value!r}.") from problem
    if not (math.isfinite(array) if array.ndim == 0 else np.isfinite(array).all()):
        _refuse(name, array, ~np.isfinite(array), "must be a finite number")
    return array


def positive(name: str, value: Amount) -> Amounts:
    """Value as a float array, refused when any element is zero or below.

    Raises TypeError as `finite` does.
    Raises ValueError if any element is not finite or not above zero.
    """
    array = finite(name, value)
    _refuse(name, array, _plain(array) <= 0, "must be greater than zero")
    return array


def not_negative(name: str, value: Amount) -> Amounts:
    """Value as a float array, refused when any element is below zero.

    Raises TypeError as `finite` does.
    Raises ValueError if any element is not finite or is negative.
    """
    array = finite(name, value)
    _refuse(name, array, _plain(array) < 0, "must not be negative")
    return array


def between(name: str, value: Amount, low: Amount, high: Amount) -> Amounts:
    """Value as a float array, refused when any element lies outside two limits.

    Raises TypeError as `finite` does.
    Raises ValueError if any element is not finite or lies outside the limits.
    """
    array = finite(name, value)
    plain = _plain(array)
    bad = (plain < low) | (plain > high)
    if bad if isinstance(bad, bool) else bad.any():
        _refuse(name, array, bad, f"must lie between {low:g} and {high:g}")
    return array


def count_number(name: str, value: int) -> int:
    """How many of something as an int, refused when it is not a whole number above zero.

    Raises ValueError if it is below one or not whole.
    """
    if isinstance(value, bool) or int(value) != value or value < 1:
        raise ValueError(f"{name} must be a whole number above zero; got {value!r}.")
    return int(value)


def seed_number(name: str, value: int) -> int:
    """Seed of random numbers as an int, refused when it is not a whole number, zero or above.

    Raises TypeError as `finite` does.
    Raises ValueError if it is not finite, negative or not whole: rounding it would give two seeds one ground.
    """
    array = not_negative(name, value)
    _refuse(name, array, array != np.floor(array), "must be a whole number")
    return int(array)


def _plain(array):
    return array if array.ndim else array.item()


def _refuse(name, array, bad, rule):
    # Not np.any(bad), and one number without numpy: each check is called a thousand times a slider step.
    if not (bad if isinstance(bad, bool) else bad.any()):
        return
    if array.ndim == 0:
        raise ValueError(f"{name} {rule}; got {array:g}.")
    first = tuple(int(i) for i in np.argwhere(bad)[0])
    raise ValueError(f"{name} {rule}; got {array[first]:g} at index {first}.")
