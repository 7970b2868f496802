"""``listen settings``: what a player need not type every time."""

from __future__ import annotations

from typing import Annotated

import typer

from listen.cli.command import Command
from listen.cli.console import print_lines
from listen.cli.options import FingerpickedOption, LeftHandedOption, ReachOption, ThumbOption, TuningOption


def add_to(app: typer.Typer) -> None:
    """Register the command."""
    app.command("settings", cls=Command, short_help="Keep your tuning, reach and playing hand.")(settings)


def settings(
    *,
    tuning: TuningOption = None,
    reach: ReachOption = None,
    thumb: ThumbOption = None,
    fingerpicked: FingerpickedOption = None,
    left_handed: LeftHandedOption = None,
    forget: Annotated[bool, typer.Option("--forget", help="Go back to what is usual.")] = False,
) -> None:
    """Keep your tuning, your reach and your playing hand, and show what is kept.

    What is said with another command goes before these settings. A part is read in the tuning that is kept; where that
    is standard, tuning and capo are found by ear.
    """
    from listen.document import change_settings, find_settings_file, forget_settings

    if forget:
        forget_settings()
    said = {
        "tuning": tuning,
        "reach": reach,
        "thumb": thumb,
        "fingerpicked": fingerpicked,
        "left_handed": left_handed,
    }
    kept = change_settings({name: value for name, value in said.items() if value is not None})
    print_lines(
        [
            f"tuning        {kept.tuning}",
            f"reach         {kept.reach}",
            f"thumb         {'comes over the neck' if kept.thumb else 'stays behind the neck'}",
            f"plucked with  {'fingers' if kept.fingerpicked else 'a pick'}",
            f"drawn for     a {'left' if kept.left_handed else 'right'}-handed player",
            f"kept in       {find_settings_file()}",
        ]
    )
