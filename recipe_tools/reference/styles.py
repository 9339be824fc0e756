"""Which family of beers a style belongs to: by code, name, ranges or the beer itself."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from recipe_tools.recipe import NOT_BEER, Style
from recipe_tools.reference.alias_index import outermost, spans_in
from recipe_tools.reference.style_numbers import by_file_ranges, by_numbers
from recipe_tools.reference.style_table import (
    OLD_GUIDE,
    FamilyMatch,
    StyleEntry,
    older_styles_by_code,
    style_word_sets,
    styles_by_code,
    styles_by_name,
    telling,
)
from recipe_tools.reference.wording import LONGEST_NAME, tokens

_NOT_BEER_WORDS = frozenset({"cider", "mead", "melomel", "cyser", "metheglin", "perry", "cidre"})
_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")
_CODE = re.compile(r"([0-9]{1,2}|X[0-9])[ .-]?([A-Z]?)\d?")
_LEAST_LIKENESS = 0.75


def style_family(
    style: Style | None,
    og: float | None = None,
    ibu: float | None = None,
    colour_ebc: float | None = None,
) -> FamilyMatch | None:
    """Return the family of a style, None where nothing tells it or it is no beer.

    The code counts first if the name does not contradict it, then the name, then the ranges the
    file states, at last original gravity, bitterness and colour of the beer (two of them at least).
    """
    if style is not None:
        if style.kind in NOT_BEER:
            return None
        by_words = _by_words(
            style.code[:80].upper(),
            style.name[:LONGEST_NAME],
            style.guide[:80],
            style.category[:80],
        )
        if by_words is not None:
            return by_words if by_words.family else None
        by_ranges = by_file_ranges(style)
        if by_ranges is not None:
            return by_ranges
    return by_numbers(og, ibu, colour_ebc)


_NO_BEER = FamilyMatch("", "", "", "name")
"""What `_by_words` returns where the name says cider or mead."""


@lru_cache(maxsize=2048)
def _by_words(code: str, name: str, guide: str, category: str) -> FamilyMatch | None:
    words = tokens(name)
    if not _NOT_BEER_WORDS.isdisjoint(words):
        return _NO_BEER
    found = _by_code(code, words, guide)
    if found is None:
        named = _named(words) or _named(tokens(category))
        found = None if named is None else named.found("name")
    if found is not None and found.family == "base_style":
        return _with_base_beer(found, words)
    return found


def _with_base_beer(found: FamilyMatch, words: Sequence[str]) -> FamilyMatch:
    """Return the match with the family of the base beer, where the name declares one."""
    names = styles_by_name()
    for span in outermost(spans_in(words, names)):
        base = names[span.key]
        if base.family != "base_style":
            return base.found(found.how)._replace(code=found.code, style_name=found.style_name)
    return found


def _by_code(code: str, words: Sequence[str], guide: str) -> FamilyMatch | None:
    """Return the entry of a code whose name fits best, unless the name belongs to another style."""
    wanted = _clean_code(code)
    if not wanted or not _is_bjcp(guide):
        return None
    year = _year(guide)
    current = styles_by_code().get(wanted, ())
    older = [
        (place, entry)
        for place, entry in older_styles_by_code().get(wanted, ())
        if year is None or _fits_year(place.guide, year)
    ]
    if year is not None and year < 2015 and older:
        current = ()
    best: tuple[float, FamilyMatch] | None = None
    for entry in current:
        best = _better(best, _likeness(words, tokens(entry.name)), entry.found("code"))
    for place, entry in older:
        best = _better(best, _likeness(words, tokens(place.name)), entry.found("older-code"))
    if best is None:
        return None
    if words and best[0] < 0.5:
        named = _named(words)
        if named is not None:
            same = next((item for item in current if item.code == named.code), None)
            return named.found("code" if same is not None else "name")
    return best[1]


def _better(
    best: tuple[float, FamilyMatch] | None, likeness: float, match: FamilyMatch
) -> tuple[float, FamilyMatch]:
    return (likeness, match) if best is None or likeness > best[0] else best


def _clean_code(code: str) -> str:
    found = _CODE.fullmatch(code.strip().lstrip("0"))
    if found is None:
        return ""
    return found[1] + found[2]


def _is_bjcp(guide: str) -> bool:
    plain = guide.casefold()
    return not plain.strip() or "bjcp" in plain or "judge" in plain or plain.strip().isdigit()


def _year(guide: str) -> int | None:
    found = _YEAR.search(guide)
    return int(found[0]) if found else None


def _fits_year(guide: str, year: int) -> bool:
    if guide == OLD_GUIDE:
        return year < 2015
    return 2015 <= year < 2021


def _named(words: Sequence[str]) -> StyleEntry | None:
    """Return the style of a name: the same name, nearly the same words, or a name inside it."""
    if not words:
        return None
    names = styles_by_name()
    exact = names.get("".join(words)) or names.get(
        "".join(word for word in words if word != "style")
    )
    if exact is not None:
        return exact
    alike = _alike(words)
    if alike is not None:
        return alike
    spans = outermost(spans_in([word for word in words if word != "style"], names))
    return names[spans[0].key] if spans else None


def _alike(words: Sequence[str]) -> StyleEntry | None:
    wanted = frozenset(telling(words))
    best, likeness = None, _LEAST_LIKENESS
    for known, entry in style_word_sets():
        common = len(wanted & known)
        if not common:
            continue
        score = common / len(wanted | known)
        if score >= likeness and (best is None or score > likeness):
            best, likeness = entry, score
    return best


def _likeness(words: Sequence[str], known: Sequence[str]) -> float:
    """Return how many words two names share, 0..1; one inside the other counts as alike."""
    if not words:
        return 0.0
    one, two = frozenset(telling(words)), frozenset(telling(known))
    common = len(one & two)
    return max(common / len(one | two), 0.9 * common / min(len(one), len(two)))
