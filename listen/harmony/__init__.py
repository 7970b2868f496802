"""Harmony: notes in, ranked names out; the form the hand sees; the chords one finger away."""

from listen.harmony.interval_name import name_interval
from listen.harmony.name_candidates import measure_plainness
from listen.harmony.naming import rank_names, rank_names_of_sets
from listen.harmony.neighbours import Neighbour, find_neighbours
from listen.harmony.played_as import measure_shift, name_played
from listen.harmony.without_bass import (
    rank_names_of_sets_without_bass,
    rank_names_on,
    rank_names_without_bass,
    rank_rootless,
)

__all__ = [
    "Neighbour",
    "find_neighbours",
    "measure_plainness",
    "measure_shift",
    "name_interval",
    "name_played",
    "rank_names",
    "rank_names_of_sets",
    "rank_names_of_sets_without_bass",
    "rank_names_on",
    "rank_names_without_bass",
    "rank_rootless",
]
