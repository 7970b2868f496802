"""What comes out of a rendering, measured."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listen.errors import BadValueError
from listen.instrument import STRING_TABLES, Fretboard, Shape, Tuning
from listen.synthesis import PluckedNote, StrumStyle, Tone, render_notes, render_shape, shape_to_notes, stream_notes
from listen.theory import Pitch

RATE = 22_050
DRY = Tone(sample_rate_hz=RATE, room_db=-100.0, detune_cents=0.0)
OPEN_G = Shape((3, 2, 0, 0, 0, 3))


def measured_peak_hz(samples: np.ndarray[Any, Any], near_hz: float, rate: int = RATE) -> float:
    """Return the frequency of the strongest partial within a third of a semitone, by a parabola on the log spectrum."""
    n = 1 << 18
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(samples.size), n))
    low, high = (round(near_hz * 2 ** (off / 36) * n / rate) for off in (-1, 1))
    peak = low + int(np.argmax(spectrum[low:high]))
    a, b, c = np.log(spectrum[peak - 1 : peak + 2])
    return float((peak + 0.5 * (a - c) / (a - 2 * b + c)) * rate / n)


@pytest.mark.parametrize("midi_fret_kind", [(40, 0, 0), (55, 10, 1), (64, 0, 5), (67, 12, 3)])
def test_rendered_partials_lie_where_fletcher_puts_them(midi_fret_kind: tuple[int, int, int]) -> None:
    midi, fret, kind = midi_fret_kind
    note = PluckedNote(0.0, Pitch(midi), string=0, kind=kind, fret=fret)
    samples = render_notes([note], tone=DRY, duration_s=2.0)
    stiffness = STRING_TABLES["steel"].stiffness[kind] * 2 ** (fret / 6)
    for k in (1, 3, 8):
        expected = k * Pitch(midi).frequency_hz * np.sqrt(1 + stiffness * k * k)
        if expected < RATE / 3:
            cents = 1200 * np.log2(measured_peak_hz(samples, expected) / expected)
            assert abs(cents) < 4.0  # the second polarisation and the body pull by a few cents


def test_sound_decays_and_the_treble_goes_first() -> None:
    samples = render_shape(OPEN_G, Fretboard(), settings=StrumStyle(tone=DRY))

    def band_level(start_s: float, low_hz: float, high_hz: float) -> float:
        piece = samples[int(start_s * RATE) : int((start_s + 0.4) * RATE)]
        spectrum = np.abs(np.fft.rfft(piece)) ** 2
        hz = np.fft.rfftfreq(piece.size, 1 / RATE)
        return float(10 * np.log10(spectrum[(hz > low_hz) & (hz < high_hz)].sum()))

    bass_fall = band_level(0.2, 60, 400) - band_level(2.4, 60, 400)
    treble_fall = band_level(0.2, 1500, 6000) - band_level(2.4, 1500, 6000)
    assert 3 < bass_fall < treble_fall


@pytest.mark.parametrize("direction", ["down", "up"])
def test_the_direction_sets_the_order_of_strings(direction: Any) -> None:
    notes = shape_to_notes(OPEN_G, Fretboard(), settings=StrumStyle(direction=direction, spread_s=0.08))
    order = [note.string for note in notes]
    assert order == sorted(order, reverse=direction == "up")
    assert notes[-1].onset_s - notes[0].onset_s == pytest.approx(0.08)


def test_the_first_string_of_a_slow_strum_sounds_alone() -> None:
    strum = StrumStyle(direction="down", spread_s=1.5, tone=DRY)
    samples = render_shape(OPEN_G, Fretboard(), settings=strum)[int(0.12 * RATE) : int(0.3 * RATE)]
    assert measured_peak_hz(samples, Pitch(43).frequency_hz) == pytest.approx(Pitch(43).frequency_hz, rel=0.01)


def test_the_same_seed_gives_the_same_samples_and_another_seed_does_not() -> None:
    first, again, other = (
        render_shape(
            OPEN_G, Fretboard(), settings=StrumStyle(duration_s=0.5, tone=Tone(seed=seed, sample_rate_hz=RATE))
        )
        for seed in (4, 4, 5)
    )
    np.testing.assert_array_equal(first, again)
    assert np.abs(first - other).max() > 0.01


@pytest.mark.parametrize(
    "tone", [Tone(), Tone(guitar="nylon"), Tone(guitar="electric", drive=15.0), Tone(fingers=True, pluck_position=0.4)]
)
def test_nothing_clips(tone: Tone) -> None:
    samples = render_shape(OPEN_G, Fretboard(), settings=StrumStyle(duration_s=1.0, tone=tone))
    assert samples.dtype == np.float32
    assert np.abs(samples).max() == pytest.approx(0.7, abs=1e-4)


def test_a_string_used_again_stops_its_earlier_note() -> None:
    high = PluckedNote(0.0, Pitch(64), string=5, kind=5)
    low = PluckedNote(1.0, Pitch(69), string=5, kind=5, fret=5)
    samples = render_notes([high, low], tone=DRY, duration_s=2.0)
    late = np.abs(np.fft.rfft(samples[int(1.4 * RATE) :] * np.hanning(samples.size - int(1.4 * RATE))))
    hz_per_bin = RATE / (samples.size - int(1.4 * RATE))
    level_e4, level_a4 = (late[round(Pitch(m).frequency_hz / hz_per_bin)] for m in (64, 69))
    assert level_e4 < 0.01 * level_a4


def test_a_damped_strum_falls_silent_and_an_undamped_one_does_not() -> None:
    ringing, damped = (
        render_shape(OPEN_G, Fretboard(), settings=StrumStyle(damp_s=damp_s, duration_s=1.5, tone=DRY))
        for damp_s in (None, 0.5)
    )
    tail = slice(int(1.2 * RATE), int(1.4 * RATE))
    assert np.abs(damped[tail]).max() < 0.01 * np.abs(ringing[tail]).max()


def test_the_whole_guitar_can_be_off_pitch() -> None:
    note = PluckedNote(0.0, Pitch(57), string=2, kind=2, fret=7)
    tone = Tone(sample_rate_hz=RATE, room_db=-100.0, detune_cents=0.0, tuning_offset_cents=-30.0)
    measured = measured_peak_hz(render_notes([note], tone=tone, duration_s=2.0), 220.0 * 2 ** (-30 / 1200))
    assert 1200 * np.log2(measured / 220.0) == pytest.approx(-30.0, abs=3.0)


def test_a_capo_raises_what_sounds() -> None:
    plain, capo = ([note.pitch.midi for note in shape_to_notes(OPEN_G, Fretboard(capo_fret=fret))] for fret in (0, 3))
    assert capo == [midi + 3 for midi in plain]


def test_courses_sound_both_their_strings() -> None:
    twelve = Tuning(
        "twelve-string", tuple(Pitch(m) for m in (40, 45, 50, 55, 59, 64)), companions=(12, 12, 12, 12, 0, 0)
    )
    notes = shape_to_notes(Shape((None, 3, None, None, None, None)), Fretboard(tuning=twelve))
    assert [note.pitch.midi for note in notes] == [48, 60]


def test_nothing_played_is_silence() -> None:
    assert not render_notes([], duration_s=0.5).any()


@given(
    frets=st.lists(st.one_of(st.none(), st.integers(0, 19)), min_size=6, max_size=6),
    guitar=st.sampled_from(["steel", "nylon", "electric"]),
    spread_s=st.floats(0, 0.3),
    direction=st.sampled_from(["down", "up"]),
)
@settings(max_examples=15, deadline=None)
def test_every_shape_renders_to_finite_samples(
    frets: list[int | None], guitar: Any, spread_s: float, direction: Any
) -> None:
    tone = Tone(guitar=guitar, sample_rate_hz=8000)
    strum = StrumStyle(direction=direction, spread_s=spread_s, duration_s=0.4, tone=tone)
    samples = render_shape(Shape(tuple(frets)), Fretboard(), settings=strum)
    assert np.isfinite(samples).all()
    assert np.abs(samples).max() <= 0.701


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: Tone(pluck_position=0.9), "pluck position=0.9"),
        (lambda: Tone(sample_rate_hz=100), "sample rate=100"),
        (lambda: Tone(drive=1e9), "drive="),
        (lambda: StrumStyle(spread_s=60.0), "spread=60"),
        (lambda: render_notes([], duration_s=1e9), "duration="),
        (lambda: render_shape(Shape((0, 0)), Fretboard()), "shape=00"),
    ],
)
def test_what_cannot_be_rendered_is_said_in_one_sentence(make: Any, sentence: str) -> None:
    with pytest.raises(BadValueError, match=sentence):
        make()


def test_a_stream_is_the_rendering_piece_by_piece() -> None:
    rng = np.random.default_rng(7)
    notes = [
        PluckedNote(float(onset_s), Pitch(int(midi)), string=place % 6, kind=place % 6)
        for place, (onset_s, midi) in enumerate(zip(rng.uniform(0, 11.5, 24), rng.integers(45, 60, 24), strict=True))
    ]
    notes.sort(key=lambda note: note.onset_s)
    tone = Tone(sample_rate_hz=8000)
    whole = render_notes(notes, tone=tone, duration_s=12.3)
    blocks = list(stream_notes(notes, tone=tone, duration_s=12.3))
    streamed = np.concatenate(blocks)
    assert len(blocks) > 2
    assert streamed.size == whole.size
    assert np.abs(whole - streamed * (0.7 / np.abs(streamed).max())).max() < 1e-4
