"""All messages together: what none of them may say."""

from __future__ import annotations

import re

import pytest

from tests.rules.messages import Said, everything, of_corpus, of_examples, of_planted

COMPARED = re.compile(
    r"(?:above|below|the limit|but only|less than|more than|instead of|at most)"
    r" (?:pH )?(?P<edge>[0-9][0-9.]*)"
)
IN_BRACKETS = re.compile(r"\([^()]*\)|'[^']*'|\"[^\"]*\"")
NUMBER = re.compile(r"(?<![\w.])[0-9]+(?:\.[0-9]+)?(?![\w])")
STILTED = (
    "came to grief",
    "is no json",
    "is no xml",
    "that are none",
    "is none that",
    "is no number",
    "is no specific gravity",
    "is no field",
    "is no member",
    "which no ",
    "which cannot be.",
    "the same in ",
    "has not;",
    "nobody says",
    " has 1 recipes",
)
"""Turns that no brewer uses (own choice, from reading all messages once)."""


@pytest.fixture(scope="module")
def said() -> list[Said]:
    return [*of_examples(), *of_corpus(), *of_planted(300)]


def equal_numbers(text: str) -> list[str]:
    """Return numbers with which a message says that something exceeds itself."""
    bare = IN_BRACKETS.sub("", text)
    found = []
    for match in COMPARED.finditer(bare):
        before = {float(number) for number in NUMBER.findall(bare[: match.start()])}
        if float(match["edge"].rstrip(".")) in before:
            found.append(match.group())
    return found


def test_no_message_says_that_a_number_exceeds_itself(said: list[Said]) -> None:
    assert [item for item in said if equal_numbers(item.text)] == []
    # The test finds what it is for.
    assert equal_numbers("78.0 g of 'Gypsum' in 30.7 L is 2.4 g/L, but only 2.4 g/L dissolve")
    assert equal_numbers("may leave up to 10 mg/L of SO2 in the water, above 10")
    assert not equal_numbers("is at pH 5.71 (most likely 5.60 to 5.80), above 5.6")


def test_no_message_is_stilted() -> None:
    texts = [item for item in everything() if any(turn in item.text.lower() for turn in STILTED)]
    assert texts == []
