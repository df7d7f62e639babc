"""A file is there whole or not at all, whatever happens while it is written."""

import os
import random
import shutil
import signal
import subprocess
import sys
import time

import pytest

from downforce.machine import files
from downforce.machine.files import NameTaken, NotWritten, check_place, free_path, write_beside, write_file


def test_a_file_holds_what_was_given_and_nothing_lies_beside_it(tmp_path):
    for name, content, held in (("a.csv", "é\n", "é\n".encode()), ("b.pdf", b"\x00\r\n", b"\x00\r\n")):
        assert write_file(tmp_path / name, content) == tmp_path / name
        assert (tmp_path / name).read_bytes() == held
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.csv", "b.pdf"]
    plain = tmp_path / "plain"
    plain.write_bytes(b"")
    assert (tmp_path / "a.csv").stat().st_mode == plain.stat().st_mode


def test_an_older_file_stays_unless_it_is_to_be_replaced(tmp_path):
    path = write_file(tmp_path / "a.csv", "old")
    for refuse in (lambda: write_file(path, "new"), lambda: check_place(path)):
        with pytest.raises(NameTaken) as said:
            refuse()
        words = f"There is a file {str(path)!r} already. Give another name, or replace=True to write over it."
        assert str(said.value) == words and path.read_text() == "old"
    assert write_file(path, "new", replace=True) == path and path.read_text() == "new"
    assert write_file(tmp_path / "b.csv", "first", replace=True).read_text() == "first"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.csv", "b.csv"]


def test_a_link_that_is_replaced_still_leads_to_the_file(tmp_path):
    target, link = write_file(tmp_path / "a.csv", "old"), tmp_path / "link.csv"
    link.symlink_to(target)
    write_file(link, "new", replace=True)
    assert link.is_symlink() and target.read_text() == "new"


def test_a_name_that_is_taken_gets_a_number(tmp_path):
    names = [write_beside(tmp_path / "a.b.csv", str(number)).name for number in range(3)]
    assert names == ["a.b.csv", "a.b-2.csv", "a.b-3.csv"]
    assert [(tmp_path / name).read_text() for name in names] == ["0", "1", "2"]
    assert free_path(tmp_path / "a.b.csv").name == "a.b-4.csv"
    assert write_beside(tmp_path / "a.b.csv", "1", again=False).name == "a.b-2.csv"
    assert write_beside(tmp_path / "a.b.csv", "3", again=False).name == "a.b-4.csv"


def test_a_name_taken_by_another_program_in_between_gets_the_next_number(tmp_path, monkeypatch):
    free = iter([[tmp_path / "a.csv"], [tmp_path / "a.csv", tmp_path / "a-2.csv"]])
    monkeypatch.setattr(files, "_names", lambda _path: next(free))
    (tmp_path / "a.csv").write_text("theirs")
    assert write_beside(tmp_path / "a.csv", "mine").name == "a-2.csv"
    assert (tmp_path / "a.csv").read_text() == "theirs"


def test_a_file_that_comes_at_the_last_moment_is_not_written_over(tmp_path, monkeypatch):
    path = tmp_path / "a.csv"
    monkeypatch.setattr(files, "check_place", lambda *_given: path.write_text("theirs"))
    with pytest.raises(NameTaken):
        write_file(path, "mine")
    assert path.read_text() == "theirs" and len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize("replace", [False, True])
def test_a_place_that_cannot_be_written_to_is_told_in_a_sentence(tmp_path, replace):
    folder = tmp_path / "folder.csv"
    folder.mkdir()
    long = tmp_path / f"{'n' * 300}.csv"
    for path, words in (
        (tmp_path / "none" / "a.csv", "There is no folder"),
        (write_file(tmp_path / "file", "") / "a.csv", "There is no folder"),
        (folder, "is a folder; a file cannot take its place. Give another name."),
        (long, "its name is too long for this disk. Give it a shorter one."),
        (tmp_path / "a\0.csv", "was not written: embedded null"),
    ):
        with pytest.raises(NotWritten) as said:
            write_file(path, "new", replace)
        assert words in str(said.value) and str(said.value).endswith(".")
        assert str(path) in str(said.value) or repr(path.name) in str(said.value) or "\0" in str(path)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "folder.csv"]


def test_a_disk_without_nameless_files_and_second_names_is_written_all_the_same(tmp_path, monkeypatch):
    def refused(*_given):
        raise OSError(files.errno.EPERM, "Operation not permitted")

    monkeypatch.delattr(os, "O_TMPFILE", raising=False)
    monkeypatch.setattr(files.Path, "hardlink_to", refused)
    assert write_file(tmp_path / "a.csv", "one").read_text() == "one"
    assert write_file(tmp_path / "a.csv", "two", replace=True).read_text() == "two"
    monkeypatch.setattr(files, "check_place", lambda *_given: None)
    with pytest.raises(NameTaken):
        write_file(tmp_path / "a.csv", "three")
    assert [path.name for path in tmp_path.iterdir()] == ["a.csv"]
    assert (tmp_path / "a.csv").read_text() == "two"


_WRITES_ON_AND_ON = """
import sys
from itertools import count
from pathlib import Path
from downforce.machine.files import write_beside, write_file
folder = Path(sys.argv[1])
print("begun", flush=True)
for number in count():
    content = bytes([number % 251]) * 400_000 + b"end"
    write_file(folder / "kept.pdf", content, replace=True)
    write_beside(folder / "new.csv", content)
    if number % 20 == 19:
        for path in folder.glob("new*.csv"):
            path.unlink()
"""


def test_a_kill_at_any_moment_leaves_no_torn_file(tmp_path):
    chance = random.Random(5)
    write_file(tmp_path / "kept.pdf", b"\x00" * 400_000 + b"end")
    for _ in range(12):
        command = [sys.executable, "-c", _WRITES_ON_AND_ON, str(tmp_path)]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as writer:
            assert writer.stdout.readline() == b"begun\n"
            time.sleep(chance.uniform(0.0, 0.05))
            writer.send_signal(signal.SIGKILL)
        assert (tmp_path / "kept.pdf").exists()
        for path in tmp_path.iterdir():
            content = path.read_bytes()
            if path.name.startswith(".part-") and not hasattr(os, "O_TMPFILE"):
                continue
            assert len(content) == 400_003 and content.endswith(b"end") and len(set(content[:-3])) == 1


_ON_A_SMALL_DISK = """
import sys
from pathlib import Path
from downforce.machine.files import NotWritten, write_beside, write_file
folder, content = Path(sys.argv[1]), b"x" * int(sys.argv[2])
for write in (
    lambda: write_file(folder / "old.csv", content, replace=True),
    lambda: write_file(folder / "new.csv", content),
    lambda: write_beside(folder / "old.csv", content),
):
    try:
        print("written", write())
    except NotWritten as problem:
        print(problem)
print(sorted((path.name, path.stat().st_size) for path in folder.iterdir()))
"""


@pytest.mark.parametrize(
    "mount, size, reason",
    [
        ("", 400_000, "the disk is full. Make room on it, or name a folder on another disk."),
        ("mount -o remount,ro {0} && ", 10, "the folder is read-only. Name another folder."),
    ],
)
def test_a_full_or_read_only_disk_keeps_what_it_has(tmp_path, mount, size, reason):
    program = tmp_path / "program.py"
    program.write_text(_ON_A_SMALL_DISK)
    disk = tmp_path / "disk"
    disk.mkdir()
    make = f"mount -t tmpfs -o size=128k tmpfs {disk} && printf old > {disk}/old.csv && {mount.format(disk)}"
    if not shutil.which("unshare") or subprocess.call(
        ["unshare", "-m", "sh", "-c", f"{make}true"], stderr=subprocess.DEVNULL
    ):
        pytest.skip("no disk of one's own can be made here")
    run = f"{make}exec {sys.executable} {program} {disk} {size}"
    said = subprocess.run(["unshare", "-m", "sh", "-c", run], capture_output=True, text=True, check=True)
    *sentences, kept = said.stdout.splitlines()
    assert len(sentences) == 3 and all(sentence.endswith(reason) for sentence in sentences)
    assert kept == "[('old.csv', 3)]"
