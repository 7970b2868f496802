"""Audio: samples in, evidence out."""

from listen.audio.decode import SourceInfo, probe_recording
from listen.audio.ear import Ear, load_ear
from listen.audio.intonation import measure_cents
from listen.audio.lone_note import measure_lone_stiffness
from listen.audio.onset import StrumOnset, find_strums
from listen.audio.recording import Recording, load_recording, stream_blocks
from listen.audio.stroke_lean import measure_lean
from listen.audio.stroke_sound import PROFILE_MIDI, measure_profile, measure_rises
from listen.audio.strokes import STROKE_RATE_HZ, StrokeOnset, find_strokes, measure_bands
from listen.audio.tuning_offset import estimate_tuning_offset

__all__ = [
    "PROFILE_MIDI",
    "STROKE_RATE_HZ",
    "Ear",
    "Recording",
    "SourceInfo",
    "StrokeOnset",
    "StrumOnset",
    "estimate_tuning_offset",
    "find_strokes",
    "find_strums",
    "load_ear",
    "load_recording",
    "measure_bands",
    "measure_cents",
    "measure_lean",
    "measure_lone_stiffness",
    "measure_profile",
    "measure_rises",
    "probe_recording",
    "stream_blocks",
]
