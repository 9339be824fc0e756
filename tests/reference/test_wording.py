"""Names made comparable, one by one and by the thousand."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from recipe_tools.reference.tables import table
from recipe_tools.reference.wording import (
    comparable,
    comparable_lines,
    key,
    keys_of_lines,
    tokens,
    tokens_of_lines,
)

ALIASES = [row["alias"] for name in ("agent_aliases", "malt_aliases") for row in table(name)]
LINES = st.lists(st.text(st.characters(exclude_characters="\n\r"), max_size=30), max_size=8)


def test_all_aliases_together_read_like_each_alone() -> None:
    assert comparable_lines(ALIASES) == [comparable(text) for text in ALIASES]
    assert tokens_of_lines(ALIASES) == [tokens(text) for text in ALIASES]
    assert keys_of_lines(ALIASES) == [key(text) for text in ALIASES]


@given(LINES)
def test_any_lines_together_read_like_each_alone(lines: list[str]) -> None:
    assert comparable_lines(lines) == [comparable(text) for text in lines]
    assert tokens_of_lines(lines) == [tokens(text) for text in lines]
    assert keys_of_lines(lines) == [key(text) for text in lines]
