"""The command in an empty folder, in this process (``run``) or in a fenced one of its own."""

from __future__ import annotations

from tests.cli.conftest import clean, faulty, here, run

__all__ = ["clean", "faulty", "here", "run"]
