"""Audio: samples in, evidence out."""
