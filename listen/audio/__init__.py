"""Audio: samples in, evidence out."""

from listen.audio.cut_frontend import (
    AFTER_ONSET,
    FLOOR_DB,
    N_AFTER,
    N_CHANNELS,
    N_LEAD,
    N_SEGMENT,
    N_WINDOWS,
    SHORTEST_SAMPLES,
    SILENCE_POWER,
    WINDOWS,
    make_band_matrix,
    make_centre_matrix,
    make_smoother,
)
from listen.audio.decode import BREAKS_OFF, FileEnd, SourceInfo, probe_recording
from listen.audio.ear import Ear, load_ear
from listen.audio.frontend import EAR_RATE_HZ
from listen.audio.hum import HummedNote, estimate_hum
from listen.audio.intonation import measure_cents
from listen.audio.layers import HARMONICS, NORM_EPSILON
from listen.audio.lone_note import measure_lone_stiffness
from listen.audio.onset import StrumOnset, find_strums
from listen.audio.panned import are_panned_apart
from listen.audio.part import hear_part, stream_for_strokes
from listen.audio.recording import Recording, load_recording
from listen.audio.sniff import RECORDING_ENDINGS
from listen.audio.stream import stream_blocks
from listen.audio.stroke_network import DILATIONS
from listen.audio.stroke_sound import measure_rises
from listen.audio.stroke_spectra import STROKE_RATE_HZ, measure_stroke_bands
from listen.audio.strokes import find_strokes
from listen.audio.trained_network import (
    GRID_MIDI,
    KERNEL,
    LOWEST_MIDI,
    N_GRID,
    N_KINDS,
    N_PITCHES,
    POOL,
    STIFFNESS_CENTRE,
    STIFFNESS_SCALE,
    STRIDE,
    make_harmonic_index,
)
from listen.audio.tuning_offset import SURE_OFFSET_CENTS, estimate_tuning_offset

__all__ = [
    "AFTER_ONSET",
    "BREAKS_OFF",
    "DILATIONS",
    "EAR_RATE_HZ",
    "FLOOR_DB",
    "GRID_MIDI",
    "HARMONICS",
    "KERNEL",
    "LOWEST_MIDI",
    "NORM_EPSILON",
    "N_AFTER",
    "N_CHANNELS",
    "N_GRID",
    "N_KINDS",
    "N_LEAD",
    "N_PITCHES",
    "N_SEGMENT",
    "N_WINDOWS",
    "POOL",
    "RECORDING_ENDINGS",
    "SHORTEST_SAMPLES",
    "SILENCE_POWER",
    "STIFFNESS_CENTRE",
    "STIFFNESS_SCALE",
    "STRIDE",
    "STROKE_RATE_HZ",
    "SURE_OFFSET_CENTS",
    "WINDOWS",
    "Ear",
    "FileEnd",
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
    "make_band_matrix",
    "make_centre_matrix",
    "make_harmonic_index",
    "make_smoother",
    "measure_cents",
    "measure_lone_stiffness",
    "measure_rises",
    "measure_stroke_bands",
    "probe_recording",
    "stream_blocks",
    "stream_for_strokes",
]
