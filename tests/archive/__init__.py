"""The audit of an archive."""
