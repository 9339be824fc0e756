"""Finding aliases inside a name: whole words, longest first, whatever the spaces and hyphens."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from heapq import nlargest
from typing import NamedTuple

MOST_WORDS = 7
"""No alias has more words; longer runs of words are not looked up."""


class Span(NamedTuple):
    """A run of tokens, first to last exclusive, and the key they make without spaces."""

    first: int
    last: int
    key: str


def spans_in(words: Sequence[str], index: Mapping[str, object]) -> list[Span]:
    """Return all runs of up to seven tokens that are a key of the index, longest key first."""
    found = []
    count = len(words)
    for first in range(count):
        key = ""
        for last in range(first, min(first + MOST_WORDS, count)):
            key += words[last]
            if key in index:
                found.append(Span(first, last + 1, key))
    found.sort(key=lambda span: (-len(span.key), span.first))
    return found


def apart(spans: Sequence[Span]) -> list[Span]:
    """Return the spans that share no token with a longer one."""
    kept: list[Span] = []
    for span in spans:
        if all(span.last <= other.first or span.first >= other.last for other in kept):
            kept.append(span)
    return kept


def outermost(spans: Sequence[Span]) -> list[Span]:
    """Return the spans that do not lie inside a longer one; they may overlap."""
    kept: list[Span] = []
    for span in spans:
        if not any(other.first <= span.first and span.last <= other.last for other in kept):
            kept.append(span)
    return kept


def nearest_keys(wanted: str, keys: Sequence[str], count: int, cutoff: float = 0.6) -> list[str]:
    """Return the keys most like the wanted one, best first.

    Compares by `difflib` only what shares enough pairs of letters, which keeps it fast.
    """
    from difflib import SequenceMatcher  # only unknown names need it

    pairs = _pairs(wanted)
    if not pairs:
        return []
    close = nlargest(
        60, ((_likeness(pairs, key), key) for key in keys if abs(len(key) - len(wanted)) <= 12)
    )
    matcher = SequenceMatcher(autojunk=False)
    matcher.set_seq2(wanted)
    scored = []
    for likeness, key in close:
        if likeness < 0.25:
            break
        matcher.set_seq1(key)
        ratio = matcher.ratio()
        if ratio >= cutoff:
            scored.append((ratio, key))
    return [key for _, key in nlargest(count, scored)]


def _pairs(word: str) -> frozenset[str]:
    return frozenset(word[place : place + 2] for place in range(len(word) - 1))


def _likeness(pairs: frozenset[str], key: str) -> float:
    others = _pairs(key)
    if not others:
        return 0.0
    return 2.0 * len(pairs & others) / (len(pairs) + len(others))
