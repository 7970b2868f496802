"""Export: readings out as text, pictures, pages and files; no decisions."""

from listen.export.bar_view import BarLook, render_bar_fragment
from listen.export.chart import ChartView, render_chart
from listen.export.chart_remarks import PANNED_APART
from listen.export.check_page import render_check_page
from listen.export.check_table import render_check_csv
from listen.export.check_text import render_check_text, render_class_text
from listen.export.class_page import failure_rows, render_class_page, render_class_script
from listen.export.describe import describe_inversion
from listen.export.diagram import (
    Diagram,
    Labels,
    PlaceMark,
    chord_to_diagram,
    find_window,
    overlay_shapes,
    shape_to_diagram,
)
from listen.export.guitar_text import render_guitar_text
from listen.export.handout import render_handout
from listen.export.head import tell_holding
from listen.export.held_names import HeldNames, NameStyle
from listen.export.homework_view import render_class_fragment, render_student_fragment
from listen.export.labels import list_tones, printed
from listen.export.midi import render_midi
from listen.export.musicxml import render_musicxml
from listen.export.name_text import render_name_text, render_notes_name_text
from listen.export.neck_page import render_neck_page
from listen.export.page import render_sheet_style
from listen.export.part_sheet import (
    MOST_SOUND_BYTES,
    SHEET_RATE_HZ,
    SheetSound,
    render_part_boxes,
    render_part_fragment,
    render_part_sheet,
)
from listen.export.playback import PLAY_RATE_HZ, render_part, stream_beside, stream_part
from listen.export.practice_page import MOST_ITEMS, render_practice_page, render_sounding_cards
from listen.export.practice_text import (
    render_answer_text,
    render_progress_text,
    render_question_text,
    render_session_text,
)
from listen.export.progress_drawing import render_progress_fragment
from listen.export.set_chart import part_to_assignment
from listen.export.shapes_page import render_shapes_fragment, render_shapes_page, render_shapes_svg
from listen.export.shapes_text import render_shapes_text
from listen.export.shapes_view import ShapeCard, ShapeSection, ShapesView, shape_to_card
from listen.export.strum_report import ListenedStretch, render_evidence_fragment, render_strum_report
from listen.export.strum_text import StrumView, render_take_text
from listen.export.style import TextStyle
from listen.export.svg import render_diagram_svg
from listen.export.tablature import render_tablature
from listen.export.tables import render_answers_csv, render_csv, render_labels
from listen.export.terminal import render_box, render_neck
from listen.export.told_words import find_given_title, find_words_bar
from listen.export.track import compress, keep_track, lay_tracks, samples_to_wav, wav_pieces
from listen.export.words import LEAST_NAME, chord_words, effort_text

__all__ = [
    "LEAST_NAME",
    "MOST_ITEMS",
    "MOST_SOUND_BYTES",
    "PANNED_APART",
    "PLAY_RATE_HZ",
    "SHEET_RATE_HZ",
    "BarLook",
    "ChartView",
    "Diagram",
    "HeldNames",
    "Labels",
    "ListenedStretch",
    "NameStyle",
    "PlaceMark",
    "ShapeCard",
    "ShapeSection",
    "ShapesView",
    "SheetSound",
    "StrumView",
    "TextStyle",
    "chord_to_diagram",
    "chord_words",
    "compress",
    "describe_inversion",
    "effort_text",
    "failure_rows",
    "find_given_title",
    "find_window",
    "find_words_bar",
    "keep_track",
    "lay_tracks",
    "list_tones",
    "overlay_shapes",
    "part_to_assignment",
    "printed",
    "render_answer_text",
    "render_answers_csv",
    "render_bar_fragment",
    "render_box",
    "render_chart",
    "render_check_csv",
    "render_check_page",
    "render_check_text",
    "render_class_fragment",
    "render_class_page",
    "render_class_script",
    "render_class_text",
    "render_csv",
    "render_diagram_svg",
    "render_evidence_fragment",
    "render_guitar_text",
    "render_handout",
    "render_labels",
    "render_midi",
    "render_musicxml",
    "render_name_text",
    "render_neck",
    "render_neck_page",
    "render_notes_name_text",
    "render_part",
    "render_part_boxes",
    "render_part_fragment",
    "render_part_sheet",
    "render_practice_page",
    "render_progress_fragment",
    "render_progress_text",
    "render_question_text",
    "render_session_text",
    "render_shapes_fragment",
    "render_shapes_page",
    "render_shapes_svg",
    "render_shapes_text",
    "render_sheet_style",
    "render_sounding_cards",
    "render_strum_report",
    "render_student_fragment",
    "render_tablature",
    "render_take_text",
    "samples_to_wav",
    "shape_to_card",
    "shape_to_diagram",
    "stream_beside",
    "stream_part",
    "tell_holding",
    "wav_pieces",
]
