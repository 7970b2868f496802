"""Files are written whole or not at all, and nobody's work is replaced unasked."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from listen.document import check_writable, write_file
from listen.errors import DocumentError


def test_text_is_written_as_utf8(tmp_path: Path) -> None:
    assert write_file(tmp_path / "a.txt", "B♭").read_bytes() == b"B\xe2\x99\xad"


def test_a_file_that_is_there_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("mine")
    with pytest.raises(DocumentError, match="is there already; give --overwrite"):
        write_file(path, "other")
    assert path.read_text() == "mine"
    assert list(tmp_path.iterdir()) == [path]


def test_overwrite_replaces_it_and_keeps_its_permissions(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("old")
    path.chmod(0o640)
    write_file(path, "new", overwrite=True)
    assert path.read_text() == "new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    target, link = tmp_path / "target.txt", tmp_path / "link.txt"
    target.write_text("old")
    link.symlink_to(target)
    write_file(link, "new", overwrite=True)
    assert link.is_symlink()
    assert target.read_text() == "new"


def test_a_new_file_has_the_usual_permissions(tmp_path: Path) -> None:
    path = write_file(tmp_path / "a.txt", "x")
    mask = os.umask(0)
    os.umask(mask)
    assert stat.S_IMODE(path.stat().st_mode) == 0o666 & ~mask


def test_a_failure_while_writing_leaves_the_old_file_and_no_rest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.txt"
    path.write_text("old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DocumentError, match="could not be written: No space left on device"):
        write_file(path, "new", overwrite=True)
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_file_made_meanwhile_by_somebody_else_is_not_replaced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.txt"
    real = os.fsync

    def slow(handle: int) -> None:
        real(handle)
        path.write_text("theirs")

    monkeypatch.setattr(os, "fsync", slow)
    with pytest.raises(DocumentError, match="left as it is"):
        write_file(path, "mine")
    assert path.read_text() == "theirs"


@pytest.mark.parametrize("target", ["missing/a.txt", "."])
def test_places_that_cannot_be_written_are_named_before_the_work(tmp_path: Path, target: str) -> None:
    with pytest.raises(DocumentError, match=r"does not exist|is a folder"):
        check_writable(tmp_path / target)


def test_links_that_lead_in_a_circle_are_one_sentence(tmp_path: Path) -> None:
    one, other = tmp_path / "one.txt", tmp_path / "other.txt"
    one.symlink_to(other)
    other.symlink_to(one)
    with pytest.raises(DocumentError, match="leads to itself"):
        write_file(one, "a")


def test_a_name_that_is_too_long_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(DocumentError, match="cannot be written: "):
        check_writable(tmp_path / ("a" * 300))


def test_a_folder_that_may_not_be_written_to_is_told_before_the_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(DocumentError, match="may not be written to"):
        check_writable(tmp_path / "a.txt")


def test_a_pipe_or_a_device_is_never_replaced(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/null")):
        with pytest.raises(DocumentError, match="no ordinary file"):
            write_file(path, "new", overwrite=True)
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_a_file_that_was_made_read_only_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("mine")
    path.chmod(0o444)
    with pytest.raises(DocumentError, match="read-only and was left as it is"):
        write_file(path, "other", overwrite=True)
    assert path.read_text() == "mine"


def test_half_of_a_sign_from_a_file_name_does_not_lose_the_rest(tmp_path: Path) -> None:
    path = write_file(tmp_path / "a.txt", "bad \udcff name")
    assert path.read_text("utf-8") == "bad ? name"


def test_what_a_killed_program_left_is_removed_once_it_is_old(tmp_path: Path) -> None:
    code = (
        "import os, signal, sys\n"
        "from listen.document import write_file\n"
        "def pieces():\n    yield 'half'\n    os.kill(os.getpid(), signal.SIGKILL)\n"
        "write_file(sys.argv[1], pieces())\n"
    )
    path, other = tmp_path / "a.txt", tmp_path / ".notes.tmp"
    other.write_text("a person's own")
    subprocess.run([sys.executable, "-c", code, str(path)], check=False, timeout=60)
    left = [one for one in tmp_path.iterdir() if one != other]
    assert len(left) == 1, left
    write_file(tmp_path / "b.txt", "x")
    assert left[0].exists()  # it may be at work yet
    day_ago = time.time() - 86_400
    for one in (left[0], other):
        os.utime(one, (day_ago, day_ago))
    write_file(tmp_path / "c.txt", "x")
    assert sorted(one.name for one in tmp_path.iterdir()) == [".notes.tmp", "b.txt", "c.txt"]


def test_the_folder_is_flushed_after_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    flushed = []
    real = os.fsync

    def note(handle: int) -> None:
        flushed.append(stat.S_ISDIR(os.fstat(handle).st_mode))
        real(handle)

    monkeypatch.setattr(os, "fsync", note)
    write_file(tmp_path / "a.txt", "x")
    assert flushed == [False, True]
