"""How names are made comparable: one spelling for case, accents, subscripts and hyphens."""

from __future__ import annotations

import re
from collections.abc import Sequence
from unicodedata import normalize

LONGEST_NAME = 200
"""Characters of a name that are looked at; no ingredient is called more."""

MOST_TOKENS = 40

_COMBINING = re.compile("[\u0300-\u036f]+")
_TOKEN = re.compile(r"[^\W_]+")
_BETWEEN = re.compile(r"[\W_]+")
_LETTER_THEN_DIGIT = re.compile(r"(?<=[^\W\d_])(?=\d)|(?<=\d)(?=[^\W\d_])")
_FOLD = str.maketrans(
    {"ł": "l", "đ": "d", "ø": "o", "æ": "ae", "œ": "oe", "ı": "i", "ð": "d", "þ": "th", "⁄": " "}
)


_LOOKALIKES = str.maketrans("асеорхкнмтв", "aceopxkhmtb")


def folded(text: str) -> str:
    """Return text in lower case without accents; subscripts and full-width letters become plain."""
    if text.isascii():
        return text.lower()
    plain = normalize("NFKD", text).casefold().translate(_FOLD)
    return _COMBINING.sub("", plain)


def comparable(text: str) -> str:
    """Return folded text in which ä, ae and a (ö, ü, å likewise) and sulph, sulf are the same."""
    plain = folded(text)
    for two, one in (("ae", "a"), ("oe", "o"), ("ue", "u"), ("aa", "a"), ("sulph", "sulf")):
        if two in plain:
            plain = plain.replace(two, one)
    return plain


def tokens(text: str, most: int = MOST_TOKENS) -> list[str]:
    """Return the words and numbers of a text in comparable spelling.

    Crystal water becomes one token: ``x 7 H2O`` and ``·7H2O`` both give ``7h2o``.
    """
    plain = comparable(text)
    words = _TOKEN.findall(plain)[:most]
    return _settled(words) if "x" in plain or "h2o" in plain else words


def comparable_lines(texts: Sequence[str]) -> list[str]:
    """Return `comparable` of each text, none of which holds a line break; quick for thousands."""
    plain = [text for text in texts if text.isascii()]
    others = [text for text in texts if not text.isascii()]
    known = dict(zip(plain + others, _in_one(plain) + _in_one(others), strict=True))
    return [known[text] for text in texts]


def _in_one(texts: list[str]) -> list[str]:
    return comparable("\n".join(texts)).split("\n") if texts else []


def tokens_of_lines(texts: Sequence[str]) -> list[list[str]]:
    """Return `tokens` of each text, none of which holds a line break; quick for thousands."""
    return [
        # Splitting at blanks is all that most names need.
        _settled(
            (plain.split() if plain.replace(" ", "").isalnum() else _TOKEN.findall(plain))[
                :MOST_TOKENS
            ]
        )
        for plain in comparable_lines(texts)
    ]


def _settled(words: list[str]) -> list[str]:
    return _joined_water(words) if "h2o" in words else _without_times(words)


def in_latin_letters(words: list[str]) -> list[str]:
    """Return formulas with the Cyrillic letters that look Latin replaced (``CaCO3`` typed so)."""
    return [word.translate(_LOOKALIKES) if not word.isalpha() else word for word in words]


def split_tokens(words: list[str]) -> list[str]:
    """Return the tokens with letters and digits taken apart: ``lactic88`` is two."""
    return [part for word in words for part in _LETTER_THEN_DIGIT.split(word) if part]


def key(text: str) -> str:
    """Return the spelling under which a name is looked up: its tokens without spaces."""
    return _key(comparable(text))


def _key(plain: str) -> str:
    if plain.isalnum() and "x" not in plain and "h2o" not in plain:
        return plain
    if "x" in plain or "h2o" in plain:
        return "".join(tokens(plain))
    return _BETWEEN.sub("", plain)


def keys_of_lines(texts: Sequence[str]) -> list[str]:
    """Return `key` of each text, none of which holds a line break; quick for thousands."""
    return [_key(plain) for plain in comparable_lines(texts)]


def _without_times(words: list[str]) -> list[str]:
    if "x" not in words:
        return words
    return [
        word
        for place, word in enumerate(words)
        if word != "x" or not (place + 1 < len(words) and words[place + 1].endswith("h2o"))
    ]


def _joined_water(words: list[str]) -> list[str]:
    joined: list[str] = []
    for word in words:
        if word == "h2o" and joined and joined[-1].isdigit():
            joined[-1] += word
        else:
            joined.append(word)
    return _without_times(joined)


def cut_compound(word: str, endings: tuple[str, ...]) -> tuple[str, str] | None:
    """Return a compound word cut before the ending it has (``milchsaurelosung``), or None."""
    if not word.endswith(endings):
        return None
    for ending in endings:
        if word.endswith(ending) and len(word) > len(ending) + 3:
            return word[: -len(ending)], ending
    return None
