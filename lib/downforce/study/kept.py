"""Keep results that are asked for again and again: a drill on a field has one lift pressure, one setting."""

from collections.abc import Callable
from functools import lru_cache, wraps
from inspect import signature

import numpy as np


def kept(most) -> Callable:
    """Decorator for a function that depends on nothing but its arguments.

    most: how many results are kept; the one not asked for longest goes first.
    Result: the decorator. The same arguments are the same question, however they are written: by place, by
        name, or left out for what stands there by itself. A kept array, and the arrays that a kept result
        holds, cannot be written to, because others hold the same. Called with arrays, the function works as
        if it were not decorated.
    """

    def decorate(function):
        asked = signature(function)

        @lru_cache(most)
        def remembered(*given, **named):
            result = function(*given, **named)
            for value in (result, *getattr(result, "__dict__", {}).values()):
                if isinstance(value, np.ndarray):
                    value.flags.writeable = False
            return result

        @wraps(function)
        def ask(*given, **named):
            try:
                bound = asked.bind(*given, **named)
                bound.apply_defaults()
                hash((bound.args, *bound.kwargs.values()))
            except TypeError:
                return function(*given, **named)
            return remembered(*bound.args, **bound.kwargs)

        return ask

    return decorate
