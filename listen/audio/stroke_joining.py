"""Which rises in the bands are strings of one stroke, and which the next stroke.

A strum's strings may sound one after another for a third of a second, and strokes may follow each other in a tenth. The
next string of a slow strum comes soon after the last and brings what did not sound before; the next stroke brings back
what has faded. How often a rise so soon after another is a stroke of its own is the player's: it is learnt from all of
a recording's rises (expectation-maximisation of a mixture's share).

Conventions: levels of whitened bands in dB, a frame every 5 ms.

References
----------
A. P. Dempster, N. M. Laird, D. B. Rubin, "Maximum likelihood from incomplete data via the EM algorithm", Journal of the
Royal Statistical Society B 39(1), 1977.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from listen.audio.stroke_judge import (
    FRAMES_A_SECOND,
    LEAST_ODDS,
    MOST_JUMP_DB,
    Floats,
    Rise,
    measure_before,
    measure_peak,
)
from listen.audio.stroke_pulse import settle_by_time
from listen.log_odds import logistic

NEXT_STRING_S, SLOWEST_STRING_S, LONGEST_SPREAD_S = 0.085, 0.13, 0.34
"""A rise so soon after the last is a string of the same stroke; one that is later may be; seconds from a stroke's first
string to its last. Of 223 pairs of strokes at 6 to 9 a second none is closer than 90 ms; ghosts come 30 to 140 ms
after a stroke."""
LEAST_REGAINED_DB, REGAINED_SD_DB = 1.4, 0.35
"""What a stroke of its own brings back, and how sharply that is told; what is stronger than all before it is one
too, as a strum after a syllable is. Over the five takes, rendered parts at 4 and 6 strokes a second and strums of
.1 to .3 s as people play them: F of slow strums goes from .789 to .829, of the takes by phone from .955 to .958;
rendered strokes at 6 a second lose .003 (strings), .011 (soundfont) and .001 (recorded notes). Recorded open
chords, looked at and not fitted, split in .32 where they did in .48."""
FEW, MOST_LEARNT, ROUNDS = 0.5, 4.0, 3  # rises that count beforehand, each way; log-odds; judged
# so soon after a stroke, so weak or so doubtful, a rise is its echo; judged, not measured
ECHO_S, ECHO_SHARE, ECHO_ODDS = 0.13, 0.22, -0.3
PRECURSOR_SHARE = 0.45  # of the strongest rise: what comes before and is weaker is no string


def join_rises(rises: Sequence[Rise], level_db: Floats) -> list[Rise]:
    """Join the rises of one stroke, and leave out what is none.

    Parameters
    ----------
    rises : sequence of Rise
        In time order.
    level_db : ndarray, shape (n_frames, n_bands)
        Whitened.

    Returns
    -------
    list of Rise
        One a stroke: it starts with its first string, and is as strong as its strongest. What is too weak to be told
        by itself is one where the others leave a place for it.
    """
    weighed: dict[tuple[int, int], float] = {}
    usual = 0.0
    for _ in range(ROUNDS):
        groups, asked = _group(rises, level_db, usual, weighed)
        apart = float(logistic(np.array(asked) + usual).sum())
        learnt = np.log((FEW + apart) / (FEW + len(asked) - apart))
        usual = float(np.clip(learnt, -MOST_LEARNT, MOST_LEARNT))
    found: list[Rise] = []
    doubtful: list[Rise] = []
    for group in groups:
        strongest = max(group, key=lambda rise: rise.strength)
        first = next(rise for rise in group if rise.strength >= PRECURSOR_SHARE * strongest.strength)
        joined = Rise(first.start, strongest.peak, strongest.strength, max(rise.odds for rise in group))
        is_echo = bool(found) and joined.start - found[-1].start < ECHO_S * FRAMES_A_SECOND
        if is_echo and joined.strength < ECHO_SHARE * found[-1].strength:
            continue
        is_told = joined.odds > (ECHO_ODDS if is_echo else LEAST_ODDS)
        (found if is_told else doubtful).append(joined)
    return settle_by_time(found, doubtful)


def _group(
    rises: Sequence[Rise], level_db: Floats, usual: float, weighed: dict[tuple[int, int], float]
) -> tuple[list[list[Rise]], list[float]]:
    """Group rises into strokes; returns what was said of each that might have been either, too."""
    groups: list[list[Rise]] = []
    asked: list[float] = []
    for place, rise in enumerate(rises):
        group = groups[-1] if groups else []
        if not group or rise.start - group[0].start >= LONGEST_SPREAD_S * FRAMES_A_SECOND:
            groups.append([rise])
            continue
        gap_s = min(rise.start - group[-1].start, rise.peak - group[-1].peak) / FRAMES_A_SECOND
        apart = gap_s >= NEXT_STRING_S
        is_stronger = rise.strength > max(one.strength for one in group)
        if apart and gap_s < SLOWEST_STRING_S and rise.odds > LEAST_ODDS and not is_stronger:
            pair = (place - len(group), place)
            if pair not in weighed:
                weighed[pair] = (_measure_regained(group[0], rise, level_db) - LEAST_REGAINED_DB) / REGAINED_SD_DB
            asked.append(weighed[pair])
            apart = asked[-1] + usual > 0.0
        if apart:
            groups.append([rise])
        else:
            group.append(rise)
    return groups, asked


def _measure_regained(first: Rise, rise: Rise, level_db: Floats) -> float:
    """Measure what a rise brings back of what has faded since a stroke began, less as more of it is new; mean in dB."""
    start = rise.start
    heard = np.maximum(level_db[first.start : start - 1].max(axis=0), measure_before(level_db, first.start))
    before, peak = measure_before(level_db, start), measure_peak(level_db, start)
    jump = float(np.clip(peak - before, 0.0, MOST_JUMP_DB).sum())
    new = float(np.clip(peak - heard, 0.0, MOST_JUMP_DB).sum())
    back = float(np.clip(np.minimum(peak, heard) - before, 0.0, MOST_JUMP_DB).mean())
    return back * (1.0 - new / max(jump, 1e-3))
