"""Training: simulated strums in, the ear's weights out; played parts in, weights that find strokes out.

Needs the optional extra `train`; imported by nothing else.

    .venv/bin/pip install '.[train]'
    python -m listen.training --steps 200 --batch 32 --out /tmp/ear.npz        a smoke run on the CPU
    python -m listen.training.strokes --steps 200 --scenes 20 --out /tmp/strokes.npz         the same for strokes

The ear learns from no recorded sound: every strum is made by the equations of :mod:`listen.synthesis`, run by torch in
batches, and passed through a simulated recording chain. The command that made the weights in the package, with its log,
is in `docs/ear.md`.

What finds strokes learns from whole parts, which a drawn player plays on single notes: recorded ones whose licences
allow it, those of soundfonts, and those of our own string (files whose names begin with ``note`` or ``stroke``).
"""
