"""What a part is to be read with: what is told now joined with what was settled in an earlier reading."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from listen.document import carry_over, load_part
from listen.errors import BadValueError, DocumentError
from listen.instrument import parse_tuning
from listen.reading import Corrected, Correction, Part, Pin
from listen.request.part_words import (
    NOTE_OPTIONS,
    parse_capo,
    parse_metre,
    parse_name,
    parse_pin,
    parse_said,
    parse_tempo,
)
from listen.request.setup import find_kept_tuning, parse_fretboard
from listen.request.stretch import parse_time
from listen.request.told_together import refuse_contradictions
from listen.theory import Key, is_no_chord, parse_chord

if TYPE_CHECKING:
    from listen.request.history import Step
    from listen.transcription import PartSettings

SAME_START_S = 0.01  # starts so near are the same; judged, not measured
_OF_ANY_RECORDING = ("title", "tuning", "capo", "key", "metre", "tempo")
MOST_PADDED_S, MOST_PADDED_SHARE = 1.0, 0.02
"""By how much a copy of a recording in another format lasts longer or shorter, or is guessed to; judged."""


@dataclass(frozen=True, slots=True)
class PartAsked:
    """The options that settle something, as they were typed.

    Parameters
    ----------
    tuning, key, metre, bar_one : str or None
    bar_lines : tuple of str
        Where other bars begin.
    capo : int or None
    tempo : float or None
    pins, names : tuple of str
    said : tuple of (str, str)
        What is said of events beside, by kind (``"title"``, ``"section"``, ``"lyrics"``, ``"note"``, ``"bass"``):
        ``("section", "12=Verse")``, ``("note", "5.3=-G3")`` for a note that does not sound.
    """

    tuning: str | None = None
    capo: int | None = None
    key: str | None = None
    metre: str | None = None
    tempo: float | None = None
    bar_one: str | None = None
    bar_lines: tuple[str, ...] = ()
    pins: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    said: tuple[tuple[Corrected, str], ...] = ()


def ask_settings(
    asked: PartAsked,
    *,
    keep: Path | None,
    written: Sequence[Path],
    start_s: float,
    file: str,
    place: Callable[[Part], Part] | None = None,
    load: Callable[[Path], Part] = load_part,
) -> PartSettings:
    """Join the options with what was settled before.

    Parameters
    ----------
    asked : PartAsked
    keep : Path or None
        A part whose pins and corrections go on.
    written : sequence of Path
        Files that will be written: a part document among them that is there already is kept, too.
    start_s : float
        Where reading begins.
    file : str
        What is read.
    place : callable or None
        Gives an earlier part the numbers that its events have now; None where that is not known yet.
    load : callable
        Reads a part that is kept: whoever asks twice need not read it twice.

    Returns
    -------
    PartSettings

    Raises
    ------
    BadValueError
        Something that cannot be settled so, or that was settled for another recording or a stretch that begins
        elsewhere.
    DocumentError
        A part that is kept cannot be read.
    """
    kept = _list_kept(keep, written)
    usual = None if kept else find_kept_tuning()
    if asked.tuning is None and usual is not None:  # written down as told: another machine reads it the same
        asked = replace(asked, tuning=usual.name)
    neck = parse_fretboard("standard" if asked.tuning is None else asked.tuning, 0)
    pins = tuple(parse_pin(text, neck) for text in asked.pins)
    said = [parse_said(what, text) for what, text in asked.said]
    corrections = _list_corrections(asked, said)
    refuse_contradictions(pins, (*corrections, *said))
    given: set[Pin | Correction] = {*pins, *corrections}
    for path in kept:
        before = load(path)
        _check_same_recording(before, path, file, is_asked=keep is not None)
        _check_same_start(before, path, start_s)
        _check_corrections(before, path)
        before = before if place is None else place(before)
        pins, corrections = carry_over(before, pins=pins, corrections=corrections)
    settings = _to_settings(pins, corrections)
    told: tuple[Pin | Correction, ...] = (*pins, *corrections)
    return replace(settings, kept=tuple(one for one in told if one not in given))


def settle_step(step: Step) -> PartSettings:
    """Return the settings that what a person settled amounts to.

    Raises
    ------
    BadValueError
        Something that cannot be settled so.
    """
    return _to_settings(step.pins, step.corrections)


def _list_kept(keep: Path | None, written: Sequence[Path]) -> list[Path]:
    if keep is not None:
        return [keep]
    return [path for path in written if path.suffix.lower() == ".json" and path.is_file()]


def _check_corrections(before: Part, path: Path) -> None:
    """Refuse what was edited by hand to something that cannot be settled."""
    try:
        _to_settings((), before.settled.corrections)
        for one in before.settled.corrections:
            if one.what == "name" and not is_no_chord(one.value):
                parse_chord(one.value)
    except BadValueError as error:
        raise DocumentError(f"{path}, corrections: {error}") from error


def _check_same_recording(before: Part, path: Path, file: str, *, is_asked: bool) -> None:
    """Refuse to carry over what was settled in another recording: unasked by its name, asked where it is surely one."""
    name, other, settled = Path(before.recording.file).name, Path(file).name, before.settled
    if not name or name == other or not (settled.pins or settled.corrections):
        return
    if not is_asked:
        raise BadValueError(
            f"{path} holds what was settled in {name}, and {other} is another recording. Write to another "
            f"file; where both are one playing, --keep {path} takes it over."
        )
    places = [pin.text for pin in settled.pins]
    places += [one.text for one in settled.corrections if one.what not in _OF_ANY_RECORDING]
    if not places:
        return
    from listen.audio import probe_recording  # heavy

    was_s, lasts_s = before.recording.duration_s, probe_recording(file).duration_s
    if abs(was_s - lasts_s) > MOST_PADDED_S + MOST_PADDED_SHARE * was_s:
        raise BadValueError(
            f"{path} is a part of {name}, which lasts {was_s:.1f} s, and {other} lasts {lasts_s:.1f} s: what is told "
            f"of places in the one ({places[0]}) says nothing of the other. Read {name} with --keep, or {other} "
            "without it."
        )


def _check_same_start(before: Part, path: Path, start_s: float) -> None:
    """Refuse what was settled by numbers that count from elsewhere: it would hold at other chords."""
    numbered = [pin.text for pin in before.settled.pins if pin.bar is None]
    numbered += [one.text for one in before.settled.corrections if one.event_number is not None]
    if not any(one.what == "bar one" for one in before.settled.corrections):
        numbered += [pin.text for pin in before.settled.pins if pin.bar is not None]
        numbered += [one.text for one in before.settled.corrections if one.bar is not None]
    if numbered and abs(before.recording.span.start_s - start_s) > SAME_START_S:
        since = f"--from {before.recording.span.start_s:g}" if before.recording.span.start_s else "its beginning"
        raise BadValueError(
            f"{path} holds what you settled ({', '.join(numbered[:3])}), counted from another start: read from {since} "
            "on, or write this stretch under another name without --keep."
        )


def _list_corrections(asked: PartAsked, said: Sequence[Correction]) -> tuple[Correction, ...]:
    """List what is settled before the part is read; what is said of places in its bars is found in it."""
    found = [
        Correction("tuning", asked.tuning) if asked.tuning is not None else None,
        Correction("capo", str(asked.capo)) if asked.capo is not None else None,
        Correction("key", asked.key) if asked.key is not None else None,
        Correction("metre", asked.metre) if asked.metre is not None else None,
        Correction("tempo", f"{asked.tempo:g}") if asked.tempo is not None else None,
        Correction("bar one", asked.bar_one) if asked.bar_one is not None else None,
        Correction("bar line", " ".join(text.strip() for text in asked.bar_lines)) if asked.bar_lines else None,
        *(parse_name(text) for text in asked.names),
        *(one for one in said if one.what not in NOTE_OPTIONS and one.bar is None),
    ]
    return tuple(one for one in found if one is not None)


def _to_settings(pins: tuple[Pin, ...], corrections: tuple[Correction, ...]) -> PartSettings:
    from listen.transcription import PartSettings  # heavy

    told = {one.what: one.value for one in corrections if one.event_number is None and one.bar is None}
    return PartSettings(
        tuning=parse_tuning(told["tuning"]) if "tuning" in told else None,
        capo_fret=parse_capo(told["capo"]) if "capo" in told else None,
        key=Key.parse(told["key"]) if "key" in told else None,
        metre=parse_metre(told["metre"]) if "metre" in told else None,
        tempo_bpm=parse_tempo(told["tempo"]) if "tempo" in told else None,
        bar_one_s=parse_time("bar-one", told["bar one"]) if "bar one" in told else None,
        bar_lines_s=tuple(parse_time("bar-line", text) for text in told.get("bar line", "").split()),
        pins=pins,
        corrections=corrections,
    )
