"""Water and acid-base chemistry: pure functions on floats, one file per subject."""
