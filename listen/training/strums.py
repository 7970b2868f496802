"""Strums of simulated guitars, rendered in batches by the plucked string of :mod:`listen.synthesis`.

Conventions: tensors of shape (B, 6) are by string, heaviest first; seconds after the strum's first string unless said
otherwise; levels in dB against an ordinary stroke.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import TypeVar

import torch

from listen.audio import EAR_RATE_HZ
from listen.synthesis import comb_amplitudes, decay_rates, partial_frequencies, pluck_amplitudes, sum_partials
from listen.training.draws import Draws
from listen.training.guitars import HIGHEST_PLAYED_MIDI, LOWEST_PLAYED_MIDI, Guitars
from listen.training.shapes import Played

N_PARTIALS = 56
HIGHEST_PARTIAL_HZ = 7600.0  # under half of 16 kHz, where recordings are filtered
N_SYMPATHETIC = 12  # partials of a silent open string that others can set going
COUPLING_HZ = 2.0  # how near a partial must lie to drive another string (its resonance is that wide)
QUIET_DB = -13.0  # an accidental note below this may be heard or not: it is neither right nor wrong
NOISE_SAMPLES = 3200

Rows = TypeVar("Rows")


def select_rows(batch: Rows, rows: torch.Tensor) -> Rows:
    """Return some rows of a dataclass of tensors."""
    return type(batch)(*(getattr(batch, field.name)[rows] for field in fields(batch)))  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class Strums:
    """A batch of strums.

    Parameters
    ----------
    midi : Tensor of int, shape (B, 6)
        What each string sounds (or would, where it is silent).
    neck_fret : Tensor of int, shape (B, 6)
        From the nut, capo included.
    sounds, accidental, dead, sympathetic : Tensor of bool, shape (B, 6)
        What becomes of each string; at most one of the four, and `accidental` strings sound too.
    delay_s : Tensor, shape (B, 6)
    level_db : Tensor, shape (B, 6)
    from_book : Tensor of bool, shape (B,)
    """

    midi: torch.Tensor
    neck_fret: torch.Tensor
    sounds: torch.Tensor
    accidental: torch.Tensor
    dead: torch.Tensor
    sympathetic: torch.Tensor
    delay_s: torch.Tensor
    level_db: torch.Tensor
    from_book: torch.Tensor


def draw_strums(guitars: Guitars, played: Played, draws: Draws, *, longest_s: torch.Tensor) -> Strums:
    """Draw how shapes are struck: order, speed, loudness, and what the strings between do.

    Parameters
    ----------
    longest_s : Tensor, shape (B, 1)
        The last string starts no later than this.
    """
    n = len(played.frets)
    sounds = played.frets >= 0
    midi = guitars.open_midi + guitars.capo + played.frets.clamp(min=0)
    sounds = sounds & (midi >= LOWEST_PLAYED_MIDI) & (midi <= HIGHEST_PLAYED_MIDI)
    neighbour = torch.nn.functional.pad(sounds, (1, 1))
    beside = (neighbour[:, :-2] | neighbour[:, 2:]) & ~sounds
    open_known = (guitars.open_midi + guitars.capo) >= LOWEST_PLAYED_MIDI
    accidental = beside & open_known & draws.chance(n, 6, share=0.3) & draws.chance(n, 1, share=0.14)
    dead = ~sounds & ~accidental & draws.chance(n, 6, share=0.35) & draws.chance(n, 1, share=0.45)
    sympathetic = ~sounds & ~accidental & ~dead & draws.chance(n, 1, share=0.5)
    struck = sounds | accidental
    up = draws.chance(n, 1, share=0.4)
    rank = struck.float().cumsum(1) - 1
    rank = torch.where(up, struck.float().sum(1, keepdim=True) - 1 - rank, rank).clamp(min=0)
    gap_s = draws.log_uniform(n, 1, low=0.001, high=0.022)
    slow = draws.chance(n, 1, share=0.08)
    gap_s = torch.where(slow, draws.log_uniform(n, 1, low=0.02, high=0.07), gap_s)
    gap_s = gap_s * (1.0 + 0.3 * draws.normal(n, 6)).clamp(0.3, 2.0)
    delay_s = (rank * gap_s).clamp(max=0.3) * ~draws.chance(n, 1, share=0.05)
    delay_s = torch.minimum(delay_s, longest_s)
    level_db = draws.normal(n, 6) * draws.uniform(n, 1, low=1.0, high=5.0)
    weak = draws.chance(n, 6, share=0.05)
    level_db = torch.where(weak, level_db - draws.uniform(n, 6, low=4.0, high=14.0), level_db).clamp(-18.0, 9.0)
    tilt = (torch.arange(6, device=draws.device) - 2.5)[None] * draws.normal(n, 1) * 1.2
    level_db = torch.where(accidental, draws.uniform(n, 6, low=-24.0, high=-2.0), level_db + tilt)
    return Strums(
        midi=midi,
        neck_fret=guitars.capo + played.frets.clamp(min=0),
        sounds=struck,
        accidental=accidental,
        dead=dead,
        sympathetic=sympathetic,
        delay_s=delay_s,
        level_db=level_db,
        from_book=played.from_book,
    )


def stopped_stiffness(guitars: Guitars, strums: Strums) -> torch.Tensor:
    """Return B of each string as it is stopped (Fletcher 1964: it doubles in six frets)."""
    return guitars.stiffness * torch.exp2(strums.neck_fret / 6.0)


def render_strums(
    guitars: Guitars,
    strums: Strums,
    draws: Draws,
    *,
    onset_s: torch.Tensor,
    damped_s: torch.Tensor,
    n_samples: int,
) -> torch.Tensor:
    """Render strums.

    Parameters
    ----------
    onset_s : Tensor, shape (B, 1)
        When the first string starts, after the first sample; negative where the strum began before it.
    damped_s : Tensor, shape (B, 6)
        When each string is stilled, after the first sample; a large number where it rings on.
    n_samples : int

    Returns
    -------
    Tensor, shape (B, n_samples)
    """
    n = len(strums.midi)
    frequency, amplitude, rate = _draw_partials(guitars, strums, draws)
    start_s = onset_s + strums.delay_s
    coherent = draws.chance(n, 1, 1, share=0.5)
    phase = torch.where(coherent, 0.0, draws.uniform(n, 6, N_PARTIALS, high=2.0 * math.pi))
    # A second polarisation: weaker, a trace off in pitch, with a decay of its own (Weinreich 1977).
    level = 10.0 ** (draws.uniform(n, 6, 1, low=-25.0, high=-2.0) / 20.0)
    other_amplitude = amplitude * level * torch.exp(0.4 * draws.normal(n, 6, N_PARTIALS))
    other_hz = frequency * (1.0 + 2.5e-4 * draws.normal(n, 6, 1)) + 0.25 * draws.normal(n, 6, 1)
    other_rate = rate * draws.log_uniform(n, 6, 1, low=0.3, high=2.5)
    frequency = torch.cat([frequency, other_hz], -1)
    amplitude = torch.cat([amplitude, other_amplitude], -1)
    rate = torch.cat([rate, other_rate], -1)
    phase = torch.cat([phase, phase + draws.normal(n, 6, N_PARTIALS)], -1)
    # Starting later by s is the same partials, larger by exp(rate·s) and turned back by 2π·f·s, silent until s.
    amplitude = amplitude * torch.exp((rate * start_s[..., None]).clamp(max=25.0))
    phase = phase - 2.0 * math.pi * torch.remainder(frequency * start_s[..., None], 1.0)
    strings = sum_partials(frequency, amplitude, rate, phase, n_samples=n_samples, sample_rate_hz=EAR_RATE_HZ)
    time_s = torch.arange(n_samples, device=draws.device) / EAR_RATE_HZ
    rise_s = draws.log_uniform(n, 6, 1, low=2e-4, high=4e-3)
    rise_s = torch.where(strums.sympathetic[..., None], draws.log_uniform(n, 6, 1, low=0.03, high=0.15), rise_s)
    since = (time_s - start_s[..., None]).clamp(min=0.0)
    still_s = draws.log_uniform(n, 6, 1, low=0.003, high=0.04)
    envelope = (1.0 - torch.exp(-since / rise_s)) * torch.exp(-(time_s - damped_s[..., None]).clamp(min=0.0) / still_s)
    sound = (strings * envelope).sum(1)
    return sound + _draw_contact_noise(strums, draws, start_s=start_s, n_samples=n_samples)


def _draw_partials(guitars: Guitars, strums: Strums, draws: Draws) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
    """Return frequencies (Hz), signed amplitudes and decay rates, each of shape (B, 6, N_PARTIALS)."""
    n = len(strums.midi)
    stopped = strums.neck_fret > guitars.capo
    sharp = draws.uniform(n, 6, high=12.0) * draws.chance(n, 1, share=0.25) * stopped
    touched = strums.dead * draws.uniform(n, 6, high=14.0)
    midi = strums.midi + touched + (guitars.cents + sharp) / 100.0
    fundamental = 440.0 * torch.exp2((midi - 69.0) / 12.0)
    frequency = partial_frequencies(fundamental, stopped_stiffness(guitars, strums), n_partials=N_PARTIALS)
    shorter = torch.exp2(strums.neck_fret / 12.0)  # the pluck stays where it is while the string gets shorter
    slope = guitars.slope.expand(n, 6)
    amplitude = pluck_amplitudes(frequency, (guitars.pluck * shorter).clamp(max=0.5), slope, guitars.contact_hz)
    pickup = comb_amplitudes((guitars.pickup * shorter).clamp(max=0.5), n_partials=N_PARTIALS)
    amplitude = torch.where(guitars.has_pickup[..., None], amplitude * pickup, amplitude)
    uneven = guitars.unevenness[..., None] * draws.normal(n, 6, N_PARTIALS)
    amplitude = amplitude * torch.exp(uneven) * (frequency < HIGHEST_PARTIAL_HZ)
    amplitude = amplitude / amplitude.square().sum(-1, keepdim=True).sqrt().clamp_min(1e-6)
    polarity = torch.where(draws.chance(n, 1, share=0.5), 1.0, draws.signs(n, 6))
    level = 10.0 ** (strums.level_db / 20.0) * polarity * strums.sounds
    level = torch.where(strums.dead, 10.0 ** (draws.uniform(n, 6, low=-25.0, high=-2.0) / 20.0), level)
    driven = _sympathetic_amplitudes(frequency, amplitude * level[..., None], draws)
    amplitude = torch.where(strums.sympathetic[..., None], driven, amplitude * level[..., None])
    decay_s = guitars.decay_s * torch.exp2(-strums.neck_fret / 24.0)
    decay_s = decay_s / torch.where(draws.chance(n, 1, share=0.12), draws.log_uniform(n, 1, low=3.0, high=16.0), 1.0)
    decay_s = torch.where(strums.dead, draws.log_uniform(n, 6, low=0.03, high=0.25), decay_s)
    rate = decay_rates(frequency, decay_s, guitars.decay_slope, guitars.decay_curve)
    return frequency, amplitude, rate * torch.exp(0.3 * draws.normal(n, 6, N_PARTIALS))


def _sympathetic_amplitudes(frequency: torch.Tensor, amplitude: torch.Tensor, draws: Draws) -> torch.Tensor:
    """Return what struck partials set going in the other strings, where theirs lie near."""
    n = len(frequency)
    struck_hz, struck = frequency.reshape(n, 1, 1, -1), amplitude.abs().reshape(n, 1, 1, -1)
    near = torch.exp(-(((frequency[:, :, :N_SYMPATHETIC, None] - struck_hz) / COUPLING_HZ) ** 2))
    strength = 10.0 ** (draws.uniform(n, 1, 1, low=-45.0, high=-18.0) / 20.0)
    driven = strength * (near * struck).sum(-1) * draws.signs(n, 6, N_SYMPATHETIC)
    return torch.nn.functional.pad(driven, (0, N_PARTIALS - N_SYMPATHETIC))


def _draw_contact_noise(strums: Strums, draws: Draws, *, start_s: torch.Tensor, n_samples: int) -> torch.Tensor:
    """Return the scrape of pick or fingers on each string, shape (B, n_samples)."""
    n = len(start_s)
    first = (start_s.amin(1, keepdim=True) * EAR_RATE_HZ).long()
    time_s = torch.arange(NOISE_SAMPLES, device=draws.device) / EAR_RATE_HZ + first / EAR_RATE_HZ
    since = time_s[:, None] - start_s[..., None]
    struck = (strums.sounds | strums.dead)[..., None]
    last_s = draws.log_uniform(n, 6, 1, low=5e-4, high=8e-3)
    envelope = ((since >= 0) * torch.exp(-since.clamp(min=0.0) / last_s) * struck).sum(1)
    noise = draws.normal(n, NOISE_SAMPLES)
    bright = torch.where(draws.chance(n, 1, share=0.5), 1.0, -1.0)
    noise = (
        (noise - bright * torch.roll(noise, 1, -1))
        * envelope
        * 10.0 ** (draws.uniform(n, 1, low=-45.0, high=-8.0) / 20.0)
    )
    place = first + torch.arange(NOISE_SAMPLES, device=draws.device)
    inside = (place >= 0) & (place < n_samples)
    sound = torch.zeros(n, n_samples, device=draws.device)
    return sound.scatter_add(1, place.clamp(0, n_samples - 1), noise * inside)
