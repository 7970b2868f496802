"""A recording or a part document that was named: the one is copied into the library, the other stays where it is."""

from __future__ import annotations

import os
from pathlib import Path, PurePath

from listen.document import copy_file, hold_lock, load_part
from listen.errors import RecordingError
from listen.request.kept_folders import path_text
from listen.request.library import Library
from listen.request.take_kept import Take


def bring_to_library(library: Library, file: Path) -> Take:
    """Bring a recording in from a file, or a part document, which stays where it is and is worked on there.

    Raises
    ------
    RecordingError, DocumentError
        It is not there, or cannot be read.
    """
    if not file.is_file():
        is_there = file.exists()
        raise RecordingError(f"{file} is {'no ordinary file' if is_there else 'not there'}; check the name.")
    path = file.resolve()
    if path.suffix.lower() != ".json":
        name = os.fsencode(path.name).decode("utf-8", "replace")  # it is no more than what the take is called
        with library.receive(name, PurePath(name).suffix.lower()) as (take, place):
            copy_file(path, place)
        return take
    document, part = path_text(path), load_part(path)
    beside = path.parent / PurePath(part.recording.file).name
    recording = str(beside) if part.recording.file and beside.is_file() else ""
    with hold_lock(library.folder / "documents"):  # two programs that bring one in work on one take
        known = next((take for take in library.list_takes() if take.document == document), None)
        take = known or library.add(path.stem, recording=recording, document=document)
        library.begin(take, part)
    state = "waiting" if recording else "read"  # its sound is to be made ready
    return library.note(take.ident, recording=recording, state=state, message="", duration_s=part.recording.duration_s)
