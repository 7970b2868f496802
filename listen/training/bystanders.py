"""Everything that is no plucked string: voices, drums, other instruments, tones, hum, noise.

They stand behind a strum, or alone where the ear must learn to refuse. All are synthetic: a voice is a glottal pulse
train through moving formants, a drum a decaying mode and noise.

References
----------
Fant, "Acoustic Theory of Speech Production", 1960 (source and formants; the ranges below are those of its vowel
charts, from memory).
"""

from __future__ import annotations

import math

import torch

from listen.audio import EAR_RATE_HZ
from listen.synthesis import partial_frequencies, sum_partials
from listen.training.draws import Draws

N_VOICE_HARMONICS = 28
CONTROL_SAMPLES = 128
N_STROKES = 4
N_TONE_HARMONICS = 12
# of the first three formants of vowels (Fant 1960, from memory)
FORMANT_RANGES_HZ = ((280.0, 850.0), (800.0, 2300.0), (2200.0, 3100.0))


def to_unit_level(samples: torch.Tensor) -> torch.Tensor:
    """Scale each row to a root mean square of one; silence stays silent."""
    return samples / samples.square().mean(1, keepdim=True).sqrt().clamp_min(1e-7)


def draw_voices(n: int, draws: Draws, *, n_samples: int) -> torch.Tensor:
    """Draw people singing (held notes, glides, vibrato) and speaking (moving pitch, syllables, consonants).

    Returns
    -------
    Tensor, shape (n, n_samples), unit level
    """
    n_control = n_samples // CONTROL_SAMPLES + 2
    control_s = torch.arange(n_control, device=draws.device) * (CONTROL_SAMPLES / EAR_RATE_HZ)
    speaks = draws.chance(n, 1, share=0.5)
    base = 12.0 * torch.log2(draws.log_uniform(n, 1, low=85.0, high=520.0))
    # A singer holds notes and slides between them; a speaker's pitch wanders.
    per_note = draws.integers(1, low=18, high=60).item()
    notes = torch.round(3.5 * draws.normal(n, n_control // per_note + 2)).repeat_interleave(per_note, 1)[:, :n_control]
    slide = torch.ones(1, 1, 9, device=draws.device) / 9.0
    notes = torch.nn.functional.conv1d(notes[:, None], slide, padding=4)[:, 0]
    vibrato = draws.uniform(n, 1, high=0.7) * torch.sin(
        2.0 * math.pi * draws.uniform(n, 1, low=4.5, high=6.5) * control_s + draws.uniform(n, 1, high=6.28)
    )
    wander = 2.5 * draws.smooth(n, n_control, 12) - 2.0 * (control_s / control_s[-1])
    semitones = base + torch.where(speaks, wander, notes + vibrato)
    f0_control = torch.exp2(semitones / 12.0)
    f0 = _interpolate(f0_control[:, None], n_samples)[:, 0]
    cycles = torch.cumsum(f0.double() / EAR_RATE_HZ, 1)
    cycles = (cycles - cycles.floor()).float()
    k = torch.arange(1, N_VOICE_HARMONICS + 1, device=draws.device)
    harmonic_hz = k[None, :, None] * f0_control[:, None]
    gain = torch.zeros_like(harmonic_hz)
    for low, high in FORMANT_RANGES_HZ:
        moving = (0.5 + 0.35 * draws.smooth(n, n_control, 14)).clamp(0.0, 1.0)
        centre = (low + (high - low) * moving)[:, None]
        width = draws.uniform(n, 1, 1, low=60.0, high=160.0)
        gain = gain + draws.log_uniform(n, 1, 1, low=0.3, high=1.0) / (1.0 + ((harmonic_hz - centre) / width) ** 2)
    gain = gain * (k[None, :, None] ** -draws.uniform(n, 1, 1, low=0.3, high=1.3)) * (harmonic_hz < 7000.0)
    syllable = torch.sigmoid(4.0 * (draws.smooth(n, n_control, 11) + 0.5))
    held = torch.sigmoid(4.0 * (draws.smooth(n, n_control, 40) + 1.0))
    voiced = torch.where(speaks, syllable, held)
    gain = _interpolate(gain * voiced[:, None], n_samples)
    sound = (gain * torch.sin(2.0 * math.pi * k[None, :, None] * cycles[:, None])).sum(1)
    breath = draws.normal(n, n_samples)
    breath = breath - draws.uniform(n, 1, low=0.0, high=0.95) * torch.roll(breath, 1, 1)
    hiss = _interpolate(((1.0 - voiced) * speaks)[:, None], n_samples)[:, 0] * torch.sigmoid(
        3.0 * draws.smooth(n, n_samples, 900)
    )
    return to_unit_level(to_unit_level(sound) + breath * (0.02 + 0.3 * hiss))


def _interpolate(control: torch.Tensor, n_samples: int) -> torch.Tensor:
    """Bring curves from control rate to the samples' rate."""
    size = (control.shape[-1] - 1) * CONTROL_SAMPLES + 1
    return torch.nn.functional.interpolate(control, size=size, mode="linear", align_corners=True)[..., :n_samples]


def draw_drums(n: int, draws: Draws, *, n_samples: int, at: int) -> torch.Tensor:
    """Draw kick, snare, toms, hats, claps and knocks; one stroke falls on sample `at`, others anywhere.

    Returns
    -------
    Tensor, shape (n, n_samples), of peak about one
    """
    rows = N_STROKES * n
    first = torch.arange(rows, device=draws.device)[:, None] < n
    anywhere = draws.uniform(rows, 1, high=n_samples / EAR_RATE_HZ)
    start_s = torch.where(first, at / EAR_RATE_HZ, anywhere)
    level = (first | draws.chance(rows, 1, share=0.45)) * draws.log_uniform(rows, 1, low=0.2, high=1.0)
    time_s = torch.arange(n_samples, device=draws.device) / EAR_RATE_HZ
    since = (time_s - start_s).clamp(min=0.0)
    low_hz = draws.log_uniform(rows, 1, low=45.0, high=420.0)
    sweep = draws.uniform(rows, 1, high=1.5) * (1.0 - torch.exp(-since / 0.03)) * 0.03
    turn = 2.0 * math.pi * low_hz * (since + sweep)
    ring_s = draws.log_uniform(rows, 1, low=0.01, high=0.16)
    overtone = torch.sin(turn * draws.uniform(rows, 1, low=1.4, high=2.4)) * torch.exp(-since / (0.6 * ring_s))
    skin = torch.sin(turn) * torch.exp(-since / ring_s) + draws.uniform(rows, 1, high=0.7) * overtone
    rattle = draws.normal(rows, n_samples)
    rattle = rattle - draws.uniform(rows, 1, low=-0.6, high=0.98) * torch.roll(rattle, 1, 1)
    rattle = rattle * torch.exp(-since / draws.log_uniform(rows, 1, low=0.006, high=0.2))
    mixed = draws.uniform(rows, 1)
    strokes = level * (time_s >= start_s) * ((1.0 - mixed) * skin + 0.5 * mixed**2 * rattle)
    return strokes.reshape(N_STROKES, n, n_samples).sum(0)


def draw_instruments(n: int, draws: Draws, *, n_samples: int, at: int, struck_share: float) -> torch.Tensor:
    """Draw other instruments: held tones like an organ's, bowed or blown, or struck like a piano's.

    Parameters
    ----------
    at : int
        Where struck tones begin; held ones may begin anywhere before.
    struck_share : float

    Returns
    -------
    Tensor, shape (n, n_samples), unit level
    """
    n_tones, n_partials = 4, 14
    root = draws.integers(n, 1, low=36, high=72)
    steps = torch.tensor([0, 3, 4, 5, 7, 8, 9, 12, 16, 19], device=draws.device)
    midi = root + torch.cat([steps[:1].expand(n, 1), steps[draws.integers(n, n_tones - 1, low=0, high=10)]], 1)
    sounds = torch.cat([torch.ones(n, 1, device=draws.device), draws.chance(n, n_tones - 1, share=0.6).float()], 1)
    struck = draws.chance(n, 1, share=struck_share)
    stiffness = torch.where(struck, draws.log_uniform(n, 1, low=1e-4, high=1e-3), 0.0).expand(n, n_tones)
    f0 = 440.0 * torch.exp2((midi + 0.06 * draws.normal(n, n_tones) - 69.0) / 12.0)
    frequency = partial_frequencies(f0, stiffness, n_partials=n_partials)
    k = torch.arange(1, n_partials + 1, device=draws.device)
    odd_only = torch.where(draws.chance(n, 1, 1, share=0.2) & (k % 2 == 0), 0.1, 1.0)
    amplitude = (
        k ** -draws.uniform(n, 1, 1, low=0.3, high=2.0) * torch.exp(0.6 * draws.normal(n, 1, n_partials)) * odd_only
    )
    amplitude = amplitude * sounds[..., None] * (frequency < 7600.0)
    rate = torch.where(struck, draws.log_uniform(n, 1, low=0.7, high=6.0), 0.02)[..., None] * (0.6 + 0.4 * k**0.7)
    start_s = torch.where(struck, at / EAR_RATE_HZ, draws.uniform(n, 1, high=0.8) * at / EAR_RATE_HZ)
    amplitude = amplitude * torch.exp((rate * start_s[..., None]).clamp(max=20.0))
    phase = draws.uniform(n, n_tones, n_partials, high=2.0 * math.pi)
    sound = sum_partials(
        frequency.flatten(1), amplitude.flatten(1), rate.expand_as(amplitude).flatten(1), phase.flatten(1),
        n_samples=n_samples, sample_rate_hz=EAR_RATE_HZ,
    )  # fmt: skip
    since = (torch.arange(n_samples, device=draws.device) / EAR_RATE_HZ - start_s).clamp(min=0.0)
    rise_s = torch.where(struck, 0.003, draws.log_uniform(n, 1, low=0.02, high=0.3))
    tremolo = 1.0 + draws.uniform(n, 1, high=0.3) * ~struck * torch.sin(2.0 * math.pi * 5.6 * since)
    return to_unit_level(sound * (1.0 - torch.exp(-since / rise_s)) * tremolo)


def draw_tones(n: int, draws: Draws, *, n_samples: int) -> torch.Tensor:
    """Draw tones of machines: sines, square and saw-tooth waves, whistles, beeps, sweeps and sirens.

    Returns
    -------
    Tensor, shape (n, n_samples), unit level
    """
    time_s = torch.arange(n_samples, device=draws.device) / EAR_RATE_HZ
    k = torch.arange(1, N_TONE_HARMONICS + 1, device=draws.device)[:, None].float()
    rich = draws.chance(n, 1, 1, share=0.4) & (draws.chance(n, 1, 1, share=0.5) | (k % 2 == 1))
    harmonics = torch.where(rich | (k == 1), 1.0 / k, 0.0)
    sound = torch.zeros(n, n_samples, device=draws.device)
    sweeps, sways = draws.chance(n, 1, share=0.3), draws.chance(n, 1, share=0.2)
    for tone in range(2):
        level = draws.chance(n, 1, share=1.0 if tone == 0 else 0.35) * draws.log_uniform(n, 1, low=0.2, high=1.0)
        hertz = draws.log_uniform(n, 1, low=60.0, high=4000.0)
        bend = torch.where(sweeps, draws.uniform(n, 1, low=-0.8, high=1.6), 0.0)
        rate = draws.uniform(n, 1, low=0.3, high=6.0)
        sway = torch.where(sways, draws.uniform(n, 1, low=0.02, high=0.35), 0.0) / (2.0 * math.pi * rate)
        cycles = hertz * (time_s * (1.0 + 0.5 * bend * time_s) + sway * torch.sin(2.0 * math.pi * rate * time_s))
        turns = torch.remainder(cycles[:, None] * k, 1.0)
        below = harmonics * (hertz[..., None] * k < 7000.0)
        sound = sound + level * (below * torch.sin(2.0 * math.pi * turns)).sum(1)
    start_s = draws.uniform(n, 1, low=-0.5, high=0.6).clamp(min=0.0)
    end_s = torch.where(draws.chance(n, 1, share=0.3), start_s + draws.uniform(n, 1, low=0.1, high=1.0), 9.0)
    beat = torch.sin(2.0 * math.pi * draws.uniform(n, 1, low=1.0, high=6.0) * time_s + draws.uniform(n, 1, high=6.28))
    beeps = torch.where(draws.chance(n, 1, share=0.25), (beat > 0).float(), 1.0)
    return to_unit_level(sound * beeps * (time_s >= start_s) * (time_s < end_s))


def draw_hum(n: int, draws: Draws, *, n_samples: int) -> torch.Tensor:
    """Draw mains hum of 50 or 60 Hz with its harmonics, unit level."""
    time_s = torch.arange(n_samples, device=draws.device) / EAR_RATE_HZ
    mains_hz = torch.where(draws.chance(n, 1, share=0.5), 50.0, 60.0) * (1.0 + 0.001 * draws.normal(n, 1))
    k = torch.tensor([1, 2, 3, 4, 5, 6, 7, 9, 11], device=draws.device)[:, None]
    level = 10.0 ** (draws.uniform(n, len(k), 1, low=-20.0, high=0.0) / 20.0)
    turn = 2.0 * math.pi * k * mains_hz[..., None] * time_s + draws.uniform(n, len(k), 1, high=6.28)
    return to_unit_level((level * torch.sin(turn)).sum(1))


def draw_noise(n: int, draws: Draws, *, n_samples: int) -> torch.Tensor:
    """Draw noise between white and brown, sometimes a band of it, unit level."""
    hz = torch.fft.rfftfreq(n_samples, 1.0 / EAR_RATE_HZ, device=draws.device)
    spectrum = torch.fft.rfft(draws.normal(n, n_samples))
    response = (hz.clamp_min(40.0) / 1000.0) ** -draws.uniform(n, 1, low=-0.2, high=1.6)
    centre = draws.log_uniform(n, 1, low=80.0, high=4000.0)
    band = torch.exp(-0.5 * ((hz.clamp_min(1.0) / centre).log2() / draws.uniform(n, 1, low=0.15, high=1.0)) ** 2)
    response = torch.where(draws.chance(n, 1, share=0.12), band, response)
    return to_unit_level(torch.fft.irfft(spectrum * response, n_samples))
