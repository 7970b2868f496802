"""Benchmarks: commands of their own, run from the repository root (``python -m tests.benchmarks.strums``)."""
