"""Files from a user's hand, read with bounds; files written whole or not at all, over none unless asked.

Every file this package writes goes through here: it is written beside its place and then moved into it, so
that a full disk, a folder that cannot be written in or a kill leaves what was there.
"""

import errno
import os
import stat
from collections.abc import Sequence
from contextlib import suppress
from itertools import count
from pathlib import Path

MOST_TOLD = 30
"""Problems that are told of one file; a column of decimal commas has as many as lines [-]."""
MOST_SHOWN = 80
"""Characters of a user's text that a sentence shows [-]."""

_NO_TEXT = {
    b"PK": "it is a spreadsheet's own file (.xlsx or .ods)",
    b"\xd0\xcf\x11\xe0": "it is a spreadsheet's own file (.xls)",
    b"\xff\xfe": 'it is saved as "Unicode" (UTF-16)',
    b"\xfe\xff": 'it is saved as "Unicode" (UTF-16)',
}


class NoText(Exception):
    """A file that gives no text.

    key: "missing", "folder", "unnamed", "closed", "large", "binary" or "encoding".
    why: what is to be said of it.
    """

    def __init__(self, key: str, why: str = ""):
        self.key, self.why = key, why
        super().__init__(key, why)


def file_text(path: Path, most):
    """Text of a file, which is asked for its size before it is read.

    Result: the text without a byte order mark.
    """
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise NoText("folder")
        if not stat.S_ISREG(found.st_mode):
            raise NoText("closed", "it is a device and not a file")
        if found.st_size > most:
            raise NoText("large", size_words(found.st_size))
        with path.open("rb") as file:
            # One more than allowed, because a file can grow, and some have no size until they are read.
            raw = file.read(most + 1)
    except (FileNotFoundError, NotADirectoryError):
        raise NoText("missing") from None
    except OSError as problem:
        if problem.errno == errno.ENAMETOOLONG:
            raise NoText("unnamed") from None
        raise NoText("closed", problem.strerror or "no reason given") from None
    except ValueError:
        raise NoText("unnamed") from None
    if len(raw) > most:
        raise NoText("large", f"over {size_words(most)}")
    return _decoded(raw)


def _decoded(raw):
    for start, why in _NO_TEXT.items():
        if raw.startswith(start):
            raise NoText("binary", why)
    if b"\0" in raw:
        raise NoText("binary", "it holds bytes that no text has")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = len(lines_of(raw[: problem.start].decode("utf-8-sig")))
        raise NoText("encoding", f"{line}") from None


def size_words(count):
    """A number of bytes, in words."""
    return f"{count / 1e6:.0f} MB" if count >= 1e6 else f"{count / 1e3:.0f} kB"


def lines_of(text):
    """Lines as an editor counts them; `str.splitlines` also cuts at characters where no editor does."""
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def shown(text, most=MOST_SHOWN):
    """A user's text on one line and no longer than a sentence can bear."""
    start = " ".join(text[: 4 * most].split())
    flat = "".join(letter if letter.isprintable() else "\ufffd" for letter in start)
    return flat if len(flat) <= most and len(text) <= 4 * most else f"{flat[: most - 3]}..."


def first_told(sentences: Sequence[str], count) -> list[str]:
    """The first sentences about a file, and how many of all problems are left."""
    told = list(sentences[:MOST_TOLD])
    left = count - len(told)
    if left > 0:
        words = "is 1 more problem" if left == 1 else f"are {left} more problems"
        told.append(f"There {words}. Put these right first.")
    return told


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
