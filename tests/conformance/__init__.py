"""Comparison with the published standards."""
