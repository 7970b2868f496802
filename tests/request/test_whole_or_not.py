"""The library and homework: what comes is there whole or not at all, whatever happens in between."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile

from listen.document import render_part_pieces, write_part
from listen.errors import DocumentError
from listen.reading import Correction, Settled
from listen.request import HomeworkShelf, Library, Step, bring_homework, bring_to_library
from listen.request.bring_in import prepare_sound
from tests.hand_made_parts import straight_part

FULL_BYTES = 2000  # of a file on the full disk


@contextmanager
def full_disk() -> Iterator[None]:
    """No file grows beyond FULL_BYTES: what is written there is an error (POSIX, setrlimit)."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (FULL_BYTES, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def _everything(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))


def test_a_recording_that_does_not_fit_leaves_no_take(library: Library, tmp_path: Path) -> None:
    path = tmp_path / "evening.wav"
    path.write_bytes(bytes(3 * FULL_BYTES))
    with full_disk(), pytest.raises(DocumentError, match="could not be written: File too large"):
        bring_to_library(library, path)
    assert library.list_takes() == ()
    assert _everything(library.folder) == ["thrown-away"]
    take = bring_to_library(library, path)
    recording = library.recording_of(take)
    assert recording is not None
    assert recording.read_bytes() == path.read_bytes()
    assert library.list_takes() == (take,)


def test_a_recording_half_copied_by_a_killed_program_is_no_take(library: Library, tmp_path: Path) -> None:
    path = tmp_path / "evening.wav"
    path.write_bytes(bytes(3 * FULL_BYTES))
    code = (
        "import resource, signal, sys\n"
        "from pathlib import Path\n"
        "from listen.request import Library, bring_to_library\n"
        "resource.setrlimit(resource.RLIMIT_CORE, (0, 0))\n"
        f"resource.setrlimit(resource.RLIMIT_FSIZE, ({FULL_BYTES}, {FULL_BYTES}))\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_DFL)\n"  # whoever writes more is killed in the midst of it
        "bring_to_library(Library(Path(sys.argv[1])), Path(sys.argv[2]))\n"
    )
    environment = {**os.environ, "PYTHONPATH": str(Path.cwd()), "PYTHONDONTWRITEBYTECODE": "1"}
    words = [sys.executable, "-c", code, str(library.folder), str(path)]
    assert subprocess.run(words, check=False, env=environment).returncode == -signal.SIGXFSZ
    (left,) = [one for one in library.folder.iterdir() if one.name != "thrown-away"]
    assert list(library.mend()) == []
    assert left.exists()  # its program may be at work yet
    day_ago = time.time() - 86_400
    for one in (left, *left.iterdir()):
        os.utime(one, (day_ago, day_ago))
    assert list(library.mend()) == []
    assert _everything(library.folder) == ["thrown-away"]


def test_a_version_is_kept_whole_or_not_at_all(library: Library) -> None:
    part = replace(straight_part(), settled=Settled())
    assert len("".join(render_part_pieces(part))) > FULL_BYTES
    take = library.add("evening.wav", ".wav")
    library.begin(take, part)
    told = (Correction("title", "Evening"),)
    history = library.history(take.ident).take_step(Step("Evening", (), told))
    with full_disk(), pytest.raises(DocumentError):
        library.settle(take, history, replace(part, settled=Settled((), told)))
    assert list((library.folder_of(take.ident) / "versions").iterdir()) == []
    assert library.history(take.ident).undone == ""


def _named_as_it_was_in_1995(path: Path) -> Path:
    return path.rename(os.fsdecode(os.fsencode(path.parent / "Ren") + b"\xe9" + os.fsencode(path.suffix)))


def test_a_document_whose_name_is_no_text_is_refused_and_not_lost(library: Library, tmp_path: Path) -> None:
    path = _named_as_it_was_in_1995(write_part(straight_part(), tmp_path / "evening.json"))
    with pytest.raises(DocumentError, match=r"Ren\ufffd.json cannot be found again: .* Rename it\.") as told:
        bring_to_library(library, path)
    str(told.value).encode()
    assert library.list_takes() == ()


def test_a_recording_whose_name_is_no_text_is_brought_in(library: Library, tmp_path: Path) -> None:
    for name in (b"Ren\xe9.wav", b"Ren.wa\xe9"):
        path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/" + name))
        path.write_bytes(b"RIFF")
        take = library.take(bring_to_library(library, path).ident)
        recording = library.recording_of(take)
        assert recording is not None
        assert recording.read_bytes() == b"RIFF"
        assert take.name == name.decode("utf-8", "replace")


@pytest.mark.parametrize("which", ["week.chart", "takes/Anna.wav"])
def test_homework_whose_names_are_no_text_is_refused(library: Library, tmp_path: Path, which: str) -> None:
    chart, named = tmp_path / "week.chart", tmp_path / "takes"
    named.mkdir()
    chart.write_text("free time\n| C | G |\n")
    (named / "Anna.wav").write_bytes(b"RIFF")
    renamed = _named_as_it_was_in_1995(tmp_path / which)
    with pytest.raises(DocumentError, match=r"cannot be found again: .* Rename it\."):
        bring_homework(library, renamed if which == "week.chart" else chart, [named])
    assert HomeworkShelf(library).list_homework() == ()


def test_a_library_whose_name_is_no_text_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DocumentError, match=r"cannot be found again: .* Rename it\."):
        Library(Path(os.fsdecode(os.fsencode(tmp_path) + b"/Ren\xe9")))
    assert list(tmp_path.iterdir()) == []


def test_a_sound_that_does_not_fit_is_one_sentence(tmp_path: Path) -> None:
    recording, folder = tmp_path / "Anna.wav", tmp_path / "sounds"
    folder.mkdir()
    soundfile.write(recording, np.random.default_rng(1).uniform(-0.5, 0.5, 8000), 8000)
    with full_disk(), pytest.raises(DocumentError, match=r"sound\.flac could not be written"):
        prepare_sound(recording, folder)
    assert list(folder.iterdir()) == []
