"""Whole parts, rendered by the string model from seeds, read and held to their truth by mir_eval."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import mir_eval
import numpy as np
import pytest
from numpy.typing import NDArray

from listen.audio import STROKE_RATE_HZ, hear_part
from listen.errors import BadValueError
from listen.evidence import PartEvidence, TimeSpan, TuningPoint
from listen.instrument import STANDARD, parse_shape, parse_tuning
from listen.reading import Correction, Part, Pin
from listen.theory import parse_chord
from listen.transcription import PartSettings, read_part_evidence, read_part_samples
from tests.benchmarks.part_scenes import Scene, make_scene
from tests.benchmarks.part_sound import RATE_HZ, render_strings

TOLD = PartSettings(tuning=STANDARD, capo_fret=0)


@cache
def _scene() -> tuple[Scene, NDArray[np.float32]]:
    import soxr

    scene = make_scene(11, pattern="sway", strums_per_s=2.0, n_bars=4, setting="plain")
    samples = soxr.resample(render_strings(scene), RATE_HZ, STROKE_RATE_HZ)
    return scene, np.asarray(samples, np.float32)


@cache
def _read() -> Part:
    return read_part_samples(_scene()[1], sample_rate_hz=STROKE_RATE_HZ, settings=TOLD)


def test_strums_are_found_in_time() -> None:
    reference = np.array([stroke.onset_s for stroke in _scene()[0].strokes])
    estimated = np.array([stroke.span.start_s for event in _read().events for stroke in event.strokes])
    f_measure, *_ = mir_eval.onset.f_measure(reference, estimated, window=0.05)
    assert f_measure >= 0.95


def test_chords_are_named_with_their_bass() -> None:
    scene, part = _scene()[0], _read()
    truth = [chord.label for chord in scene.chords]
    named = [span.name.chord.harte for span in part.spans if span.name is not None]
    assert len(named) == len(truth)
    assert float(np.mean(mir_eval.chord.sevenths_inv(truth, named))) >= 0.75


def test_shapes_are_those_that_were_held() -> None:
    scene, part = _scene()[0], _read()
    right = [
        span.shape is not None and span.shape.shape.frets == chord.frets
        for span, chord in zip(part.spans, scene.chords, strict=True)
    ]
    assert np.mean(right) >= 0.5
    for span in part.spans:
        assert len({one.shape for one in span.shapes}) == len(span.shapes), "each shape is offered once"


def test_bars_and_tempo_are_the_scenes() -> None:
    scene, part = _scene()[0], _read()
    assert part.bars.metre is not None
    assert part.bars.metre.signature == "4/4"
    assert part.bars.metre.tempo_bpm == pytest.approx(scene.tempo_bpm, rel=0.03)
    assert part.bars.lines_s[: len(scene.bars_s) - 1] == pytest.approx(scene.bars_s[:-1], abs=0.06)


def test_events_and_spans_are_in_order_and_belong_together() -> None:
    part = _read()
    starts = [event.span.start_s for event in part.events]
    assert starts == sorted(starts)
    assert [event.number for event in part.events] == list(range(1, len(part.events) + 1))
    for place, span in enumerate(part.spans):
        assert part.events[span.first_event].span_index == place
        assert part.events[span.last_event].span_index == place
    for event in part.events:
        for note in event.notes:
            if note.string_index is not None and note.fret is not None:
                assert part.fretboard.pitch_at(note.string_index, note.fret) == note.pitch
                assert note.end_s > note.start_s


def test_a_string_stops_when_it_is_struck_again() -> None:
    ends: dict[int, float] = {}
    for event in _read().events:
        for note in event.notes:
            assert note.string_index is not None
            assert ends.get(note.string_index, 0.0) <= note.start_s + 1e-6
            ends[note.string_index] = note.end_s


def test_the_tuning_offset_is_within_three_cents() -> None:
    assert _read().concert_pitch.offset_cents == pytest.approx(_scene()[0].guitar.offset_cents, abs=3.0)


@pytest.mark.parametrize(("cents", "drifts"), [((-3.0, 1.0, 9.0), True), ((2.0, -8.0), True), ((-1.0, 1.0), False)])
def test_a_guitar_that_goes_out_of_tune_is_told_of_over_time(cents: tuple[float, ...], drifts: bool) -> None:
    tuning = tuple(TuningPoint(10.0 * at, own) for at, own in enumerate(cents))
    pitch = read_part_evidence(PartEvidence(TimeSpan(0.0, 30.0), (), (), tuning), settings=TOLD).concert_pitch
    assert pitch.offset_cents == pytest.approx(float(np.median(cents)))
    assert pitch.drift == (tuning if drifts else ())


def test_a_pin_is_kept_and_the_rest_is_decoded_around_it() -> None:
    shape = parse_shape("x-10-12-12-12-10")
    free = _read()
    position = free.spans[1].position
    assert position is not None
    pins = (Pin(shape, bar=position.bar, beat=position.beat), Pin(shape, event_number=free.spans[2].first_event + 1))
    settings = PartSettings(tuning=STANDARD, capo_fret=0, pins=pins)
    part = read_part_samples(_scene()[1], sample_rate_hz=STROKE_RATE_HZ, settings=settings)
    assert [span.pinned for span in part.spans] == [False, True, False, True]  # the second chord lasts two bars
    for place in (1, 3):
        held = part.spans[place].shape
        assert held is not None
        assert held.shape == shape
    assert part.settled.pins == pins


def test_a_pin_into_nothing_is_refused() -> None:
    settings = PartSettings(tuning=STANDARD, capo_fret=0, pins=(Pin(parse_shape("x32010"), event_number=999),))
    with pytest.raises(BadValueError, match="The pin 999=x32010 points to no chord"):
        read_part_samples(_scene()[1], sample_rate_hz=STROKE_RATE_HZ, settings=settings)


def test_a_name_that_a_person_gave_holds() -> None:
    event = _read().spans[0].first_event + 1
    settings = PartSettings(tuning=STANDARD, capo_fret=0, corrections=(Correction("name", "C6/9", event),))
    part = read_part_samples(_scene()[1], sample_rate_hz=STROKE_RATE_HZ, settings=settings)
    assert part.spans[0].name is not None
    assert part.spans[0].name.text == "C6/9"
    assert part.settled.corrections == settings.corrections


@pytest.mark.parametrize(("symbol", "tones"), [("D", {2, 6, 9}), ("Bm7", {11, 2, 6, 9}), ("F/A", {5, 9, 0})])
def test_a_name_that_a_person_gave_brings_a_shape_of_that_chord(symbol: str, tones: set[int]) -> None:
    """Tones as in any primer: D F♯ A, B D F♯ A, F A C (common practice, no source)."""
    event = _read().spans[0].first_event + 1
    settings = PartSettings(tuning=STANDARD, capo_fret=0, corrections=(Correction("name", symbol, event),))
    part = read_part_samples(_scene()[1], sample_rate_hz=STROKE_RATE_HZ, settings=settings)
    held = part.spans[0].shape
    assert held is not None
    sounding = [pitch.midi for pitch in held.shape.pitches(part.fretboard) if pitch is not None]
    assert {midi % 12 for midi in sounding} == tones
    if "/" in symbol:
        assert min(sounding) % 12 == 9


def test_how_a_bass_that_a_person_names_is_written_is_told_and_not_that_another_was_heard() -> None:
    event = _read().spans[0].first_event + 1  # C E G C E, from C3 up
    remarks = {}
    for symbol in ("C/E", "Am/C", "D"):
        settings = PartSettings(tuning=STANDARD, capo_fret=0, corrections=(Correction("name", symbol, event),))
        part = read_part_samples(_scene()[1], sample_rate_hz=STROKE_RATE_HZ, settings=settings)
        remarks[symbol] = part.spans[0].remark
    assert remarks["C/E"] == "C/E is written as 032010, which adds what was not heard (E2)."
    assert not any("in the bass" in remark for remark in remarks.values())
    as_heard = Pin(parse_shape("x32010"), event)
    settings = replace(settings, corrections=(Correction("name", "C/E", event),), pins=(as_heard,))
    part = read_part_samples(_scene()[1], sample_rate_hz=STROKE_RATE_HZ, settings=settings)
    assert part.spans[0].remark.endswith(
        "C/E has E in the bass, but the lowest note that was heard is C3: if C3 does not sound, say so."
    )


def test_a_given_name_is_that_of_the_form_where_the_whole_guitar_is_tuned_down() -> None:
    number = _read().events[_read().spans[0].first_event].number
    low = parse_tuning("half step down")
    settings = PartSettings(tuning=low, capo_fret=0, corrections=(Correction("name", "D6/A", number),))
    name = read_part_evidence(hear_part([_scene()[1]]), settings=settings).spans[0].name
    assert name is not None
    assert name.played_as == parse_chord("D6/A")
    assert name.chord.root.pitch_class == 1  # a half step below D
    assert name.chord.sounding_bass.pitch_class == 8


def test_blocks_read_like_the_whole() -> None:
    samples = _scene()[1]
    blocks = np.array_split(samples, 7)
    part = read_part_evidence(hear_part(blocks), settings=TOLD)
    assert [span.name for span in part.spans] == [span.name for span in _read().spans]


def test_stopping_keeps_what_was_read() -> None:
    long = np.concatenate([_scene()[1]] * 3)

    def stop_late() -> Iterator[NDArray[np.float32]]:
        yield long[: 25 * STROKE_RATE_HZ]
        raise KeyboardInterrupt

    part = read_part_evidence(hear_part(stop_late()), settings=TOLD)
    assert not part.recording.complete
    assert part.recording.span.end_s == pytest.approx(20.0)
    assert part.spans


def test_stopping_inside_a_core_keeps_nothing_half_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("listen.audio.part_core._hear_windows", stop)
    part = read_part_evidence(hear_part([_scene()[1]]), settings=TOLD)
    assert not part.recording.complete
    assert (part.recording.span.end_s, part.events, part.spans) == (0.0, (), ())


def test_times_count_from_the_start_of_the_recording() -> None:
    part = read_part_evidence(hear_part([_scene()[1]], start_s=60.0), settings=TOLD)
    assert part.spans[0].span.start_s == pytest.approx(60.0 + _read().spans[0].span.start_s)


def test_silence_holds_no_strum() -> None:
    part = read_part_samples(np.zeros(5 * STROKE_RATE_HZ, np.float32), sample_rate_hz=STROKE_RATE_HZ)
    assert part.spans == ()
    assert [event.kind for event in part.events] == ["silence"]
    assert "No stroke" in part.warnings[0]
    assert (part.concert_pitch.offset_cents, part.concert_pitch.drift) == (0.0, ())


def test_drums_are_no_chords() -> None:
    rng = np.random.default_rng(3)
    samples = np.zeros(8 * STROKE_RATE_HZ, np.float32)
    for beat in range(14):
        at, n = int((0.3 + 0.5 * beat) * STROKE_RATE_HZ), STROKE_RATE_HZ // 5
        time_s = np.arange(n) / STROKE_RATE_HZ
        drum = (
            rng.normal(0, 1, n) * np.exp(-time_s / 0.02)
            if beat % 2
            else np.sin(2 * np.pi * (60 * time_s - 12 * np.exp(-time_s / 0.03))) * np.exp(-time_s / 0.06)
        )
        samples[at : at + n] += (0.4 * drum).astype(np.float32)
    part = read_part_samples(samples, sample_rate_hz=STROKE_RATE_HZ)
    assert part.spans == ()
    assert {event.kind for event in part.events} <= {"hit", "unread", "silence"}
    assert (part.concert_pitch.offset_cents, part.concert_pitch.drift) == (0.0, ())


def test_ten_milliseconds_are_read_as_nothing() -> None:
    assert read_part_samples(np.ones(160, np.float32), sample_rate_hz=STROKE_RATE_HZ).events == ()
