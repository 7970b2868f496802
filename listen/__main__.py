"""``python -m listen``: the command line, with our errors as one sentence and exit status 2."""

from __future__ import annotations


def main() -> None:
    """Run the command line."""
    from listen.cli import run

    run()


if __name__ == "__main__":
    main()
