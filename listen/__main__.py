"""``python -m listen``: the command line, with our errors as one sentence and exit status 2."""

from __future__ import annotations


def main() -> None:
    """Run the command line; stopped from the keyboard while it is still loading, it ends without a word."""
    import sys

    try:
        from listen.cli import run

        run()
    except KeyboardInterrupt:
        sys.exit(130)


if __name__ == "__main__":
    main()
