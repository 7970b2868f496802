"""The desk: takes of a library that are worked on. What was heard of the last few stays at hand: changes are quick.

One lock a desk: changes come one after another, and each says which version it saw.
"""

from __future__ import annotations

import contextlib
import threading
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

from listen.document import load_part
from listen.errors import DocumentError, RecordingError
from listen.reading import Correction, Part, Pin
from listen.request.bring_in import SO_FAR
from listen.request.changes import AskedChange, take_step
from listen.request.heard_anew import follow_rewritten, place_history
from listen.request.hearing import HeardRecording, conclude_part, hear_for_part
from listen.request.history import History, Step
from listen.request.library import CHANGED, ChangedMeanwhileError, Library, Stamp
from listen.request.part_asked import settle_step
from listen.request.restore import restore_take
from listen.request.take_kept import Take
from listen.request.told_events import is_held_on

MOST_AT_HAND = 3
_Kept = TypeVar("_Kept")


@dataclass(frozen=True, slots=True)
class Opened:
    """A take as it stands.

    Parameters
    ----------
    take : Take
    part : Part or None
        None where nothing was read yet.
    history : History
    """

    take: Take
    part: Part | None
    history: History


class Desk:
    """Opens takes, changes them and takes changes back.

    Parameters
    ----------
    library : Library
    """

    def __init__(self, library: Library) -> None:
        self.library = library
        self._lock = threading.RLock()
        self._heard: OrderedDict[str, HeardRecording] = OrderedDict()
        self._parts: OrderedDict[str, tuple[Stamp | None, Part]] = OrderedDict()

    def open(self, ident: str) -> Opened:
        """Return a take, its part as far as it was read, and what was settled; a part that lags behind is mended."""
        with self._lock:
            take = self.library.take(ident)
            history = self.library.history(ident)
            so_far = self.library.folder_of(ident) / SO_FAR
            if take.state != "read" and not take.document:
                part = load_part(so_far) if so_far.is_file() else None
                return Opened(take, part, history)
            part = self._read_part(take)
            if part is not None and part.settled != history.now.settled:
                return self._reconcile(take, part, history)
            return Opened(take, part, history)

    def _reconcile(self, take: Take, part: Part, history: History) -> Opened:
        """Mend a part that lags behind what is settled, after a crash; adopt what another program wrote into it."""
        is_among = part.settled in [step.settled for step in history.steps]
        if take.document and not is_among and not self._is_as_before(take, history):
            theirs = Step("changes of another program", part.settled.pins, part.settled.corrections)
            adopted = follow_rewritten(history, self._load_versions(take), part) or history.take_step(theirs)
            with self.library.hold(take, history.version):
                self.library.write_history(take, adopted)
            return Opened(take, part, adopted)
        seen = history
        history, part = self._conclude(take, history, part)
        with self.library.hold(take, history.version):
            if not self._is_as_before(take, seen):
                self.library.keep_version(take, f"{history.version - 1:06d}.found")
            if history is not seen:
                self.library.write_history(take, history)
            self.library.write_part(take, part)
            self._keep_part(take, part, self.library.stamp(take))
        return Opened(take, part, history)

    def _load_versions(self, take: Take) -> Iterator[Part]:
        for path in sorted((self.library.folder_of(take.ident) / "versions").glob("*.part.json")):
            with contextlib.suppress(DocumentError):
                yield load_part(path)

    def _is_as_before(self, take: Take, history: History) -> bool:
        """Tell whether a document is the one before the last change, whose steps may count otherwise."""
        before = self.library.folder_of(take.ident) / "versions" / f"{history.version - 1:06d}.part.json"
        return before.is_file() and before.read_bytes() == self.library.document_of(take).read_bytes()

    def restore(self, ident: str) -> Opened:
        """Let a take whose part or steps are damaged go on; see :func:`restore_take`."""
        with self._lock:
            restore_take(self.library, self.library.take(ident))
            return self.open(ident)

    def change(self, ident: str, change: AskedChange, *, version: int) -> Opened:
        """Settle something and decode the rest around it.

        Raises
        ------
        BadValueError
            It cannot be settled so; nothing changed.
        ChangedMeanwhileError
            The take is at another version than the one that was seen.
        """
        with self._lock:
            opened = self._open_at(ident, version)
            assert opened.part is not None  # noqa: S101  (checked above)
            step = take_step(opened.part, opened.history.now, change)
            return self._move_to(opened, opened.history.take_step(step))

    def undo(self, ident: str, *, version: int) -> Opened:
        """Take the last step back."""
        with self._lock:
            opened = self._open_at(ident, version)
            return self._move_to(opened, opened.history.undo()) if opened.history.undone else opened

    def redo(self, ident: str, *, version: int) -> Opened:
        """Take the step again that was taken back last."""
        with self._lock:
            opened = self._open_at(ident, version)
            return self._move_to(opened, opened.history.redo()) if opened.history.redone else opened

    def rename(self, ident: str, name: str) -> Take:
        """Call a take otherwise in the library."""
        with self._lock:
            return self.library.note(ident, name=name)

    def _open_at(self, ident: str, version: int) -> Opened:
        opened = self.open(ident)
        take = opened.take
        if take.state in ("waiting", "reading"):
            raise RecordingError("It is still being read: wait until it is, or stop it.")
        if take.state != "read" and not take.document:
            raise RecordingError(f"{take.name} was not read to its end: read it again, then change it.")
        if opened.part is None:
            path = self.library.document_of(take)
            raise RecordingError(f"{path} is not there, so there is nothing to change: put it back.")
        if opened.history.version != version:
            raise ChangedMeanwhileError(CHANGED)
        return opened

    def _move_to(self, opened: Opened, history: History) -> Opened:
        assert opened.part is not None  # noqa: S101
        history, part = self._conclude(opened.take, history, opened.part)
        seen, _ = self._parts[opened.take.ident]
        self.library.settle(opened.take, history, part, seen=seen)
        self._keep_part(opened.take, part, self.library.stamp(opened.take))
        return Opened(opened.take, part, history)

    def _conclude(self, take: Take, history: History, before: Part) -> tuple[History, Part]:
        """Decode with what is settled; capo and tuning stay as they were found unless they are told otherwise.

        Where the recording is heard anew, all steps of the history count the events of what is heard now.
        """
        was, now = before.settled, history.now.settled
        if was.pins == now.pins and _decoded_with(was.corrections) == _decoded_with(now.corrections):
            return history, replace(before, settled=now)  # only words changed
        heard = self._hear(take, before)
        placed = place_history(history, before, heard)
        settings = settle_step(placed.now)
        told: tuple[Pin | Correction, ...] = (*settings.pins, *settings.corrections)
        settings = replace(settings, kept=told if placed is not history else _list_pointless(told, before))
        stays = not {one.what for one in (*was.corrections, *now.corrections)} & {"capo", "tuning"}
        if stays:
            board = before.fretboard
            settings = replace(settings, tuning=board.tuning, capo_fret=board.capo_fret, n_frets=board.n_frets)
        part = conclude_part(heard, settings)
        return placed, replace(part, setups=before.setups) if stays else part

    def _hear(self, take: Take, part: Part) -> HeardRecording:
        heard = self._heard.get(take.ident)
        if heard is None:
            path = self.library.recording_of(take)
            if path is None or not path.is_file():
                raise RecordingError(
                    f"The recording of {take.name} is not where it was: without it nothing can be decoded again. Put "
                    "it beside the document."
                )
            heard = hear_for_part(path, part)
        _keep_at_hand(self._heard, take.ident, heard)
        return heard

    def _read_part(self, take: Take) -> Part | None:
        """Return the part as it is on the disk; parsed once for each time that it was written."""
        stamp = self.library.stamp(take)
        if stamp is None:
            return None
        kept = self._parts.get(take.ident)
        if kept is not None and kept[0] == stamp:
            return kept[1]
        part = self.library.part(take)
        return None if part is None else self._keep_part(take, part, stamp)

    def _keep_part(self, take: Take, part: Part, stamp: Stamp | None) -> Part:
        """Have a part at hand that is as it was written: parsing it takes longer than deciding on it."""
        _keep_at_hand(self._parts, take.ident, (stamp, part))
        return part


def _keep_at_hand(kept: OrderedDict[str, _Kept], ident: str, one: _Kept) -> None:
    """Keep what was used last, of so many takes and no more."""
    kept[ident] = one
    kept.move_to_end(ident)
    while len(kept) > MOST_AT_HAND:
        kept.popitem(last=False)


def _list_pointless(told: tuple[Pin | Correction, ...], before: Part) -> tuple[Pin | Correction, ...]:
    """Return what was told of events that hold no chord: it held nothing before, and may go on so.

    A chord that is held on through a stop is among it: what was struck last may be called otherwise by now.
    """
    holding = {None, *(event.number for event in before.events if event.span_index is not None)}
    pointless = [one for one in told if one.bar is None and one.event_number not in holding]
    names = [one for one in told if isinstance(one, Correction) and one.what == "name"]
    return (*pointless, *(one for one in names if is_held_on(before, one)))


def _decoded_with(corrections: tuple[Correction, ...]) -> list[Correction]:
    """Return the corrections that have a say in what is decoded."""
    return [one for one in corrections if one.what not in ("title", "section", "lyrics")]
