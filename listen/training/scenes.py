"""Scenes: strums in context, with whatever else sounds, as the ear will be given them, and the truth about them.

Conventions: a scene is a segment of the trained ear's front end (16 kHz; the onset is said to be at sample
:data:`~listen.audio.cut_frontend.N_LEAD`, and is there within some hundredths of a second).
"""

from __future__ import annotations

from dataclasses import dataclass

import torch

from listen.audio import EAR_RATE_HZ, LOWEST_MIDI, N_AFTER, N_KINDS, N_LEAD, N_PITCHES, N_SEGMENT
from listen.training import bystanders, chain
from listen.training.draws import Draws
from listen.training.guitars import Guitars, draw_guitars
from listen.training.settings import SceneSettings
from listen.training.shapes import ShapeTables, draw_shapes
from listen.training.strums import (
    QUIET_DB,
    Strums,
    draw_strums,
    render_strums,
    select_rows,
    stopped_stiffness,
)

FOREVER_S = 99.0  # later than any window ends
IGNORED = -100
RENDER_LEAD = 1280  # samples before the onset from which the strum itself is rendered: it may come 50 ms early
SHORTEST_CUT_S, LONGEST_CUT_S = 0.11, 1.06  # strokes at nine a second, to the whole window


@dataclass(frozen=True, slots=True)
class Truth:
    """What a batch of scenes holds.

    Parameters
    ----------
    pitches : Tensor, shape (B, N_PITCHES)
        1 where a pitch sounds.
    counted : Tensor, shape (B, N_PITCHES)
        0 where it may be heard or not.
    bass : Tensor of int, shape (B,)
        Index of the lowest pitch; :data:`IGNORED` where there is none.
    kinds : Tensor of int, shape (B, N_KINDS)
        For each kind of string 0 (silent) or 1 + index of its pitch; :data:`IGNORED` where it is not to be learnt.
    measured : Tensor of bool, shape (B, N_PITCHES)
        Where one string alone sounds the pitch, so that the next two mean something.
    ln_stiffness, delay_s : Tensor, shape (B, N_PITCHES)
    plucked : Tensor, shape (B,)
        1 where a string was plucked.
    from_book : Tensor of bool, shape (B,)
    """

    pitches: torch.Tensor
    counted: torch.Tensor
    bass: torch.Tensor
    kinds: torch.Tensor
    measured: torch.Tensor
    ln_stiffness: torch.Tensor
    delay_s: torch.Tensor
    plucked: torch.Tensor
    from_book: torch.Tensor


@dataclass(frozen=True, slots=True)
class Scenes:
    """A batch of scenes.

    Parameters
    ----------
    samples : Tensor, shape (B, N_SEGMENT)
    n_available : Tensor of int, shape (B,)
        Samples from the onset to the next one, or to the end of the recording.
    truth : Truth
    """

    samples: torch.Tensor
    n_available: torch.Tensor
    truth: Truth


def draw_scenes(tables: ShapeTables, n: int, draws: Draws, *, scene: SceneSettings) -> Scenes:
    """Draw a batch of scenes."""
    with torch.no_grad():
        guitars = draw_guitars(n, draws)
        cut_s = torch.where(
            draws.chance(n, 1, share=scene.cut),
            draws.log_uniform(n, 1, low=SHORTEST_CUT_S, high=LONGEST_CUT_S),
            FOREVER_S,
        )
        strums = draw_strums(guitars, draw_shapes(tables, n, draws, scene=scene), draws, longest_s=0.4 * cut_s)
        late_s = (0.006 * draws.normal(n, 1)).clamp(-0.03, 0.03) - 0.004
        rough = draws.chance(n, 1, share=0.15)
        late_s = torch.where(rough, draws.uniform(n, 1, low=-0.035, high=0.03), late_s)
        absent = draws.rows(n, scene.not_plucked)
        plucked = torch.ones(n, device=draws.device)
        plucked[absent] = 0.0
        strings = _render(tables, guitars, strums, draws, scene=scene, late_s=late_s)
        strings = _add_next_strum(strings, draws, cut_s=cut_s + late_s) * plucked[:, None]
        samples, loudness = _record(strings, guitars, draws, scene=scene, absent=absent)
        n_available = ((cut_s + late_s + 0.007 * draws.normal(n, 1)) * EAR_RATE_HZ).clamp(max=N_AFTER).long()[:, 0]
        samples = _pass_phone(samples, draws, loudness=loudness)
        return Scenes(samples, n_available.clamp(min=1200), _tell_truth(guitars, strums, plucked))


def _render(
    tables: ShapeTables,
    guitars: Guitars,
    strums: Strums,
    draws: Draws,
    *,
    scene: SceneSettings,
    late_s: torch.Tensor,
) -> torch.Tensor:
    """Render the strum and, for a share of the batch, the one before it on the same guitar."""
    n = len(late_s)
    onset_s = RENDER_LEAD / EAR_RATE_HZ + late_s
    stilled_s = torch.full((n, 6), FOREVER_S, device=draws.device)
    stop_s = onset_s + draws.log_uniform(n, 1, low=0.13, high=1.1)
    stilled_s = torch.where(draws.chance(n, 1, share=0.24), stop_s, stilled_s)
    strum = render_strums(guitars, strums, draws, onset_s=onset_s, damped_s=stilled_s, n_samples=N_AFTER + RENDER_LEAD)
    sound = torch.nn.functional.pad(strum, (N_LEAD - RENDER_LEAD, 0))
    rows = draws.rows(n, scene.context)
    guitar, after = select_rows(guitars, rows), select_rows(strums, rows)
    before = draw_shapes(tables, len(rows), draws, scene=scene)
    earlier = draw_strums(guitar, before, draws, longest_s=torch.full((len(rows), 1), 0.1, device=draws.device))
    again = draws.chance(len(rows), 1, share=0.4)
    earlier = Strums(
        midi=torch.where(again, after.midi, earlier.midi),
        neck_fret=torch.where(again, after.neck_fret, earlier.neck_fret),
        sounds=torch.where(again, after.sounds, earlier.sounds),
        accidental=earlier.accidental & ~again,
        dead=earlier.dead & ~again,
        sympathetic=earlier.sympathetic & ~again,
        delay_s=torch.where(again, after.delay_s, earlier.delay_s),
        level_db=earlier.level_db + draws.uniform(len(rows), 1, low=-9.0, high=3.0),
        from_book=earlier.from_book,
    )
    gap_s = draws.log_uniform(len(rows), 1, low=0.12, high=1.6)
    now_s = N_LEAD / EAR_RATE_HZ + late_s[rows]
    # A string that is struck again is stilled by the pick. The others are stilled when the hand lifts or moves, or
    # ring on; a hand that changes early leaves a gap.
    restruck_s = now_s + after.delay_s - draws.uniform(len(rows), 6, high=0.012)
    lifted_s = now_s + draws.uniform(len(rows), 1, low=-0.1, high=0.05) + 0.01 * draws.normal(len(rows), 6)
    lifts = draws.chance(len(rows), 1, share=0.6)
    stilled_s = torch.where(lifts, lifted_s, torch.full_like(lifted_s, FOREVER_S))
    stilled_s = torch.where(after.sounds, torch.minimum(restruck_s, stilled_s), stilled_s)
    context = render_strums(guitar, earlier, draws, onset_s=now_s - gap_s, damped_s=stilled_s, n_samples=N_SEGMENT)
    return sound.index_add(0, rows, context)


def _add_next_strum(strings: torch.Tensor, draws: Draws, *, cut_s: torch.Tensor) -> torch.Tensor:
    """Add another scene's strum where the next one begins, and still this one."""
    n = len(strings)
    start = N_LEAD + (cut_s * EAR_RATE_HZ).clamp(max=2.0 * N_SEGMENT).long()
    place = torch.arange(N_SEGMENT, device=draws.device)[None] - start + N_LEAD
    other = torch.roll(strings, 1, 0).gather(1, place.clamp(0, N_SEGMENT - 1)) * (place >= N_LEAD - 400)
    since_s = (place - N_LEAD).clamp(min=0) / EAR_RATE_HZ
    still = torch.exp(-since_s / draws.log_uniform(n, 1, low=0.004, high=0.3))
    ends = draws.chance(n, 1, share=0.25)  # no strum follows: the recording ends here
    return torch.where(ends, strings * (place < N_LEAD), strings * still + other)


def _record(
    strings: torch.Tensor, guitars: Guitars, draws: Draws, *, scene: SceneSettings, absent: torch.Tensor
) -> tuple[torch.Tensor, torch.Tensor]:
    """Send strings through instrument, amplifier and room, with whoever else is there; return the strum's loudness."""
    n = len(strings)
    sound = chain.pass_instrument(strings, draws, has_pickup=guitars.has_pickup)
    sound = _scale_strum(sound)
    driven = draws.rows(n, scene.overdriven)
    amplified = _scale_strum(chain.pass_amplifier(sound[driven], draws))
    sound = sound.index_copy(0, driven, amplified)
    sound = _add(sound, draws, share=scene.voice, low_db=-24.0, high_db=0.0, draw=bystanders.draw_voices)
    sound = _add(
        sound, draws, share=scene.backing, low_db=-36.0, high_db=-10.0,
        draw=lambda m, d, n_samples: bystanders.draw_instruments(m, d, n_samples=n_samples, at=3000, struck_share=0.5),
    )  # fmt: skip
    sound = _add(
        sound, draws, share=scene.drums, low_db=-22.0, high_db=0.0,
        draw=lambda m, d, n_samples: bystanders.draw_drums(m, d, n_samples=n_samples, at=N_LEAD),
    )  # fmt: skip
    sound = sound.index_copy(0, absent, _draw_not_plucked(len(absent), draws))
    sound = chain.pass_room(sound, draws)
    return sound, sound[:, N_LEAD : N_LEAD + 9600].square().mean(1, keepdim=True).sqrt().clamp_min(1e-6)


def _scale_strum(sound: torch.Tensor) -> torch.Tensor:
    """Scale so that the strum's first 0.6 s have a root mean square of one; silence stays silent."""
    level = sound[:, N_LEAD : N_LEAD + 9600].square().mean(1, keepdim=True).sqrt()
    return sound / level.clamp_min(1e-5)


def _add(
    sound: torch.Tensor, draws: Draws, *, share: float, low_db: float, high_db: float, draw: object
) -> torch.Tensor:
    """Add bystanders to a share of the batch."""
    rows = draws.rows(len(sound), share)
    assert callable(draw)  # noqa: S101 - tells the type checker what the callers above pass
    level = 10.0 ** (draws.uniform(len(rows), 1, low=low_db, high=high_db) / 20.0)
    return sound.index_add(0, rows, level * draw(len(rows), draws, n_samples=sound.shape[1]))


def _draw_not_plucked(n: int, draws: Draws) -> torch.Tensor:
    """Draw scenes without a plucked string: somebody talks or sings, drums, tones, other instruments, noise."""
    size = N_SEGMENT
    voices = bystanders.draw_voices(3 * n, draws, n_samples=size).reshape(3, n, size)
    sources = torch.stack(
        [
            voices[0],
            bystanders.to_unit_level(voices.sum(0)),
            bystanders.to_unit_level(bystanders.draw_drums(n, draws, n_samples=size, at=N_LEAD)),
            bystanders.draw_tones(n, draws, n_samples=size),
            bystanders.draw_instruments(n, draws, n_samples=size, at=N_LEAD, struck_share=0.0),
            bystanders.draw_hum(n, draws, n_samples=size),
            bystanders.draw_noise(n, draws, n_samples=size),
            torch.zeros(n, size, device=draws.device),
        ],
        1,
    )
    shares = torch.tensor([0.3, 0.08, 0.2, 0.12, 0.12, 0.06, 0.08, 0.04], device=draws.device)
    main = torch.multinomial(shares.expand(n, -1), 1, generator=draws.generator)
    other = torch.multinomial(shares.expand(n, -1), 1, generator=draws.generator)
    pick = torch.nn.functional.one_hot(main, 8).float() + draws.chance(n, 1, 1, share=0.25) * 0.3 * (
        torch.nn.functional.one_hot(other, 8).float()
    )
    sound = (pick.transpose(1, 2) * sources).sum(1)
    # Things that begin at the onset are the likelier to be taken for a strum.
    time_s = (torch.arange(size, device=draws.device)[None] - N_LEAD) / EAR_RATE_HZ
    begins = draws.chance(n, 1, share=0.5)
    gate = torch.sigmoid(time_s / draws.log_uniform(n, 1, low=0.001, high=0.03))
    return sound * torch.where(begins, gate, 1.0)


def _pass_phone(samples: torch.Tensor, draws: Draws, *, loudness: torch.Tensor) -> torch.Tensor:
    """Add noise, hum, clicks, and a share each of what phones and recorders do."""
    n, length = samples.shape
    signal_to_noise = draws.uniform(n, 1, low=8.0, high=65.0)
    samples = samples + bystanders.draw_noise(n, draws, n_samples=length) * loudness * 10.0 ** (-signal_to_noise / 20.0)
    rows = draws.rows(n, 0.2)
    level = loudness[rows] * 10.0 ** (draws.uniform(len(rows), 1, low=-50.0, high=-14.0) / 20.0)
    samples = samples.index_add(0, rows, level * bystanders.draw_hum(len(rows), draws, n_samples=length))
    rows = draws.rows(n, 0.06)
    clicks = (draws.uniform(len(rows), length) < 1.5e-4) * draws.normal(len(rows), length)
    samples = samples.index_add(0, rows, 2.0 * loudness[rows] * clicks)
    for share, stage in (
        (0.05, chain.pass_noise_suppressor),
        (0.08, chain.pass_gain_control),
        (0.10, chain.pass_phone_band),
        (0.08, chain.pass_clipper),
        (0.12, chain.pass_coder),
    ):
        rows = draws.rows(n, share)
        samples = samples.index_copy(0, rows, stage(samples[rows], draws))
    bits = torch.where(draws.chance(n, 1, share=0.08), 2.0 ** draws.uniform(n, 1, low=6.0, high=10.0), 32_768.0)
    peak = samples.abs().amax(1, keepdim=True).clamp_min(1e-6) * draws.log_uniform(n, 1, low=1.05, high=8.0)
    return torch.round(samples / peak * bits) / bits


def _tell_truth(guitars: Guitars, strums: Strums, plucked: torch.Tensor) -> Truth:
    """Write down what sounds."""
    n = len(plucked)
    device = plucked.device
    sounds = strums.sounds & (plucked > 0)[:, None]
    index = (strums.midi - LOWEST_MIDI).clamp(0, N_PITCHES - 1)
    quiet = strums.accidental & (strums.level_db < QUIET_DB)
    zeros = torch.zeros(n, N_PITCHES, device=device)
    strings_at = zeros.scatter_add(1, index, (sounds & ~quiet).float())
    maybe_at = zeros.scatter_add(1, index, (sounds & quiet).float())
    pitches = (strings_at > 0).float()
    counted = 1.0 - ((maybe_at > 0) & (strings_at == 0)).float()
    bass = torch.where(sounds & ~quiet, index, 999).amin(1)
    quiet_below = (torch.where(sounds & quiet, index, 999).amin(1) < bass) | (bass > N_PITCHES)
    kinds = torch.where(sounds, index + 1, torch.zeros_like(index))
    kinds = torch.where(quiet & sounds, IGNORED, kinds)
    assert kinds.shape[1] == N_KINDS  # noqa: S101 - six strings are the six kinds
    once = (strings_at == 1) & (maybe_at == 0)
    solid = (sounds & ~quiet).float()
    ln_stiffness = zeros.scatter_add(1, index, solid * torch.log(stopped_stiffness(guitars, strums)))
    delay_s = zeros.scatter_add(1, index, solid * strums.delay_s)
    return Truth(
        pitches=pitches,
        counted=counted,
        bass=torch.where(quiet_below, IGNORED, bass),
        kinds=kinds,
        measured=once,
        ln_stiffness=ln_stiffness,
        delay_s=delay_s,
        plucked=plucked,
        from_book=strums.from_book,
    )
