"""A file from a user's hand as text: how large it may be, how its lines count, how much of it is echoed."""

import errno
import stat
from collections.abc import Sequence
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
