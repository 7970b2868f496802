"""Training: simulated strums in, the ear's weights out. Needs the optional extra `train`; imported by nothing else.

    pip install 'listen[train]'
    python -m listen.training --steps 200 --batch 32 --out /tmp/ear.npz        a smoke run on the CPU

No recorded sound is used: every strum is made by the equations of :mod:`listen.synthesis`, run by torch in batches,
and passed through a simulated recording chain. The command that made the weights in the package, with its log, is in
`docs/ear.md`.

This room makes what `listen.audio` runs, so it alone imports that room's front end and network by their files.
"""
