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

    What is said with another command goes before these settings.
    """
    from listen.document import PlayerSettings, find_settings_file, forget_settings, load_settings, save_settings

    if forget:
        forget_settings()
    before = load_settings()
    kept = PlayerSettings(
        tuning=before.tuning if tuning is None else tuning,
        reach=before.reach if reach is None else reach,
        thumb=before.thumb if thumb is None else thumb,
        fingerpicked=before.fingerpicked if fingerpicked is None else fingerpicked,
        left_handed=before.left_handed if left_handed is None else left_handed,
    )
    if kept != before:
        save_settings(kept)
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
