"""Whether so much of a recording is cut off that a warning is due."""

from __future__ import annotations

CLIPPED_A_SECOND = 20.0  # samples; fewer are single peaks; judged


def warn_of_clipping(n_clipped: int, *, duration_s: float) -> tuple[str, ...]:
    """Return the warning, or nothing.

    Examples
    --------
    >>> warn_of_clipping(100, duration_s=10.0)
    ()
    """
    if n_clipped <= CLIPPED_A_SECOND * max(duration_s, 1.0):
        return ()
    return ("The recording is clipped: its loudest waves are cut off, and some notes may be none.",)
