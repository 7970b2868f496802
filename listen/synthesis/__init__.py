"""Synthesis: a shape in, samples out."""
