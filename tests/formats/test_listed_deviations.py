"""Each deviation that was noted on real files has a file of its own and its defined outcome."""

from __future__ import annotations

import re

import pytest

from tests.formats.listed_deviations import FILES, LISTED, Listed, checked, said_of, said_on_reading
from tests.standards import require_standards


@pytest.mark.parametrize("item", LISTED, ids=lambda item: item.what)
def test_a_deviation_has_its_outcome(item: Listed) -> None:
    for name, said in item.files:
        file = checked(name)
        assert said_on_reading(file) == said, name
        if item.judged:
            rule = item.judged.removeprefix("!")
            assert said_of(file, rule) == (rule == item.judged), (name, rule)


@pytest.mark.parametrize("item", LISTED, ids=lambda item: item.what)
def test_whatever_is_said_has_a_place_in_the_file(item: Listed) -> None:
    for name, _ in item.files:
        for found in checked(name).findings:
            assert found.line is not None, (name, found.rule)


def test_no_row_of_the_reference_on_beerxml_is_left_out() -> None:
    text = require_standards("beerxml-1.0.md").read_text("utf-8")
    section = text.partition("\n## 5. ")[2].partition("\n## ")[0]
    rows = [line for line in section.splitlines() if re.match(r"\| (?!deviation |---)", line)]
    rows = [line for line in rows if not line.startswith("|---")]
    assert {item.row for item in LISTED} - {0} == set(range(1, len(rows) + 1))


def test_every_file_named_is_there_and_deviations_are_named_once() -> None:
    assert all((FILES / name).is_file() for item in LISTED for name, _ in item.files)
    assert len({item.what for item in LISTED}) >= len(LISTED) - 2  # gravity and percent in both
