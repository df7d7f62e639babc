"""Files that are written whole or not at all, and never over another one unless that is asked for.

Every file this package writes goes through here: it is written beside its place and then moved into it, so
that a full disk, a folder that cannot be written in or a kill leaves what was there.
"""

import errno
import os
from contextlib import suppress
from itertools import count
from pathlib import Path

_REASONS = {
    errno.ENOSPC: "the disk is full. Make room on it, or name a folder on another disk",
    errno.EDQUOT: "your share of the disk is used up. Make room, or name a folder on another disk",
    errno.EROFS: "the folder is read-only. Name another folder",
    errno.EACCES: "the folder may not be written in. Name another folder",
    errno.EPERM: "the folder may not be written in. Name another folder",
    errno.ENAMETOOLONG: "its name is too long for this disk. Give it a shorter one",
}
_NO_LINKS = (errno.EPERM, errno.ENOTSUP, errno.ENOSYS)
"""What a disk answers that gives a file one name only."""
_NUMBERS = count()


class NotWritten(ValueError):
    """A file was not written, and what was there is as it was; the sentence says why and what to do."""


class NameTaken(NotWritten):
    """There is such a file already."""


def write_file(path: str | Path, content: bytes | str, replace=False) -> Path:
    """Write a file, whole or not at all.

    content: what it holds; words are written as UTF-8.
    """
    path = Path(path)
    check_place(path, replace)
    content = content.encode("utf-8") if isinstance(content, str) else content
    try:
        _put(path, content, replace)
    except FileExistsError:
        raise _taken(path) from None
    except (OSError, ValueError) as problem:
        number, said = getattr(problem, "errno", None), getattr(problem, "strerror", None) or problem
        reason = _REASONS.get(number, f"{said}. Give another name")  # type: ignore[arg-type]
        raise NotWritten(f"{str(path)!r} was not written: {reason}.") from None
    return path


def check_place(path: str | Path, replace=False):
    """Refuse a place that no file can be written to, before long work is done for it."""
    path = Path(path)
    folder = path.parent
    if not _there(folder.is_dir):
        raise NotWritten(f"There is no folder {str(folder)!r} to write {path.name!r} in. Make it first.")
    if _there(path.is_dir):
        raise NotWritten(f"{str(path)!r} is a folder; a file cannot take its place. Give another name.")
    if not replace and _there(path.exists):
        raise _taken(path)


def write_beside(path: str | Path, content: bytes | str, again=True) -> Path:
    """Write a file under its name, or with -2, -3 and so on behind it where another file has that name.

    again: whether it is written a second time where a file of such a name holds just this already.
    """
    content = content.encode("utf-8") if isinstance(content, str) else content
    while True:
        *taken, free = _names(path)
        known = [] if again else [one for one in taken if _there(lambda one=one: one.read_bytes() == content)]
        if known:
            return known[0]
        # Another program may take the name in between.
        with suppress(NameTaken):
            return write_file(free, content)


def free_path(path):
    """The path itself, or the first of those with -2, -3 and so on behind the name that nothing has."""
    return _names(path)[-1]


def _names(path):
    """Names that are taken, each with the next number, and the first free one."""
    path = Path(path)
    names = [path]
    while _there(names[-1].exists):
        names.append(path.with_name(f"{path.stem}-{len(names) + 1}{path.suffix}"))
    return names


def _there(asked):
    """Answer of the disk; a name that it refuses is not there."""
    try:
        return asked()
    except (OSError, ValueError):
        return False


def _taken(path):
    return NameTaken(
        f"There is a file {str(path)!r} already. Give another name, or replace=True to write over it."
    )


def _put(path, content, replace):
    path = path.resolve() if replace else path
    # A short name of its own, so that only the name wanted can be too long.
    spare = path.with_name(f".part-{os.getpid()}-{next(_NUMBERS)}")
    try:
        _make(spare, content)
        if replace:
            spare.replace(path)
        else:
            _move_to_free(spare, path)
    finally:
        with suppress(OSError):
            spare.unlink()


def _make(spare, content):
    """A file with all its content in it; where the disk can, it has no name before, so a kill leaves none."""
    try:
        handle = os.open(spare.parent, os.O_TMPFILE | os.O_WRONLY, 0o666)
    except (AttributeError, OSError):
        with spare.open("xb") as file:
            _fill(file, content)
        return
    with os.fdopen(handle, "wb") as file:
        _fill(file, content)
        # The name is followed to the file itself only where a folder is given with it.
        os.link(f"/proc/self/fd/{handle}", spare, src_dir_fd=handle, follow_symlinks=True)


def _fill(file, content):
    file.write(content)
    file.flush()
    os.fsync(file.fileno())


def _move_to_free(spare, path):
    """Give a file the name wanted, which nothing may have."""
    try:
        path.hardlink_to(spare)
    except OSError as problem:
        if problem.errno not in _NO_LINKS:
            raise
        if path.exists():
            raise FileExistsError from None
        spare.rename(path)
