"""The ear hears chords of known notes, whatever the rate, and looks at nothing after the next onset."""

import math
import subprocess
import sys

import numpy as np
import pytest

from listen.audio import load_ear
from listen.audio.strum_sound import resample, take_strum
from listen.errors import BadValueError
from listen.evidence import STRING_KINDS, StrumEvidence
from listen.theory import Pitch
from tests.audio.sounds import make_plucked

CHORD = (43, 50, 55, 59, 67)
EAR = load_ear()


def _sounding(heard: StrumEvidence) -> list[int]:
    return [one.pitch.midi for one in heard.pitches if one.log_odds > 0.0]


@pytest.mark.parametrize("rate_hz", [8_000, 16_000, 44_100, 192_000])
def test_the_rate_does_not_matter(rate_hz: int) -> None:
    samples = resample(make_plucked(CHORD), sample_rate_hz=22_050, to_hz=rate_hz)
    heard = EAR.hear(samples, sample_rate_hz=rate_hz, onset_s=0.3)
    assert _sounding(heard) == list(CHORD)
    assert max(heard.pitches, key=lambda one: one.bass_log_odds).pitch == Pitch(43)
    assert (heard.span.start_s, heard.span.end_s) == (0.3, 2.0)


def test_every_pitch_is_weighed_low_to_high_with_its_kinds_of_string() -> None:
    heard = EAR.hear(make_plucked(CHORD), sample_rate_hz=22_050, onset_s=0.3)
    assert [one.pitch.midi for one in heard.pitches] == list(range(33, 89))
    for one in heard.pitches:
        assert one.string_log_odds is not None
        assert len(one.string_log_odds) == len(STRING_KINDS)
        assert all(math.isfinite(log_odds) for log_odds in one.string_log_odds)


def test_loudness_does_not_matter() -> None:
    samples = make_plucked(CHORD)
    loud, quiet = (EAR.hear(level * samples, sample_rate_hz=22_050, onset_s=0.3) for level in (1.0, 0.02))
    assert np.allclose([one.log_odds for one in loud.pitches], [one.log_odds for one in quiet.pitches], atol=0.2)


def test_nothing_after_the_next_onset_is_looked_at() -> None:
    before = make_plucked(CHORD)
    after = before.copy()
    cut = round(0.9 * 22_050)
    after[cut:] += make_plucked((41, 48, 53, 57), seed=9)[cut - 6_615 : 2 * 22_050 - 6_615]
    one, other = (EAR.hear(samples, sample_rate_hz=22_050, onset_s=0.3, until_s=0.9) for samples in (before, after))
    assert one == other
    assert one.span.end_s == 0.9
    assert _sounding(one) == list(CHORD)


def test_a_known_offset_is_taken_as_it_is() -> None:
    samples = make_plucked(tuple(midi + 0.2 for midi in CHORD))
    heard = EAR.hear(samples, sample_rate_hz=22_050, onset_s=0.3, tuning_offset_cents=15.0)
    assert heard.tuning_offset_cents == 15.0
    deviations = [one.deviation_cents for one in heard.pitches if one.deviation_cents is not None]
    assert np.median(deviations) == pytest.approx(5.0, abs=1.0)


def test_partials_are_given_where_the_recording_has_them() -> None:
    samples = make_plucked(tuple(midi + 0.3 for midi in CHORD))
    heard = EAR.hear(samples, sample_rate_hz=22_050, onset_s=0.3)
    lowest = next(one for one in heard.pitches if one.pitch.midi == 43)
    assert lowest.partials[0].frequency_hz == pytest.approx(Pitch(43).frequency_hz * 2 ** (0.3 / 12), rel=5e-4)


def test_the_strum_is_cut_and_put_on_pitch() -> None:
    sharp = make_plucked(tuple(midi + 0.4 for midi in CHORD))
    sound = take_strum(sharp, sample_rate_hz=22_050, onset_s=0.3, until_s=1.3)
    assert sound.tuning_offset_cents == pytest.approx(40.0, abs=3.0)
    assert sound.onset == pytest.approx(0.3 * 16_000 * sound.stretch, abs=1)
    assert len(sound.samples) == sound.end == pytest.approx(1.3 * 16_000 * sound.stretch, abs=3)


def test_resampling_leaves_less_than_minus_90_db_of_error_below_7_khz() -> None:
    time_s = np.arange(44_100) / 44_100
    tone = np.sin(2 * np.pi * 3_000.0 * time_s).astype(np.float32)
    wanted = np.sin(2 * np.pi * 3_000.0 * np.arange(16_000) / 16_000)
    error = resample(tone, sample_rate_hz=44_100, to_hz=16_000)[1_000:15_000] - wanted[1_000:15_000]
    error_db = 20.0 * np.log10(np.sqrt(np.square(error).mean()))
    assert error_db < -90.0, error_db


def test_impossible_times_and_names_are_refused() -> None:
    samples = make_plucked(CHORD)
    with pytest.raises(BadValueError, match=r"onset=5\.0 is not possible"):
        EAR.hear(samples, sample_rate_hz=22_050, onset_s=5.0)
    with pytest.raises(BadValueError, match=r"until=0\.1 is not possible"):
        EAR.hear(samples, sample_rate_hz=22_050, onset_s=0.3, until_s=0.1)
    with pytest.raises(BadValueError, match=r"ear=golden is not possible: it takes .*trained alone"):
        load_ear("golden")


def test_hearing_loads_no_heavy_library() -> None:
    """Cold start: no librosa, numba, scipy.signal, matplotlib, nor FFmpeg for a file that needs none of it."""
    program = (
        "import sys, numpy as np; from listen.audio import find_strums, load_ear;"
        "y = np.zeros(16000, np.float32); k = np.arange(12000); y[4000:] = np.sin(k * 0.08) * np.exp(-k / 4000);"
        "[load_ear().hear(y, sample_rate_hz=16000, onset_s=s.onset_s) for s in find_strums(y, sample_rate_hz=16000)];"
        "heavy = {'librosa', 'numba', 'matplotlib', 'av', 'scipy', 'torch'};"
        "print(sorted({name.split('.')[0] for name in sys.modules} & heavy))"
    )
    done = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "[]"
