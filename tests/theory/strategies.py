"""What hypothesis draws: notes, qualities, chords, pitches."""

from __future__ import annotations

from hypothesis import strategies as st

from listen.theory import QUALITIES, Chord, ChordQuality, Note, Pitch

NOTES = st.builds(Note, st.sampled_from("CDEFGAB"), st.sampled_from((-1, 0, 1)))
QUALITY: st.SearchStrategy[ChordQuality] = st.sampled_from(QUALITIES)
PITCHES = st.builds(Pitch, st.integers(28, 88))


@st.composite
def chords(draw: st.DrawFn) -> Chord:
    """Draw a chord of the table on any root, over any bass that is not its root."""
    root = draw(NOTES)
    bass = draw(st.none() | NOTES.filter(lambda note: note.pitch_class != root.pitch_class))
    return Chord(root, draw(QUALITY), bass)
