"""Voicing: evidence or a chord in, ranked shapes out."""

from listen.voicing.fit import Fit, FitSettings, fit_shapes

__all__ = ["Fit", "FitSettings", "fit_shapes"]
