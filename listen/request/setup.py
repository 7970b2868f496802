"""Who plays what: the neck, the guitar and the hand that were named, and the player's own settings for the rest."""

from __future__ import annotations

from dataclasses import replace

from listen.document import load_guitar, load_settings
from listen.errors import bad_value
from listen.instrument import (
    LEAST_FRETS,
    MOST_FRETS,
    STANDARD,
    Fretboard,
    Hand,
    Tuning,
    load_instruments,
    parse_hand,
    parse_tuning,
)
from listen.reading import GuitarProfile


def parse_fretboard(tuning: str | None, capo_fret: int, *, n_frets: int | None = None) -> Fretboard:
    """Return the neck that the words describe: an instrument's usual one, or a guitar's with other strings."""
    parsed = parse_tuning(load_settings().tuning if tuning is None else tuning)
    usual = next((each for each in load_instruments() if each.tuning == parsed), None)
    if n_frets is not None and not LEAST_FRETS <= n_frets <= MOST_FRETS:
        raise bad_value("neck", n_frets, allowed=f"a number of frets from {LEAST_FRETS} to {MOST_FRETS}")
    board = Fretboard(parsed) if usual is None else usual.fretboard()
    return replace(board, n_frets=board.n_frets if n_frets is None else n_frets, capo_fret=capo_fret)


def find_kept_tuning() -> Tuning | None:
    """Return the tuning that the player keeps, where it is not the usual one: a part is read in it."""
    kept = parse_tuning(load_settings().tuning)
    return None if kept == STANDARD else kept


def find_guitar(name: str, tuning: str | None, capo_fret: int) -> tuple[GuitarProfile | None, Fretboard]:
    """Return the known guitar, if one is named, and the neck: the guitar's own tuning unless another is given."""
    if not name:
        return None, parse_fretboard(tuning, capo_fret)
    guitar = load_guitar(name)
    board = parse_fretboard(guitar.tuning.text if tuning is None else tuning, capo_fret)
    if board.n_strings != guitar.tuning.n_strings:
        raise bad_value(
            "tuning",
            board.tuning.name,
            allowed=f"as many strings as {guitar.name} has, {guitar.tuning.n_strings}",
            remedy="Leave --tuning or --guitar out.",
        )
    return guitar, board


def parse_player(*, reach: str | None, thumb: bool | None, fingerpicked: bool | None) -> Hand:
    """Return the hand that the words describe, and the player's settings where they say nothing."""
    kept = load_settings()
    picked = kept.fingerpicked if fingerpicked is None else fingerpicked
    return parse_hand(
        kept.reach if reach is None else reach,
        thumb=kept.thumb if thumb is None else thumb,
        picking="fingers" if picked else "pick",
    )


def is_left_handed(asked: bool | None) -> bool:
    """Return for whose hand the neck is drawn."""
    return load_settings().left_handed if asked is None else asked
