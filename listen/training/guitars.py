"""Simulated guitars: strings drawn around the table of :mod:`listen.instrument.strings`, tuned and strung in many ways.

Conventions: tensors of shape (B, 6) are by string, heaviest first; (B, 1) by guitar.
"""

from __future__ import annotations

from dataclasses import dataclass

import torch

from listen.instrument import NOMINAL_MIDI, STRING_TABLES
from listen.training.draws import Draws

TABLES = tuple(STRING_TABLES.values())
TABLE_SHARES = (0.42, 0.14, 0.44)  # steel, nylon, electric, in the table's order
LOWEST_PLAYED_MIDI, HIGHEST_PLAYED_MIDI = 33, 88


@dataclass(frozen=True, slots=True)
class Guitars:
    """A batch of guitars.

    Parameters
    ----------
    open_midi : Tensor of int, shape (B, 6)
        Without the capo.
    capo : Tensor of int, shape (B, 1)
    cents : Tensor, shape (B, 6)
        Off the tempered scale, each open string.
    stiffness : Tensor, shape (B, 6)
        B of the open string.
    decay_s, decay_slope, decay_curve, contact_hz : Tensor, shape (B, 6)
    pluck, pickup : Tensor, shape (B, 6)
        Distances from the bridge over the open string's length.
    has_pickup : Tensor of bool, shape (B, 1)
    slope : Tensor, shape (B, 1)
        Exponent of the spectrum's fall.
    unevenness : Tensor, shape (B, 1)
        Standard deviation of ln amplitude between a string's partials.
    """

    open_midi: torch.Tensor
    capo: torch.Tensor
    cents: torch.Tensor
    stiffness: torch.Tensor
    decay_s: torch.Tensor
    decay_slope: torch.Tensor
    decay_curve: torch.Tensor
    contact_hz: torch.Tensor
    pluck: torch.Tensor
    pickup: torch.Tensor
    has_pickup: torch.Tensor
    slope: torch.Tensor
    unevenness: torch.Tensor


def draw_guitars(n: int, draws: Draws) -> Guitars:
    """Draw a batch of guitars, their tunings and how they are plucked."""
    edges = torch.tensor(TABLE_SHARES, device=draws.device).cumsum(0)
    which = (draws.uniform(n, 1) > edges).sum(1).clamp(max=len(TABLES) - 1)

    def table(values: list[list[float]]) -> torch.Tensor:
        return torch.tensor(values, device=draws.device)[which]

    open_midi, retuned = _draw_tunings(n, draws)
    stiffness = table([list(t.stiffness) for t in TABLES])
    # A gauge differs for all strings and a little for each: two published steel sets differ string by string by ln
    # ratios of 0.14 to 0.38, what is known of nylon by more. A third string is wound or plain whatever the kind of
    # guitar. A retuned string is softer or stiffer by its tension, unless it was changed for another gauge.
    each = torch.where(which == 1, 0.35, 0.22)[:, None]
    spread = torch.exp(0.4 * draws.normal(n, 1) + each * draws.normal(n, 6))
    third = torch.where(draws.chance(n, 1, share=0.3), draws.log_uniform(n, 1, low=0.33, high=3.0), 1.0)
    stiffness = stiffness * spread
    stiffness[:, 3:4] = stiffness[:, 3:4] * third
    tension = torch.exp2(-retuned / 6.0)
    stiffness = stiffness * torch.where(draws.chance(n, 1, share=0.7), tension, 1.0)
    concert = torch.where(
        draws.chance(n, 1, share=0.7), 7.0 * draws.normal(n, 1), draws.uniform(n, 1, low=-40.0, high=40.0)
    )
    cents = concert + draws.normal(n, 6) * draws.log_uniform(n, 1, low=1.0, high=9.0)
    cents = cents + (draws.chance(n, 6, share=0.04) * draws.uniform(n, 6, low=-28.0, high=28.0))
    decay = table([list(t.decay_s) for t in TABLES]) * torch.exp(0.45 * draws.normal(n, 1) + 0.25 * draws.normal(n, 6))
    has_pickup = torch.where((which == 2)[:, None], draws.chance(n, 1, share=0.92), draws.chance(n, 1, share=0.15))
    return Guitars(
        open_midi=open_midi,
        capo=draws.integers(n, 1, low=1, high=8) * draws.chance(n, 1, share=0.1),
        cents=cents,
        stiffness=stiffness,
        decay_s=decay.clamp(0.25, 30.0),
        decay_slope=table([[t.decay_slope] for t in TABLES]) * torch.exp(0.6 * draws.normal(n, 1)) * _ones6(draws),
        decay_curve=table([[t.decay_curve] for t in TABLES]) * torch.exp(0.7 * draws.normal(n, 1)) * _ones6(draws),
        contact_hz=table([[t.contact_hz] for t in TABLES]) * torch.exp(0.6 * draws.normal(n, 1)) * _ones6(draws),
        pluck=draws.log_uniform(n, 1, low=0.05, high=0.35) * torch.exp(0.08 * draws.normal(n, 6)),
        pickup=draws.log_uniform(n, 1, low=0.05, high=0.28) * _ones6(draws),
        has_pickup=has_pickup,
        slope=draws.uniform(n, 1, low=0.3, high=1.8),
        unevenness=draws.uniform(n, 1, low=0.0, high=0.5),
    )


def _ones6(draws: Draws) -> torch.Tensor:
    return torch.ones(1, 6, device=draws.device)


def _draw_tunings(n: int, draws: Draws) -> tuple[torch.Tensor, torch.Tensor]:
    """Draw open strings: mostly standard; lowered as a whole, dropped, open tunings, baritones, strings of any pitch.

    Returns
    -------
    open_midi : Tensor of int, shape (B, 6)
    retuned : Tensor, shape (B, 6)
        Semitones from the kind's nominal pitch that the string was tuned (a baritone's strings are longer, not slack).
    """
    nominal = torch.tensor(NOMINAL_MIDI, device=draws.device)[None].expand(n, 6)
    kind = draws.uniform(n, 1)
    string = torch.arange(6, device=draws.device)[None]
    lowered = -draws.integers(n, 1, low=1, high=3) * (kind < 0.10)
    dropped = torch.where((string == 0) & (kind > 0.10) & (kind < 0.18), -2, 0)
    steps = torch.tensor([-2, -2, -1, 0, 0, 0, 0, 1, 2], device=draws.device)
    opened = steps[draws.integers(n, 6, low=0, high=9)] * ((kind > 0.18) & (kind < 0.30))
    anything = draws.integers(n, 6, low=-5, high=4) * ((kind > 0.30) & (kind < 0.34))
    baritone = -draws.integers(n, 1, low=3, high=8) * ((kind > 0.34) & (kind < 0.40))
    retuned = lowered + dropped + opened + anything
    return nominal + retuned + baritone, retuned.float()
