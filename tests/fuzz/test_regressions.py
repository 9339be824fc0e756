"""What fuzzing once found is found no more; runs without atheris."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzz.seeds import seeds
from tests.fuzz.targets import TARGETS

REGRESSIONS = Path(__file__).parent / "regressions"
KEPT = sorted(path for path in REGRESSIONS.glob("*/*") if path.is_file())


@pytest.mark.parametrize("path", KEPT, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_a_kept_input_breaks_no_promise(path: Path) -> None:
    TARGETS[path.parent.name](path.read_bytes())


@pytest.mark.parametrize("target", TARGETS)
def test_the_seeds_break_no_promise(target: str) -> None:
    count = 0
    for data in seeds(target):
        TARGETS[target](data)
        count += 1
    assert count > 0
