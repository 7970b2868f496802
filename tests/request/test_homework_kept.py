"""What is kept of some homework: the order of its students."""

from __future__ import annotations

from functools import reduce

from listen.request.homework_kept import Homework, with_recording


def test_students_stand_in_the_order_of_their_names_whatever_their_marks() -> None:
    names = ("Zoë", "ben", "Élise", "Anna", "Frida")
    kept = reduce(lambda own, name: with_recording(own, name, f"{name}.wav"), names, Homework("0" * 12, "", 0.0))
    assert kept.students == ("Anna", "ben", "Élise", "Frida", "Zoë")
    assert kept.recordings == tuple(f"{name}.wav" for name in kept.students)
