"""A player of a part: habits, a plan of moves bar by bar, and hands that carry it out.

Conventions: seconds from the start of the sound.
"""

from __future__ import annotations

import math

import numpy as np

from listen.training.stroke_habits import PlayerHabits, draw_habits
from listen.training.stroke_hands import PlayingHands
from listen.training.stroke_patterns import FEW_SLOTS, PatternSlot, StrokeMove, StrokePattern, draw_forms, draw_pattern
from listen.training.stroke_performance import Burst, ScenePerformance

# every share, range and level of this file was judged, not measured
SLOT_S, SLOT_OF_FEW_S = (0.11, 0.5), (0.25, 1.5)
SLOW_SPREAD_S, SLOW_SLOT_S = 0.1, 0.22  # who spreads chords slowly plays no faster than this
LEAST_APART_S = 0.085  # strokes nearer to the last one are not played
LEFT_OUT_SHARE, EXTRA_SHARE = 0.03, 0.02  # of planned strokes
NEW_PATTERN_SHARE, PAUSE_SHARE = 0.025, 0.04  # of bars
EXTRA_MOVES = (StrokeMove.BRUSH_UP, StrokeMove.UP, StrokeMove.CHOP)
N_NOISES = 4  # knocks and squeaks of a part, on average

Plan = list[tuple[float, PatternSlot | None]]


def draw_performance(rng: np.random.Generator, *, start_s: float, until_s: float) -> ScenePerformance:
    """Draw a player and a part, and play it from a start to about an end."""
    habits, pattern = draw_habits(rng), draw_pattern(rng)
    few = pattern.n_slots <= FEW_SLOTS
    shortest_s, longest_s = SLOT_OF_FEW_S if few else SLOT_S
    slot_s = math.exp(rng.uniform(math.log(shortest_s), math.log(longest_s)))
    if habits.spread_s[1] > SLOW_SPREAD_S:
        slot_s = max(slot_s, SLOW_SLOT_S)
    hands = PlayingHands(rng, habits, draw_forms(rng))
    plan = _plan_moves(rng, habits, pattern, slot_s=slot_s, span_s=(start_s, until_s))
    last_s = -1.0
    for index, (at_s, slot) in enumerate(plan):
        if slot is None:
            hands.may_change(at_s)
        elif at_s - last_s >= LEAST_APART_S:
            next_s = next((other_s for other_s, other in plan[index + 1 :] if other is not None), at_s + 1.0)
            if hands.play(slot, at_s, next_s):
                last_s = at_s
    return ScenePerformance(
        tuple(hands.notes),
        (*hands.bursts, *_draw_noises(rng, until_s)),
        tuple(sorted(hands.strokes, key=lambda stroke: stroke.onset_s)),
        slot_s * (1 if few else 2),
    )


def _plan_moves(
    rng: np.random.Generator,
    habits: PlayerHabits,
    pattern: StrokePattern,
    *,
    slot_s: float,
    span_s: tuple[float, float],
) -> Plan:
    """Plan moves bar by bar; None stands for the end of a bar, where the chord may change."""
    plan: Plan = []
    at_s, until_s = span_s
    even_bar_s = pattern.n_slots * slot_s
    while at_s < until_s:
        bar_s = even_bar_s / (1.0 + habits.drift * at_s / until_s)
        if rng.random() < NEW_PATTERN_SHARE:
            pattern = draw_pattern(rng)
        if rng.random() < PAUSE_SHARE:
            at_s += bar_s * rng.uniform(0.3, 1.5)
        for slot in pattern.slots:
            late = (2.0 * habits.swing - 1.0) * (slot.index % 2)
            planned_s = at_s + (slot.index + late) * bar_s / pattern.n_slots + rng.normal(0.0, habits.uneven_s)
            if rng.random() < LEFT_OUT_SHARE:
                continue
            if rng.random() < EXTRA_SHARE:
                extra = EXTRA_MOVES[int(rng.integers(len(EXTRA_MOVES)))]
                plan.append((planned_s + rng.uniform(0.05, 0.1) * bar_s, PatternSlot(slot.index, extra)))
            plan.append((planned_s, slot))
        at_s += bar_s
        plan.append((at_s - 0.001, None))
    return sorted(plan, key=lambda planned: planned[0])


def _draw_noises(rng: np.random.Generator, until_s: float) -> list[Burst]:
    """Draw knocks and squeaks at any time."""
    return [
        Burst(rng.uniform(0.0, until_s), rng.uniform(-40, -20), rng.uniform(0.005, 0.04), rng.uniform(300, 5000))
        for _ in range(int(rng.poisson(N_NOISES)))
    ]
