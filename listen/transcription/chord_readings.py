"""What was read of each held chord: its names, notes and shapes, spelled by the key that holds there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from listen.instrument import Fretboard
from listen.reading import EventKind, StrumReading
from listen.theory import Key
from listen.transcription.alternating_basses import name_over_first_basses
from listen.transcription.chord_kinds import ChordKind
from listen.transcription.held_chords import HeldChord
from listen.transcription.keys import FoundKeys
from listen.transcription.moving_basses import name_over_moving_basses
from listen.transcription.named_shapes import put_held_first
from listen.transcription.part_settings import PartSettings
from listen.transcription.string_sets import fit_held, fit_strum
from listen.transcription.strum import StrumSettings, read_evidence
from listen.voicing import Fit


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


@dataclass(frozen=True, slots=True, eq=False)
class ReadKinds:
    """What was read of each kind of chord, before a key spells it; by the pitches held.

    Parameters
    ----------
    kinds : mapping of ChordKind
    fits : mapping of Fit
        Of what is a chord.
    readings : mapping of StrumReading
    settings : StrumSettings
        That they were read with.
    """

    kinds: Mapping[frozenset[int], ChordKind]
    fits: Mapping[frozenset[int], Fit]
    readings: Mapping[frozenset[int], StrumReading]
    settings: StrumSettings


def read_kinds(kinds: Sequence[ChordKind], fretboard: Fretboard, settings: PartSettings) -> ReadKinds:
    """Read each kind of chord once."""
    plain = StrumSettings(fretboard, settings.fit, settings.key)
    fits = {
        kind.pitches: fit_strum(kind.evidence, fretboard, settings=settings.fit)
        for kind in kinds
        if kind.evidence.no_chord_reason is None
    }
    readings = {
        kind.pitches: read_evidence(kind.evidence, settings=plain, fit=fits.get(kind.pitches)) for kind in kinds
    }
    return ReadKinds({kind.pitches: kind for kind in kinds}, fits, readings, plain)


def read_chords(chords: Sequence[HeldChord], read: ReadKinds, keys: FoundKeys) -> tuple[ReadChord, ...]:
    """Name each chord as the key spells it that holds where it begins; each kind is read once for each key.

    Parameters
    ----------
    chords : sequence of HeldChord
    read : ReadKinds
        Of these chords.
    keys : FoundKeys
    """
    fretboard, fit = read.settings.fretboard, read.settings.fit
    strummed = {chord.pitches for chord in chords if not chord.is_picked}
    readings: dict[tuple[frozenset[int], Key | None], StrumReading] = {}
    own: list[StrumReading] = []
    for chord in chords:
        pitches, key = chord.pitches, keys.key_of(chord)
        if (pitches, key) not in readings:
            kind, reading = read.kinds[pitches], read.readings[pitches]
            if reading.names and key is not None and key != read.settings.key:
                spelled = replace(read.settings, key=key)
                reading = read_evidence(kind.evidence, settings=spelled, fit=read.fits[pitches])
            if reading.names and reading.shapes:
                held = fit_held(kind.evidence, fretboard, settings=fit, is_picked=pitches not in strummed)
                shapes = put_held_first(reading.shapes, held.shapes, reading.names[0].chord, fretboard)
                reading = replace(reading, shapes=shapes)
            readings[pitches, key] = reading
        own.append(readings[pitches, key])
    named = name_over_moving_basses([one.pitches for one in chords], name_over_first_basses(chords, own))
    return tuple(ReadChord(chord, reading) for chord, reading in zip(chords, named, strict=True))
