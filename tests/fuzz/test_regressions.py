"""What fuzzing once found is found no more; runs without atheris."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from recipe_tools.baseline import read as read_baseline
from recipe_tools.checking.checklist import catalogue
from recipe_tools.config.load import options_from_table
from recipe_tools.toml_in import parse_toml
from recipe_tools.water_report import report_from_table
from recipe_tools.water_report.pasted import read_pasted
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


READERS: Mapping[str, Callable[[bytes], object]] = {
    "config": lambda data: options_from_table(parse_toml(data), known_rules=catalogue()),
    "water": lambda data: report_from_table(parse_toml(data)),
    "table": lambda data: read_pasted(data).table,
    "baseline": lambda data: read_baseline(data).entries or None,
}


@pytest.mark.parametrize("target", READERS)
def test_the_seeds_get_past_the_reader(target: str) -> None:
    """A seed that is refused at once leads a run nowhere."""
    for data in seeds(target):
        if b'report = "' not in data:  # a configuration alone cannot name another file
            assert READERS[target](data) is not None
