"""Voicing: evidence or a chord in, ranked shapes out."""
