"""Documents: versioned, atomic reading and writing."""
