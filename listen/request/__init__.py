"""What is asked of the program, whoever asks: the command line and the page call the same functions.

A request comes as a person typed it; it is checked here, and the floors below find the answer. Nothing here prints.
"""

from listen.request.arrange import arrange_shapes, find_pairs
from listen.request.arrange_progression import parse_path, refuse_beside_progression, split_progression
from listen.request.check_asked import CHART_TEMPLATE, CheckAsked, find_tolerances, parse_correction, read_set
from listen.request.check_file import CHECK_ENDINGS, HANDOUT_ENDINGS, page_name, render_check_file
from listen.request.check_run import find_asked, run_check
from listen.request.part_asked import PartAsked, ask_settings, find_names
from listen.request.part_file import load_part_sound, render_part_file
from listen.request.part_written import find_recording, is_written, read_written
from listen.request.practice import (
    Asked,
    OwnMaterial,
    ask_next,
    hear_hum,
    hear_played,
    keep_answer,
    load_material,
    play_after,
    play_question,
    take_answers,
)
from listen.request.setup import find_guitar, is_left_handed, parse_fretboard, parse_player
from listen.request.shape_filters import FilterWords, parse_filters
from listen.request.shapes_request import ShapesRequest
from listen.request.sound_card import has_sound_card, play_samples
from listen.request.stretch import check_within, parse_span, parse_time
from listen.request.strum_sound import load_strum_sound

__all__ = [
    "CHART_TEMPLATE",
    "CHECK_ENDINGS",
    "HANDOUT_ENDINGS",
    "Asked",
    "CheckAsked",
    "FilterWords",
    "OwnMaterial",
    "PartAsked",
    "ShapesRequest",
    "arrange_shapes",
    "ask_next",
    "ask_settings",
    "check_within",
    "find_asked",
    "find_guitar",
    "find_names",
    "find_pairs",
    "find_recording",
    "find_tolerances",
    "has_sound_card",
    "hear_hum",
    "hear_played",
    "is_left_handed",
    "is_written",
    "keep_answer",
    "load_material",
    "load_part_sound",
    "load_strum_sound",
    "page_name",
    "parse_correction",
    "parse_filters",
    "parse_fretboard",
    "parse_path",
    "parse_player",
    "parse_span",
    "parse_time",
    "play_after",
    "play_question",
    "play_samples",
    "read_set",
    "read_written",
    "refuse_beside_progression",
    "render_check_file",
    "render_part_file",
    "run_check",
    "split_progression",
    "take_answers",
]
