"""Write the expected message of named bad files anew, for a person to read and commit.

Run it by hand with the names of the files whose message was meant to change:

    python tests/machine/refresh_messages.py drill_bore_ten_times field_utf16

There is no "all": a message that changes should have been meant, and read aloud.
"""

import sys
from pathlib import Path

from downforce.machine import FileProblem, read_drill, read_field

FOLDER = Path(__file__).parent / "bad_files"


def message_of(path):
    """Whole message of one bad file; the first word of its name says what it pretends to be."""
    read = {"drill": read_drill, "field": read_field}[path.stem.split("_")[0]]
    try:
        read(path)
    except FileProblem as problem:
        return str(problem)
    raise AssertionError(f"{path.name} was read without a problem.")


if __name__ == "__main__":
    for name in sys.argv[1:]:
        text = message_of(FOLDER / f"{name}.toml")
        (FOLDER / f"{name}.txt").write_text(text + "\n", encoding="utf-8", newline="\n")
        print(text)
