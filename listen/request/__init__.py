"""What is asked of the program, whoever asks: the command line and the page call the same functions.

A request comes as a person typed it; it is checked here, and the floors below find the answer. Nothing here prints.
"""

from listen.request.arrange import arrange_neck, arrange_shapes
from listen.request.arrange_groups import find_pairs
from listen.request.arrange_progression import parse_path, refuse_beside_progression, split_progression
from listen.request.bring_in import CURVE, CURVE_STEP_S, SOUND, bring_in
from listen.request.changes import AskedChange
from listen.request.check_asked import (
    CHART_ENDINGS,
    CHART_TEMPLATE,
    NEW_ENDINGS,
    CheckAsked,
    find_demonstration,
    find_tolerances,
    parse_correction,
    read_set,
)
from listen.request.check_file import CHECK_ENDINGS, HANDOUT_ENDINGS, page_name, render_check_file
from listen.request.check_run import find_asked, run_check
from listen.request.desk import Desk, Opened
from listen.request.evidence_look import render_evidence
from listen.request.guess import judge_guess
from listen.request.heard_anew import place_settled
from listen.request.hearing import HeardRecording, conclude_part, hear_recording, read_kept_part
from listen.request.history import History, Step
from listen.request.homework import MOST_RECORDINGS, HomeworkShelf
from listen.request.homework_kept import Homework
from listen.request.homework_named import bring_homework
from listen.request.homework_run import check_homework, find_sound, make_sound
from listen.request.homework_whose import find_owner, find_rival, shown_name
from listen.request.homework_words import LONGEST_NOTE, find_check, say_of_bar, words_version, write_note
from listen.request.kept_folders import DamagedFolder, NotInLibraryError
from listen.request.library import ChangedMeanwhileError, DamagedTakeError, Library, find_library_folder
from listen.request.on_strings import render_chord_sound, render_frets_sound, render_strings, samples_to_flac
from listen.request.one_shape import parse_one_shape
from listen.request.own_material import OwnMaterial, load_material
from listen.request.part_asked import PartAsked, ask_settings, settle_step
from listen.request.part_file import load_part_sound, render_part_file
from listen.request.part_words import find_names
from listen.request.part_written import find_recording, is_written, read_written
from listen.request.practice import (
    Asked,
    ask_ahead,
    ask_next,
    find_practice_neck,
    hear_hum,
    hear_played,
    keep_answer,
    take_answers,
)
from listen.request.practice_sounds import join_pieces, play_after, play_question
from listen.request.practice_table import PracticeTable, UnknownQuestionError
from listen.request.setup import find_guitar, is_left_handed, parse_fretboard, parse_player
from listen.request.shape_filters import FilterWords, parse_filters
from listen.request.shapes_request import ShapesRequest, ShapesShown
from listen.request.sound_card import has_sound_card, play_samples
from listen.request.stretch import check_within, parse_span, parse_time
from listen.request.strum_sound import load_strum_sound
from listen.request.take_away import TAKEN_AWAY, render_taken_away
from listen.request.take_kept import Take
from listen.request.take_named import bring_to_library

__all__ = [
    "CHART_ENDINGS",
    "CHART_TEMPLATE",
    "CHECK_ENDINGS",
    "CURVE",
    "CURVE_STEP_S",
    "HANDOUT_ENDINGS",
    "LONGEST_NOTE",
    "MOST_RECORDINGS",
    "NEW_ENDINGS",
    "SOUND",
    "TAKEN_AWAY",
    "Asked",
    "AskedChange",
    "ChangedMeanwhileError",
    "CheckAsked",
    "DamagedFolder",
    "DamagedTakeError",
    "Desk",
    "FilterWords",
    "HeardRecording",
    "History",
    "Homework",
    "HomeworkShelf",
    "Library",
    "NotInLibraryError",
    "Opened",
    "OwnMaterial",
    "PartAsked",
    "PracticeTable",
    "ShapesRequest",
    "ShapesShown",
    "Step",
    "Take",
    "UnknownQuestionError",
    "arrange_neck",
    "arrange_shapes",
    "ask_ahead",
    "ask_next",
    "ask_settings",
    "bring_homework",
    "bring_in",
    "bring_to_library",
    "check_homework",
    "check_within",
    "conclude_part",
    "find_asked",
    "find_check",
    "find_demonstration",
    "find_guitar",
    "find_library_folder",
    "find_names",
    "find_owner",
    "find_pairs",
    "find_practice_neck",
    "find_recording",
    "find_rival",
    "find_sound",
    "find_tolerances",
    "has_sound_card",
    "hear_hum",
    "hear_played",
    "hear_recording",
    "is_left_handed",
    "is_written",
    "join_pieces",
    "judge_guess",
    "keep_answer",
    "load_material",
    "load_part_sound",
    "load_strum_sound",
    "make_sound",
    "page_name",
    "parse_correction",
    "parse_filters",
    "parse_fretboard",
    "parse_one_shape",
    "parse_path",
    "parse_player",
    "parse_span",
    "parse_time",
    "place_settled",
    "play_after",
    "play_question",
    "play_samples",
    "read_kept_part",
    "read_set",
    "read_written",
    "refuse_beside_progression",
    "render_check_file",
    "render_chord_sound",
    "render_evidence",
    "render_frets_sound",
    "render_part_file",
    "render_strings",
    "render_taken_away",
    "run_check",
    "samples_to_flac",
    "say_of_bar",
    "settle_step",
    "shown_name",
    "split_progression",
    "take_answers",
    "words_version",
    "write_note",
]
