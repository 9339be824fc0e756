"""What holds for the text of every report, whatever its format."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from typing import Any


def assert_clean(text: str, *, allowed: str = "\n") -> None:
    """Fail where a text holds control, bidirectional, zero-width characters or lone surrogates."""
    found = {
        f"U+{ord(letter):04X}"
        for letter in set(text)
        if letter not in allowed and unicodedata.category(letter) in ("Cc", "Cf", "Cs", "Zl", "Zp")
    }
    assert not found
    assert not any(ord(letter) & 0xFFFE == 0xFFFE for letter in set(text))
    text.encode("utf-8")


def texts_in(value: Any) -> Iterator[str]:
    """Yield every text within a parsed JSON document, keys included."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield key
            yield from texts_in(item)
    elif isinstance(value, list):
        for item in value:
            yield from texts_in(item)
