"""Keep results that are asked for again and again: a drill on a field has one lift pressure, one setting."""

from collections.abc import Callable
from dataclasses import fields
from functools import lru_cache, wraps

import numpy as np


def kept(most) -> Callable:
    """Decorator for a function that gives a dataclass and depends on nothing but its arguments.

    most: how many results are kept; the one not asked for longest goes first.
    Result: the decorator. Arrays in a kept result cannot be written to, because others hold the same result.
        Called with arrays, the function works as if it were not decorated.
    """

    def decorate(function):
        @lru_cache(most)
        def remembered(*given, **named):
            result = function(*given, **named)
            for field in fields(result):
                value = getattr(result, field.name)
                if isinstance(value, np.ndarray):
                    value.flags.writeable = False
            return result

        @wraps(function)
        def ask(*given, **named):
            try:
                hash((given, *named.values()))
            except TypeError:
                return function(*given, **named)
            return remembered(*given, **named)

        return ask

    return decorate
