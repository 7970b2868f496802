"""From a recorded guitar strum to its notes, its name and the shape on the neck."""

__version__ = "0.1.0"
