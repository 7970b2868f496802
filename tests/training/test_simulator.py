"""The simulator tells the truth about what it sounds. Needs torch: `pytest -m training`."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

torch = pytest.importorskip("torch")
pytestmark = pytest.mark.training

BOOK = Path(__file__).parents[1] / "data" / "chords-db" / "guitar.json"


@pytest.fixture(scope="module")
def tables() -> Any:
    from listen.training.shapes import load_book, make_shape_tables

    return make_shape_tables(load_book(BOOK)[::40], "cpu")


def _draw(tables: Any, *, n: int = 24, seed: int = 5, **shares: Any) -> Any:
    from listen.training.draws import Draws
    from listen.training.scenes import draw_scenes
    from listen.training.settings import SceneSettings

    return draw_scenes(tables, n, Draws("cpu", seed), scene=SceneSettings(**shares))


def test_refingerings_sound_the_same_pitches_and_can_be_held() -> None:
    from listen.instrument import NOMINAL_MIDI
    from listen.training.shapes import find_refingerings, is_playable

    def pitches(frets: tuple[int, ...]) -> list[int]:
        return sorted(NOMINAL_MIDI[string] + fret for string, fret in enumerate(frets) if fret >= 0)

    ways = find_refingerings((-1, 3, 2, 0, 1, 0))
    assert len(ways) > 3
    for way in ways:
        assert pitches(way) == pitches((-1, 3, 2, 0, 1, 0))
        assert is_playable(way)


def test_a_barre_does_not_lie_on_an_open_string() -> None:
    from listen.training.shapes import is_playable

    assert is_playable((1, 3, 3, 2, 1, 1))
    assert not is_playable((1, 3, 0, 2, 1, 1))


def test_the_same_seed_draws_the_same_scenes(tables: Any) -> None:
    first, again = _draw(tables, n=8), _draw(tables, n=8)
    assert torch.equal(first.samples, again.samples)
    assert torch.equal(first.truth.pitches, again.truth.pitches)


def test_scenes_are_finite_and_within_full_scale(tables: Any) -> None:
    scenes = _draw(tables, n=48)
    assert torch.isfinite(scenes.samples).all()
    assert scenes.samples.abs().max() <= 1.0
    assert ((scenes.n_available >= 1200) & (scenes.n_available <= 17_024)).all()


def test_truth_agrees_with_itself(tables: Any) -> None:
    truth = _draw(tables, n=64).truth
    for row in range(64):
        sounding = torch.nonzero(truth.pitches[row])[:, 0].tolist()
        on_strings = {int(kind) - 1 for kind in truth.kinds[row] if kind > 0}
        assert on_strings == set(sounding)
        if truth.bass[row] >= 0:
            assert int(truth.bass[row]) == min(sounding)
        if truth.plucked[row] == 0:
            assert not sounding


def test_a_clean_strum_holds_a_peak_at_each_of_its_fundamentals(tables: Any) -> None:
    from listen.audio.cut_frontend import N_LEAD
    from listen.audio.frontend import EAR_RATE_HZ
    from listen.audio.trained_network import LOWEST_MIDI

    silenced = ("context", "cut", "overdriven", "voice", "backing", "drums", "not_plucked")
    quiet: dict[str, Any] = dict.fromkeys(silenced, 0.0)
    scenes = _draw(tables, n=32, book=1.0, refingered=0.0, power=0.0, few=0.0, **quiet)
    found = asked = 0
    for samples, pitches, counted in zip(scenes.samples, scenes.truth.pitches, scenes.truth.counted, strict=True):
        if counted.min() == 0:
            continue
        piece = samples[N_LEAD + 800 : N_LEAD + 12_000].numpy()
        spectrum = 20 * np.log10(np.abs(np.fft.rfft(piece * np.hanning(piece.size), 1 << 16)) + 1e-9)
        for index in torch.nonzero(pitches)[:, 0].tolist():
            low, high = (
                round(440 * 2 ** ((index + LOWEST_MIDI + off - 69) / 12) * (1 << 16) / EAR_RATE_HZ)
                for off in (-0.5, 0.5)
            )
            asked += 1
            found += spectrum[low:high].max() > spectrum.max() - 50
    assert asked > 50
    assert found / asked > 0.9


def test_strings_of_one_shape_are_as_stiff_as_fletcher_has_them() -> None:
    """B doubles in six frets (Fletcher 1964)."""
    from listen.training.draws import Draws
    from listen.training.guitars import draw_guitars
    from listen.training.shapes import Played
    from listen.training.strums import draw_strums, stopped_stiffness

    draws = Draws("cpu", 1)
    guitars = draw_guitars(4, draws)
    frets = torch.full((4, 6), 6)
    strums = draw_strums(guitars, Played(frets, torch.zeros(4, dtype=torch.bool)), draws, longest_s=torch.ones(4, 1))
    ratio = stopped_stiffness(guitars, strums) / guitars.stiffness
    expected = 2.0 * torch.exp2(guitars.capo / 6.0).expand(4, 6)
    assert torch.allclose(ratio, expected, rtol=1e-5)
