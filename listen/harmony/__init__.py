"""Harmony: notes in, ranked names out."""

from listen.harmony.naming import rank_names, rank_names_of_sets

__all__ = ["rank_names", "rank_names_of_sets"]
