"""Documents: versioned, atomic reading and writing."""

from listen.document.chart_parser import (
    are_chords,
    looks_like_chart,
    parse_chart,
    parse_chords,
    read_chart,
    read_chart_text,
)
from listen.document.chart_text import BARS_A_LINE, render_chart_text
from listen.document.check_document import (
    CheckFailure,
    ClassCheck,
    check_to_document,
    class_to_document,
    document_to_check,
    document_to_class,
    read_class,
)
from listen.document.cursor import Cursor
from listen.document.event_numbers import follow_events, list_numbers, renumber
from listen.document.evidence import pack_part_evidence, unpack_part_evidence
from listen.document.exercise import MOST_ITEMS_SET, MOST_MINUTES_SET, Exercise, read_exercise
from listen.document.finding_words import far_words, finding_words, join_words, part_words
from listen.document.format import (
    Document,
    NewerFormatError,
    format_of,
    read_document,
    read_json,
    render_document,
    update_document,
    write_document,
)
from listen.document.guitar_profile import (
    check_guitar_name,
    document_to_profile,
    find_guitar_names,
    find_guitars_folder,
    load_guitar,
    profile_to_document,
    remove_guitar,
    save_guitar,
)
from listen.document.hint_words import hint_words
from listen.document.kept import content_key, find_kept_folder, load_kept, pack_kept, save_kept, unpack_kept
from listen.document.name_document import names_to_document
from listen.document.part_document import STRUM_KINDS, part_to_document, render_part_document, render_part_pieces
from listen.document.part_file import carry_over, load_part, parse_part, write_part
from listen.document.practice_answers import ANSWERS_FORMAT, read_answers, read_answers_table
from listen.document.praise_words import praise_words
from listen.document.progress import Answered, Progress, find_progress_file, open_progress
from listen.document.reason_words import reason_text, reasons_text
from listen.document.schema import load_schema
from listen.document.settings import PlayerSettings, change_settings, find_settings_file, forget_settings, load_settings
from listen.document.settled_codec import document_to_settled, settled_to_document
from listen.document.shapes_document import shapes_to_document
from listen.document.strum_document import failure_to_document, take_to_document
from listen.document.teacher import MOST_NAME_BYTES, find_words_file, has_words, load_words, save_words
from listen.document.text_file import read_text_file
from listen.document.tolerances import read_tolerances, render_tolerances
from listen.document.write import (
    check_writable,
    copy_file,
    hold_lock,
    make_folder,
    make_whole_folder,
    open_whole,
    remove_stale,
    write_file,
)

__all__ = [
    "ANSWERS_FORMAT",
    "BARS_A_LINE",
    "MOST_ITEMS_SET",
    "MOST_MINUTES_SET",
    "MOST_NAME_BYTES",
    "STRUM_KINDS",
    "Answered",
    "CheckFailure",
    "ClassCheck",
    "Cursor",
    "Document",
    "Exercise",
    "NewerFormatError",
    "PlayerSettings",
    "Progress",
    "are_chords",
    "carry_over",
    "change_settings",
    "check_guitar_name",
    "check_to_document",
    "check_writable",
    "class_to_document",
    "content_key",
    "copy_file",
    "document_to_check",
    "document_to_class",
    "document_to_profile",
    "document_to_settled",
    "failure_to_document",
    "far_words",
    "find_guitar_names",
    "find_guitars_folder",
    "find_kept_folder",
    "find_progress_file",
    "find_settings_file",
    "find_words_file",
    "finding_words",
    "follow_events",
    "forget_settings",
    "format_of",
    "has_words",
    "hint_words",
    "hold_lock",
    "join_words",
    "list_numbers",
    "load_guitar",
    "load_kept",
    "load_part",
    "load_schema",
    "load_settings",
    "load_words",
    "looks_like_chart",
    "make_folder",
    "make_whole_folder",
    "names_to_document",
    "open_progress",
    "open_whole",
    "pack_kept",
    "pack_part_evidence",
    "parse_chart",
    "parse_chords",
    "parse_part",
    "part_to_document",
    "part_words",
    "praise_words",
    "profile_to_document",
    "read_answers",
    "read_answers_table",
    "read_chart",
    "read_chart_text",
    "read_class",
    "read_document",
    "read_exercise",
    "read_json",
    "read_text_file",
    "read_tolerances",
    "reason_text",
    "reasons_text",
    "remove_guitar",
    "remove_stale",
    "render_chart_text",
    "render_document",
    "render_part_document",
    "render_part_pieces",
    "render_tolerances",
    "renumber",
    "save_guitar",
    "save_kept",
    "save_words",
    "settled_to_document",
    "shapes_to_document",
    "take_to_document",
    "unpack_kept",
    "unpack_part_evidence",
    "update_document",
    "write_document",
    "write_file",
    "write_part",
]
