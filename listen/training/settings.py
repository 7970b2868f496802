"""What a training run is made of: the ear's, and that of the network that finds strokes."""

from __future__ import annotations

from dataclasses import dataclass, field

from listen.errors import bad_value

MOST_VALIDATION = 96  # scenes: half an hour


@dataclass(frozen=True, slots=True)
class SceneSettings:
    """Shares of what the simulator draws.

    Parameters
    ----------
    book, refingered, power, few : float
        Shares of chord-book shapes, of the same pitches held elsewhere, of power chords, and of one or two notes; the
        rest are random shapes that a hand could hold.
    context : float
        Share of strums that follow another one.
    cut : float
        Share that is followed by another one or by the end of the recording within the second that is listened to.
    overdriven : float
        Share through a distorting amplifier.
    voice, backing, drums : float
        Shares with somebody singing or speaking, with other instruments, with drums.
    not_plucked : float
        Share in which nobody plucks a string.
    """

    book: float = 0.25
    refingered: float = 0.22
    power: float = 0.08
    few: float = 0.12
    context: float = 0.5
    cut: float = 0.55
    overdriven: float = 0.33
    voice: float = 0.17
    backing: float = 0.08
    drums: float = 0.08
    not_plucked: float = 0.12


@dataclass(frozen=True, slots=True)
class TrainingSettings:
    """One run.

    Parameters
    ----------
    steps, batch : int
        Length in steps, not in seconds, so that it can be repeated; strums a step and a process.
    drawn : int
        Strums simulated at once: a multiple of the batch, since many small draws leave a device idle.
    learning_rate : float
        Peak; linear warm-up, then half a cosine.
    seed : int
    width, trunk_blocks, place_blocks : int
        Size of the network.
    cut_windows : bool
        Whether evidence is cut at the next onset (an ablation turns it off).
    place_on_book : bool
        Whether the place heads also learn from chord-book shapes (an ablation turns it on).
    apart : bool
        Whether the place heads leave the trunk alone (an ablation turns it on).
    scene : SceneSettings
    """

    steps: int = 20_000
    batch: int = 256
    drawn: int = 1024
    learning_rate: float = 2e-3
    seed: int = 1
    width: int = 112
    trunk_blocks: int = 5
    place_blocks: int = 4
    cut_windows: bool = True
    place_on_book: bool = False
    apart: bool = False
    scene: SceneSettings = field(default_factory=SceneSettings)


@dataclass(frozen=True, slots=True)
class StrokeTrainingSettings:
    """One run of the network that finds strokes.

    Parameters
    ----------
    scenes : int
        Made before the first step, and seen many times; a twentieth more, to :data:`MOST_VALIDATION`, are kept to
        score.
    steps : int
        Length of the run, so that it can be repeated.
    seconds : float or None
        End sooner, where the steps are not done by then; the learning rate falls to its end all the same.
    batch : int
        Crops a step.
    learning_rate : float
        Peak; linear warm-up, then half a cosine.
    width : int
        Channels of the network.
    seed : int
    processes : int
        Make scenes side by side; what is made does not hang on it.
    """

    scenes: int = 6000
    steps: int = 28_000
    seconds: float | None = None
    batch: int = 32
    learning_rate: float = 2e-3
    width: int = 64
    seed: int = 1
    processes: int = 1

    def __post_init__(self) -> None:
        for name in ("scenes", "steps", "batch", "width", "processes"):
            if getattr(self, name) < 1:
                raise bad_value(name, getattr(self, name), allowed="a whole number from 1")
        if self.seconds is not None and not self.seconds > 0.0:
            raise bad_value("seconds", self.seconds, allowed="a time above 0")

    @property
    def n_validation(self) -> int:
        """Scenes that no step sees."""
        return min(MOST_VALIDATION, max(2, self.scenes // 20))
