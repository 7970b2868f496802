"""How often a doubt comes true: what was measured of a place, turned into the probability that it is a mistake.

Each kind of finding has its own line in log-odds. Those of basses, single notes, cents and late changes were set by eye
between the doubts that are true and those that are not, on 53 students with planted mistakes (seeds 2000 to 2053 of
``python -m tests.benchmarks.homework``); of each kind five or so are true, too few to fit (``--fit`` does on more). Of
right playing the most doubtful late change there lies at -3.4 standard deviations over the tolerance, the least
doubtful true one at 5; string out of tune 0.1 and 1.8; extra string 1.9 and 3.9; bass 1.1 and 1.6. The others are
judged.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from listen.reading import FindingKind


@dataclass(frozen=True, slots=True)
class Grounds:
    """What a finding rests on.

    Parameters
    ----------
    kind : FindingKind
    value : float
        In its own unit: nats for notes and names, standard deviations over the tolerance for cents and time.
    n : int
        How many sounds, or measurements, say so.
    """

    kind: FindingKind
    value: float
    n: int = 1


LINES: dict[str, tuple[float, float, float]] = {
    "chord": (0.0, 1.0, 0.0),
    "bass": (-0.9, 1.5, 0.0),
    "silent string": (0.0, 1.0, 0.0),
    "extra string": (-2.2, 1.2, 0.0),
    "out of tune": (-0.5, 2.0, 0.0),
    "late": (1.5, 2.0, 0.0),
    "early": (0.0, 1.0, 0.0),
    "uneven": (0.0, 1.0, 0.0),
    "way": (0.0, 1.0, 0.0),
    "pattern": (0.0, 1.0, 0.0),
    "restart": (0.0, 1.0, 0.0),
    "repeated": (0.0, 1.0, 0.0),
    "left out": (0.0, 1.0, 0.0),
    "stopped": (0.0, 1.0, 0.0),
    "setting": (0.0, 0.3, 0.0),
    "tempo": (0.0, 1.0, 0.0),
}
"""By kind: level, slope, and what the logarithm of the number of sounds adds."""
CERTAIN = 0.995  # nothing heard is surer than that


def calibrate(doubt: Grounds) -> float:
    """Return the probability that a doubt is a mistake."""
    level, slope, more = LINES[doubt.kind]
    nats = level + slope * doubt.value + more * math.log(max(doubt.n, 1))
    return min(CERTAIN, 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, nats)))))
