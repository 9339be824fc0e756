"""The command line within the test process, as the tests of the other commands run it."""

from __future__ import annotations

from tests.cli.conftest import clean, faulty, here, run

__all__ = ["clean", "faulty", "here", "run"]
