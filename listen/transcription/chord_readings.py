"""What was read of each held chord: its names, notes and shapes; and the key that spells them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from listen.instrument import Fretboard
from listen.reading import EventKind, PartKey, StrumReading
from listen.theory import Key, rank_keys
from listen.transcription.alternating_basses import name_over_first_basses
from listen.transcription.chord_kinds import ChordKind
from listen.transcription.held_chords import HeldChord
from listen.transcription.moving_basses import name_over_moving_basses
from listen.transcription.named_shapes import put_held_first
from listen.transcription.part_settings import PartSettings
from listen.transcription.string_sets import fit_held, fit_strum
from listen.transcription.strum import StrumSettings, read_evidence

SURE_KEY = 0.4  # a key less probable than that does not spell the chords
MOST_KEYS = 5  # that are listed


@dataclass(frozen=True, slots=True, eq=False)
class ReadChord:
    """A held chord and what was read of it.

    Parameters
    ----------
    held : HeldChord
    reading : StrumReading
        Of all chords of its kind together.
    cut_from : ReadChord or None
        The whole of which it is a piece, where a person told of a place inside (:mod:`.told_places`).
    """

    held: HeldChord
    reading: StrumReading
    cut_from: ReadChord | None = None

    @property
    def event_kind(self) -> EventKind:
        """What its strokes are: single notes are a line, what the ear refuses is unread."""
        if self.reading.names:
            return "strum"
        return "line" if self.reading.notes else "unread"


def read_chords(
    chords: Sequence[HeldChord], kinds: Sequence[ChordKind], fretboard: Fretboard, settings: PartSettings
) -> tuple[tuple[ReadChord, ...], tuple[PartKey, ...]]:
    """Read each kind of chord once, find the key, and name the chords again as the key spells them.

    Parameters
    ----------
    chords : sequence of HeldChord
    kinds : sequence of ChordKind
        Of these chords.
    fretboard : Fretboard
    settings : PartSettings

    Returns
    -------
    tuple of ReadChord, tuple of PartKey
        One for each chord; the likeliest keys, none where nothing was named.
    """
    plain = StrumSettings(fretboard, settings.fit, settings.key)
    fits = {
        kind.pitches: fit_strum(kind.evidence, fretboard, settings=settings.fit)
        for kind in kinds
        if kind.evidence.no_chord_reason is None
    }
    readings = {
        kind.pitches: read_evidence(kind.evidence, settings=plain, fit=fits.get(kind.pitches)) for kind in kinds
    }
    in_time = [
        (readings[chord.pitches].names[0].chord, chord.span.end_s - chord.span.start_s)
        for chord in chords
        if readings[chord.pitches].names
    ]
    keys: tuple[PartKey, ...] = ()
    if settings.key is not None:
        keys = (PartKey(settings.key.tonic, settings.key.mode, 1.0),)
    elif in_time:
        ranked = rank_keys(chords=in_time)[:MOST_KEYS]
        keys = tuple(PartKey(one.key.tonic, one.key.mode, one.probability) for one in ranked)
        if keys[0].probability >= SURE_KEY:
            spelled = replace(plain, key=Key(keys[0].tonic, keys[0].mode))
            for kind in kinds:
                if readings[kind.pitches].names:
                    readings[kind.pitches] = read_evidence(kind.evidence, settings=spelled, fit=fits[kind.pitches])
    strummed = {chord.pitches for chord in chords if not chord.is_picked}
    for kind in kinds:
        reading = readings[kind.pitches]
        if reading.names and reading.shapes:
            is_picked = kind.pitches not in strummed
            held = fit_held(kind.evidence, fretboard, settings=settings.fit, is_picked=is_picked)
            shapes = put_held_first(reading.shapes, held.shapes, reading.names[0].chord, fretboard)
            readings[kind.pitches] = replace(reading, shapes=shapes)
    own = name_over_first_basses(chords, [readings[one.pitches] for one in chords])
    own = name_over_moving_basses([one.pitches for one in chords], own)
    return tuple(ReadChord(chord, reading) for chord, reading in zip(chords, own, strict=True)), keys
