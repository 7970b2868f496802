"""Harmony: notes in, ranked names out."""
