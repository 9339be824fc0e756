"""Which family of beers a style belongs to: by code, name, ranges or the beer itself."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import cache, lru_cache
from typing import Literal, NamedTuple

from recipe_tools.recipe import Style
from recipe_tools.reference.alias_index import outermost, spans_in
from recipe_tools.reference.tables import number, table
from recipe_tools.reference.wording import LONGEST_NAME, key, tokens

How = Literal["code", "name", "older-code", "file-ranges", "numbers"]

EBC_PER_SRM = 1.97
_NOT_BEER = frozenset({"cider", "mead", "wine", "kombucha", "soda"})
_NOT_BEER_WORDS = frozenset({"cider", "mead", "melomel", "cyser", "metheglin", "perry", "cidre"})
_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")
_CODE = re.compile(r"([0-9]{1,2}|X[0-9])[ .-]?([A-Z]?)\d?")
_LEAST_LIKENESS = 0.75
_PADDING = frozenset({"style", "beer", "the", "a", "and", "or", "of", "s", "type", "bjcp", "ale"})
_CURRENT = "BJCP 2021"
_OLD_GUIDE = "BJCP 2008"


class FamilyMatch(NamedTuple):
    """The family of a style and how it was found.

    family: row of style_water_targets, or ``base_style`` (follows the declared base beer).
    code, style_name: of the BJCP guidelines 2021, empty where only the family is known.
    how: ``code``, ``name``, ``older-code`` (of BJCP 2008 or 2015), ``file-ranges`` (ranges the file
    states for the style) or ``numbers`` (gravity, bitterness and colour of the beer).
    exempt: ions that are an ingredient of the style and not judged. ion_family, ra_family: other
    families whose ions or residual alkalinity suit the style better; ratio_high: its own upper
    sulfate to chloride ratio.
    """

    family: str
    code: str
    style_name: str
    how: How
    exempt: frozenset[str] = frozenset()
    ion_family: str = ""
    ra_family: str = ""
    ratio_high: float | None = None
    note: str = ""


class _Entry(NamedTuple):
    code: str
    name: str
    family: str
    exempt: frozenset[str]
    ion_family: str
    ra_family: str
    ratio_high: float | None
    og: tuple[float, float] | None
    ibu: tuple[float, float] | None
    ebc: tuple[float, float] | None
    note: str

    def found(self, how: How) -> FamilyMatch:
        return FamilyMatch(
            self.family,
            self.code,
            self.name,
            how,
            self.exempt,
            self.ion_family,
            self.ra_family,
            self.ratio_high,
            self.note,
        )


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
        if style.kind in _NOT_BEER:
            return None
        by_words = _by_words(
            style.code.upper(), style.name[:LONGEST_NAME], style.guide[:80], style.category[:80]
        )
        if by_words is not None:
            return by_words if by_words.family else None
        by_ranges = _by_file_ranges(style)
        if by_ranges is not None:
            return by_ranges
    return _by_numbers(og, ibu, colour_ebc)


_NO_BEER = FamilyMatch("", "", "", "name")
"""What `_by_words` returns where the name says cider or mead."""


@lru_cache(maxsize=2048)
def _by_words(code: str, name: str, guide: str, category: str) -> FamilyMatch | None:
    words = tokens(name)
    if not _NOT_BEER_WORDS.isdisjoint(words):
        return _NO_BEER
    by_code = _by_code(code, words, guide)
    if by_code is not None:
        return by_code
    named = _named(words) or (_named(tokens(category)) if not words else None)
    if named is not None:
        return named.found("name")
    if not words:
        return None
    by_category = _named(tokens(category))
    return by_category.found("name") if by_category is not None else None


# --- by code


def _by_code(code: str, words: Sequence[str], guide: str) -> FamilyMatch | None:
    """Return the entry of a code whose name fits best, unless the name belongs to another style."""
    wanted = _clean_code(code)
    if not wanted or not _is_bjcp(guide):
        return None
    year = _year(guide)
    current = _current_by_code().get(wanted, ())
    older = [
        (place, entry)
        for place, entry in _older_by_code().get(wanted, ())
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
    if guide == _OLD_GUIDE:
        return year < 2015
    return 2015 <= year < 2021


class _Older(NamedTuple):
    guide: str
    name: str


@cache
def _entries() -> tuple[_Entry, ...]:
    return tuple(
        _Entry(
            code=row["code"],
            name=row["name"],
            family=row["family"],
            exempt=frozenset(row["exempt"].split()),
            ion_family=row["ion_family"],
            ra_family=row["ra_family"],
            ratio_high=number(row["sulfate_to_chloride_high"]),
            og=_span(row["og_low"], row["og_high"]),
            ibu=_span(row["ibu_low"], row["ibu_high"]),
            ebc=_span(row["srm_low"], row["srm_high"], EBC_PER_SRM),
            note=row["note"],
        )
        for row in table("style_codes")
    )


def _span(low: str, high: str, factor: float = 1.0) -> tuple[float, float] | None:
    return (float(low) * factor, float(high) * factor) if low and high else None


@cache
def _current_by_code() -> Mapping[str, tuple[_Entry, ...]]:
    found: dict[str, tuple[_Entry, ...]] = {}
    for entry in _entries():
        for code in _spellings(entry.code):
            found[code] = (*found.get(code, ()), entry)
    return found


def _spellings(code: str) -> tuple[str, ...]:
    """Return a code, and the bare number of a category that has historic beers only."""
    return (code, code[:-1]) if code.startswith("27") else (code,)


@cache
def _older_by_code() -> Mapping[str, tuple[tuple[_Older, _Entry], ...]]:
    by_name = {(entry.code, entry.name): entry for entry in _entries()}
    found: dict[str, tuple[tuple[_Older, _Entry], ...]] = {}
    for row in table("style_codes_older"):
        pair = (
            _Older(row["guide"], row["name"]),
            by_name[(row["code_2021"], row["name_2021"])],
        )
        found[row["code"]] = (*found.get(row["code"], ()), pair)
    return found


# --- by name


@cache
def _names() -> Mapping[str, _Entry]:
    """Return styles by the key of each name they have; names of the current guide come first."""
    by_name = {(entry.code, entry.name): entry for entry in _entries()}
    found: dict[str, _Entry] = {}
    for entry in _entries():
        found.setdefault(key(entry.name), entry)
        short = entry.name.rpartition(": ")[2]
        found.setdefault(key(short), entry)
    for row in (*table("style_codes_older"), *table("style_names")):
        code = row.get("code_2021") or row["code"]
        found.setdefault(key(row["name"]), by_name[(code, row["name_2021"])])
    return found


@cache
def _word_sets() -> tuple[tuple[frozenset[str], _Entry], ...]:
    by_name = {(entry.code, entry.name): entry for entry in _entries()}
    sets = [(frozenset(_telling(tokens(entry.name))), entry) for entry in _entries()]
    sets.extend(
        (
            frozenset(_telling(tokens(row["name"]))),
            by_name[(row["code_2021"], row["name_2021"])],
        )
        for row in table("style_codes_older")
    )
    return tuple(sets)


def _telling(words: Iterable[str]) -> list[str]:
    return [word for word in words if word not in _PADDING] or list(words)


def _named(words: Sequence[str]) -> _Entry | None:
    """Return the style of a name: the same name, nearly the same words, or a name inside it."""
    if not words:
        return None
    names = _names()
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


def _alike(words: Sequence[str]) -> _Entry | None:
    wanted = frozenset(_telling(words))
    best, likeness = None, _LEAST_LIKENESS
    for known, entry in _word_sets():
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
    one, two = frozenset(_telling(words)), frozenset(_telling(known))
    common = len(one & two)
    return max(common / len(one | two), 0.9 * common / min(len(one), len(two)))


# --- by ranges and numbers


def _by_file_ranges(style: Style) -> FamilyMatch | None:
    """Return the family whose styles lie nearest to the ranges of the file (two at least)."""
    wanted = [
        ends if ends[0] is not None and ends[1] is not None else None
        for ends in (style.og, style.ibu, style.colour_ebc)
    ]
    if sum(ends is not None for ends in wanted) < 2:
        return None
    middles = [None if ends is None else _middle(ends) for ends in wanted]
    entry = _nearest(*middles)
    return None if entry is None else entry._replace(code="", name=style.name).found("file-ranges")


def _middle(ends: tuple[float | None, float | None]) -> float:
    return ((ends[0] or 0.0) + (ends[1] or 0.0)) / 2.0


@lru_cache(maxsize=1024)
def _by_numbers(
    og: float | None, ibu: float | None, colour_ebc: float | None
) -> FamilyMatch | None:
    if sum(value is not None for value in (og, ibu, colour_ebc)) < 2:
        return None
    entry = _nearest(og, ibu, colour_ebc)
    if entry is None:
        return None
    return FamilyMatch(entry.family, "", "", "numbers")


def _nearest(og: float | None, ibu: float | None, ebc: float | None) -> _Entry | None:
    """Return the style that holds all given values and has them nearest to its middle."""
    best, least = None, 0.0
    for entry in _entries():
        if entry.family in ("base_style", "sour"):
            continue
        away = 0.0
        for value, ends in ((og, entry.og), (ibu, entry.ibu), (ebc, entry.ebc)):
            if value is None:
                continue
            if ends is None or not ends[0] <= value <= ends[1]:
                break
            half = (ends[1] - ends[0]) / 2.0 or 1.0
            away += ((value - ends[0] - half) / half) ** 2
        else:
            if best is None or away < least:
                best, least = entry, away
    return best
