"""A take whose part or steps are damaged: it goes on from what is left, and what cannot be read is put aside."""

from __future__ import annotations

import secrets
from pathlib import Path

from listen.document import hold_lock, load_part
from listen.errors import DocumentError, RecordingError
from listen.reading import Part
from listen.request.kept_folders import move_path
from listen.request.library import DamagedTakeError, Library
from listen.request.take_kept import Take


def restore_take(library: Library, take: Take) -> Take:
    """Let a take go on: from the last part that can be read; where there is none, it waits to be read anew.

    Steps that can be read are kept, and the part is decoded with them; else what the part holds is the first step.

    Raises
    ------
    DocumentError
        Its document lies outside of the library, or nothing can be moved or written.
    RecordingError
        Neither a part nor the recording is left.
    """
    folder = library.folder_of(take.ident)
    with hold_lock(folder / "settled.json"):
        if not _is_whole_part(library, take):
            if take.document:
                raise DocumentError(
                    f"{take.document} lies outside of the library and was left as it is: put it right, or put a copy "
                    f"in its place; the parts before it are in {folder / 'versions'}."
                )
            take = _put_part_right(library, take)
        if not _is_whole_history(library, take):
            _put_aside(folder / "settled.json")
    return take


def _put_part_right(library: Library, take: Take) -> Take:
    before, recording = _find_last_part(library, take), library.recording_of(take)
    if before is None and (recording is None or not recording.is_file()):
        raise RecordingError(f"Neither a part of {take.name} nor its recording is left: bring the recording in again.")
    _put_aside(library.document_of(take))
    if before is None:
        return library.note(take.ident, state="waiting", message="")
    library.write_part(take, before)
    return take


def _find_last_part(library: Library, take: Take) -> Part | None:
    for path in sorted((library.folder_of(take.ident) / "versions").glob("*.part.json"), reverse=True):
        try:
            return load_part(path)
        except DocumentError:
            continue
    return None


def _is_whole_part(library: Library, take: Take) -> bool:
    try:
        return library.part(take) is not None
    except DamagedTakeError:
        return False


def _is_whole_history(library: Library, take: Take) -> bool:
    try:
        library.history(take.ident)
    except DamagedTakeError:
        return False
    return True


def _put_aside(path: Path) -> None:
    if path.exists():
        move_path(path, path.with_name(f"damaged-{secrets.token_hex(3)}-{path.name}"))
