"""Practice: questions to the ear that adapt to the player. Pure: no file, no sound card."""

from listen.practice.advice import advise
from listen.practice.answer import (
    Judgement,
    check_hummed,
    check_played,
    find_numbered,
    judge_hum,
    judge_played,
    judge_typed,
)
from listen.practice.draw import check_neck, draw_question
from listen.practice.ladder import (
    ABOUT,
    HOLDS_ANSWERS,
    HOLDS_LEVEL,
    HUMMED_KINDS,
    LADDER,
    NAMED_KINDS,
    PLAYED_KINDS,
    check_kind,
    find_open_kinds,
    find_shut_step,
)
from listen.practice.material import OWN_KINDS, ask_own, count_answers, find_material, find_own_kinds, turn_chords
from listen.practice.missed import draw_missed
from listen.practice.question import BASS_NAMES, HARDEST, INVERSION_NAMES, Option, Question, Sounding
from listen.practice.render import RATE_HZ, even_out, render_basses, render_sounds, render_spelled
from listen.practice.root_position import find_root_positions
from listen.practice.schedule import find_staircases, find_turns, rate_day, schedule_kind
from listen.practice.staircase import TARGET, Staircase

__all__ = [
    "ABOUT",
    "BASS_NAMES",
    "HARDEST",
    "HOLDS_ANSWERS",
    "HOLDS_LEVEL",
    "HUMMED_KINDS",
    "INVERSION_NAMES",
    "LADDER",
    "NAMED_KINDS",
    "OWN_KINDS",
    "PLAYED_KINDS",
    "RATE_HZ",
    "TARGET",
    "Judgement",
    "Option",
    "Question",
    "Sounding",
    "Staircase",
    "advise",
    "ask_own",
    "check_hummed",
    "check_kind",
    "check_neck",
    "check_played",
    "count_answers",
    "draw_missed",
    "draw_question",
    "even_out",
    "find_material",
    "find_numbered",
    "find_open_kinds",
    "find_own_kinds",
    "find_root_positions",
    "find_shut_step",
    "find_staircases",
    "find_turns",
    "judge_hum",
    "judge_played",
    "judge_typed",
    "rate_day",
    "render_basses",
    "render_sounds",
    "render_spelled",
    "schedule_kind",
    "turn_chords",
]
