"""Results written back into the notes of the recipes they are about."""

from __future__ import annotations
