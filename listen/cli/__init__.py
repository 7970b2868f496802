"""The command line: one command a file."""

from listen.cli.app import make_app, run

__all__ = ["make_app", "run"]
