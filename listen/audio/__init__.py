"""Audio: samples in, evidence out."""

from listen.audio.decode import SourceInfo, probe_recording
from listen.audio.ear import Ear, load_ear
from listen.audio.hum import HummedNote, estimate_hum
from listen.audio.intonation import measure_cents
from listen.audio.lone_note import measure_lone_stiffness
from listen.audio.onset import StrumOnset, find_strums
from listen.audio.panned import are_panned_apart
from listen.audio.part import hear_part, stream_for_strokes
from listen.audio.recording import Recording, load_recording, stream_blocks
from listen.audio.stroke_sound import measure_rises
from listen.audio.strokes import STROKE_RATE_HZ, find_strokes
from listen.audio.tuning_offset import estimate_tuning_offset

__all__ = [
    "STROKE_RATE_HZ",
    "Ear",
    "HummedNote",
    "Recording",
    "SourceInfo",
    "StrumOnset",
    "are_panned_apart",
    "estimate_hum",
    "estimate_tuning_offset",
    "find_strokes",
    "find_strums",
    "hear_part",
    "load_ear",
    "load_recording",
    "measure_cents",
    "measure_lone_stiffness",
    "measure_rises",
    "probe_recording",
    "stream_blocks",
    "stream_for_strokes",
]
