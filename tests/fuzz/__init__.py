"""Hostile input, made from seeds: what a stranger's files, words and documents, and a power cut, may do to the program.

``python -m tests.fuzz`` runs it; DEVELOPERS.md says how long it takes. An input is made from its kind and its number
alone, so that a finding is run again with ``--only KIND:NUMBER``; the numbers of what was once found are kept in
``kept_seeds.txt`` and come first in every run.

What holds for each input: an answer or one of the user's errors (`ListenError`), within :data:`MOST_CPU_S` of CPU, in
a process that never takes more than :data:`MOST_MEMORY_MB`.
"""

MOST_CPU_S = 10.0
MOST_MEMORY_MB = 500
