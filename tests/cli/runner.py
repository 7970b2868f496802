"""Running the command line inside a test."""

from __future__ import annotations

from dataclasses import dataclass

from typer.testing import CliRunner

from listen.cli import make_app


@dataclass(frozen=True, slots=True)
class Result:
    """What a command printed and how it ended."""

    status: int
    out: str
    err: str


def run_listen(*words: str) -> Result:
    """Run a command; an exception that is no error of the user's is raised, as a bug would be."""
    result = CliRunner().invoke(make_app(), list(words), catch_exceptions=False, prog_name="listen")
    return Result(result.exit_code, result.stdout, result.stderr)


def run_wrong(*words: str) -> str:
    """Run a command that must fail with one sentence on stderr and status 2; return the sentence."""
    result = run_listen(*words)
    assert result.status == 2, (words, result)
    assert result.err.startswith("listen: "), result.err
    assert result.err.count("\n") == 1, result.err
    return result.err
