"""Checks between values of a file: each says what it needs and is left out when that could not be read."""

from collections.abc import Callable
from functools import wraps

from downforce.machine.reading.model_reader import UNREAD


def needs(*paths) -> Callable:
    """Decorator of a check: its arguments are the values at these key paths.

    paths: such as "cylinder.bore", or "sections.*.name" for one value of every block.
    Result: decorator; the check then takes all values read and returns its complaints, (key path, sentence).
    """

    def decorate(check):
        @wraps(check)
        def run(values):
            wanted = [_look_up(values, tuple(path.split("."))) for path in paths]
            if any(value is UNREAD for value in wanted):
                return []
            return [(as_path(place), text) for place, text in check(*wanted)]

        run.is_file_check = True
        return run

    return decorate


def _look_up(values, path):
    if "*" not in path:
        return values.get(path, UNREAD)
    star = path.index("*")
    head, tail = path[:star], path[star + 1 :]
    # A list that was not given is there with its default; one that failed as a whole has no blocks.
    if values.get(head, UNREAD) is UNREAD and (*head, 0) not in values:
        return UNREAD
    found, place = [], 0
    while (*head, place) in values:
        found.append(values.get((*head, place, *tail), UNREAD))
        place += 1
    return UNREAD if any(value is UNREAD for value in found) else found


def as_path(place):
    """Key path of a place, "sections.0.name" as ("sections", 0, "name")."""
    return tuple(part if not part.isdigit() else int(part) for part in place.split("."))
