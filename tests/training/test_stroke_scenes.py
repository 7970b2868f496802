"""Scenes of strokes tell the truth about what they sound."""

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from listen.errors import ListenError
from listen.training import stroke_takes
from listen.training.note_bank import LEAD_S, BankGuitar, NoteBank
from listen.training.note_sources import TRAINABLE_SETS, gather_bank, read_recorded_guitars, render_model_guitar
from listen.training.stroke_examples import (
    DAMPED,
    DOWN,
    HAS_WAY,
    N_FRAMES,
    ONSET,
    SceneSource,
    make_examples,
    make_targets,
)
from listen.training.stroke_performance import PlayedStroke
from listen.training.stroke_scenes import SCENE_S, StrokeScene, draw_stroke_scene
from listen.training.stroke_takes import align_strokes

SEEDS = range(12)


@pytest.fixture(scope="module")
def bank() -> NoteBank:
    return NoteBank((render_model_guitar(0, seed=1), render_model_guitar(2, seed=1)))


@pytest.fixture(scope="module")
def ticking() -> NoteBank:
    """A guitar whose notes are over in some milliseconds, so that nothing that rings hides a stroke."""
    time_s = np.arange(640) / 16_000

    def tick(midi: int) -> np.ndarray:
        hertz = 440.0 * 2.0 ** ((midi - 69) / 12.0)
        sound = 0.3 * np.cos(2.0 * np.pi * hertz * time_s) * np.exp(-time_s / 0.004)
        return np.concatenate([np.zeros(round(LEAD_S * 16_000)), sound]).astype(np.float32)

    return NoteBank((BankGuitar("ticking", {midi: (tick(midi),) for midi in range(38, 90)}),))


def _rises_db(scene: StrokeScene, *, off_s: float = 0.0) -> list[float]:
    """How much the level rises within 20 ms of each stroke, from 5 ms to the next."""
    power = (scene.samples.reshape(-1, 80).astype(np.float64) ** 2).mean(axis=1)
    level_db = 10.0 * np.log10(power + 1e-5 * power.max())
    rise_db = np.diff(level_db, prepend=level_db[0])
    blocks = [int((stroke.onset_s + off_s) * 200) for stroke in scene.strokes]
    return [float(rise_db[max(0, block - 3) : block + 5].max()) for block in blocks if 0 < block < len(rise_db)]


def test_the_same_seed_draws_the_same_scene(bank: NoteBank) -> None:
    first, again = draw_stroke_scene(bank, (1, 0, 7)), draw_stroke_scene(bank, (1, 0, 7))
    np.testing.assert_array_equal(first.samples, again.samples)
    assert first.strokes == again.strokes
    assert not np.array_equal(first.samples, draw_stroke_scene(bank, (1, 0, 8)).samples)


def test_scenes_are_finite_of_one_length_and_within_full_scale(bank: NoteBank) -> None:
    for seed in SEEDS:
        scene = draw_stroke_scene(bank, seed)
        assert scene.samples.shape == (round(SCENE_S * 16_000),)
        assert scene.samples.dtype == np.float32
        assert np.abs(scene.samples).max() <= 1.0
        onsets = [stroke.onset_s for stroke in scene.strokes]
        assert onsets == sorted(onsets)
        assert all(0.0 <= onset_s < SCENE_S for onset_s in onsets)


@pytest.mark.parametrize("amid_share", [0.0, 1.0])
def test_the_level_rises_within_20_ms_of_each_stroke_of_a_dry_scene(ticking: NoteBank, amid_share: float) -> None:
    rises, elsewhere = [], []
    for seed in SEEDS:
        scene = draw_stroke_scene(ticking, seed, amid_share=amid_share, dry=True)
        rises += _rises_db(scene)
        elsewhere += _rises_db(scene, off_s=-0.05)
    assert len(rises) > 500
    assert min(rises) > 10.0
    assert np.median(elsewhere) < 3.0


def test_a_scene_that_starts_amid_the_music_has_its_truth_shifted(ticking: NoteBank) -> None:
    for seed in SEEDS:
        scene = draw_stroke_scene(ticking, seed, amid_share=1.0, dry=True)
        assert 0.3 <= scene.cut_off_s <= 3.0
        assert min(_rises_db(scene)) > 10.0
        assert np.mean(np.array(_rises_db(scene, off_s=scene.cut_off_s)) > 10.0) < 0.7  # had it not been shifted


def test_three_scenes_in_ten_start_amid_the_music_and_sound_from_the_first_moment(bank: NoteBank) -> None:
    scenes = [draw_stroke_scene(bank, seed, dry=True) for seed in range(60)]
    amid = [scene for scene in scenes if scene.cut_off_s > 0.0]
    assert 10 <= len(amid) <= 27
    loud: dict[bool, list[bool]] = {scene.cut_off_s > 0.0: [] for scene in scenes}
    for scene in scenes:
        loud[scene.cut_off_s > 0.0].append(bool(np.abs(scene.samples[:800]).max() > 0.01))
    assert np.mean(loud[True]) > 0.7
    assert np.mean(loud[False]) < 0.1


def test_strokes_of_few_strings_and_damped_ones_have_no_way(bank: NoteBank) -> None:
    strokes = [stroke for seed in SEEDS for stroke in draw_stroke_scene(bank, seed, dry=True).strokes]
    assert {stroke.way for stroke in strokes} == {-1, 0, 1}
    assert {stroke.way for stroke in strokes if stroke.damped} == {0}


def test_targets_stand_at_the_strokes_frames() -> None:
    targets = make_targets(
        [PlayedStroke(1.0, way=-1), PlayedStroke(2.0, damped=True), PlayedStroke(SCENE_S - 0.005, 1)]
    )
    assert targets.shape == (4, N_FRAMES)
    assert np.flatnonzero(targets[ONSET] == 1.0).tolist() == [200, 400, N_FRAMES - 1]
    assert targets[ONSET, 198:203].astype(float).round(1).tolist() == [0.2, 0.7, 1.0, 0.7, 0.2]
    assert (targets[HAS_WAY, 200], targets[DOWN, 200], targets[DAMPED, 200]) == (1, 0, 0)
    assert (targets[HAS_WAY, 400], targets[DAMPED, 400]) == (0, 1)


def test_examples_are_the_same_however_many_processes_make_them(bank: NoteBank) -> None:
    source = SceneSource(bank, seed=3)
    alone, together = make_examples(source, 3), make_examples(source, 3, processes=2)
    np.testing.assert_array_equal(alone.bands, together.bands)
    np.testing.assert_array_equal(alone.targets, together.targets)
    assert not np.array_equal(alone.targets, make_examples(source, 3, validation=True).targets)


def test_a_note_is_bent_to_the_pitch_that_is_asked_for(bank: NoteBank) -> None:
    note = bank.guitars[0].draw_note(46.5, np.random.default_rng(1))
    spectrum = np.abs(np.fft.rfft(note * np.hanning(len(note)), 1 << 17))
    harmonic_hz = 2 * 440.0 * 2.0 ** ((46.5 - 69.0) / 12.0)
    low, high = (round(harmonic_hz * ratio * (1 << 17) / 16_000) for ratio in (0.96, 1.04))
    peak_hz = (low + int(spectrum[low:high].argmax())) * 16_000 / (1 << 17)
    assert peak_hz == pytest.approx(harmonic_hz, rel=0.006)


def test_recorded_notes_are_taken_of_the_sets_that_may_be_trained_on(tmp_path: Path) -> None:
    rows = []
    tone = np.sin(np.arange(22_050) * 0.03).astype(np.float32)
    for kind in (*TRAINABLE_SETS, "notes_by_string_nylon", "strums_open_chords"):
        soundfile.write(tmp_path / f"{kind}.wav", tone, 22_050)
        rows.append({"file": f"{kind}.wav", "set": kind, "midi": 45})
    (tmp_path / "manifest.json").write_text(json.dumps(rows), "utf-8")
    guitars = read_recorded_guitars(tmp_path)
    assert [guitar.name for guitar in guitars] == sorted(f"{kind}:" for kind in TRAINABLE_SETS)
    (tmp_path / "manifest.json").write_text(json.dumps(rows[3:]), "utf-8")
    with pytest.raises(ListenError, match="lists no notes of the sets that may be trained on"):
        read_recorded_guitars(tmp_path)


def test_what_is_not_there_is_said_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(ListenError, match=r"manifest\.json cannot be read"):
        gather_bank(tmp_path, [], None, seed=1)


def test_recorded_speech_is_heard_in_one_scene_of_seven(ticking: NoteBank) -> None:
    spoken = np.sin(np.arange(48_000) * (2.0 * np.pi * 5321.0 / 16_000)).astype(np.float32)
    speaking = NoteBank(ticking.guitars, speech=(spoken,))
    heard = 0
    for seed in range(24):
        drawn, played = (draw_stroke_scene(bank, seed).samples for bank in (ticking, speaking))
        if not np.array_equal(drawn, played):  # where nobody speaks the two are one
            heard += 1
            levels = [np.abs(np.fft.rfft(samples))[90_000:130_000].max() for samples in (drawn, played)]
            assert levels[1] > 3.0 * levels[0]
    assert 1 < heard < 8


def test_strokes_of_a_take_are_moved_to_what_was_found_near_them() -> None:
    written = [PlayedStroke(1.0, way=1), PlayedStroke(1.1, way=-1), PlayedStroke(5.0, way=1)]
    times_s, likely = np.array([0.93, 0.98, 1.05, 3.0]), np.array([0.3, 0.9, 0.8, 1.0])
    aligned = align_strokes(written, times_s, likely)
    assert aligned == (PlayedStroke(0.98, way=1), PlayedStroke(1.05, way=-1))


def test_a_stretch_of_a_take_keeps_its_strokes_where_they_sound(
    bank: NoteBank, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stroke_takes, "pass_recording_chain", lambda samples, *_: samples)
    samples = np.zeros(30 * 16_000, np.float32)
    onsets = np.arange(1.0, 29.0, 0.7)
    samples[np.round(onsets * 16_000).astype(int)] = 0.8
    take = stroke_takes.RecordedTake(samples, tuple(PlayedStroke(float(onset_s), way=1) for onset_s in onsets))
    for seed in SEEDS:
        scene = stroke_takes.draw_take_scene(bank, (take,), (1, 0, seed))
        assert scene.samples.shape == (round(SCENE_S * 16_000),)
        assert len(scene.strokes) > 20
        clicks = np.flatnonzero(np.abs(scene.samples) > 0.2) / 16_000
        assert all(np.abs(clicks - stroke.onset_s).min() < 0.001 for stroke in scene.strokes)
