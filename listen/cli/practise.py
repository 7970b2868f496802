"""``listen practise``: learn to hear what is in the bass, which inversion, which chord."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from listen.cli.command import Command
from listen.cli.console import find_style, print_lines, print_note
from listen.cli.options import AsciiOption, LeftHandedOption, OverwriteOption, TuningOption, WordsOption, check_output
from listen.cli.practise_stage import PractiseStage
from listen.errors import BadValueError, ListenError, bad_value

if TYPE_CHECKING:
    from listen.document import Answered, Progress
    from listen.practice import Judgement, Question
    from listen.request import Asked

HELP = (
    "An answer's number or words; 'again' to hear it again; 'hum FILE' or 'guitar FILE' for a recording, where the "
    "question is about one chord; 'stop'."
)


def add_to(app: typer.Typer) -> None:
    """Register the command."""
    app.command("practise", cls=Command, short_help="Learn to hear basses, inversions and chords.")(practise)


def practise(
    *,
    kind: Annotated[
        list[str] | None, typer.Option(metavar="KIND", help="Ask only this step of the ladder; may be given again.")
    ] = None,
    minutes: Annotated[
        float | None, typer.Option(metavar="N", help="How long a session lasts: 10, or what the exercise says.")
    ] = None,
    items: Annotated[int, typer.Option(metavar="N", help="At most so many questions; 0: as many as fit.")] = 0,
    exercise: Annotated[
        Path | None, typer.Option("--set", metavar="FILE.toml", help="An exercise that a teacher wrote.")
    ] = None,
    part: Annotated[
        Path | None,
        typer.Option(
            metavar="PART.json",
            help="Ask about your own chords, cut from its recording; on strings where all have one tone in the bass.",
        ),
    ] = None,
    tuning: TuningOption = None,
    capo: Annotated[
        int | None, typer.Option(metavar="FRET", help="Where the capo sits, counted from the nut; 0 for none.")
    ] = None,
    sounds: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER", help="Write the sounds there as WAV files instead of playing them; numbers go on."
        ),
    ] = None,
    page: Annotated[
        Path | None, typer.Option(metavar="OUT.html", help="Write a session as one page that works offline.")
    ] = None,
    take: Annotated[
        Path | None, typer.Option(metavar="ANSWERS.json", help="Take in the answers that such a page handed out.")
    ] = None,
    ladder: Annotated[bool, typer.Option("--ladder", help="List the kinds of question in their order.")] = False,
    show_progress: Annotated[bool, typer.Option("--progress", help="Show how it has gone so far.")] = False,
    of: Annotated[
        Path | None,
        typer.Option("--of", metavar="ANSWERS", help="Show a student's: what --export or such a page wrote."),
    ] = None,
    export_to: Annotated[
        Path | None, typer.Option("--export", metavar="OUT.csv", help="Write every kept answer as a row.")
    ] = None,
    seed: Annotated[int | None, typer.Option(metavar="N", help="The same number asks the same questions.")] = None,
    overwrite: OverwriteOption = False,
    left_handed: LeftHandedOption = None,
    ascii_only: AsciiOption = False,
    in_words: WordsOption = False,
) -> None:
    """Learn to hear what is in the bass: short questions that become harder as you do.

    A new step opens when the one below holds. Answers are kept, and decide what is asked next. Keep the level moderate,
    and rest your ears after ten minutes.
    """
    from listen.document import open_progress, read_answers, read_answers_table
    from listen.export import render_progress_text
    from listen.request import take_answers

    style = find_style(ascii_only=ascii_only, in_words=in_words)
    _check_tasks(
        {
            "--ladder": ladder, "--of": of, "--page": page, "--take": take, "--export": export_to,
            "--progress": show_progress and of is None,  # --of shows a student's
        }
    )  # fmt: skip
    if ladder:
        _print_ladder()
        return
    _check_numbers(minutes, items, seed)
    if of is not None:
        answers = read_answers(of) if of.suffix.lower() == ".json" else read_answers_table(of)
        print_lines(render_progress_text(sorted(answers, key=lambda one: one.at), style=style))
        return
    if export_to is not None:
        reads = [] if take is None else [take]
        overwrite = check_output(export_to, overwrite=overwrite, reads=reads, endings=(".csv",), option="export")
    with open_progress() as progress:
        if take is not None:
            n_new = take_answers(progress, read_answers(take))
            print_note(f"{n_new} new answers were taken from {take}.")
        if export_to is not None:
            _export(progress, export_to, overwrite)
        if show_progress:
            print_lines(render_progress_text(progress.answers(), style=style))
        if take is not None or export_to is not None or show_progress:
            return
        asked, limit, most_s, title = _find_asked(kind, exercise, part, tuning, capo, items, minutes)
        first_seed = seed if seed is not None else time.time_ns() % (1 << 40)
        if page is not None:
            _write_page(page, asked, progress, first_seed, limit, title, overwrite=overwrite, left_handed=left_handed)
            return
        if title:
            print_lines([style.weigh(style.plain(title), "strong"), ""])
        _hold_session(progress, asked, first_seed, limit, most_s, PractiseStage(sounds, style, left_handed))


def _check_numbers(minutes: float | None, items: int, seed: int | None) -> None:
    from listen.document import MOST_ITEMS_SET, MOST_MINUTES_SET

    if minutes is not None and not 0.0 < minutes <= MOST_MINUTES_SET:
        raise bad_value("minutes", minutes, allowed=f"more than 0, at most {MOST_MINUTES_SET:g}")
    if not 0 <= items <= MOST_ITEMS_SET:
        raise bad_value("items", items, allowed=f"0 to {MOST_ITEMS_SET}")
    if seed is not None and seed < 0:
        raise bad_value("seed", seed, allowed="0 or more")


def _print_ladder() -> None:
    from listen.practice import ABOUT, LADDER

    print_lines(f"{number}  {kind:20} {ABOUT[kind]}" for number, kind in enumerate(LADDER, 1))


def _check_tasks(tasks: Mapping[str, object]) -> None:
    """Refuse a second task beside one that is all that is done: it would be left undone without a word."""
    given = [name for name, value in tasks.items() if value]
    if len(given) > 1 and given[0] in {"--ladder", "--of", "--page"}:
        raise BadValueError(f"{given[0]} does nothing else: leave out {given[1]}, or give it alone.")


def _export(progress: Progress, path: Path, overwrite: bool) -> None:
    from listen.document import write_file
    from listen.export import render_answers_csv

    write_file(path, render_answers_csv(progress.answers()), overwrite=overwrite)
    print_note(f"{path} was written.")


def _find_asked(
    kinds: list[str] | None, exercise: Path | None, part: Path | None, tuning: str | None, capo: int | None, items: int,
    minutes: float | None,
) -> tuple[Asked, int, float, str]:  # fmt: skip
    """Join what was asked for: options come before what a teacher set. Last comes the title of that."""
    from listen.document import Exercise, read_exercise
    from listen.practice import LADDER, check_kind
    from listen.request import Asked, find_practice_neck, load_material

    given = Exercise() if exercise is None else read_exercise(exercise)
    chosen = tuple(check_kind(each) for each in (kinds or given.kinds))
    board = find_practice_neck(
        tuning or (given.tuning if exercise is not None else None), given.capo if capo is None else capo
    )
    own = None if part is None else load_material(part)
    if own is not None and own.remark:
        print_note(own.remark)
    limit = items or (given.items if exercise is not None else 0)
    asked = Asked(tuple(each for each in LADDER if each in chosen) or LADDER, given.level, board, own)
    return asked, limit, 60.0 * (given.minutes if minutes is None else minutes), " ".join(given.title.split())


def _write_page(
    page: Path, asked: Asked, progress: Progress, seed: int, limit: int, title: str, *, overwrite: bool,
    left_handed: bool | None,
) -> None:  # fmt: skip
    from listen.document import write_file
    from listen.export import MOST_ITEMS, render_practice_page
    from listen.request import ask_ahead, is_left_handed

    if asked.own is not None:
        raise bad_value("page", str(page), allowed="a session on drawn chords", remedy="Leave out --part.")
    if limit > MOST_ITEMS:
        raise bad_value("items", limit, allowed=f"at most {MOST_ITEMS} on a page")
    overwrite = check_output(page, overwrite=overwrite, endings=(".html", ".htm"), option="page")
    now = datetime.now(UTC)
    questions = ask_ahead(asked, progress.answers(), limit or 10, now=now, seed=seed)
    text = render_practice_page(questions, title=title or "Practice", left_handed=is_left_handed(left_handed))
    write_file(page, text, overwrite=overwrite)
    told = f"{len(questions)} question{'' if len(questions) == 1 else 's'}"
    print_note(f"{page} was written: {told}. Open it in a browser; it needs no network.")


def _hold_session(progress: Progress, asked: Asked, seed: int, limit: int, most_s: float, stage: PractiseStage) -> None:
    """Ask until time or questions are up, or the player stops."""
    from listen.export import render_session_text

    given: list[Answered] = []
    print_lines([HELP, ""])
    begin_s = time.monotonic()
    try:
        for number, question in enumerate(_questions(progress, asked, seed), 1):
            if (limit and number > limit) or time.monotonic() - begin_s > most_s:
                break
            answered = _ask(progress, asked, question, number, stage)
            if answered is None:
                break
            given.append(answered)
    except (KeyboardInterrupt, EOFError):
        print_lines([""])
    every = progress.answers() if asked.is_ladder else ()
    print_lines(["", *render_session_text(given, every, style=stage.style)])  # type: ignore[arg-type]


def _questions(progress: Progress, asked: Asked, seed: int) -> Iterator[Question]:
    from listen.request import ask_next

    number = 0
    while True:
        yield ask_next(asked, progress.answers(), now=datetime.now(UTC), seed=seed + number)
        number += 1


def _ask(progress: Progress, asked: Asked, question: Question, number: int, stage: PractiseStage) -> Answered | None:
    """Ask one question until it is answered; None when the player stops."""
    from listen.export import render_answer_text, render_question_text
    from listen.request import keep_answer, play_after, play_question

    style = stage.style
    print_lines(render_question_text(question, number, style=style))  # type: ignore[arg-type]
    samples = play_question(question, asked)
    heard_s = stage.sound(samples, "question") + time.monotonic()
    while True:
        said = _read_line()
        if said in {"stop", "quit", "exit"}:
            return None
        if said in {"", "again"}:
            stage.sound(samples, "question")
            continue
        try:
            judged, how = _judge(question, said)
            answered = keep_answer(
                progress, question, judged, took_s=max(0.0, time.monotonic() - heard_s), how=how,
                own_level=asked.is_own_level,
            )  # fmt: skip
        except ListenError as error:  # also where it could not be kept: it may be said again
            print_note(str(error))
            continue
        lines = render_answer_text(question, judged, style=style, left_handed=stage.left_handed)  # type: ignore[arg-type]
        print_lines([*lines, ""])
        stage.explain(play_after(question, judged, asked))
        return answered


def _read_line() -> str:
    sys.stdout.write("> ")
    sys.stdout.flush()
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line.strip()


def _judge(question: Question, said: str) -> tuple[Judgement, str]:
    from listen.practice import find_numbered, judge_typed
    from listen.request import hear_hum, hear_played

    word, _, rest = said.partition(" ")
    if word in {"hum", "guitar"}:
        if not rest.strip():
            raise BadValueError(f"{word} needs a file: {word} take.wav")
        path = Path(rest.strip())
        return (hear_hum(question, path), "hum") if word == "hum" else (hear_played(question, path), "guitar")
    judged = judge_typed(question, said)
    return judged, "key" if find_numbered(question, said) is not None else "name"
