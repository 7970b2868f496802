"""Effort: what each part of a fingering costs the hand. The measure itself is :mod:`listen.instrument.weighing`.

Conventions: 0 is nothing to hold; about 10 is the hardest in use. Parts add up. The order was set so that it follows
what players and teachers agree on (Vélez Vásquez et al. 2023: number of fingers, a finger on more than one string,
spread, inner strings left out); the exchange rates between parts are choices of this project, and how well the
resulting order agrees with the published rubric is printed by ``python -m tests.benchmarks.shapes``.

References
----------
M. A. Vélez Vásquez, M. Baelemans, J. Driedger, W. Zuidema, J. A. Burgoyne, "Quantifying the ease of playing song
chords on the guitar", ISMIR 2023.
"""

from __future__ import annotations

PART_NAMES = ("fingers", "barres", "stretch", "crowding", "crossing", "position", "muting", "thumb", "beyond")

FINGER = 0.5  # each finger that presses; the rubric's own 0.5
WEAKNESS = {1: 0.0, 2: 0.0, 3: 0.05, 4: 0.2}  # the little finger is the weakest
BARRE = {1: 0.6, 2: 1.3, 3: 1.4, 4: 1.5}  # a finger held flat over two strings
BARRE_STRING = {1: 0.12, 2: 0.5, 3: 0.5, 4: 0.5}  # each further string under it
BARRE_FIRST_FRET = 0.06  # each string under a barre at the nut, where strings are stiffest to press down
BARRE_LIFT = 0.8  # the last joint bent back to clear a string beside the barre: open, lower, or another finger's
BARRE_GAP = 0.15  # a barre of three strings that stops only the outer two: printed fingerings use a finger for each
SPREAD = 1.6  # at full reach, for the outermost fingers
STRETCH = 0.7  # at a pair's greatest stretch, growing with the square from where it stops being easy
SKIPPED_FRET = 0.4  # each fret between neighbouring fingers beyond one finger a fret
CROWD = 0.15  # a pair of fingers squeezed onto one spot
NARROW_MM = 22.0  # fret space below which fingertips on neighbouring strings no longer stand side by side (fret 9)
NARROW = 0.6  # points for neighbouring fingers squeezed there; judged
FOUR_IN_A_FRET = 1.0  # four fingers behind one wire: 4 of 300 published fingerings of four strings at one fret (judged)
CROSS = 0.05  # each string by which a finger at a higher fret lies on the bass side of one at a lower fret
REVERSED = 0.8  # two fingers over one another on the same fret
IDLE_INDEX = 0.4  # each finger passed over from the index up, where no open string lets the hand wait
OUT_OF_PLACE = 0.05  # beside open strings near the nut: each fret between a finger and the fret of its own number
NEAR_NUT = 4  # frets that "near the nut" means
HIGH_FRET, HIGH = 12, 0.08  # where a neck usually meets the body's shoulder, and each fret above
MUTE_OUTER = 0.2  # an outer string left out
MUTE_DAMPED = 0.8  # one inner string that a neighbouring fingertip can damp
MUTE_INNER = 2.0  # one that nothing damps
MUTE_IDLE = 1.0  # one where nothing is stopped, so that the whole hand is free to damp
MUTE_MORE = 1.0  # every inner string after the first
THUMB = 1.0  # over the neck on the lowest string
THUMB_REACH = (-1, 2)  # frets against the lowest finger within which it can press
BEYOND = 3.0  # for what the hand cannot hold
EXTRA_FINGER = 2.5  # each finger more than four
