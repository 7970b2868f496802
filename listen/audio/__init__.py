"""Audio: samples in, evidence out."""

from listen.audio.decode import SourceInfo, probe_recording
from listen.audio.ear import Ear, load_ear
from listen.audio.onset import StrumOnset, find_strums
from listen.audio.recording import Recording, load_recording, stream_blocks
from listen.audio.tuning_offset import estimate_tuning_offset

__all__ = [
    "Ear",
    "Recording",
    "SourceInfo",
    "StrumOnset",
    "estimate_tuning_offset",
    "find_strums",
    "load_ear",
    "load_recording",
    "probe_recording",
    "stream_blocks",
]
