"""How loud the bass of a question is: harder questions have a softer one, and it sounds so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from listen.practice import HARDEST, RATE_HZ, draw_question, render_sounds


def test_the_bass_of_harder_questions_is_softer() -> None:
    easy, middle, hard = (
        np.mean([draw_question("which bass", level=level, seed=seed).sounds[0].bass_db for seed in range(8)])
        for level in (0.0, HARDEST / 2, HARDEST)
    )
    assert easy > middle + 2.0 > hard + 4.0


def test_a_softer_bass_is_rendered_softer() -> None:
    question = draw_question("which bass", level=0.0, seed=1)
    sounding = question.sounds[0]
    bass_hz = min(pitch for pitch in sounding.shape.pitches(question.fretboard) if pitch is not None).frequency_hz
    levels_db = []
    for bass_db in (4.0, -7.0):
        samples = render_sounds([replace(sounding, bass_db=bass_db)], question.fretboard)
        spectrum = np.abs(np.fft.rfft(samples * np.hanning(samples.size))) ** 2
        hz = np.fft.rfftfreq(samples.size, 1.0 / RATE_HZ)
        own = (hz > bass_hz / 1.03) & (hz < bass_hz * 1.03)
        levels_db.append(10.0 * np.log10(spectrum[own].sum() / spectrum[~own].sum()))
    assert levels_db[0] > levels_db[1] + 3.0
