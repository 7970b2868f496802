"""The recording chain: body or pickup, amplifier, room, microphone, and what a phone does to sound.

Each stage takes and returns samples of shape (B, n); stages that touch only a share of a batch take its rows.

References
----------
Pakarinen, Yeh, CMJ 33(2), 2009 (amplifier stages with filters between). Moorer, CMJ 3(2), 1979 (rooms as noise).
Bosi, Goldberg, "Introduction to Digital Audio Coding and Standards", 2003 (coders: coarse spectra in short blocks).
Ephraim, Malah, IEEE Trans. ASSP 32(6), 1984 (noise suppression as a gain for each band and moment).
"""

from __future__ import annotations

import math

import torch

from listen.audio import EAR_RATE_HZ
from listen.synthesis import (
    apply_response,
    band_response,
    overdrive,
    pickup_response,
    resonance_response,
    room_tail,
)
from listen.training.draws import Draws

N_FFT = 49_152
OVERDRIVE_FFT = 32_768
ROOM_SAMPLES = 14_000
N_MODES = 8
N_KNOTS = 12  # of an uneven response


def _bins_hz(n_fft: int, draws: Draws) -> torch.Tensor:
    return torch.fft.rfftfreq(n_fft, 1.0 / EAR_RATE_HZ, device=draws.device)


def draw_curve(n: int, draws: Draws, *, n_fft: int, decibels: torch.Tensor) -> torch.Tensor:
    """Draw smooth equaliser curves over the logarithm of frequency, linear gain, shape (n, n_fft // 2 + 1)."""
    octaves = torch.log2(_bins_hz(n_fft, draws).clamp_min(20.0) / 20.0)
    place = octaves / 8.7 * (N_KNOTS - 1)
    below = place.floor().clamp(max=N_KNOTS - 2).long()
    weight = place - below
    weight = weight * weight * (3.0 - 2.0 * weight)
    points = draws.normal(n, N_KNOTS) * decibels
    return 10.0 ** ((points[:, below] * (1.0 - weight) + points[:, below + 1] * weight) / 20.0)


def pass_instrument(samples: torch.Tensor, draws: Draws, *, has_pickup: torch.Tensor) -> torch.Tensor:
    """Send strings through a wooden body or a pickup, and an uneven response of its own."""
    n = len(samples)
    hz = _bins_hz(N_FFT, draws)
    modes = draws.log_uniform(n, N_MODES, low=85.0, high=2500.0)
    modes[:, 0] = draws.log_uniform(n, low=85.0, high=130.0)
    modes[:, 1] = draws.log_uniform(n, low=160.0, high=250.0)
    gain = draws.signs(n, N_MODES) * draws.log_uniform(n, N_MODES, low=0.15, high=1.6)
    body = draws.log_uniform(n, 1, low=0.3, high=1.2) + resonance_response(
        hz, modes, draws.log_uniform(n, N_MODES, low=4.0, high=35.0), gain
    )
    pickup = pickup_response(
        hz, draws.log_uniform(n, 1, low=1800.0, high=7000.0), draws.uniform(n, 1, low=0.6, high=2.5)
    )
    response = torch.where(has_pickup, pickup, body)
    uneven = draw_curve(n, draws, n_fft=N_FFT, decibels=draws.uniform(n, 1, high=5.0))
    tilt = draws.normal(n, 1) * 1.5 / 20.0
    uneven = uneven * 10.0 ** (tilt * (torch.log2(hz.clamp_min(20.0)) - 8.6))
    return apply_response(samples, response * uneven, n_fft=N_FFT)


def pass_amplifier(samples: torch.Tensor, draws: Draws) -> torch.Tensor:
    """Overdrive by one to three stages with filters between, then a tone control and a loudspeaker cabinet.

    Stages clip softly or hard, evenly or lopsidedly; some chains have no cabinet (a pedal straight into a recorder).
    """
    n, length = samples.shape
    hz = _bins_hz(OVERDRIVE_FFT, draws)
    sound = torch.nn.functional.pad(samples, (0, OVERDRIVE_FFT - length))
    sound = sound / sound.abs().amax(1, keepdim=True).clamp_min(1e-5)
    sound = sound + draw_quiet_noise(n, draws, n_samples=OVERDRIVE_FFT)
    tight = torch.where(draws.chance(n, 1, share=0.4), draws.log_uniform(n, 1, low=60.0, high=700.0), 20.0)
    bright = torch.where(draws.chance(n, 1, share=0.4), draws.log_uniform(n, 1, low=1800.0, high=7000.0), 1e5)
    hump_hz, hump = draws.log_uniform(n, 1, low=400.0, high=1500.0), draws.uniform(n, 1, low=0.0, high=2.0)
    before = band_response(hz, tight, bright, order=1) * (
        1.0 + hump * torch.exp(-((hz / hump_hz).clamp_min(1e-3).log2() ** 2))
    )
    sound = apply_response(sound, before, n_fft=OVERDRIVE_FFT)
    drive = draws.log_uniform(n, 1, low=1.0, high=50.0)
    stages = 1 + draws.chance(n, 1, share=0.5).long() + draws.chance(n, 1, share=0.3)
    for stage in range(3):
        sound = sound / sound.abs().amax(1, keepdim=True).clamp_min(1e-5)
        share = drive ** (1.0 / stages)
        hardness = torch.where(
            draws.chance(n, 1, share=0.35),
            draws.log_uniform(n, 1, low=6.0, high=24.0),
            draws.uniform(n, 1, low=1.3, high=3.5),
        )
        bias = draws.uniform(n, 1, low=-0.4, high=0.4) * draws.chance(n, 1, share=0.6)
        # Three stages one after another clip harder than one: the first two run at twice the rate, the last at four.
        rows = (stage < stages).float()
        clipped = overdrive(sound, share, bias, hardness, oversampling=4 if stage == 0 else 2)
        between = band_response(
            hz,
            draws.log_uniform(n, 1, low=15.0, high=120.0),
            draws.log_uniform(n, 1, low=4000.0, high=16000.0),
            order=1,
        )
        sound = torch.where(rows > 0, apply_response(clipped, between, n_fft=OVERDRIVE_FFT), sound)
    cabinet = band_response(
        hz, draws.log_uniform(n, 1, low=50.0, high=130.0), draws.log_uniform(n, 1, low=2300.0, high=7000.0)
    )
    peaks = resonance_response(
        hz,
        draws.log_uniform(n, 4, low=90.0, high=4000.0),
        draws.log_uniform(n, 4, low=1.5, high=8.0),
        draws.uniform(n, 4, low=-0.6, high=1.5),
    )
    cabinet = cabinet * (1.0 + peaks).abs()
    cabinet = torch.where(draws.chance(n, 1, share=0.75), cabinet, torch.ones_like(cabinet))
    cabinet = cabinet * draw_curve(n, draws, n_fft=OVERDRIVE_FFT, decibels=draws.uniform(n, 1, high=4.0))
    return apply_response(sound, cabinet, n_fft=OVERDRIVE_FFT)[:, :length]


def draw_quiet_noise(n: int, draws: Draws, *, n_samples: int) -> torch.Tensor:
    """Draw the noise that an amplifier's input adds, −90 to −45 dB."""
    return draws.normal(n, n_samples) * 10.0 ** (draws.uniform(n, 1, low=-90.0, high=-45.0) / 20.0)


def pass_room(samples: torch.Tensor, draws: Draws) -> torch.Tensor:
    """Record in a room by a microphone of its own response and band."""
    n = len(samples)
    hz = _bins_hz(N_FFT, draws)
    tail = room_tail(
        draws.normal(n, ROOM_SAMPLES), draws.log_uniform(n, 1, low=0.12, high=1.4), sample_rate_hz=float(EAR_RATE_HZ)
    )
    wet = 10.0 ** (draws.uniform(n, 1, low=-26.0, high=0.0) / 20.0) * draws.chance(n, 1, share=0.6)
    delay = torch.exp(-2j * math.pi * hz * draws.log_uniform(n, 1, low=0.001, high=0.02))
    room = 1.0 + wet * delay * torch.fft.rfft(tail, N_FFT)
    curve = draw_curve(n, draws, n_fft=N_FFT, decibels=draws.uniform(n, 1, high=5.0))
    low = torch.where(draws.chance(n, 1, share=0.35), draws.log_uniform(n, 1, low=50.0, high=400.0), 20.0)
    high = torch.where(draws.chance(n, 1, share=0.4), draws.log_uniform(n, 1, low=2000.0, high=7500.0), 1e5)
    band = band_response(hz, low, high, order=2)
    return apply_response(samples, room * curve * band, n_fft=N_FFT)


def pass_phone_band(samples: torch.Tensor, draws: Draws) -> torch.Tensor:
    """Cut to the band of a telephone or of a small loudspeaker, steeply."""
    n = len(samples)
    hz = _bins_hz(N_FFT, draws)
    band = band_response(
        hz, draws.log_uniform(n, 1, low=80.0, high=320.0), draws.log_uniform(n, 1, low=3000.0, high=7000.0), order=6
    )
    return apply_response(samples, band, n_fft=N_FFT)


def pass_coder(samples: torch.Tensor, draws: Draws) -> torch.Tensor:
    """Coarsen short-time spectra as a lossy coder does: steps that grow with each band, the faintest parts dropped."""
    n, length = samples.shape
    size = 512
    window = torch.hann_window(size, device=draws.device)
    spectrum = torch.stft(samples, size, size // 2, window=window, return_complex=True)
    level = spectrum.abs()
    kernel = torch.ones(1, 1, 17, device=draws.device) / 17.0
    flat = level.square().transpose(1, 2).reshape(-1, 1, level.shape[1])
    masked = (
        torch.nn.functional.conv1d(flat, kernel, padding=8).reshape(n, level.shape[2], level.shape[1]).transpose(1, 2)
    )
    step = masked.sqrt() * 10.0 ** (draws.uniform(n, 1, 1, low=-22.0, high=-4.0) / 20.0)
    coarse = torch.round(level / step.clamp_min(1e-9)) * step
    return torch.istft(spectrum * (coarse / level.clamp_min(1e-9)), size, size // 2, window=window, length=length)


def pass_noise_suppressor(samples: torch.Tensor, draws: Draws) -> torch.Tensor:
    """Take what stays the same for noise, as a phone does: a ringing chord is turned down soon after its attack."""
    n, length = samples.shape
    size, hop = 512, 256
    window = torch.hann_window(size, device=draws.device)
    spectrum = torch.stft(samples, size, hop, window=window, return_complex=True)
    power = spectrum.abs().square()
    memory = torch.exp(-hop / EAR_RATE_HZ / draws.log_uniform(n, 1, 1, low=0.25, high=2.5))
    strength = draws.log_uniform(n, 1, 1, low=0.15, high=1.5)
    least = 10.0 ** (draws.uniform(n, 1, 1, low=-24.0, high=-6.0) / 20.0)
    # The noise that it believes in is a running mean of each band's power, which starts from the first frame.
    frames = torch.arange(power.shape[-1], device=draws.device)
    age = (frames[:, None] - frames[None]).float()
    weight = torch.where(age >= 0, (1.0 - memory) * memory ** age.clamp(min=0.0), 0.0)
    noise = torch.einsum("bft,bst->bfs", power, weight) + power[..., :1] * memory ** (frames + 1.0)
    gain = torch.maximum(1.0 - strength * noise / power.clamp_min(1e-12), least)
    return torch.istft(spectrum * gain, size, hop, window=window, length=length)


def pass_gain_control(samples: torch.Tensor, draws: Draws) -> torch.Tensor:
    """Even out loudness over tens of milliseconds, so that a chord swells as it decays and pumps."""
    n, length = samples.shape
    hop = 80
    power = torch.nn.functional.avg_pool1d(samples.square()[:, None], hop, hop)[:, 0]
    hz = torch.fft.rfftfreq(2 * power.shape[1], hop / EAR_RATE_HZ, device=draws.device)
    slow = 1.0 / (1.0 + 2j * math.pi * hz * draws.log_uniform(n, 1, low=0.02, high=0.3))
    power = torch.fft.irfft(torch.fft.rfft(power, 2 * power.shape[1]) * slow, 2 * power.shape[1])[:, : power.shape[1]]
    quiet = 1e-3 * power.amax(1, keepdim=True)
    gain = (power.clamp_min(0.0) + quiet) ** (-0.5 * draws.uniform(n, 1, low=0.2, high=0.85))
    return samples * torch.nn.functional.interpolate(gain[:, None], size=length, mode="linear")[:, 0]


def pass_clipper(samples: torch.Tensor, draws: Draws) -> torch.Tensor:
    """Record too loud: the peaks are cut off."""
    peak = samples.abs().amax(1, keepdim=True)
    limit = peak * draws.uniform(len(samples), 1, low=0.25, high=0.95)
    return torch.minimum(torch.maximum(samples, -limit), limit)
